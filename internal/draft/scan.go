package draft

import (
	"bytes"
	"fmt"
	"strconv"
	"strings"
	"unicode/utf8"
)

// The reader of plans takes YAML apart with a library that tells where a value begins, but not where it ends. Editing in place needs both to the
// byte, so this file reads the part of YAML that plans are written in once more. The two readings are compared (see agree), and a text on
// which they differ is not edited.

type kind uint8

const (
	missing  kind = iota // a key or dash without a value; the node is empty and stands where the value would be
	plain                // a word or number without quotes
	quoted               // in single or double quotes
	block                // text over several lines after | or >, or a plain one that goes on in the next line
	flowList             // [a, b]
	flowMap              // {a: b}
	list                 // lines with dashes
	mapping              // lines with keys
)

// node is a value and where it stands: from start up to, not including, end.
type node struct {
	kind       kind
	start, end int
	column     int // of the dashes or keys of a list or mapping, bytes from the line's beginning
	entries    []entry
	text       string // of plain and quoted ones, what they mean
	folded     bool   // text over several lines, of which text is not told
}

// entry is an item of a list or mapping. It starts at its dash, its key or, between brackets, its value.
type entry struct {
	start, end int
	key        string
	colon      int // just after the colon, or after the dash
	value      *node
}

// find returns the entry of a key, or −1.
func (n *node) find(key string) int {
	for i := range n.entries {
		if n.entries[i].key == key {
			return i
		}
	}
	return -1
}

func (n *node) isMap() bool  { return n.kind == mapping || n.kind == flowMap }
func (n *node) isList() bool { return n.kind == list || n.kind == flowList }

// strange is a text that is not taken apart here, though the reader of plans may understand it.
type strange struct {
	at   int
	what string
}

// most nesting that is followed, as the reader of plans has it.
const mostDepth = 40

type scanner struct {
	src   []byte
	at    int
	depth int
}

// scan takes a text apart down to its one mapping.
func scan(src []byte) (root *node, err error) {
	s := &scanner{src: src}
	defer func() {
		if r := recover(); r != nil {
			x, ok := r.(strange)
			if !ok {
				panic(r)
			}
			line := 1 + bytes.Count(src[:min(x.at, len(src))], []byte("\n"))
			root, err = nil, refuse(fmt.Sprintf("line %d: %s, which the drawing board does not edit", line, x.what), "edit the text itself, or write this part as other plans do")
		}
	}()
	s.blank()
	if s.word("---") {
		s.at += 3
		s.blank()
	}
	if s.at >= len(src) {
		s.fail("the text is empty")
	}
	root = s.node(0)
	if !root.isMap() {
		s.fail("the text does not begin with keys")
	}
	s.blank()
	if s.at < len(src) {
		s.fail("something follows the plan's keys that is no key")
	}
	return root, nil
}

func (s *scanner) fail(what string) { panic(strange{s.at, what}) }

// word tells whether a word stands here by itself.
func (s *scanner) word(w string) bool {
	return bytes.HasPrefix(s.src[s.at:], []byte(w)) && s.spaceAt(s.at+len(w))
}

// spaceAt tells whether a place is a space or the end of a line.
func (s *scanner) spaceAt(i int) bool {
	return i >= len(s.src) || s.src[i] == ' ' || s.src[i] == '\t' || s.src[i] == '\n' || s.src[i] == '\r'
}

func (s *scanner) column() int {
	return s.at - lineStart(s.src, s.at)
}

func lineStart(src []byte, at int) int {
	return bytes.LastIndexByte(src[:at], '\n') + 1
}

// lineEnd is where a line ends, before its line break.
func lineEnd(src []byte, at int) int {
	i := bytes.IndexByte(src[at:], '\n')
	if i < 0 {
		return len(src)
	}
	if i += at; i > at && src[i-1] == '\r' {
		i--
	}
	return i
}

// spaces goes past spaces within the line.
func (s *scanner) spaces() {
	for s.at < len(s.src) && (s.src[s.at] == ' ' || s.src[s.at] == '\t') {
		s.at++
	}
}

