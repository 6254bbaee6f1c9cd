package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"image"
	"image/png"
	"littoral/internal/forecast"
	"littoral/internal/papers"
	"littoral/internal/plan"
	"littoral/internal/render"
	"littoral/internal/scene"
	"math"
	"os"
	"runtime/debug"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/vbauerster/mpb/v8"
	"github.com/vbauerster/mpb/v8/decor"
)

type viewsCommand struct {
	Plan    string   `arg:"" help:"The plan, a YAML file."`
	Out     string   `required:"" placeholder:"DIR" help:"Folder for the pictures; it is made when it is not there."`
	Days    []int    `default:"1,56,365,1095" help:"Days after planting to draw."`
	From    []string `default:"front" help:"Eyes to draw from: front, back, left, right, corner, front-left, front-right, back-left, back-right, top, seated, standing, or a turn such as 30°."`
	Size    string   `default:"1600x1000" help:"Pixels, width x height."`
	Dark    bool     `help:"A dark room in which the tank glows, instead of the paper of the report."`
	Fine    int      `default:"2" help:"Samples along a side of a pixel, 1 to 4."`
	GLB     bool     `name:"glb" help:"Also the scene of each day as binary glTF 2.0, for general 3D programs."`
	Plates  bool     `help:"Also plates: then and now, a strip of all the days, the last view read, and the tank from all round."`
	Animate string   `enum:",grow,turn" default:"" placeholder:"HOW" help:"Also an animation: grow (the first view over the days) or turn (once round the tank on the last day)."`
	GIF     bool     `name:"gif" help:"The animation as GIF, with 256 colours, instead of animated PNG."`
	Person  bool     `help:"A standing person's outline beside the tank, for scale."`
	Animals bool     `default:"true" negatable:"" help:"The day's fish as simple shapes."`
	Seed    uint64   `default:"1" help:"Seed of the random draws of the forecast."`
	JSON    bool     `name:"json" help:"Write what the views show, in numbers, as one JSON value to standard output, and nothing else there."`
}

func (viewsCommand) Help() string {
	return `Forecasts the plan up to the last day asked for and draws the tank as it will stand: plants from their forecast height, spread, leaves and leaf
area, water as clear as it will be, light from the plan's lamps. It writes a PNG for each day and eye, and composition.json: what of the
hardscape is still seen and what hides it, masses, layers, colours and open water. These numbers are aids to a designer's eye, never grades.

Plates are written twice: as SVG with the pictures inside, and as PNG for programs that show nothing else. The animation is an animated PNG, which browsers play,
or with --gif a GIF, which nearly everything plays.

Examples:

  littoral views plan.yaml --out pictures
  littoral views plan.yaml --out pictures --days 1,56,365,1095 --from front,left,corner,top --size 1600x1000
  littoral views plan.yaml --out pictures --days 365 --from standing --dark --person
  littoral views plan.yaml --out pictures --days 1,28,56,182,365,1095 --plates
  littoral views plan.yaml --out models --days 365 --glb`
}

// Bounds of what one call may ask for.
const (
	mostShots     = 200
	mostModels    = 24
	mostScenes    = 4         // held at a time
	memoryLimit   = 520 << 20 // bytes from which memory is cleared away more eagerly
	growingFrames = 36
	turningFrames = 48
)

// Validate is called by kong after parsing.
func (c *viewsCommand) Validate() error {
	if len(c.Days) == 0 || len(c.From) == 0 {
		return errors.New("--days and --from need at least one entry each")
	}
	for _, d := range c.Days {
		if d < 0 || d > mostDays {
			return fmt.Errorf("--days %d is outside 0 to %d", d, mostDays)
		}
	}
	for _, from := range c.From {
		if err := render.Known(from); err != nil {
			return err
		}
	}
	if n := len(c.Days) * len(c.From); n > mostShots {
		return fmt.Errorf("%d pictures were asked for, and one call draws at most %d", n, mostShots)
	}
	if c.GLB && len(c.Days) > mostModels {
		return fmt.Errorf("%d models were asked for, and one call writes at most %d", len(c.Days), mostModels)
	}
	if c.GIF && c.Animate == "" {
		return errors.New("--gif packs the animation; add --animate grow or --animate turn")
	}
	if c.Fine < 1 || c.Fine > 4 {
		return fmt.Errorf("--fine %d is outside 1 to 4", c.Fine)
	}
	_, _, err := c.pixels()
	return err
}

