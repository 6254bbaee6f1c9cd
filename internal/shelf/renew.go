package shelf

import (
	"context"
	"errors"
	"littoral/internal/store"
	"time"
)

// quiet is how long nobody must have written into a tank's journal before its forecast is made again by itself, our own choice: a visit is written
// line by line, and each line would begin a forecast that the next one overtakes.
const quiet = 3 * time.Minute

// Overtaken lists the forecasts that are to be made again without anybody asking: those of another version of the program, and those that the journal
// has gone past. A plan that was changed is forecast when its owner says so.
func (s *Shelf) Overtaken(ctx context.Context) ([]Ask, error) {
	tanks, err := s.Store.Tanks(ctx)
	if err != nil {
		return nil, err
	}
	counts, err := s.Store.CountEntries(ctx)
	if err != nil {
		return nil, err
	}
	last, err := s.Store.LastForecasts(ctx, partBrief)
	if err != nil {
		return nil, err
	}
	var out []Ask
	for _, t := range tanks {
		f, ok := last[t.ID]
		if !ok {
			continue
		}
		moved := counts[t.ID].Moved
		passed := f.Revision == t.Current && moved.After(f.Made) && s.Now().Sub(moved) > quiet
		if f.Engine == s.Engine && !passed {
			continue
		}
		a, err := s.asking(ctx, t.ID, 0, f.Days, false)
		if errors.Is(err, store.ErrNotFound) { // taken from the shelf meanwhile
			continue
		}
		if err != nil {
			return nil, err
		}
		out = append(out, a)
	}
	return out, nil
}
