package main

import (
	"fmt"
	"littoral/internal/catalog"
	"littoral/internal/growth"
	"littoral/internal/unit"
	"math"
	"os"
	"path/filepath"
	"sort"
	"strings"
	"text/tabwriter"
)

type catalogCommand struct {
	Search catalogSearch `cmd:"" default:"withargs" help:"Search by words (the default)."`
	Show   catalogShow   `cmd:"" help:"Print every number used for one plant, animal, material, salt, lamp or bottle, with range and source."`
}

func (catalogCommand) Help() string {
	return `Searches names, synonyms, growth form, place, light, size, colour, speed and CO2; every word must fit. The name of a kind alone
(lamp, fish, shrimp, snail, salt, stone, wood, substrate, bottle) lists that kind.

A search takes these flags ("littoral catalog search --help" lists them too):

  --kind=KIND    look only among plants, animals, materials, salts, lamps or bottles
  --units=us     show inches
  --with=FILE    lay a catalogue file of your own over the built-in one
  --json         write the hits as one JSON list

Examples:

  littoral catalog java fern
  littoral catalog red stem background
  littoral catalog "carpet <10 cm" without CO2
  littoral catalog lamp
  littoral catalog --kind materials sand
  littoral catalog show "Cryptocoryne wendtii"
  littoral catalog moss --json`
}

var kinds = []string{"plants", "animals", "materials", "salts", "lamps", "bottles"}

type catalogSearch struct {
	Words []string `arg:"" optional:"" help:"What to look for."`
	Kind  string   `enum:"all,plants,animals,materials,salts,lamps,bottles" default:"all" help:"Look only among ${enum}."`
	Units string   `enum:"metric,us" default:"metric" help:"Units to show: ${enum}."`
	With  []string `type:"existingfile" placeholder:"FILE" help:"Catalogue files of your own, laid over the built-in one."`
	JSON  bool     `name:"json" help:"Write the hits as one JSON list to standard output."`
}

// entry is one hit, for scripts. Fields that a kind has not are left out.
type entry struct {
	Kind     string   `json:"kind"`
	Name     string   `json:"name"`
	Synonyms []string `json:"synonyms"`
	Why      string   `json:"why,omitempty"`
	Form     string   `json:"form,omitempty"`
	Places   []string `json:"places,omitempty"`
	HeightCM *span    `json:"height_cm,omitempty"`
	SpreadCM *span    `json:"spread_cm,omitempty"`
	Light    string   `json:"light,omitempty"`
	PAR      *span    `json:"par_umol,omitempty"`
	CO2      string   `json:"co2,omitempty"`
	Speed    string   `json:"speed,omitempty"`
	Colour   string   `json:"colour,omitempty"`
	TempC    *span    `json:"temperature_c,omitempty"`
	PH       *span    `json:"ph,omitempty"`
	GH       *span    `json:"gh_dgh,omitempty"`
	PotsM2   *span    `json:"pots_m2,omitempty"`
	Notices  []notice `json:"notices,omitempty"`
	Class    string   `json:"class,omitempty"`
	SizeCM   float64  `json:"size_cm,omitempty"`
	Molar    float64  `json:"molar_g,omitempty"`
	PPF      float64  `json:"ppf_umol_s,omitempty"`
	Source   string   `json:"source,omitempty"`
}

type span struct {
	Min float64 `json:"min"`
	Max float64 `json:"max"`
}

type notice struct {
	Region string `json:"region"`
	Status string `json:"status"`
	Noted  string `json:"noted"`
}

func spanOf(r catalog.Range) *span { return &span{r.Min, r.Max} }

func noticesOf(list []catalog.Notice) []notice {
	var out []notice
	for _, n := range list {
		out = append(out, notice{n.Region, n.Status, n.Noted})
	}
	return out
}

func (c *catalogSearch) Run(p Program) error {
	cat, err := readCatalog(c.With)
	if err != nil {
		return err
	}
	hits := look(cat, c.Words, c.Kind)
	if c.JSON {
		return p.json(hits)
	}
	if len(c.Words) == 0 && c.Kind == "all" {
		return c.overview(p, hits)
	}
	if len(hits) == 0 {
		p.say("nothing in the catalogue fits %q; try fewer words, a form such as carpet, stem, rosette or moss, or a kind such as lamp, fish, shrimp, salt, stone or wood", strings.Join(c.Words, " "))
		return nil
	}
	return c.table(p, hits)
}

