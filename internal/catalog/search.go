package catalog

import (
	"regexp"
	"slices"
	"strconv"
	"strings"
)

// Filter narrows a search; a zero field asks for nothing.
type Filter struct {
	Form        Form
	Place       string  // foreground, midground, background, epiphyte, surface, solitary
	Light       string  // low, medium, high
	Speed       string  // very slow to very fast
	MostCO2     string  // the most CO2 it may need: none, helpful, recommended, required
	MinHeightCM float64 // grown height at least (upper end of the range)
	MaxHeightCM float64 // grown height at most (upper end of the range)
	Colour      string  // a word of its colour, such as red
	Origin      string  // a part of the world it grows wild in, such as South America
	NotBannedIn string  // leaves out what this region bans, e.g. "EU"
	ForPlanting bool    // leaves out what is listed only to warn
}

// Hit is one found plant.
type Hit struct {
	Species *Species
	Score   int    // higher is nearer; only its order means anything
	Why     string // the name or trait that was matched, for people
}

// Search finds plants by words: names, synonyms, form, place, light, size ("<10 cm", "under 4 in"), colour, speed, leaf shape,
// family, origin and CO2 ("without CO2"). Every word must fit. Hits come nearest first, then by name; the same search gives the same list.
// No words and an empty filter give every plant.
func (c *Catalog) Search(words []string, f Filter) []Hit {
	text := strings.Join(words, " ")
	if len(text) > maxText {
		return nil
	}
	rest := traits(strings.ToLower(text), &f)
	whole := fold(strings.Join(words, " "))
	var hits []Hit
	for i := range c.species {
		s := &c.species[i]
		if !f.fits(s) {
			continue
		}
		score, why, ok := c.found[i].match(whole, rest)
		if ok {
			hits = append(hits, Hit{s, score, why})
		}
	}
	slices.SortStableFunc(hits, func(a, b Hit) int {
		return b.Score - a.Score // the rows are already in order of name
	})
	return hits
}

func (f *Filter) fits(s *Species) bool {
	return (f.Form == "" || f.Form == s.Form) &&
		(f.Place == "" || slices.Contains(s.Places, f.Place)) &&
		(f.Light == "" || f.Light == s.Light) &&
		(f.Speed == "" || f.Speed == s.Speed) &&
		(f.MostCO2 == "" || slices.Index(co2Needs, s.CO2) <= slices.Index(co2Needs, f.MostCO2)) &&
		(f.MinHeightCM <= s.HeightCM.Max) &&
		(f.MaxHeightCM == 0 || s.HeightCM.Max <= f.MaxHeightCM) &&
		(f.Colour == "" || slices.ContainsFunc(strings.Fields(fold(s.Colour)), func(w string) bool { return strings.HasPrefix(w, fold(f.Colour)) })) &&
		(f.Origin == "" || slices.ContainsFunc(s.Origin, func(o string) bool { return strings.EqualFold(o, f.Origin) })) &&
		(f.NotBannedIn == "" || !slices.ContainsFunc(s.Notices, func(n Notice) bool {
			return n.Status == "banned" && strings.EqualFold(n.Region, f.NotBannedIn)
		})) &&
		(!f.ForPlanting || s.PotsM2.Max > 0)
}

// pieces splits a search into signs, numbers and words.
var pieces = regexp.MustCompile(`[<>]=?|\d+(?:\.\d+)?|[^\s<>\d;,]+`)

// traits takes the traits that need more than one word ("under 10 cm", "low light", "without CO2") out of a search, writes them into
// the filter, and returns the words that are left.
func traits(text string, f *Filter) []string {
	// "CO2" must not fall apart into a word and a number, and "in-vitro" is one word.
	text = strings.NewReplacer("co₂", "co2", "co2", " carbon ", "up to", "under", "less than", "under", "more than", "over",
		"smaller than", "under", "taller than", "over", "-", " ", "≤", "<", "≥", ">").Replace(text)
	in := pieces.FindAllString(text, -1)
	var rest []string
	at := func(i int) string {
		if i < len(in) {
			return in[i]
		}
		return ""
	}
	for i := 0; i < len(in); i++ {
		word, next := in[i], at(i+1)
		switch {
		case isSize(word) && next != "":
			n, err := strconv.ParseFloat(next, 64)
			if err != nil {
				rest = append(rest, word)
				continue
			}
			i++
			switch at(i + 1) {
			case "cm":
				i++
			case "in", "inch", "inches":
				n *= 2.54 // cm per inch
				i++
			}
			if word[0] == '>' || word == "over" || word == "above" {
				f.MinHeightCM = max(f.MinHeightCM, n)
			} else if f.MaxHeightCM == 0 || n < f.MaxHeightCM {
				f.MaxHeightCM = n
			}
		case slices.Contains(lights, word) && next == "light":
			f.Light = word
			i++
		case word == "very" && (next == "slow" || next == "fast"):
			f.Speed = word + " " + next
			i++
		case (word == "no" || word == "without") && next == "carbon":
			f.MostCO2 = "helpful"
			i++
		case word == "carbon" && slices.Contains(co2Needs, next):
			f.MostCO2 = next
			i++
		case word != "plant" && word != "plants" && word != "growing" && word != "carbon":
			if w := fold(word); w != "" {
				rest = append(rest, w)
			}
		}
	}
	return rest
}

func isSize(word string) bool {
	switch word {
	case "<", "<=", "under", "below", "max", ">", ">=", "over", "above":
		return true
	}
	return false
}

// searchable is one species made ready for searching: folded names and the words of its traits.
type searchable struct {
	own    string
	others []string // synonyms and names it is sold under, as written
	folded []string // the same, folded
	traits []string
}

func searchables(list []Species) []searchable {
	out := make([]searchable, len(list))
	for i := range list {
		s := &list[i]
		e := &out[i]
		e.own = fold(s.Name)
		e.others = slices.Concat(s.Synonyms, s.SoldAs)
		for _, name := range e.others {
			e.folded = append(e.folded, fold(name))
		}
		e.traits = append([]string{string(s.Form), s.Speed, s.Light, s.LeafShape, fold(s.Family)}, s.Places...)
		e.traits = append(e.traits, strings.Fields(fold(s.Colour))...)
		for _, o := range s.Origin {
			e.traits = append(e.traits, strings.Fields(fold(o))...)
		}
	}
	return out
}

// match says how near a species is to the words: the whole name counts most, then words of its names, then its traits.
func (e *searchable) match(whole string, words []string) (score int, why string, ok bool) {
	if whole != "" && whole == e.own {
		return 1000, "name", true
	}
	if i := slices.Index(e.folded, whole); whole != "" && i >= 0 {
		return 900, e.others[i], true
	}
	for _, w := range words {
		switch {
		case beginsWord(e.own, w):
			score += 40
			if why == "" {
				why = "name"
			}
		case slices.Contains(e.traits, w):
			score += 10
			if why == "" {
				why = w
			}
		default:
			i := slices.IndexFunc(e.folded, func(name string) bool { return beginsWord(name, w) })
			j := slices.IndexFunc(e.traits, func(t string) bool { return len(w) >= 3 && strings.HasPrefix(t, w) })
			switch {
			case i >= 0:
				score += 30
				why = e.others[i]
			case j >= 0:
				score += 5
				if why == "" {
					why = e.traits[j]
				}
			default:
				return 0, "", false
			}
		}
	}
	return score, why, true
}

func beginsWord(name, word string) bool {
	return strings.HasPrefix(name, word) || strings.Contains(name, " "+word)
}
