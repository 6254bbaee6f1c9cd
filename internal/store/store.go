package store

import (
	"context"
	"errors"
	"fmt"
	"io"
	"time"
)

// Errors that callers tell apart with errors.Is.
var (
	ErrNotFound = errors.New("there is nothing under this name")
	ErrTaken    = errors.New("the name is taken")
)

// Conflict says that a plan was saved over a revision that is no longer the last of its variant.
type Conflict struct{ Base, Last int }

func (c Conflict) Error() string {
	return fmt.Sprintf("the plan was changed by revision %d after revision %d was opened; look at what changed, and save over revision %d", c.Last, c.Base, c.Last)
}

// Tank is one tank on the shelf.
type Tank struct {
	ID       string
	Name     string // of the plan in force
	Planted  string // ISO 8601 date of the plan in force; empty when it states none
	Current  int    // number of the revision in force; 0 before the first
	Forecast string // key of the last finished forecast; empty when there is none
	Made     time.Time
	Changed  time.Time
}

// Revision is one state of a tank's plan. Numbers count from 1 through all variants of a tank; the plan in force is the last
// revision of the variant without a name.
type Revision struct {
	Tank    string
	Number  int
	Variant string // empty = the plan in force
	Base    int    // revision it was made from; 0 for the first
	Name    string // what people call it; may be empty
	Plan    string // the text; empty in lists
	Sum     string // SHA-256 over the plan and every file it names
	Author  string
	Made    time.Time
	Files   []File // what the plan names; nil in lists
	Open    bool   // the drawing board writes it and may write it again; see Store.DrawPlan
	Step    Step   // what it changed in the plan in force, to be taken back; kept when it has a label, and only told to AddRevision
}

// Step is a change of the plan in force that can be taken back: at a byte of the text, Old became New.
type Step struct {
	Number   int // from 1; 0 = none
	Label    string
	At       int
	Old, New string
	Author   string
	Made     time.Time
}

// Moved says that the plan in force is no longer the one that a change was made on.
type Moved struct{ Last int }

func (m Moved) Error() string {
	return fmt.Sprintf("the plan was changed in another window; revision %d holds it now", m.Last)
}

// Drawing is the plan in force as the drawing board writes it.
type Drawing struct {
	Tank, Plan, Sum, Author string
	Made                    time.Time
	Was                     string // sum of the plan in force that it was drawn on
	Title, Planted          string // the plan's own
	Files                   []File // nil = those of the plan in force
	// Step is what it changes; with a number in place of a label the step of this number is taken back, or done again, and with neither nothing is
	// kept to take back.
	Step Step
}

// File is a file beside a plan, by the name under which the plan knows it.
type File struct {
	Name string
	Data []byte
}

// Forecast says which forecast is kept.
type Forecast struct {
	Key      string // hash over plan, what was done, engine and options
	Tank     string
	Revision int
	Engine   string
	Days     int
	Made     time.Time
}

// Part is a piece of a finished forecast as it goes to a page.
type Part struct {
	Name string
	Type string // media type
	Data []byte
}

// Last is a tank's last forecast with one of its parts.
type Last struct {
	Forecast
	Part Part
}

// States of an entry.
const (
	Current    = "current"
	Old        = "old"
	Conflicted = "conflict" // two people changed the same version; a person decides
	Settled    = "settled"  // a conflict that was decided
)

// Entry is one version of a journal entry. The body is the business of the journal room.
type Entry struct {
	ID       string // made by the client, so that sending twice keeps one
	Version  int
	Tank     string
	Base     int // version that the writer had seen; 0 for a new entry
	State    string
	Kind     string
	At       string // local date and time, 2027-03-01T18:30
	Moves    bool   // it changes the forecast, or a version that it replaces did
	Body     string // JSON
	Author   string
	Received time.Time
}

// Answers to one entry put into the journal.
const (
	Kept    = "kept"     // a new version stands
	Already = "already"  // this very version was kept before
	Clash   = "conflict" // it is kept beside the one in force, and a person decides
)

// Put is what became of an entry.
type Put struct {
	Result  string // Kept, Already or Clash
	Version int    // under which it is kept
	Current Entry  // the version in force
}

// Counted is how much journal a tank has.
type Counted struct {
	Entries, Conflicts int
	Last               string    // latest time of an entry
	Moved              time.Time // when the last entry came that changes the forecast; zero when none did
}

// Photo is a picture taken of a tank; its bytes lie on the shelf of photos under Sum.
type Photo struct {
	ID            string // made by the client
	Tank          string
	Sum           string // SHA-256 of the stored file, in hex
	Mark          string // fixed place it was taken from; may be empty
	At            string // local date and time
	Width, Height int
	Bytes         int
	Author        string
	Made          time.Time
}

// Roles of people. An owner may do everything, a designer everything but people, crew the journal.
const (
	Owner    = "owner"
	Designer = "designer"
	Crew     = "crew"
)

// User is a person with an account.
type User struct {
	ID, Name, Role string
	Hash           string // argon2id, in its own text form
	Closed         bool
	Made           time.Time
}

// Link is a client's way to look at one tank. The token itself is never kept.
type Link struct {
	ID, Tank, Name string
	Hash           string // SHA-256 of the token
	Made           time.Time
	Expiry         time.Time // zero = until revoked
	Revoked        time.Time // zero = in force
}

// Palette is a set of species that a studio likes together.
type Palette struct {
	ID      string // made by the client
	Name    string
	Species []string // accepted names in the order of the studio
	Author  string   // who saved it last
	Changed time.Time
}

