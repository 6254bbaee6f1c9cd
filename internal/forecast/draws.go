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
	members   int
	general   []Parameter
	u         [][]float64 // by general parameter, by member
	species   *kinds[catalog.Species, catalog.Physiology]
	materials *kinds[catalog.Material, catalog.Bed]
}

func newDraws(p *plan.Plan, seed uint64, members int) *draws {
	d := &draws{members: members, general: parameters()}
	for i := range d.general {
		d.u = append(d.u, strata(seed, members, "general", d.general[i].Name))
	}
	d.species = newKinds("species", planted(p), catalog.PhysiologyFields(), func(s *catalog.Species) (string, catalog.Physiology) { return s.Name, s.Phys }, seed, members)
	d.materials = newKinds("material", bedded(p), catalog.BedFields(), func(m *catalog.Material) (string, catalog.Bed) { return m.Name, m.Bed }, seed, members)
	return d
}

// kinds draws the numbers V of the species or materials K of a plan.
type kinds[K, V any] struct {
	word   string
	list   []*K
	fields []catalog.Field[V]
	of     func(*K) (name string, own V)
	z      [][][]float64 // by field, by kind, by member: standard normal
}

func newKinds[K, V any](word string, list []*K, fields []catalog.Field[V], of func(*K) (string, V), seed uint64, members int) *kinds[K, V] {
	k := &kinds[K, V]{word: word, list: list, fields: fields, of: of}
	names := make([]string, len(list))
	for i, one := range list {
		names[i], _ = of(one)
	}
	for _, f := range fields {
		k.z = append(k.z, together(seed, members, word+" "+f.Name, names))
	}
	return k
}

// member returns the numbers of one member, by kind; those that the plan does not name keep their own.
func (k *kinds[K, V]) member(m int) func(*K) V {
	drawn := make(map[*K]V, len(k.list))
	for i, one := range k.list {
		_, v := k.of(one)
		for j, f := range k.fields {
			q := f.At(&v)
			q.Value = quantile(share(k.z[j][i][m]), q.Value, q.Min, q.Max, true)
		}
		drawn[one] = v
	}
	return func(one *K) V {
		if v, ok := drawn[one]; ok {
			return v
		}
		_, own := k.of(one)
		return own
	}
}

// drivers lists the numbers that vary, each with the mean of its draws over all kinds.
func (k *kinds[K, V]) drivers(members int) []driver {
	var out []driver
	for j, f := range k.fields {
		varies := false
		for _, one := range k.list {
			_, own := k.of(one)
			q := f.At(&own)
			varies = varies || q.Min < q.Max
		}
		if !varies {
			continue
		}
		x := make([]float64, members)
		for _, z := range k.z[j] {
			for m, v := range z {
				x[m] += v / float64(len(k.z[j]))
			}
		}
		out = append(out, driver{k.word + ": " + f.Words, x})
	}
	return out
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
		x := quantile(d.u[i][member], q.Value, q.Min, q.Max, q.Ratio)
		for _, to := range q.at(&t) {
			if q.Value == 0 {
				*to += x
			} else {
				*to *= x / q.Value
			}
		}
	}
	t.physiology, t.chemistry = d.species.member(member), d.materials.member(member)
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
	out = append(out, d.species.drivers(d.members)...)
	return append(out, d.materials.drivers(d.members)...)
}

// planted lists the species of a plan, sorted by name.
func planted(p *plan.Plan) []*catalog.Species {
	var names []string
	add := func(list []plan.Planting) {
		for i := range list {
			names = append(names, list[i].Species)
		}
	}
	add(p.Plants)
	for i := range p.Events {
		add(p.Events[i].Plant)
	}
	return known(names, p.Cat.Species, func(s *catalog.Species) string { return s.Name })
}

// bedded lists the materials of a plan's bed, sorted by name.
func bedded(p *plan.Plan) []*catalog.Material {
	var names []string
	for i := range p.Substrate.Layers {
		names = append(names, p.Substrate.Layers[i].Material)
	}
	for i := range p.Substrate.Caps {
		names = append(names, p.Substrate.Caps[i].Material)
	}
	return known(names, p.Cat.Material, func(m *catalog.Material) string { return m.Name })
}

// known looks names up, each kind once, and sorts what it finds by name.
func known[K any](names []string, look func(string) (*K, bool), name func(*K) string) []*K {
	seen := map[*K]bool{}
	var out []*K
	for _, n := range names {
		if k, ok := look(n); ok && !seen[k] {
			seen[k] = true
			out = append(out, k)
		}
	}
	slices.SortFunc(out, func(a, b *K) int { return strings.Compare(name(a), name(b)) })
	return out
}
