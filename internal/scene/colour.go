package scene

import (
	"littoral/internal/growth"
	"math"
	"strconv"
	"strings"
)

// tint is a colour in the making, 0 to 1 each, sRGB.
type tint Vec

func hex(s string) tint {
	if len(s) == 7 && s[0] == '#' {
		if v, err := strconv.ParseUint(s[1:], 16, 32); err == nil {
			return tint{float64(v>>16) / 255, float64(v>>8&255) / 255, float64(v&255) / 255}
		}
	}
	return tint{.31, .44, .32}
}

func (c tint) mix(o tint, t float64) tint { return tint(Vec(c).mix(Vec(o), t)) }
func (c tint) mul(s float64) tint         { return tint(Vec(c).mul(s)) }
func (c tint) bytes() [3]uint8 {
	q := func(v float64) uint8 { return uint8(math.Round(255 * clamp(v, 0, 1))) }
	return [3]uint8{q(c[0]), q(c[1]), q(c[2])}
}

// palette are the colours of a plant's leaves.
type palette struct {
	young, grown, old tint
	rib, stem         tint
	under             [3]float32
}

// paint chooses leaf colours from the species' words and colour, and from how the plant does: hungry or shaded leaves are paler or duller.
// How far young leaves lighten and old ones brown is common practice, no source.
func paint(p *growth.PlantState) palette {
	sp := p.Species
	c := hex(sp.ColourHex)
	grey := .3*c[0] + .6*c[1] + .1*c[2]
	c = c.mix(tint{grey, grey, grey * .8}, .22) // the catalogue's colours are of single leaves in white light; in the water they are duller
	words := strings.ToLower(sp.Colour)
	red := c[0] > c[1]*1.15
	if red && sp.Reddens() && p.TopPPFD > 0 { // the catalogue's colour is that of a plant at two thirds of its reddest
		c = c.mix(tint{.42, .55, .24}, .6*(1-smooth(.05, .65, p.Red)))
	}
	if p.Iron > 0 && p.Iron < .6 {
		c = c.mix(tint{.78, .80, .42}, .35*(1-p.Iron/.6))
	}
	q := palette{grown: c, young: c.mix(tint{.70, .82, .36}, .30), old: c.mix(tint{.34, .28, .13}, .35).mul(.88)}
	if red {
		q.young = c.mix(tint{.86, .34, .28}, .35)
		q.old = c.mix(tint{.36, .40, .18}, .5).mul(.9)
	}
	if strings.Contains(words, "new leaves") {
		q.young = c.mix(tint{.60, .26, .18}, .5)
	}
	if strings.Contains(words, "brown") && !red {
		q.young = c.mix(tint{.62, .50, .26}, .4)
	}
	q.rib = c.mix(tint{.80, .86, .52}, .28)
	q.stem = c.mix(tint{.55, .56, .26}, .5)
	if strings.Contains(words, "red stem") || red {
		q.stem = c.mix(tint{.58, .30, .20}, .5)
	}
	q.under = [3]float32{1.08, 1.06, 1.10}
	if strings.Contains(words, "under") && (strings.Contains(words, "red") || strings.Contains(words, "purple")) {
		q.under = [3]float32{1.5, .55, .62}
	}
	return q
}

// ground colours by the words of a material's name (common practice, no source).
func bedColour(name string) (c tint, spread float64) {
	n := strings.ToLower(name)
	has := func(w ...string) bool {
		for _, x := range w {
			if strings.Contains(n, x) {
				return true
			}
		}
		return false
	}
	switch {
	case has("cosmetic", "quartz sand", "white"):
		return tint{.87, .80, .66}, .10
	case has("calcareous", "coral", "shell"):
		return tint{.90, .87, .80}, .10
	case has("gravel"):
		return tint{.68, .60, .48}, .22
	case has("sand"):
		return tint{.84, .76, .60}, .10
	case has("garden", "potting", "peat"):
		return tint{.22, .16, .11}, .20
	case has("laterite", "lava"):
		return tint{.42, .22, .15}, .22
	case has("pumice"):
		return tint{.72, .70, .65}, .15
	case has("baked clay granules", "fired", "pellets"):
		return tint{.58, .36, .23}, .18
	}
	return tint{.34, .26, .19}, .26 // active soil
}

func stoneColour(name string) tint {
	n := strings.ToLower(name)
	for _, c := range []struct {
		word string
		c    tint
	}{
		{"slate", tint{.45, .455, .45}},
		{"basalt", tint{.29, .29, .30}},
		{"lava", tint{.36, .24, .20}},
		{"granite", tint{.60, .57, .54}},
		{"quartzite", tint{.78, .74, .70}},
		{"sandstone", tint{.74, .61, .44}},
		{"petrified", tint{.58, .43, .30}},
		{"limestone", tint{.56, .57, .56}},
		{"clay stone", tint{.62, .48, .34}},
		{"pebbles", tint{.58, .55, .50}},
	} {
		if strings.Contains(n, c.word) {
			return c.c
		}
	}
	return tint{.54, .53, .50}
}

func woodColour(name string) tint {
	n := strings.ToLower(name)
	for _, c := range []struct {
		word string
		c    tint
	}{
		{"branching root", tint{.62, .44, .29}},
		{"root wood", tint{.62, .44, .29}},
		{"bog", tint{.28, .20, .14}},
		{"vine", tint{.56, .43, .31}},
		{"cork", tint{.53, .40, .29}},
	} {
		if strings.Contains(n, c.word) {
			return c.c
		}
	}
	return tint{.43, .30, .195}
}
