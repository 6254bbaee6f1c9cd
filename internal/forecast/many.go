package forecast

import (
	"context"
	"fmt"
	"littoral/internal/light"
	"littoral/internal/plan"
	"math"
	"runtime"
	"slices"
	"sort"
	"strings"
	"sync"
	"sync/atomic"
)

// MostMembers bounds RunMany.
const MostMembers = 1000

// Band is what one, five and nine of ten members stay under. A date that a member does not see within the forecast counts as later
// than all others.
type Band struct{ Low, Mid, High float64 }

// Bands is what many forecasts of one plan say together, each with other values of the uncertain numbers.
type Bands struct {
	Members   int
	Seed      uint64
	Length    int            // days
	Days      []int          // of the series below
	Series    []SeriesBand   // of the whole tank
	Plantings []PlantingBand // by id
	Totals    []TotalBand    // work and harvest by year
	Dates     []DateBand
	Drivers   []Driver // strongest first within each outcome
	Threshold float64  // rank correlation that chance alone exceeds once in a hundred times at this number of members
}

// SeriesBand is a number of the whole tank through time.
type SeriesBand struct {
	Name, Unit string
	Bands      []Band // by Bands.Days
}

// PlantingBand is a planting through time; where it does not live it counts as 0.
type PlantingBand struct {
	Planting, Species string
	HeightM           []Band // of its tallest plant over its crown
	ShootG            []Band // dry
}

// TotalBand is what a year brings, per month.
type TotalBand struct {
	Year                 int  // 1 is the first
	TrimMinutes, Minutes Band // of cutting; of all care
	HarvestG             Band // wet
}

// DateBand is the day on which something first holds.
type DateBand struct {
	Name  string
	Share float64 // of the members that see it within the forecast
	Day   Band    // a part that is not reached within the forecast is −1
}

// Driver is a kind of parameter whose draws go with an outcome over the members.
type Driver struct {
	Outcome, Parameter string
	Rank               float64 // rank correlation (Spearman), −1 to 1
}

// brief is what a member keeps.
type brief struct {
	days      []int
	shoot     []float64
	no3, po4  []float64
	plantings map[string]*briefPlanting
	names     []string

	reserve, spent, covered int // first days; −1 = not yet
	lastToxic               int
	trim, minutes, harvest  []float64 // by year
}

type briefPlanting struct {
	species       string
	height, shoot []float64 // by week, as long as the list of weeks when last seen
}

// toxic is the ammonium or nitrite, mg/L, over which the trade puts in no animals.
const toxic = 0.1

// ShortMonths is how little supply a patch of bed may have left before the trade feeds it; one round of plain tablets lasts two to
// four months, so a patch under two is due (common practice, no source).
const ShortMonths = 2.0

// ReserveShort tells from the patches of a bed whether its root zone runs short: a twentieth of what something roots in, and no fewer
// than three patches, hold less than ShortMonths of supply.
func ReserveShort(patches []Patch) bool {
	rooted, short := 0, 0
	for _, p := range patches {
		if p.Months < 999 {
			rooted++
		}
		if p.Months < ShortMonths {
			short++
		}
	}
	return rooted > 0 && short >= max(3, rooted/20)
}

// grownIn is the day from which the reserve is judged; before it the demand is not known.
const grownIn = 42

// note takes what a member keeps of a day.
func (b *brief) note(r *run, row *Day, weekly bool) {
	if row.Day < 0 {
		return
	}
	if row.Day < 90 && (row.NH4 > toxic || row.NO2 > toxic) {
		b.lastToxic = row.Day
	}
	if b.covered < 0 && row.Cover >= 0.9 {
		b.covered = row.Day
	}
	if left, fresh := r.bed.Buffer(); b.spent < 0 && fresh > 0 && left <= 0.1*fresh {
		b.spent = row.Day
	}
	if !weekly {
		return
	}
	week := len(b.days)
	b.days = append(b.days, row.Day)
	b.shoot, b.no3, b.po4 = append(b.shoot, row.ShootG), append(b.no3, row.NO3), append(b.po4, row.PO4)
	for _, s := range r.stand.Sums() {
		p := b.plantings[s.Planting]
		if p == nil {
			p = &briefPlanting{species: s.Species.Name}
			b.plantings[s.Planting] = p
			b.names = append(b.names, s.Planting)
		}
		for len(p.height) < week {
			p.height, p.shoot = append(p.height, 0), append(p.shoot, 0)
		}
		p.height, p.shoot = append(p.height, s.HeightM), append(p.shoot, s.ShootG)
	}
	if b.reserve < 0 && (row.Day >= grownIn || r.p.Found != nil) && ReserveShort(r.patches()) {
		b.reserve = row.Day
	}
}