func (c *viewsCommand) pixels() (w, h int, err error) {
	a, b, ok := strings.Cut(strings.ToLower(c.Size), "x")
	w, err1 := strconv.Atoi(a)
	h, err2 := strconv.Atoi(b)
	if !ok || err1 != nil || err2 != nil || w < 64 || h < 64 || w > 8000 || h > 8000 {
		return 0, 0, fmt.Errorf("--size %q is not a size of 64 to 8000 pixels a side; write 1600x1000", c.Size)
	}
	return w, h, nil
}

func (c *viewsCommand) Run(ctx context.Context, p Program) error {
	start := time.Now()
	// Pictures leave much behind; cleared away in time, they fit beside other programs.
	defer debug.SetMemoryLimit(debug.SetMemoryLimit(memoryLimit))
	read, err := plan.Load(c.Plan)
	if err != nil {
		return err
	}
	if len(read.Warnings) > 0 {
		fmt.Fprintln(p.Err, read.Warnings.Error())
	}
	if info, err := os.Stat(c.Out); err == nil && !info.IsDir() {
		return fmt.Errorf("%s is a file; name a folder for the pictures", c.Out)
	}
	days := slices.Clone(c.Days)
	slices.Sort(days)
	days = slices.Compact(days)
	last := max(1, days[len(days)-1])
	keep := slices.Clone(days)
	if c.Animate == "grow" {
		keep = append(keep, growingDays(days)...)
	}
	bar := p.progress("forecast", last)
	f, err := forecast.Run(ctx, read, forecast.Options{Days: last, Seed: c.Seed, Keep: keep, Progress: bar.at})
	bar.end()
	if err != nil {
		if ctx.Err() != nil {
			return fmt.Errorf("%w before the forecast was done; nothing was written", context.Cause(ctx))
		}
		return fmt.Errorf("%s: %w", c.Plan, err)
	}
	job := viewsJob{viewsCommand: c, ctx: ctx, f: f, days: days, scenes: map[int]*scene.Scene{}, eyes: map[string]*render.Camera{}}
	if job.w, job.h, err = c.pixels(); err != nil {
		return err
	}
	job.bar = p.steps("pictures", job.count())
	err = job.draw()
	job.bar.end()
	if err != nil {
		if ctx.Err() != nil {
			return fmt.Errorf("%w after %d pictures; nothing was written", context.Cause(ctx), len(job.files))
		}
		return err
	}
	composition, err := job.composition()
	if err != nil {
		return err
	}
	job.files = append(job.files, papers.File{Name: "composition.json", Data: composition})
	if err := papers.Save(c.Out, job.files); err != nil {
		return err
	}
	if c.JSON {
		if err := p.json(job.readings); err != nil {
			return err
		}
	} else {
		for i := range job.readings {
			fmt.Fprintln(p.Out, sentence(&job.readings[i]))
		}
	}
	p.say("%s are in %s (%.1f s)", count(len(job.files), "file", "files"), c.Out, time.Since(start).Seconds())
	return nil
}

// viewsJob is one call's pictures in the making.
type viewsJob struct {
	*viewsCommand
	ctx      context.Context
	f        *forecast.Forecast
	days     []int
	w, h     int
	scenes   map[int]*scene.Scene
	files    []papers.File
	readings []render.Reading
	seen     []int32 // what the last picture shows
	eyes     map[string]*render.Camera
	lit      *scene.Scene
	light    *render.Light // of the scene lit
	bar      *steps
}

// count is how many pictures will be drawn.
func (j *viewsJob) count() int {
	n := len(j.days) * len(j.From)
	if j.Plates {
		n += len(j.From)*len(j.days) + 8
	}
	switch j.Animate {
	case "grow":
		n += growingFrames
	case "turn":
		n += turningFrames
	}
	return n
}

