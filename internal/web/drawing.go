package web

import (
	"context"
	"littoral/internal/sheets"
	"littoral/internal/shelf"
	"net/http"

	"github.com/danielgtaylor/huma/v2"
)

// SheetWish says how a plan is put on paper.
type SheetWish struct {
	TankID
	Revision int      `query:"revision" minimum:"0" doc:"0 = the plan in force"`
	Paper    string   `query:"paper" enum:"A4,A3,A2,A1,Letter,Tabloid" doc:"absent = A3, or Tabloid in a house that measures in inches"`
	Scale    int      `query:"scale" minimum:"0" maximum:"100" doc:"1 to so many, of 1, 2, 5, 10, 20, 25, 50 and 100; 0 = the largest at which every drawing fits on a sheet"`
	Views    []string `query:"views" maxItems:"6" doc:"of plan, front, left, right, back and section; absent = plan, front, left, section"`
	X1       float64  `query:"x1" minimum:"-1000" maximum:"10000" doc:"where the section is cut, cm; all four 0 = across the middle"`
	Y1       float64  `query:"y1" minimum:"-1000" maximum:"10000"`
	X2       float64  `query:"x2" minimum:"-1000" maximum:"10000"`
	Y2       float64  `query:"y2" minimum:"-1000" maximum:"10000"`
	Bare     bool     `query:"bare" doc:"without plants, for setting stones and wood"`
}

func (w *SheetWish) options() sheets.Options {
	return sheets.Options{Paper: w.Paper, Scale: w.Scale, Views: w.Views, Section: [2][2]float64{{w.X1, w.Y1}, {w.X2, w.Y2}}, NoPlants: w.Bare}
}

// Two names revisions to be compared.
type Two struct {
	TankID
	From int `query:"from" minimum:"1" required:"true" doc:"number of the first revision"`
	To   int `query:"to" minimum:"0" doc:"of the second; 0 = the plan in force"`
}

// drawingRoutes are what leaves the drawing board on paper.
func (s *Server) drawingRoutes() {
	const at = "/api/tanks/{tank}/board"
	typed := func(op huma.Operation, media string) huma.Operation {
		op.Responses = binary(media)
		return op
	}
	add(s, roleCrew, typed(get("getDrawingPDF", at+"/drawing.pdf", "The plan drawn to scale: plan, elevations, section and legend", tagBoard), "application/pdf"), func(ctx context.Context, in *SheetWish) (*data, error) {
		pages, err := s.shelf.Sheets(ctx, in.Tank, in.Revision, in.options())
		return s.paper("drawing", pages, err)
	})
	add(s, roleCrew, typed(get("getDrawingSVG", at+"/drawing.svg", "One sheet of the plan drawn to scale", tagBoard), "image/svg+xml"), func(ctx context.Context, in *struct {
		SheetWish
		Sheet int `query:"sheet" minimum:"1" maximum:"200" default:"1" doc:"which sheet, from 1"`
	},
	) (*data, error) {
		pages, err := s.shelf.Sheets(ctx, in.Tank, in.Revision, in.options())
		return sheet(pages, in.Sheet, err)
	})
	add(s, roleCrew, typed(get("getPlantingMap", at+"/planting-map.pdf", "The planting map: overview, order of work and parts with a grid", tagBoard), "application/pdf"), func(ctx context.Context, in *struct {
		TankID
		Revision int    `query:"revision" minimum:"0" doc:"0 = the plan in force"`
		Paper    string `query:"paper" enum:"A4,A3,A2,A1,Letter,Tabloid" doc:"absent = A4, or Letter in a house that measures in inches"`
		Scale    int    `query:"scale" minimum:"0" maximum:"100" doc:"1 to so many, of 1, 2, 5, 10, 20, 25, 50 and 100; 0 = 1:2 for small tanks, else 1:5 or smaller"`
	},
	) (*data, error) {
		pages, err := s.shelf.PlantingMap(ctx, in.Tank, in.Revision, sheets.MapOptions{Paper: in.Paper, Scale: in.Scale})
		return s.paper("planting-map", pages, err)
	})
	add(s, roleCrew, typed(get("getBoardSection", at+"/section.svg", "A section along any line, by itself", tagBoard), "image/svg+xml"), func(ctx context.Context, in *SheetWish) (*data, error) {
		page, err := s.shelf.CutAlong(ctx, in.Tank, in.Revision, in.options().Section, !in.Bare)
		return sheet([]*sheets.Page{page}, 1, err)
	})
	add(s, roleCrew, get("compareBoard", at+"/compare", "What is not the same in two revisions: moved, added, taken, changed", tagBoard), func(ctx context.Context, in *Two) (*body[shelf.Revised], error) {
		r, err := s.shelf.Revised(ctx, in.Tank, in.From, in.To)
		return &body[shelf.Revised]{r}, err
	})
	add(s, roleCrew, typed(get("compareBoardSVG", at+"/compare.svg", "What is not the same in two revisions, on the drawing", tagBoard), "image/svg+xml"), func(ctx context.Context, in *Two) (*data, error) {
		pages, err := s.shelf.RevisedSheets(ctx, in.Tank, in.From, in.To, "")
		return sheet(pages, 1, err)
	})
	add(s, roleCrew, typed(get("compareBoardPDF", at+"/compare.pdf", "What is not the same in two revisions, drawn and listed", tagBoard), "application/pdf"), func(ctx context.Context, in *Two) (*data, error) {
		pages, err := s.shelf.RevisedSheets(ctx, in.Tank, in.From, in.To, "")
		return s.paper("changes", pages, err)
	})
}

func (s *Server) paper(name string, pages []*sheets.Page, err error) (*data, error) {
	if err != nil {
		return nil, err
	}
	pdf, err := sheets.PDF(pages[0].Name, pages)
	return &data{Type: "application/pdf", Cache: asksNow, Name: "inline; filename=" + name + ".pdf", Body: pdf}, err
}

// sheet answers with one page; it stands alone, so nothing in it may load or run.
func sheet(pages []*sheets.Page, n int, err error) (*data, error) {
	if err != nil {
		return nil, err
	}
	if n > len(pages) {
		return nil, problem(http.StatusNotFound, "ask for one of them", "there are %d sheets", len(pages))
	}
	return &data{Type: "image/svg+xml", Cache: asksNow, Security: "default-src 'none'; style-src 'unsafe-inline'", Body: pages[n-1].SVG()}, nil
}
