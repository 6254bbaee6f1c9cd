package papers

import (
	"fmt"
	"littoral/internal/catalog"
	"littoral/internal/findings"
	"littoral/internal/forecast"
	"littoral/internal/growth"
	"littoral/internal/plan"
	"littoral/internal/unit"
	"math"
	"sort"
	"strings"
	"time"
)

// teller knows a forecast and the units in which to speak of it.
type teller struct {
	f      *forecast.Forecast
	found  []findings.Finding
	system unit.System
	house  *plan.House
	cat    *catalog.Catalog
}

func newTeller(f *forecast.Forecast, found []findings.Finding) *teller {
	t := &teller{f: f, system: unit.Metric}
	// Gravest first, then by day; the number of a finding is its place in this order everywhere.
	t.found = append(t.found, found...)
	sort.SliceStable(t.found, func(i, j int) bool {
		a, b := gravity(t.found[i].Severity), gravity(t.found[j].Severity)
		return a > b
	})
	t.house, t.cat = plan.DefaultHouse(), catalog.Default()
	if f.Plan != nil {
		if f.Plan.House != nil {
			t.house = f.Plan.House
		}
		if f.Plan.Cat != nil {
			t.cat = f.Plan.Cat
		}
	}
	if strings.EqualFold(t.house.Units, "US") {
		t.system = unit.US
	}
	return t
}

func gravity(severity string) int {
	switch severity {
	case "danger":
		return 3
	case "harm":
		return 2
	case "look":
		return 1
	}
	return 0
}

// round cuts a number to its true figures, also where they stand before the point: 1164 L with two figures is about 1200 L.
func round(v float64, figures int) float64 {
	if v == 0 || math.IsNaN(v) || math.IsInf(v, 0) {
		return v
	}
	p := math.Pow(10, float64(figures-1)-math.Floor(math.Log10(math.Abs(v))))
	return math.Round(v*p) / p
}

func (t *teller) length(m float64) string { return unit.FormatDigits(unit.KindLength, m, t.system, 2) }
func (t *teller) volume(l float64) string { return t.shown(unit.KindVolume, l/1000, 3) }
func (t *teller) mass(kg float64) string  { return t.shown(unit.KindMass, kg, 3) }
func (t *teller) about(kg float64) string {
	if kg == 0 {
		return "0"
	}
	return t.shown(unit.KindMass, kg, 2)
}

func (t *teller) temp(c float64) string     { return unit.Format(unit.KindTemperature, c, t.system) }
func (t *teller) load(pa float64) string    { return t.shown(unit.KindPressure, pa, 2) }
func (t *teller) clock(s unit.Clock) string { return unit.Format(unit.KindClock, float64(s), t.system) }

// shown rounds in the unit shown, so that gallons and pounds get round numbers too.
func (t *teller) shown(kind unit.Kind, v float64, figures int) string {
	s := unit.FormatDigits(kind, v, t.system, 12)
	number, name, found := strings.Cut(s, " ")
	if !found {
		return s
	}
	var x float64
	if _, err := fmt.Sscan(number, &x); err != nil {
		return s
	}
	return figure(x, figures) + " " + name
}

// figure writes a number with at most so many figures and without a power of ten.
func figure(x float64, figures int) string {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return "not known"
	}
	x = round(x, figures)
	places := 0
	if a := math.Abs(x); a > 0 {
		places = max(0, figures-1-int(math.Floor(math.Log10(a)+1e-12)))
	}
	s := fmt.Sprintf("%.*f", min(places, 6), x)
	if strings.Contains(s, ".") {
		s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	}
	if s == "-0" {
		return "0"
	}
	return s
}

func percent(share float64) string { return figure(100*share, 2) + " %" }

// spanOf writes a range, or one number where both ends read the same.
func spanOf(lo, hi float64, figures int) string {
	a, b := figure(lo, figures), figure(hi, figures)
	if a == b {
		return a
	}
	return a + " to " + b
}

// date is the calendar date of a day; ok is false when the plan names no planting date.
func (t *teller) date(day int) (time.Time, bool) {
	if t.f.Plan == nil || t.f.Plan.Planted == "" {
		return time.Time{}, false
	}
	d, err := time.Parse("2006-01-02", t.f.Plan.Planted)
	if err != nil {
		return time.Time{}, false
	}
	return d.AddDate(0, 0, day), true
}

// when names a day, with its date when the plan has a calendar.
func (t *teller) when(day int) string {
	s := unit.FormatDay(unit.Day(day))
	if d, ok := t.date(day); ok {
		s += ", " + d.Format("2 January 2006")
	}
	return s
}

