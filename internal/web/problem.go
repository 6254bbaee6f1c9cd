package web

import (
	"context"
	"errors"
	"fmt"
	"littoral/internal/draft"
	"littoral/internal/jobs"
	"littoral/internal/plan"
	"littoral/internal/shelf"
	"littoral/internal/store"
	"net/http"
	"strings"

	"github.com/danielgtaylor/huma/v2"
)

// Problem is what goes wrong, as RFC 9457 has it, with what to do about it.
type Problem struct {
	huma.ErrorModel
	Cure     string        `json:"cure,omitempty" say:"text" doc:"what to do about it, in a whole sentence"`
	Last     int           `json:"last,omitempty" doc:"of a conflict: the revision that is the last one now"`
	Problems []PlanProblem `json:"problems,omitempty" doc:"of a plan: everything that is wrong with it, in the order of the file"`
}

// PlanProblem is one thing wrong with a plan, where it stands and what would be right.
type PlanProblem struct {
	File     string `json:"file"`
	Path     string `json:"path" doc:"the item, such as plants[3].species; empty for the file as a whole"`
	Line     int    `json:"line" doc:"from 1; 0 when it is not in one line"`
	Column   int    `json:"column" doc:"in characters, from 1"`
	Text     string `json:"text" doc:"the line as it stands"`
	Message  string `json:"message" say:"text"`
	Cure     string `json:"cure" say:"text"`
	Severity string `json:"severity" enum:"error,warning"`
}

func planProblems(list plan.Problems) []PlanProblem {
	out := []PlanProblem{}
	for _, p := range list {
		out = append(out, PlanProblem{File: p.File, Path: p.Path, Line: p.Line, Column: p.Column, Text: p.Text, Message: p.Message, Cure: p.Cure, Severity: string(p.Severity)})
	}
	return out
}

// The library makes its errors through this variable; it is set once, before anything is served.
func init() { //nolint:gochecknoinits // the library offers no other way
	huma.DefaultArrayNullable = false
	huma.NewError = func(status int, message string, errs ...error) huma.StatusError {
		p := &Problem{ErrorModel: huma.ErrorModel{Status: status, Title: http.StatusText(status), Detail: message}}
		for _, err := range errs {
			var c cured
			if errors.As(err, &c) {
				p.Cure = c.cure
			} else if err != nil {
				p.Add(err)
			}
		}
		if p.Cure == "" {
			p.Cure = cures[status]
		}
		return p
	}
}

// cures are what to do about errors that the library finds.
var cures = map[int]string{
	http.StatusBadRequest:            "send what the description of the API asks for",
	http.StatusNotAcceptable:         "ask for JSON",
	http.StatusRequestTimeout:        "send it again over a better connection",
	http.StatusRequestEntityTooLarge: "send less, or in parts",
	http.StatusUnsupportedMediaType:  "send JSON, with its media type",
	http.StatusUnprocessableEntity:   "mend what the list of errors names and send it again",
}

// problem makes an error with its cure.
func problem(status int, cure, format string, a ...any) *Problem {
	return &Problem{ErrorModel: huma.ErrorModel{Status: status, Title: http.StatusText(status), Detail: fmt.Sprintf(format, a...)}, Cure: cure}
}

// failed turns an error of the rooms below into a problem. What nobody outside can mend is not told in detail; it is logged.
func (s *Server) failed(ctx context.Context, err error) error {
	if err == nil {
		return nil
	}
	var p *Problem
	var bad plan.Problems
	var clash store.Conflict
	var unfit shelf.Unfit
	var stale shelf.ErrStale
	var refused *draft.Refusal
	switch {
	case errors.As(err, &p):
		return p
	case errors.As(err, &bad):
		p := problem(http.StatusUnprocessableEntity, "mend the lines that are named", "the plan cannot be read; %d things are wrong with it", len(bad))
		p.Problems = planProblems(bad)
		return p
	case errors.As(err, &clash):
		p := problem(http.StatusConflict, "open the last revision, lay your changes over it and save again, or save as a variant", "%v", clash)
		p.Last = clash.Last
		return p
	case errors.As(err, &stale):
		p := problem(http.StatusPreconditionFailed, "read the board again and make the change anew; nothing is lost, and undo takes back what the other window did", "%v", err)
		p.Last = stale.Revision
		return p
	case errors.As(err, &refused):
		return problem(http.StatusUnprocessableEntity, refused.Cure, "%s", refused.Message)
	case errors.Is(err, store.ErrNotFound):
		return problem(http.StatusNotFound, "look on the shelf for what is there", "there is nothing under this name")
	case errors.Is(err, jobs.ErrUnknown):
		return problem(http.StatusNotFound, "start the work again", "%v", err)
	case errors.Is(err, store.ErrTaken):
		return problem(http.StatusConflict, "take another name", "%v", err)
	case errors.As(err, &unfit):
		return problem(http.StatusUnprocessableEntity, "mend the plan", "%v", unfit)
	case errors.Is(err, shelf.ErrOld):
		return problem(http.StatusGone, "forecast the tank again", "%v", err)
	case errors.Is(err, shelf.ErrNoDrawing):
		return problem(http.StatusNotFound, "ask for one of them", "%v", err)
	case ctx.Err() != nil:
		return problem(http.StatusServiceUnavailable, "ask again", "the connection ended before the answer was ready")
	}
	s.log("error: %v", err)
	return problem(http.StatusInternalServerError, "try again; if it stays, the server's terminal says more", "the program could not do this")
}

// wrong is a wish that cannot be met as it was put.
func wrong(cure string, err error) error {
	return problem(http.StatusUnprocessableEntity, cure, "%s", strings.TrimSpace(err.Error()))
}
