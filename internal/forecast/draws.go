package forecast

import (
	"littoral/internal/catalog"
	"littoral/internal/plan"
	"math"
	"slices"
	"strings"
)

// mix is the finaliser of splitmix64 (Steele, Lea & Flood 2014).
func mix(x uint64) uint64 {
	x += 0x9e3779b97f4a7c15
	x = (x ^ x>>30) * 0xbf58476d1ce4e5b9
	x = (x ^ x>>27) * 0x94d049bb133111eb
	return x ^ x>>31
}

// keyed returns a number in [0, 1) that depends on its keys only (FNV-1a of the words, mixed with the numbers).
func keyed(seed uint64, member, salt int, words ...string) float64 {
	h := uint64(14695981039346656037)
	for _, w := range words {
		for i := range len(w) {
			h = (h ^ uint64(w[i])) * 1099511628211
		}
		h = (h ^ 0xff) * 1099511628211 // a stop between words
	}
	return float64(mix(mix(mix(seed^h)+uint64(int64(member)))+uint64(int64(salt)))>>11) / (1 << 53)
}

// strata gives each of n members a number in (0, 1) for a key, one in each nth of the range and in an order that the key decides:
// a Latin hypercube (McKay, Beckman & Conover 1979). Two plans forecast with the same seed and number of members meet the same
// numbers for the same parameter of the same species.
func strata(seed uint64, n int, words ...string) []float64 {
	order := make([]int, n)
	at := make([]float64, n)
	for m := range n {
		order[m], at[m] = m, keyed(seed, m, 1, words...)
	}
	slices.SortFunc(order, func(a, b int) int {
		switch {
		case at[a] < at[b]:
			return -1
		case at[a] > at[b]:
			return 1
		}
		return a - b
	})
	out := make([]float64, n)
	for rank, m := range order {
		out[m] = (float64(rank) + 0.05 + 0.9*keyed(seed, m, 2, words...)) / float64(n)
	}
	return out
}

// quantile turns a number in (0, 1) into a value of a range (see Parameter for the shape).
func quantile(u, value, low, high float64, ratio bool) float64 {
	if !(low < high) || value < low || value > high {
		return value
	}
	if ratio = ratio && low > 0; ratio {
		value, low, high = math.Log(value), math.Log(low), math.Log(high)
	}
	x := value
	if u < 0.5 {
		x -= (value - low) * (1 - math.Sqrt(2*u))
	} else {
		x += (high - value) * (1 - math.Sqrt(2*(1-u)))
	}
	if ratio {
		return math.Exp(x)
	}
	return x
}

// common is the share of variance that a parameter of one species has in common with the same parameter of all others: half of what
// is not known lies in how the trade's classes are turned into numbers, the other half in the species (our own choice).
const common = 0.5

func normal(u float64) float64 { return math.Sqrt2 * math.Erfinv(2*u-1) }
func share(z float64) float64  { return 0.5 * math.Erfc(-z/math.Sqrt2) }

// draws holds what every member of many forecasts is drawn at.
type draws struct {
	members int
	general []Parameter
	u       [][]float64 // by general parameter, by member

	species   []*catalog.Species
	phys      []catalog.Field[catalog.Physiology]
	zSpecies  [][][]float64 // by field, by species, by member: standard normal
	materials []*catalog.Material
	bed       []catalog.Field[catalog.Bed]
	zMaterial [][][]float64
}

func newDraws(p *plan.Plan, seed uint64, members int) *draws {
	d := &draws{members: members, general: parameters(), phys: catalog.PhysiologyFields(), bed: catalog.BedFields()}
	for i := range d.general {
		d.u = append(d.u, strata(seed, members, "general", d.general[i].Name))
	}
	d.species, d.materials = planted(p), bedded(p)
	for _, f := range d.phys {
		names := make([]string, len(d.species))
		for i, s := range d.species {
			names[i] = s.Name
		}
		d.zSpecies = append(d.zSpecies, together(seed, members, "species "+f.Name, names))
	}
	for _, f := range d.bed {
		names := make([]string, len(d.materials))
		for i, m := range d.materials {
			names[i] = m.Name
		}
		d.zMaterial = append(d.zMaterial, together(seed, members, "material "+f.Name, names))
	}
	return d
}

