package shelf

import (
	"context"
	"errors"
	"littoral/internal/findings"
	"littoral/internal/forecast"
	"littoral/internal/light"
	"littoral/internal/papers"
	"littoral/internal/store"
	"math"
	"slices"
	"strconv"
	"sync"
)

// Light is where the light of the lamps falls on a day, at full power: on the bed and at depths, so that any section can be drawn.
type Light struct {
	Day       int             `json:"day"`
	CellsX    int             `json:"cells_x"`
	CellsY    int             `json:"cells_y"`
	LengthCM  float64         `json:"length_cm"`
	WidthCM   float64         `json:"width_cm"`
	Bed       Layer           `json:"bed" doc:"on the bed, under the leaves"`
	Empty     Layer           `json:"empty" doc:"on the bed without plants"`
	Depths    []Layer         `json:"depths" doc:"horizontal layers from the surface down"`
	Shares    []Share         `json:"shares" doc:"where the photons of the lamps go"`
	Plantings []PlantingLight `json:"plantings"`
	Classes   []Class         `json:"classes" doc:"the house's light classes on the bed"`
}

// Layer is PPFD by cells, µmol/m²/s: rows of cells_x values from the front, each from the left; -1 outside.
type Layer struct {
	DepthCM float64   `json:"depth_cm" doc:"below the surface; 0 for the bed, which has many"`
	Min     float64   `json:"min"`
	Mean    float64   `json:"mean"`
	Max     float64   `json:"max"`
	PPFD    []float64 `json:"ppfd"`
}

// Share is a part of all photons.
type Share struct {
	Where string  `json:"where"`
	Share float64 `json:"share"`
}

// PlantingLight is what a planting gets.
type PlantingLight struct {
	Planting string  `json:"planting"`
	Species  string  `json:"species"`
	Plants   float64 `json:"plants"`
	PPFD     float64 `json:"ppfd" doc:"mean over its leaves at the day's full light"`
	Top      float64 `json:"top_ppfd" doc:"at its tops"`
	DLI      float64 `json:"dli" doc:"mol/m² a day over its leaves"`
	Low      float64 `json:"wants_from" doc:"0 when the catalogue does not know"`
	High     float64 `json:"wants_to"`
	Gets     string  `json:"gets" doc:"less, enough or more; empty when that is not known"`
	Shader   string  `json:"shaded_by"`
}

// Class is a light class of the house.
type Class struct {
	Name  string  `json:"name" say:"sentence"`
	House float64 `json:"house"`
	Low   float64 `json:"low"`
	High  float64 `json:"high"`
	Mark  string  `json:"mark" say:"text" doc:"where the range is from"`
}

// Sizes of a light study, our own choice: cells of about 4 cm, and so many layers.
const (
	lightCell   = 0.04
	lightLayers = 12
)

// studying lets one light study be made at a time; each uses all cores by itself.
var studying sync.Mutex

// Light returns the light of a day of a kept forecast; days are those of the weekly snapshots.
func (s *Shelf) Light(ctx context.Context, key string, day int) (Light, error) {
	day -= day % pictureStep
	name := "light/" + strconv.Itoa(day)
	var out Light
	err := s.part(ctx, key, name, &out)
	if !errors.Is(err, store.ErrNotFound) {
		return out, err
	}
	w, err := s.Live(ctx, key)
	if err != nil {
		return out, err
	}
	if len(w.Plan.Lamps) == 0 {
		return out, errNoLamps
	}
	day = min(day, w.Forecast.Length-w.Forecast.Length%pictureStep)
	studying.Lock()
	defer studying.Unlock()
	g, err := forecast.Grow(ctx, w.Laid.Plan, day, forecast.Options{Seed: w.Ask.Seed})
	if err != nil {
		return out, err
	}
	grown, err := light.NewStudy(w.Plan, g.Model, g.Voxels, g.Canopy)
	if err != nil {
		return out, err
	}
	empty, err := light.NewStudy(w.Plan, g.Model, g.Voxels, nil)
	if err != nil {
		return out, err
	}
	t := &g.Model.Tank
	nx, ny := int(math.Ceil(t.LX/lightCell)), int(math.Ceil(t.LY/lightCell))
	out = Light{
		Day: day, CellsX: nx, CellsY: ny, LengthCM: cm(t.LX), WidthCM: cm(t.LY),
		Bed: layer(grown.Field.BedMap(nx, ny), 0), Empty: layer(empty.Field.BedMap(nx, ny), 0), Classes: []Class{},
	}
	for i := range lightLayers {
		depth := t.WaterLevel * (float64(i) + 0.5) / lightLayers
		out.Depths = append(out.Depths, layer(grown.Field.DepthMap(nx, ny, depth), depth))
	}
	b := grown.Field.Budget.Closed()
	out.Shares = []Share{
		{"beside the water", b.Missed},
		{"reflected by the surface", b.Reflected},
		{"the water", b.Water},
		{"leaves", b.Leaves},
		{"stones and wood", b.Hardscape},
		{"bed", b.Bed},
		{"out through the walls", b.Walls},
		{"back out through the surface", b.Surface},
	}
	for i := range out.Shares {
		out.Shares[i].Share = math.Round(out.Shares[i].Share*1e4) / 1e4
	}
	for _, l := range g.Plantings() {
		out.Plantings = append(out.Plantings, PlantingLight{l.Planting, l.Species, hundredth(l.Plants), tenth(l.PPFD), tenth(l.Top), hundredth(l.DLI), l.Low, l.High, l.Gets(), l.Shader})
	}
	for _, name := range []string{"low", "medium", "high"} {
		c := w.Plan.House.Light[name]
		out.Classes = append(out.Classes, Class{name, c.House, c.Low, c.High, c.Mark})
	}
	return out, s.putPart(ctx, key, name, out)
}