// ended tells whether nothing but a comment is left of the line.
func (s *scanner) ended() bool {
	if s.at >= len(s.src) || s.src[s.at] == '\n' || s.src[s.at] == '\r' {
		return true
	}
	return s.src[s.at] == '#' && s.spaceAt(s.at-1)
}

// blank goes past spaces, comments and line breaks to what stands next.
func (s *scanner) blank() {
	for s.at < len(s.src) {
		switch c := s.src[s.at]; {
		case c == ' ' || c == '\t' || c == '\n' || c == '\r':
			s.at++
		case c == '#' && (s.at == 0 || s.spaceAt(s.at-1)):
			s.at = lineEnd(s.src, s.at)
		default:
			return
		}
	}
}

// next goes to what stands in a line below, and tells its column; −1 at the end.
func (s *scanner) next() int {
	s.blank()
	if s.at >= len(s.src) {
		return -1
	}
	from := lineStart(s.src, s.at)
	if bytes.IndexByte(s.src[from:s.at], '\t') >= 0 {
		s.fail("a tab stands where spaces indent")
	}
	if s.at == from && (s.word("---") || s.word("...")) {
		s.fail("a second document begins here")
	}
	return s.at - from
}

func (s *scanner) dash() bool {
	return s.at < len(s.src) && s.src[s.at] == '-' && s.spaceAt(s.at+1)
}

// node reads what stands here, in lines of their own or after a dash; parent is the column of what it belongs to.
func (s *scanner) node(parent int) *node {
	if s.depth++; s.depth > mostDepth {
		s.fail("this is nested too deep")
	}
	defer func() { s.depth-- }()
	switch {
	case s.dash():
		return s.list()
	case s.key():
		return s.mapping()
	}
	return s.inline(parent)
}

// key tells whether a key with its colon stands here.
func (s *scanner) key() bool {
	from := s.at
	defer func() { s.at = from }()
	if s.at >= len(s.src) {
		return false
	}
	switch c := s.src[s.at]; c {
	case '"', '\'':
		n := s.quoted()
		if n.folded {
			return false
		}
	case '[', '{', '|', '>', '#':
		return false
	case '?':
		if s.spaceAt(s.at + 1) {
			s.fail("a key is written with a question mark")
		}
		s.words(false)
	default:
		s.words(false)
	}
	s.spaces()
	return s.at < len(s.src) && s.src[s.at] == ':' && s.spaceAt(s.at+1)
}

// words goes over a text without quotes, to its end in this line.
func (s *scanner) words(flow bool) {
	end := s.at
	for s.at < len(s.src) {
		c := s.src[s.at]
		if c == '\n' || c == '\r' || c == '#' && s.at > 0 && s.spaceAt(s.at-1) {
			break
		}
		if c == ':' && (s.spaceAt(s.at+1) || flow && strings.IndexByte(",[]{}", s.src[s.at+1]) >= 0) {
			break
		}
		if flow && strings.IndexByte(",[]{}", c) >= 0 {
			break
		}
		s.at++
		if c != ' ' && c != '\t' {
			end = s.at
		}
	}
	s.at = end
}

func (s *scanner) list() *node {
	n := &node{kind: list, start: s.at, column: s.column()}
	for {
		e := entry{start: s.at, colon: s.at + 1}
		s.at++
		s.spaces()
		if s.ended() {
			from := e.colon
			if c := s.next(); c > n.column {
				e.value = s.node(n.column)
			} else {
				e.value = &node{start: from, end: from}
			}
		} else {
			e.value = s.node(n.column)
		}
		e.end = max(e.value.end, e.colon)
		n.entries, n.end = append(n.entries, e), e.end
		if c := s.next(); c < n.column || c == n.column && !s.dash() {
			return n
		} else if c != n.column {
			s.fail("this line is indented otherwise than the list above it")
		}
	}
}

