package catalog

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"github.com/goccy/go-yaml"
	"github.com/goccy/go-yaml/ast"
	"github.com/goccy/go-yaml/parser"
)

// File is a house's own table: the bytes of a CSV or YAML file that the caller has read. Name is used in error texts, and its
// ending (.csv, .yaml, .yml) says how to read it.
type File struct {
	Name string
	Data []byte
}

// FileError is one fault in a File.
type FileError struct {
	File string
	Line int // counted from 1; 0 when the fault is the whole file's
	Text string
}

// Error writes the fault as "file:line: text".
func (e *FileError) Error() string {
	if e.Line == 0 {
		return e.File + ": " + e.Text
	}
	return fmt.Sprintf("%s:%d: %s", e.File, e.Line, e.Text)
}

// Limits of a house's file: far above any real table, low enough that a wrong file is refused at once.
const (
	maxBytes  = 8 << 20
	maxFaults = 100 // reported at once; more would hide the first
	maxNested = 64  // brackets open at once in YAML; the tables need two, and reading thousands takes minutes
)

// tableWords are the tables a file can hold: a CSV file names its table in its first column heading, a YAML file has one list for each.
var tableWords = []struct{ csv, yaml string }{
	{"species", "species"}, {"animal", "animals"}, {"material", "materials"}, {"lamp", "lamps"}, {"bottle", "bottles"},
}

// cell is one value as written.
type cell struct {
	text string
	line int
}

// row is one line of a table as written: its key column and the other cells by column name.
type row struct {
	file  string
	line  int
	table string // csv word of tableWords
	order []string
	cells map[string]cell
}

// faults collects errors until all files are read.
type faults struct{ list []error }

func (f *faults) add(file string, line int, format string, args ...any) {
	f.list = append(f.list, &FileError{File: file, Line: line, Text: fmt.Sprintf(format, args...)})
}

func (f *faults) err() error {
	if len(f.list) == 0 {
		return nil
	}
	if n := len(f.list); n > maxFaults {
		return errors.Join(append(slices.Clone(f.list[:maxFaults]), fmt.Errorf("and %d more faults", n-maxFaults))...)
	}
	return errors.Join(f.list...)
}

// readRows splits a file into rows.
func readRows(f File, bad *faults) []row {
	if len(f.Data) > maxBytes {
		bad.add(f.Name, 0, "the file is larger than %d MB, a catalogue table is not", maxBytes>>20)
		return nil
	}
	text := bytes.TrimPrefix(f.Data, []byte("\ufeff"))
	switch lower := strings.ToLower(f.Name); {
	case strings.HasSuffix(lower, ".csv"):
		return readCSV(f.Name, text, bad)
	case strings.HasSuffix(lower, ".yaml"), strings.HasSuffix(lower, ".yml"):
		return readYAML(f.Name, text, bad)
	}
	bad.add(f.Name, 0, "the file must end in .csv, .yaml or .yml")
	return nil
}

func readCSV(file string, text []byte, bad *faults) []row {
	r := csv.NewReader(bytes.NewReader(text))
	r.Comment = '#'
	r.FieldsPerRecord = -1
	r.TrimLeadingSpace = true
	var head []string
	var rows []row
	for {
		record, err := r.Read()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			var at *csv.ParseError
			if errors.As(err, &at) {
				bad.add(file, at.Line, "the line cannot be read as comma-separated values: %v", at.Err)
			} else {
				bad.add(file, 0, "the file cannot be read as comma-separated values: %v", err)
			}
			return rows
		}
		line, _ := r.FieldPos(0)
		if head == nil {
			head = record
			for i := range head {
				head[i] = strings.ToLower(strings.TrimSpace(head[i]))
			}
			if !isTable(head[0]) {
				bad.add(file, line, "the first column heading is %q, it must say what the table holds: species, animal, material, lamp or bottle", head[0])
				return nil
			}
			for i, h := range head {
				if slices.Contains(head[:i], h) {
					bad.add(file, line, "the column %q stands twice", h)
					return nil
				}
			}
			continue
		}
		if len(record) != len(head) {
			bad.add(file, line, "the line has %d values, the heading has %d; put values that hold commas in double quotes", len(record), len(head))
			continue
		}
		w := row{file: file, line: line, table: head[0], cells: map[string]cell{}}
		for i, text := range record {
			if text = strings.TrimSpace(text); text != "" {
				at, _ := r.FieldPos(i)
				w.order = append(w.order, head[i])
				w.cells[head[i]] = cell{text, at}
			}
		}
		if _, named := w.cells[w.table]; !named {
			bad.add(file, line, "the row has no name in the column %q", w.table)
			continue
		}
		rows = append(rows, w)
	}
	if head == nil {
		bad.add(file, 0, "the file is empty, it needs a line of column headings")
	}
	return rows
}

func isTable(word string) bool {
	return slices.ContainsFunc(tableWords, func(t struct{ csv, yaml string }) bool { return t.csv == word })
}

