package plan

import (
	"fmt"
	"littoral/internal/catalog"
	"littoral/internal/unit"
	"math"
	"strconv"
	"strings"
)

// energy is what a level of light, with or without gas, means in numbers: light, turnover and weekly doses inside the trade's
// published ranges, the doses at the lean end, since a new soil, the tap and the animals feed too; common practice, no source.
type energy struct {
	par             float64 // µmol m⁻² s⁻¹ wanted at the bed
	hours           float64 // of light after the first weeks
	co2             float64 // mg/L; 0 = no gas
	turnover        float64 // filter turnovers an hour
	no3, po4, k, fe float64 // mg/L a week, of the ions
	change          float64 // share of the water from week 5 on
	weeks           int     // between these changes
}

// energyOf returns the energy of a level of light. Without gas plants grow by what animals and bed breathe out, and are fed a
// fifth to a third as much.
func energyOf(light string, gas bool) energy {
	e := map[string]energy{
		"low":    {par: 40, hours: 8, co2: 15, turnover: 4, no3: 3, po4: 0.3, k: 5, fe: 0.1, change: 0.25, weeks: 1},
		"medium": {par: 65, hours: 8, co2: 20, turnover: 5, no3: 6, po4: 0.6, k: 8, fe: 0.2, change: 0.4, weeks: 1},
		"high":   {par: 100, hours: 8, co2: 25, turnover: 6, no3: 10, po4: 1, k: 12, fe: 0.3, change: 0.5, weeks: 1},
	}[light]
	if !gas {
		e.co2 = 0
		e.no3, e.po4, e.k, e.fe = 2, 0.1, 4, 0.1
		e.change, e.weeks = 0.25, 2
	}
	return e
}

const (
	newBase = 2.0 // cm of rich base under gravel; 1 to 3 cm is common practice, no source

	// Carbonate hardness that the change water is blended down to; texts give KH 2 to 6.
	newKH = 4.0 // dKH

	// Density of animals: the trade has 1 cm of adult small fish in 2 to 3 L; and food of about 2 % of a small fish's mass a day.
	newLitresPerCM, newShrimpLitres = 2.0, 8.0 // L for each cm of adult fish; L for each shrimp
	newFoodPerFish                  = 0.01     // g/day of dry food for a fish of 4 cm

	newNoon = 14.0 // the middle of the light day, our own choice, so that it is lit when people are there
)

// newLamp is a panel of a new plan, places and sizes in cm.
type newLamp struct{ x, y, sx, sy float64 }

// panels spreads lamps over the water, about one for 75 cm of length and 60 cm of width, and leaves out those that would hang
// beside a tank with corners.
func (w *writer) panels() []newLamp {
	across := int(max(1, math.Round(w.lx/75)))
	rows := 1
	if w.ly > 80 {
		rows = int(math.Round(w.ly / 60))
	}
	var out []newLamp
	px, py := w.lx/float64(across), w.ly/float64(rows)
	for j := range rows {
		for i := range across {
			at := PointCM{px * (float64(i) + 0.5), py * (float64(j) + 0.5)}
			if inside(w.footprint, at, 0) {
				out = append(out, newLamp{at[0], at[1], math.Round(min(60, 0.8*px)), math.Round(min(20, 0.5*py))})
			}
		}
	}
	if len(out) == 0 {
		out = []newLamp{{w.deep[0], w.deep[1], math.Round(min(60, 0.8*px)), math.Round(min(20, 0.5*py))}}
	}
	return out
}