// close sums up the work.
func (b *brief) close(r *run) {
	years := (r.days + 364) / 365
	b.trim, b.minutes, b.harvest = make([]float64, years), make([]float64, years), make([]float64, years)
	r.visits()
	for i := range r.out.Visits { // what a visit takes besides its tasks
		if day := r.out.Visits[i].Day; day >= 1 && day <= r.days {
			b.minutes[min(day/365, years-1)] += visitMinutes
		}
	}
	for i := range r.out.Events {
		e := &r.out.Events[i]
		if e.Day < 1 || e.Day > r.days { // the day of planting is a job of its own
			continue
		}
		y := min(e.Day/365, years-1)
		b.minutes[y] += e.Minutes
		if cutting[e.Kind] {
			b.trim[y] += e.Minutes
			b.harvest[y] += e.FreshG
		}
	}
	for y := range years {
		months := float64(min(365, r.days-365*y)) / daysMonth
		b.trim[y] /= months
		b.minutes[y] /= months
		b.harvest[y] /= months
	}
}

// cutting are the kinds of events in which plants are cut.
var cutting = map[string]bool{"trim": true, "thin": true, "outer-leaves": true, "replant-tops": true, "pull-runners": true, "replace": true}

// RunMany forecasts a plan as many times as there are members, with other values of the uncertain numbers each time, and tells what
// they say together. Members share geometry and light tables and run on all processors; their number changes no result. Options.Keep is
// not used; Options.Progress is told the days of all members together, one call at a time, from several goroutines.
func RunMany(ctx context.Context, p *plan.Plan, opt Options, members int) (*Bands, error) {
	if members < 2 || members > MostMembers {
		return nil, fmt.Errorf("%d members cannot be forecast: choose 2 to %d", members, MostMembers)
	}
	progress := opt.Progress
	opt.Progress, opt.Keep = nil, nil
	b, err := build(p, opt, 1)
	if err != nil {
		return nil, err
	}
	ctx, stop := context.WithCancel(ctx)
	defer stop()

	var told sync.Mutex
	done, total := 0, members*(b.opt.Days+1)
	d := newDraws(p, opt.Seed, members)
	all := make([]*brief, members)
	errs := make([]error, members)
	var next atomic.Int32
	var wg sync.WaitGroup
	beams := b.beams()
	for range min(members, runtime.GOMAXPROCS(0)) {
		solvers := make([]*light.Solver, len(beams))
		wg.Go(func() {
			for {
				m := int(next.Add(1)) - 1
				if m >= members {
					return
				}
				mine := *b
				if progress != nil {
					last := 0
					mine.opt.Progress = func(at, of int) {
						// Days before day 0 count within the first day.
						at = max(0, at-(of-b.opt.Days-1))
						told.Lock()
						defer told.Unlock()
						if at > last {
							done += at - last
							last = at
							progress(done, total)
						}
					}
				}
				t := d.tuning(m)
				k := beamOf(t.site.lampBeam)
				if solvers[k] == nil {
					solvers[k] = beams[k].Fork()
				}
				r, err := mine.begin(t, mix(opt.Seed^mix(uint64(m)+1)), solvers[k])
				if err == nil {
					r.brief = &brief{plantings: map[string]*briefPlanting{}, reserve: -1, spent: -1, covered: -1, lastToxic: -1}
					err = r.through(ctx)
				}
				if err != nil {
					errs[m] = err
					stop()
					return
				}
				r.brief.close(r)
				all[m] = r.brief
			}
		})
	}
	wg.Wait()
	for _, err := range errs {
		if err != nil {
			return nil, err
		}
	}
	return gather(all, d, b.opt), nil
}

