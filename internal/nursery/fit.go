package nursery

import (
	"fmt"
	"littoral/internal/catalog"
	"littoral/internal/unit"
	"math"
	"slices"
	"strings"
)

// How well something fits.
const (
	Fits     = "fits"
	WithCare = "with care"
	Not      = "does not fit"
)

// Verdict is one thing compared between a species and a plan.
type Verdict struct {
	About string // light, height, CO2, hardness, temperature, roots, animals, growth or law
	Fits  string // Fits, WithCare or Not
	Text  string // one plain sentence with the numbers
}

// Worst is the least good of verdicts; Fits when there are none.
func Worst(list []Verdict) string {
	worst := Fits
	for _, v := range list {
		if v.Fits == Not || v.Fits == WithCare && worst == Fits {
			worst = v.Fits
		}
	}
	return worst
}

// Fit compares a species with the plan, in a fixed order. At is the place it would stand in; nil = anywhere in the tank.
func (s *Site) Fit(sp *catalog.Species, at *Spot) []Verdict {
	all := []func(*catalog.Species, *Spot) *Verdict{s.lit, s.high, s.gas, s.hard, s.warm, s.rooted, s.eaten, s.paced, s.lawful}
	var out []Verdict
	for _, ask := range all {
		if v := ask(sp, at); v != nil {
			out = append(out, *v)
		}
	}
	return out
}

func (s *Site) cm(v float64) string {
	system := unit.Metric
	if s.plan.House != nil && s.plan.House.Units == "US" {
		system = unit.US
	}
	return unit.FormatDigits(unit.KindLength, v/100, system, 2)
}

// span writes a range of whole numbers, as one number where both are the same.
func span(lo, hi float64) string {
	if math.Round(lo) == math.Round(hi) {
		return fmt.Sprintf("%.0f", lo)
	}
	return fmt.Sprintf("%.0f to %.0f", lo, hi)
}

// muchLight is how far over the range that a slow plant thrives in light may lie before its leaves grow algae. Common practice, no source.
const muchLight = 2

func (s *Site) lit(sp *catalog.Species, at *Spot) *Verdict {
	if s.Light.NX == 0 || sp.Form == catalog.Floating {
		return nil
	}
	wants := fmt.Sprintf("it thrives in %s µmol/m²/s", span(sp.PAR.Min, sp.PAR.Max))
	slow := sp.Speed == "slow" || sp.Speed == "very slow"
	if at != nil && at.OK && at.Light > 0 {
		got := fmt.Sprintf("%s, and the bed here gets %.0f before other leaves shade it", wants, at.Light)
		switch {
		case at.Light < sp.PAR.Min:
			return &Verdict{"light", Not, sentence("too little light: " + got)}
		case slow && at.Light > muchLight*sp.PAR.Max:
			return &Verdict{"light", WithCare, sentence("more light than such a slow plant needs: " + got + "; its leaves will gather algae unless others shade them")}
		}
		return &Verdict{"light", Fits, sentence("light: " + got)}
	}
	_, mean, _ := s.Light.Stats()
	enough, much, n := 0.0, 0.0, 0.0
	var all []float64
	for i, in := range s.Light.Inside {
		if !in {
			continue
		}
		n++
		all = append(all, s.Light.PPFD[i])
		if s.Light.PPFD[i] >= sp.PAR.Min {
			enough++
		}
		if s.Light.PPFD[i] > muchLight*sp.PAR.Max {
			much++
		}
	}
	if n == 0 {
		return nil
	}
	slices.Sort(all)
	// Eight of ten parts of it: the rest lies under stones or in a corner.
	got := fmt.Sprintf("%s, and most of the bed gets %s, %.0f on average, before other leaves shade it", wants, span(all[len(all)/10], all[len(all)*9/10]), mean)
	switch {
	case enough == 0:
		return &Verdict{"light", Not, sentence("too little light: " + got)}
	case enough < .5*n:
		return &Verdict{"light", WithCare, sentence(fmt.Sprintf("light on %.0f %% of the bed only: %s", math.Max(1, 100*enough/n), got))}
	case slow && much > .5*n:
		return &Verdict{"light", WithCare, sentence("more light than such a slow plant needs: " + got + "; set it in the shade of others")}
	}
	return &Verdict{"light", Fits, sentence("light: " + got)}
}

