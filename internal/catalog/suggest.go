package catalog

import (
	"cmp"
	"littoral/internal/words"
	"math"
	"regexp"
	"slices"
	"strconv"
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

// SuggestLamp is Suggest for lamps. Lamps come in sizes: of those whose names are alike but for the size, the nearest size comes first.
func (c *Catalog) SuggestLamp(name string) []string {
	known := allNames(c.lamps, lampNames)
	want, ok := sizeOf(name)
	if !ok || len(name) > maxName {
		return nearest(name, known, suggestions)
	}
	type near struct {
		name     string
		distance int
		off      float64
	}
	typed := []rune(withoutSizes(name))
	few := min(maxEdits, max(1, len(typed)/4)) // letters that may differ
	var sized []near
	for _, k := range known {
		size, has := sizeOf(k)
		if d := words.Edits(typed, []rune(withoutSizes(k)), few); has && d <= few {
			sized = append(sized, near{k, d, math.Abs(size - want)})
		}
	}
	if len(sized) == 0 {
		return nearest(name, known, suggestions)
	}
	slices.SortStableFunc(sized, func(a, b near) int {
		return cmp.Or(cmp.Compare(a.distance, b.distance), cmp.Compare(a.off, b.off))
	})
	var list []string
	for _, n := range sized[:min(suggestions, len(sized))] {
		list = append(list, n.name)
	}
	return list
}

// sizes are the numbers in the name of a lamp with their units.
var sizes = regexp.MustCompile(`(?i)(\d+(?:\.\d+)?)\s*(?:(cm|mm|m|inches|inch|in|ft|w)\b)?`)

// sizeOf is the last number of a name, lengths in cm: 115 for "fluorescent tube, 54 W, 115 cm".
func sizeOf(name string) (float64, bool) {
	all := sizes.FindAllStringSubmatch(name, -1)
	if len(all) == 0 {
		return 0, false
	}
	last := all[len(all)-1]
	x, err := strconv.ParseFloat(last[1], 64)
	switch strings.ToLower(last[2]) {
	case "mm":
		x /= 10
	case "m":
		x *= 100
	case "in", "inch", "inches":
		x *= 2.54
	case "ft":
		x *= 30.48
	}
	return x, err == nil
}

// withoutSizes is a name in which only the words count.
func withoutSizes(name string) string {
	return fold(strings.ReplaceAll(sizes.ReplaceAllString(name, " "), ",", " "))
}

// SuggestBottle is Suggest for liquid fertilisers.
func (c *Catalog) SuggestBottle(name string) []string { return suggest(name, c.bottles, bottleNames) }

func suggest[T any](name string, rows []T, of func(*T) names) []string {
	return nearest(name, allNames(rows, of), suggestions)
}

func allNames[T any](rows []T, of func(*T) names) []string {
	var known []string
	for i := range rows {
		n := of(&rows[i])
		known = append(known, n.own)
		known = append(known, n.synonyms...)
		known = append(known, n.soldAs...)
	}
	return known
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
		d := words.Edits([]rune(want), []rune(have), few)
		far := d > few
		if far && len(want) >= 4 { // "wendtii" for Cryptocoryne wendtii, "rotundifola" for Rotala rotundifolia
			if holdsWords(have, want) {
				d, far = 1, false
			} else {
				for word := range strings.SplitSeq(have, " ") {
					if e := words.Edits([]rune(want), []rune(word), few); e <= few && (far || e+1 < d) {
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
