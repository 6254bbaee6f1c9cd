package plan

import (
	"littoral/internal/unit"
	"strings"
)

// House is a studio's own rules, labour norms, prices, units, region and letterhead (house.yaml). DefaultHouse gives ours.
type House struct {
	Units      string             `yaml:"units" enum:"metric,US" doc:"how quantities are shown"`
	Region     []string           `yaml:"region"`
	Letterhead string             `yaml:"letterhead" doc:"name and address printed on papers"`
	Currency   string             `yaml:"currency"`
	Light      map[string]Band    `yaml:"light" doc:"light classes low, medium, high in µmol/m²/s"`
	Turnover   Band               `yaml:"turnover" doc:"filter turnovers an hour, of net water"`
	SoilLife   Band               `yaml:"soil-life" doc:"years"`
	CO2Limit   Band               `yaml:"co2-limit" doc:"mg/L, day ceiling with animals"`
	Water      map[string]Band    `yaml:"water" doc:"standing levels NO3, PO4, K, Fe and CO2 in mg/L, KH and GH in degrees: the house's own inside the band it keeps"`
	OxygenMin  float64            `yaml:"oxygen-min" doc:"mg/L at dawn"`
	Ammonia    float64            `yaml:"ammonia-alarm" doc:"mg/L un-ionised NH3-N"`
	Nitrite    map[string]float64 `yaml:"nitrite-alarm" doc:"mg/L NO2 by fish, shrimp"`
	Spare      unit.Fraction      `yaml:"spare" doc:"spare pots ordered"`
	Labour     map[string]float64 `yaml:"labour" doc:"norms: pots an hour by form, minutes by task"`
	LabourRate unit.Money         `yaml:"labour-rate"`
	Prices     map[string]float64 `yaml:"prices" doc:"price by item"`
}

// Band is a house's own value inside the range that published texts give, with a note of where the range is from.
type Band struct {
	House float64 `yaml:"house"`
	Low   float64 `yaml:"low"`
	High  float64 `yaml:"high"`
	Mark  string  `yaml:"mark"`
}

// DefaultHouse returns our own house rules. Each call gives a fresh copy. Where the trade's texts disagree the band holds the range
// of the texts and, as House, the value this house works with.
func DefaultHouse() *House {
	return &House{
		Units:    "metric",
		Currency: "EUR",
		Light: map[string]Band{
			"low":    {House: 30, Low: 15, High: 40, Mark: "common practice, no source; four guides say 10–30, 15–30, 30–50"},
			"medium": {House: 60, Low: 40, High: 80, Mark: "common practice, no source; four guides say 30–50, 50–100"},
			"high":   {House: 100, Low: 80, High: 150, Mark: "common practice, no source; four guides say over 50, 50–90, 100–200; algae risk rises fast over 100"},
		},
		Turnover: Band{House: 4, Low: 1, High: 10, Mark: "4–6 an hour of net water is common practice; flow guides disagree, from 1–3 to 6–10"},
		SoilLife: Band{House: 2, Low: 0.5, High: 6, Mark: "soil pages disagree, from 6 months to 6 years"},
		CO2Limit: Band{House: 30, Low: 30, High: 45, Mark: "30 calm, 38 faster breathing, 40 distress, 45 emergency; other texts call 30–35 toxic"},
		Water: map[string]Band{
			"NO3": {House: 15, Low: 10, High: 30, Mark: "common practice, no source; lean tanks 1–5"},
			"PO4": {House: 0.8, Low: 0.5, High: 2, Mark: "common practice, no source"},
			"K":   {House: 12, Low: 5, High: 30, Mark: "common practice, no source"},
			"Fe":  {House: 0.15, Low: 0.1, High: 0.5, Mark: "common practice, no source; weak chelates are gone within days"},
			"KH":  {House: 4, Low: 2, High: 8, Mark: "common practice, no source; active soil holds it lower"},
			"GH":  {House: 6, Low: 4, High: 12, Mark: "common practice, no source"},
			"CO2": {House: 25, Low: 20, High: 30, Mark: "common practice, no source; with injection"},
		},
		OxygenMin: 5,    // mg/L; common practice, no source
		Ammonia:   0.02, // mg/L un-ionised; from memory of the trade's alarm value
		Nitrite:   map[string]float64{"fish": 0.2, "shrimp": 0.1},
		Spare:     0.10, // common practice, no source
		// Pots a planter sets in an hour, by form, and minutes by task; from memory of the trade. Ranges: carpets 8 to 12, stems
		// 15 to 25, rosettes 25 to 40, epiphytes 15 to 25, moss 0.1 to 0.2 m² (5 to 9 portions). Tasks are for a visit to a tank
		// of 700 L; hardscape, build, replant and strip are person-hours for each m² of footprint (3–8, 12–25, 5–9, 15–28).
		Labour: map[string]float64{
			"carpet": 10, "stem": 20, "rosette": 32, "runner": 30, "bulb": 25, "lily": 20, "rhizome": 20, "moss": 7, "floating": 60,
			"trim": 45, "thin": 20, "glass": 12, "siphon": 8, "water-change": 25, "filter-clean": 30, "dose": 3, "root-feed": 15, "report": 10,
			"hardscape-hours-m2": 5, "build-hours-m2": 18, "replant-hours-m2": 7, "strip-hours-m2": 20,
		},
		// No prices and no rate: a price that nobody pays would end up in somebody's quote.
		Prices: map[string]float64{},
	}
}

