package web

import (
	"bytes"
	"context"
	"errors"
	"littoral/internal/recipe"
	"littoral/internal/shelf"
	"strings"

	"github.com/danielgtaylor/huma/v2"
)

// SumList is the list of sums.
type SumList struct {
	Sums []shelf.Question `json:"sums"`
}

// SumAsk asks for one sum. Values are texts with their units, by column; a plain number of a salt is grams.
type SumAsk struct {
	Values map[string]string `json:"values,omitempty"`
	Salts  []shelf.SumSalt   `json:"salts,omitempty" maxItems:"60"`
}

// OfTank names the tank whose own values are used.
type OfTank struct {
	Tank string `query:"tank" maxLength:"64" doc:"id of a tank; empty for none"`
}

// TopicPath names a sum.
type TopicPath struct {
	Topic string `path:"topic" maxLength:"40"`
}

// mostTable bounds a table of sums; what is larger is for the command line, which streams.
const mostTable = 8 << 20

// sumsPath is where the sums lie. They write nothing, so that asking leaves no trace among what people did.
const sumsPath = "/api/sums"

func (s *Server) sumRoutes() {
	add(s, roleCrew, get("listSums", sumsPath, "Sums of the trade, with a tank's own values where they are known", tagSums), func(ctx context.Context, in *struct {
		OfTank
		Day int `query:"day" minimum:"0" maximum:"40000" doc:"day of the forecast whose values are taken"`
	},
	) (*body[SumList], error) {
		list, err := s.shelf.Sums(ctx, in.Tank, in.Day, wish(ctx).Units)
		return &body[SumList]{SumList{list}}, err
	})
	add(s, roleCrew, post("solveSum", sumsPath+"/topics/{topic}", "Reckon one sum", tagSums), func(_ context.Context, in *struct {
		TopicPath
		Body SumAsk
	},
	) (*body[shelf.SumAnswer], error) {
		a, err := shelf.SolveSum(in.Topic, in.Body.Values, in.Body.Salts)
		return &body[shelf.SumAnswer]{a}, mended(err)
	})
	add(s, roleCrew, with(post("solveTable", sumsPath+"/topics/{topic}/table", "Reckon every row of a table", tagSums), func(op *huma.Operation) {
		op.Description = "CSV with a header; columns are named as the sum's fields are, numbers stand in the unit that the name ends in. The same rows come back with the answer's columns added."
		op.MaxBodyBytes = mostTable
		op.RequestBody = &huma.RequestBody{Required: true, Content: map[string]*huma.MediaType{"text/csv": {Schema: &huma.Schema{Type: "string", Format: "binary"}}}}
		op.Responses = binary("text/csv")
	}), func(ctx context.Context, in *struct {
		TopicPath
		RawBody []byte
	},
	) (*data, error) {
		var out bytes.Buffer
		if err := shelf.SumTable(ctx, in.Topic, bytes.NewReader(in.RawBody), &out); err != nil {
			return nil, mended(err)
		}
		return &data{Type: "text/csv; charset=utf-8", Cache: asksNow, Name: "attachment; filename=sums.csv", Body: out.Bytes()}, nil
	})
	add(s, roleCrew, get("startBatch", sumsPath+"/batch", "What a recipe for a tank's change water begins from", tagSums), func(ctx context.Context, in *struct {
		Tank string `query:"tank" required:"true" maxLength:"64" doc:"id of a tank"`
	},
	) (*body[shelf.BatchStart], error) {
		b, err := s.shelf.StartBatch(ctx, in.Tank, wish(ctx).Units)
		return &body[shelf.BatchStart]{b}, err
	})
	add(s, roleCrew, post("solveBatch", sumsPath+"/batch", "Find pure water and salts for a batch of change water", tagSums), func(ctx context.Context, in *struct {
		OfTank
		Body shelf.BatchAsk
	},
	) (*body[shelf.Batch], error) {
		b, err := s.shelf.SolveBatch(ctx, in.Tank, in.Body)
		return &body[shelf.Batch]{b}, mended(err)
	})
	add(s, roleCrew, post("solveBottles", sumsPath+"/bottles", "Part the salts of a dose into stock solutions", tagSums), func(_ context.Context, in *struct{ Body shelf.BottlesAsk }) (*body[recipe.StockCard], error) {
		c, err := shelf.SolveBottles(in.Body)
		return &body[recipe.StockCard]{c}, mended(err)
	})
}

// mended makes a problem of what whoever asked can mend.
func mended(err error) error {
	var bad shelf.ErrSum
	if !errors.As(err, &bad) {
		return err
	}
	return wrong("change that value and ask again", errors.New(strings.ReplaceAll(bad.Error(), "\n", "; ")))
}
