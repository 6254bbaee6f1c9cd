package light

import (
	"encoding/csv"
	"littoral/internal/geometry"
	"math"
	"os"
	"strconv"
	"testing"
)

// boxTank is an open box of the given inner measures, filled to height z (m).
func boxTank(x, y, z float64) geometry.Tank {
	return geometry.Tank{
		Shape: "box", Footprint: [][2]float64{{0, 0}, {x, 0}, {x, y}, {0, y}},
		LX: x, LY: y, Height: z, WaterLevel: z, Glass: 0.01, Bottom: 0.01,
	}
}

// emptyBox is a box without bed or hardscape, in cells of the given edge.
func emptyBox(t geometry.Tank, cell float64) *geometry.Voxels {
	cells := func(l float64) int { return int(math.Ceil(l/cell - 1e-9)) }
	v := &geometry.Voxels{Cell: cell, NX: cells(t.LX), NY: cells(t.LY), NZ: cells(t.WaterLevel)}
	v.Solid = make([]bool, v.NX*v.NY*v.NZ)
	v.GroundIZ = make([]int, v.NX*v.NY)
	for iy := range v.NY {
		for ix := range v.NX {
			if (float64(ix)+0.5)*cell > t.LX || (float64(iy)+0.5)*cell > t.LY {
				v.GroundIZ[iy*v.NX+ix] = v.NZ
				for iz := range v.NZ {
					v.Solid[(iz*v.NY+iy)*v.NX+ix] = true
				}
			}
		}
	}
	return v
}

// bedTo fills the columns with bed up to height(x, y), m.
func bedTo(v *geometry.Voxels, height func(x, y float64) float64) {
	for iy := range v.NY {
		for ix := range v.NX {
			c := iy*v.NX + ix
			if v.GroundIZ[c] >= v.NZ {
				continue
			}
			n := int(math.Round(height((float64(ix)+0.5)*v.Cell, (float64(iy)+0.5)*v.Cell) / v.Cell))
			v.GroundIZ[c] = n
			for iz := range n {
				v.Solid[(iz*v.NY+iy)*v.NX+ix] = true
			}
		}
	}
}

// block makes the voxels whose middles satisfy in hardscape.
func block(v *geometry.Voxels, in func(x, y, z float64) bool) {
	each(v, func(i int, x, y, z float64) {
		if in(x, y, z) {
			v.Solid[i] = true
		}
	})
}

// each visits the voxels with their index and middle.
func each(v *geometry.Voxels, f func(i int, x, y, z float64)) {
	for iz := range v.NZ {
		for iy := range v.NY {
			for ix := range v.NX {
				f((iz*v.NY+iy)*v.NX+ix, (float64(ix)+0.5)*v.Cell, (float64(iy)+0.5)*v.Cell, (float64(iz)+0.5)*v.Cell)
			}
		}
	}
}

func deg(a float64) float64 { return a * math.Pi / 180 }

func beamOf(t testing.TB, fwhmDeg float64) float64 {
	t.Helper()
	n, err := BeamExponent(deg(fwhmDeg))
	if err != nil {
		t.Fatal(err)
	}
	return n
}

// table reads a CSV file of testdata into rows by column name.
func table(t testing.TB, name string) []map[string]string {
	t.Helper()
	f, err := os.Open("testdata/" + name)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var out []map[string]string
	for _, r := range rows[1:] {
		m := map[string]string{}
		for i, c := range rows[0] {
			m[c] = r[i]
		}
		out = append(out, m)
	}
	return out
}

func num(t testing.TB, s string) float64 {
	t.Helper()
	x, err := strconv.ParseFloat(s, 64)
	if err != nil {
		t.Fatal(err)
	}
	return x
}
