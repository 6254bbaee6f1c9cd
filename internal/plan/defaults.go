package plan

import (
	"fmt"
	"littoral/internal/catalog"
	"littoral/internal/unit"
	"math"
	"strings"
)

// What a plan leaves out. Each value with its mark; nothing else in the project fills gaps of a plan.
//
//	littoral, name, tank.water-level
//	                        with optics only: 1, Unnamed tank, up to the rim
//	tank.cover              open                    common practice, no source
//	tank.glass.edges        rimless                 common practice, no source
//	tank.glass.thickness    by size, see paneFor    from memory of tank makers' tables; the maker decides
//	tank.glass.bottom       as the walls            common practice, no source
//	tank.seen-from          front; cylinder: all    our own choice
//	room.temperature        21 °C                   common practice, no source (heated rooms)
//	room.humidity           50 %                    common practice, no source (heated rooms)
//	boulder.roughness       0.3                     our own choice
//	branch.height           0.6 of the length       our own choice
//	branch.limbs            4                       our own choice
//	plants.grown            emersed                 common practice, no source (most nursery pots)
//	lamps.kind              panel                   our own choice
//	lamps.beam              panel 120°, bar 120°,   Lambertian emitters 120°; spots and pendants from memory
//	                        spot 40°, pendant 90°   of lamp data sheets
//	lamps.size              panel 60x20 cm, bar     from memory of lamp data sheets
//	                        90x5 cm, spot and pendant 12x12 cm
//	lamps.dim               100 %                   our own choice
//	lamps.lux-per-ppfd      70                      white LEDs give 67 to 72 (integrated from the CIE 015:2018 LED spectra)
//	lamps.power             PPF / 2.2 µmol/J        from memory of lamp data sheets, 1.8 to 2.8
//	daylight.windows.glazing
//	                        70 %                    clean double glazing 75 to 80 %, a little dirt (common practice, no source)
//	daylight.windows.sky-lux
//	                        10 000 lx               overcast design sky of temperate places (common practice); by latitude and date where a latitude is given
//	daylight.windows.sun.share
//	                        100 %                   our own choice
//	light-day               with lamps only: 6 h to day 21, then 8 h, on at 12:00 and 11:00
//	                                                start-up guides of the trade: 6 h for three weeks, then 7 to 8.5 h
//	light-day.dim           100 %
//	until                   where the next item of the same regime begins, else never
//	co2.max-rate            what the target needs within 2 h; left to the forecast, which knows the volume
//	water.tap.ph            7.5                     common practice, no source
//	water.tap.temperature   12 °C                   common practice, no source (cold tap, temperate climate)
//	filter.real             65 %                    loaded filters were measured at 40 to 60 % of the label, clean ones more
//	start.kind              wet                     common practice, no source
//	feeding.protein         45 %                    common practice, no source (dry foods 35 to 55 %)
//	bottles.density         1.0 kg/L                our own choice
//	care.at, events.at      10:00                   our own choice
//	care.tablet, where      plain, thin             our own choice
//	costs.currency, labour  those of the house
//	region                  that of the house
const (
	defaultRoomTemperature = unit.Celsius(21)
	defaultHumidity        = unit.Fraction(0.5)
	defaultRoughness       = 0.3
	defaultBranchHeight    = 0.6 // of its length
	defaultLimbs           = 4
	defaultLuxPerPPFD      = 70.0 // lux per µmol/m²/s
	defaultEfficacy        = 2.2  // µmol/J
	defaultTapPH           = 7.5
	defaultGlazing         = unit.Fraction(0.7)
	luxPerPPFDSky          = 54.0 // lux per µmol/m²/s of sky and sun (Thimijan and Heins 1983)
	defaultTapTemperature  = unit.Celsius(12)
	defaultReal            = unit.Fraction(0.65)
	defaultProtein         = unit.Fraction(0.45)
	defaultBottleDensity   = unit.Density(1000)
	defaultHour            = unit.Clock(10 * 3600)
)

