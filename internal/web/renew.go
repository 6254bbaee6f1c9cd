package web

import (
	"context"
	"sync"
	"time"
)

// Times of renewing, our own choice: how long a server that has just begun keeps its hands free for the first pages, and how often it looks for
// forecasts to make again.
const (
	renewAfter = 10 * time.Second
	renewEvery = 5 * time.Second
)

// renewal is the forecast that the server makes again by itself, one at a time and only while nothing else is in the queue.
type renewal struct {
	lock  sync.Mutex
	job   int64 // 0 = none
	key   string
	tried map[string]bool // keys that were begun, so that one that fails is not begun for ever
}

// Renew makes forecasts again that an earlier version of the program made or that the journal has gone past, whenever the queue is empty, until ctx
// ends. Whoever asks for work meanwhile goes first.
func (s *Server) Renew(ctx context.Context) {
	select {
	case <-ctx.Done():
		return
	case <-time.After(renewAfter):
	}
	tick := time.NewTicker(renewEvery)
	defer tick.Stop()
	for {
		if err := s.renewOne(ctx); err != nil && ctx.Err() == nil {
			s.log("error: %v", err)
		}
		select {
		case <-ctx.Done():
			return
		case <-tick.C:
		}
	}
}

func (s *Server) renewOne(ctx context.Context) error {
	if busy, err := s.queue.Busy(ctx); err != nil || busy {
		return err
	}
	r := &s.renewed
	r.lock.Lock()
	defer r.lock.Unlock()
	r.job = 0
	asks, err := s.shelf.Overtaken(ctx)
	if err != nil {
		return err
	}
	for i := range asks {
		key, err := s.shelf.Key(ctx, asks[i])
		if err != nil {
			return err
		}
		if r.tried[key] {
			continue
		}
		if r.tried == nil {
			r.tried = map[string]bool{}
		}
		r.tried[key] = true
		r.key = key
		if err := s.store.Seal(ctx, asks[i].Tank); err != nil { // what is forecast stays as it is
			return err
		}
		r.job, err = s.queue.Add(ctx, workForecast, key, asks[i].Tank, asks[i])
		return err
	}
	return nil
}

// work queues what somebody asked for. A forecast that is being made again by itself gives way to it, and is begun anew later.
func (s *Server) work(ctx context.Context, kind, key, tank string, args any) (int64, error) {
	id, err := s.queue.Add(ctx, kind, key, tank, args)
	if err != nil {
		return 0, err
	}
	r := &s.renewed
	r.lock.Lock()
	defer r.lock.Unlock()
	if r.job != 0 && r.job != id {
		delete(r.tried, r.key)
		err = s.queue.Cancel(ctx, r.job)
	}
	r.job = 0
	return id, err
}

// Renewing is what the server does by itself.
type Renewing struct {
	Tank string `json:"tank" doc:"tank whose forecast is being made again; empty when none is"`
	Job  int64  `json:"job" doc:"0 when none is"`
	Left int    `json:"left" doc:"forecasts that wait to be made again, this one with them"`
}

func (s *Server) renewing(ctx context.Context) (Renewing, error) {
	asks, err := s.shelf.Overtaken(ctx)
	if err != nil {
		return Renewing{}, err
	}
	r := &s.renewed
	r.lock.Lock()
	defer r.lock.Unlock()
	out := Renewing{Job: r.job}
	for i := range asks {
		key, err := s.shelf.Key(ctx, asks[i])
		if err != nil {
			return out, err
		}
		if r.job != 0 && key == r.key {
			out.Tank = asks[i].Tank
		} else if r.tried[key] {
			continue
		}
		out.Left++
	}
	if out.Tank == "" {
		out.Job = 0
	}
	return out, nil
}
