package starter

import (
	"bytes"
	_ "embed"
	"fmt"
	"math"
	"strings"
	"text/template"

	"littoral/internal/catalog"
	"littoral/internal/unit"
)

// Wish is what a person says of the tank they have in mind. Measures are inner ones.
type Wish struct {
	Name                  string
	Length, Width, Height unit.Length
	Energy                string // low, medium or high
	Alkalinity            unit.Alkalinity
	Hardness              unit.Hardness
	Nitrate               unit.Concentration // of the tap water, as the ion
	Planted               string             // ISO 8601 date of planting; may be empty
}

// Usual is the tank that stands in where nothing is said: 120 × 50 × 50 cm, medium energy, moderately hard tap water.
func Usual() Wish {
	alk, _ := unit.Parse(unit.KindAlkalinity, "6 dKH") // a literal that reads
	hard, _ := unit.Parse(unit.KindHardness, "10 dGH")
	return Wish{
		Name: "New tank", Length: 120 * unit.CM, Width: 50 * unit.CM, Height: 50 * unit.CM, Energy: "medium",
		Alkalinity: unit.Alkalinity(alk), Hardness: unit.Hardness(hard), Nitrate: 10,
	}
}

// Energies are the three levels of light, CO2 and feeding that the trade tells apart.
var Energies = []string{"low", "medium", "high"}

// level is what an energy level means in numbers. Light and CO2 classes and weekly doses are in the trade's published
// ranges, doses at the lean end, since a new soil feeds too; common practice, no source.
type level struct {
	par             float64 // µmol m⁻² s⁻¹ wanted at the bed
	hours           float64 // of light after the first weeks
	co2             float64 // mg/L; 0 = none
	turnover        float64 // filter turnovers an hour
	no3, po4, k, fe float64 // mg/L a week, of the ions
	change          string  // share of the water from week 5 on
	every           string
	shoal, grazer   string // animals for the water that the level makes
	plants          []choice
}

// choice is a species and the strip of floor it gets: across the tank from x0 to x1 and from front to back, as shares.
type choice struct {
	species        string
	x0, x1, y0, y1 float64
	on             string
	note           string
}

