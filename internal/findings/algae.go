package findings

import (
	"fmt"
	"littoral/internal/algae"
	"littoral/internal/forecast"
	"math"
	"strings"
)

// kindOf is what a finding says of a kind of algae.
type kindOf struct {
	rule, what string
	seen       []string // words of a symptom that mean it
	cure       func(drivers string) string
}

func always(text string) func(string) string { return func(string) string { return text } }

// kindsOf are the seven kinds with the trade's cures (common practice, no source), in the order of algae.Kind.
var kindsOf = [algae.Kinds]kindOf{
	{
		"algae-brown-film", "Brown film settles on glass and leaves, as in most young tanks.",
		[]string{"brown film", "diatom"},
		always("Wipe it off at each visit and bring grazers once ammonium and nitrite are gone; it leaves by itself within about three months."),
	},
	{
		"algae-green-dust", "Green dust settles on the glass faster than it is wiped.",
		[]string{"green dust", "green film"},
		always("Wipe the glass weekly, dim the lamps by a fifth or light two hours less, and bring grazers."),
	},
	{
		"algae-green-spot", "Hard green spots settle on glass and slow leaves.",
		[]string{"green dot", "green spot"},
		always("Dose phosphate, 0.3 to 0.5 mg/L three times a week, to a standing 1 to 2; set slow plants in the shade or dim the lamp by a fifth. The spots stop in 10 to 14 days."),
	},
	{
		"algae-black-tufts", "Black tufts settle on slow leaves, wood and the outlet.",
		[]string{"tuft", "brush"},
		func(drivers string) string {
			cure := "Open the gas 2 to 3 hours before the light, take the worst leaves off and spot-treat with the pump off. No new tufts come in two weeks, old ones fade in three to four."
			if strings.Contains(drivers, "flow at") {
				return "Clean prefilter, media and diffuser and turn the outlet so that carbon reaches every corner. " + cure
			}
			return cure
		},
	},
	{
		"algae-thread", "Thread algae are invited.",
		[]string{"thread", "hair algae"},
		func(drivers string) string {
			if strings.Contains(drivers, "CO2 at") {
				return "Bring light and carbon together: dim the lamps by a third or light six hours, or inject CO2; wind threads out by hand and bring shrimps that eat them."
			}
			return "Change half of the water every second day until ammonium is gone, light six hours, and wind threads out by hand."
		},
	},
	{
		"algae-blue-green", "Blue-green film is invited on the bed.",
		[]string{"blue-green", "slime"},
		always("Dose nitrate to a standing 10 mg/L, siphon film and detritus off the bed, and give the place more flow."),
	},
	{
		"algae-green-water", "The water turns green.",
		[]string{"green water", "pea green", "pea-green"},
		always("Screen the sun, run an ultraviolet lamp for two to four days or give the tank a black-out of three days with air on and the gas off, and change half of the water before and after; it clears in three to seven days. From now on uproot and trim a third at a time, so that no pulse of ammonium feeds it again."),
	},
}

