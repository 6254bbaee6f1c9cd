package journal

import (
	"errors"
	"fmt"
	"littoral/internal/forecast"
	"littoral/internal/plan"
	"littoral/internal/unit"
	"math"
	"slices"
	"strings"
	"time"
)

// Kinds of entries.
const (
	KindTask  = "task"  // work of the routine, done or left out
	KindTest  = "test"  // readings
	KindLoss  = "loss"  // plants or animals that are gone
	KindAdded = "added" // plants or animals that came, or came back
	KindVisit = "visit" // a visit as a whole: minutes, weight cut
	KindNote  = "note"
	KindPhoto = "photo"
)

// Kinds lists them.
func Kinds() []string {
	return []string{KindTask, KindTest, KindLoss, KindAdded, KindVisit, KindNote, KindPhoto}
}

// Entry is one thing that was written down beside the tank. At is local time there.
type Entry struct {
	ID   string `json:"id" minLength:"8" maxLength:"64" pattern:"^[0-9A-Za-z-]+$" doc:"made by the writer, such as a UUID: sent twice it is kept once"`
	At   string `json:"at" maxLength:"16" example:"2027-03-01T18:30" doc:"local date, or date and time, beside the tank"`
	Kind string `json:"kind" enum:"task,test,loss,added,visit,note,photo"`
	Text string `json:"text,omitempty" maxLength:"4000" doc:"in the writer's words"`
	// Struck entries stay to be read and count for nothing.
	Struck bool `json:"struck,omitempty" doc:"written in error: it stays to be read and counts for nothing"`

	Task  *Task  `json:"task,omitempty"`
	Test  *Test  `json:"test,omitempty"`
	Loss  *Loss  `json:"loss,omitempty"`
	Added *Added `json:"added,omitempty"`
	Visit *Visit `json:"visit,omitempty"`
	Photo *Photo `json:"photo,omitempty"`
}

// Moves tells whether an entry changes the forecast: work, losses and arrivals do, and tests of what the forecast goes on from.
func (e *Entry) Moves() bool {
	switch e.Kind {
	case KindTask, KindLoss, KindAdded:
		return true
	case KindTest:
		return e.Test != nil && slices.ContainsFunc(e.Test.Readings, func(r Reading) bool { return forecast.GoesOnFrom(r.What) })
	}
	return false
}

// Task is work of the routine. What is left empty is as the plan's line says.
type Task struct {
	Care    string             `json:"care,omitempty" maxLength:"80" doc:"id of the plan's line; empty for work that the plan does not ask for"`
	Day     *int               `json:"day,omitempty" doc:"day of the visit for which the plan asked it"`
	Do      string             `json:"do" enum:"water-change,dose,trim,thin,outer-leaves,replant-tops,pull-runners,root-feed,filter-clean,siphon,glass"`
	Done    bool               `json:"done" doc:"false: it was left out"`
	Share   float64            `json:"share,omitempty" minimum:"0" maximum:"1" doc:"water-change, trim, thin, outer-leaves: share of the water or the plants"`
	Litres  float64            `json:"litres,omitempty" minimum:"0" doc:"water-change: water changed, L; dose: volume of the bottle, L"`
	Grams   map[string]float64 `json:"grams,omitempty" doc:"dose: salt, or iron, to grams"`
	Bottle  string             `json:"bottle,omitempty" maxLength:"80" doc:"dose: name of a bottle of the plan"`
	Species string             `json:"species,omitempty" maxLength:"120" doc:"species, or id of a planting, that was cut"`
	ToCM    float64            `json:"to_cm,omitempty" minimum:"0" doc:"trim: height that was left; replant-tops: length of the tops"`
	Tablets int                `json:"tablets,omitempty" minimum:"0" maximum:"10000" doc:"root-feed"`
	Minutes float64            `json:"minutes,omitempty" minimum:"0" maximum:"10000"`
	WetG    float64            `json:"wet_g,omitempty" minimum:"0" doc:"wet weight cut"`
}

// Test is a set of readings.
type Test struct {
	Change   string    `json:"change,omitempty" enum:"before,after" doc:"before or after the day's water change; absent = there was none"`
	Readings []Reading `json:"readings" maxItems:"40"`
}

// Reading is one value with its unit.
type Reading struct {
	What  string  `json:"what" enum:"temperature,ph,kh,gh,nitrate,nitrite,ammonium,phosphate,potassium,iron,calcium,magnesium,co2,oxygen"`
	Value float64 `json:"value"`
	Unit  string  `json:"unit" maxLength:"24" doc:"such as mg/L, mg/L as N, dKH, °C, °F; empty for pH"`
}

