package growth

import "math"

// michaelis is the light response I/(I+K): the share of light-saturated photosynthesis at PPFD i with half-saturation k
// (both µmol m⁻² s⁻¹). Science: Michaelis–Menten form, chosen because it integrates over a canopy in closed form.
func michaelis(i, k float64) float64 {
	if i <= 0 {
		return 0
	}
	return i / (i + k)
}

// canopyMean is the mean of michaelis over a layer of leaves of optical depth tau (extinction × leaf area index) under light i0, of which
// the share past = e^{−τ} comes through:
// (1/τ) ln[(K + I0)/(K + I0·e^{−τ})], the closed form P = (Pm/k) ln[(K+I0)/(K+I0·e^{−kL})] divided by Pm·L.
func canopyMean(i0, tau, past, k float64) float64 {
	if i0 <= 0 {
		return 0
	}
	if tau < 1e-3 {
		return michaelis(i0*(1-tau/2), k)
	}
	return math.Log((k+i0)/(k+i0*past)) / tau
}

// onTop turns the mean light in a layer into the light that enters it.
func (l *layer) onTop() float64 {
	if l.tau < 1e-3 {
		return l.ppfd * (1 + l.tau/2)
	}
	return l.ppfd * l.tau / (1 - l.past)
}

// power is x to a power, right to 1e-14 of itself, at half the cost of math.Pow; x > 0.
func power(x, to float64) float64 { return math.Exp(to * math.Log(x)) }

// filled is 1 − e^{−x}, right to 1e-14 of itself; x ≥ 0.
func filled(x float64) float64 {
	if x < 0.02 {
		return -math.Expm1(-x) // the quick way would lose digits
	}
	return 1 - math.Exp(-x)
}

// compensation is the PPFD at which photosynthesis pm·I/(I+K) pays for respiration r (same units as pm); +Inf where it never does.
func compensation(pm, r, k float64) float64 {
	if r >= pm {
		return math.Inf(1)
	}
	return k * r / (pm - r)
}

// q10 is the rate factor of a process that speeds up q-fold for every 10 °C, 1 at 20 °C.
func q10(q, tempC float64) float64 { return math.Pow(q, (tempC-20)/10) }

// warmth is the factor of photosynthesis on temperature, 1 at 25 °C well inside the species' range. It rises 1.6-fold in 10 °C up to 28 °C (common practice:
// growth ×1.5–2 for +10 °C between 18 and 28 °C; Barko & Smart 1981: submersed growth still rises to at least 28 °C) and falls
// gradually outside the species' own range: to a half at 3 °C above its highest and at 5 °C below its lowest.
func warmth(tempC, lo, hi float64) float64 {
	f := math.Pow(1.6, (min(tempC, 28)-25)/10)
	f /= 1 + math.Exp((tempC-(hi+3))/0.7)
	f /= 1 + math.Exp(((lo-5)-tempC)/1.0)
	return f
}

// droop is the growth factor of an internal quota q between its floor and its ceiling, in the form of PCLake (Janse 2005):
// (1 − qmin/q)·qmax/(qmax − qmin), 0 at the floor and 1 at the ceiling.
func droop(q, qmin, qmax float64) float64 {
	if q <= qmin {
		return 0
	}
	if q >= qmax {
		return 1
	}
	return (1 - qmin/q) * qmax / (qmax - qmin)
}

// sedimentShare is the share of nutrient that rooted plants take from the bed, by the ratio of dissolved concentrations in pore
// water and open water: .998/(1 + 2.66·r^−.83) (PCLake documentation, macrophyte module, after Carignan 1982).
func sedimentShare(ratio float64) float64 {
	if ratio <= 0 {
		return 0
	}
	return 0.998 / (1 + 2.66*power(ratio, -0.83))
}

// bend turns sedimentShare towards a species: rich is the share that its roots take where both pore water and open water are rich.
// The published curve is shifted in odds so that it passes through rich at a ratio of 10 (a planted bed in use holds about ten
// times the open water's concentration; common practice, no source). 0 for plants without roots in the bed.
func bend(rich float64) float64 {
	home := sedimentShare(10)
	return rich / (1 - rich) / (home / (1 - home))
}

// rootShareOfUptake is the share that roots of a species with the given bend take, by the concentrations in pore and open water.
func rootShareOfUptake(bend, pore, water float64) float64 {
	if bend <= 0 || pore <= 0 {
		return 0
	}
	if water <= 0 {
		return 1
	}
	here := sedimentShare(pore / water)
	return 1 / (1 + (1-here)/(here*bend))
}

// uptake is the share of the room left in a quota that is filled in a day from water of concentration c (mg/L), with
// V = C·Vm'/(Vm'/aff + C), Vm' = Vm (qmax − q)/(qmax − qmin) (PCLake, luxury uptake), solved over the day for a steady c.
// vm is in g/g/day, span = qmax − qmin in g/g, half = Vm/aff in mg/L.
func uptake(c, vm, span, half float64) float64 {
	if c <= 0 || span <= 0 {
		return 0
	}
	return filled(vm / span * c / (half + c))
}

// thinnest is the number of plants of mean mass w (g dry) that a square metre carries at most, (5950/w)^{2/3}: self-thinning as in
// Charisma (van Nes et al. 2003). The exponent is contested.
func thinnest(w float64) float64 { return power(5950/w, 2.0/3) }

// turnover is the daily loss of leaves that live for life days in a plant that grows at r per day: of an age-ordered population
// in steady growth the share r/(e^{r·life} − 1) reaches the end of its life each day; 1/life in a plant that does not grow.
func turnover(r, life float64) float64 {
	x := r * life
	if x < 1e-4 {
		return 1 / life
	}
	return r / math.Expm1(x)
}

// mix64 is the finaliser of splitmix64 (Steele, Lea & Flood 2014).
func mix64(x uint64) uint64 {
	x += 0x9e3779b97f4a7c15
	x = (x ^ x>>30) * 0xbf58476d1ce4e5b9
	x = (x ^ x>>27) * 0x94d049bb133111eb
	return x ^ x>>31
}

// draw returns a number in [0, 1) that depends on its keys only, never on the order of calls.
func draw(seed, id uint64, day, salt int) float64 {
	x := mix64(mix64(mix64(seed^id)+uint64(int64(day))) + uint64(int64(salt)))
	return float64(x>>11) / (1 << 53)
}

// keyOf hashes an id (FNV-1a).
func keyOf(id string) uint64 {
	h := uint64(14695981039346656037)
	for i := range len(id) {
		h = (h ^ uint64(id[i])) * 1099511628211
	}
	return h
}
