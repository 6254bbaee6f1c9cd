package findings

import (
	"fmt"
	"littoral/internal/catalog"
	"littoral/internal/forecast"
	"littoral/internal/growth"
	"littoral/internal/plan"
	"littoral/internal/unit"
	"math"
	"sort"
)

// Severities, worst first: danger to animals, people or the building; harm to plants or the picture; something to look at; a note.
const (
	Danger = "danger"
	Harm   = "harm"
	Look   = "look"
	Note   = "note"
)

var weight = map[string]int{Danger: 0, Harm: 1, Look: 2, Note: 3}

// Worse tells whether severity a is at least as bad as b; unknown words count as a note.
func Worse(a, b string) bool { return order(a) <= order(b) }

func order(s string) int {
	if w, ok := weight[s]; ok {
		return w
	}
	return weight[Note]
}

// rules are all that Read applies, in the order in which equal findings are told.
var rules = []func(*view) []Finding{
	ammoniaAndNitrite, co2AndAnimals, oxygenAtDawn, animalsOutOfWater, animalsTooEarly, animalsEatPlants, animalLoad, smallGroups,
	overheats, heaterSmall, tankAsFound, suddenChange, plantsOutOfRange, tooDark, tooBright, outgrows, shaded, matTooThick, bulbsRest, nutrientsShort, nutrientsHigh, ironFallsOut,
	carbonShort, rootZoneShort, bufferSpent, steepSlope, slopeCreeps, sandMixes, hazy, filterFlow, melt, floorLoad, regions, plantsLost, algaeInvited, filmOnLeaves,
}

// Read applies every rule and returns the findings, worst first, then by day; a finding's ID is stable for the same forecast.
func Read(f *forecast.Forecast) []Finding {
	if f == nil || f.Plan == nil || len(f.Days) == 0 {
		return nil
	}
	v := newView(f)
	var all []Finding
	for _, rule := range rules {
		for _, x := range rule(v) {
			if x.Day <= f.Length { // what lies beyond the forecast is not known
				all = append(all, x)
			}
		}
	}
	for i := range all {
		seen(f.Plan.Found, &all[i])
	}
	sort.SliceStable(all, func(a, b int) bool {
		if x, y := order(all[a].Severity), order(all[b].Severity); x != y {
			return x < y
		}
		return all[a].Day < all[b].Day
	})
	count := map[string]int{}
	for i := range all {
		count[all[i].Rule]++
		all[i].ID = fmt.Sprintf("%s-%d", all[i].Rule, count[all[i].Rule])
		if all[i].When == "" {
			all[i].When = when(all[i].Day, all[i].Until, f.Length)
		}
		all[i].CanTry = v.cureOf(&all[i]) != nil
	}
	return all
}

// when says a span of days the way one would aloud.
func when(from, until, length int) string {
	first := unit.FormatDay(unit.Day(from))
	switch {
	case until <= from:
		return "on " + first
	case until >= length-7:
		return "from " + first + " on"
	}
	return "from " + first + " to " + unit.FormatDay(unit.Day(until))
}

// view is a forecast with what many rules ask for worked out once.
type view struct {
	f     *forecast.Forecast
	p     *plan.Plan
	house *plan.House
	crops []*crop
	load  []herd
}

// herd is a group of animals with its species.
type herd struct {
	stock  *plan.Stock
	animal *catalog.Animal
	until  int // last day in the tank
}

// crop is one planting through time: a value per snapshot, averaged over its living plants.
type crop struct {
	id      string
	species *catalog.Species
	on      string // the piece it sits on; empty when it roots in the bed or floats
	x, y    float64
	days    []int
	n       []float64
	ppfd    []float64 // mean light of its leaves
	top     []float64 // light on its tops
	height  []float64 // tallest, m above its crown
	reach   []float64 // highest point over the bottom glass, m
	spread  []float64 // widest, m
	shoot   []float64 // g dry
	limits  []growth.Limits
	shader  []string
	deepest []float64 // light on the plant that is worst off
	film    []float64 // share of its light that the film on its leaves takes
}

