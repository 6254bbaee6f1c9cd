package tongue

import (
	"embed"
	"fmt"
	"io/fs"
	"sort"
	"strings"
	"sync"
)

//go:embed de/*.txt
var files embed.FS

// catalogue holds what can be retold.
type catalogue struct {
	plain map[string]string     // sentences without places
	first map[string][]*pattern // with places, by their first word
	rest  []*pattern            // those that begin with a place
	odd   []string              // what is wrong with the files, for the test
}

// german is read once and never changes.
var german = sync.OnceValue(func() *catalogue {
	c := &catalogue{plain: map[string]string{}, first: map[string][]*pattern{}}
	names, _ := fs.Glob(files, "de/*.txt") // the pattern is well formed
	for _, name := range names {
		b, err := fs.ReadFile(files, name)
		if err != nil {
			c.odd = append(c.odd, err.Error())
		}
		c.read(name, string(b))
	}
	heavy := func(list []*pattern) {
		sort.SliceStable(list, func(a, b int) bool { return list[a].weight > list[b].weight })
	}
	for _, list := range c.first {
		heavy(list)
	}
	heavy(c.rest)
	return c
})

// read takes the entries of a file: an English format on one line, the German one under it behind a tab. Lines that begin with # are remarks.
func (c *catalogue) read(name, text string) {
	english, line := "", 0
	for s := range strings.Lines(text) {
		line++
		s = strings.TrimRight(s, "\r\n")
		switch {
		case s == "" || strings.HasPrefix(s, "#"):
		case !strings.HasPrefix(s, "\t"):
			if english != "" {
				c.odd = append(c.odd, fmt.Sprintf("%s:%d: %q has no German under it", name, line, english))
			}
			english = s
		case english == "":
			c.odd = append(c.odd, fmt.Sprintf("%s:%d: %q has no English above it", name, line, s))
		default:
			if err := c.add(english, strings.TrimPrefix(s, "\t")); err != nil {
				c.odd = append(c.odd, fmt.Sprintf("%s:%d: %v", name, line, err))
			}
			english = ""
		}
	}
}

// add takes one entry, sentence by sentence where both languages have as many.
func (c *catalogue) add(english, other string) error {
	en, de := sentences(strings.TrimSpace(english)), sentences(strings.TrimSpace(other))
	if len(en) != len(de) {
		return fmt.Errorf("%q has %d sentences and its German %d; write as many", english, len(en), len(de))
	}
	if e, ok := strings.CutPrefix(english, "; "); ok { // a part that is hung on; texts are parted there
		return c.add(e, strings.TrimPrefix(other, "; "))
	}
	args := 0 // arguments before the sentence
	for i := range en {
		p := newPattern(clean(en[i]))
		p.german = readSegments(clean(de[i]))
		used := map[int]bool{}
		for k := range p.german {
			s := &p.german[k]
			if s.arg == 0 {
				continue
			}
			s.arg -= args
			used[s.arg] = true
			if s.arg < 1 || s.arg > len(p.places) {
				return fmt.Errorf("%q: its German uses argument %d, which stands in another sentence", en[i], s.arg+args)
			}
		}
		if len(used) != len(p.places) {
			return fmt.Errorf("%q has %d arguments and its German uses %d", en[i], len(p.places), len(used))
		}
		args += len(p.places)
		if p.vague() {
			continue
		}
		c.keep(&p)
	}
	return nil
}

// clean takes spaces and the last point off, which come back when a sentence is retold.
func clean(s string) string { return strings.TrimSuffix(strings.TrimSpace(s), ".") }

func (c *catalogue) keep(p *pattern) {
	if len(p.places) == 0 {
		text := ""
		for _, s := range p.german {
			text += s.text
		}
		if _, there := c.plain[p.lits[0]]; !there {
			c.plain[p.lits[0]] = text
		}
		return
	}
	if word := firstWord(p.lits[0]); word != "" {
		c.first[word] = append(c.first[word], p)
		return
	}
	c.rest = append(c.rest, p)
}

// firstWord is the first word of a text when it is whole, that is when a space follows.
func firstWord(s string) string {
	k := strings.IndexByte(s, ' ')
	if k <= 0 {
		return ""
	}
	return s[:k]
}
