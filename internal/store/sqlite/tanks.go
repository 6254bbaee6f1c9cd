package sqlite

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"littoral/internal/store"
	"littoral/internal/store/sqlite/db"
	"time"
)

func ms(t time.Time) int64 {
	if t.IsZero() {
		return 0
	}
	return t.UnixMilli()
}

func at(ms int64) time.Time {
	if ms == 0 {
		return time.Time{}
	}
	return time.UnixMilli(ms).UTC()
}

func tank(t db.Tank) store.Tank {
	return store.Tank{ID: t.ID, Name: t.Name, Planted: t.Planted, Current: int(t.Current), Forecast: t.Forecast, Made: at(t.MadeMs), Changed: at(t.ChangedMs)}
}

// AddTank implements store.Store.
func (s *DB) AddTank(ctx context.Context, id, planted string, first store.Revision) (store.Tank, error) {
	first.Tank, first.Number, first.Base, first.Variant = id, 1, 0, ""
	var out db.Tank
	err := in(ctx, s.db, func(q *db.Queries) error {
		now := ms(first.Made)
		if err := q.AddTank(ctx, db.AddTankParams{ID: id, Name: first.Name, MadeMs: now, ChangedMs: now}); err != nil {
			return taken(err)
		}
		title := first.Name
		first.Name = ""
		if err := addRevision(ctx, q, first); err != nil {
			return err
		}
		if err := q.SetCurrent(ctx, db.SetCurrentParams{Current: 1, Name: title, Planted: planted, ChangedMs: now, ID: id}); err != nil {
			return err
		}
		var err error
		out, err = q.Tank(ctx, id)
		return err
	})
	return tank(out), err
}

// Tank implements store.Store.
func (s *DB) Tank(ctx context.Context, id string) (store.Tank, error) {
	t, err := s.q.Tank(ctx, id)
	return tank(t), found(err)
}

// Tanks implements store.Store.
func (s *DB) Tanks(ctx context.Context) ([]store.Tank, error) {
	rows, err := s.q.Tanks(ctx)
	return each(rows, tank), err
}

func each[A, B any](in []A, turn func(A) B) []B {
	out := make([]B, len(in))
	for i := range in {
		out[i] = turn(in[i])
	}
	return out
}

// DeleteTank implements store.Store.
func (s *DB) DeleteTank(ctx context.Context, id string) ([]string, error) {
	unused := []string{}
	err := in(ctx, s.db, func(q *db.Queries) error {
		sums, err := q.SumsOfTank(ctx, id)
		if err != nil {
			return err
		}
		if err := counted(q.DeleteTank(ctx, id)); err != nil {
			return err
		}
		for _, sum := range sums {
			n, err := q.PhotosOfSum(ctx, sum)
			if err != nil {
				return err
			}
			if n == 0 {
				unused = append(unused, sum)
			}
		}
		return q.SweepBlobs(ctx)
	})
	return unused, err
}

func addRevision(ctx context.Context, q *db.Queries, r store.Revision) error {
	err := q.AddRevision(ctx, db.AddRevisionParams{
		Tank: r.Tank, Number: int64(r.Number), Variant: r.Variant, Base: int64(r.Base), Name: r.Name,
		Plan: r.Plan, Sum: r.Sum, Author: r.Author, MadeMs: ms(r.Made), Open: flag(r.Open),
	})
	if err != nil {
		return taken(err)
	}
	for _, f := range r.Files {
		sum := sha256.Sum256(f.Data)
		sha := hex.EncodeToString(sum[:])
		data := f.Data
		if data == nil {
			data = []byte{}
		}
		if err := q.AddBlob(ctx, db.AddBlobParams{Sha: sha, Data: data}); err != nil {
			return err
		}
		if err := q.AddRevisionFile(ctx, db.AddRevisionFileParams{Tank: r.Tank, Number: int64(r.Number), Name: f.Name, Sha: sha}); err != nil {
			return taken(err)
		}
	}
	return nil
}

// AddRevision implements store.Store.
func (s *DB) AddRevision(ctx context.Context, r store.Revision, title, planted string) (store.Revision, error) {
	err := in(ctx, s.db, func(q *db.Queries) error {
		if _, err := q.Tank(ctx, r.Tank); err != nil {
			return found(err)
		}
		last, err := q.LastOfVariant(ctx, db.LastOfVariantParams{Tank: r.Tank, Variant: r.Variant})
		if err != nil {
			return err
		}
		if last == 0 { // a new variant may begin anywhere
			if _, err := q.Revision(ctx, db.RevisionParams{Tank: r.Tank, Number: int64(r.Base)}); err != nil {
				return found(err)
			}
		} else if last != int64(r.Base) {
			return store.Conflict{Base: r.Base, Last: int(last)}
		}
		number, err := q.LastNumber(ctx, r.Tank)
		if err != nil {
			return err
		}
		r.Number = int(number) + 1
		r.Open = false
		if err := q.Seal(ctx, r.Tank); err != nil {
			return err
		}
		if err := addRevision(ctx, q, r); err != nil {
			return err
		}
		if r.Variant == "" && r.Step.Label != "" {
			if err := addStep(ctx, q, r.Tank, r.Step, r.Author, r.Made); err != nil {
				return err
			}
		}
		if r.Variant != "" {
			return nil
		}
		return q.SetCurrent(ctx, db.SetCurrentParams{Current: int64(r.Number), Name: title, Planted: planted, ChangedMs: ms(r.Made), ID: r.Tank})
	})
	return r, err
}