// together draws standard normal numbers that a parameter's owners have half in common, by owner and member.
func together(seed uint64, members int, parameter string, owners []string) [][]float64 {
	all := strata(seed, members, parameter)
	out := make([][]float64, len(owners))
	for i, name := range owners {
		own := strata(seed, members, parameter, name)
		out[i] = make([]float64, members)
		for m := range members {
			out[i][m] = math.Sqrt(common)*normal(all[m]) + math.Sqrt(1-common)*normal(own[m])
		}
	}
	return out
}

// tuning is the engine of one member.
func (d *draws) tuning(member int) tuning {
	t := usual()
	for i := range d.general {
		q := &d.general[i]
		f := quantile(d.u[i][member], q.Value, q.Min, q.Max, q.Ratio) / q.Value
		for _, x := range q.at(&t) {
			*x *= f
		}
	}
	phys := make(map[*catalog.Species]catalog.Physiology, len(d.species))
	for k, s := range d.species {
		ph := s.Phys
		for i, f := range d.phys {
			q := f.At(&ph)
			q.Value = quantile(share(d.zSpecies[i][k][member]), q.Value, q.Min, q.Max, true)
		}
		phys[s] = ph
	}
	t.physiology = func(s *catalog.Species) catalog.Physiology {
		if ph, ok := phys[s]; ok {
			return ph
		}
		return s.Phys
	}
	beds := make(map[*catalog.Material]catalog.Bed, len(d.materials))
	for k, mat := range d.materials {
		b := mat.Bed
		for i, f := range d.bed {
			q := f.At(&b)
			q.Value = quantile(share(d.zMaterial[i][k][member]), q.Value, q.Min, q.Max, true)
		}
		beds[mat] = b
	}
	t.chemistry = func(m *catalog.Material) catalog.Bed {
		if b, ok := beds[m]; ok {
			return b
		}
		return m.Bed
	}
	return t
}

// driver is what a member was drawn at for one kind of parameter, as a number whose order counts only.
type driver struct {
	name string
	x    []float64 // by member
}

// drivers lists every kind of parameter with its draws; of species and materials the mean over those in the plan.
func (d *draws) drivers() []driver {
	var out []driver
	for i := range d.general {
		out = append(out, driver{d.general[i].Name, d.u[i]})
	}
	mean := func(z [][]float64) []float64 {
		x := make([]float64, d.members)
		for _, one := range z {
			for m, v := range one {
				x[m] += v / float64(len(z))
			}
		}
		return x
	}
	for i, f := range d.phys {
		varies := false
		for _, s := range d.species {
			ph := s.Phys
			q := f.At(&ph)
			varies = varies || q.Min < q.Max
		}
		if varies {
			out = append(out, driver{"species: " + f.Name, mean(d.zSpecies[i])})
		}
	}
	for i, f := range d.bed {
		varies := false
		for _, m := range d.materials {
			b := m.Bed
			q := f.At(&b)
			varies = varies || q.Min < q.Max
		}
		if varies {
			out = append(out, driver{"material: " + f.Name, mean(d.zMaterial[i])})
		}
	}
	return out
}

// planted lists the species of a plan, sorted by name.
func planted(p *plan.Plan) []*catalog.Species {
	seen := map[*catalog.Species]bool{}
	var out []*catalog.Species
	add := func(list []plan.Planting) {
		for i := range list {
			if s, ok := p.Cat.Species(list[i].Species); ok && !seen[s] {
				seen[s] = true
				out = append(out, s)
			}
		}
	}
	add(p.Plants)
	for i := range p.Events {
		add(p.Events[i].Plant)
	}
	slices.SortFunc(out, func(a, b *catalog.Species) int { return strings.Compare(a.Name, b.Name) })
	return out
}

// bedded lists the materials of a plan's bed, sorted by name.
func bedded(p *plan.Plan) []*catalog.Material {
	seen := map[*catalog.Material]bool{}
	var out []*catalog.Material
	add := func(name string) {
		if m, ok := p.Cat.Material(name); ok && !seen[m] {
			seen[m] = true
			out = append(out, m)
		}
	}
	for i := range p.Substrate.Layers {
		add(p.Substrate.Layers[i].Material)
	}
	for i := range p.Substrate.Caps {
		add(p.Substrate.Caps[i].Material)
	}
	slices.SortFunc(out, func(a, b *catalog.Material) int { return strings.Compare(a.Name, b.Name) })
	return out
}
