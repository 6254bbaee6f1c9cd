package papers

import (
	"fmt"
	"io"
	"littoral/internal/forecast"
	"littoral/internal/unit"
	"strings"
)

// BandsJSON is what many members say together. Bands are the 10, 50 and 90 % quantiles over the members.
type BandsJSON struct {
	Members   int             `json:"members"`
	Seed      uint64          `json:"seed"`
	Days      []int           `json:"days" jsonschema:"description=days of the series and plantings below"`
	LeafMass  []BandJSON      `json:"leaf_dry_g" jsonschema:"description=dry mass of all shoots, g"`
	Nitrate   []BandJSON      `json:"no3_mg_l"`
	Phosphate []BandJSON      `json:"po4_mg_l"`
	Plantings []PlantingBands `json:"plantings"`
	Years     []YearBands     `json:"years" jsonschema:"description=work and harvest, means per month of each year"`
	Dates     []DateBandJSON  `json:"dates"`
	Drivers   []DriverJSON    `json:"drivers" jsonschema:"description=parameters whose draws go with an outcome, strongest first within each outcome"`
	Threshold float64         `json:"threshold" jsonschema:"description=rank correlation that chance alone exceeds once in a hundred times"`
}

// BandJSON are three quantiles.
type BandJSON struct {
	Low  float64 `json:"p10"`
	Mid  float64 `json:"p50"`
	High float64 `json:"p90"`
}

// PlantingBands is a planting through time.
type PlantingBands struct {
	Planting string     `json:"planting"`
	Species  string     `json:"species"`
	HeightCM []BandJSON `json:"height_max_cm" jsonschema:"description=its tallest plant over its crown, cm"`
	ShootG   []BandJSON `json:"shoot_dry_g"`
}

// YearBands are means per month of a year.
type YearBands struct {
	Year        int      `json:"year"`
	TrimMinutes BandJSON `json:"cutting_min_per_month"`
	Minutes     BandJSON `json:"work_min_per_month"`
	HarvestG    BandJSON `json:"cut_wet_g_per_month"`
}

// DateBandJSON is the day on which something first holds; a quantile that is not reached within the forecast is null.
type DateBandJSON struct {
	What  string  `json:"what" say:"text"`
	Share float64 `json:"share_of_members" jsonschema:"description=members that see it within the forecast"`
	Low   *int    `json:"p10" jsonschema:"oneof_type=integer;null"`
	Mid   *int    `json:"p50" jsonschema:"oneof_type=integer;null"`
	High  *int    `json:"p90" jsonschema:"oneof_type=integer;null"`
}

// DriverJSON is a parameter and an outcome.
type DriverJSON struct {
	Outcome   string  `json:"outcome" say:"text"`
	Parameter string  `json:"parameter" say:"text"`
	Rank      float64 `json:"rank_correlation"`
}

// Bands turns what many members say into its form for scripts.
func Bands(b *forecast.Bands) *BandsJSON {
	one := func(x forecast.Band, f float64, n int) BandJSON {
		return BandJSON{places(f*x.Low, n), places(f*x.Mid, n), places(f*x.High, n)}
	}
	list := func(x []forecast.Band, f float64, n int) []BandJSON {
		out := make([]BandJSON, len(x))
		for i := range x {
			out[i] = one(x[i], f, n)
		}
		return out
	}
	j := &BandsJSON{Members: b.Members, Seed: b.Seed, Days: b.Days, Threshold: places(b.Threshold, 3), Plantings: []PlantingBands{}, Years: []YearBands{}, Dates: []DateBandJSON{}, Drivers: []DriverJSON{}}
	for i := range b.Series {
		s := &b.Series[i]
		switch s.Name {
		case "leaf mass":
			j.LeafMass = list(s.Bands, 1, 2)
		case "nitrate":
			j.Nitrate = list(s.Bands, 1, 3)
		case "phosphate":
			j.Phosphate = list(s.Bands, 1, 4)
		}
	}
	for i := range b.Plantings {
		p := &b.Plantings[i]
		j.Plantings = append(j.Plantings, PlantingBands{p.Planting, p.Species, list(p.HeightM, 100, 1), list(p.ShootG, 1, 2)})
	}
	for _, y := range b.Totals {
		j.Years = append(j.Years, YearBands{y.Year, one(y.TrimMinutes, 1, 1), one(y.Minutes, 1, 1), one(y.HarvestG, 1, 0)})
	}
	for _, d := range b.Dates {
		day := func(x float64) *int {
			if x < 0 {
				return nil
			}
			n := int(x + 0.5)
			return &n
		}
		j.Dates = append(j.Dates, DateBandJSON{d.Name, places(d.Share, 3), day(d.Day.Low), day(d.Day.Mid), day(d.Day.High)})
	}
	for _, d := range b.Drivers {
		j.Drivers = append(j.Drivers, DriverJSON{d.Outcome, d.Parameter, places(d.Rank, 3)})
	}
	return j
}

