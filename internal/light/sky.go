package light

import (
	"littoral/internal/geometry"
	"littoral/internal/plan"
	"littoral/internal/unit"
	"math"
	"time"
)

// LuxPerPPFDSun is lux for each µmol m⁻² s⁻¹ of sunlight and of the sky (Thimijan and Heins 1983, HortScience 18: 54; CIE standard illuminant D65 gives 55).
const LuxPerPPFDSun = 54.0

// Declination is the sun's (radians north of the equator) on a day of the year (1 = 1 January; fractions and days beyond the year are taken round).
// Source: the series of Spencer 1971 (Search 2: 172), right to 0.01°.
func Declination(dayOfYear float64) float64 {
	g := 2 * math.Pi * (dayOfYear - 1) / 365
	return 0.006918 - 0.399912*math.Cos(g) + 0.070257*math.Sin(g) - 0.006758*math.Cos(2*g) + 0.000907*math.Sin(2*g) - 0.002697*math.Cos(3*g) + 0.00148*math.Sin(3*g)
}

// SunHeight is the sine of the sun's height over the horizon, −1 to 1, at a latitude and declination (radians) and an hour of sun time, 0 to 24, with
// noon at 12 (spherical triangle; refraction by the air is left out).
func SunHeight(latitude, declination, hour float64) float64 {
	return math.Sin(latitude)*math.Sin(declination) + math.Cos(latitude)*math.Cos(declination)*math.Cos((hour-12)*math.Pi/12)
}

// DayLength is the hours from sunrise to sunset, 0 to 24, of the sun's middle at a latitude and declination (radians).
func DayLength(latitude, declination float64) float64 {
	c := -math.Tan(latitude) * math.Tan(declination)
	switch {
	case c >= 1:
		return 0
	case c <= -1:
		return 24
	}
	return 24 / math.Pi * math.Acos(c)
}

// OvercastPPFD is what an overcast sky gives on open level ground, µmol m⁻² s⁻¹, with the sun at a height given by its sine; 0 below the horizon. Source:
// 300 + 21 000 sin lx (Krochmann and Seidl 1974, from memory), at LuxPerPPFDSun.
func OvercastPPFD(sin float64) float64 {
	if !(sin > 0) {
		return 0
	}
	return (300 + 21000*min(sin, 1)) / LuxPerPPFDSun
}

// SunPPFD is what the sun gives in a clear sky on a plane that faces it, µmol m⁻² s⁻¹, at a height given by its sine; 0 below the horizon. Source:
// 127 500 e^(−0.21/sin) lx (IES calculation procedures for daylight, 1984, from memory), at LuxPerPPFDSun.
func SunPPFD(sin float64) float64 {
	if !(sin > 0) {
		return 0
	}
	return 127500 * math.Exp(-0.21/min(sin, 1)) / LuxPerPPFDSun
}

// overcast is the radiance of an overcast sky (µmol m⁻² s⁻¹ sr⁻¹) towards a height given by its sine, for a sky that gives 1 on level ground: a third as
// bright at the horizon as overhead, (1 + 2 sin)/3 (CIE standard overcast sky, Moon and Spencer 1942). It is 0 below the horizon.
func overcast(sin float64) float64 {
	if sin <= 0 {
		return 0
	}
	return 9 / (7 * math.Pi) * (1 + 2*sin) / 3
}

// usualSkyLux is what the sky gives outside at noon where neither plan nor latitude tells, lx (overcast design sky, common practice).
const usualSkyLux = 10000.0

// usualSunHeight is the sun's height where neither plan nor latitude tells, radians (our own choice: a low afternoon sun, which reaches far into rooms).
const usualSunHeight = 30 * math.Pi / 180

// equinox is the day of the year that stands for the middle of the year, and the date where a plan has none.
const equinox = 80.0

