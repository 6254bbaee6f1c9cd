package plan

import (
	"fmt"
	"littoral/internal/unit"
	"strings"
)

// When is a condition on plants, checked on each visit of a care line: of the plants that the line means, one is higher than Length over
// its crown (height), or has its top less than Length under the surface (top). The zero value always holds.
type When struct {
	What   string // height or top; empty = always
	Length unit.Length
}

// String writes a condition as a plan does.
func (w When) String() string {
	length := unit.Format(unit.KindLength, float64(w.Length), unit.Metric)
	switch w.What {
	case "height":
		return "height > " + length
	case "top":
		return "top > " + length + " under surface"
	}
	return ""
}

// parseWhen reads a condition.
func parseWhen(text string) (When, error) {
	const cure = "write when: height > 30 cm, or when: top > 10 cm under surface"
	words := strings.TrimSpace(text)
	what, rest, ok := strings.Cut(words, ">")
	if !ok {
		return When{}, &unit.Error{Text: text, Reason: fmt.Sprintf("%q is not a condition", clip(text)), Cure: cure}
	}
	w := When{What: strings.TrimSpace(what)}
	rest = strings.TrimSpace(rest)
	switch w.What {
	case "height":
	case "top":
		for _, end := range []string{" under surface", " under the surface"} {
			if cut, found := strings.CutSuffix(rest, end); found {
				rest, ok = cut, false
			}
		}
		if ok {
			return When{}, &unit.Error{Text: text, Reason: "a top is measured from the surface", Cure: cure}
		}
	default:
		return When{}, &unit.Error{Text: text, Reason: fmt.Sprintf("%q is nothing that a condition can be about", clip(w.What)), Cure: cure}
	}
	length, err := unit.Parse(unit.KindLength, rest)
	if err != nil {
		return When{}, &unit.Error{Text: text, Kind: unit.KindLength, Reason: reasonOf(err), Cure: cure}
	}
	if length <= 0 {
		return When{}, &unit.Error{Text: text, Reason: "the length of a condition is above zero", Cure: cure}
	}
	w.Length = unit.Length(length)
	return w, nil
}
