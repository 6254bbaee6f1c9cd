package findings

import (
	"fmt"
	"littoral/internal/unit"
	"math"
)

// The heights from which a moving bed is told, m and L: what one sees on the front glass, and what one sees on a lane of sand (common
// practice, no source).
const (
	frontSeen, frontNoted = 0.02, 0.01
	mixedSeen             = 0.5
)

// slopeCreeps tells where the bed goes that comes down its slopes: how high it stands against the front glass by when, and how much the place it
// came from has lost.
func slopeCreeps(v *view) []Finding {
	g, c := v.f.Ground, v.f.Columns
	if len(g) < 2 {
		return nil
	}
	front := make([]int, 0, c.NX) // the first column of bed behind the front glass, by column along it
	for ix := range c.NX {
		for iy := range c.NY {
			if i := iy*c.NX + ix; c.Area[i] > 0 {
				if float64(iy)*c.Cell < v.f.Model.Tank.LY/3 {
					front = append(front, i)
				}
				break
			}
		}
	}
	if len(front) == 0 {
		return nil
	}
	mean := func(k int) float64 {
		sum := 0.0
		for _, i := range front {
			sum += g[k].Top[i] - c.Top[i]
		}
		return sum / float64(len(front))
	}
	last := len(g) - 1
	rise := mean(last)
	if rise < frontNoted {
		return nil
	}
	first := last
	for k := range g {
		if mean(k) >= frontNoted {
			first = k
			break
		}
	}
	high, low := front[0], -1
	for _, i := range front {
		if g[last].Top[i]-c.Top[i] > g[last].Top[high]-c.Top[high] {
			high = i
		}
	}
	for i, top := range g[last].Top {
		if c.Area[i] > 0 && (low < 0 || top-c.Top[i] < g[last].Top[low]-c.Top[low]) {
			low = i
		}
	}
	place := func(i int) (x, y float64) {
		return (float64(i%c.NX) + 0.5) * c.Cell, (float64(i/c.NX) + 0.5) * c.Cell
	}
	x, y := place(high)
	lx, ly := place(low)
	severity := Note
	if rise >= frontSeen && g[first].Day < 365 {
		severity = Look
	}
	return []Finding{{
		Rule: "slope-creeps", Severity: severity, Day: g[first].Day, Until: v.f.Length, X: x, Y: y, Where: v.where(x, y), Subject: "substrate",
		What: "The bed creeps down and gathers along the front glass.",
		Because: fmt.Sprintf("The front line stands %s higher by %s and %s by %s; %s have come down, most from the %s, which lies %s lower. Pumps, animals and digging move it, roots and stones hold it.",
			v.length(mean(first), 1), unit.FormatDay(unit.Day(g[first].Day)), v.length(rise, 1), unit.FormatDay(unit.Day(g[last].Day)), v.litres(g[last].Down), v.where(lx, ly), v.length(c.Top[low]-g[last].Top[low], 1)),
		Do: fmt.Sprintf("Hold the slope with a step of sunk stones for every %s of rise, let carpets close before anything digs, and draw the front line back with a card twice a year.", v.cm(0.15)),
	}}
}

// sandMixes tells when and where one material creeps over another, as soil does over a lane of sand that nothing parts from it.
func sandMixes(v *view) []Finding {
	g, c := v.f.Ground, v.f.Columns
	for k := range g {
		if g[k].Mixed < mixedSeen || g[k].MixedAt < 0 {
			continue
		}
		last := &g[len(g)-1]
		at := g[k].MixedAt
		x, y := (float64(at%c.NX)+0.5)*c.Cell, (float64(at/c.NX)+0.5)*c.Cell
		return []Finding{{
			Rule: "sand-mixes", Severity: Look, Day: g[k].Day, Until: v.f.Length, X: x, Y: y, Where: v.where(x, y), Subject: "substrate",
			What: "One material of the bed creeps over another.",
			Because: fmt.Sprintf("%s of one lie on the other by %s and %s by %s, where nothing parts them.",
				v.shortLitres(g[k].Mixed), unit.FormatDay(unit.Day(g[k].Day)), v.shortLitres(last.Mixed), unit.FormatDay(unit.Day(last.Day))),
			Do: "Set a strip or a row of small stones on the glass between them (barrier: true on the cap), or siphon the strange grains off at each second visit and top the sand up once a year.",
		}}
	}
	return nil
}

// shortLitres writes a few litres with one decimal.
func (v *view) shortLitres(l float64) string {
	if v.us() {
		return fmt.Sprintf("%.1f qt", math.Round(l*4*galPerLitre*10)/10)
	}
	return fmt.Sprintf("%.1f L", l)
}
