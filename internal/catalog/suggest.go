package catalog

import (
	"slices"
	"strings"
)

const (
	suggestions = 3   // how many names an error text can bear
	maxName     = 100 // bytes; what is longer is no misspelt name
	maxEdits    = 4   // letters that may differ in a long name
)

// Suggest returns up to three plant names that the given one may have meant, nearest first; none when nothing is near.
func (c *Catalog) Suggest(name string) []string { return suggest(name, c.species, speciesNames) }

// SuggestAnimal is Suggest for animals.
func (c *Catalog) SuggestAnimal(name string) []string { return suggest(name, c.animals, animalNames) }

// SuggestMaterial is Suggest for substrates, stones and woods.
func (c *Catalog) SuggestMaterial(name string) []string {
	return suggest(name, c.materials, materialNames)
}

// SuggestSalt is Suggest for dry salts.
func (c *Catalog) SuggestSalt(name string) []string { return suggest(name, c.salts, saltNames) }

// SuggestLamp is Suggest for lamps.
func (c *Catalog) SuggestLamp(name string) []string { return suggest(name, c.lamps, lampNames) }

// SuggestBottle is Suggest for liquid fertilisers.
func (c *Catalog) SuggestBottle(name string) []string { return suggest(name, c.bottles, bottleNames) }

func suggest[T any](name string, rows []T, of func(*T) names) []string {
	var known []string
	for i := range rows {
		n := of(&rows[i])
		known = append(known, n.own)
		known = append(known, n.synonyms...)
		known = append(known, n.soldAs...)
	}
	return nearest(name, known, suggestions)
}

// nearest returns up to n of the known names that are close to the given one: one that holds all its words, or one that differs by
// few letters. Of names equally near the shorter comes first, then the alphabet decides.
func nearest(name string, known []string, n int) []string {
	if len(name) > maxName {
		return nil
	}
	want := fold(name)
	if want == "" {
		return nil
	}
	type near struct {
		name     string
		distance int
	}
	var found []near
	few := min(maxEdits, max(1, len([]rune(want))/4)) // letters that may differ
	for _, k := range known {
		have := fold(k)
		d := edits([]rune(want), []rune(have), few)
		far := d > few
		if far && len(want) >= 4 { // "wendtii" for Cryptocoryne wendtii, "rotundifola" for Rotala rotundifolia
			if holdsWords(have, want) {
				d, far = 1, false
			} else {
				for word := range strings.SplitSeq(have, " ") {
					if e := edits([]rune(want), []rune(word), few); e <= few && (far || e+1 < d) {
						d, far = e+1, false
					}
				}
			}
		}
		if !far {
			found = append(found, near{k, d})
		}
	}
	slices.SortFunc(found, func(a, b near) int {
		if a.distance != b.distance {
			return a.distance - b.distance
		}
		if len(a.name) != len(b.name) { // the name with least beside what was typed
			return len(a.name) - len(b.name)
		}
		return strings.Compare(fold(a.name), fold(b.name))
	})
	var list []string
	for _, f := range found {
		if len(list) < n && !slices.Contains(list, f.name) {
			list = append(list, f.name)
		}
	}
	return list
}

// holdsWords says whether each word of want begins a word of have.
func holdsWords(have, want string) bool {
	for w := range strings.SplitSeq(want, " ") {
		if !strings.HasPrefix(have, w) && !strings.Contains(have, " "+w) {
			return false
		}
	}
	return true
}

// edits is the least number of letters to insert, drop, change or swap with a neighbour between two words (optimal string
// alignment), or anything above most when it is more than that.
func edits(a, b []rune, most int) int {
	if d := len(a) - len(b); d > most || -d > most {
		return most + 1
	}
	before, last, now := make([]int, len(b)+1), make([]int, len(b)+1), make([]int, len(b)+1)
	for j := range last {
		last[j] = j
	}
	for i := 1; i <= len(a); i++ {
		now[0] = i
		for j := 1; j <= len(b); j++ {
			cost := 1
			if a[i-1] == b[j-1] {
				cost = 0
			}
			now[j] = min(last[j]+1, now[j-1]+1, last[j-1]+cost)
			if i > 1 && j > 1 && a[i-1] == b[j-2] && a[i-2] == b[j-1] {
				now[j] = min(now[j], before[j-2]+1)
			}
		}
		before, last, now = last, now, before
	}
	return last[len(b)]
}
