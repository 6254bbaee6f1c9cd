package picture

import (
	"fmt"
	"littoral/internal/catalog"
	"littoral/internal/forecast"
	"math"
	"sort"
	"strconv"
	"strings"
)

// rgb is a colour, 0..255 each.
type rgb [3]float64

// hex reads #RRGGBB; anything else gives the leaf green of the plate.
func hex(s string) rgb {
	leaf := rgb{0x4f, 0x6f, 0x52}
	if len(s) != 7 || s[0] != '#' {
		return leaf
	}
	v, err := strconv.ParseUint(s[1:], 16, 32)
	if err != nil {
		return leaf
	}
	return rgb{float64(v >> 16), float64(v >> 8 & 255), float64(v & 255)}
}

func (c rgb) String() string {
	return fmt.Sprintf("#%02x%02x%02x", int(math.Round(c[0])), int(math.Round(c[1])), int(math.Round(c[2])))
}

// mix goes from c to o by share t.
func (c rgb) mix(o rgb, t float64) rgb {
	for i := range c {
		c[i] += (o[i] - c[i]) * t
	}
	return c
}

// light is the relative luminance, 0..1 (sRGB, IEC 61966-2-1).
func (c rgb) light() float64 {
	lin := func(v float64) float64 {
		v /= 255
		if v <= 0.04045 {
			return v / 12.92
		}
		return math.Pow((v+0.055)/1.055, 2.4)
	}
	return 0.2126*lin(c[0]) + 0.7152*lin(c[1]) + 0.0722*lin(c[2])
}

// hazes is in how many steps things fade with distance: 0 at the near glass.
const hazes = 4

// tone is one theme of the plate: paper by day, ink in a dark room.
type tone struct {
	paper, deep, ink, soft, rule     rgb
	leaf, moss, red, wood, woodLight rgb
	stone, stoneShade, sand          rgb
	water, waterLine, warn, warnText rgb
	bed                              rgb
}

var (
	day = tone{
		paper: hex("#F6F1E4"), deep: hex("#EFE7D3"), ink: hex("#22302A"), soft: hex("#55635B"), rule: hex("#CBBFA5"),
		leaf: hex("#4F6F52"), moss: hex("#7C8F57"), red: hex("#9A4F36"), wood: hex("#8A6A4B"), woodLight: hex("#C9A980"),
		stone: hex("#D8D3C6"), stoneShade: hex("#8F8C82"), sand: hex("#F3E6C9"),
		water: hex("#DFE8DF"), waterLine: hex("#5F8B8A"), warn: hex("#B4532A"), warnText: hex("#9A4420"), bed: hex("#B5976F"),
	}
	night = tone{
		paper: hex("#17201C"), deep: hex("#1F2A25"), ink: hex("#F6F1E4"), soft: hex("#B5BFB5"), rule: hex("#4A564D"),
		leaf: hex("#86A889"), moss: hex("#A9BC82"), red: hex("#CC8468"), wood: hex("#A98662"), woodLight: hex("#7A6148"),
		stone: hex("#8C8A82"), stoneShade: hex("#4F514D"), sand: hex("#5A5340"),
		water: hex("#22332F"), waterLine: hex("#86B1AF"), warn: hex("#D97B50"), warnText: hex("#E79A74"), bed: hex("#5C4C38"),
	}
)

// Key numbers the species of a forecast in the order of their names: the numbers on the plan, in the legend and in the charts.
type Key struct {
	Species []*catalog.Species
	number  map[string]int
}

// KeyOf collects the species of every snapshot. Species that stand in the plan but never in the tank are not in it.
func KeyOf(f *forecast.Forecast) *Key {
	seen := map[string]*catalog.Species{}
	for _, s := range f.Snapshots {
		for i := range s.Plants {
			sp := s.Plants[i].Species
			if sp != nil && seen[sp.Name] == nil {
				seen[sp.Name] = sp
			}
		}
	}
	return keyOf(seen)
}

// KeyFor numbers species that stand in no forecast, such as those of a search.
func KeyFor(list ...*catalog.Species) *Key {
	seen := map[string]*catalog.Species{}
	for _, sp := range list {
		seen[sp.Name] = sp
	}
	return keyOf(seen)
}

