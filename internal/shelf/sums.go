package shelf

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"io"
	"littoral/internal/forecast"
	"littoral/internal/plan"
	"littoral/internal/reckon"
	"littoral/internal/store"
	"littoral/internal/unit"
	"littoral/internal/water"
	"math"
	"slices"
	"sort"
	"strconv"
	"strings"
)

// Question is a sum of the trade that needs no plan, with a tank's own values where they are known.
type Question struct {
	Topic   string      `json:"topic"`
	Short   string      `json:"short" say:"text" doc:"the question in one line"`
	About   string      `json:"about" say:"text" doc:"what is reckoned and by which source"`
	Fields  []SumField  `json:"fields"`
	Numbers []SumColumn `json:"numbers" doc:"what the answer holds"`
	Salts   bool        `json:"salts" doc:"further values are salts by their formula, in grams"`
	Weighed []SumSalt   `json:"weighed" doc:"salts that the tank's plan weighs in"`
}

// SumField is one value that a sum asks for.
type SumField struct {
	Column  string `json:"column" doc:"its name, in a file too; it ends in its unit"`
	Help    string `json:"help" say:"text"`
	Example string `json:"example" doc:"as it may be written, with its unit"`
	Text    string `json:"text" doc:"the tank's own value, or what is taken when nothing is given; empty when neither is known"`
	Own     bool   `json:"own" doc:"the text is the tank's own value"`
	Needed  bool   `json:"needed" doc:"there is no answer without it"`
}

// SumColumn is one number of an answer.
type SumColumn struct {
	Column string `json:"column"`
	Words  string `json:"words" say:"text" doc:"what it is, with its unit"`
}

// SumSalt is an amount of a salt.
type SumSalt struct {
	Salt string `json:"salt" doc:"formula"`
	Text string `json:"text" doc:"amount with its unit; a plain number is grams"`
}

// SumAnswer is a sum worked out.
type SumAnswer struct {
	Topic   string      `json:"topic"`
	Says    string      `json:"says" say:"text" doc:"the answer in one sentence"`
	Why     []string    `json:"why" say:"text" doc:"the reasoning"`
	Caution string      `json:"caution" say:"text" doc:"what may hurt someone; empty where nothing does"`
	About   string      `json:"about" say:"text" doc:"what was reckoned and by which source"`
	Numbers []SumNumber `json:"numbers" doc:"without those that are not known"`
	Given   []SumGiven  `json:"given" doc:"what it was reckoned from"`
}

// SumNumber is one number of an answer.
type SumNumber struct {
	Column string  `json:"column"`
	Words  string  `json:"words" say:"text"`
	Value  float64 `json:"value"`
	Places int     `json:"places" doc:"decimals that a person can use"`
}

// SumGiven is one value that a sum was reckoned from.
type SumGiven struct {
	Column string `json:"column"`
	Help   string `json:"help" say:"text"`
	Text   string `json:"text" say:"text"`
	Own    bool   `json:"own" doc:"given, not taken for want of a better"`
}

// Sums lists the sums; with a tank, its own values stand in the fields, as of a day of its last forecast. Units are metric or US; empty = as the
// tank's house says.
func (s *Shelf) Sums(ctx context.Context, tank string, day int, units string) ([]Question, error) {
	own, salts, system := values{}, []reckon.Weighed(nil), systemOf(units)
	if tank != "" {
		p, f, err := s.known(ctx, tank)
		if err != nil {
			return nil, err
		}
		if p != nil {
			own, salts, system = valuesOf(p, f, day), batchSalts(p, f), systemOf(cmp.Or(units, p.House.Units))
		}
	}
	var out []Question
	for _, t := range reckon.Topics() {
		sum := Question{Topic: t.Name, Short: t.Short, About: t.About, Salts: t.Salts}
		for _, f := range t.In {
			x, known := own.of(t.Name, f)
			field := SumField{Column: f.Column, Help: f.Help, Example: f.Example, Needed: f.Needed, Own: known}
			if !known {
				x = f.Default
			}
			if !math.IsNaN(x) {
				field.Text = f.Write(x, system)
			}
			sum.Fields = append(sum.Fields, field)
		}
		for _, o := range t.Out {
			sum.Numbers = append(sum.Numbers, SumColumn{o.Column, o.Words})
		}
		if t.Salts {
			for _, w := range salts {
				sum.Weighed = append(sum.Weighed, SumSalt{w.Salt, gramsText(w.Grams)})
			}
		}
		out = append(out, sum)
	}
	return out, nil
}

