package tongue

import (
	"strings"
	"unicode"
)

// Languages that sentences are retold in, beside the English that the engine speaks.
const (
	English = "en"
	German  = "de"
)

// Wish is how one person reads: a language, and units. The zero value changes nothing.
type Wish struct {
	Language string // English or German; empty = English
	Units    string // metric or US; empty = as the sentence has them
}

// Plain tells whether sentences stay as they are.
func (w Wish) Plain() bool { return w.Language != German && w.Units != "US" && w.Units != "metric" }

// Tell retells a text of whole sentences, a name or a label. What the catalogue does not know stays English.
func (w Wish) Tell(text string) string {
	if w.Plain() || text == "" {
		return text
	}
	// The engine's US quantities are read in its English; those of the German catalogue are metric.
	if w.Units == "metric" {
		text = Wish{Units: "metric"}.measured(text)
	}
	if w.Language == German {
		text, _ = Told(text)
	}
	if w.Units == "US" {
		text = w.measured(text)
	}
	return text
}

// Told retells a text in German. Whole is false when a sentence of it is not in the catalogue; that one stays English.
func Told(text string) (told string, whole bool) {
	if plain, ok := german().plain[clean(text)]; ok && !strings.Contains(text, ". ") {
		return plain + text[len(strings.TrimRight(text, ". ")):], true
	}
	whole = true
	t := &telling{german(), map[string]answer{}}
	var out strings.Builder
	for _, s := range sentences(text) {
		told, ok := t.sentence(s)
		whole = whole && ok
		out.WriteString(told)
	}
	return out.String(), whole
}

// telling is the work on one text: what was found for a part is kept, so that no part is looked at twice.
type telling struct {
	c    *catalogue
	seen map[string]answer
}

// answer is what became of a part.
type answer struct {
	text string
	ok   bool
}

// mostLooks bounds the parts of one text that are looked at, against texts made to be hard.
const mostLooks = 2000

// sentence retells one sentence with the space and point around it.
func (t *telling) sentence(s string) (string, bool) {
	core := strings.TrimSpace(s)
	at := strings.Index(s, core)
	for _, end := range []string{".", ":", ";", ""} {
		if !strings.HasSuffix(core, end) {
			continue
		}
		if told, ok := t.clause(strings.TrimSuffix(core, end)); ok {
			return s[:at] + told + end + s[at+len(core):], true
		}
	}
	// A sentence that begins with a name in small letters is not seen as one: the points part it after all.
	if list := parts(core, ". "); len(list) > 1 {
		var out []string
		for _, p := range list {
			told, ok := t.clause(strings.TrimSuffix(p, "."))
			if !ok {
				return s, false
			}
			out = append(out, told)
		}
		end := ""
		if strings.HasSuffix(core, ".") {
			end = "."
		}
		return s[:at] + strings.Join(out, ". ") + end + s[at+len(core):], true
	}
	return s, false
}

// clause retells a text without its point: as one entry, or part by part. Not ok leaves it as it is.
func (t *telling) clause(s string) (string, bool) {
	if !strings.ContainsFunc(s, unicode.IsLetter) {
		return numbers(s), true
	}
	if a, ok := t.seen[s]; ok {
		return a.text, a.ok
	}
	if len(t.seen) >= mostLooks {
		return s, false
	}
	t.seen[s] = answer{s, false} // what holds itself is not retold by itself
	told, ok := t.look(s)
	t.seen[s] = answer{told, ok}
	return told, ok
}

func (t *telling) look(s string) (string, bool) {
	told, weight := t.entry(s)
	if l := lower(s); l != s {
		if other, more := t.entry(l); more > weight {
			told, weight = upper(other), more
		}
	}
	if weight > 0 {
		return told, true
	}
	for _, j := range joints {
		if told, ok := t.joined(s, j.english, j.german); ok {
			return told, true
		}
	}
	if name(s) {
		return numbers(s), true
	}
	return s, false
}

// joints are what holds parts of a sentence together, the loosest first.
var joints = []struct{ english, german string }{{"; ", "; "}, {": ", ": "}, {", and ", " und "}, {", ", ", "}, {" and ", " und "}, {" or ", " oder "}}

// joined retells a text part by part. An entry may hold the joint itself: up to three parts are tried as one.
func (t *telling) joined(s, sep, german string) (string, bool) {
	list := parts(s, sep)
	if len(list) < 2 {
		return s, false
	}
	var out []string
	for i := 0; i < len(list); {
		told, n, ok := "", 0, false
		for n = min(3, len(list)-i, len(list)-1); n > 1; n-- {
			var weight int
			if told, weight = t.entry(strings.Join(list[i:i+n], sep)); weight > 0 {
				ok = true
				break
			}
		}
		if !ok {
			n = 1
			if told, ok = t.clause(list[i]); !ok {
				return s, false
			}
		}
		out = append(out, told)
		i += n
	}
	return strings.Join(out, german), true
}

