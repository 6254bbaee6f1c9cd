package web

import (
	"encoding/json"
	"fmt"
	"littoral/internal/draft"
	"net/http"
	"slices"
	"strings"
	"testing"
)

// A demo is on the board as the plan says: every item by its id at its line, where it lies in the tank.
func TestADemoOnTheBoard(t *testing.T) {
	h := serve(t, false)
	var card struct{ ID string }
	h.want(http.StatusCreated, http.MethodPost, "/api/tanks", NewTank{Demo: "quay-street-library"}, &card)
	var b Board
	h.want(http.StatusOK, http.MethodGet, "/api/tanks/"+card.ID+"/board", nil, &b)
	if b.Tank.LengthCM != 240 || b.Tank.WidthCM != 90 || b.Tank.WaterCM != 60 || len(b.Hardscape) != 11 || len(b.Plants) != 45 || len(b.Lamps) != 4 || len(b.Filters) != 2 {
		t.Errorf("the tank is %+v with %d pieces, %d plantings, %d lamps, %d filters", b.Tank, len(b.Hardscape), len(b.Plants), len(b.Lamps), len(b.Filters))
	}
	stone := &b.Hardscape[0]
	if stone.ID != "ledge-stone" || stone.Shape.Form != "mesh" || stone.Shape.SizeCM != 50 || stone.AtCM != [2]float64{146, 32} || stone.TurnDeg != 12 || len(stone.OutlineCM) == 0 || stone.MassKG < 5 {
		t.Errorf("the ledge stone is %+v", stone)
	}
	i := slices.IndexFunc(b.Plants, func(p draft.BoardPlant) bool { return p.ID == "sword-left" })
	if p := &b.Plants[i]; p.Way != "at" || len(p.PlacesCM) != 1 || p.PlacesCM[0][0] < 34 || p.PlacesCM[0][0] > 40 || p.Line == 0 || p.GrownHeightCM[1] <= 0 {
		t.Errorf("the sword is %+v", p)
	}
	g := &b.Ground
	if len(g.TopCM) != g.NX*g.NY || len(g.SlopeDeg) != g.NX*g.NY || len(g.ContoursCM) < 8 || g.Litres < 150 || g.Litres > 250 || len(g.Materials) != 2 {
		t.Errorf("the ground has %d heights on %d × %d, %d contours, %g L", len(g.TopCM), g.NX, g.NY, len(g.ContoursCM), g.Litres)
	}
	status, _, head := h.ask(http.MethodGet, "/api/tanks/"+card.ID+"/board", nil)
	if status != http.StatusOK || head.Get("ETag") != `"`+b.Version+`"` {
		t.Errorf("the answer's ETag is %s, the version %s", head.Get("ETag"), b.Version)
	}
}

// board reads a tank's board, and changes it as a window does: with the version that it read.
func (h *house) change(method, tank, what, version string, in any) (int, Board, Problem) {
	h.Helper()
	status, b, _ := h.ask(method, "/api/tanks/"+tank+"/board/"+what, in, "If-Match", `"`+version+`"`)
	var out Board
	var p Problem
	var err error
	if status == http.StatusOK {
		err = json.Unmarshal(b, &out)
	} else {
		err = json.Unmarshal(b, &p)
	}
	if err != nil {
		h.Fatalf("%s %s: %v in %.300s", method, what, err, b)
	}
	return status, out, p
}

func set(list, id, field string, value any) draft.Edit {
	return draft.Edit{Op: "set", List: list, ID: id, Field: field, Value: value}
}

