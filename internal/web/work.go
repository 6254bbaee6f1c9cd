package web

import (
	"context"
	"encoding/json"
	"littoral/internal/jobs"
	"littoral/internal/shelf"
)

// Names of long work.
const (
	workForecast = "forecast"
	workMembers  = "members"
	workTries    = "tries"
	workAnimate  = "animation"
)

// worked is what long work leaves: the key under which its forecast is kept.
type worked struct {
	Key string `json:"key"`
}

type membersArgs struct {
	Key     string `json:"key"`
	Members int    `json:"members"`
}

type triesArgs struct {
	Key     string `json:"key"`
	Finding string `json:"finding"`
}

type animateArgs struct {
	Key     string        `json:"key"`
	Picture shelf.Picture `json:"picture"`
}

// Works are the kinds of long work that a queue does for a server of the shelf.
func Works(sh *shelf.Shelf) map[string]jobs.Work {
	return map[string]jobs.Work{
		workForecast: work(func(ctx context.Context, a shelf.Ask, tell jobs.Tell) (string, error) {
			key, err := sh.Run(ctx, a, func(done, total int) { tell(done, total+1, "forecasting") })
			if err != nil {
				return "", err
			}
			tell(a.Days+1, a.Days+2, "drawing")
			return key, sh.Prepare(ctx, key)
		}),
		workMembers: work(func(ctx context.Context, a membersArgs, tell jobs.Tell) (string, error) {
			return a.Key, sh.Members(ctx, a.Key, a.Members, func(done, total int) { tell(done, total, "forecasting members") })
		}),
		workTries: work(func(ctx context.Context, a triesArgs, tell jobs.Tell) (string, error) {
			return a.Key, sh.Try(ctx, a.Key, a.Finding, func(done, total int) { tell(done, total, "forecasting with cures") })
		}),
		workAnimate: work(func(ctx context.Context, a animateArgs, tell jobs.Tell) (string, error) {
			return a.Key, sh.Animate(ctx, a.Key, a.Picture, func(done, total int) { tell(done, total, "drawing") })
		}),
	}
}

// work reads the arguments of a kind of work.
func work[A any](do func(ctx context.Context, a A, tell jobs.Tell) (key string, err error)) jobs.Work {
	return func(ctx context.Context, raw json.RawMessage, tell jobs.Tell) (any, error) {
		var a A
		if err := json.Unmarshal(raw, &a); err != nil {
			return nil, err
		}
		key, err := do(ctx, a, tell)
		if err != nil {
			return nil, err
		}
		return worked{key}, nil
	}
}