// scene builds the scene of a day, once.
func (j *viewsJob) scene(day int) (*scene.Scene, error) {
	if s, ok := j.scenes[day]; ok {
		return s, nil
	}
	for d := range j.scenes { // a scene takes some 50 MB: a few are enough
		if d != 0 && len(j.scenes) >= mostScenes {
			delete(j.scenes, d)
		}
	}
	s, err := scene.Build(j.f, day, scene.Options{Animals: j.Animals, Person: j.Person})
	if err == nil {
		j.scenes[day] = s
	}
	return s, err
}

// room and options of all pictures.
func (j *viewsJob) options() render.Options {
	o := render.Options{Fine: j.Fine}
	if j.Dark {
		o.Room = render.Dark
	}
	return o
}

// shot draws one picture.
func (j *viewsJob) shot(day int, from string, w, h int) (*image.RGBA, *scene.Scene, *render.Camera, error) {
	if err := j.ctx.Err(); err != nil {
		return nil, nil, nil, err
	}
	s, err := j.scene(day)
	if err != nil {
		return nil, nil, nil, err
	}
	eye := fmt.Sprint(from, w, h)
	c := j.eyes[eye]
	if c == nil {
		if c, err = render.At(s, from, w, h); err != nil {
			return nil, nil, nil, err
		}
		j.eyes[eye] = c
	}
	var img *image.RGBA
	o := j.options()
	if j.lit != s { // one light serves all eyes of a scene
		j.lit, j.light = s, render.LightOf(s)
	}
	o.Light = j.light
	img, j.seen = render.Seen(s, c, o)
	j.bar.step()
	return img, s, c, nil
}

func (j *viewsJob) draw() error {
	planted, err := j.scene(0)
	if err != nil {
		return err
	}
	before := map[string][]int32{} // what is seen on planting day, by eye
	for _, day := range j.days {
		for _, from := range j.From {
			img, s, c, err := j.shot(day, from, j.w, j.h)
			if err != nil {
				return err
			}
			if before[from] == nil {
				before[from] = render.Items(planted, c)
			}
			r := render.ReadSeen(planted, s, c, before[from], j.seen, img)
			r.Day = day
			j.readings = append(j.readings, r)
			if err := j.add(fmt.Sprintf("%s-day-%04d.png", fileWord(from), day), img); err != nil {
				return err
			}
		}
		if j.GLB {
			s, err := j.scene(day)
			if err != nil {
				return err
			}
			data, err := s.GLB()
			if err != nil {
				return err
			}
			j.files = append(j.files, papers.File{Name: fmt.Sprintf("tank-day-%04d.glb", day), Data: data})
		}
		if day != 0 && !j.Plates && j.Animate == "" {
			delete(j.scenes, day)
		}
	}
	if j.Plates {
		if err := j.plates(); err != nil {
			return err
		}
	}
	if j.Animate != "" {
		return j.animate()
	}
	return nil
}

func (j *viewsJob) add(name string, img image.Image) error {
	var b bytes.Buffer
	packer := png.Encoder{CompressionLevel: png.DefaultCompression}
	if err := packer.Encode(&b, img); err != nil {
		return fmt.Errorf("%s could not be packed: %w", name, err)
	}
	j.files = append(j.files, papers.File{Name: name, Data: b.Bytes()})
	return nil
}

