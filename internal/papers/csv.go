package papers

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"littoral/internal/clarity"
	"littoral/internal/forecast"
	"littoral/internal/growth"
	"math"
	"sort"
	"strconv"
)

// column is one column of series.csv: its name carries the unit, places its decimals.
type column struct {
	name   string
	places int
	of     func(*forecast.Day) float64
}

// seriesColumns are the columns of series.csv after day. Files keep SI-derived units whatever the house shows, so that scripts need
// to know one set only.
var seriesColumns = []column{
	{"temp_c", 2, func(d *forecast.Day) float64 { return d.TempC }},
	{"temp_min_c", 2, func(d *forecast.Day) float64 { return d.TempMin }},
	{"temp_max_c", 2, func(d *forecast.Day) float64 { return d.TempMax }},
	{"ph_dawn", 2, func(d *forecast.Day) float64 { return d.PHDawn }},
	{"ph_dusk", 2, func(d *forecast.Day) float64 { return d.PHDusk }},
	{"kh_dkh", 2, func(d *forecast.Day) float64 { return d.KH }},
	{"gh_dgh", 2, func(d *forecast.Day) float64 { return d.GH }},
	{"co2_dawn_mg_l", 2, func(d *forecast.Day) float64 { return d.CO2Dawn }},
	{"co2_lit_mg_l", 2, func(d *forecast.Day) float64 { return d.CO2On }},
	{"co2_corner_mg_l", 2, func(d *forecast.Day) float64 { return d.CO2Corner }},
	{"co2_max_mg_l", 2, func(d *forecast.Day) float64 { return d.CO2Max }},
	{"co2_night_mg_l", 2, func(d *forecast.Day) float64 { return d.CO2Night }},
	{"o2_dawn_mg_l", 2, func(d *forecast.Day) float64 { return d.O2Dawn }},
	{"o2_dusk_mg_l", 2, func(d *forecast.Day) float64 { return d.O2Dusk }},
	{"no3_mg_l", 3, func(d *forecast.Day) float64 { return d.NO3 }},
	{"no2_mg_l", 4, func(d *forecast.Day) float64 { return d.NO2 }},
	{"nh4_mg_l", 4, func(d *forecast.Day) float64 { return d.NH4 }},
	{"nh3_n_max_mg_l", 5, func(d *forecast.Day) float64 { return d.NH3N }},
	{"po4_mg_l", 4, func(d *forecast.Day) float64 { return d.PO4 }},
	{"k_mg_l", 3, func(d *forecast.Day) float64 { return d.K }},
	{"ca_mg_l", 2, func(d *forecast.Day) float64 { return d.Ca }},
	{"mg_mg_l", 2, func(d *forecast.Day) float64 { return d.Mg }},
	{"fe_mg_l", 4, func(d *forecast.Day) float64 { return d.Fe }},
	{"suspended_mg_l", 3, func(d *forecast.Day) float64 { return d.Suspended }},
	{"kd_per_m", 3, func(d *forecast.Day) float64 { return d.Kd }},
	{"beam_per_m", 3, func(d *forecast.Day) float64 { return d.Beam }},
	{"sight_m", 1, func(d *forecast.Day) float64 {
		if d.Beam <= 0 {
			return math.NaN()
		}
		return clarity.Sighting(d.Beam)
	}},
	{"contrast_share", 4, func(d *forecast.Day) float64 { return d.Contrast }},
	{"evaporated_l", 2, func(d *forecast.Day) float64 { return d.EvaporatedL }},
	{"top_up_l", 2, func(d *forecast.Day) float64 { return d.TopUpL }},
	{"changed_l", 1, func(d *forecast.Day) float64 { return d.ChangedL }},
	{"co2_used_g", 2, func(d *forecast.Day) float64 { return d.CO2UsedG }},
	{"heater_kwh", 3, func(d *forecast.Day) float64 { return d.HeaterKWh }},
	{"lamp_kwh", 3, func(d *forecast.Day) float64 { return d.LampKWh }},
	{"light_h", 2, func(d *forecast.Day) float64 { return d.LightHours }},
	{"dim_share", 3, func(d *forecast.Day) float64 { return d.Dim }},
	{"sun_h", 2, func(d *forecast.Day) float64 { return d.SunHours }},
	{"daylight_bed_mol_m2", 3, func(d *forecast.Day) float64 { return d.DaylightDLI }},
	{"shoot_dry_g", 2, func(d *forecast.Day) float64 { return d.ShootG }},
	{"root_dry_g", 2, func(d *forecast.Day) float64 { return d.RootG }},
	{"growth_dry_g", 3, func(d *forecast.Day) float64 { return d.GrowthG }},
	{"cut_dry_g", 3, func(d *forecast.Day) float64 { return d.CutG }},
	{"cut_n_mg", 2, func(d *forecast.Day) float64 { return d.CutN }},
	{"cut_p_mg", 2, func(d *forecast.Day) float64 { return d.CutP }},
	{"uptake_n_water_mg", 2, func(d *forecast.Day) float64 { return d.UptakeNWater }},
	{"uptake_n_root_mg", 2, func(d *forecast.Day) float64 { return d.UptakeNRoot }},
	{"cover_share", 4, func(d *forecast.Day) float64 { return d.Cover }},
	{"bed_ppfd_umol_m2_s", 2, func(d *forecast.Day) float64 { return d.BedPPFD }},
	{"soil_n_mg", 0, func(d *forecast.Day) float64 { return d.SoilN }},
	{"soil_p_mg", 0, func(d *forecast.Day) float64 { return d.SoilP }},
	{"soil_k_mg", 0, func(d *forecast.Day) float64 { return d.SoilK }},
	{"buffer_meq", 1, func(d *forecast.Day) float64 { return d.BufferMeq }},
	{"nitrifiers_share", 4, func(d *forecast.Day) float64 { return d.Nitrifiers }},
	{"flow_share", 3, func(d *forecast.Day) float64 { return d.Flow }},
	{"glass_film_g_m2", 3, func(d *forecast.Day) float64 { return d.GlassFilm }},
	{"leaf_film_g_m2", 3, func(d *forecast.Day) float64 { return d.LeafFilm }},
	{"algae_mg_l", 3, func(d *forecast.Day) float64 { return d.Algae }},
	{"work_min", 1, func(d *forecast.Day) float64 { return d.Minutes }},
}

