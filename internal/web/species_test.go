package web

import (
	"littoral/internal/shelf"
	"net/http"
	"net/url"
	"slices"
	"strings"
	"testing"
	"time"
)

func TestSpeciesAreFoundAndCompared(t *testing.T) {
	h := serve(t, false)
	var c shelf.Card
	h.want(http.StatusCreated, "POST", "/api/tanks", NewTank{Blank: true}, &c)
	var list shelf.SpeciesList
	h.want(http.StatusOK, "GET", "/api/species?q="+url.QueryEscape("java fern"), nil, &list)
	if list.All == 0 || list.Species[0].Name != "Leptochilus pteropus" || list.Species[0].Fit != "" || len(list.Origins) < 5 {
		t.Errorf("java fern gives %+v", list)
	}
	h.want(http.StatusOK, "GET", "/api/species?light=low&place=epiphyte&origin="+url.QueryEscape("southeast asia")+"&max_cm=30&tank="+c.ID, nil, &list)
	for _, s := range list.Species {
		if s.Light != "low" || !slices.Contains(s.Places, "epiphyte") || !slices.Contains(s.Origin, "Southeast Asia") || s.HeightCM[1] > 30 || len(s.Verdicts) < 5 || s.Fit == "" {
			t.Errorf("%+v was not asked for", s)
		}
	}
	if len(list.Species) < 2 {
		t.Fatalf("only %d mosses and ferns found", len(list.Species))
	}
	// What lies in one place of the tank is compared with that place.
	h.want(http.StatusOK, "GET", "/api/species?q=wendtii&at_x=20&at_y=10&tank="+c.ID, nil, &list)
	if !slices.ContainsFunc(list.Species[0].Verdicts, func(v shelf.Verdict) bool { return strings.Contains(v.Text, "the bed here") }) {
		t.Errorf("%+v", list.Species[0].Verdicts)
	}
	var fitting shelf.SpeciesList
	h.want(http.StatusOK, "GET", "/api/species?tank="+c.ID+"&fitting=true&most=500", nil, &fitting)
	for _, s := range fitting.Species {
		if s.Fit == "does not fit" {
			t.Errorf("%s does not fit", s.Name)
		}
	}
	if fitting.All == 0 || fitting.All == 172 {
		t.Errorf("%d fit", fitting.All)
	}
	var likes Likes
	h.want(http.StatusOK, "GET", "/api/species/"+url.PathEscape("Cryptocoryne wendtii")+"/like?most=3&tank="+c.ID, nil, &likes)
	if len(likes.Species) != 3 || likes.Species[0].Far <= 0 || len(likes.Species[0].Says) == 0 || likes.Species[0].Fit == "" {
		t.Errorf("%+v", likes)
	}
	status, svg, head := h.ask("GET", "/api/species/"+url.PathEscape("Cryptocoryne × willisii")+"/plate.svg?window_cm=20", nil)
	if status != http.StatusOK || head.Get("Content-Type") != "image/svg+xml" || !strings.HasPrefix(string(svg), "<svg") || !strings.Contains(string(svg), "Cryptocoryne × willisii") {
		t.Errorf("%d %s %.200s", status, head.Get("Content-Type"), svg)
	}
	h.want(http.StatusNotFound, "GET", "/api/species/unicorn/plate.svg", nil, nil)
	h.want(http.StatusNotFound, "GET", "/api/species?tank=none", nil, nil)
}

func TestPalettesAreKept(t *testing.T) {
	h := serve(t, false)
	var p Palette
	h.want(http.StatusOK, "PUT", "/api/palettes/shade", SavePalette{Name: "Shade", Species: []string{"anubias nana", "Leptochilus pteropus"}}, &p)
	if !slices.Equal(p.Species, []string{"Anubias barteri var. nana", "Leptochilus pteropus"}) {
		t.Errorf("kept as %v", p.Species)
	}
	h.want(http.StatusUnprocessableEntity, "PUT", "/api/palettes/shade", SavePalette{Name: "Shade", Species: []string{"unicorn weed"}}, nil)
	var all Palettes
	h.want(http.StatusOK, "GET", "/api/palettes", nil, &all)
	if len(all.Palettes) != 1 || all.Palettes[0].Name != "Shade" || time.Since(all.Palettes[0].Changed) > time.Hour {
		t.Errorf("%+v", all)
	}
	h.want(http.StatusNoContent, "DELETE", "/api/palettes/shade", nil, nil)
	h.want(http.StatusNotFound, "DELETE", "/api/palettes/shade", nil, nil)
}

func BenchmarkSpecies(b *testing.B) {
	s, _ := crowded(b)
	tanks, err := s.store.Tanks(b.Context())
	if err != nil {
		b.Fatal(err)
	}
	for name, q := range map[string]shelf.SpeciesSearch{
		"words":  {Words: "red stem under 30 cm", Most: 60},
		"fit":    {Words: "low light", Tank: tanks[0].ID, Most: 60},
		"all":    {Tank: tanks[0].ID, Most: 500},
		"narrow": {Words: "crypt", Tank: tanks[0].ID, At: &[2]float64{20, 10}, Most: 60},
	} {
		b.Run(name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if _, err := s.shelf.FindSpecies(b.Context(), q); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
