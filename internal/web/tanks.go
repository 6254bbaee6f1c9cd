package web

import (
	"context"
	"errors"
	"io/fs"
	"littoral/examples"
	"littoral/internal/plan"
	"littoral/internal/shelf"
	"littoral/internal/store"
	"littoral/internal/unit"
	"net/http"
	"path"
	"slices"
	"strings"

	"github.com/danielgtaylor/huma/v2"
)

// TankID is the name of a tank in addresses.
type TankID struct {
	Tank string `path:"tank" minLength:"1" maxLength:"64" doc:"id of the tank"`
}

// Shelf is the list of tanks.
type Shelf struct {
	Tanks []shelf.Card `json:"tanks"`
	All   int          `json:"all" doc:"tanks on the shelf, whatever is searched"`
	Today string       `json:"today" doc:"ISO 8601 date of the server"`
}

// Demo is a tank to look at and learn from.
type Demo struct {
	ID    string `json:"id"`
	Name  string `json:"name"`
	About string `json:"about" say:"text" doc:"what it shows, in a few sentences"`
}

// Demos is the list of them.
type Demos struct {
	Demos []Demo `json:"demos"`
}

// Questions says what one is asked to start a tank with, and the usual answers by shape.
type Questions struct {
	Shapes []string           `json:"shapes"`
	Styles []string           `json:"styles"`
	Light  []string           `json:"light"`
	Sides  []string           `json:"sides"`
	Usual  map[string]Answers `json:"usual" doc:"by shape"`
}

// Answers start a tank. Quantities carry their unit, metric or US; what is left empty takes the usual value of the shape.
type Answers struct {
	Name       string       `json:"name,omitempty" maxLength:"200"`
	Shape      string       `json:"shape" enum:"box,bow-front,cylinder,polygon"`
	Length     string       `json:"length,omitempty" maxLength:"40" doc:"box and bow-front" example:"120 cm"`
	Width      string       `json:"width,omitempty" maxLength:"40"`
	Height     string       `json:"height,omitempty" maxLength:"40"`
	Diameter   string       `json:"diameter,omitempty" maxLength:"40" doc:"cylinder"`
	Bow        string       `json:"bow,omitempty" maxLength:"40" doc:"bow-front"`
	Outline    [][2]float64 `json:"outline,omitempty" maxItems:"64" doc:"polygon: corners in cm from the front-left, seen from above"`
	Light      string       `json:"light,omitempty" enum:"low,medium,high"`
	CO2        *bool        `json:"co2,omitempty" doc:"gas is injected"`
	Alkalinity string       `json:"alkalinity,omitempty" maxLength:"40" example:"6 dKH"`
	Hardness   string       `json:"hardness,omitempty" maxLength:"40" example:"10 dGH"`
	Nitrate    string       `json:"nitrate,omitempty" maxLength:"40" example:"10 mg/L"`
	SeenFrom   []string     `json:"seen_from,omitempty" maxItems:"5"`
	Style      string       `json:"style,omitempty" maxLength:"40"`
	Planted    string       `json:"planted,omitempty" maxLength:"10" doc:"ISO 8601 date of planting"`
}

// PlanFile is a file beside a plan.
type PlanFile struct {
	Name string `json:"name" maxLength:"200" doc:"as the plan names it, such as meshes/stone.obj; house.yaml is the studio's house"`
	Data []byte `json:"data" doc:"its bytes, base64"`
}

// NewTank says what a tank starts from: exactly one of its members but name.
type NewTank struct {
	Name      string     `json:"name,omitempty" maxLength:"200" doc:"what the tank is called, when it is started from a blank"`
	Demo      string     `json:"demo,omitempty" maxLength:"64" doc:"id of a demo"`
	Blank     bool       `json:"blank,omitempty" doc:"the usual box, to be changed"`
	Questions *Answers   `json:"questions,omitempty"`
	Plan      string     `json:"plan,omitempty" maxLength:"4194304" doc:"the text of a plan file"`
	Files     []PlanFile `json:"files,omitempty" maxItems:"64" doc:"what the plan names"`
}