// Column is a column of series.csv.
type Column struct {
	Name   string // carries the unit
	Places int    // decimals that are shown
	Values []float64
}

// Series gives the columns of series.csv as numbers, one value for each of days in their order; values that are not numbers are nothing.
func Series(days []forecast.Day) []Column {
	out := make([]Column, len(seriesColumns))
	for i, c := range seriesColumns {
		out[i] = Column{Name: c.name, Places: c.places, Values: make([]float64, len(days))}
		for k := range days {
			out[i].Values[k] = places(finite(c.of(&days[k])), c.places)
		}
	}
	return out
}

// decimal writes a value for a file; one that is not a number leaves the cell empty.
func decimal(v float64, places int) string {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return ""
	}
	s := strconv.FormatFloat(v, 'f', places, 64)
	if v < 0 && s == strconv.FormatFloat(math.Copysign(0, -1), 'f', places, 64) {
		return s[1:]
	}
	return s
}

// flag writes 1 for yes and 0 for no.
func flag(yes bool) string {
	if yes {
		return "1"
	}
	return "0"
}

// cell keeps a name from being read as a formula by a spreadsheet.
func cell(s string) string {
	if s != "" && (s[0] == '=' || s[0] == '+' || s[0] == '-' || s[0] == '@' || s[0] == '\t' || s[0] == '\r') {
		return "'" + s
	}
	return s
}

func table(header []string, rows func(write func([]string))) []byte {
	var b bytes.Buffer
	w := csv.NewWriter(&b)
	// Writing to memory does not fail; Flush leaves nothing behind.
	_ = w.Write(header)
	rows(func(r []string) { _ = w.Write(r) })
	w.Flush()
	return b.Bytes()
}

// seriesCSV is a line for each day, those before planting included with negative numbers.
func seriesCSV(f *forecast.Forecast) []byte {
	header := []string{"day"}
	for _, c := range seriesColumns {
		header = append(header, c.name)
	}
	return table(header, func(write func([]string)) {
		for _, days := range [][]forecast.Day{f.Before, f.Days} {
			for i := range days {
				row := []string{strconv.Itoa(days[i].Day)}
				for _, c := range seriesColumns {
					row = append(row, decimal(c.of(&days[i]), c.places))
				}
				write(row)
			}
		}
	})
}

var plantsHeader = []string{
	"day", "id", "planting", "species", "x_cm", "y_cm", "crown_z_cm", "on", "born_day", "plants_together", "height_cm", "spread_cm", "leaves", "stems",
	"shoots", "nodes", "internode_cm", "stem_length_cm", "bare_foot_cm", "leaves_week", "leaf_life_days", "daughters", "runners", "plantlets", "red", "resting", "mat_loose",
	"shoot_dry_g", "root_dry_g", "n_share", "p_share", "k_share", "iron_status", "leaf_area_cm2", "ppfd_umol_m2_s", "top_ppfd_umol_m2_s", "least", "least_factor", "shaded_by", "shaded_by_share", "full_light_share", "submersed_share",
}