// exact is the weight of an entry without places, over that of every pattern.
const exact = 1 << 20

// entry retells a text that is one entry, and says how much of it was the entry's own; 0 when there is none.
func (t *telling) entry(s string) (string, int) {
	if told, ok := t.c.plain[s]; ok {
		return told, exact
	}
	told, weight := t.fit(t.c.first[firstWord(s)], s, 0)
	if other, more := t.fit(t.c.rest, s, weight); more > weight {
		return other, more
	}
	return told, weight
}

// fit takes the heaviest pattern that fits, that weighs more than least, and whose places can be retold.
func (t *telling) fit(list []*pattern, s string, least int) (string, int) {
	for _, p := range list {
		if p.weight <= least {
			break
		}
		if !strings.Contains(s, p.longest) {
			continue
		}
		caught := p.match(s)
		if caught == nil {
			continue
		}
		if told, ok := t.fill(p, caught); ok {
			return told, p.weight
		}
	}
	return s, 0
}

// fill writes the German of a pattern with what was caught in its places.
func (t *telling) fill(p *pattern, caught []string) (string, bool) {
	var out strings.Builder
	for _, g := range p.german {
		out.WriteString(g.text)
		if g.arg == 0 {
			continue
		}
		text := caught[g.arg-1]
		switch {
		case g.name && !name(text), g.bare && strings.Contains(text, "; "): // a name has no semicolon
			return "", false
		case g.bare || p.places[g.arg-1] == quoted:
			out.WriteString(text)
		case p.places[g.arg-1] == aNumber:
			out.WriteString(numbers(text))
		default:
			core := strings.TrimSpace(text)
			told, ok := t.clause(core)
			if !ok {
				return "", false
			}
			out.WriteString(strings.Replace(text, core, told, 1))
		}
	}
	return out.String(), true
}

// function are words that no name of a plant, a salt or a thing of the plan has, and every English sentence.
var function = map[string]bool{
	"the": true, "is": true, "are": true, "was": true, "were": true, "of": true, "and": true, "or": true, "to": true, "in": true, "on": true, "at": true, "with": true, "by": true, "for": true,
	"from": true, "it": true, "its": true, "a": true, "an": true, "no": true, "not": true, "that": true, "than": true, "as": true, "be": true, "has": true, "have": true, "cannot": true,
	"over": true, "under": true, "until": true, "after": true, "before": true, "when": true, "while": true, "this": true, "they": true, "their": true, "will": true, "which": true, "more": true, "less": true,
}

// name tells whether a text may be a name, a formula or a number with its unit, which every language writes alike: one without small words and without a
// word that the catalogue knows.
func name(s string) bool {
	if strings.HasPrefix(s, `"`) && quotedAt(s) == len(s) {
		return true
	}
	if strings.Contains(s, ";") {
		return false
	}
	words := strings.Fields(s)
	if len(words) > 8 {
		return false
	}
	for _, w := range words {
		w = strings.ToLower(strings.Trim(w, ",:()%"))
		if _, told := german().plain[w]; len(words) > 1 && (function[w] || told) {
			return false
		}
	}
	return len(words) < 4 || strings.ContainsFunc(s, func(r rune) bool { return unicode.IsUpper(r) || unicode.IsDigit(r) })
}

// numbers sets the decimal comma: in 0.5, not in 1.2.3, plan.yaml:2.5 or 2027-03-01.
func numbers(s string) string {
	if strings.IndexByte(s, '.') < 0 {
		return s
	}
	b := []byte(s)
	digit := func(i int) bool { return i >= 0 && i < len(b) && b[i] >= '0' && b[i] <= '9' }
	for i := range b {
		if b[i] != '.' || !digit(i-1) || !digit(i+1) {
			continue
		}
		l, r := i-1, i+1
		for digit(l) {
			l--
		}
		for digit(r) {
			r++
		}
		if l >= 0 && (b[l] == '.' || b[l] == ',' || b[l] == '_' || b[l] == ':' || b[l] == '-' && l > 0 && digit(l-1) || b[l] >= 'a' && b[l] <= 'z') || r < len(b) && (b[r] == '.' && digit(r+1) || b[r] == '_') {
			continue
		}
		b[i] = ','
	}
	return string(b)
}

// Accept reads the language of a request from its Accept-Language header (RFC 9110, 12.5.4): the first of ours in it, English when there is none.
func Accept(header string) string {
	best, weight := English, 0.0
	for part := range strings.SplitSeq(header, ",") {
		tag, q, _ := strings.Cut(strings.TrimSpace(part), ";")
		w := 1.0
		if v, ok := strings.CutPrefix(strings.TrimSpace(q), "q="); ok {
			w = quality(v)
		}
		lang, _, _ := strings.Cut(strings.ToLower(strings.TrimSpace(tag)), "-")
		if w > weight && (lang == English || lang == German) {
			best, weight = lang, w
		}
	}
	return best
}
