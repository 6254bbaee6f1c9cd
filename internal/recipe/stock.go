package recipe

import (
	"errors"
	"fmt"
	"littoral/internal/water"
	"math"
	"slices"
)

// Portion is what one dose brings of a salt.
type Portion struct {
	Salt  string  // that water.LookSalt knows
	Grams float64 // each dose
}

// Bottle is one stock solution.
type Bottle struct {
	Letter string // A, B, …
	Lines  []BottleLine
	Full   float64 // share of what the coldest day lets dissolve, salts counted side by side
}

// BottleLine is a salt in a bottle.
type BottleLine struct {
	Salt  water.Salt
	Grams float64 // in the whole bottle
}

// Plan is a set of bottles that keeps doses.
type Plan struct {
	Bottles []Bottle
	DoseML  float64 // of each bottle, each time
	Remarks []string
}

// solubility of a salt as named, grams per litre of solution at 10, 20 and 30 °C: CRC Handbook of Chemistry and Physics, aqueous solubility (from
// memory; turned from grams of the dry salt per 100 g of water). Chelated iron as its EDTA salt, in grams of iron.
var solubility = map[string][3]float64{
	"CaSO4·2H2O":    {2.4, 2.5, 2.6},
	"CaCl2":         {450, 520, 600},
	"CaCl2·2H2O":    {700, 800, 950},
	"Ca(NO3)2·4H2O": {900, 1000, 1100},
	"MgSO4·7H2O":    {520, 620, 710},
	"MgCl2·6H2O":    {850, 880, 910},
	"Mg(NO3)2·6H2O": {850, 900, 950},
	"NaHCO3":        {78, 92, 105},
	"KHCO3":         {250, 290, 330},
	"K2CO3":         {780, 800, 820},
	"NaCl":          {315, 317, 318},
	"KNO3":          {185, 270, 360},
	"KH2PO4":        {160, 195, 235},
	"K2HPO4":        {800, 900, 1000},
	"K2SO4":         {88, 105, 122},
	"KCl":           {275, 300, 320},
	"NH4NO3":        {750, 850, 950},
	"(NH4)2SO4":     {510, 530, 545},
	"NH4Cl":         {270, 300, 325},
	"CO(NH2)2":      {550, 610, 670},
	"iron":          {8, 10, 13},
	"FeSO4·7H2O":    {350, 430, 520},
	"MnSO4·H2O":     {560, 580, 590},
	"ZnSO4·7H2O":    {720, 780, 830},
	"CuSO4·5H2O":    {250, 290, 340},
	"H3BO3":         {35, 47, 63},
	"Na2MoO4·2H2O":  {560, 570, 580},
}

// Solubility returns the grams of a salt that a litre of its solution holds at t °C, held to 10 to 30; 0 when it is not known.
func Solubility(salt water.Salt, t float64) float64 {
	s, ok := solubility[salt.Name]
	if !ok {
		return 0
	}
	t = math.Min(30, math.Max(10, t))
	if t < 20 {
		return s[0] + (s[1]-s[0])*(t-10)/10
	}
	return s[1] + (s[2]-s[1])*(t-20)/10
}

// clash tells why two salts must not stand in one bottle; empty when they may. Common practice, no source: what falls out is calcium phosphate,
// gypsum, carbonates of calcium, magnesium and metals, and iron phosphate.
func clash(a, b water.Salt) string {
	x, y := water.Dissolve(a, 1), water.Dissolve(b, 1)
	pair := func(p func(water.Amount) bool, q func(water.Amount) bool) bool { return p(x) && q(y) || p(y) && q(x) }
	ca := func(m water.Amount) bool { return m.Ca > 0 }
	mg := func(m water.Amount) bool { return m.Mg > 0 }
	po4 := func(m water.Amount) bool { return m.PO4P > 0 }
	so4 := func(m water.Amount) bool { return m.SO4 > 0 }
	metal := func(m water.Amount) bool {
		return m.Fe > 0 || m.Traces.Mn > 0 || m.Traces.Zn > 0 || m.Traces.Cu > 0
	}
	carbonate := func(m water.Amount) bool { return m.Alk > 0 && m.DIC > 0 && m.TAN == 0 }
	switch {
	case pair(ca, po4):
		return "calcium and phosphate fall out"
	case pair(ca, so4) && a.Name != b.Name:
		return "calcium and sulphate make gypsum"
	case pair(metal, po4):
		return "iron and trace metals fall out with phosphate"
	case pair(carbonate, ca), pair(carbonate, mg), pair(carbonate, metal):
		return "carbonate falls out with calcium, magnesium and metals"
	}
	return ""
}

