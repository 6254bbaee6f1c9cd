package reckon

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// TestWeeklyDoseHoldsItsTarget follows the plan's own steps, hour by hour over many weeks, and reads mean, peak and trough.
func TestWeeklyDoseHoldsItsTarget(t *testing.T) {
	worst := 0.0
	rapid.Check(t, func(r *rapid.T) {
		doses := float64(rapid.SampledFrom([]int{1, 2, 3, 7}).Draw(r, "doses"))
		in := map[string]float64{
			"target_mg_l": rapid.Float64Range(10, 40).Draw(r, "target"), "uptake_mg_l": rapid.Float64Range(0, 12).Draw(r, "uptake"), "change_share": rapid.Float64Range(0.1, 0.9).Draw(r, "share"),
			"source_mg_l": rapid.Float64Range(0, 5).Draw(r, "source"), "volume_l": 200, "doses_a_week": doses,
		}
		out := ask(t, "weekly", in)
		c, low, high, mean := 0.0, 0.0, 0.0, 0.0
		const parts = 42 * 20 // of a week; every number of doses above divides it
		for week := range 200 {
			c = (1-in["change_share"])*c + in["change_share"]*in["source_mg_l"]
			low, high, mean = math.Inf(1), 0, 0
			for part := range parts {
				if math.Mod(float64(part), parts/doses) == 0 {
					if part > 0 {
						low = math.Min(low, c)
					}
					c += out["dose_mg_l"]
					high = math.Max(high, c)
				}
				mean += (c - in["uptake_mg_l"]/parts/2) / parts
				if c -= in["uptake_mg_l"] / parts; week < 60 && c < 0 {
					c = 0 // on the way from an empty tank
				}
			}
			low = math.Min(low, c)
		}
		for name, got := range map[string]float64{"mean_mg_l": mean, "trough_mg_l": low, "peak_mg_l": high} {
			off := math.Abs(got - out[name])
			worst = math.Max(worst, off)
			if off > 1e-6 {
				r.Fatalf("%s: %g, told %g (%v)", name, got, out[name], in)
			}
		}
		if math.Abs(out["mean_mg_l"]-in["target_mg_l"]) > 1e-9 {
			r.Fatalf("mean %g, target %g", out["mean_mg_l"], in["target_mg_l"])
		}
		// The salt brings what is asked for.
		water, err := dissolved(200, []Weighed{{"KNO3", out["kno3_for_no3_g"]}})
		if err != nil {
			r.Fatal(err)
		}
		if back := 62.0049 / 14.0067 * water.NO3N; math.Abs(back-out["dose_mg_l"]) > 1e-4*back {
			r.Fatalf("%g g of KNO3 bring %g mg/L, not %g", out["kno3_for_no3_g"], back, out["dose_mg_l"])
		}
	})
	record(t, "weekly dose: mean, peak and trough of a settled week", "the same week step by step", worst, "mg/L", 1e-6)
}

func TestWeeklySaysWhatCannotBe(t *testing.T) {
	top, err := Look("weekly")
	if err != nil {
		t.Fatal(err)
	}
	in := top.Blank()
	in[0], in[3], in[4], in[6], in[7] = 2, 30, 0.5, 200, 1
	if _, err := top.Solve(in, nil); err == nil || !strings.Contains(err.Error(), "empty the water") {
		t.Errorf("%v", err)
	}
	// Change water over the target: no dose, and it is said.
	in[0], in[3], in[5] = 5, 0, 20
	out, err := top.Solve(in, nil)
	if err != nil || out[0] != 0 || math.Abs(out[4]-20) > 1e-9 {
		t.Errorf("%v %v", out, err)
	}
	if a := top.Tell(in, nil, out); !strings.Contains(strings.Join(a.Why, " "), "over the target") {
		t.Errorf("%+v", a)
	}
	// Without changes the dose is the uptake.
	in[0], in[3], in[4], in[5], in[7] = 15, 9, 0, 0, 3
	if out, err = top.Solve(in, nil); err != nil || math.Abs(out[0]-3) > 1e-9 || math.Abs(out[4]-15) > 1e-9 {
		t.Errorf("%v %v", out, err)
	}
	in[1], in[2] = 14.5, 15.5
	if a := top.Tell(in, nil, out); !strings.Contains(strings.Join(a.Why, " "), "leaves the band") {
		t.Errorf("%+v", a)
	}
}
