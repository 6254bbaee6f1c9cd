package web

import (
	"cmp"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"littoral/internal/jobs"
	"littoral/internal/shelf"
	"littoral/internal/store"
	"net/http"
	"slices"

	"github.com/danielgtaylor/huma/v2"
	"github.com/danielgtaylor/huma/v2/sse"
)

// ForecastAsk asks for a forecast.
type ForecastAsk struct {
	Revision int `json:"revision,omitempty" minimum:"0" doc:"0 = the plan in force"`
	Days     int `json:"days,omitempty" minimum:"0" maximum:"7305" doc:"days after planting; 0 = three years"`
	// AsPlanned leaves the journal out.
	AsPlanned bool `json:"as_planned,omitempty" doc:"as if everything were done by the plan; else what the journal says stands in place of it"`
}

// Started says where an answer will be found.
type Started struct {
	Key   string `json:"key" doc:"of the forecast"`
	State string `json:"state" enum:"ready,working" doc:"ready: it is kept already; working: watch the job"`
	Job   int64  `json:"job" doc:"number of the job; 0 when the forecast is ready"`
}

// Job is long work.
type Job struct {
	ID    int64  `json:"id"`
	Kind  string `json:"kind" doc:"forecast, members, tries or animation"`
	State string `json:"state" enum:"waiting,running,done,failed,stopped"`
	Done  int    `json:"done" doc:"steps done"`
	Total int    `json:"total" doc:"of so many; 0 while unknown"`
	Step  string `json:"step" say:"text" doc:"what is being done"`
	Error string `json:"error" say:"text" doc:"why it failed, with the cure"`
	Tank  string `json:"tank"`
	Key   string `json:"key" doc:"of the forecast it is about, once done"`
}

// Animation asks for an animated PNG.
type Animation struct {
	Day    int    `json:"day" minimum:"0" maximum:"7305" doc:"last day"`
	From   string `json:"from,omitempty" maxLength:"40" doc:"name of an eye; empty = front"`
	Width  int    `json:"width,omitempty" minimum:"0" maximum:"900" doc:"pixels; 0 = 640"`
	Height int    `json:"height,omitempty" minimum:"0" maximum:"900" doc:"pixels; 0 = 400"`
	Dark   bool   `json:"dark,omitempty"`
}

func (a Animation) picture() shelf.Picture {
	return shelf.Picture{Day: a.Day, From: cmp.Or(a.From, "front"), Width: cmp.Or(a.Width, 640), Height: cmp.Or(a.Height, 400), Dark: a.Dark}
}

// KeyPath names a forecast in addresses.
type KeyPath struct {
	Key string `path:"key" minLength:"1" maxLength:"64" doc:"key of the forecast"`
}

// KeyDay names a day of a forecast.
type KeyDay struct {
	KeyPath
	Day int `query:"day" minimum:"0" maximum:"7305" doc:"day after planting"`
}

// JobPath names long work in addresses.
type JobPath struct {
	ID int64 `path:"job" minimum:"1"`
}

