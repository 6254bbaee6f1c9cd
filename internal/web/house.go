package web

import (
	"context"
	"errors"
	"littoral/internal/plan"
	"littoral/internal/shelf"
	"net/http"

	"github.com/danielgtaylor/huma/v2"
)

// HouseText is the house file of the shelf.
type HouseText struct {
	Text     string        `json:"text" doc:"empty = the program's own house"`
	Usual    string        `json:"usual" doc:"the program's own house as a file, to begin from"`
	Problems []PlanProblem `json:"problems" doc:"of a file that an earlier version of the program took"`
}

// SaveHouse changes it.
type SaveHouse struct {
	Text string `json:"text" maxLength:"262144" doc:"house.yaml: targets, limits, norms of work, prices; empty = the program's own house"`
}

func (s *Server) houseRoutes() {
	add(s, roleDesigner, get("getHouse", "/api/house", "The house file of the shelf, by which plans without one of their own are reckoned", tagAccess), func(ctx context.Context, _ *none) (*body[HouseText], error) {
		h, err := s.house(ctx)
		return &body[HouseText]{h}, err
	})
	add(s, roleOwner, with(post("putHouse", "/api/house", "Change the house file of the shelf", tagAccess), func(op *huma.Operation) { op.Method = http.MethodPut }), func(ctx context.Context, in *struct{ Body SaveHouse }) (*body[HouseText], error) {
		if bad := houseProblems(in.Body.Text); len(bad) > 0 {
			p := problem(http.StatusUnprocessableEntity, "mend the lines that are named", "the house file cannot be read; %d things are wrong with it", len(bad))
			p.Problems = planProblems(bad)
			return nil, p
		}
		if err := s.store.PutSetting(ctx, shelf.SettingHouse, in.Body.Text); err != nil {
			return nil, err
		}
		h, err := s.house(ctx)
		return &body[HouseText]{h}, err
	})
}

func (s *Server) house(ctx context.Context) (HouseText, error) {
	text, err := s.store.Setting(ctx, shelf.SettingHouse)
	return HouseText{Text: text, Usual: plan.UsualHouse(), Problems: planProblems(houseProblems(text))}, err
}

// houseProblems is what is wrong with a house file; an empty one is none.
func houseProblems(text string) plan.Problems {
	if text == "" {
		return nil
	}
	_, err := plan.ParseHouse([]byte(text), shelf.HouseFile)
	var bad plan.Problems
	errors.As(err, &bad)
	return bad
}
