package ies

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// Type is how a file counts its angles.
type Type int

// The photometric types, by their numbers in a file.
const (
	TypeC Type = 1
	TypeB Type = 2
	TypeA Type = 3
)

// Bounds of what is read, our own choice.
const (
	MaxBytes   = 16 << 20
	mostAngles = 2000
	mostValues = 1_000_000
	metrePerFt = 0.3048
)

// File is a photometric file.
type File struct {
	Revision string            // the first line; empty in files of 1986
	Keywords map[string]string // such as MANUFAC, by name; lines that go on are joined
	Type     Type
	Lamps    int
	Lumens   float64 // rated lumens of one lamp; negative when the values are absolute
	Watts    float64 // input
	Width    float64 // of the luminous face, m; 0 = a point
	Length   float64
	Height   float64
	Round    bool // the face is round, of diameter Width

	Vertical   []float64   // degrees, rising
	Horizontal []float64   // degrees, rising
	Candela    [][]float64 // by horizontal and vertical angle, cd, with all multipliers

	TiltAngles      []float64 // degrees, rising; empty when the file has no tilt data
	TiltMultipliers []float64
}

// Error tells what is wrong with a file and in which line.
type Error struct {
	Line int // counted from 1
	Text string
}

func (e *Error) Error() string { return fmt.Sprintf("line %d: %s", e.Line, e.Text) }

// word is a number of the file with its line.
type word struct {
	text string
	line int
}

type reader struct {
	words []word
	next  int
	last  int // line of the end
}

// Read reads a file. Its error is an *Error that names the line.
func Read(src []byte) (*File, error) {
	if len(src) > MaxBytes {
		return nil, &Error{1, fmt.Sprintf("the file has %d MB, more than the %d MB that are read", len(src)>>20, MaxBytes>>20)}
	}
	lines := strings.Split(strings.ReplaceAll(strings.ReplaceAll(string(src), "\r\n", "\n"), "\r", "\n"), "\n")
	f := &File{Keywords: map[string]string{}}
	tilt, at := "", 0
	key := ""
	for ; ; at++ {
		if at >= len(lines) {
			return nil, &Error{len(lines), "no line begins with TILT=, so this is no LM-63 file"}
		}
		line := strings.TrimSpace(lines[at])
		upper := strings.ToUpper(line)
		switch {
		case at == 0 && strings.HasPrefix(upper, "IES"):
			f.Revision = line
		case strings.HasPrefix(upper, "TILT="):
			tilt = strings.TrimSpace(line[len("TILT="):])
		case strings.HasPrefix(line, "["):
			name, text, ok := strings.Cut(line[1:], "]")
			if !ok {
				return nil, &Error{at + 1, "a keyword begins with [ and has no ]"}
			}
			name = strings.ToUpper(strings.TrimSpace(name))
			if name == "MORE" && key != "" {
				f.Keywords[key] += " " + strings.TrimSpace(text)
				break
			}
			key = name
			f.Keywords[key] = strings.TrimSpace(text)
		}
		if tilt != "" {
			break
		}
		if strings.HasPrefix(upper, "TILT=") {
			return nil, &Error{at + 1, "TILT= is empty; it is NONE, INCLUDE or the name of a file"}
		}
	}
	r := &reader{last: len(lines)}
	for i := at + 1; i < len(lines); i++ {
		for _, text := range strings.FieldsFunc(lines[i], func(c rune) bool { return c == ' ' || c == '\t' || c == ',' || c == '\f' || c == '\v' }) {
			r.words = append(r.words, word{text, i + 1})
		}
	}
	switch strings.ToUpper(tilt) {
	case "NONE":
	case "INCLUDE":
		if err := f.readTilt(r); err != nil {
			return nil, err
		}
	default:
		return nil, &Error{at + 1, fmt.Sprintf("the tilt data are in another file, %q; put them into this one with TILT=INCLUDE", clip(tilt))}
	}
	if err := f.readBody(r); err != nil {
		return nil, err
	}
	return f, nil
}

