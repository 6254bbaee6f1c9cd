package shelf

import (
	"context"
	"fmt"
	"littoral/internal/findings"
	"littoral/internal/forecast"
	"littoral/internal/papers"
	"littoral/internal/plan"
	"littoral/internal/reckon"
	"littoral/internal/unit"
	"math"
)

// Water is all that the pages say of a tank's water beside the day lines: what is poured in and dosed, what it should stand at, how it begins, and its heat.
type Water struct {
	Routine papers.Routine `json:"routine"`
	Tap     []Amount       `json:"tap" doc:"once it has stood in air"`
	Pure    float64        `json:"pure_share" doc:"share of pure water in each batch"`
	Salts   []Amount       `json:"salts" doc:"added to each litre of a batch"`
	Change  []Amount       `json:"change" doc:"the change water that comes of it, once it has stood in air"`
	NetL    float64        `json:"net_l" doc:"all the water in the tank"`
	Limits  []Class        `json:"limits" doc:"the house's limits"`
	Targets []Target       `json:"targets" doc:"the bands in which the house keeps standing levels"`
	Alarms  []Alarm        `json:"alarms" doc:"where the house warns"`
	Doses   []NutrientDose `json:"doses" doc:"what the doses make of each nutrient"`
	Stock   BottlesAsk     `json:"stock" doc:"stock solutions of one dose of the running tank, to begin from"`
	Start   StartUp        `json:"start"`
	Heat    HeatSheet      `json:"heat"`
}

// Amount is a number with its unit.
type Amount struct {
	Name  string  `json:"name" say:"text"`
	Value float64 `json:"value"`
	Unit  string  `json:"unit"`
}

// Target is a band in which a level should stand.
type Target struct {
	Series string  `json:"series" doc:"column of the day lines"`
	Key    string  `json:"key"`
	House  float64 `json:"house"`
	Low    float64 `json:"low"`
	High   float64 `json:"high"`
	Mark   string  `json:"mark" say:"text" doc:"where the band is from"`
}

// Alarm is where the house warns.
type Alarm struct {
	Series string  `json:"series" doc:"column of the day lines"`
	Whom   string  `json:"whom" enum:"animals,fish,shrimp" doc:"for whom it warns"`
	Value  float64 `json:"value"`
	Below  bool    `json:"below" doc:"it warns below the value, not above"`
}

// NutrientDose is what doses make of a nutrient.
type NutrientDose struct {
	papers.DoseLevel
	Sum *SumAnswer `json:"sum" doc:"the week that would hold the house's own level, with its reasoning; null where nothing changes the water"`
}

// StartUp is how the nitrogen of a new tank comes and goes.
type StartUp struct {
	Safe    []SafeDay  `json:"safe"`
	TopNH4  Peak       `json:"top_nh4" doc:"highest ammonium, mg/L"`
	TopNO2  Peak       `json:"top_no2" doc:"highest nitrite, mg/L"`
	TopNH3  Peak       `json:"top_nh3" doc:"highest un-ionised ammonia, mg/L N"`
	Why     []string   `json:"why" say:"text"`
	Ammonia *SumAnswer `json:"ammonia" doc:"the poisonous part on the worst day; null when there is none"`
}

// SafeDay says from when a kind of animal can live in the water.
type SafeDay struct {
	Kind  string   `json:"kind" enum:"fish,shrimp"`
	Day   int      `json:"day" doc:"-1 when that is not reached within the forecast"`
	Again [][2]int `json:"again" doc:"later spells in which an alarm is passed again: first and last day"`
	Alarm float64  `json:"alarm" doc:"nitrite at which the house warns for it, mg/L"`
}

// Peak is a highest value and its day.
type Peak struct {
	Day   int     `json:"day"`
	Value float64 `json:"value"`
}