// entering is the share of a lamp's light that falls on the water. Its light is taken as cosⁿ of the angle, n from the beam's half
// angle, at which intensity has fallen to one half; four places of the panel stand for it.
func (w *writer) entering(l newLamp, above float64) float64 {
	const half = newBeam / 2 * math.Pi / 180
	power := math.Log(0.5)/math.Log(math.Cos(half)) + 1 // n+1: the exponent of the flux outside an angle
	const rings, turns = 24, 12
	const spread = 0.289 // of its length and width, the root mean square of an even spread
	hit := 0
	for i := range rings {
		// Equal shares of the flux: the part outside the angle a is cos(a)^power.
		a := math.Acos(math.Pow((float64(i)+0.5)/rings, 1/power))
		for j := range turns {
			turn := 2 * math.Pi * (float64(j) + 0.5) / turns
			out := above * math.Tan(a)
			for _, at := range [4][2]float64{{-spread, -spread}, {spread, -spread}, {spread, spread}, {-spread, spread}} {
				if inside(w.footprint, PointCM{l.x + at[0]*l.sx + out*math.Cos(turn), l.y + at[1]*l.sy + out*math.Sin(turn)}, 0) {
					hit++
				}
			}
		}
	}
	return float64(hit) / (4 * rings * turns)
}

const newBeam = 110.0 // degrees, full angle at half intensity; a usual panel, from memory of lamp data sheets

func (w *writer) light() {
	lamps := w.panels()
	// The smaller the tank, the lower the lamp, or half of its light falls beside; 8 to 25 cm is common practice, no source.
	above := math.Round(min(20, max(8, 0.3*min(w.lx, w.ly))))
	share := 0.0
	for _, l := range lamps {
		share += w.entering(l, above) / float64(len(lamps))
	}
	ppf := w.is.par * w.area / (newReach * max(0.05, share)) / float64(len(lamps))
	w.line("# %s light: about %s µmol/m²/s at the bed. %s %% of the lamps' light falls on the water, and %s %% of that arrives below. Electricity beside", strings.ToUpper(w.a.Light[:1])+w.a.Light[1:], n(w.is.par), n(math.Round(100*share)), n(100*newReach))
	w.line("# water: local codes and a licensed electrician decide on circuits and protection.")
	w.line("lamps:")
	for _, l := range lamps {
		w.line("  - {kind: panel, at: [%s, %s], above-water: %s cm, size: %sx%s cm, ppf: %s µmol/s, beam: %s°}", n(l.x), n(l.y), n(above), n(l.sx), n(l.sy), n(max(2, math.Round(ppf))), n(newBeam))
	}
	w.line("")
	w.line("# Short and dim days while the tank is young, then half an hour more each week.")
	w.line("light-day:")
	day, dim := 21, 60
	w.line("  - {until: day 21, on: %q, hours: 6, dim: 60 %%, ramp: 30 min}", clock(newNoon-3))
	for h := 6.5; h < w.is.hours; h += 0.5 {
		dim = min(100, dim+10)
		w.line("  - {from: day %d, until: day %d, on: %q, hours: %s, dim: %d %%, ramp: 30 min}", day, day+7, clock(newNoon-h/2), n(h), dim)
		day += 7
	}
	on, off := newNoon-w.is.hours/2, newNoon+w.is.hours/2
	w.line("  - {from: day %d, on: %q, hours: %s, ramp: 30 min}", day, clock(on), n(w.is.hours))
	w.line("")
	if w.a.CO2 {
		w.line("# The gas goes on two hours before the light, so that the target is met when the light comes on, and off an hour before dusk.")
		w.line("# Compressed gas in closed rooms is dangerous: fix the cylinder, keep the room aired, and follow local codes.")
		w.line("co2: {target: %s mg/L, on: %q, off: %q}", n(w.is.co2), clock(on-2), clock(off-1))
		w.line("")
	}
}

func clock(h float64) string {
	whole := math.Floor(h)
	return fmt.Sprintf("%02d:%02d", int(whole), int(math.Round((h-whole)*60)))
}

