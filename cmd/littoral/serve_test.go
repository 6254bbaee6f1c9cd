package main

import (
	"bufio"
	"context"
	"crypto/sha256"
	"crypto/tls"
	"encoding/json"
	"fmt"
	"io"
	"littoral/internal/check"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"
)

// served starts "littoral serve" as a program of its own and returns the address that it names, and what it said until then.
func served(t *testing.T, args ...string) (page, said string, end func() int) {
	t.Helper()
	page, said, cmd := begun(t, args...)
	return page, said, func() int {
		if err := cmd.Process.Signal(os.Interrupt); err != nil {
			t.Error(err)
		}
		_ = cmd.Wait() // the code says it
		return cmd.ProcessState.ExitCode()
	}
}

// begun is served with the program itself in hand.
func begun(t *testing.T, args ...string) (page, said string, cmd *exec.Cmd) {
	t.Helper()
	program := filepath.Join(t.TempDir(), "littoral") // under this name the test's own program is the command line
	if err := os.Symlink(os.Args[0], program); err != nil {
		t.Fatal(err)
	}
	cmd = exec.Command(program, append([]string{"serve", "--port", "0"}, args...)...) //nolint:gosec // the test's own program
	out, err := cmd.StderrPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = cmd.Process.Kill() }) // no more than a safety net
	lines := bufio.NewScanner(out)
	address := regexp.MustCompile(`serving (https?://\S+);`)
	for lines.Scan() {
		said += lines.Text() + "\n"
		if m := address.FindStringSubmatch(lines.Text()); m != nil {
			go func() { _, _ = io.Copy(io.Discard, out) }()
			return m[1], said, cmd
		}
	}
	t.Fatalf("the server did not come up: %s", said)
	return "", "", nil
}

func TestServeOnOnesOwnMachine(t *testing.T) {
	page, _, end := served(t, "--data", filepath.Join(t.TempDir(), "tanks"), "--demo", "reading-desk")
	if !strings.HasPrefix(page, "http://127.0.0.1:") || !strings.Contains(page, "/tanks/") {
		t.Errorf("it serves %s", page)
	}
	base, _, _ := strings.Cut(page, "/tanks/")
	var shelf struct {
		Tanks []struct{ Name, Forecast string }
	}
	if err := json.Unmarshal(fetch(t, http.DefaultClient, base+"/api/tanks", http.StatusOK), &shelf); err != nil {
		t.Fatal(err)
	}
	if len(shelf.Tanks) != 1 || shelf.Tanks[0].Forecast == "" {
		t.Errorf("the shelf shows %+v", shelf)
	}
	if code := end(); code != exitFine {
		t.Errorf("Ctrl-C ended it with %d", code)
	}
}

// A server that is killed while visits come in loses nothing that it has said it keeps, and what was on the way is sent again without doubles.
func TestServerKilledDuringWrites(t *testing.T) {
	const kills, writes, writers = 5, 500, 4
	dir := filepath.Join(t.TempDir(), "tanks")
	page, _, cmd := begun(t, "--data", dir)
	post := func(base, path, body string, to any) error {
		answer, err := http.Post(base+path, "application/json", strings.NewReader(body)) //nolint:gosec,noctx // the test's own server
		if err != nil {
			return err
		}
		defer answer.Body.Close() //nolint:errcheck // read only
		b, err := io.ReadAll(answer.Body)
		if err != nil {
			return err
		}
		if answer.StatusCode >= 300 {
			return fmt.Errorf("%s gave %d: %.200s", path, answer.StatusCode, b)
		}
		return json.Unmarshal(b, to)
	}
	var tank struct{ ID string }
	if err := post(page, "/api/tanks", `{"blank": true, "name": "Killed"}`, &tank); err != nil {
		t.Fatal(err)
	}
	id := func(n int) string { return fmt.Sprintf("entry-%04d", n) }
	write := func(base string, n int) (result string, err error) {
		var out struct {
			Results []struct{ Result string }
		}
		body := fmt.Sprintf(`{"entries": [{"base": 0, "entry": {"id": %q, "at": "2027-03-01T10:00", "kind": "note", "text": "words of %d"}}]}`, id(n), n)
		if err := post(base, "/api/tanks/"+tank.ID+"/journal", body, &out); err != nil {
			return "", err
		}
		return out.Results[0].Result, nil
	}
	kept := make([]bool, writes) // said to be kept
	lost := 0
	for round := range kills + 1 {
		var next, acknowledged atomic.Int32
		killAfter := int32(40 + 7*round)
		var wg sync.WaitGroup
		for range writers {
			wg.Go(func() {
				for n := int(next.Add(1)) - 1; n < writes; n = int(next.Add(1)) - 1 {
					if kept[n] {
						continue
					}
					result, err := write(page, n)
					if err != nil {
						return // the server has gone
					}
					if result != "kept" && result != "already" {
						t.Errorf("entry %d was %s", n, result)
					}
					kept[n] = true
					if acknowledged.Add(1) == killAfter && round < kills {
						if err := cmd.Process.Kill(); err != nil { // SIGKILL: nothing can be tidied up
							t.Error(err)
						}
					}
				}
			})
		}
		wg.Wait()
		if round < kills {
			_ = cmd.Wait()
			page, _, cmd = begun(t, "--data", dir)
		}
		var list struct {
			Entries []struct {
				Entry struct{ ID, Text string }
			}
		}
		if err := json.Unmarshal(fetch(t, http.DefaultClient, page+"/api/tanks/"+tank.ID+"/journal?limit=500", http.StatusOK), &list); err != nil {
			t.Fatal(err)
		}
		there := map[string]string{}
		for _, e := range list.Entries {
			if _, twice := there[e.Entry.ID]; twice {
				t.Errorf("%s is there twice", e.Entry.ID)
			}
			there[e.Entry.ID] = e.Entry.Text
		}
		for n := range kept {
			if kept[n] && there[id(n)] != fmt.Sprintf("words of %d", n) {
				lost++
				t.Errorf("after kill %d: entry %d, which was kept, reads %q", round+1, n, there[id(n)])
			}
		}
		if round == kills && len(there) != writes {
			t.Errorf("%d entries of %d at the end", len(there), writes)
		}
	}
	if err := cmd.Process.Signal(os.Interrupt); err != nil {
		t.Error(err)
	}
	_ = cmd.Wait()
	if code := cmd.ProcessState.ExitCode(); code != exitFine {
		t.Errorf("Ctrl-C ended it with %d", code)
	}
	check.Record(t, check.Row{Room: "web", What: fmt.Sprintf("entries said to be kept that are gone after kill -9 over HTTP, %d kills in %d writes", kills, writes), Source: "the journal's own promise", Worst: strconv.Itoa(lost), Within: "0"})
}