// Revision implements store.Store.
func (s *DB) Revision(ctx context.Context, tank string, number int) (store.Revision, error) {
	r, err := s.q.Revision(ctx, db.RevisionParams{Tank: tank, Number: int64(number)})
	if err != nil {
		return store.Revision{}, found(err)
	}
	files, err := s.q.RevisionFiles(ctx, db.RevisionFilesParams{Tank: tank, Number: int64(number)})
	if err != nil {
		return store.Revision{}, err
	}
	out := revision(r)
	out.Files = each(files, func(f db.RevisionFilesRow) store.File { return store.File{Name: f.Name, Data: f.Data} })
	return out, nil
}

func flag(b bool) int64 {
	if b {
		return 1
	}
	return 0
}

// addStep keeps a step behind those that stand; what was taken back before it is forgotten.
func addStep(ctx context.Context, q *db.Queries, tank string, s store.Step, author string, made time.Time) error {
	if err := q.ForgetUndone(ctx, tank); err != nil {
		return err
	}
	number, err := q.LastStepNumber(ctx, tank)
	if err != nil {
		return err
	}
	return q.AddStep(ctx, db.AddStepParams{Tank: tank, Number: number + 1, Label: s.Label, At: int64(s.At), Old: s.Old, New: s.New, Author: author, MadeMs: ms(made)})
}

func step(s db.Step) store.Step {
	return store.Step{Number: int(s.Number), Label: s.Label, At: int(s.At), Old: s.Old, New: s.New, Author: s.Author, Made: at(s.MadeMs)}
}

// InForce implements store.Store.
func (s *DB) InForce(ctx context.Context, tank string) (store.Revision, error) {
	t, err := s.q.Tank(ctx, tank)
	if err != nil {
		return store.Revision{}, found(err)
	}
	r, err := s.q.Revision(ctx, db.RevisionParams{Tank: tank, Number: t.Current})
	return revision(r), found(err)
}

func revision(r db.Revision) store.Revision {
	return store.Revision{
		Tank: r.Tank, Number: int(r.Number), Variant: r.Variant, Base: int(r.Base), Name: r.Name, Plan: r.Plan, Sum: r.Sum, Author: r.Author, Made: at(r.MadeMs),
		Open: r.Open != 0,
	}
}

// DrawPlan implements store.Store.
func (s *DB) DrawPlan(ctx context.Context, d store.Drawing) (store.Revision, error) {
	var out store.Revision
	err := in(ctx, s.db, func(q *db.Queries) error {
		t, err := q.Tank(ctx, d.Tank)
		if err != nil {
			return found(err)
		}
		row, err := q.Revision(ctx, db.RevisionParams{Tank: d.Tank, Number: t.Current})
		if err != nil {
			return found(err)
		}
		if row.Sum != d.Was {
			return store.Moved{Last: int(row.Number)}
		}
		if d.Step.Number > 0 {
			undo, redo, err := steps(ctx, q, d.Tank)
			if err != nil {
				return err
			}
			if d.Step.Number != undo.Number && d.Step.Number != redo.Number { // another window was there first
				return store.Moved{Last: int(row.Number)}
			}
			if err := counted(q.TurnStep(ctx, db.TurnStepParams{Tank: d.Tank, Number: int64(d.Step.Number)})); err != nil {
				return err
			}
		} else if d.Step.Label == "" { // only files come
		} else if err := addStep(ctx, q, d.Tank, d.Step, d.Author, d.Made); err != nil {
			return err
		}
		out = revision(row)
		out.Plan, out.Sum, out.Author, out.Made, out.Files = d.Plan, d.Sum, d.Author, d.Made, d.Files
		if out.Open && d.Files == nil {
			if err := q.Rewrite(ctx, db.RewriteParams{Plan: d.Plan, Sum: d.Sum, Author: d.Author, MadeMs: ms(d.Made), Tank: d.Tank, Number: row.Number}); err != nil {
				return err
			}
		} else {
			last, err := q.LastNumber(ctx, d.Tank)
			if err != nil {
				return err
			}
			if err := q.Seal(ctx, d.Tank); err != nil {
				return err
			}
			out.Number, out.Base, out.Name, out.Open = int(last)+1, int(row.Number), "", true
			if err := addRevision(ctx, q, out); err != nil {
				return err
			}
			if d.Files == nil {
				if err := q.CopyFiles(ctx, db.CopyFilesParams{IntoNumber: int64(out.Number), Tank: d.Tank, FromNumber: row.Number}); err != nil {
					return err
				}
			}
		}
		return q.SetCurrent(ctx, db.SetCurrentParams{Current: int64(out.Number), Name: d.Title, Planted: d.Planted, ChangedMs: ms(d.Made), ID: d.Tank})
	})
	return out, err
}

