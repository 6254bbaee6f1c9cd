package findings

import (
	"context"
	"littoral/internal/forecast"
	"littoral/internal/plan"
	"strings"
	"testing"
)

// Cures of the bed, of the water and of the animals are tried as well, and a plan without them stays as it was.
func TestCuresOfBedWaterAndAnimals(t *testing.T) {
	text := strings.NewReplacer("alkalinity: 4 dKH, hardness: 8 dGH, ph: 7.4", "alkalinity: 16 dKH, hardness: 24 dGH, ph: 7.9", "count: 80", "count: 3").Replace(steepTank)
	text = strings.Replace(text, "plants: [", "plants: [{id: downoi, species: Pogostemon helferi, pots: 6, in: [[10,5],[70,5],[70,20],[10,20]]}, ", 1)
	opt := forecast.Options{Days: 120}
	f := forecastOf(t, text, opt.Days)
	tried, err := Try(context.Background(), f, Read(f), opt, 30, nil)
	if err != nil {
		t.Fatal(err)
	}
	said := map[string]string{}
	for _, x := range tried {
		if x.Tried != "" {
			said[x.Rule] += x.Tried + " "
		}
	}
	for rule, want := range map[string]string{
		"sand-mixes":   "a barrier along the edge of the sand it",
		"animal-water": "25 % of pure water in the change water",
		"animal-group": "Paracheirodon innesi it does not come",
		"slope-creeps": "slopes laid half as steep it",
	} {
		if !strings.Contains(said[rule], want) {
			t.Errorf("%s: %q does not say %q", rule, said[rule], want)
		}
	}
	for _, rule := range []string{"sand-mixes", "slope-creeps"} {
		if strings.Contains(said[rule], "it stays") {
			t.Errorf("%s: the cure changes nothing: %s", rule, said[rule])
		}
	}
	if f.Plan.Water.Mix.Pure != 0 || f.Plan.Substrate.Caps[0].Barrier || f.Plan.Livestock[0].Count != 3 {
		t.Error("trying has changed the plan")
	}
}

// A planting that fades for want of something is given that.
func TestFadingPlantsGetWhatTheyLack(t *testing.T) {
	text := strings.NewReplacer("iron: 0.1 g", "iron: 0.01 g", "phosphate: 1 mg/L, potassium: 5 mg/L", "phosphate: 0 mg/L, potassium: 0.2 mg/L").Replace(steepTank)
	v := newView(forecastOf(t, text, 60))
	c := v.crops[0]
	x := Finding{Rule: "dies-out", Subject: c.species.Name, Day: 20, Until: 60, X: c.x, Y: c.y}
	causes, _ := v.causes(c.id, x.Day, x.Until)
	got := v.cureOf(&x)
	want := ""
	for _, cause := range causes {
		if w := map[string]string{"CO2": "CO2 at 25", "nitrogen": "KNO3", "phosphorus": "KH2PO4", "potassium": "K2SO4", "iron": "iron"}[cause.Name]; want == "" && w != "" && cause.Share >= 0.1 {
			want = w
		}
	}
	if want == "" || got == nil || !strings.Contains(got.words, want) {
		t.Errorf("%v is held back by %v and gets %v, want %q", x.Subject, causes, got, want)
	}
	ramp := &plan.Plan{LightDay: []plan.LightDay{{Until: 21, Dim: 0.5}, {From: 21, Dim: 1}}}
	if brighter(ramp, 7) == nil || brighter(ramp, 90) != nil {
		t.Error("lamps can be made brighter while they are dimmed, and not after")
	}
}

// A tank at a window that turned green clears without the sun, a bed holds its buffering longer on softer water, and a ripe filter shortens what ammonium
// invites.
func TestWindowsSoftWaterAndRipeMediaAreTried(t *testing.T) {
	try := func(text string, days int, rule string) string {
		opt := forecast.Options{Days: days}
		f := forecastOf(t, text, days)
		var list []Finding
		for _, x := range Read(f) {
			if x.Rule == rule {
				list = append(list, x)
			}
		}
		if len(list) == 0 {
			t.Fatalf("%s is not told", rule)
		}
		tried, err := Try(context.Background(), f, list, opt, 1, nil)
		if err != nil {
			t.Fatal(err)
		}
		toldInGerman(t, tried)
		return tried[0].Tried
	}
	green := ""
	for _, s := range stories {
		if strings.HasPrefix(s.name, "T6") {
			green = s.plan
		}
	}
	for _, c := range []struct{ rule, plan, words string }{
		{"algae-green-water", green, "windows and sun screened"},
		{"buffer-spent", strings.Replace(brightTank, "alkalinity: 4 dKH, hardness: 8", "alkalinity: 14 dKH, hardness: 18", 1), "25 % of pure water in the change water"},
		{"melt", troubled, "all plants grown under water by the nursery it does not come, and all plants carry"},
	} {
		if said := try(c.plan, 150, c.rule); !strings.Contains(said, c.words) || strings.Contains(said, "it stays") {
			t.Errorf("%s: %q", c.rule, said)
		}
	}
	if seeded(&plan.Plan{Filter: []plan.Filter{{Seeded: 0.5}}}) != nil || seeded(&plan.Plan{Filter: []plan.Filter{{}}}) == nil {
		t.Error("ripe media is to be tried where the filter starts without, and only there")
	}
}
