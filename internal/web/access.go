package web

import (
	"context"
	"crypto/rand"
	"crypto/sha256"
	"encoding/base64"
	"encoding/hex"
	"encoding/json"
	"errors"
	"littoral/internal/store"
	"net"
	"net/http"
	"net/url"
	"slices"
	"strings"
	"time"

	"github.com/alexedwards/scs/v2"
	"github.com/danielgtaylor/huma/v2"
)

// asker is who asks.
type asker struct {
	ID   string // of the account; empty on one's own machine
	Name string
	Role string // empty = nobody
	Tank string // the one tank a client may look at
}

type askerKey struct{}

func askerOf(ctx context.Context) asker {
	a, _ := ctx.Value(askerKey{}).(asker)
	return a
}

// who names the person behind a request, for what is kept.
func who(ctx context.Context) string { return askerOf(ctx).Name }

// ranks orders roles by what they may do.
var ranks = map[string]int{"": 0, roleClient: 1, roleCrew: 2, roleDesigner: 3, roleOwner: 4}

// refuse writes a problem outside the API's own way.
func (s *Server) refuse(w http.ResponseWriter, r *http.Request, p *Problem) {
	w.Header().Set("Content-Type", "application/problem+json")
	w.WriteHeader(p.Status)
	_ = json.NewEncoder(w).Encode(toldProblem(wishOf(r), p)) // who has gone needs no answer
}

// policy is what pages may do: nothing from outside, and no script or style but from our own files.
const policy = "default-src 'self'; script-src 'self'; style-src 'self'; img-src 'self' data: blob:; connect-src 'self' blob:; worker-src 'self'; object-src 'none'; base-uri 'none'; form-action 'self'; frame-ancestors 'self'"

// guarded puts everything that holds for every request before a handler.
func (s *Server) guarded(next http.Handler) http.Handler {
	cross := http.NewCrossOriginProtection()
	cross.SetDenyHandler(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		s.refuse(w, r, problem(http.StatusForbidden, "open this program's own page and do it there", "the request comes from another site's page"))
	}))
	h := s.identified(s.audited(cross.Handler(next)))
	if s.Accounts {
		h = s.sessions.LoadAndSave(h)
	}
	h = s.addressed(h)
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		defer func() {
			if p := recover(); p != nil {
				if p == http.ErrAbortHandler { //nolint:errorlint // the value itself
					panic(p)
				}
				s.log("error: %s %s broke off: %v", r.Method, r.URL.Path, p)
				s.refuse(w, r, problem(http.StatusInternalServerError, "try again; if it stays, the server's terminal says more", "the program could not do this"))
			}
		}()
		head := w.Header()
		head.Set("Content-Security-Policy", policy)
		head.Set("X-Content-Type-Options", "nosniff")
		head.Set("Referrer-Policy", "no-referrer")
		head.Set("Permissions-Policy", "camera=(self), geolocation=(), microphone=(), payment=(), usb=()")
		head.Set("Cross-Origin-Opener-Policy", "same-origin")
		head.Set("Cross-Origin-Resource-Policy", "same-origin")
		// Bodies are bounded by each operation. A reader around the body here would hide from net/http that it was left half read, and the rest
		// would be taken for the next request.
		h.ServeHTTP(w, r)
	})
}

// loopbackNames are how one's own machine is called.
var loopbackNames = []string{"localhost", "127.0.0.1", "::1"}

// addressed refuses requests that were not meant for this server: on one's own machine a host that is not the machine (a foreign name may
// be made to lead here), and anywhere an origin that is not this server.
func (s *Server) addressed(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		host := r.Host
		if h, _, err := net.SplitHostPort(host); err == nil {
			host = h
		}
		host = strings.ToLower(strings.Trim(host, "[]"))
		if !s.Accounts && !slices.Contains(loopbackNames, host) {
			s.refuse(w, r, problem(http.StatusMisdirectedRequest, "open http://localhost with the port that the terminal names", "this server answers for its own machine only"))
			return
		}
		if origin := r.Header.Get("Origin"); origin != "" {
			u, err := url.Parse(origin)
			if err != nil || u.Host != r.Host {
				s.refuse(w, r, problem(http.StatusForbidden, "open this program's own page and do it there", "the request comes from another site's page"))
				return
			}
		}
		next.ServeHTTP(w, r)
	})
}