// Seal implements store.Store.
func (s *DB) Seal(ctx context.Context, tank string) error { return s.q.Seal(ctx, tank) }

// Steps implements store.Store.
func (s *DB) Steps(ctx context.Context, tank string) (undo, redo store.Step, err error) {
	return steps(ctx, s.q, tank)
}

func steps(ctx context.Context, q *db.Queries, tank string) (undo, redo store.Step, err error) {
	last, err := q.LastStep(ctx, tank)
	if err = found(err); err != nil && !errors.Is(err, store.ErrNotFound) {
		return undo, redo, err
	}
	first, err := q.FirstUndone(ctx, tank)
	if err = found(err); err != nil && !errors.Is(err, store.ErrNotFound) {
		return undo, redo, err
	}
	return step(last), step(first), nil
}

// Revisions implements store.Store.
func (s *DB) Revisions(ctx context.Context, tank string) ([]store.Revision, error) {
	if _, err := s.q.Tank(ctx, tank); err != nil {
		return nil, found(err)
	}
	rows, err := s.q.Revisions(ctx, tank)
	return each(rows, func(r db.RevisionsRow) store.Revision {
		return store.Revision{Tank: tank, Number: int(r.Number), Variant: r.Variant, Base: int(r.Base), Name: r.Name, Sum: r.Sum, Author: r.Author, Made: at(r.MadeMs)}
	}), err
}

// NameRevision implements store.Store.
func (s *DB) NameRevision(ctx context.Context, tank string, number int, name string) error {
	return in(ctx, s.db, func(q *db.Queries) error {
		if err := q.Seal(ctx, tank); err != nil { // what has a name stays as it is
			return err
		}
		return counted(q.NameRevision(ctx, db.NameRevisionParams{Name: name, Tank: tank, Number: int64(number)}))
	})
}

// forecastsKept is how many finished forecasts of a tank are kept; each is some MB and any can be made again.
const forecastsKept = 6

// AddForecast implements store.Store.
func (s *DB) AddForecast(ctx context.Context, f store.Forecast, parts []store.Part, last bool) error {
	return in(ctx, s.db, func(q *db.Queries) error {
		err := q.AddForecast(ctx, db.AddForecastParams{Key: f.Key, Tank: f.Tank, Revision: int64(f.Revision), Engine: f.Engine, Days: int64(f.Days), MadeMs: ms(f.Made)})
		if err != nil {
			return taken(err)
		}
		for _, p := range parts {
			if err := q.PutPart(ctx, part(f.Key, p)); err != nil {
				return err
			}
		}
		if last {
			if err := q.SetForecast(ctx, db.SetForecastParams{Forecast: f.Key, ID: f.Tank}); err != nil {
				return err
			}
		}
		t, err := q.Tank(ctx, f.Tank)
		if err != nil {
			return found(err)
		}
		old, err := q.OldForecasts(ctx, db.OldForecastsParams{Tank: f.Tank, Offset: forecastsKept})
		if err != nil {
			return err
		}
		for _, key := range old {
			if key == t.Forecast || key == f.Key {
				continue
			}
			if err := q.DeleteForecast(ctx, key); err != nil {
				return err
			}
		}
		return nil
	})
}

func part(key string, p store.Part) db.PutPartParams {
	if p.Data == nil {
		p.Data = []byte{}
	}
	return db.PutPartParams{Key: key, Name: p.Name, Type: p.Type, Data: p.Data}
}

// Forecast implements store.Store.
func (s *DB) Forecast(ctx context.Context, key string) (store.Forecast, error) {
	f, err := s.q.Forecast(ctx, key)
	return store.Forecast{Key: f.Key, Tank: f.Tank, Revision: int(f.Revision), Engine: f.Engine, Days: int(f.Days), Made: at(f.MadeMs)}, found(err)
}

// PutPart implements store.Store.
func (s *DB) PutPart(ctx context.Context, key string, p store.Part) error {
	return taken(s.q.PutPart(ctx, part(key, p)))
}

// Part implements store.Store.
func (s *DB) Part(ctx context.Context, key, name string) (store.Part, error) {
	p, err := s.q.Part(ctx, db.PartParams{Key: key, Name: name})
	return store.Part{Name: name, Type: p.Type, Data: p.Data}, found(err)
}

// LastForecasts implements store.Store.
func (s *DB) LastForecasts(ctx context.Context, part string) (map[string]store.Last, error) {
	rows, err := s.q.LastForecasts(ctx, part)
	out := make(map[string]store.Last, len(rows))
	for _, r := range rows {
		out[r.Tank] = store.Last{
			Forecast: store.Forecast{Key: r.Key, Tank: r.Tank, Revision: int(r.Revision), Engine: r.Engine, Days: int(r.Days), Made: at(r.MadeMs)},
			Part:     store.Part{Name: part, Type: r.Type, Data: r.Data},
		}
	}
	return out, err
}
