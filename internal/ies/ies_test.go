package ies

import (
	"errors"
	"fmt"
	"littoral/internal/check"
	"math"
	"strings"
	"testing"
)

// file writes a file whose intensity is that of the function, in steps of 5°.
func file(header string, kind Type, vertical, horizontal []float64, cd func(h, v float64) float64) string {
	var b strings.Builder
	b.WriteString(header)
	fmt.Fprintf(&b, "1 -1 1.0 %d %d %d 2 0.2 0.55 0\n1.0 1.0 44\n", len(vertical), len(horizontal), kind)
	for _, list := range [][]float64{vertical, horizontal} {
		for i, x := range list {
			if i > 0 && i%7 == 0 {
				b.WriteByte('\n')
			}
			fmt.Fprintf(&b, "%g ", x)
		}
		b.WriteByte('\n')
	}
	for _, h := range horizontal {
		for i, v := range vertical {
			if i > 0 && i%9 == 0 {
				b.WriteByte('\n')
			}
			fmt.Fprintf(&b, "%g,", cd(h, v))
		}
		b.WriteByte('\n')
	}
	return b.String()
}

func steps(from, to, by float64) []float64 {
	var out []float64
	for x := from; x <= to+1e-9; x += by {
		out = append(out, x)
	}
	return out
}

const plain = "IESNA:LM-63-2002\n[TEST] synthetic\n[MANUFAC] none\n[MORE] at all\nTILT=NONE\n"

func lambert(_, v float64) float64 { return 1000 * max(math.Cos(v*degree), 0) }

func TestFluxOfKnownBodies(t *testing.T) {
	deg := func(x float64) float64 { return x * degree }
	for _, c := range []struct {
		name, text string
		want       float64
	}{
		{"I = 1000 cos θ, one plane", file(plain, TypeC, steps(0, 90, 5), []float64{0}, lambert), 1000 * math.Pi},
		{"the same, a quarter", file(plain, TypeC, steps(0, 90, 5), steps(0, 90, 45), lambert), 1000 * math.Pi},
		{"the same, a half", file(plain, TypeC, steps(0, 90, 5), steps(0, 180, 45), lambert), 1000 * math.Pi},
		{"the same, all round", file(plain, TypeC, steps(0, 90, 5), steps(0, 360, 45), lambert), 1000 * math.Pi},
		{"the same, 90° to 270°", file(plain, TypeC, steps(0, 90, 5), steps(90, 270, 45), lambert), 1000 * math.Pi},
		{"100 cd to all sides", file(plain, TypeC, steps(0, 180, 30), []float64{0}, func(_, _ float64) float64 { return 100 }), 400 * math.Pi},
		{"100 cd upwards", file(plain, TypeC, steps(90, 180, 30), []float64{0}, func(_, _ float64) float64 { return 100 }), 200 * math.Pi},
		{"type B, Lambertian", file(plain, TypeB, steps(-90, 90, 5), steps(-90, 90, 5), func(h, v float64) float64 { return 1000 * math.Cos(deg(h)) * math.Cos(deg(v)) }), 1000 * math.Pi},
		{"type B, a quarter", file(plain, TypeB, steps(0, 90, 5), steps(0, 90, 5), func(h, v float64) float64 { return 1000 * math.Cos(deg(h)) * math.Cos(deg(v)) }), 1000 * math.Pi},
		{"type A, Lambertian", file(plain, TypeA, steps(-90, 90, 5), steps(-90, 90, 5), func(h, v float64) float64 { return 1000 * math.Cos(deg(h)) * math.Cos(deg(v)) }), 1000 * math.Pi},
	} {
		f, err := Read([]byte(c.text))
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		got := f.Flux()
		if math.Abs(got/c.want-1) > 0.005 {
			t.Errorf("%s: flux %.2f lm, want %.2f", c.name, got, c.want)
		}
		check.Record(t, check.Row{
			Room: "ies", What: "luminous flux: " + c.name, Source: "closed form", Worst: fmt.Sprintf("%.2f %%", 100*math.Abs(got/c.want-1)), Within: "0.5 % (linear between steps of 5°)",
		})
	}
}

func TestTypesAgree(t *testing.T) {
	// One lobe, brighter along x, written in all three types, gives the same intensity in every direction but for the steps.
	lobe := func(x, y, down float64) float64 { return 1000 * max(down, 0) * (1 + 0.5*x*x + 0.2*y) }
	c, errC := Read([]byte(file(plain, TypeC, steps(0, 90, 2.5), steps(0, 360, 5), func(h, v float64) float64 {
		return lobe(math.Sin(v*degree)*math.Cos(h*degree), math.Sin(v*degree)*math.Sin(h*degree), math.Cos(v*degree))
	})))
	b, errB := Read([]byte(file(plain, TypeB, steps(-90, 90, 2.5), steps(-90, 90, 2.5), func(h, v float64) float64 {
		return lobe(math.Sin(h*degree), math.Cos(h*degree)*math.Sin(v*degree), math.Cos(h*degree)*math.Cos(v*degree))
	})))
	a, errA := Read([]byte(file(plain, TypeA, steps(-90, 90, 2.5), steps(-90, 90, 2.5), func(h, v float64) float64 {
		return lobe(math.Cos(v*degree)*math.Sin(h*degree), math.Sin(v*degree), math.Cos(v*degree)*math.Cos(h*degree))
	})))
	if err := errors.Join(errA, errB, errC); err != nil {
		t.Fatal(err)
	}
	for theta := 3.0; theta < 88; theta += 7 {
		for phi := 1.0; phi < 360; phi += 13 {
			s := math.Sin(theta * degree)
			x, y, down := s*math.Cos(phi*degree), s*math.Sin(phi*degree), math.Cos(theta*degree)
			want := lobe(x, y, down)
			for name, f := range map[string]*File{"A": a, "B": b, "C": c} {
				if got := f.Intensity(x, y, down); math.Abs(got-want) > 3 {
					t.Errorf("type %s at %g°, %g°: %.2f cd, want %.2f", name, theta, phi, got, want)
				}
			}
		}
	}
}

