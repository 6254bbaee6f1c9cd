package papers

import (
	"bytes"
	_ "embed"
	"encoding/json"
	"littoral/internal/findings"
	"littoral/internal/forecast"
	"math"

	"github.com/invopop/jsonschema"
)

// SchemaID names the schema of forecast.json. It is a name, not an address: nothing is to be fetched from it.
const SchemaID = "urn:littoral:forecast:1"

//go:embed schema/forecast.schema.json
var schema []byte

// Outcome is what forecast.json holds and what standard output shows for scripts. All quantities are in the unit that the key names,
// whatever units the house shows.
type Outcome struct {
	Littoral       int           `json:"littoral" jsonschema:"description=version of this format; 1"`
	Name           string        `json:"name" jsonschema:"description=what the tank is called"`
	Days           int           `json:"days" jsonschema:"description=days forecast after day 0"`
	Seed           uint64        `json:"seed" jsonschema:"description=seed of the random draws; the same plan and seed give the same bytes"`
	NetWaterL      float64       `json:"net_water_l" jsonschema:"description=free water above the bed and around the hardscape, L"`
	FilledWeightKG float64       `json:"filled_weight_kg" jsonschema:"description=weight on the floor when filled, kg"`
	FloorLoadPa    float64       `json:"floor_load_pa" jsonschema:"description=load under the outer footprint, Pa; a licensed professional judges it by local codes"`
	BedL           float64       `json:"bed_l" jsonschema:"description=bulk of the bed, L"`
	Plants         []PlantEnd    `json:"plants" jsonschema:"description=plants standing at the end, by id"`
	Safe           []SafeJSON    `json:"safe" jsonschema:"description=from when the water is fit for animals by the house's alarms"`
	Findings       []FindingJSON `json:"findings" jsonschema:"description=what will go wrong or is worth a look, gravest first"`
	Costs          *CostsJSON    `json:"costs,omitempty" jsonschema:"description=what building and care cost by the stated prices, and how long planting takes"`
	Visits         []VisitJSON   `json:"visits,omitempty" jsonschema:"description=days of work; left out of the summary on standard output"`
	Held           []HeldJSON    `json:"held,omitempty" jsonschema:"description=what held each planting back month by month; left out of the summary on standard output"`
	Balance        []BalanceJSON `json:"balance,omitempty" jsonschema:"description=mass ledger by element; left out of the summary on standard output"`
	Bands          *BandsJSON    `json:"bands,omitempty" jsonschema:"description=what many members say together; only in the summary on standard output and only when members are asked for"`
	Sure           *SureJSON     `json:"sure,omitempty" jsonschema:"description=what many forecasts with other values of the uncertain numbers say together; left out when there was one only"`
	WallS          *float64      `json:"wall_s,omitempty" jsonschema:"description=seconds the run took; only in the summary on standard output, never in a file"`
}

// PlantEnd is one plant at the end of the forecast.
type PlantEnd struct {
	ID       string  `json:"id" jsonschema:"description=planting id, a stroke and a number; a daughter appends its own"`
	Species  string  `json:"species" jsonschema:"description=accepted botanical name"`
	Planting string  `json:"planting" jsonschema:"description=id of the planting in the plan"`
	XCM      float64 `json:"x_cm" jsonschema:"description=cm from the left glass"`
	YCM      float64 `json:"y_cm" jsonschema:"description=cm from the front glass"`
	HeightCM float64 `json:"height_cm" jsonschema:"description=height over its crown, cm; of a floating plant the depth of its roots"`
	SpreadCM float64 `json:"spread_cm" jsonschema:"description=diameter seen from above, cm"`
	ShootG   float64 `json:"shoot_dry_g" jsonschema:"description=dry mass of its shoots, g"`
}

// SafeJSON is from when a kind of animal can live in the water.
type SafeJSON struct {
	Kind  string     `json:"kind" jsonschema:"enum=fish,enum=shrimp"`
	Day   *int       `json:"day" jsonschema:"oneof_type=integer;null,description=first day from which un-ionised ammonia and nitrite stay under the house's alarms and ammonium under 0.1 mg/L; null when not within the forecast"`
	Again []SpanJSON `json:"again" jsonschema:"description=later spells over them; as after a lost filter"`
}

// SpanJSON is a span of days.
type SpanJSON struct {
	From  int `json:"from"`
	Until int `json:"until"`
}

