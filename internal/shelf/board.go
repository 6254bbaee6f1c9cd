package shelf

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"littoral/internal/draft"
	"littoral/internal/plan"
	"littoral/internal/store"
	"slices"
	"sync"
)

// Board is a tank's plan on the drawing board.
type Board struct {
	Version    string // of the text
	Revision   int    // of the plan that holds it
	Text       string
	Warnings   plan.Problems
	Undo, Redo string // what can be taken back and done again; empty when nothing can
	Drawn      draft.Board
}

// boards holds the plans that were drawn on last, built, by tank.
type boards struct {
	lock  sync.Mutex
	order []*drawn // latest last
}

// drawn is a text with what it describes.
type drawn struct {
	tank    string
	version string
	units   string
	draft   *draft.Draft
	board   draft.Board
}

// mostDrawn is how many built plans are held in memory; each takes some MB.
const mostDrawn = 8

func (b *boards) get(tank, version, units string) *drawn {
	b.lock.Lock()
	defer b.lock.Unlock()
	for i, d := range b.order {
		if d.tank == tank && d.version == version && d.units == units {
			b.order = append(slices.Delete(b.order, i, i+1), d)
			return d
		}
	}
	return nil
}

func (b *boards) put(d *drawn) {
	b.lock.Lock()
	defer b.lock.Unlock()
	b.order = append(b.order, d)
	if len(b.order) > mostDrawn {
		b.order = slices.Delete(b.order, 0, len(b.order)-mostDrawn)
	}
}

// version names a text with the files beside it.
func version(r *store.Revision) string {
	sum := sha256.Sum256([]byte(r.Sum + "\n" + r.Plan))
	return hex.EncodeToString(sum[:])[:20]
}

// boardSeed keys what plans leave to chance on the board: that of the forecasts that are asked for.
const boardSeed = 1

// Board returns the plan in force of a tank as it is drawn.
func (s *Shelf) Board(ctx context.Context, tank string) (*Board, error) {
	t, err := s.Store.Tank(ctx, tank)
	if err != nil {
		return nil, err
	}
	r, err := s.Store.Revision(ctx, tank, t.Current)
	if err != nil {
		return nil, err
	}
	d, err := s.drawn(ctx, &r)
	if err != nil {
		return nil, err
	}
	return &Board{Version: d.version, Revision: r.Number, Text: r.Plan, Warnings: d.draft.Plan.Warnings, Drawn: d.board}, nil
}

// drawn builds a revision of the plan, unless that is in memory.
func (s *Shelf) drawn(ctx context.Context, r *store.Revision) (*drawn, error) {
	units, err := s.Store.Setting(ctx, SettingUnits)
	if err != nil {
		return nil, err
	}
	v := version(r)
	if d := s.boards.get(r.Tank, v, units); d != nil {
		return d, nil
	}
	p, err := Parse(r.Plan, r.Files, units)
	if err != nil {
		return nil, err
	}
	built, err := draft.Open(p, boardSeed)
	if err != nil {
		return nil, err
	}
	d := &drawn{tank: r.Tank, version: v, units: units, draft: built, board: built.Board()}
	s.boards.put(d)
	return d, nil
}
