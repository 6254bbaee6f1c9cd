package papers

import (
	"bytes"
	"context"
	"encoding/base64"
	"fmt"
	"html/template"
	"image"
	"image/jpeg"
	"littoral/internal/findings"
	"littoral/internal/forecast"
	"littoral/internal/light"
	"littoral/internal/render"
	"littoral/internal/scene"
	"littoral/internal/unit"
	"slices"
	"strings"
	"sync"
)

// Pictures are the drawn views of a report: the tank as it will stand, through glass and water.
type Pictures struct {
	front, sides []view
	year         int          // day of the sides
	light        *light.Field // of the bare tank; nil when the plan has no lamp that can be used
}

// view is one picture, packed, with what it shows in numbers.
type view struct {
	day     int
	from    string
	jpeg    []byte
	w, h    int // pixels
	reading render.Reading
	err     error // of packing
}

// shot is a day with the eyes that look at it.
type shot struct {
	day  int
	eyes []string
}

// Size and packing of the report's pictures: on a page of 1100 they stand in columns of 540, so they are sharp on a fine screen and in print, and a report
// of eight stays near a megabyte. Our own choice.
const (
	pictureWide    = 900
	sideHigh       = 540 // of a view along the tank, at least
	pictureQuality = 82
	reportTufts    = 3500 // drawn half as fine as in views of 1600 pixels
)

// Draw draws the views of a report: the front on the days of the report's views, and after a year the other viewing sides, a corner and a standing eye.
// progress may be nil; it is told how many pictures of how many are done. It stops with the context's error.
func Draw(ctx context.Context, f *forecast.Forecast, progress func(done, total int)) (*Pictures, error) {
	if f == nil || f.Model == nil || f.Plan == nil {
		return nil, fmt.Errorf("there is no forecast to draw; run it first")
	}
	t := newTeller(f, []findings.Finding{})
	p := &Pictures{}
	days := t.viewDays()
	for _, d := range days { // the sides are seen after a year, or when the forecast ends
		if s := nearest(f, d); s != nil && d <= 365 {
			p.year = s.Day
		}
	}
	sides := otherSides(f)
	tank := &f.Model.Tank
	// A shape of picture that the tank fills.
	high := int(min(.72, max(.36, tank.Height*1.5/max(tank.LX, tank.LY))) * pictureWide)
	frameOf := func(from string) (w, h int) {
		if (from == "left" || from == "right") && tank.LX > tank.LY {
			return pictureWide, max(high, sideHigh)
		}
		return pictureWide, high
	}
	last := -1
	var shots []shot
	for _, day := range days {
		s := nearest(f, day)
		if s == nil || s.Day == last { // a short forecast has one snapshot for two days
			continue
		}
		last = s.Day
		shots = append(shots, shot{day: s.Day, eyes: []string{"front"}})
		if s.Day == p.year {
			shots[len(shots)-1].eyes = append(shots[len(shots)-1].eyes, sides...)
		}
	}
	done, total := 0, 0
	for i := range shots {
		total += len(shots[i].eyes)
	}
	var packing sync.WaitGroup
	packing.Go(func() {
		if len(f.Plan.Lamps) == 0 || f.Model.Ground == nil {
			return
		}
		if study, err := light.NewStudy(f.Plan, f.Model, light.Voxels(f.Model), nil); err == nil {
			p.light = study.Field
		}
	})
	var views []*view
	var planted *scene.Scene
	eyes := map[string]*render.Camera{}
	before := map[string][]int32{} // what is seen on planting day, by eye
	for i := range shots {
		s := &shots[i]
		now, err := scene.Build(f, s.day, scene.Options{Animals: true, Tufts: reportTufts})
		if err != nil {
			return nil, err
		}
		if planted == nil { // the first of the days is that of planting: what is named there is kept, its shapes are not
			planted = &scene.Scene{Name: now.Name, Day: now.Day, Tank: now.Tank, Items: now.Items}
			for _, from := range append([]string{"front"}, sides...) {
				w, h := frameOf(from)
				if eyes[from], err = render.At(now, from, w, h); err != nil {
					return nil, err
				}
				before[from] = render.Items(now, eyes[from])
			}
		}
		lit := render.LightOf(now)
		for _, from := range s.eyes {
			if err := ctx.Err(); err != nil {
				return nil, err
			}
			c := eyes[from]
			v := &view{day: s.day, from: from, w: c.W, h: c.H}
			img, seen := render.Seen(now, c, render.Options{Fine: 2, Light: lit})
			views = append(views, v)
			was, named := before[from], &scene.Scene{Day: now.Day, Tank: now.Tank, Water: now.Water, Items: now.Items}
			packing.Go(func() {
				v.reading = render.ReadSeen(planted, named, c, was, seen, img)
				v.jpeg, v.err = packed(img)
			})
			if done++; progress != nil {
				progress(done, total)
			}
		}
	}
	packing.Wait()
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	for _, v := range views {
		if v.err != nil {
			return nil, v.err
		}
		if v.from == "front" {
			p.front = append(p.front, *v)
		} else {
			p.sides = append(p.sides, *v)
		}
	}
	return p, nil
}