func keyOf(seen map[string]*catalog.Species) *Key {
	k := &Key{number: map[string]int{}}
	names := make([]string, 0, len(seen))
	for n := range seen {
		names = append(names, n)
	}
	sort.Strings(names)
	for i, n := range names {
		k.Species = append(k.Species, seen[n])
		k.number[n] = i + 1
	}
	return k
}

// Number returns the key number of a species, from 1; 0 when it never stood in the tank.
func (k *Key) Number(name string) int { return k.number[name] }

// class is the colour class of a species.
func (k *Key) class(sp *catalog.Species) string {
	if sp == nil {
		return "s0"
	}
	return "s" + strconv.Itoa(k.number[sp.Name])
}

// Style returns the rules that colour every drawing of the forecast, for paper and, under a screen that asks for dark, for ink.
func Style(k *Key) string {
	var b strings.Builder
	b.WriteString(shapes)
	write := func(t tone) {
		fmt.Fprintf(&b, ":root{--paper:%s;--deep:%s;--ink:%s;--soft:%s;--rule:%s;--leaf:%s;--moss:%s;--red:%s;--wood:%s;--woodl:%s;--stone:%s;--stones:%s;--sand:%s;--water:%s;--waterl:%s;--warn:%s;--warnt:%s}\n",
			t.paper, t.deep, t.ink, t.soft, t.rule, t.leaf, t.moss, t.red, t.wood, t.woodLight, t.stone, t.stoneShade, t.sand, t.water, t.waterLine, t.warn, t.warnText)
		for h := range hazes {
			far := 0.135 * float64(h)
			line := t.ink.mix(t.water, far)
			fmt.Fprintf(&b, ".h%d .bd{fill:%s;stroke:%s}.h%d .sd{fill:%s}.h%d .ol{stroke:%s}", h, t.bed.mix(t.water, far), t.wood.mix(t.water, far+.1), h, t.sand.mix(t.water, far*.6), h, line.mix(t.stone, .2))
			for i, f := range []float64{0, .16, .34, .55} { // facets from lit to shaded
				fmt.Fprintf(&b, ".h%d .q%d{fill:%s;stroke:%s}", h, i, t.stone.mix(t.stoneShade, f).mix(t.water, far*.8), line.mix(t.stone, .35))
				fmt.Fprintf(&b, ".h%d .w%d{fill:%s;stroke:%s}", h, i, t.woodLight.mix(t.wood, f*1.5).mix(t.water, far*.8), t.wood.mix(t.ink, .45).mix(t.water, far))
			}
			for i, sp := range k.Species {
				c := hex(sp.ColourHex)
				if t == night { // leaves stand a little lighter on the dark ground
					c = c.mix(t.ink, .16)
				} else { // pale greens would sink into the pale water
					c = c.mix(rgb{0x3a, 0x55, 0x3a}, clamp((c.light()-.22)*.9, 0, .3))
				}
				edge := c.mix(rgb{0x18, 0x22, 0x1c}, .5)
				fmt.Fprintf(&b, ".h%d.s%d{fill:%s;stroke:%s}", h, i+1, c.mix(t.water, far), edge.mix(t.water, far*1.15))
				if t == night { // dark edges part the leaves, but a stalk must stand out from dark water
					fmt.Fprintf(&b, ".h%d.s%d .th{stroke:%s}", h, i+1, c.mix(t.water, far+.15))
				}
			}
			b.WriteByte('\n')
		}
		for i, sp := range k.Species { // plan symbols and charts: pale fill, strong line
			c := hex(sp.ColourHex)
			if t == night {
				c = c.mix(t.ink, .3)
			} else {
				c = c.mix(t.ink, clamp(c.light()*1.1-.05, 0, .45))
			}
			fmt.Fprintf(&b, ".f%d{fill:%s}.k%d{stroke:%s}", i+1, c.mix(t.paper, .62), i+1, c)
		}
		b.WriteByte('\n')
	}
	write(day)
	b.WriteString("@media screen and (prefers-color-scheme:dark){\n")
	write(night)
	b.WriteString(".t0{fill-opacity:.12}.t1{fill-opacity:.16}.t2{fill-opacity:.2}.t3{fill-opacity:.3}\n")
	b.WriteString("}\n")
	return b.String()
}