// plates lays then-and-now and the strip of days for each eye, and the tank from all round on the last day.
func (j *viewsJob) plates() error {
	// A shape of picture that the tank fills.
	t := &j.f.Model.Tank
	w := 1100
	h := int(clampf(float64(w)*(t.Height*1.5)/math.Max(t.LX, t.LY), 380, 760))
	room := j.options().Room
	place := j.f.Plan.Name
	for _, from := range j.From {
		var strip []render.Shot
		for _, day := range j.days {
			img, s, c, err := j.shot(day, from, w, h)
			if err != nil {
				return err
			}
			if r := j.reading(day, from); r != nil && day == j.days[len(j.days)-1] {
				x0, y0, x1, y1 := c.Water(s)
				sheet := render.ReadingPlate(capital(when(day)), fmt.Sprintf("%s, seen from %s; an aid to the eye, not a grade", place, render.From(from)), img, x0, y0, x1, y1, r, room)
				if err := j.sheet(fmt.Sprintf("plate-reading-%s-day-%04d", fileWord(from), day), sheet); err != nil {
					return err
				}
			}
			strip = append(strip, render.Shot{Image: img, Title: capital(when(day)) + ".", Caption: j.caption(day, from)})
		}
		under := fmt.Sprintf("%s, seen from %s; one scale, one eye", place, render.From(from))
		if len(strip) > 1 {
			sheet, err := render.Plate("Then and now", under, []render.Shot{strip[0], strip[len(strip)-1]}, columns(w, h, 2), room)
			if err != nil {
				return err
			}
			if err := j.sheet("plate-then-and-now-"+fileWord(from), sheet); err != nil {
				return err
			}
		}
		sheet, err := render.Plate("How it grows in", under, strip, columns(w, h, len(strip)), room)
		if err != nil {
			return err
		}
		if err := j.sheet("plate-growth-"+fileWord(from), sheet); err != nil {
			return err
		}
	}
	last := j.days[len(j.days)-1]
	var all []render.Shot
	for k := range 8 {
		turn := 45 * k
		img, _, _, err := j.shot(last, fmt.Sprintf("%d°", turn), 900, 600)
		if err != nil {
			return err
		}
		names := []string{"From the front", "Front and right", "From the right", "Back and right", "From the back", "Back and left", "From the left", "Front and left"}
		all = append(all, render.Shot{Image: img, Title: names[k] + ".", Caption: fmt.Sprintf("turned by %d°", turn)})
	}
	sheet, err := render.Plate("All round", fmt.Sprintf("%s, %s; the eye goes round the tank", place, when(last)), all, 2, room)
	if err != nil {
		return err
	}
	return j.sheet(fmt.Sprintf("plate-all-round-day-%04d", last), sheet)
}

// sheet adds a plate as a drawing and as pixels.
func (j *viewsJob) sheet(name string, s *render.Sheet) error {
	svg, err := s.SVG()
	if err != nil {
		return err
	}
	j.files = append(j.files, papers.File{Name: name + ".svg", Data: svg})
	img, err := s.Image()
	if err != nil {
		return err
	}
	return j.add(name+".png", img)
}

// caption says a picture's two most useful numbers.
func (j *viewsJob) caption(day int, from string) string {
	r := j.reading(day, from)
	if r == nil {
		return ""
	}
	return r.Caption()
}

// reading finds what has been read of a view.
func (j *viewsJob) reading(day int, from string) *render.Reading {
	for i := range j.readings {
		if r := &j.readings[i]; r.Day == day && r.View == from {
			return r
		}
	}
	return nil
}

// growingDays are the days of the growing animation: close together at first, when most changes.
func growingDays(days []int) []int {
	first, last := float64(days[0]), float64(days[len(days)-1])
	var out []int
	for k := range growingFrames {
		u := float64(k) / (growingFrames - 1)
		out = append(out, int(math.Round(first+(last-first)*u*u)))
	}
	return out
}

// animate draws the moving picture, at most 800 pixels wide.
func (j *viewsJob) animate() error {
	w := min(j.w, 800)
	h := max(64, w*j.h/j.w)
	var frames []*image.RGBA
	name, delay := "growing-"+fileWord(j.From[0])+".png", 160
	if j.Animate == "grow" {
		for _, day := range growingDays(j.days) {
			img, _, _, err := j.shot(day, j.From[0], w, h)
			if err != nil {
				return err
			}
			frames = append(frames, img)
			if day != 0 {
				delete(j.scenes, day)
			}
		}
	} else {
		last := j.days[len(j.days)-1]
		name, delay = fmt.Sprintf("turning-day-%04d.png", last), 100
		for k := range turningFrames {
			img, _, _, err := j.shot(last, fmt.Sprintf("%g°", 360*float64(k)/turningFrames), w, h)
			if err != nil {
				return err
			}
			frames = append(frames, img)
		}
	}
	hold := delay
	if j.Animate == "grow" {
		hold = 2500
	}
	pack := render.Animation
	if j.GIF {
		pack, name = render.AnimationGIF, strings.TrimSuffix(name, ".png")+".gif"
	}
	data, err := pack(frames, delay, hold)
	if err != nil {
		return err
	}
	j.files = append(j.files, papers.File{Name: name, Data: data})
	return nil
}