func TestDrawingTakingBackAndDoingAgain(t *testing.T) {
	h := serve(t, false)
	var card struct{ ID string }
	h.want(http.StatusCreated, http.MethodPost, "/api/tanks", NewTank{Demo: "reading-desk"}, &card)
	var first Board
	h.want(http.StatusOK, http.MethodGet, "/api/tanks/"+card.ID+"/board", nil, &first)
	stone := first.Hardscape[0]
	texts := []string{first.Text}
	now := first
	for i, e := range []draft.Edit{set("hardscape", stone.ID, "at", []any{stone.AtCM[0] + 1, stone.AtCM[1]}), set("hardscape", stone.ID, "turn", 33.0), set("plants", first.Plants[0].ID, "group", "left")} {
		status, b, p := h.change(http.MethodPost, card.ID, "edits", now.Version, BoardEdits{Label: fmt.Sprint("step ", i), Edits: []draft.Edit{e}})
		if status != http.StatusOK || b.Undo.Label != fmt.Sprint("step ", i) || b.Redo.Can || b.Version == now.Version {
			t.Fatalf("step %d gave %d %+v, undo %+v, redo %+v", i, status, p, b.Undo, b.Redo)
		}
		if b.Revision != 2 {
			t.Errorf("step %d is in revision %d: drags fill the history", i, b.Revision)
		}
		texts, now = append(texts, b.Text), b
	}
	if now.Hardscape[0].TurnDeg != 33 || now.Hardscape[0].AtCM[0] != stone.AtCM[0]+1 || now.Plants[0].Group != "left" || !slices.Contains(now.Groups, "left") {
		t.Errorf("the stone is %+v, the planting in %q", now.Hardscape[0], now.Plants[0].Group)
	}
	for i := 2; i >= 0; i-- {
		status, b, p := h.change(http.MethodPost, card.ID, "undo", now.Version, nil)
		if status != http.StatusOK || b.Text != texts[i] || b.Redo.Label != fmt.Sprint("step ", i) {
			t.Fatalf("undo to %d gave %d %+v, redo %+v; the same text: %v", i, status, p, b.Redo, b.Text == texts[i])
		}
		now = b
	}
	if _, b, _ := h.change(http.MethodPost, card.ID, "undo", now.Version, nil); b.Text != texts[0] || b.Undo.Can {
		t.Errorf("there is more to undo: %+v", b.Undo)
	}
	// Another window that still shows what was there is told, and changes nothing.
	status, _, p := h.change(http.MethodPost, card.ID, "edits", first.Version+"x", BoardEdits{Edits: []draft.Edit{set("hardscape", stone.ID, "turn", 1.0)}})
	if status != http.StatusPreconditionFailed || p.Cure == "" || p.Last == 0 {
		t.Errorf("a stale window gave %d %+v", status, p)
	}
	_, now, _ = h.change(http.MethodPost, card.ID, "redo", now.Version, nil)
	if now.Text != texts[1] {
		t.Error("done again it is another text")
	}
	// What would be no plan is told with its line, and nothing is kept.
	status, _, p = h.change(http.MethodPost, card.ID, "edits", now.Version, BoardEdits{Edits: []draft.Edit{set("hardscape", stone.ID, "at", []any{900.0, 4.0})}})
	if status != http.StatusUnprocessableEntity || len(p.Problems) != 1 || p.Problems[0].Line < stone.Line || p.Problems[0].Line > stone.Line+6 {
		t.Errorf("a stone outside the glass gave %d %+v", status, p)
	}
	status, _, p = h.change(http.MethodPut, card.ID, "text", now.Version, BoardText{Text: now.Text + "plants: nowhere\n"})
	if status != http.StatusUnprocessableEntity || len(p.Problems) == 0 {
		t.Errorf("a broken text gave %d %+v", status, p)
	}
	typed := strings.Replace(now.Text, "# ", "# typed: ", 1)
	status, b, _ := h.change(http.MethodPut, card.ID, "text", now.Version, BoardText{Text: typed})
	if status != http.StatusOK || b.Text != typed || b.Undo.Label != "text edited" || b.Redo.Can {
		t.Fatalf("a typed text gave %d, undo %+v, redo %+v", status, b.Undo, b.Redo)
	}
	// What the plan's page has read stays as it is: the next change begins a new revision, and what that page saves can be taken back here.
	var page PlanText
	h.want(http.StatusOK, http.MethodGet, "/api/tanks/"+card.ID+"/plan", nil, &page)
	_, after, _ := h.change(http.MethodPost, card.ID, "edits", b.Version, BoardEdits{Label: "turn", Edits: []draft.Edit{set("hardscape", stone.ID, "turn", 44.0)}})
	if page.Text != typed || after.Revision != page.Revision+1 {
		t.Errorf("the page read revision %d, the next change is in %d", page.Revision, after.Revision)
	}
	h.want(http.StatusConflict, http.MethodPut, "/api/tanks/"+card.ID+"/plan", SavePlan{Base: page.Revision, Text: page.Text}, nil)
	var saved PlanText
	h.want(http.StatusOK, http.MethodPut, "/api/tanks/"+card.ID+"/plan", SavePlan{Base: after.Revision, Text: texts[0], Name: "back to the start"}, &saved)
	var shown Board
	h.want(http.StatusOK, http.MethodGet, "/api/tanks/"+card.ID+"/board", nil, &shown)
	if shown.Undo.Label != "back to the start" || shown.Text != texts[0] {
		t.Errorf("after a save undo is %+v", shown.Undo)
	}
	_, shown, _ = h.change(http.MethodPost, card.ID, "undo", shown.Version, nil)
	if shown.Text != after.Text || shown.Revision == saved.Revision {
		t.Errorf("the save was taken back into revision %d", shown.Revision)
	}
	h.want(http.StatusOK, http.MethodGet, "/api/tanks/"+card.ID+"/plan?revision="+fmt.Sprint(saved.Revision), nil, &saved)
	if saved.Text != texts[0] || saved.Name != "back to the start" {
		t.Error("a saved revision has changed")
	}
}