// ErrSum is what cannot be reckoned as it was put; the text says why.
type ErrSum struct{ error }

// SolveSum reckons one sum from texts with units, by column. Errors that whoever asks can mend are ErrSum.
func SolveSum(topic string, texts map[string]string, salts []SumSalt) (SumAnswer, error) {
	t, err := reckon.Look(topic)
	if err != nil {
		return SumAnswer{}, ErrSum{err}
	}
	own := values{}
	for _, column := range sortedKeys(texts) {
		i := slices.IndexFunc(t.In, func(f reckon.Field) bool { return f.Column == column })
		if i < 0 {
			return SumAnswer{}, ErrSum{fmt.Errorf("%s has no value called %q", topic, column)}
		}
		if texts[column] == "" {
			continue
		}
		if own[column], err = t.In[i].Read(texts[column]); err != nil {
			return SumAnswer{}, ErrSum{fmt.Errorf("%s: %w", strings.TrimSuffix(t.In[i].Help, "."), err)}
		}
	}
	var weighed []reckon.Weighed
	for _, w := range salts {
		if w.Text == "" {
			continue
		}
		if !t.Salts {
			return SumAnswer{}, ErrSum{fmt.Errorf("%s takes no salts", topic)}
		}
		g, err := reckon.Grams(w.Text)
		if err != nil {
			return SumAnswer{}, ErrSum{fmt.Errorf("%s: %w", w.Salt, err)}
		}
		weighed = append(weighed, reckon.Weighed{Salt: w.Salt, Grams: g})
	}
	a, err := solve(t, own, weighed, unit.Metric)
	if err != nil {
		return SumAnswer{}, ErrSum{err}
	}
	return a, nil
}

// SumTable reckons every row of comma-separated text, as littoral reckon --csv does.
func SumTable(ctx context.Context, topic string, from io.Reader, to io.Writer) error {
	t, err := reckon.Look(topic)
	if err == nil {
		err = reckon.Table(ctx, t, from, to)
	}
	if err != nil && ctx.Err() == nil {
		return ErrSum{err}
	}
	return err
}

func solve(t reckon.Topic, own values, salts []reckon.Weighed, system unit.System) (SumAnswer, error) {
	in := t.Blank()
	a := SumAnswer{Topic: t.Name, About: t.About}
	for i, f := range t.In {
		x, known := own.of(t.Name, f)
		if known {
			in[i] = x
		}
		if !math.IsNaN(in[i]) {
			a.Given = append(a.Given, SumGiven{f.Column, f.Help, f.Write(in[i], system), known})
		}
	}
	out, err := t.Solve(in, salts)
	if err != nil {
		return SumAnswer{}, err
	}
	told := t.Tell(in, salts, out)
	a.Says, a.Why, a.Caution = told.Says, told.Why, told.Caution
	for i, o := range t.Out {
		if x := out[i]; !math.IsNaN(x) && !math.IsInf(x, 0) {
			a.Numbers = append(a.Numbers, SumNumber{o.Column, o.Words, x, o.Digits})
		}
	}
	return a, nil
}

// ask reckons a sum with a tank's own values; nil when they do not suffice.
func (v values) ask(topic string, system unit.System) *SumAnswer {
	t, err := reckon.Look(topic)
	if err != nil {
		return nil
	}
	a, err := solve(t, v, nil, system)
	if err != nil {
		return nil
	}
	return &a
}

// values are a tank's own numbers by column, in the column's unit. A column that means different things in different sums stands as "topic/column".
type values map[string]float64

