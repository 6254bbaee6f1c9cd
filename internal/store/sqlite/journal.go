package sqlite

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"littoral/internal/store"
	"littoral/internal/store/sqlite/db"
)

func entry(e db.Entry) store.Entry {
	return store.Entry{
		ID: e.ID, Version: int(e.Version), Tank: e.Tank, Base: int(e.Base), State: e.State, Kind: e.Kind, At: e.At, Moves: e.Moves != 0, Body: e.Body,
		Author: e.Author, Received: at(e.ReceivedMs),
	}
}

// PutEntry implements store.Store.
func (s *DB) PutEntry(ctx context.Context, e store.Entry, settles bool) (store.Put, error) {
	sum := sha256.Sum256([]byte(e.Kind + "\x00" + e.At + "\x00" + e.Body))
	digest := hex.EncodeToString(sum[:])
	var out store.Put
	err := in(ctx, s.journal, func(q *db.Queries) error {
		versions, err := q.EntryVersions(ctx, e.ID)
		if err != nil {
			return err
		}
		var now *db.Entry
		last := int64(0)
		for i := range versions {
			v := &versions[i]
			if v.Tank != e.Tank {
				return store.ErrTaken // an entry stays with its tank
			}
			if v.State == store.Current {
				now = v
			}
			last = max(last, v.Version)
		}
		for i := range versions { // sent before, and perhaps the answer was lost
			if v := &versions[i]; v.Sum == digest && (v.Base == int64(e.Base) || v.State == store.Current) && !settles {
				out = store.Put{Result: store.Already, Version: int(v.Version), Current: entry(*now)}
				if v.State == store.Conflicted {
					out.Result = store.Clash
				}
				return nil
			}
		}
		row := db.AddEntryParams{
			ID: e.ID, Version: last + 1, Tank: e.Tank, Base: int64(e.Base), State: store.Current, Kind: e.Kind, At: e.At, Body: e.Body, Sum: digest,
			Author: e.Author, ReceivedMs: ms(e.Received),
		}
		if e.Moves || now != nil && now.Moves != 0 { // taking back what moved the forecast moves it too
			row.Moves = 1
		}
		out.Result = store.Kept
		if now != nil && now.Version != int64(e.Base) {
			out.Result = store.Clash
			row.State = store.Conflicted
		} else if now != nil {
			if err := q.RetireEntry(ctx, e.ID); err != nil {
				return err
			}
			if settles {
				if err := q.SettleEntries(ctx, e.ID); err != nil {
					return err
				}
			}
		}
		if err := q.AddEntry(ctx, row); err != nil {
			return taken(err)
		}
		out.Version = int(row.Version)
		if now == nil || out.Result == store.Kept {
			e.Version, e.State = out.Version, store.Current
			out.Current = e
		} else {
			out.Current = entry(*now)
		}
		return nil
	})
	return out, err
}

// beyond is later than any time of an entry.
const beyond = "9999-12-31T24:00"

// Entries implements store.Store.
func (s *DB) Entries(ctx context.Context, tank, kind, at, id string, most int) ([]store.Entry, error) {
	if at == "" {
		at = beyond
	}
	if kind != "" {
		rows, err := s.q.EntriesOfKindBefore(ctx, db.EntriesOfKindBeforeParams{Tank: tank, Kind: kind, At: at, ID: id, Most: int64(most)})
		return each(rows, entry), err
	}
	rows, err := s.q.EntriesBefore(ctx, db.EntriesBeforeParams{Tank: tank, At: at, ID: id, Most: int64(most)})
	return each(rows, entry), err
}

// AllEntries implements store.Store.
func (s *DB) AllEntries(ctx context.Context, tank string) ([]store.Entry, error) {
	rows, err := s.q.AllEntries(ctx, tank)
	return each(rows, entry), err
}

// Movers implements store.Store.
func (s *DB) Movers(ctx context.Context, tank string) ([]store.Entry, error) {
	rows, err := s.q.Movers(ctx, tank)
	return each(rows, entry), err
}

// EntryVersions implements store.Store.
func (s *DB) EntryVersions(ctx context.Context, id string) ([]store.Entry, error) {
	rows, err := s.q.EntryVersions(ctx, id)
	return each(rows, entry), err
}

// Conflicts implements store.Store.
func (s *DB) Conflicts(ctx context.Context, tank string) ([]store.Entry, error) {
	rows, err := s.q.Conflicts(ctx, tank)
	return each(rows, entry), err
}

// CountEntries implements store.Store.
func (s *DB) CountEntries(ctx context.Context) (map[string]store.Counted, error) {
	rows, err := s.q.CountEntries(ctx)
	out := map[string]store.Counted{}
	for _, r := range rows {
		out[r.Tank] = store.Counted{Entries: int(r.Entries - r.Conflicts), Conflicts: int(r.Conflicts), Last: r.Latest, Moved: at(r.MovedMs)}
	}
	return out, err
}

// AddPhoto implements store.Store.
func (s *DB) AddPhoto(ctx context.Context, p store.Photo) error {
	return in(ctx, s.journal, func(q *db.Queries) error {
		have, err := q.Photo(ctx, p.ID)
		if err == nil {
			if have.Sha == p.Sum && have.Tank == p.Tank {
				return nil
			}
			return store.ErrTaken
		}
		if err := found(err); err != store.ErrNotFound { //nolint:errorlint // found returns the value itself
			return err
		}
		return taken(q.AddPhoto(ctx, db.AddPhotoParams{
			ID: p.ID, Tank: p.Tank, Sha: p.Sum, Mark: p.Mark, At: p.At, Width: int64(p.Width), Height: int64(p.Height), Bytes: int64(p.Bytes),
			Author: p.Author, MadeMs: ms(p.Made),
		}))
	})
}

func photo(p db.Photo) store.Photo {
	return store.Photo{
		ID: p.ID, Tank: p.Tank, Sum: p.Sha, Mark: p.Mark, At: p.At, Width: int(p.Width), Height: int(p.Height), Bytes: int(p.Bytes),
		Author: p.Author, Made: at(p.MadeMs),
	}
}

// Photo implements store.Store.
func (s *DB) Photo(ctx context.Context, id string) (store.Photo, error) {
	p, err := s.q.Photo(ctx, id)
	return photo(p), found(err)
}

// Photos implements store.Store.
func (s *DB) Photos(ctx context.Context, tank string) ([]store.Photo, error) {
	rows, err := s.q.Photos(ctx, tank)
	return each(rows, photo), err
}

// DeletePhoto implements store.Store.
func (s *DB) DeletePhoto(ctx context.Context, id string) (int, error) {
	var left int64
	err := in(ctx, s.journal, func(q *db.Queries) error {
		p, err := q.Photo(ctx, id)
		if err != nil {
			return found(err)
		}
		if err := counted(q.DeletePhoto(ctx, id)); err != nil {
			return err
		}
		left, err = q.PhotosOfSum(ctx, p.Sha)
		return err
	})
	return int(left), err
}