func (s *Server) shelfRoutes() {
	type search struct {
		Search string `query:"search" maxLength:"200" doc:"words that the name has"`
	}
	add(s, roleClient, get("listTanks", "/api/tanks", "List the tanks on the shelf", tagShelf), func(ctx context.Context, in *search) (*body[Shelf], error) {
		cards, err := s.shelf.Cards(ctx, in.Search)
		if err != nil {
			return nil, err
		}
		all, err := s.store.Tanks(ctx)
		if a := askerOf(ctx); a.Role == roleClient { // one tank, and nothing of the work on it
			cards = slices.DeleteFunc(cards, func(c shelf.Card) bool { return c.ID != a.Tank })
			all = all[:min(len(all), 1)]
			for i := range cards {
				cards[i] = forClient(cards[i])
			}
		}
		return &body[Shelf]{Shelf{Tanks: cards, All: len(all), Today: s.shelf.Now().Format("2006-01-02")}}, err
	})
	add(s, roleClient, get("getTank", "/api/tanks/{tank}", "One tank of the shelf", tagShelf), func(ctx context.Context, in *TankID) (*body[shelf.Card], error) {
		c, err := s.shelf.Card(ctx, in.Tank)
		if askerOf(ctx).Role == roleClient {
			c = forClient(c)
		}
		return &body[shelf.Card]{c}, err
	})
	add(s, roleDesigner, with(post("addTank", "/api/tanks", "Put a tank on the shelf", tagShelf), func(op *huma.Operation) {
		op.DefaultStatus = http.StatusCreated
		op.MaxBodyBytes = mostPlanBytes
	}), func(ctx context.Context, in *struct{ Body NewTank }) (*body[shelf.Card], error) {
		c, err := s.addTank(ctx, in.Body)
		return &body[shelf.Card]{c}, err
	})
	add(s, roleOwner, with(get("deleteTank", "/api/tanks/{tank}", "Take a tank from the shelf with all that belongs to it", tagShelf), func(op *huma.Operation) {
		op.Method = http.MethodDelete
		op.DefaultStatus = http.StatusNoContent
	}), func(ctx context.Context, in *TankID) (*none, error) {
		unused, err := s.store.DeleteTank(ctx, in.Tank)
		for _, sum := range unused {
			err = errors.Join(err, s.shelf.Photos.Remove(sum))
		}
		return nil, err
	})
	add(s, roleDesigner, get("listDemos", "/api/demos", "Demo tanks that can be put on the shelf", tagShelf), func(context.Context, *none) (*body[Demos], error) {
		list, err := demos()
		return &body[Demos]{Demos{list}}, err
	})
	add(s, roleDesigner, get("getQuestions", "/api/questions", "What one is asked to start a tank with", tagShelf), func(context.Context, *none) (*body[Questions], error) {
		q := Questions{Shapes: plan.Shapes(), Styles: plan.Styles(), Light: []string{"low", "medium", "high"}, Sides: []string{"front", "back", "left", "right", "all"}, Usual: map[string]Answers{}}
		for _, shape := range q.Shapes {
			q.Usual[shape] = answersOf(plan.Usual(shape))
		}
		return &body[Questions]{q}, nil
	})
}

// forClient leaves out of a card what is between designer and crew.
func forClient(c shelf.Card) shelf.Card {
	c.Due, c.Worries, c.Entries, c.LastEntry, c.Conflicts = nil, []shelf.Worry{}, 0, "", 0
	return c
}

// mostPlanBytes bounds a request with a plan and the files it names (scanned stones are some MB).
const mostPlanBytes = 48 << 20