// readCatalog lays a person's own files over the built-in catalogue.
func readCatalog(files []string) (*catalog.Catalog, error) {
	var own []catalog.File
	for _, name := range files {
		data, err := os.ReadFile(name)
		if err != nil {
			return nil, fmt.Errorf("a catalogue file cannot be read: %w", err)
		}
		own = append(own, catalog.File{Name: filepath.ToSlash(name), Data: data})
	}
	if len(own) == 0 {
		return catalog.Default(), nil
	}
	return catalog.Default().Extend(own...)
}

// search gathers hits of every kind asked for. Plants are searched by the catalogue itself; the short lists of everything else by
// the words of their names.
func search(cat *catalog.Catalog, words []string, kind string) []entry {
	hits := []entry{}
	want := func(k string) bool { return kind == "all" || kind == k }
	if want("plants") {
		for _, h := range cat.Search(words, catalog.Filter{}) {
			s := h.Species
			hits = append(hits, entry{
				Kind: "plant", Name: s.Name, Synonyms: list(s.Synonyms), Why: h.Why, Form: string(s.Form), Places: s.Places,
				HeightCM: spanOf(s.HeightCM), SpreadCM: spanOf(s.SpreadCM), Light: s.Light, PAR: spanOf(s.PAR), CO2: s.CO2, Speed: s.Speed,
				Colour: s.Colour, TempC: spanOf(s.Temp), PH: spanOf(s.PH), GH: spanOf(s.GH), PotsM2: spanOf(s.PotsM2),
				Notices: noticesOf(s.Notices), Source: s.Source,
			})
		}
	}
	add := func(e entry, more ...string) {
		if fits(words, append(append([]string{e.Name, e.Kind + "s"}, e.Synonyms...), more...)) {
			hits = append(hits, e)
		}
	}
	if want("animals") {
		for _, a := range cat.AllAnimals() {
			add(entry{
				Kind: "animal", Name: a.Name, Synonyms: list(a.Synonyms), Class: a.Kind, SizeCM: a.SizeCM, TempC: spanOf(a.Temp), PH: spanOf(a.PH),
				GH: spanOf(a.GH), Notices: noticesOf(a.Notices), Source: a.Source,
			}, a.Kind)
		}
	}
	if want("materials") {
		for _, m := range cat.AllMaterials() {
			add(entry{Kind: "material", Name: m.Name, Synonyms: list(m.Synonyms), Class: m.Class, Source: m.Source}, m.Class)
		}
	}
	if want("salts") {
		for _, s := range cat.AllSalts() {
			add(entry{Kind: "salt", Name: s.Formula, Synonyms: list(s.Names), Molar: s.Molar})
		}
	}
	if want("lamps") {
		for _, l := range cat.AllLamps() {
			add(entry{Kind: "lamp", Name: l.Name, Synonyms: list(l.Synonyms), Class: l.Kind, PPF: float64(l.PPF), Source: l.Source}, l.Kind)
		}
	}
	if want("bottles") {
		for _, b := range cat.AllBottles() {
			add(entry{Kind: "bottle", Name: b.Name, Synonyms: list(b.Synonyms), Source: b.Source})
		}
	}
	return hits
}

// shelves are the words that name a whole kind of entries, or a class of one kind, beside the kinds themselves.
var shelves = map[string]struct{ kind, class string }{
	"fish": {"animals", "fish"}, "shrimp": {"animals", "shrimp"}, "snail": {"animals", "snail"},
	"stone": {"materials", "stone"}, "rock": {"materials", "stone"}, "wood": {"materials", "wood"}, "substrate": {"materials", "substrate"},
	"additive": {"materials", "additive"}, "light": {"lamps", ""}, "fertiliser": {"bottles", ""}, "fertilizer": {"bottles", ""},
}

