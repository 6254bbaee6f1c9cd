package tapsheet

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"littoral/internal/unit"
	"littoral/internal/water"
	"math"
	"strconv"
	"strings"
	"unicode/utf8"

	"github.com/xuri/excelize/v2"
)

// Line is one entry of a sheet and how it was understood.
type Line struct {
	Text   string  // as it stands in the sheet
	Name   string  // the parameter; empty when it was not understood
	Value  float64 // in Unit
	Unit   string  // "mg/L", "°dKH", "µS/cm"; empty for pH
	Remark string  // what was assumed, or why it was left out
}

// Sheet is a read analysis.
type Sheet struct {
	Lines    []Line
	Analysis water.Analysis
	States   map[string]bool // parameters that the sheet states, by Line.Name

	Conductivity float64 // µS/cm as printed; 0 when not stated

	Cations, Anions float64 // meq/L of what is stated
	Remarks         []string
}

// largest bounds what is read: sheets have dozens of lines, not millions.
const (
	largestText = 1 << 20
	largestRows = 5000
)

// Rows splits a text into cells: commas, semicolons or tabs, quoted or not; a list with colons ("Calcium: 45 mg/l") is read too.
func Rows(text string) ([][]string, error) {
	if len(text) > largestText {
		return nil, errors.New("the sheet is larger than a megabyte; keep the page with the analysis")
	}
	text = strings.TrimPrefix(text, "\ufeff")
	best := ','
	most := strings.Count(text, ",")
	// A decimal comma must not part a number: semicolons and tabs win wherever lines have them.
	for _, sep := range []rune{';', '\t'} {
		if n := strings.Count(text, string(sep)); n > 0 && 2*n >= most {
			best, most = sep, 2*n
		}
	}
	lines := strings.Count(strings.TrimSpace(text), "\n") + 1
	if colons := strings.Count(text, ":"); colons*2 > lines && strings.Count(text, string(best)) < colons {
		var rows [][]string
		for _, l := range strings.Split(text, "\n") {
			if name, rest, ok := strings.Cut(l, ":"); ok {
				rows = append(rows, []string{name, rest})
			}
		}
		return rows, nil
	}
	r := csv.NewReader(strings.NewReader(text))
	r.Comma, r.FieldsPerRecord, r.LazyQuotes, r.TrimLeadingSpace = best, -1, true, true
	rows, err := r.ReadAll()
	if err != nil {
		return nil, fmt.Errorf("the sheet cannot be read: %w", err)
	}
	if len(rows) > largestRows {
		return nil, fmt.Errorf("the sheet has %d rows; keep the ones of the analysis", len(rows))
	}
	return rows, nil
}

// Read understands the cells of a sheet. It fails when nothing in it is known, or alkalinity or hardness is missing and cannot be had from the
// ions; single lines that are not understood are listed with a remark.
func Read(rows [][]string) (Sheet, error) {
	s := Sheet{States: map[string]bool{}}
	values := map[string]float64{}
	entries := list(rows)
	if table := columns(rows); known(table) > known(entries) {
		entries = table
	}
	for _, e := range entries {
		line, ok := understand(e)
		if ok && s.States[line.Name] {
			line.Remark = "stated twice; the first one counts"
			line.Name, ok = "", false
		}
		if ok {
			s.States[line.Name] = true
			values[line.Name] = line.Value
		}
		s.Lines = append(s.Lines, line)
	}
	if len(values) == 0 {
		return s, errors.New("nothing in the sheet is known; it should list parameters with values and units, such as \"Calcium;45;mg/L\"")
	}
	return s, s.compose(values)
}

// entry is a name with what stands beside it.
type entry struct{ name, value, unit string }

// list reads one parameter a row: the first cell that holds letters is the name, the first number after it the value, the first other text its unit. A
// unit in the name's brackets counts when no cell has one.
func list(rows [][]string) []entry {
	var all []entry
	for _, row := range rows {
		e := entry{}
		for _, cell := range row {
			cell = strings.TrimSpace(cell)
			value, rest, isNumber := splitNumber(cell)
			switch {
			case cell == "":
			case e.name == "" && !isNumber:
				e.name = cell
			case e.name != "" && e.value == "" && isNumber:
				e.value = value
				if e.unit == "" {
					e.unit = rest
				}
			case e.name != "" && e.unit == "" && !isNumber && looksLikeUnit(cell):
				e.unit = cell
			}
		}
		if e.name != "" && e.value != "" {
			all = append(all, e)
		}
	}
	return all
}

