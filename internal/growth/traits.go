package growth

import (
	"littoral/internal/catalog"
	"math"
	"strings"
)

// carbonPerGram is what plant matter holds, mmol C per g dry mass: 38 % carbon (between 33.6 %, Duarte 1990, and 40 %, PCLake).
const carbonPerGram = 0.38 / 12.011 * 1000

// warm25 is q10(2, 25): respiration at 25 °C over that at 20 °C.
const warm25 = math.Sqrt2

// quantum bounds the carbon that leaves can fix for the light they absorb, mol C per mol photons: no less than eight photons for
// each carbon (from memory of Kirk 1994). It binds in deep shade only.
const quantum = 0.125

// CO2 at which the largest rate holds, and the compensation point, µmol/L.
const (
	refCO2    = 568.0 // 25 mg/L
	co2Floor  = 4.0   // Sand-Jensen, stream macrophytes: 2.5–6.0
	classHalf = 100.0 // half-saturation that the water uses for all plants that take CO2 only
)

// Uptake kinetics, PCLake parameter list: Vm in g/g/day, half-saturation = Vm / affinity in mg/L. Potassium and iron are from
// memory of land and duckweed kinetics and matter little while quotas are full.
const (
	vmN, halfN   = 0.1, 0.5
	vmP, halfP   = 0.01, 0.05
	vmK, halfK   = 0.1, 0.5
	vmFe, halfFe = 0.0005, 0.02
)

// Iron bounds, g/g dry: critical 60 ppm (from memory of Gerloff 1975), usual 100–500 ppm (common practice, no source).
const feMin, feMax = 30e-6, 300e-6

// traits are a species' parameters in the units of the model, worked out once.
type traits struct {
	sp   *catalog.Species
	form catalog.Form

	daylength float64 // Params.Daylength

	most     float64 // g dry fixed per g shoot and day at most: light, CO2 and nutrients saturating, 25 °C
	ik       float64
	resp     float64 // 1/day at 20 °C
	rgr      float64 // 1/day
	halfCO2  float64 // µmol/L
	class    int     // 0 takes CO2 only, 1 also bicarbonate, airClass takes it from the air
	qn, qp   [2]float64
	qk       [2]float64
	bendN    float64 // of the sediment share, see bend
	bendP    float64
	rootK    float64
	rootFe   float64
	roots    float64 // share of dry mass
	sla, ext float64
	dryFresh float64
	life     float64
	pot      float64 // g, shoot of a pot as bought
	full     float64 // g, shoot of one grown plant
	birth    float64 // g, shoot of a daughter

	hMin, hMax float64 // m
	sMin, sMax float64
	stems      float64 // stems in a pot
	perLength  float64 // g shoot per m of stem
	elong      float64 // m/day, most
	lateral    float64 // m/day
	leavesTip  float64 // new leaves per growing tip and day when it grows well

	meltShare        float64 // share of the nursery's leaves that dies after planting
	meltFrom, meltTo float64 // days after planting
	adapt            float64 // days in which nursery leaves that stay become as good as submersed ones

	begets    bool       // makes daughters
	reach     [2]float64 // m, how far from the parent a daughter roots
	every     float64    // days between daughters, at least
	territory float64    // m², ground of one pot of a carpet

	active, rest float64  // days of growth until a bulb rests, days of rest; 0 for plants that do not rest
	plantlets    plantlet // where it makes plantlets
	mats         bool     // creeps in a mat that can lift
	reddens      bool

	// What today's water allows the species, worked out once a day (see Demand).
	today        int
	warm, water  float64
	leafN, leafP float64 // share of the room in a quota that leaves can fill
}

const airClass = 2

func or(x, def float64) float64 {
	if x > 0 && !math.IsInf(x, 0) {
		return x
	}
	return def
}

