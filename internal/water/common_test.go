package water

import (
	"encoding/csv"
	"math"
	"os"
	"strconv"
	"testing"
)

// busyTap is an invented medium-hard tap water.
var busyTap = Analysis{T: 24, Alk: 1.8, Hard: 1.4, PH: 7.4, NO3: 12, PO4: 0.2, K: 2}

func busyTank() State {
	c, _ := busyTap.Composition()
	return NewState(1, c, 24, 8, 0.2)
}

// busyHour is an ordinary hour of a planted, stocked, CO2-fed tank of 1 m³.
func busyHour(h int) Forcing {
	f := Forcing{
		PlantResp: 4, AnimalResp: 3, MicrobeResp: 2,
		Demand: Nutrients{N: 4, P: 0.5, K: 6, Fe: 0.05, Ca: 1, Mg: 0.4},
		Supply: Supply{TAN: 2, PO4P: 0.3, K: 0.5},
		Litter: Detritus{Dry: 0.01, C: 0.004, N: 0.0003, P: 0.00004, K: 0.0002},
		K600:   0.7, Area: 1.9, Turnover: 3, Settling: 0.1, Capture: 0.6, SuspendedIn: 200,
		RoomT: 21, Humidity: 0.5, EvapShare: UndisturbedPool, UA: 35, HeaterMax: 600, HeaterSet: 24,
	}
	if d := h % 24; d >= 10 && d < 18 {
		f.GrossCO2, f.GrossHCO3 = 30, 10
		f.CO2, f.Target, f.MaxRate, f.Dissolved = HoldCO2, 25, 10, 0.8
		f.HeatIn = 80
	}
	return f
}

type row map[string]string

func (r row) num(t testing.TB, name string) float64 {
	t.Helper()
	x, err := strconv.ParseFloat(r[name], 64)
	if err != nil {
		t.Fatalf("column %s: %v", name, err)
	}
	return x
}

func table(t testing.TB, name string) []row {
	t.Helper()
	f, err := os.Open("testdata/" + name)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	lines, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var out []row
	for _, line := range lines[1:] {
		r := row{}
		for i, v := range line {
			r[lines[0][i]] = v
		}
		out = append(out, r)
	}
	if len(out) == 0 {
		t.Fatalf("%s is empty", name)
	}
	return out
}

// near fails when got is further than tol from want, and returns the distance.
func near(t testing.TB, what string, got, want, tol float64) float64 {
	t.Helper()
	d := math.Abs(got - want)
	if !(d <= tol) {
		t.Errorf("%s: got %.8g, want %.8g within %g", what, got, want, tol)
	}
	return d
}

func sci(x float64) string { return strconv.FormatFloat(x, 'g', 2, 64) }
