package web

import (
	"context"
	"errors"
	"fmt"
	"littoral/internal/shelf"
	"littoral/internal/store"
	"net"
	"net/http"
	"runtime"
	"strings"
	"sync"
	"time"

	"github.com/alexedwards/argon2id"
	"github.com/danielgtaylor/huma/v2"
	"github.com/google/uuid"
)

// hashing is argon2id with 19 MiB, two passes and one lane (OWASP Password Storage Cheat Sheet, from memory).
var hashing = argon2id.Params{Memory: 19 * 1024, Iterations: 2, Parallelism: 1, SaltLength: 16, KeyLength: 32}

// Bounds of passwords: long enough that guessing over a network is hopeless, short enough to hash (NIST SP 800-63B, from memory, asks for
// 8 at least and lets people choose freely).
const (
	leastPassword = 12
	mostPassword  = 200
)

// NewUser makes an account with a hashed password. It says what is wrong with name, role or password.
func NewUser(name, role, password string, now time.Time) (store.User, error) {
	name = strings.TrimSpace(name)
	if name == "" || len(name) > 80 || strings.ContainsAny(name, "\x00\n\r\t") {
		return store.User{}, errors.New("a person needs a name of 1 to 80 characters")
	}
	if ranks[role] < ranks[roleCrew] {
		return store.User{}, fmt.Errorf("%q is no role; take owner, designer or crew", role)
	}
	hash, err := hashed(password)
	if err != nil {
		return store.User{}, err
	}
	id, err := uuid.NewV7()
	return store.User{ID: id.String(), Name: name, Role: role, Hash: hash, Made: now}, err
}

func hashed(password string) (string, error) {
	if n := len([]rune(password)); n < leastPassword || len(password) > mostPassword {
		return "", fmt.Errorf("a password has %d to %d characters; a sentence of a few words is easy to keep", leastPassword, mostPassword)
	}
	return argon2id.CreateHash(password, &hashing)
}

// limiter slows guessing down: so many failures of one kind within a span, then none is tried until the oldest is past.
type limiter struct {
	lock   sync.Mutex
	failed map[string][]time.Time
}

// Limits of failures, our own choice.
const (
	failSpan    = 15 * time.Minute
	failsOfName = 8
	failsOfHost = 24
	mostTracked = 10_000
)

// wait tells how long to wait before a key may be tried again; 0 = now.
func (l *limiter) wait(key string, most int, now time.Time) time.Duration {
	l.lock.Lock()
	defer l.lock.Unlock()
	list := l.failed[key]
	for len(list) > 0 && now.Sub(list[0]) > failSpan {
		list = list[1:]
	}
	if len(list) == 0 {
		delete(l.failed, key)
		return 0
	}
	l.failed[key] = list
	if len(list) < most {
		return 0
	}
	return failSpan - now.Sub(list[len(list)-most])
}

func (l *limiter) fail(key string, now time.Time) {
	l.lock.Lock()
	defer l.lock.Unlock()
	if l.failed == nil || len(l.failed) > mostTracked {
		l.failed = map[string][]time.Time{}
	}
	l.failed[key] = append(l.failed[key], now)
}

// Me is who one is to the server, and how the server shows things.
type Me struct {
	Name     string `json:"name" doc:"of the account; empty on one's own machine"`
	Role     string `json:"role" enum:",client,crew,designer,owner" doc:"empty: sign in first"`
	Tank     string `json:"tank" doc:"of a client: the one tank to look at"`
	Accounts bool   `json:"accounts" doc:"the server demands accounts"`
	Version  string `json:"version"`
	Units    string `json:"units" enum:"metric,US"`
	Language string `json:"language" doc:"BCP 47 tag; empty = the browser's"`
}

// Credentials are a name and its password.
type Credentials struct {
	Name     string `json:"name" maxLength:"80"`
	Password string `json:"password" maxLength:"200"`
}

// Settings hold for the whole shelf.
type Settings struct {
	Units    string `json:"units" enum:"metric,US"`
	Language string `json:"language" maxLength:"16" pattern:"^[A-Za-z0-9-]*$" doc:"BCP 47 tag; empty = the browser's"`
}

// Person is an account.
type Person struct {
	ID     string    `json:"id"`
	Name   string    `json:"name"`
	Role   string    `json:"role" enum:"owner,designer,crew"`
	Closed bool      `json:"closed"`
	Made   time.Time `json:"made"`
}

// People are all accounts.
type People struct {
	People []Person `json:"people"`
}

// NewPerson asks for an account.
type NewPerson struct {
	Name     string `json:"name" maxLength:"80"`
	Role     string `json:"role" enum:"owner,designer,crew"`
	Password string `json:"password" maxLength:"200" doc:"12 characters at least"`
}

