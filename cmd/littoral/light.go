package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"littoral/internal/forecast"
	"littoral/internal/geometry"
	"littoral/internal/growth"
	"littoral/internal/light"
	"littoral/internal/papers"
	"littoral/internal/picture"
	"littoral/internal/plan"
	"littoral/internal/unit"
	"math"
	"path/filepath"
	"strconv"
	"strings"
)

type lightCommand struct {
	Plan    string `arg:"" help:"The plan, a YAML file."`
	At      string `default:"substrate" placeholder:"LEVEL" help:"Where the light is wanted: substrate, surface (above the water), or a depth below the surface such as \"30 cm\"."`
	Cells   string `default:"9x9" placeholder:"NXxNY" help:"Cells of the map along the length and the width."`
	Day     int    `default:"-1" placeholder:"N" help:"The tank as grown on day N; without it the tank has no plants."`
	Layers  bool   `help:"With --day: list the light on each planting's leaves by height too."`
	Seed    uint64 `default:"1" help:"Seed of the forecast to day N."`
	Want    string `placeholder:"PPFD" help:"Advise how many lamps like the plan's first, how high and how dimmed, give this mean on the substrate, such as \"60 µmol/m²/s\"."`
	Most    string `placeholder:"PPFD" help:"With --want: the most light just under the surface."`
	SVG     string `name:"svg" placeholder:"FILE" help:"Draw the light on the substrate with the borders of the light classes."`
	Section string `placeholder:"X1,Y1,X2,Y2" help:"With --svg: an upright section along this line on the plan instead of the map, in centimetres, with lines of equal light and what each planting gets."`
	JSON    bool   `name:"json" help:"Write the map and the shares of photons as one JSON object to standard output."`

	nx, ny     int
	depth      float64    // m; used when At is a depth
	want, most float64    // µmol m⁻² s⁻¹
	line       [4]float64 // m; used when Section is given
}

