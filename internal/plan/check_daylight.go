package plan

import (
	"littoral/internal/unit"
	"math"
	"strings"
)

// daylight checks windows and the sun in them.
func (c *checker) daylight() {
	d := c.p.Daylight
	if d == nil {
		return
	}
	if c.given("daylight.latitude") && math.Abs(float64(d.Latitude)) > math.Pi/2 {
		c.err("daylight.latitude", say("a latitude of %.4g° is outside −90° to 90°", float64(d.Latitude)*180/math.Pi), "write degrees north of the equator, south of it with a minus")
	}
	if c.given("daylight.latitude") && !c.written("planted") {
		c.warn("daylight.latitude", "the latitude is given but no planting date, so that days of the equinox are taken all year", "add planted: with year, month and day")
	}
	for i := range d.Windows {
		c.window(&d.Windows[i], index("daylight.windows", i))
	}
}

func (c *checker) window(w *Window, path string) {
	c.id(w.ID, path)
	c.spanOf(path, w.From, w.Until)
	var ways []string
	for _, key := range []string{"size", "ppfd", "lux"} {
		if c.written(path + "." + key) {
			ways = append(ways, key)
		}
	}
	switch {
	case len(ways) == 0 && !c.written(path+".sun") && c.given(path):
		c.err(path, "it is not said how much daylight comes in here", "add size: with distance:, or lux: as read on that side of the tank at noon, or sun:")
	case len(ways) > 1:
		c.err(path, "the daylight of this window is stated in more than one way: "+strings.Join(ways, " and "), "keep one of size, ppfd and lux")
	case len(ways) == 1 && ways[0] == "size" && !c.written(path+".distance"):
		c.err(path+".size", "it is not said how far this window is from the tank", "add distance: such as 120 cm, from that side's glass to the window")
	}
	if at := path + ".size"; c.given(at) && (w.Size[0] < 0.05 || w.Size[1] < 0.05 || w.Size[0] > 30 || w.Size[1] > 30) {
		c.err(at, say("a window of %.4g by %.4g cm is outside what is planned here, 5 cm to 30 m", cm(w.Size[0]), cm(w.Size[1])), "check the unit")
	}
	if at := path + ".distance"; c.given(at) && (w.Distance < 0.01 || w.Distance > 50) {
		c.err(at, say("a window %.4g cm from the tank is outside 1 cm to 50 m", cm(w.Distance)), "check the unit")
	}
	if at := path + ".sill"; c.given(at) && (w.Sill < 0 || w.Sill > 20) {
		c.err(at, say("a sill %.4g cm above the tank's bottom is outside 0 to 20 m", cm(w.Sill)), "write how far the window's lower edge lies above the tank's bottom glass")
	}
	c.between(path+".lux", w.Lux, 1, 120000, "an illuminance", "lx")
	c.between(path+".sky-lux", w.SkyLux, 1, 120000, "the illuminance outside", "lx")
	if at := path + ".ppfd"; c.given(at) && w.PPFD <= 0 {
		c.err(at, "a reading of zero is no daylight", "write what a meter showed on that side of the tank at noon")
	}
	if at := path + ".glazing"; c.given(at) && (w.Glazing <= 0 || w.Glazing > 1) {
		c.err(at, say("glazing that lets through %.4g %% is outside above 0 to 100 %%", 100*float64(w.Glazing)), "write 70 % for clean double glazing, less behind curtains or film")
	}
	s := w.Sun
	if s == nil {
		return
	}
	at := path + ".sun"
	if c.given(at+".hours") && (s.Hours <= 0 || s.Hours > 24) {
		c.err(at+".hours", say("%.4g hours of sun do not fit a day", s.Hours), "write the hours that the sun falls on the tank, such as 2.5")
	}
	if c.given(at+".height") && (s.Height <= 0 || s.Height > math.Pi/2) {
		c.err(at+".height", say("a sun %.4g° over the horizon is outside above 0° to 90°", float64(s.Height)*180/math.Pi), "write its height in the middle of those hours, such as 30°")
	}
	if c.given(at+".turn") && w.Side != "above" && math.Abs(float64(s.Turn)) >= math.Pi/2 {
		c.err(at+".turn", say("sun turned by %.4g° does not fall on that side", float64(s.Turn)*180/math.Pi), "write −89° to 89° from straight in, or name the other side")
	}
	if c.given(at+".share") && (s.Share <= 0 || s.Share > 1) {
		c.err(at+".share", say("sun on %.4g %% of days is outside above 0 to 100 %%", 100*float64(s.Share)), "write the share of those hours with sunshine, such as 40 %")
	}
}

// resolveDaylight fills in what windows leave out.
func (c *checker) resolveDaylight() {
	d := c.p.Daylight
	if d == nil {
		return
	}
	lo, hi := bounds(c.p.Tank.FootprintCM())
	for i := range d.Windows {
		w, path := &d.Windows[i], index("daylight.windows", i)
		if w.Glazing == 0 {
			w.Glazing = defaultGlazing
		}
		if w.Lux > 0 {
			w.PPFD = unit.PPFD(w.Lux / luxPerPPFDSky)
		}
		if !c.given(path + ".at") {
			w.At = PointCM{(lo[0] + hi[0]) / 2, (lo[1] + hi[1]) / 2}
		}
		if w.Sun != nil && w.Sun.Share == 0 {
			w.Sun.Share = 1
		}
	}
}
