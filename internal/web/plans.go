package web

import (
	"cmp"
	"context"
	"errors"
	"littoral/internal/draft"
	"littoral/internal/plan"
	"littoral/internal/shelf"
	"littoral/internal/store"
	"net/http"
	"slices"
	"time"

	"github.com/danielgtaylor/huma/v2"
)

// PlanText is a kept plan.
type PlanText struct {
	Revision int           `json:"revision"`
	Variant  string        `json:"variant" doc:"empty = the plan in force"`
	Name     string        `json:"name" doc:"what people call the revision; may be empty"`
	Text     string        `json:"text" doc:"the plan file"`
	Files    []FileInfo    `json:"files" doc:"what lies beside it"`
	Problems []PlanProblem `json:"problems" doc:"warnings; a kept plan has no errors"`
}

// FileInfo is a file beside a plan.
type FileInfo struct {
	Name  string `json:"name"`
	Bytes int    `json:"bytes"`
}

// SavePlan saves a plan over a revision.
type SavePlan struct {
	Base    int        `json:"base" minimum:"1" doc:"revision that was opened; when it is no longer the last of its variant, nothing is saved and the answer is 409"`
	Variant string     `json:"variant,omitempty" maxLength:"80" doc:"name of a variant, new or old; empty = the plan in force"`
	Name    string     `json:"name,omitempty" maxLength:"200" doc:"a name for the revision"`
	Text    string     `json:"text" maxLength:"4194304"`
	Files   []PlanFile `json:"files,omitempty" maxItems:"64" doc:"files that are new or changed; others stay"`
	Drop    []string   `json:"drop,omitempty" maxItems:"64" doc:"names of files that are left out"`
}

// RevisionInfo is a line of a plan's history.
type RevisionInfo struct {
	Number  int       `json:"number"`
	Variant string    `json:"variant" doc:"empty = the plan in force"`
	Base    int       `json:"base" doc:"revision it was made from; 0 for the first"`
	Name    string    `json:"name"`
	Author  string    `json:"author"`
	Made    time.Time `json:"made"`
}

// History is all revisions, latest first.
type History struct {
	Current   int            `json:"current" doc:"number of the plan in force"`
	Revisions []RevisionInfo `json:"revisions"`
}

// CheckPlan is a text to be checked.
type CheckPlan struct {
	Text     string     `json:"text" maxLength:"4194304"`
	Tank     string     `json:"tank,omitempty" maxLength:"64" doc:"tank whose files the plan may name"`
	Revision int        `json:"revision,omitempty" doc:"revision whose files those are; 0 = the plan in force"`
	Files    []PlanFile `json:"files,omitempty" maxItems:"64"`
}

// Checked is what is wrong with a text.
type Checked struct {
	Good     bool          `json:"good" doc:"the plan can be used; there may be warnings"`
	Name     string        `json:"name"`
	Planted  string        `json:"planted"`
	Problems []PlanProblem `json:"problems" doc:"in the order of the file"`
}

// RevisionPath names a revision in addresses.
type RevisionPath struct {
	TankID
	Number int `path:"number" minimum:"1"`
}

func (s *Server) planRoutes() {
	type which struct {
		TankID
		Revision int `query:"revision" minimum:"0" doc:"0 = the plan in force"`
	}
	add(s, roleCrew, get("getPlan", "/api/tanks/{tank}/plan", "The plan of a tank", tagPlan), func(ctx context.Context, in *which) (*body[PlanText], error) {
		t, err := s.planText(ctx, in.Tank, in.Revision)
		return &body[PlanText]{t}, err
	})
	add(s, roleDesigner, with(post("savePlan", "/api/tanks/{tank}/plan", "Save a plan as a new revision", tagPlan), func(op *huma.Operation) {
		op.Method = http.MethodPut
		op.MaxBodyBytes = mostPlanBytes
	}), func(ctx context.Context, in *struct {
		TankID
		Body SavePlan
	},
	) (*body[PlanText], error) {
		number, err := s.savePlan(ctx, in.Tank, in.Body)
		if err != nil {
			return nil, err
		}
		t, err := s.planText(ctx, in.Tank, number)
		return &body[PlanText]{t}, err
	})
	add(s, roleCrew, get("listRevisions", "/api/tanks/{tank}/revisions", "The history of a plan", tagPlan), func(ctx context.Context, in *TankID) (*body[History], error) {
		t, err := s.store.Tank(ctx, in.Tank)
		if err != nil {
			return nil, err
		}
		list, err := s.store.Revisions(ctx, in.Tank)
		h := History{Current: t.Current, Revisions: []RevisionInfo{}}
		for _, r := range list {
			h.Revisions = append(h.Revisions, RevisionInfo{Number: r.Number, Variant: r.Variant, Base: r.Base, Name: r.Name, Author: r.Author, Made: r.Made})
		}
		return &body[History]{h}, err
	})
	add(s, roleDesigner, with(post("nameRevision", "/api/tanks/{tank}/revisions/{number}", "Name a revision", tagPlan), func(op *huma.Operation) {
		op.Method = http.MethodPatch
		op.DefaultStatus = http.StatusNoContent
	}), func(ctx context.Context, in *struct {
		RevisionPath
		Body struct {
			Name string `json:"name" maxLength:"200"`
		}
	},
	) (*none, error) {
		return nil, s.store.NameRevision(ctx, in.Tank, in.Number, in.Body.Name)
	})
	add(s, roleDesigner, with(post("checkPlan", "/api/check", "Say everything that is wrong with a plan", tagPlan), func(op *huma.Operation) {
		op.MaxBodyBytes = mostPlanBytes
	}), func(ctx context.Context, in *struct{ Body CheckPlan }) (*body[Checked], error) {
		c, err := s.check(ctx, in.Body)
		return &body[Checked]{c}, err
	})
	add(s, roleCrew, with(get("getPlanFile", "/api/tanks/{tank}/revisions/{number}/file", "A file beside a plan", tagPlan), func(op *huma.Operation) {
		op.Responses = binary("application/octet-stream")
	}), func(ctx context.Context, in *struct {
		RevisionPath
		Name string `query:"name" required:"true" maxLength:"200"`
	},
	) (*data, error) {
		r, err := s.revision(ctx, in.Tank, in.Number)
		if err != nil {
			return nil, err
		}
		if in.Name == shelf.PlanFile {
			return &data{Type: "application/yaml", Cache: forever, Name: "attachment; filename=plan.yaml", Body: []byte(r.Plan)}, nil
		}
		for _, f := range r.Files {
			if f.Name == in.Name {
				return &data{Type: "application/octet-stream", Cache: forever, Name: "attachment", Body: f.Data}, nil
			}
		}
		return nil, store.ErrNotFound
	})
}