func (v values) of(topic string, f reckon.Field) (float64, bool) {
	x, ok := v[topic+"/"+f.Column]
	if !ok {
		x, ok = v[f.Column]
	}
	if !ok || math.IsNaN(x) || x < f.Min || x > f.Max {
		return 0, false
	}
	return x, true
}

// known reads a tank's plan in force and its last forecast, as far as there are any of this version of the program.
func (s *Shelf) known(ctx context.Context, tank string) (*plan.Plan, *forecast.Forecast, error) {
	t, err := s.Store.Tank(ctx, tank)
	if err != nil {
		return nil, nil, err
	}
	if t.Forecast != "" {
		w, err := s.Live(ctx, t.Forecast)
		if err == nil {
			return w.Plan, w.Forecast, nil
		}
		if !errors.Is(err, ErrOld) && !errors.Is(err, store.ErrNotFound) {
			return nil, nil, err
		}
	}
	r, err := s.Store.Revision(ctx, tank, t.Current)
	if err != nil {
		return nil, nil, err
	}
	ways, err := s.Ways(ctx)
	if err != nil {
		return nil, nil, err
	}
	p, err := Parse(r.Plan, r.Files, ways)
	var bad plan.Problems
	if errors.As(err, &bad) || err == nil && p.LightOnly {
		return nil, nil, nil // nothing is known of its water
	}
	return p, nil, err
}

func systemOf(units string) unit.System {
	if units == "US" {
		return unit.US
	}
	return unit.Metric
}

// usualChange is the share of the water that the running tank's routine changes at once, and how often a week; 0 when it changes none. net in litres.
func usualChange(p *plan.Plan, net float64) (share, aWeek float64) {
	for i := range p.Care {
		c := &p.Care[i]
		if c.Do != "water-change" {
			continue
		}
		share = float64(c.Share) // the last line stands for the running tank
		if c.Amount > 0 && net > 0 {
			share = math.Min(1, 1000*float64(c.Amount)/net)
		}
		if c.Until > 0 {
			aWeek = c.Every.PerWeek()
			continue
		}
		aWeek = 0
		for k := range p.Care[:i+1] { // lines that go on take turns
			if o := &p.Care[k]; o.Do == "water-change" && o.Until == 0 {
				aWeek += o.Every.PerWeek()
			}
		}
	}
	return share, aWeek
}

// batchSalts are the salts of the plan's change water in grams for one usual change.
func batchSalts(p *plan.Plan, f *forecast.Forecast) []reckon.Weighed {
	litres := batchLitres(p, f)
	var out []reckon.Weighed
	for _, s := range p.Water.Salts {
		out = append(out, reckon.Weighed{Salt: s.Salt, Grams: float64(s.Dose) * litres / 1000})
	}
	return out
}

// plainBatch is the batch where nothing says how much is changed, L.
const plainBatch = 100

func batchLitres(p *plan.Plan, f *forecast.Forecast) float64 {
	if f == nil {
		return plainBatch
	}
	net := f.Model.Facts.NetWaterL
	if share, _ := usualChange(p, net); share > 0 && net > 0 {
		return share * net
	}
	return plainBatch
}

// rowOf is the day's row of a forecast, the last before it when there is none.
func rowOf(f *forecast.Forecast, day int) *forecast.Day {
	i := sort.Search(len(f.Days), func(i int) bool { return f.Days[i].Day > day })
	return &f.Days[max(0, i-1)]
}