// demos lists the demo tanks.
func demos() ([]Demo, error) {
	dirs, err := fs.ReadDir(examples.Demos, ".")
	if err != nil {
		return nil, err
	}
	out := []Demo{}
	for _, d := range dirs {
		page, err := fs.ReadFile(examples.Demos, path.Join(d.Name(), "README.md"))
		if err != nil {
			return nil, err
		}
		title, rest, _ := strings.Cut(string(page), "\n")
		about, _, _ := strings.Cut(strings.TrimSpace(rest), "\n\n")
		out = append(out, Demo{ID: d.Name(), Name: strings.TrimPrefix(title, "# "), About: strings.Join(strings.Fields(about), " ")})
	}
	return out, nil
}

// demo reads a demo's plan and files.
func demo(id string) (string, []store.File, error) {
	if !fs.ValidPath(id) || strings.Contains(id, "/") {
		return "", nil, store.ErrNotFound
	}
	text, err := fs.ReadFile(examples.Demos, path.Join(id, shelf.PlanFile))
	if errors.Is(err, fs.ErrNotExist) {
		return "", nil, store.ErrNotFound
	}
	if err != nil {
		return "", nil, err
	}
	var files []store.File
	err = fs.WalkDir(examples.Demos, id, func(name string, d fs.DirEntry, err error) error {
		rel := strings.TrimPrefix(name, id+"/")
		if err != nil || d.IsDir() || rel == shelf.PlanFile || rel == "README.md" {
			return err
		}
		b, err := fs.ReadFile(examples.Demos, name)
		files = append(files, store.File{Name: rel, Data: b})
		return err
	})
	return string(text), files, err
}

func answersOf(a plan.Answers) Answers {
	cm := func(x unit.Length) string {
		if x == 0 {
			return ""
		}
		return x.In(unit.Metric)
	}
	co2 := a.CO2
	out := Answers{
		Name: a.Name, Shape: a.Shape, Length: cm(a.Inside.Length), Width: cm(a.Inside.Width), Height: cm(a.Inside.Height), Diameter: cm(a.Inside.Diameter),
		Bow: cm(a.Inside.Bow), Light: a.Light, CO2: &co2, Alkalinity: a.TapKH.In(unit.Metric), Hardness: a.TapGH.In(unit.Metric), Nitrate: a.TapNitrate.In(unit.Metric),
		SeenFrom: a.SeenFrom, Style: a.Style, Planted: a.Planted,
	}
	for _, p := range a.Outline {
		out.Outline = append(out.Outline, p)
	}
	return out
}

// answers reads what was answered over the usual answers of the shape.
func (a *Answers) answers() (plan.Answers, error) {
	out := plan.Usual(a.Shape)
	var errs []error
	read := func(name, text string, take func(string) error) {
		if text == "" {
			return
		}
		if err := take(text); err != nil {
			errs = append(errs, errors.New(name+": "+err.Error()))
		}
	}
	length := func(to *unit.Length) func(string) error {
		return func(t string) error {
			v, err := unit.Parse(unit.KindLength, t)
			*to = unit.Length(v)
			return err
		}
	}
	read("length", a.Length, length(&out.Inside.Length))
	read("width", a.Width, length(&out.Inside.Width))
	read("height", a.Height, length(&out.Inside.Height))
	read("diameter", a.Diameter, length(&out.Inside.Diameter))
	read("bow", a.Bow, length(&out.Inside.Bow))
	read("alkalinity", a.Alkalinity, func(t string) (err error) { out.TapKH, err = unit.ParseAlkalinity(t); return err })
	read("hardness", a.Hardness, func(t string) error {
		v, err := unit.Parse(unit.KindHardness, t)
		out.TapGH = unit.Hardness(v)
		return err
	})
	read("nitrate", a.Nitrate, func(t string) (err error) { out.TapNitrate, err = unit.ParseConcentration(t, "NO3"); return err })
	if a.Name != "" {
		out.Name = a.Name
	}
	if a.Light != "" {
		out.Light = a.Light
	}
	if a.CO2 != nil {
		out.CO2 = *a.CO2
	}
	if len(a.SeenFrom) > 0 {
		out.SeenFrom = a.SeenFrom
	}
	if a.Style != "" {
		out.Style = a.Style
	}
	out.Planted = a.Planted
	if len(a.Outline) > 0 {
		out.Outline = nil
		for _, p := range a.Outline {
			out.Outline = append(out.Outline, p)
		}
	}
	if err := errors.Join(errs...); err != nil {
		return out, err
	}
	return out, out.Check()
}

