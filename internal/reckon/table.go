package reckon

import (
	"bufio"
	"context"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"littoral/internal/unit"
	"littoral/internal/water"
	"math"
	"strconv"
	"strings"
)

// column says what one column of a file holds.
type column struct {
	field int    // index of a field; -1 for none
	salt  string // name of a salt in grams; empty for none
}

// Table reads comma-separated rows with a header, reckons each and writes the same rows with the topic's outputs added, in the same order and
// with the input columns as they stood. Rows stream: memory does not grow with their number. A column that the topic does not know is carried
// along; an empty cell is a number that is not known. It stops at the first row that cannot be reckoned and names its line and column;
// what was written until then are whole rows.
func Table(ctx context.Context, t Topic, from io.Reader, to io.Writer) error {
	r := csv.NewReader(skipMark(bufio.NewReaderSize(from, 1<<16)))
	r.ReuseRecord = true
	r.TrimLeadingSpace = true
	w := csv.NewWriter(to)
	head, err := r.Read()
	if errors.Is(err, io.EOF) {
		return fmt.Errorf("the file is empty; its first line names the columns: %s", strings.Join(t.columns(), ","))
	}
	if err != nil {
		return fmt.Errorf("the file is no comma-separated text: %w", err)
	}
	columns, err := t.match(head)
	if err != nil {
		return err
	}
	wide := len(head)
	names := append([]string(nil), head...)
	line := append([]string(nil), head...)
	for _, o := range t.Out {
		line = append(line, o.Column)
	}
	if err := w.Write(line); err != nil {
		return err
	}
	blank, in, out := t.Blank(), make([]float64, len(t.In)), make([]float64, len(t.Out))
	var salts []Weighed
	text := make([]byte, 0, 32*len(t.Out))
	for n := 1; ; n++ {
		if n&1023 == 0 && ctx.Err() != nil {
			w.Flush()
			return context.Cause(ctx)
		}
		record, err := r.Read()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			w.Flush()
			return fmt.Errorf("a row cannot be read: %w", err) // the reader names line and column
		}
		at, _ := r.FieldPos(0)
		copy(in, blank)
		salts = salts[:0]
		for i, c := range columns {
			if c.field < 0 && c.salt == "" || strings.TrimSpace(record[i]) == "" {
				continue
			}
			x, err := strconv.ParseFloat(strings.TrimSpace(record[i]), 64)
			if err == nil && math.IsNaN(x) {
				err = errors.New("not a number")
			}
			if err != nil {
				w.Flush()
				return fmt.Errorf("line %d, column %s: %q is not a number; write it with a decimal point and without its unit", at, names[i], record[i])
			}
			if c.salt != "" {
				salts = append(salts, Weighed{c.salt, x})
				continue
			}
			if err := t.In[c.field].check(x); err != nil {
				w.Flush()
				return fmt.Errorf("line %d, column %s: %s %w", at, names[i], record[i], err)
			}
			in[c.field] = x
		}
		if err := t.into(in, salts, out); err != nil {
			w.Flush()
			return fmt.Errorf("line %d: %w", at, err)
		}
		line = append(line[:0], record[:wide]...)
		for _, x := range out {
			if math.IsNaN(x) {
				line = append(line, "")
				continue
			}
			text = strconv.AppendFloat(text[:0], x, 'g', 8, 64)
			line = append(line, string(text))
		}
		if err := w.Write(line); err != nil {
			return err
		}
	}
	w.Flush()
	return w.Error()
}

// columns lists the columns that a file may hold, the needed ones first.
func (t Topic) columns() []string {
	var needed, more []string
	for _, f := range t.In {
		if f.Needed {
			needed = append(needed, f.Column)
		} else {
			more = append(more, f.Column)
		}
	}
	if t.Salts {
		more = append(more, "and salts in grams, such as CaSO4·2H2O")
	}
	return append(needed, more...)
}

// match finds what each column of a header holds. It fails when a needed one is not there or one is there twice.
func (t Topic) match(head []string) ([]column, error) {
	columns := make([]column, len(head))
	seen := map[int]string{}
	salts := map[string]string{}
	for i, name := range head {
		columns[i] = column{field: -1}
		name = strings.TrimSpace(name)
		for k, f := range t.In {
			if strings.EqualFold(name, f.Column) || f.Also != "" && strings.EqualFold(name, f.Also) {
				if other, twice := seen[k]; twice {
					return nil, fmt.Errorf("columns %q and %q both hold %s; leave one of them out", other, name, f.Column)
				}
				seen[k] = name
				columns[i].field = k
			}
		}
		if !t.Salts || columns[i].field >= 0 {
			continue
		}
		s, ok := water.LookSalt(strings.TrimSuffix(strings.TrimSuffix(name, "_g"), " g"))
		if !ok {
			if _, err := unit.MolarMass(name); err == nil {
				return nil, fmt.Errorf("column %q is a formula, but no salt that is known here; the catalogue lists them: littoral catalog --kind salt", name)
			}
			continue
		}
		if other, twice := salts[s.Name]; twice {
			return nil, fmt.Errorf("columns %q and %q are the same salt; leave one of them out", other, name)
		}
		salts[s.Name] = name
		columns[i].salt = s.Name
	}
	for k, f := range t.In {
		if _, there := seen[k]; f.Needed && !there {
			return nil, fmt.Errorf("column %s is missing; the columns are %s", f.Column, strings.Join(t.columns(), ", "))
		}
	}
	return columns, nil
}

// skipMark drops the byte order mark that spreadsheets put before a text.
func skipMark(r *bufio.Reader) io.Reader {
	if b, err := r.Peek(3); err == nil && string(b) == "\ufeff" {
		_, _ = r.Discard(3) // three bytes are there: they were just seen
	}
	return r
}