var levels = map[string]level{
	"low": {par: 35, hours: 8, turnover: 4, no3: 2, po4: 0.3, k: 5, fe: 0.1, change: "25 %", every: "2 weeks", shoal: "Danio rerio", grazer: "Neocaridina davidi", plants: []choice{
		{species: "Cryptocoryne × willisii", x0: 0.03, x1: 0.5, y0: 0.05, y1: 0.32, note: "front"},
		{species: "Cryptocoryne wendtii", x0: 0.03, x1: 0.46, y0: 0.35, y1: 0.64, note: "middle, left"},
		{species: "Cryptocoryne undulata", x0: 0.7, x1: 0.97, y0: 0.08, y1: 0.55, note: "middle, right"},
		{species: "Vallisneria nana", x0: 0.03, x1: 0.52, y0: 0.68, y1: 0.96, note: "back, left"},
		{species: "Hygrophila difformis", x0: 0.7, x1: 0.97, y0: 0.6, y1: 0.96, note: "fast starter, back right; it eats what the young tank leaves over"},
		{species: "Leptochilus pteropus", on: "root"},
		{species: "Anubias barteri var. nana", on: "stone"},
	}},
	"medium": {par: 65, hours: 8, co2: 18, turnover: 5, no3: 6, po4: 0.6, k: 8, fe: 0.2, change: "40 %", every: "week", shoal: "Trigonostigma heteromorpha", grazer: "Caridina multidentata", plants: []choice{
		{species: "Helanthium tenellum", x0: 0.03, x1: 0.52, y0: 0.04, y1: 0.34, note: "ground cover in front"},
		{species: "Cryptocoryne wendtii", x0: 0.03, x1: 0.46, y0: 0.37, y1: 0.64, note: "middle, left"},
		{species: "Staurogyne repens", x0: 0.7, x1: 0.97, y0: 0.06, y1: 0.4, note: "front, right"},
		{species: "Rotala rotundifolia", x0: 0.03, x1: 0.3, y0: 0.68, y1: 0.96, note: "back, left"},
		{species: "Hygrophila corymbosa", x0: 0.32, x1: 0.52, y0: 0.7, y1: 0.96, note: "back, centre"},
		{species: "Vallisneria nana", x0: 0.7, x1: 0.97, y0: 0.6, y1: 0.96, note: "back, right"},
		{species: "Leptochilus pteropus", on: "root"},
		{species: "Anubias barteri var. nana", on: "stone"},
	}},
	"high": {par: 100, hours: 8, co2: 25, turnover: 6, no3: 10, po4: 1, k: 12, fe: 0.3, change: "50 %", every: "week", shoal: "Trigonostigma heteromorpha", grazer: "Caridina multidentata", plants: []choice{
		{species: "Micranthemum tweediei", x0: 0.03, x1: 0.52, y0: 0.04, y1: 0.34, note: "ground cover in front"},
		{species: "Staurogyne repens", x0: 0.03, x1: 0.46, y0: 0.37, y1: 0.62, note: "middle, left"},
		{species: "Eleocharis pusilla", x0: 0.7, x1: 0.97, y0: 0.06, y1: 0.4, note: "front, right"},
		{species: "Rotala rotundifolia", x0: 0.03, x1: 0.27, y0: 0.66, y1: 0.96, note: "back, left"},
		{species: "Ludwigia repens", x0: 0.3, x1: 0.52, y0: 0.68, y1: 0.96, note: "back, centre; the red accent"},
		{species: "Limnophila heterophylla", x0: 0.7, x1: 0.97, y0: 0.6, y1: 0.96, note: "back, right"},
		{species: "Leptochilus pteropus", on: "root"},
		{species: "Bucephalandra pygmaea", on: "stone"},
	}},
}

// Rules of thumb of the trade, common practice without a published source unless said otherwise.
const (
	freeboardCM   = 3.0  // 2 to 4 cm under the rim
	netShare      = 0.85 // of the volume up to the water line; 0.80 to 0.88
	frontCM       = 4.0  // depth of the bed at the front glass; 3 to 5 cm
	riseShare     = 0.12 // rise of the bed towards the back, of the width: about 7°, which lies still without walls
	lampPitchCM   = 65.0 // a panel for so much length
	lightUse      = 0.63 // share of a lamp's photons that reach the empty bed of a box tank, by this program's own light field; 0.5 to 0.75
	realFlow      = 0.65 // of the label flow
	mediaShare    = 0.015
	heaterWL      = 0.5 // W/L, doubled under 100 L
	softerKH      = 4.0 // dKH that plants with CO2 are kept at
	shoalLitres   = 10.0
	shrimpLitres  = 8.0
	foodPerFish   = 0.01 // g/day of dry food for a fish of 4 cm, about 2 % of its mass
	firstWeekDose = 0.5  // share of potassium and iron in the first four weeks; the new soil gives N and P
)

//go:embed plan.yaml.tmpl
var text string

var page = template.Must(template.New("plan").Funcs(template.FuncMap{"g": grams}).Parse(text))

// Plan writes the plan. An energy level that is none of Energies, a name that is empty or a measure that is not above zero is an
// error; whether the tank makes sense is for the plan's own check.
func Plan(w Wish) ([]byte, error) {
	l, ok := levels[w.Energy]
	if !ok {
		return nil, fmt.Errorf("energy %q is none of low, medium and high", w.Energy)
	}
	if strings.TrimSpace(w.Name) == "" {
		return nil, fmt.Errorf("the tank needs a name")
	}
	if !(w.Length > 0 && w.Width > 0 && w.Height > 0) {
		return nil, fmt.Errorf("the tank needs a length, a width and a height above zero")
	}
	var out bytes.Buffer
	if err := page.Execute(&out, lay(w, l)); err != nil {
		return nil, fmt.Errorf("the plan cannot be written: %w", err)
	}
	return out.Bytes(), nil
}

