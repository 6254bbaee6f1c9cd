package catalog

// Field names one parameter of T, by the column under which a house may give its own value, and finds it. Words say what it is, Unit is empty for
// plain numbers.
type Field[T any] struct {
	Name, Words, Unit string
	At                func(*T) *Param
}

// PhysiologyFields lists the parameters of a species, in a fixed order.
func PhysiologyFields() []Field[Physiology] {
	out := make([]Field[Physiology], 0, len(physiologyFields))
	for _, f := range physiologyFields {
		out = append(out, Field[Physiology]{f.name, f.words, f.unit, f.at})
	}
	return out
}

// BedFields lists the root-zone parameters of a material, in a fixed order.
func BedFields() []Field[Bed] {
	out := make([]Field[Bed], 0, len(bedFields))
	for _, f := range bedFields {
		out = append(out, Field[Bed]{f.name, f.words, f.unit, f.at})
	}
	return out
}
