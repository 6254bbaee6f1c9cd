package recipe

import (
	"errors"
	"fmt"
	"littoral/internal/water"
	"math"
	"slices"
	"strings"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/optimize/convex/lp"
)

// Quantity is something that a recipe can be asked for.
type Quantity struct {
	Key   string // "GH"
	Words string // "total hardness"
	Unit  string // "°dGH"
	scale float64
	of    func(water.Amount) float64 // its value in a water that holds the amount in a m³; linear
}

// Quantities returns what can be wanted, in the order of the card. The ratio of calcium to magnesium is wanted by Want.Ratio.
func Quantities() []Quantity {
	return []Quantity{
		{"GH", "total hardness", "°dGH", 1, func(a water.Amount) float64 { return (a.Ca/water.MolCa + a.Mg/water.MolMg) / water.MmolPerDH }},
		{"KH", "carbonate hardness", "°dKH", 1, func(a water.Amount) float64 { return a.Alk / water.MeqPerDH }},
		{"Ca", "calcium", "mg/L", 7, func(a water.Amount) float64 { return a.Ca }},
		{"Mg", "magnesium", "mg/L", 4, func(a water.Amount) float64 { return a.Mg }},
		{"K", "potassium", "mg/L", 5, func(a water.Amount) float64 { return a.K }},
		{"Na", "sodium", "mg/L", 10, func(a water.Amount) float64 { return a.Na }},
		{"NO3", "nitrate", "mg/L", 5, func(a water.Amount) float64 { return a.NO3N * water.NO3PerN }},
		{"PO4", "phosphate", "mg/L", 0.5, func(a water.Amount) float64 { return a.PO4P * water.PO4PerP }},
		{"Cl", "chloride", "mg/L", 10, func(a water.Amount) float64 { return a.Cl }},
		{"SO4", "sulphate", "mg/L", 10, func(a water.Amount) float64 { return a.SO4 }},
	}
}

func quantity(key string) (Quantity, bool) {
	for _, q := range Quantities() {
		if strings.EqualFold(q.Key, key) {
			return q, true
		}
	}
	return Quantity{}, false
}

// Want is a wish: a quantity, or the ratio of calcium to magnesium by moles, within a range.
type Want struct {
	Key       string  // of a Quantity, or "Ca:Mg"
	Low, High float64 // equal for a single value; High may be +Inf
}

// Ratio is the Key of a wish for calcium to magnesium, mg of one to mg of the other.
const Ratio = "Ca:Mg"

// Stock is a salt that may be used.
type Stock struct {
	Salt  string  // that water.LookSalt knows
	Grams float64 // what is in the cupboard; +Inf when it may be bought
}

// Ask is what a recipe is made for.
type Ask struct {
	Tap    water.Composition
	Volume float64 // L of the batch
	Wants  []Want
	Stocks []Stock
	// LeastPure and MostPure bound the share of pure water, 0 to 1.
	LeastPure, MostPure float64
	Step                float64 // g, the scale's step; 0 leaves grams as they come
}

// Weigh is one line of the weigh-out card.
type Weigh struct {
	Salt  water.Salt
	Grams float64 // rounded to the scale's step
	Exact float64
}

// Met is how a wish came out.
type Met struct {
	Want Want
	Got  float64
	OK   bool
	Why  string // where it is missed: what stands against it
}

// Recipe is a batch of change water.
type Recipe struct {
	Pure    float64 // share of pure water, in whole percent
	Weighs  []Weigh // only what is more than nothing
	Water   water.Composition
	Met     []Met
	Remarks []string
}

// missCost is what missing a wish by its scale costs against using up salts and pure water: far more than any saving.
const missCost = 1e3