func (s *scanner) mapping() *node {
	n := &node{kind: mapping, start: s.at, column: s.column()}
	for {
		e := entry{start: s.at}
		e.key = s.keyText(false)
		s.at++
		e.colon = s.at
		s.spaces()
		switch {
		case !s.ended():
			if s.dash() {
				s.fail("a dash stands after a key")
			}
			e.value = s.inline(n.column)
			s.spaces()
			if !s.ended() {
				s.fail("something follows a value in its line")
			}
		default:
			c := s.next()
			if c > n.column || c == n.column && s.dash() {
				e.value = s.node(n.column)
			} else {
				e.value = &node{start: e.colon, end: e.colon}
			}
		}
		e.end = max(e.value.end, e.colon)
		n.entries, n.end = append(n.entries, e), e.end
		c := s.next()
		if c < n.column || c == n.column && s.dash() {
			return n
		}
		if c != n.column || !s.key() {
			s.fail("this line is indented otherwise than the keys above it, or is no key")
		}
	}
}

// keyText reads a key up to its colon.
func (s *scanner) keyText(flow bool) string {
	var text string
	if c := s.src[s.at]; c == '"' || c == '\'' {
		text = s.quoted().text
	} else {
		s.refuseMarks()
		from := s.at
		s.words(flow)
		text = string(s.src[from:s.at])
	}
	s.spaces()
	return text
}

// refuseMarks refuses what a plan is read without.
func (s *scanner) refuseMarks() {
	switch s.src[s.at] {
	case '&':
		s.fail("an anchor (&) stands here")
	case '*':
		s.fail("an alias (*) stands here")
	case '!':
		s.fail("a tag (!) stands here")
	case '%', '@', '`':
		s.fail("a sign stands here that begins no value")
	}
}

// inline reads a value that begins in this line.
func (s *scanner) inline(parent int) *node {
	s.refuseMarks()
	switch c := s.src[s.at]; c {
	case '[', '{':
		return s.flow()
	case '"', '\'':
		return s.quoted()
	case '|', '>':
		return s.literal(parent)
	}
	n := &node{kind: plain, start: s.at}
	s.words(false)
	if s.at == n.start {
		s.fail("a value is expected here")
	}
	n.end = s.at
	n.text = string(s.src[n.start:n.end])
	for { // a line that is indented further goes on with the text
		from := s.at
		if s.spaces(); !s.ended() || s.at < len(s.src) && s.src[s.at] == '#' {
			s.at = from
			return n
		}
		if c := s.next(); c <= parent || s.src[s.at] == '#' || bytes.Contains(s.src[from:s.at], []byte("#")) {
			s.at = from
			return n
		}
		s.words(false)
		n.end, n.kind, n.folded = s.at, block, true
	}
}

// literal reads a text over several lines.
func (s *scanner) literal(parent int) *node {
	n := &node{kind: block, start: s.at, folded: true}
	s.at = lineEnd(s.src, s.at)
	n.end = s.at
	for s.at < len(s.src) {
		from := s.at + 1
		if s.src[s.at] == '\r' {
			from++
		}
		if from > len(s.src) {
			break
		}
		end := lineEnd(s.src, from)
		line := s.src[from:end]
		if text := bytes.TrimLeft(line, " "); len(bytes.TrimSpace(line)) > 0 {
			if len(line)-len(text) <= parent {
				break
			}
			n.end = end
		}
		s.at = end
	}
	s.at = n.end
	return n
}

func (s *scanner) quoted() *node {
	n := &node{kind: quoted, start: s.at}
	q := s.src[s.at]
	s.at++
	var text strings.Builder
	for {
		if s.at >= len(s.src) {
			s.at = n.start
			s.fail("a quote opens here and never closes")
		}
		c := s.src[s.at]
		switch {
		case c == q && q == '\'' && s.at+1 < len(s.src) && s.src[s.at+1] == q:
			text.WriteByte(q)
			s.at += 2
			continue
		case c == q:
			s.at++
			n.end, n.text = s.at, text.String()
			return n
		case c == '\n':
			n.folded = true
		case c == '\\' && q == '"':
			s.escape(&text, n)
			continue
		}
		text.WriteByte(c)
		s.at++
	}
}

