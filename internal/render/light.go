package render

import (
	"littoral/internal/geometry"
	"littoral/internal/scene"
	"math"
	"runtime"
	"sync"
	"sync/atomic"
)

// parallel runs f for 0..n−1 on all cores. Each number must write only what is its own.
func parallel(n int, f func(i int)) {
	var next atomic.Int64
	var wg sync.WaitGroup
	for range min(n, runtime.GOMAXPROCS(0)) {
		wg.Add(1)
		go func() {
			defer wg.Done()
			for {
				i := int(next.Add(1)) - 1
				if i >= n {
					return
				}
				f(i)
			}
		}()
	}
	wg.Wait()
}

// volume is how much of the lamps' light reaches each cell of the tank: 1 just under the surface in the mean.
type volume struct {
	cell       float64
	nx, ny, nz int
	direct     []float32 // from above
	soft       []float32 // from the sides of the sky over the water
}

// rays are the directions from which light comes down in the water: shares of x and y for one of z, and their weight. The steep ones stand for
// the lamps above, the slanting ones for what walls and surface send back. Common practice, no source.
var rays = []struct {
	x, y, weight float64
	soft         bool
}{
	{0, 0, .34, false},
	{.26, .08, .165, false},
	{-.26, .05, .165, false},
	{.04, .26, .165, false},
	{-.05, -.26, .165, false},
	{.8, .1, .25, true},
	{-.8, -.1, .25, true},
	{.1, .8, .25, true},
	{-.1, -.8, .25, true},
}

// Light is how the lamps' light lies in a scene. Worked out once, it serves every picture of the scene.
type Light struct{ vol *volume }

// LightOf works out the light of a scene.
func LightOf(s *scene.Scene) *Light { return &Light{shine(s)} }

// shine works out the light of a scene.
func shine(s *scene.Scene) *volume {
	t := &s.Tank
	v := &volume{cell: max(.01, math.Cbrt(t.LX*t.LY*t.WaterLevel/900000))}
	v.nx, v.ny, v.nz = int(t.LX/v.cell)+1, int(t.LY/v.cell)+1, int(t.WaterLevel/v.cell)+2
	size := v.nx * v.ny * v.nz
	// Leaf area, m² in each cell; stone, wood and ground count several times their faces, so that hardly any light passes.
	chunks := 8
	parts := make([][]float32, chunks)
	parallel(chunks, func(c int) {
		a := make([]float32, size)
		parts[c] = a
		for i := c * len(s.Nodes) / chunks; i < (c+1)*len(s.Nodes)/chunks; i++ {
			n := &s.Nodes[i]
			weight := float32(1)
			switch s.Items[n.Item].Kind {
			case scene.Plant:
			case scene.Ground, scene.Stone, scene.Wood:
				weight = 7
			default:
				continue
			}
			m := &s.Meshes[n.Mesh]
			for _, f := range m.F {
				p, q, r := n.M.Point(m.V[f[0]].P), n.M.Point(m.V[f[1]].P), n.M.Point(m.V[f[2]].P)
				ux, uy, uz := q[0]-p[0], q[1]-p[1], q[2]-p[2]
				wx, wy, wz := r[0]-p[0], r[1]-p[1], r[2]-p[2]
				cx, cy, cz := uy*wz-uz*wy, uz*wx-ux*wz, ux*wy-uy*wx
				area := float32(math.Sqrt(float64(cx*cx+cy*cy+cz*cz))) / 2
				k := 1
				if area > 6e-5 {
					k = min(24, int(math.Sqrt(float64(area)/3e-5)))
				}
				share := area * weight / float32(k*(k+1)/2)
				for u := range k {
					for w := range k - u {
						fu, fw := (float32(u)+1./3)/float32(k), (float32(w)+1./3)/float32(k)
						x, y, z := p[0]+fu*ux+fw*wx, p[1]+fu*uy+fw*wy, p[2]+fu*uz+fw*wz
						if j := v.index(x, y, z); j >= 0 {
							a[j] += share
						}
					}
				}
			}
		}
	})
	area := parts[0]
	parallel(v.nz, func(z int) {
		for _, p := range parts[1:] {
			for i := z * v.nx * v.ny; i < (z+1)*v.nx*v.ny; i++ {
				area[i] += p[i]
			}
		}
	})
	lean := [2]float64{}
	if s.Pool != nil {
		lean = s.Pool.Lean
	}
	out := make([][]float32, len(rays))
	kd := s.Water.Kd
	parallel(len(rays), func(d int) {
		x, y := rays[d].x, rays[d].y
		if !rays[d].soft { // tilted lamps cast their shadows aside
			x, y = x-lean[0], y-lean[1]
		}
		out[d] = v.sweep(area, x, y, kd)
	})
	v.direct, v.soft = make([]float32, size), make([]float32, size)
	for d := range rays {
		to := v.direct
		if rays[d].soft {
			to = v.soft
		}
		w := float32(rays[d].weight)
		for i, l := range out[d] {
			to[i] += w * l
		}
	}
	v.pooled(s.Pool, t)
	return v
}

