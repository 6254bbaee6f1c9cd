package plan

import (
	"errors"
	"littoral/internal/ies"
	"littoral/internal/unit"
	"math"
	"reflect"
	"strings"
)

func (c *checker) lamps() {
	lo, hi := bounds(c.footprint)
	for i := range c.p.Lamps {
		l, path := &c.p.Lamps[i], index("lamps", i)
		c.id(l.ID, path)
		if c.given(path+".model") && c.lampModel(l.Model) == nil {
			c.unknown(path+".model", "lamp", l.Model)
		}
		var ways []string
		for _, key := range []string{"model", "ppf", "lumens"} {
			if c.written(path + "." + key) {
				ways = append(ways, key)
			}
		}
		lux := c.written(path + ".lux-per-ppfd")
		c.photometry(l, path)
		c.channels(l, path)
		c.readings(l, path)
		switch {
		case len(ways) == 0 && c.written(path+".par-readings"):
		case len(ways) > 0 && c.written(path+".par-readings"):
			c.err(path, "the light of this lamp is stated in more than one way: "+ways[0]+" and par-readings", "keep one of them")
		case len(ways) == 0 && c.written(path+".ies"):
			if !lux {
				c.err(path+".ies", "a photometric file tells how bright a lamp looks, not how many photons plants get; the two differ with its spectrum", "add lux-per-ppfd: 70 for white LEDs (60 to 75), or give ppf from the data sheet")
			}
		case len(ways) == 0 && c.given(path):
			c.err(path, "it is not said how much light this lamp gives", "add ppf: 180 µmol/s from its data sheet, or model: with a lamp of the catalogue, or lumens: with lux-per-ppfd:")
		case len(ways) > 1:
			c.err(path, "the light of this lamp is stated in more than one way: "+strings.Join(ways, " and "), "keep one of model, ppf and lumens")
		case len(ways) == 1 && ways[0] == "lumens" && !lux:
			c.err(path+".lumens", "lumens tell how bright a lamp looks, not how many photons plants get; the two differ with its spectrum", "add lux-per-ppfd: 70 for white LEDs (60 to 75), or give ppf from the data sheet")
		}
		if at := path + ".lumens"; c.given(at) && (l.Lumens <= 0 || l.Lumens > 1e6) {
			c.err(at, say("%.4g lumens is not what a lamp gives", l.Lumens), "write the luminous flux at full power, such as 12000")
		}
		if at := path + ".lux-per-ppfd"; c.given(at) && (l.LuxPerPPFD < 10 || l.LuxPerPPFD > 147) {
			c.err(at, say("%.4g lux for each µmol/m²/s is outside what any light gives", l.LuxPerPPFD), "write about 70 for white LEDs, 54 for sunlight")
		}
		if at := path + ".ppf"; c.given(at) && l.PPF <= 0 {
			c.err(at, "the photon flux is zero", "write what the lamp gives at full power; dim it with light-day")
		}
		if at := path + ".beam"; c.given(at) && (l.Beam < 0.05 || l.Beam > math.Pi) {
			c.err(at, say("a beam of %.4g° is outside what lamps have, 3° to 180°", float64(l.Beam)*180/math.Pi), "write the full width at half maximum, such as 100°")
		}
		if at := path + ".above-water"; c.given(at) && l.AboveWater > 500*unit.CM {
			c.err(at, say("a lamp %.4g cm above the water does not light this tank", cm(l.AboveWater)), "check the unit")
		}
		if at := path + ".at"; c.given(at) && c.footprint != nil {
			const overhang = 50 // cm
			if l.At[0] < lo[0]-overhang || l.At[0] > hi[0]+overhang || l.At[1] < lo[1]-overhang || l.At[1] > hi[1]+overhang {
				c.err(at, say("a lamp at [%.4g, %.4g] does not hang over the tank", l.At[0], l.At[1]), say("over this tank x runs from %.4g to %.4g and y from %.4g to %.4g cm", lo[0], hi[0], lo[1], hi[1]))
			}
		}
	}
}