// room is the water over the bed, least and most, cm.
func (s *Site) room(at *Spot) (lo, hi float64) {
	if at != nil && at.OK {
		return s.LevelCM - at.BedCM, s.LevelCM - at.BedCM
	}
	return s.LevelCM - s.BedCM[1], s.LevelCM - s.BedCM[0]
}

func (s *Site) high(sp *catalog.Species, at *Spot) *Verdict {
	if sp.Form == catalog.Floating {
		return nil
	}
	lo, hi := s.room(at)
	grows := fmt.Sprintf("it grows %s to %s high", s.cm(sp.HeightCM.Min), s.cm(sp.HeightCM.Max))
	over := "over the bed stand " + s.cm(lo) + " to " + s.cm(hi) + " of water"
	if s.cm(lo) == s.cm(hi) {
		over = "over the bed stand " + s.cm(lo) + " of water"
	}
	switch {
	case sp.HeightCM.Min > hi:
		return &Verdict{"height", Not, sentence("it outgrows the water: " + grows + ", and " + over)}
	case sp.HeightCM.Max > lo:
		return &Verdict{"height", WithCare, sentence("it reaches the surface: " + grows + ", and " + over + "; cut it in time or set it where the bed is low")}
	}
	return &Verdict{"height", Fits, sentence("height: " + grows + ", and " + over)}
}

func (s *Site) gas(sp *catalog.Species, _ *Spot) *Verdict {
	has := "no CO2 is injected"
	if s.Gas {
		has = "CO2 is injected"
		if s.CO2 > 0 {
			has = fmt.Sprintf("CO2 is held at %.0f mg/L", s.CO2)
		}
	}
	need := map[string]string{"none": "it needs no CO2", "helpful": "CO2 helps it", "recommended": "CO2 is recommended for it", "required": "it lives by injected CO2"}[sp.CO2]
	switch {
	case !s.Gas && sp.CO2 == "required":
		return &Verdict{"CO2", Not, sentence(need + ", and " + has)}
	case !s.Gas && sp.CO2 == "recommended":
		return &Verdict{"CO2", WithCare, sentence(need + ", and " + has + "; it will grow slowly and lose leaves")}
	}
	return &Verdict{"CO2", Fits, sentence(need + ", and " + has)}
}

func (s *Site) hard(sp *catalog.Species, _ *Spot) *Verdict {
	lives := fmt.Sprintf("it lives in %s °dGH", span(sp.GH.Min, sp.GH.Max))
	has := fmt.Sprintf("the change water has %.1f °dGH and %.1f °dKH", s.GH, s.KH)
	if sp.KHMax > 0 {
		lives += fmt.Sprintf(" and up to %.0f °dKH", sp.KHMax)
	}
	off := max(sp.GH.Min-s.GH, s.GH-sp.GH.Max)
	if sp.KHMax > 0 {
		off = max(off, s.KH-sp.KHMax)
	}
	switch {
	case off > 3: // degrees; our own choice: within a mineral salt or a tenth more pure water of the range
		return &Verdict{"hardness", Not, sentence("the water is not its water: " + lives + ", and " + has)}
	case off > 0:
		return &Verdict{"hardness", WithCare, sentence("the water lies at the edge: " + lives + ", and " + has)}
	}
	return &Verdict{"hardness", Fits, sentence("hardness: " + lives + ", and " + has)}
}

func (s *Site) warm(sp *catalog.Species, _ *Spot) *Verdict {
	lives := fmt.Sprintf("it lives at %s °C", span(sp.Temp.Min, sp.Temp.Max))
	has := fmt.Sprintf("the water stands at %s °C through the year", span(s.TempC[0], s.TempC[1]))
	off := max(sp.Temp.Min-s.TempC[0], s.TempC[1]-sp.Temp.Max)
	switch {
	case off > 2: // °C; our own choice
		return &Verdict{"temperature", Not, sentence("the temperature is not its own: " + lives + ", and " + has)}
	case off > 0.5:
		return &Verdict{"temperature", WithCare, sentence("the temperature lies at the edge: " + lives + ", and " + has)}
	}
	return &Verdict{"temperature", Fits, sentence("temperature: " + lives + ", and " + has)}
}

