package shelf

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"littoral/internal/draft"
	"littoral/internal/forecast"
	"littoral/internal/mesh"
	"littoral/internal/picture"
	"littoral/internal/plan"
	"littoral/internal/store"
	"path"
	"slices"
	"strconv"
	"strings"
)

// Look says what the engine has to say of edits that are not kept, for the items of the ids, or those that the edits change. Without edits it is of the plan
// as it stands, and without ids too of all of it. What is wrong with a place is a note like others, so that a hand that drags is never stopped.
func (s *Shelf) Look(ctx context.Context, tank string, edits []draft.Edit, ids []string) ([]draft.BoardNote, error) {
	r, err := s.Store.InForce(ctx, tank)
	if err != nil {
		return nil, err
	}
	d, err := s.drawn(ctx, &r)
	if err != nil {
		return nil, err
	}
	if len(edits) == 0 {
		if len(ids) == 0 {
			return d.draft.Look(nil, d.lit(true)), nil
		}
		return d.draft.Look(ids, d.lit(false)), nil
	}
	if d.untouchable != nil {
		return nil, d.untouchable
	}
	after, changed, err := d.text.Apply(edits)
	if err != nil {
		return nil, err
	}
	if len(ids) == 0 {
		ids = changed
	}
	var gone []string
	whole := false // only reading all of the text tells
	for i := range edits {
		whole = whole || edits[i].List == ""
		if edits[i].Op == "remove" {
			gone = append(gone, edits[i].ID)
		}
	}
	var bad plan.Problems
	items, ok := after.Changed(changed)
	if ok && !whole {
		then, err := d.draft.With(items, gone)
		switch {
		case err == nil:
			return then.Look(ids, d.lit(false)), nil
		case !errors.As(err, &bad):
			return []draft.BoardNote{wrongNote(changed, err.Error(), "")}, nil
		}
		return wrongNotes(changed, bad), nil
	}
	p, err := parse(after.String(), d.files, d.ways, d.draft.Plan)
	if errors.As(err, &bad) {
		return wrongNotes(changed, bad), nil
	}
	if err != nil {
		return nil, err
	}
	then, err := draft.Open(p, boardSeed, d.draft)
	if err != nil {
		return []draft.BoardNote{wrongNote(changed, err.Error(), "")}, nil
	}
	if len(ids) == 0 {
		return then.Look(nil, d.lit(false)), nil
	}
	return then.Look(ids, d.lit(false)), nil
}

// wrongNotes are what would keep a plan from being one, as notes.
func wrongNotes(ids []string, bad plan.Problems) []draft.BoardNote {
	var out []draft.BoardNote
	for i := range bad[:min(len(bad), 3)] {
		out = append(out, wrongNote(ids, bad[i].Message, bad[i].Cure))
	}
	return out
}

func wrongNote(ids []string, text, cure string) draft.BoardNote {
	whole := func(s string) string {
		if s == "" || strings.HasSuffix(s, ".") {
			return s
		}
		return strings.ToUpper(s[:1]) + s[1:] + "."
	}
	return draft.BoardNote{ID: draft.KindBody + ":" + strings.Join(ids, "+") + ":" + text, IDs: ids, Kind: draft.KindBody, Severity: draft.Warning, Text: whole(text), Cure: whole(cure)}
}

// Body is the surface of a piece where it stands: corners in cm, and three of them for each face, counter-clockwise seen from outside.
type Body struct {
	ID       string
	Vertices []float64
	Faces    []int32
}

// mostFaces bounds a body that is sent to a page; finer scans are simplified.
const mostFaces = 12_000

// Bodies returns the surfaces of a tank's hardscape and the version of the plan that they are of.
func (s *Shelf) Bodies(ctx context.Context, tank string) (string, []Body, error) {
	r, err := s.Store.InForce(ctx, tank)
	if err != nil {
		return "", nil, err
	}
	d, err := s.drawn(ctx, &r)
	if err != nil {
		return "", nil, err
	}
	var out []Body
	for i := range d.draft.Model.Solids {
		sol := &d.draft.Model.Solids[i]
		m := sol.Body
		if len(m.Faces) > mostFaces {
			m, _ = m.Simplify(mostFaces)
		}
		b := Body{ID: sol.ID, Vertices: make([]float64, 0, 3*len(m.Vertices)), Faces: make([]int32, 0, 3*len(m.Faces))}
		for _, v := range m.Vertices {
			b.Vertices = append(b.Vertices, cm(v[0]), cm(v[1]), cm(v[2]))
		}
		for _, f := range m.Faces {
			b.Faces = append(b.Faces, f[0], f[1], f[2])
		}
		out = append(out, b)
	}
	return d.version, out, nil
}

