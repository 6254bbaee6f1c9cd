package forecast

import (
	"context"
	"littoral/internal/light"
	"littoral/internal/plan"
	"math"
	"strings"
	"testing"
)

// lobby is a tank with a window behind it; a word stands for its daylight.
const lobby = `littoral: 1
name: Lobby
planted: 2027-03-01
tank: {shape: box, inside: {length: 120 cm, width: 50 cm, height: 50 cm}, glass: {thickness: 12 mm}, water-level: 46 cm}
substrate: {layers: [{material: quartz gravel, depth: 6 cm}]}
plants: [{species: Hygrophila polysperma, pots: 10, in: [[5,15],[115,15],[115,45],[5,45]]}]
lamps: [{kind: panel, at: [60, 25], above-water: 20 cm, size: 80x20 cm, ppf: 60 µmol/s}]
light-day: {on: "10:00", hours: 8}
water: {tap: {alkalinity: 4 dKH, hardness: 8 dGH, nitrate: 10 mg/L, phosphate: 0.5 mg/L, potassium: 5 mg/L}}
filter: {flow: 800 L/h, media: 3 L}
co2: {target: 20 mg/L, on: "08:00", off: "18:00"}
care: [{every: week, do: glass}, {every: week, do: dose, salts: {KNO3: 0.8 g, KH2PO4: 0.1 g, iron: 10 mg}}]
`

func lit(t *testing.T, daylight string, days int) *Forecast {
	t.Helper()
	p, err := plan.Parse([]byte(lobby+daylight), "lobby.yaml", nil)
	if err != nil {
		t.Fatal(err)
	}
	f, err := Run(context.Background(), p, Options{Days: days})
	if err != nil {
		t.Fatal(err)
	}
	return f
}

// TestDaylightAddsToTheDay: windows' light comes on top of the lamps', in the day's sum and in what grows, follows the season and ends with the screen.
func TestDaylightAddsToTheDay(t *testing.T) {
	const window = `daylight: {latitude: 52°, windows: [{side: back, size: 120x120 cm, distance: 100 cm, %, sun: {from: "14:00", hours: 2, share: 50 %%}}]}` + "\n"
	dark := lit(t, "", 120)
	open := lit(t, strings.ReplaceAll(strings.Replace(window, "%, ", "", 1), "%%", "%"), 120)
	last := len(open.Days) - 1
	if d := open.Days[last]; !(d.DaylightDLI > 0.05 && d.DaylightDLI < 20) || math.Abs(d.SunHours-1) > 1e-9 {
		t.Errorf("daylight at the bed %v mol, sun %v h", d.DaylightDLI, d.SunHours)
	}
	if d := dark.Days[last]; d.DaylightDLI != 0 || d.SunHours != 0 {
		t.Errorf("without windows: daylight %v mol, sun %v h", d.DaylightDLI, d.SunHours)
	}
	if open.Days[last].LampKWh != dark.Days[last].LampKWh {
		t.Errorf("windows change what the lamps use: %v and %v kWh", open.Days[last].LampKWh, dark.Days[last].LampKWh)
	}
	if !(open.Days[last].ShootG > 1.02*dark.Days[last].ShootG) {
		t.Errorf("plants weigh %.1f g with windows and %.1f g without", open.Days[last].ShootG, dark.Days[last].ShootG)
	}
	// From March to June days lengthen and the sky brightens.
	sum := func(day int) (sky float64) {
		for _, now := range light.SkyOn(open.Plan, day) {
			sky += now[0].Diffuse
		}
		return sky
	}
	if !(sum(110) > 1.5*sum(0)) {
		t.Errorf("the sky gives %.0f µmol·h on day 0 and %.0f on day 110", sum(0), sum(110))
	}
	shut := lit(t, `daylight: {windows: [{side: back, ppfd: 20 µmol/m²/s, until: day 4}]}`+"\n", 20)
	if before, after := shut.Days[2].DaylightDLI, shut.Days[8].DaylightDLI; !(before > 0) || after != 0 {
		t.Errorf("a window screened on day 4 gives %v mol on day 2 and %v on day 8", before, after)
	}
	// The lamps' light at the bed is then that of a tank without windows; later the leaves grown by the window would keep some back.
	if a, b := shut.Days[5].BedPPFD, dark.Days[5].BedPPFD; math.Abs(a/b-1) > 0.02 {
		t.Errorf("a day after the screen the bed has %v µmol, in a tank without windows %v", a, b)
	}
}

// TestMixedDayKeepsTheSums: with lamps and windows laid together each place has the sum of both over the day.
func TestMixedDayKeepsTheSums(t *testing.T) {
	p, err := plan.Parse([]byte(lobby+`daylight: {windows: [{side: left, lux: 2000}, {side: above, lux: 500}]}`+"\n"), "lobby.yaml", nil)
	if err != nil {
		t.Fatal(err)
	}
	b, err := build(p, Options{Days: 3}, 1)
	if err != nil {
		t.Fatal(err)
	}
	r, err := b.begin(usual(), 1, b.solver)
	if err != nil {
		t.Fatal(err)
	}
	lamps := lightDay(&p.LightDay[0])
	hours := r.withDaylight(0, lamps, r.relight(0))
	rel, lampHours := 0.0, 0.0
	for h := range hours {
		rel += hours[h].lit * hours[h].dim
		lampHours += lamps[h].lit * lamps[h].dim * r.shine
	}
	worst := 0.0
	for i, x := range r.lit.PPFD {
		want := r.field.PPFD[i]*lampHours + r.windows.field.PPFD[i]
		worst = max(worst, math.Abs(x*rel-want)/(1+want))
	}
	if worst > 1e-9 {
		t.Errorf("the day's sum is off by %v", worst)
	}
	if sky := light.SkyOn(p, 0); sky[12][0].Diffuse < 0.95*2000/light.LuxPerPPFDSun || sky[3][0].Diffuse != 0 {
		t.Errorf("the sky gives %v at noon and %v at night", sky[12][0].Diffuse, sky[3][0].Diffuse)
	}
}

// TestChannelsOfTheDay: channels are dimmed and ramped by themselves, each for its share of the photons.
func TestChannelsOfTheDay(t *testing.T) {
	text := strings.Replace(lobby, "ppf: 60 µmol/s}", "ppf: 60 µmol/s, channels: [{name: day, colour: white, share: 60 %}, {name: warm, colour: red, share: 40 %}]}", 1)
	text = strings.Replace(text, "light-day: {on: \"10:00\", hours: 8}", "light-day: {on: \"10:00\", hours: 8, dim: 80 %, ramp: 1 h, channels: [{channel: warm, dim: 50 %, ramp: 2 h}]}", 1)
	p, err := plan.Parse([]byte(text), "lobby.yaml", nil)
	if err != nil {
		t.Fatal(err)
	}
	day := lightDay(&p.LightDay[0])
	// Eight hours less a ramp of one for 60 %, less two for 40 % at half; all at 80 %.
	if got, want := fullHours(day), 0.8*(0.6*7+0.4*0.5*6); math.Abs(got-want) > 1e-9 {
		t.Errorf("%.4f hours of full light, want %.4f", got, want)
	}
	if got, want := day[13].dim, 0.8*(0.6+0.4*0.5); math.Abs(got-want) > 1e-12 || math.Abs(p.LightDay[0].Level()-want) > 1e-12 {
		t.Errorf("at noon %v, level %v, want %v", got, p.LightDay[0].Level(), want)
	}
}