// ChangePerson changes an account; what is absent stays.
type ChangePerson struct {
	Role     string `json:"role,omitempty" enum:"owner,designer,crew"`
	Password string `json:"password,omitempty" maxLength:"200"`
	Closed   *bool  `json:"closed,omitempty"`
}

// ClientLink is a way to look at one tank without an account.
type ClientLink struct {
	ID      string     `json:"id"`
	Name    string     `json:"name" doc:"for whom it is"`
	Made    time.Time  `json:"made"`
	Expiry  *time.Time `json:"expiry" doc:"null = until revoked"`
	Revoked bool       `json:"revoked"`
	Path    string     `json:"path" doc:"address on this server, shown once when it is made; empty later"`
}

// ClientLinks are all links of a tank.
type ClientLinks struct {
	Links []ClientLink `json:"links"`
}

// NewLink asks for a link.
type NewLink struct {
	Name string `json:"name" maxLength:"80"`
	Days int    `json:"days,omitempty" minimum:"0" maximum:"3650" doc:"how long it holds; 0 = until revoked"`
}

// Act is a line of the audit.
type Act struct {
	Number int       `json:"number"`
	At     time.Time `json:"at"`
	Who    string    `json:"who"`
	What   string    `json:"what"`
	Tank   string    `json:"tank"`
	Status int       `json:"status"`
}

// Acts is a page of the audit, latest first.
type Acts struct {
	Acts []Act `json:"acts"`
	Next int   `json:"next" doc:"give it as before to read on; 0 at the end"`
}

// usualUnits are those of a shelf on which nothing is said.
const (
	usualUnits      = "metric"
	settingLanguage = "language"
)

func (s *Server) accessRoutes() {
	add(s, "", get("getMe", "/api/me", "Who one is to the server", tagAccess), func(ctx context.Context, _ *none) (*body[Me], error) {
		a := askerOf(ctx)
		set, err := s.settings(ctx)
		return &body[Me]{Me{a.Name, a.Role, a.Tank, s.Accounts, s.Version, set.Units, set.Language}}, err
	})
	add(s, "", with(post("signIn", "/api/login", "Sign in", tagAccess), noContent), func(ctx context.Context, in *struct {
		From remote
		Body Credentials
	},
	) (*none, error) {
		return nil, s.signIn(ctx, in.From.host, in.Body)
	})
	add(s, "", with(post("signOut", "/api/logout", "Sign out", tagAccess), noContent), func(ctx context.Context, _ *none) (*none, error) {
		if !s.Accounts {
			return nil, nil
		}
		return nil, s.sessions.Destroy(ctx)
	})
	add(s, roleClient, get("getSettings", "/api/settings", "How the shelf shows things", tagAccess), func(ctx context.Context, _ *none) (*body[Settings], error) {
		set, err := s.settings(ctx)
		return &body[Settings]{set}, err
	})
	add(s, roleDesigner, with(post("putSettings", "/api/settings", "Change how the shelf shows things", tagAccess), func(op *huma.Operation) { op.Method = http.MethodPut }), func(ctx context.Context, in *struct{ Body Settings }) (*body[Settings], error) {
		units := in.Body.Units
		if units == usualUnits { // kept as nothing said, so that choosing it makes no forecast stale
			units = ""
		}
		if err := s.store.PutSetting(ctx, shelf.SettingUnits, units); err != nil {
			return nil, err
		}
		return &body[Settings]{in.Body}, s.store.PutSetting(ctx, settingLanguage, in.Body.Language)
	})
	s.houseRoutes()
	s.peopleRoutes()
	s.linkRoutes()
	add(s, roleOwner, get("listActs", "/api/audit", "Who wrote what, latest first", tagAccess), func(ctx context.Context, in *struct {
		Before int `query:"before" minimum:"0"`
		Limit  int `query:"limit" default:"100" minimum:"1" maximum:"500"`
	},
	) (*body[Acts], error) {
		list, err := s.store.Acts(ctx, in.Before, in.Limit)
		out := Acts{}
		for _, a := range list {
			out.Acts = append(out.Acts, Act(a))
		}
		if len(list) == in.Limit {
			out.Next = list[len(list)-1].Number
		}
		return &body[Acts]{out}, err
	})
}

// remote tells from where a request comes.
type remote struct{ host string }

// Resolve implements huma.Resolver.
func (r *remote) Resolve(ctx huma.Context) []error {
	r.host = ctx.RemoteAddr()
	if h, _, err := net.SplitHostPort(r.host); err == nil {
		r.host = h
	}
	return nil
}

