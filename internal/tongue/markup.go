package tongue

import (
	"bytes"
	"html"
	"sort"
	"strings"
)

// Markup retells the text between the tags of an SVG drawing or an HTML page, and what is said to those who hear it (aria-label, alt, title). Style and script
// stay as they are; the html element gets its lang. Figures set low and names in italics stay so.
func (w Wish) Markup(doc []byte) []byte {
	if w.Plain() {
		return doc
	}
	var out bytes.Buffer
	out.Grow(len(doc) + len(doc)/16)
	var r run
	quiet := "" // the element whose content is no text
	inName := false
	for len(doc) > 0 {
		open := bytes.IndexByte(doc, '<')
		if open < 0 {
			open = len(doc)
		}
		if open > 0 {
			switch quiet {
			case "style":
				out.WriteString(w.rules(string(doc[:open])))
			case "script":
				out.Write(doc[:open])
			default:
				r = append(r, piece{string(doc[:open]), false})
			}
			doc = doc[open:]
			continue
		}
		end := tagEnd(doc)
		tag := doc[:end]
		if closes := string(tag) == "</i>" || string(tag) == "</em>"; quiet == "" && (closes && inName || !closes && within(doc, tag)) {
			if closes || opens(tag, "i") || opens(tag, "em") {
				inName = !closes
			}
			r = append(r, piece{string(tag), true})
			doc = doc[end:]
			continue
		}
		out.WriteString(w.toldRun(r))
		r = r[:0]
		doc = doc[end:]
		switch {
		case quiet != "":
			if bytes.HasPrefix(bytes.ToLower(tag), []byte("</"+quiet)) {
				quiet = ""
			}
		case opens(tag, "style"):
			quiet = "style"
		case opens(tag, "script"):
			quiet = "script"
		}
		if quiet == "" {
			tag = w.tag(tag)
		}
		out.Write(tag)
	}
	out.WriteString(w.toldRun(r))
	return out.Bytes()
}

// rules retells the words that a style sheet sets before an element: content:"Caution. ".
func (w Wish) rules(sheet string) string {
	const mark = `content:"`
	var out strings.Builder
	for {
		k := strings.Index(sheet, mark)
		if k < 0 {
			return out.String() + sheet
		}
		k += len(mark)
		end := strings.IndexByte(sheet[k:], '"')
		if end < 0 {
			return out.String() + sheet
		}
		word := sheet[k : k+end]
		out.WriteString(sheet[:k])
		if strings.ContainsAny(word, "\\{}<>") {
			out.WriteString(word)
		} else {
			out.WriteString(w.Tell(word))
		}
		sheet = sheet[k+end:]
	}
}

// piece is a stretch of text or a tag within it.
type piece struct {
	text string
	tag  bool
}

// run is text with the tags that belong to its words.
type run []piece

// within tells whether a tag belongs to the words around it: figures set low, and names in italics.
func within(doc, tag []byte) bool {
	s := string(tag)
	switch {
	case s == "<sub>" || s == "</sub>" || strings.HasPrefix(s, "<tspan") || s == "</tspan>":
		return true
	case s != "<i>" && s != "<em>" && !strings.HasPrefix(s, `<em class="species"`):
		return false
	}
	content, _, ok := strings.Cut(string(doc[len(tag):min(len(doc), len(tag)+120)]), "</")
	return ok && !strings.Contains(content, "<") && strings.Contains(content, " ") && name(content)
}

// toldRun retells a run. Words that hold tags are found again in the other language as they are written in both.
func (w Wish) toldRun(r run) string {
	var raw, plain strings.Builder
	for _, p := range r {
		raw.WriteString(p.text)
		if !p.tag {
			plain.WriteString(html.UnescapeString(p.text))
		}
	}
	core := strings.Join(strings.Fields(plain.String()), " ")
	if core == "" {
		return raw.String()
	}
	told := w.Tell(core)
	if told == core {
		return raw.String()
	}
	text := plain.String()
	at := strings.Index(text, strings.TrimSpace(text))
	out := html.EscapeString(told)
	if marked := r.marked(); len(marked) > 0 {
		out = strings.NewReplacer(marked...).Replace(out)
	}
	return text[:at] + out + text[at+len(strings.TrimSpace(text)):]
}