// columns reads a header and the first row of numbers under it; a row of units between them is understood.
func columns(rows [][]string) []entry {
	for h, head := range rows {
		hits := 0
		for _, cell := range head {
			name, _ := brackets(cell)
			if _, _, ok := find(name); ok {
				hits++
			}
		}
		if hits < 3 {
			continue
		}
		units := make([]string, len(head))
		for _, row := range rows[h+1:] {
			numbers := 0
			for i, cell := range row {
				if _, _, ok := splitNumber(strings.TrimSpace(cell)); ok {
					numbers++
				} else if i < len(units) && looksLikeUnit(cell) {
					units[i] = strings.TrimSpace(cell)
				}
			}
			if numbers < 2 {
				continue
			}
			var all []entry
			for i, cell := range row {
				if i >= len(head) {
					break
				}
				if value, rest, ok := splitNumber(strings.TrimSpace(cell)); ok {
					u := units[i]
					if rest != "" {
						u = rest
					}
					all = append(all, entry{head[i], value, u})
				}
			}
			return all
		}
	}
	return nil
}

func known(all []entry) int {
	n := 0
	for _, e := range all {
		name, _ := brackets(e.name)
		if _, _, ok := find(name); ok {
			n++
		}
	}
	return n
}

// splitNumber parts "< 0,05 mg/l" into "<0.05" and "mg/l". A range "6.5-7.5" counts with its middle.
func splitNumber(cell string) (number, rest string, ok bool) {
	text := strings.TrimSpace(cell)
	below := ""
	if cut, yes := strings.CutPrefix(text, "<"); yes {
		below, text = "<", strings.TrimSpace(cut)
	}
	end := 0
	for end < len(text) && (text[end] >= '0' && text[end] <= '9' || text[end] == '.' || text[end] == ',') {
		end++
	}
	if end == 0 {
		return "", "", false
	}
	x, good := decimal(text[:end])
	if !good {
		return "", "", false
	}
	rest = strings.TrimSpace(text[end:])
	for _, dash := range []string{"-", "–", "bis", "to", "…"} {
		tail, yes := strings.CutPrefix(rest, dash)
		if !yes {
			continue
		}
		if high, after, ok := splitNumber(tail); ok && !strings.HasPrefix(high, "<") {
			y, _ := strconv.ParseFloat(high, 64)
			x, rest = (x+y)/2, after
		}
		break
	}
	return below + strconv.FormatFloat(x, 'g', -1, 64), rest, true
}

// decimal reads 12.5, 12,5 and 1.234,5.
func decimal(text string) (float64, bool) {
	comma, dot := strings.LastIndex(text, ","), strings.LastIndex(text, ".")
	switch {
	case comma >= 0 && dot > comma: // 1,234.5
		text = strings.ReplaceAll(text, ",", "")
	case comma >= 0 && dot >= 0: // 1.234,5
		text = strings.ReplaceAll(strings.ReplaceAll(text, ".", ""), ",", ".")
	case comma >= 0:
		text = strings.Replace(text, ",", ".", 1)
	}
	x, err := strconv.ParseFloat(text, 64)
	return x, err == nil && !math.IsInf(x, 0)
}

func looksLikeUnit(cell string) bool {
	f := strings.ToLower(strings.TrimSpace(cell))
	return strings.Contains(f, "/") || strings.Contains(f, "°") || strings.HasPrefix(f, "ppm") || f == "dh" || f == "dkh" || f == "dgh" || f == "gpg" || f == "fh" || f == "c" || f == "ppb"
}

// brackets parts "Calcium (mg/l)" and "Calcium [mg/l]" into name and unit; brackets that hold no unit stay with the name.
func brackets(name string) (bare, inside string) {
	for _, pair := range []string{"()", "[]"} {
		open, shut := strings.IndexByte(name, pair[0]), strings.LastIndexByte(name, pair[1])
		if open >= 0 && shut > open && looksLikeUnit(name[open+1:shut]) {
			return strings.TrimSpace(name[:open] + name[shut+1:]), name[open+1 : shut]
		}
	}
	if bare, in, ok := strings.Cut(name, " in "); ok && looksLikeUnit(in) {
		return bare, in
	}
	return name, ""
}

