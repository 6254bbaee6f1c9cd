package light

import (
	"fmt"
	"littoral/internal/check"
	"littoral/internal/geometry"
	"littoral/internal/plan"
	"math"
	"testing"
)

// popeFry is the absorption of pure water from 400 to 700 nm in steps of 10, 1/m.
var popeFry = []float64{
	0.00663, 0.00473, 0.00454, 0.00495, 0.00635, 0.00922, 0.00979, 0.0106, 0.0127, 0.0150,
	0.0204, 0.0325, 0.0409, 0.0434, 0.0474, 0.0565, 0.0619, 0.0695, 0.0896, 0.1351,
	0.2224, 0.2644, 0.2755, 0.2916, 0.3108, 0.340, 0.410, 0.439, 0.465, 0.516, 0.624,
}

func TestBandsOfWater(t *testing.T) {
	worst := 0.0
	for b := range Bands {
		// Trapezia over the band.
		sum, colour, all := 0.0, 0.0, 0.0
		for i := range 10 {
			sum += (popeFry[int(b)*10+i] + popeFry[int(b)*10+i+1]) / 20
		}
		for nm := 0; nm < 300; nm++ {
			x := math.Exp(-0.014 * (float64(nm) + 0.5 - 40))
			all += x / 300
			if nm/100 == int(b) {
				colour += x / 100
			}
		}
		worst = max(worst, math.Abs(purely[b]/sum-1))
		if math.Abs(purely[b]/sum-1) > 0.01 || math.Abs(colourBy[b]/(colour/all)-1) > 0.01 {
			t.Errorf("%v: pure water %.4f, table %.4f; colour %.3f, by its law %.3f", b, purely[b], sum, colourBy[b], colour/all)
		}
	}
	check.Record(t, check.Row{
		Room: "light", What: "absorption of pure water in three bands, means over the table", Source: "Pope and Fry 1997, table 3, every 10 nm", Memory: true,
		Worst: fmt.Sprintf("%.2f %%", 100*worst), Within: "1 %",
	})
	for name, s := range shares {
		if math.Abs(s[0]+s[1]+s[2]-1) > 1e-9 {
			t.Errorf("the shares of %s sum to %v", name, s[0]+s[1]+s[2])
		}
	}
	// White light over half a metre of clear water is weakened about as ExtinctionPure says.
	if got := KdMixed(shares["white"], 0, 0, 0.5); math.Abs(got-ExtinctionPure) > 0.02 {
		t.Errorf("white light loses %.3f /m in clear water, the usual figure is %.2f", got, ExtinctionPure)
	}
	if red, blue := KdMixed(shares["red"], 0.1, 0, 0.5), KdMixed(shares["blue"], 0.1, 0, 0.5); !(red > 0.38 && blue < 0.25) {
		t.Errorf("red loses %.3f and blue %.3f /m", red, blue)
	}
	if red, blue := KdMixed(shares["red"], 1.2, 0, 0.5), KdMixed(shares["blue"], 1.2, 0, 0.5); !(blue > 4*red) {
		t.Errorf("in tannin water red loses %.3f and blue %.3f /m", red, blue)
	}
}

func TestSpectrumOfChannels(t *testing.T) {
	l := plan.Lamp{PPF: 100, Channels: []plan.Channel{{Name: "day", Colour: "white", Share: 0.5}, {Name: "warm", Colour: "red", Share: 0.5}}}
	p := &plan.Plan{Lamps: []plan.Lamp{l}}
	full := SpectrumOn(p, nil)
	if s := SpectrumOf(&l); math.Abs(full[Red]-s[Red]) > 1e-12 || math.Abs(s[Red]-(0.5+0.5*shares["white"][Red])) > 1e-12 {
		t.Errorf("full power %v, lamp %v", full, s)
	}
	off := SpectrumOn(p, &plan.LightDay{Channels: []plan.ChannelDay{{Channel: "warm", Dim: 0, Told: true}}})
	if math.Abs(off[Red]-shares["white"][Red]) > 1e-12 {
		t.Errorf("with the red channel off %v", off)
	}
}

// TestStudyByBand: bands add up, blue is left over at depth in clear water, and water of stated optics makes no difference between them.
func TestStudyByBand(t *testing.T) {
	const tank = `littoral: 1
name: Channels
tank: {shape: box, inside: {length: 60 cm, width: 30 cm, height: 45 cm}, water-level: 42 cm}
lamps: [{kind: panel, at: [30, 15], above-water: 20 cm, size: 40x10 cm, ppf: 60 µmol/s%s}]
water: {tap: {alkalinity: 4 dKH, hardness: 8 dGH}}
%s`
	const channels = `, channels: [{name: day, colour: white, share: 60 %}, {name: warm, colour: red, share: 40 %}]`
	study := func(channels, optics string) *Study {
		p, err := plan.Parse([]byte(fmt.Sprintf(tank, channels, optics)), "p.yaml", nil)
		if err != nil {
			t.Fatal(err)
		}
		box := boxTank(0.6, 0.3, 0.42)
		s, err := NewStudy(p, &geometry.Model{Tank: box}, emptyBox(box, 0.0125), nil)
		if err != nil {
			t.Fatal(err)
		}
		return s
	}
	s := study(channels, "")
	if len(s.Bands) != int(Bands) || math.Abs(s.Field.Budget.Sum()-1) > 0.001 {
		t.Fatalf("%d bands, shares sum to %v", len(s.Bands), s.Field.Budget.Sum())
	}
	for i, x := range s.Field.PPFD {
		if math.Abs(s.Bands[Blue].PPFD[i]+s.Bands[Green].PPFD[i]+s.Bands[Red].PPFD[i]-x) > 1e-9*(1+x) {
			t.Fatalf("voxel %d: the bands do not sum to %v", i, x)
		}
	}
	share := func(b Band, m func(*Field) Map) float64 {
		_, part, _ := m(s.Bands[b]).Stats()
		_, all, _ := m(s.Field).Stats()
		return part / all
	}
	top := func(f *Field) Map { return f.SurfaceMap(5, 5) }
	bed := func(f *Field) Map { return f.BedMap(5, 5) }
	if !(share(Red, bed) < share(Red, top)-0.01 && share(Green, bed) > share(Green, top)) {
		t.Errorf("red %.3f on the water and %.3f on the bed, green %.3f and %.3f", share(Red, top), share(Red, bed), share(Green, top), share(Green, bed))
	}
	const optics = "optics: {absorption: 0.3 /m}\n"
	one, two := study("", optics), study(channels, optics)
	for i, x := range one.Field.PPFD {
		if math.Abs(two.Field.PPFD[i]-x) > 1e-4*(1+x) {
			t.Fatalf("voxel %d: %v with channels, %v without, in water of stated optics", i, two.Field.PPFD[i], x)
		}
	}
}
