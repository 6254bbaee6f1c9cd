package plan

import (
	"encoding/csv"
	"errors"
	"io"
	"littoral/internal/catalog"
	"littoral/internal/mesh"
	"littoral/internal/unit"
	"math"
	"path"
	"strings"
)

// file reads a file that the plan names, or reports why it cannot.
func (c *checker) file(name, path string) ([]byte, bool) {
	if strings.TrimSpace(name) == "" {
		c.err(path, "the name of the file is empty", "write a file name beside the plan")
		return nil, false
	}
	if c.files == nil {
		c.err(path, say("the file %s cannot be opened here", clip(name)), "read the plan from its folder")
		return nil, false
	}
	b, err := c.files(name)
	if err == nil {
		c.sum.Write([]byte(name))
		c.sum.Write([]byte{0})
		c.sum.Write(b)
	}
	if err != nil {
		c.err(path, say("%s: %v", clip(name), err), "check the name; it counts from the folder of the plan")
		return nil, false
	}
	return b, true
}

// catalogues adds the plan's own catalogue files.
func (c *checker) catalogues() {
	var files []catalog.File
	var paths []string
	for i, name := range c.p.Catalog {
		path := index("catalog", i)
		if !c.given(path) {
			continue
		}
		if b, ok := c.file(name, path); ok {
			files = append(files, catalog.File{Name: name, Data: b})
			paths = append(paths, path)
		}
	}
	if len(files) == 0 {
		return
	}
	cat, err := c.p.Cat.Extend(files...)
	if err == nil {
		c.p.Cat = cat
		return
	}
	list := []error{err}
	if joined, ok := err.(interface{ Unwrap() []error }); ok {
		list = joined.Unwrap()
	}
	readers := map[string]*reporter{}
	for _, f := range files {
		readers[f.Name] = newReporter(f.Name, f.Data)
	}
	for _, e := range list {
		var fault *catalog.FileError
		if !errors.As(e, &fault) || readers[fault.File] == nil {
			c.err(paths[0], e.Error(), "mend the catalogue file")
			continue
		}
		at := Position{}
		if fault.Line > 0 {
			at = Position{fault.Line, 1}
		}
		readers[fault.File].add(SeverityError, "catalog", at, fault.Text, "")
	}
	for _, f := range files {
		c.take(readers[f.Name])
	}
}

// take adds the problems of another file.
func (c *checker) take(r *reporter) {
	c.found = append(c.found, r.found...)
	for _, s := range []Severity{SeverityError, SeverityWarning} {
		to, from := c.counted(s), r.counted(s)
		to.listed, to.skipped = to.listed+from.listed, to.skipped+from.skipped
		*from = tallied{}
	}
	r.found = nil
}

// suggest finds the catalogue name closest to one that is not there.
func (c *checker) suggest(what, name string) string {
	if c.full() {
		return ""
	}
	cat := c.p.Cat
	near := map[string]func(string) []string{
		"species": cat.Suggest, "animal": cat.SuggestAnimal, "material": cat.SuggestMaterial, "salt": cat.SuggestSalt, "lamp": cat.SuggestLamp,
	}[what](clip(name))
	if len(near) == 0 {
		return ""
	}
	return near[0]
}

// meshes reads the meshes of the hardscape and makes them solid: welded, facing outward, closed.
func (c *checker) meshes() {
	read := map[string]*mesh.Mesh{}
	for i := range c.p.Hardscape {
		s, at := &c.p.Hardscape[i].Shape, index("hardscape", i)+".shape.mesh"
		if !c.given(at) {
			continue
		}
		if m, again := read[s.Mesh]; again {
			s.Body = m
			continue
		}
		read[s.Mesh] = nil
		data, ok := c.file(s.Mesh, at)
		if !ok {
			continue
		}
		if old, known := c.before[s.Mesh]; known {
			for _, name := range old.beside {
				c.beside(s.Mesh)(name) //nolint:errcheck // for the sum; it was read before
			}
			for _, w := range old.said {
				c.warn(at, w[0], w[1])
			}
			read[s.Mesh], s.Body, c.read[s.Mesh] = old.body, old.body, old
			continue
		}
		from := len(c.found)
		var names []string
		open := c.beside(s.Mesh)
		m, lost, err := mesh.ReadLooks(s.Mesh, data, func(name string) ([]byte, error) {
			names = append(names, name)
			return open(name)
		})
		for _, w := range lost {
			c.warn(at, say("%s: %s", clip(s.Mesh), w), "the shape is used without it")
		}
		if err != nil {
			c.err(at, say("%s: %v", clip(s.Mesh), err), "mend the mesh, or use a boulder or slab of the same measures instead")
			continue
		}
		if m = c.solid(m, s.Mesh, at); m != nil {
			read[s.Mesh], s.Body = m, m
			if r := (readMesh{body: m, beside: names}); !c.full() {
				for _, p := range c.found[from:] {
					r.said = append(r.said, [2]string{p.Message, p.Cure})
				}
				c.read[s.Mesh] = r
			}
		}
	}
}

