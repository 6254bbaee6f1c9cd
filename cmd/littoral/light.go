package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"

	"littoral/internal/forecast"
	"littoral/internal/geometry"
	"littoral/internal/light"
	"littoral/internal/plan"
	"littoral/internal/unit"
)

type lightCommand struct {
	Plan  string `arg:"" help:"The plan, a YAML file."`
	At    string `default:"substrate" placeholder:"LEVEL" help:"Where the light is wanted: substrate, surface (above the water), or a depth below the surface such as \"30 cm\"."`
	Cells string `default:"9x9" placeholder:"NXxNY" help:"Cells of the map along the length and the width."`
	Day   int    `default:"-1" placeholder:"N" help:"The tank as grown on day N; without it the tank has no plants."`
	Seed  uint64 `default:"1" help:"Seed of the forecast to day N."`
	JSON  bool   `name:"json" help:"Write the map and the shares of photons as one JSON object to standard output."`

	nx, ny int
	depth  float64 // m; used when At is a depth
}

func (lightCommand) Help() string {
	return `Solves the light of the plan's lamps at full power and writes a map of the photosynthetic photon flux density (PPFD, µmol m⁻² s⁻¹ through a
level square metre): what comes down on bed or bottom, or at a depth. Beside it stands where the lamps' photons go.

Water that the plan does not describe under "optics:" is that of a settled planted tank.

Examples:

  littoral light plan.yaml
  littoral light plan.yaml --at "30 cm" --cells 12x6
  littoral light plan.yaml --day 180
  littoral light plan.yaml --json`
}

// mostCells bounds the map along each side.
const mostCells = 500

// Validate is called by kong after parsing.
func (c *lightCommand) Validate() error {
	nx, ny, ok := strings.Cut(strings.ToLower(strings.ReplaceAll(c.Cells, "×", "x")), "x")
	var errX, errY error
	c.nx, errX = strconv.Atoi(strings.TrimSpace(nx))
	c.ny, errY = strconv.Atoi(strings.TrimSpace(ny))
	if !ok || errX != nil || errY != nil || c.nx < 1 || c.ny < 1 || c.nx > mostCells || c.ny > mostCells {
		return fmt.Errorf("--cells %q is not two numbers of 1 to %d; write 9x9", c.Cells, mostCells)
	}
	if c.At != "substrate" && c.At != "surface" {
		text := c.At
		if _, err := strconv.ParseFloat(strings.TrimSpace(text), 64); err == nil {
			text += " cm"
		}
		depth, err := unit.Parse(unit.KindLength, text)
		if err != nil || !(depth >= 0) {
			return fmt.Errorf("--at %q is neither substrate nor surface nor a depth below the surface, such as \"30 cm\"", c.At)
		}
		c.depth = depth
	}
	if c.Day < -1 || c.Day > mostDays {
		return fmt.Errorf("--day %d is outside 0 to %d", c.Day, mostDays)
	}
	return nil
}

func (c *lightCommand) Run(ctx context.Context, p Program) error {
	read, err := plan.Load(c.Plan)
	if err != nil {
		return err
	}
	if len(read.Warnings) > 0 {
		fmt.Fprintln(p.Err, read.Warnings.Error())
	}
	if len(read.Lamps) == 0 {
		return fmt.Errorf("%s has no lamps; add lamps: with a kind, a place and a photon flux", c.Plan)
	}
	var canopy *light.Canopy
	var model *geometry.Model
	var voxels *geometry.Voxels
	if c.Day < 0 {
		if model, err = geometry.Build(read, geometry.Options{Seed: c.Seed}); err != nil {
			return fmt.Errorf("%s: %w", c.Plan, err)
		}
		voxels = light.Voxels(model)
	} else {
		bar := p.progress("forecast", c.Day)
		model, voxels, canopy, err = forecast.Grown(ctx, read, c.Day, forecast.Options{Seed: c.Seed, Progress: bar.at})
		bar.end()
		if err != nil {
			if errors.Is(err, context.Canceled) {
				return context.Cause(ctx)
			}
			return fmt.Errorf("%s: %w", c.Plan, err)
		}
	}
	if c.depth > model.Tank.WaterLevel {
		return fmt.Errorf("--at %s is deeper than the water, which is %.4g cm deep", c.At, 100*model.Tank.WaterLevel)
	}
	study, err := light.NewStudy(read, model, voxels, canopy)
	if err != nil {
		return fmt.Errorf("%s: %w", c.Plan, err)
	}
	var m light.Map
	switch c.At {
	case "substrate":
		m = study.Field.BedMap(c.nx, c.ny)
	case "surface":
		m = study.Field.SurfaceMap(c.nx, c.ny)
	default:
		m = study.Field.DepthMap(c.nx, c.ny, c.depth)
	}
	if c.JSON {
		return p.json(c.outcome(m, study))
	}
	c.tell(p.Out, m, study)
	return nil
}