// Act is a line of the audit.
type Act struct {
	Number int
	At     time.Time
	Who    string
	What   string
	Tank   string
	Status int // of the answer
}

// Store keeps tanks. All methods are safe for concurrent use and return ErrNotFound for names that it does not know.
type Store interface {
	// AddTank makes a tank with its first revision; the ID is the caller's. ErrTaken when there is one.
	AddTank(ctx context.Context, id, planted string, first Revision) (Tank, error)
	Tank(ctx context.Context, id string) (Tank, error)
	// Tanks lists all tanks by name.
	Tanks(ctx context.Context) ([]Tank, error)
	// DeleteTank takes a tank with all that belongs to it, and tells the sums of photos that no tank has any more.
	DeleteTank(ctx context.Context, id string) (unused []string, err error)

	// AddRevision saves a plan over r.Base, which must be the last of its variant (or, of a new variant, any revision): else Conflict.
	// Title and planted are the plan's own; they count for the tank when the variant is the plan in force. The number is the answer's. Open revisions of
	// the tank are sealed.
	AddRevision(ctx context.Context, r Revision, title, planted string) (Revision, error)
	Revision(ctx context.Context, tank string, number int) (Revision, error)
	// Revisions lists all revisions of a tank, latest first, without texts and files.
	Revisions(ctx context.Context, tank string) ([]Revision, error)
	NameRevision(ctx context.Context, tank string, number int, name string) error

	// InForce gives the plan in force of a tank, without its files.
	InForce(ctx context.Context, tank string) (Revision, error)
	// DrawPlan writes the plan in force: over the last revision when that is open and the files stay, else as a new, open one. Moved when the plan in
	// force is another than d.Was. Steps that were taken back are forgotten when a new one is made.
	DrawPlan(ctx context.Context, d Drawing) (Revision, error)
	// Seal ends the writing of an open revision: it stays as it is from now on.
	Seal(ctx context.Context, tank string) error
	// Steps gives the step that can be taken back and the one that can be done again; their numbers are 0 when there is none.
	Steps(ctx context.Context, tank string) (undo, redo Step, err error)

	// AddForecast keeps a finished forecast with its parts. As the tank's last one when last is set.
	AddForecast(ctx context.Context, f Forecast, parts []Part, last bool) error
	Forecast(ctx context.Context, key string) (Forecast, error)
	PutPart(ctx context.Context, key string, p Part) error
	Part(ctx context.Context, key, name string) (Part, error)
	// LastForecasts gives the last forecast of every tank that has one, with one of its parts, by tank.
	LastForecasts(ctx context.Context, part string) (map[string]Last, error)

	// PutEntry keeps an entry for good before it returns. See Put for what may become of it. Settles says that the writer saw
	// the conflicts of the entry and this version decides them.
	PutEntry(ctx context.Context, e Entry, settles bool) (Put, error)
	// Entries lists entries in force, latest first, those before (at, id) only; kind may be empty. At "" begins at the latest.
	Entries(ctx context.Context, tank, kind, at, id string, most int) ([]Entry, error)
	// AllEntries lists the entries in force, earliest first.
	AllEntries(ctx context.Context, tank string) ([]Entry, error)
	// Movers lists the entries in force that change the forecast, earliest first.
	Movers(ctx context.Context, tank string) ([]Entry, error)
	EntryVersions(ctx context.Context, id string) ([]Entry, error)
	Conflicts(ctx context.Context, tank string) ([]Entry, error)
	// CountEntries counts the journal of every tank that has one.
	CountEntries(ctx context.Context) (map[string]Counted, error)

	// AddPhoto keeps what is known of a photo. One with the same ID and sum is kept already and no error; another sum is ErrTaken.
	AddPhoto(ctx context.Context, p Photo) error
	Photo(ctx context.Context, id string) (Photo, error)
	Photos(ctx context.Context, tank string) ([]Photo, error)
	// DeletePhoto forgets a photo and tells how many others have the same content.
	DeletePhoto(ctx context.Context, id string) (left int, err error)

	// AddUser adds a person; ErrTaken when the name is.
	AddUser(ctx context.Context, u User) error
	User(ctx context.Context, id string) (User, error)
	UserByName(ctx context.Context, name string) (User, error)
	Users(ctx context.Context) ([]User, error)
	// SetUser changes role, hash and closed.
	SetUser(ctx context.Context, u User) error

	Session(ctx context.Context, token string) (data []byte, expiry time.Time, err error)
	PutSession(ctx context.Context, token string, data []byte, expiry time.Time) error
	DeleteSession(ctx context.Context, token string) error

	AddLink(ctx context.Context, l Link) error
	LinkByHash(ctx context.Context, hash string) (Link, error)
	Links(ctx context.Context, tank string) ([]Link, error)
	RevokeLink(ctx context.Context, tank, id string, at time.Time) error

	// PutPalette saves a palette in place of one with the same ID.
	PutPalette(ctx context.Context, p Palette) error
	// Palettes lists all by name.
	Palettes(ctx context.Context) ([]Palette, error)
	DeletePalette(ctx context.Context, id string) error

	AddAct(ctx context.Context, a Act) error
	// Acts lists the audit, latest first, those before a number only; 0 begins at the latest.
	Acts(ctx context.Context, before, most int) ([]Act, error)

	// Setting returns "" for a setting never put.
	Setting(ctx context.Context, key string) (string, error)
	PutSetting(ctx context.Context, key, value string) error

	// Dump writes a consistent copy of everything but the photos' files, while others write. Load of the same kind of store reads it.
	Dump(ctx context.Context, w io.Writer) error
	Close() error
}