// MeshRead says how a mesh was read.
type MeshRead struct {
	Name   string     // as the plan names it
	Sides  [3]float64 // along x, y and z, in the file's unit
	Faces  int
	Closed bool
	Notes  []string
}

// mostMesh bounds a mesh that is brought along. Scans of 150,000 faces take 5 to 20 MB; finer ones are simplified anyway.
const mostMesh = 32 << 20

// meshKinds are the files that a mesh may be.
var meshKinds = []string{".obj", ".stl", ".ply", ".glb"}

// AddMesh puts a mesh beside the plan in force of a tank, under meshes/, with a name of its own. The plan's text stays as it is. A draft.Refusal says what
// is wrong with the file.
func (s *Shelf) AddMesh(ctx context.Context, tank, on, author, name string, data []byte) (*Board, MeshRead, error) {
	var out MeshRead
	ext := strings.ToLower(path.Ext(name))
	if !slices.Contains(meshKinds, ext) {
		return nil, out, &draft.Refusal{Message: fmt.Sprintf("%q is no mesh that is read", path.Base(name)), Cure: "bring an OBJ, STL, PLY or GLB file"}
	}
	if len(data) > mostMesh {
		return nil, out, &draft.Refusal{Message: fmt.Sprintf("the file has %d MB, more than the %d MB that are taken", len(data)>>20, mostMesh>>20), Cure: "export it with fewer faces, or as a binary STL, PLY or GLB file"}
	}
	m, lost, err := mesh.ReadLooks(name, data, nil)
	if err != nil {
		return nil, out, &draft.Refusal{Message: "the mesh cannot be read: " + err.Error(), Cure: "export it again from the program that made it"}
	}
	report := m.Inspect()
	lo, hi := m.Bounds()
	out = MeshRead{Faces: len(m.Faces), Closed: report.OpenEdges == 0, Notes: lost}
	for k := range 3 {
		out.Sides[k] = hi[k] - lo[k]
	}
	if !(m.LongestSide() > 0) {
		return nil, out, &draft.Refusal{Message: "the mesh has no size", Cure: "export it again"}
	}
	if report.OpenEdges > 0 {
		if _, fills, err := m.Close(); err != nil {
			return nil, out, &draft.Refusal{Message: "the mesh is open and cannot be closed: " + err.Error(), Cure: "close it in a mesh editor"}
		} else if len(fills) > 0 {
			out.Notes = append(out.Notes, fmt.Sprintf("The mesh is open at %d places; they are closed when the tank is built.", len(fills)))
		}
	}
	b, err := s.change(ctx, tank, on, author, "", func(d *drawn, r *store.Revision) (string, []store.File, store.Step, error) {
		files, kept := beside(d.files, "meshes/"+stem(name)+ext, data)
		out.Name = kept
		return r.Plan, files, store.Step{}, nil
	})
	return b, out, err
}

// stem is a file's name without folders and ending, in plain letters.
func stem(name string) string {
	s := strings.ToLower(strings.TrimSuffix(path.Base(strings.ReplaceAll(name, "\\", "/")), path.Ext(name)))
	s = strings.Trim(strings.Map(func(r rune) rune {
		if r >= 'a' && r <= 'z' || r >= '0' && r <= '9' {
			return r
		}
		return '-'
	}, s), "-")
	if s = s[:min(len(s), 60)]; s == "" {
		return "mesh"
	}
	return s
}

// beside adds a file to those beside a plan, under a name that is free, unless the same bytes are there already. It returns the name.
func beside(files []store.File, name string, data []byte) ([]store.File, string) {
	ext := path.Ext(name)
	base := strings.TrimSuffix(name, ext)
	for n := 2; ; n++ {
		i := slices.IndexFunc(files, func(f store.File) bool { return f.Name == name })
		if i < 0 {
			break
		}
		if bytes.Equal(files[i].Data, data) {
			return files, name
		}
		name = base + "-" + strconv.Itoa(n) + ext
	}
	out := append(slices.Clone(files), store.File{Name: name, Data: data})
	slices.SortFunc(out, func(a, b store.File) int { return strings.Compare(a.Name, b.Name) })
	return out, name
}