func (s *Server) settings(ctx context.Context) (Settings, error) {
	units, err := s.store.Setting(ctx, shelf.SettingUnits)
	if err != nil {
		return Settings{}, err
	}
	if units == "" {
		units = usualUnits
	}
	language, err := s.store.Setting(ctx, settingLanguage)
	return Settings{units, language}, err
}

// nobody is hashed against when a name is unknown, so that the answer takes as long as for a known one.
var nobody = sync.OnceValues(func() (string, error) { return argon2id.CreateHash("nobody has this password", &hashing) })

// hashes bounds how many passwords are hashed at a time; each takes 19 MiB.
var hashes = make(chan struct{}, max(2, runtime.NumCPU()))

func (s *Server) signIn(ctx context.Context, host string, in Credentials) error {
	if !s.Accounts {
		return problem(http.StatusConflict, "go on without", "this server is for its own machine only and needs no sign-in")
	}
	now := s.now()
	name, from := "name "+strings.ToLower(strings.TrimSpace(in.Name)), "host "+host
	if wait := max(s.guesses.wait(name, failsOfName, now), s.guesses.wait(from, failsOfHost, now)); wait > 0 {
		return problem(http.StatusTooManyRequests, fmt.Sprintf("wait %d minutes and try again", int(wait.Minutes())+1), "too many sign-ins failed")
	}
	select {
	case hashes <- struct{}{}:
		defer func() { <-hashes }()
	case <-ctx.Done():
		return ctx.Err()
	}
	u, err := s.store.UserByName(ctx, strings.TrimSpace(in.Name))
	unknown := errors.Is(err, store.ErrNotFound)
	if err != nil && !unknown {
		return err
	}
	hash := u.Hash
	if unknown {
		if hash, err = nobody(); err != nil {
			return err
		}
	}
	match, err := argon2id.ComparePasswordAndHash(in.Password, hash)
	if err != nil {
		return err
	}
	if !match || unknown || u.Closed {
		s.guesses.fail(name, now)
		s.guesses.fail(from, now)
		return problem(http.StatusUnauthorized, "try again, or ask the owner for a new password", "name and password do not fit")
	}
	if err := s.sessions.RenewToken(ctx); err != nil {
		return err
	}
	s.sessions.Put(ctx, sessionUser, u.ID)
	return nil
}

func (s *Server) peopleRoutes() {
	person := func(u store.User) Person { return Person{u.ID, u.Name, u.Role, u.Closed, u.Made} }
	add(s, roleOwner, get("listPeople", "/api/people", "All accounts", tagAccess), func(ctx context.Context, _ *none) (*body[People], error) {
		list, err := s.store.Users(ctx)
		out := People{}
		for _, u := range list {
			out.People = append(out.People, person(u))
		}
		return &body[People]{out}, err
	})
	add(s, roleOwner, with(post("addPerson", "/api/people", "Add an account", tagAccess), func(op *huma.Operation) { op.DefaultStatus = http.StatusCreated }), func(ctx context.Context, in *struct{ Body NewPerson }) (*body[Person], error) {
		u, err := NewUser(in.Body.Name, in.Body.Role, in.Body.Password, s.now())
		if err != nil {
			return nil, wrong("change what is named", err)
		}
		return &body[Person]{person(u)}, s.store.AddUser(ctx, u)
	})
	add(s, roleOwner, with(post("changePerson", "/api/people/{person}", "Change role or password, or close an account", tagAccess), func(op *huma.Operation) { op.Method = http.MethodPatch }), func(ctx context.Context, in *struct {
		Person string `path:"person" maxLength:"64"`
		Body   ChangePerson
	},
	) (*body[Person], error) {
		u, err := s.changePerson(ctx, in.Person, in.Body)
		return &body[Person]{person(u)}, err
	})
	add(s, roleCrew, with(post("changePassword", "/api/me/password", "Change one's own password", tagAccess), noContent), func(ctx context.Context, in *struct {
		Body struct {
			Old string `json:"old" maxLength:"200"`
			New string `json:"new" maxLength:"200"`
		}
	},
	) (*none, error) {
		a := askerOf(ctx)
		if a.ID == "" {
			return nil, problem(http.StatusConflict, "go on without", "there are no accounts on this server")
		}
		u, err := s.store.User(ctx, a.ID)
		if err != nil {
			return nil, err
		}
		now := s.now()
		if wait := s.guesses.wait("own "+u.ID, failsOfName, now); wait > 0 {
			return nil, problem(http.StatusTooManyRequests, "wait a quarter of an hour", "the old password was wrong too often")
		}
		match, err := argon2id.ComparePasswordAndHash(in.Body.Old, u.Hash)
		if err != nil {
			return nil, err
		}
		if !match {
			s.guesses.fail("own "+u.ID, now)
			return nil, problem(http.StatusForbidden, "try again, or ask the owner for a new one", "the old password is another one")
		}
		if u.Hash, err = hashed(in.Body.New); err != nil {
			return nil, wrong("choose another password", err)
		}
		if err := s.store.SetUser(ctx, u); err != nil {
			return nil, err
		}
		return nil, s.sessions.RenewToken(ctx)
	})
}

