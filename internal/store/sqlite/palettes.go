package sqlite

import (
	"context"
	"encoding/json"
	"littoral/internal/store"
	"littoral/internal/store/sqlite/db"
)

// PutPalette implements store.Store.
func (s *DB) PutPalette(ctx context.Context, p store.Palette) error {
	list := p.Species
	if list == nil {
		list = []string{}
	}
	species, err := json.Marshal(list)
	if err != nil {
		return err
	}
	return s.q.PutPalette(ctx, db.PutPaletteParams{ID: p.ID, Name: p.Name, Species: string(species), Author: p.Author, ChangedMs: ms(p.Changed)})
}

// Palettes implements store.Store.
func (s *DB) Palettes(ctx context.Context) ([]store.Palette, error) {
	rows, err := s.q.Palettes(ctx)
	if err != nil {
		return nil, err
	}
	out := make([]store.Palette, len(rows))
	for i, r := range rows {
		out[i] = store.Palette{ID: r.ID, Name: r.Name, Author: r.Author, Changed: at(r.ChangedMs)}
		if err := json.Unmarshal([]byte(r.Species), &out[i].Species); err != nil {
			return nil, err
		}
	}
	return out, nil
}

// DeletePalette implements store.Store.
func (s *DB) DeletePalette(ctx context.Context, id string) error {
	return counted(s.q.DeletePalette(ctx, id))
}