// where names a place on the floor by thirds.
func (t *teller) where(x, y float64) string {
	if t.f.Model == nil || x < 0 || y < 0 {
		return ""
	}
	k := t.f.Model.Tank
	third := func(v, l float64, words [3]string) string {
		switch {
		case v < l/3:
			return words[0]
		case v > 2*l/3:
			return words[2]
		}
		return words[1]
	}
	depth := third(y, k.LY, [3]string{"front", "middle", "back"})
	side := third(x, k.LX, [3]string{"left", "", "right"})
	if side == "" {
		if depth == "middle" {
			return "centre"
		}
		return depth + " centre"
	}
	return depth + " " + side
}

// plain writes characters that the report's fonts lack in another way.
var plain = strings.NewReplacer("₀", "0", "₁", "1", "₂", "2", "₃", "3", "₄", "4", "₅", "5", " m⁻² s⁻¹", "/m²/s", "·m⁻²·s⁻¹", "/m²/s", "⁻¹", "/", "⁻", "-", "⁺", "+",
	"≤ ", "at most ", "≥ ", "at least ", "≤", "at most ", "≥", "at least ", "→", "to", "≈ ", "about ", "≈", "about ", "μ", "µ").Replace

// tankLine says what the tank is in one line.
func (t *teller) tankLine() string {
	k := t.f.Model.Tank
	measures := ""
	each := func(m float64) string {
		s := t.length(m)
		n, _, _ := strings.Cut(s, " ")
		return n
	}
	unitName := func(m float64) string { _, u, _ := strings.Cut(t.length(m), " "); return u }
	switch {
	case k.Shape == "cylinder":
		measures = fmt.Sprintf("%s across, %s high", t.length(k.LX), t.length(k.Height))
	case unitName(k.LX) == unitName(k.Height) && unitName(k.LX) == unitName(k.LY):
		measures = fmt.Sprintf("%s × %s × %s", each(k.LX), each(k.LY), t.length(k.Height))
	default:
		measures = fmt.Sprintf("%s × %s × %s", t.length(k.LX), t.length(k.LY), t.length(k.Height))
	}
	return fmt.Sprintf("%s, %s, %s of water", capital(k.Shape), measures, t.volume(t.f.Model.Facts.NetWaterL))
}

func capital(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}

func count(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}

// last is the final day; nil when nothing was forecast.
func (t *teller) last() *forecast.Day {
	if len(t.f.Days) == 0 {
		return nil
	}
	return &t.f.Days[len(t.f.Days)-1]
}

// ranged gives the lowest and highest of a value over days from..to, and the day of each.
func (t *teller) ranged(from, to int, of func(*forecast.Day) float64) (lo, hi float64, loDay, hiDay int) {
	lo, hi = math.Inf(1), math.Inf(-1)
	for i := range t.f.Days {
		d := &t.f.Days[i]
		if d.Day < from || d.Day > to {
			continue
		}
		v := of(d)
		if math.IsNaN(v) || math.IsInf(v, 0) {
			continue
		}
		if v < lo {
			lo, loDay = v, d.Day
		}
		if v > hi {
			hi, hiDay = v, d.Day
		}
	}
	if math.IsInf(lo, 0) {
		return 0, 0, 0, 0
	}
	return
}

// total sums a value over days from..to.
func (t *teller) total(from, to int, of func(*forecast.Day) float64) float64 {
	var s float64
	for i := range t.f.Days {
		if d := &t.f.Days[i]; d.Day >= from && d.Day <= to {
			if v := of(d); !math.IsNaN(v) && !math.IsInf(v, 0) {
				s += v
			}
		}
	}
	return s
}

// tallest is the plant that stands highest in a snapshot; nil without plants.
func tallest(s *forecast.Snapshot) *growth.PlantState {
	var best *growth.PlantState
	for i := range s.Plants {
		if best == nil || s.Plants[i].HeightM > best.HeightM {
			best = &s.Plants[i]
		}
	}
	return best
}

// pots counts the pots put in on day 0 and their species.
func (t *teller) pots() (pots, species int) {
	seen := map[string]bool{}
	if t.f.Plan == nil {
		return
	}
	for _, p := range t.f.Plan.Plants {
		if p.From > 0 {
			continue
		}
		pots += p.Pots
		seen[t.accepted(p.Species)] = true
	}
	return pots, len(seen)
}

// accepted is the catalogue's name of a species, or the name as written.
func (t *teller) accepted(name string) string {
	if sp, ok := t.cat.Species(name); ok {
		return sp.Name
	}
	return name
}

