package light

// Parts of the extinction of tank water.
const (
	// ExtinctionPure is what clear water without colour or particles takes away, 1/m: 0.1–0.2 in limnology texts; very clear,
	// carbon-polished tanks start at 0.15 (common practice, no source).
	ExtinctionPure = 0.15
	// ExtinctionPerMgL is added by each mg/L of suspended matter, 1/m: Gallegos 2001 (Estuaries 24, Chesapeake Bay), from memory.
	ExtinctionPerMgL = 0.094
	// ExtinctionUsual is a usual planted tank, 1/m; the range is 0.2–0.5 (common practice, no source).
	ExtinctionUsual = 0.3
	// ColourUsual and SuspendedUsual together give ExtinctionUsual: slightly coloured water (1/m) with a little in it (mg/L).
	ColourUsual    = 0.103
	SuspendedUsual = 0.5
)

// Kd returns the extinction of tank water for photosynthetic light, 1/m along the path, as a sum of pure water, dissolved colour
// (1/m over 400–700 nm: about 0.05 over active carbon, 0.1 usual, 0.6 to 1.8 with fresh wood and tannins; common practice, no source) and
// suspended matter (mg/L dry). The sum is a little low in very turbid water (Gallegos 2001). Negative inputs count as zero.
func Kd(colour, suspended float64) float64 {
	return ExtinctionPure + max(colour, 0) + ExtinctionPerMgL*max(suspended, 0)
}