// shapes are the rules that both themes share.
const shapes = `.pic{display:block;width:100%;height:auto;font-family:"Source Sans 3",sans-serif;font-variant-numeric:tabular-nums}
.pic path,.pic circle,.pic rect{stroke-linejoin:round;stroke-linecap:round}
.pic text{fill:var(--ink);font-size:13px}.pic .sub{font-size:.72em}
.pic .it{font-family:"Source Serif 4",serif;font-style:italic}.pic .sm{font-size:11.5px}.pic .so{fill:var(--soft)}
.pic .halo{paint-order:stroke;stroke:var(--paper);stroke-width:3.5px}.pic .halos{paint-order:stroke;stroke:var(--water);stroke-width:3px}
.pp{fill:var(--paper)}.dp{fill:var(--deep)}.wt{fill:var(--water)}.no{fill:none}
.ik{fill:none;stroke:var(--ink);stroke-width:1.1}.ik2{fill:none;stroke:var(--ink);stroke-width:1.8}.ikt{fill:none;stroke:var(--ink);stroke-width:.6}
.ru{fill:none;stroke:var(--rule);stroke-width:.8}.wl{fill:none;stroke:var(--waterl);stroke-width:1.2}
.ct{fill:none;stroke:var(--woodl);stroke-width:.7}.ct5{fill:none;stroke:var(--wood);stroke-width:1.2}
.sand{fill:var(--sand);stroke:var(--woodl);stroke-width:.8;stroke-dasharray:4 2.5}.dot{fill:var(--woodl)}
.bd{stroke-width:.7}.q0,.q1,.q2,.q3{stroke-width:.45}.w0,.w1,.w2,.w3{stroke-width:.55}.ol{fill:none;stroke-width:.8}.wf{stroke:none!important}.bdl{fill:none;stroke:var(--wood);stroke-width:.7;stroke-dasharray:2 2}.sdl{fill:var(--sand);stroke:var(--woodl);stroke-width:.5}
.sp{stroke-width:.45}.th{fill:none!important;stroke-width:.7}.fl{stroke-width:.55}
.hl{fill:none;stroke-width:.75}.mass{stroke-width:1.1;fill-opacity:.75}.sym{stroke-width:1;fill-opacity:.82}.rad{stroke-width:.7;fill-opacity:.9}.st{fill:none;stroke-width:1}
.ring{fill:var(--paper);stroke:var(--ink);stroke-width:1.3}.ring.bad{stroke:var(--warn)}.pic .rn{font-weight:600;font-size:12.5px}.pic .rn.bad{fill:var(--warnt)}
.place{fill:none;stroke:var(--warn);stroke-width:1.5;stroke-dasharray:2 4;visibility:hidden}.quiet{visibility:hidden}.mark:target,.mark:target .place{visibility:visible}
.lead{fill:none;stroke:var(--ink);stroke-width:.7}
.l1,.l2,.l3,.l4,.l5{fill:none;stroke-width:1.5}.l1{stroke:var(--ink)}.l2{stroke:var(--waterl);stroke-dasharray:6 3}.l3{stroke:var(--red);stroke-dasharray:2 2.6}.l4{stroke:var(--moss);stroke-dasharray:9 3 2 3}.l5{stroke:var(--wood)}
.b1,.b2,.b3,.b4,.b5{stroke:none;opacity:.18}.b1{fill:var(--ink)}.b2{fill:var(--waterl)}.b3{fill:var(--red)}.b4{fill:var(--moss)}.b5{fill:var(--wood)}
.bar{fill:var(--moss);stroke:var(--leaf);stroke-width:.6}.area{stroke-width:.6}.early{fill:var(--deep)}.target{fill:var(--leaf);fill-opacity:.1}.lim{fill:none;stroke:var(--warn);stroke-width:1;stroke-dasharray:1 3}
.t0{fill:#8c9a8e;fill-opacity:.5}.t1{fill:#b9b48a;fill-opacity:.42}.t2{fill:#e2cf86;fill-opacity:.5}.t3{fill:#f4dc78;fill-opacity:.62}
.gets{fill:var(--leaf);stroke:var(--paper);stroke-width:.8}.gets.less{fill:var(--warn)}.gets.more{fill:var(--waterl)}.gets.none{fill:none;stroke:var(--soft)}
.wedge{fill:var(--leaf)}.pin{fill:var(--paper);stroke:var(--warn);stroke-width:1.2}
`