// sentences are the ten that a practitioner would read aloud, in the order of the job.
func (t *teller) sentences() []string {
	f := t.f
	facts := f.Model.Facts
	var out []string
	say := func(format string, a ...any) { out = append(out, plain(fmt.Sprintf(format, a...))) }
	say("%s: %s, standing at about %s when filled, %s under its footprint.", f.Plan.Name, lowerFirst(t.tankLine()), t.mass(facts.FilledKG), t.load(facts.LoadPa))
	pots, species := t.pots()
	switch {
	case f.Plan.Found != nil:
		say("The forecast begins from the tank as found, with %s of %s, and runs %s.", count(pots, "planting unit", "planting units"), count(species, "species", "species"), count(f.Length, "day", "days"))
	case pots == 0:
		say("Nothing is planted on day 0; the forecast runs %s.", count(f.Length, "day", "days"))
	default:
		say("%s of %s go in on day 0 over %s of bed; order %d with the house's spare.", capital(count(pots, "pot", "pots")), count(species, "species", "species"), t.volume(facts.BedL), t.ordered())
	}
	out = append(out, t.earlySentence(), t.coverSentence(), t.waterSentence(), t.gasSentence(), t.growthSentence(), t.soilSentence(), t.workSentence(), t.findingSentence())
	return out
}

func lowerFirst(s string) string {
	if s == "" {
		return s
	}
	return strings.ToLower(s[:1]) + s[1:]
}

// ordered counts pots of day 0 with the house's spare, rounded up for each species.
func (t *teller) ordered() int {
	n := 0
	for _, o := range t.plantOrders() {
		if o.Day <= 0 {
			n += o.Order
		}
	}
	return n
}

func (t *teller) earlySentence() string {
	_, nh4, _, nh4Day := t.ranged(0, 56, func(d *forecast.Day) float64 { return d.NH4 })
	_, no2, _, no2Day := t.ranged(0, 56, func(d *forecast.Day) float64 { return d.NO2 })
	safe := findings.SafeFor(t.f, "fish")
	again := ""
	if n := len(safe.Again); n > 0 {
		again = fmt.Sprintf(", and they stand over them again from day %d to day %d", safe.Again[0].From, safe.Again[0].Until)
		if n > 1 {
			again += fmt.Sprintf(" and %s more", count(n-1, "time", "times"))
		}
	}
	s := fmt.Sprintf("Ammonium peaks at %s mg/L on day %d and nitrite at %s mg/L on day %d", figure(nh4, 2), nh4Day, figure(no2, 2), no2Day)
	switch {
	case safe.Day < 0:
		return s + "; they have not settled by the end, so no animals yet."
	case nh4 < .1 && no2 < .1:
		return fmt.Sprintf("Ammonium and nitrite stay under 0.1 mg/L through the first eight weeks (at most %s and %s)%s.", figure(nh4, 2), figure(no2, 2), again)
	}
	s += fmt.Sprintf("; they stay under the house's limits for fish from day %d", safe.Day)
	if shrimp := findings.SafeFor(t.f, "shrimp"); shrimp.Day > safe.Day {
		s += fmt.Sprintf(" and for shrimps from day %d", shrimp.Day)
	}
	return s + again + ": animals wait until then and until tests agree twice."
}

func (t *teller) coverSentence() string {
	day := func(share float64) int {
		for i := range t.f.Days {
			if t.f.Days[i].Cover >= share {
				return t.f.Days[i].Day
			}
		}
		return -1
	}
	_, most, _, top := t.ranged(0, t.f.Length, func(d *forecast.Day) float64 { return d.Cover })
	half, full := day(.5), day(.9)
	switch {
	case full == 0:
		return "Leaves cover nine tenths of the open bed from the start."
	case half == 0 && full < 0:
		return fmt.Sprintf("Leaves cover half of the open bed from the start and at most %s of it, %s.", percent(most), at(top))
	case half == 0:
		return fmt.Sprintf("Leaves cover half of the open bed from the start and nine tenths by %s.", unit.FormatDay(unit.Day(full)))
	case full >= 0:
		return fmt.Sprintf("Leaves cover half of the open bed by day %d and nine tenths by %s.", max(half, 0), unit.FormatDay(unit.Day(full)))
	case half >= 0:
		return fmt.Sprintf("Leaves cover half of the open bed by %s and at most %s of it, %s.", unit.FormatDay(unit.Day(half)), percent(most), at(top))
	}
	return fmt.Sprintf("Leaves never cover half of the open bed; the most is %s, %s.", percent(most), at(top))
}

