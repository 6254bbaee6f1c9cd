package light

import (
	"fmt"
	"littoral/internal/catalog"
	"littoral/internal/geometry"
	"littoral/internal/plan"
	"math"
	"strings"
)

// Source is one lamp: a level rectangle (or a point, when its size is zero) over the water.
type Source struct {
	ID     string
	X, Y   float64 // centre of the emitting face in the tank, m
	Height float64 // emitting face above the water, m, greater than 0
	SizeX  float64 // extent of the face, m; 0 = point
	SizeY  float64
	Flux   float64 // µmol/s at full power; of a cosⁿ beam all into the lower half-space
	N      float64 // the beam's exponent: intensity is proportional to cosⁿ of the angle from the axis; 1 is Lambertian
	Lobe   *Lobe   // the beam when it is not the same all round; N then says nothing

	Spread float64 // how far the flux may be off, relative, where that is known; 0 = not told
	Fit    Fit     // how it was found, if from readings

	flipX, flipY bool // it is a mirror image
	gates        [2]gate
}

// misread is how far a reading may lie from the lamp that was found before lamp or reading is doubted: PAR meters are sure to about 10 % (common practice, no source).
const misread = 0.15

// Doubt says in a sentence that PAR readings do not agree with the lamp found from them; it is empty where they do.
func (s *Source) Doubt() string {
	if !(s.Fit.Worst > misread) {
		return ""
	}
	return fmt.Sprintf("Lamp %s was found from PAR readings, of which one lies %.0f %% off what such a lamp gives; check the lamp's height and size and the place, depth and dimming of each reading.", s.ID, 100*s.Fit.Worst)
}

// Tile is a piece of a lamp's face, small against its distance, that is treated as a point.
type Tile struct {
	X, Y  float64 // m
	Share float64 // of the lamp's flux

	inX, inY float64 // from here to the tile's true middle
}

// Tiles cuts the lamp's face into equal tiles whose edges are at most edge (m, greater than 0), at least two along each side that
// has an extent. Each is put a little outside its middle, so that the tiles together have the face's own second moment:
// the error then falls with the fourth power of the edge, not the second. A point gives one tile.
func (s Source) Tiles(edge float64) []Tile {
	nx, ny := pieces(s.SizeX, edge), pieces(s.SizeY, edge)
	stepX, stepY := step(s.SizeX, nx), step(s.SizeY, ny)
	tiles := make([]Tile, 0, nx*ny)
	for iy := range ny {
		for ix := range nx {
			tiles = append(tiles, Tile{
				X:     s.X + stepX*(float64(ix)-float64(nx-1)/2),
				Y:     s.Y + stepY*(float64(iy)-float64(ny-1)/2),
				Share: 1 / float64(nx*ny),
				inX:   (s.SizeX/float64(nx) - stepX) * (float64(ix) - float64(nx-1)/2),
				inY:   (s.SizeY/float64(ny) - stepY) * (float64(iy) - float64(ny-1)/2),
			})
		}
	}
	return tiles
}

func pieces(size, edge float64) int {
	if size == 0 {
		return 1
	}
	return max(2, int(math.Ceil(size/edge-1e-9)))
}

// step is the distance of n points in a row that has the second moment of a line of the given length: n points at distance s have
// s²(n²−1)/12, the line has length²/12.
func step(length float64, n int) float64 {
	if n < 2 {
		return 0
	}
	return length / math.Sqrt(float64(n*n-1))
}

// part returns the lamp's piece (ix, iy) of nx by ny equal pieces, with its share of the flux.
func (s Source) part(ix, iy, nx, ny int) Source {
	p := s
	p.X += s.SizeX * ((float64(ix)+0.5)/float64(nx) - 0.5)
	p.Y += s.SizeY * ((float64(iy)+0.5)/float64(ny) - 0.5)
	p.SizeX /= float64(nx)
	p.SizeY /= float64(ny)
	p.Flux /= float64(nx * ny)
	return p
}

// Beam widths, full width at half maximum in radians, that stand in where neither plan nor catalogue gives one (common
// practice, no source): bare LED boards are Lambertian, pendants are mildly and spots strongly focused.
var beamByKind = map[string]float64{
	"panel":   120 * math.Pi / 180,
	"bar":     120 * math.Pi / 180,
	"pendant": 80 * math.Pi / 180,
	"spot":    40 * math.Pi / 180,
}

// LuxPerPPFDWhite is lux for each µmol m⁻² s⁻¹ of a phosphor-white LED; white LED standards lie at 67–72, the trade's lamps at
// 60–75 (CIE 015:2018 illuminants LED-B1 to B5, integrated 400–700 nm). It is not used unasked: a plan that states lumens
// states the spectrum's figure too.
const LuxPerPPFDWhite = 70.0

