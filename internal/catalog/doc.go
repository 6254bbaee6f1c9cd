// Package catalog is the studio's shelf: plants, animals, substrates, stones, woods, salts, bottles and lamps, embedded in the
// program and open to a house's own additions.
//
// The tables are in data/ as CSV; data/CORRECTIONS.md says where they differ from the notes they were drawn up from. A studio's own
// CSV or YAML files pass through the same reader (Extend), so that one set of rules, bounds and error texts holds for both.
//
// Trade classes (fast, low light, root feeder, active soil) become numbers for the growth and root-zone models in two places only:
// physiology.go for plants and beds.go for substrates. Each number carries the range it may take and a mark of where it comes from.
//
// Units are those of the trade, named in each field: cm, °C, °dH (dGH, dKH), µmol m⁻² s⁻¹, g, kg/L. A Catalog is never changed after
// it is made; it may be used by many goroutines at once.
package catalog
