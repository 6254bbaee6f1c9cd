package plan

import (
	"errors"
	"littoral/internal/unit"
	"math"
	"regexp"
	"strings"
)

// plausible is what a quantity of a plan may be, so that a cure never offers a value that is refused next. Units are tried in turn for a
// number without one; the bounds are those of the checks.
type plausible struct {
	kind      unit.Kind
	low, high float64 // inner unit of the kind
	units     []string
	example   string
}

// plausibleAt finds the row of an item, by its path without the numbers of list items.
func plausibleAt(path string, kind unit.Kind) (plausible, bool) {
	length := func(low, high float64, example string, units ...string) (plausible, bool) {
		return plausible{unit.KindLength, low, high, units, example}, true
	}
	celsius := func(low, high float64) (plausible, bool) {
		return plausible{unit.KindTemperature, low, high, []string{"°C", "°F"}, "24 °C"}, true
	}
	switch listItem.ReplaceAllString(path, "") {
	case "tank.inside.length", "tank.inside.width", "tank.inside.height", "tank.inside.diameter":
		return length(float64(leastSide), float64(mostSide), "60 cm", "cm", "mm")
	case "tank.water-level":
		return length(0.05, float64(mostSide), "40 cm", "cm", "mm")
	case "tank.glass.thickness", "tank.glass.bottom":
		return length(float64(leastGlass), float64(mostGlass), "12 mm", "mm", "cm")
	case "lamps.above-water":
		return length(1e-3, 5, "30 cm", "cm", "mm")
	case "substrate.layers.depth", "substrate.caps.depth":
		return length(1e-3, 0.5, "6 cm", "cm", "mm")
	case "plants.height", "plants.spread", "events.plant.height", "events.plant.spread":
		return length(1e-3, 5, "15 cm", "cm", "mm")
	case "lamps.beam":
		return plausible{unit.KindAngle, 0.06, math.Pi, []string{"°", "rad"}, "120°"}, true
	case "room.temperature":
		return celsius(-10, 50)
	case "heater.set":
		return celsius(4, 40)
	case "water.tap.temperature":
		return celsius(0, 60)
	case "found.readings.temperature":
		return celsius(2, 45)
	case "bottles.density":
		return plausible{unit.KindDensity, leastBottle, mostBottle, []string{"kg/m³", "kg/L"}, "1.1 kg/L"}, true
	case "co2.target":
		return plausible{unit.KindConcentration, 1e-3, 100, []string{"mg/L"}, "25 mg/L"}, true
	case "water.tap.alkalinity":
		return plausible{unit.KindAlkalinity, 0, float64(unit.FromDKH(60)), []string{"dKH", "mg/L CaCO3"}, "7 dKH"}, true
	case "water.tap.hardness":
		return plausible{unit.KindHardness, 0, float64(unit.FromDGH(120)), []string{"dGH", "mg/L CaCO3"}, "12 dGH"}, true
	}
	if kind == unit.KindConcentration && strings.HasPrefix(path, "water.tap.") {
		return plausible{kind, 0, 2000, []string{"mg/L", "µg/L"}, "18 mg/L"}, true
	}
	return plausible{}, false
}

var listItem = regexp.MustCompile(`\[\d+\]`)

// cureThatPasses puts a value that will be taken into the cure of a quantity that could not be read.
func cureThatPasses(path, text string, f field, kind unit.Kind, err error) error {
	var u *unit.Error
	if !errors.As(err, &u) {
		return err
	}
	head, _, ok := strings.Cut(u.Cure, ", for example ")
	if !ok {
		return err
	}
	mended := *u
	number := strings.Replace(strings.TrimSpace(text), ",", ".", 1)
	x, bare := parseNumber(number)
	row, known := plausibleAt(path, kind)
	switch {
	case !known && bare && (x < 0 && kind != unit.KindTemperature && kind != unit.KindAngle || x == 0 && f.required && !mayBeZero[kind]):
		mended.Cure = head + ", for example " + exampleOf[kind]
	case !known:
		return err
	default:
		mended.Cure = head + ", for example " + row.example
		for _, name := range row.units {
			v, verr := unit.Parse(row.kind, number+" "+name)
			if !bare || verr != nil || v < row.low || v > row.high {
				continue
			}
			if name != "°" {
				name = " " + name
			}
			if mended.Cure = head + ", for example " + number + name; strings.HasPrefix(u.Cure, mended.Cure) {
				mended.Cure = u.Cure // which gives the US unit too
			}
			break
		}
	}
	return &mended
}

// implausible is how little of a kind, in its inner unit, makes a dot before three digits look like one that groups thousands: a filter of
// less than 50 L/h, a lamp of less than 10 µmol/s. Our own choice.
var implausible = map[unit.Kind]float64{
	unit.KindFlow: 50e-3 / 3600, unit.KindPhotonFlux: 10, unit.KindPower: 10, unit.KindPressure: 100, unit.KindLength: 0.005,
}

// A stand or equipment of less than this many kg, and a lamp of fewer lumens, are as implausible. Our own choice.
const (
	leastHeavy  = 10
	leastLumens = 200
)

// grouped is a number with one dot before exactly three digits: 1.200 may be meant as twelve hundred.
var grouped = regexp.MustCompile(`^\+?([1-9][0-9]{0,2})\.([0-9]{3})($|[^0-9.].*)`)

// groupedThousands warns of a value that would be sensible a thousand times as large, and is written so that it may be meant so.
func (d *decoder) groupedThousands(path string, at Position, f field, text string, small bool) {
	m := grouped.FindStringSubmatch(strings.TrimSpace(text))
	if m == nil || !small {
		return
	}
	read := strings.TrimSuffix(strings.TrimRight(m[1]+"."+m[2], "0"), ".")
	d.add(SeverityWarning, path, at, say("%s %q is read as %s%s, which is very little; a dot is the decimal point here", f.name, clip(text), read, m[3]),
		"write "+m[1]+m[2]+m[3]+" if thousands are meant, or "+read+m[3])
}

// smallQuantity tells whether a quantity is implausibly small for what it is.
func smallQuantity(path string, kind unit.Kind, x float64) bool {
	if path == "tank.stand" || path == "tank.equipment" {
		return x < leastHeavy
	}
	return x < implausible[kind]
}

// disinfectant tells whether a key names what waterworks put into tap water. The likely word beside it, chloride, is another substance.
func disinfectant(key string) bool {
	key = strings.ToLower(strings.ReplaceAll(key, "_", "-"))
	for _, word := range []string{"chlorine", "chloramine", "chloramines", "monochloramine"} {
		if key == word || strings.HasSuffix(key, "-"+word) {
			return true
		}
	}
	return false
}