func TestLookingWhileDragging(t *testing.T) {
	h := serve(t, false)
	var card struct{ ID string }
	h.want(http.StatusCreated, http.MethodPost, "/api/tanks", NewTank{Demo: "reading-desk"}, &card)
	at := "/api/tanks/" + card.ID + "/board"
	var b Board
	h.want(http.StatusOK, http.MethodGet, at, nil, &b)
	stone := b.Hardscape[slices.IndexFunc(b.Hardscape, func(p draft.BoardPiece) bool { return p.Kind == "stone" })]
	var n BoardNotes
	h.want(http.StatusOK, http.MethodPost, at+"/look", BoardLook{Edits: []draft.Edit{set("hardscape", stone.ID, "at", []any{stone.AtCM[0], 2.0})}}, &n)
	if !slices.ContainsFunc(n.Notes, func(n draft.BoardNote) bool { return n.Kind == draft.KindClear && n.IDs[0] == stone.ID }) {
		t.Errorf("a stone at the glass is said nothing of: %+v", n.Notes)
	}
	h.want(http.StatusOK, http.MethodPost, at+"/look", BoardLook{Edits: []draft.Edit{set("hardscape", stone.ID, "at", []any{-30.0, 2.0})}}, &n)
	if len(n.Notes) == 0 || n.Notes[0].Kind != draft.KindBody || n.Notes[0].Cure == "" {
		t.Errorf("a stone outside the glass is said nothing of: %+v", n.Notes)
	}
	h.want(http.StatusOK, http.MethodPost, at+"/look", BoardLook{Edits: []draft.Edit{set("", "", "tank/water-level", "20 cm")}}, &n)
	h.want(http.StatusOK, http.MethodPost, at+"/look", BoardLook{IDs: []string{b.Plants[0].ID}}, &n)
	var after Board
	h.want(http.StatusOK, http.MethodGet, at, nil, &after)
	if after.Version != b.Version || after.Undo.Can {
		t.Error("looking has changed the plan")
	}
	var bodies BoardBodies
	h.want(http.StatusOK, http.MethodGet, at+"/bodies", nil, &bodies)
	if len(bodies.Bodies) != len(b.Hardscape) || bodies.Version != b.Version {
		t.Fatalf("there are %d bodies of %d pieces", len(bodies.Bodies), len(b.Hardscape))
	}
	for i, body := range bodies.Bodies {
		if body.ID != b.Hardscape[i].ID || len(body.Vertices)%3 != 0 || len(body.Faces)%3 != 0 || len(body.Faces) == 0 {
			t.Errorf("body %d is %s with %d numbers, %d corners of faces", i, body.ID, len(body.Vertices), len(body.Faces))
		}
	}
}