// at says when in a sentence: on day 3, in week 8, in month 12.
func at(day int) string {
	s := unit.FormatDay(unit.Day(day))
	if strings.HasPrefix(s, "day") {
		return "on " + s
	}
	return "in " + s
}

// steady is the stretch that stands for the running tank: month 3 to month 12, or what there is of it.
func (t *teller) steady() (from, to int) {
	to = min(365, t.f.Length)
	return min(91, to/2), to
}

func (t *teller) waterSentence() string {
	a, b := t.steady()
	lo, hi, _, _ := t.ranged(a, b, func(d *forecast.Day) float64 { return d.NO3 })
	plo, phi, _, _ := t.ranged(a, b, func(d *forecast.Day) float64 { return d.PO4 })
	klo, khi, _, _ := t.ranged(a, b, func(d *forecast.Day) float64 { return d.KH })
	return fmt.Sprintf("From %s to %s nitrate runs %s mg/L and phosphate %s mg/L at KH %s.", unit.FormatDay(unit.Day(a)), unit.FormatDay(unit.Day(b)), spanOf(lo, hi, 2), spanOf(plo, phi, 2), spanOf(klo, khi, 2))
}

func (t *teller) gasSentence() string {
	a, b := t.steady()
	c, _, _, _ := t.ranged(a, b, func(d *forecast.Day) float64 { return d.CO2On })
	_, cmax, _, cday := t.ranged(a, b, func(d *forecast.Day) float64 { return d.CO2Max })
	o, _, oday, _ := t.ranged(0, t.f.Length, func(d *forecast.Day) float64 { return d.O2Dawn })
	if len(t.f.Plan.CO2) == 0 {
		return fmt.Sprintf("Without injected gas CO2 falls to %s mg/L while the light is on, and oxygen at dawn is never under %s mg/L (%s).", figure(c, 2), figure(o, 2), unit.FormatDay(unit.Day(oday)))
	}
	n := max(1, float64(b-a+1))
	mean := func(of func(*forecast.Day) float64) float64 { return t.total(a, b, of) / n }
	on, lit := mean(func(d *forecast.Day) float64 { return d.CO2Dawn }), mean(func(d *forecast.Day) float64 { return d.CO2On })
	s := fmt.Sprintf("CO2 stands at %s mg/L when the light comes on and at %s through the light hours", figure(on, 2), figure(lit, 2))
	if peak := figure(cmax, 2); peak != figure(lit, 2) {
		s += fmt.Sprintf(", at most %s (%s)", peak, unit.FormatDay(unit.Day(cday)))
	}
	// By night the gas is off.
	night := mean(func(d *forecast.Day) float64 { return d.CO2Night })
	dawn, dusk := mean(func(d *forecast.Day) float64 { return d.PHDawn }), mean(func(d *forecast.Day) float64 { return d.PHDusk })
	if night > 0 && night < .9*lit {
		s += fmt.Sprintf("; by night it falls to %s, and pH goes from %.1f at lights-off to %.1f", figure(night, 2), dusk, dawn)
	}
	return fmt.Sprintf("%s; oxygen at dawn is never under %s mg/L (%s).", s, figure(o, 2), unit.FormatDay(unit.Day(oday)))
}

func (t *teller) growthSentence() string {
	s := nearest(t.f, min(365, t.f.Length))
	if s == nil || len(s.Plants) == 0 {
		return "No plant is standing at the end of the first year."
	}
	p := tallest(s)
	name := "a plant without a name"
	if p.Species != nil {
		name = p.Species.Name
	}
	return fmt.Sprintf("By %s %s stands tallest with %s, and all shoots together weigh about %s dry.", unit.FormatDay(unit.Day(s.Day)), name, t.length(p.HeightM), t.about(t.shootAt(s.Day)/1000))
}

func (t *teller) shootAt(day int) float64 {
	best := 0.0
	for i := range t.f.Days {
		if t.f.Days[i].Day <= day {
			best = t.f.Days[i].ShootG
		}
	}
	return best
}