// Solve finds the recipe. It fails on an unknown salt or quantity, on a range whose ends are the wrong way round, or a batch of nothing.
func Solve(a Ask) (Recipe, error) {
	if err := a.check(); err != nil {
		return Recipe{}, err
	}
	x, err := a.programme(a.Wants, a.LeastPure, a.MostPure)
	if err != nil {
		return Recipe{}, err
	}
	// Nobody meters water to a tenth of a percent: the share is rounded to the side that misses less, and the salts found again for it.
	exact := 100 * x.pure
	pure, least := 0.0, math.Inf(1)
	for _, percent := range []float64{math.Round(exact), math.Floor(exact), math.Ceil(exact)} {
		share := math.Min(a.MostPure, math.Max(a.LeastPure, percent/100))
		y, err := a.programme(a.Wants, share, share)
		if err != nil {
			return Recipe{}, err
		}
		m := y.missed()
		if m < least-1e-6 {
			x, pure, least = y, share, m
		}
		if m <= tolerated {
			break // the nearest percent serves
		}
	}
	r := Recipe{Pure: pure}
	sum := a.Tap.In(1 - pure).Add(water.PureWater(a.Tap.T).In(pure))
	for i, s := range a.Stocks {
		salt, _ := water.LookSalt(s.Salt)
		exact := x.salts[i] * a.Volume / 1000
		grams := exact
		if a.Step > 0 {
			grams = math.Round(exact/a.Step) * a.Step
			if grams > s.Grams {
				grams = math.Floor(s.Grams/a.Step) * a.Step
			}
		}
		if grams <= 1e-9 {
			if exact > 0.02*a.Step && exact > 1e-6 {
				r.Remarks = append(r.Remarks, fmt.Sprintf("%.2g g of %s are less than the scale's step of %g g; make a stock solution of it, or a larger batch.", exact, salt.Name, a.Step))
			}
			continue
		}
		if a.Step > 0 && math.Abs(grams/exact-1) > 0.1 {
			r.Remarks = append(r.Remarks, fmt.Sprintf("The scale's step of %g g is coarse for %.2g g of %s; weigh a larger batch, or use a stock solution.", a.Step, exact, salt.Name))
		}
		r.Weighs = append(r.Weighs, Weigh{salt, grams, exact})
		sum = sum.Add(water.Dissolve(salt, grams*1000/a.Volume))
	}
	r.Water = water.Of(sum, 1, a.Tap.T)
	for _, w := range a.Wants {
		m := Met{Want: w, Got: got(w, sum)}
		m.OK = within(w, m.Got, a.Step, a.Volume)
		if !m.OK {
			m.Why = a.why(w)
		}
		r.Met = append(r.Met, m)
	}
	return r, nil
}

func (a Ask) check() error {
	var errs []error
	if !(a.Volume > 0) || math.IsInf(a.Volume, 0) {
		errs = append(errs, errors.New("the batch must hold some water, write it like 200 L"))
	}
	if !(a.LeastPure >= 0 && a.MostPure <= 1 && a.LeastPure <= a.MostPure) {
		errs = append(errs, errors.New("the share of pure water must lie within 0 and 100 %"))
	}
	if len(a.Wants) == 0 {
		errs = append(errs, errors.New("nothing is wanted; ask for at least one value, such as GH 6 and KH 3"))
	}
	for _, w := range a.Wants {
		if _, ok := quantity(w.Key); !ok && w.Key != Ratio {
			errs = append(errs, fmt.Errorf("%q cannot be wanted; there are GH, KH, Ca, Mg, K, Na, NO3, PO4, Cl, SO4 and Ca:Mg", w.Key))
		}
		if !(w.Low >= 0 && w.High >= w.Low) || math.IsInf(w.Low, 0) {
			errs = append(errs, fmt.Errorf("%s from %g to %g is no range", w.Key, w.Low, w.High))
		}
	}
	for _, s := range a.Stocks {
		if _, ok := water.LookSalt(s.Salt); !ok {
			errs = append(errs, fmt.Errorf("salt %q is not known, write a formula such as CaSO4·2H2O", s.Salt))
		}
		if !(s.Grams >= 0) {
			errs = append(errs, fmt.Errorf("of %s there cannot be %g g", s.Salt, s.Grams))
		}
	}
	return errors.Join(errs...)
}

// got is what a wish came to in a water that holds the amount in a m³.
func got(w Want, a water.Amount) float64 {
	if w.Key == Ratio {
		if a.Mg == 0 {
			return math.Inf(1)
		}
		return a.Ca / a.Mg
	}
	q, _ := quantity(w.Key)
	return q.of(a)
}