func newTraits(sp *catalog.Species, ph *catalog.Physiology, q *Params) *traits {
	t := &traits{
		sp: sp, form: sp.Form, daylength: q.Daylength,
		ik:    or(ph.Ik.Value, 60),
		resp:  or(ph.Respiration.Value, 0.01),
		rgr:   or(ph.RGRMax.Value, 0.02),
		qn:    [2]float64{or(ph.NMin.Value, 0.010), or(ph.NMax.Value, 0.035)},
		qp:    [2]float64{or(ph.PMin.Value, 0.0008), or(ph.PMax.Value, 0.0035)},
		bendN: bend(clamp(ph.RootN.Value, 0, 0.999)), bendP: bend(clamp(ph.RootP.Value, 0, 0.999)), rootK: clamp(ph.RootK.Value, 0, 1),
		roots: clamp(or(ph.RootShare.Value, 0.1), 0.01, 0.7),
		sla:   or(ph.SLA.Value, 0.04), ext: or(ph.Extinction.Value, 0.6),
		dryFresh: or(ph.DryFresh.Value, 0.08), life: or(ph.LeafLife.Value, 60),
		pot: or(ph.PotShoot.Value, 0.5), full: or(ph.FullShoot.Value, 3),
		hMin: or(sp.HeightCM.Min, 3) / 100, hMax: or(sp.HeightCM.Max, 10) / 100,
		sMin: or(sp.SpreadCM.Min, 3) / 100, sMax: or(sp.SpreadCM.Max, 10) / 100,
	}
	t.full = max(t.full, 1.05*t.pot)
	t.rootFe = clamp(ph.RootN.Value, 0, 1) // iron is taken where nitrogen is: .8 in rooted rosettes (common practice, no source)
	k := or(ph.K.Value, 0.03)
	// Potassium: Droop between 15 % and 110 % of the usual content puts a half at Gerloff's critical 0.8 % of dry mass when the
	// usual content is 3 % (from memory of Gerloff 1975).
	t.qk = [2]float64{0.15 * k, 1.1 * k}
	if t.qn[1] <= t.qn[0] {
		t.qn[1] = 3 * t.qn[0]
	}
	if t.qp[1] <= t.qp[0] {
		t.qp[1] = 4 * t.qp[0]
	}
	t.halfCO2 = or(ph.KCO2.Value, classHalf)
	fc := (refCO2 - co2Floor) / (refCO2 - co2Floor + t.halfCO2)
	switch {
	case t.form == catalog.Floating:
		t.class, fc = airClass, 1
	case sp.Bicarbonate:
		t.class = 1
	}
	// The largest rate is net of respiration, of a whole plant. That of floating plants was set by the duckweed test (OECD 221),
	// which is run at 24 °C; so fast a grower's quotas lag a little behind their ceilings.
	t.most = (t.rgr + t.resp*warm25) / ((1 - t.roots) * fc)
	if t.form == catalog.Floating {
		t.most = (t.rgr + t.resp*q10(2, 24)) / ((1 - t.roots) * warmth(24, 10, 30) * 0.94)
	}

	slow := t.rgr
	t.elong = q.Elongation * or(sp.ElongCMWeek.Max, 300*slow) / 100 / 7
	t.lateral = or(sp.LateralCMWk.Mid(), 0.7) / 100 / 7
	// A pot holds 5–8 stems of fine plants, 4–5 of large-leaved ones (common practice, no source).
	t.stems = 6
	if sp.SpreadCM.Mid() > 10 {
		t.stems = 4
	}
	t.perLength = t.full / (t.stems * 0.5 * (t.hMin + t.hMax)) // a grown pot of middling height
	t.leavesTip = or(sp.LeavesWeek.Max, 70*t.rgr) / 7
	// Loss of the nursery's leaves by class, and when: crypts melt from day 3 to 14, others change over two to six weeks
	// (common practice, no source; a share of 0.15, 0.4 or 0.75 for low, medium and high is from memory of plant pages).
	t.meltShare = map[string]float64{"low": 0.12, "medium": 0.35, "high": 0.75}[sp.Melt]
	t.meltShare = min(q.Melt*t.meltShare, 1)
	t.meltFrom, t.meltTo, t.adapt = 7, 35, 20
	if strings.HasPrefix(sp.Name, "Cryptocoryne") || sp.Melt == "high" {
		t.meltFrom, t.meltTo, t.adapt = 3, 14, 14
	}

	t.active, t.rest = ph.ActiveDays.Value, ph.RestDays.Value
	t.reddens = sp.Reddens()
	// Creeping ground covers that are sheared grow into mats; tufts and runner rosettes stay rooted (common practice, no source).
	t.mats = t.form == catalog.Carpet && sp.Trim == "shear" && t.hMin <= 0.03
	switch {
	case !strings.Contains(sp.Propagation, "plantlets"):
	case strings.Contains(sp.Propagation, "leaf plantlets"):
		t.plantlets = onLeaves
	case t.form == catalog.Rosette:
		t.plantlets = onStalks
	}

	density := or(sp.PotsM2.Mid(), 50)
	t.territory = 1 / density
	// Division is the gardener's; runners, offsets and side shoots root by themselves, and plantlets where they reach free ground (peg).
	spreads := false
	for _, w := range []string{"runner", "offset", "side shoot", "daughter"} {
		spreads = spreads || strings.Contains(sp.Propagation, w)
	}
	switch t.form {
	case catalog.Carpet:
		t.begets, t.every = true, clamp(0.025/t.lateral, 4, 21)
		t.reach = [2]float64{0.02, 0.05}
		t.birth = 0.5 * daughterPatch / t.sla
	case catalog.Runner:
		t.begets, t.every, t.birth = true, clamp(0.25/t.rgr, 7, 21), 0.06*t.full
		t.reach = [2]float64{0.05, 0.12}
	case catalog.Rosette, catalog.Lily, catalog.Bulb:
		t.begets, t.every, t.birth = spreads && t.form == catalog.Rosette, clamp(1.8/t.rgr, 42, 180), 0.08*t.full
		t.reach = [2]float64{max(0.03, 0.3*t.sMax), max(0.06, 0.6*t.sMax)}
	case catalog.Rhizome, catalog.Moss:
		t.begets, t.every, t.birth = true, clamp(1.8/t.rgr, 42, 240), 0.3*t.full
		t.reach = [2]float64{0.3 * t.sMax, 1.0 * t.sMax}
	case catalog.Floating:
		t.begets, t.every, t.birth = true, 2, 0.5*t.full
		t.reach = [2]float64{t.sMax, 0.3}
	}
	return t
}

// daughterPatch is the ground of a new patch that a carpet's runner makes, m² (5 cm square; common practice, no source).
const daughterPatch = 25e-4

func clamp(x, lo, hi float64) float64 {
	if !(x > lo) { // also NaN
		return lo
	}
	return min(x, hi)
}
