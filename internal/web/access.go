package web

import (
	"context"
	"encoding/json"
	"net/http"
)

// asker is who asks.
type asker struct {
	Name string // of the account; empty on one's own machine
	Role string
	Tank string // the one tank a client may look at
}

type askerKey struct{}

// who names the person behind a request, for what is kept.
func who(ctx context.Context) string {
	a, _ := ctx.Value(askerKey{}).(asker)
	return a.Name
}

// refuse writes a problem outside the API's own way.
func (s *Server) refuse(w http.ResponseWriter, p *Problem) {
	w.Header().Set("Content-Type", "application/problem+json")
	w.WriteHeader(p.Status)
	_ = json.NewEncoder(w).Encode(p) // who has gone needs no answer
}
