package light

import (
	"fmt"
	"littoral/internal/check"
	"math"
	"testing"

	"pgregory.net/rapid"
)

func TestFresnelAndSnell(t *testing.T) {
	const source = "Fresnel and Snell equations, n 1.333 (Born and Wolf, Principles of Optics)"
	worst := 0.0
	for _, c := range []struct {
		name            string
		theta           float64 // degrees
		from, to        float64
		reflected       float64
		within          float64
		refracted       float64 // degrees; 0 = not compared
		angleWithin     float64
		totalReflection bool
	}{
		{name: "air to water, 0°", from: 1, to: IndexWater, reflected: 0.0204, within: 0.0002},
		{name: "air to water, 30°", theta: 30, from: 1, to: IndexWater, reflected: 0.0214, within: 0.0002, refracted: 22.03, angleWithin: 0.01},
		{name: "air to water, 45°", theta: 45, from: 1, to: IndexWater, reflected: 0.0279, within: 0.0002, refracted: 32.04, angleWithin: 0.01},
		{name: "air to water, 60°", theta: 60, from: 1, to: IndexWater, reflected: 0.0597, within: 0.0002, refracted: 40.52, angleWithin: 0.01},
		{name: "air to water, 75°", theta: 75, from: 1, to: IndexWater, reflected: 0.2124, within: 0.0002, refracted: 46.44, angleWithin: 0.01},
		{name: "air to water, 85°", theta: 85, from: 1, to: IndexWater, reflected: 0.5835, within: 0.0002},
		{name: "water to air, 45°", theta: 45, from: IndexWater, to: 1, reflected: 0.1395, within: 0.0002},
		{name: "air to glass, 0°", from: 1, to: IndexGlass, reflected: 0.04258, within: 0.00001},
		{name: "glass to water, 0°", from: IndexGlass, to: IndexWater, reflected: 0.00430, within: 0.00001},
		{name: "water to air, 49°", theta: 49, from: IndexWater, to: 1, reflected: 1, refracted: 90, angleWithin: 1e-9, totalReflection: true},
	} {
		got := Fresnel(deg(c.theta), c.from, c.to)
		if math.Abs(got-c.reflected) > c.within {
			t.Errorf("%s: reflects %.5f, want %.5f", c.name, got, c.reflected)
		}
		worst = max(worst, math.Abs(got-c.reflected))
		angle, ok := Snell(deg(c.theta), c.from, c.to)
		if ok == c.totalReflection {
			t.Errorf("%s: passes = %v", c.name, ok)
		}
		if c.refracted != 0 && math.Abs(angle*180/math.Pi-c.refracted) > c.angleWithin {
			t.Errorf("%s: refracted to %.3f°, want %.3f°", c.name, angle*180/math.Pi, c.refracted)
		}
	}
	check.Record(t, check.Row{
		Room: "light", What: "reflection at air, water and glass, 0 to 85°, and refracted angles", Source: source,
		Memory: true, Worst: fmt.Sprintf("%.5f", worst), Within: "0.0002; angles 0.01°",
	})
}

func TestDiffuseReflectionAndCriticalAngle(t *testing.T) {
	diffuse := func(n1, n2 float64) float64 {
		const steps = 200000
		sum := 0.0
		for i := range steps {
			a := (float64(i) + 0.5) / steps * math.Pi / 2
			sum += Fresnel(a, n1, n2) * math.Sin(2*a) * math.Pi / 2 / steps
		}
		return sum
	}
	r0 := Fresnel(0, 1, IndexGlass)
	if critical := math.Asin(1/IndexWater) * 180 / math.Pi; math.Abs(critical-48.607) > 0.001 {
		t.Errorf("critical angle %.4f°, want 48.607°", critical)
	}
	worst := 0.0
	for _, c := range []struct {
		name              string
		got, want, within float64
	}{
		{"diffuse, air to water", diffuse(1, IndexWater), 0.0664, 0.0001},
		{"diffuse, water to air", diffuse(IndexWater, 1), 0.4746, 0.0001},
		{"plate in air, all bounces", (1 - r0) / (1 + r0), 0.9183, 0.0001},
	} {
		worst = max(worst, math.Abs(c.got-c.want))
		if math.Abs(c.got-c.want) > c.within {
			t.Errorf("%s: %.5f, want %.5f", c.name, c.got, c.want)
		}
	}
	check.Record(t, check.Row{
		Room: "light", What: "diffuse reflection from above and below, critical angle, glass plate", Source: "Fresnel equations integrated over angle; handbook values",
		Memory: true, Worst: fmt.Sprintf("%.5f", worst), Within: "0.0001; angle 0.001°",
	})
}