// beamSteps are the beams that members are lit with: light tables are too large to be made for each, so the middles of the narrow, middle
// and wide third of what is drawn stand for all.
func beamSteps() [3]float64 {
	var out [3]float64
	for _, p := range parameters() {
		if p.Name == lampBeam {
			for k := range out {
				out[k] = quantile((float64(k)+0.5)/3, p.Value, p.Min, p.Max, p.Ratio)
			}
		}
	}
	return out
}

// beamOf is which of the beams is nearest to a draw, as a ratio.
func beamOf(drawn float64) int {
	best, at := math.Inf(1), 0
	for k, x := range beamSteps() {
		if off := math.Abs(math.Log(drawn / x)); off < best {
			best, at = off, k
		}
	}
	return at
}

// beams are the light tables by beam.
func (b *built) beams() []*light.Solver {
	var out []*light.Solver
	for _, by := range beamSteps() {
		lamps := make([]light.Source, len(b.sources))
		same := true
		for i, s := range b.sources {
			lamps[i] = s.Wider(by)
			same = same && lamps[i].N == s.N
		}
		if by == 1 || same {
			out = append(out, b.solver)
			continue
		}
		out = append(out, light.NewSolver(lamps, b.voxels, b.model.Tank, b.optics))
	}
	return out
}

// gather works the members' briefs into bands.
func gather(all []*brief, d *draws, opt Options) *Bands {
	n := len(all)
	out := &Bands{Members: n, Seed: opt.Seed, Length: opt.Days, Days: all[0].days}
	over := func(weeks int, pick func(b *brief, w int) float64) []Band {
		list := make([]Band, weeks)
		x := make([]float64, n)
		for w := range weeks {
			for m, b := range all {
				x[m] = pick(b, w)
			}
			list[w] = band(x)
		}
		return list
	}
	weeks := len(out.Days)
	out.Series = []SeriesBand{
		{"leaf mass", "g dry", over(weeks, func(b *brief, w int) float64 { return b.shoot[w] })},
		{"nitrate", "mg/L", over(weeks, func(b *brief, w int) float64 { return b.no3[w] })},
		{"phosphate", "mg/L", over(weeks, func(b *brief, w int) float64 { return b.po4[w] })},
	}
	species := map[string]string{}
	var names []string
	for _, b := range all {
		for _, id := range b.names {
			if _, ok := species[id]; !ok {
				species[id] = b.plantings[id].species
				names = append(names, id)
			}
		}
	}
	sort.Strings(names)
	at := func(x []float64, w int) float64 {
		if w < len(x) {
			return x[w]
		}
		return 0
	}
	for _, id := range names {
		out.Plantings = append(out.Plantings, PlantingBand{
			Planting: id, Species: species[id],
			HeightM: over(weeks, func(b *brief, w int) float64 {
				if p := b.plantings[id]; p != nil {
					return at(p.height, w)
				}
				return 0
			}),
			ShootG: over(weeks, func(b *brief, w int) float64 {
				if p := b.plantings[id]; p != nil {
					return at(p.shoot, w)
				}
				return 0
			}),
		})
	}
	trim := over(len(all[0].trim), func(b *brief, y int) float64 { return b.trim[y] })
	minutes := over(len(all[0].trim), func(b *brief, y int) float64 { return b.minutes[y] })
	harvest := over(len(all[0].trim), func(b *brief, y int) float64 { return b.harvest[y] })
	for y := range trim {
		out.Totals = append(out.Totals, TotalBand{Year: y + 1, TrimMinutes: trim[y], Minutes: minutes[y], HarvestG: harvest[y]})
	}

	// What is correlated: a number for each member and outcome.
	type outcome struct {
		name string
		x    []float64
	}
	each := func(f func(b *brief) float64) []float64 {
		x := make([]float64, n)
		for m, b := range all {
			x[m] = f(b)
		}
		return x
	}
	late := func(x []float64) float64 { // mean of the last quarter of a year, so that single cuts do not count
		x = x[max(0, len(x)-13):]
		sum := 0.0
		for _, v := range x {
			sum += v
		}
		return sum / float64(len(x))
	}
	sum := func(x []float64) float64 {
		s := 0.0
		for _, v := range x {
			s += v
		}
		return s
	}
	outcomes := []outcome{
		{"leaf mass in the last quarter", each(func(b *brief) float64 { return late(b.shoot) })},
		{"nitrate in the last quarter", each(func(b *brief) float64 { return late(b.no3) })},
		{"phosphate in the last quarter", each(func(b *brief) float64 { return late(b.po4) })},
		{"minutes of cutting", each(func(b *brief) float64 { return sum(b.trim) })},
		{"wet weight cut", each(func(b *brief) float64 { return sum(b.harvest) })},
	}
	for _, date := range []struct {
		name string
		day  func(b *brief) int
	}{
		{"ammonium and nitrite stay under 0.1 mg/L", func(b *brief) int { return b.lastToxic + 1 }},
		{"leaves cover nine tenths of the open bed", func(b *brief) int { return b.covered }},
		{"the root zone runs short", func(b *brief) int { return b.reserve }},
		{"the bed has spent its buffering", func(b *brief) int { return b.spent }},
	} {
		x := each(func(b *brief) float64 {
			if day := date.day(b); day >= 0 {
				return float64(day)
			}
			return math.Inf(1)
		})
		seen := 0
		for _, v := range x {
			if !math.IsInf(v, 1) {
				seen++
			}
		}
		if seen == 0 {
			continue
		}
		q := band(x)
		for _, v := range []*float64{&q.Low, &q.Mid, &q.High} {
			if math.IsInf(*v, 1) || math.IsNaN(*v) {
				*v = -1
			}
		}
		out.Dates = append(out.Dates, DateBand{Name: date.name, Share: float64(seen) / float64(n), Day: q})
		outcomes = append(outcomes, outcome{"day on which " + date.name, x})
	}
	out.Threshold = math.Min(1, 2.576/math.Sqrt(float64(n-1))) // 1 in 100, two-sided, normal approximation
	for _, o := range outcomes {
		var list []Driver
		for _, x := range d.drivers() {
			if rho := spearman(x.x, o.x); math.Abs(rho) >= out.Threshold {
				list = append(list, Driver{o.name, x.name, rho})
			}
		}
		slices.SortStableFunc(list, func(a, b Driver) int {
			if x, y := math.Abs(a.Rank), math.Abs(b.Rank); x != y {
				if x > y {
					return -1
				}
				return 1
			}
			return strings.Compare(a.Parameter, b.Parameter)
		})
		out.Drivers = append(out.Drivers, list...)
	}
	return out
}

