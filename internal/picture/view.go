package picture

import (
	"littoral/internal/geometry"
	"math"
)

// View is a side from which the tank is looked at, level, without perspective, so that every height can be measured.
type View struct {
	Name    string  // front, left, back, right, or a compass of eighths for round tanks
	Azimuth float64 // rad, how far one has walked round the tank clockwise from the front, seen from above
}

// The four sides. From the left, the front glass is on the viewer's right.
var (
	Front = View{"front", 0}
	Left  = View{"left", math.Pi / 2}
	Back  = View{"back", math.Pi}
	Right = View{"right", 3 * math.Pi / 2}
)

// Around returns the sides from which a tank is worth drawing besides the front: left, right and back; of a cylinder the seven other
// eighths in the order of a walk round it.
func Around(t *geometry.Tank) []View {
	if t.Shape != "cylinder" {
		return []View{Left, Right, Back}
	}
	eighth := func(name string, n float64) View { return View{name, n * math.Pi / 4} }
	return []View{eighth("front left", 1), Left, eighth("back left", 3), Back, eighth("back right", 5), Right, eighth("front right", 7)}
}

// along returns how far to the right and how far away a place lies.
func (v View) along(x, y float64) (u, depth float64) {
	s, c := math.Sincos(v.Azimuth)
	return x*c - y*s, x*s + y*c
}

// extent is the range of along over the footprint.
func (v View) extent(t *geometry.Tank) (u0, u1, d0, d1 float64) {
	u0, d0 = math.Inf(1), math.Inf(1)
	u1, d1 = math.Inf(-1), math.Inf(-1)
	for _, p := range t.Footprint {
		u, d := v.along(p[0], p[1])
		u0, u1, d0, d1 = min(u0, u), max(u1, u), min(d0, d), max(d1, d)
	}
	if len(t.Footprint) == 0 {
		return 0, t.LX, 0, t.LY
	}
	return
}

// widest is the drawing width that the longer side of a tank gets, in drawing units.
const widest = 1000

// frame is the room for the double rule round a drawing.
const frame = 7

// ScaleFor returns drawing units per metre at which the longer side of the tank fits the page. All drawings of one tank share it.
func ScaleFor(t *geometry.Tank) float64 {
	long := max(t.LX, t.LY)
	if !(long > 0) {
		return 1
	}
	return (widest - 2*frame) / long
}
