package web

import (
	"context"
	"errors"
	"fmt"
	"littoral/internal/papers"
	"littoral/internal/shelf"
	"littoral/internal/store"
	"mime"
	"net/http"

	"github.com/danielgtaylor/huma/v2"
)

// MembersAsk asks how sure a forecast is.
type MembersAsk struct {
	Members int `json:"members" minimum:"2" maximum:"1000" doc:"forecasts to be made with other values of the uncertain numbers"`
}

// TryAsk asks for a cure to be tried.
type TryAsk struct {
	Finding string `json:"finding,omitempty" maxLength:"200" doc:"id of a finding; empty = the gravest dozen"`
}

// JobStarted names the job that does it.
type JobStarted struct {
	Job int64 `json:"job"`
}

// PaperList names the files of the report folder.
type PaperList struct {
	Names []string `json:"names"`
}

func (s *Server) studyRoutes() {
	add(s, roleCrew, get("getLight", "/api/forecasts/{key}/light", "Where the light falls on a day", tagStudy), func(ctx context.Context, in *KeyDay) (*body[shelf.Light], error) {
		l, err := s.shelf.Light(ctx, in.Key, in.Day)
		return &body[shelf.Light]{l}, err
	})
	add(s, roleCrew, get("getWater", "/api/forecasts/{key}/water", "What goes into the water and out of it", tagStudy), func(ctx context.Context, in *KeyPath) (*body[shelf.Water], error) {
		w, err := s.shelf.Water(ctx, in.Key)
		return &body[shelf.Water]{w}, err
	})
	add(s, roleCrew, get("getSwing", "/api/forecasts/{key}/swing", "A day hour by hour", tagStudy), func(ctx context.Context, in *KeyDay) (*body[shelf.Swing], error) {
		w, err := s.shelf.Swing(ctx, in.Key, in.Day)
		return &body[shelf.Swing]{w}, err
	})
	add(s, roleCrew, get("getBands", "/api/forecasts/{key}/bands", "How far many forecasts lie apart; no members before they were run", tagStudy), func(ctx context.Context, in *KeyPath) (*body[papers.BandsJSON], error) {
		if _, err := s.store.Forecast(ctx, in.Key); err != nil {
			return nil, err
		}
		b, err := s.shelf.Bands(ctx, in.Key)
		if errors.Is(err, store.ErrNotFound) { // asking whether they were run is no mistake
			err = nil
		}
		return &body[papers.BandsJSON]{b}, err
	})
	add(s, roleDesigner, post("startMembers", "/api/forecasts/{key}/bands", "Run members of a forecast", tagStudy), func(ctx context.Context, in *struct {
		KeyPath
		Body MembersAsk
	},
	) (*body[JobStarted], error) {
		f, err := s.store.Forecast(ctx, in.Key)
		if err != nil {
			return nil, err
		}
		job, err := s.work(ctx, workMembers, fmt.Sprintf("%s %d", in.Key, in.Body.Members), f.Tank, membersArgs{in.Key, in.Body.Members})
		return &body[JobStarted]{JobStarted{job}}, err
	})
	add(s, roleCrew, get("getTries", "/api/forecasts/{key}/tries", "What cures changed that were tried", tagStudy), func(ctx context.Context, in *KeyPath) (*body[shelf.Tries], error) {
		if _, err := s.store.Forecast(ctx, in.Key); err != nil {
			return nil, err
		}
		t, err := s.shelf.Tries(ctx, in.Key)
		return &body[shelf.Tries]{t}, err
	})
	add(s, roleDesigner, post("startTry", "/api/forecasts/{key}/tries", "Forecast again with the cure of a finding", tagStudy), func(ctx context.Context, in *struct {
		KeyPath
		Body TryAsk
	},
	) (*body[JobStarted], error) {
		f, err := s.store.Forecast(ctx, in.Key)
		if err != nil {
			return nil, err
		}
		job, err := s.work(ctx, workTries, in.Key+" "+in.Body.Finding, f.Tank, triesArgs{in.Key, in.Body.Finding})
		return &body[JobStarted]{JobStarted{job}}, err
	})
	add(s, roleCrew, get("compareForecasts", "/api/compare", "Lay two forecasts side by side", tagStudy), func(ctx context.Context, in *struct {
		A string `query:"a" required:"true" maxLength:"64" doc:"key of a forecast"`
		B string `query:"b" required:"true" maxLength:"64"`
	},
	) (*body[shelf.Comparison], error) {
		c, err := s.shelf.Compare(ctx, in.A, in.B)
		return &body[shelf.Comparison]{c}, err
	})
	add(s, roleCrew, get("listReasons", "/api/reasons", "The uncertain numbers of the engine, with ranges and sources", tagStudy), func(context.Context, *none) (*body[shelf.Sources], error) {
		return &body[shelf.Sources]{shelf.Reasons()}, nil
	})
	add(s, roleCrew, get("listPapers", "/api/forecasts/{key}/papers", "Names of the papers of a forecast", tagStudy), func(ctx context.Context, in *KeyPath) (*body[PaperList], error) {
		if _, err := s.store.Forecast(ctx, in.Key); err != nil {
			return nil, err
		}
		return &body[PaperList]{PaperList{[]string{"report.html", "series.csv", "plants.csv", "plantings.csv", "forecast.json", "forecast.schema.json"}}}, nil
	})
	add(s, roleCrew, with(get("getPaper", "/api/forecasts/{key}/paper", "One paper of a forecast", tagStudy), func(op *huma.Operation) {
		op.Responses = binary("text/html", "text/csv", "application/json")
	}), func(ctx context.Context, in *struct {
		KeyPath
		Name string `query:"name" default:"report.html" enum:"report.html,series.csv,plants.csv,plantings.csv,forecast.json,forecast.schema.json"`
	},
	) (*data, error) {
		files, err := s.shelf.Papers(ctx, in.Key, "littoral "+s.Version)
		if err != nil {
			return nil, err
		}
		types := map[string]string{".html": "text/html; charset=utf-8", ".csv": "text/csv; charset=utf-8", ".json": "application/json"}
		for _, f := range files {
			if f.Name != in.Name {
				continue
			}
			out := &data{Cache: asksNow, Name: mime.FormatMediaType("attachment", map[string]string{"filename": f.Name}), Body: f.Data}
			for ending, t := range types {
				if len(f.Name) > len(ending) && f.Name[len(f.Name)-len(ending):] == ending {
					out.Type = t
				}
			}
			if in.Name == "report.html" { // one file that brings its own style and the little script it has
				out.Name = "inline"
				out.Security = reportPolicy
				out.Body = wish(ctx).Markup(f.Data)
			}
			return out, nil
		}
		return nil, store.ErrNotFound
	})
}

