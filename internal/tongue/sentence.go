package tongue

import (
	"strings"
	"unicode"
	"unicode/utf8"
)

// shortened are words whose point ends no sentence.
var shortened = map[string]bool{"sp": true, "spp": true, "subsp": true, "var": true, "cf": true, "al": true, "e.g": true, "i.e": true, "approx": true, "No": true, "z. B": true, "z": true}

// sentences parts a text after each point, with the space that follows kept at the end of each part. Quoted text is not parted.
func sentences(text string) []string {
	var out []string
	from, within := 0, false
	for i := 0; i < len(text); i++ {
		switch text[i] {
		case '"':
			within = !within
		case '\n':
			out = append(out, text[from:i+1])
			from, within = i+1, false
		case '.', '!', '?':
			if within || i+1 >= len(text) {
				continue
			}
			next := i + 1
			for next < len(text) && text[next] == ' ' {
				next++
			}
			if next == i+1 && !strings.HasPrefix(text[next:], "%s") && !(text[next] == '{' && next+2 < len(text) && text[next+1] != '=') || next == len(text) {
				continue
			}
			r, _ := utf8.DecodeRuneInString(text[next:])
			if !unicode.IsUpper(r) && !unicode.IsDigit(r) && r != '"' && r != '%' && r != '{' {
				continue
			}
			word := text[from:i]
			if k := strings.LastIndexAny(word, " ("); k >= 0 {
				word = word[k+1:]
			}
			unit := strings.HasSuffix(strings.TrimSuffix(text[from:i], word), " ") && i-len(word) >= from+2 && text[i-len(word)-2] >= '0' && text[i-len(word)-2] <= '9'
			if shortened[word] || utf8.RuneCountInString(word) == 1 && unicode.IsUpper([]rune(word)[0]) && !unit { // an initial, not the W of 5 W
				continue
			}
			out = append(out, text[from:next])
			from = next
		}
	}
	if from < len(text) || len(out) == 0 {
		out = append(out, text[from:])
	}
	return out
}

// parts cuts a text at a separator outside of quotes and brackets.
func parts(text, sep string) []string {
	var out []string
	from, depth, within := 0, 0, false
	for i := 0; i < len(text); i++ {
		switch text[i] {
		case '"':
			within = !within
			continue
		case '(', '[', '{':
			depth++
			continue
		case ')', ']', '}':
			depth--
			continue
		}
		if !within && depth <= 0 && strings.HasPrefix(text[i:], sep) {
			out = append(out, text[from:i])
			i += len(sep) - 1
			from = i + 1
		}
	}
	return append(out, text[from:])
}