// Names of what sessions and cookies hold.
const (
	sessionUser = "user"
	linkCookie  = "littoral_link"
)

// identified finds out who asks.
func (s *Server) identified(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		a, err := s.identify(r)
		if err != nil {
			s.log("error: who asks could not be found out: %v", err)
			s.refuse(w, r, problem(http.StatusInternalServerError, "try again; if it stays, the server's terminal says more", "the program could not do this"))
			return
		}
		next.ServeHTTP(w, r.WithContext(context.WithValue(r.Context(), askerKey{}, a)))
	})
}

func (s *Server) identify(r *http.Request) (asker, error) {
	if !s.Accounts {
		return asker{Role: roleOwner}, nil
	}
	if id := s.sessions.GetString(r.Context(), sessionUser); id != "" {
		u, err := s.store.User(r.Context(), id)
		if err == nil && !u.Closed {
			return asker{ID: u.ID, Name: u.Name, Role: u.Role}, nil
		}
		if err != nil && !errors.Is(err, store.ErrNotFound) {
			return asker{}, err
		}
	}
	c, err := r.Cookie(linkCookie)
	if err != nil {
		return asker{}, nil //nolint:nilerr // no cookie: nobody
	}
	l, err := s.link(r.Context(), c.Value)
	if errors.Is(err, store.ErrNotFound) {
		return asker{}, nil
	}
	return asker{Name: "client: " + l.Name, Role: roleClient, Tank: l.Tank}, err
}

// link finds a link in force by its token.
func (s *Server) link(ctx context.Context, token string) (store.Link, error) {
	l, err := s.store.LinkByHash(ctx, digest(token))
	if err == nil && (!l.Revoked.IsZero() || !l.Expiry.IsZero() && s.now().After(l.Expiry)) {
		err = store.ErrNotFound
	}
	return l, err
}

func digest(token string) string {
	sum := sha256.Sum256([]byte(token))
	return hex.EncodeToString(sum[:])
}

func newToken() string {
	b := make([]byte, 32)
	rand.Read(b) //nolint:errcheck // it never fails (package crypto/rand)
	return base64.RawURLEncoding.EncodeToString(b)
}

// audited keeps who wrote what.
func (s *Server) audited(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if r.Method == http.MethodGet || r.Method == http.MethodHead || r.Method == http.MethodOptions || strings.HasPrefix(r.URL.Path, sumsPath+"/") {
			next.ServeHTTP(w, r)
			return
		}
		seen := &statusWriter{ResponseWriter: w, status: http.StatusOK}
		next.ServeHTTP(seen, r)
		tank := ""
		if rest, ok := strings.CutPrefix(r.URL.Path, "/api/tanks/"); ok {
			tank, _, _ = strings.Cut(rest, "/")
		}
		name := who(r.Context())
		if name == "" {
			name = "local"
			if s.Accounts {
				name = "nobody"
			}
		}
		act := store.Act{At: s.now(), Who: clip(name, 200), What: clip(r.Method+" "+r.URL.Path, 300), Tank: clip(tank, 64), Status: seen.status}
		if err := s.store.AddAct(context.WithoutCancel(r.Context()), act); err != nil {
			s.log("error: the audit could not be written: %v", err)
		}
	})
}

func clip(s string, most int) string {
	s = strings.ToValidUTF8(s, "?")
	if len(s) > most {
		return strings.ToValidUTF8(s[:most], "")
	}
	return s
}