func (t *teller) soilSentence() string {
	if len(t.f.Days) == 0 {
		return "Nothing is known of the bed."
	}
	first, last := &t.f.Days[0], t.last()
	left := func(a, b float64) float64 {
		if a <= 0 {
			return 1
		}
		return b / a
	}
	n, p := left(first.SoilN, last.SoilN), left(first.SoilP, last.SoilP)
	short, soon := "", 999.0
	var patch forecast.Patch
	for i := range t.f.Snapshots {
		s := &t.f.Snapshots[i]
		for _, q := range s.Soil {
			if q.Months <= .5 && s.Day > 30 {
				soon, patch = float64(s.Day), q
				break
			}
		}
		if soon < 999 {
			break
		}
	}
	if soon < 999 && t.f.Columns != nil && t.f.Columns.NX > 0 {
		c := t.f.Columns
		x, y := (float64(patch.Column%c.NX)+.5)*c.Cell, (float64(patch.Column/c.NX)+.5)*c.Cell
		short = fmt.Sprintf("; the first patch runs short of %s %s, %s", element(patch.Short), at(int(soon)), t.where(x, y))
	}
	return fmt.Sprintf("At the end the root zone holds %s the nitrogen and %s the phosphorus of day 0%s.", times(n), times(p), short)
}

// times writes a share, or a multiple where there is more than before.
func times(share float64) string {
	if share > 1.2 {
		return figure(share, 2) + " times"
	}
	return percent(share) + " of"
}

func element(s string) string {
	switch s {
	case "N":
		return "nitrogen"
	case "P":
		return "phosphorus"
	case "K":
		return "potassium"
	case "":
		return "supply"
	}
	return s
}

func (t *teller) workSentence() string {
	y := min(365, t.f.Length)
	minutes := t.total(0, y, func(d *forecast.Day) float64 { return d.Minutes })
	changed := t.total(0, y, func(d *forecast.Day) float64 { return d.ChangedL })
	var wet float64
	for i := range t.f.Events {
		if e := &t.f.Events[i]; e.Day <= y && e.Day >= 0 {
			wet += e.FreshG
		}
	}
	months := max(1, float64(y)/30.44)
	over := "the first year"
	if y < 360 {
		over = count(y, "day", "days")
	}
	return fmt.Sprintf("Care over %s takes about %s a month on site, %s of water changed and %s of cut plants, weighed wet.", over, hours(minutes/months), t.volume(changed), t.about(wet/1000)) + t.costTail()
}

// costTail follows the work with what it costs, where prices are stated.
func (t *teller) costTail() string {
	if s := t.costSentence(); s != "" {
		return " " + s
	}
	return ""
}

// hours writes minutes as the trade speaks of them.
func hours(minutes float64) string {
	if minutes < 10 {
		return figure(math.Round(minutes), 2) + " min"
	}
	if minutes < 90 {
		return figure(math.Round(minutes/5)*5, 2) + " min"
	}
	return figure(minutes/60, 2) + " h"
}

// told is how many harmful folds the last of the ten lines names beside the first.
const told = 3

func (t *teller) findingSentence() string {
	if len(t.found) == 0 {
		return "The rules found nothing to warn of."
	}
	grave := 0
	for _, x := range t.found {
		if gravity(x.Severity) >= 2 {
			grave++
		}
	}
	folds := t.folded()
	harm := "none of them harmful"
	if grave > 0 {
		harm = fmt.Sprintf("%d of them harmful", grave)
	}
	what := count(len(t.found), "finding", "findings")
	if len(folds) < len(t.found) {
		what += fmt.Sprintf(" on %s", count(len(folds), "matter", "matters"))
	}
	first := "the first to look at"
	if grave > 0 {
		first = "the gravest"
	}
	s := fmt.Sprintf("%s, %s; %s: %s", capital(what), harm, first, folds[0].sentence())
	if x := folds[0].Members[0]; x.Do != "" {
		s += " " + full(x.Do)
	}
	// Every danger is named, and then harm while there is room.
	var also []string
	for i := range folds[1:] {
		g := gravity(folds[i+1].Members[0].Severity)
		if g == 3 || g == 2 && len(also) < told {
			also = append(also, folds[i+1].sentence())
		}
	}
	if len(also) > 0 {
		s += " Besides: " + strings.Join(also, " ")
	}
	return plain(s)
}

// full ends a sentence with its stop.
func full(s string) string {
	s = strings.TrimSpace(s)
	if s == "" || strings.HasSuffix(s, ".") || strings.HasSuffix(s, "?") {
		return s
	}
	return s + "."
}

// nearest is the snapshot nearest to a day; nil when there is none.
func nearest(f *forecast.Forecast, day int) *forecast.Snapshot {
	var best *forecast.Snapshot
	for i := range f.Snapshots {
		s := &f.Snapshots[i]
		if best == nil || dist(s.Day, day) < dist(best.Day, day) {
			best = s
		}
	}
	return best
}

func dist(a, b int) int {
	if a < b {
		return b - a
	}
	return a - b
}