// understand turns an entry into a line in the units of this package.
func understand(e entry) (Line, bool) {
	name, inside := brackets(e.name)
	u := strings.TrimSpace(e.unit)
	if u == "" {
		u = strings.TrimSpace(inside)
	}
	line := Line{Text: strings.TrimSpace(e.name + " " + e.value + " " + u)}
	p, as, ok := find(name)
	if !ok {
		line.Remark = "not needed, or not known"
		return line, false
	}
	number, isBelow := strings.CutPrefix(e.value, "<")
	x, err := strconv.ParseFloat(number, 64)
	if err != nil {
		line.Remark = "no number"
		return line, false
	}
	line.Name = p.key
	if isBelow {
		line.Remark = "below what was measured; half of it counts"
		x /= 2
	}
	switch p.key {
	case "pH":
		if x < 3 || x > 12 {
			return Line{Text: line.Text, Remark: "no pH of drinking water"}, false
		}
		line.Value = x
		return line, true
	case "conductivity":
		line.Unit = "µS/cm"
		switch key := strings.ToLower(strings.ReplaceAll(u, " ", "")); {
		case strings.HasPrefix(key, "ms/m"):
			x *= 10
		case strings.HasPrefix(key, "ms/cm"):
			x *= 1000
		}
		line.Value = x
		return line, true
	}
	if u == "" {
		if p.bare == "" && as == "" {
			return Line{Text: line.Text, Remark: "it has no unit, and could mean several; write one beside it"}, false
		}
		u = p.bare
		if u == "" {
			u = "mg/L"
		}
		line.Remark = join(line.Remark, "without a unit, read as "+u)
	}
	if as != "" && !strings.Contains(strings.ToLower(u), strings.ToLower(strings.TrimPrefix(as, "as "))) {
		u += " " + as
	}
	text := strconv.FormatFloat(x, 'g', -1, 64) + " " + u
	switch p.kind {
	case unit.KindConcentration:
		c, err := unit.ParseConcentration(text, p.ion)
		if err != nil {
			return Line{Text: line.Text, Remark: err.Error()}, false
		}
		line.Value, line.Unit = float64(c), "mg/L"
	case unit.KindAlkalinity:
		a, err := unit.ParseAlkalinity(text)
		if err != nil {
			return Line{Text: line.Text, Remark: err.Error()}, false
		}
		line.Value, line.Unit = unit.DKH(a), "°dKH"
	case unit.KindHardness:
		h, err := unit.ParseHardness(text)
		if err != nil {
			return Line{Text: line.Text, Remark: err.Error()}, false
		}
		line.Value, line.Unit = unit.DGH(h), "°dGH"
	default:
		t, err := unit.Parse(p.kind, text)
		if err != nil {
			return Line{Text: line.Text, Remark: err.Error()}, false
		}
		line.Value, line.Unit = t, "°C"
	}
	return line, true
}

func join(a, b string) string {
	if a == "" {
		return b
	}
	return a + "; " + b
}

// compose makes the analysis of the values and looks for what cannot be.
func (s *Sheet) compose(v map[string]float64) error {
	has := func(k string) bool { return s.States[k] }
	ca, mg := v["Ca"]/water.MolCa, v["Mg"]/water.MolMg // mmol/L
	a := water.Analysis{
		T: 12, PH: v["pH"], Na: v["Na"], K: v["K"], Cl: v["Cl"], SO4: v["SO4"],
		NO3: v["NO3"], NO2: v["NO2"], NH4: v["NH4"], PO4: v["PO4"], Fe: v["Fe"],
	}
	if has("temperature") {
		a.T = v["temperature"]
	}
	switch {
	case has("alkalinity"):
		a.Alk = v["alkalinity"] * water.MeqPerDH
	case has("HCO3"):
		a.Alk = v["HCO3"] / water.MolHCO3
	default:
		return errors.New("the sheet states neither alkalinity (KH) nor hydrogen carbonate; measure KH with a titration kit and add the line \"alkalinity;7;dKH\"")
	}
	if has("alkalinity") && has("HCO3") && math.Abs(v["HCO3"]/water.MolHCO3-a.Alk) > 0.1+0.05*a.Alk {
		s.Remarks = append(s.Remarks, fmt.Sprintf("Alkalinity of %.1f °dKH and hydrogen carbonate of %.0f mg/L do not fit; alkalinity counts.", a.Alk/water.MeqPerDH, v["HCO3"]))
	}
	switch {
	case has("Ca") && has("Mg"):
		a.Hard = ca + mg
		if has("hardness") && math.Abs(v["hardness"]*water.MmolPerDH-a.Hard) > 0.05+0.06*a.Hard {
			s.Remarks = append(s.Remarks, fmt.Sprintf("Calcium and magnesium make %.1f °dGH, the sheet says %.1f; the ions count.", a.Hard/water.MmolPerDH, v["hardness"]))
		}
	case has("hardness"):
		a.Hard = v["hardness"] * water.MmolPerDH
		if has("Ca") {
			mg = math.Max(0, a.Hard-ca)
		} else if has("Mg") {
			ca = math.Max(0, a.Hard-mg)
		}
	case has("Ca"):
		a.Hard = ca
		s.Remarks = append(s.Remarks, "Neither hardness nor magnesium is stated; magnesium counts as none.")
	default:
		return errors.New("the sheet states neither hardness nor calcium; measure GH with a titration kit and add the line \"hardness;12;dGH\"")
	}
	if ca > 0 && mg > 0 {
		a.CaMg = ca / mg
	}
	s.Analysis = a
	s.Conductivity = v["conductivity"]
	s.balance()
	return nil
}

