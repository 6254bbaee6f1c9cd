package main

// Terminal output. Results go to standard output: the summary, the catalogue, the schema, and with --json one JSON value and nothing
// else. Everything said along the way goes to standard error: problems of a plan, warnings, questions, progress, where files are.
// Lines of our own begin with "littoral: ", lower case, without a full stop; problems of a plan begin with file:line:column, so that
// an editor can jump there; what people read aloud (summary, findings) is whole sentences. No colour. The progress bar is drawn only
// where standard error is a terminal. Nothing asks a question unless standard input is a terminal.

import (
	"encoding/json"
	"fmt"
	"strings"
)

// say tells the person something on standard error.
func (p Program) say(format string, args ...any) {
	fmt.Fprintf(p.Err, "littoral: "+format+"\n", args...)
}

// json writes one value to standard output.
func (p Program) json(v any) error {
	enc := json.NewEncoder(p.Out)
	enc.SetIndent("", "  ")
	enc.SetEscapeHTML(false)
	return enc.Encode(v)
}

func firstWord(s string) string {
	word, _, _ := strings.Cut(s, " ")
	return word
}

// count writes a number with its noun: 1 planting, 3 plantings.
func count(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}
