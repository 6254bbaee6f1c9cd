package shelf

import (
	"bytes"
	"cmp"
	"context"
	"crypto/sha256"
	"encoding/csv"
	"encoding/hex"
	"errors"
	"fmt"
	"littoral/internal/journal"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/xuri/excelize/v2"
)

// header names a column with the unit of its numbers.
func header(what string) string { return strings.TrimSpace(what + " " + journal.UnitOf(what)) }

// Tests returns all tests of a tank as a table: date, time, before or after the change, and a column for each thing measured.
func (s *Shelf) Tests(ctx context.Context, tank string, xlsx bool) ([]byte, error) {
	if _, err := s.Store.Tank(ctx, tank); err != nil {
		return nil, err
	}
	tests, err := s.tests(ctx, tank)
	if err != nil {
		return nil, err
	}
	rows := [][]string{{"date", "time", "change"}}
	for _, what := range journal.Measured() {
		rows[0] = append(rows[0], header(what))
	}
	for i := range tests {
		e := &tests[i]
		if e.Struck {
			continue
		}
		date, clock, _ := strings.Cut(e.At, "T")
		row := make([]string, len(rows[0]))
		row[0], row[1], row[2] = date, clock, e.Test.Change
		for _, r := range e.Test.Readings {
			v, err := r.In()
			if err != nil {
				continue // cannot be: it was checked before it was kept
			}
			row[3+slices.Index(journal.Measured(), r.What)] = strconv.FormatFloat(v, 'g', 6, 64)
		}
		rows = append(rows, row)
	}
	var b bytes.Buffer
	if !xlsx {
		w := csv.NewWriter(&b)
		if err := w.WriteAll(rows); err != nil {
			return nil, err
		}
		return b.Bytes(), nil
	}
	f := excelize.NewFile()
	defer f.Close() //nolint:errcheck // in memory
	sheet := f.GetSheetName(0)
	for y, row := range rows {
		for x, text := range row {
			cell, err := excelize.CoordinatesToCellName(x+1, y+1)
			if err != nil {
				return nil, err
			}
			var v any = text
			if n, err := strconv.ParseFloat(text, 64); err == nil {
				v = n
			}
			if text == "" {
				continue
			}
			if err := f.SetCellValue(sheet, cell, v); err != nil {
				return nil, err
			}
		}
	}
	if err := f.Write(&b); err != nil {
		return nil, err
	}
	return b.Bytes(), nil
}

// Bounds of a table, our own choice.
const (
	mostRows     = 20_000
	mostCells    = 1_000_000
	mostProblems = 20
)

// ReadTests reads a table of tests that was kept elsewhere: CSV with comma, semicolon or tab, or the first sheet of an XLSX. All problems
// come back at once, up to a bound; with any there are no entries. Entries of the same table for the same tank have the same ids.
func ReadTests(tank string, raw []byte, xlsx bool) ([]journal.Entry, []string) {
	rows, err := cells(raw, xlsx)
	if err != nil {
		return nil, []string{err.Error()}
	}
	if len(rows) < 2 {
		return nil, []string{"the table has no rows; its first row names the columns, such as date, nitrate mg/L, ph"}
	}
	if len(rows) > mostRows {
		return nil, []string{fmt.Sprintf("the table has %d rows, more than the %d that are read at once; send it in parts", len(rows), mostRows)}
	}
	columns, problems := headers(rows[0])
	var out []journal.Entry
	seen := map[string]int{}
	for y, row := range rows[1:] {
		e, bad := testOf(columns, row)
		for _, p := range bad {
			problems = append(problems, fmt.Sprintf("row %d: %s", y+2, p))
		}
		if len(problems) >= mostProblems {
			break
		}
		if e == nil {
			continue
		}
		key := fmt.Sprintf("%s|%s|%+v", tank, e.At, *e.Test)
		seen[key]++
		sum := sha256.Sum256([]byte(fmt.Sprintf("%s|%d", key, seen[key])))
		e.ID = "table-" + hex.EncodeToString(sum[:])[:24]
		out = append(out, *e)
	}
	if len(problems) > 0 {
		return nil, problems
	}
	slices.SortStableFunc(out, func(a, b journal.Entry) int { return cmp.Compare(a.At, b.At) })
	return out, nil
}

// cells reads a table into text.
func cells(raw []byte, xlsx bool) ([][]string, error) {
	if xlsx {
		f, err := excelize.OpenReader(bytes.NewReader(raw), excelize.Options{UnzipSizeLimit: 64 << 20, UnzipXMLSizeLimit: 32 << 20, RawCellValue: true})
		if err != nil {
			return nil, errors.New("the file is no XLSX table that can be read; save it anew, or as CSV")
		}
		defer f.Close() //nolint:errcheck // in memory
		return sheet(f)
	}
	text := strings.TrimPrefix(strings.ToValidUTF8(string(raw), "?"), "\ufeff")
	first, _, _ := strings.Cut(text, "\n")
	comma := ','
	for _, c := range []rune{';', '\t'} {
		if strings.Count(first, string(c)) > strings.Count(first, string(comma)) {
			comma = c
		}
	}
	r := csv.NewReader(strings.NewReader(text))
	r.Comma, r.FieldsPerRecord, r.TrimLeadingSpace, r.LazyQuotes = comma, -1, comma != '\t', true
	rows, err := r.ReadAll()
	if err != nil {
		return nil, fmt.Errorf("the table cannot be read: %w; save it as CSV", err)
	}
	return rows, nil
}

// errSheet is a sheet that is not read.
var errSheet = errors.New("the first sheet cannot be read; save the table anew, or as CSV")

