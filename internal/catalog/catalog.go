package catalog

import (
	"embed"
	"slices"
	"strings"
	"sync"
)

//go:embed data/*.csv
var data embed.FS

// Catalog is everything a plan can name. It is not changed after it is made; Extend returns a new one. What its lookups point to
// is shared and must not be written to.
type Catalog struct {
	species   []Species
	animals   []Animal
	materials []Material
	lamps     []LampKind
	bottles   []Bottle
	salts     []Salt

	found []searchable // one for each species, for Search

	speciesAt, animalAt, materialAt, lampAt, bottleAt, saltAt index
}

var embedded = sync.OnceValue(func() *Catalog {
	files := make([]File, 0, 5)
	for _, name := range []string{"plants.csv", "livestock.csv", "materials.csv", "lamps.csv", "bottles.csv"} {
		text, err := data.ReadFile("data/" + name)
		if err != nil {
			panic("catalog: " + err.Error()) // reached only if the program was built without its tables
		}
		files = append(files, File{Name: name, Data: text})
	}
	empty := &Catalog{salts: Salts()}
	empty.saltAt = indexOf(empty.salts, saltNames)
	c, err := empty.Extend(files...)
	if err != nil {
		panic("catalog: embedded tables: " + err.Error()) // a test reads every row, so a built program cannot reach this
	}
	return c
})

// Default returns the embedded catalogue. It is parsed once; the value is safe to share and is never changed.
func Default() *Catalog { return embedded() }

// Species finds a plant by accepted name, synonym, common name or, last, by a name it is often sold under. Case, hyphens and the
// hybrid sign do not matter.
func (c *Catalog) Species(name string) (*Species, bool) { return find(c.species, c.speciesAt, name) }

// Animal finds a fish, shrimp or snail by its scientific or common name.
func (c *Catalog) Animal(name string) (*Animal, bool) { return find(c.animals, c.animalAt, name) }

// Material finds a substrate, stone or wood by its name or one of its short names ("active soil", "waterlogged hardwood").
func (c *Catalog) Material(name string) (*Material, bool) {
	return find(c.materials, c.materialAt, name)
}

// Salt finds a dry salt by formula ("CaSO4·2H2O", "CaSO4.2H2O", "CaSO4*2H2O") or name ("gypsum", "potassium nitrate").
func (c *Catalog) Salt(name string) (*Salt, bool) { return find(c.salts, c.saltAt, name) }

// Lamp finds a generic lamp by name ("LED bar", "LED panel, 60 cm").
func (c *Catalog) Lamp(name string) (*LampKind, bool) { return find(c.lamps, c.lampAt, name) }

// Bottle finds a liquid fertiliser by name.
func (c *Catalog) Bottle(name string) (*Bottle, bool) { return find(c.bottles, c.bottleAt, name) }

// AllSpecies returns the plants, sorted by name. The slice is the caller's; what its names and lists point to is shared.
func (c *Catalog) AllSpecies() []Species { return slices.Clone(c.species) }

// AllAnimals returns the animals, sorted by name.
func (c *Catalog) AllAnimals() []Animal { return slices.Clone(c.animals) }

// AllMaterials returns the substrates, stones and woods, sorted by name.
func (c *Catalog) AllMaterials() []Material { return slices.Clone(c.materials) }

// AllSalts returns the dry salts in the order of the salt table.
func (c *Catalog) AllSalts() []Salt { return slices.Clone(c.salts) }

// AllLamps returns the lamps, sorted by name.
func (c *Catalog) AllLamps() []LampKind { return slices.Clone(c.lamps) }

// AllBottles returns the liquid fertilisers, sorted by name.
func (c *Catalog) AllBottles() []Bottle { return slices.Clone(c.bottles) }

// names are what one row answers to, strongest first: its own name, its synonyms, and names of other things it is sold under.
type names struct {
	own      string
	synonyms []string
	soldAs   []string
}

func speciesNames(s *Species) names   { return names{s.Name, s.Synonyms, s.SoldAs} }
func animalNames(a *Animal) names     { return names{a.Name, a.Synonyms, nil} }
func materialNames(m *Material) names { return names{m.Name, m.Synonyms, nil} }
func lampNames(l *LampKind) names     { return names{l.Name, l.Synonyms, nil} }
func bottleNames(b *Bottle) names     { return names{b.Name, b.Synonyms, nil} }
func saltNames(s *Salt) names         { return names{s.Formula, s.Names, nil} }

// entry says which row a name belongs to and how strongly (0 own name, 1 synonym, 2 sold as).
type entry struct{ row, level int }

// index maps folded names to rows.
type index map[string]entry

// indexOf builds the index of a table. Of two rows with the same name the stronger claim wins, then the earlier row; rows with
// equally strong claims are refused before this point (see clashes).
func indexOf[T any](rows []T, of func(*T) names) index {
	ix := make(index, 4*len(rows))
	put := func(name string, row, level int) {
		key := fold(name)
		if old, taken := ix[key]; key != "" && (!taken || level < old.level) {
			ix[key] = entry{row, level}
		}
	}
	for i := range rows {
		n := of(&rows[i])
		put(n.own, i, 0)
		for _, s := range n.synonyms {
			put(s, i, 1)
		}
		for _, s := range n.soldAs {
			put(s, i, 2)
		}
	}
	return ix
}

func find[T any](rows []T, ix index, name string) (*T, bool) {
	e, ok := ix[fold(name)]
	if !ok {
		return nil, false
	}
	return &rows[e.row], true
}

var plainSigns = strings.NewReplacer("×", " x ", "·", ".", "*", ".", "’", "'", "-", " ", "_", " ", ",", " ", "₀", "0", "₁", "1",
	"₂", "2", "₃", "3", "₄", "4", "₅", "5", "₆", "6", "₇", "7", "₈", "8", "₉", "9")

// fold brings the spellings of one name together: case, spaces, hyphens, commas, the hybrid sign, hydrate dots, subscript digits,
// and the "var." of a botanical variety.
func fold(name string) string {
	words := strings.Fields(strings.ToLower(plainSigns.Replace(name)))
	words = slices.DeleteFunc(words, func(w string) bool { return w == "var." || w == "var" })
	key := strings.Join(words, " ")
	return strings.ReplaceAll(strings.ReplaceAll(key, " .", "."), ". ", ".")
}
