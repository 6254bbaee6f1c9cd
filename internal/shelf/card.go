package shelf

import (
	"context"
	"littoral/internal/findings"
	"littoral/internal/store"
	"slices"
	"strings"
	"sync"
	"time"
)

// Card is a tank on the shelf.
type Card struct {
	ID        string    `json:"id"`
	Name      string    `json:"name"`
	Planted   string    `json:"planted" doc:"ISO 8601 date of planting; empty when the plan states none"`
	Today     *int      `json:"today" doc:"day of the plan today, negative before planting; null without a date of planting"`
	Revision  int       `json:"revision" doc:"number of the plan in force"`
	Forecast  string    `json:"forecast" doc:"key of the last forecast; empty when there is none"`
	Old       bool      `json:"old" doc:"another version of the program made the last forecast: what it says can be read, what would have to be computed from it answers 410 until the tank is forecast again"`
	Fresh     bool      `json:"fresh" doc:"the last forecast is of the plan in force, of all that was done, in the units and by the house file of the shelf, and of this program"`
	ShownDay  int       `json:"shown_day" doc:"day of the picture: today's, or a year in when that is not known"`
	Picture   string    `json:"picture" doc:"address of the picture of that day; empty without a forecast"`
	Due       *Due      `json:"due" doc:"next visit; null when none is known"`
	Worries   []Worry   `json:"worries" doc:"findings that hold now or begin within four weeks, gravest first"`
	Entries   int       `json:"entries" doc:"journal entries"`
	LastEntry string    `json:"last_entry" doc:"local date and time of the last journal entry; empty when there is none"`
	Conflicts int       `json:"conflicts" doc:"journal entries that two people changed at once and nobody has decided"`
	Changed   time.Time `json:"changed"`
}

// Due is the next visit.
type Due struct {
	Day     int      `json:"day"`
	Date    string   `json:"date" doc:"ISO 8601"`
	InDays  int      `json:"in_days" doc:"0 today"`
	Tasks   []string `json:"tasks" doc:"kinds of work: water-change, trim, …"`
	Minutes float64  `json:"minutes"`
}

// Worry is a finding in short.
type Worry struct {
	Number   int    `json:"number" doc:"its number in the forecast"`
	Severity string `json:"severity" enum:"danger,harm,look,note"`
	Day      int    `json:"day"`
	Until    int    `json:"until"`
	What     string `json:"what" say:"text"`
	Do       string `json:"do" say:"text"`
}

// brief is what a card needs of a forecast, kept apart so that the shelf reads little.
type brief struct {
	Length  int     `json:"length"`
	Units   string  `json:"units"`           // that were asked for
	House   string  `json:"house,omitempty"` // the shelf's house file that was asked for
	Own     bool    `json:"own,omitempty"`   // the plan has a house file of its own
	Visits  []Due   `json:"visits"`
	Worries []Worry `json:"worries"`
}

const partBrief = "brief"

func briefOf(w *Whole) brief {
	f := w.Forecast
	b := brief{Length: f.Length, Units: w.Ask.Units, House: w.Ask.House, Own: w.Own}
	for _, v := range f.Visits {
		d := Due{Day: v.Day, Minutes: tenth(v.Minutes), Tasks: []string{}}
		for _, i := range v.Tasks {
			if kind := f.Events[i].Kind; !slices.Contains(d.Tasks, kind) {
				d.Tasks = append(d.Tasks, kind)
			}
		}
		b.Visits = append(b.Visits, d)
	}
	for i := range w.Findings {
		x := &w.Findings[i]
		if x.Severity != findings.Note {
			b.Worries = append(b.Worries, Worry{Number: i + 1, Severity: x.Severity, Day: x.Day, Until: x.Until, What: x.What, Do: x.Do})
		}
	}
	return b
}

// briefs holds what cards need of forecasts that were looked at; what stands under a key never changes.
type briefs struct {
	lock sync.Mutex
	by   map[string]brief
}

// mostBriefs bounds them; each is some kB.
const mostBriefs = 2000

func (l *briefs) of(f store.Last) (brief, error) {
	l.lock.Lock()
	defer l.lock.Unlock()
	if b, ok := l.by[f.Key]; ok {
		return b, nil
	}
	var b brief
	if err := unpacked(f.Part.Data, &b); err != nil {
		return b, err
	}
	if l.by == nil || len(l.by) >= mostBriefs {
		l.by = map[string]brief{}
	}
	l.by[f.Key] = b
	return b, nil
}

