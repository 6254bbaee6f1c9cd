package render

import (
	"fmt"
	"littoral/internal/check"
	"littoral/internal/picture/sample"
	"littoral/internal/scene"
	"math"
	"testing"
)

// Visible shares against counting by hand: a ray for each pixel, bent at the pane, thrown back where it meets glass or surface beyond the critical
// angle, and tried against every triangle of the scene.
func TestVisibleSharesAgainstRays(t *testing.T) {
	s := first(scene.Build(few(sample.Library()), 364, scene.Options{}))
	c, err := At(s, "front", 100, 62)
	if err != nil {
		t.Fatal(err)
	}
	items := Items(s, c)
	type triangle struct {
		a, u, v vec
		item    int32
	}
	type group struct {
		middle vec
		r      float64
		all    []triangle
	}
	var groups []group
	for i := range s.Nodes {
		n := &s.Nodes[i]
		k := s.Items[n.Item].Kind
		if k == scene.Wall || k == scene.Lamp || k == scene.Stand {
			continue
		}
		m := &s.Meshes[n.Mesh]
		at := func(k uint32) vec {
			p := n.M.Point(m.V[k].P)
			return vec{float64(p[0]), float64(p[1]), float64(p[2])}
		}
		const size = 300 // triangles that are left out together where a ray passes their ball by
		for from := 0; from < len(m.F); from += size {
			g := group{middle: at(m.F[from][0])}
			for _, f := range m.F[from:min(from+size, len(m.F))] {
				a := at(f[0])
				g.all = append(g.all, triangle{a, sub(at(f[1]), a), sub(at(f[2]), a), int32(n.Item)})
				for _, v := range f {
					g.r = max(g.r, norm(sub(at(v), g.middle))+1e-6)
				}
			}
			groups = append(groups, g)
		}
	}
	nearest := func(o, d vec) (float64, int32) {
		best, item := math.Inf(1), int32(-1)
		for i := range groups {
			g := &groups[i]
			to := sub(g.middle, o)
			if along := dot(to, d); dot(to, to)-along*along > g.r*g.r || along < -g.r || along-g.r > best {
				continue
			}
			for j := range g.all {
				q := &g.all[j]
				// Möller & Trumbore 1997.
				p := cross(d, q.v)
				det := dot(q.u, p)
				if math.Abs(det) < 1e-14 {
					continue
				}
				w := sub(o, q.a)
				x := dot(w, p) / det
				if x < 0 || x > 1 {
					continue
				}
				r := cross(w, q.u)
				y := dot(d, r) / det
				if y < 0 || x+y > 1 {
					continue
				}
				if l := dot(q.v, r) / det; l > 1e-7 && l < best {
					best, item = l, q.item
				}
			}
		}
		return best, item
	}
	tank := &s.Tank
	ray := func(x, y float64) (int32, bool) {
		d := unit(add(c.Forward, add(mul(c.Right, (x-c.CX)/c.Scale), mul(c.Up, -(y-c.CY)/c.Scale))))
		glass := unit(vec{d[0], 0, d[2]})
		sin := math.Hypot(d[0], d[2])
		p := add(c.Eye, mul(d, (-tank.Glass-c.Eye[1])/d[1]))
		p = add(p, add(mul(glass, tank.Glass*math.Tan(math.Asin(sin/glassIndex))), vec{0, tank.Glass, 0}))
		if p[0] < 0 || p[0] > tank.LX || p[2] < 0 || p[2] > tank.WaterLevel {
			return -1, false
		}
		d = refract(d, vec{0, -1, 0})
		for range 4 {
			far, item := nearest(p, d)
			// The way to the panes and the surface.
			exit, axis := math.Inf(1), 0
			for k, size := range []float64{tank.LX, tank.LY, tank.WaterLevel} {
				to := 0.0
				if d[k] > 0 {
					to = size
				}
				if d[k] != 0 {
					if l := (to - p[k]) / d[k]; l < exit {
						exit, axis = l, k
					}
				}
			}
			if far < exit {
				return item, true
			}
			if sin := math.Sqrt(1 - d[axis]*d[axis]); sin < 1/waterIndex || axis == 2 && d[2] < 0 {
				return -1, true
			}
			p = add(p, mul(d, exit))
			d[axis] = -d[axis]
		}
		return -1, true
	}
	var mine, theirs [16]float64
	n, same := 0.0, 0.0
	for y := range c.H {
		for x := range c.W {
			item, in := ray(float64(x)+.5, float64(y)+.5)
			if !in {
				continue
			}
			n++
			kind := func(i int32) int {
				if i < 0 || s.Items[i].Kind == scene.Wall {
					return 15
				}
				return int(s.Items[i].Kind)
			}
			a, b := kind(items[y*c.W+x]), kind(item)
			mine[a]++
			theirs[b]++
			if a == b {
				same++
			}
		}
	}
	worst := 0.0
	for k := range mine {
		d := math.Abs(mine[k]-theirs[k]) / n
		worst = max(worst, d)
		if d > .015 {
			t.Errorf("kind %d: %.2f %% of the water by drawing, %.2f %% by rays", k, 100*mine[k]/n, 100*theirs[k]/n)
		}
	}
	if same/n < .95 {
		t.Errorf("drawing and rays agree in %.1f %% of the pixels", 100*same/n)
	}
	check.Record(t, check.Row{
		Room: "render", What: "visible shares of plants, stone, wood, bed and open water", Source: "a ray for each pixel against every triangle",
		Worst: fmt.Sprintf("%.2f %% of the water; %.1f %% of pixels alike", 100*worst, 100*same/n), Within: "1.5 %",
	})
}

// Planting day against itself shows all its hardscape; later, plants stand before part of it, and the shares of a view add up.
func TestReadingAddsUp(t *testing.T) {
	f := few(sample.Library())
	then, now := first(scene.Build(f, 0, scene.Options{})), first(scene.Build(f, 364, scene.Options{}))
	c, _ := At(now, "front", 240, 150)
	if r := Read(then, then, c); r.Still != 1 || r.Hardscape == 0 {
		t.Errorf("on planting day %.2f of planting day's hardscape is seen, %.3f of the view", r.Still, r.Hardscape)
	}
	r := Read(then, now, c)
	sum := r.Open + r.Hardscape
	for _, m := range r.Masses {
		sum += m.Share
	}
	if math.Abs(sum-1) > 1e-9 {
		t.Errorf("open water, hardscape, bed and plants are %.4f of the view together", sum)
	}
	if d := r.Fore + r.Mid + r.Back - 1; math.Abs(d) > 1e-9 {
		t.Errorf("the layers miss %g", d)
	}
	if d := r.Green + r.Red + r.Other - 1; math.Abs(d) > 1e-9 {
		t.Errorf("the hues miss %g", d)
	}
	if !(r.Balance[0] > 0 && r.Balance[0] < 1 && r.Balance[1] > 0 && r.Balance[1] < 1) {
		t.Errorf("the middle of visual mass is at %v", r.Balance)
	}
}
