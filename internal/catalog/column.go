package catalog

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
)

// column is one column of a table: how its text becomes part of a row, and whether a new row must give it.
type column[T any] struct {
	name     string
	required bool
	set      func(*T, string) error
}

func must[T any](c column[T]) column[T] {
	c.required = true
	return c
}

// number reads a plain decimal number within bounds.
func number(text string, lo, hi float64) (float64, error) {
	text = strings.TrimSpace(text)
	plain := text != "" && strings.Trim(text, "0123456789.") == ""
	v, err := strconv.ParseFloat(text, 64)
	if !plain || err != nil || math.IsInf(v, 0) {
		return 0, fmt.Errorf("%q is not a plain number such as 7 or 0.5", text)
	}
	if v < lo || v > hi {
		return 0, fmt.Errorf("%s is outside %g to %g", text, lo, hi)
	}
	return v, nil
}

var rangeSigns = strings.NewReplacer("–", "-", " to ", "-", ";", "-")

// interval reads "8-20", "8 to 20", a YAML list [8, 20] or a single number.
func interval(text string, lo, hi float64) (Range, error) {
	first, last, two := strings.Cut(rangeSigns.Replace(text), "-")
	if !two {
		last = first
	}
	a, err := number(first, lo, hi)
	if err != nil {
		return Range{}, err
	}
	b, err := number(last, lo, hi)
	if err != nil {
		return Range{}, err
	}
	if a > b {
		return Range{}, fmt.Errorf("the range %q runs backwards, write the smaller number first", text)
	}
	return Range{a, b}, nil
}

// param reads "0.05" or "0.05 0.03-0.08": a value and the range it may take.
func param(text string, lo, hi float64) (Param, error) {
	value, span, two := strings.Cut(strings.TrimSpace(text), " ")
	v, err := number(value, lo, hi)
	if err != nil {
		return Param{}, err
	}
	p := Param{Value: v, Min: v, Max: v}
	if two {
		r, err := interval(span, lo, hi)
		if err != nil {
			return Param{}, err
		}
		if v < r.Min || v > r.Max {
			return Param{}, fmt.Errorf("the value %g is outside its own range %g to %g", v, r.Min, r.Max)
		}
		p.Min, p.Max = r.Min, r.Max
	}
	return p, nil
}

func rangeColumn[T any](name string, lo, hi float64, at func(*T) *Range) column[T] {
	return column[T]{name: name, set: func(t *T, text string) (err error) {
		r, err := interval(text, lo, hi)
		if err == nil {
			*at(t) = r
		}
		return err
	}}
}

func numberColumn[T any](name string, lo, hi float64, at func(*T) *float64) column[T] {
	return column[T]{name: name, set: func(t *T, text string) error {
		v, err := number(text, lo, hi)
		if err == nil {
			*at(t) = v
		}
		return err
	}}
}

func countColumn[T any](name string, lo, hi int, at func(*T) *int) column[T] {
	return column[T]{name: name, set: func(t *T, text string) error {
		v, err := strconv.Atoi(text)
		if err != nil {
			return fmt.Errorf("%q is not a whole number", text)
		}
		if v < lo || v > hi {
			return fmt.Errorf("%d is outside %d to %d", v, lo, hi)
		}
		*at(t) = v
		return nil
	}}
}

func wordColumn[T any, S ~string](name string, allowed []S, at func(*T) *S) column[T] {
	return column[T]{name: name, set: func(t *T, text string) error {
		w := S(strings.ToLower(text))
		if !slices.Contains(allowed, w) {
			return fmt.Errorf("%q is not one of %s", text, join(allowed))
		}
		*at(t) = w
		return nil
	}}
}

func join[S ~string](words []S) string {
	quoted := make([]string, len(words))
	for i, w := range words {
		quoted[i] = string(w)
	}
	return strings.Join(quoted, ", ")
}

const maxText = 400 // characters of one value; names and notes are far shorter

func textColumn[T any](name string, at func(*T) *string) column[T] {
	return column[T]{name: name, set: func(t *T, text string) error {
		if err := plainText(text); err != nil {
			return err
		}
		*at(t) = text
		return nil
	}}
}

func plainText(text string) error {
	if len(text) > maxText {
		return fmt.Errorf("the text is longer than %d characters", maxText)
	}
	for _, r := range text {
		if r < ' ' || r == 0x7f || r == '\ufffd' {
			return fmt.Errorf("the text holds a character that cannot be printed")
		}
	}
	return nil
}

func listColumn[T any](name string, at func(*T) *[]string) column[T] {
	return column[T]{name: name, set: func(t *T, text string) error {
		items, err := listOf(text)
		if err == nil {
			*at(t) = items
		}
		return err
	}}
}

// listOf splits "a; b; c".
func listOf(text string) ([]string, error) {
	var items []string
	for item := range strings.SplitSeq(text, ";") {
		if item = strings.TrimSpace(item); item == "" {
			continue
		}
		if err := plainText(item); err != nil {
			return nil, err
		}
		items = append(items, item)
	}
	return items, nil
}

func yesColumn[T any](name string, at func(*T) *bool) column[T] {
	return column[T]{name: name, set: func(t *T, text string) error {
		switch strings.ToLower(text) {
		case "yes", "true":
			*at(t) = true
		case "no", "false":
			*at(t) = false
		default:
			return fmt.Errorf("%q must be yes or no", text)
		}
		return nil
	}}
}

// noticesColumn reads "EU banned 2025-08-07; UK banned 2025-01-01": region, status and the date of the note.
func noticesColumn[T any](name string, at func(*T) *[]Notice) column[T] {
	return column[T]{name: name, set: func(t *T, text string) error {
		items, err := listOf(text)
		if err != nil {
			return err
		}
		notices := make([]Notice, 0, len(items))
		for _, item := range items {
			words := strings.Fields(item)
			if len(words) < 3 {
				return fmt.Errorf("the notice %q must read: region, then banned, restricted or watched, then the date of the note as 2025-01-31", item)
			}
			n := Notice{Region: strings.Join(words[:len(words)-2], " "), Status: strings.ToLower(words[len(words)-2]), Noted: words[len(words)-1]}
			if !slices.Contains([]string{"banned", "restricted", "watched"}, n.Status) {
				return fmt.Errorf("the notice %q has the status %q, it must be banned, restricted or watched", item, n.Status)
			}
			if !isDate(n.Noted) {
				return fmt.Errorf("the notice %q ends in %q, it must end in the date of the note as 2025-01-31", item, n.Noted)
			}
			notices = append(notices, n)
		}
		*at(t) = notices
		return nil
	}}
}

// isDate says whether text has the form 2025-01-31 with a month and day that can be.
func isDate(text string) bool {
	if len(text) != 10 || text[4] != '-' || text[7] != '-' || strings.Trim(text[:4]+text[5:7]+text[8:], "0123456789") != "" {
		return false
	}
	month, day := text[5:7], text[8:]
	return month >= "01" && month <= "12" && day >= "01" && day <= "31"
}

// colourColumn reads "#RRGGBB".
func colourColumn[T any](name string, at func(*T) *string) column[T] {
	return column[T]{name: name, set: func(t *T, text string) error {
		if len(text) != 7 || text[0] != '#' || strings.Trim(strings.ToUpper(text[1:]), "0123456789ABCDEF") != "" {
			return fmt.Errorf("%q is not a colour such as #5F9A3A", text)
		}
		*at(t) = strings.ToUpper(text)
		return nil
	}}
}
