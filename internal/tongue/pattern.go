package tongue

import (
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"
)

// What stands in a place of a pattern.
const (
	anyText = iota // %s, %v and the like
	aNumber        // %d, %.1f and the like
	quoted         // %q
)

// pattern is a sentence with places: lits[0] place[0] lits[1] … lits[n].
type pattern struct {
	lits    []string
	places  []uint8
	of      []int // place to the number of the format's argument, from 1
	weight  int   // 1 and the letters of literal text: the more, the surer a match
	longest string
	german  []segment
}

// segment is a piece of the other language: text, then an argument when arg > 0, as it stands when bare.
type segment struct {
	text string
	arg  int
	bare bool
	name bool // it has to look like a name
}

// newPattern reads a format as package fmt does, as far as sentences need it.
func newPattern(format string) pattern {
	var p pattern
	var lit strings.Builder
	arg := 0
	for i := 0; i < len(format); i++ {
		if format[i] != '%' {
			lit.WriteByte(format[i])
			continue
		}
		j := i + 1
		at := 0
		for j < len(format) && strings.IndexByte("+-#0123456789.*[]", format[j]) >= 0 {
			if format[j] == '[' {
				end := strings.IndexByte(format[j:], ']')
				if end > 0 {
					at, _ = strconv.Atoi(format[j+1 : j+end])
					j += end
				}
			}
			j++
		}
		if j >= len(format) || !strings.ContainsRune("%sdvqgfexwcT", rune(format[j])) {
			lit.WriteByte('%') // a plain per cent sign of a text that is no format
			continue
		}
		if format[j] == '%' {
			lit.WriteByte('%')
			i = j
			continue
		}
		if at == 0 {
			at = arg + 1
		}
		arg = at
		kind := uint8(anyText)
		switch format[j] {
		case 'd', 'f', 'g', 'e':
			kind = aNumber
		case 'q':
			kind = quoted
		}
		p.lits = append(p.lits, lit.String())
		p.places = append(p.places, kind)
		p.of = append(p.of, at)
		lit.Reset()
		i = j
	}
	p.lits = append(p.lits, lit.String())
	p.weight = 1
	for _, l := range p.lits {
		for _, r := range l {
			if unicode.IsLetter(r) {
				p.weight++
			}
		}
		if len(l) > len(p.longest) {
			p.longest = l
		}
	}
	return p
}

// vague tells whether a pattern would fit anything: "%s of %s", a place and nothing else.
func (p *pattern) vague() bool {
	const small = 3 // letters of "of", "to", "and"
	texts := 0
	for _, k := range p.places {
		if k == anyText {
			texts++
		}
	}
	return texts > 0 && texts == len(p.places) && (p.weight == 1 || texts > 1 && p.weight <= 1+small)
}

// readSegments reads a line of the other language: {2} is the second argument retold, {=2} the same as it stands, {~2} the same where it looks like a name.
func readSegments(s string) []segment {
	var out []segment
	for {
		open := strings.IndexByte(s, '{')
		if open < 0 {
			break
		}
		end := strings.IndexByte(s[open:], '}')
		if end < 0 {
			break
		}
		if in := strings.LastIndexByte(s[open:open+end], '{'); in > 0 { // a brace of a plan's text
			open, end = open+in, end-in
		}
		name := s[open+1 : open+end]
		bare := strings.HasPrefix(name, "=")
		named := strings.HasPrefix(name, "~")
		n, err := strconv.Atoi(strings.TrimLeft(name, "=~"))
		if err != nil { // braces of a plan's text
			out = append(out, segment{text: s[:open+end+1]})
		} else {
			out = append(out, segment{text: s[:open], arg: n, bare: bare || named, name: named})
		}
		s = s[open+end+1:]
	}
	return append(out, segment{text: s})
}

// mostSteps bounds the search for one pattern in one text.
const mostSteps = 2000

// match finds what stands in the places of a pattern; nil when the text is another sentence.
func (p *pattern) match(text string) []string {
	n := len(p.places)
	if !strings.HasPrefix(text, p.lits[0]) || n > 0 && !strings.HasSuffix(text[len(p.lits[0]):], p.lits[n]) {
		return nil
	}
	if n == 0 {
		if text != p.lits[0] {
			return nil
		}
		return []string{}
	}
	caught := make([]string, n)
	steps := mostSteps
	if !p.from(0, text[len(p.lits[0]):len(text)-len(p.lits[n])], caught, &steps) {
		return nil
	}
	return caught
}

// from matches place i and all after it with the rest of a text; the last literal is cut off already.
func (p *pattern) from(i int, rest string, caught []string, steps *int) bool {
	if *steps--; *steps < 0 {
		return false
	}
	last := i == len(p.places)-1
	switch p.places[i] {
	case aNumber, quoted:
		n := numberAt(rest)
		if p.places[i] == quoted {
			n = quotedAt(rest)
		}
		if n == 0 || last && n != len(rest) {
			return false
		}
		caught[i] = rest[:n]
		return last || strings.HasPrefix(rest[n:], p.lits[i+1]) && p.from(i+1, rest[n+len(p.lits[i+1]):], caught, steps)
	}
	if last {
		caught[i] = rest
		return true
	}
	lit := p.lits[i+1]
	for at := 0; at <= len(rest); {
		if lit == "" { // two places side by side part before a comma or a semicolon, or the second is empty
			k := strings.IndexAny(rest[at:], ",;")
			if k < 0 {
				k = len(rest) - at
			}
			at += k
		} else {
			k := strings.Index(rest[at:], lit)
			if k < 0 {
				return false
			}
			at += k
		}
		caught[i] = rest[:at]
		if p.from(i+1, rest[at+len(lit):], caught, steps) {
			return true
		}
		at++
	}
	return false
}

// numberAt is the length of the plain number that a text begins with.
func numberAt(s string) int {
	i := 0
	if i < len(s) && (s[i] == '-' || s[i] == '+') {
		i++
	} else if strings.HasPrefix(s, "−") {
		i += len("−")
	}
	digits := func() bool {
		from := i
		for i < len(s) && s[i] >= '0' && s[i] <= '9' {
			i++
		}
		return i > from
	}
	if !digits() {
		return 0
	}
	if i+1 < len(s) && s[i] == '.' && s[i+1] >= '0' && s[i+1] <= '9' {
		i++
		digits()
	}
	if i+2 < len(s) && s[i] == 'e' && (s[i+1] == '-' || s[i+1] == '+') {
		back := i
		i += 2
		if !digits() {
			i = back
		}
	}
	return i
}

// quotedAt is the length of the quoted text that a text begins with.
func quotedAt(s string) int {
	q, err := strconv.QuotedPrefix(s)
	if err != nil {
		return 0
	}
	return len(q)
}

// upper writes the first letter large.
func upper(s string) string {
	r, n := utf8.DecodeRuneInString(s)
	if n == 0 || !unicode.IsLower(r) {
		return s
	}
	return string(unicode.ToUpper(r)) + s[n:]
}

// lower writes the first letter small; a word of two capitals, such as pH or CO2, stays.
func lower(s string) string {
	r, n := utf8.DecodeRuneInString(s)
	if n == 0 || !unicode.IsUpper(r) {
		return s
	}
	return string(unicode.ToLower(r)) + s[n:]
}