// sheet reads the first sheet row by row, since a small file can name a cell that is very far away.
func sheet(f *excelize.File) ([][]string, error) {
	rows, err := f.Rows(f.GetSheetName(0))
	if err != nil {
		return nil, errSheet
	}
	defer rows.Close() //nolint:errcheck // in memory
	var out [][]string
	left := mostCells
	for rows.Next() {
		row, err := rows.Columns(excelize.Options{RawCellValue: true})
		if err != nil {
			return nil, errSheet
		}
		if left -= len(row); left < 0 || len(out) > mostRows {
			return nil, fmt.Errorf("the table has more than %d rows or %d cells; send it in parts", mostRows, mostCells)
		}
		out = append(out, row)
	}
	if rows.Error() != nil {
		return nil, errSheet
	}
	return out, nil
}

// column is what a column of a table holds.
type column struct {
	what string // of journal.Measured, or date, time, change
	unit string
}

// other names under which tables have what is measured; common practice, no source.
var otherNames = map[string]string{
	"temp": "temperature", "no3": "nitrate", "no2": "nitrite", "nh4": "ammonium", "po4": "phosphate", "k": "potassium", "fe": "iron", "ca": "calcium", "mg": "magnesium",
	"o2": "oxygen", "carbonate hardness": "kh", "total hardness": "gh", "day": "date",
}

func headers(row []string) ([]column, []string) {
	var out []column
	var problems []string
	dated := false
	for _, text := range row {
		name := strings.ToLower(strings.TrimSpace(text))
		c := column{}
		for _, known := range append(append([]string{"date", "time", "change"}, journal.Measured()...), keys(otherNames)...) {
			if rest, ok := strings.CutPrefix(name, known); ok && len(known) > len(c.what) && (rest == "" || strings.ContainsAny(rest[:1], " (,")) {
				c = column{known, strings.Trim(strings.TrimSpace(text)[len(known):], " (),")}
			}
		}
		if as, ok := otherNames[c.what]; ok {
			c.what = as
		}
		if c.unit == "" && slices.Contains(journal.Measured(), c.what) {
			c.unit = journal.UnitOf(c.what)
		}
		dated = dated || c.what == "date"
		out = append(out, c)
	}
	if !dated {
		problems = append(problems, "no column is called date; name it so in the first row")
	}
	if !slices.ContainsFunc(out, func(c column) bool { return slices.Contains(journal.Measured(), c.what) }) {
		problems = append(problems, "no column is called by what is measured; name them so in the first row: "+strings.Join(journal.Measured(), ", "))
	}
	return out, problems
}

func keys(m map[string]string) []string {
	var out []string
	for k := range m {
		out = append(out, k)
	}
	slices.Sort(out)
	return out
}

// testOf reads a row; nil when it holds no reading.
func testOf(columns []column, row []string) (*journal.Entry, []string) {
	e := journal.Entry{Kind: journal.KindTest, Test: &journal.Test{}}
	var bad []string
	date, clock := "", ""
	for x, text := range row {
		text = strings.TrimSpace(text)
		if x >= len(columns) || text == "" {
			continue
		}
		switch c := columns[x]; c.what {
		case "":
		case "date":
			var err error
			if date, err = isoDate(text); err != nil {
				bad = append(bad, err.Error())
			}
		case "time":
			clock = isoClock(text)
		case "change":
			if t := strings.ToLower(text); t == "before" || t == "after" {
				e.Test.Change = t
			} else {
				bad = append(bad, fmt.Sprintf("change is before or after, not %q", text))
			}
		default:
			v, err := strconv.ParseFloat(strings.Replace(strings.TrimLeft(text, "<≤ "), ",", ".", 1), 64)
			if err != nil {
				bad = append(bad, fmt.Sprintf("%q is no number for %s", text, c.what))
				continue
			}
			r := journal.Reading{What: c.what, Value: v, Unit: c.unit}
			if _, err := r.In(); err != nil {
				bad = append(bad, err.Error())
			}
			e.Test.Readings = append(e.Test.Readings, r)
		}
	}
	if len(e.Test.Readings) == 0 || len(bad) > 0 {
		return nil, bad
	}
	if date == "" {
		return nil, []string{"the row has readings and no date"}
	}
	e.At = date
	if clock != "" {
		e.At += "T" + clock
	}
	return &e, nil
}

// isoDate reads a date as tables have it: ISO 8601, day first with points, or the number of a spreadsheet. Dates with strokes are refused
// where day and month could be changed for one another.
func isoDate(text string) (string, error) {
	for _, layout := range []string{time.DateOnly, "2006-01-02 15:04", "2006-01-02T15:04", "2006-01-02 15:04:05", "2006-01-02T15:04:05", "2.1.2006", "2006/1/2"} {
		if t, err := time.Parse(layout, text); err == nil {
			return t.Format(time.DateOnly), nil
		}
	}
	if n, err := strconv.ParseFloat(text, 64); err == nil && n > 20000 && n < 80000 { // days since 1900 as spreadsheets count them
		t, err := excelize.ExcelDateToTime(n, false)
		if err == nil {
			return t.Format(time.DateOnly), nil
		}
	}
	return "", fmt.Errorf("%q is no date that is sure; write it as 2027-03-01", text)
}

// isoClock reads a time of day; empty when it is none.
func isoClock(text string) string {
	for _, layout := range []string{"15:04", "15:04:05", "3:04 PM", "3:04 pm"} {
		if t, err := time.Parse(layout, text); err == nil {
			return t.Format("15:04")
		}
	}
	if n, err := strconv.ParseFloat(text, 64); err == nil && n >= 0 && n < 1 { // share of a day
		return time.Date(2000, 1, 1, 0, 0, 0, 0, time.UTC).Add(time.Duration(n*24*60+0.5) * time.Minute).Format("15:04")
	}
	return ""
}