// paneFor is a plausible wall thickness for a tank: the thinnest of a maker's usual series that such tanks are built of.
// From memory of makers' tables (120x50x50 cm: 10 to 12 mm, 150x60x60: 12 to 15, 200x70x70: 15 to 19, 300x80x80: 19 to 25).
// For planning weights only; the maker decides.
func paneFor(height, longest unit.Length) unit.Length {
	switch h, l := cm(height), cm(longest); {
	case h <= 40 && l <= 80:
		return 8 * unit.MM
	case h <= 55 && l <= 130:
		return 10 * unit.MM
	case h <= 62 && l <= 160:
		return 12 * unit.MM
	case h <= 70 && l <= 210:
		return 15 * unit.MM
	case h <= 85 && l <= 310:
		return 19 * unit.MM
	}
	return 25 * unit.MM
}

var lampFaces = map[string]struct {
	beam unit.Angle
	size [2]unit.Length
}{
	"panel":   {120 * math.Pi / 180, [2]unit.Length{60 * unit.CM, 20 * unit.CM}},
	"bar":     {120 * math.Pi / 180, [2]unit.Length{90 * unit.CM, 5 * unit.CM}},
	"spot":    {40 * math.Pi / 180, [2]unit.Length{12 * unit.CM, 12 * unit.CM}},
	"pendant": {90 * math.Pi / 180, [2]unit.Length{12 * unit.CM, 12 * unit.CM}},
}

// word fills an empty text.
func word(s *string, value string) {
	if *s == "" {
		*s = value
	}
}

// resolve runs after a plan was found sound: it fills what was left out, brings names to those of the catalogue, and works out
// what the engine needs.
func (c *checker) resolve() {
	p := c.p
	c.resolveTank()
	c.resolveBodies()
	c.resolveLamps()
	c.resolveDaylight()
	c.resolveRegimes()
	c.resolveWater()
	c.resolveCare()
	c.deriveIDs()
	for i := range p.Plants {
		c.resolvePlanting(&p.Plants[i])
	}
	for i := range p.Events {
		for j := range p.Events[i].Plant {
			c.resolvePlanting(&p.Events[i].Plant[j])
		}
	}
	for i := range p.Livestock {
		p.Livestock[i].Species = c.animalName(p.Livestock[i].Species)
	}
	word(&p.Costs.Currency, p.House.Currency)
	if !c.given("costs.labour") {
		p.Costs.Labour = p.House.LabourRate
	}
	p.Region = c.regions
}

// resolveBodies brings the materials of bed and hardscape to their names in the catalogue, and fills the measures that were left out.
func (c *checker) resolveBodies() {
	p := c.p
	for i := range p.Substrate.Layers {
		p.Substrate.Layers[i].Material = c.materialName(p.Substrate.Layers[i].Material)
	}
	for i := range p.Substrate.Caps {
		p.Substrate.Caps[i].Material = c.materialName(p.Substrate.Caps[i].Material)
	}
	for i := range p.Hardscape {
		h := &p.Hardscape[i]
		h.Material = c.materialName(h.Material)
		if b := h.Shape.Boulder; b != nil && !c.given(index("hardscape", i)+".shape.boulder.roughness") {
			b.Roughness = defaultRoughness
		}
		if b := h.Shape.Branch; b != nil {
			if b.Height == 0 {
				b.Height = defaultBranchHeight * b.Length
			}
			if b.Limbs == 0 {
				b.Limbs = defaultLimbs
			}
		}
	}
}

func (c *checker) resolveTank() {
	t := &c.p.Tank
	word(&t.Cover, "open")
	if c.p.Optics != nil {
		if !c.given("tank.water-level") {
			t.WaterLevel = t.Inside.Height
		}
		if !c.given("littoral") {
			c.p.Littoral = Version
		}
		word(&c.p.Name, "Unnamed tank")
	}
	word(&t.Glass.Edges, "rimless")
	if len(t.SeenFrom) == 0 {
		t.SeenFrom = []string{"front"}
		if t.Shape == "cylinder" {
			t.SeenFrom = []string{"all"}
		}
	}
	if t.Glass.Thickness == 0 {
		_, hi := bounds(t.FootprintCM())
		t.Glass.Thickness = paneFor(t.Inside.Height, unit.Length(max(hi[0], hi[1]))*unit.CM)
	}
	if t.Glass.Bottom == 0 {
		t.Glass.Bottom = t.Glass.Thickness
	}
	if !c.given("room.temperature") {
		c.p.Room.Temperature = defaultRoomTemperature
	}
	if !c.given("room.hottest") {
		c.p.Room.Hottest = 7
		if c.p.Daylight != nil && c.p.Daylight.Latitude < 0 {
			c.p.Room.Hottest = 1
		}
	}
	if !c.given("room.humidity") {
		c.p.Room.Humidity = defaultHumidity
	}
	word(&c.p.Start.Kind, "wet")
}