// algaeInvited finds kinds of algae whose causes are at work for weeks, and those that are seen in a tank as found.
func algaeInvited(v *view) []Finding {
	const (
		strong, weeks = 0.6, 3 // how strongly and for how many weeks running causes work before the trade sees them
		told          = 0.4    // enough where the algae are seen
	)
	list := v.f.Algae
	var out []Finding
	for k := range algae.Kinds {
		kind := &kindsOf[k]
		level := func(i int) *algae.Risk { return &list[i].Risks[k] }
		first, last := -1, -1
		severity, when, seen := Look, "", false
		if fd := v.p.Found; fd != nil && len(list) > 0 && level(0).Level >= told {
			for _, s := range fd.Symptoms {
				for _, word := range kind.seen {
					seen = seen || strings.Contains(strings.ToLower(s), word)
				}
			}
			if seen {
				first, last, severity, when = 0, lastOver(list, k, 0, told), Harm, "now"
			}
		}
		if first < 0 {
			run := 0
			for i := range list {
				if level(i).Level < strong {
					run = 0
					continue
				}
				if run++; run >= weeks {
					first = i - weeks + 1
					last = lastOver(list, k, first, strong)
					break
				}
			}
		}
		if first < 0 {
			continue
		}
		// The week in which the causes work most speaks for them.
		most := first
		for i := first; i <= last; i++ {
			if level(i).Level > level(most).Level {
				most = i
			}
		}
		var causes []string
		for _, d := range level(most).Drivers {
			if d.Level >= 0.3 {
				causes = append(causes, d.Text)
			}
		}
		if k == algae.BrownFilm && !seen {
			severity = Note
		}
		because := fmt.Sprintf("At work: %s.", andList(causes, 4))
		if seen {
			if no3 := v.mean(0, 7, func(d *forecast.Day) float64 { return d.NO3 }); no3 > 5 && k != algae.BlueGreen {
				because += fmt.Sprintf(" Nitrate at %s mg/L is not the cause.", number(no3))
			}
		}
		f := Finding{
			Rule: kind.rule, Severity: severity, Day: max(0, list[first].Day-6), Until: list[last].Day, When: when, Subject: "algae", X: -1, Y: -1, Where: "glass and leaves",
			What: kind.what, Because: because, Do: kind.cure(strings.Join(causes, "; ")),
		}
		if seen {
			f.Day = 0
		}
		switch k {
		case algae.GreenWater:
			f.Where = "water"
		case algae.BlueGreen:
			f.Where = "bed"
		case algae.GreenDust:
			f.Where = "glass"
		case algae.GreenSpot, algae.BlackTufts:
			if c := v.brightestSlow(list[most].Day); c != nil {
				f.X, f.Y = c.x, c.y
				f.Where = v.where(c.x, c.y)
				f.Because += fmt.Sprintf(" %s is where they show first.", c.species.Name)
			}
		}
		out = append(out, f)
	}
	return out
}

// lastOver is the last week of the run from the given one in which a kind stays at a level.
func lastOver(list []forecast.AlgaeWeek, k algae.Kind, from int, level float64) int {
	last := from
	for last+1 < len(list) && list[last+1].Risks[k].Level >= level {
		last++
	}
	return last
}

// brightestSlow is the planting with long-lived leaves that has most light on its tops on a day.
func (v *view) brightestSlow(day int) *crop {
	var best *crop
	most := 0.0
	for _, c := range v.crops {
		if c.species.Phys.LeafLife.Value < algae.SlowLeaf || day < c.days[0] {
			continue
		}
		if x := at(c, day, c.top); x > most {
			best, most = c, x
		}
	}
	return best
}

// andList joins causes, at most so many.
func andList(items []string, most int) string {
	if len(items) == 0 {
		return "several weak causes together"
	}
	return list(items[:int(math.Min(float64(len(items)), float64(most)))], most)
}

// filmTold and filmHarms are the shares of its light that a film may take from a planting before it is told and before leaves suffer; common practice,
// no source.
const filmTold, filmHarms = 0.15, 0.35

// filmOnLeaves finds plantings whose leaves lie under so much film that it shades them.
func filmOnLeaves(v *view) []Finding {
	var out []Finding
	for _, c := range v.crops {
		first, last, ok := c.span(v.settled(), 4, func(i int) bool { return c.film[i] > filmTold })
		if !ok {
			continue
		}
		most := 0.0
		for _, x := range c.film[first : last+1] {
			most = math.Max(most, x)
		}
		severity := Look
		if most > filmHarms {
			severity = Harm
		}
		film := v.mean(c.days[first], c.days[last], func(d *forecast.Day) float64 { return d.LeafFilm })
		out = append(out, v.at(c, Finding{
			Rule: "film-on-leaves", Severity: severity, Day: c.days[first], Until: c.days[last],
			What:    fmt.Sprintf("A film of algae takes light from %s.", c.species.Name),
			Because: fmt.Sprintf("It takes up to %.0f %%; leaves carry %s g/m² on the mean, and those that live for %.0f days gather most.", 100*most, number(film), c.species.Phys.LeafLife.Value),
			Do:      "Bring grazers, a shrimp for every 8 litres or snails, take the oldest leaves, and dim the lamps by a fifth.",
		}))
	}
	return out
}