// photometry reads a lamp's photometric file and checks how it hangs.
func (c *checker) photometry(l *Lamp, path string) {
	if at := path + ".tilt"; c.given(at) && (l.Tilt < 0 || l.Tilt > math.Pi/2) {
		c.err(at, say("a tilt of %.4g° is outside 0° to 90°", float64(l.Tilt)*180/math.Pi), "write how far the lamp leans from straight down, and with turn: where to")
	}
	if at := path + ".dim"; c.given(at) && (l.Dim <= 0 || l.Dim > 1) {
		c.err(at, say("a lamp at %.4g %% of its power is outside what is planned here, above 0 to 100 %%", 100*float64(l.Dim)), "write the share of full power, such as 60 %, or take the lamp out")
	}
	if at := path + ".shade"; c.given(at) {
		switch {
		case l.Shade < 0 || c.given(path+".above-water") && l.Shade >= l.AboveWater:
			c.err(at, say("a shade of %.4g cm does not fit a lamp %.4g cm above the water", cm(l.Shade), cm(l.AboveWater)), "write how far the opaque edge hangs below the lamp's face")
		case l.Shade > 0 && l.Tilt != 0:
			c.err(at, "a shade is reckoned for lamps that look straight down, and this one is tilted", "take shade or tilt out")
		}
	}
	at := path + ".ies"
	if !c.given(at) {
		return
	}
	if c.written(path + ".beam") {
		c.err(path+".beam", "the beam of this lamp is stated in more than one way: beam and ies", "keep one of them")
	}
	if c.written(path + ".model") {
		c.err(at, "the beam of this lamp is stated in more than one way: model and ies", "keep one of them")
	}
	b, ok := c.file(l.IES, at)
	if !ok {
		return
	}
	f, err := ies.Read(b)
	if err != nil {
		r := newReporter(l.IES, b)
		place := Position{1, 1}
		var fault *ies.Error
		if errors.As(err, &fault) {
			place.Line = fault.Line
			err = errors.New(fault.Text)
		}
		r.add(SeverityError, at, place, err.Error(), "take a whole LM-63 file from the maker of the lamp")
		c.take(r)
		return
	}
	if !(f.Flux() > 0) {
		c.err(at, say("all light in %s is zero", clip(l.IES)), "take another file from the maker of the lamp")
		return
	}
	l.Photometry = f
}

// channels checks the parts of a lamp.
func (c *checker) channels(l *Lamp, path string) {
	sum, seen := 0.0, map[string]bool{}
	for i := range l.Channels {
		one, at := &l.Channels[i], index(path+".channels", i)
		if c.given(at+".share") && one.Share <= 0 {
			c.err(at+".share", "a channel with none of the lamp's photons gives no light", "write its share at full power, such as 25 %")
		}
		if c.given(at+".name") && seen[one.Name] {
			c.err(at+".name", say("this lamp has two channels named %q", clip(one.Name)), "give each a name of its own")
		}
		seen[one.Name] = true
		sum += float64(one.Share)
	}
	if len(l.Channels) > 0 && math.Abs(sum-1) > 0.01 {
		c.err(path+".channels", say("the shares of the channels sum to %.4g %%", 100*sum), "write shares that sum to 100 %")
	}
}