// composition is composition.json.
func (j *viewsJob) composition() ([]byte, error) {
	var b bytes.Buffer
	err := Program{Out: &b}.json(j.readings)
	return b.Bytes(), err
}

// sentence says what a view shows.
func sentence(r *render.Reading) string {
	var b strings.Builder
	fmt.Fprintf(&b, "%s, from %s: ", capital(when(r.Day)), render.From(r.View))
	if len(r.Pieces) > 0 {
		fmt.Fprintf(&b, "%.0f %% of planting day's wood and stone are seen", 100*min(1, r.Still))
		if len(r.HiddenBy) > 0 && r.HiddenBy[0].Share >= .02 {
			fmt.Fprintf(&b, ", %.0f %% lie behind %s", 100*r.HiddenBy[0].Share, r.HiddenBy[0].Planting)
		}
		b.WriteString("; ")
	}
	fmt.Fprintf(&b, "open water is %.0f %% of the view", 100*r.Open)
	if len(r.Masses) > 0 {
		fmt.Fprintf(&b, ", the largest mass %s with %.0f %%", r.Masses[0].Name, 100*r.Masses[0].Share)
	}
	best := -1
	for i := range r.Masses {
		if r.Masses[i].Share >= .004 && (best < 0 || r.Masses[i].Accent > r.Masses[best].Accent) {
			best = i
		}
	}
	if best >= 0 && r.Masses[best].Accent >= 15 { // clearly distinct foliage (common practice, no source)
		fmt.Fprintf(&b, ", the strongest accent %s", r.Masses[best].Name)
	}
	b.WriteString(".")
	return b.String()
}

// when names a day in the trade's words.
func when(day int) string {
	switch {
	case day == 0:
		return "planting day"
	case day < 14:
		return fmt.Sprintf("day %d", day)
	case day < 180:
		return fmt.Sprintf("week %d", (day+3)/7)
	case day%365 <= 3 || day%365 >= 362:
		if y := (day + 3) / 365; y != 1 {
			return fmt.Sprintf("%d years after planting", y)
		}
		return "one year after planting"
	}
	return fmt.Sprintf("%.0f months after planting", float64(day)/30.44)
}

func capital(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}

func fileWord(from string) string {
	if _, err := strconv.ParseFloat(strings.TrimSuffix(from, "°"), 64); err == nil {
		return "turn-" + strings.TrimSuffix(from, "°")
	}
	return from
}

// columns chooses how pictures stand on a plate: wide ones below each other when there are two.
func columns(w, h, n int) int {
	if n <= 1 || n == 2 && w > 2*h {
		return 1
	}
	return 2
}

func clampf(v, lo, hi float64) float64 { return math.Max(lo, math.Min(hi, v)) }

// steps is a bar that counts pictures, drawn only for a person at a terminal.
type steps struct {
	pool *mpb.Progress
	bar  *mpb.Bar
}

func (p Program) steps(name string, total int) *steps {
	if !p.ErrTerminal {
		return &steps{}
	}
	pool := mpb.New(mpb.WithOutput(p.Err), mpb.WithWidth(48))
	bar := pool.New(int64(total), mpb.BarStyle(), mpb.BarRemoveOnComplete(),
		mpb.PrependDecorators(decor.Name(name+" "), decor.CountersNoUnit("%d of %d ")),
		mpb.AppendDecorators(decor.AverageETA(decor.ET_STYLE_MMSS), decor.Name(" left")))
	return &steps{pool, bar}
}

func (s *steps) step() {
	if s.bar != nil {
		s.bar.Increment()
	}
}

func (s *steps) end() {
	if s.bar != nil {
		s.bar.Abort(true)
		s.pool.Wait()
	}
}
