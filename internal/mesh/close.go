package mesh

import (
	"errors"
	"fmt"
	"math"
)

// Fill says how one opening was closed.
type Fill struct {
	Edges int     // sides of the opening
	Share float64 // area of the opening as a share of the closed surface, 0 to 1
	Flat  float64 // farthest a corner of the opening lies from its plane, as a share of its width
}

// What Close may fill, our own choice. A flat opening of up to 45 % is the underside of a scanned stone: the part of a body
// above a plane cut always has more surface than the cut, so a true one stays below half, and a sheet of cloth is exactly half. A small
// hole is at most 3 % and may be as uneven as the stone around it.
const (
	maxFlatShare   = 0.45
	maxFlatUneven  = 0.08
	maxSmallShare  = 0.03
	maxSmallUneven = 0.50
	maxOpenShare   = 0.45 // of all openings together
	maxLoopEdges   = 20_000
	maxEarTests    = 200_000_000 // about a second of work
)

// Close returns a mesh in which every opening is filled with triangles, and how. It fills small holes, and flat openings
// such as the underside of a scanned stone. It refuses, with the reason, when an opening is too large or too uneven to guess at, or
// its rim is tangled. Faces must agree on their direction along the rims: Weld and Orient first. A mesh without openings is
// returned as a copy with no fills.
func (m *Mesh) Close() (*Mesh, []Fill, error) {
	loops, err := m.loops()
	if err != nil {
		return nil, nil, err
	}
	out := m.Clone()
	if len(loops) == 0 {
		return out, nil, nil
	}
	type rim struct {
		normal [3]float64 // of length one
		area   float64
		fill   Fill
	}
	rims := make([]rim, len(loops))
	total, open := m.Area(), 0.0
	for i, loop := range loops {
		var r rim
		r.fill.Edges = len(loop)
		n, centre := m.loopPlane(loop)
		r.area = norm(n)
		width := 0.0
		for _, v := range loop {
			width = max(width, 2*norm(sub(m.Vertices[v], centre)))
		}
		if r.area <= 1e-6*width*width && len(loop) > 3 {
			return nil, nil, fmt.Errorf("an opening with %d sides is folded flat or twisted, so it cannot be closed safely; close it in a mesh editor", len(loop))
		}
		if r.area > 0 {
			r.normal = scale(n, 1/r.area)
			for _, v := range loop {
				r.fill.Flat = max(r.fill.Flat, math.Abs(dot(r.normal, sub(m.Vertices[v], centre)))/width)
			}
		}
		total += r.area
		open += r.area
		rims[i] = r
	}
	if open > maxOpenShare*total {
		return nil, nil, fmt.Errorf("the openings make up %.0f %% of the closed surface, more than the %.0f %% that can be guessed at; scan the missing sides or close the mesh in a mesh editor", 100*open/total, 100*maxOpenShare)
	}
	budget := maxEarTests
	fills := make([]Fill, len(rims))
	for i, r := range rims {
		r.fill.Share = r.area / total
		small := r.fill.Share <= maxSmallShare && r.fill.Flat <= maxSmallUneven
		flat := r.fill.Share <= maxFlatShare && r.fill.Flat <= maxFlatUneven
		if !small && !flat {
			return nil, nil, fmt.Errorf("an opening with %d sides covers %.0f %% of the surface and is uneven by %.0f %% of its width, so its shape cannot be guessed; scan the missing side or close the mesh in a mesh editor", r.fill.Edges, 100*r.fill.Share, 100*r.fill.Flat)
		}
		faces, err := out.fillLoop(loops[i], r.normal, &budget)
		if err != nil {
			return nil, nil, err
		}
		out.Faces = append(out.Faces, faces...)
		fills[i] = r.fill
	}
	out.dress(len(m.Faces))
	return out, fills, nil
}

