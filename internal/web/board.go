package web

import (
	"cmp"
	"context"
	"errors"
	"littoral/internal/draft"
	"littoral/internal/jobs"
	"littoral/internal/shelf"
	"net/http"
	"strings"

	"github.com/danielgtaylor/huma/v2"
)

// Board is a plan on the drawing board: its text, laid out for drawing.
type Board struct {
	Version  string        `json:"version" doc:"of the text; also the ETag. Changes are sent with it as If-Match"`
	Revision int           `json:"revision" doc:"of the plan that holds the text"`
	Text     string        `json:"text" doc:"the plan file"`
	Problems []PlanProblem `json:"problems" doc:"warnings of the plan; a kept plan has no errors"`
	Undo     BoardStep     `json:"undo"`
	Redo     BoardStep     `json:"redo"`
	draft.Board
}

// BoardStep is a step that can be taken back or done again.
type BoardStep struct {
	Can   bool   `json:"can"`
	Label string `json:"label" doc:"what it was; empty when there is none"`
}

// BoardEdits are changes that are made together, as one step.
type BoardEdits struct {
	Label string       `json:"label" maxLength:"120" doc:"what is done, for the names of undo and redo"`
	Edits []draft.Edit `json:"edits" maxItems:"5000"`
}

// BoardText is a text typed beside the drawing.
type BoardText struct {
	Label string `json:"label,omitempty" maxLength:"120" doc:"empty = text edited"`
	Text  string `json:"text" maxLength:"4194304"`
}

// BoardLook asks what the engine says of changes that are not kept.
type BoardLook struct {
	Edits []draft.Edit `json:"edits,omitempty" maxItems:"5000" doc:"as they would be sent; may be none"`
	IDs   []string     `json:"ids,omitempty" maxItems:"5000" doc:"items to look at; none = those that the edits change"`
}

// BoardNotes is what the engine says.
type BoardNotes struct {
	Notes []draft.BoardNote `json:"notes"`
}

// BoardMesh is the body of a piece brought along by a studio.
type BoardMesh struct {
	Name string `json:"name" maxLength:"100" doc:"of the file, ending in .obj, .stl, .ply or .glb"`
	Data []byte `json:"data" doc:"its bytes, base64"`
}

// BoardMeshRead says how a mesh was read. Sides are in the file's own unit, which files do not tell.
type BoardMeshRead struct {
	Version string     `json:"version" doc:"of the plan, now with the file beside it"`
	Name    string     `json:"name" doc:"as the plan names it: the value of shape/mesh"`
	Sides   [3]float64 `json:"sides" doc:"along x, y and z, in the file's unit. A length measured on it as m for what is really r cm gives size = longest side × r / m"`
	Faces   int        `json:"faces"`
	Closed  bool       `json:"closed" doc:"as read; openings are closed when the tank is built"`
	Notes   []string   `json:"notes" say:"text" doc:"what was mended or could not be used, in whole sentences"`
}

// BoardCopy asks for items of another tank.
type BoardCopy struct {
	From  string     `json:"from" minLength:"1" maxLength:"64" doc:"id of the other tank"`
	IDs   []string   `json:"ids" minItems:"1" maxItems:"2000" doc:"of its hardscape and plants"`
	ByCM  [2]float64 `json:"by_cm" doc:"how far they are moved, along x and y"`
	Label string     `json:"label,omitempty" maxLength:"120"`
}

// BoardGhost is the planting as it has grown on a day of the last forecast.
type BoardGhost struct {
	Key      string             `json:"key" doc:"of the forecast"`
	Day      int                `json:"day" doc:"the day that is shown, the nearest of those kept"`
	Days     []int              `json:"days" doc:"all days that can be shown"`
	Current  bool               `json:"current" doc:"the forecast is of the text as it stands"`
	Plants   []shelf.GhostPlant `json:"plants"`
	Revision int                `json:"revision" doc:"of the plan that was forecast"`
}

// BoardBodies are the surfaces of the hardscape, for a view in three dimensions.
type BoardBodies struct {
	Version string      `json:"version"`
	Bodies  []BoardBody `json:"bodies"`
}