// balance compares the charges and the conductivity of what is stated.
func (s *Sheet) balance() {
	stated := s.stated()
	s.Cations, s.Anions = stated.Charges()
	mean := (s.Cations + s.Anions) / 2
	if mean == 0 {
		return
	}
	off := 100 * (s.Cations - s.Anions) / mean
	if math.Abs(off) > 10 {
		ion, mgL := water.LikelyWrong(stated)
		s.Remarks = append(s.Remarks, fmt.Sprintf("Cations carry %.2f and anions %.2f meq/L: as it stands the analysis is off by %.0f %%. Most likely %s is missing or misprinted; %.0f mg/L of it would close the balance.", s.Cations, s.Anions, math.Abs(off), ion, mgL))
	}
	if s.Conductivity > 0 {
		c, _ := s.Analysis.Composition()
		if got := c.Conductivity(25); math.Abs(got/s.Conductivity-1) > 0.15 {
			s.Remarks = append(s.Remarks, fmt.Sprintf("The ions conduct about %.0f µS/cm at 25 °C, the sheet says %.0f; sheets also state it at 20 °C, which reads a tenth lower.", got, s.Conductivity))
		}
	}
}

// stated is the water of the sheet before anything is added to balance it.
func (s *Sheet) stated() water.Composition {
	c, added := s.Analysis.Composition()
	c.Na -= added.Na
	c.Cl -= added.Cl
	c.SO4 -= added.SO4
	return c
}

// Cells reads a file's cells: a spreadsheet in Office Open XML (its first sheet with anything in it) or a text. It fails on what is neither.
func Cells(data []byte) ([][]string, error) {
	if !bytes.HasPrefix(data, []byte("PK")) {
		if !utf8.Valid(data) {
			data = fromLatin1(data)
		}
		if bytes.IndexByte(data, 0) >= 0 {
			return nil, errors.New("the file is no text and no .xlsx spreadsheet; save it as CSV or .xlsx")
		}
		return Rows(string(data))
	}
	book, err := excelize.OpenReader(bytes.NewReader(data), excelize.Options{UnzipSizeLimit: largestUnzipped, UnzipXMLSizeLimit: largestUnzipped})
	if err != nil {
		return nil, fmt.Errorf("the spreadsheet cannot be read: %w; save it as .xlsx or CSV", err)
	}
	defer func() { _ = book.Close() }() // it was read from memory; there is nothing to lose
	for _, name := range book.GetSheetList() {
		rows, err := book.GetRows(name)
		if err != nil {
			return nil, fmt.Errorf("sheet %q cannot be read: %w", name, err)
		}
		if len(rows) > largestRows {
			return nil, fmt.Errorf("sheet %q has %d rows; keep the ones of the analysis", name, len(rows))
		}
		if len(rows) > 0 {
			return rows, nil
		}
	}
	return nil, errors.New("the spreadsheet is empty")
}

// largestUnzipped bounds what a spreadsheet may unpack to, bytes.
const largestUnzipped = 16 << 20

// fromLatin1 reads a text that an old spreadsheet saved in ISO 8859-1.
func fromLatin1(data []byte) []byte {
	out := make([]rune, len(data))
	for i, b := range data {
		out[i] = rune(b)
	}
	return []byte(string(out))
}

// PlanBlock writes the analysis as the tap of a plan, in one line.
func (s Sheet) PlanBlock() string {
	a := s.Analysis
	parts := []string{
		fmt.Sprintf("alkalinity: %s dKH", short(a.Alk/water.MeqPerDH)),
		fmt.Sprintf("hardness: %s dGH", short(a.Hard/water.MmolPerDH)),
	}
	if a.PH > 0 {
		parts = append(parts, "ph: "+short(a.PH))
	}
	ca, mg := 0.0, 0.0
	if a.CaMg > 0 {
		ca, mg = a.Hard*a.CaMg/(1+a.CaMg)*water.MolCa, a.Hard/(1+a.CaMg)*water.MolMg
	}
	for _, x := range []struct {
		key string
		mgL float64
	}{
		{"calcium", ca},
		{"magnesium", mg},
		{"sodium", a.Na},
		{"potassium", a.K},
		{"nitrate", a.NO3},
		{"ammonium", a.NH4},
		{"phosphate", a.PO4},
		{"chloride", a.Cl},
		{"sulphate", a.SO4},
		{"iron", a.Fe},
	} {
		if x.mgL > 0 {
			parts = append(parts, fmt.Sprintf("%s: %s mg/L", x.key, short(x.mgL)))
		}
	}
	if s.States["temperature"] {
		parts = append(parts, fmt.Sprintf("temperature: %s °C", short(a.T)))
	}
	return "tap: {" + strings.Join(parts, ", ") + "}"
}

func short(x float64) string { return strconv.FormatFloat(x, 'g', 3, 64) }
