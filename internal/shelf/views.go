package shelf

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"image"
	"image/png"
	"littoral/internal/picture"
	"littoral/internal/render"
	"littoral/internal/scene"
	"littoral/internal/store"
	"littoral/internal/unit"
	"net/url"
	"strconv"
	"strings"
	"sync"
)

// Picture says which picture is wanted. Bounds are checked by Check.
type Picture struct {
	Day           int
	From          string // as render.Known has it
	Width, Height int    // pixels
	Dark          bool
}

// Bounds of a picture, our own choice: larger ones are drawn by the command line.
const (
	leastPixels = 32
	mostPixels  = 2400
)

// Check tells what is wrong with a wish; nil when nothing is.
func (p Picture) Check() error {
	if p.Day < 0 || p.Day > MostDays {
		return fmt.Errorf("day %d is outside 0 to %d", p.Day, MostDays)
	}
	if p.Width < leastPixels || p.Height < leastPixels || p.Width > mostPixels || p.Height > mostPixels {
		return fmt.Errorf("a picture of %d by %d pixels is not drawn; ask for %d to %d a side", p.Width, p.Height, leastPixels, mostPixels)
	}
	return render.Known(p.From)
}

// PicturePath is where the API serves a picture of a forecast.
func PicturePath(key string, p Picture) string {
	q := url.Values{"day": {strconv.Itoa(p.Day)}, "from": {p.From}, "width": {strconv.Itoa(p.Width)}, "height": {strconv.Itoa(p.Height)}}
	if p.Dark {
		q.Set("dark", "true")
	}
	return "/api/forecasts/" + key + "/picture?" + q.Encode()
}

// drawing lets one picture be drawn at a time: the renderer uses all cores by itself, and a scene takes some 50 MB.
var drawing sync.Mutex

// Draw returns a picture of a kept forecast as PNG. A picture once drawn is kept with the forecast.
func (s *Shelf) Draw(ctx context.Context, key string, p Picture) ([]byte, error) {
	if err := p.Check(); err != nil {
		return nil, err
	}
	p.Day = keptDay(p.Day)
	name := p.part()
	if part, err := s.Store.Part(ctx, key, name); err == nil || !errors.Is(err, store.ErrNotFound) {
		return part.Data, err
	}
	w, err := s.Live(ctx, key)
	if errors.Is(err, ErrOld) {
		return s.drawnBefore(ctx, key, p)
	}
	if err != nil {
		return nil, err
	}
	drawing.Lock()
	defer drawing.Unlock()
	if part, err := s.Store.Part(ctx, key, name); err == nil {
		return part.Data, nil
	}
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	img, err := w.drawn(p)
	if err != nil {
		return nil, err
	}
	var b bytes.Buffer
	if err := png.Encode(&b, img); err != nil {
		return nil, err
	}
	return b.Bytes(), s.Store.PutPart(ctx, key, store.Part{Name: name, Type: "image/png", Data: b.Bytes()})
}

// part is the name under which a picture is kept.
func (p Picture) part() string {
	return fmt.Sprintf("picture/%d/%s/%dx%d/%v.png", p.Day, p.From, p.Width, p.Height, p.Dark)
}

// mostWeeksBack is how far drawnBefore looks, our own choice: pictures of a quarter of a year ago still show the tank.
const mostWeeksBack = 13

// drawnBefore is the picture of the nearest earlier week, in either room, that a program now replaced drew of a forecast.
func (s *Shelf) drawnBefore(ctx context.Context, key string, p Picture) ([]byte, error) {
	asked := p
	for range mostWeeksBack {
		for _, p.Dark = range []bool{asked.Dark, !asked.Dark} {
			part, err := s.Store.Part(ctx, key, p.part())
			if err == nil || !errors.Is(err, store.ErrNotFound) {
				return part.Data, err
			}
		}
		p.Day = keptDay(p.Day - pictureStep)
	}
	return nil, ErrOld
}

// keptDay is the day of the snapshot that shows a day, the earlier of two as near: neighbours share a picture.
func keptDay(day int) int {
	week := day - day%pictureStep
	best := week
	for _, d := range append([]int{week + pictureStep}, keepDays...) {
		if abs(d-day) < abs(best-day) || abs(d-day) == abs(best-day) && d < best {
			best = d
		}
	}
	return best
}

// drawn makes a picture; the caller holds drawing.
func (w *Whole) drawn(p Picture) (*image.RGBA, error) {
	sc, err := scene.Build(w.Forecast, p.Day, scene.Options{Animals: true})
	if err != nil {
		return nil, err
	}
	c, err := render.At(sc, p.From, p.Width, p.Height)
	if err != nil {
		return nil, err
	}
	o := render.Options{}
	if p.Dark {
		o.Room = render.Dark
	}
	return render.Draw(sc, c, o), nil
}

// GLB returns the scene of a day as binary glTF 2.0.
func (s *Shelf) GLB(ctx context.Context, key string, day int) ([]byte, error) {
	w, err := s.Live(ctx, key)
	if err != nil {
		return nil, err
	}
	drawing.Lock()
	defer drawing.Unlock()
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	sc, err := scene.Build(w.Forecast, day, scene.Options{Animals: true})
	if err != nil {
		return nil, err
	}
	return sc.GLB()
}

// Drawings of a tank from above and from its sides, as SVG that stands alone.
const (
	DrawPlan  = "plan"
	DrawLight = "light"
)

// ErrNoDrawing says that a drawing is not known.
var ErrNoDrawing = errors.New("no drawing is called so; ask for plan, light, front, left, back or right")

// Drawing returns a drawing of a kept forecast on a day: the plan with its plants, findings of that day as numbered rings, the light on the
// bed, or a side.
func (s *Shelf) Drawing(ctx context.Context, key, what string, day int) ([]byte, error) {
	w, err := s.Live(ctx, key)
	if err != nil {
		return nil, err
	}
	f := w.Forecast
	k := picture.KeyOf(f)
	scale := picture.ScaleFor(&f.Model.Tank)
	system := unit.Metric
	if w.Plan.House.Units == "US" {
		system = unit.US
	}
	var d picture.Drawing
	switch what {
	case DrawPlan:
		d = picture.Plan("plan", f, k, picture.Legend(f, k, day), w.marks(day), scale, system)
	case DrawLight:
		m := &f.LightMaps[0]
		for i := range f.LightMaps {
			if abs(f.LightMaps[i].Day-day) < abs(m.Day-day) {
				m = &f.LightMaps[i]
			}
		}
		d = picture.LightMap("light", f, m, scale, system)
	default:
		at := -1
		views := append([]picture.View{picture.Front}, picture.Around(&f.Model.Tank)...)
		for i, v := range views {
			if v.Name == what {
				at = i
			}
		}
		if at < 0 {
			return nil, ErrNoDrawing
		}
		d = picture.Elevation("side", f, k, picture.Nearest(f, day), views[at], scale, system)
	}
	i := strings.Index(d.SVG, ">") + 1
	return []byte(d.SVG[:i] + "<style>" + picture.Style(k) + "</style>" + d.SVG[i:]), nil
}

func abs(n int) int { return max(n, -n) }

// marks are the findings that hold on a day and have a place.
func (w *Whole) marks(day int) []picture.Mark {
	var out []picture.Mark
	for i := range w.Findings {
		x := &w.Findings[i]
		if x.X < 0 || x.Y < 0 || day < x.Day || day > x.Until {
			continue
		}
		out = append(out, picture.Mark{Number: i + 1, X: x.X, Y: x.Y, Grave: x.Severity == "danger" || x.Severity == "harm"})
	}
	return out
}
