package web

import (
	"cmp"
	"context"
	"littoral/internal/draft"
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
	Edits []draft.Edit `json:"edits" maxItems:"5000" doc:"as they would be sent; may be none"`
	IDs   []string     `json:"ids" maxItems:"5000" doc:"items to look at; none = those that the edits change"`
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
	Name   string     `json:"name" doc:"as the plan names it: the value of shape/mesh"`
	Sides  [3]float64 `json:"sides" doc:"along x, y and z, in the file's unit. A length measured on it as m for what is really r cm gives size = longest side × r / m"`
	Faces  int        `json:"faces"`
	Closed bool       `json:"closed" doc:"as read; openings are closed when the tank is built"`
	Notes  []string   `json:"notes" say:"text" doc:"what was mended or could not be used, in whole sentences"`
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
	Key      string       `json:"key" doc:"of the forecast"`
	Day      int          `json:"day" doc:"the day that is shown, the nearest of those kept"`
	Days     []int        `json:"days" doc:"all days that can be shown"`
	Current  bool         `json:"current" doc:"the forecast is of the text as it stands"`
	Plants   []GhostPlant `json:"plants"`
	Revision int          `json:"revision" doc:"of the plan that was forecast"`
}

// GhostPlant is one grown plant.
type GhostPlant struct {
	Planting string     `json:"planting" doc:"id of the planting"`
	AtCM     [3]float64 `json:"at_cm" doc:"its crown"`
	HeightCM float64    `json:"height_cm"`
	SpreadCM float64    `json:"spread_cm"`
	Colour   string     `json:"colour" doc:"#RRGGBB"`
	Form     string     `json:"form"`
	Together float64    `json:"together" doc:"plants that stand together and are no longer told apart"`
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
		return answerBoard(s.shelf.Write(ctx, in.Tank, in.version(), who(ctx), cmp.Or(in.Body.Label, "text edited"), in.Body.Text))
	})
	add(s, roleDesigner, post("undoBoard", at+"/undo", "Take the last step back", tagBoard), func(ctx context.Context, in *IfMatch) (*boardOut, error) {
		return answerBoard(s.shelf.Undo(ctx, in.Tank, in.version(), who(ctx)))
	})
	add(s, roleDesigner, post("redoBoard", at+"/redo", "Do again what was taken back last", tagBoard), func(ctx context.Context, in *IfMatch) (*boardOut, error) {
		return answerBoard(s.shelf.Redo(ctx, in.Tank, in.version(), who(ctx)))
	})
	add(s, roleCrew, with(post("lookAtBoard", at+"/look", "What the engine says of changes that are not kept", tagBoard), func(op *huma.Operation) {
		op.Description = "For asking while something is dragged. Nothing is stored."
	}), func(_ context.Context, _ *struct {
		TankID
		Body BoardLook
	},
	) (*body[BoardNotes], error) {
		return nil, notYet()
	})
	add(s, roleCrew, get("getBoardGhost", at+"/ghost", "The planting as it has grown on a day of the last forecast", tagBoard), func(_ context.Context, _ *struct {
		TankID
		Day int `query:"day" minimum:"0" maximum:"7305" doc:"day after planting"`
	},
	) (*body[BoardGhost], error) {
		return nil, notYet()
	})
	add(s, roleCrew, get("getBoardBodies", at+"/bodies", "The surfaces of stones and wood", tagBoard), func(_ context.Context, _ *TankID) (*body[BoardBodies], error) {
		return nil, notYet()
	})
	add(s, roleDesigner, with(post("addBoardMesh", at+"/meshes", "Bring a stone or root of one's own", tagBoard), func(op *huma.Operation) {
		op.Description = "Puts an OBJ, STL, PLY or GLB file beside the plan. An add edit then uses it as shape/mesh."
		op.MaxBodyBytes = mostPlanBytes
	}), func(_ context.Context, _ *struct {
		IfMatch
		Body BoardMesh
	},
	) (*body[BoardMeshRead], error) {
		return nil, notYet()
	})
	add(s, roleDesigner, with(post("copyToBoard", at+"/copy", "Copy items of another tank", tagBoard), func(op *huma.Operation) {
		op.Description = "With the meshes they need. Ids that are taken here are changed."
	}), func(_ context.Context, _ *struct {
		IfMatch
		Body BoardCopy
	},
	) (*boardOut, error) {
		return nil, notYet()
	})
	add(s, roleDesigner, with(post("forecastBoard", at+"/forecast", "Forecast the tank until the plan is changed again", tagBoard), func(op *huma.Operation) {
		op.Description = "For times when nobody draws: the next change on the board stops it."
	}), func(_ context.Context, _ *TankID) (*body[Started], error) {
		return nil, notYet()
	})
}

func notYet() error {
	return problem(http.StatusUnprocessableEntity, "edit the text on the plan's page", "the drawing board cannot do this yet")
}

func answerBoard(b *shelf.Board, err error) (*boardOut, error) {
	if err != nil {
		return nil, err
	}
	return &boardOut{ETag: `"` + b.Version + `"`, Cache: asksNow, Body: Board{
		Version: b.Version, Revision: b.Revision, Text: b.Text, Problems: planProblems(b.Warnings),
		Undo: BoardStep{b.Undo != "", b.Undo}, Redo: BoardStep{b.Redo != "", b.Redo}, Board: b.Drawn,
	}}, nil
}