func (s *Site) rooted(sp *catalog.Species, _ *Spot) *Verdict {
	tied := sp.Form == catalog.Rhizome || sp.Form == catalog.Moss || slices.Contains(sp.Places, "epiphyte")
	switch {
	case sp.Form == catalog.Floating:
		return nil
	case tied && !s.Hard:
		return &Verdict{"roots", WithCare, "It is tied or glued to stone or wood, and the plan has none."}
	case tied:
		return &Verdict{"roots", Fits, "It is tied or glued to stone or wood, and the plan has some."}
	case s.BedCM[1] < 2: // cm; roots of a pot need about 3 (common practice, no source)
		return &Verdict{"roots", Not, sentence("it roots in a bed, and the bed is nowhere higher than " + s.cm(s.BedCM[1]))}
	case sp.Feeder == "root" && !s.Active && !s.Tablets:
		return &Verdict{"roots", WithCare, "It feeds by its roots, and the bed is poor and gets no root tablets."}
	case sp.Feeder == "root" && !s.Active:
		return &Verdict{"roots", Fits, "It feeds by its roots, and root tablets are given."}
	case sp.Feeder == "root":
		return &Verdict{"roots", Fits, "It feeds by its roots, and the bed is rich."}
	}
	return &Verdict{"roots", Fits, "It takes its food from the water as well as by its roots."}
}

func (s *Site) eaten(sp *catalog.Species, _ *Spot) *Verdict {
	if len(s.Eaters) == 0 {
		return &Verdict{"animals", Fits, "No animal of the plan eats or uproots plants."}
	}
	who := strings.Join(s.Eaters, " and ")
	// Tough or bitter leaves are mostly left alone (common practice, no source).
	if (sp.Form == catalog.Rhizome) && (sp.Speed == "slow" || sp.Speed == "very slow") {
		return &Verdict{"animals", WithCare, sentence(who + " in the plan eat or uproot plants; leaves as tough as these are mostly left alone")}
	}
	return &Verdict{"animals", Not, sentence(who + " in the plan eat or uproot plants")}
}

func (s *Site) paced(sp *catalog.Species, _ *Spot) *Verdict {
	if sp.TrimWeeks.Max <= 0 {
		return nil
	}
	wants := fmt.Sprintf("it grows %s and wants cutting every %s weeks", sp.Speed, span(sp.TrimWeeks.Min, sp.TrimWeeks.Max))
	if s.TrimDays == 0 {
		if sp.TrimWeeks.Max <= 8 {
			return &Verdict{"growth", WithCare, sentence(wants + ", and the plan has no visit that cuts plants")}
		}
		return &Verdict{"growth", Fits, sentence(wants)}
	}
	every := s.TrimDays / 7
	has := fmt.Sprintf("the plan cuts plants every %s weeks", strings.TrimSuffix(fmt.Sprintf("%.1f", every), ".0"))
	if every == 1 {
		has = "the plan cuts plants every week"
	}
	switch {
	case every > 2*sp.TrimWeeks.Max:
		return &Verdict{"growth", Not, sentence("too fast for the visits: " + wants + ", and " + has)}
	case every > sp.TrimWeeks.Max:
		return &Verdict{"growth", WithCare, sentence("fast for the visits: " + wants + ", and " + has)}
	}
	return &Verdict{"growth", Fits, sentence("growth: " + wants + ", and " + has)}
}

func (s *Site) lawful(sp *catalog.Species, _ *Spot) *Verdict {
	if here := s.plan.Noticed(sp.Notices); len(here) > 0 {
		n := here[0]
		if i := slices.IndexFunc(here, func(n catalog.Notice) bool { return n.Status == "banned" }); i >= 0 {
			n = here[i]
		}
		fits, after := WithCare, "check the local list before ordering"
		if n.Status == "banned" {
			fits, after = Not, "the local list decides"
		}
		return &Verdict{"law", fits, sentence(fmt.Sprintf("it is %s in %s as noted on %s; %s", n.Status, n.Region, n.Noted, after))}
	}
	if len(s.plan.Region) == 0 {
		if len(sp.Notices) == 0 {
			return nil
		}
		n := sp.Notices[0]
		return &Verdict{"law", WithCare, sentence(fmt.Sprintf("it is %s in %s, and the plan does not say where the tank stands; add region and check the local list", n.Status, n.Region))}
	}
	return nil
}

// sentence begins with a capital and ends with a stop.
func sentence(s string) string {
	return strings.ToUpper(s[:1]) + s[1:] + "."
}