// Copy puts pieces and plantings of another tank into a tank's plan, moved along x and y, with the meshes that they need, as one step.
func (s *Shelf) Copy(ctx context.Context, tank, on, author, label, other string, ids []string, by [2]float64) (*Board, error) {
	r, err := s.Store.InForce(ctx, other)
	if err != nil {
		return nil, err
	}
	from, err := s.drawn(ctx, &r)
	if err != nil {
		return nil, err
	}
	if from.untouchable != nil {
		return nil, from.untouchable
	}
	return s.change(ctx, tank, on, author, label, func(d *drawn, _ *store.Revision) (string, []store.File, store.Step, error) {
		if d.untouchable != nil {
			return "", nil, store.Step{}, d.untouchable
		}
		files, names := d.files, map[string]string{}
		for _, name := range from.draft.Meshes(ids) {
			i := slices.IndexFunc(from.files, func(f store.File) bool { return f.Name == name })
			if i < 0 {
				continue
			}
			files, names[name] = beside(files, name, from.files[i].Data)
			looks := strings.TrimSuffix(name, path.Ext(name)) + ".mtl" // colours of an OBJ file
			if i = slices.IndexFunc(from.files, func(f store.File) bool { return f.Name == looks }); i >= 0 && names[name] == name {
				files, _ = beside(files, looks, from.files[i].Data)
			}
		}
		edits, _, err := d.text.Copy(from.text, ids, by, func(mesh string) string {
			if kept := names[mesh]; kept != "" {
				return kept
			}
			return mesh
		})
		if err != nil {
			return "", nil, store.Step{}, err
		}
		after, _, err := d.text.Apply(edits)
		if err != nil {
			return "", nil, store.Step{}, err
		}
		if len(files) == len(d.files) {
			files = nil
		}
		return after.String(), files, store.Step{}, nil
	})
}

// Ghost is the planting of a tank as it has grown on a day of its last forecast.
type Ghost struct {
	Key      string       `json:"key"`
	Revision int          `json:"revision"`
	Sum      string       `json:"sum"` // of the plan that was forecast
	Days     []GhostOnDay `json:"days"`
}

// GhostOnDay is the planting on a day.
type GhostOnDay struct {
	Day    int          `json:"day"`
	Plants []GhostPlant `json:"plants"`
}

// GhostPlant is one grown plant. Lengths are cm.
type GhostPlant struct {
	Planting string     `json:"planting" doc:"id of the planting"`
	AtCM     [3]float64 `json:"at_cm" doc:"its crown"`
	HeightCM float64    `json:"height_cm"`
	SpreadCM float64    `json:"spread_cm"`
	Colour   string     `json:"colour" doc:"#RRGGBB"`
	Form     string     `json:"form"`
	Together float64    `json:"together" doc:"plants that stand together and are no longer told apart"`
}

// ghostDays are the days that are kept for the drawing board: those that people plan for, and some between.
var ghostDays = []int{1, 14, 28, 56, 84, 120, 180, 270, 365, 540, 730, 910, 1095}

const partGhost = "ghost"

// ErrNoGhost says that there is no grown planting to show.
var ErrNoGhost = errors.New("the tank has no forecast that can be laid over the plan")

func ghostOf(f *forecast.Forecast) []GhostOnDay {
	var out []GhostOnDay
	for _, day := range ghostDays {
		snap := picture.Nearest(f, day)
		if snap == nil || day > f.Length+7 || len(out) > 0 && out[len(out)-1].Day == snap.Day {
			continue
		}
		g := GhostOnDay{Day: snap.Day}
		for i := range snap.Plants {
			p := &snap.Plants[i]
			g.Plants = append(g.Plants, GhostPlant{
				Planting: p.Planting, AtCM: [3]float64{tenth(100 * p.X), tenth(100 * p.Y), tenth(100 * p.Z)}, HeightCM: tenth(100 * p.HeightM), SpreadCM: tenth(100 * p.SpreadM),
				Colour: p.Species.ColourHex, Form: string(p.Species.Form), Together: p.Count,
			})
		}
		out = append(out, g)
	}
	return out
}

// Ghost returns the grown planting of a tank's last forecast, and whether that is of the plan as it stands.
func (s *Shelf) Ghost(ctx context.Context, tank string) (g Ghost, current bool, err error) {
	t, err := s.Store.Tank(ctx, tank)
	if err != nil {
		return g, false, err
	}
	if t.Forecast == "" {
		return g, false, ErrNoGhost
	}
	if err := s.part(ctx, t.Forecast, partGhost, &g); err != nil {
		if errors.Is(err, store.ErrNotFound) {
			return g, false, ErrNoGhost
		}
		return g, false, err
	}
	r, err := s.Store.InForce(ctx, tank)
	return g, r.Sum == g.Sum, err
}
