package web

import (
	"littoral/internal/draft"
	"net/http"
	"slices"
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