var errNoLamps = errors.New("the plan has no lamps; add lamps with a kind, a place and a photon flux")

func layer(m light.Map, depth float64) Layer {
	out := Layer{DepthCM: cm(depth), PPFD: make([]float64, len(m.PPFD))}
	low, mean, high := m.Stats()
	out.Min, out.Mean, out.Max = tenth(low), tenth(mean), tenth(high)
	for i, v := range m.PPFD {
		out.PPFD[i] = -1
		if m.Inside[i] {
			out.PPFD[i] = tenth(v)
		}
	}
	return out
}

func (s *Shelf) putPart(ctx context.Context, key, name string, v any) error {
	b, err := packed(v)
	if err != nil {
		return err
	}
	return s.Store.PutPart(ctx, key, store.Part{Name: name, Type: "application/json", Data: b})
}

// Members forecasts a kept forecast's plan many times with other values of the uncertain numbers, and keeps the bands.
func (s *Shelf) Members(ctx context.Context, key string, members int, tell func(done, total int)) error {
	w, err := s.Live(ctx, key)
	if err != nil {
		return err
	}
	b, err := forecast.RunMany(ctx, w.Laid.Plan, forecast.Options{Days: w.Ask.Days, Seed: w.Ask.Seed, Progress: tell}, members)
	if err != nil {
		return err
	}
	return s.putPart(ctx, key, partBands, papers.Bands(b))
}

// Bands returns what many members say together; ErrNotFound before they were run.
func (s *Shelf) Bands(ctx context.Context, key string) (papers.BandsJSON, error) {
	var b papers.BandsJSON
	err := s.part(ctx, key, partBands, &b)
	return b, err
}

// Tried is what a cure changes.
type Tried struct {
	Finding string `json:"finding" doc:"id of the finding"`
	Says    string `json:"says" say:"text" doc:"what the cure changed when the plan was forecast again with it; empty when no program can apply it"`
}

// Tries are the cures that were tried on a forecast.
type Tries struct {
	Tried []Tried `json:"tried"`
}

// trying keeps two cures of one forecast from writing over each other's words.
var trying sync.Mutex

// Try forecasts a kept forecast's plan again with the cure of one finding, or of the gravest dozen when finding is empty, and keeps what
// it says.
func (s *Shelf) Try(ctx context.Context, key, finding string, tell func(done, total int)) error {
	w, err := s.Live(ctx, key)
	if err != nil {
		return err
	}
	found, most := slices.Clone(w.Findings), 12
	if finding != "" {
		at := slices.IndexFunc(found, func(x findings.Finding) bool { return x.ID == finding })
		if at < 0 {
			return store.ErrNotFound
		}
		found[0], found[at] = found[at], found[0]
		most = 1
	}
	tried, err := findings.Try(ctx, w.Forecast, found, forecast.Options{Days: w.Ask.Days, Seed: w.Ask.Seed, Keep: keepDays}, most, tell)
	if err != nil {
		return err
	}
	trying.Lock()
	defer trying.Unlock()
	have, err := s.Tries(ctx, key)
	if err != nil {
		return err
	}
	for i := range tried {
		if tried[i].Tried == "" && tried[i].ID != finding {
			continue
		}
		have.Tried = slices.DeleteFunc(have.Tried, func(t Tried) bool { return t.Finding == tried[i].ID })
		have.Tried = append(have.Tried, Tried{tried[i].ID, tried[i].Tried})
	}
	return s.putPart(ctx, key, partTries, have)
}

// Tries returns the cures that were tried on a kept forecast.
func (s *Shelf) Tries(ctx context.Context, key string) (Tries, error) {
	t := Tries{Tried: []Tried{}}
	err := s.part(ctx, key, partTries, &t)
	if errors.Is(err, store.ErrNotFound) {
		err = nil
	}
	return t, err
}

// Papers returns the files of the report folder of a kept forecast, with bands and cures where they were run.
func (s *Shelf) Papers(ctx context.Context, key, made string) ([]papers.File, error) {
	w, err := s.Live(ctx, key)
	if err != nil {
		return nil, err
	}
	tries, err := s.Tries(ctx, key)
	if err != nil {
		return nil, err
	}
	found := slices.Clone(w.Findings)
	for i := range found {
		for _, t := range tries.Tried {
			if t.Finding == found[i].ID {
				found[i].Tried = t.Says
			}
		}
	}
	return papers.Build(w.Forecast, found, papers.Options{Made: made})
}

// Sources are the uncertain numbers of the engine that belong to no species and no material, with their ranges and sources.
type Sources struct {
	Numbers []Number `json:"numbers"`
}

// Number is one of them.
type Number struct {
	Name   string  `json:"name" say:"text"`
	Unit   string  `json:"unit" say:"text"`
	Value  float64 `json:"value"`
	Min    float64 `json:"min"`
	Max    float64 `json:"max"`
	Source string  `json:"source" say:"text"`
}

// Reasons lists them.
func Reasons() Sources {
	out := Sources{Numbers: []Number{}}
	for _, p := range forecast.Parameters() {
		out.Numbers = append(out.Numbers, Number{p.Name, p.Unit, p.Value, p.Min, p.Max, p.Source})
	}
	return out
}