func (w *writer) waterAndGear() {
	w.line("# Tap water as analysed. More lines of the water report make the forecast better: calcium, magnesium, phosphate, …")
	w.line("# Nitrate and phosphate are the ions unless you write \"as N\" or \"as P\".")
	w.line("water:")
	w.line("  tap: {alkalinity: %s dKH, hardness: %s dGH, nitrate: %s mg/L, tempered: true}", n(unit.DKH(w.a.TapKH)), n(unit.DGH(w.a.TapGH)), n(float64(w.a.TapNitrate)))
	if w.pure > 0 {
		w.line("  mix: {pure: %s %%}       # of reverse-osmosis water; brings the change water to about %s dKH and %s dGH", n(100*w.pure), n(w.kh), n(w.gh))
	}
	var salts []string
	if short := newLeastGH - w.gh; short > 0.2 {
		salts = append(salts, fmt.Sprintf("{salt: CaSO4·2H2O, dose: %s mg/L}", n(math.Round(0.75*short*newGypsum))), fmt.Sprintf("{salt: MgSO4·7H2O, dose: %s mg/L}", n(math.Round(0.25*short*newEpsom))))
	}
	if short := newLeastKH - w.kh; short > 0.2 {
		salts = append(salts, fmt.Sprintf("{salt: NaHCO3, dose: %s mg/L}", n(math.Round(short*newBicarbonate))))
	}
	if len(salts) > 0 {
		w.line("  # Very soft water gets what plants and the pH need.")
		w.line("  salts: [%s]", strings.Join(salts, ", "))
	}
	w.line("")
	flow := w.litres * w.is.turnover / float64(defaultReal)
	media := max(0.3, math.Round(w.litres*newMediaShare*10)/10)
	count := int(math.Ceil(flow / 4000))
	w.line("# Label flow for %s turnovers an hour of about %s L, because a filter gives about %s %% of its label. A fifth of the media comes from a", n(w.is.turnover), n(math.Round(w.litres)), n(100*float64(defaultReal)))
	w.line("# running filter; without it the water takes three weeks longer to be safe for animals.")
	w.line("filter:")
	for range count {
		w.line("  - {flow: %s L/h, media: %s L, fine: true, seeded: %d %%}", n(max(50, math.Round(flow/float64(count)/50)*50)), n(max(0.3, math.Round(10*media/float64(count))/10)), newSeeded)
	}
	// 0.2 to 0.4 W/L for large tanks in heated rooms, 0.5 to 1 for small ones: common practice, no source.
	perLitre := 0.3 + 0.4*math.Exp(-w.litres/150)
	w.line("heater: {power: %s W, set: %s °C}", n(max(25, math.Round(w.litres*perLitre/25)*25)), n(w.warm()))
	w.line("")
	w.animals()
}

// warm is the temperature in °C: cooler without gas, where plants breathe less and so need less light and CO2.
func (w *writer) warm() float64 {
	if w.a.CO2 {
		return 24
	}
	return 23
}

// animals puts a shoal and grazers in, late, where the water suits some of the usual species.
func (w *writer) animals() {
	food := 0.0
	var lines []string
	if s := w.suited("grazer"); s != nil {
		count := max(s.GroupMin, int(math.Round(w.litres/max(newShrimpLitres, s.LitresEach))))
		lines = append(lines, fmt.Sprintf("  - {species: %s, count: %d, from: week 5}", s.Name, min(200, count)))
		food = 0.02
	}
	if s := w.suited("shoal"); s != nil {
		count := min(80, int(w.litres/max(newLitresPerCM*s.SizeCM, s.LitresEach)))
		if w.litres >= 1.25*s.SizeCM*float64(s.GroupMin) {
			count = max(count, s.GroupMin) // a shoal under its number is worse off than one with a little less room
		}
		if count >= s.GroupMin {
			lines = append(lines, fmt.Sprintf("  - {species: %s, count: %d, from: week 6}", s.Name, count))
			food = newFoodPerFish * float64(count)
		}
	}
	w.line("# Animals come late, and only once ammonium and nitrite are gone twice in a row.")
	if len(lines) == 0 {
		w.line("# None of the usual ones suits this water: see \"littoral catalog\".")
		w.line("")
		return
	}
	w.line("livestock:")
	for _, l := range lines {
		w.line("%s", l)
	}
	w.line("feeding: {from: week 6, dry-food: %s}", grams(food)+"/day")
	w.line("")
}