func (s *Server) forecastRoutes() {
	add(s, roleCrew, with(post("startForecast", "/api/tanks/{tank}/forecast", "Forecast a tank", tagForecast), func(op *huma.Operation) {
		op.Description = "Answers at once: with the key of a kept forecast, or with the job that makes it."
	}), func(ctx context.Context, in *struct {
		TankID
		Body ForecastAsk
	},
	) (*body[Started], error) {
		st, err := s.startForecast(ctx, in.Tank, in.Body)
		return &body[Started]{st}, err
	})
	add(s, roleClient, get("getForecast", "/api/forecasts/{key}", "What pages need of a forecast", tagForecast), func(ctx context.Context, in *KeyPath) (*body[shelf.Result], error) {
		r, err := s.shelf.Result(ctx, in.Key)
		if askerOf(ctx).Role == roleClient { // how the tank will stand, and nothing of costs, work and worries
			o := &r.Outcome
			o.Costs, o.Visits, o.Findings, o.Balance, o.Held, o.Sure, o.Bands = nil, nil, nil, nil, nil, nil, nil
			r.Events, r.Algae, r.Journal = nil, nil, shelf.JournalSpan{}
		}
		return &body[shelf.Result]{r}, err
	})
	add(s, roleClient, get("getSeries", "/api/forecasts/{key}/series", "The day lines of a forecast", tagForecast), func(ctx context.Context, in *KeyPath) (*body[shelf.Series], error) {
		r, err := s.shelf.Series(ctx, in.Key)
		if askerOf(ctx).Role == roleClient {
			r.Columns = slices.DeleteFunc(r.Columns, func(c shelf.Column) bool { return c.Name == "work_min" })
		}
		return &body[shelf.Series]{r}, err
	})
	add(s, roleClient, get("getSnapshot", "/api/forecasts/{key}/snapshot", "Plants and root zone on a day", tagForecast), func(ctx context.Context, in *KeyDay) (*body[shelf.Snapshot], error) {
		r, err := s.shelf.Snapshot(ctx, in.Key, in.Day)
		return &body[shelf.Snapshot]{r}, err
	})
	add(s, roleClient, with(get("getPicture", "/api/forecasts/{key}/picture", "The tank drawn on a day from an eye", tagForecast), func(op *huma.Operation) {
		op.Responses = binary("image/png")
	}), func(ctx context.Context, in *struct {
		KeyDay
		From   string `query:"from" default:"front" maxLength:"40" doc:"name of an eye, or a turn such as 30°"`
		Width  int    `query:"width" default:"640" minimum:"32" maximum:"2400"`
		Height int    `query:"height" default:"400" minimum:"32" maximum:"2400"`
		Dark   bool   `query:"dark" doc:"in a dark room in which the tank glows"`
	},
	) (*data, error) {
		p := shelf.Picture{Day: in.Day, From: in.From, Width: in.Width, Height: in.Height, Dark: in.Dark}
		if err := p.Check(); err != nil {
			return nil, wrong("ask for another picture", err)
		}
		b, err := s.shelf.Draw(ctx, in.Key, p)
		return &data{Type: "image/png", Cache: forever, Body: b}, err
	})
	add(s, roleCrew, post("startAnimation", "/api/forecasts/{key}/animation", "Draw how the tank grows in until a day", tagForecast), func(ctx context.Context, in *struct {
		KeyPath
		Body Animation
	},
	) (*body[JobStarted], error) {
		p := in.Body.picture()
		if err := p.CheckAnimation(); err != nil {
			return nil, wrong("ask for another animation", err)
		}
		f, err := s.store.Forecast(ctx, in.Key)
		if err != nil {
			return nil, err
		}
		job, err := s.work(ctx, workAnimate, fmt.Sprintf("%s %+v", in.Key, p), f.Tank, animateArgs{in.Key, p})
		return &body[JobStarted]{JobStarted{job}}, err
	})
	add(s, roleClient, with(get("getAnimation", "/api/forecasts/{key}/animation", "An animation that was drawn; 404 before it was", tagForecast), func(op *huma.Operation) {
		op.Responses = binary("image/png")
	}), func(ctx context.Context, in *struct {
		KeyDay
		From   string `query:"from" default:"front" maxLength:"40"`
		Width  int    `query:"width" default:"640" minimum:"32" maximum:"900"`
		Height int    `query:"height" default:"400" minimum:"32" maximum:"900"`
		Dark   bool   `query:"dark"`
	},
	) (*data, error) {
		b, err := s.shelf.Animation(ctx, in.Key, shelf.Picture{Day: in.Day, From: in.From, Width: in.Width, Height: in.Height, Dark: in.Dark})
		return &data{Type: "image/png", Cache: forever, Body: b}, err
	})
	add(s, roleClient, with(get("getScene", "/api/forecasts/{key}/scene.glb", "The scene of a day as binary glTF 2.0", tagForecast), func(op *huma.Operation) {
		op.Responses = binary("model/gltf-binary")
	}), func(ctx context.Context, in *KeyDay) (*data, error) {
		b, err := s.shelf.GLB(ctx, in.Key, in.Day)
		return &data{Type: "model/gltf-binary", Cache: forever, Body: b}, err
	})
	add(s, roleClient, with(get("getDrawing", "/api/forecasts/{key}/drawing", "A drawing as SVG: plan, light on the bed, or a side", tagForecast), func(op *huma.Operation) {
		op.Responses = binary("image/svg+xml")
	}), func(ctx context.Context, in *struct {
		KeyDay
		What string `query:"what" default:"plan" maxLength:"40" doc:"plan, light, front, left, back or right; of a cylinder the eighths of a walk round it"`
	},
	) (*data, error) {
		b, err := s.shelf.Drawing(ctx, in.Key, in.What, in.Day)
		return &data{Type: "image/svg+xml", Cache: forever, Security: "default-src 'none'; style-src 'unsafe-inline'", Body: wish(ctx).Markup(b)}, err
	})
}

