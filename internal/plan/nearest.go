package plan

import (
	"littoral/internal/words"
	"sort"
	"strings"
)

// maxChoice is how many known words are searched through for one that was meant.
const maxChoice = 500

// nearest returns the known word that a mistyped one most likely means, or "". Ties go to the first in alphabetical order.
func nearest(word string, known []string) string {
	known = append([]string(nil), known...)
	sort.Strings(known)
	lower := strings.ToLower(word)
	if len(lower) > 60 {
		return ""
	}
	best, bestAt := "", 1+max(1, len([]rune(word))/3)
	for _, k := range known {
		kl := strings.ToLower(k)
		if len(lower) >= 3 && (strings.HasPrefix(kl, lower) || kl == strings.ReplaceAll(lower, "_", "-")) {
			return k
		}
		if d := words.Edits([]rune(lower), []rune(kl), bestAt); d < bestAt {
			best, bestAt = k, d
		}
	}
	return best
}

// nearest is the function of that name, silent once no more problems are listed or the choice is too wide
// to be searched through.
func (r *reporter) nearest(word string, known []string) string {
	if r.full() || len(known) > maxChoice {
		return ""
	}
	return nearest(word, known)
}