// valuesOf gathers what plan and forecast say of a tank; f may be nil.
func valuesOf(p *plan.Plan, f *forecast.Forecast, day int) values {
	tap, pure := forecast.TapWater(p), float64(p.Water.Mix.Pure)
	v := values{
		"a_share": 1 - pure, "a_alkalinity_dkh": tap.DKH(), "a_hardness_dgh": tap.DGH(), "a_ph": p.Water.Tap.PH, "a_temperature_c": tap.T, "b_temperature_c": tap.T,
		"conductivity/alkalinity_dkh": tap.DKH(), "conductivity/ph": p.Water.Tap.PH, "conductivity/temperature_c": tap.T,
		"room_c": float64(p.Room.Temperature), "humidity": float64(p.Room.Humidity), "glass_mm": 1000 * float64(p.Tank.Glass.Thickness),
		"new_c": tap.T,
	}
	for column, x := range map[string]float64{"ca_mg_l": tap.Ca, "mg_mg_l": tap.Mg, "na_mg_l": tap.Na, "k_mg_l": tap.K, "cl_mg_l": tap.Cl, "so4_mg_l": tap.SO4, "no3_mg_l": tap.NO3N * water.NO3PerN} {
		v["conductivity/"+column] = x
	}
	if p.Heater != nil {
		set := float64(p.Heater.Set)
		v["set_c"], v["tank_c"], v["temperature_c"], v["heater_w"] = set, set, set, float64(p.Heater.Power)
		if p.Water.Tap.Tempered {
			v["new_c"] = set
		}
	}
	flow, arrives := 0.0, 0.0
	for _, x := range p.Filter {
		flow += float64(x.Flow) * 3.6e6
		arrives += float64(x.Flow) * 3.6e6 * float64(x.Real)
	}
	if flow > 0 {
		v["flow_l_h"], v["arrives"] = flow, arrives/flow
	}
	for _, c := range p.CO2 {
		if c.Target > 0 {
			v["ph/co2_mg_l"] = float64(c.Target)
		}
	}
	v["top_up_dgh"] = tap.DGH()
	if pure > 0 { // a house with pure water tops up with it
		v["top_up_dgh"] = 0
	}
	if f == nil {
		return v
	}
	v.tank(f)
	v.water(p, f, rowOf(f, day))
	return v
}

// tank adds measures; a footprint that is no box counts as the box of its length and area.
func (v values) tank(f *forecast.Forecast) {
	t, facts := &f.Model.Tank, &f.Model.Facts
	area := facts.ToLevelL / 1000 / t.WaterLevel
	v["length_cm"], v["width_cm"], v["level_cm"] = 100*t.LX, 100*area/t.LX, 100*t.WaterLevel
	v["bed_cm"], v["stone_kg"] = 100*facts.BedL/1000/area, facts.StoneKG
	v["volume_l"] = facts.NetWaterL
	// Sums count a cover as letting a tenth of what it covers through; see reckon.
	v["cover"] = math.Min(1, math.Max(0, (1-f.Heat.EvapShare/water.UndisturbedPool)/0.9))
}

// water adds what the forecast says of a day and of the year before it.
func (v values) water(p *plan.Plan, f *forecast.Forecast, d *forecast.Day) {
	v["alkalinity_dkh"], v["hardness_dgh"], v["ph"], v["temperature_c"], v["tank_c"] = d.KH, d.GH, d.PHDusk, d.TempC, d.TempC
	if _, held := v["ph/co2_mg_l"]; !held {
		v["ph/co2_mg_l"] = d.CO2On
	}
	v["tan_mg_l"] = d.NH4/water.NH4PerN + d.NH3N
	v["ammonia/ionic_strength_mol_l"] = f.Change.Equilibrium().Ionic
	v["gains_w"] = d.LampKWh*1000/24*f.Heat.LampShare + f.Heat.PumpW*d.Flow
	net := f.Model.Facts.NetWaterL
	v["salts/volume_l"] = batchLitres(p, f)
	share, aWeek := usualChange(p, net)
	if share > 0 {
		v["share"], v["change_share"], v["periods"] = share, share, 8
	}
	v.nutrient(p, f, d.Day, share, aWeek, nutrients[0])
}

// nutrient is one that a week's dose holds at its level.
type nutrient struct {
	Key     string // of the house's bands
	level   func(*forecast.Day) float64
	source  func(water.Composition) float64
	of      func(water.Amount) float64
	element string // of a bottle's label analysis, and what of the nutrient one of it makes
	per     float64
}

