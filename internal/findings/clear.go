package findings

import (
	"fmt"
	"littoral/internal/clarity"
	"littoral/internal/forecast"
)

// hazyKept is the share of contrast under which plants at the far end of a view look veiled; range 0.3 to 0.6, common practice, no source.
const hazyKept = 0.45

// hazy finds sides from which the tank looks veiled for weeks, with what more flow or a finer filter would make of it.
func hazy(v *view) []Finding {
	var out []Finding
	for _, s := range v.f.Sights() {
		veiled := func(d *forecast.Day) bool { return d.Beam > 0 && d.Kept(s, 1) < hazyKept }
		first, last, ok := v.days(v.settled(), 14, veiled)
		if !ok {
			continue
		}
		mean := func(of func(d *forecast.Day) float64) float64 { return v.mean(first, last, of) }
		kept := func(share float64) float64 {
			return 100 * mean(func(d *forecast.Day) float64 { return d.Kept(s, share) })
		}
		now := kept(1)
		more, fine := kept(v.f.Clearer(2, false)), kept(v.f.Clearer(1, true))
		clear := kept(0)
		do := fmt.Sprintf("Twice the flow would leave %.0f %%, a fine stage %.0f %%, and water without suspended matter %.0f %%.", more, fine, clear)
		switch {
		case clear < now+3:
			do = "It is the length of the view and the colour of the water, not dirt: let wood soak out, change more water, or put the picture nearer to that side."
		case fine > now+1 && fine >= more:
			do = "Give the filter a fine stage and siphon detritus before it is stirred up. " + do
		default:
			do = "Add flow, and siphon detritus before it is stirred up. " + do
		}
		out = append(out, nowhere(Finding{
			Rule: "hazy", Severity: Look, Day: first, Until: last, Subject: s.Name, Where: "seen from " + s.From,
			What: fmt.Sprintf("The tank looks veiled %s.", s.Name),
			Because: fmt.Sprintf("Over %s of water %.0f %% of the contrast is left; a black disk vanishes at %s. %s mg/L float in it.",
				v.cm(s.PathM), now, v.cm(mean(func(d *forecast.Day) float64 { return clarity.Sighting(d.Beam) })), number(mean(func(d *forecast.Day) float64 { return d.Suspended + d.Algae }))),
			Do: do,
		}))
	}
	return out
}