func packed(img image.Image) ([]byte, error) {
	var b bytes.Buffer
	if err := jpeg.Encode(&b, img, &jpeg.Options{Quality: pictureQuality}); err != nil {
		return nil, fmt.Errorf("a picture could not be packed: %w", err)
	}
	return b.Bytes(), nil
}

// otherSides are the eyes beside the front: the tank's other viewing sides, or its quarters where it is seen from all round, and a standing person's.
func otherSides(f *forecast.Forecast) []string {
	seen := f.Plan.Tank.SeenFrom
	if slices.Contains(seen, "all") && f.Model.Tank.Shape != "box" {
		return []string{"right", "back", "left", "standing"}
	}
	out := []string{"corner", "standing"}
	for _, s := range []string{"left", "right", "back"} {
		if slices.Contains(seen, s) || slices.Contains(seen, "all") {
			out = append(out, s)
		}
	}
	return out
}

// drawn makes plates of pictures.
func (t *teller) drawn(p *page, pics *Pictures) {
	if pics == nil {
		return
	}
	plateOf := func(v *view, name string) plate {
		alt := fmt.Sprintf("%s: %s.", name, v.reading.Caption())
		return plate{
			SVG:  template.HTML(fmt.Sprintf(`<img class="photo" src="data:image/jpeg;base64,%s" width="%d" height="%d" alt="%s">`, base64.StdEncoding.EncodeToString(v.jpeg), v.w, v.h, template.HTMLEscapeString(alt))), //nolint:gosec // base64, numbers and escaped words
			Name: name + ".", Says: capital(v.reading.Caption()),
		}
	}
	for i := range pics.front {
		v := &pics.front[i]
		name := capital(unit.FormatDay(unit.Day(v.day)))
		if v.day == 0 {
			name = "Day 1, as planted"
		}
		q := plateOf(v, name)
		if i == 0 || i == len(pics.front)-1 {
			p.ThenNow = append(p.ThenNow, q)
		} else {
			p.Between = append(p.Between, q)
		}
		p.ViewRows = append(p.ViewRows, viewRow(name+", from the front", &v.reading))
	}
	for i := range pics.sides {
		v := &pics.sides[i]
		name := "From " + render.From(v.from)
		p.Views = append(p.Views, plateOf(v, name))
		p.ViewRows = append(p.ViewRows, viewRow(capital(unit.FormatDay(unit.Day(v.day)))+", from "+render.From(v.from), &v.reading))
	}
	p.ViewsDay = unit.FormatDay(unit.Day(pics.year))
}

// viewRow says a reading in the cells of a table.
func viewRow(name string, r *render.Reading) []string {
	share := func(x float64) string { return fmt.Sprintf("%.0f\u00a0%%", 100*x) }
	hides := "nothing"
	var by []string
	for _, c := range r.HiddenBy[:min(2, len(r.HiddenBy))] {
		if c.Share >= .02 {
			by = append(by, fmt.Sprintf("%s %s", c.Planting, share(c.Share)))
		}
	}
	if len(by) > 0 {
		hides = strings.Join(by, ", ")
	}
	still := "–"
	if len(r.Pieces) > 0 {
		still = share(min(1, r.Still))
	} else {
		hides = "–"
	}
	return []string{name, still, hides, share(r.Open), fmt.Sprintf("%.0f, %.0f, %s", 100*r.Fore, 100*r.Mid, share(r.Back)), fmt.Sprintf("%.0f, %s", 100*r.Green, share(r.Red)), share(r.Balance[0])}
}