// HeatSheet is the tank's heat over the forecast's last year, and the sums behind it.
type HeatSheet struct {
	Heater      float64     `json:"heater_w" doc:"power of the heaters that the plan states; 0 for none"`
	HeaterKWh   float64     `json:"heater_kwh_year"`
	LampKWh     float64     `json:"lamp_kwh_year"`
	EvaporatedL float64     `json:"evaporated_l_week"`
	TopUpL      float64     `json:"top_up_l_week"`
	Hottest     Peak        `json:"hottest" doc:"°C, over the whole forecast"`
	Coldest     Peak        `json:"coldest" doc:"°C, from the second week on"`
	Room        float64     `json:"room_c"`
	Summer      float64     `json:"summer_c" doc:"the room in its hottest month; as room_c where the plan states no summer"`
	Sums        []SumAnswer `json:"sums" doc:"heater, water change and evaporation with the tank's own values"`
	Untempered  *SumAnswer  `json:"untempered" doc:"the water change were it poured straight from the tap; null when the plan pours it so"`
}

// Water returns what the pages say of the water of a kept forecast.
func (s *Shelf) Water(ctx context.Context, key string) (Water, error) {
	w, err := s.Live(ctx, key)
	if err != nil {
		return Water{}, err
	}
	f, p, h := w.Forecast, w.Plan, w.Plan.House
	system := systemOf(h.Units)
	out := Water{
		Routine: papers.RoutineOf(f), Pure: float64(p.Water.Mix.Pure), Tap: amountsOf(forecast.TapWater(p)), Change: amountsOf(f.Change), NetL: tenth(f.Model.Facts.NetWaterL),
		Limits: []Class{
			{"CO2, mg/L by day with animals", h.CO2Limit.House, h.CO2Limit.Low, h.CO2Limit.High, h.CO2Limit.Mark},
			{"filter turnovers an hour", h.Turnover.House, h.Turnover.Low, h.Turnover.High, h.Turnover.Mark},
		},
		Targets: targetsOf(p), Alarms: alarmsOf(h), Doses: dosesOf(p, f, system), Start: startOf(p, f, system), Heat: heatOf(p, f, system),
	}
	for _, d := range p.Water.Salts {
		out.Salts = append(out.Salts, Amount{d.Salt, hundredth(float64(d.Dose)), "mg/L"})
	}
	out.Stock = startBottles(stockOf(p, f.Length))
	return out, nil
}

func targetsOf(p *plan.Plan) []Target {
	var out []Target
	for _, x := range []struct{ key, series string }{
		{"NO3", "no3_mg_l"},
		{"PO4", "po4_mg_l"},
		{"K", "k_mg_l"},
		{"Fe", "fe_mg_l"},
		{"KH", "kh_dkh"},
		{"GH", "gh_dgh"},
		{"CO2", "co2_lit_mg_l"},
	} {
		band, ok := p.House.Water[x.key]
		if !ok || x.key == "CO2" && len(p.CO2) == 0 {
			continue
		}
		out = append(out, Target{x.series, x.key, band.House, band.Low, band.High, band.Mark})
	}
	return out
}

func alarmsOf(h *plan.House) []Alarm {
	out := []Alarm{
		{"co2_lit_mg_l", "animals", h.CO2Limit.House, false},
		{"o2_dawn_mg_l", "animals", h.OxygenMin, true},
		{"nh3_n_max_mg_l", "animals", h.Ammonia, false},
	}
	for _, kind := range []string{"fish", "shrimp"} {
		if v, ok := h.Nitrite[kind]; ok {
			out = append(out, Alarm{"no2_mg_l", kind, v, false})
		}
	}
	return out
}

func dosesOf(p *plan.Plan, f *forecast.Forecast, system unit.System) []NutrientDose {
	var out []NutrientDose
	net := f.Model.Facts.NetWaterL
	share, aWeek := usualChange(p, net)
	for _, row := range papers.DoseLevels(f) {
		one := NutrientDose{DoseLevel: row}
		for _, n := range nutrients {
			if n.Key != row.Name {
				continue
			}
			v := values{"volume_l": net}
			v.nutrient(p, f, (row.From+row.To)/2, share, aWeek, n)
			one.Sum = v.ask("weekly", system)
		}
		out = append(out, one)
	}
	return out
}