func (lightCommand) Help() string {
	return `Solves the light of the plan's lamps at full power and writes a map of the photosynthetic photon flux density (PPFD, µmol m⁻² s⁻¹ through a
level square metre): what comes down on bed or bottom, or at a depth. Beside it stands where the lamps' photons go.

Water that the plan does not describe under "optics:" is that of a settled planted tank.

Examples:

  littoral light plan.yaml
  littoral light plan.yaml --at "30 cm" --cells 12x6
  littoral light plan.yaml --day 180 --layers
  littoral light plan.yaml --day 180 --svg map.svg
  littoral light plan.yaml --day 180 --svg section.svg --section 0,30,120,30
  littoral light plan.yaml --want "60 µmol/m²/s" --most "250 µmol/m²/s"
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
	if c.Section != "" {
		if err := c.parseLine(); err != nil {
			return err
		}
	}
	for _, limit := range []struct {
		name, text string
		to         *float64
	}{{"want", c.Want, &c.want}, {"most", c.Most, &c.most}} {
		if limit.text == "" {
			continue
		}
		x, err := unit.Parse(unit.KindPPFD, limit.text)
		if err != nil || !(x > 0) {
			return fmt.Errorf("--%s %q is no light intensity above zero; write it as \"60 µmol/m²/s\"", limit.name, limit.text)
		}
		*limit.to = x
	}
	if c.most > 0 && c.want == 0 {
		return errors.New("--most limits what --want asks for; add --want")
	}
	if c.Layers && c.Day < 0 {
		return errors.New("--layers lists the light on leaves and a tank without --day has none; add --day 180 or another day")
	}
	if c.Day < -1 || c.Day > mostDays {
		return fmt.Errorf("--day %d is outside 0 to %d", c.Day, mostDays)
	}
	return nil
}

// parseLine reads the line of a section.
func (c *lightCommand) parseLine() error {
	if c.SVG == "" {
		return errors.New("--section is drawn into a file; add --svg section.svg")
	}
	parts := strings.Split(c.Section, ",")
	bad := len(parts) != 4
	for i := range min(4, len(parts)) {
		v, err := strconv.ParseFloat(strings.TrimSpace(parts[i]), 64)
		bad = bad || err != nil || !(math.Abs(v) <= 1e4)
		c.line[i] = v / 100
	}
	if bad || math.Hypot(c.line[2]-c.line[0], c.line[3]-c.line[1]) < .05 {
		return fmt.Errorf("--section %q is not a line of at least 5 cm on the plan; write its ends in centimetres from the front-left inside corner, such as 0,30,120,30", c.Section)
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
	if len(read.Lamps) == 0 && read.Daylight == nil {
		return fmt.Errorf("%s has no lamps; add lamps: with a kind, a place and a photon flux", c.Plan)
	}
	var canopy *light.Canopy
	var model *geometry.Model
	var voxels *geometry.Voxels
	var plants []forecast.PlantingLight
	var grown *forecast.Grown
	if c.Day < 0 {
		if model, err = geometry.Build(read, geometry.Options{Seed: c.Seed}); err != nil {
			return fmt.Errorf("%s: %w", c.Plan, err)
		}
		voxels = light.Voxels(model)
	} else {
		bar := p.progress("forecast", c.Day)
		grown, err = forecast.Grow(ctx, read, c.Day, forecast.Options{Seed: c.Seed, Progress: bar.at})
		bar.end()
		if err != nil {
			if errors.Is(err, context.Canceled) {
				return context.Cause(ctx)
			}
			return fmt.Errorf("%s: %w", c.Plan, err)
		}
		model, voxels, canopy, plants = grown.Model, grown.Voxels, grown.Canopy, grown.Plantings()
	}
	if c.depth > model.Tank.WaterLevel {
		return fmt.Errorf("--at %s is deeper than the water, which is %.4g cm deep", c.At, 100*model.Tank.WaterLevel)
	}
	study, err := light.NewStudy(read, model, voxels, canopy)
	if err != nil {
		return fmt.Errorf("%s: %w", c.Plan, err)
	}
	m := c.read(study.Field)
	sun := study.Day(max(c.Day, 0))
	var advice []light.Advice
	if c.want > 0 && len(study.Sources) == 0 {
		return fmt.Errorf("%s has no lamps that --want could advise on; add one under lamps", c.Plan)
	}
	if c.want > 0 {
		wish := light.Wish{Ground: c.want, Top: c.most, Bed: meanBed(voxels)}
		advice = light.Advise(study.Sources[0], model.Tank, study.Water, wish)
	}
	if c.SVG != "" {
		if err := c.draw(read, model, study, grown); err != nil {
			return err
		}
		p.say("the light is drawn in %s", c.SVG)
	}
	if c.JSON {
		out := c.outcome(m, study)
		out.Daylight = c.daylit(m, sun)
		if bands := c.bands(m, study); bands != nil {
			out.Bands = map[string]float64{}
			for b, share := range bands {
				out.Bands[light.Band(b).String()] = round(share, 1e6)
			}
		}
		out.Advice = hung(advice, read)
		for _, l := range plants {
			lit := litPlanting{
				Planting: l.Planting, Species: l.Species, Plants: l.Plants, PPFD: round(l.PPFD, 100), Top: round(l.Top, 100), DLI: round(l.DLI, 1000), Share: round(l.Share, 1000),
				OfFull: round(l.OfFull, 1000), Low: l.Low, High: l.High, Gets: l.Gets(), Shade: round(l.Shade, 1000), Shader: l.Shader, Takes: round(l.Takes, 1000), Layers: []litLayer{},
			}
			for _, leaf := range grown.LayersOf(l.Planting) {
				lit.Layers = append(lit.Layers, litLayer{
					Low: round(100*leaf.Low, 100), High: round(100*leaf.High, 100), Leaf: round(1e4*leaf.LeafM2, 10), PPFD: round(leaf.PPFD, 100), DLI: round(grown.DLI(leaf.PPFD), 1000), OfFull: round(ofFull(leaf), 1000),
				})
			}
			out.Plantings = append(out.Plantings, lit)
		}
		if grown != nil {
			for _, share := range grown.Hours {
				out.Hours = append(out.Hours, round(share, 1000))
			}
		}
		return p.json(out)
	}
	c.tell(p.Out, m, study)
	c.tellDaylight(p.Out, m, sun)
	c.tellPlants(p.Out, plants, grown)
	if c.want > 0 {
		c.advise(p.Out, hung(advice, read))
	}
	return nil
}

// meanBed is the mean height of the bed, m.
func meanBed(v *geometry.Voxels) float64 {
	sum, n := 0.0, 0
	for _, g := range v.GroundIZ {
		if g < v.NZ {
			sum += float64(g) * v.Cell
			n++
		}
	}
	if n == 0 {
		return 0
	}
	return sum / float64(n)
}

// advised is one way to hang lamps, for scripts.
type advised struct {
	Lamps     int     `json:"lamps"`
	Rows      int     `json:"rows"`
	SpacingCM float64 `json:"spacing_cm"`
	HeightCM  float64 `json:"above_water_cm"`
	Dim       float64 `json:"dim"`
	Min       float64 `json:"ppfd_min"`
	Mean      float64 `json:"ppfd_mean"`
	Max       float64 `json:"ppfd_max"`
	Top       float64 `json:"ppfd_top"`
	PowerW    float64 `json:"power_w"`
	YearKWh   float64 `json:"kwh_year"`
	YearCost  float64 `json:"cost_year,omitempty"` // left out without a price of electricity
	Currency  string  `json:"currency,omitempty"`
	Preferred bool    `json:"preferred"`
}

// hung lays power and yearly cost beside the advice: the lamp's own power by its dimming, the longest light day of the plan, and the
// price of electricity where plan or house states one.
func hung(list []light.Advice, p *plan.Plan) []advised {
	hours := 0.0
	for _, d := range p.LightDay {
		hours = max(hours, d.Hours)
	}
	price, known := p.PriceOf("electricity", "kWh")
	currency := ""
	if known {
		if currency = p.Costs.Currency; currency == "" {
			currency = p.House.Currency
		}
	}
	out := []advised{}
	for _, a := range list {
		watts := float64(a.Lamps) * float64(p.Lamps[0].Power) * a.Dim
		kwh := watts / 1000 * hours * 365
		out = append(out, advised{
			Lamps: a.Lamps, Rows: a.Rows, SpacingCM: round(100*a.Spacing, 10), HeightCM: round(100*a.Height, 10), Dim: round(a.Dim, 1000),
			Min: round(a.Least, 10), Mean: round(a.Mean, 10), Max: round(a.Most, 10), Top: round(a.Top, 10),
			PowerW: round(watts, 10), YearKWh: round(kwh, 10), YearCost: round(kwh*price, 100), Currency: currency, Preferred: a.Preferred,
		})
	}
	return out
}

func (c *lightCommand) advise(w io.Writer, list []advised) {
	fmt.Fprintf(w, "\nTo give %s on the substrate in the empty tank, lamps at full power or dimmed:\n", c.Want)
	if len(list) == 0 {
		fmt.Fprintln(w, "as many lamps like the plan's first as have room side by side, ten at most, do not do it within the limit; take a stronger lamp or another beam.")
		return
	}
	fmt.Fprintln(w, "   lamps  rows  spacing  above water    dim  lowest  highest  at the top   power     a year")
	for _, a := range list {
		mark := " "
		if a.Preferred {
			mark = "*"
		}
		cost := ""
		if a.Currency != "" {
			cost = fmt.Sprintf(", %.0f %s", a.YearCost, a.Currency)
		}
		fmt.Fprintf(w, "%s %6d %5d %5.0f cm %9.0f cm %4.0f %% %7.0f %8.0f %11.0f %5.0f W %6.0f kWh%s\n",
			mark, a.Lamps, a.Rows, a.SpacingCM, a.HeightCM, 100*a.Dim, a.Min, a.Max, a.Top, a.PowerW, a.YearKWh, cost)
	}
	fmt.Fprintln(w, "* the fewest lamps that light the bed evenly enough (lowest at least 0.6 of the mean), or the most even. Hang lamps so that nothing can")
	fmt.Fprintln(w, "fall into the water; electricity beside water follows local codes and is a licensed electrician's work.")
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
	Bands      map[string]float64 `json:"bands,omitempty"`     // shares of the map's mean by third of the spectrum, where lamps have channels
	Hours      []float64          `json:"light_day,omitempty"` // mean share of full light by hour of the day; PPFD of plantings is at full light
	Daylight   *litByDay          `json:"daylight,omitempty"`
	Plantings  []litPlanting      `json:"plantings,omitempty"`
	Advice     []advised          `json:"advice,omitempty"`
}

// litByDay is what comes through the windows on the day, beside the lamps; the shares are of what falls on panes and water.
type litByDay struct {
	Day       int                `json:"day"`
	Noon      float64            `json:"noon_ppfd_mean"` // of the sky
	SunHours  float64            `json:"sun_hours"`
	Sun       float64            `json:"sun_ppfd_mean"` // of the sun alone, in its brightest hour
	SunMost   float64            `json:"sun_ppfd_max"`
	DLI       float64            `json:"dli_mol_mean"`
	LampDLI   float64            `json:"lamps_dli_mol_mean"`
	Falling   float64            `json:"falling_mol_day"`
	Cells     []dayCell          `json:"cells"`
	Fractions map[string]float64 `json:"fractions"`
}

// dayCell is one cell with the windows' light over the day, mol m⁻².
type dayCell struct {
	X   float64 `json:"x_cm"`
	Y   float64 `json:"y_cm"`
	DLI float64 `json:"dli_mol"`
}

// litPlanting is what a planting gets: at the day's full light, over its leaves and at its tops.
type litPlanting struct {
	Planting string     `json:"planting"`
	Species  string     `json:"species"`
	Plants   float64    `json:"plants"`
	PPFD     float64    `json:"ppfd"`
	Top      float64    `json:"ppfd_top"`
	DLI      float64    `json:"dli_mol"`
	Share    float64    `json:"share_of_top"`
	OfFull   float64    `json:"share_of_full"` // of what its leaves would get if no plant stood in the tank
	Low      float64    `json:"wants_from"`
	High     float64    `json:"wants_to"`
	Gets     string     `json:"gets"`
	Shade    float64    `json:"shade_at_top"` // share of full light that other plants take
	Shader   string     `json:"shaded_by"`
	Takes    float64    `json:"shaded_by_share"` // share of full light that it takes
	Layers   []litLayer `json:"layers"`          // from below
}

// litLayer is the light on a planting's leaves between two heights above the bottom glass.
type litLayer struct {
	Low    float64 `json:"from_cm"`
	High   float64 `json:"to_cm"`
	Leaf   float64 `json:"leaf_cm2"`
	PPFD   float64 `json:"ppfd"`
	DLI    float64 `json:"dli_mol"`
	OfFull float64 `json:"share_of_full"`
}

// ofFull is the share of full light that a layer of leaves gets.
func ofFull(l growth.LeafLayer) float64 {
	if l.Full <= 0 {
		return 0
	}
	return l.PPFD / l.Full
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

// bands are the shares of blue, green and red in the mean of the map; nil where no lamp has channels.
func (c *lightCommand) bands(m light.Map, s *light.Study) []float64 {
	_, all, _ := m.Stats()
	if len(s.Bands) == 0 || !(all > 0) {
		return nil
	}
	var out []float64
	for _, f := range s.Bands {
		_, mean, _ := c.read(f).Stats()
		out = append(out, mean/all)
	}
	return out
}

// read is the map of a field at the level asked for.
func (c *lightCommand) read(f *light.Field) light.Map {
	switch c.At {
	case "substrate":
		return f.BedMap(c.nx, c.ny)
	case "surface":
		return f.SurfaceMap(c.nx, c.ny)
	}
	return f.DepthMap(c.nx, c.ny, c.depth)
}

// molPerHour is mol m⁻² in an hour of 1 µmol m⁻² s⁻¹.
const molPerHour = 3600e-6

// daylit puts the windows' light together; nil where there is none.
func (c *lightCommand) daylit(lamps light.Map, d *light.Daytime) *litByDay {
	if d == nil {
		return nil
	}
	out := &litByDay{Day: max(c.Day, 0), SunHours: round(d.SunHours, 100), Cells: []dayCell{}, Fractions: map[string]float64{}}
	_, out.Noon, _ = c.read(d.Noon.Field).Stats()
	_, out.Sun, out.SunMost = c.read(d.Sun.Field).Stats()
	sum := c.read(d.Sum.Field)
	_, mean, _ := sum.Stats()
	_, full, _ := lamps.Stats()
	out.DLI, out.LampDLI, out.Falling = mean*molPerHour, full*d.LampDay*molPerHour, d.Sum.Falling*molPerHour
	for i, v := range sum.PPFD {
		if sum.Inside[i] {
			out.Cells = append(out.Cells, dayCell{
				X: round(100*sum.LX*(float64(i%sum.NX)+0.5)/float64(sum.NX), 1e6), Y: round(100*sum.LY*(float64(i/sum.NX)+0.5)/float64(sum.NY), 1e6),
				DLI: round(v*molPerHour, 1e6),
			})
		}
	}
	for _, share := range windowShares(d.Sum.Field.Budget) {
		if share.always || share.value > 0 {
			out.Fractions[share.key] = share.value
		}
	}
	return out
}

// windowShares is where the windows' light goes.
func windowShares(b light.Budget) []share {
	return []share{
		{"reflected_or_in_glass", "thrown back by panes and surface or taken by the glass", b.Reflected, true},
		{"absorbed_in_water", "absorbed by the water", b.Water, true},
		{"lost_through_walls", "out again through the walls", b.Walls, true},
		{"absorbed_by_bottom", "absorbed by the bottom", b.Bed, true},
		{"absorbed_by_leaves", "absorbed by leaves", b.Leaves, false},
		{"absorbed_by_hardscape", "absorbed by stones and wood", b.Hardscape, false},
	}
}

// tellDaylight says what the windows bring.
func (c *lightCommand) tellDaylight(w io.Writer, lamps light.Map, d *light.Daytime) {
	l := c.daylit(lamps, d)
	if l == nil {
		return
	}
	fmt.Fprintf(w, "\nThe windows add, on day %d:\n", l.Day)
	fmt.Fprintf(w, "%.1f mol m⁻² over the day on average, beside %.1f of the lamps. At noon the sky gives %.0f µmol m⁻² s⁻¹.\n", l.DLI, l.LampDLI, l.Noon)
	if l.SunHours > 0 {
		fmt.Fprintf(w, "The sun falls on the tank for %.1f hours and gives %.0f on average in its brightest hour, %.0f at most. Sun for two hours a day turns water green\nonce ammonium comes; screen it, or plan for it. Its warmth is not reckoned.\n", l.SunHours, l.Sun, l.SunMost)
	}
	fmt.Fprint(w, "Of their light that falls on panes and water:\n")
	for _, share := range windowShares(d.Sum.Field.Budget) {
		if share.always || share.value > 0 {
			fmt.Fprintf(w, "%6.1f %%  %s\n", 100*share.value, share.words)
		}
	}
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
	if b := c.bands(m, s); b != nil {
		fmt.Fprintf(w, "\nOf this light %.0f %% is blue, %.0f %% green and %.0f %% red (thirds of 400 to 700 nm).\n", 100*b[light.Blue], 100*b[light.Green], 100*b[light.Red])
	}
	c.remarks(w, s, mean)
	fmt.Fprint(w, "\nOf all photons of the lamps:\n")
	for _, share := range shares(s.Field.Budget) {
		if share.always || share.value > 0 {
			fmt.Fprintf(w, "%6.1f %%  %s\n", 100*share.value, share.words)
		}
	}
}

// Changes that are shown beside the map: lamps at four fifths of their light (common practice: LED lamps after some 25,000 h), a surface film or splashed
// cover that keeps back a tenth, and water stained by new wood (common practice, no source).
const (
	aged    = 0.8
	fouled  = 0.9
	stained = 0.8 // 1/m more
)

// remarks says how sure the lamps are and what will change the light.
func (c *lightCommand) remarks(w io.Writer, s *light.Study, mean float64) {
	fmt.Fprintln(w)
	for _, src := range s.Sources {
		if doubt := src.Doubt(); doubt != "" {
			fmt.Fprintln(w, doubt)
		}
		switch {
		case src.Fit.Readings > 0 && src.Fit.Beam > 0:
			fmt.Fprintf(w, "Lamp %s found from %s: %.0f µmol/s, beam %.0f°; the readings lie %.1f %% off on average, %.1f %% at most.\n", src.ID, count(src.Fit.Readings, "reading", "readings"), src.Fit.Flux, src.Fit.Beam*180/math.Pi, 100*src.Fit.RMS, 100*src.Fit.Worst)
		case src.Fit.Readings > 0:
			fmt.Fprintf(w, "Lamp %s found from %s: %.0f µmol/s; the readings lie %.1f %% off on average, %.1f %% at most.\n", src.ID, count(src.Fit.Readings, "reading", "readings"), src.Fit.Flux, 100*src.Fit.RMS, 100*src.Fit.Worst)
		case src.Spread > 0:
			fmt.Fprintf(w, "Lamp %s: %.0f µmol/s reckoned from lumens, sure to about ±%.0f %%, since spectra of white lamps differ.\n", src.ID, src.Flux, 100*src.Spread)
		}
	}
	if c.At != "surface" && mean > 0 {
		tinted := s.Tinted(stained)
		m := tinted.BedMap(c.nx, c.ny)
		if c.At != "substrate" {
			m = tinted.DepthMap(c.nx, c.ny, c.depth)
		}
		_, dark, _ := m.Stats()
		fmt.Fprintf(w, "The mean falls to %.0f with lamps aged by 20 %%, to %.0f under a film or dirty cover that keeps back a tenth, to %.0f in water stained by new wood.\n", mean*aged, mean*fouled, dark)
	}
}

// tellPlants says what each planting gets.
func (c *lightCommand) tellPlants(w io.Writer, plants []forecast.PlantingLight, grown *forecast.Grown) {
	if len(plants) == 0 {
		return
	}
	tellHours(w, grown.Hours)
	fmt.Fprint(w, "\nWhat the plants get at the day's full light, µmol m⁻² s⁻¹ on the mean leaf and at the tops, and mol m⁻² a day on the mean leaf:\n")
	for _, l := range plants {
		fmt.Fprintf(w, "  %s (%s): %.0f and %.0f, %.1f a day, %.0f %% of what the leaves would get without plants in the tank", l.Planting, l.Species, l.PPFD, l.Top, l.DLI, 100*l.OfFull)
		switch l.Gets() {
		case "less":
			fmt.Fprintf(w, "; less than the %.0f to %.0f it thrives in", l.Low, l.High)
		case "more":
			fmt.Fprintf(w, "; more than the %.0f to %.0f it thrives in", l.Low, l.High)
		case "enough":
			fmt.Fprintf(w, "; it thrives in %.0f to %.0f", l.Low, l.High)
		}
		if l.Shader != "" {
			fmt.Fprintf(w, "; shaded most by %s, which takes %.0f %% of the light at the tops", l.Shader, 100*l.Takes)
		}
		fmt.Fprintln(w, ".")
		if !c.Layers {
			continue
		}
		layers := grown.LayersOf(l.Planting)
		for i := len(layers) - 1; i >= 0; i-- {
			leaf := &layers[i]
			fmt.Fprintf(w, "    %5.1f to %-5.1f cm: %6.0f cm² of leaf, %4.0f, %5.2f a day, %3.0f %% of full light\n", 100*leaf.Low, 100*leaf.High, 1e4*leaf.LeafM2, leaf.PPFD, grown.DLI(leaf.PPFD), 100*ofFull(*leaf))
		}
	}
}

// tellHours says how the light runs through the day.
func tellHours(w io.Writer, hours [24]float64) {
	fmt.Fprint(w, "\nThrough the day, of full light:")
	for from := 0; from < 24; {
		until := from + 1
		for until < 24 && math.Abs(hours[until]-hours[from]) < 0.005 {
			until++
		}
		if hours[from] > 0 {
			fmt.Fprintf(w, " %d to %d h %.0f %%", from, until, 100*hours[from])
			if until < 24 && hours[until] > 0 {
				fmt.Fprint(w, ",")
			}
		}
		from = until
	}
	fmt.Fprintln(w, ".")
}

// draw writes the light on the substrate as a drawing that stands alone.
func (c *lightCommand) draw(p *plan.Plan, model *geometry.Model, s *light.Study, grown *forecast.Grown) error {
	const cell = 0.05 // m
	m := s.Field.BedMap(max(1, int(math.Round(model.Tank.LX/cell))), max(1, int(math.Round(model.Tank.LY/cell))))
	l := forecast.LightMap{Day: max(c.Day, 0), NX: m.NX, NY: m.NY, CellX: m.LX / float64(m.NX), CellY: m.LY / float64(m.NY), PPFD: m.PPFD}
	for i := range l.PPFD {
		if !m.Inside[i] {
			l.PPFD[i] = -1
		}
	}
	l.Min, l.Mean, l.Max = m.Stats()
	f := &forecast.Forecast{Plan: p, Model: model, Columns: model.Columns(cell)}
	if grown != nil {
		f.Length = c.Day
		f.Snapshots = []forecast.Snapshot{{Day: c.Day, Plants: grown.Plants}}
	}
	system := unit.Metric
	if p.House.Units == "US" {
		system = unit.US
	}
	scale := picture.ScaleFor(&model.Tank)
	var d picture.Drawing
	if c.Section == "" {
		d = picture.LightMap("light", f, &l, scale, system)
	} else {
		cut := picture.Cut{From: [2]float64{c.line[0], c.line[1]}, To: [2]float64{c.line[2], c.line[3]}, Light: s.Field, Day: max(c.Day, 0)}
		if grown != nil {
			cut.Plants = grown.Plants
		}
		d = picture.Section("section", f, picture.KeyOf(f), cut, scale, system)
	}
	at := strings.Index(d.SVG, ">") + 1
	svg := d.SVG[:at] + "<style>" + picture.Style(picture.KeyOf(f)) + "</style>" + d.SVG[at:]
	return papers.Save(filepath.Dir(c.SVG), []papers.File{{Name: filepath.Base(c.SVG), Data: []byte(svg)}})
}