func TestRayObeysSnellAndArrives(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		h := rapid.Float64Range(0.01, 3).Draw(t, "height")
		z := rapid.Float64Range(0, 2).Draw(t, "depth")
		r := rapid.Float64Range(0, 5).Draw(t, "distance")
		n := rapid.Float64Range(1, 1.6).Draw(t, "index")
		p := pathTo(h, z, r, n)
		sinAir := math.Sqrt(1 - p.cosAir*p.cosAir)
		sinWater := math.Sqrt(1 - p.cosWater*p.cosWater)
		if math.Abs(sinAir-n*sinWater) > 1e-7 {
			t.Fatalf("sin %v in air, n sin %v in water", sinAir, n*sinWater)
		}
		arrives := h*sinAir/p.cosAir + z*sinWater/p.cosWater
		if math.Abs(arrives-r) > 1e-6*(1+r) {
			t.Fatalf("arrives at %v, want %v", arrives, r)
		}
	})
}

// TestSpreadConservesFlux compares spread with the flux between two neighbouring rays, found by differences.
func TestSpreadConservesFlux(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		h := rapid.Float64Range(0.05, 2).Draw(t, "height")
		z := rapid.Float64Range(0, 1).Draw(t, "depth")
		theta := rapid.Float64Range(0.05, 1.4).Draw(t, "angle in air")
		const n, d = IndexWater, 1e-5
		lands := func(a float64) float64 {
			w, _ := Snell(a, 1, n)
			return h*math.Tan(a) + z*math.Tan(w)
		}
		a, b := lands(theta-d), lands(theta+d)
		want := (math.Cos(theta-d) - math.Cos(theta+d)) / ((b*b - a*a) / 2)
		got := pathTo(h, z, lands(theta), n).spread(h, z, n)
		if math.Abs(got/want-1) > 1e-5 {
			t.Fatalf("spread %v, by differences %v", got, want)
		}
	})
}

// TestLambertianThroughAirAndWater holds the worked values for a 10 000 lm Lambertian lamp at 70 lx per µmol/(m² s).
func TestLambertianThroughAirAndWater(t *testing.T) {
	const lumens, lux = 10000.0, 70.0
	i0 := AxialIntensity(lumens, 1)
	axis := pathTo(0.5, 0, 0, 1)
	inAir := i0 * axis.spread(0.5, 0, 1)
	slanted := pathTo(0.5, 0, 0.5, 1)
	at45 := i0 * slanted.cosAir * slanted.spread(0.5, 0, 1)
	loss := (1 - Fresnel(0, 1, IndexWater)) * math.Exp(-0.3*0.5)
	refracted := i0 * pathTo(0.3, 0.5, 0, IndexWater).spread(0.3, 0.5, IndexWater) * loss
	straight := i0 * pathTo(0.3, 0.5, 0, 1).spread(0.3, 0.5, 1) * loss
	worst := 0.0
	for _, c := range []struct {
		name      string
		got, want float64
	}{
		{"intensity on the axis, cd", i0, 3183.1},
		{"0.5 m below in air, lx", inAir, 12732},
		{"0.5 m below in air, µmol", PhotonFlux(inAir, lux), 181.9},
		{"45° aside", at45 / inAir, 0.25},
		{"0.3 m air and 0.5 m water, lx", refracted, 5889},
		{"0.3 m air and 0.5 m water, µmol", PhotonFlux(refracted, lux), 84.1},
		{"the same without refraction, lx", straight, 4194},
	} {
		rel := math.Abs(c.got/c.want - 1)
		worst = max(worst, rel)
		if rel > 0.005 {
			t.Errorf("%s: %.5g, want %.5g", c.name, c.got, c.want)
		}
	}
	check.Record(t, check.Row{
		Room: "light", What: "Lambertian lamp on the axis and at 45°, through 0.3 m air and 0.5 m water (effective distance)", Source: "photometry by hand (paraxial optics)",
		Memory: true, Worst: fmt.Sprintf("%.3f %%", 100*worst), Within: "0.5 %",
	})
}