// FindingJSON is a finding in the file.
type FindingJSON struct {
	Number   int      `json:"number" jsonschema:"description=the number of its ring on the drawings"`
	ID       string   `json:"id" jsonschema:"description=stable within one forecast"`
	Rule     string   `json:"rule" jsonschema:"description=the rule that found it"`
	Severity string   `json:"severity" jsonschema:"enum=danger,enum=harm,enum=look,enum=note"`
	Day      int      `json:"day" jsonschema:"description=first day"`
	Until    int      `json:"until" jsonschema:"description=last day"`
	When     string   `json:"when" say:"text"`
	Where    string   `json:"where" say:"text"`
	XCM      *float64 `json:"x_cm" jsonschema:"oneof_type=number;null,description=cm from the left glass; null when it has no place"`
	YCM      *float64 `json:"y_cm" jsonschema:"oneof_type=number;null,description=cm from the front glass; null when it has no place"`
	Subject  string   `json:"subject" say:"text" jsonschema:"description=planting; species; animal or water"`
	What     string   `json:"what" say:"text"`
	Because  string   `json:"because" say:"text" jsonschema:"description=the reason in numbers"`
	Do       string   `json:"do" say:"text" jsonschema:"description=the cure"`
	Tried    string   `json:"tried,omitempty" say:"text" jsonschema:"description=what the cure changed when the plan was forecast again with it"`
	CanTry   bool     `json:"can_try" jsonschema:"description=a program can apply the cure and tell what it changes"`
	Caution  string   `json:"caution" say:"text"`
}

// SureJSON tells how sure the dates are.
type SureJSON struct {
	Members int        `json:"members" jsonschema:"description=number of forecasts"`
	Dates   []DateJSON `json:"dates"`
}

// DateJSON is the day on which something first holds. A day that is not reached within the forecast is null.
type DateJSON struct {
	Name  string   `json:"name" say:"text"`
	Share float64  `json:"share" jsonschema:"description=share of the forecasts that see it; 0 to 1"`
	Low   *float64 `json:"low_day" jsonschema:"oneof_type=number;null,description=one of ten forecasts is earlier"`
	Mid   *float64 `json:"mid_day" jsonschema:"oneof_type=number;null,description=half of the forecasts are earlier"`
	High  *float64 `json:"high_day" jsonschema:"oneof_type=number;null,description=nine of ten forecasts are earlier"`
}

// VisitJSON is a day of work.
type VisitJSON struct {
	Day     int     `json:"day"`
	Minutes float64 `json:"minutes"`
}

// HeldJSON is what held a planting back over a month: how fast it grew against what its kind can, and the shares of what was lost.
type HeldJSON struct {
	Planting string     `json:"planting" jsonschema:"description=id of the planting in the plan"`
	Species  string     `json:"species" jsonschema:"description=accepted botanical name"`
	From     int        `json:"from" jsonschema:"description=first day"`
	Until    int        `json:"until" jsonschema:"description=last day"`
	Reached  float64    `json:"reached_share" jsonschema:"description=photosynthesis against that of a replete plant in long bright light; 1 is not held back"`
	Shares   SharesJSON `json:"shares" jsonschema:"description=what each cause took of all that was lost; they add up to 1"`
}

// SharesJSON are shares of limitation.
type SharesJSON struct {
	Light       float64 `json:"light"`
	CO2         float64 `json:"co2"`
	Nitrogen    float64 `json:"nitrogen"`
	Phosphorus  float64 `json:"phosphorus"`
	Potassium   float64 `json:"potassium"`
	Iron        float64 `json:"iron"`
	Temperature float64 `json:"temperature"`
	Space       float64 `json:"space" jsonschema:"description=its own full size"`
	RootRoom    float64 `json:"root_room" jsonschema:"description=ground shared with too many"`
	Chemistry   float64 `json:"ph_or_hardness"`
	Settling    float64 `json:"settling_in" jsonschema:"description=rooting and leaves made in air"`
}

// CostsJSON is what building and each year of care cost. Sums hold only what has a price.
type CostsJSON struct {
	Currency   string          `json:"currency" jsonschema:"description=ISO 4217 code of the plan or the house"`
	HourlyRate float64         `json:"labour_rate_per_h" jsonschema:"description=what an hour of work costs; 0 when none is stated"`
	Planting   PlantingDayJSON `json:"planting_day"`
	Building   *CostBlockJSON  `json:"building,omitempty" jsonschema:"description=left out of a plan that begins from a tank as found"`
	Years      []CostBlockJSON `json:"years" jsonschema:"description=care by years of 365 days; the last may be shorter"`
}

// PlantingDayJSON is how long it takes to plant and to build, by the house's labour norms.
type PlantingDayJSON struct {
	Pots      int     `json:"pots"`
	PlantingH float64 `json:"planting_person_h" jsonschema:"description=person-hours to set the pots"`
	PrepareH  float64 `json:"preparing_person_h" jsonschema:"description=person-hours to prepare them"`
	Planters  int     `json:"planters" jsonschema:"description=planters that work at the front glass side by side"`
	LastsH    float64 `json:"lasts_h" jsonschema:"description=hours that the planting lasts with them"`
	BuildingH float64 `json:"building_person_h" jsonschema:"description=person-hours of the whole building, planting included"`
}