// litMap is the map for scripts.
type litMap struct {
	At         string             `json:"at"`
	DepthCM    *float64           `json:"depth_cm,omitempty"`
	Day        *int               `json:"day,omitempty"`
	CellsX     int                `json:"cells_x"`
	CellsY     int                `json:"cells_y"`
	Min        float64            `json:"ppfd_min"`
	Mean       float64            `json:"ppfd_mean"`
	Max        float64            `json:"ppfd_max"`
	Uniformity float64            `json:"uniformity"`
	Emitted    float64            `json:"emitted_umol_s"`
	Cells      []litCell          `json:"cells"`
	Fractions  map[string]float64 `json:"fractions"`
}

// litCell is one cell: its centre and the PPFD averaged over it, µmol m⁻² s⁻¹.
type litCell struct {
	X    float64 `json:"x_cm"`
	Y    float64 `json:"y_cm"`
	PPFD float64 `json:"ppfd"`
}

func (c *lightCommand) outcome(m light.Map, s *light.Study) litMap {
	out := litMap{At: c.At, CellsX: m.NX, CellsY: m.NY, Cells: []litCell{}, Fractions: map[string]float64{}}
	if c.At != "substrate" && c.At != "surface" {
		depth := 100 * c.depth
		out.DepthCM = &depth
	}
	if c.Day >= 0 {
		out.Day = &c.Day
	}
	out.Min, out.Mean, out.Max = m.Stats()
	if out.Mean > 0 {
		out.Uniformity = out.Min / out.Mean
	}
	for _, src := range s.Sources {
		out.Emitted += src.Flux
	}
	for iy := range m.NY {
		for ix := range m.NX {
			if i := iy*m.NX + ix; m.Inside[i] {
				out.Cells = append(out.Cells, litCell{
					X: round(100*m.LX*(float64(ix)+0.5)/float64(m.NX), 1e6), Y: round(100*m.LY*(float64(iy)+0.5)/float64(m.NY), 1e6),
					PPFD: round(m.PPFD[i], 1e6),
				})
			}
		}
	}
	for _, share := range shares(s.Field.Budget) {
		if share.always || share.value > 0 {
			out.Fractions[share.key] = share.value
		}
	}
	return out
}

// round keeps the binary dust of a sum out of the output.
func round(x, steps float64) float64 { return math.Round(x*steps) / steps }

// share is where photons go.
type share struct {
	key, words string
	value      float64
	always     bool
}

func shares(b light.Budget) []share {
	b = b.Closed()
	return []share{
		{"missing_surface", "miss the water", b.Missed, true},
		{"reflected_at_surface", "reflected by the surface", b.Reflected, true},
		{"absorbed_in_water", "absorbed by the water", b.Water, true},
		{"lost_through_walls", "lost through the walls", b.Walls, true},
		{"lost_through_surface", "back out through the surface", b.Surface, true},
		{"absorbed_by_bottom", "absorbed by the bottom", b.Bed, true},
		{"absorbed_by_leaves", "absorbed by leaves", b.Leaves, false},
		{"absorbed_by_hardscape", "absorbed by stones and wood", b.Hardscape, false},
	}
}

func (c *lightCommand) tell(w io.Writer, m light.Map, s *light.Study) {
	where := map[string]string{"substrate": "on the substrate", "surface": "on the water"}[c.At]
	if where == "" {
		where = fmt.Sprintf("%.4g cm under the surface", 100*c.depth)
	}
	when := "without plants"
	if c.Day >= 0 {
		when = fmt.Sprintf("on day %d", c.Day)
	}
	least, mean, most := m.Stats()
	uniformity := 0.0
	if mean > 0 {
		uniformity = least / mean
	}
	fmt.Fprintf(w, "Light %s, %s, lamps at full power, µmol m⁻² s⁻¹:\n", where, when)
	fmt.Fprintf(w, "lowest %.0f, mean %.0f, highest %.0f; lowest over mean %.2f.\n\n", least, mean, most, uniformity)
	fmt.Fprintf(w, "%8s", "y\\x cm")
	for ix := range m.NX {
		fmt.Fprintf(w, "%7.4g", 100*m.LX*(float64(ix)+0.5)/float64(m.NX))
	}
	fmt.Fprintln(w)
	for iy := m.NY - 1; iy >= 0; iy-- {
		fmt.Fprintf(w, "%8.4g", 100*m.LY*(float64(iy)+0.5)/float64(m.NY))
		for ix := range m.NX {
			if i := iy*m.NX + ix; m.Inside[i] {
				fmt.Fprintf(w, "%7.0f", m.PPFD[i])
			} else {
				fmt.Fprintf(w, "%7s", "")
			}
		}
		fmt.Fprintln(w)
	}
	fmt.Fprint(w, "\nOf all photons of the lamps:\n")
	for _, share := range shares(s.Field.Budget) {
		if share.always || share.value > 0 {
			fmt.Fprintf(w, "%6.1f %%  %s\n", 100*share.value, share.words)
		}
	}
}
