package shelf

import (
	"cmp"
	"context"
	"errors"
	"littoral/internal/findings"
	"littoral/internal/forecast"
	"littoral/internal/journal"
	"littoral/internal/plan"
	"littoral/internal/store"
	"math"
	"slices"
	"time"
)

// Calendar is the work ahead and behind, by day.
type Calendar struct {
	Today    *int        `json:"today" doc:"null without a date of planting"`
	Planted  string      `json:"planted"`
	Forecast string      `json:"forecast" doc:"key of the forecast that it is read from"`
	Days     []WorkOnDay `json:"days"`
}

// WorkOnDay is a day with work in it, asked for or done.
type WorkOnDay struct {
	Day     int       `json:"day"`
	Date    string    `json:"date" doc:"ISO 8601; empty without a date of planting"`
	Minutes float64   `json:"minutes" doc:"as forecast; spent time stands in the journal"`
	Tasks   []WorkDue `json:"tasks"`
}

// WorkDue is one piece of work.
type WorkDue struct {
	Care    string  `json:"care" doc:"id of the plan's line or event"`
	Do      string  `json:"do"`
	Text    string  `json:"text" say:"text"`
	Amount  float64 `json:"amount"`
	Unit    string  `json:"unit"`
	WetG    float64 `json:"wet_g" doc:"wet weight that the forecast expects to be cut"`
	Minutes float64 `json:"minutes"`
	State   string  `json:"state" enum:"due,done,left-out"`
	Entry   string  `json:"entry" doc:"journal entry that says so; empty while due"`
}

// works are the kinds of events that are work.
var works = map[string]bool{
	"water-change": true, "dose": true, "trim": true, "thin": true, "outer-leaves": true, "replant-tops": true, "pull-runners": true, "root-feed": true,
	"filter-clean": true, "siphon": true, "glass": true, "replant": true, "remove": true, "plant": true, "stock": true,
}

// Calendar returns the work of a tank from day to day, as the tank's last forecast says, with what the journal says of it.
func (s *Shelf) Calendar(ctx context.Context, tank string, from, to int) (Calendar, error) {
	t, err := s.Store.Tank(ctx, tank)
	if err != nil {
		return Calendar{}, err
	}
	out := Calendar{Planted: t.Planted, Forecast: t.Forecast, Days: []WorkOnDay{}}
	if today, ok := Today(t.Planted, s.Now()); ok {
		out.Today = &today
	}
	if t.Forecast == "" {
		return out, nil
	}
	r, err := s.Result(ctx, t.Forecast)
	if errors.Is(err, store.ErrNotFound) {
		return out, nil
	}
	if err != nil {
		return out, err
	}
	rows, err := s.Store.Movers(ctx, tank)
	if err != nil {
		return out, err
	}
	entries, err := Entries(rows)
	if err != nil {
		return out, err
	}
	days := map[int]*WorkOnDay{}
	on := func(day int) *WorkOnDay {
		if days[day] == nil {
			days[day] = &WorkOnDay{Day: day, Date: dateOf(t.Planted, day), Tasks: []WorkDue{}}
		}
		return days[day]
	}
	for _, e := range r.Events {
		if !works[e.Kind] || e.Day < from || e.Day > to || r.Journal.Used && len(e.ID) > 8 && e.ID[:8] == "journal-" {
			continue
		}
		d := on(e.Day)
		d.Minutes = tenth(d.Minutes + e.Minutes)
		d.Tasks = append(d.Tasks, WorkDue{Care: e.ID, Do: e.Kind, Text: e.Text, Amount: e.Amount, Unit: e.Unit, WetG: e.WetG, Minutes: e.Minutes, State: "due"})
	}
	for i := range entries {
		e := &entries[i]
		day, ok := e.Day(t.Planted)
		if !ok || e.Task == nil || e.Struck {
			continue
		}
		if e.Task.Day != nil {
			day = *e.Task.Day // work done a day late still belongs to its visit
		}
		if day < from || day > to {
			continue
		}
		state := "left-out"
		if e.Task.Done {
			state = "done"
		}
		d := on(day)
		at := slices.IndexFunc(d.Tasks, func(w WorkDue) bool { return w.State == "due" && w.Do == e.Task.Do && w.Care == e.Task.Care })
		if at < 0 {
			d.Tasks = append(d.Tasks, WorkDue{Care: e.Task.Care, Do: e.Task.Do, Text: e.Text, WetG: e.Task.WetG, Minutes: e.Task.Minutes})
			at = len(d.Tasks) - 1
		}
		d.Tasks[at].State, d.Tasks[at].Entry = state, e.ID
	}
	for _, d := range days {
		out.Days = append(out.Days, *d)
	}
	slices.SortFunc(out.Days, func(a, b WorkOnDay) int { return cmp.Compare(a.Day, b.Day) })
	return out, nil
}