// loops follows the open edges round each opening, against the faces beside them, so that a fill looks the same way as they do.
func (m *Mesh) loops() ([][]int32, error) {
	edges := m.BoundaryEdges()
	next := make(map[int32]int32, len(edges))
	for _, e := range edges {
		if _, twice := next[e[1]]; twice {
			return nil, errors.New("the rim of an opening touches itself, or faces beside it disagree about which side is outside, so it cannot be closed safely; close the mesh in a mesh editor")
		}
		next[e[1]] = e[0]
	}
	var loops [][]int32
	for _, e := range edges {
		start := e[1]
		if _, open := next[start]; !open {
			continue
		}
		var loop []int32
		for v := start; ; {
			to, ok := next[v]
			if !ok {
				return nil, errors.New("the rim of an opening does not come back to where it began, so it cannot be closed safely; close the mesh in a mesh editor")
			}
			delete(next, v)
			loop = append(loop, v)
			if v = to; v == start {
				break
			}
		}
		if len(loop) > maxLoopEdges {
			return nil, fmt.Errorf("an opening has %d sides, more than the %d that can be filled; reduce the mesh or close it in a mesh editor", len(loop), maxLoopEdges)
		}
		loops = append(loops, loop)
	}
	return loops, nil
}

// loopPlane returns the area vector of a loop (Newell's method) and its centre.
func (m *Mesh) loopPlane(loop []int32) (area, centre [3]float64) {
	for _, v := range loop {
		centre = add(centre, scale(m.Vertices[v], 1/float64(len(loop))))
	}
	for i, v := range loop {
		w := loop[(i+1)%len(loop)]
		area = add(area, scale(cross(sub(m.Vertices[v], centre), sub(m.Vertices[w], centre)), 0.5))
	}
	return area, centre
}

// fillLoop cuts ears off the loop, seen along its normal, until one triangle is left (Meisters 1975, "Polygons have ears").
func (m *Mesh) fillLoop(loop []int32, normal [3]float64, budget *int) ([][3]int32, error) {
	if len(loop) == 3 {
		return [][3]int32{{loop[0], loop[1], loop[2]}}, nil
	}
	// Two directions across the normal.
	axis := [3]float64{1, 0, 0}
	if math.Abs(normal[0]) > 0.6 {
		axis = [3]float64{0, 1, 0}
	}
	u := cross(axis, normal)
	u = scale(u, 1/norm(u))
	w := cross(normal, u)
	flat := make([][2]float64, len(loop))
	for i, v := range loop {
		flat[i] = [2]float64{dot(u, m.Vertices[v]), dot(w, m.Vertices[v])}
	}
	side := func(a, b, c int) float64 {
		p, q, r := flat[a], flat[b], flat[c]
		return (q[0]-p[0])*(r[1]-p[1]) - (q[1]-p[1])*(r[0]-p[0])
	}
	left := make([]int, len(loop))
	for i := range left {
		left[i] = i
	}
	var faces [][3]int32
	for at, failed := 0, 0; len(left) > 3; {
		n := len(left)
		a, b, c := left[(at+n-1)%n], left[at%n], left[(at+1)%n]
		ear := side(a, b, c) >= 0
		for _, p := range left {
			if !ear {
				break
			}
			if *budget--; *budget < 0 {
				return nil, fmt.Errorf("an opening with %d sides is too winding to be filled; close the mesh in a mesh editor", len(loop))
			}
			if p == a || p == b || p == c {
				continue
			}
			if side(a, b, p) > 0 && side(b, c, p) > 0 && side(c, a, p) > 0 {
				ear = false
			}
		}
		if ear {
			faces = append(faces, [3]int32{loop[a], loop[b], loop[c]})
			left = append(left[:at%n], left[at%n+1:]...)
			failed = 0
			at = (at + 1) % len(left) // the next corner over, so that ears are taken round the rim and not as one fan
			continue
		}
		if failed++; failed > n {
			return nil, fmt.Errorf("the rim of an opening with %d sides crosses itself, so it cannot be closed safely; close the mesh in a mesh editor", len(loop))
		}
		at = (at + 1) % n
	}
	return append(faces, [3]int32{loop[left[0]], loop[left[1]], loop[left[2]]}), nil
}