// Loss is plants or animals that are gone.
type Loss struct {
	Planting string `json:"planting,omitempty" maxLength:"80" doc:"id of a planting of the plan"`
	Stock    string `json:"stock,omitempty" maxLength:"80" doc:"id of a group of animals of the plan"`
	Count    int    `json:"count" minimum:"1" maximum:"100000" doc:"pots or animals"`
}

// Added is plants or animals that came.
type Added struct {
	Like    string `json:"like,omitempty" maxLength:"80" doc:"plants: id of the planting of the plan in whose place they are set"`
	Species string `json:"species,omitempty" maxLength:"120" doc:"plants: another species than that planting's; animals: their species"`
	Animals bool   `json:"animals,omitempty"`
	Count   int    `json:"count" minimum:"1" maximum:"100000" doc:"pots or animals"`
}

// Visit is a visit as a whole.
type Visit struct {
	Day     *int    `json:"day,omitempty" doc:"day of the plan for which it was due"`
	Minutes float64 `json:"minutes,omitempty" minimum:"0" maximum:"10000"`
	WetG    float64 `json:"wet_g,omitempty" minimum:"0" doc:"wet weight cut, all together"`
}

// Photo names a photo that was sent.
type Photo struct {
	ID   string `json:"id" maxLength:"64"`
	Mark string `json:"mark,omitempty" maxLength:"80" doc:"fixed place it was taken from"`
}

// layouts of At.
var layouts = []string{"2006-01-02T15:04", time.DateOnly}

// When reads At; the clock is 00:00 where it states none.
func (e *Entry) When() (time.Time, error) {
	for _, l := range layouts {
		if t, err := time.Parse(l, e.At); err == nil {
			return t, nil
		}
	}
	return time.Time{}, fmt.Errorf("%q is no time; write it as 2027-03-01T18:30 or 2027-03-01", e.At)
}

// Day is the day of the plan on which an entry falls; ok is false when the plan has no date of planting.
func (e *Entry) Day(planted string) (day int, ok bool) {
	start, err := time.Parse(time.DateOnly, planted)
	if err != nil {
		return 0, false
	}
	at, err := e.When()
	if err != nil {
		return 0, false
	}
	return int(math.Floor(at.Sub(start).Hours() / 24)), true
}

// Check tells everything that is wrong with an entry; nil when nothing is.
func (e *Entry) Check() error {
	var errs []error
	bad := func(format string, a ...any) { errs = append(errs, fmt.Errorf(format, a...)) }
	if _, err := e.When(); err != nil {
		errs = append(errs, err)
	}
	parts := map[string]bool{KindTask: e.Task != nil, KindTest: e.Test != nil, KindLoss: e.Loss != nil, KindAdded: e.Added != nil, KindVisit: e.Visit != nil, KindPhoto: e.Photo != nil}
	for _, kind := range Kinds() {
		switch has := parts[kind]; {
		case has && kind != e.Kind:
			bad("an entry of kind %s has a part of kind %s; send them as two entries", e.Kind, kind)
		case !has && kind == e.Kind && kind != KindNote:
			bad("an entry of kind %s needs its part %q", e.Kind, kind)
		}
	}
	if !slices.Contains(Kinds(), e.Kind) {
		bad("%q is no kind of entry; take one of %s", e.Kind, strings.Join(Kinds(), ", "))
	}
	if e.Test != nil {
		for i := range e.Test.Readings {
			if _, err := e.Test.Readings[i].In(); err != nil {
				errs = append(errs, err)
			}
		}
		if len(e.Test.Readings) == 0 {
			bad("a test needs at least one reading")
		}
	}
	if t := e.Task; t != nil {
		for salt, g := range t.Grams {
			if !(g >= 0 && g < 1e6) {
				bad("%g g of %s is no dose", g, salt)
			}
		}
		for _, v := range []float64{t.Share, t.Litres, t.ToCM, t.Minutes, t.WetG} {
			if !(v >= 0 && v < 1e6) {
				bad("an amount of the task is not a number from 0 on")
			}
		}
		if t.Share > 1 {
			bad("a share is at most 1")
		}
	}
	if l := e.Loss; l != nil {
		if (l.Planting == "") == (l.Stock == "") {
			bad("a loss names a planting or a group of animals, one of the two")
		}
		if l.Count < 1 {
			bad("a loss has a count from 1 on")
		}
	}
	if a := e.Added; a != nil {
		if a.Animals && a.Species == "" || !a.Animals && a.Like == "" {
			bad("what came names a species of animals, or the planting in whose place plants were set")
		}
		if a.Count < 1 {
			bad("what came has a count from 1 on")
		}
	}
	return errors.Join(errs...)
}

