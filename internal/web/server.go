package web

import (
	"context"
	"encoding/json"
	"errors"
	"littoral/internal/jobs"
	"littoral/internal/shelf"
	"littoral/internal/store"
	"net/http"
	"reflect"
	"sync"
	"time"

	"github.com/alexedwards/scs/v2"
	"github.com/danielgtaylor/huma/v2"
	"github.com/danielgtaylor/huma/v2/adapters/humachi"
	"github.com/go-chi/chi/v5"
	"github.com/go-chi/chi/v5/middleware"
)

// Config says how a server serves.
type Config struct {
	Version string
	// Accounts is set when the server is reached from other machines: people sign in, and what they may do hangs on their role. Without,
	// whoever sits at the machine may do everything.
	Accounts bool
	Log      func(format string, a ...any) // where the server says what went wrong; nil = nowhere
}

// Server answers requests.
type Server struct {
	Config
	shelf *shelf.Shelf
	store store.Store
	queue *jobs.Queue
	api   huma.API
	mux   http.Handler

	sessions *scs.SessionManager
	guesses  limiter
	idle     sync.Map // of tanks, the job that forecasts them until the drawing board is used again
	renewed  renewal
}

func (s *Server) log(format string, a ...any) {
	if s.Log != nil {
		s.Log(format, a...)
	}
}

// New makes a server over a shelf and a queue whose works are Works of the same shelf.
func New(sh *shelf.Shelf, queue *jobs.Queue, c Config) *Server {
	s := &Server{Config: c, shelf: sh, store: sh.Store, queue: queue, sessions: newSessions(sh.Store)}
	r := chi.NewRouter()
	packed := []string{"application/json", "application/problem+json", "image/svg+xml", "text/html", "text/css", "text/csv", "text/javascript", "application/javascript"}
	if c.Accounts { // over a network 6 MB are better than 16; on one's own machine packing only takes time
		packed = append(packed, "model/gltf-binary")
	}
	r.Use(middleware.Compress(5, packed...))
	s.api = humachi.New(r, apiConfig(c.Version))
	s.api.UseMiddleware(s.allowed)
	s.routes()
	r.Get("/look/{token}", s.look)
	r.NotFound(s.pages)
	r.MethodNotAllowed(func(w http.ResponseWriter, r *http.Request) {
		s.refuse(w, r, problem(http.StatusMethodNotAllowed, "GET /api/openapi.json lists what there is", "the address does not know %s", r.Method))
	})
	s.mux = spoken(s.guarded(r))
	return s
}

// ServeHTTP implements http.Handler.
func (s *Server) ServeHTTP(w http.ResponseWriter, r *http.Request) { s.mux.ServeHTTP(w, r) }

func apiConfig(version string) huma.Config {
	c := huma.DefaultConfig("Littoral", version)
	c.Info.Description = "The shelf of tanks: plans, forecasts, journal. Errors are problem documents (RFC 9457) with the cure as a member."
	c.DocsPath = "" // its page would load scripts from outside
	c.OpenAPIPath = "/api/openapi"
	c.SchemasPath = ""
	c.CreateHooks = nil
	c.Transformers = append(c.Transformers, fill, retell)
	c.AllowAdditionalPropertiesByDefault = false
	c.FieldsOptionalByDefault = false
	return c
}

// OpenAPI returns the description of the API without a server behind it.
func OpenAPI(version string) ([]byte, error) {
	s := &Server{}
	s.api = humachi.New(chi.NewRouter(), apiConfig(version))
	s.routes()
	raw, err := json.Marshal(s.api.OpenAPI())
	if err != nil {
		return nil, err
	}
	var v any
	if err := json.Unmarshal(raw, &v); err != nil {
		return nil, err
	}
	out, err := json.MarshalIndent(v, "", "  ")
	return append(out, '\n'), err
}

// fill makes empty lists of lists that are nil, so that a page always finds a list where the description promises one.
func fill(_ huma.Context, _ string, v any) (any, error) {
	if v == nil {
		return v, nil
	}
	rv := reflect.ValueOf(v)
	if rv.Kind() != reflect.Pointer {
		copied := reflect.New(rv.Type())
		copied.Elem().Set(rv)
		rv = copied
	}
	fillIn(rv.Elem())
	return rv.Interface(), nil
}

