package water

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"testing"
)

// TestConductivityOfStandards: the calibration solutions of every meter.
func TestConductivityOfStandards(t *testing.T) {
	var worst float64
	for _, x := range []struct{ mol, want float64 }{{0.0100, 1413}, {0.00100, 146.9}} {
		c := Composition{T: 25, K: x.mol * 1000 * molK, Cl: x.mol * 1000 * molCl}
		got := c.Conductivity(25)
		worst = math.Max(worst, near(t, fmt.Sprintf("KCl %g mol/L", x.mol), got, x.want, 0.003*x.want)/x.want)
	}
	record(t, "conductivity of potassium chloride standards, 25 °C", "APHA Standard Methods 2510, table (from memory)", true, 100*worst, "%", 0.3)
	// Pure water closed to air: 0.055 µS/cm at 25 °C.
	near(t, "pure water", Composition{T: 25}.Conductivity(25), 0.055, 0.002)
}

func TestReferenceConductivity(t *testing.T) {
	var salts, recipes, mixed float64
	for _, r := range table(t, "water_salts.csv") {
		var sum Amount
		for _, part := range strings.Split(r["salts_mg_per_L"], ";") {
			f := strings.Fields(part)
			mg, err := strconv.ParseFloat(f[1], 64)
			if err != nil {
				t.Fatal(err)
			}
			sum = sum.Add(dissolve(t, f[0], mg))
		}
		want := r.num(t, "conductivity_uS_per_cm")
		got := Of(sum, 1, 25).Conductivity(25)
		salts = math.Max(salts, near(t, r["case"], got, want, 0.03*want)/want)
	}
	for _, r := range table(t, "water_co2_ph_kh.csv") {
		n := func(s string) float64 { return r.num(t, s) }
		c := recipe(n("temperature_C"), n("Ca_mmol_per_L"), n("Mg_mmol_per_L"), n("Na_mmol_per_L"), n("SO4_mmol_per_L"), n("Cl_mmol_per_L"), n("alkalinity_meq_per_L"))
		c.DIC = n("DIC_mmol_per_L")
		want := n("conductivity_uS_per_cm_at_T")
		off := near(t, "KH "+r["kh_dKH"]+" pH "+r["pH"], c.Conductivity(c.T), want, 0.03*want) / want
		if c.SO4 > 0 {
			mixed = math.Max(mixed, off)
		} else {
			recipes = math.Max(recipes, off)
		}
	}
	record(t, "conductivity of weighed salts, 25 °C", byPhreeqc, false, 100*salts, "%", 3)
	record(t, "conductivity of hard waters without sulphate, 20 to 28 °C", byPhreeqc, false, 100*recipes, "%", 3)
	record(t, "conductivity of waters with sulphate beside hydrogen carbonate, 20 to 28 °C", byPhreeqc, false, 100*mixed, "%", 3)
}
