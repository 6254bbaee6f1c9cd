package water_test

import (
	"fmt"
	"littoral/internal/water"
)

// A tank of 1000 L is filled with a mixed water, fed with CO2 for an hour of light, and read.
func ExampleState_Step() {
	source := water.Source{
		Tap:   water.Analysis{T: 12, Alk: 7 * water.MeqPerDH, Hard: 12 * water.MmolPerDH, PH: 7.6, NO3: 18},
		Pure:  0.6,
		Salts: []water.Dosage{{Salt: "CaSO4·2H2O", MgL: 20}},
		T:     24,
	}
	fill, _, err := source.Composition()
	if err != nil {
		fmt.Println(err)
		return
	}
	tank := water.NewState(1, fill, 24, 8, 0)
	flows := tank.Step(1, water.Forcing{
		GrossCO2: 20, CO2: water.HoldCO2, Target: 25, MaxRate: 60, Dissolved: 0.8,
		K600: 0.7, Area: 1.9, RoomT: 21, Humidity: 0.5,
	})
	c := tank.Carbonate()
	fmt.Printf("KH %.1f GH %.1f, CO2 %.0f mg/L, pH %.2f, fixed %.1f mmol\n", tank.DKH(), tank.DGH(), c.CO2mg(), c.PH, flows.FixedCO2)
	// Output: KH 2.8 GH 5.5, CO2 25 mg/L, pH 6.57, fixed 16.9 mmol
}