func clip(s string) string {
	if r := []rune(s); len(r) > 40 {
		return string(r[:40]) + "…"
	}
	return s
}

// number takes the next number.
func (r *reader) number(what string) (float64, int, error) {
	if r.next >= len(r.words) {
		return 0, r.last, &Error{r.last, fmt.Sprintf("the file ends where %s belongs", what)}
	}
	w := r.words[r.next]
	r.next++
	x, err := strconv.ParseFloat(w.text, 64)
	if err != nil || math.IsNaN(x) || math.IsInf(x, 0) {
		return 0, w.line, &Error{w.line, fmt.Sprintf("%q is not a number; %s belongs here", clip(w.text), what)}
	}
	return x, w.line, nil
}

// whole takes the next whole number within bounds.
func (r *reader) whole(what string, low, high int) (int, error) {
	x, line, err := r.number(what)
	if err != nil {
		return 0, err
	}
	if x != math.Trunc(x) || x < float64(low) || x > float64(high) {
		return 0, &Error{line, fmt.Sprintf("%s is a whole number from %d to %d, not %g", what, low, high, x)}
	}
	return int(x), nil
}

// rising takes n numbers that rise.
func (r *reader) rising(what string, n int, low, high float64) ([]float64, int, error) {
	out := make([]float64, n)
	first := 0
	for i := range out {
		x, line, err := r.number(what)
		if err != nil {
			return nil, 0, err
		}
		if i == 0 {
			first = line
		}
		if x < low || x > high {
			return nil, 0, &Error{line, fmt.Sprintf("%s of %g° is outside %g° to %g°", what, x, low, high)}
		}
		if i > 0 && x <= out[i-1] {
			return nil, 0, &Error{line, fmt.Sprintf("%s of %g° follows one of %g°; they rise", what, x, out[i-1])}
		}
		out[i] = x
	}
	return out, first, nil
}

func (f *File) readTilt(r *reader) error {
	if _, err := r.whole("the lamp's place in the luminaire", 1, 3); err != nil {
		return err
	}
	n, err := r.whole("the number of tilt angles", 1, mostAngles)
	if err != nil {
		return err
	}
	if f.TiltAngles, _, err = r.rising("a tilt angle", n, 0, 180); err != nil {
		return err
	}
	for range n {
		x, line, err := r.number("a tilt multiplier")
		if err != nil {
			return err
		}
		if x < 0 || x > 100 {
			return &Error{line, fmt.Sprintf("a tilt multiplier of %g is outside 0 to 100", x)}
		}
		f.TiltMultipliers = append(f.TiltMultipliers, x)
	}
	return nil
}