// within tells whether a value meets a wish as well as anybody can tell: within a fiftieth of it, or what rounding to the scale's step moves.
func within(w Want, x, step, volume float64) bool {
	scale := 1.0
	if q, ok := quantity(w.Key); ok {
		scale = q.scale
	}
	size := math.Max(scale, w.Low)
	slack := tolerated*size + math.Min(0.5*step*1000/volume, 0.1*size) // a coarse scale excuses a tenth, no more
	if w.Key == Ratio {
		slack = 0.05 * w.Low
	}
	return x >= w.Low-slack && x <= w.High+slack
}

// mostSalt bounds each salt, mg/L: five times what any planted tank is given, so that the programme is closed.
const mostSalt = 2000

type solution struct {
	pure  float64
	salts []float64 // mg/L
	miss  []float64 // of each wish, in its scale
}

// tolerated is the miss, in a wish's scale, that nobody can tell from a hit.
const tolerated = 0.02

// missed is the sum of all misses, each in its wish's scale.
func (s solution) missed() float64 {
	var sum float64
	for _, m := range s.miss {
		sum += m
	}
	return sum
}

// programme solves the linear programme for some wishes, with the share of pure water between two bounds. All rows are equalities over
// variables of zero or more: share of pure water above its least, its room to the most, salts, room to what is in the cupboard, and for each wish what it
// is short, over, above its low and below its high end.
func (a Ask) programme(wants []Want, least, most float64) (solution, error) {
	tap, pure := a.Tap.In(1), water.PureWater(a.Tap.T).In(1)
	units := make([]water.Amount, len(a.Stocks))
	for i, s := range a.Stocks {
		salt, _ := water.LookSalt(s.Salt)
		units[i] = water.Dissolve(salt, 1) // 1 mg/L is 1 g in a m³
	}
	var cost []float64
	column := func(c float64) int { cost = append(cost, c); return len(cost) - 1 }
	type cell struct {
		row, column int
		value       float64
	}
	var cells []cell
	var right []float64
	// basic holds for each row the column that satisfies it alone: with these the simplex method has a start, and cannot take the programme for unsolvable.
	var basic []int
	row := func(b float64) int {
		right, basic = append(right, b), append(basic, -1)
		return len(right) - 1
	}
	set := func(r, c int, v float64) { cells = append(cells, cell{r, c, v}) }

	extra := column(0.5) // pure water costs a little: it is slow to make and wastes some
	upTo := func(c int, limit float64) {
		r, room := row(limit), column(0)
		set(r, c, 1)
		set(r, room, 1)
		basic[r] = room
	}
	upTo(extra, most-least)
	salts := make([]int, len(a.Stocks))
	for i, s := range a.Stocks {
		salts[i] = column(0.01)
		upTo(salts[i], math.Min(mostSalt, s.Grams*1000/a.Volume))
	}
	type missed struct{ short, over int }
	misses := make([]missed, len(wants))
	for j, w := range wants {
		misses[j] = missed{-1, -1}
		q, _ := quantity(w.Key)
		scale := q.scale
		value := q.of
		ends := []struct {
			bound float64
			low   bool
		}{{w.Low, true}, {w.High, false}}
		for _, end := range ends {
			if math.IsInf(end.bound, 0) || end.low && end.bound == 0 {
				continue
			}
			bound := end.bound
			if w.Key == Ratio {
				ratio := bound
				value = func(x water.Amount) float64 { return x.Ca - ratio*x.Mg }
				bound, scale = 0, 7
			}
			atLeast := value(tap)*(1-least) + value(pure)*least
			// Rows are written in units of the wish's scale, so that the programme is well conditioned.
			r := row((bound - atLeast) / scale)
			set(r, extra, (value(pure)-value(tap))/scale)
			for i := range units {
				set(r, salts[i], value(units[i])/scale)
			}
			miss, room := column(missCost), column(0)
			if basic[r] = room; end.low == (right[r] >= 0) {
				basic[r] = miss
			}
			if end.low {
				misses[j].short = miss
				set(r, miss, 1)
				set(r, room, -1)
			} else {
				misses[j].over = miss
				set(r, miss, -1)
				set(r, room, 1)
			}
		}
	}
	m := mat.NewDense(len(right), len(cost), nil)
	for _, c := range cells {
		m.Set(c.row, c.column, m.At(c.row, c.column)+c.value)
	}
	// Rows with a negative right side are turned round, so that the start holds.
	for i, b := range right {
		if b < 0 {
			right[i] = -b
			for k := range cost {
				m.Set(i, k, -m.At(i, k))
			}
		}
	}
	x, err := solved(cost, m, right, basic)
	if err != nil {
		return solution{}, fmt.Errorf("no recipe could be found: %w", err)
	}
	s := solution{pure: least + x[extra], salts: make([]float64, len(salts)), miss: make([]float64, len(wants))}
	for i, k := range salts {
		s.salts[i] = x[k]
	}
	for j, k := range misses {
		if k.short >= 0 {
			s.miss[j] += x[k.short]
		}
		if k.over >= 0 {
			s.miss[j] += x[k.over]
		}
	}
	return s, nil
}