// checkHouse looks at what a house file means.
func (d *decoder) checkHouse(h *House) {
	report := func(path, message, cure string) {
		at, ok := d.pos[path]
		if !ok {
			at = d.pos[""]
		}
		d.add(SeverityError, path, at, message, cure)
	}
	band := func(path string, b Band) {
		if !(b.Low >= 0 && b.Low < b.High && b.House > 0) {
			report(path, say("%s runs from %.4g to %.4g with %.4g as the house's own, which is no band", path, b.Low, b.High, b.House), "write {house: 30, low: 15, high: 40}, the house's value above zero")
		}
	}
	own := DefaultHouse()
	for _, k := range sortedKeys(h.Light) {
		if _, ok := own.Light[k]; !ok {
			report("light."+k, say("%q is not a light class", clip(k)), "write low, medium or high")
			continue
		}
		band("light."+k, h.Light[k])
	}
	for _, k := range sortedKeys(h.Water) {
		if _, ok := own.Water[k]; !ok {
			report("water."+k, say("%q has no standing level", clip(k)), "write NO3, PO4, K, Fe, KH, GH or CO2")
			continue
		}
		band("water."+k, h.Water[k])
	}
	band("turnover", h.Turnover)
	band("soil-life", h.SoilLife)
	band("co2-limit", h.CO2Limit)
	above := func(path string, x float64) {
		if !(x > 0) {
			report(path, say("%s is %.4g", path, x), "write a number above zero")
		}
	}
	above("oxygen-min", h.OxygenMin)
	above("ammonia-alarm", h.Ammonia)
	for _, k := range sortedKeys(h.Nitrite) {
		if _, ok := own.Nitrite[k]; !ok {
			report("nitrite-alarm."+k, say("%q has no nitrite alarm", clip(k)), "write fish or shrimp")
			continue
		}
		above("nitrite-alarm."+k, h.Nitrite[k])
	}
	norms := sortedKeys(own.Labour)
	for _, k := range sortedKeys(h.Labour) {
		if _, ok := own.Labour[k]; !ok {
			cure := "the norms are " + strings.Join(norms, ", ")
			if near := d.nearest(k, norms); near != "" {
				cure = "did you mean " + near + "?"
			}
			report("labour."+k, say("%q is not a labour norm", clip(k)), cure)
			continue
		}
		above("labour."+k, h.Labour[k])
	}
	for _, k := range sortedKeys(h.Prices) {
		if h.Prices[k] < 0 {
			report("prices."+k, say("the price of %s is negative", clip(k)), "write zero or more")
		}
	}
}
