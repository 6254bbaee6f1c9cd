package findings

import (
	"littoral/internal/plan"
	"testing"
)

func TestUnitsOfTheHouse(t *testing.T) {
	metric, us := &view{house: plan.DefaultHouse()}, &view{house: plan.DefaultHouse()}
	us.house.Units = "US"
	for _, c := range []struct {
		name, metric, us string
		say              func(v *view) string
	}{
		{"length", "10 cm", "3.9 in", func(v *view) string { return v.cm(.1) }},
		{"long length", "60 cm", "24 in", func(v *view) string { return v.cm(.6) }},
		{"fine length", "1.5 cm", "0.6 in", func(v *view) string { return v.length(.015, 1) }},
		{"range", "20 to 40 cm", "7.9 to 16 in", func(v *view) string { return v.spanCM(20, 40) }},
		{"volume", "1190 L", "314 gal", func(v *view) string { return v.litres(1190) }},
		{"weight", "1944 kg", "4286 lb", func(v *view) string { return v.kg(1944) }},
		{"area", "2.29 m²", "24.6 ft²", func(v *view) string { return v.area(2.29) }},
		{"load", "5.0 kN/m²", "104 psf", func(v *view) string { return v.pressure(5000) }},
		{"temperature", "24 °C", "75.2 °F", func(v *view) string { return number(v.degrees(24)) + " " + v.degree() }},
		{"difference", "2 °C", "3.6 °F", func(v *view) string { return number(v.step(2)) + " " + v.degree() }},
	} {
		if got := c.say(metric); got != c.metric {
			t.Errorf("%s is %q, want %q", c.name, got, c.metric)
		}
		if got := c.say(us); got != c.us {
			t.Errorf("%s in US units is %q, want %q", c.name, got, c.us)
		}
	}
}