// apart are by how much right sides are moved apart, in units of a wish's scale, when rows meet in one point; all far below what anybody can tell.
var apart = [...]float64{0, 1e-9, 1e-8, 1e-7, 1e-6, 1e-5}

// solved runs the simplex method. Where several bounds meet in one corner it may come upon rows that hang together and give up; the corner is then
// pulled apart a little, each row by another amount.
func solved(cost []float64, m mat.Matrix, right []float64, basic []int) ([]float64, error) {
	var err error
	moved := make([]float64, len(right))
	for _, step := range apart {
		for i, b := range right {
			moved[i] = b + step*(1+math.Mod(float64(i)*math.Phi, 1))
		}
		var x []float64
		if _, x, err = lp.Simplex(cost, m, moved, 1e-10, slices.Clone(basic)); err == nil {
			return x, nil
		}
	}
	return nil, err
}

// met tells whether a wish can be met beside others.
func (a Ask) met(w Want, others []Want) bool {
	all := append([]Want{w}, others...)
	s, err := a.programme(all, a.LeastPure, a.MostPure)
	if err != nil {
		return false
	}
	for _, miss := range s.miss {
		if miss > tolerated {
			return false
		}
	}
	return true
}

// why says in a sentence what stands against a missed wish.
func (a Ask) why(w Want) string {
	name := w.Key
	if !a.met(w, nil) {
		lean := a.Tap.In(1 - a.MostPure).Add(water.PureWater(a.Tap.T).In(a.MostPure))
		if x := got(w, lean); x > w.High {
			return fmt.Sprintf("Even with %.0f %% of pure water the tap brings more %s than that.", 100*a.MostPure, name)
		}
		bring := a.bringers(w)
		if len(bring) == 0 {
			return fmt.Sprintf("None of the allowed salts brings %s.", name)
		}
		return fmt.Sprintf("There is not enough of %s.", strings.Join(bring, " and "))
	}
	var against []string
	for _, o := range a.Wants {
		if o == w {
			continue
		}
		if !a.met(w, []Want{o}) {
			against = append(against, o.Key)
		}
	}
	switch {
	case len(against) > 0:
		return fmt.Sprintf("It stands against %s: with the allowed salts, %s", strings.Join(against, " and "), a.companions(w))
	default:
		return "It could be met alone, but not with all the other wishes at once: " + a.companions(w)
	}
}

// bringers names the allowed salts that bring what is wanted.
func (a Ask) bringers(w Want) []string {
	var names []string
	for _, s := range a.Stocks {
		salt, _ := water.LookSalt(s.Salt)
		d := water.Dissolve(salt, 1)
		if w.Key == Ratio && (d.Ca > 0 || d.Mg > 0) || w.Key != Ratio && got(w, d) > 0 {
			names = append(names, salt.Name)
		}
	}
	return names
}

// companions says which ions come along with a wish, since salts carry no net charge.
func (a Ask) companions(w Want) string {
	along := map[string]bool{}
	bring := a.bringers(w)
	for _, name := range bring {
		salt, _ := water.LookSalt(name)
		d := water.Dissolve(salt, 1)
		for _, q := range Quantities() {
			if q.Key != w.Key && q.Key != "GH" && q.of(d) > 0 && !(w.Key == "GH" && (q.Key == "Ca" || q.Key == "Mg")) {
				along[q.Key] = true
			}
		}
	}
	if len(bring) == 0 || len(along) == 0 {
		return "charges must balance, so each ion brings another along."
	}
	var names []string
	for k := range along {
		names = append(names, k)
	}
	slices.Sort(names)
	return fmt.Sprintf("%s comes with %s, since charges must balance.", w.Key, strings.Join(names, ", "))
}