// look searches, unless the one word names a shelf: then it lists what stands there, as "lamp" means the lamps and not names with lamp in them.
func look(cat *catalog.Catalog, words []string, kind string) []entry {
	if len(words) != 1 {
		return search(cat, words, kind)
	}
	word := strings.ToLower(words[0])
	for _, k := range kinds {
		if (kind == "all" || kind == k) && (word == k || word == strings.TrimSuffix(k, "s")) {
			return search(cat, nil, k)
		}
	}
	shelf, ok := shelves[word]
	if !ok {
		shelf, ok = shelves[strings.TrimSuffix(word, "s")]
	}
	if !ok || kind != "all" && kind != shelf.kind {
		return search(cat, words, kind)
	}
	hits := []entry{}
	for _, e := range search(cat, nil, shelf.kind) {
		if shelf.class == "" || e.Class == shelf.class {
			hits = append(hits, e)
		}
	}
	return hits
}

// list makes an absent list an empty one, so that scripts never meet null.
func list(names []string) []string {
	if names == nil {
		return []string{}
	}
	return names
}

// fits tells whether every word stands in one of the names.
func fits(words, names []string) bool {
	for _, w := range words {
		found := false
		for _, n := range names {
			found = found || strings.Contains(strings.ToLower(n), strings.ToLower(w))
		}
		if !found {
			return false
		}
	}
	return true
}

func (c *catalogSearch) overview(p Program, all []entry) error {
	counts := map[string]int{}
	for _, e := range all {
		counts[e.Kind+"s"]++
	}
	fmt.Fprintln(p.Out, "The catalogue holds:")
	for _, k := range kinds {
		fmt.Fprintf(p.Out, "  %4d %s\n", counts[k], k)
	}
	_, err := fmt.Fprintln(p.Out, "\nSearch with words (littoral catalog red stem), list a kind (littoral catalog --kind materials),\nor see every number of one entry (littoral catalog show \"Cryptocoryne wendtii\").")
	return err
}

func (c *catalogSearch) table(p Program, hits []entry) error {
	sys := system(c.Units)
	w := tabwriter.NewWriter(p.Out, 0, 4, 2, ' ', 0)
	kind := ""
	for _, e := range hits {
		if e.Kind != kind {
			if kind != "" {
				fmt.Fprintln(w)
			}
			kind = e.Kind
			if kind == "plant" {
				fmt.Fprintln(w, "plant\tform\theight\tlight\tCO2\tspeed\tplace\tknown as")
			} else {
				fmt.Fprintf(w, "%s\tclass\tknown as\n", kind)
			}
		}
		known := strings.Join(e.Synonyms, ", ")
		if e.Kind == "plant" {
			fmt.Fprintf(w, "%s\t%s\t%s\t%s\t%s\t%s\t%s\t%s%s\n", e.Name, e.Form, lengths(*e.HeightCM, sys), e.Light, e.CO2, e.Speed,
				strings.Join(e.Places, ", "), known, listed(e.Notices))
		} else {
			fmt.Fprintf(w, "%s\t%s\t%s%s\n", e.Name, e.Class, known, listed(e.Notices))
		}
	}
	return w.Flush()
}

// listed marks a species that a region bans or watches; the local list decides.
func listed(list []notice) string {
	var parts []string
	for _, n := range list {
		parts = append(parts, fmt.Sprintf("%s in %s (noted %s)", n.Status, n.Region, n.Noted))
	}
	if len(parts) == 0 {
		return ""
	}
	return " [" + strings.Join(parts, "; ") + "; check the local list]"
}

func system(units string) unit.System {
	if strings.EqualFold(units, string(unit.US)) {
		return unit.US
	}
	return unit.Metric
}

// lengths shows a range of centimetres in a system's unit.
func lengths(s span, sys unit.System) string {
	return between(unit.KindLength, s.Min/100, s.Max/100, sys)
}

// between shows a range with its unit once: "10 to 30 cm".
func between(kind unit.Kind, lo, hi float64, sys unit.System) string {
	a, b := unit.Format(kind, lo, sys), unit.Format(kind, hi, sys)
	if a == b {
		return a
	}
	if i := strings.LastIndexByte(a, ' '); i > 0 && strings.HasSuffix(b, a[i:]) {
		a = a[:i]
	}
	return a + " to " + b
}

