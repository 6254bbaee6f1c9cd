package web

import (
	"encoding/json"
	"littoral/internal/shelf"
	"net/http"
	"slices"
	"strings"
	"testing"
)

// The shelf's house file reckons for plans that have none of their own, makes their forecasts stale, and is refused with its lines named.
func TestHouseOfTheShelf(t *testing.T) {
	h := serve(t, false)
	var own, bare shelf.Card
	h.want(http.StatusCreated, "POST", "/api/tanks", NewTank{Demo: "reading-desk"}, &own) // brings a house.yaml
	h.want(http.StatusCreated, "POST", "/api/tanks", NewTank{Blank: true, Name: "Bare"}, &bare)
	keys := map[string]string{own.ID: h.forecast(own.ID, 0), bare.ID: h.forecast(bare.ID, 0)}

	var house HouseText
	h.want(http.StatusOK, "GET", "/api/house", nil, &house)
	if house.Text != "" || !strings.Contains(house.Usual, "co2-limit") || len(house.Problems) != 0 {
		t.Fatalf("the house is %+v", house)
	}
	status, b, _ := h.ask("PUT", "/api/house", SaveHouse{"units: metric\nspare: many\nwater: {NO3: {house: 5, low: 9, high: 2}}\n"})
	var bad Problem
	if err := json.Unmarshal(b, &bad); err != nil || status != http.StatusUnprocessableEntity || len(bad.Problems) != 2 || bad.Problems[0].Line != 2 || bad.Problems[1].Line != 3 || bad.Problems[0].Cure == "" {
		t.Fatalf("a wrong house gave %d: %s", status, b)
	}
	h.want(http.StatusOK, "PUT", "/api/house", SaveHouse{"currency: EUR\nlabour-rate: 52 /h\nprices: {pot: 1000}\noxygen-min: 6.5\n"}, &house)

	for tank, stale := range map[string]bool{own.ID: false, bare.ID: true} {
		var c shelf.Card
		h.want(http.StatusOK, "GET", "/api/tanks/"+tank, nil, &c)
		if c.Fresh == stale {
			t.Errorf("%s: fresh is %v after the house of the shelf changed", c.Name, c.Fresh)
		}
		if key := h.forecast(tank, 0); (key != keys[tank]) != stale {
			t.Errorf("%s: its forecast is made anew: %v", c.Name, !stale)
		}
		h.want(http.StatusOK, "GET", "/api/tanks/"+tank, nil, &c)
		var w shelf.Water
		h.want(http.StatusOK, "GET", "/api/forecasts/"+c.Forecast+"/water", nil, &w)
		if asks := slices.ContainsFunc(w.Alarms, func(a shelf.Alarm) bool { return a.Value == 6.5 }); asks != stale {
			t.Errorf("%s: it asks for 6.5 mg/L of oxygen at dawn: %v", c.Name, asks)
		}
	}
	// Taken away, all is as it was, and the old forecast is there still.
	h.want(http.StatusOK, "PUT", "/api/house", SaveHouse{""}, nil)
	if key := h.forecast(bare.ID, 0); key != keys[bare.ID] {
		t.Error("without the house it is another forecast than before it")
	}
}