// channelDays checks how channels are run by themselves.
func (c *checker) channelDays(l *LightDay, path string) {
	have := map[string]bool{}
	for i := range c.p.Lamps {
		for _, one := range c.p.Lamps[i].Channels {
			have[one.Name] = true
		}
	}
	seen := map[string]bool{}
	for i := range l.Channels {
		one, at := &l.Channels[i], index(path+".channels", i)
		switch {
		case !c.given(at + ".channel"):
		case !have[one.Channel]:
			cure := "name a channel of a lamp, or add channels: to the lamp"
			if names := sortedKeys(have); len(names) > 0 {
				cure = "the lamps have " + strings.Join(names, ", ")
			}
			c.err(at+".channel", say("no lamp has a channel %q", clip(one.Channel)), cure)
		case seen[one.Channel]:
			c.err(at+".channel", say("channel %q is run in two ways", clip(one.Channel)), "keep one of them")
		}
		seen[one.Channel] = true
		if c.given(at+".ramp") && c.given(path+".hours") && 2*float64(one.Ramp) > l.Hours*3600 {
			c.err(at+".ramp", say("dawn and dusk of %.4g min each do not fit %.4g hours of light", float64(one.Ramp)/60, l.Hours), "write a shorter ramp")
		}
	}
}

// readings checks PAR-meter readings.
func (c *checker) readings(l *Lamp, path string) {
	for i := range l.Readings {
		r, at := &l.Readings[i], index(path+".par-readings", i)
		if c.given(at+".dim") && (r.Dim <= 0 || r.Dim > 1) {
			c.err(at+".dim", say("a dimmer at %.4g %% is outside what it can stand at, above 0 to 100 %%", 100*float64(r.Dim)), "write the share of full power")
		}
		if c.given(at+".ppfd") && r.PPFD <= 0 {
			c.err(at+".ppfd", "a reading of zero says nothing about the lamp", "take it out, or read closer to the lamp")
		}
		level := c.p.Tank.WaterLevel
		if level == 0 {
			level = c.p.Tank.Inside.Height
		}
		if c.given(at+".depth") && c.given("tank.inside.height") && r.Depth > level {
			c.err(at+".depth", say("a sensor %.4g cm deep lies below the bottom", cm(r.Depth)), "write how far it was below the surface")
		}
	}
}

// optics checks stated optics.
func (c *checker) optics() {
	o := c.p.Optics
	if o == nil {
		if c.lightOnly && !c.bad["optics"] {
			c.err("", "optics has no value", "write optics: {absorption: 0.3 /m}, or take the line out")
		}
		return
	}
	c.between("optics.absorption", float64(o.Absorption), 0, 1000, "an absorption", "1/m")
	c.between("optics.scattering", float64(o.Scattering), 0, 1000, "a scattering", "1/m")
	c.between("optics.asymmetry", o.Asymmetry, -1, 1, "an asymmetry", "")
	c.between("optics.ground-reflectance", o.GroundShare, 0, 1, "a ground reflectance", "")
	if len(c.p.Lamps) == 0 && !c.written("lamps") {
		c.err("optics", "optics are stated, but there is no lamp whose light they would meet", "add lamps:")
	}
}

// span is the days from until of an item.
type span struct {
	path        string
	from, until unit.Day
}

func (c *checker) spanOf(path string, from, until unit.Day) span {
	s := span{path: path, from: from, until: unit.Day(math.Inf(1))}
	if c.given(path+".from") && from < 0 && c.p.Start.For <= 0 && !c.bad["start.for"] {
		c.err(path+".from", say("day %.4g comes before day 0, and the plan has no phase before planting", float64(from)), "write day 0 or later, or add start: {kind: dark, for: 3 weeks}")
	}
	if c.given(path + ".until") {
		s.until = until
	}
	if c.given(path+".until") && !c.bad[path+".from"] && until <= from {
		c.err(path+".until", say("%s ends on day %.4g, before it begins on day %.4g", path, float64(until), float64(from)), "write a day after "+map[bool]string{true: "from", false: "day 0, or add from:"}[c.given(path+".from")])
	}
	return s
}