// BandSummary says in a few lines how far the members lie apart.
func BandSummary(w io.Writer, b *forecast.Bands) error {
	var s strings.Builder
	fmt.Fprintf(&s, "%d forecasts with other values of every uncertain number; in eight of ten:\n", b.Members)
	last := len(b.Days) - 1
	year := last
	for i, d := range b.Days {
		if d >= 365 {
			year = i
			break
		}
	}
	span := func(x forecast.Band, figures int) string {
		return figure(x.Low, figures) + " to " + figure(x.High, figures)
	}
	most := 0.0
	for _, y := range b.Totals {
		most = max(most, y.HarvestG.High)
	}
	wet := func(x forecast.Band) string {
		if most < 1000 {
			return span(x, 2) + " g"
		}
		return span(forecast.Band{Low: x.Low / 1000, High: x.High / 1000}, 2) + " kg"
	}
	for i := range b.Series {
		x := &b.Series[i]
		fmt.Fprintf(&s, "  %s %s %s by %s", x.Name, span(x.Bands[year], 2), x.Unit, unit.FormatDay(unit.Day(b.Days[year])))
		if last != year {
			fmt.Fprintf(&s, ", %s by %s", span(x.Bands[last], 2), unit.FormatDay(unit.Day(b.Days[last])))
		}
		fmt.Fprintln(&s)
	}
	for _, y := range b.Totals {
		fmt.Fprintf(&s, "  year %d: %s min of cutting a month, %s cut wet a month\n", y.Year, span(y.TrimMinutes, 2), wet(y.HarvestG))
	}
	for _, d := range b.Dates {
		day := func(x float64) string {
			if x < 0 {
				return "after the forecast ends"
			}
			return unit.FormatDay(unit.Day(x))
		}
		switch low, high := day(d.Day.Low), day(d.Day.High); {
		case d.Day.Low < 0:
			fmt.Fprintf(&s, "  %s: seen by %.0f %% of the members\n", d.Name, 100*d.Share)
			continue
		case low == high:
			fmt.Fprintf(&s, "  %s: %s", d.Name, low)
		default:
			fmt.Fprintf(&s, "  %s: %s to %s", d.Name, low, high)
		}
		if d.Share < 1 {
			fmt.Fprintf(&s, " (in %.0f %% within the forecast)", 100*d.Share)
		}
		fmt.Fprintln(&s)
	}
	for i := 0; i < len(b.Drivers); {
		j := i
		var names []string
		for ; j < len(b.Drivers) && b.Drivers[j].Outcome == b.Drivers[i].Outcome; j++ {
			if len(names) < 3 {
				names = append(names, fmt.Sprintf("%s (%+.2f)", b.Drivers[j].Parameter, b.Drivers[j].Rank))
			}
		}
		fmt.Fprintf(&s, "  what moves the %s: %s\n", b.Drivers[i].Outcome, strings.Join(names, "; "))
		i = j
	}
	_, err := io.WriteString(w, s.String())
	return err
}