func TestExtinctionAndLightSum(t *testing.T) {
	for _, c := range []struct {
		name              string
		got, want, within float64
	}{
		{"0.6 m at 0.3 /m", math.Exp(-0.3 * 0.6), 0.8353, 0.0001},
		{"0.6 m at 1 /m", math.Exp(-1 * 0.6), 0.5488, 0.0001},
		{"100 µmol for 8 h, mol", DLI(100, 8, 1), 2.88, 1e-9},
		{"150 µmol for 10 h, mol", DLI(150, 10, 1), 5.40, 1e-9},
		{"100 µmol at 60 % for 6 h, mol", DLI(100, 6, 0.6), 1.296, 1e-9},
		{"usual water, 1/m", Kd(ColourUsual, SuspendedUsual), ExtinctionUsual, 0.001},
		{"particles, 1/m for each mg/L", Kd(0, 10) - Kd(0, 0), 0.94, 1e-9},
		{"negative inputs", Kd(-1, -1), ExtinctionPure, 0},
	} {
		if math.Abs(c.got-c.want) > c.within {
			t.Errorf("%s: %.5f, want %.5f", c.name, c.got, c.want)
		}
	}
	check.Record(t, check.Row{
		Room: "light", What: "daily light integral: 100 µmol × 8 h = 2.88, 150 × 10 h = 5.40 mol/(m² d)", Source: "arithmetic",
		Worst: "0", Within: "1e-9",
	})
}

func TestBeam(t *testing.T) {
	for _, c := range []struct {
		name       string
		fwhm, want float64
	}{
		{"Lambertian", 120, 1},
		{"spot of 40°", 40, 11.1434},
	} {
		n, err := BeamExponent(deg(c.fwhm))
		if err != nil || math.Abs(n-c.want) > 0.0001 {
			t.Errorf("%s: %.5f %v, want %.4f", c.name, n, err, c.want)
		}
		// Integrate the intensity over the lower half-space: it must give the flux back.
		const steps = 20000
		sum := 0.0
		for i := range steps {
			a := (float64(i) + 0.5) / steps * math.Pi / 2
			sum += AxialIntensity(1000, n) * math.Pow(math.Cos(a), n) * 2 * math.Pi * math.Sin(a) * math.Pi / 2 / steps
		}
		if math.Abs(sum-1000) > 0.01 {
			t.Errorf("%s: flux over all angles %.3f, want 1000", c.name, sum)
		}
		if flux, err := PhotonFluxFromBeam(AxialIntensity(1000, n), deg(c.fwhm)); err != nil || math.Abs(flux-1000) > 1e-9 {
			t.Errorf("%s: flux from intensity %.3f %v", c.name, flux, err)
		}
	}
	for _, bad := range []float64{0, -10, 180, 200, math.NaN(), math.Inf(1)} {
		if _, err := BeamExponent(deg(bad)); err == nil {
			t.Errorf("a beam of %v° is accepted", bad)
		}
	}
}