func (c *checker) resolvePlanting(p *Planting) {
	word(&p.Grown, "emersed")
	if s, ok := c.p.Cat.Species(p.Species); ok {
		p.Species = s.Name
	}
}

func (c *checker) resolveLamps() {
	for i := range c.p.Lamps {
		l := &c.p.Lamps[i]
		if m := c.lampModel(l.Model); m != nil {
			l.Model = m.Name
			word(&l.Kind, m.Kind)
			l.PPF = m.PPF
			if l.Size == [2]unit.Length{} {
				l.Size = m.Size
			}
			if l.Beam == 0 {
				l.Beam = m.Beam
			}
			if l.Power == 0 {
				l.Power = m.Power
			}
			if l.LuxPerPPFD == 0 {
				l.LuxPerPPFD = m.LuxPerPPFD.Value
			}
		}
		word(&l.Kind, "panel")
		if l.Dim == 0 {
			l.Dim = 1
		}
		if f := l.Photometry; f != nil {
			if l.PPF == 0 && l.Lumens == 0 {
				l.Lumens = f.Flux() * f.Tilted(float64(l.Tilt)*180/math.Pi)
			}
			if l.Size == [2]unit.Length{} && f.Length > 0 && f.Width > 0 {
				l.Size = [2]unit.Length{unit.Length(f.Length), unit.Length(f.Width)}
			}
			if l.Power == 0 {
				l.Power = unit.Power(f.Watts)
			}
		}
		face := lampFaces[l.Kind]
		if l.Size == [2]unit.Length{} {
			l.Size = face.size
		}
		if l.Beam == 0 && len(l.Readings) == 0 { // readings find it
			l.Beam = face.beam
		}
		if l.LuxPerPPFD == 0 {
			l.LuxPerPPFD = defaultLuxPerPPFD
		}
		if l.Lumens > 0 {
			// Lumens over area is lux, and lux over lux-per-ppfd is photons, so the areas cancel.
			l.PPF = unit.PhotonFlux(l.Lumens / l.LuxPerPPFD)
			l.FromLumens = true
		} else {
			l.Lumens = float64(l.PPF) * l.LuxPerPPFD
		}
		if l.Power == 0 {
			l.Power = unit.Power(float64(l.PPF) / defaultEfficacy)
		}
	}
}

// resolveChannels weighs a light day's channels by the photons that all lamps give in them.
func (c *checker) resolveChannels(l *LightDay, path string) {
	for i := range l.Channels {
		one, at := &l.Channels[i], index(path+".channels", i)
		one.Told = c.given(at + ".dim")
		if !c.given(at + ".ramp") {
			one.Ramp = l.Ramp
		}
		all := 0.0
		for j := range c.p.Lamps {
			lamp := &c.p.Lamps[j]
			all += Weight(lamp)
			for _, part := range lamp.Channels {
				if part.Name == one.Channel {
					one.Weight += Weight(lamp) * float64(part.Share)
				}
			}
		}
		if all > 0 {
			one.Weight /= all
		}
	}
}

