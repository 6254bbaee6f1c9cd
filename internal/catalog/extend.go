package catalog

import (
	"fmt"
	"slices"
	"strings"
)

// table is what Extend needs to know of one kind of row.
type table[T any] struct {
	word    string // as in tableWords
	columns []column[T]
	names   func(*T) names
	own     func(*T) *string
	fresh   func(file string) T // a new row with its defaults
	finish  func(t *T) error    // fills what follows from the columns and checks what they say together
}

// Extend returns a catalogue with the rows of the given files added. A row whose name is already known changes that row: the cells
// it gives replace the old values, the rest stays. Later files win over earlier ones. The receiver is not changed.
//
// Every fault of every file is reported at once, joined, each as a *FileError with file and line: unknown columns, numbers that are
// none or lie outside what can be, words that are not in the list, names that two rows claim. The catalogue is nil when there is one.
func (c *Catalog) Extend(files ...File) (*Catalog, error) {
	var bad faults
	byTable := map[string][]row{}
	for _, f := range files {
		for _, w := range readRows(f, &bad) {
			byTable[w.table] = append(byTable[w.table], w)
		}
	}
	next := &Catalog{salts: c.salts, saltAt: c.saltAt}
	next.species, next.speciesAt = merge(speciesTable(), c.species, c.speciesAt, byTable["species"], &bad)
	next.animals, next.animalAt = merge(animalTable(), c.animals, c.animalAt, byTable["animal"], &bad)
	next.materials, next.materialAt = merge(materialTable(), c.materials, c.materialAt, byTable["material"], &bad)
	next.lamps, next.lampAt = merge(lampTable(), c.lamps, c.lampAt, byTable["lamp"], &bad)
	next.bottles, next.bottleAt = merge(bottleTable(), c.bottles, c.bottleAt, byTable["bottle"], &bad)
	if err := bad.err(); err != nil {
		return nil, err
	}
	next.found = searchables(next.species)
	return next, nil
}

// origin is where a row was last written.
type origin struct {
	file string
	line int
}

// merge lays rows over an old table.
func merge[T any](t table[T], old []T, at index, rows []row, bad *faults) ([]T, index) {
	if len(rows) == 0 {
		return old, at
	}
	list := slices.Clone(old)
	from := make([]origin, len(list))
	where := make(map[string]int, len(list)) // folded own name to row
	for i := range list {
		where[fold(*t.own(&list[i]))] = i
	}
	reported := map[string]bool{} // file and unknown column: one report for a column, not one for each row
	for _, w := range rows {
		name := w.cells[t.word].text
		if err := plainText(name); err != nil {
			bad.add(w.file, w.line, "%s: %v", t.word, err)
			continue
		}
		key := fold(name)
		if key == "" {
			bad.add(w.file, w.line, "the name %q holds no letters", name)
			continue
		}
		i, known := where[key]
		if !known {
			if e, ok := at[key]; ok && e.level == 1 { // a row written under a synonym changes the species it means
				i, known = e.row, true
			}
		}
		var value T
		if known {
			value = list[i]
			if from[i].line > 0 && from[i].file == w.file {
				bad.add(w.file, w.line, "%s %q stands twice, first at line %d", t.word, name, from[i].line)
				continue
			}
		} else {
			value = t.fresh(w.file)
			*t.own(&value) = name
		}
		before := len(bad.list)
		for _, heading := range w.order {
			c := w.cells[heading]
			if heading == t.word || c.text == "" {
				continue
			}
			k := slices.IndexFunc(t.columns, func(x column[T]) bool { return x.name == heading })
			if k < 0 {
				if !reported[w.file+"\x00"+heading] {
					reported[w.file+"\x00"+heading] = true
					bad.add(w.file, c.line, "%q is not a column of a %s table%s", heading, t.word, hint(heading, columnNames(t.columns)))
				}
				continue
			}
			if err := t.columns[k].set(&value, c.text); err != nil {
				bad.add(w.file, c.line, "%s %s: %s: %v", t.word, name, heading, err)
			}
		}
		if !known {
			var missing []string
			for _, column := range t.columns {
				if column.required && w.cells[column.name].text == "" {
					missing = append(missing, column.name)
				}
			}
			if len(missing) > 0 {
				bad.add(w.file, w.line, "%s %s is new and needs a value for %s", t.word, name, strings.Join(missing, ", "))
			}
		}
		if len(bad.list) > before {
			continue
		}
		if err := t.finish(&value); err != nil {
			bad.add(w.file, w.line, "%s %s: %v", t.word, name, err)
			continue
		}
		if known {
			list[i], from[i] = value, origin{w.file, w.line}
			continue
		}
		where[key] = len(list)
		list, from = append(list, value), append(from, origin{w.file, w.line})
	}
	clashes(t, list, from, bad)
	slices.SortStableFunc(list, func(a, b T) int { return strings.Compare(fold(*t.own(&a)), fold(*t.own(&b))) })
	return list, indexOf(list, t.names)
}

// clashes reports names that two rows claim with equal strength, or a synonym that is another row's own name. A name under which a
// species is sold may well be another's own: then that other one is found.
func clashes[T any](t table[T], list []T, from []origin, bad *faults) {
	claims := make(map[string]entry, 4*len(list))
	claim := func(name string, i, level int) {
		key := fold(name)
		old, taken := claims[key]
		if !taken {
			claims[key] = entry{i, level}
			return
		}
		if old.row == i || (level == 2) != (old.level == 2) {
			if level < old.level {
				claims[key] = entry{i, level}
			}
			return
		}
		here, other := i, old.row
		if from[here].line == 0 {
			here, other = other, here
		}
		bad.add(from[here].file, from[here].line, "the name %q of %s already belongs to %s", name, *t.own(&list[here]), *t.own(&list[other]))
	}
	for level := range 3 {
		for i := range list {
			n := t.names(&list[i])
			switch level {
			case 0:
				claim(n.own, i, 0)
			case 1:
				for _, s := range n.synonyms {
					claim(s, i, 1)
				}
			case 2:
				for _, s := range n.soldAs {
					claim(s, i, 2)
				}
			}
		}
	}
}

func columnNames[T any](columns []column[T]) []string {
	list := make([]string, len(columns))
	for i, c := range columns {
		list[i] = c.name
	}
	return list
}

// hint offers the nearest known word, or nothing.
func hint(word string, known []string) string {
	if near := nearest(word, known, 1); len(near) > 0 {
		return fmt.Sprintf(", did you mean %q", near[0])
	}
	return ""
}
