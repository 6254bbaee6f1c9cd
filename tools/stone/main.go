// Command stone makes the scanned stone of the demo plan quay-street-library, as a hand scanner would deliver it: about five
// thousand faces in centimetres, broken faces with rough skin, and an open underside where the stone stood on the table.
//
//	go run ./tools/stone > examples/quay-street-library/meshes/ledge-stone.obj
//
// The stone is invented. It has no randomness but the seed below, so that the file can be made again byte by byte; a test does.
package main

import (
	"bufio"
	"fmt"
	"io"
	"littoral/internal/mesh"
	"math"
	"os"
)

// The recipe. Lengths in centimetres.
const (
	seed        = 20270301
	subdivision = 4 // an icosahedron's 20 faces, each split in four this often: 5120 faces before the underside is cut off
	fractures   = 17
	halfLength  = 19.0
	halfWidth   = 12.5
	halfHeight  = 13.0
	tableZ      = -6.5 // the scanner saw nothing below this height
	grain       = 0.35 // depth of the rough skin
	bulge       = 0.07 // share of the radius that large lumps add
)

type vec [3]float64

func (a vec) dot(b vec) float64           { return a[0]*b[0] + a[1]*b[1] + a[2]*b[2] }
func (a vec) add(b vec) vec               { return vec{a[0] + b[0], a[1] + b[1], a[2] + b[2]} }
func (a vec) times(s float64) vec         { return vec{a[0] * s, a[1] * s, a[2] * s} }
func (a vec) unit() vec                   { return a.times(1 / math.Sqrt(a.dot(a))) }
func (a vec) stretch(x, y, z float64) vec { return vec{a[0] * x, a[1] * y, a[2] * z} }

func main() {
	w := bufio.NewWriter(os.Stdout)
	write(w)
	if err := w.Flush(); err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}

// write makes the stone and writes it as Wavefront OBJ.
func write(w io.Writer) {
	points, faces := sphere(subdivision)
	planes := breaks()
	for i, p := range points {
		points[i] = skin(p, planes)
	}
	points, faces = openUnderside(points, faces)
	fmt.Fprintln(w, "# Ledge stone, an invented slate, as scanned: centimetres, z up, underside open.")
	fmt.Fprintln(w, "# Made by tools/stone.")
	for _, p := range points {
		fmt.Fprintf(w, "v %.2f %.2f %.2f\n", p[0], p[1], p[2])
	}
	for _, f := range faces {
		fmt.Fprintf(w, "f %d %d %d\n", f[0]+1, f[1]+1, f[2]+1)
	}
}

// sphere is the geodesic sphere of n cuts, in the stone's own vectors.
func sphere(n int) ([]vec, [][3]int) {
	m := mesh.Geodesic(n)
	points, faces := make([]vec, len(m.Vertices)), make([][3]int, len(m.Faces))
	for i, v := range m.Vertices {
		points[i] = v
	}
	for i, f := range m.Faces {
		faces[i] = [3]int{int(f[0]), int(f[1]), int(f[2])}
	}
	return points, faces
}

// plane is a broken face: everything beyond dist along the normal is gone. On the unit sphere.
type plane struct {
	normal vec
	dist   float64
}

// breaks draws the planes along which the stone broke. Most stand steep and follow the slate's bedding, which dips along x.
func breaks() []plane {
	planes := make([]plane, fractures)
	for i := range planes {
		azimuth := 2 * math.Pi * draw(i, 0)
		lift := (draw(i, 1) - 0.35) * 1.6
		s, c := math.Sincos(azimuth)
		planes[i] = plane{normal: vec{c, s, lift}.unit(), dist: 0.62 + 0.3*draw(i, 2)}
	}
	planes[0] = plane{normal: vec{-0.25, 0.1, 0.96}.unit(), dist: 0.72} // the ledge on top
	return planes
}

// skin puts a point of the unit sphere onto the stone.
func skin(dir vec, planes []plane) vec {
	r := 1 + bulge*(noise(dir.times(1.7))+0.5*noise(dir.times(3.9)))
	for _, pl := range planes {
		if toward := pl.normal.dot(dir); toward > 1e-9 {
			r = min(r, pl.dist/toward)
		}
	}
	p := dir.times(r).stretch(halfLength, halfWidth, halfHeight)
	layered := noise(vec{p[0] * 0.12, p[1] * 0.12, (p[2] + 0.3*p[0]) * 0.9}) // thin beds across the stone
	return p.add(dir.times(grain * (layered + 0.6*noise(p.times(0.55)))))
}

// openUnderside takes away the faces that lie wholly below the table and the points that nothing uses any more.
func openUnderside(points []vec, faces [][3]int) ([]vec, [][3]int) {
	number := make([]int, len(points))
	for i := range number {
		number[i] = -1
	}
	var kept [][3]int
	var used []vec
	for _, f := range faces {
		if max(points[f[0]][2], points[f[1]][2], points[f[2]][2]) < tableZ {
			continue
		}
		var g [3]int
		for k, i := range f {
			if number[i] < 0 {
				number[i] = len(used)
				used = append(used, points[i])
			}
			g[k] = number[i]
		}
		kept = append(kept, g)
	}
	return used, kept
}

// noise is smooth value noise in −1 to 1: random values at whole coordinates, blended between.
func noise(p vec) float64 {
	var base [3]int
	var f vec
	for k := range 3 {
		fl := math.Floor(p[k])
		base[k] = int(fl)
		t := p[k] - fl
		f[k] = t * t * (3 - 2*t)
	}
	sum := 0.0
	for corner := range 8 {
		weight := 1.0
		at := base
		for k := range 3 {
			if corner>>k&1 == 1 {
				at[k]++
				weight *= f[k]
			} else {
				weight *= 1 - f[k]
			}
		}
		sum += weight * (2*draw(at[0], at[1], at[2], 7) - 1)
	}
	return sum
}

// draw is a number in 0 to 1 that depends on the seed and the keys alone (mixing steps of SplitMix64).
func draw(keys ...int) float64 {
	h := uint64(seed)
	for _, k := range keys {
		h += uint64(int64(k)) + 0x9e3779b97f4a7c15
		h = (h ^ h>>30) * 0xbf58476d1ce4e5b9
		h = (h ^ h>>27) * 0x94d049bb133111eb
		h ^= h >> 31
	}
	return float64(h>>11) / (1 << 53)
}