// plantsCSV is a line for each plant on the days of the four views.
func plantsCSV(t *teller) []byte {
	return table(plantsHeader, func(write func([]string)) {
		for _, day := range t.viewDays() {
			s := nearest(t.f, day)
			if s == nil {
				continue
			}
			for i := range s.Plants {
				p := &s.Plants[i]
				least, factor := p.Limits.Least()
				write([]string{
					strconv.Itoa(s.Day), cell(p.ID), cell(p.Planting), cell(speciesOf(p)), decimal(100*p.X, 1), decimal(100*p.Y, 1), decimal(100*p.Z, 1), cell(p.On), strconv.Itoa(p.Born),
					decimal(max(p.Count, 1), 0), decimal(100*p.HeightM, 1), decimal(100*p.SpreadM, 1), decimal(p.Leaves, 0), decimal(p.Stems, 0),
					decimal(p.Shoots, 0), decimal(p.Nodes, 1), decimal(100*p.InternodeM, 2), decimal(100*p.LengthM, 1), decimal(100*p.BareM, 1), decimal(p.LeafRate, 2), decimal(p.LeafLife, 0),
					decimal(p.Daughters, 0), decimal(p.Runners, 0), decimal(p.Plantlets, 0), decimal(p.Red, 2), flag(p.Resting), decimal(p.Loose, 2),
					decimal(p.ShootG, 3), decimal(p.RootG, 3),
					decimal(p.QN, 4), decimal(p.QP, 5), decimal(p.QK, 4), decimal(p.Iron, 2), decimal(1e4*p.LeafM2, 0), decimal(p.PPFD, 1), decimal(p.TopPPFD, 1), least, decimal(factor, 2), cell(p.Shader), decimal(p.ShaderTakes, 2), decimal(fullShare(p), 2), decimal(p.Submerse, 2),
				})
			}
		}
	})
}

// fullShare is the share of the light without plants that reaches a plant's leaves.
func fullShare(p *growth.PlantState) float64 {
	if p.FullPPFD <= 0 {
		return 0
	}
	return p.PPFD / p.FullPPFD
}

func speciesOf(p *growth.PlantState) string {
	if p.Species == nil {
		return ""
	}
	return p.Species.Name
}

// plantingsCSV is a line for each planting every week.
func plantingsCSV(f *forecast.Forecast) []byte {
	return table([]string{"day", "planting", "species", "plants", "height_mean_cm", "height_max_cm", "spread_mean_cm", "shoot_dry_g", "root_dry_g", "ppfd_mean_umol_m2_s", "reached_share", "held_back_by", "held_back_share"}, func(write func([]string)) {
		for i := range f.Snapshots {
			s := &f.Snapshots[i]
			type sum struct{ n, h, hmax, w, shoot, root, light float64 }
			sums := map[string]*sum{}
			species := map[string]string{}
			var order []string
			for j := range s.Plants {
				p := &s.Plants[j]
				q := sums[p.Planting]
				if q == nil {
					q = &sum{}
					sums[p.Planting] = q
					species[p.Planting] = speciesOf(p)
					order = append(order, p.Planting)
				}
				n := max(p.Count, 1)
				q.n += n
				q.h += n * p.HeightM
				q.hmax = max(q.hmax, p.HeightM)
				q.w += n * p.SpreadM
				q.shoot += p.ShootG
				q.root += p.RootG
				q.light += n * p.PPFD
			}
			sort.Strings(order)
			for _, id := range order {
				q := sums[id]
				reached, cause, share := heldOn(f, id, s.Day)
				write([]string{fmt.Sprint(s.Day), cell(id), cell(species[id]), decimal(q.n, 0), decimal(100*q.h/q.n, 1), decimal(100*q.hmax, 1), decimal(100*q.w/q.n, 1), decimal(q.shoot, 2), decimal(q.root, 2), decimal(q.light/q.n, 1), reached, cause, share})
			}
		}
	})
}

// heldOn tells how fast a planting grew in the month of a day against what its kind can, what held it back most and its share of what
// was lost; empty cells where nothing is known.
func heldOn(f *forecast.Forecast, planting string, day int) (reached, cause, share string) {
	for i := range f.Held {
		m := &f.Held[i]
		if m.Planting != planting || day < m.From || day > m.Until {
			continue
		}
		if c := m.Shares.Causes(); len(c) > 0 {
			return decimal(m.Reached, 3), c[0].Name, decimal(c[0].Share, 3)
		}
		return decimal(m.Reached, 3), "", ""
	}
	return "", "", ""
}

// viewDays are the days of the four views, those that the forecast reaches, and its last day when it ends between them.
func (t *teller) viewDays() []int {
	var out []int
	for _, d := range []int{0, 56, 365, 1095} {
		if d <= t.f.Length+3 {
			out = append(out, d)
		}
	}
	if l := out[len(out)-1]; t.f.Length > l+30 || t.f.Length > l && len(out) == 1 {
		out = append(out, t.f.Length)
	}
	return out
}
