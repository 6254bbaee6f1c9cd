package render

import (
	"fmt"
	"littoral/internal/scene"
	"math"
	"strconv"
	"strings"
)

type vec = scene.Vec

func add(a, b vec) vec         { return vec{a[0] + b[0], a[1] + b[1], a[2] + b[2]} }
func sub(a, b vec) vec         { return vec{a[0] - b[0], a[1] - b[1], a[2] - b[2]} }
func mul(a vec, s float64) vec { return vec{a[0] * s, a[1] * s, a[2] * s} }
func dot(a, b vec) float64     { return a[0]*b[0] + a[1]*b[1] + a[2]*b[2] }
func cross(a, b vec) vec {
	return vec{a[1]*b[2] - a[2]*b[1], a[2]*b[0] - a[0]*b[2], a[0]*b[1] - a[1]*b[0]}
}
func norm(a vec) float64 { return math.Sqrt(dot(a, a)) }
func unit(a vec) vec {
	if l := norm(a); l > 0 {
		return mul(a, 1/l)
	}
	return vec{0, 0, 1}
}
func clamp(v, lo, hi float64) float64 { return max(lo, min(hi, v)) }

// Camera is an eye and the picture plane before it. At makes it for a tank, and it serves all scenes of that tank.
type Camera struct {
	Name               string
	Eye                vec
	Right, Up, Forward vec     // unit, square to each other
	Scale              float64 // pixels for a slope of 1
	CX, CY             float64 // the pixel that Forward meets
	W, H               int     // pixels

	windows []window // of the tank it was placed for
}

// along gives the pixel in which a direction from the eye is seen; ok is false behind the eye.
func (c *Camera) along(dir vec) (x, y float64, ok bool) {
	f := dot(dir, c.Forward)
	if f < 1e-6 {
		return 0, 0, false
	}
	return c.CX + c.Scale*dot(dir, c.Right)/f, c.CY - c.Scale*dot(dir, c.Up)/f, true
}

// Pixel gives the pixel of a point in air.
func (c *Camera) Pixel(p vec) (x, y float64, ok bool) { return c.along(sub(p, c.Eye)) }

// Views are the names of eyes that At knows. A turn in degrees ("30°", counted from the front to the right) is another.
var Views = []string{"front", "back", "left", "right", "corner", "front-left", "front-right", "back-left", "back-right", "top", "seated", "standing"}

// turns are the directions from which the named sides are seen, degrees counter-clockwise seen from above, from the front.
var turns = map[string]float64{
	"front": 0, "front-right": 45, "right": 90, "back-right": 135, "back": 180, "back-left": 225, "left": 270, "front-left": 315,
	"corner": 325, "seated": 0, "standing": 0,
}

// Heights of the eye over the floor, m: a seated and a standing adult (common practice, no source).
const (
	seatedEye   = 1.2
	standingEye = 1.62
)

// turnOf reads the name of a view; what is not known is told with what is.
func turnOf(name string) (float64, error) {
	if t, ok := turns[name]; ok || name == "top" {
		return t, nil
	}
	if deg, err := strconv.ParseFloat(strings.TrimSuffix(name, "°"), 64); err == nil && deg >= -3600 && deg <= 3600 {
		return deg, nil
	}
	return 0, fmt.Errorf("there is no view named %q; choose from %s, or a turn such as 30°", name, strings.Join(Views, ", "))
}

// Known tells what is wrong with the name of a view; nil when At knows it.
func Known(name string) error {
	_, err := turnOf(name)
	return err
}

// From says in words where the eye of a named view stands: "the front", "a standing person's eye".
func From(name string) string {
	switch name {
	case "front", "back", "left", "right":
		return "the " + name
	case "top":
		return "above"
	case "corner":
		return "the front left corner"
	case "seated", "standing":
		return "a " + name + " person's eye"
	}
	if strings.Contains(name, "-") {
		return "the " + strings.ReplaceAll(name, "-", " ") + " corner"
	}
	return strings.TrimSuffix(name, "°") + "° round from the front"
}

