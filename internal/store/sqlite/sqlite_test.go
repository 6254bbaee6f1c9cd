package sqlite

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"image"
	"image/color"
	"image/jpeg"
	"littoral/internal/store"
	"littoral/internal/store/storetest"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

func opened(t testing.TB, file string) *DB {
	t.Helper()
	s, err := Open(context.Background(), file)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func TestStore(t *testing.T) {
	storetest.Run(t, func(t *testing.T) store.Store {
		return opened(t, filepath.Join(t.TempDir(), "a b#?%20ü.sqlite")) // marks that mean something in an address
	})
}

// Every connection must have what the store relies on, in a file of any name.
func TestPragmasHold(t *testing.T) {
	dir := t.TempDir()
	s := opened(t, filepath.Join(dir, "odd ?name#.sqlite"))
	if _, err := os.Stat(filepath.Join(dir, "odd ?name#.sqlite")); err != nil {
		t.Errorf("the file is not where it was asked for: %v", err)
	}
	for handle, want := range map[string]string{"main": "1", "journal": "2"} { // synchronous: 1 normal, 2 full
		h := s.db
		if handle == "journal" {
			h = s.journal
		}
		for pragma, want := range map[string]string{"foreign_keys": "1", "journal_mode": "wal", "synchronous": want} {
			var got string
			if err := h.QueryRow("PRAGMA " + pragma).Scan(&got); err != nil || got != want {
				t.Errorf("%s: %s is %s, want %s (%v)", handle, pragma, got, want, err)
			}
		}
	}
	if err := s.Sound(t.Context()); err != nil {
		t.Error(err)
	}
	if err := s.Close(); err != nil {
		t.Error(err)
	}
}

func TestDamagedFileIsNamed(t *testing.T) {
	file := filepath.Join(t.TempDir(), "tanks.sqlite")
	if err := os.WriteFile(file, bytes.Repeat([]byte("no database "), 1000), 0o600); err != nil {
		t.Fatal(err)
	}
	_, err := Open(t.Context(), file)
	if err == nil || !strings.Contains(err.Error(), file) || !strings.Contains(err.Error(), "backup") {
		t.Errorf("the error is %v", err)
	}
}

func TestAFolderIsClaimedOnce(t *testing.T) {
	file := filepath.Join(t.TempDir(), "served.sqlite")
	free, err := Claim(t.Context(), file)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := Claim(t.Context(), file); err == nil {
		t.Error("it was claimed twice")
	}
	if err := free(); err != nil {
		t.Fatal(err)
	}
	free, err = Claim(t.Context(), file)
	if err != nil {
		t.Fatal(err)
	}
	if err := free(); err != nil {
		t.Error(err)
	}
}

// writerVariable makes the test binary the writer that is killed.
const writerVariable = "LITTORAL_TEST_WRITER"

func TestMain(m *testing.M) {
	if file := os.Getenv(writerVariable); file != "" {
		write(file)
		return
	}
	os.Exit(m.Run())
}

// write puts entries in for ever, and says of each, once it was acknowledged, that it was.
func write(file string) {
	ctx := context.Background()
	s, err := Open(ctx, file)
	if err != nil {
		fmt.Println("error", err)
		return
	}
	for i := 0; ; i++ {
		id := fmt.Sprintf("entry-%06d", i)
		if _, err := s.PutEntry(ctx, store.Entry{ID: id, Tank: "a", Kind: "note", At: "2027-03-01", Body: `{"text":"` + id + `"}`, Received: time.Now()}, false); err != nil {
			fmt.Println("error", err)
			return
		}
		fmt.Println(id)
	}
}

// A program that is killed in the middle of writing loses nothing that it had acknowledged, and the store opens sound. It is killed three
// times, after 500 writes and more each.
func TestKilledWhileWritingLosesNothing(t *testing.T) {
	file := filepath.Join(t.TempDir(), "tanks.sqlite")
	s := opened(t, file)
	if _, err := s.AddTank(t.Context(), "a", "", store.Revision{Name: "Aula", Plan: "x", Made: time.Now()}); err != nil {
		t.Fatal(err)
	}
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	acknowledged := map[string]bool{}
	for round := range 3 {
		cmd := exec.Command(os.Args[0]) //nolint:gosec // this very test
		cmd.Env = append(os.Environ(), writerVariable+"="+file)
		out, err := cmd.StdoutPipe()
		if err != nil {
			t.Fatal(err)
		}
		if err := cmd.Start(); err != nil {
			t.Fatal(err)
		}
		var buffer bytes.Buffer
		chunk := make([]byte, 4096)
		for bytes.Count(buffer.Bytes(), []byte("\n")) < 500*(round+1) {
			n, err := out.Read(chunk)
			buffer.Write(chunk[:n])
			if err != nil {
				t.Fatalf("the writer ended: %v after %s", err, buffer.String())
			}
		}
		if err := cmd.Process.Kill(); err != nil { // SIGKILL: nothing can be tidied up
			t.Fatal(err)
		}
		for { // what it had said before it died counts too
			n, err := out.Read(chunk)
			buffer.Write(chunk[:n])
			if err != nil {
				break
			}
		}
		if err := cmd.Wait(); err == nil {
			t.Fatal("the writer ended by itself")
		}
		text := buffer.String()
		for _, line := range strings.Split(text[:strings.LastIndex(text, "\n")], "\n") {
			if strings.HasPrefix(line, "error") {
				t.Fatal(line)
			}
			acknowledged[line] = true
		}
		s := opened(t, file)
		if err := s.Sound(t.Context()); err != nil {
			t.Error(err)
		}
		all, err := s.AllEntries(t.Context(), "a")
		if err != nil {
			t.Fatal(err)
		}
		have := map[string]bool{}
		for _, e := range all {
			if want := `{"text":"` + e.ID + `"}`; e.Body != want {
				t.Errorf("%s holds %s", e.ID, e.Body)
			}
			have[e.ID] = true
		}
		for id := range acknowledged {
			if !have[id] {
				t.Errorf("round %d: %s was acknowledged and is lost", round, id)
			}
		}
		if err := s.Close(); err != nil {
			t.Fatal(err)
		}
	}
	if len(acknowledged) < 1500 {
		t.Errorf("only %d entries were acknowledged", len(acknowledged))
	}
}

func jpegOf(t testing.TB, shade uint8) []byte {
	t.Helper()
	img := image.NewGray(image.Rect(0, 0, 64, 48))
	for i := range img.Pix {
		img.Pix[i] = shade + uint8(i%7)
	}
	img.Set(1, 1, color.Gray{255})
	var b bytes.Buffer
	if err := jpeg.Encode(&b, img, nil); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// A backup that is taken while entries and photos come in restores to a sound store, which holds all that was acknowledged before the
// backup began and no photo without its file.
func TestBackupDuringWritesRestores(t *testing.T) {
	dir := t.TempDir()
	s := opened(t, filepath.Join(dir, store.DatabaseFile))
	album := store.Album{Dir: filepath.Join(dir, store.PhotoDir)}
	if _, err := s.AddTank(t.Context(), "a", "", store.Revision{Name: "Aula", Plan: "x", Made: time.Now()}); err != nil {
		t.Fatal(err)
	}
	one := func(i int) error {
		id := fmt.Sprintf("entry-%04d", i)
		_, err := s.PutEntry(context.Background(), store.Entry{ID: id, Tank: "a", Kind: "note", At: "2027-03-01", Body: "{}", Received: time.Now()}, false)
		if err != nil || i%10 > 0 {
			return err
		}
		k, err := album.Add(jpegOf(t, uint8(i)))
		if err != nil {
			return err
		}
		return s.AddPhoto(context.Background(), store.Photo{ID: id, Tank: "a", Sum: k.Sum, At: "2027-03-01", Width: k.Width, Height: k.Height, Bytes: k.Bytes, Made: time.Now()})
	}
	for i := range 100 {
		if err := one(i); err != nil {
			t.Fatal(err)
		}
	}
	stop, ended := make(chan bool), make(chan error, 1)
	go func() {
		for i := 100; ; i++ {
			select {
			case <-stop:
				ended <- nil
				return
			default:
				if err := one(i); err != nil {
					ended <- err
					return
				}
			}
		}
	}()
	var archive bytes.Buffer
	if err := store.Backup(t.Context(), s, album, &archive); err != nil {
		t.Fatal(err)
	}
	close(stop)
	if err := <-ended; err != nil {
		t.Fatal(err)
	}
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	to := filepath.Join(t.TempDir(), "restored")
	if err := store.Restore(bytes.NewReader(archive.Bytes()), int64(archive.Len()), to); err != nil {
		t.Fatal(err)
	}
	r := opened(t, filepath.Join(to, store.DatabaseFile))
	if err := r.Sound(t.Context()); err != nil {
		t.Error(err)
	}
	all, err := r.AllEntries(t.Context(), "a")
	if err != nil {
		t.Fatal(err)
	}
	have := map[string]bool{}
	for _, e := range all {
		have[e.ID] = true
	}
	for i := range 100 {
		if id := fmt.Sprintf("entry-%04d", i); !have[id] {
			t.Errorf("%s is not in the backup", id)
		}
	}
	photos, err := r.Photos(t.Context(), "a")
	if err != nil || len(photos) < 10 {
		t.Fatalf("%d photos, %v", len(photos), err)
	}
	kept := store.Album{Dir: filepath.Join(to, store.PhotoDir)}
	for _, p := range photos {
		for _, thumb := range []bool{false, true} {
			if _, err := kept.Read(p.Sum, thumb); err != nil {
				t.Errorf("photo %s: %v", p.ID, err)
			}
		}
	}
	if err := r.Close(); err != nil {
		t.Fatal(err)
	}
	if err := store.Restore(bytes.NewReader(archive.Bytes()), int64(archive.Len()), to); err == nil || !strings.Contains(err.Error(), "holds tanks already") {
		t.Errorf("restoring over tanks gave %v", err)
	}
	for name, raw := range map[string][]byte{"cut short": archive.Bytes()[:archive.Len()/2], "something else": []byte("hello")} {
		into := filepath.Join(t.TempDir(), "r")
		if err := store.Restore(bytes.NewReader(raw), int64(len(raw)), into); err == nil {
			t.Errorf("%s was restored", name)
		}
		if _, err := os.Stat(filepath.Join(into, store.DatabaseFile)); !errors.Is(err, os.ErrNotExist) {
			t.Errorf("%s left a database", name)
		}
	}
}

// BenchmarkPutEntry is one acknowledged journal entry, on the disk.
func BenchmarkPutEntry(b *testing.B) {
	s := opened(b, filepath.Join(b.TempDir(), "tanks.sqlite"))
	defer s.Close() //nolint:errcheck // a benchmark
	if _, err := s.AddTank(context.Background(), "a", "", store.Revision{Name: "Aula", Plan: "x", Made: time.Now()}); err != nil {
		b.Fatal(err)
	}
	b.ReportAllocs()
	for i := 0; b.Loop(); i++ {
		if _, err := s.PutEntry(context.Background(), store.Entry{ID: fmt.Sprint("e", i), Tank: "a", Kind: "note", At: "2027-03-01", Body: "{}", Received: time.Now()}, false); err != nil {
			b.Fatal(err)
		}
	}
}
