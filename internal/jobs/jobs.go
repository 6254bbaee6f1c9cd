// Package jobs runs long work in a queue: forecasts, members, cures tried, animations. A job tells how far it is, can be stopped, and
// outlives the connection that asked for it. It knows nothing of tanks. The queue lies in a file of its own, so that its many small
// writes never stand before the journal; nothing in it needs a backup.
package jobs

import (
	"context"
	"crypto/sha256"
	"database/sql"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"sync"
	"time"

	"github.com/riverqueue/river"
	"github.com/riverqueue/river/riverdriver/riversqlite"
	"github.com/riverqueue/river/rivermigrate"
	"github.com/riverqueue/river/rivertype"
)

// States of a job.
const (
	Waiting = "waiting"
	Running = "running"
	Done    = "done"
	Failed  = "failed"
	Stopped = "stopped"
)

// ErrUnknown says that there is no such job, or no longer.
var ErrUnknown = errors.New("there is no such job; it may have been cleared away")

// Job is what the outside may know of a job.
type Job struct {
	ID       int64
	Kind     string
	State    string
	Done     int             // steps done
	Total    int             // of so many; 0 while unknown
	Step     string          // what is being done, in words
	Error    string          // why it failed
	Subject  string          // what the job is about, as given to Add
	Result   json.RawMessage // what it gave; nil before it is done
	Finished bool
}

// Tell hears how far the work is.
type Tell func(done, total int, step string)

// Work does a job. Its result is kept with the job. It stops with the context's error when ctx ends.
type Work func(ctx context.Context, args json.RawMessage, tell Tell) (result any, err error)

// Queue is the queue with its workers.
type Queue struct {
	db     *sql.DB
	client *river.Client[*sql.Tx]
}

// task is the one kind of job that the queue library sees; the work is found by name.
type task struct {
	Work    string          `json:"work" river:"unique"`
	Key     string          `json:"key" river:"unique"`
	Subject string          `json:"subject"`
	Args    json.RawMessage `json:"args"`
}

// Kind implements river.JobArgs.
func (task) Kind() string { return "task" }

// output is what a job leaves behind while it runs and when it ends.
type output struct {
	Done   int             `json:"done"`
	Total  int             `json:"total"`
	Step   string          `json:"step"`
	Error  string          `json:"error,omitempty"`
	Result json.RawMessage `json:"result,omitempty"`
}

// Times of the queue, our own choice: how soon new work is seen, how often progress is written.
const (
	poll  = 50 * time.Millisecond
	pulse = 150 * time.Millisecond
	// attempts is how often work is begun that the program's end interrupted; work that fails is not tried again.
	attempts = 3
)

// Open opens the queue's file and starts so many workers. address is what database/sql opens the file with.
func Open(ctx context.Context, address string, works map[string]Work, workers int) (*Queue, error) {
	db, err := sql.Open("sqlite", address)
	if err != nil {
		return nil, err
	}
	db.SetMaxOpenConns(1)
	q := &Queue{db: db}
	if err := q.start(ctx, works, workers); err != nil {
		return nil, errors.Join(fmt.Errorf("the queue of long work cannot be opened: %w", err), db.Close())
	}
	return q, nil
}

func (q *Queue) start(ctx context.Context, works map[string]Work, workers int) error {
	driver := riversqlite.New(q.db)
	quiet := slog.New(slog.NewTextHandler(io.Discard, nil))
	m, err := rivermigrate.New(driver, &rivermigrate.Config{Logger: quiet})
	if err != nil {
		return err
	}
	if _, err := m.Migrate(ctx, rivermigrate.DirectionUp, nil); err != nil {
		return err
	}
	// Nobody else works on this file: what still runs was interrupted.
	if _, err := q.db.ExecContext(ctx, "UPDATE river_job SET state = 'available' WHERE state = 'running' AND attempt < max_attempts"); err != nil {
		return err
	}
	if _, err := q.db.ExecContext(ctx, "UPDATE river_job SET state = 'discarded', finalized_at = CURRENT_TIMESTAMP WHERE state = 'running'"); err != nil {
		return err
	}
	hands := river.NewWorkers()
	river.AddWorker(hands, &worker{works: works})
	q.client, err = river.NewClient(driver, &river.Config{
		Queues:            map[string]river.QueueConfig{river.QueueDefault: {MaxWorkers: workers}},
		Workers:           hands,
		Logger:            quiet,
		JobTimeout:        -1,
		FetchCooldown:     poll,
		FetchPollInterval: poll,
		MaxAttempts:       attempts,
	})
	if err != nil {
		return err
	}
	return q.client.Start(context.WithoutCancel(ctx))
}

// Close stops the workers, and what runs with them; it is begun again when the queue is next opened.
func (q *Queue) Close(ctx context.Context) error {
	return errors.Join(q.client.StopAndCancel(ctx), q.db.Close())
}

type worker struct {
	river.WorkerDefaults[task]
	works map[string]Work
}

// NextRetry implements river.Worker: only interrupted work is begun again, and soon.
func (w *worker) NextRetry(*river.Job[task]) time.Time { return time.Now().Add(time.Second) }

