package web

import (
	"context"
	"errors"
	"littoral/internal/shelf"
	"net/http"

	"github.com/danielgtaylor/huma/v2"
)

// ImportedTanks names the tanks that were put on the shelf.
type ImportedTanks struct {
	Tanks []shelf.Imported `json:"tanks"`
}

func (s *Server) archiveRoutes() {
	add(s, roleDesigner, with(get("getArchive", "/api/archive", "Plans of one tank or of all, with their files, as one zip archive", tagShelf), func(op *huma.Operation) {
		op.Responses = binary("application/zip")
	}), func(ctx context.Context, in *struct {
		Tank string `query:"tank" maxLength:"64" doc:"id of a tank; empty = all"`
	},
	) (*data, error) {
		b, err := s.shelf.Export(ctx, in.Tank)
		return &data{Type: "application/zip", Cache: asksNow, Name: "attachment; filename=littoral.zip", Body: b}, err
	})
	add(s, roleDesigner, with(post("addArchive", "/api/archive", "Put the plans of an archive on the shelf", tagShelf), func(op *huma.Operation) {
		op.DefaultStatus = http.StatusCreated
		op.MaxBodyBytes = shelf.MostArchive
		op.RequestBody = &huma.RequestBody{Required: true, Content: map[string]*huma.MediaType{"application/zip": {Schema: &huma.Schema{Type: "string", Format: "binary"}}}}
	}), func(ctx context.Context, in *struct{ RawBody []byte }) (*body[ImportedTanks], error) {
		list, err := s.shelf.Import(ctx, in.RawBody, who(ctx))
		if err != nil {
			return nil, s.imported(ctx, err)
		}
		return &body[ImportedTanks]{ImportedTanks{list}}, nil
	})
}

func (s *Server) imported(ctx context.Context, err error) error {
	var bad shelf.BadArchive
	if errors.As(err, &bad) {
		return wrong("mend the archive, or send the plans one by one", bad)
	}
	return s.failed(ctx, err)
}
