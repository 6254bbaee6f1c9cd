package shelf

import (
	"context"
	"fmt"
	"littoral/internal/catalog"
	"littoral/internal/nursery"
	"littoral/internal/picture"
	"littoral/internal/plan"
	"littoral/internal/store"
	"littoral/internal/unit"
	"slices"
	"strings"
	"sync"
)

// SpeciesSearch says which plants are looked for. Empty members ask for nothing.
type SpeciesSearch struct {
	Words   string
	Filter  catalog.Filter
	Tank    string // whose catalogue and plan count; empty = the built-in catalogue and no plan
	At      *[2]float64
	Fitting bool // leaves out what does not fit the plan
	Most    int
}

// SpeciesList is an answer to a search.
type SpeciesList struct {
	Species []SpeciesCard `json:"species" doc:"nearest to the words first, then by name"`
	All     int           `json:"all" doc:"how many were found, whatever the list shows"`
	Origins []string      `json:"origins" doc:"every part of the world that the catalogue's plants come from"`
}

// SpeciesCard is a plant of the catalogue with what it finds in a plan.
type SpeciesCard struct {
	Name       string     `json:"name"`
	Synonyms   []string   `json:"synonyms"`
	Family     string     `json:"family"`
	Form       string     `json:"form"`
	Places     []string   `json:"places" doc:"foreground, midground, background, epiphyte, surface, solitary"`
	Origin     []string   `json:"origin" doc:"parts of the world it grows wild in"`
	HeightCM   [2]float64 `json:"height_cm" doc:"grown, in a tank"`
	SpreadCM   [2]float64 `json:"spread_cm"`
	Speed      string     `json:"speed"`
	Light      string     `json:"light"`
	PAR        [2]float64 `json:"par" doc:"µmol/m²/s at the leaf it thrives in"`
	CO2        string     `json:"co2" doc:"none, helpful, recommended or required"`
	TempC      [2]float64 `json:"temperature_c"`
	PH         [2]float64 `json:"ph"`
	GH         [2]float64 `json:"gh"`
	KHMax      float64    `json:"kh_max" doc:"0 = no known limit"`
	Feeder     string     `json:"feeder"`
	Colour     string     `json:"colour"`
	ColourHex  string     `json:"colour_hex"`
	Leaf       string     `json:"leaf"`
	PotsM2     [2]float64 `json:"pots_m2"`
	Trim       string     `json:"trim"`
	TrimWeeks  [2]float64 `json:"trim_weeks"`
	Notices    []Notice   `json:"notices"`
	ForPlant   bool       `json:"for_planting" doc:"false for what is listed only to warn"`
	Why        string     `json:"why" doc:"the name or trait by which it was found"`
	Fit        string     `json:"fit" doc:"fits, with care or does not fit: the worst of the verdicts; empty without a plan" enum:",fits,with care,does not fit"`
	Verdicts   []Verdict  `json:"verdicts" doc:"what fits in the plan and what does not"`
	Plate      string     `json:"plate" doc:"where its drawing is"`
	Attachable bool       `json:"attachable" doc:"it is tied or glued to stone or wood"`
	Floats     bool       `json:"floats"`
}

// Notice is a region's ban or watch.
type Notice struct {
	Region string `json:"region"`
	Status string `json:"status" enum:"banned,restricted,watched"`
	Noted  string `json:"noted" doc:"date of the note, ISO 8601"`
	Here   bool   `json:"here" doc:"the plan's tank stands there"`
}

// Verdict is one thing compared between a species and a plan.
type Verdict struct {
	About string `json:"about" say:"text"`
	Fits  string `json:"fits" enum:"fits,with care,does not fit"`
	Text  string `json:"text" say:"text"`
}

// Alike is a species that could stand in for another.
type Alike struct {
	SpeciesCard
	Far  float64  `json:"far" doc:"0 = alike in everything compared; one whole trait apart adds about 1"`
	Says []string `json:"says" say:"text" doc:"in what they are alike and how they differ"`
}

// sites keeps what the last few plans offer: it takes a light study to say.
type sites struct {
	mu   sync.Mutex
	kept []keptSite
}

type keptSite struct {
	sum  string
	plan *plan.Plan
	site *nursery.Site
	err  error
}

const mostSites = 4

// site is a tank's plan in force and what it offers. A plan whose lamps or bodies cannot be built has no site.
func (s *Shelf) site(ctx context.Context, tank string) (*plan.Plan, *nursery.Site, error) {
	t, err := s.Store.Tank(ctx, tank)
	if err != nil {
		return nil, nil, err
	}
	r, err := s.Store.Revision(ctx, tank, t.Current)
	if err != nil {
		return nil, nil, err
	}
	ways, err := s.Ways(ctx)
	if err != nil {
		return nil, nil, err
	}
	sum := Sum(r.Plan, r.Files) + ways.Units + "\n" + ways.House
	s.sites.mu.Lock()
	defer s.sites.mu.Unlock()
	if i := slices.IndexFunc(s.sites.kept, func(k keptSite) bool { return k.sum == sum }); i >= 0 {
		k := s.sites.kept[i]
		return k.plan, k.site, k.err
	}
	p, err := Parse(r.Plan, r.Files, ways)
	if err != nil {
		return nil, nil, err
	}
	k := keptSite{sum: sum, plan: p}
	k.site, err = nursery.SiteOf(p)
	if err != nil {
		k.err = Unfit{err.Error()}
	}
	s.sites.kept = append([]keptSite{k}, s.sites.kept...)
	s.sites.kept = s.sites.kept[:min(mostSites, len(s.sites.kept))]
	return k.plan, k.site, k.err
}