func fillIn(v reflect.Value) {
	switch v.Kind() {
	case reflect.Pointer:
		if !v.IsNil() {
			fillIn(v.Elem())
		}
	case reflect.Struct:
		for i := range v.NumField() {
			if v.Type().Field(i).IsExported() {
				fillIn(v.Field(i))
			}
		}
	case reflect.Slice:
		if v.IsNil() && v.CanSet() && v.Type().Elem().Kind() != reflect.Uint8 {
			v.Set(reflect.MakeSlice(v.Type(), 0, 0))
		}
		switch v.Type().Elem().Kind() {
		case reflect.Struct, reflect.Slice, reflect.Pointer:
			for i := range v.Len() {
				fillIn(v.Index(i))
			}
		default:
		}
	default:
	}
}

// None is the answer that says nothing but that it was done.
type none struct{}

// data is an answer whose bytes are not JSON.
type data struct {
	Type     string `header:"Content-Type"`
	Cache    string `header:"Cache-Control"`
	Name     string `header:"Content-Disposition"`
	Security string `header:"Content-Security-Policy"`
	Body     []byte
}

// Caching: what stands under a key never changes.
const (
	forever = "private, max-age=31536000, immutable"
	asksNow = "private, no-cache"
)

// body wraps a value as an answer.
type body[T any] struct{ Body T }

// binary describes an answer of a media type.
func binary(types ...string) map[string]*huma.Response {
	content := map[string]*huma.MediaType{}
	for _, t := range types {
		content[t] = &huma.MediaType{Schema: &huma.Schema{Type: "string", Format: "binary"}}
	}
	return map[string]*huma.Response{"200": {Description: "OK", Content: content}}
}

// bodyTime is how long a body may take: a photo from a plant room with a poor network takes its time.
const bodyTime = 3 * time.Minute

// add registers an operation with the least role that may do it.
func add[I, O any](s *Server, role string, op huma.Operation, do func(ctx context.Context, in *I) (*O, error)) {
	op.Metadata = map[string]any{"role": role}
	op.Extensions = map[string]any{"x-role": role}
	op.BodyReadTimeout = bodyTime
	huma.Register(s.api, op, func(ctx context.Context, in *I) (*O, error) {
		out, err := do(ctx, in)
		if err != nil {
			var status huma.StatusError
			if errors.As(err, &status) {
				return nil, err
			}
			return nil, s.failed(ctx, err)
		}
		return out, nil
	})
}

func get(id, path, what, tag string) huma.Operation {
	return huma.Operation{OperationID: id, Method: http.MethodGet, Path: path, Summary: what, Tags: []string{tag}}
}

func post(id, path, what, tag string) huma.Operation {
	return huma.Operation{OperationID: id, Method: http.MethodPost, Path: path, Summary: what, Tags: []string{tag}, DefaultStatus: http.StatusOK}
}

func with(op huma.Operation, change func(op *huma.Operation)) huma.Operation {
	change(&op)
	return op
}

// routes registers every operation.
func (s *Server) routes() {
	s.shelfRoutes()
	s.planRoutes()
	s.boardRoutes()
	s.drawingRoutes()
	s.forecastRoutes()
	s.studyRoutes()
	s.sumRoutes()
	s.speciesRoutes()
	s.careRoutes()
	s.journalRoutes()
	s.accessRoutes()
	s.archiveRoutes()
	s.jobRoutes()
}

// Tags under which operations are listed.
const (
	tagShelf    = "Shelf"
	tagPlan     = "Plan"
	tagBoard    = "Board"
	tagForecast = "Forecast"
	tagWork     = "Work"
	tagStudy    = "Study"
	tagSums     = "Sums"
	tagSpecies  = "Species"
	tagCare     = "Care"
	tagJournal  = "Journal"
	tagAccess   = "Access"
)

// Roles in the order of what they may do; each may do what the ones before it may.
const (
	roleClient   = "client"
	roleCrew     = store.Crew
	roleDesigner = store.Designer
	roleOwner    = store.Owner
)

// now is the time on the wall, in UTC for the store.
func (s *Server) now() time.Time { return s.shelf.Now().UTC() }
