package plan

import "littoral/internal/unit"

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