// Unfit says why a plan cannot be compared or drawn.
type Unfit struct{ Why string }

func (u Unfit) Error() string { return u.Why }

// place is what counts of a plan for a search.
type place struct {
	cat    *catalog.Catalog
	plan   *plan.Plan
	site   *nursery.Site
	at     *nursery.Spot
	system unit.System
}

func (s *Shelf) place(ctx context.Context, tank string, at *[2]float64) (place, error) {
	l := place{cat: catalog.Default()}
	if tank == "" {
		return l, nil
	}
	var err error
	if l.plan, l.site, err = s.site(ctx, tank); err != nil {
		return l, err
	}
	l.cat = l.plan.Cat
	if at != nil {
		spot := l.site.At(at[0], at[1])
		l.at = &spot
	}
	if l.plan.House.Units == "US" {
		l.system = unit.US
	}
	return l, nil
}

// FindSpecies searches the catalogue and compares what is found with the plan of a tank.
func (s *Shelf) FindSpecies(ctx context.Context, q SpeciesSearch) (SpeciesList, error) {
	l, err := s.place(ctx, q.Tank, q.At)
	if err != nil {
		return SpeciesList{}, err
	}
	out := SpeciesList{Species: []SpeciesCard{}, Origins: origins(l.cat)}
	for _, h := range l.cat.Search(strings.Fields(q.Words), q.Filter) {
		c := l.card(h.Species)
		c.Why = h.Why
		if q.Fitting && c.Fit == nursery.Not {
			continue
		}
		out.All++
		if len(out.Species) < q.Most {
			out.Species = append(out.Species, c)
		}
	}
	return out, nil
}

// LikeSpecies lists what could stand in for a species.
func (s *Shelf) LikeSpecies(ctx context.Context, name, tank string, at *[2]float64, most int) ([]Alike, error) {
	l, err := s.place(ctx, tank, at)
	if err != nil {
		return nil, err
	}
	sp, ok := l.cat.Species(name)
	if !ok {
		return nil, store.ErrNotFound
	}
	out := []Alike{}
	for _, a := range nursery.Alike(l.cat, sp, most) {
		out = append(out, Alike{SpeciesCard: l.card(a.Species), Far: a.Far, Says: a.Says})
	}
	return out, nil
}

// Plate draws a species as grown. The window is the height of the picture in cm; 0 = as much as it needs.
func (s *Shelf) Plate(ctx context.Context, name, tank string, windowCM float64) ([]byte, error) {
	l, err := s.place(ctx, tank, nil)
	if err != nil {
		return nil, err
	}
	sp, ok := l.cat.Species(name)
	if !ok {
		return nil, store.ErrNotFound
	}
	room := 0.0
	if l.site != nil {
		room = (l.site.LevelCM - l.site.BedCM[0]) / 100
	}
	window := windowCM / 100
	if room > 0 { // nothing stands higher than the water, so a higher picture would show paper
		window = min(window, room+.03)
	}
	return []byte(picture.Specimen(sp, room, window, l.system).SVG), nil
}

func origins(c *catalog.Catalog) []string {
	var out []string
	all := c.AllSpecies()
	for i := range all {
		out = append(out, all[i].Origin...)
	}
	slices.Sort(out)
	return slices.Compact(out)
}

func (l *place) card(sp *catalog.Species) SpeciesCard {
	two := func(r catalog.Range) [2]float64 { return [2]float64{r.Min, r.Max} }
	c := SpeciesCard{
		Name: sp.Name, Synonyms: sp.Synonyms, Family: sp.Family, Form: string(sp.Form), Places: sp.Places, Origin: sp.Origin, HeightCM: two(sp.HeightCM), SpreadCM: two(sp.SpreadCM),
		Speed: sp.Speed, Light: sp.Light, PAR: two(sp.PAR), CO2: sp.CO2, TempC: two(sp.Temp), PH: two(sp.PH), GH: two(sp.GH), KHMax: sp.KHMax, Feeder: sp.Feeder,
		Colour: sp.Colour, ColourHex: sp.ColourHex, Leaf: sp.LeafShape, PotsM2: two(sp.PotsM2), Trim: sp.Trim, TrimWeeks: two(sp.TrimWeeks), ForPlant: sp.PotsM2.Max > 0,
		Plate:      platePath(sp.Name),
		Attachable: sp.Form == catalog.Rhizome || sp.Form == catalog.Moss || slices.Contains(sp.Places, "epiphyte"), Floats: sp.Form == catalog.Floating,
	}
	var here []catalog.Notice
	if l.plan != nil {
		here = l.plan.Noticed(sp.Notices)
	}
	for _, n := range sp.Notices {
		c.Notices = append(c.Notices, Notice{n.Region, n.Status, n.Noted, slices.Contains(here, n)})
	}
	if l.site != nil {
		list := l.site.Fit(sp, l.at)
		c.Fit = nursery.Worst(list)
		for _, v := range list {
			c.Verdicts = append(c.Verdicts, Verdict(v))
		}
	}
	return c
}

func platePath(name string) string {
	return fmt.Sprintf("/api/species/%s/plate.svg", strings.NewReplacer(" ", "%20", "×", "%C3%97").Replace(name))
}