// CostBlockJSON is a priced list with its sum.
type CostBlockJSON struct {
	Name     string         `json:"name" say:"text"`
	From     int            `json:"from" jsonschema:"description=first day"`
	Until    int            `json:"until" jsonschema:"description=last day"`
	Sum      float64        `json:"sum" jsonschema:"description=of what has a price"`
	Unpriced int            `json:"without_price" jsonschema:"description=lines that have no price and are not in the sum"`
	Lines    []CostLineJSON `json:"lines"`
}

// CostLineJSON is one thing to pay for. Price and cost are null where none is stated.
type CostLineJSON struct {
	What   string   `json:"what" say:"text"`
	Amount float64  `json:"amount"`
	Unit   string   `json:"unit" say:"text" jsonschema:"description=of the amount: pot or piece or tablet or kg or L or m³ or kWh or h"`
	Price  *float64 `json:"price" jsonschema:"oneof_type=number;null,description=for one price_per"`
	Per    string   `json:"price_per,omitempty" say:"text"`
	Cost   *float64 `json:"cost" jsonschema:"oneof_type=number;null"`
}

// costsJSON turns a costing into its form for scripts.
func (t *teller) costsJSON() *CostsJSON {
	c := t.costing()
	d := t.plantingDay()
	block := func(b *costBlock) CostBlockJSON {
		sum, open := b.sum()
		out := CostBlockJSON{Name: b.Name, From: b.From, Until: b.Until, Sum: places(sum, 2), Unpriced: open, Lines: []CostLineJSON{}}
		for i := range b.Lines {
			l := &b.Lines[i]
			j := CostLineJSON{What: l.What, Amount: places(l.Qty, 4), Unit: l.Unit}
			if l.Priced {
				price, cost := places(l.Price, 4), places(l.Cost, 2)
				j.Price, j.Per, j.Cost = &price, l.Per, &cost
			}
			out.Lines = append(out.Lines, j)
		}
		return out
	}
	out := &CostsJSON{
		Currency: c.Currency, HourlyRate: places(c.Rate, 4), Years: []CostBlockJSON{},
		Planting: PlantingDayJSON{d.Pots, places(d.PlantH, 2), places(d.PrepareH, 2), d.Planters, places(d.LastsH, 2), places(d.BuildH, 2)},
	}
	if c.Build != nil {
		b := block(c.Build)
		out.Building = &b
	}
	for i := range c.Years {
		out.Years = append(out.Years, block(&c.Years[i]))
	}
	return out
}

// BalanceJSON is the ledger of an element: start + in = out + end.
type BalanceJSON struct {
	Element  string      `json:"element" say:"text"`
	Unit     string      `json:"unit"`
	Start    float64     `json:"start"`
	End      float64     `json:"end"`
	Stores   []StoreJSON `json:"stores,omitempty" jsonschema:"description=where it is in the tank at the start and at the end"`
	In       []EntryJSON `json:"in"`
	Out      []EntryJSON `json:"out"`
	Relative float64     `json:"relative_error" jsonschema:"description=what does not close, as a share of start and in"`
}

// StoreJSON is what a part of the tank holds.
type StoreJSON struct {
	Name  string  `json:"name" say:"text"`
	Start float64 `json:"start"`
	End   float64 `json:"end"`
}

// EntryJSON is a line of a ledger.
type EntryJSON struct {
	Name   string  `json:"name" say:"text"`
	Amount float64 `json:"amount"`
}

// JSON returns the outcome of a forecast for scripts. The caller may set WallS; it never comes from here.
func JSON(f *forecast.Forecast, found []findings.Finding) Outcome {
	t := newTeller(f, found)
	s := Outcome{
		Littoral: 1, Days: f.Length, Seed: f.Seed, Plants: []PlantEnd{}, Findings: []FindingJSON{},
		NetWaterL: places(f.Model.Facts.NetWaterL, 1), FilledWeightKG: places(f.Model.Facts.FilledKG, 1), FloorLoadPa: places(f.Model.Facts.LoadPa, 0), BedL: places(f.Model.Facts.BedL, 1),
	}
	if f.Plan != nil {
		s.Name = f.Plan.Name
		s.Costs = t.costsJSON()
	}
	for _, kind := range []string{"fish", "shrimp"} {
		x := findings.SafeFor(f, kind)
		j := SafeJSON{Kind: kind, Again: []SpanJSON{}}
		if x.Day >= 0 {
			j.Day = &x.Day
		}
		for _, a := range x.Again {
			j.Again = append(j.Again, SpanJSON(a))
		}
		s.Safe = append(s.Safe, j)
	}
	if n := len(f.Snapshots); n > 0 {
		for i := range f.Snapshots[n-1].Plants {
			p := &f.Snapshots[n-1].Plants[i]
			s.Plants = append(s.Plants, PlantEnd{
				ID: p.ID, Species: speciesOf(p), Planting: p.Planting, XCM: places(100*p.X, 1), YCM: places(100*p.Y, 1),
				HeightCM: places(100*p.HeightM, 1), SpreadCM: places(100*p.SpreadM, 1), ShootG: places(p.ShootG, 3),
			})
		}
	}
	for i := range t.found {
		x := &t.found[i]
		j := FindingJSON{Number: i + 1, ID: x.ID, Rule: x.Rule, Severity: x.Severity, Day: x.Day, Until: x.Until, When: x.When, Where: x.Where, Subject: x.Subject, What: x.What, Because: x.Because, Do: x.Do, Tried: x.Tried, CanTry: x.CanTry, Caution: x.Caution}
		if x.X >= 0 && x.Y >= 0 {
			px, py := places(100*x.X, 1), places(100*x.Y, 1)
			j.XCM, j.YCM = &px, &py
		}
		s.Findings = append(s.Findings, j)
	}
	return s
}