// statusWriter remembers the status of an answer.
type statusWriter struct {
	http.ResponseWriter
	status int
}

// WriteHeader implements http.ResponseWriter.
func (w *statusWriter) WriteHeader(status int) {
	w.status = status
	w.ResponseWriter.WriteHeader(status)
}

// Unwrap lets http.ResponseController reach the writer beneath.
func (w *statusWriter) Unwrap() http.ResponseWriter { return w.ResponseWriter }

// allowed lets an operation through to those who may use it, and a client to its own tank only.
func (s *Server) allowed(ctx huma.Context, next func(huma.Context)) {
	need, _ := ctx.Operation().Metadata["role"].(string)
	a := askerOf(ctx.Context())
	var p *Problem
	switch {
	case ranks[a.Role] >= ranks[need] && a.Role != roleClient:
	case a.Role == "" && need != "":
		p = problem(http.StatusUnauthorized, "sign in", "this is for people with an account")
	case ranks[a.Role] < ranks[need]:
		p = problem(http.StatusForbidden, "ask the owner of this shelf", "your role, %s, may not do this; it is for the role %s", a.Role, need)
	case need == roleClient:
		p = s.ownTank(ctx, a)
	}
	if p != nil {
		_ = huma.WriteErr(s.api, ctx, p.Status, p.Detail, cured{p.Cure}) // who has gone needs no answer
		return
	}
	next(ctx)
}

// ownTank refuses what belongs to another tank than a client's, as if it were not there.
func (s *Server) ownTank(ctx huma.Context, a asker) *Problem {
	tank := ctx.Param("tank")
	if key := ctx.Param("key"); key != "" {
		f, err := s.store.Forecast(ctx.Context(), key)
		if err != nil && !errors.Is(err, store.ErrNotFound) {
			s.log("error: %v", err)
		}
		tank = f.Tank
		if tank == "" {
			tank = "none"
		}
	}
	if tank != "" && tank != a.Tank {
		return problem(http.StatusNotFound, "look on the shelf for what is there", "there is nothing under this name")
	}
	return nil
}

// cured carries a cure through the library to the problem it writes.
type cured struct{ cure string }

func (c cured) Error() string { return c.cure }

// sessionStore keeps sessions in the store.
type sessionStore struct{ store.Store }

func (s sessionStore) FindCtx(ctx context.Context, token string) ([]byte, bool, error) {
	b, expiry, err := s.Session(ctx, token)
	if errors.Is(err, store.ErrNotFound) || err == nil && time.Now().After(expiry) {
		return nil, false, nil
	}
	return b, err == nil, err
}

func (s sessionStore) CommitCtx(ctx context.Context, token string, b []byte, expiry time.Time) error {
	return s.PutSession(ctx, token, b, expiry)
}

func (s sessionStore) DeleteCtx(ctx context.Context, token string) error {
	return s.DeleteSession(ctx, token)
}

func (s sessionStore) Find(token string) ([]byte, bool, error) {
	return s.FindCtx(context.Background(), token)
}

func (s sessionStore) Commit(token string, b []byte, expiry time.Time) error {
	return s.CommitCtx(context.Background(), token, b, expiry)
}

func (s sessionStore) Delete(token string) error { return s.DeleteCtx(context.Background(), token) }

// Times of sessions, our own choice: a working day without use, a month in all.
const (
	sessionIdle = 24 * time.Hour
	sessionLife = 30 * 24 * time.Hour
)

func newSessions(st store.Store) *scs.SessionManager {
	m := scs.New()
	m.Store = sessionStore{st}
	m.HashTokenInStore = true
	m.Lifetime, m.IdleTimeout = sessionLife, sessionIdle
	m.Cookie.Name = "littoral"
	m.Cookie.HttpOnly, m.Cookie.Secure, m.Cookie.SameSite = true, true, http.SameSiteStrictMode
	return m
}