func newView(f *forecast.Forecast) *view {
	v := &view{f: f, p: f.Plan, house: f.Plan.House}
	if v.house == nil {
		v.house = plan.DefaultHouse()
	}
	byID := map[string]*crop{}
	for _, s := range f.Snapshots {
		seen := map[*crop][]growth.PlantState{}
		var orderSeen []*crop
		for _, st := range s.Plants {
			c := byID[st.Planting]
			if c == nil {
				c = &crop{id: st.Planting, species: st.Species, on: st.On}
				byID[st.Planting] = c
				v.crops = append(v.crops, c)
			}
			if _, ok := seen[c]; !ok {
				orderSeen = append(orderSeen, c)
			}
			seen[c] = append(seen[c], st)
		}
		for _, c := range orderSeen {
			c.add(s.Day, seen[c])
		}
	}
	for i := range f.Plan.Livestock {
		s := &f.Plan.Livestock[i]
		animal, ok := f.Plan.Cat.Animal(s.Species)
		if !ok {
			continue
		}
		until := f.Length
		if s.Until > 0 {
			until = min(until, int(s.Until))
		}
		v.load = append(v.load, herd{s, animal, until})
	}
	return v
}

// add averages the plants of a crop on a day.
func (c *crop) add(day int, plants []growth.PlantState) {
	var ppfd, top, height, reach, spread, shoot, film, x, y float64
	deepest := math.Inf(1)
	var lim growth.Limits
	shade := map[string]int{}
	n := float64(len(plants))
	for _, s := range plants {
		ppfd += s.PPFD / n
		top += s.TopPPFD / n
		height = math.Max(height, s.HeightM)
		reach = math.Max(reach, s.Z+s.HeightM)
		spread = math.Max(spread, s.SpreadM)
		shoot += s.ShootG
		x += s.X / n
		y += s.Y / n
		deepest = math.Min(deepest, s.PPFD)
		film += s.FilmTake / n
		if s.Shader != "" {
			shade[s.Shader]++
		}
		for _, p := range []struct{ to, from *float64 }{
			{&lim.Light, &s.Limits.Light},
			{&lim.CO2, &s.Limits.CO2},
			{&lim.N, &s.Limits.N},
			{&lim.P, &s.Limits.P},
			{&lim.K, &s.Limits.K},
			{&lim.Fe, &s.Limits.Fe},
			{&lim.Temp, &s.Limits.Temp},
			{&lim.Space, &s.Limits.Space},
			{&lim.Room, &s.Limits.Room},
			{&lim.Water, &s.Limits.Water},
			{&lim.Settle, &s.Limits.Settle},
		} {
			*p.to += *p.from / n
		}
	}
	if len(c.days) == 0 {
		c.x, c.y = x, y
	}
	shader, most := "", 0
	names := make([]string, 0, len(shade))
	for name := range shade {
		names = append(names, name)
	}
	sort.Strings(names)
	for _, name := range names {
		if shade[name] > most {
			shader, most = name, shade[name]
		}
	}
	if 2*most < len(plants) {
		shader = ""
	}
	c.days = append(c.days, day)
	c.n = append(c.n, n)
	c.ppfd = append(c.ppfd, ppfd)
	c.top = append(c.top, top)
	c.height = append(c.height, height)
	c.reach = append(c.reach, reach)
	c.spread = append(c.spread, spread)
	c.shoot = append(c.shoot, shoot)
	c.limits = append(c.limits, lim)
	c.shader = append(c.shader, shader)
	c.deepest = append(c.deepest, deepest)
	c.film = append(c.film, film)
}

// span is the first run of at least need snapshots, after the day from, in which test holds; ok is false when there is none.
func (c *crop) span(from, need int, test func(i int) bool) (first, last int, ok bool) {
	start := -1
	for i := range c.days {
		if c.days[i] >= from && test(i) {
			if start < 0 {
				start = i
			}
			continue
		}
		if start >= 0 && i-start >= need {
			return start, i - 1, true
		}
		start = -1
	}
	if start >= 0 && len(c.days)-start >= need {
		return start, len(c.days) - 1, true
	}
	return 0, 0, false
}