// Windows are a plan's windows; nil where it has no daylight.
func Windows(p *plan.Plan, t geometry.Tank) []Window {
	if p.Daylight == nil {
		return nil
	}
	var out []Window
	for i := range p.Daylight.Windows {
		w := &p.Daylight.Windows[i]
		one := Window{
			ID: w.ID, Side: sideNames[w.Side], Width: float64(w.Size[0]), Height: float64(w.Size[1]), Distance: float64(w.Distance), Sill: float64(w.Sill),
			X: w.At[0] / 100, Y: w.At[1] / 100, Through: float64(w.Glazing),
		}
		if s := w.Sun; s != nil {
			one.Sun = true
			one.SunHeight, one.SunTurn = float64(s.Height), float64(s.Turn)
			if one.SunHeight == 0 {
				one.SunHeight = usualSunHeight
				if p.Daylight.Latitude != 0 {
					one.SunHeight = math.Asin(max(SunHeight(float64(p.Daylight.Latitude), 0, middle(s)), math.Sin(5*math.Pi/180)))
				}
			}
			one.SunSweep = s.Hours * math.Pi / 12 // 15° an hour about the pole, a little more or less along the horizon
		}
		out = append(out, one)
	}
	return out
}

var sideNames = map[string]Side{"left": Left, "right": Right, "front": Front, "back": Back, "above": Above}

// middle is the middle of the sun's hours, by the clock.
func middle(s *plan.Sun) float64 { return float64(s.From)/3600 + s.Hours/2 }

// SkyOn is the daylight outside a plan's windows hour by hour on a day after planting, the mean of each hour; windows that are screened are dark. Without a
// latitude the day has twelve hours and a sky that goes with the sine of the time.
func SkyOn(p *plan.Plan, day int) [24][]Sky {
	var out [24][]Sky
	if p.Daylight == nil {
		return out
	}
	list := p.Daylight.Windows
	latitude, date := float64(p.Daylight.Latitude), equinox
	if t, err := time.Parse(time.DateOnly, p.Planted); err == nil && latitude != 0 {
		date = float64(t.YearDay() + day)
	}
	declination := Declination(date)
	noon := OvercastPPFD(SunHeight(latitude, 0, 12)) // at the equinox
	const quarters = 4
	for h := range out {
		out[h] = make([]Sky, len(list))
		for i := range list {
			w := &list[i]
			if float64(day) < float64(w.From) || w.Until > 0 && float64(day) >= float64(w.Until) {
				continue
			}
			base := noon
			switch {
			case w.PPFD > 0:
				base = float64(w.PPFD)
			case w.SkyLux > 0:
				base = w.SkyLux / LuxPerPPFDSun
			case w.Size == [2]unit.Length{}:
				base = 0 // the sun alone
			case latitude == 0:
				base = usualSkyLux / LuxPerPPFDSun
			}
			for q := range quarters {
				hour := float64(h) + (float64(q)+0.5)/quarters
				sin := SunHeight(latitude, declination, hour)
				if noon > 0 {
					out[h][i].Diffuse += base * OvercastPPFD(sin) / noon / quarters
				}
				if s := w.Sun; s != nil && math.Mod(hour-float64(s.From)/3600+24, 24) < s.Hours {
					out[h][i].Sun += float64(s.Share) * SunPPFD(sunSine(s, latitude, sin)) / quarters
				}
			}
		}
	}
	return out
}

// SunHours is how long the sun falls on the tank through any window on a day after planting, h, times the share of those hours with sunshine.
func SunHours(p *plan.Plan, day int) float64 {
	if p.Daylight == nil {
		return 0
	}
	hours := 0.0
	for i := range p.Daylight.Windows {
		s := p.Daylight.Windows[i].Sun
		if s == nil {
			continue
		}
		one := 0.0
		for h, sky := range SkyOn(p, day) {
			if sky[i].Sun > 0 {
				one += overlap(float64(h), s)
			}
		}
		hours = max(hours, one*float64(s.Share))
	}
	return hours
}

// overlap is the share of an hour of the day that lies in the sun's hours.
func overlap(hour float64, s *plan.Sun) float64 {
	share := 0.0
	for q := range 4 {
		if math.Mod(hour+(float64(q)+0.5)/4-float64(s.From)/3600+24, 24) < s.Hours {
			share += 0.25
		}
	}
	return share
}

// sunSine is the sine of the sun's height in a window, given that of the place and time.
func sunSine(s *plan.Sun, latitude, sin float64) float64 {
	switch {
	case latitude != 0 && (sin <= 0 || s.Height == 0):
		return sin
	case s.Height > 0:
		return math.Sin(float64(s.Height))
	}
	return math.Sin(usualSunHeight)
}