// suited takes the first animal of a list whose pH and hardness the water meets.
func (w *writer) suited(list string) *catalog.Animal {
	// With gas in softened water about pH 6.5 to 7, without it 7.5 to 8 (carbonate equilibrium at KH 3 to 5).
	ph := catalog.Range{Min: 6.5, Max: 7.2}
	if !w.a.CO2 {
		ph = catalog.Range{Min: 7.4, Max: 8}
	}
	for _, name := range animals[list] {
		a, ok := catalog.Default().Animal(name)
		if ok && a.PH.Min <= ph.Min && a.PH.Max >= ph.Max && a.Temp.Min <= w.warm() && a.Temp.Max >= w.warm() && w.ghIn() >= a.GH.Min && w.ghIn() <= a.GH.Max {
			return a
		}
	}
	return nil
}

var animals = map[string][]string{
	"grazer": {"Caridina multidentata", "Neocaridina davidi", "Vittina semiconica"},
	"shoal":  {"Trigonostigma heteromorpha", "Puntius titteya", "Tanichthys albonubes", "Danio rerio"},
}

func (w *writer) care() {
	w.line("care:")
	switch {
	case w.soil:
		w.line("  # A new soil gives off ammonium: half of the water every second day for two weeks, then twice a week for two.")
		w.line("  - {every: 2 days, until: day 14, do: water-change, share: 50 %%}")
		w.line("  - {every: week, from: day 14, until: day 28, do: water-change, share: 50 %%}")
		w.line("  - {every: week, from: day 17, until: day 28, do: water-change, share: 50 %%}")
	default:
		w.line("  # A plain bed: a quarter of the water twice a week for four weeks.")
		w.line("  - {every: 3 days, until: day 28, do: water-change, share: 25 %%}")
	}
	w.line("  - {every: %s, from: day 28, do: water-change, share: %s %%}", everyWeeks(w.is.weeks), n(100*w.is.change))
	w.doses()
	w.cuts()
	tablets := int(max(2, math.Round(0.6*w.area/newTabletArea)))
	w.line("  # The bed feeds the roots through the first nine months.")
	if w.a.CO2 {
		w.line("  - {every: 3 months, from: day 270, do: root-feed, tablets: %d, tablet: plain, where: thin}", tablets)
	} else {
		w.line("  - {every: year, from: day 300, do: root-feed, tablets: %d, tablet: coated, where: thin}", tablets)
	}
	w.line("  - {every: week, from: day 7, do: glass}")
	w.line("  - {every: 2 weeks, from: day 28, do: siphon}")
	w.line("  - {every: 7 weeks, from: day 49, do: filter-clean}")
}