// At places an eye by name so that the whole tank is in a picture of w by h pixels. It fails on a name it does not know.
func At(s *scene.Scene, name string, w, h int) (*Camera, error) {
	if w < 16 || h < 16 || w > 8000 || h > 8000 {
		return nil, fmt.Errorf("a picture of %d by %d pixels cannot be drawn; choose 16 to 8000 a side", w, h)
	}
	t := &s.Tank
	middle := vec{t.LX / 2, t.LY / 2, t.WaterLevel * .5}
	wide := math.Hypot(t.LX, t.LY)
	c := &Camera{Name: name, W: w, H: h}
	turn, err := turnOf(name)
	if err != nil {
		return nil, err
	}
	switch {
	case name == "top":
		c.Eye = vec{middle[0], middle[1], t.Height + 1.9*max(t.LX, t.LY)}
		c.Right, c.Up, c.Forward = vec{1, 0, 0}, vec{0, 1, 0}, vec{0, 0, -1}
	default:
		a := turn*math.Pi/180 - math.Pi/2
		out := vec{math.Cos(a), math.Sin(a), 0}
		// Half of what the tank measures towards the eye, and room to stand back.
		towards := math.Abs(out[0])*t.LX/2 + math.Abs(out[1])*t.LY/2
		across := math.Abs(out[1])*t.LX/2 + math.Abs(out[0])*t.LY/2
		back := max(1.1, 2.6*across, .9*wide)
		if name == "seated" || name == "standing" {
			back = max(1.3, 1.9*across)
		}
		c.Eye = add(middle, mul(out, towards+back))
		floor := -t.Bottom - s.Stand
		switch name {
		case "seated":
			c.Eye[2] = floor + seatedEye
		case "standing":
			c.Eye[2] = floor + standingEye
		case "corner":
			c.Eye[2] = t.WaterLevel * .72
		default:
			c.Eye[2] = t.WaterLevel * .56
		}
		c.Forward = mul(out, -1)
		c.Right = cross(c.Forward, vec{0, 0, 1})
		c.Up = vec{0, 0, 1}
	}
	c.frame(s)
	c.windows = windows(c, t)
	return c, nil
}

// frame chooses the scale so that the tank fills the picture: at most 93 % of its width and 64 % of its height; the tank stands a little above the
// middle, with its stand cut off below where it does not fit.
func (c *Camera) frame(s *scene.Scene) {
	t := &s.Tank
	c.Scale, c.CX, c.CY = 1, 0, 0
	x0, y0, x1, y1 := math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)
	for _, q := range t.Footprint {
		for _, z := range []float64{-t.Bottom, t.Height} {
			dx, dy := q[0]-t.LX/2, q[1]-t.LY/2
			l := 1 + t.Glass*1.4/max(.05, math.Hypot(dx, dy))
			x, y, ok := c.Pixel(vec{t.LX/2 + dx*l, t.LY/2 + dy*l, z})
			if ok {
				x0, x1, y0, y1 = min(x0, x), max(x1, x), min(y0, y), max(y1, y)
			}
		}
	}
	high := .66
	if c.Name == "top" {
		high = .9
	}
	for i := range s.Items { // a person beside the tank belongs to the picture, down to the stand's foot as far as it goes
		if it := &s.Items[i]; it.Kind == scene.Person {
			for _, dx := range []float64{-scene.PersonWidth / 2, scene.PersonWidth / 2} {
				if x, y, ok := c.Pixel(vec{it.At[0] + dx, it.At[1], it.At[2]}); ok {
					x0, x1, y0 = min(x0, x), max(x1, x), min(y0, y)
				}
			}
		}
	}
	c.Scale = min(.93*float64(c.W)/(x1-x0), high*float64(c.H)/(y1-y0))
	c.CX = float64(c.W)/2 - c.Scale*(x0+x1)/2
	at := .53
	if c.Name == "standing" { // the lamps are not in the picture
		at = .5
	}
	if c.Name == "top" {
		at = .5
	}
	c.CY = at*float64(c.H) - c.Scale*(y0+y1)/2
}