// revision reads a revision; 0 is the one in force.
func (s *Server) revision(ctx context.Context, tank string, number int) (store.Revision, error) {
	if number == 0 {
		t, err := s.store.Tank(ctx, tank)
		if err != nil {
			return store.Revision{}, err
		}
		number = t.Current
	}
	if err := s.store.Seal(ctx, tank); err != nil { // what is read by its number stays as it is
		return store.Revision{}, err
	}
	return s.store.Revision(ctx, tank, number)
}

func (s *Server) planText(ctx context.Context, tank string, number int) (PlanText, error) {
	r, err := s.revision(ctx, tank, number)
	if err != nil {
		return PlanText{}, err
	}
	out := PlanText{Revision: r.Number, Variant: r.Variant, Name: r.Name, Text: r.Plan, Files: []FileInfo{}, Problems: []PlanProblem{}}
	for _, f := range r.Files {
		out.Files = append(out.Files, FileInfo{f.Name, len(f.Data)})
	}
	p, err := s.parse(ctx, r.Plan, r.Files)
	var bad plan.Problems
	switch {
	case errors.As(err, &bad): // an older program took it
		out.Problems = planProblems(bad)
	case err != nil:
		return PlanText{}, err
	default:
		out.Problems = planProblems(p.Warnings)
	}
	return out, nil
}

func (s *Server) savePlan(ctx context.Context, tank string, in SavePlan) (int, error) {
	base, err := s.store.Revision(ctx, tank, in.Base)
	if err != nil {
		return 0, err
	}
	files, err := planFiles(base.Files, in.Files, in.Drop)
	if err != nil {
		return 0, err
	}
	p, err := s.parse(ctx, in.Text, files)
	if err != nil {
		return 0, err
	}
	step := draft.Between(base.Plan, in.Text)
	r, err := s.store.AddRevision(ctx, store.Revision{
		Tank: tank, Variant: in.Variant, Base: in.Base, Name: in.Name, Plan: in.Text, Sum: shelf.Sum(in.Text, files), Author: who(ctx), Made: s.now(), Files: files,
		Step: store.Step{Label: cmp.Or(in.Name, "plan saved"), At: step.At, Old: step.Old, New: step.New},
	}, p.Name, p.Planted)
	return r.Number, err
}

func (s *Server) check(ctx context.Context, in CheckPlan) (Checked, error) {
	var have []store.File
	if in.Tank != "" {
		r, err := s.revision(ctx, in.Tank, in.Revision)
		if err != nil {
			return Checked{}, err
		}
		have = r.Files
	}
	files, err := planFiles(have, in.Files, nil)
	if err != nil {
		return Checked{}, err
	}
	p, err := s.parse(ctx, in.Text, files)
	var bad plan.Problems
	if errors.As(err, &bad) {
		return Checked{Problems: planProblems(bad)}, nil
	}
	if err != nil {
		return Checked{}, err
	}
	return Checked{Good: true, Name: p.Name, Planted: p.Planted, Problems: planProblems(p.Warnings)}, nil
}

func sortedFiles(by map[string][]byte) []store.File {
	var names []string
	for name := range by {
		names = append(names, name)
	}
	slices.Sort(names)
	out := make([]store.File, 0, len(names))
	for _, name := range names {
		out = append(out, store.File{Name: name, Data: by[name]})
	}
	return out
}
