package shelf

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"littoral/internal/draft"
	"littoral/internal/plan"
	"littoral/internal/store"
	"reflect"
	"slices"
	"sync"
	"unsafe"
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
	lamp  sync.Mutex // held while light is solved
	lock  sync.Mutex
	order []*drawn // latest last
}

// drawn is a text with what it describes.
type drawn struct {
	tank    string
	version string
	ways    Ways
	files   []store.File
	draft   *draft.Draft
	text    *draft.Text // nil where the text cannot be edited in place
	once    sync.Once   // lays the board out
	board   draft.Board // without notes

	noting  sync.Mutex
	noted   []draft.BoardNote
	settled bool

	untouchable error // why it cannot

	lighting *lighting
	older    *draft.Lit // the light of the draft before, until its own is known
}

// lighting is the light of a tank's lamps in the making.
type lighting struct {
	done chan struct{}
	lit  *draft.Lit
}

// lit is the light as far as it is known: waiting for it if so asked.
func (d *drawn) lit(wait bool) *draft.Lit {
	if wait {
		<-d.lighting.done
	}
	select {
	case <-d.lighting.done:
		return d.lighting.lit
	default:
		return d.older
	}
}

// mostDrawn is how many built plans are held in memory; each takes some MB.
const mostDrawn = 8