// Times of the shelf, our own choice: how far it looks ahead, what it shows without a calendar, and how many worries a card has room for.
const (
	aheadDays   = 28
	unknownDay  = 365
	mostWorries = 3
	pictureStep = 7 // snapshots are weekly: a picture is good for the week
)

// Cards lists the tanks whose name has the words of search in it, in any order; all when it is empty.
func (s *Shelf) Cards(ctx context.Context, search string) ([]Card, error) {
	tanks, err := s.Store.Tanks(ctx)
	if err != nil {
		return nil, err
	}
	counts, err := s.Store.CountEntries(ctx)
	if err != nil {
		return nil, err
	}
	last, err := s.Store.LastForecasts(ctx, partBrief)
	if err != nil {
		return nil, err
	}
	ways, err := s.Ways(ctx)
	if err != nil {
		return nil, err
	}
	out := []Card{}
	for _, t := range tanks {
		if !matches(t.Name, search) {
			continue
		}
		c, err := s.card(t, counts[t.ID], last, ways)
		if err != nil {
			return nil, err
		}
		out = append(out, c)
	}
	return out, nil
}

// Card returns one tank.
func (s *Shelf) Card(ctx context.Context, id string) (Card, error) {
	t, err := s.Store.Tank(ctx, id)
	if err != nil {
		return Card{}, err
	}
	counts, err := s.Store.CountEntries(ctx)
	if err != nil {
		return Card{}, err
	}
	last, err := s.Store.LastForecasts(ctx, partBrief)
	if err != nil {
		return Card{}, err
	}
	ways, err := s.Ways(ctx)
	if err != nil {
		return Card{}, err
	}
	return s.card(t, counts[t.ID], last, ways)
}

func matches(name, search string) bool {
	name = strings.ToLower(name)
	for _, word := range strings.Fields(strings.ToLower(search)) {
		if !strings.Contains(name, word) {
			return false
		}
	}
	return true
}

func (s *Shelf) card(t store.Tank, n store.Counted, last map[string]store.Last, ways Ways) (Card, error) {
	c := Card{ID: t.ID, Name: t.Name, Planted: t.Planted, Revision: t.Current, Forecast: t.Forecast, Worries: []Worry{}, Entries: n.Entries, Conflicts: n.Conflicts, LastEntry: n.Last, Changed: t.Changed}
	today, dated := Today(t.Planted, s.Now())
	if dated {
		c.Today = &today
	}
	f, ok := last[t.ID]
	if !ok {
		c.Forecast = ""
		return c, nil
	}
	b, err := s.briefs.of(f)
	if err != nil {
		return c, err
	}
	c.Fresh = f.Revision == t.Current && f.Engine == s.Engine && b.Units == ways.Units && (b.Own || b.House == ways.House) && !n.Moved.After(f.Made)
	c.Old = f.Engine != s.Engine
	c.ShownDay = ShownDay(today, dated, b.Length)
	c.Picture = PicturePath(t.Forecast, cardPicture(c.ShownDay))
	from := 0
	if dated {
		from = max(0, today)
		for _, d := range b.Visits {
			if d.Day >= today {
				d.InDays = d.Day - today
				d.Date = s.Now().AddDate(0, 0, d.InDays).Format(time.DateOnly)
				c.Due = &d
				break
			}
		}
	}
	for _, w := range b.Worries {
		if len(c.Worries) < mostWorries && w.Until >= from && w.Day <= from+aheadDays {
			c.Worries = append(c.Worries, w)
		}
	}
	return c, nil
}

// ShownDay is the day of the picture on the shelf, as snapshots are kept: today's, or a year in when today is not known.
func ShownDay(today int, dated bool, length int) int {
	day := unknownDay
	if dated {
		day = today
	}
	day = max(0, min(day, length))
	return day - day%pictureStep
}

// cardPicture is the picture of a card.
func cardPicture(day int) Picture { return Picture{Day: day, From: "front", Width: 640, Height: 400} }

// First is the picture that a tank's page opens with.
func First(day int) Picture { return Picture{Day: day, From: "front", Width: 1280, Height: 800} }

// Prepare draws the pictures that people see first, so that they are there when asked for.
func (s *Shelf) Prepare(ctx context.Context, key string) error {
	w, err := s.Live(ctx, key)
	if err != nil {
		return err
	}
	today, dated := Today(w.Plan.Planted, s.Now())
	day := ShownDay(today, dated, w.Forecast.Length)
	for _, p := range []Picture{cardPicture(day), First(day)} {
		if _, err := s.Draw(ctx, key, p); err != nil {
			return err
		}
	}
	return nil
}