// spectrumSpread is how far the photon flux may be off that was reckoned from lumens by one figure for white light: half of 60 to 75 over its middle.
const spectrumSpread = 0.11

// PhotonFlux turns luminous flux (lm) into photon flux (µmol/s) for a spectrum with the given lux per µmol m⁻² s⁻¹.
// A figure that is not positive gives 0; strongly coloured lamps have no useful one.
func PhotonFlux(lumens, luxPerPPFD float64) float64 {
	if !(luxPerPPFD > 0) {
		return 0
	}
	return lumens / luxPerPPFD
}

// BeamExponent returns n of the cosⁿ beam whose intensity falls to half at half the full width fwhm (radians, between 0 and π):
// n = ln ½ / ln cos(fwhm/2); 120° gives 1. It returns an error outside that range.
func BeamExponent(fwhm float64) (float64, error) {
	if !(fwhm > 0 && fwhm < math.Pi) {
		return 0, fmt.Errorf("a beam's full width at half maximum lies between 0° and 180°, not at %.4g°", fwhm*180/math.Pi)
	}
	return math.Ln2 / -math.Log(math.Cos(fwhm/2)), nil
}

// AxialIntensity returns the intensity on the axis (µmol s⁻¹ sr⁻¹) of a cosⁿ beam that sends flux (µmol/s) into the lower half-space:
// Φ (n+1) / 2π, which is Φ/π for a Lambertian source.
func AxialIntensity(flux, n float64) float64 { return flux * (n + 1) / (2 * math.Pi) }

// PhotonFluxFromBeam returns the photon flux (µmol/s) of a lamp with the given intensity on its axis (µmol s⁻¹ sr⁻¹, which is PPFD times
// distance squared, measured straight below at a distance large against the lamp) and beam width (radians).
func PhotonFluxFromBeam(axial, fwhm float64) (float64, error) {
	n, err := BeamExponent(fwhm)
	if err != nil {
		return 0, err
	}
	return axial * 2 * math.Pi / (n + 1), nil
}

// Sources turns the plan's lamps into sources. What a lamp does not state comes from its catalogue model, then from its kind.
// Spots are points, and so are pendants without a size. The error lists every lamp that cannot be used.
func Sources(p *plan.Plan, tank geometry.Tank) ([]Source, error) {
	var out []Source
	var faults []string
	for i, l := range p.Lamps {
		name := l.ID
		if name == "" {
			name = fmt.Sprintf("lamp-%d", i+1)
		}
		s, err := source(name, l, p.Cat)
		if err == nil {
			s = s.hooded(tank, float64(p.Tank.Hood))
		}
		if err == nil && len(l.Readings) > 0 && l.PPF == 0 {
			s, err = s.fitted(l, tank, WaterOf(p))
		}
		if err == nil {
			err = s.near(tank)
		}
		if err != nil {
			faults = append(faults, fmt.Sprintf("lamps[%d] (%s): %v", i, name, err))
			continue
		}
		out = append(out, s)
	}
	if len(faults) > 0 {
		return nil, fmt.Errorf("%s", strings.Join(faults, "\n"))
	}
	return out, nil
}