type catalogShow struct {
	Name  []string `arg:"" help:"Its name, a synonym or a trade name."`
	Units string   `enum:"metric,us" default:"metric" help:"Units to show: ${enum}."`
	With  []string `type:"existingfile" placeholder:"FILE" help:"Catalogue files of your own, laid over the built-in one."`
	JSON  bool     `name:"json" help:"Write the entry as one JSON object to standard output."`
}

func (catalogShow) Help() string {
	return `Prints what the trade says of an entry, and every number that a forecast uses for it, each with the range it may take and its source.

Examples:

  littoral catalog show java fern
  littoral catalog show "active soil"
  littoral catalog show KNO3 --json`
}

// fact is one line of an entry: a value, the range it may take, and where it is from.
type fact struct {
	What   string  `json:"what"`
	Text   string  `json:"text,omitempty"`
	Value  float64 `json:"value"`
	Min    float64 `json:"min"`
	Max    float64 `json:"max"`
	Unit   string  `json:"unit,omitempty"`
	Source string  `json:"source"`
}

// shown is a whole entry.
type shown struct {
	Kind     string   `json:"kind"`
	Name     string   `json:"name"`
	Synonyms []string `json:"synonyms"`
	Facts    []fact   `json:"facts"`
}

func (c *catalogShow) Run(p Program) error {
	cat, err := readCatalog(c.With)
	if err != nil {
		return err
	}
	name := strings.Join(c.Name, " ")
	e, ok := lookUp(cat, name, system(c.Units))
	if !ok {
		if near := near(cat, c.Name); len(near) > 0 {
			return fmt.Errorf("nothing in the catalogue is called %q; did you mean %s?", name, strings.Join(near, ", "))
		}
		return fmt.Errorf("nothing in the catalogue is called %q; search with \"littoral catalog WORDS\"", name)
	}
	if c.JSON {
		return p.json(e)
	}
	fmt.Fprintf(p.Out, "%s (%s)\n", e.Name, e.Kind)
	if len(e.Synonyms) > 0 {
		fmt.Fprintf(p.Out, "also %s\n", strings.Join(e.Synonyms, ", "))
	}
	w := tabwriter.NewWriter(p.Out, 0, 4, 2, ' ', 0)
	fmt.Fprintln(w, "\nwhat\tvalue\trange\tsource")
	for _, f := range e.Facts {
		value, rng := f.Text, ""
		if value == "" {
			value = strings.TrimSpace(fmt.Sprintf("%.4g %s", f.Value, f.Unit))
			if f.Min != f.Max { // known to a range, so to no more than three digits
				value = strings.TrimSpace(threeDigits(f.Value) + " " + f.Unit)
				rng = threeDigits(f.Min) + " to " + threeDigits(f.Max)
			}
		}
		fmt.Fprintf(w, "%s\t%s\t%s\t%s\n", f.What, value, rng, f.Source)
	}
	return w.Flush()
}

// threeDigits writes a number with three digits that count.
func threeDigits(x float64) string {
	if math.Abs(x) >= 1000 {
		return fmt.Sprintf("%.0f", x)
	}
	return fmt.Sprintf("%.3g", x)
}

// near finds up to three names like the one asked for: entries that hold its words, else entries spelt alike.
func near(cat *catalog.Catalog, words []string) []string {
	var names []string
	for _, h := range search(cat, words, "all") {
		names = append(names, h.Name)
	}
	if len(names) == 0 {
		name := strings.Join(words, " ")
		for _, suggest := range []func(string) []string{cat.Suggest, cat.SuggestAnimal, cat.SuggestMaterial, cat.SuggestSalt, cat.SuggestLamp, cat.SuggestBottle} {
			names = append(names, suggest(name)...)
		}
	}
	return names[:min(3, len(names))]
}

