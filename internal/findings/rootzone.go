package findings

import (
	"fmt"
	"littoral/internal/unit"
	"math"
	"sort"
	"strings"
)

// Due is a place in the bed whose supply runs down: when, and how many root tablets feed it from then on for one round.
type Due struct {
	Day     int
	Where   string
	X, Y    float64 // m
	Tablets int
	Short   string // the nutrient that ends first
	Columns []int  // root columns, ascending
}

// tabletsDue lists the places of the bed that will hold less than two months of supply for what roots there, by day. A place is a ninth
// of the floor; it is due on the first day on which three of its patches are short, with all patches of it that are short within the three
// months that one round of plain tablets lasts.
func (v *view) tabletsDue() []Due {
	const together, round = 3, 91
	cols := v.f.Columns
	type place struct {
		first map[int]int // column to its first short day
		short map[int]string
	}
	places := map[string]*place{}
	var names []string
	for i := range v.f.Snapshots {
		s := &v.f.Snapshots[i]
		if s.Day < grown && v.p.Found == nil {
			continue
		}
		for _, p := range s.Soil {
			if p.Months >= shortMonths {
				continue
			}
			x, y := (float64(p.Column%cols.NX)+0.5)*cols.Cell, (float64(p.Column/cols.NX)+0.5)*cols.Cell
			name := v.where(x, y)
			q := places[name]
			if q == nil {
				q = &place{map[int]int{}, map[int]string{}}
				places[name] = q
				names = append(names, name)
			}
			if _, seen := q.first[p.Column]; !seen {
				q.first[p.Column], q.short[p.Column] = s.Day, p.Short
			}
		}
	}
	var out []Due
	for _, name := range names {
		q := places[name]
		var days []int
		for _, d := range q.first {
			days = append(days, d)
		}
		if len(days) < together {
			continue
		}
		sort.Ints(days)
		d := Due{Day: days[together-1], Where: name}
		for col, day := range q.first {
			if day <= d.Day+round {
				d.Columns = append(d.Columns, col)
			}
		}
		sort.Ints(d.Columns)
		area := 0.0
		count := map[string]int{}
		for _, col := range d.Columns {
			d.X += (float64(col%cols.NX) + 0.5) * cols.Cell / float64(len(d.Columns))
			d.Y += (float64(col/cols.NX) + 0.5) * cols.Cell / float64(len(d.Columns))
			area += cols.Area[col]
			count[q.short[col]]++
		}
		d.Short = "nitrogen"
		if count["phosphorus"] > count["nitrogen"] {
			d.Short = "phosphorus"
		}
		d.Tablets = int(math.Ceil(area / perTablet))
		out = append(out, d)
	}
	sort.SliceStable(out, func(a, b int) bool {
		if out[a].Day != out[b].Day {
			return out[a].Day < out[b].Day
		}
		return out[a].Where < out[b].Where
	})
	return out
}

// grown is the day from which the demand on the bed is known.
const grown = 42

// dueText lists places in the order of their dates.
func dueText(list []Due) string {
	const most = 6
	var parts []string
	for _, d := range list {
		if len(parts) == most {
			parts = append(parts, fmt.Sprintf("and %d places more", len(list)-most))
			break
		}
		parts = append(parts, fmt.Sprintf("%s %s %d", unit.FormatDay(unit.Day(d.Day)), d.Where, d.Tablets))
	}
	return strings.Join(parts, "; ")
}
