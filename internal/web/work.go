package web

import (
	"context"
	"encoding/json"
	"littoral/internal/forecast"
	"littoral/internal/jobs"
	"littoral/internal/shelf"
)

const threeYears = forecast.ThreeYears

// Names of long work.
const workForecast = "forecast"

// worked is what long work leaves: the key under which its forecast is kept.
type worked struct {
	Key string `json:"key"`
}

// Works are the kinds of long work that a queue does for a server of the shelf.
func Works(sh *shelf.Shelf) map[string]jobs.Work {
	return map[string]jobs.Work{
		workForecast: func(ctx context.Context, args json.RawMessage, tell jobs.Tell) (any, error) {
			var a shelf.Ask
			if err := json.Unmarshal(args, &a); err != nil {
				return nil, err
			}
			key, err := sh.Run(ctx, a, func(done, total int) { tell(done, total+1, "forecasting") })
			if err != nil {
				return nil, err
			}
			tell(a.Days+1, a.Days+2, "drawing")
			return worked{key}, sh.Prepare(ctx, key)
		},
	}
}
