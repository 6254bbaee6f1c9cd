package shelf

import (
	"context"
	"fmt"
	"littoral/internal/draft"
	"littoral/internal/sheets"
	"littoral/internal/store"
)

// revisionDrawn builds a revision of a tank's plan; 0 is the one in force. The words say which one it is.
func (s *Shelf) revisionDrawn(ctx context.Context, tank string, number int) (*draft.Draft, string, error) {
	if number == 0 {
		t, err := s.Store.Tank(ctx, tank)
		if err != nil {
			return nil, "", err
		}
		number = t.Current
	}
	r, err := s.Store.Revision(ctx, tank, number)
	if err != nil {
		return nil, "", err
	}
	d, err := s.drawn(ctx, &r)
	if err != nil {
		return nil, "", err
	}
	return d.draft, revisionWords(&r), nil
}

// printed is revisionDrawn for paper that names the revision: what is drawn from now on is another.
func (s *Shelf) printed(ctx context.Context, tank string, number int) (*draft.Draft, string, error) {
	if err := s.Store.Seal(ctx, tank); err != nil {
		return nil, "", err
	}
	return s.revisionDrawn(ctx, tank, number)
}

func revisionWords(r *store.Revision) string {
	words := fmt.Sprintf("revision %d", r.Number)
	if r.Name != "" {
		words += ", " + r.Name
	}
	return words
}

// Sheets draws a revision of the plan on paper; 0 is the one in force. Wishes that cannot be met are Unfit.
func (s *Shelf) Sheets(ctx context.Context, tank string, number int, o sheets.Options) ([]*sheets.Page, error) {
	d, words, err := s.printed(ctx, tank, number)
	if err != nil {
		return nil, err
	}
	o.Revision = words
	pages, err := sheets.Draw(d, o)
	return pages, unfit(err)
}

// PlantingMap draws the map for the crew.
func (s *Shelf) PlantingMap(ctx context.Context, tank string, number int, o sheets.MapOptions) ([]*sheets.Page, error) {
	d, words, err := s.printed(ctx, tank, number)
	if err != nil {
		return nil, err
	}
	o.Revision = words
	pages, err := sheets.PlantingMap(d, o)
	return pages, unfit(err)
}

// CutAlong draws a section by itself.
func (s *Shelf) CutAlong(ctx context.Context, tank string, number int, line [2][2]float64, plants bool) (*sheets.Page, error) {
	d, _, err := s.revisionDrawn(ctx, tank, number)
	if err != nil {
		return nil, err
	}
	page, err := sheets.CutAlong(d, line, plants)
	return page, unfit(err)
}

// Revised is what is not the same in two revisions of a plan.
type Revised struct {
	From    string              `json:"from" doc:"the first revision in words"`
	To      string              `json:"to"`
	Changes []draft.BoardChange `json:"changes" doc:"the tank and its bed first, then hardscape, plants, lamps and filters"`
}

// Revised compares two revisions of a plan; 0 is the one in force.
func (s *Shelf) Revised(ctx context.Context, tank string, from, to int) (Revised, error) {
	a, first, err := s.revisionDrawn(ctx, tank, from)
	if err != nil {
		return Revised{}, err
	}
	b, second, err := s.revisionDrawn(ctx, tank, to)
	if err != nil {
		return Revised{}, err
	}
	return Revised{From: first, To: second, Changes: draft.Compare(a, b)}, nil
}

// RevisedSheets draws what is not the same in two revisions.
func (s *Shelf) RevisedSheets(ctx context.Context, tank string, from, to int, paper string) ([]*sheets.Page, error) {
	a, first, err := s.revisionDrawn(ctx, tank, from)
	if err != nil {
		return nil, err
	}
	b, second, err := s.revisionDrawn(ctx, tank, to)
	if err != nil {
		return nil, err
	}
	pages, err := sheets.Compare(a, b, sheets.Options{Paper: paper}, first, second)
	return pages, unfit(err)
}

func unfit(err error) error {
	if err == nil {
		return nil
	}
	return Unfit{err.Error()}
}