func (c *checker) resolveRegimes() {
	p := c.p
	if len(p.LightDay) == 0 && len(p.Lamps) > 0 {
		if p.Optics == nil {
			c.warn("lamps", "the plan has lamps but no hours of light; 6 h a day until day 21 and 8 h after it are taken", "add light-day:")
		}
		p.LightDay = []LightDay{{Until: 21, On: 12 * 3600, Hours: 6, Dim: 1}, {From: 21, On: 11 * 3600, Hours: 8, Dim: 1}}
	} else {
		for i := range p.LightDay {
			if !c.given(index("light-day", i) + ".dim") {
				p.LightDay[i].Dim = 1
			}
			c.resolveChannels(&p.LightDay[i], index("light-day", i))
			if i+1 < len(p.LightDay) && p.LightDay[i].Until == 0 {
				p.LightDay[i].Until = p.LightDay[i+1].From
			}
		}
	}
	for i := range p.CO2 {
		if p.CO2[i].PH > 0 && p.CO2[i].Band == 0 {
			p.CO2[i].Band = 0.1 // common practice, no source: 0.05 to 0.2
		}
		if i+1 < len(p.CO2) && p.CO2[i].Until == 0 {
			p.CO2[i].Until = p.CO2[i+1].From
		}
	}
	for i := range p.Feeding {
		if !c.given(index("feeding", i) + ".protein") {
			p.Feeding[i].Protein = defaultProtein
		}
		if i+1 < len(p.Feeding) && p.Feeding[i].Until == 0 {
			p.Feeding[i].Until = p.Feeding[i+1].From
		}
	}
	for i := range p.Filter {
		if !c.given(index("filter", i) + ".real") {
			p.Filter[i].Real = defaultReal
		}
	}
}

func (c *checker) resolveWater() {
	w := &c.p.Water
	if !c.given("water.tap.ph") {
		w.Tap.PH = defaultTapPH
	}
	if !c.given("water.tap.temperature") {
		w.Tap.Temperature = defaultTapTemperature
	}
	for i := range w.Salts {
		if s, ok := c.p.Cat.Salt(w.Salts[i].Salt); ok {
			w.Salts[i].Salt = s.Formula
		}
	}
}

func (c *checker) resolveCare() {
	for i := range c.p.Care {
		k := &c.p.Care[i]
		if !c.given(index("care", i) + ".at") {
			k.At = defaultHour
		}
		if k.Do == "root-feed" {
			word(&k.Tablet, "plain")
			word(&k.Where, "thin")
		}
		if k.Do == "outer-leaves" && k.Share == 0 {
			k.Share = 0.2 // a few leaves of each; common practice, no source
		}
		if k.Do == "replace" && k.Share == 0 {
			k.Share = 1
		}
		if k.Do == "replant-tops" && k.To == 0 {
			k.To = 0.1 // the trade replants tops of 8 to 12 cm
		}
		if s, ok := c.p.Cat.Species(k.Species); ok && !c.plantingID(k.Species) {
			k.Species = s.Name
		}
		c.genericBottle(k.Bottle)
	}
	for i := range c.p.Events {
		e := &c.p.Events[i]
		if !c.given(index("events", i) + ".at") {
			e.At = defaultHour
		}
		for j := range e.Plant {
			if !c.given(index(index("events", i)+".plant", j) + ".from") {
				e.Plant[j].From = e.On
			}
		}
		for j := range e.Remove {
			if s, ok := c.p.Cat.Species(e.Remove[j]); ok && !c.plantingID(e.Remove[j]) {
				e.Remove[j] = s.Name
			}
		}
	}
}

// genericBottle brings a bottle of the catalogue into the plan when a dose names it and the plan has none of that name.
// Urea counts as ammonium, which it becomes within days in a running filter.
func (c *checker) genericBottle(name string) {
	for _, b := range c.p.Bottles {
		if b.Name == name {
			return
		}
	}
	g, ok := c.p.Cat.Bottle(name)
	if name == "" || !ok {
		return
	}
	b := Bottle{Name: name, Density: defaultBottleDensity, PerLitre: map[string]float64{}}
	for _, k := range sortedKeys(g.Parts) {
		switch k {
		case "N", "alk": // nitrogen counts by its forms
		case "urea-N":
			b.PerLitre["NH4-N"] += g.Parts[k]
		default:
			b.PerLitre[k] += g.Parts[k]
		}
	}
	c.p.Bottles = append(c.p.Bottles, b)
}

func (c *checker) materialName(name string) string {
	if m, ok := c.p.Cat.Material(name); ok {
		return m.Name
	}
	return name
}

func (c *checker) animalName(name string) string {
	if a, ok := c.p.Cat.Animal(name); ok {
		return a.Name
	}
	return name
}