// stockOf are the salts of the plan's doses that hold on a day: the most that one dose of the running tank brings of each. Lines that take turns through
// the week are doses of their own.
func stockOf(p *plan.Plan, day int) []reckon.Weighed {
	grams := map[string]float64{}
	for i := range p.Care {
		c := &p.Care[i]
		if c.Do != "dose" || int(c.First()) > day || c.Until > 0 && int(c.Until) < day {
			continue
		}
		for salt, g := range c.Grams {
			grams[salt] = math.Max(grams[salt], g)
		}
	}
	var out []reckon.Weighed
	for _, salt := range sortedKeys(grams) {
		out = append(out, reckon.Weighed{Salt: salt, Grams: grams[salt]})
	}
	return out
}

func startOf(p *plan.Plan, f *forecast.Forecast, system unit.System) StartUp {
	var out StartUp
	for _, kind := range []string{"fish", "shrimp"} {
		safe := findings.SafeFor(f, kind)
		day := SafeDay{Kind: kind, Day: safe.Day, Alarm: p.House.Nitrite[kind]}
		for _, x := range safe.Again {
			day.Again = append(day.Again, [2]int{x.From, x.Until})
		}
		out.Safe = append(out.Safe, day)
	}
	for i := range f.Days {
		d := &f.Days[i]
		top(&out.TopNH4, d.Day, d.NH4)
		top(&out.TopNO2, d.Day, d.NO2)
		top(&out.TopNH3, d.Day, d.NH3N)
	}
	out.Why = []string{
		"Food, leaching soil and what decays give ammonium; two groups of bacteria on media and surfaces turn it to nitrite and nitrate as they grow, by oxygen, temperature and pH, while plants and algae take their part.",
		fmt.Sprintf("Fit for animals is the first day from which, to the end of the first twelve weeks, ammonium stays under 0.1 mg/L, un-ionised ammonia under %s mg/L N and nitrite under the alarm of the kind.", reckon.Show(p.House.Ammonia, 3)),
	}
	if out.TopNH4.Value > 0.05 {
		v := values{}
		v.water(p, f, rowOf(f, out.TopNH4.Day))
		out.Ammonia = v.ask("ammonia", system)
	}
	for _, x := range []*Peak{&out.TopNH4, &out.TopNO2, &out.TopNH3} {
		x.Value = math.Round(x.Value*1e4) / 1e4
	}
	return out
}

func top(p *Peak, day int, v float64) {
	if v > p.Value {
		*p = Peak{day, v}
	}
}

func heatOf(p *plan.Plan, f *forecast.Forecast, system unit.System) HeatSheet {
	out := HeatSheet{Room: float64(p.Room.Temperature), Summer: math.Max(float64(p.Room.Temperature), float64(p.Room.Summer)), Hottest: Peak{Value: -99}, Coldest: Peak{Value: 99}}
	if p.Heater != nil {
		out.Heater = math.Round(float64(p.Heater.Power))
	}
	days := 0.0
	for i := range f.Days {
		d := &f.Days[i]
		if d.Day > f.Length-365 {
			days++
			out.HeaterKWh += d.HeaterKWh
			out.LampKWh += d.LampKWh
			out.EvaporatedL += d.EvaporatedL
			out.TopUpL += d.TopUpL
		}
		top(&out.Hottest, d.Day, d.TempMax)
		if d.Day > 7 && d.TempMin < out.Coldest.Value {
			out.Coldest = Peak{d.Day, d.TempMin}
		}
	}
	out.HeaterKWh, out.LampKWh = math.Round(out.HeaterKWh*365/days), math.Round(out.LampKWh*365/days)
	out.EvaporatedL, out.TopUpL = tenth(out.EvaporatedL*7/days), tenth(out.TopUpL*7/days)
	out.Hottest.Value, out.Coldest.Value = tenth(out.Hottest.Value), tenth(out.Coldest.Value)
	v := valuesOf(p, f, f.Length)
	for _, topic := range []string{"heat", "change", "evaporation"} {
		if a := v.ask(topic, system); a != nil {
			out.Sums = append(out.Sums, *a)
		}
	}
	if p.Water.Tap.Tempered {
		v["new_c"] = float64(p.Water.Tap.Temperature)
		out.Untempered = v.ask("change", system)
	}
	return out
}