func (v *volume) index(x, y, z float32) int {
	c := float32(v.cell)
	ix, iy, iz := int(x/c), int(y/c), int(z/c)
	if x < 0 || y < 0 || z < 0 || ix >= v.nx || iy >= v.ny || iz >= v.nz {
		return -1
	}
	return (iz*v.ny+iy)*v.nx + ix
}

// pooled lays the lamps' pools of light over the light that came down. Walls, bed and surface send some of it back everywhere, so that no corner is black:
// common practice, no source.
func (v *volume) pooled(p *scene.Pool, t *geometry.Tank) {
	if p == nil || p.NX < 2 || p.NY < 2 || p.NZ < 2 {
		return
	}
	// place finds the two points of a row of n between which x lies, counted in their distance, and how far between them.
	place := func(x float64, n int) (int, float32) {
		x = clamp(x, 0, float64(n-1))
		i := min(int(x), n-2)
		return i, float32(x) - float32(i)
	}
	parallel(v.nz, func(iz int) {
		k, fz := place((1-(float64(iz)+.5)*v.cell/t.WaterLevel)*float64(p.NZ-1), p.NZ)
		for iy := range v.ny {
			j, fy := place((float64(iy)+.5)*v.cell/t.LY*float64(p.NY)-.5, p.NY)
			for ix := range v.nx {
				i, fx := place((float64(ix)+.5)*v.cell/t.LX*float64(p.NX)-.5, p.NX)
				layer := func(k int) float32 {
					row := func(j int) float32 {
						q := p.V[(k*p.NY+j)*p.NX+i:]
						return q[0] + fx*(q[1]-q[0])
					}
					a := row(j)
					return a + fy*(row(j+1)-a)
				}
				e := layer(k)
				e += fz * (layer(k+1) - e)
				n := (iz*v.ny+iy)*v.nx + ix
				v.direct[n] *= min(2.4, .14+.86*e)
				v.soft[n] *= min(1.6, .5+.5*e)
			}
		}
	})
}

// sweep carries light of one direction down, layer by layer.
func (v *volume) sweep(area []float32, dx, dy, kd float64) []float32 {
	plane := v.nx * v.ny
	out := make([]float32, plane*v.nz)
	long := math.Sqrt(1 + dx*dx + dy*dy)
	water := float32(math.Exp(-kd * v.cell * long))
	// Leaves hide half their area from any one direction (random angles) and let a tenth of the light through.
	k := -.5 * .9 * long / (v.cell * v.cell)
	top := (v.nz - 1) * plane
	for i := top; i < len(out); i++ {
		out[i] = 1
	}
	for iz := v.nz - 2; iz >= 0; iz-- {
		above := out[(iz+1)*plane : (iz+2)*plane]
		here := out[iz*plane : (iz+1)*plane]
		leaf := area[(iz+1)*plane : (iz+2)*plane]
		sx, sy := int(math.Floor(dx)), int(math.Floor(dy))
		fx, fy := float32(dx-float64(sx)), float32(dy-float64(sy))
		at := func(ix, iy int) float32 {
			if ix < 0 { // glass throws the light back
				ix = -1 - ix
			} else if ix >= v.nx {
				ix = 2*v.nx - 1 - ix
			}
			if iy < 0 {
				iy = -1 - iy
			} else if iy >= v.ny {
				iy = 2*v.ny - 1 - iy
			}
			j := iy*v.nx + ix
			l := above[j]
			if a := leaf[j]; a > 0 {
				l *= float32(math.Exp(k * float64(a)))
			}
			return l
		}
		for iy := range v.ny {
			for ix := range v.nx {
				a := at(ix+sx, iy+sy)
				if fx > 0 || fy > 0 {
					b, c, d := at(ix+sx+1, iy+sy), at(ix+sx, iy+sy+1), at(ix+sx+1, iy+sy+1)
					a = (1-fy)*((1-fx)*a+fx*b) + fy*((1-fx)*c+fx*d)
				}
				here[iy*v.nx+ix] = a * water
			}
		}
	}
	return out
}

// at gives the light at a place, between the cells.
func (v *volume) at(x, y, z float32) (direct, soft float32) {
	c := float32(v.cell)
	fx, fy, fz := x/c-.5, y/c-.5, z/c-.5
	lim := func(f float32, n int) (int, float32) {
		if !(f > 0) {
			return 0, 0
		}
		if f >= float32(n-1) {
			return n - 2, 1
		}
		i := int(f)
		return i, f - float32(i)
	}
	ix, fx := lim(fx, v.nx)
	iy, fy := lim(fy, v.ny)
	iz, fz := lim(fz, v.nz)
	i := (iz*v.ny+iy)*v.nx + ix
	mix := func(p []float32) float32 {
		row := func(i int) float32 { return p[i] + fx*(p[i+1]-p[i]) }
		lay := func(i int) float32 { a := row(i); return a + fy*(row(i+v.nx)-a) }
		a := lay(i)
		return a + fz*(lay(i+v.nx*v.ny)-a)
	}
	return mix(v.direct), mix(v.soft)
}