func TestServeOtherMachines(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "tanks")
	if code, _, errs := run(t, "a quiet tank by the window\n", "add-owner", "Ada", "--data", dir); code != exitFine {
		t.Fatal(errs)
	}
	page, said, end := served(t, "--data", dir, "--bind", "0.0.0.0", "--host", "studio.local")
	if !strings.HasPrefix(page, "https://") {
		t.Fatalf("it serves %s", page)
	}
	base := "https://127.0.0.1" + page[strings.LastIndex(page, ":"):]
	var print string
	var names []string
	client := &http.Client{Transport: &http.Transport{TLSClientConfig: &tls.Config{InsecureSkipVerify: true, VerifyConnection: func(s tls.ConnectionState) error { //nolint:gosec // the fingerprint is compared below
		print = fmt.Sprintf("%X", sha256.Sum256(s.PeerCertificates[0].Raw))
		names = s.PeerCertificates[0].DNSNames
		return nil
	}}}}
	fetch(t, client, base+"/api/tanks", http.StatusUnauthorized)
	fetch(t, client, base+"/api/me", http.StatusOK)
	if !strings.Contains(strings.ReplaceAll(said, ":", ""), print) {
		t.Errorf("the fingerprint %s is not in what it said: %s", print, said)
	}
	if !strings.Contains(strings.Join(names, " "), "studio.local") {
		t.Errorf("the certificate is for %v", names)
	}
	if code := end(); code != exitFine {
		t.Errorf("Ctrl-C ended it with %d", code)
	}
	if info, err := os.Stat(filepath.Join(dir, "certificate-key.pem")); err != nil || info.Mode().Perm() != 0o600 {
		t.Errorf("the key is open to others: %v", err)
	}
	again, saidAgain, end := served(t, "--data", dir, "--bind", "0.0.0.0", "--host", "studio.local")
	if again == "" || !strings.Contains(strings.ReplaceAll(saidAgain, ":", ""), print) {
		t.Errorf("the second start made another certificate")
	}
	end()
}

func fetch(t *testing.T, client *http.Client, url string, want int) []byte {
	t.Helper()
	ctx, stop := context.WithTimeout(context.Background(), 30*time.Second)
	defer stop()
	r, err := http.NewRequestWithContext(ctx, http.MethodGet, url, nil)
	if err != nil {
		t.Fatal(err)
	}
	w, err := client.Do(r)
	if err != nil {
		t.Fatal(err)
	}
	defer w.Body.Close() //nolint:errcheck // read only
	b, err := io.ReadAll(w.Body)
	if err != nil || w.StatusCode != want {
		t.Fatalf("%s gave %d %s (%v)", url, w.StatusCode, b, err)
	}
	return b
}
