package shelf

import (
	"littoral/internal/forecast"
	"littoral/internal/papers"
	"littoral/internal/picture"
	"littoral/internal/render"
	"math"
)

// Result is what pages need of a forecast, but for its day lines. Lengths are cm where the name says so.
type Result struct {
	Key       string         `json:"key"`
	Tank      string         `json:"tank" doc:"id of the tank"`
	Revision  int            `json:"revision" doc:"revision of the plan that was forecast"`
	Planted   string         `json:"planted" doc:"ISO 8601 date of planting, day 0; empty when the plan states none"`
	Units     string         `json:"units" enum:"metric,US" doc:"units in which the texts speak"`
	Glass     Glass          `json:"glass"`
	Days      []int          `json:"days" doc:"days on which the standing plants are kept; between them the nearest is shown"`
	Plantings []Planted      `json:"plantings" doc:"the legend: plantings by number and letter"`
	Events    []Event        `json:"events" doc:"everything that happens at an hour: care, events, plants lost, animals"`
	Journal   JournalSpan    `json:"journal" doc:"what of it was really done"`
	Algae     []AlgaeWeek    `json:"algae" doc:"which kinds of algae are invited, by week; kinds under a tenth are left out"`
	Outcome   papers.Outcome `json:"outcome"`
}

// JournalSpan says over which days the journal stands in place of the plan.
type JournalSpan struct {
	Used  bool     `json:"used"`
	From  int      `json:"from"`
	Until int      `json:"until" doc:"last day that the journal speaks of; the routine goes on from the day after it"`
	Notes []string `json:"notes" say:"text" doc:"entries that could not be laid over the plan, and why"`
}

// Glass is the tank.
type Glass struct {
	Shape        string       `json:"shape" enum:"box,cylinder,bow-front,polygon"`
	FootprintCM  [][2]float64 `json:"footprint_cm" doc:"inner outline seen from above, counter-clockwise from the front-left corner"`
	LengthCM     float64      `json:"length_cm"`
	WidthCM      float64      `json:"width_cm"`
	HeightCM     float64      `json:"height_cm"`
	WaterLevelCM float64      `json:"water_level_cm"`
	SeenFrom     []string     `json:"seen_from"`
	Views        []string     `json:"views" doc:"names of eyes that pictures know"`
}

// Planted is one planting of the legend.
type Planted struct {
	ID       string  `json:"id"`
	Label    string  `json:"label" doc:"its key on the plan drawing: 4, or 4b"`
	Number   int     `json:"number" doc:"of the species"`
	Species  string  `json:"species" doc:"accepted botanical name"`
	Pots     int     `json:"pots"`
	FromDay  int     `json:"from_day"`
	XCM      float64 `json:"x_cm"`
	YCM      float64 `json:"y_cm"`
	HeightCM float64 `json:"grown_height_cm" doc:"most height it reaches within the forecast"`
}

// Event is something that happens at an hour.
type Event struct {
	Day     int     `json:"day"`
	Hour    float64 `json:"hour"`
	Kind    string  `json:"kind"`
	ID      string  `json:"id" doc:"of the care line, event, planting or plant"`
	Text    string  `json:"text" say:"text"`
	Amount  float64 `json:"amount"`
	Unit    string  `json:"unit"`
	WetG    float64 `json:"wet_g" doc:"wet weight taken out"`
	Minutes float64 `json:"minutes"`
}

// AlgaeWeek is how strongly kinds of algae are invited in the week before a day.
type AlgaeWeek struct {
	Day   int         `json:"day"`
	Kinds []AlgaeKind `json:"kinds"`
}

// AlgaeKind is one kind.
type AlgaeKind struct {
	Kind   string   `json:"kind" say:"text"`
	Level  float64  `json:"level" doc:"0 not invited to 1 as where the trade sees it come"`
	Causes []string `json:"causes" say:"text" doc:"strongest first"`
}

// Series are the day lines of a forecast.
type Series struct {
	Days    []int    `json:"days" doc:"day numbers; before day 0 in a dark or dry start"`
	Columns []Column `json:"columns"`
}

// Column is one number of the tank through time.
type Column struct {
	Name   string    `json:"name" doc:"as in series.csv; it carries the unit"`
	Places int       `json:"places" doc:"decimals that are true of a forecast"`
	Values []float64 `json:"values" doc:"one for each day"`
}

func cm(m float64) float64 { return math.Round(m*1e4) / 100 }

func tenth(v float64) float64 { return math.Round(v*10) / 10 }

func result(w *Whole) Result {
	f := w.Forecast
	t := &f.Model.Tank
	out := Result{
		Key: w.Key, Tank: w.Ask.Tank, Revision: w.Ask.Revision, Planted: w.Plan.Planted, Units: w.Plan.House.Units,
		Glass:   Glass{Shape: t.Shape, LengthCM: cm(t.LX), WidthCM: cm(t.LY), HeightCM: cm(t.Height), WaterLevelCM: cm(t.WaterLevel), SeenFrom: w.Plan.Tank.SeenFrom, Views: render.Views},
		Journal: JournalSpan{Used: w.Laid.Plan != w.Plan, From: w.Laid.From, Until: w.Laid.Until, Notes: w.Laid.Notes},
		Outcome: papers.Full(f, w.Findings, nil),
	}
	for _, p := range t.Footprint {
		out.Glass.FootprintCM = append(out.Glass.FootprintCM, [2]float64{cm(p[0]), cm(p[1])})
	}
	for i := range f.Snapshots {
		out.Days = append(out.Days, f.Snapshots[i].Day)
	}
	tallest := map[string]float64{}
	for i := range f.Snapshots {
		for k := range f.Snapshots[i].Plants {
			p := &f.Snapshots[i].Plants[k]
			tallest[p.Planting] = math.Max(tallest[p.Planting], p.HeightM)
		}
	}
	for _, e := range picture.Legend(f, picture.KeyOf(f), f.Length) {
		out.Plantings = append(out.Plantings, Planted{
			ID: e.ID, Label: e.Label(), Number: e.Number, Species: e.Species.Name, Pots: e.Pots, FromDay: e.From, XCM: cm(e.X), YCM: cm(e.Y),
			HeightCM: tenth(100 * tallest[e.ID]),
		})
	}
	for _, e := range f.Events {
		out.Events = append(out.Events, eventOf(e))
	}
	for _, week := range f.Algae {
		row := AlgaeWeek{Day: week.Day}
		for _, r := range week.Risks {
			if r.Level < 0.1 {
				continue
			}
			k := AlgaeKind{Kind: r.Kind.String(), Level: math.Round(r.Level*100) / 100}
			for _, d := range r.Drivers {
				k.Causes = append(k.Causes, d.Text)
			}
			row.Kinds = append(row.Kinds, k)
		}
		out.Algae = append(out.Algae, row)
	}
	return out
}

func eventOf(e forecast.Event) Event {
	return Event{
		Day: e.Day, Hour: e.Hour, Kind: e.Kind, ID: e.ID, Text: e.Text, Amount: math.Round(e.Amount*1000) / 1000, Unit: e.Unit, WetG: tenth(e.FreshG), Minutes: tenth(e.Minutes),
	}
}

func series(w *Whole) Series {
	var days []forecast.Day
	days = append(days, w.Forecast.Before...)
	days = append(days, w.Forecast.Days...)
	out := Series{}
	for i := range days {
		out.Days = append(out.Days, days[i].Day)
	}
	for _, c := range papers.Series(days) {
		out.Columns = append(out.Columns, Column{Name: c.Name, Places: c.Places, Values: c.Values})
	}
	return out
}