// ball is a mesh file of a tetrahedron with sides of so many units.
func ball(side float64) []byte {
	return fmt.Appendf(nil, "v 0 0 0\nv %g 0 0\nv 0 %g 0\nv 0 0 %g\nf 1 3 2\nf 1 2 4\nf 2 3 4\nf 3 1 4\n", side, side/2, side/3)
}

func TestAStoneOfOnesOwn(t *testing.T) {
	h := serve(t, false)
	var card, other struct{ ID string }
	h.want(http.StatusCreated, http.MethodPost, "/api/tanks", NewTank{Demo: "reading-desk"}, &card)
	h.want(http.StatusCreated, http.MethodPost, "/api/tanks", NewTank{Demo: "reading-desk"}, &other)
	at := "/api/tanks/" + card.ID + "/board"
	var b Board
	h.want(http.StatusOK, http.MethodGet, at, nil, &b)
	for name, data := range map[string][]byte{"stone.txt": ball(3), "stone.obj": []byte("nothing"), "stone.stl": {}} {
		status, _, p := h.change(http.MethodPost, card.ID, "meshes", b.Version, BoardMesh{Name: name, Data: data})
		if status != http.StatusUnprocessableEntity || p.Cure == "" {
			t.Errorf("%s gave %d %+v", name, status, p)
		}
	}
	send := func(tank, version, name string, data []byte) BoardMeshRead {
		status, raw, _ := h.ask(http.MethodPost, "/api/tanks/"+tank+"/board/meshes", BoardMesh{Name: name, Data: data}, "If-Match", version)
		var m BoardMeshRead
		if err := json.Unmarshal(raw, &m); status != http.StatusOK || err != nil {
			t.Fatalf("%d %s %v", status, raw, err)
		}
		return m
	}
	m := send(card.ID, b.Version, `C:\scans\My Stone.OBJ`, ball(12))
	if m.Name != "meshes/my-stone.obj" || m.Sides != [3]float64{12, 6, 4} || m.Faces != 4 || !m.Closed || m.Version == b.Version {
		t.Errorf("the mesh was read as %+v", m)
	}
	second := send(card.ID, m.Version, "my stone.obj", ball(9))
	if second.Name != "meshes/my-stone-2.obj" {
		t.Errorf("another file of the name is %s", second.Name)
	}
	// 12 units are 15 cm by a tape measure.
	item := map[string]any{"id": "own-stone", "kind": "stone", "material": "slate", "shape": map[string]any{"mesh": m.Name, "size": 15.0}, "at": []any{30.0, 15.0}, "group": "mine"}
	fern := map[string]any{"id": "on-stone", "species": "Anubias barteri var. nana", "pots": 1.0, "on": "own-stone"}
	status, now, p := h.change(http.MethodPost, card.ID, "edits", second.Version, BoardEdits{Label: "add a stone", Edits: []draft.Edit{{Op: "add", List: "hardscape", Value: item}, {Op: "add", List: "plants", Value: fern}}})
	if status != http.StatusOK {
		t.Fatalf("%d %+v", status, p)
	}
	i := slices.IndexFunc(now.Hardscape, func(p draft.BoardPiece) bool { return p.ID == "own-stone" })
	if i < 0 || now.Hardscape[i].Shape.SizeCM != 15 || now.Hardscape[i].Litres <= 0 {
		t.Fatalf("the stone is %+v", now.Hardscape[i])
	}
	// Copied to another tank, it takes its file and what grows on it along.
	var there Board
	h.want(http.StatusOK, http.MethodGet, "/api/tanks/"+other.ID+"/board", nil, &there)
	status, _, p = h.change(http.MethodPost, other.ID, "copy", there.Version, BoardCopy{From: card.ID, IDs: []string{"on-stone"}})
	if status != http.StatusUnprocessableEntity || p.Cure == "" {
		t.Errorf("a plant copied without its stone gave %d %+v", status, p)
	}
	taken := there.Hardscape[0].ID
	status, got, p := h.change(http.MethodPost, other.ID, "copy", there.Version, BoardCopy{From: card.ID, IDs: []string{"own-stone", "on-stone", taken}, ByCM: [2]float64{2, -1}})
	if status != http.StatusOK || !got.Undo.Can {
		t.Fatalf("%d %+v", status, p)
	}
	i = slices.IndexFunc(got.Hardscape, func(p draft.BoardPiece) bool { return p.ID == "own-stone" })
	k := slices.IndexFunc(got.Hardscape, func(p draft.BoardPiece) bool { return p.ID == taken+"-2" })
	f := slices.IndexFunc(got.Plants, func(p draft.BoardPlant) bool { return p.ID == "on-stone" })
	if i < 0 || k < 0 || f < 0 || got.Hardscape[i].AtCM != [2]float64{32, 14} || got.Plants[f].On != "own-stone" {
		t.Errorf("copied are stone %d, %s-2 %d, plant %d", i, taken, k, f)
	}
	_, back, _ := h.change(http.MethodPost, other.ID, "undo", got.Version, nil)
	if back.Text != there.Text {
		t.Error("taken back the text is another")
	}
}