func dateOf(planted string, day int) string {
	start, err := time.Parse(time.DateOnly, planted)
	if err != nil {
		return ""
	}
	return start.AddDate(0, 0, day).Format(time.DateOnly)
}

// VisitPage is everything that the page beside the tank needs, in one answer, so that it works on without a network.
type VisitPage struct {
	Tank     string          `json:"tank"`
	Name     string          `json:"name"`
	Day      int             `json:"day" doc:"day of the plan for which this visit is"`
	Date     string          `json:"date"`
	Today    *int            `json:"today"`
	Work     WorkOnDay       `json:"work"`
	Late     []WorkOnDay     `json:"late" doc:"work of the days before that nobody wrote down, latest first; what a pump may have dosed is left out"`
	Lines    []CareLine      `json:"lines" doc:"the plan's lines of care, with their amounts, to fill in what a task leaves open"`
	Watch    []Worry         `json:"watch" doc:"findings that hold on that day"`
	Expect   []Expected      `json:"expect" doc:"what tests should show by the forecast"`
	Last     []journal.Entry `json:"last" doc:"the last tests, latest first"`
	Marks    []Mark          `json:"marks" doc:"fixed places of photos, with the last photo from each"`
	Water    float64         `json:"net_water_l"`
	Cautions []string        `json:"cautions" say:"text"`
}

// CareLine is a line of the plan's routine.
type CareLine struct {
	ID      string             `json:"id"`
	Do      string             `json:"do"`
	Every   string             `json:"every" say:"text"`
	Share   float64            `json:"share"`
	Litres  float64            `json:"litres"`
	Grams   map[string]float64 `json:"grams"`
	Bottle  string             `json:"bottle"`
	Species string             `json:"species"`
	ToCM    float64            `json:"to_cm"`
	Tablets int                `json:"tablets"`
}

// Expected is a reading by the forecast.
type Expected struct {
	What string  `json:"what"`
	Unit string  `json:"unit"`
	Low  float64 `json:"low"`
	High float64 `json:"high"`
}

// Mark is a fixed place of photos.
type Mark struct {
	Name  string `json:"name"`
	Photo string `json:"photo" doc:"id of the last photo from there"`
	At    string `json:"at"`
}

// lateDays is for how many days a visit offers the work that nobody wrote down, our own choice: a week, after which the next visit has come.
const lateDays = 7

// lastTests is how many tests the visit page shows, our own choice.
const lastTests = 5

// Visit returns the page of the visit of a date; with an empty date that of the next visit due, or of today.
func (s *Shelf) Visit(ctx context.Context, tank, date string) (VisitPage, error) {
	t, err := s.Store.Tank(ctx, tank)
	if err != nil {
		return VisitPage{}, err
	}
	out := VisitPage{Tank: t.ID, Name: t.Name, Late: []WorkOnDay{}, Watch: []Worry{}, Expect: []Expected{}, Last: []journal.Entry{}, Marks: []Mark{}, Lines: []CareLine{}}
	today, dated := Today(t.Planted, s.Now())
	if dated {
		out.Today = &today
		out.Day = max(0, today)
	}
	if date != "" {
		at, err := time.Parse(time.DateOnly, date)
		if err != nil {
			return VisitPage{}, err
		}
		if day, ok := Today(t.Planted, at); ok {
			out.Day = day
		}
	} else if c, err := s.Card(ctx, tank); err != nil {
		return VisitPage{}, err
	} else if c.Due != nil {
		out.Day = c.Due.Day
	}
	out.Date = dateOf(t.Planted, out.Day)
	out.Work = WorkOnDay{Day: out.Day, Date: out.Date, Tasks: []WorkDue{}}
	c, err := s.Calendar(ctx, tank, max(1, out.Day-lateDays), out.Day)
	if err != nil {
		return VisitPage{}, err
	}
	for _, d := range slices.Backward(c.Days) {
		if d.Day == out.Day {
			out.Work = d
			continue
		}
		d.Tasks = slices.DeleteFunc(d.Tasks, func(w WorkDue) bool { return w.State != "due" || w.Do == "dose" })
		if len(d.Tasks) > 0 && dated && d.Day <= today {
			out.Late = append(out.Late, d)
		}
	}
	if err := s.visitPlan(ctx, t, &out); err != nil {
		return VisitPage{}, err
	}
	if err := s.visitForecast(ctx, t, &out); err != nil {
		return VisitPage{}, err
	}
	return out, s.visitJournal(ctx, t, &out)
}