func (s *Server) startForecast(ctx context.Context, tank string, in ForecastAsk) (Started, error) {
	a, err := s.shelf.Asking(ctx, tank, in.Revision, in.Days, in.AsPlanned)
	if err != nil {
		return Started{}, err
	}
	key, err := s.shelf.Key(ctx, a)
	if err != nil {
		return Started{}, err
	}
	if _, err := s.shelf.Result(ctx, key); err == nil {
		if _, err := s.shelf.Run(ctx, a, nil); err != nil { // kept: it becomes the tank's last one
			return Started{}, err
		}
		return Started{Key: key, State: "ready"}, nil
	} else if !errors.Is(err, store.ErrNotFound) {
		return Started{}, err
	}
	job, err := s.work(ctx, workForecast, key, tank, a)
	return Started{Key: key, State: "working", Job: job}, err
}

func (s *Server) jobRoutes() {
	add(s, roleCrew, with(get("getRenewing", "/api/renewing", "Which forecasts are made again without anybody asking", tagWork), func(op *huma.Operation) {
		op.Description = "Forecasts that an earlier version of the program made, or that the journal has gone past, are made again while nothing else is to be done."
	}), func(ctx context.Context, _ *none) (*body[Renewing], error) {
		r, err := s.renewing(ctx)
		return &body[Renewing]{r}, err
	})
	add(s, roleCrew, get("getJob", "/api/jobs/{job}", "How long work stands", tagWork), func(ctx context.Context, in *JobPath) (*body[Job], error) {
		j, err := s.queue.Job(ctx, in.ID)
		return &body[Job]{jobOf(j)}, err
	})
	add(s, roleCrew, with(get("stopJob", "/api/jobs/{job}", "Stop long work", tagWork), func(op *huma.Operation) {
		op.Method = http.MethodDelete
		op.DefaultStatus = http.StatusNoContent
	}), func(ctx context.Context, in *JobPath) (*none, error) {
		return nil, s.queue.Cancel(ctx, in.ID)
	})
	sse.Register(s.api, with(get("watchJob", "/api/jobs/{job}/events", "Follow long work: one event for each change, until it has ended", tagWork), func(op *huma.Operation) {
		op.Metadata = map[string]any{"role": roleCrew}
		op.Extensions = map[string]any{"x-role": roleCrew}
	}), map[string]any{"job": Job{}}, func(ctx context.Context, in *JobPath, send sse.Sender) {
		err := s.queue.Watch(ctx, in.ID, func(j jobs.Job) error { return send.Data(told(wish(ctx), jobOf(j))) })
		if errors.Is(err, jobs.ErrUnknown) {
			_ = send.Data(told(wish(ctx), Job{ID: in.ID, State: jobs.Failed, Error: err.Error()})) // who has gone needs no answer
		}
	})
}

func jobOf(j jobs.Job) Job {
	out := Job{ID: j.ID, Kind: j.Kind, State: j.State, Done: j.Done, Total: j.Total, Step: j.Step, Error: j.Error, Tank: j.Subject}
	var r worked
	if len(j.Result) > 0 && json.Unmarshal(j.Result, &r) == nil {
		out.Key = r.Key
	}
	return out
}