// Full is the whole of forecast.json: the summary with visits, balance and, of many forecasts, how sure the dates are; bands may be nil.
func Full(f *forecast.Forecast, found []findings.Finding, bands *forecast.Bands) Outcome {
	s := JSON(f, found)
	if bands != nil {
		s.Sure = &SureJSON{Members: bands.Members, Dates: []DateJSON{}}
		day := func(v float64) *float64 {
			if v = places(v, 0); v < 0 {
				return nil
			}
			return &v
		}
		for _, d := range bands.Dates {
			s.Sure.Dates = append(s.Sure.Dates, DateJSON{d.Name, places(d.Share, 3), day(d.Day.Low), day(d.Day.Mid), day(d.Day.High)})
		}
	}
	for i := range f.Visits {
		s.Visits = append(s.Visits, VisitJSON{f.Visits[i].Day, places(f.Visits[i].Minutes, 1)})
	}
	for i := range f.Held {
		m := &f.Held[i]
		h := HeldJSON{Planting: m.Planting, From: m.From, Until: m.Until, Reached: places(m.Reached, 4)}
		if m.Species != nil {
			h.Species = m.Species.Name
		}
		x := &m.Shares
		h.Shares = SharesJSON{
			places(x.Light, 4), places(x.CO2, 4), places(x.N, 4), places(x.P, 4), places(x.K, 4), places(x.Fe, 4), places(x.Temp, 4), places(x.Space, 4),
			places(x.Room, 4), places(x.Water, 4), places(x.Settle, 4),
		}
		s.Held = append(s.Held, h)
	}
	for i := range f.Balance.Elements {
		e := &f.Balance.Elements[i]
		b := BalanceJSON{Element: e.Element, Unit: e.Unit, Start: places(e.Start, 6), End: places(e.End, 6), In: entries(e.In), Out: entries(e.Out), Relative: finite(e.Relative)}
		for _, x := range e.Stores {
			b.Stores = append(b.Stores, StoreJSON{x.Name, places(x.Start, 6), places(x.End, 6)})
		}
		s.Balance = append(s.Balance, b)
	}
	return s
}

func fileJSON(f *forecast.Forecast, found []findings.Finding, bands *forecast.Bands) ([]byte, error) {
	return indented(Full(f, found, bands))
}

func entries(in []forecast.Entry) []EntryJSON {
	out := make([]EntryJSON, 0, len(in))
	for _, e := range in {
		out = append(out, EntryJSON{e.Name, places(e.Amount, 6)})
	}
	return out
}

func indented(v any) ([]byte, error) {
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	e.SetIndent("", "  ")
	if err := e.Encode(v); err != nil {
		return nil, err
	}
	return b.Bytes(), nil
}

// places rounds to decimals; what is not a number becomes 0, since JSON has no word for it.
func places(v float64, n int) float64 {
	if v = finite(v); math.Abs(v) > 1e15 {
		return v
	}
	p := math.Pow10(n)
	return math.Round(v*p)/p + 0
}

func finite(v float64) float64 {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return 0
	}
	return v
}

// Schema returns the JSON Schema (2020-12) of forecast.json and of the summary on standard output.
func Schema() []byte { return append([]byte(nil), schema...) }

// makeSchema derives the schema from the types above. The copy under schema/ is checked against it by a test.
func makeSchema() ([]byte, error) {
	r := &jsonschema.Reflector{DoNotReference: false, Anonymous: true}
	s := r.Reflect(&Outcome{})
	s.ID = SchemaID
	s.Title = "forecast.json"
	s.Description = "The outcome of a forecast in numbers, for scripts. Quantities are in the unit that the key names."
	return indented(s)
}
