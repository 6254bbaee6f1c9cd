package sqlite

import (
	"context"
	"errors"
	"littoral/internal/store"
	"littoral/internal/store/sqlite/db"
	"math"
	"time"
)

func user(u db.User) store.User {
	return store.User{ID: u.ID, Name: u.Name, Role: u.Role, Hash: u.Hash, Closed: u.Closed != 0, Made: at(u.MadeMs)}
}

// AddUser implements store.Store.
func (s *DB) AddUser(ctx context.Context, u store.User) error {
	return taken(s.q.AddUser(ctx, db.AddUserParams{ID: u.ID, Name: u.Name, Role: u.Role, Hash: u.Hash, MadeMs: ms(u.Made)}))
}

// User implements store.Store.
func (s *DB) User(ctx context.Context, id string) (store.User, error) {
	u, err := s.q.User(ctx, id)
	return user(u), found(err)
}

// UserByName implements store.Store.
func (s *DB) UserByName(ctx context.Context, name string) (store.User, error) {
	u, err := s.q.UserByName(ctx, name)
	return user(u), found(err)
}

// Users implements store.Store.
func (s *DB) Users(ctx context.Context) ([]store.User, error) {
	rows, err := s.q.Users(ctx)
	return each(rows, user), err
}

// SetUser implements store.Store.
func (s *DB) SetUser(ctx context.Context, u store.User) error {
	closed := int64(0)
	if u.Closed {
		closed = 1
	}
	return counted(s.q.SetUser(ctx, db.SetUserParams{Role: u.Role, Hash: u.Hash, Closed: closed, ID: u.ID}))
}

// Session implements store.Store.
func (s *DB) Session(ctx context.Context, token string) ([]byte, time.Time, error) {
	r, err := s.q.Session(ctx, token)
	return r.Data, at(r.ExpiryMs), found(err)
}

// PutSession implements store.Store.
func (s *DB) PutSession(ctx context.Context, token string, data []byte, expiry time.Time) error {
	return in(ctx, s.db, func(q *db.Queries) error {
		if err := q.SweepSessions(ctx, time.Now().UnixMilli()); err != nil {
			return err
		}
		return q.PutSession(ctx, db.PutSessionParams{Token: token, Data: data, ExpiryMs: ms(expiry)})
	})
}

// DeleteSession implements store.Store.
func (s *DB) DeleteSession(ctx context.Context, token string) error {
	return s.q.DeleteSession(ctx, token)
}

func link(l db.Link) store.Link {
	return store.Link{ID: l.ID, Tank: l.Tank, Name: l.Name, Hash: l.Hash, Made: at(l.MadeMs), Expiry: at(l.ExpiryMs), Revoked: at(l.RevokedMs)}
}

// AddLink implements store.Store.
func (s *DB) AddLink(ctx context.Context, l store.Link) error {
	return taken(s.q.AddLink(ctx, db.AddLinkParams{ID: l.ID, Tank: l.Tank, Hash: l.Hash, Name: l.Name, MadeMs: ms(l.Made), ExpiryMs: ms(l.Expiry)}))
}

// LinkByHash implements store.Store.
func (s *DB) LinkByHash(ctx context.Context, hash string) (store.Link, error) {
	l, err := s.q.LinkByHash(ctx, hash)
	return link(l), found(err)
}

// Links implements store.Store.
func (s *DB) Links(ctx context.Context, tank string) ([]store.Link, error) {
	rows, err := s.q.Links(ctx, tank)
	return each(rows, link), err
}

// RevokeLink implements store.Store.
func (s *DB) RevokeLink(ctx context.Context, tank, id string, when time.Time) error {
	return counted(s.q.RevokeLink(ctx, db.RevokeLinkParams{RevokedMs: ms(when), ID: id, Tank: tank}))
}

// AddAct implements store.Store.
func (s *DB) AddAct(ctx context.Context, a store.Act) error {
	return s.q.AddAudit(ctx, db.AddAuditParams{AtMs: ms(a.At), Who: a.Who, What: a.What, Tank: a.Tank, Status: int64(a.Status)})
}

// Acts implements store.Store.
func (s *DB) Acts(ctx context.Context, before, most int) ([]store.Act, error) {
	from := int64(before)
	if before <= 0 {
		from = math.MaxInt64
	}
	rows, err := s.q.AuditBefore(ctx, db.AuditBeforeParams{Number: from, Limit: int64(most)})
	return each(rows, func(a db.Audit) store.Act {
		return store.Act{Number: int(a.Number), At: at(a.AtMs), Who: a.Who, What: a.What, Tank: a.Tank, Status: int(a.Status)}
	}), err
}

// Setting implements store.Store.
func (s *DB) Setting(ctx context.Context, key string) (string, error) {
	v, err := s.q.Setting(ctx, key)
	if errors.Is(found(err), store.ErrNotFound) {
		return "", nil
	}
	return v, err
}

// PutSetting implements store.Store.
func (s *DB) PutSetting(ctx context.Context, key, value string) error {
	return s.q.PutSetting(ctx, db.PutSettingParams{Key: key, Value: value})
}