func (b *boards) get(tank, version string, ways Ways) *drawn {
	b.lock.Lock()
	defer b.lock.Unlock()
	for i, d := range b.order {
		if d.tank == tank && d.version == version && d.ways == ways {
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

// drop forgets what waits for no light of its own, so that going back to it builds it anew.
func (b *boards) drop(of *lighting) {
	b.lock.Lock()
	defer b.lock.Unlock()
	b.order = slices.DeleteFunc(b.order, func(d *drawn) bool { return d.lighting == of })
}

// latest tells whether nothing of the tank with another light was built after d.
func (b *boards) latest(d *drawn) bool {
	b.lock.Lock()
	defer b.lock.Unlock()
	for i := len(b.order) - 1; i >= 0; i-- {
		if b.order[i].tank == d.tank {
			return b.order[i].lighting == d.lighting
		}
	}
	return true
}

// version names a text with the files beside it.
func version(r *store.Revision) string {
	sum := sha256.Sum256([]byte(r.Sum))
	return hex.EncodeToString(sum[:])[:20]
}

// boardSeed keys what plans leave to chance on the board: that of the forecasts that are asked for.
const boardSeed = 1

// Board returns the plan in force of a tank as it is drawn.
func (s *Shelf) Board(ctx context.Context, tank string) (*Board, error) {
	r, err := s.Store.InForce(ctx, tank)
	if err != nil {
		return nil, err
	}
	d, err := s.drawn(ctx, &r)
	if err != nil {
		return nil, err
	}
	return s.shown(ctx, &r, d)
}

func (s *Shelf) shown(ctx context.Context, r *store.Revision, d *drawn) (*Board, error) {
	undo, redo, err := s.Store.Steps(ctx, r.Tank)
	if err != nil {
		return nil, err
	}
	d.once.Do(func() { d.board = d.draft.Board() })
	board := d.board
	board.Notes = d.notes()
	return &Board{Version: d.version, Revision: r.Number, Text: r.Plan, Warnings: d.draft.Plan.Warnings, Undo: undo.Label, Redo: redo.Label, Drawn: board}, nil
}

// notes are what the engine says of the whole plan. They are kept once its own light is known.
func (d *drawn) notes() []draft.BoardNote {
	d.noting.Lock()
	defer d.noting.Unlock()
	if d.settled {
		return d.noted
	}
	lit := d.lit(d.older == nil)
	select {
	case <-d.lighting.done:
		lit, d.settled = d.lighting.lit, true
	default:
	}
	d.noted = d.draft.Look(nil, lit)
	return d.noted
}

// drawn builds a revision of the plan, unless that is in memory.
func (s *Shelf) drawn(ctx context.Context, r *store.Revision) (*drawn, error) {
	ways, err := s.Ways(ctx)
	if err != nil {
		return nil, err
	}
	v := version(r)
	if d := s.boards.get(r.Tank, v, ways); d != nil {
		return d, nil
	}
	files := r.Files
	if files == nil {
		whole, err := s.Store.Revision(ctx, r.Tank, r.Number)
		if err != nil {
			return nil, err
		}
		files = whole.Files
	}
	return s.build(r, files, ways, nil)
}

// build reads and builds a text. before is what it was drawn from, whose bodies are used again where they are the same; it may be nil.
func (s *Shelf) build(r *store.Revision, files []store.File, ways Ways, before *drawn) (*drawn, error) {
	var read *plan.Plan
	if before != nil && slices.EqualFunc(files, before.files, func(a, b store.File) bool {
		return a.Name == b.Name && len(a.Data) == len(b.Data) && unsafe.SliceData(a.Data) == unsafe.SliceData(b.Data)
	}) {
		read = before.draft.Plan
	}
	p, err := parse(r.Plan, files, ways, read)
	if err != nil {
		return nil, err
	}
	d := &drawn{tank: r.Tank, version: version(r), ways: ways, files: files}
	d.text, d.untouchable = draft.NewText(p)
	p.Source.Tree = nil
	var from *draft.Draft
	if before != nil {
		from = before.draft
	}
	if d.draft, err = draft.Open(p, boardSeed, from); err != nil {
		return nil, &draft.Refusal{Message: err.Error(), Cure: "take the last change back, or mend this in the text"}
	}
	if from != nil && from.Model == d.draft.Model && reflect.DeepEqual(from.Plan.Lamps, p.Lamps) && reflect.DeepEqual(from.Plan.LightDay, p.LightDay) && reflect.DeepEqual(from.Plan.Optics, p.Optics) {
		d.lighting, d.older = before.lighting, before.older
		s.boards.put(d)
		return d, nil
	}
	d.lighting = &lighting{done: make(chan struct{})}
	if before != nil {
		d.older = before.lit(false)
	}
	s.boards.put(d)
	go func() { // one at a time, and none for a tank that has been drawn on since
		defer close(d.lighting.done)
		s.boards.lamp.Lock()
		defer s.boards.lamp.Unlock()
		if before != nil && !s.boards.latest(d) {
			d.lighting.lit = d.older
			s.boards.drop(d.lighting)
			return
		}
		d.lighting.lit = d.draft.Light()
	}()
	return d, nil
}

// ErrStale says that a change was made on a version of the plan that is no longer in force.
type ErrStale struct {
	Revision int
	Version  string
}

func (e ErrStale) Error() string {
	return "the plan was changed in another window since this one read it"
}

// change makes a change of the plan in force of a tank that was made on a version of it.
func (s *Shelf) change(ctx context.Context, tank, on, author, label string, to func(d *drawn, r *store.Revision) (text string, files []store.File, step store.Step, err error)) (*Board, error) {
	one := s.live.one("board " + tank)
	one.Lock()
	defer one.Unlock()
	r, err := s.Store.InForce(ctx, tank)
	if err != nil {
		return nil, err
	}
	if v := version(&r); v != on {
		return nil, ErrStale{r.Number, v}
	}
	d, err := s.drawn(ctx, &r)
	if err != nil {
		return nil, err
	}
	text, files, step, err := to(d, &r)
	if err != nil {
		return nil, err
	}
	if text == r.Plan && files == nil && step.Number == 0 {
		return s.shown(ctx, &r, d)
	}
	if step.Number == 0 && text != r.Plan {
		p := draft.Between(r.Plan, text)
		step = store.Step{Label: label, At: p.At, Old: p.Old, New: p.New}
	}
	beside := files
	if beside == nil {
		beside = d.files
	}
	next := r
	next.Plan, next.Sum, next.Author, next.Made = text, Sum(text, beside), author, s.Now().UTC()
	built, err := s.build(&next, beside, d.ways, d)
	if err != nil {
		return nil, err
	}
	p := built.draft.Plan
	kept, err := s.Store.DrawPlan(ctx, store.Drawing{
		Tank: tank, Plan: text, Sum: next.Sum, Author: author, Made: next.Made, Was: r.Sum, Title: p.Name, Planted: p.Planted, Files: files, Step: step,
	})
	var moved store.Moved
	if errors.As(err, &moved) {
		return nil, ErrStale{Revision: moved.Last}
	}
	if err != nil {
		return nil, err
	}
	return s.shown(ctx, &kept, built)
}

// Edit makes edits of the plan in force as one step. on is the version that they were made on; ErrStale when that is no longer in force, plan.Problems when
// the text would no longer be a plan, and a draft.Refusal when an edit cannot be made: then nothing has changed.
func (s *Shelf) Edit(ctx context.Context, tank, on, author, label string, edits []draft.Edit) (*Board, error) {
	return s.change(ctx, tank, on, author, label, func(d *drawn, _ *store.Revision) (string, []store.File, store.Step, error) {
		if d.untouchable != nil {
			return "", nil, store.Step{}, d.untouchable
		}
		after, _, err := d.text.Apply(edits)
		if err != nil {
			return "", nil, store.Step{}, err
		}
		return after.String(), nil, store.Step{}, nil
	})
}

// Write puts a typed text in the place of the plan in force, as one step.
func (s *Shelf) Write(ctx context.Context, tank, on, author, label, text string) (*Board, error) {
	return s.change(ctx, tank, on, author, label, func(*drawn, *store.Revision) (string, []store.File, store.Step, error) {
		return text, nil, store.Step{}, nil
	})
}

// Undo takes the last step back, and Redo does again what was taken back last. Without one the plan stays as it is.
func (s *Shelf) Undo(ctx context.Context, tank, on, author string) (*Board, error) {
	return s.step(ctx, tank, on, author, true)
}

// Redo is described at Undo.
func (s *Shelf) Redo(ctx context.Context, tank, on, author string) (*Board, error) {
	return s.step(ctx, tank, on, author, false)
}

func (s *Shelf) step(ctx context.Context, tank, on, author string, back bool) (*Board, error) {
	return s.change(ctx, tank, on, author, "", func(_ *drawn, r *store.Revision) (string, []store.File, store.Step, error) {
		undo, redo, err := s.Store.Steps(ctx, tank)
		if err != nil {
			return "", nil, store.Step{}, err
		}
		turn := redo
		if back {
			turn = undo
		}
		p := draft.Patch{At: turn.At, Old: turn.Old, New: turn.New}
		if back {
			p = p.Inverse()
		}
		if turn.Number == 0 {
			return r.Plan, nil, store.Step{}, nil
		}
		text, ok := p.Apply(r.Plan)
		if !ok {
			return "", nil, store.Step{}, &draft.Refusal{Message: "the plan was saved otherwise since this step", Cure: "open an earlier revision on the plan's page"}
		}
		return text, nil, turn, nil
	})
}
