package plan

import (
	"fmt"
	"io"
	"math"
	"sort"
	"strconv"
	"strings"
	"unicode/utf8"
)

// Severity tells whether a plan can be used in spite of a problem.
type Severity string

// An error keeps a plan from being read; a warning is kept on Plan.Warnings.
const (
	SeverityError   Severity = "error"
	SeverityWarning Severity = "warning"
)

// Problem is one thing that is wrong with a plan, where it stands, and what to write instead.
type Problem struct {
	File     string   // the file it stands in, as it was named
	Path     string   // the item, such as plants[3].species; empty for the file as a whole
	Line     int      // from 1; 0 when the problem is not in one line
	Column   int      // in characters, from 1
	Text     string   // the line as it stands, cut around the place when it is long
	Caret    string   // spaces up to the place under Text, then ^
	Message  string   // what is wrong
	Cure     string   // what to write or do
	Severity Severity // error or warning
}

// String gives file, line, column and message, then the offending line and the cure under the place.
func (p Problem) String() string {
	var b strings.Builder
	b.WriteString(p.File)
	if p.Line > 0 {
		fmt.Fprintf(&b, ":%d:%d", p.Line, p.Column)
	}
	b.WriteString(": ")
	if p.Severity == SeverityWarning {
		b.WriteString("warning: ")
	}
	b.WriteString(p.Message)
	switch {
	case p.Caret != "":
		fmt.Fprintf(&b, "\n%5d | %s\n      | %s", p.Line, p.Text, p.Caret)
		if p.Cure != "" {
			b.WriteString(" " + p.Cure)
		}
	case p.Cure != "":
		b.WriteString("; " + p.Cure)
	}
	return b.String()
}

// Problems is everything wrong with a plan, in the order of the file. As an error it lists all of them.
type Problems []Problem

// Error gives every problem in its text form, one under the other.
func (ps Problems) Error() string {
	texts := make([]string, len(ps))
	for i, p := range ps {
		texts[i] = p.String()
	}
	return strings.Join(texts, "\n")
}

// figure is a number in a message: as many significant digits as its verb asks for, and never a power of ten, which nobody writes for centimetres.
type figure float64

// Format writes a figure for the verb g as plain digits: 9000 for 9000.4 with %.3g, where fmt alone gives 9e+03.
func (x figure) Format(f fmt.State, verb rune) {
	digits, ok := f.Precision()
	v := float64(x)
	if abs := math.Abs(v); verb != 'g' || !ok || abs >= 1e15 || abs > 0 && abs < 1e-6 {
		fmt.Fprintf(f, fmt.FormatString(f, verb), v)
		return
	}
	rounded, err := strconv.ParseFloat(strconv.FormatFloat(v, 'e', max(digits-1, 0), 64), 64)
	if err != nil {
		rounded = v
	}
	io.WriteString(f, strconv.FormatFloat(rounded, 'f', -1, 64)) //nolint:errcheck // a fmt.State takes every write
}

// say is fmt.Sprintf with figures for floating-point numbers.
func say(format string, args ...any) string {
	plain := make([]any, len(args))
	for i, a := range args {
		plain[i] = a
		if x, ok := a.(float64); ok {
			plain[i] = figure(x)
		}
	}
	return fmt.Sprintf(format, plain...)
}

// maxProblems bounds how many errors, and how many warnings, are listed. Beyond it a file is not a plan with slips but another kind of file.
const maxProblems = 200

// reporter collects the problems of one file.
type reporter struct {
	file   string
	src    []byte
	starts []int // byte offset of each line
	found  Problems
	errors tallied
	advice tallied
}

// tallied is how many problems of a severity are listed, and how many are not.
type tallied struct{ listed, skipped int }

func (r *reporter) counted(s Severity) *tallied {
	if s == SeverityError {
		return &r.errors
	}
	return &r.advice
}

func newReporter(file string, src []byte) *reporter {
	r := &reporter{file: file, src: src, starts: []int{0}}
	for i, c := range src {
		if c == '\n' {
			r.starts = append(r.starts, i+1)
		}
	}
	return r
}

func (r *reporter) add(s Severity, path string, at Position, message, cure string) {
	n := r.counted(s)
	if n.listed >= maxProblems {
		n.skipped++
		return
	}
	n.listed++
	p := Problem{File: r.file, Path: path, Line: at.Line, Column: at.Column, Message: message, Cure: cure, Severity: s}
	if at.Line >= 1 && at.Line <= len(r.starts) {
		p.Text, p.Caret = r.excerpt(at)
	}
	r.found = append(r.found, p)
}

// full tells that no more errors will be listed, so that none need be worded with care.
func (r *reporter) full() bool { return r.errors.listed >= maxProblems }

// failed tells whether an error, not only warnings, was reported.
func (r *reporter) failed() bool {
	return r.errors.listed > 0
}

// sorted returns errors or warnings in the order of the file; problems at one place stay in the order of their finding.
func (r *reporter) sorted(s Severity) Problems {
	var out Problems
	for _, p := range r.found {
		if p.Severity == s {
			out = append(out, p)
		}
	}
	sort.SliceStable(out, func(i, j int) bool {
		a, b := out[i], out[j]
		if a.File != b.File {
			return a.File == r.file && b.File != r.file
		}
		if a.Line != b.Line {
			return a.Line < b.Line
		}
		return a.Column < b.Column
	})
	if n := r.counted(s).skipped; n > 0 {
		out = append(out, Problem{File: r.file, Severity: s, Message: fmt.Sprintf("%d more problems are not listed", n), Cure: "mend those above first"})
	}
	return out
}

// An excerpt shows at most this many characters, some of them before the place.
const (
	excerptWidth  = 120
	excerptBefore = 70
)

// excerpt returns the line of a place and the caret line under it. Tabs stay tabs in both, so that the caret stands right;
// other control characters are shown as a box, so that a file cannot command the terminal.
func (r *reporter) excerpt(at Position) (text, caret string) {
	line := r.src[r.starts[at.Line-1]:]
	if at.Line < len(r.starts) {
		line = r.src[r.starts[at.Line-1] : r.starts[at.Line]-1]
	}
	from := 0
	if at.Column > excerptWidth-10 {
		from = at.Column - excerptBefore
	}
	var t, c strings.Builder
	if from > 0 {
		t.WriteString("…")
		c.WriteString(" ")
	}
	n := 0
	for len(line) > 0 && n < from+excerptWidth {
		ch, size := utf8.DecodeRune(line)
		line = line[size:]
		n++
		if n <= from || ch == '\r' && len(line) == 0 {
			continue
		}
		if ch == 0xFEFF || ch < ' ' && ch != '\t' || ch >= 0x7F && ch < 0xA0 {
			ch = '□'
		}
		t.WriteRune(ch)
		if n < at.Column {
			if ch == '\t' {
				c.WriteByte('\t')
			} else {
				c.WriteByte(' ')
			}
		}
	}
	for ; n < at.Column-1; n++ {
		c.WriteByte(' ')
	}
	if len(line) > 0 {
		t.WriteString("…")
	}
	return strings.TrimRight(t.String(), " "), c.String() + "^"
}