func source(id string, l plan.Lamp, cat *catalog.Catalog) (Source, error) {
	var model catalog.LampKind
	if l.Model != "" {
		if cat != nil {
			if m, ok := cat.Lamp(l.Model); ok {
				model = *m
			}
		}
		if model.Name == "" {
			return Source{}, fmt.Errorf("the catalogue has no lamp %q; name one it has, or state kind, size, ppf and beam", l.Model)
		}
	}
	kind := l.Kind
	if kind == "" {
		kind = model.Kind
	}
	if _, ok := beamByKind[kind]; !ok {
		return Source{}, fmt.Errorf("a lamp is a panel, a bar, a spot or a pendant, not %q; state its kind", kind)
	}
	s := Source{
		ID: id, X: l.At[0] / 100, Y: l.At[1] / 100, Height: float64(l.AboveWater),
		SizeX: float64(l.Size[0]), SizeY: float64(l.Size[1]),
	}
	if !finite(s.X, s.Y) {
		return Source{}, fmt.Errorf("the place of a lamp is two plain numbers in centimetres")
	}
	if kind == "panel" || kind == "bar" {
		if s.SizeX == 0 && s.SizeY == 0 {
			s.SizeX, s.SizeY = float64(model.Size[0]), float64(model.Size[1])
		}
		if !(s.SizeX > 0 && s.SizeY > 0) {
			return Source{}, fmt.Errorf("a %s needs the size of its emitting face; add size, such as 55x20 cm", kind)
		}
	}
	if !(s.SizeX >= 0 && s.SizeY >= 0) || !finite(s.SizeX, s.SizeY) {
		return Source{}, fmt.Errorf("the size of a lamp cannot be negative")
	}
	if !(s.Height > 0) || !finite(s.Height) {
		return Source{}, fmt.Errorf("a lamp hangs above the water; give above-water a length greater than 0")
	}
	if shade := float64(l.Shade); shade > 0 {
		if !(s.SizeX > 0 && s.SizeY > 0) {
			return Source{}, fmt.Errorf("a shade needs the size of its opening; add size, such as 12x12 cm")
		}
		if shade >= s.Height {
			return Source{}, fmt.Errorf("its shade hangs into the water; make it shorter than above-water")
		}
		s = s.shaded(shade, s.SizeX, s.SizeY)
	}
	if kind == "spot" {
		s.SizeX, s.SizeY = 0, 0 // its lens is small against its distance
	}
	switch {
	case l.PPF > 0:
		s.Flux = float64(l.PPF)
	case l.Lumens > 0 && l.LuxPerPPFD > 0:
		s.Flux = PhotonFlux(l.Lumens, l.LuxPerPPFD)
	case l.Lumens > 0 && model.LuxPerPPFD.Value > 0:
		s.Flux = PhotonFlux(l.Lumens, model.LuxPerPPFD.Value)
	case l.Lumens > 0:
		return Source{}, fmt.Errorf("lumens say how bright a lamp looks to people; add lux-per-ppfd of its spectrum (about %.0f for white LEDs) or state ppf", LuxPerPPFDWhite)
	case len(l.Readings) > 0:
		s.Flux = 1 // found later
	default:
		s.Flux = float64(model.PPF)
	}
	if !(s.Flux > 0) || !finite(s.Flux) {
		return Source{}, fmt.Errorf("its photon flux is not known; state ppf, or lumens with lux-per-ppfd, or a model of the catalogue")
	}
	beam := float64(l.Beam)
	if beam == 0 {
		beam = float64(model.Beam)
	}
	if beam == 0 {
		beam = beamByKind[kind]
	}
	if l.FromLumens {
		s.Spread = spectrumSpread
	}
	if l.Dim > 0 {
		s.Flux *= float64(l.Dim)
	}
	if l.Photometry != nil {
		s.Lobe = photometric(l.Photometry, float64(l.Tilt), float64(l.Turn))
		return s, nil
	}
	n, err := BeamExponent(beam)
	if err != nil {
		return Source{}, err
	}
	s.N = n
	if l.Tilt != 0 {
		s.Lobe = tiltedBeam(n, float64(l.Tilt), float64(l.Turn))
	}
	return s, nil
}

// Wider is the same lamp with a beam whose full width at half intensity is by times as wide (by > 0), between 5° and 170°, and as much flux. A beam that a
// photometric file or a tilt gives stays as it is.
func (s Source) Wider(by float64) Source {
	if s.Lobe != nil || !(s.N > 0) || !(by > 0) {
		return s
	}
	width := 2 * math.Acos(math.Pow(0.5, 1/s.N)) * by
	if n, err := BeamExponent(min(max(width, 5*math.Pi/180), 170*math.Pi/180)); err == nil {
		s.N = n
	}
	return s
}

// farOff is how far beside the tank (m) a lamp's centre may hang before it is taken for a slip of the pen.
const farOff = 3.0

func (s Source) near(t geometry.Tank) error {
	off := math.Hypot(max(-s.X, s.X-t.LX, 0), max(-s.Y, s.Y-t.LY, 0))
	if off > farOff {
		return fmt.Errorf("it hangs %.0f cm beside the tank; at is x and y in centimetres from the front-left inside corner", off*100)
	}
	return nil
}

func finite(xs ...float64) bool {
	for _, x := range xs {
		if math.IsNaN(x) || math.IsInf(x, 0) {
			return false
		}
	}
	return true
}

// toward is the intensity for unit flux towards a place whose direction from the lamp has these horizontal parts; 1 for a beam that is in
// the tables.
func (s *Source) toward(x, y float64) float64 {
	if s.flipX {
		x = -x
	}
	if s.flipY {
		y = -y
	}
	return s.Lobe.at(x, y)
}

// fitted finds the lamp from its PAR readings.
func (s Source) fitted(l plan.Lamp, tank geometry.Tank, w Water) (Source, error) {
	var readings []Reading
	for _, r := range l.Readings {
		readings = append(readings, Reading{X: r.At[0] / 100, Y: r.At[1] / 100, Depth: float64(r.Depth), PPFD: float64(r.PPFD), Dim: float64(r.Dim)})
	}
	s, fit := FitLamp(s, tank, w, readings, l.Beam > 0)
	if fit.Readings == 0 {
		return s, fmt.Errorf("no light of it reaches the places of its readings; check their places and depths")
	}
	s.Fit, s.Spread = fit, fit.RMS
	if l.Dim > 0 {
		s.Flux *= float64(l.Dim)
	}
	return s, nil
}