// measured says how a reading is read, and which column of the forecast it stands beside.
type measured struct {
	name   string // in sentences
	unit   string // of the inner value
	digits int    // decimals shown
	read   func(text string) (float64, error)
	// near is how far a reading may lie off before it means something: an absolute part and a share. Reading steps of common drop
	// tests and meters (common practice, no source).
	near, share float64
}

func ion(formula string) func(string) (float64, error) {
	return func(text string) (float64, error) {
		v, err := unit.ParseConcentration(text, formula)
		return float64(v), err
	}
}

// degrees reads a hardness in degrees, of which one is so much of the inner unit.
func degrees(kind unit.Kind, one string) func(string) (float64, error) {
	return func(text string) (float64, error) {
		v, err := unit.Parse(kind, text)
		if err != nil {
			return 0, err
		}
		d, err := unit.Parse(kind, one)
		return v / d, err
	}
}

var measures = map[string]measured{
	"temperature": {"temperature", "°C", 1, func(t string) (float64, error) { return unit.Parse(unit.KindTemperature, t) }, 0.7, 0},
	"ph":          {"pH", "", 2, nil, 0.2, 0},
	"kh":          {"carbonate hardness", "dKH", 1, degrees(unit.KindAlkalinity, "1 dKH"), 0.7, 0},
	"gh":          {"total hardness", "dGH", 1, degrees(unit.KindHardness, "1 dGH"), 1, 0},
	"nitrate":     {"nitrate", "mg/L", 0, ion("NO3"), 2, 0.15},
	"nitrite":     {"nitrite", "mg/L", 2, ion("NO2"), 0.05, 0.2},
	"ammonium":    {"ammonium", "mg/L", 2, ion("NH4"), 0.1, 0.2},
	"phosphate":   {"phosphate", "mg/L", 2, ion("PO4"), 0.1, 0.2},
	"potassium":   {"potassium", "mg/L", 0, ion("K"), 2, 0.2},
	"iron":        {"iron", "mg/L", 2, ion("Fe"), 0.05, 0.2},
	"calcium":     {"calcium", "mg/L", 0, ion("Ca"), 5, 0.1},
	"magnesium":   {"magnesium", "mg/L", 0, ion("Mg"), 2, 0.1},
	"co2":         {"CO2", "mg/L", 0, ion("CO2"), 5, 0.15},
	"oxygen":      {"oxygen", "mg/L", 1, ion("O2"), 0.7, 0},
}

// In is a reading in the unit of the forecast: mg/L of the ion, dKH, dGH, °C, or pH as it is. It fails on units that do not fit and on
// values that no tank has.
func (r Reading) In() (float64, error) {
	m, ok := measures[r.What]
	if !ok {
		return 0, fmt.Errorf("%q is not among what is measured", r.What)
	}
	if math.IsNaN(r.Value) || math.IsInf(r.Value, 0) || r.Value < -50 || r.Value > 1e5 {
		return 0, fmt.Errorf("%g is no reading of %s", r.Value, m.name)
	}
	if m.read == nil {
		if r.Unit != "" {
			return 0, fmt.Errorf("pH has no unit; leave %q out", r.Unit)
		}
		if r.Value < 2 || r.Value > 12 {
			return 0, fmt.Errorf("pH %g is no reading of a tank; it lies between 2 and 12", r.Value)
		}
		return r.Value, nil
	}
	v, err := m.read(fmt.Sprintf("%g %s", r.Value, r.Unit))
	if err != nil {
		return 0, fmt.Errorf("%s: %w", m.name, err)
	}
	return v, nil
}

// UnitOf is the unit in which readings of a kind are laid beside the forecast; empty for pH.
func UnitOf(what string) string { return measures[what].unit }

// Measured lists what can be measured, in a fixed order.
func Measured() []string {
	return []string{"temperature", "ph", "kh", "gh", "nitrate", "nitrite", "ammonium", "phosphate", "potassium", "iron", "calcium", "magnesium", "co2", "oxygen"}
}

// Names of a planting and of animals that an entry may use, for the check that they exist.
func (e *Entry) known(p *plan.Plan) bool {
	switch {
	case e.Loss != nil && e.Loss.Planting != "":
		return planting(p, e.Loss.Planting) != nil
	case e.Loss != nil:
		return slices.ContainsFunc(p.Livestock, func(s plan.Stock) bool { return s.ID == e.Loss.Stock })
	case e.Added != nil && e.Added.Animals:
		_, ok := p.Cat.Animal(e.Added.Species)
		return ok
	case e.Added != nil:
		return planting(p, e.Added.Like) != nil
	}
	return true
}

func planting(p *plan.Plan, id string) *plan.Planting {
	for _, pl := range p.Plantings() {
		if pl.ID == id {
			return pl
		}
	}
	return nil
}