func TestAGhostOfTheForecast(t *testing.T) {
	h := serve(t, false)
	var card struct{ ID string }
	h.want(http.StatusCreated, http.MethodPost, "/api/tanks", NewTank{Demo: "reading-desk"}, &card)
	at := "/api/tanks/" + card.ID + "/board"
	status, raw, _ := h.ask(http.MethodGet, at+"/ghost?day=56", nil)
	if status != http.StatusNotFound || !strings.Contains(string(raw), `"cure"`) {
		t.Errorf("without a forecast it gave %d %s", status, raw)
	}
	h.forecast(card.ID, 0)
	var g BoardGhost
	h.want(http.StatusOK, http.MethodGet, at+"/ghost?day=30", nil, &g)
	if !g.Current || g.Day < 21 || g.Day > 35 || len(g.Plants) == 0 || g.Plants[0].HeightCM <= 0 || len(g.Days) < 3 {
		t.Errorf("the ghost is of day %d with %d plants, days %v", g.Day, len(g.Plants), g.Days)
	}
	var b Board
	h.want(http.StatusOK, http.MethodGet, at, nil, &b)
	_, b, _ = h.change(http.MethodPost, card.ID, "edits", b.Version, BoardEdits{Edits: []draft.Edit{set("hardscape", b.Hardscape[0].ID, "turn", 77.0)}})
	h.want(http.StatusOK, http.MethodGet, at+"/ghost?day=30", nil, &g)
	if g.Current {
		t.Error("the forecast of an earlier text counts as that of this one")
	}
	// A forecast for idle times stops with the next change.
	var st Started
	h.want(http.StatusOK, http.MethodPost, at+"/forecast", nil, &st)
	if st.Job == 0 {
		t.Fatalf("it did not start: %+v", st)
	}
	h.change(http.MethodPost, card.ID, "edits", b.Version, BoardEdits{Edits: []draft.Edit{set("hardscape", b.Hardscape[0].ID, "turn", 78.0)}})
	if j := h.finished(st.Job); j.State != "stopped" {
		t.Errorf("the forecast ended as %+v", j)
	}
}