func (c *checker) lampModel(name string) *catalog.LampKind {
	if name == "" {
		return nil
	}
	m, ok := c.p.Cat.Lamp(name)
	if !ok {
		return nil
	}
	return m
}

// namer derives ids that no item has: "wood-1", "stone-2". It counts items of the same stem.
type namer struct {
	taken map[string]bool
	count map[string]int
}

func newNamer(ids map[string]string) *namer {
	n := &namer{taken: map[string]bool{}, count: map[string]int{}}
	for id := range ids {
		n.taken[id] = true
	}
	return n
}

func (n *namer) name(stem string) string {
	for {
		n.count[stem]++
		id := fmt.Sprintf("%s-%d", stem, n.count[stem])
		if !n.taken[id] {
			n.taken[id] = true
			return id
		}
	}
}

// slug turns a species name into the beginning of an id: "Anubias barteri var. nana" to "anubias-barteri-var-nana".
func slug(s string) string {
	var b strings.Builder
	for _, r := range strings.ToLower(s) {
		switch {
		case r >= 'a' && r <= 'z' || r >= '0' && r <= '9':
			b.WriteRune(r)
		case b.Len() > 0 && !strings.HasSuffix(b.String(), "-"):
			b.WriteByte('-')
		}
		if b.Len() >= 40 {
			break
		}
	}
	if out := strings.Trim(b.String(), "-"); out != "" {
		return out
	}
	return "item"
}

// deriveHardscapeIDs returns the id of each piece, given or derived.
func deriveHardscapeIDs(hs []Hardscape, ids map[string]string) []string {
	n := newNamer(ids)
	out := make([]string, len(hs))
	for i := range hs {
		if out[i] = hs[i].ID; out[i] == "" {
			kind := hs[i].Kind
			word(&kind, "piece")
			out[i] = n.name(kind)
		}
	}
	return out
}

// derivePlantingIDs returns the id of each planting of the plan, then of its events, given or derived.
func derivePlantingIDs(p *Plan, ids map[string]string) []string {
	n := newNamer(ids)
	var out []string
	add := func(ps []Planting) {
		for i := range ps {
			id := ps[i].ID
			if id == "" {
				species := ps[i].Species
				if p.Cat != nil {
					if s, ok := p.Cat.Species(species); ok {
						species = s.Name
					}
				}
				id = n.name(slug(species))
			}
			out = append(out, id)
		}
	}
	add(p.Plants)
	for i := range p.Events {
		add(p.Events[i].Plant)
	}
	return out
}

// deriveIDs gives every item without an id one that depends only on the plan and the order of its items.
func (c *checker) deriveIDs() {
	p := c.p
	for i, id := range deriveHardscapeIDs(p.Hardscape, c.ids) {
		p.Hardscape[i].ID = id
	}
	ids := derivePlantingIDs(p, c.ids)
	take := func(ps []Planting) {
		for i := range ps {
			ps[i].ID, ids = ids[0], ids[1:]
		}
	}
	take(p.Plants)
	for i := range p.Events {
		take(p.Events[i].Plant)
	}
	n := newNamer(c.ids)
	fill := func(id *string, stem string) {
		if *id == "" {
			*id = n.name(stem)
		}
	}
	for i := range p.Lamps {
		fill(&p.Lamps[i].ID, "lamp")
	}
	for i := range p.Views {
		fill(&p.Views[i].ID, "view")
	}
	for i := range p.Marks {
		fill(&p.Marks[i].ID, "mark")
	}
	if p.Daylight != nil {
		for i := range p.Daylight.Windows {
			fill(&p.Daylight.Windows[i].ID, "window")
		}
	}
	for i := range p.Filter {
		fill(&p.Filter[i].ID, "filter")
	}
	for i := range p.Livestock {
		fill(&p.Livestock[i].ID, slug(c.animalName(p.Livestock[i].Species)))
	}
	for i := range p.Care {
		fill(&p.Care[i].ID, "care-"+p.Care[i].Do)
	}
	for i := range p.Events {
		fill(&p.Events[i].ID, "event-"+p.Events[i].Do)
	}
}