func TestHeaderAndFactors(t *testing.T) {
	text := "IESNA:LM-63-1995\n[MANUFAC] a maker\n[MORE] of lamps\nTILT=INCLUDE\n1\n3\n0 45 90\n1 0.9 0.8\n" +
		"2 1500 2.0 3 1 1 1 -1 -1 0\n0.5 1 80\n0 45 90\n0\n100 80 0\n"
	f, err := Read([]byte(text))
	if err != nil {
		t.Fatal(err)
	}
	if f.Keywords["MANUFAC"] != "a maker of lamps" || f.Lamps != 2 || f.Lumens != 1500 || f.Watts != 80 || !f.Round || math.Abs(f.Width-0.3048) > 1e-12 {
		t.Errorf("%+v", f)
	}
	if got := f.Intensity(0, 0, 1); got != 100 { // 100 cd × 2.0 × 0.5
		t.Errorf("on the axis %g cd", got)
	}
	if got := f.Tilted(22.5); math.Abs(got-0.95) > 1e-12 {
		t.Errorf("tilt factor %g", got)
	}
	for _, header := range []string{"IESNA91\n", "IES:LM-63-2019\n", "IESNA:LM-63-1995\n", "a label of 1986\nanother\n"} {
		if _, err := Read([]byte(strings.ReplaceAll(file(header+"TILT=NONE\n", TypeC, steps(0, 90, 30), []float64{0}, lambert), "\n", "\r\n"))); err != nil {
			t.Errorf("%q: %v", header, err)
		}
	}
}

func TestMalformedFilesNameTheLine(t *testing.T) {
	body := "1 -1 1 3 1 1 2 0 0 0\n1 1 40\n0 45 90\n0\n100 80 0\n"
	for _, c := range []struct {
		name, text string
		line       int
		want       string
	}{
		{"empty", "", 1, "TILT="},
		{"prose", "hello\nworld\n", 3, "TILT="},
		{"tilt empty", "IESNA91\nTILT=\n" + body, 2, "TILT= is empty"},
		{"tilt elsewhere", "IESNA91\nTILT=lamp.tlt\n" + body, 2, "another file"},
		{"keyword open", "IESNA91\n[TEST oops\nTILT=NONE\n" + body, 2, "no ]"},
		{"word for a number", "IESNA91\nTILT=NONE\n" + strings.Replace(body, "80", "eighty", 1), 7, `"eighty" is not a number`},
		{"ends early", "IESNA91\nTILT=NONE\n1 -1 1 3 1 1 2 0 0 0\n1 1 40\n0 45 90\n0\n100 80\n", 8, "ends where the candela value at 90° and 0°"},
		{"too much", "IESNA91\nTILT=NONE\n" + body + "7\n", 8, "after the last"},
		{"angles fall", "IESNA91\nTILT=NONE\n" + strings.Replace(body, "0 45 90", "0 90 45", 1), 5, "they rise"},
		{"angles begin late", "IESNA91\nTILT=NONE\n" + strings.Replace(body, "0 45 90", "10 45 90", 1), 5, "begin at 0° or 90°"},
		{"type 4", "IESNA91\nTILT=NONE\n" + strings.Replace(body, "3 1 1 2", "3 1 4 2", 1), 3, "photometric type"},
		{"half an angle", "IESNA91\nTILT=NONE\n" + strings.Replace(body, "3 1 1 2", "2.5 1 1 2", 1), 3, "whole number"},
		{"negative light", "IESNA91\nTILT=NONE\n" + strings.Replace(body, "80", "-80", 1), 7, "below 0"},
		{"infinite", "IESNA91\nTILT=NONE\n" + strings.Replace(body, "80", "Inf", 1), 7, "not a number"},
		{"too many", "IESNA91\nTILT=NONE\n1 -1 1 2000 2000 1 2 0 0 0\n1 1 40\n", 3, "more than"},
		{"multiplier", "IESNA91\nTILT=NONE\n" + strings.Replace(body, "1 -1 1 3", "1 -1 0 3", 1), 3, "multiplier"},
	} {
		_, err := Read([]byte(c.text))
		var e *Error
		if !errors.As(err, &e) || e.Line != c.line || !strings.Contains(e.Text, c.want) {
			t.Errorf("%s: %v, want line %d with %q", c.name, err, c.line, c.want)
		}
	}
}

func FuzzRead(f *testing.F) {
	f.Add([]byte(file(plain, TypeC, steps(0, 90, 30), []float64{0}, lambert)))
	f.Add([]byte(file(plain, TypeB, steps(-90, 90, 45), steps(0, 90, 45), lambert)))
	f.Add([]byte("IESNA91\nTILT=INCLUDE\n1 2 0 90 1 1\n1 -1 1 2 1 1 1 0 0 0 1 1 1 0 90 0 5 5\n"))
	f.Fuzz(func(t *testing.T, src []byte) {
		file, err := Read(src)
		if err != nil {
			var e *Error
			if !errors.As(err, &e) || e.Line < 1 {
				t.Fatalf("error without a line: %v", err)
			}
			return
		}
		for _, d := range [][3]float64{{0, 0, 1}, {1, 0, 0}, {0, -1, 0}, {0, 0, -1}, {0.6, 0, 0.8}} {
			if i := file.Intensity(d[0], d[1], d[2]); !(i >= 0) || math.IsInf(i, 0) {
				t.Fatalf("intensity %v towards %v", i, d)
			}
		}
	})
}