var nutrients = []nutrient{
	{"NO3", func(d *forecast.Day) float64 { return d.NO3 }, func(c water.Composition) float64 { return c.NO3N * water.NO3PerN }, func(a water.Amount) float64 { return a.NO3N * water.NO3PerN }, "NO3-N", water.NO3PerN},
	{"PO4", func(d *forecast.Day) float64 { return d.PO4 }, func(c water.Composition) float64 { return c.PO4P * water.PO4PerP }, func(a water.Amount) float64 { return a.PO4P * water.PO4PerP }, "P", water.PO4PerP},
	{"K", func(d *forecast.Day) float64 { return d.K }, func(c water.Composition) float64 { return c.K }, func(a water.Amount) float64 { return a.K }, "K", 1},
}

// nutrient adds the week of a nutrient around a day: its dose, its change, and what plants take net of what food and bed bring, from the balance of the
// eight weeks around it.
func (v values) nutrient(p *plan.Plan, f *forecast.Forecast, day int, share, aWeek float64, n nutrient) {
	net := f.Model.Facts.NetWaterL
	if share <= 0 || aWeek <= 0 || net <= 0 {
		return
	}
	weekly := math.Min(1, 1-math.Pow(1-share, aWeek))
	dose, often := doseOf(p, f, n, day, net)
	from, to := max(0, day-28), min(f.Length, day+28)
	a, b := rowOf(f, from), rowOf(f, to)
	weeks, lost, source := float64(b.Day-a.Day)/7, 0.0, n.source(f.Change)
	if weeks < 1 {
		return
	}
	rows := f.Days[a.Day-f.Days[0].Day : b.Day-f.Days[0].Day+1]
	for i := 1; i < len(rows); i++ { // what a change takes out stood in the water the day before
		lost += rows[i].ChangedL / net * (n.level(&rows[i-1]) - source)
	}
	uptake := dose - (n.level(b)-n.level(a)+lost)/weeks
	v["change_share"], v["source_mg_l"], v["start_mg_l"] = weekly, source, n.level(rowOf(f, day))
	v["uptake_mg_l"], v["dose_mg_l"] = math.Max(0, uptake), dose
	if often > 0 {
		v["doses_a_week"] = math.Max(1, math.Round(often))
	}
	if band, ok := p.House.Water[n.Key]; ok {
		v["target_mg_l"], v["low_mg_l"], v["high_mg_l"] = band.House, band.Low, band.High
	}
}

// doseOf is what the plan's routine doses of a nutrient in a week around a day, mg/L, and on how many days of a week something of it is dosed.
func doseOf(p *plan.Plan, f *forecast.Forecast, n nutrient, day int, net float64) (week, often float64) {
	lines := map[string]bool{}
	for i := range p.Care {
		c := &p.Care[i]
		if c.Do != "dose" || int(c.First()) > day || c.Until > 0 && int(c.Until) < day {
			continue
		}
		mg := 0.0
		for _, s := range sortedKeys(c.Grams) {
			if salt, ok := water.LookSalt(s); ok {
				mg += 1000 * n.of(water.Dissolve(salt, c.Grams[s])) / net
			}
		}
		for k := range p.Bottles {
			if b := &p.Bottles[k]; b.Name == c.Bottle && c.Bottle != "" {
				mg += 1e6 * float64(c.Amount) * b.PerLitre[n.element] * n.per / net
			}
		}
		if mg > 0 {
			week += mg * c.Every.PerWeek()
			lines[c.ID] = true
		}
	}
	const around = 14
	days := map[int]bool{}
	for i := range f.Events {
		if e := &f.Events[i]; e.Kind == "dose" && lines[e.ID] && e.Day >= day-around && e.Day < day+around {
			days[e.Day] = true
		}
	}
	return week, float64(len(days)) * 7 / (2 * around)
}

// gramsText writes grams as people type them, to a milligram.
func gramsText(g float64) string {
	return strconv.FormatFloat(math.Round(g*1000)/1000, 'f', -1, 64) + " g"
}

func sortedKeys[V any](m map[string]V) []string {
	keys := make([]string, 0, len(m))
	for k := range m {
		keys = append(keys, k)
	}
	slices.Sort(keys)
	return keys
}