func lookUp(cat *catalog.Catalog, name string, sys unit.System) (shown, bool) {
	if s, ok := cat.Species(name); ok {
		return shown{"plant", s.Name, list(s.Synonyms), speciesFacts(s, sys)}, true
	}
	if a, ok := cat.Animal(name); ok {
		return shown{"animal", a.Name, list(a.Synonyms), animalFacts(a, sys)}, true
	}
	if m, ok := cat.Material(name); ok {
		return shown{"material", m.Name, list(m.Synonyms), materialFacts(m)}, true
	}
	if s, ok := cat.Salt(name); ok {
		return shown{"salt", s.Formula, list(s.Names), saltFacts(s)}, true
	}
	if l, ok := cat.Lamp(name); ok {
		return shown{"lamp", l.Name, list(l.Synonyms), lampFacts(l, sys)}, true
	}
	if b, ok := cat.Bottle(name); ok {
		return shown{"bottle", b.Name, list(b.Synonyms), bottleFacts(b)}, true
	}
	return shown{}, false
}

func words(what, text, source string) fact { return fact{What: what, Text: text, Source: source} }

func param(what string, p catalog.Param, unit string) fact {
	return fact{What: what, Value: p.Value, Min: p.Min, Max: p.Max, Unit: unit, Source: p.Source}
}

func rangeText(r catalog.Range, unit string) string {
	if r.Min == r.Max {
		return strings.TrimSpace(fmt.Sprintf("%.4g %s", r.Min, unit))
	}
	return strings.TrimSpace(fmt.Sprintf("%.4g to %.4g %s", r.Min, r.Max, unit))
}

// speciesFacts are the trade's facts of a plant, then the numbers that growth runs on.
func speciesFacts(s *catalog.Species, sys unit.System) []fact {
	trade := "catalogue row: " + s.Source
	facts := []fact{
		words("family", s.Family, trade), words("form", string(s.Form), trade), words("places", strings.Join(s.Places, ", "), trade),
		words("height", lengths(*spanOf(s.HeightCM), sys), trade), words("spread", lengths(*spanOf(s.SpreadCM), sys), trade),
		words("growth", s.Speed, trade), words("doubling", rangeText(s.Doubling, "days"), trade),
		words("light", s.Light+", "+rangeText(s.PAR, "µmol/m²/s"), trade), words("CO2", s.CO2, trade),
		words("bicarbonate", s.HCO3Use, "species lists after Maberly & Madsen 2002, from memory"),
		words("temperature", between(unit.KindTemperature, s.Temp.Min, s.Temp.Max, sys), trade),
		words("pH", rangeText(s.PH, ""), trade), words("hardness", rangeText(s.GH, "dGH"), trade),
		words("feeds by", s.Feeder, trade), words("propagation", s.Propagation, trade), words("trim", s.Trim+", every "+rangeText(s.TrimWeeks, "weeks"), trade),
		words("colour", s.Colour, trade), words("density", rangeText(s.PotsM2, "pots/m²"), trade), words("melt after planting", s.Melt, trade),
	}
	if s.KHMax > 0 {
		facts = append(facts, words("alkalinity at most", fmt.Sprintf("%.4g dKH", s.KHMax), trade))
	}
	for _, n := range s.Notices {
		facts = append(facts, words("notice", fmt.Sprintf("%s in %s; check the local list", n.Status, n.Region), "noted "+n.Noted))
	}
	facts = append(facts, words("leaf", s.LeafShape+", "+s.ColourHex, trade))
	facts = append(facts, physiologyFacts(&s.Phys)...)
	for _, n := range growth.Numbers(s) {
		facts = append(facts, param(n.What, n.Param, n.Unit))
	}
	return facts
}

// physiologyFacts tells every parameter of growth; the season of a bulb only where there is one.
func physiologyFacts(p *catalog.Physiology) []fact {
	var facts []fact
	for _, f := range catalog.PhysiologyFields() {
		q := f.At(p)
		if (q == &p.ActiveDays || q == &p.RestDays) && p.RestDays.Max <= 0 {
			continue
		}
		facts = append(facts, param(f.Words, *q, f.Unit))
	}
	return facts
}

