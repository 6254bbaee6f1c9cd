package plan

import (
	"errors"
	"fmt"
	"strings"
	"unicode/utf8"

	"github.com/goccy/go-yaml"
	"github.com/goccy/go-yaml/ast"
	"github.com/goccy/go-yaml/lexer"
	"github.com/goccy/go-yaml/parser"
	"github.com/goccy/go-yaml/token"
)

// Bounds of what is read, our own choice: a plan of 60 plantings has about 20 kB, 5000 tokens and 600 block entries, and nests six
// deep. The parser's time grows with the square of some of these, so they keep a hostile file to a few seconds.
const (
	MaxBytes   = 4 << 20 // of a plan or house file
	maxNesting = 32      // brackets, dashes or question marks inside one another
	maxTokens  = 400_000 // words and signs of YAML
	maxEntries = 20_000  // keys and dashes outside brackets
	maxTexts   = 500     // texts over several lines, and keys written with a question mark
)

// syntax reads the YAML of a file down to its one mapping. It reports what stands in the way and then returns nil.
func (d *decoder) syntax() (body ast.Node) {
	if len(d.src) > MaxBytes {
		d.add(SeverityError, "", Position{}, fmt.Sprintf("the file has %.1f MB, more than the %d MB that a plan may have", float64(len(d.src))/(1<<20), MaxBytes>>20), "check that this is the plan; large meshes belong in files beside it")
		return nil
	}
	if !utf8.Valid(d.src) {
		line := 1
		for rest := d.src; len(rest) > 0; {
			r, size := utf8.DecodeRune(rest)
			if r == utf8.RuneError && size <= 1 {
				break
			}
			if r == '\n' {
				line++
			}
			rest = rest[size:]
		}
		d.add(SeverityError, "", Position{line, 1}, "the file is not UTF-8 text", "save it as UTF-8 in your editor")
		return nil
	}
	// A library that stumbles over a strange file must not take the program with it.
	defer func() {
		if r := recover(); r != nil {
			d.add(SeverityError, "", Position{}, "the file cannot be taken apart as YAML", "compare it with a plan that reads, section by section")
			body = nil
		}
	}()
	tokens := lexer.Tokenize(strings.ReplaceAll(string(d.src), "\r\n", "\n")) // the library counts some line breaks of two characters twice
	if !d.shallow(tokens) {
		return nil
	}
	file, err := parser.Parse(tokens, 0, parser.AllowDuplicateMapKey())
	if err != nil {
		d.syntaxError(err)
		return nil
	}
	var docs []ast.Node
	for _, doc := range file.Docs {
		if doc.Body != nil {
			if _, comment := doc.Body.(*ast.CommentGroupNode); !comment {
				docs = append(docs, doc.Body)
			}
		}
	}
	switch len(docs) {
	case 0:
		d.add(SeverityError, "", Position{}, "the file is empty", "a plan begins with littoral: 1 and name: …; \"littoral new\" writes one to start from")
		return nil
	case 1:
		return docs[0]
	}
	d.add(SeverityError, "", nodePosition(docs[1]), "a second document begins here", "keep one plan in one file")
	return nil
}

// shallow refuses nesting that the parser would take very long over.
func (d *decoder) shallow(tokens token.Tokens) bool {
	if len(tokens) > maxTokens {
		d.add(SeverityError, "", Position{}, "the file has far more entries than a plan", "check that this is the plan")
		return false
	}
	flow, run, line, entries, texts := 0, 0, 0, 0, 0
	for _, t := range tokens {
		switch t.Type {
		case token.MappingStartType, token.SequenceStartType:
			flow++
		case token.MappingEndType, token.SequenceEndType:
			flow--
		case token.SequenceEntryType, token.MappingKeyType, token.AnchorType, token.TagType:
			if t.Position.Line != line {
				run, line = 0, t.Position.Line
			}
			run++
			if flow == 0 && t.Position.Column > 8*maxNesting {
				run = maxNesting + 1
			}
		case token.MappingValueType:
			if flow == 0 && t.Position.Column > 40*maxNesting {
				run = maxNesting + 1
			}
		}
		switch t.Type {
		case token.SequenceEntryType, token.MappingValueType:
			if flow == 0 {
				entries++
			}
		case token.MappingKeyType, token.LiteralType, token.FoldedType:
			texts++
		}
		if entries > maxEntries || texts > maxTexts {
			d.add(SeverityError, "", Position{t.Position.Line, t.Position.Column}, "the file has far more entries than a plan", "check that this is the plan")
			return false
		}
		if flow > maxNesting || run > maxNesting {
			d.add(SeverityError, "", Position{t.Position.Line, t.Position.Column}, "this is nested deeper than any plan", "write it with fewer brackets or dashes inside one another")
			return false
		}
	}
	return true
}

// syntaxError words the parser's message for people.
func (d *decoder) syntaxError(err error) {
	at, message := Position{1, 1}, err.Error()
	var ye yaml.Error
	if errors.As(err, &ye) {
		message = ye.GetMessage()
		if t := ye.GetToken(); t != nil && t.Position != nil {
			at = Position{t.Position.Line, t.Position.Column}
		}
	}
	message, _, _ = strings.Cut(message, "\n")
	cure := "check brackets, quotes, colons and indentation here and in the line above"
	switch {
	case strings.Contains(message, "'\t'") || strings.Contains(message, "tab character"):
		message, cure = "a tab stands where only spaces may indent", "replace the tab by spaces"
	case strings.Contains(message, "']'"):
		message, cure = "a list begins with [ and never ends", "close it with ]"
	case strings.Contains(message, "'}'"):
		message, cure = "a group begins with { and never ends", "close it with }"
	case strings.Contains(message, "quoted text"):
		message, cure = "a quote opens here and never closes", "close it with the same quote sign"
	case strings.Contains(message, "mapping value is not allowed"):
		message, cure = "a second colon stands in one line, or this line is indented differently from its neighbours", "put text with a colon in quotes, and line up the keys of one item"
	case strings.Contains(message, "value is not allowed in this context"):
		message, cure = "this line is indented differently from its neighbours", "line up the keys of one item"
	case strings.Contains(message, "reserved character"):
		cure = "put the value in quotes"
	}
	d.add(SeverityError, "", at, message, cure)
}
