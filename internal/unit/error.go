package unit

import "strconv"

// Error says why a quantity could not be read and what to write instead. Reason and Cure are plain phrases without a
// capital or a full stop, so that a reader of plans can print them on lines of their own.
type Error struct {
	Text   string // what was written
	Kind   Kind   // what was expected there; empty for recurrences and sizes of their own
	Reason string // what is wrong, e.g. `"3" has no unit`
	Cure   string // what to write, e.g. `a length is written in mm, cm, m, in or ft, for example 3 cm or 1.2 in`
}

// Error joins reason and cure into one sentence.
func (e *Error) Error() string {
	if e.Cure == "" {
		return e.Reason
	}
	return e.Reason + "; " + e.Cure
}

// longest text that is read at all; a quantity is a few words, and a longer text is a slip of the keyboard.
const maxText = 120

// quote shows a text in an error, cut when it is very long.
func quote(text string) string {
	if r := []rune(text); len(r) > 40 {
		text = string(r[:40]) + "…"
	}
	return strconv.Quote(text)
}
