package plan

import (
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
		if d := editDistance(lower, kl); d < bestAt {
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

// editDistance counts the letters to insert, remove, replace or swap with a neighbour to turn a into b
// (optimal string alignment distance).
func editDistance(a, b string) int {
	ra, rb := []rune(a), []rune(b)
	before, last, row := make([]int, len(rb)+1), make([]int, len(rb)+1), make([]int, len(rb)+1)
	for j := range last {
		last[j] = j
	}
	for i := 1; i <= len(ra); i++ {
		row[0] = i
		for j := 1; j <= len(rb); j++ {
			cost := 1
			if ra[i-1] == rb[j-1] {
				cost = 0
			}
			row[j] = min(last[j]+1, row[j-1]+1, last[j-1]+cost)
			if i > 1 && j > 1 && ra[i-1] == rb[j-2] && ra[i-2] == rb[j-1] {
				row[j] = min(row[j], before[j-2]+1)
			}
		}
		before, last, row = last, row, before
	}
	return last[len(rb)]
}
