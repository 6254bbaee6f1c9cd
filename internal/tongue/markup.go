package tongue

import (
	"bytes"
	"html"
	"strings"
)

// Markup retells the text between the tags of an SVG drawing or an HTML page, and what is said to those who hear it (aria-label, alt, title). Style and script
// stay as they are; the html element gets its lang.
func (w Wish) Markup(doc []byte) []byte {
	if w.Plain() {
		return doc
	}
	var out bytes.Buffer
	out.Grow(len(doc) + len(doc)/16)
	quiet := "" // the element whose content is no text
	for len(doc) > 0 {
		open := bytes.IndexByte(doc, '<')
		if open < 0 {
			open = len(doc)
		}
		if open > 0 {
			text := doc[:open]
			if quiet == "" && len(bytes.TrimSpace(text)) > 0 {
				text = []byte(w.inMarkup(string(text)))
			}
			out.Write(text)
			doc = doc[open:]
			continue
		}
		end := tagEnd(doc)
		tag := doc[:end]
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
	return out.Bytes()
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