func readYAML(file string, text []byte, bad *faults) (rows []row) {
	// The YAML library is given whatever the user has; should it fail on a broken file, that is the file's fault, not a crash.
	defer func() {
		if p := recover(); p != nil {
			bad.add(file, 0, "the file cannot be read as YAML")
		}
	}()
	if line := tooDeep(text); line > 0 {
		bad.add(file, line, "more than %d brackets are open here, a bracket was not closed", maxNested)
		return nil
	}
	tree, err := parser.ParseBytes(text, 0)
	if err != nil {
		var syntax *yaml.SyntaxError
		if errors.As(err, &syntax) && syntax.Token != nil {
			bad.add(file, syntax.Token.Position.Line, "the line cannot be read as YAML: %s", syntax.Message)
		} else {
			bad.add(file, 0, "the file cannot be read as YAML: %v", err)
		}
		return nil
	}
	for _, doc := range tree.Docs {
		if doc.Body == nil {
			continue
		}
		for _, list := range pairs(doc.Body, file, bad) {
			word := ""
			for _, t := range tableWords {
				if t.yaml == keyOf(list) {
					word = t.csv
				}
			}
			line := lineOf(list.Key)
			if word == "" {
				bad.add(file, line, "the key %q is not known here; the file may hold species, animals, materials, lamps and bottles", keyOf(list))
				continue
			}
			seq, ok := list.Value.(*ast.SequenceNode)
			if !ok {
				bad.add(file, line, "%s must be a list, one entry with a leading dash for each", keyOf(list))
				continue
			}
			for _, item := range seq.Values {
				if w, ok := yamlRow(file, word, item, bad); ok {
					rows = append(rows, w)
				}
			}
		}
	}
	return rows
}

// tooDeep returns the line at which more than maxNested brackets are open, or 0. Brackets inside quotes count too: no table needs many.
func tooDeep(text []byte) int {
	open, line := 0, 1
	for _, b := range text {
		switch b {
		case '[', '{':
			if open++; open > maxNested {
				return line
			}
		case ']', '}':
			open = max(0, open-1)
		case '\n':
			line++
		}
	}
	return 0
}

func yamlRow(file, word string, item ast.Node, bad *faults) (row, bool) {
	w := row{file: file, line: lineOf(item), table: word, cells: map[string]cell{}}
	before := len(bad.list)
	for _, kv := range pairs(item, file, bad) {
		key, line := keyOf(kv), lineOf(kv.Key)
		if key == "name" {
			key = word
		}
		if _, twice := w.cells[key]; twice {
			bad.add(file, line, "the key %q stands twice in one entry", key)
			continue
		}
		text, ok := yamlText(kv.Value)
		if !ok {
			bad.add(file, line, "%q has no plain value; write a word, a number or a list, and put colours in quotes", key)
			continue
		}
		w.order = append(w.order, key)
		w.cells[key] = cell{text, line}
	}
	if len(bad.list) > before {
		return row{}, false
	}
	if strings.TrimSpace(w.cells[word].text) == "" {
		bad.add(file, w.line, "the entry has no name")
		return row{}, false
	}
	return w, true
}

// pairs lists the key-value pairs of a mapping, or reports that the node is none.
func pairs(n ast.Node, file string, bad *faults) []*ast.MappingValueNode {
	switch m := n.(type) {
	case *ast.MappingNode:
		return m.Values
	case *ast.MappingValueNode:
		return []*ast.MappingValueNode{m}
	case nil:
		return nil
	}
	bad.add(file, lineOf(n), "keys with values are expected here")
	return nil
}

// yamlText writes a scalar, or a list of scalars joined by "; ", as the text that a CSV cell would hold.
func yamlText(n ast.Node) (string, bool) {
	switch v := n.(type) {
	case *ast.NullNode, nil:
		return "", false
	case *ast.LiteralNode:
		return strings.TrimSpace(v.Value.Value), true
	case *ast.StringNode:
		return strings.TrimSpace(v.Value), true
	case *ast.IntegerNode, *ast.FloatNode, *ast.BoolNode, *ast.InfinityNode, *ast.NanNode:
		return strings.TrimSpace(n.GetToken().Value), true
	case *ast.SequenceNode:
		parts := make([]string, 0, len(v.Values))
		for _, item := range v.Values {
			if _, nested := item.(*ast.SequenceNode); nested {
				return "", false
			}
			text, ok := yamlText(item)
			if !ok {
				return "", false
			}
			parts = append(parts, text)
		}
		return strings.Join(parts, "; "), true
	}
	return "", false
}

func keyOf(kv *ast.MappingValueNode) string {
	if kv.Key == nil || kv.Key.GetToken() == nil {
		return ""
	}
	return strings.ToLower(strings.TrimSpace(kv.Key.GetToken().Value))
}

func lineOf(n ast.Node) int {
	if n == nil || n.GetToken() == nil || n.GetToken().Position == nil {
		return 0
	}
	return n.GetToken().Position.Line
}