// changing keeps two changes of people from leaving the shelf without an owner.
var changing sync.Mutex

func (s *Server) changePerson(ctx context.Context, id string, in ChangePerson) (store.User, error) {
	changing.Lock()
	defer changing.Unlock()
	u, err := s.store.User(ctx, id)
	if err != nil {
		return u, err
	}
	was := u
	if in.Role != "" {
		u.Role = in.Role
	}
	if in.Closed != nil {
		u.Closed = *in.Closed
	}
	if in.Password != "" {
		if u.Hash, err = hashed(in.Password); err != nil {
			return u, wrong("choose another password", err)
		}
	}
	if was.Role == roleOwner && !was.Closed && (u.Role != roleOwner || u.Closed) {
		all, err := s.store.Users(ctx)
		if err != nil {
			return u, err
		}
		owners := 0
		for _, x := range all {
			if x.Role == roleOwner && !x.Closed {
				owners++
			}
		}
		if owners < 2 {
			return u, problem(http.StatusConflict, "make another owner first", "this is the last owner of the shelf")
		}
	}
	return u, s.store.SetUser(ctx, u)
}

func (s *Server) linkRoutes() {
	view := func(l store.Link, path string) ClientLink {
		out := ClientLink{ID: l.ID, Name: l.Name, Made: l.Made, Revoked: !l.Revoked.IsZero(), Path: path}
		if !l.Expiry.IsZero() {
			out.Expiry = &l.Expiry
		}
		return out
	}
	add(s, roleDesigner, get("listLinks", "/api/tanks/{tank}/links", "Links for clients to look at a tank", tagAccess), func(ctx context.Context, in *TankID) (*body[ClientLinks], error) {
		list, err := s.store.Links(ctx, in.Tank)
		out := ClientLinks{}
		for _, l := range list {
			out.Links = append(out.Links, view(l, ""))
		}
		return &body[ClientLinks]{out}, err
	})
	add(s, roleDesigner, with(post("addLink", "/api/tanks/{tank}/links", "Make a link for a client", tagAccess), func(op *huma.Operation) { op.DefaultStatus = http.StatusCreated }), func(ctx context.Context, in *struct {
		TankID
		Body NewLink
	},
	) (*body[ClientLink], error) {
		if _, err := s.store.Tank(ctx, in.Tank); err != nil {
			return nil, err
		}
		id, err := uuid.NewV7()
		if err != nil {
			return nil, err
		}
		token := newToken()
		l := store.Link{ID: id.String(), Tank: in.Tank, Name: in.Body.Name, Hash: digest(token), Made: s.now()}
		if in.Body.Days > 0 {
			l.Expiry = l.Made.AddDate(0, 0, in.Body.Days)
		}
		return &body[ClientLink]{view(l, "/look/"+token)}, s.store.AddLink(ctx, l)
	})
	add(s, roleDesigner, with(get("revokeLink", "/api/tanks/{tank}/links/{link}", "Revoke a link", tagAccess), func(op *huma.Operation) {
		op.Method = http.MethodDelete
		noContent(op)
	}), func(ctx context.Context, in *struct {
		TankID
		Link string `path:"link" maxLength:"64"`
	},
	) (*none, error) {
		return nil, s.store.RevokeLink(ctx, in.Tank, in.Link, s.now())
	})
}

// look turns a client's link into a cookie, and leads to the tank.
func (s *Server) look(w http.ResponseWriter, r *http.Request) {
	token := strings.TrimPrefix(r.URL.Path, "/look/")
	l, err := s.link(r.Context(), token)
	if err != nil {
		if !errors.Is(err, store.ErrNotFound) {
			s.log("error: %v", err)
		}
		w.Header().Set("Content-Type", "text/plain; charset=utf-8")
		w.WriteHeader(http.StatusNotFound)
		_, _ = w.Write([]byte(wishOf(r).Tell("This link is not, or no longer, in force. Ask whoever gave it to you for a new one.\n")))
		return
	}
	w.Header().Set("Cache-Control", "no-store")
	if s.Accounts {
		http.SetCookie(w, &http.Cookie{Name: linkCookie, Value: token, Path: "/", HttpOnly: true, Secure: true, SameSite: http.SameSiteLaxMode, Expires: l.Expiry})
	}
	http.Redirect(w, r, "/tanks/"+l.Tank, http.StatusSeeOther)
}