func (f *File) readBody(r *reader) error {
	var err error
	if f.Lamps, err = r.whole("the number of lamps", 1, 10000); err != nil {
		return err
	}
	if f.Lumens, _, err = r.number("the lumens of a lamp"); err != nil {
		return err
	}
	multiplier, line, err := r.number("the multiplier of the candela values")
	if err != nil {
		return err
	}
	if !(multiplier > 0) {
		return &Error{line, fmt.Sprintf("the multiplier of the candela values is %g; it is greater than 0", multiplier)}
	}
	nv, err := r.whole("the number of vertical angles", 1, mostAngles)
	if err != nil {
		return err
	}
	nh, err := r.whole("the number of horizontal angles", 1, mostAngles)
	if err != nil {
		return err
	}
	if nv*nh > mostValues {
		return &Error{r.words[r.next-1].line, fmt.Sprintf("%d by %d angles are more than the %d values that are read", nv, nh, mostValues)}
	}
	kind, err := r.whole("the photometric type (1 C, 2 B, 3 A)", 1, 3)
	if err != nil {
		return err
	}
	f.Type = Type(kind)
	units, err := r.whole("the unit of lengths (1 feet, 2 metres)", 1, 2)
	if err != nil {
		return err
	}
	scale := 1.0
	if units == 1 {
		scale = metrePerFt
	}
	for _, d := range []struct {
		what string
		to   *float64
	}{{"the width", &f.Width}, {"the length", &f.Length}, {"the height", &f.Height}} {
		x, line, err := r.number(d.what + " of the luminous face")
		if err != nil {
			return err
		}
		if math.Abs(x*scale) > 100 {
			return &Error{line, fmt.Sprintf("%s of the luminous face is %g m; check the unit of lengths", d.what, math.Abs(x*scale))}
		}
		f.Round = f.Round || x < 0
		*d.to = math.Abs(x) * scale // negative lengths tell that the face is round
	}
	ballast, line, err := r.number("the ballast factor")
	if err != nil {
		return err
	}
	if !(ballast > 0) {
		return &Error{line, fmt.Sprintf("the ballast factor is %g; it is greater than 0", ballast)}
	}
	if _, _, err = r.number("the field for future use"); err != nil {
		return err
	}
	if f.Watts, line, err = r.number("the input watts"); err != nil {
		return err
	}
	if f.Watts < 0 {
		return &Error{line, fmt.Sprintf("the input watts are %g; they are not negative", f.Watts)}
	}
	if err := f.readAngles(r, nv, nh); err != nil {
		return err
	}
	f.Candela = make([][]float64, nh)
	values := make([]float64, nv*nh)
	for h := range nh {
		f.Candela[h] = values[h*nv : (h+1)*nv]
		for v := range nv {
			x, line, err := r.number(fmt.Sprintf("the candela value at %g° and %g°", f.Vertical[v], f.Horizontal[h]))
			if err != nil {
				return err
			}
			if x < 0 {
				return &Error{line, fmt.Sprintf("a candela value of %g is below 0", x)}
			}
			x *= multiplier * ballast
			if math.IsInf(x, 0) || x > 1e12 {
				return &Error{line, "a candela value is larger than any lamp's"}
			}
			f.Candela[h][v] = x
		}
	}
	if r.next < len(r.words) {
		return &Error{r.words[r.next].line, fmt.Sprintf("%q stands after the last candela value; %d by %d values were announced", clip(r.words[r.next].text), nv, nh)}
	}
	return nil
}

func (f *File) readAngles(r *reader, nv, nh int) error {
	low, high := 0.0, 180.0
	if f.Type != TypeC {
		low, high = -90, 90
	}
	var line int
	var err error
	if f.Vertical, line, err = r.rising("a vertical angle", nv, low, high); err != nil {
		return err
	}
	first, last := f.Vertical[0], f.Vertical[nv-1]
	switch {
	case f.Type == TypeC && first != 0 && first != 90:
		return &Error{line, fmt.Sprintf("the vertical angles of type C begin at 0° or 90°, not at %g°", first)}
	case f.Type == TypeC && last != 90 && last != 180:
		return &Error{line, fmt.Sprintf("the vertical angles of type C end at 90° or 180°, not at %g°", last)}
	case f.Type != TypeC && (first != 0 && first != -90 || last != 90):
		return &Error{line, fmt.Sprintf("the vertical angles of types A and B run from −90° or 0° to 90°, not from %g° to %g°", first, last)}
	}
	high = 360
	if f.Type != TypeC {
		high = 90
	}
	if f.Horizontal, line, err = r.rising("a horizontal angle", nh, low, high); err != nil {
		return err
	}
	first, last = f.Horizontal[0], f.Horizontal[nh-1]
	switch {
	case f.Type != TypeC && (first != 0 && first != -90 || last != 90):
		return &Error{line, fmt.Sprintf("the horizontal angles of types A and B run from −90° or 0° to 90°, not from %g° to %g°", first, last)}
	case f.Type == TypeC && !(first == 0 && (last == 0 || last == 90 || last == 180 || last == 360) || first == 90 && last == 270):
		return &Error{line, fmt.Sprintf("the horizontal angles of type C run from 0° to 0°, 90°, 180° or 360°, or from 90° to 270°, not from %g° to %g°", first, last)}
	}
	return nil
}