// BoardBody is a closed surface where its piece stands.
type BoardBody struct {
	ID       string    `json:"id"`
	Vertices []float64 `json:"vertices_cm" doc:"x, y, z of each corner in turn"`
	Faces    []int32   `json:"faces" doc:"three corners of each face in turn, counter-clockwise seen from outside"`
}

// IfMatch names a tank and is the version of the text that a change was made on.
type IfMatch struct {
	TankID
	Match string `header:"If-Match" required:"true" maxLength:"80" doc:"version of the text that the change was made on"`
}

// version is the version without the marks of a header.
func (m *IfMatch) version() string { return strings.Trim(strings.TrimPrefix(m.Match, "W/"), `"`) }

// boardOut is the board with its version.
type boardOut struct {
	ETag  string `header:"ETag"`
	Cache string `header:"Cache-Control"`
	Body  Board
}

func (s *Server) boardRoutes() {
	const at = "/api/tanks/{tank}/board"
	add(s, roleCrew, with(get("getBoard", at, "The plan on the drawing board", tagBoard), func(op *huma.Operation) {
		op.Description = "The plan's text laid out for drawing. ETag is the version of the text."
	}), func(ctx context.Context, in *TankID) (*boardOut, error) {
		return answerBoard(s.shelf.Board(ctx, in.Tank))
	})
	add(s, roleDesigner, with(post("editBoard", at+"/edits", "Change the plan", tagBoard), func(op *huma.Operation) {
		op.Description = "All edits are made as one step, or none. 412 when the text has changed since the version named; 422 when it would no longer be a plan."
	}), func(ctx context.Context, in *struct {
		IfMatch
		Body BoardEdits
	},
	) (*boardOut, error) {
		s.stopIdle(ctx, in.Tank)
		return answerBoard(s.shelf.Edit(ctx, in.Tank, in.version(), who(ctx), cmp.Or(in.Body.Label, "edited"), in.Body.Edits))
	})
	add(s, roleDesigner, with(post("putBoardText", at+"/text", "Write the plan's text", tagBoard), func(op *huma.Operation) {
		op.Method = http.MethodPut
		op.MaxBodyBytes = mostPlanBytes
	}), func(ctx context.Context, in *struct {
		IfMatch
		Body BoardText
	},
	) (*boardOut, error) {
		s.stopIdle(ctx, in.Tank)
		return answerBoard(s.shelf.Write(ctx, in.Tank, in.version(), who(ctx), cmp.Or(in.Body.Label, "text edited"), in.Body.Text))
	})
	add(s, roleDesigner, post("undoBoard", at+"/undo", "Take the last step back", tagBoard), func(ctx context.Context, in *IfMatch) (*boardOut, error) {
		s.stopIdle(ctx, in.Tank)
		return answerBoard(s.shelf.Undo(ctx, in.Tank, in.version(), who(ctx)))
	})
	add(s, roleDesigner, post("redoBoard", at+"/redo", "Do again what was taken back last", tagBoard), func(ctx context.Context, in *IfMatch) (*boardOut, error) {
		s.stopIdle(ctx, in.Tank)
		return answerBoard(s.shelf.Redo(ctx, in.Tank, in.version(), who(ctx)))
	})
	add(s, roleCrew, with(post("lookAtBoard", at+"/look", "What the engine says of changes that are not kept", tagBoard), func(op *huma.Operation) {
		op.Description = "For asking while something is dragged. Nothing is stored."
	}), func(ctx context.Context, in *struct {
		TankID
		Body BoardLook
	},
	) (*body[BoardNotes], error) {
		notes, err := s.shelf.Look(ctx, in.Tank, in.Body.Edits, in.Body.IDs)
		return &body[BoardNotes]{BoardNotes{notes}}, err
	})
	add(s, roleCrew, get("getBoardGhost", at+"/ghost", "The planting as it has grown on a day of the last forecast", tagBoard), func(ctx context.Context, in *struct {
		TankID
		Day int `query:"day" minimum:"0" maximum:"7305" doc:"day after planting"`
	},
	) (*body[BoardGhost], error) {
		g, current, err := s.shelf.Ghost(ctx, in.Tank)
		if errors.Is(err, shelf.ErrNoGhost) || err == nil && len(g.Days) == 0 {
			return nil, problem(http.StatusNotFound, "forecast the tank, and its plants will stand over the plan as they grow", "%v", shelf.ErrNoGhost)
		}
		if err != nil {
			return nil, err
		}
		out := BoardGhost{Key: g.Key, Revision: g.Revision, Current: current}
		best := 0
		for i := range g.Days {
			out.Days = append(out.Days, g.Days[i].Day)
			if abs(g.Days[i].Day-in.Day) < abs(g.Days[best].Day-in.Day) {
				best = i
			}
		}
		out.Day, out.Plants = g.Days[best].Day, g.Days[best].Plants
		return &body[BoardGhost]{out}, nil
	})
	add(s, roleCrew, get("getBoardBodies", at+"/bodies", "The surfaces of stones and wood", tagBoard), func(ctx context.Context, in *TankID) (*body[BoardBodies], error) {
		version, bodies, err := s.shelf.Bodies(ctx, in.Tank)
		out := BoardBodies{Version: version}
		for _, b := range bodies {
			out.Bodies = append(out.Bodies, BoardBody(b))
		}
		return &body[BoardBodies]{out}, err
	})
	add(s, roleDesigner, with(post("addBoardMesh", at+"/meshes", "Bring a stone or root of one's own", tagBoard), func(op *huma.Operation) {
		op.Description = "Puts an OBJ, STL, PLY or GLB file beside the plan. An add edit then uses it as shape/mesh."
		op.MaxBodyBytes = mostPlanBytes
	}), func(ctx context.Context, in *struct {
		IfMatch
		Body BoardMesh
	},
	) (*body[BoardMeshRead], error) {
		s.stopIdle(ctx, in.Tank)
		b, m, err := s.shelf.AddMesh(ctx, in.Tank, in.version(), who(ctx), in.Body.Name, in.Body.Data)
		if err != nil {
			return nil, err
		}
		return &body[BoardMeshRead]{BoardMeshRead{Version: b.Version, Name: m.Name, Sides: m.Sides, Faces: m.Faces, Closed: m.Closed, Notes: m.Notes}}, nil
	})
	add(s, roleDesigner, with(post("copyToBoard", at+"/copy", "Copy items of another tank", tagBoard), func(op *huma.Operation) {
		op.Description = "With the meshes they need. Ids that are taken here are changed."
	}), func(ctx context.Context, in *struct {
		IfMatch
		Body BoardCopy
	},
	) (*boardOut, error) {
		s.stopIdle(ctx, in.Tank)
		b := &in.Body
		return answerBoard(s.shelf.Copy(ctx, in.Tank, in.version(), who(ctx), cmp.Or(b.Label, "copied from another tank"), b.From, b.IDs, b.ByCM))
	})
	add(s, roleDesigner, with(post("forecastBoard", at+"/forecast", "Forecast the tank until the plan is changed again", tagBoard), func(op *huma.Operation) {
		op.Description = "For times when nobody draws: the next change on the board stops it."
	}), func(ctx context.Context, in *TankID) (*body[Started], error) {
		st, err := s.startForecast(ctx, in.Tank, ForecastAsk{})
		if err == nil && st.Job != 0 {
			s.idle.Store(in.Tank, st.Job)
		}
		return &body[Started]{st}, err
	})
}

// stopIdle stops the forecast that was begun while nobody drew.
func (s *Server) stopIdle(ctx context.Context, tank string) {
	if job, ok := s.idle.LoadAndDelete(tank); ok {
		if err := s.queue.Cancel(ctx, job.(int64)); err != nil && !errors.Is(err, jobs.ErrUnknown) {
			s.log("error: %v", err)
		}
	}
}

func abs(n int) int { return max(n, -n) }

func answerBoard(b *shelf.Board, err error) (*boardOut, error) {
	if err != nil {
		return nil, err
	}
	return &boardOut{ETag: `"` + b.Version + `"`, Cache: asksNow, Body: Board{
		Version: b.Version, Revision: b.Revision, Text: b.Text, Problems: planProblems(b.Warnings),
		Undo: BoardStep{b.Undo != "", b.Undo}, Redo: BoardStep{b.Redo != "", b.Redo}, Board: b.Drawn,
	}}, nil
}