// addTank starts a tank from what was asked for.
func (s *Server) addTank(ctx context.Context, in NewTank) (shelf.Card, error) {
	ways := 0
	for _, set := range []bool{in.Demo != "", in.Blank, in.Questions != nil, in.Plan != ""} {
		if set {
			ways++
		}
	}
	if ways != 1 {
		return shelf.Card{}, problem(http.StatusUnprocessableEntity, "give exactly one of demo, blank, questions and plan", "a tank starts from one thing, and %d were given", ways)
	}
	var text string
	var files []store.File
	var err error
	switch {
	case in.Demo != "":
		text, files, err = demo(in.Demo)
	case in.Plan != "":
		text = in.Plan
		files, err = planFiles(nil, in.Files, nil)
	default:
		answers := plan.Usual(plan.Shapes()[0])
		if in.Name != "" {
			answers.Name = in.Name
		}
		if in.Questions != nil {
			if answers, err = in.Questions.answers(); err != nil {
				return shelf.Card{}, wrong("change the answers that are named", err)
			}
		}
		var src []byte
		if src, err = plan.NewPlan(answers); err != nil {
			return shelf.Card{}, wrong("change the answers that are named", err)
		}
		text = string(src)
	}
	if err != nil {
		return shelf.Card{}, err
	}
	p, err := s.parse(ctx, text, files)
	if err != nil {
		return shelf.Card{}, err
	}
	if p.LightOnly {
		return shelf.Card{}, problem(http.StatusUnprocessableEntity, "add water, bed and plants", "the plan states only tank, optics and lamps")
	}
	t, err := s.shelf.Add(ctx, p, text, files, who(ctx))
	if err != nil {
		return shelf.Card{}, err
	}
	return s.shelf.Card(ctx, t.ID)
}

// parse reads a plan in the ways of the shelf.
func (s *Server) parse(ctx context.Context, text string, files []store.File) (*plan.Plan, error) {
	ways, err := s.shelf.Ways(ctx)
	if err != nil {
		return nil, err
	}
	return shelf.Parse(text, files, ways)
}

// planFiles lays new files over those there are and leaves the dropped ones out.
func planFiles(have []store.File, add []PlanFile, drop []string) ([]store.File, error) {
	by := map[string][]byte{}
	for _, f := range have {
		by[f.Name] = f.Data
	}
	for _, f := range add {
		if err := shelf.GoodName(f.Name); err != nil {
			return nil, wrong("give the file another name", err)
		}
		by[f.Name] = f.Data
	}
	for _, name := range drop {
		delete(by, name)
	}
	return sortedFiles(by), nil
}

// PutDemo puts a demo on the shelf unless it is there already, forecasts it unless that is done, and returns the tank's id. tell hears the
// days done; nil = silent.
func (s *Server) PutDemo(ctx context.Context, id string, tell func(done, total int)) (string, error) {
	text, files, err := demo(id)
	if err != nil {
		return "", err
	}
	p, err := s.parse(ctx, text, files)
	if err != nil {
		return "", err
	}
	tanks, err := s.store.Tanks(ctx)
	if err != nil {
		return "", err
	}
	at := slices.IndexFunc(tanks, func(t store.Tank) bool { return t.Name == p.Name })
	if at < 0 {
		t, err := s.shelf.Add(ctx, p, text, files, "")
		if err != nil {
			return "", err
		}
		tanks, at = []store.Tank{t}, 0
	}
	a, err := s.shelf.Asking(ctx, tanks[at].ID, 0, 0, false)
	if err != nil {
		return "", err
	}
	key, err := s.shelf.Run(ctx, a, tell)
	if err != nil {
		return "", err
	}
	return tanks[at].ID, s.shelf.Prepare(ctx, key)
}