// mostFull is how full of what dissolves a bottle may be, so that nothing settles in a cold cupboard (common practice, no source).
const mostFull = 0.8

// Stocks parts portions into bottles of so many millilitres that last so many doses, so that what would fall out stands apart and all dissolves at t °C, the
// coldest the bottles will stand. It fails on unknown salts, on amounts of nothing, or where even a bottle for itself cannot hold a salt.
func Stocks(portions []Portion, bottleML, doses, t float64) (Plan, error) {
	var errs []error
	if !(bottleML > 0) || math.IsInf(bottleML, 0) {
		errs = append(errs, errors.New("the bottle must hold something, write it like 500 mL"))
	}
	if !(doses >= 1) || math.IsInf(doses, 0) {
		errs = append(errs, errors.New("the bottle must last for at least one dose"))
	}
	if len(portions) == 0 {
		errs = append(errs, errors.New("no salts are given; write them as KNO3=6"))
	}
	var salts []BottleLine
	for _, p := range portions {
		salt, ok := water.LookSalt(p.Salt)
		switch {
		case !ok:
			errs = append(errs, fmt.Errorf("salt %q is not known, write a formula such as KNO3", p.Salt))
		case !(p.Grams > 0) || p.Grams > 1e5:
			errs = append(errs, fmt.Errorf("the dose of %s must be more than 0 g, it is %g", salt.Name, p.Grams))
		case slices.ContainsFunc(salts, func(l BottleLine) bool { return l.Salt.Name == salt.Name }):
			errs = append(errs, fmt.Errorf("%s is there twice; add the two up", salt.Name))
		default:
			salts = append(salts, BottleLine{salt, p.Grams * doses})
		}
	}
	if err := errors.Join(errs...); err != nil {
		return Plan{}, err
	}
	plan := Plan{DoseML: bottleML / doses}
	fullness := func(l BottleLine) float64 {
		s := Solubility(l.Salt, t)
		if s == 0 {
			return 0
		}
		return l.Grams / (s * bottleML / 1000)
	}
	for _, l := range salts {
		full := fullness(l)
		if full == 0 {
			errs = append(errs, fmt.Errorf("%s does not dissolve to speak of; dose it dry", l.Salt.Name))
			continue
		}
		if full > mostFull {
			errs = append(errs, fmt.Errorf("%.0f g of %s do not dissolve in %.0f mL at %.0f °C, which holds %.0f g safely; take a larger bottle or fewer doses to a bottle (%d at most)",
				l.Grams, l.Salt.Name, bottleML, t, mostFull*Solubility(l.Salt, t)*bottleML/1000, int(doses*mostFull/full)))
			continue
		}
		placed := false
		for i := range plan.Bottles {
			b := &plan.Bottles[i]
			apart := ""
			for _, other := range b.Lines {
				if why := clash(l.Salt, other.Salt); why != "" {
					apart = fmt.Sprintf("%s stands apart from %s: %s.", l.Salt.Name, other.Salt.Name, why)
					break
				}
			}
			if apart == "" && b.Full+full <= mostFull {
				b.Lines, b.Full, placed = append(b.Lines, l), b.Full+full, true
				break
			}
			if apart != "" && !slices.Contains(plan.Remarks, apart) {
				plan.Remarks = append(plan.Remarks, apart)
			}
		}
		if !placed {
			plan.Bottles = append(plan.Bottles, Bottle{Letter: string(rune('A' + len(plan.Bottles)%26)), Lines: []BottleLine{l}, Full: full})
		}
	}
	if err := errors.Join(errs...); err != nil {
		return Plan{}, err
	}
	return plan, nil
}