func animalFacts(a *catalog.Animal, sys unit.System) []fact {
	trade := "catalogue row: " + a.Source
	facts := []fact{
		words("kind", a.Kind, trade), words("adult size", unit.Format(unit.KindLength, a.SizeCM/100, sys), trade),
		words("temperature", between(unit.KindTemperature, a.Temp.Min, a.Temp.Max, sys), trade), words("pH", rangeText(a.PH, ""), trade),
		words("hardness", rangeText(a.GH, "dGH"), trade), words("group", fmt.Sprintf("%d or more", a.GroupMin), trade),
		words("lives", a.Niche, trade), words("plants", a.Plants, trade), words("algae", a.Algae, trade),
		words("CO2 by day at most", fmt.Sprintf("%.4g mg/L (%s sensitivity)", a.CO2Max, a.CO2Class), trade),
		words("earliest", fmt.Sprintf("week %d", a.EarlyWeek), trade), param("adult wet mass", a.MassG, "g"),
	}
	if a.Note != "" {
		facts = append(facts, words("note", a.Note, trade))
	}
	for _, n := range a.Notices {
		facts = append(facts, words("notice", fmt.Sprintf("%s in %s; check the local list", n.Status, n.Region), "noted "+n.Noted))
	}
	return facts
}

func materialFacts(m *catalog.Material) []fact {
	trade := "catalogue row: " + m.Source
	facts := []fact{words("class", m.Class, trade)}
	add := func(what string, r catalog.Range, unit string) {
		if r != (catalog.Range{}) {
			facts = append(facts, words(what, rangeText(r, unit), trade))
		}
	}
	add("dry bulk density", m.Bulk, "kg/L")
	add("dry piece density", m.Piece, "kg/L")
	add("wet density", m.Wet, "kg/L")
	add("porosity", m.Porosity, "")
	add("grain", m.GrainMM, "mm")
	add("life", m.LifeYears, "years")
	facts = append(facts, words("pH", m.PH, trade), words("hardness", m.GH, trade), words("alkalinity", m.KH, trade))
	if m.Class == "stone" || m.Class == "wood" {
		return append(facts, words("note", m.Note, trade))
	}
	facts = append(facts,
		words("ammonium when new", m.Ammonia, trade), words("nutrients", m.Nutrients, trade), words("note", m.Note, trade),
		param("angle of repose under water", m.AngleDeg, "°"))
	for _, f := range catalog.BedFields() {
		facts = append(facts, param(f.Words, *f.At(&m.Bed), f.Unit))
	}
	return facts
}

func saltFacts(s *catalog.Salt) []fact {
	const from = "atomic weights, IUPAC 2021 abridged"
	facts := []fact{{What: "molar mass", Value: s.Molar, Min: s.Molar, Max: s.Molar, Unit: "g/mol", Source: from}}
	return append(facts, partsFacts(s.Parts, "g in a gram", from)...)
}

func bottleFacts(b *catalog.Bottle) []fact {
	facts := partsFacts(b.Parts, "g/L", b.Source)
	if b.Note != "" {
		facts = append(facts, words("note", b.Note, b.Source))
	}
	return facts
}

func partsFacts(parts map[string]float64, per, source string) []fact {
	keys := make([]string, 0, len(parts))
	for k := range parts {
		keys = append(keys, k)
	}
	sort.Strings(keys)
	var facts []fact
	for _, k := range keys {
		u := per
		if k == "alk" {
			u = strings.Replace(per, "g", "meq", 1)
		}
		facts = append(facts, fact{What: k, Value: parts[k], Min: parts[k], Max: parts[k], Unit: u, Source: source})
	}
	return facts
}

func lampFacts(l *catalog.LampKind, sys unit.System) []fact {
	trade := "catalogue row: " + l.Source
	return []fact{
		words("kind", l.Kind, trade),
		words("emitting face", unit.Format(unit.KindLength, float64(l.Size[0]), sys)+" by "+unit.Format(unit.KindLength, float64(l.Size[1]), sys), trade),
		words("photon flux", unit.Format(unit.KindPhotonFlux, float64(l.PPF), sys), trade), words("power", unit.Format(unit.KindPower, float64(l.Power), sys), trade),
		words("beam", unit.Format(unit.KindAngle, float64(l.Beam), sys), trade), words("spectrum", l.Spectrum, trade),
		param("lux for each µmol/m²/s", l.LuxPerPPFD, ""),
	}
}
