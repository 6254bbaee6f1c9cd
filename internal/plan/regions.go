package plan

import (
	"littoral/internal/catalog"
	"slices"
	"sort"
	"strings"
)

// The regions whose lists of banned plants the built-in catalogue notes, with the names under which people write them. Members of the
// European Union by ISO 3166-1 alpha-2 and their English names, states of the US by name or ISO 3166-2 (US-CA); a bare CA or DE would be a
// country. From memory of the standards. Northern Ireland is left out: it follows lists of both neighbours, so both are to be named.
var (
	listedRegions = []string{"Australia", "EU", "New Zealand", "UK", "US"}

	membersOfEU = `AT Austria|BE Belgium|BG Bulgaria|HR Croatia|CY Cyprus|CZ Czechia|DK Denmark|EE Estonia|FI Finland|FR France|DE Germany|GR Greece|HU Hungary|` +
		`IE Ireland|IT Italy|LV Latvia|LT Lithuania|LU Luxembourg|MT Malta|NL Netherlands|PL Poland|PT Portugal|RO Romania|SK Slovakia|SI Slovenia|ES Spain|SE Sweden`

	statesOfUS = `AL Alabama|AK Alaska|AZ Arizona|AR Arkansas|CA California|CO Colorado|CT Connecticut|DE Delaware|DC District of Columbia|FL Florida|` +
		`GA Georgia|HI Hawaii|ID Idaho|IL Illinois|IN Indiana|IA Iowa|KS Kansas|KY Kentucky|LA Louisiana|ME Maine|MD Maryland|MA Massachusetts|` +
		`MI Michigan|MN Minnesota|MS Mississippi|MO Missouri|MT Montana|NE Nebraska|NV Nevada|NH New Hampshire|NJ New Jersey|NM New Mexico|` +
		`NY New York|NC North Carolina|ND North Dakota|OH Ohio|OK Oklahoma|OR Oregon|PA Pennsylvania|RI Rhode Island|SC South Carolina|` +
		`SD South Dakota|TN Tennessee|TX Texas|UT Utah|VT Vermont|VA Virginia|WA Washington|WV West Virginia|WI Wisconsin|WY Wyoming`

	otherRegionNames = map[string]string{
		"european union": "EU", "el": "EU", "czech republic": "EU", "republic of ireland": "EU", "the netherlands": "EU", "holland": "EU",
		"usa": "US", "u.s.": "US", "u.s.a.": "US", "united states": "US", "united states of america": "US", "the united states": "US",
		"gb": "UK", "united kingdom": "UK", "great britain": "UK", "england": "UK", "scotland": "UK", "wales": "UK",
		"au": "Australia", "nz": "New Zealand",
	}
)

// regionNames maps every way to write a region, in small letters, to the region whose list it goes by. Own are regions that only the
// plan's own catalogue has notices for.
func regionNames(own []string) map[string]string {
	names := map[string]string{}
	for _, r := range own {
		names[strings.ToLower(r)] = r
	}
	for _, r := range listedRegions {
		names[strings.ToLower(r)] = r
	}
	for k, r := range otherRegionNames {
		names[k] = r
	}
	for _, row := range strings.Split(membersOfEU, "|") {
		code, name, _ := strings.Cut(row, " ")
		names[strings.ToLower(code)], names[strings.ToLower(name)] = "EU", "EU"
	}
	for _, row := range strings.Split(statesOfUS, "|") {
		code, name, _ := strings.Cut(row, " ")
		names["us-"+strings.ToLower(code)], names[strings.ToLower(name)] = "US", "US"
	}
	return names
}

// ownRegions are the regions of the catalogue's notices that do not go by a listed region.
func (c *checker) ownRegions() []string {
	var own []string
	seen := map[string]bool{}
	note := func(region string) {
		for _, r := range listedRegions {
			if sameRegion(r, region) {
				return
			}
		}
		if !seen[region] {
			seen[region] = true
			own = append(own, region)
		}
	}
	for _, s := range c.p.Cat.AllSpecies() {
		for _, n := range s.Notices {
			note(n.Region)
		}
	}
	for _, a := range c.p.Cat.AllAnimals() {
		for _, n := range a.Notices {
			note(n.Region)
		}
	}
	sort.Strings(own)
	return own
}

// region brings the regions of the plan, or of the house where the plan names none, to those of the notices, each once. A region that
// nobody knows is an error: a ban would vanish without a word.
func (c *checker) region() {
	given, fromHouse := c.p.Region, false
	if len(given) == 0 && !c.written("region") {
		given, fromHouse = c.p.House.Region, true
	}
	if len(given) == 0 {
		return
	}
	own := c.ownRegions()
	names := regionNames(own)
	seen := map[string]bool{}
	for i, r := range given {
		path := index("region", i)
		if !fromHouse && !c.given(path) {
			continue
		}
		word := strings.Join(strings.Fields(r), " ")
		if word == "" {
			if !fromHouse {
				c.err(path, "this region is empty", "write a region such as EU, or take it out")
			}
			continue
		}
		name, ok := names[strings.ToLower(word)]
		if !ok {
			c.unknownRegion(path, word, names, append(append([]string(nil), listedRegions...), own...), fromHouse)
			continue
		}
		if !seen[name] {
			seen[name] = true
			c.regions = append(c.regions, name)
		}
	}
}

func (c *checker) unknownRegion(path, word string, names map[string]string, lists []string, fromHouse bool) {
	message := say("no list of banned plants is known for region %q", clip(word))
	if fromHouse {
		path, message = "", say("no list of banned plants is known for region %q of the house file", clip(word))
	}
	sort.Strings(lists)
	cure := "lists are known for " + strings.Join(lists, ", ") + "; a member of the EU or a state of the US can be named; elsewhere leave region out and check the local list"
	if strings.EqualFold(word, "Northern Ireland") {
		c.err(path, "the lists of both neighbours touch Northern Ireland", "write region: [UK, EU], and check the local list")
		return
	}
	if len([]rune(word)) > 3 { // between short codes a slip means anything
		// Nearest takes a beginning for the whole, so only what is spelt alike is offered.
		if near := c.nearest(strings.ToLower(word), sortedKeys(names)); near != "" {
			message, cure = say("%s; did you mean %q?", message, written(near)), "write "+written(near)+"; "+cure
		}
	}
	c.err(path, message, cure)
}

// written gives a name in small letters its capitals back.
func written(name string) string {
	words := strings.Fields(name)
	for i, w := range words {
		if w != "of" && w != "the" {
			words[i] = strings.ToUpper(w[:1]) + w[1:]
		}
	}
	if out := strings.Join(words, " "); len(out) > 3 {
		return out
	}
	return strings.ToUpper(name)
}

// Noticed returns those of a species' notices that hold where the plan's tank stands.
func (p *Plan) Noticed(list []catalog.Notice) []catalog.Notice { return noticed(list, p.Region) }

func noticed(list []catalog.Notice, regions []string) []catalog.Notice {
	var out []catalog.Notice
	for _, n := range list {
		if slices.ContainsFunc(regions, func(r string) bool { return sameRegion(r, n.Region) }) {
			out = append(out, n)
		}
	}
	return out
}

// sameRegion compares regions as words: "US" means "US (some states)" as well.
func sameRegion(a, b string) bool {
	a, b = strings.ToLower(a), strings.ToLower(b)
	return a == b || strings.HasPrefix(b, a+" ") || strings.HasPrefix(a, b+" ")
}
