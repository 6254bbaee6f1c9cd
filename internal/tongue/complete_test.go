package tongue

import (
	"bufio"
	"go/ast"
	"go/parser"
	"go/token"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
	"unicode"
)

// speaking are the rooms whose sentences reach a person through the pages.
var speaking = []string{
	"algae", "draft", "findings", "forecast", "geometry", "jobs", "journal", "light", "nursery", "papers", "picture", "plan", "reckon", "recipe", "shelf", "store", "unit", "water", "web",
}

// sentenceLike finds literals that a person could read: two words or more, of small letters.
var sentenceLike = regexp.MustCompile(`\p{L}[\p{Ll}’']+[,;:]? (?:%[^ ]*[a-z] |[(„"])*\p{L}?[\p{Ll}’']{2,}|^[a-z ]*%[sdqv.0-9f]+ [a-z]{2,}`)

// unheard reads the literals that no person hears through the pages, with the reason above each group.
func unheard(t *testing.T) []*regexp.Regexp {
	t.Helper()
	f, err := os.Open("testdata/unheard.txt")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close() //nolint:errcheck // read only
	var out []*regexp.Regexp
	for s := bufio.NewScanner(f); s.Scan(); {
		if line := s.Text(); line != "" && !strings.HasPrefix(line, "#") {
			out = append(out, regexp.MustCompile(line))
		}
	}
	return out
}

// TestEverySentenceHasGerman reads the sources of the rooms that speak, fills the places of each sentence and wants it retold.
func TestEverySentenceHasGerman(t *testing.T) {
	quiet := unheard(t)
	used := make([]bool, len(quiet))
	seen := 0
	for _, room := range speaking {
		files, err := filepath.Glob(filepath.Join("..", room, "*.go"))
		if err != nil || len(files) == 0 {
			t.Fatalf("no sources of %s: %v", room, err)
		}
		for _, name := range files {
			if strings.HasSuffix(name, "_test.go") {
				continue
			}
			set := token.NewFileSet()
			tree, err := parser.ParseFile(set, name, nil, 0)
			if err != nil {
				t.Fatal(err)
			}
			for _, l := range literals(tree) {
				text, err := strconv.Unquote(l.Value)
				if err != nil || !sentenceLike.MatchString(text) {
					continue
				}
				seen++
				if retoldSomehow(text) {
					continue
				}
				at := slices.IndexFunc(quiet, func(r *regexp.Regexp) bool { return r.MatchString(room + ": " + text) })
				if at >= 0 {
					used[at] = true
					continue
				}
				t.Errorf("%s: %q has no German. Write it into internal/tongue/de/%s.txt: the English on one line as it stands here, the German under it behind a tab, with {1} for the first place, {2} for the second, {=1} where a name stands that is to stay as it is. If nobody hears it through the pages, add it to internal/tongue/testdata/unheard.txt with the reason.",
					set.Position(l.Pos()), text, room)
			}
		}
	}
	if seen < 1000 {
		t.Errorf("only %d sentences found in the sources: the test proves nothing", seen)
	}
	for i, u := range used {
		if !u {
			t.Errorf("testdata/unheard.txt: nothing matches %q; take it out", quiet[i])
		}
	}
}

// literals are the strings of a file but for imports, tags of fields, and the descriptions of operations, which are for programmers.
func literals(tree *ast.File) []*ast.BasicLit {
	var out []*ast.BasicLit
	ast.Inspect(tree, func(n ast.Node) bool {
		switch x := n.(type) {
		case *ast.ImportSpec:
			return false
		case *ast.Field:
			return x.Tag == nil
		case *ast.CallExpr:
			if f, ok := x.Fun.(*ast.Ident); ok && (f.Name == "get" || f.Name == "post") {
				return false
			}
		case *ast.AssignStmt:
			if s, ok := x.Lhs[0].(*ast.SelectorExpr); ok && (s.Sel.Name == "Description" || s.Sel.Name == "Summary") {
				return false
			}
		case *ast.BasicLit:
			if x.Kind == token.STRING {
				out = append(out, x)
			}
		}
		return true
	})
	return out
}

// retoldSomehow tells whether each sentence of a literal is retold as it stands or as a piece that is hung on to something.
func retoldSomehow(text string) bool {
	for _, sentence := range sentences(strings.TrimSpace(text)) {
		if !strings.ContainsFunc(newPattern(sentence).longest, unicode.IsLetter) {
			continue // a place and nothing else
		}
		if !heldSomehow(sentence) {
			return false
		}
	}
	return true
}

func heldSomehow(sentence string) bool {
	p := newPattern(sentence)
	filled := p.lits[0]
	for i, place := range p.places {
		filled += []string{"Xyzzy", "12", `"Xyzzy"`}[place] + p.lits[i+1]
	}
	core := strings.TrimSpace(filled)
	for _, s := range []string{core, "Xyzzy " + core, core + " Xyzzy", "Xyzzy " + core + " Xyzzy", "Xyzzy" + filled, core + " 12", "12 " + core} {
		if told, whole := Told(s); whole && told != s {
			return true
		}
	}
	return false
}
