package jobs

import (
	"context"
	"encoding/json"
	"errors"
	"littoral/internal/store/sqlite"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// waited follows a job to its end, with a bound so that a queue that hangs fails the test.
func waited(t *testing.T, q *Queue, id int64, see func(Job)) Job {
	t.Helper()
	ctx, stop := context.WithTimeout(context.Background(), time.Minute)
	defer stop()
	var last Job
	err := q.Watch(ctx, id, func(j Job) error {
		last = j
		if see != nil {
			see(j)
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	return last
}

func opened(t *testing.T, file string, works map[string]Work) *Queue {
	t.Helper()
	q, err := Open(t.Context(), sqlite.Address(file, "NORMAL"), works, 2)
	if err != nil {
		t.Fatal(err)
	}
	return q
}

func TestJobRunsTellsAndGives(t *testing.T) {
	type ask struct{ N int }
	q := opened(t, filepath.Join(t.TempDir(), "queue.sqlite"), map[string]Work{
		"count": func(ctx context.Context, args json.RawMessage, tell Tell) (any, error) {
			var a ask
			if err := json.Unmarshal(args, &a); err != nil {
				return nil, err
			}
			for i := range a.N {
				tell(i+1, a.N, "counting")
				time.Sleep(pulse)
			}
			return map[string]int{"counted": a.N}, nil
		},
		"fail":  func(context.Context, json.RawMessage, Tell) (any, error) { return nil, errors.New("the tank leaks") },
		"panic": func(context.Context, json.RawMessage, Tell) (any, error) { panic("oh") },
		"wait": func(ctx context.Context, _ json.RawMessage, tell Tell) (any, error) {
			tell(0, 1, "waiting")
			<-ctx.Done()
			return nil, ctx.Err()
		},
	})
	defer func() {
		if err := q.Close(context.Background()); err != nil {
			t.Error(err)
		}
	}()
	id, err := q.Add(t.Context(), "count", "k", "tank", ask{5})
	if err != nil {
		t.Fatal(err)
	}
	again, err := q.Add(t.Context(), "count", "k", "tank", ask{5})
	if err != nil || again != id {
		t.Errorf("the same work was queued twice: %d and %d, %v", id, again, err)
	}
	steps := map[int]bool{}
	j := waited(t, q, id, func(j Job) { steps[j.Done] = true })
	if j.State != Done || string(j.Result) != `{"counted":5}` || j.Subject != "tank" || j.Done != 5 {
		t.Errorf("the job ended as %+v with %s", j, j.Result)
	}
	if len(steps) < 3 {
		t.Errorf("only the steps %v were seen", steps)
	}
	for work, want := range map[string]string{"fail": "the tank leaks", "panic": "broke off", "nothing": "no work"} {
		id, err := q.Add(t.Context(), work, "k", "", nil)
		if err != nil {
			t.Fatal(err)
		}
		if j := waited(t, q, id, nil); j.State != Failed || !strings.Contains(j.Error, want) {
			t.Errorf("%s ended as %+v", work, j)
		}
	}
	if id, err = q.Add(t.Context(), "wait", "k", "", nil); err != nil {
		t.Fatal(err)
	}
	j = waited(t, q, id, func(j Job) {
		if j.State == Running {
			if err := q.Cancel(context.Background(), id); err != nil {
				t.Error(err)
			}
		}
	})
	if j.State != Stopped {
		t.Errorf("a stopped job ended as %+v", j)
	}
	if _, err := q.Job(t.Context(), 99999); !errors.Is(err, ErrUnknown) {
		t.Errorf("an unknown job gave %v", err)
	}
}

func TestInterruptedWorkBeginsAgain(t *testing.T) {
	file := filepath.Join(t.TempDir(), "queue.sqlite")
	begun := make(chan bool, 8)
	q := opened(t, file, map[string]Work{"long": func(ctx context.Context, _ json.RawMessage, _ Tell) (any, error) {
		begun <- true
		<-ctx.Done()
		return nil, ctx.Err()
	}})
	id, err := q.Add(t.Context(), "long", "k", "", nil)
	if err != nil {
		t.Fatal(err)
	}
	<-begun
	if err := q.Close(context.Background()); err != nil {
		t.Fatal(err)
	}
	q = opened(t, file, map[string]Work{"long": func(context.Context, json.RawMessage, Tell) (any, error) { return 1, nil }})
	if j := waited(t, q, id, nil); j.State != Done {
		t.Errorf("the interrupted job ended as %+v", j)
	}
	if err := q.Close(context.Background()); err != nil {
		t.Fatal(err)
	}
}
