package web

import (
	"context"
	"littoral/internal/catalog"
	"littoral/internal/shelf"
	"littoral/internal/store"
	"net/http"
	"time"

	"github.com/danielgtaylor/huma/v2"
)

// Likes lists what could stand in for a species.
type Likes struct {
	Species []shelf.Alike `json:"species" doc:"the nearest first"`
}

// Palette is a set of species that a studio likes together.
type Palette struct {
	ID      string    `json:"id"`
	Name    string    `json:"name"`
	Species []string  `json:"species" doc:"accepted names, in the order of the studio"`
	Author  string    `json:"author"`
	Changed time.Time `json:"changed"`
}

// Palettes is all of them by name.
type Palettes struct {
	Palettes []Palette `json:"palettes"`
}

// SavePalette is a palette as a studio writes it.
type SavePalette struct {
	Name    string   `json:"name" minLength:"1" maxLength:"80"`
	Species []string `json:"species" maxItems:"200" doc:"names that the catalogue knows"`
	Own     bool     `json:"own,omitempty" doc:"names that the built-in catalogue does not know are kept as they are, for a studio with plants of its own"`
}

// PaletteID names a palette in addresses.
type PaletteID struct {
	ID string `path:"palette" minLength:"1" maxLength:"64"`
}

// WhereIn says for which tank and place species are compared.
type WhereIn struct {
	Tank string  `query:"tank" maxLength:"64" doc:"id of the tank whose plan and catalogue count; empty = none"`
	AtX  float64 `query:"at_x" minimum:"-1" maximum:"1000" default:"-1" doc:"place in the tank that it is for, cm from the left; -1 = anywhere"`
	AtY  float64 `query:"at_y" minimum:"-1" maximum:"1000" default:"-1" doc:"the same, cm from the front"`
}

func (w WhereIn) at() *[2]float64 {
	if !(w.AtX >= 0 && w.AtY >= 0) { // not a number is nowhere
		return nil
	}
	return &[2]float64{w.AtX, w.AtY}
}

func (s *Server) speciesRoutes() {
	type search struct {
		WhereIn
		Words   string  `query:"q" maxLength:"200" doc:"names, synonyms and traits in words, such as: red stem under 30 cm without CO2"`
		Form    string  `query:"form" enum:"rosette,stem,rhizome,carpet,runner,bulb,lily,moss,floating"`
		Place   string  `query:"place" enum:"foreground,midground,background,epiphyte,surface,solitary"`
		Light   string  `query:"light" enum:"low,medium,high"`
		Speed   string  `query:"speed" enum:"very slow,slow,medium,fast,very fast"`
		CO2     string  `query:"co2" enum:"none,helpful,recommended,required" doc:"the most CO2 it may need"`
		Colour  string  `query:"colour" maxLength:"40" doc:"a word of its colour, such as red"`
		Origin  string  `query:"origin" maxLength:"40" doc:"a part of the world, as the answer lists them"`
		MinCM   float64 `query:"min_cm" minimum:"0" maximum:"1000" doc:"grown height at least"`
		MaxCM   float64 `query:"max_cm" minimum:"0" maximum:"1000" doc:"grown height at most; 0 = any"`
		Fitting bool    `query:"fitting" doc:"leave out what does not fit the plan of the tank"`
		Most    int     `query:"most" minimum:"1" maximum:"500" default:"60"`
	}
	add(s, roleCrew, get("findSpecies", "/api/species", "Search plants by name, need, size, colour, place, speed and origin, and compare them with a plan", tagSpecies), func(ctx context.Context, in *search) (*body[shelf.SpeciesList], error) {
		list, err := s.shelf.FindSpecies(ctx, shelf.SpeciesSearch{
			Words: in.Words, Tank: in.Tank, At: in.at(), Fitting: in.Fitting, Most: in.Most,
			Filter: catalog.Filter{
				Form: catalog.Form(in.Form), Place: in.Place, Light: in.Light, Speed: in.Speed, MostCO2: in.CO2, Colour: in.Colour, Origin: in.Origin,
				MinHeightCM: in.MinCM, MaxHeightCM: in.MaxCM,
			},
		})
		return &body[shelf.SpeciesList]{list}, err
	})
	add(s, roleCrew, get("likeSpecies", "/api/species/{name}/like", "Plants that could stand in for another, and how they differ", tagSpecies), func(ctx context.Context, in *struct {
		WhereIn
		Name string `path:"name" maxLength:"120" doc:"accepted name, synonym or common name"`
		Most int    `query:"most" minimum:"1" maximum:"50" default:"8"`
	},
	) (*body[Likes], error) {
		list, err := s.shelf.LikeSpecies(ctx, in.Name, in.Tank, in.at(), in.Most)
		return &body[Likes]{Likes{list}}, err
	})
	add(s, roleCrew, with(get("getPlate", "/api/species/{name}/plate.svg", "A plant drawn at its grown size beside a hand", tagSpecies), func(op *huma.Operation) {
		op.Responses = binary("image/svg+xml")
	}), func(ctx context.Context, in *struct {
		Name     string  `path:"name" maxLength:"120"`
		Tank     string  `query:"tank" maxLength:"64" doc:"tank whose water bounds the plant; empty = none"`
		WindowCM float64 `query:"window_cm" minimum:"0" maximum:"300" doc:"height of the picture, so that several stand to one scale; 0 = as high as this one needs"`
	},
	) (*data, error) {
		svg, err := s.shelf.Plate(ctx, in.Name, in.Tank, in.WindowCM)
		return &data{Type: "image/svg+xml", Cache: asksNow, Security: "default-src 'none'; style-src 'unsafe-inline'", Body: svg}, err
	})
	s.paletteRoutes()
}

func (s *Server) paletteRoutes() {
	add(s, roleCrew, get("listPalettes", "/api/palettes", "The palettes of the studio", tagSpecies), func(ctx context.Context, _ *none) (*body[Palettes], error) {
		list, err := s.store.Palettes(ctx)
		out := Palettes{[]Palette{}}
		for _, p := range list {
			out.Palettes = append(out.Palettes, Palette(p))
		}
		return &body[Palettes]{out}, err
	})
	add(s, roleDesigner, with(post("putPalette", "/api/palettes/{palette}", "Save a palette under an id of the caller's", tagSpecies), func(op *huma.Operation) {
		op.Method = http.MethodPut
	}), func(ctx context.Context, in *struct {
		PaletteID
		Body SavePalette
	},
	) (*body[Palette], error) {
		p := store.Palette{ID: in.ID, Name: in.Body.Name, Author: who(ctx), Changed: s.now(), Species: []string{}}
		for _, name := range in.Body.Species {
			sp, ok := catalog.Default().Species(name)
			switch {
			case ok:
				p.Species = append(p.Species, sp.Name)
			case in.Body.Own:
				p.Species = append(p.Species, name)
			default:
				return nil, problem(http.StatusUnprocessableEntity, "search for the plant and take it from the list", "the catalogue knows no plant %q", name)
			}
		}
		return &body[Palette]{Palette(p)}, s.store.PutPalette(ctx, p)
	})
	add(s, roleDesigner, with(get("deletePalette", "/api/palettes/{palette}", "Delete a palette", tagSpecies), func(op *huma.Operation) {
		op.Method = http.MethodDelete
		op.DefaultStatus = http.StatusNoContent
	}), func(ctx context.Context, in *PaletteID) (*none, error) {
		return nil, s.store.DeletePalette(ctx, in.ID)
	})
}