// Work implements river.Worker.
func (w *worker) Work(ctx context.Context, job *river.Job[task]) (err error) {
	client := river.ClientFromContext[*sql.Tx](ctx)
	var lock sync.Mutex
	var now output
	var told time.Time
	tell := func(done, total int, step string) {
		lock.Lock()
		defer lock.Unlock()
		now.Done, now.Total, now.Step = done, total, step
		if time.Since(told) < pulse {
			return
		}
		told = time.Now()
		_, _ = client.JobUpdate(ctx, job.ID, &river.JobUpdateParams{Output: now}) // a missed step of progress harms nobody
	}
	defer func() {
		if r := recover(); r != nil {
			err = fmt.Errorf("the work broke off: %v", r)
		}
		lock.Lock()
		defer lock.Unlock()
		if err != nil && ctx.Err() == nil {
			now.Error = err.Error()
			err = river.JobCancel(err) // asking again would give the same
		}
		err = errors.Join(err, river.RecordOutput(ctx, now))
	}()
	do, ok := w.works[job.Args.Work]
	if !ok {
		return fmt.Errorf("no work is called %q", job.Args.Work)
	}
	result, err := do(ctx, job.Args.Args, tell)
	if err != nil {
		return err
	}
	packed, err := json.Marshal(result)
	if err != nil {
		return err
	}
	lock.Lock()
	now.Result = packed
	lock.Unlock()
	return nil
}

// live are the states in which the same work is not queued a second time.
var live = []rivertype.JobState{rivertype.JobStateAvailable, rivertype.JobStatePending, rivertype.JobStateRetryable, rivertype.JobStateRunning, rivertype.JobStateScheduled}

// Add queues work under a key. Work of the same name and key that waits or runs already is not queued twice; its job is returned.
// Subject is what the job is about, for whoever must decide who may look at it.
func (q *Queue) Add(ctx context.Context, work, key, subject string, args any) (int64, error) {
	packed, err := json.Marshal(args)
	if err != nil {
		return 0, err
	}
	sum := sha256.Sum256([]byte(key))
	r, err := q.client.Insert(ctx, task{Work: work, Key: hex.EncodeToString(sum[:]), Subject: subject, Args: packed}, &river.InsertOpts{UniqueOpts: river.UniqueOpts{ByArgs: true, ByState: live}})
	if err != nil {
		return 0, err
	}
	return r.Job.ID, nil
}

// Job tells how a job stands.
func (q *Queue) Job(ctx context.Context, id int64) (Job, error) {
	row, err := q.client.JobGet(ctx, id)
	if errors.Is(err, rivertype.ErrNotFound) {
		return Job{}, ErrUnknown
	}
	if err != nil {
		return Job{}, err
	}
	return view(row)
}

func view(row *rivertype.JobRow) (Job, error) {
	var t task
	if err := json.Unmarshal(row.EncodedArgs, &t); err != nil {
		return Job{}, err
	}
	var now output
	if raw := row.Output(); len(raw) > 0 {
		if err := json.Unmarshal(raw, &now); err != nil {
			return Job{}, err
		}
	}
	j := Job{ID: row.ID, Kind: t.Work, Done: now.Done, Total: now.Total, Step: now.Step, Error: now.Error, Subject: t.Subject, Result: now.Result, Finished: row.FinalizedAt != nil}
	switch row.State {
	case rivertype.JobStateRunning:
		j.State = Running
	case rivertype.JobStateCompleted:
		j.State = Done
	case rivertype.JobStateCancelled, rivertype.JobStateDiscarded:
		j.State = Stopped
		if j.Error != "" || row.State == rivertype.JobStateDiscarded {
			j.State = Failed
		}
		if j.State == Failed && j.Error == "" {
			j.Error = "the program ended three times while it was at this work; it is not begun again by itself"
		}
	default:
		j.State = Waiting
	}
	return j, nil
}

// Busy tells whether anything waits or runs.
func (q *Queue) Busy(ctx context.Context) (bool, error) {
	list, err := q.client.JobList(ctx, river.NewJobListParams().States(live...).First(1))
	if err != nil {
		return false, err
	}
	return len(list.Jobs) > 0, nil
}

// Cancel stops a job; one that has ended stays as it is.
func (q *Queue) Cancel(ctx context.Context, id int64) error {
	_, err := q.client.JobCancel(ctx, id)
	if errors.Is(err, rivertype.ErrNotFound) {
		return ErrUnknown
	}
	return err
}

// Watch calls see with the state of a job whenever it has changed, and returns when the job has ended, see fails or ctx ends.
func (q *Queue) Watch(ctx context.Context, id int64, see func(Job) error) error {
	tick := time.NewTicker(pulse)
	defer tick.Stop()
	var before string
	for {
		j, err := q.Job(ctx, id)
		if err != nil {
			return err
		}
		if now := fmt.Sprint(j.State, j.Done, j.Total, j.Step); now != before {
			before = now
			if err := see(j); err != nil {
				return err
			}
		}
		if j.Finished {
			return nil
		}
		select {
		case <-ctx.Done():
			return ctx.Err()
		case <-tick.C:
		}
	}
}
