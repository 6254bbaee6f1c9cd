package sqlite

import (
	"context"
	"database/sql"
	"embed"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"littoral/internal/store"
	"littoral/internal/store/sqlite/db"
	"net/url"
	"os"
	"path/filepath"

	"github.com/pressly/goose/v3"
	"modernc.org/sqlite"
	sqlitelib "modernc.org/sqlite/lib"
)

//go:embed migrations/*.sql
var migrations embed.FS

// readers is how many connections read at a time; one writes, since SQLite lets no more.
const readers = 8

// DB is a store in one file.
type DB struct {
	file    string
	db      *sql.DB // plans, forecasts, people
	journal *sql.DB // waits for the disk on every commit
	q       *db.Queries
}

var _ store.Store = (*DB)(nil)

// Address is how database/sql opens a SQLite file with what this program relies on: foreign keys, the write-ahead log, writers that
// queue up instead of failing, and so much care for the disk ("NORMAL": survives a crash of the program; "FULL": a power cut too).
func Address(file, synchronous string) string {
	q := url.Values{"_txlock": {"immediate"}}
	for _, p := range []string{"foreign_keys(1)", "journal_mode(WAL)", "busy_timeout(10000)", "synchronous(" + synchronous + ")"} {
		q.Add("_pragma", p)
	}
	return "file:" + (&url.URL{Path: file}).EscapedPath() + "?" + q.Encode()
}

// Open opens the file, makes it when it is not there, and brings its tables up to date.
func Open(ctx context.Context, file string) (*DB, error) {
	main, err := sql.Open("sqlite", Address(file, "NORMAL"))
	if err != nil {
		return nil, fmt.Errorf("%s cannot be opened: %w", file, err)
	}
	main.SetMaxOpenConns(readers)
	s := &DB{file: file, db: main, q: db.New(main)}
	if err := s.migrate(ctx); err != nil {
		return nil, errors.Join(fmt.Errorf("%s cannot be opened: %w; it may be damaged, or written by a newer version of this program: restore a backup, or use that version", file, err), main.Close())
	}
	s.journal, err = sql.Open("sqlite", Address(file, "FULL"))
	if err != nil {
		return nil, errors.Join(fmt.Errorf("%s cannot be opened: %w", file, err), main.Close())
	}
	s.journal.SetMaxOpenConns(1)
	return s, nil
}

// Claim holds a file for this program until free is called or the program ends, however it ends. It fails at once while another program
// holds it.
func Claim(ctx context.Context, file string) (free func() error, err error) {
	h, err := sql.Open("sqlite", "file:"+(&url.URL{Path: file}).EscapedPath()+"?_pragma=busy_timeout(0)")
	if err != nil {
		return nil, err
	}
	h.SetMaxOpenConns(1)
	if _, err := h.ExecContext(ctx, "BEGIN EXCLUSIVE"); err != nil {
		return nil, errors.Join(err, h.Close())
	}
	return h.Close, nil
}

func (s *DB) migrate(ctx context.Context) error {
	sub, err := fs.Sub(migrations, "migrations")
	if err != nil {
		return err
	}
	p, err := goose.NewProvider(goose.DialectSQLite3, s.db, sub)
	if err != nil {
		return err
	}
	_, err = p.Up(ctx)
	return err
}

// Close closes all connections.
func (s *DB) Close() error { return errors.Join(s.journal.Close(), s.db.Close()) }

// Dump writes a copy of the file as it stands at one moment.
func (s *DB) Dump(ctx context.Context, w io.Writer) (err error) {
	dir, err := os.MkdirTemp(filepath.Dir(s.file), ".dump-*")
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, os.RemoveAll(dir)) }()
	copied := filepath.Join(dir, "copy.sqlite")
	if _, err := s.db.ExecContext(ctx, "VACUUM INTO ?", copied); err != nil {
		return fmt.Errorf("the database could not be copied: %w", err)
	}
	f, err := os.Open(copied)
	if err != nil {
		return err
	}
	_, err = io.Copy(w, f)
	return errors.Join(err, f.Close())
}

// Sound asks the database whether its file is whole; nil when it is.
func (s *DB) Sound(ctx context.Context) error {
	var answer string
	if err := s.db.QueryRowContext(ctx, "PRAGMA integrity_check").Scan(&answer); err != nil {
		return err
	}
	if answer != "ok" {
		return fmt.Errorf("the database is damaged: %s; restore a backup", answer)
	}
	return nil
}

// found turns the database's way of saying that there is nothing into the store's.
func found(err error) error {
	if errors.Is(err, sql.ErrNoRows) {
		return store.ErrNotFound
	}
	return err
}

// counted is found for statements that tell how many rows they touched.
func counted(n int64, err error) error {
	if err == nil && n == 0 {
		return store.ErrNotFound
	}
	return err
}

// taken turns a broken uniqueness into the store's error, and a broken reference into ErrNotFound.
func taken(err error) error {
	var e *sqlite.Error
	if errors.As(err, &e) {
		switch e.Code() {
		case sqlitelib.SQLITE_CONSTRAINT_UNIQUE, sqlitelib.SQLITE_CONSTRAINT_PRIMARYKEY:
			return store.ErrTaken
		case sqlitelib.SQLITE_CONSTRAINT_FOREIGNKEY:
			return store.ErrNotFound
		}
	}
	return err
}

// in runs do inside a transaction of a handle.
func in(ctx context.Context, h *sql.DB, do func(q *db.Queries) error) error {
	tx, err := h.BeginTx(ctx, nil)
	if err != nil {
		return err
	}
	if err := do(db.New(tx)); err != nil {
		return errors.Join(err, tx.Rollback())
	}
	return tx.Commit()
}