// readMesh is a mesh as it was read for a plan, with what was said of it and the files beside it that were opened.
type readMesh struct {
	body   *mesh.Mesh
	said   [][2]string // messages and cures of warnings
	beside []string
}

// beside opens what a mesh names, such as its pictures, from the mesh's folder; what is read counts towards the sum of the plan's files.
func (c *checker) beside(of string) mesh.Beside {
	if c.files == nil {
		return nil
	}
	return func(name string) ([]byte, error) {
		name = path.Join(path.Dir(strings.ReplaceAll(of, `\`, "/")), name)
		data, err := c.files(name)
		if err == nil {
			c.sum.Write([]byte(name))
			c.sum.Write([]byte{0})
			c.sum.Write(data)
		}
		return data, err
	}
}

// weldShare is how far apart two vertices may lie and still be one, as a share of the longest side: a thousandth of a
// millimetre on a 10 cm stone, far below a scanner's resolution, our own choice.
const weldShare = 1e-5

func (c *checker) solid(m *mesh.Mesh, name, path string) *mesh.Mesh {
	long := m.LongestSide()
	if !(long > 0) {
		c.err(path, say("%s: the mesh has no size", clip(name)), "export it again")
		return nil
	}
	m = m.Weld(weldShare * long)
	if len(m.Faces) == 0 {
		c.err(path, say("%s: the mesh has no faces of any size", clip(name)), "export it again")
		return nil
	}
	if area := m.Area(); !(area > 1e-9*long*long) {
		c.err(path, say("%s: the faces of the mesh have no area", clip(name)), "export it again")
		return nil
	}
	turned := m.Orient()
	report := m.Inspect()
	if report.OpenEdges > 0 {
		closed, fills, err := m.Close()
		if err != nil {
			c.err(path, say("%s is not closed: %v", clip(name), err), "close it in a mesh editor, or use a boulder or slab of the same measures instead")
			return nil
		}
		m = closed
		m.Orient()
		largest := 0.0
		for _, f := range fills {
			largest = max(largest, f.Share)
		}
		c.warn(path, say("%s was open in %s, the largest %.2g %% of its surface, and was filled", clip(name), count(len(fills), "place", "places"), 100*largest), "look at the piece in the report, and close it in a mesh editor if it is wrong")
		report = m.Inspect()
	} else if turned > 0 {
		c.warn(path, say("%s had %s turned inside out, and was put right", clip(name), count(turned, "face", "faces")), "look at the piece in the report")
	}
	if !report.Closed || !report.Oriented || !(math.Abs(report.Volume) > 0) {
		c.err(path, say("%s does not enclose a body. %s", clip(name), strings.Join(report.Problems(), " ")), "repair it in a mesh editor, or use a boulder or slab of the same measures instead")
		return nil
	}
	if !report.Outward {
		m.Flip()
		report = m.Inspect()
	}
	if report.Crossings > 0 || report.NonManifoldEdges > 0 {
		c.warn(path, say("%s: %s Its volume is a little uncertain.", clip(name), strings.Join(report.Problems(), " ")), "repair it in a mesh editor if the stone is large")
	}
	if n := len(m.Faces); n > mesh.Enough {
		simple, moved := m.Simplify(mesh.Enough)
		c.warn(path, say("%s has %d faces, more than are of use; it was simplified to %d, no corner farther than %.2g %% of its length from where it was", clip(name), n, len(simple.Faces), 100*moved/long), "simplify it in a mesh editor if reading takes long")
		m = simple
	}
	return m
}

func count(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return say("%d %s", n, many)
}

// maxPrices bounds the rows of a price file.
const maxPrices = 20000

// prices reads the price file, strictly: a head line item,unit,price and a row for each price.
func (c *checker) prices() {
	if !c.given("costs.prices") {
		return
	}
	name := c.p.Costs.Prices
	data, ok := c.file(name, "costs.prices")
	if !ok {
		return
	}
	if len(data) > MaxBytes {
		c.err("costs.prices", say("%s has more than %d MB", clip(name), MaxBytes>>20), "keep only the prices of this plan")
		return
	}
	in := newReporter(name, data)
	r := csv.NewReader(strings.NewReader(strings.TrimPrefix(string(data), "\uFEFF")))
	r.FieldsPerRecord = -1
	r.TrimLeadingSpace = true
	r.Comment = '#'
	seen := map[[2]string]int{}
	for row := 0; ; row++ {
		rec, err := r.Read()
		if err == io.EOF {
			if row == 0 {
				in.add(SeverityError, "costs.prices", Position{}, "the price file is empty", "begin it with item,unit,price")
			}
			break
		}
		if err != nil {
			var pe *csv.ParseError
			at := Position{}
			if errors.As(err, &pe) {
				at, err = Position{pe.Line, pe.Column}, pe.Err
			}
			in.add(SeverityError, "costs.prices", at, "the line cannot be read: "+err.Error(), "check its quotes")
			break
		}
		at := func(k int) Position {
			line, column := r.FieldPos(min(k, len(rec)-1))
			return Position{line, column}
		}
		if row == 0 {
			if len(rec) != 3 || strings.ToLower(strings.TrimSpace(rec[0])) != "item" || strings.ToLower(strings.TrimSpace(rec[1])) != "unit" || strings.ToLower(strings.TrimSpace(rec[2])) != "price" {
				in.add(SeverityError, "costs.prices", at(0), "the price file does not begin with its columns", "write item,unit,price in the first line")
				break
			}
			continue
		}
		if row > maxPrices {
			in.add(SeverityError, "costs.prices", at(0), "the price file has too many rows", "keep only the prices of this plan")
			break
		}
		if len(rec) != 3 {
			in.add(SeverityError, "costs.prices", at(0), say("this row has %d values where 3 belong", len(rec)), "write item,unit,price, with quotes around an item that holds a comma")
			continue
		}
		item, per := strings.TrimSpace(rec[0]), strings.TrimSpace(rec[1])
		price, ok := parseNumber(strings.TrimSpace(rec[2]))
		switch key := [2]string{strings.ToLower(item), strings.ToLower(per)}; {
		case item == "":
			in.add(SeverityError, "costs.prices", at(0), "this row names no item", "write what is priced")
		case per == "":
			in.add(SeverityError, "costs.prices", at(1), "this row has no unit", "write pot, kg, L, tablet or piece")
		case !ok || price < 0:
			in.add(SeverityError, "costs.prices", at(2), say("%q is not a price", clip(rec[2])), "write a bare number such as 6.50")
		case seen[key] > 0:
			in.add(SeverityError, "costs.prices", at(0), say("%s is priced twice; the first is in line %d", item, seen[key]), "keep one")
		default:
			line, _ := r.FieldPos(0)
			seen[key] = line
			c.p.Costs.List = append(c.p.Costs.List, Price{Item: item, Unit: per, Price: price})
		}
	}
	c.take(in)
}

// labelled maps a constituent of a fertiliser label to the element it is counted as. Shares of oxides follow from atomic
// weights, which package unit holds.
var labelled = map[string]struct{ element, counted, whole string }{
	"N": {"NO3-N", "", ""}, "NO3-N": {"NO3-N", "", ""}, "NO3": {"NO3-N", "N", "NO3"},
	"NH4-N": {"NH4-N", "", ""}, "NH4": {"NH4-N", "N", "NH4"}, "urea-N": {"NH4-N", "", ""}, "urea": {"NH4-N", "N2", "CO(NH2)2"},
	"P": {"P", "", ""}, "PO4": {"P", "P", "PO4"}, "P2O5": {"P", "P2", "P2O5"},
	"K": {"K", "", ""}, "K2O": {"K", "K2", "K2O"},
	"Ca": {"Ca", "", ""}, "CaO": {"Ca", "Ca", "CaO"}, "Mg": {"Mg", "", ""}, "MgO": {"Mg", "Mg", "MgO"},
	"S": {"S", "", ""}, "SO4": {"S", "S", "SO4"}, "SO3": {"S", "S", "SO3"},
	"Na": {"Na", "", ""}, "Cl": {"Cl", "", ""},
	"Fe": {"Fe", "", ""}, "Mn": {"Mn", "", ""}, "B": {"B", "", ""}, "Cu": {"Cu", "", ""}, "Zn": {"Zn", "", ""}, "Mo": {"Mo", "", ""},
}

// label works out grams of each element per litre from what the label of a bottle states: mass per litre, or a share of the
// product's mass.
func (c *checker) label(b *Bottle, path string) {
	if !c.given(path + ".label") {
		return
	}
	if len(b.Label) == 0 {
		c.err(path+".label", "the label states nothing", "write {K: 12 g/L} or {P2O5: 1.5 %}")
		return
	}
	density := float64(defaultBottleDensity)
	if c.given(path + ".density") {
		density = float64(b.Density)
	} else {
		b.Density = defaultBottleDensity
	}
	b.PerLitre = map[string]float64{}
	known := sortedKeys(labelled)
	total, forms := 0.0, 0.0
	for _, name := range sortedKeys(b.Label) {
		at := path + ".label." + name
		l, ok := labelled[name]
		if !ok {
			message, cure := say("%q is not a constituent that is known here", clip(name)), "write one of "+strings.Join(known, ", ")
			if near := c.nearest(name, known); near != "" {
				message, cure = say("%s; did you mean %q?", message, near), "write "+near
			}
			c.err(at, message, cure)
			continue
		}
		text := b.Label[name]
		var grams float64 // of the constituent per litre
		if strings.HasSuffix(strings.TrimSpace(text), "%") {
			f, err := unit.Parse(unit.KindFraction, text)
			if err != nil {
				c.quantityError(at, name, err)
				continue
			}
			grams = f * density // kg/m³ is g/L
		} else {
			mg, err := unit.Parse(unit.KindConcentration, text)
			if err != nil {
				var u *unit.Error
				if errors.As(err, &u) && u.Reason != "" {
					err = &unit.Error{Text: u.Text, Kind: u.Kind, Reason: u.Reason, Cure: "write mass per litre such as 12 g/L, or a share of the mass such as 1.5 %"}
				}
				c.quantityError(at, name, err)
				continue
			}
			grams = mg / 1000
		}
		share := 1.0
		if l.whole != "" {
			part, err1 := unit.MolarMass(l.counted)
			whole, err2 := unit.MolarMass(l.whole)
			if err1 != nil || err2 != nil {
				c.err(at, say("the molar mass of %s is not known", name), "write the element itself")
				continue
			}
			share = part / whole
		}
		if name == "N" {
			total = grams
			continue
		}
		if l.element == "NO3-N" || l.element == "NH4-N" {
			forms += grams * share
		}
		b.PerLitre[l.element] += grams * share
	}
	// Nitrogen that the label gives without its form counts as nitrate, the usual form in aquarium bottles.
	switch rest := total - forms; {
	case total == 0:
	case rest < -1e-9*total && forms > 1.02*total:
		c.err(path+".label.N", say("the forms of nitrogen add up to %.3g g/L, more than the %.3g g/L in all", forms, total), "check the label")
	case rest > 0.02*total:
		b.PerLitre["NO3-N"] += rest
		c.warn(path+".label.N", "the label does not say in which form the nitrogen is; nitrate is taken", "write NO3-N, NH4-N or urea-N if the label tells")
	}
	sum := 0.0
	for _, k := range sortedKeys(b.PerLitre) {
		sum += b.PerLitre[k]
	}
	if sum > 0.8*density {
		c.err(path+".label", say("the constituents weigh %.3g g/L, more than fits into a litre", sum), "check the units of the label")
	}
}