// reportPolicy lets the report use what it carries, and nothing else; as its own origin it cannot reach the API.
const reportPolicy = "sandbox allow-scripts allow-popups allow-downloads; default-src 'none'; style-src 'unsafe-inline'; script-src 'unsafe-inline'; img-src data:; font-src data:"

func (s *Server) careRoutes() {
	add(s, roleCrew, get("getCalendar", "/api/tanks/{tank}/calendar", "Work of a tank by day, asked for and done", tagCare), func(ctx context.Context, in *struct {
		TankID
		From int `query:"from" minimum:"-4000" maximum:"40000" doc:"first day of the plan"`
		To   int `query:"to" default:"90" minimum:"-4000" maximum:"40000" doc:"last day"`
	},
	) (*body[shelf.Calendar], error) {
		c, err := s.shelf.Calendar(ctx, in.Tank, in.From, in.To)
		return &body[shelf.Calendar]{c}, err
	})
	add(s, roleCrew, get("getVisit", "/api/tanks/{tank}/visit", "All that the page beside the tank needs", tagCare), func(ctx context.Context, in *struct {
		TankID
		Date string `query:"date" format:"date" doc:"ISO 8601; empty = the next visit due"`
	},
	) (*body[shelf.VisitPage], error) {
		v, err := s.shelf.Visit(ctx, in.Tank, in.Date)
		return &body[shelf.VisitPage]{v}, err
	})
	add(s, roleCrew, get("getMeasured", "/api/tanks/{tank}/measured", "Readings beside the forecast, and the misfit in words", tagCare), func(ctx context.Context, in *TankID) (*body[shelf.Measured], error) {
		m, err := s.shelf.Measured(ctx, in.Tank)
		return &body[shelf.Measured]{m}, err
	})
	add(s, roleCrew, get("getStory", "/api/tanks/{tank}/story", "A tank's whole story as one document", tagCare), func(ctx context.Context, in *TankID) (*body[shelf.Story], error) {
		st, err := s.shelf.Story(ctx, in.Tank)
		return &body[shelf.Story]{st}, err
	})
}

// noContent is the answer of what only does.
func noContent(op *huma.Operation) { op.DefaultStatus = http.StatusNoContent }