type lamp struct{ X, Y, LengthCM, WidthCM, PPF float64 }

type planting struct {
	Species, On, Note string
	Pots              int
	X0, X1, Y0, Y1    float64
}

// facts are the numbers of the page. Lengths in cm, volumes in L.
type facts struct {
	Name, Planted, Energy          string
	Length, Width, Height, Level   float64
	Front, Back, MidX, MidY, Mound float64
	NetL                           float64
	Alk, Hard, NO3                 float64
	PurePercent                    int
	GypsumMgL, EpsomMgL            float64
	RootLength, RootThick          float64
	RootX, RootY, StoneX, StoneY   float64
	StoneL, StoneW, StoneH         float64
	Plants                         []planting
	Lamps                          []lamp
	PAR, Hours, CO2                float64
	Ramp                           []step
	FlowLh, MediaL, HeaterW        float64
	KNO3, KH2PO4, K2SO4, Fe        float64 // g a dose, twice a week
	EarlyK2SO4, EarlyFe            float64
	Change, Every                  string
	Fish, Grazer                   string
	FishCount, Shrimps             int
	FoodG                          float64
	Tablets                        int
	Stems                          []string
	Carpets                        []string
}

type step struct {
	From, Until int
	Hours       float64
	On          string
}

// lay turns wish and level into the numbers of a plan.
func lay(w Wish, l level) facts {
	f := facts{
		Name: w.Name, Planted: w.Planted, Energy: w.Energy, PAR: l.par, Hours: l.hours, CO2: l.co2, Change: l.change, Every: l.every,
		Length: cm(w.Length), Width: cm(w.Width), Height: cm(w.Height),
		Alk: round(unit.DKH(w.Alkalinity), 1), Hard: round(unit.DGH(w.Hardness), 1), NO3: round(float64(w.Nitrate), 1),
	}
	f.Level = f.Height - min(freeboardCM, f.Height/8)
	f.Front = min(frontCM, f.Height/8)
	f.Back = round(f.Front+riseShare*f.Width, 1)
	f.MidX, f.MidY, f.Mound = round(0.62*f.Length, 0), round(0.65*f.Width, 0), round(f.Back+0.02*f.Width, 1)
	f.NetL = netShare * f.Length * f.Width * f.Level / 1000

	f.RootLength, f.RootThick = round(0.36*min(f.Length, 2*f.Width), 0), round(max(2, 0.06*min(f.Length, 2*f.Width)), 1)
	f.RootX, f.RootY = f.MidX, round(0.6*f.Width, 0)
	f.StoneL, f.StoneW, f.StoneH = round(0.32*f.Width, 0), round(0.25*f.Width, 0), round(min(0.25*f.Height, 0.25*f.Width), 0)
	f.StoneX, f.StoneY = round(0.58*f.Length, 0), round(0.36*f.Width, 0)

	n := int(math.Max(1, math.Round(f.Length/lampPitchCM)))
	each := round(l.par*f.Length*f.Width/1e4/lightUse/float64(n), 0)
	for i := range n {
		f.Lamps = append(f.Lamps, lamp{
			X: round(f.Length*(float64(i)+0.5)/float64(n), 0), Y: round(f.Width/2, 0),
			LengthCM: round(min(60, 0.8*f.Length/float64(n)), 0), WidthCM: round(min(20, 0.4*f.Width), 0), PPF: max(1, each),
		})
	}
	// Six hours for three weeks, then half an hour more a week (start-up guides of the trade).
	hours := 6.0
	for day := 21; ; day += 7 {
		until := day
		from := day - 7
		if from < 21 {
			from = 0
		}
		f.Ramp = append(f.Ramp, step{From: from, Until: until, Hours: hours, On: clock(14 - hours/2)})
		if hours += 0.5; hours >= l.hours {
			f.Ramp = append(f.Ramp, step{From: until, Hours: l.hours, On: clock(14 - l.hours/2)})
			break
		}
	}

	if l.co2 > 0 && f.Alk > softerKH+1 {
		f.PurePercent = int(5 * math.Round(20*(1-softerKH/f.Alk)))
	}
	// Blended below 4 dGH, hardness is brought back with gypsum and Epsom salt, three parts calcium to one of magnesium by mmol.
	if mixed := f.Hard * (1 - float64(f.PurePercent)/100); mixed < 4 {
		missing := (5 - mixed) * 0.1783 // mmol/L in a German degree: 10 mg/L CaO, molar mass 56.08
		f.GypsumMgL, f.EpsomMgL = round(0.75*missing*172.17, 0), round(0.25*missing*246.47, 0)
	}
	f.FlowLh = 50 * math.Ceil(f.NetL*l.turnover/realFlow/50)
	f.MediaL = round(max(0.5, mediaShare*f.NetL), 1)
	f.HeaterW = heaterWL * f.NetL
	if f.NetL < 100 {
		f.HeaterW *= 2
	}
	f.HeaterW = max(25, 25*math.Round(f.HeaterW/25))

	// A week's dose in two parts. KNO3 brings potassium too; potassium sulfate gives what is still missing.
	half := f.NetL / 2 / 1000 // kL a dose, so that mg/L gives g
	f.KNO3 = l.no3 * half * 101.10 / 62.00
	f.KH2PO4 = l.po4 * half * 136.09 / 94.97
	fromOthers := l.no3*39.10/62.00 + l.po4*39.10/94.97
	f.K2SO4 = max(0, l.k-fromOthers) * half * 174.26 / (2 * 39.10)
	f.Fe = l.fe * half
	f.EarlyK2SO4 = firstWeekDose * l.k * half * 174.26 / (2 * 39.10)
	f.EarlyFe = firstWeekDose * f.Fe

	cat := catalog.Default()
	for _, c := range l.plants {
		p := planting{Species: c.species, Note: c.note, On: c.on}
		if c.on != "" {
			p.Pots = int(min(8, max(1, math.Round(f.NetL/90))))
		} else {
			p.X0, p.X1, p.Y0, p.Y1 = round(c.x0*f.Length, 0), round(c.x1*f.Length, 0), round(c.y0*f.Width, 0), round(c.y1*f.Width, 0)
			area := (p.X1 - p.X0) * (p.Y1 - p.Y0) / 1e4
			density := 25.0
			if s, ok := cat.Species(c.species); ok {
				density = s.PotsM2.Mid()
				switch s.Form {
				case catalog.Stem:
					if s.Trim != "shear" {
						f.Stems = append(f.Stems, c.species)
					}
				case catalog.Carpet:
					f.Carpets = append(f.Carpets, c.species)
				}
			}
			p.Pots = int(max(1, math.Round(area*density)))
		}
		f.Plants = append(f.Plants, p)
	}
	f.Fish, f.Grazer = l.shoal, l.grazer
	if n := int(math.Round(f.NetL / shoalLitres)); n >= 8 {
		f.FishCount = min(n, 60)
		f.FoodG = round(foodPerFish*float64(f.FishCount), 2)
	}
	f.Shrimps = int(max(10, math.Round(f.NetL/shrimpLitres)))
	if f.FoodG == 0 {
		f.FoodG = 0.05
	}
	f.Tablets = int(max(2, math.Round(f.Length*f.Width*0.7/190))) // one for 190 cm² of planted floor, seven tenths of it planted
	return f
}

func cm(l unit.Length) float64 { return round(float64(l)*100, 1) }

func round(x float64, places int) float64 {
	p := math.Pow(10, float64(places))
	return math.Round(x*p) / p
}

func clock(h float64) string {
	return fmt.Sprintf("%02d:%02d", int(h), int(math.Round((h-math.Floor(h))*60)))
}

// grams writes a mass a person can weigh: two figures.
func grams(g float64) string {
	if g <= 0 {
		return "0 g"
	}
	if g < 0.1 {
		return fmt.Sprintf("%.2g mg", g*1000)
	}
	return fmt.Sprintf("%.2g g", g)
}