// follow checks that the items of a regime come one after the other. An item without until ends where the next begins.
func (c *checker) follow(spans []span, what string, gaps bool) {
	if gaps && len(spans) > 0 && spans[0].from > 0 && c.given(spans[0].path+".from") {
		c.warn(spans[0].path, say("no %s is given before day %.4g; the lamps stay off", what, float64(spans[0].from)), "begin the first one at day 0")
	}
	for i := 1; i < len(spans); i++ {
		a, b := spans[i-1], spans[i]
		if c.bad[a.path+".from"] || c.bad[a.path+".until"] || c.bad[b.path+".from"] || !c.given(a.path) || !c.given(b.path) {
			continue
		}
		end := a.until
		if math.IsInf(float64(end), 1) {
			end = b.from
		}
		switch {
		case b.from <= a.from:
			c.err(b.path, say("this %s begins on day %.4g, but the one above begins on day %.4g", what, float64(b.from), float64(a.from)), "list them in order, each with from: the day it begins")
		case b.from < end:
			c.err(b.path, say("this %s begins on day %.4g, but the one above lasts until day %.4g", what, float64(b.from), float64(end)), say("write from: day %.4g", float64(end)))
		case b.from > end && gaps:
			c.warn(b.path, say("no %s is given from day %.4g to day %.4g; the lamps stay off", what, float64(end), float64(b.from)), "let the one above run until this one begins")
		}
	}
}

func (c *checker) regimes() {
	p := c.p
	var spans []span
	for i := range p.LightDay {
		l, path := &p.LightDay[i], index("light-day", i)
		spans = append(spans, c.spanOf(path, l.From, l.Until))
		c.channelDays(l, path)
		if c.given(path+".hours") && (l.Hours <= 0 || l.Hours > 24) {
			c.err(path+".hours", say("%.4g hours of light do not fit a day", l.Hours), "write hours from on to off, such as 8")
		} else if c.given(path+".ramp") && c.given(path+".hours") && 2*float64(l.Ramp) > l.Hours*3600 {
			c.err(path+".ramp", say("dawn and dusk of %.4g min each do not fit %.4g hours of light", float64(l.Ramp)/60, l.Hours), "write a shorter ramp")
		}
	}
	c.follow(spans, "light-day", true)
	if len(p.Lamps) == 0 && len(p.LightDay) > 0 {
		c.warn("light-day", "hours of light are given, but there are no lamps", "add lamps:")
	}
	spans = nil
	for i := range p.CO2 {
		g, path := &p.CO2[i], index("co2", i)
		spans = append(spans, c.spanOf(path, g.From, g.Until))
		if c.given(path+".target") && (g.Target <= 0 || g.Target > 100) {
			c.err(path+".target", say("a CO2 target of %.4g mg/L is not one for a tank with life in it", float64(g.Target)), "write 20 to 30 mg/L")
		}
		switch target, ph := c.given(path+".target"), c.given(path+".ph"); {
		case target && ph:
			c.err(path+".ph", "the gas is held by a target and by a pH at once", "take one of the two out")
		case !target && !ph:
			c.err(path, "it is not said what the gas is held at", "write target: 25 mg/L, or ph: 6.7 for a controller")
		}
		c.between(path+".ph", g.PH, 5, 8, "a pH for a controller", "")
		if c.given(path + ".dead-band") {
			if !c.given(path + ".ph") {
				c.err(path+".dead-band", "a dead band belongs to a pH controller", "write ph:, or take it out")
			}
			c.between(path+".dead-band", g.Band, 0.01, 0.5, "a dead band of pH", "")
		}
		if c.given(path+".on") && c.given(path+".off") && g.On == g.Off {
			c.err(path+".off", "the gas goes on and off at the same time", "write the hour it goes off")
		}
		if c.given(path+".max-rate") && g.MaxRate <= 0 {
			c.err(path+".max-rate", "the valve gives nothing", "write what it gives at most, such as 60 g/day, or take it out")
		}
	}
	c.follow(spans, "co2", false)
	spans = nil
	for i := range p.Feeding {
		path := index("feeding", i)
		spans = append(spans, c.spanOf(path, p.Feeding[i].From, p.Feeding[i].Until))
	}
	c.follow(spans, "feeding", false)
}