// escape reads what follows a backslash between double quotes.
func (s *scanner) escape(text *strings.Builder, n *node) {
	if s.at+1 >= len(s.src) {
		s.fail("a quote opens here and never closes")
	}
	c := s.src[s.at+1]
	digits := map[byte]int{'x': 2, 'u': 4, 'U': 8}[c]
	if digits > 0 {
		if s.at+2+digits > len(s.src) {
			s.fail("a sign is written with too few digits")
		}
		v, err := strconv.ParseUint(string(s.src[s.at+2:s.at+2+digits]), 16, 32)
		if err != nil {
			s.fail("a sign is not written in hexadecimal digits")
		}
		text.WriteString(string(rune(v))) //nolint:gosec // what is no sign becomes the sign for that
		s.at += 2 + digits
		return
	}
	signs := map[byte]string{'n': "\n", 't': "\t", '"': `"`, '\\': `\`, '/': "/", ' ': " ", 'r': "\r", '0': "\x00", 'a': "\a", 'b': "\b", 'e': "\x1b", 'f': "\f", 'v': "\v", 'N': "\u0085", '_': "\u00a0", 'L': "\u2028", 'P': "\u2029"}
	if sign, ok := signs[c]; ok {
		text.WriteString(sign)
	} else {
		n.folded = true
	}
	s.at += 2
	if c == '\r' && s.at < len(s.src) && s.src[s.at] == '\n' {
		s.at++
	}
}

// flow reads a list or mapping between brackets.
func (s *scanner) flow() *node {
	if s.depth++; s.depth > mostDepth {
		s.fail("this is nested too deep")
	}
	defer func() { s.depth-- }()
	n := &node{kind: flowList, start: s.at}
	closing := byte(']')
	if s.src[s.at] == '{' {
		n.kind, closing = flowMap, '}'
	}
	s.at++
	for comma := true; ; {
		s.blank()
		if s.at >= len(s.src) {
			s.at = n.start
			s.fail("a bracket opens here and never closes")
		}
		switch c := s.src[s.at]; {
		case c == closing:
			s.at++
			n.end = s.at
			return n
		case c == ',':
			if comma {
				s.fail("a comma stands where an item belongs")
			}
			comma = true
			s.at++
			continue
		case !comma:
			s.fail("a comma is missing between two items")
		}
		comma = false
		e := entry{start: s.at}
		if n.kind == flowMap {
			e.key = s.keyText(true)
			s.blank()
			if s.at < len(s.src) && s.src[s.at] == ':' {
				s.at++
				e.colon = s.at
				from := s.at
				s.blank()
				if s.at < len(s.src) && s.src[s.at] != ',' && s.src[s.at] != closing {
					e.value = s.inside()
				} else {
					s.at = from
					e.value = &node{start: from, end: from}
				}
			} else {
				s.fail("a key without a colon stands between braces")
			}
		} else {
			e.value = s.inside()
			from := s.at
			if s.spaces(); s.at < len(s.src) && s.src[s.at] == ':' {
				s.fail("a key stands between square brackets")
			}
			s.at = from
			e.colon = e.start
		}
		e.end = max(e.value.end, e.colon)
		n.entries = append(n.entries, e)
	}
}

// inside reads a value between brackets.
func (s *scanner) inside() *node {
	s.refuseMarks()
	switch s.src[s.at] {
	case '[', '{':
		return s.flow()
	case '"', '\'':
		return s.quoted()
	case '|', '>', ']', '}', ',':
		s.fail("a value is expected here")
	}
	n := &node{kind: plain, start: s.at}
	s.words(true)
	if s.at == n.start || s.src[n.start] == '-' && s.spaceAt(n.start+1) || s.src[n.start] == '?' && s.spaceAt(n.start+1) {
		s.fail("a value is expected here")
	}
	n.end = s.at
	n.text = string(s.src[n.start:n.end])
	if !utf8.ValidString(n.text) {
		s.fail("this is not UTF-8 text")
	}
	return n
}