func (s *Shelf) visitPlan(ctx context.Context, t store.Tank, out *VisitPage) error {
	r, err := s.Store.Revision(ctx, t.ID, t.Current)
	if err != nil {
		return err
	}
	p, err := Parse(r.Plan, r.Files, Ways{})
	var bad plan.Problems
	if errors.As(err, &bad) {
		return nil // written for another version of the program; the visit goes on without amounts
	}
	if err != nil {
		return err
	}
	for i := range p.Care {
		l := &p.Care[i]
		out.Lines = append(out.Lines, CareLine{
			ID: l.ID, Do: l.Do, Every: l.Every.String(), Share: float64(l.Share), Litres: hundredth(1000 * float64(l.Amount)), Grams: l.Grams, Bottle: l.Bottle,
			Species: l.Species, ToCM: cm(float64(l.To)), Tablets: l.Tablets,
		})
	}
	out.Cautions = []string{
		"Switch off heater and lamps at the mains before hands or tools go into the water, and let hot equipment cool; electricity beside water follows local codes.",
		"Plants, animals and tank water never go into drains that lead to open water, nor into the wild.",
	}
	if len(p.CO2) > 0 {
		out.Cautions = append(out.Cautions, "CO2 gathers in closed rooms: air the room, secure the cylinder, and leave when the head aches.")
	}
	return nil
}

func (s *Shelf) visitForecast(ctx context.Context, t store.Tank, out *VisitPage) error {
	if t.Forecast == "" {
		return nil
	}
	var b brief
	err := s.part(ctx, t.Forecast, partBrief, &b)
	if errors.Is(err, store.ErrNotFound) {
		return nil
	}
	if err != nil {
		return err
	}
	for _, w := range b.Worries {
		if w.Day <= out.Day && w.Until >= out.Day && w.Severity != findings.Note {
			out.Watch = append(out.Watch, w)
		}
	}
	r, err := s.Result(ctx, t.Forecast)
	if err != nil {
		return err
	}
	out.Water = tenth(r.Outcome.NetWaterL)
	series, err := s.Series(ctx, t.Forecast)
	if err != nil {
		return err
	}
	if at := slices.Index(series.Days, out.Day); at >= 0 {
		d := dayOf(&series, at)
		for _, what := range journal.Measured() {
			low, high := journal.Span(&d, what)
			out.Expect = append(out.Expect, Expected{what, journal.UnitOf(what), hundredth(low), hundredth(high)})
		}
	}
	return nil
}

// dayOf is a line of the series with what tests measure.
func dayOf(s *Series, at int) forecast.Day {
	v := map[string]float64{}
	for i := range s.Columns {
		v[s.Columns[i].Name] = s.Columns[i].Values[at]
	}
	return forecast.Day{
		Day: s.Days[at], TempC: v["temp_c"], TempMin: v["temp_min_c"], TempMax: v["temp_max_c"], PHDawn: v["ph_dawn"], PHDusk: v["ph_dusk"], KH: v["kh_dkh"], GH: v["gh_dgh"],
		CO2Dawn: v["co2_dawn_mg_l"], CO2On: v["co2_lit_mg_l"], CO2Max: v["co2_max_mg_l"], CO2Night: v["co2_night_mg_l"], O2Dawn: v["o2_dawn_mg_l"], O2Dusk: v["o2_dusk_mg_l"],
		NO3: v["no3_mg_l"], NO2: v["no2_mg_l"], NH4: v["nh4_mg_l"], PO4: v["po4_mg_l"], K: v["k_mg_l"], Fe: v["fe_mg_l"], Ca: v["ca_mg_l"], Mg: v["mg_mg_l"],
	}
}

func (s *Shelf) visitJournal(ctx context.Context, t store.Tank, out *VisitPage) error {
	rows, err := s.Store.Entries(ctx, t.ID, journal.KindTest, "", "", lastTests)
	if err != nil {
		return err
	}
	if out.Last, err = Entries(rows); err != nil {
		return err
	}
	out.Last = slices.DeleteFunc(out.Last, func(e journal.Entry) bool { return e.Struck })
	photos, err := s.Store.Photos(ctx, t.ID)
	if err != nil {
		return err
	}
	for _, p := range photos { // latest first
		if p.Mark != "" && !slices.ContainsFunc(out.Marks, func(m Mark) bool { return m.Name == p.Mark }) {
			out.Marks = append(out.Marks, Mark{p.Mark, p.ID, p.At})
		}
	}
	slices.SortFunc(out.Marks, func(a, b Mark) int { return cmp.Compare(a.Name, b.Name) })
	return nil
}