func (c *checker) water() {
	t := &c.p.Water.Tap
	c.between("water.tap.ph", t.PH, 4, 10.5, "a tap pH", "")
	c.between("water.tap.temperature", float64(t.Temperature), 0, 60, "a tap temperature", "°C")
	c.between("water.tap.alkalinity", unit.DKH(t.Alkalinity), 0, 60, "an alkalinity", "dKH")
	c.between("water.tap.hardness", unit.DGH(t.Hardness), 0, 120, "a hardness", "dGH")
	v := reflect.ValueOf(*t)
	for i := range v.NumField() {
		if f := fieldOf(v.Type().Field(i)); f.ion != "" {
			c.between("water.tap."+f.name, v.Field(i).Float(), 0, 2000, f.name, "mg/L")
		}
	}
	if !c.written("water") && c.lightOnly {
		c.p.LightOnly = true
	} else if !c.written("water") {
		c.err("", "the plan does not say what water comes from the tap", "add water: {tap: {alkalinity: 7 dKH, hardness: 12 dGH}}")
	}
	if c.given("water.tap.calcium") && c.given("water.tap.magnesium") && c.given("water.tap.hardness") {
		// mmol/L from mg/L by atomic weights (IUPAC 2021 abridged).
		sum := float64(t.Calcium)/40.078 + float64(t.Magnesium)/24.305
		if h := float64(t.Hardness); math.Abs(sum-h) > 0.15*max(h, sum)+0.1 {
			c.warn("water.tap.hardness", say("hardness %.3g dGH does not agree with %.3g dGH from calcium and magnesium", unit.DGH(t.Hardness), unit.DGH(unit.Hardness(sum))), "check the water report")
		}
	}
	for i, s := range c.p.Water.Salts {
		path := index("water.salts", i)
		if c.given(path + ".salt") {
			if _, ok := c.p.Cat.Salt(s.Salt); !ok {
				c.unknown(path+".salt", "salt", s.Salt)
			}
		}
		c.between(path+".dose", float64(s.Dose), 0, 10000, "a dose", "mg/L")
	}
}

func (c *checker) equipment() {
	for i := range c.p.Filter {
		f, path := &c.p.Filter[i], index("filter", i)
		c.id(f.ID, path)
		c.places(f.Inlets, path+".inlets")
		c.places(f.Outlets, path+".outlets")
		if c.given(path+".real") && f.Real <= 0 {
			c.err(path+".real", "a filter without flow does not filter", "write the share of the label flow that it gives when clean, such as 65 %")
		}
	}
	if h := c.p.Heater; h != nil {
		c.between("heater.set", float64(h.Set), 4, 40, "a set point", "°C")
	}
	s := &c.p.Start
	switch {
	case c.given("start.kind") && s.Kind == "wet" && c.written("start.for"):
		c.err("start.for", "a wet start has no phase before day 0", "take it out, or write kind: dark or kind: dry")
	case c.given("start.kind") && s.Kind != "wet" && !c.written("start.for"):
		c.err("start", say("it is not said how long the %s phase lasts", s.Kind), map[string]string{"dark": "add for: 3 weeks", "dry": "add for: 6 weeks"}[s.Kind])
	case c.given("start.for") && (s.For <= 0 || s.For > 366*unit.Days):
		c.err("start.for", "a phase before planting lasts days to months", "write for example 3 weeks")
	}
	if f := c.p.Found; f != nil {
		if c.written("start") {
			c.err("found", "a tank is either started or found running, but start: and found: are both here", "take one of them out")
		}
		if f.Readings != nil && f.Readings.PH != nil {
			c.between("found.readings.ph", *f.Readings.PH, 4, 10.5, "a pH", "")
		}
		if f.Readings != nil && f.Readings.Temp != nil {
			c.between("found.readings.temperature", float64(*f.Readings.Temp), 2, 45, "a water temperature", "°C")
		}
		if c.given("found.age") && f.Age < 0 {
			c.err("found.age", "the age is negative", "write how long ago the tank was planted")
		}
	}
}