// doses gives potassium and iron from the first week, half as much until the plants have rooted, and nitrate and phosphate once the
// bed gives less. What the tap brings of the nitrate is left out of the dose.
func (w *writer) doses() {
	e := w.is
	tap := float64(w.a.TapNitrate) * (1 - w.pure) * e.change / float64(e.weeks) // mg/L a week
	no3 := math.Round(10*max(0, e.no3-tap)) / 10
	half := w.litres / 2 / 1000 // kL for each of two doses a week, so that mg/L gives g
	// Grams of salt for a gram of ion by molar mass: KNO3 101.10 of NO3 62.00, KH2PO4 136.09 of PO4 94.97, K2SO4 174.26 of 2 K 39.10.
	k := max(0, e.k-no3*39.10/62.00-e.po4*39.10/94.97)
	salts := func(no3, po4, k float64) string {
		var out []string
		for _, s := range []struct {
			name string
			mass float64
		}{{"KNO3", no3 * half * 101.10 / 62.00}, {"KH2PO4", po4 * half * 136.09 / 94.97}, {"K2SO4", k * half * 174.26 / (2 * 39.10)}} {
			if s.mass > 0 {
				out = append(out, s.name+": "+grams(s.mass))
			}
		}
		return strings.Join(out, ", ")
	}
	w.line("  # Weeks 1 to 4: potassium and iron only, half of what follows. Then a week's %s mg/L nitrate (the tap brings %s), %s phosphate, %s", n(no3), n(math.Round(10*tap)/10), n(e.po4), n(e.k))
	w.line("  # potassium and %s iron, in two parts, iron on a day of its own. Less when readings rise, more when they fall to nothing.", n(e.fe))
	w.line("  - {every: week, until: day 28, do: dose, salts: {%s}}", salts(0, 0, e.k))
	w.line("  - {every: week, from: day 1, until: day 28, do: dose, salts: {iron: %s}}", grams(e.fe*half))
	w.line("  - {every: week, from: day 29, do: dose, salts: {%s}}", salts(no3, e.po4, k))
	w.line("  - {every: week, from: day 32, do: dose, salts: {%s}}", salts(no3, e.po4, k))
	w.line("  - {every: week, from: day 30, do: dose, salts: {iron: %s}}", grams(2*e.fe*half))
}

// cuts plans the work on each planted species, at the trade's intervals; at half the pace without gas.
func (w *writer) cuts() {
	slow := 1.0
	if !w.a.CO2 {
		slow = 2
	}
	seen := map[string]bool{}
	for _, s := range w.planted {
		if seen[s.Name] {
			continue
		}
		// Not all on one day: much cut at once lets ammonium rise.
		shift := 7 * (len(seen) % 3)
		seen[s.Name] = true
		job := func(weeks float64, from int, do, how string) {
			w.line("  - {every: %s, from: day %d, do: %s, species: %s, %s}", everyWeeks(int(max(1, math.Round(weeks)))), from+shift, do, s.Name, how)
		}
		to := func(height float64) string { return "to: " + n(max(1.5, height)) + " cm" }
		every, tall := s.TrimWeeks, s.HeightCM.Max
		switch s.Form {
		case catalog.Stem, catalog.Carpet:
			switch {
			case tall > 15:
				job(slow*every.Mid(), 35, "trim", to(math.Round(max(5, min(0.5*(w.level-w.back), 0.6*tall)))))
			case s.Trim == "shear" || s.Form == catalog.Carpet && w.a.CO2:
				job(slow*every.Min, 49, "trim", to(math.Round(0.5*tall)/2))
			default:
				job(slow*every.Min, 49, "trim", to(math.Round(0.4*tall)))
			}
		case catalog.Runner:
			job(slow*every.Min, 84, "thin", "share: "+n(math.Round(35/slow))+" %")
		case catalog.Moss:
			job(slow*slow*every.Mid(), 56, "trim", "share: 40 %")
		case catalog.Rosette, catalog.Bulb:
			if tall > w.level-w.back { // it would lie at the surface
				job(every.Max, 168, "trim", "share: 25 %")
			} else {
				job((1+slow)/2*every.Max, 168, "trim", "share: 20 %")
			}
			if w.a.CO2 && s.Form == catalog.Rosette {
				job(26, 364, "thin", "share: 30 %")
			}
		case catalog.Rhizome:
			job(every.Min, 252, "trim", "share: 25 %")
		}
	}
}

func everyWeeks(n int) string {
	if n == 1 {
		return "week"
	}
	return fmt.Sprintf("%d weeks", n)
}

// grams writes a mass that a person can weigh, with two digits that count, and never as nothing.
func grams(x float64) string {
	unit := "g"
	if x < 0.1 {
		x, unit = max(1, 1000*x), "mg"
	}
	digits := int(max(0, 1-math.Floor(math.Log10(x))))
	return strconv.FormatFloat(x, 'f', digits, 64) + " " + unit
}