// marked are the words and names that hold tags: as they are read, and as they are written, the longest first.
func (r run) marked() []string {
	type word struct{ plain, raw string }
	var all []word
	var now word
	tagged, inName := false, false
	end := func() {
		plain := strings.Trim(now.plain, ".,;:()")
		if k := strings.Index(now.raw, "<"); tagged && plain != "" && k >= 0 {
			lead := len(now.plain) - len(strings.TrimLeft(now.plain, ".,;:()"))
			tail := len(now.plain) - lead - len(plain)
			all = append(all, word{html.EscapeString(plain), now.raw[lead : len(now.raw)-tail]})
		}
		now, tagged = word{}, false
	}
	for _, p := range r {
		if p.tag {
			switch p.text {
			case "</i>", "</em>":
				now.raw += p.text
				inName = false
				continue
			}
			if strings.HasPrefix(p.text, "<i") || strings.HasPrefix(p.text, "<em") {
				end()
				inName = true
			}
			now.raw += p.text
			tagged = true
			continue
		}
		if inName {
			now.raw += p.text
			now.plain += html.UnescapeString(p.text)
			continue
		}
		for {
			k := strings.IndexByte(p.text, ' ')
			if k < 0 {
				now.raw += p.text
				now.plain += html.UnescapeString(p.text)
				break
			}
			now.raw += p.text[:k]
			now.plain += html.UnescapeString(p.text[:k])
			end()
			p.text = p.text[k+1:]
		}
	}
	end()
	sort.SliceStable(all, func(a, b int) bool { return len(all[a].plain) > len(all[b].plain) })
	var out []string
	for _, x := range all {
		out = append(out, x.plain, x.raw)
	}
	return out
}

func opens(tag []byte, name string) bool {
	return len(tag) > len(name)+1 && bytes.EqualFold(tag[1:1+len(name)], []byte(name)) && bytes.IndexByte([]byte(" >\t\n"), tag[1+len(name)]) >= 0 && tag[len(tag)-2] != '/'
}

// tagEnd is where the tag that doc begins with ends: behind its > outside of quotes, or behind a remark.
func tagEnd(doc []byte) int {
	if bytes.HasPrefix(doc, []byte("<!--")) {
		if k := bytes.Index(doc, []byte("-->")); k >= 0 {
			return k + 3
		}
		return len(doc)
	}
	within := byte(0)
	for i := 1; i < len(doc); i++ {
		switch b := doc[i]; {
		case within != 0:
			if b == within {
				within = 0
			}
		case b == '"' || b == '\'':
			within = b
		case b == '>':
			return i + 1
		}
	}
	return len(doc)
}

// spoken are attributes that a person hears or reads.
var spoken = []string{` aria-label="`, ` alt="`, ` title="`}

func (w Wish) tag(tag []byte) []byte {
	s := string(tag)
	if w.Language == German && opens(tag, "html") {
		s = strings.Replace(s, `lang="en"`, `lang="de"`, 1)
	}
	for _, a := range spoken {
		k := strings.Index(s, a)
		if k < 0 {
			continue
		}
		from := k + len(a)
		n := strings.IndexByte(s[from:], '"')
		if n > 0 {
			s = s[:from] + w.inMarkup(s[from:from+n]) + s[from+n:]
		}
	}
	return []byte(s)
}

// inMarkup retells a text of a document with the space around it.
func (w Wish) inMarkup(text string) string {
	core := strings.TrimSpace(text)
	at := strings.Index(text, core)
	plain := html.UnescapeString(core)
	told := w.Tell(strings.Join(strings.Fields(plain), " "))
	if told == strings.Join(strings.Fields(plain), " ") {
		return text
	}
	return text[:at] + html.EscapeString(told) + text[at+len(core):]
}