// days is the first run of at least need days, from the day from on, in which test holds.
func (v *view) days(from, need int, test func(d *forecast.Day) bool) (first, last int, ok bool) {
	start := -1
	for i := range v.f.Days {
		if i >= from && test(&v.f.Days[i]) {
			if start < 0 {
				start = i
			}
			continue
		}
		if start >= 0 && i-start >= need {
			return start, i - 1, true
		}
		start = -1
	}
	if start >= 0 && len(v.f.Days)-start >= need {
		return start, len(v.f.Days) - 1, true
	}
	return 0, 0, false
}

// mean averages a daily value over days first to last.
func (v *view) mean(first, last int, value func(d *forecast.Day) float64) float64 {
	sum, n := 0.0, 0
	for i := max(0, first); i <= last && i < len(v.f.Days); i++ {
		sum += value(&v.f.Days[i])
		n++
	}
	if n == 0 {
		return 0
	}
	return sum / float64(n)
}

// where names a place in the tank as seen from the front.
func (v *view) where(x, y float64) string {
	t := v.f.Model.Tank
	side := "middle"
	switch {
	case x < t.LX/3:
		side = "left"
	case x > 2*t.LX/3:
		side = "right"
	}
	depth := "middle"
	switch {
	case y < t.LY/3:
		depth = "front"
	case y > 2*t.LY/3:
		depth = "back"
	}
	switch {
	case side == "middle" && depth == "middle":
		return "middle of the tank"
	case side == "middle":
		return depth + " middle"
	case depth == "middle":
		return side + ", halfway back"
	}
	return depth + " " + side
}

// causes adds up what held a planting back over the months that touch a span of days, as shares of all that was lost, largest
// first, and how fast it grew on the (geometric) mean against what its species can.
func (v *view) causes(id string, from, until int) (causes []growth.Cause, reached float64) {
	days, loss := 0.0, 0.0
	sum := map[string]float64{}
	var names []string
	for i := range v.f.Held {
		m := &v.f.Held[i]
		if m.Planting != id || m.Until < from || m.From > until || m.Reached <= 0 {
			continue
		}
		n := float64(m.Until - m.From + 1)
		lost := -math.Log(m.Reached)
		days += n
		loss += n * lost
		for _, c := range m.Shares.Causes() {
			if _, ok := sum[c.Name]; !ok {
				names = append(names, c.Name)
			}
			sum[c.Name] += n * lost * c.Share
		}
	}
	if days == 0 || loss <= 0 {
		return nil, 1
	}
	for _, name := range names {
		causes = append(causes, growth.Cause{Name: name, Share: sum[name] / loss})
	}
	sort.SliceStable(causes, func(a, b int) bool { return causes[a].Share > causes[b].Share })
	return causes, math.Exp(-loss / days)
}

// heldBack says in a sentence what held a planting back over a span.
func (v *view) heldBack(id string, from, until int) string {
	causes, reached := v.causes(id, from, until)
	var parts []string
	for _, c := range causes {
		if c.Share >= 0.1 && len(parts) < 3 {
			parts = append(parts, fmt.Sprintf("%s %.0f %%", c.Name, 100*c.Share))
		}
	}
	if len(parts) == 0 {
		return ""
	}
	return fmt.Sprintf("It grows at %.0f %% of what its kind can; of what is lost, %s.", 100*reached, list(parts, 3))
}

// nowhere is the place of a finding about the water.
func nowhere(f Finding) Finding {
	f.X, f.Y = -1, -1
	if f.Where == "" {
		f.Where = "water"
	}
	return f
}

// at sets a finding on a crop. Where the rule is about growth that stays behind, it adds what held the crop back over its span.
func (v *view) at(c *crop, f Finding) Finding {
	switch f.Rule {
	case "light-low", "shaded", "film-on-leaves", "co2-short", "dies-out", "nitrogen-short", "phosphorus-short", "potassium-short", "iron-short":
		if text := v.heldBack(c.id, f.Day, f.Until); text != "" {
			f.Because += " " + text
		}
	}
	f.X, f.Y, f.Where, f.Subject = c.x, c.y, v.where(c.x, c.y), c.species.Name
	return f
}

func (v *view) crop(id string) *crop {
	for _, c := range v.crops {
		if c.id == id {
			return c
		}
	}
	return nil
}
