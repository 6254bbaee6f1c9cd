package forecast

import (
	"littoral/internal/plan"
	"littoral/internal/unit"
	"math"
	"sort"
	"time"
)

// job is a care line or an event that falls on a certain day and hour.
type job struct {
	day   int
	hour  int
	care  *plan.Care  // one of the three is set
	event *plan.Event //
	test  *plan.Measured
}

// usualHour is when a visit begins where the plan gives no time: late morning, when the lamps of most displays are on.
const usualHour = 10

// schedule lays all care and events of a plan on their days, in the order of the hour, then of the plan. Care that falls into
// missed visits is left out.
func schedule(p *plan.Plan, days int) map[int][]job {
	planted := plantingDate(p)
	missed := func(day int) bool {
		for i := range p.Events {
			e := &p.Events[i]
			if e.Do == "missed-visits" {
				from := float64(e.On)
				if float64(day) >= from && float64(day) < from+float64(e.For/unit.Days) {
					return true
				}
			}
		}
		return false
	}
	jobs := map[int][]job{}
	for i := range p.Events {
		e := &p.Events[i]
		day := int(math.Floor(float64(e.On)))
		if day < days {
			jobs[day] = append(jobs[day], job{day: day, hour: hourOf(e.At), event: e})
		}
	}
	for i := range p.Care {
		c := &p.Care[i]
		until := unit.Day(days)
		if c.Until > 0 && c.Until < until {
			until = c.Until
		}
		for _, on := range c.Every.OccurrencesFrom(planted, c.First(), until) {
			day := int(math.Floor(float64(on)))
			if day < 0 || day >= days || missed(day) {
				continue
			}
			jobs[day] = append(jobs[day], job{day: day, hour: hourOf(c.At), care: c})
		}
	}
	tests(p, days, jobs)
	for _, list := range jobs {
		sort.SliceStable(list, func(a, b int) bool {
			if list[a].hour != list[b].hour {
				return list[a].hour < list[b].hour
			}
			return rank(list[a]) < rank(list[b])
		})
	}
	return jobs
}

// rank orders the work of one hour the way crews do it: cut and take out first, then siphon, change water, clean the filter,
// feed the root zone, dose last into the fresh water. Water is tested before the dose, unless it is said to be tested before the change.
func rank(j job) int {
	switch {
	case j.test != nil && j.test.Change == "before":
		return -1
	case j.test != nil:
		return 6
	case j.event != nil:
		return 0
	}
	switch j.care.Do {
	case "glass":
		return 1
	case "trim", "thin", "outer-leaves", "replant-tops", "pull-runners", "replace":
		return 2
	case "siphon":
		return 3
	case "root-feed":
		return 4
	case "water-change":
		return 5
	case "filter-clean":
		return 6
	}
	return 7
}

func hourOf(c unit.Clock) int {
	if c <= 0 {
		return usualHour
	}
	return min(23, int(float64(c)/3600))
}

// plantingDate is the calendar date of day 0; a plan without one begins on a Monday in March of a common year.
func plantingDate(p *plan.Plan) time.Time {
	if t, err := time.Parse("2006-01-02", p.Planted); err == nil {
		return t
	}
	return time.Date(2027, 3, 1, 0, 0, 0, 0, time.UTC)
}

// current returns the last entry of a dated list that covers the day: from ≤ day < until, where until 0 means open.
func current[T any](list []T, day int, window func(*T) (from, until unit.Day)) *T {
	var found *T
	for i := range list {
		from, until := window(&list[i])
		if float64(day) >= float64(from) && (until <= 0 || float64(day) < float64(until)) {
			found = &list[i]
		}
	}
	return found
}

// lightHour is how a lamp runs through one hour of the day: the share of the hour it is lit and its mean dimming while lit.
type lightHour struct{ lit, dim float64 }

// lightDay spreads a light regime over the 24 hours; ramps count at the mean of each quarter hour. A nil regime is dark.
func lightDay(l *plan.LightDay) [24]lightHour {
	var day [24]lightHour
	if l == nil || l.Hours <= 0 {
		return day
	}
	dim := float64(l.Dim)
	on := float64(l.On) / 3600
	ramped := func(ramp unit.Duration, since float64) float64 {
		if r := min(float64(ramp)/3600, l.Hours/2); r > 0 {
			return min(1, since/r, (l.Hours-since)/r)
		}
		return 1
	}
	const quarters = 4
	for q := range 24 * quarters {
		mid := (float64(q) + 0.5) / quarters
		since := math.Mod(mid-on+24, 24)
		if since >= l.Hours {
			continue
		}
		level, rest := 0.0, 1.0
		for _, c := range l.Channels {
			level += c.Weight * l.Channel(c.Channel) * ramped(c.Ramp, since)
			rest -= c.Weight
		}
		level = dim * (level + rest*ramped(l.Ramp, since))
		h := q / quarters
		day[h].lit += 1.0 / quarters
		day[h].dim += level / quarters
	}
	for h := range day {
		if day[h].lit > 0 {
			day[h].dim /= day[h].lit
		}
	}
	return day
}

// regime is the light regime of a day; nil when there is none.
func (r *run) regime(day int) *plan.LightDay {
	return current(r.p.LightDay, day, func(l *plan.LightDay) (unit.Day, unit.Day) { return l.From, l.Until })
}

// fullHours is the hours of full light that give as much as the day.
func fullHours(day [24]lightHour) float64 {
	sum := 0.0
	for _, h := range day {
		sum += h.lit * h.dim
	}
	return sum
}

// gasOn is the share of an hour in which the CO2 valve is open.
func gasOn(c *plan.CO2, hour int) float64 {
	if c == nil {
		return 0
	}
	on, off := float64(c.On)/3600, float64(c.Off)/3600
	share := 0.0
	for q := range 4 {
		mid := float64(hour) + (float64(q)+0.5)/4
		if on <= off && mid >= on && mid < off || on > off && (mid >= on || mid < off) {
			share += 0.25
		}
	}
	return share
}
