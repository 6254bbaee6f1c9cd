package shelf

import (
	"context"
	"littoral/internal/forecast"
	"littoral/internal/picture"
	"math"
)

// Snapshot is the standing crop and the root zone on a day.
type Snapshot struct {
	Day    int          `json:"day" doc:"day of the snapshot, the one nearest to the day asked for"`
	Plants []PlantOnDay `json:"plants"`
	CellCM float64      `json:"cell_cm" doc:"edge of a patch of the root zone"`
	Soil   []PatchOnDay `json:"soil" doc:"patches of the bed that hold roots or may"`
}

// PlantOnDay is a plant on a day.
type PlantOnDay struct {
	ID       string  `json:"id"`
	Planting string  `json:"planting"`
	Species  string  `json:"species"`
	XCM      float64 `json:"x_cm"`
	YCM      float64 `json:"y_cm"`
	ZCM      float64 `json:"z_cm" doc:"its crown over the bottom glass"`
	HeightCM float64 `json:"height_cm"`
	SpreadCM float64 `json:"spread_cm"`
	ShootG   float64 `json:"shoot_dry_g"`
	PPFD     float64 `json:"ppfd" doc:"mean over its leaves in the light hours, µmol/m²/s"`
	Top      float64 `json:"top_ppfd" doc:"at its top"`
	Shader   string  `json:"shaded_by" doc:"planting that takes most of its light; empty when none does"`
	Together float64 `json:"together" doc:"plants that stand together and are no longer told apart"`
}

// PatchOnDay is the root zone of one patch of bed.
type PatchOnDay struct {
	XCM    float64 `json:"x_cm" doc:"its middle"`
	YCM    float64 `json:"y_cm"`
	N      float64 `json:"n_mg" doc:"plant-available"`
	P      float64 `json:"p_mg"`
	K      float64 `json:"k_mg"`
	Months float64 `json:"months" doc:"of supply for what roots there; 999 where nothing draws on it"`
	Short  string  `json:"short" doc:"the nutrient that ends first"`
	PPFD   float64 `json:"ppfd" doc:"light on the bed under the leaves, in the light hours, µmol/m²/s"`
}

func hundredth(v float64) float64 { return math.Round(v*100) / 100 }

// Snapshot returns the standing crop nearest to a day of a kept forecast.
func (s *Shelf) Snapshot(ctx context.Context, key string, day int) (Snapshot, error) {
	w, err := s.Live(ctx, key)
	if err != nil {
		return Snapshot{}, err
	}
	f := w.Forecast
	snap := picture.Nearest(f, day)
	if snap == nil {
		return Snapshot{}, ErrNoDrawing
	}
	return snapshot(f, snap), nil
}

func snapshot(f *forecast.Forecast, snap *forecast.Snapshot) Snapshot {
	out := Snapshot{Day: snap.Day, CellCM: cm(f.Columns.Cell), Plants: []PlantOnDay{}, Soil: []PatchOnDay{}}
	for i := range snap.Plants {
		p := &snap.Plants[i]
		out.Plants = append(out.Plants, PlantOnDay{
			ID: p.ID, Planting: p.Planting, Species: p.Species.Name, XCM: tenth(100 * p.X), YCM: tenth(100 * p.Y), ZCM: tenth(100 * p.Z),
			HeightCM: tenth(100 * p.HeightM), SpreadCM: tenth(100 * p.SpreadM), ShootG: hundredth(p.ShootG), PPFD: tenth(p.PPFD), Top: tenth(p.TopPPFD),
			Shader: p.Shader, Together: p.Count,
		})
	}
	c := f.Columns
	for i := range snap.Soil {
		p := &snap.Soil[i]
		row := PatchOnDay{
			XCM: tenth(100 * c.Cell * (float64(p.Column%c.NX) + 0.5)), YCM: tenth(100 * c.Cell * (float64(p.Column/c.NX) + 0.5)),
			N: hundredth(p.N), P: hundredth(p.P), K: hundredth(p.K), Months: tenth(p.Months), Short: p.Short,
		}
		if p.Column < len(snap.Light) {
			row.PPFD = tenth(snap.Light[p.Column])
		}
		out.Soil = append(out.Soil, row)
	}
	return out
}
