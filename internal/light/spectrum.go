package light

import (
	"littoral/internal/plan"
	"math"
)

// Band is a third of the light that plants use.
type Band int

// The bands: 400 to 500, 500 to 600 and 600 to 700 nm.
const (
	Blue Band = iota
	Green
	Red
	Bands
)

// String names a band.
func (b Band) String() string { return [...]string{"blue", "green", "red"}[min(max(b, Blue), Red)] }

// purely is what pure water takes of each band, 1/m: means over Pope and Fry 1997 (Applied Optics 36: 8710), table 3, every 10 nm.
var purely = [Bands]float64{0.0091, 0.0698, 0.3736}

// colourBy is what dissolved colour takes of each band, over its mean of all three: e^(−0.014 (λ − 440 nm)) (Bricaud, Morel and Prieur 1981, from memory).
var colourBy = [Bands]float64{2.294, 0.566, 0.140}

// shares are the shares of photons by band of what a channel's emitters give: white as a phosphor LED of about 6500 K (from memory of CIE illuminant LED-B5), blue of 450 nm, green of 525 nm and
// red of 660 nm with half widths of 20 to 35 nm (common practice, no source).
var shares = map[string][Bands]float64{
	"white": {0.26, 0.42, 0.32},
	"blue":  {1, 0, 0},
	"green": {0.05, 0.95, 0},
	"red":   {0, 0, 1},
}

// Spectrum is the shares of photons by band; they sum to 1.
type Spectrum [Bands]float64

// SpectrumOf is a lamp's spectrum at full power: that of its channels, or of white light where it has none.
func SpectrumOf(l *plan.Lamp) Spectrum {
	var s Spectrum
	sum := 0.0
	for _, c := range l.Channels {
		for b, x := range shares[c.Colour] {
			s[b] += float64(c.Share) * x
			sum += float64(c.Share) * x
		}
	}
	if !(sum > 0) {
		return shares["white"]
	}
	for b := range s {
		s[b] /= sum
	}
	return s
}

// KdOf is the extinction of tank water for one band, 1/m along the path, of what Kd is for all: colour as there, and suspended matter (mg/L) that takes all
// bands alike.
func KdOf(b Band, colour, suspended float64) float64 {
	return purely[b] + colourBy[b]*max(colour, 0) + ExtinctionPerMgL*max(suspended, 0)
}

// KdMixed is the one extinction that takes as much of the light of a spectrum over a depth (m, greater than 0) as its bands lose one by one, 1/m.
func KdMixed(s Spectrum, colour, suspended, depth float64) float64 {
	left := 0.0
	for b, share := range s {
		left += share * math.Exp(-KdOf(Band(b), colour, suspended)*depth)
	}
	if !(left > 0 && depth > 0) {
		return Kd(colour, suspended)
	}
	return -math.Log(left) / depth
}

// Channelled says that a plan's lamps state channels, so that their light is reckoned by band.
func Channelled(p *plan.Plan) bool {
	for i := range p.Lamps {
		if len(p.Lamps[i].Channels) > 0 {
			return true
		}
	}
	return false
}

// SpectrumOn is the spectrum of all lamps together under a light day's channels; nil is full power.
func SpectrumOn(p *plan.Plan, day *plan.LightDay) Spectrum {
	var s Spectrum
	sum := 0.0
	for i := range p.Lamps {
		l := &p.Lamps[i]
		flux := plan.Weight(l)
		if len(l.Channels) == 0 {
			for b, x := range shares["white"] {
				s[b] += flux * x
			}
			sum += flux
			continue
		}
		for _, c := range l.Channels {
			now := flux * float64(c.Share) * day.Channel(c.Name)
			for b, x := range shares[c.Colour] {
				s[b] += now * x
			}
			sum += now
		}
	}
	if !(sum > 0) {
		return shares["white"]
	}
	for b := range s {
		s[b] /= sum
	}
	return s
}