// Measured is what was measured in a tank, beside its last forecast.
type Measured struct {
	Forecast string         `json:"forecast" doc:"key; empty when there is none to lay readings over"`
	Lines    []journal.Line `json:"lines"`
}

// Measured lays the readings of a tank over its last forecast.
func (s *Shelf) Measured(ctx context.Context, tank string) (Measured, error) {
	t, err := s.Store.Tank(ctx, tank)
	if err != nil {
		return Measured{}, err
	}
	out := Measured{Forecast: t.Forecast, Lines: []journal.Line{}}
	if t.Forecast == "" {
		return out, nil
	}
	series, err := s.Series(ctx, t.Forecast)
	if errors.Is(err, store.ErrNotFound) {
		out.Forecast = ""
		return out, nil
	}
	if err != nil {
		return out, err
	}
	tests, err := s.tests(ctx, tank)
	if err != nil {
		return out, err
	}
	days := make([]forecast.Day, 0, len(series.Days))
	for i, day := range series.Days {
		if day >= 0 {
			days = append(days, dayOf(&series, i))
		}
	}
	var taken []forecast.Measured
	if err := s.part(ctx, t.Forecast, partMeasured, &taken); err != nil && !errors.Is(err, store.ErrNotFound) { // kept by an older version
		return out, err
	}
	out.Lines = journal.Compare(days, taken, t.Planted, tests)
	return out, nil
}

// tests are all entries with readings, earliest first.
func (s *Shelf) tests(ctx context.Context, tank string) ([]journal.Entry, error) {
	rows, err := s.Store.Entries(ctx, tank, journal.KindTest, "", "", math.MaxInt32)
	if err != nil {
		return nil, err
	}
	slices.Reverse(rows)
	return Entries(rows)
}

// Story is a tank's whole story as one document.
type Story struct {
	Tank      Card            `json:"tank"`
	Revisions []Chapter       `json:"revisions" doc:"how the plan came to be, earliest first"`
	Journal   []journal.Entry `json:"journal" doc:"everything written down, earliest first"`
	Photos    []PhotoInfo     `json:"photos" doc:"earliest first"`
	Measured  Measured        `json:"measured"`
	Ahead     []Worry         `json:"ahead" doc:"findings of the last forecast, gravest first"`
}

// Chapter is a revision in the story.
type Chapter struct {
	Number  int       `json:"number"`
	Variant string    `json:"variant"`
	Name    string    `json:"name"`
	Author  string    `json:"author"`
	Made    time.Time `json:"made"`
}

// PhotoInfo is what is known of a photo.
type PhotoInfo struct {
	ID     string `json:"id"`
	Mark   string `json:"mark"`
	At     string `json:"at"`
	Width  int    `json:"width"`
	Height int    `json:"height"`
	Bytes  int    `json:"bytes"`
	Author string `json:"author"`
}

// PhotoInfos turns photos around: earliest first.
func PhotoInfos(list []store.Photo) []PhotoInfo {
	out := []PhotoInfo{}
	for _, p := range slices.Backward(list) {
		out = append(out, PhotoInfo{p.ID, p.Mark, p.At, p.Width, p.Height, p.Bytes, p.Author})
	}
	return out
}

// Story tells a tank from its first plan to today, and what is ahead.
func (s *Shelf) Story(ctx context.Context, tank string) (Story, error) {
	c, err := s.Card(ctx, tank)
	if err != nil {
		return Story{}, err
	}
	out := Story{Tank: c, Revisions: []Chapter{}, Ahead: []Worry{}}
	revisions, err := s.Store.Revisions(ctx, tank)
	if err != nil {
		return Story{}, err
	}
	for _, r := range slices.Backward(revisions) {
		out.Revisions = append(out.Revisions, Chapter{r.Number, r.Variant, r.Name, r.Author, r.Made})
	}
	rows, err := s.Store.AllEntries(ctx, tank)
	if err != nil {
		return Story{}, err
	}
	if out.Journal, err = Entries(rows); err != nil {
		return Story{}, err
	}
	photos, err := s.Store.Photos(ctx, tank)
	if err != nil {
		return Story{}, err
	}
	out.Photos = PhotoInfos(photos)
	if out.Measured, err = s.Measured(ctx, tank); err != nil {
		return Story{}, err
	}
	var b brief
	if err := s.part(ctx, c.Forecast, partBrief, &b); err != nil && !errors.Is(err, store.ErrNotFound) {
		return Story{}, err
	}
	today, dated := Today(c.Planted, s.Now())
	for _, w := range b.Worries {
		if !dated || w.Until >= today {
			out.Ahead = append(out.Ahead, w)
		}
	}
	return out, nil
}