// band takes the 10, 50 and 90 % quantiles, interpolated between members (type 7 of Hyndman & Fan 1996). Between a number and what never
// comes lies what never comes.
func band(x []float64) Band {
	s := slices.Clone(x)
	slices.Sort(s)
	q := func(p float64) float64 {
		at := p * float64(len(s)-1)
		i := int(at)
		if f := at - float64(i); f > 0 {
			return s[i] + f*(s[i+1]-s[i])
		}
		return s[i]
	}
	return Band{q(0.1), q(0.5), q(0.9)}
}

// spearman is the rank correlation of two lists, equal values sharing the mean of their ranks; 0 where one list does not vary.
func spearman(x, y []float64) float64 {
	a, b := ranks(x), ranks(y)
	mean := float64(len(a)-1) / 2
	var xy, xx, yy float64
	for i := range a {
		xy += (a[i] - mean) * (b[i] - mean)
		xx += (a[i] - mean) * (a[i] - mean)
		yy += (b[i] - mean) * (b[i] - mean)
	}
	if xx == 0 || yy == 0 {
		return 0
	}
	return xy / math.Sqrt(xx*yy)
}

func ranks(x []float64) []float64 {
	order := make([]int, len(x))
	for i := range order {
		order[i] = i
	}
	sort.SliceStable(order, func(a, b int) bool { return x[order[a]] < x[order[b]] })
	out := make([]float64, len(x))
	for i := 0; i < len(order); {
		j := i
		for j < len(order) && x[order[j]] == x[order[i]] {
			j++
		}
		for k := i; k < j; k++ {
			out[order[k]] = float64(i+j-1) / 2
		}
		i = j
	}
	return out
}
