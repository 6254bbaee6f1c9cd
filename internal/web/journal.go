package web

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"littoral/internal/journal"
	"littoral/internal/shelf"
	"littoral/internal/store"
	"net/http"
	"regexp"
	"strings"
	"time"

	"github.com/danielgtaylor/huma/v2"
)

// Sync is a batch of entries from a writer who may have been without a network.
type Sync struct {
	Entries []SyncEntry `json:"entries" maxItems:"500"`
}

// SyncEntry is one entry with the version its writer had seen.
type SyncEntry struct {
	Base    int           `json:"base" minimum:"0" doc:"version that was seen; 0 for a new entry"`
	Settles bool          `json:"settles,omitempty" doc:"the writer saw the conflicting versions, and this one decides"`
	Entry   journal.Entry `json:"entry"`
}

// Synced is what became of each entry, in the order in which they were sent.
type Synced struct {
	Results []SyncResult `json:"results"`
}

// SyncResult is what became of an entry. Whatever is not refused is on the disk.
type SyncResult struct {
	ID      string         `json:"id"`
	Result  string         `json:"result" enum:"kept,already,conflict,refused" doc:"kept: it is in force; already: it was kept before; conflict: it is kept beside the one in force, and a person decides; refused: it was not kept"`
	Version int            `json:"version"`
	Why     string         `json:"why" say:"text" doc:"why it was refused, with the cure"`
	Current *journal.Entry `json:"current,omitempty" doc:"of a conflict: the version in force"`
	Base    int            `json:"base" doc:"version in force, to write over"`
}

// EntryVersion is one version of an entry.
type EntryVersion struct {
	Version  int           `json:"version"`
	Base     int           `json:"base"`
	State    string        `json:"state" enum:"current,old,conflict,settled"`
	Author   string        `json:"author"`
	Received time.Time     `json:"received"`
	Entry    journal.Entry `json:"entry"`
}

// EntryPage is a page of the journal, latest first.
type EntryPage struct {
	Entries []EntryVersion `json:"entries"`
	Next    string         `json:"next" doc:"give it as after to read on; empty at the end"`
}

// EntryVersions are versions.
type EntryVersions struct {
	Versions []EntryVersion `json:"versions"`
}

func versions(rows []store.Entry) ([]EntryVersion, error) {
	entries, err := shelf.Entries(rows)
	out := []EntryVersion{}
	for i := range entries {
		r := &rows[i]
		out = append(out, EntryVersion{r.Version, r.Base, r.State, r.Author, r.Received, entries[i]})
	}
	return out, err
}

func (s *Server) journalRoutes() {
	add(s, roleCrew, with(post("syncJournal", "/api/tanks/{tank}/journal", "Put entries into the journal", tagJournal), func(op *huma.Operation) {
		op.Description = "Safe to send again: an entry is known by its id and kept once. Each entry is answered for by itself."
		op.MaxBodyBytes = 8 << 20
	}), func(ctx context.Context, in *struct {
		TankID
		Body Sync
	},
	) (*body[Synced], error) {
		out, err := s.sync(ctx, in.Tank, in.Body)
		return &body[Synced]{out}, err
	})
	add(s, roleCrew, get("listJournal", "/api/tanks/{tank}/journal", "Read the journal, latest first", tagJournal), func(ctx context.Context, in *struct {
		TankID
		Kind  string `query:"kind" enum:"task,test,loss,added,visit,note,photo" doc:"empty = all"`
		After string `query:"after" maxLength:"100" doc:"next of the page before"`
		Limit int    `query:"limit" default:"50" minimum:"1" maximum:"500"`
	},
	) (*body[EntryPage], error) {
		if _, err := s.store.Tank(ctx, in.Tank); err != nil {
			return nil, err
		}
		at, id, _ := strings.Cut(in.After, " ")
		rows, err := s.store.Entries(ctx, in.Tank, in.Kind, at, id, in.Limit)
		if err != nil {
			return nil, err
		}
		p := EntryPage{}
		if p.Entries, err = versions(rows); err == nil && len(rows) == in.Limit {
			last := &rows[len(rows)-1]
			p.Next = last.At + " " + last.ID
		}
		return &body[EntryPage]{p}, err
	})
	add(s, roleCrew, get("listConflicts", "/api/tanks/{tank}/conflicts", "Entries that two people changed at once", tagJournal), func(ctx context.Context, in *TankID) (*body[EntryVersions], error) {
		rows, err := s.store.Conflicts(ctx, in.Tank)
		if err != nil {
			return nil, err
		}
		v, err := versions(rows)
		return &body[EntryVersions]{EntryVersions{v}}, err
	})
	add(s, roleCrew, get("listEntryVersions", "/api/tanks/{tank}/journal/{entry}", "All versions of an entry, earliest first", tagJournal), func(ctx context.Context, in *struct {
		TankID
		Entry string `path:"entry" maxLength:"64"`
	},
	) (*body[EntryVersions], error) {
		rows, err := s.store.EntryVersions(ctx, in.Entry)
		if err != nil {
			return nil, err
		}
		if len(rows) == 0 || rows[0].Tank != in.Tank {
			return nil, store.ErrNotFound
		}
		v, err := versions(rows)
		return &body[EntryVersions]{EntryVersions{v}}, err
	})
	s.photoRoutes()
}

func (s *Server) sync(ctx context.Context, tank string, in Sync) (Synced, error) {
	if _, err := s.store.Tank(ctx, tank); err != nil {
		return Synced{}, err
	}
	out := Synced{Results: []SyncResult{}}
	for i := range in.Entries {
		e := &in.Entries[i]
		r := SyncResult{ID: e.Entry.ID, Result: "refused"}
		put, err := s.put(ctx, tank, e)
		switch {
		case errors.Is(err, store.ErrTaken):
			r.Why = "an entry of this id belongs to another tank; give the entry a new id"
		case errors.As(err, new(refusal)):
			r.Why = err.Error()
		case err != nil:
			return Synced{}, err // the disk or the database fails: nothing more is said to be kept
		default:
			r.Result, r.Version, r.Base = put.Result, put.Version, put.Current.Version
			if put.Result == store.Clash {
				var now journal.Entry
				if err := json.Unmarshal([]byte(put.Current.Body), &now); err != nil {
					return Synced{}, err
				}
				r.Current = &now
			}
		}
		out.Results = append(out.Results, r)
	}
	return out, nil
}

// refusal is why an entry is not kept.
type refusal struct{ error }

func (s *Server) put(ctx context.Context, tank string, e *SyncEntry) (store.Put, error) {
	if err := e.Entry.Check(); err != nil {
		return store.Put{}, refusal{err}
	}
	packed, err := json.Marshal(&e.Entry)
	if err != nil {
		return store.Put{}, err
	}
	return s.store.PutEntry(ctx, store.Entry{
		ID: e.Entry.ID, Tank: tank, Base: e.Base, Kind: e.Entry.Kind, At: e.Entry.At, Moves: e.Entry.Moves(), Body: string(packed), Author: who(ctx), Received: s.now(),
	}, e.Settles)
}

// PhotoList are the photos of a tank, earliest first.
type PhotoList struct {
	Photos []shelf.PhotoInfo `json:"photos"`
}

var (
	photoID = regexp.MustCompile(`^[0-9A-Za-z-]{8,64}$`)
	atTime  = regexp.MustCompile(`^\d{4}-\d\d-\d\d(T\d\d:\d\d)?$`)
)

func (s *Server) photoRoutes() {
	add(s, roleClient, get("listPhotos", "/api/tanks/{tank}/photos", "Photos of a tank, earliest first", tagJournal), func(ctx context.Context, in *TankID) (*body[PhotoList], error) {
		if _, err := s.store.Tank(ctx, in.Tank); err != nil {
			return nil, err
		}
		list, err := s.store.Photos(ctx, in.Tank)
		return &body[PhotoList]{PhotoList{shelf.PhotoInfos(list)}}, err
	})
	add(s, roleCrew, with(post("addPhoto", "/api/tanks/{tank}/photos", "Keep a photo", tagJournal), func(op *huma.Operation) {
		op.Description = "The photo is drawn anew from its pixels: place, time and camera that the file names are not kept. Safe to send again under the same id."
		op.MaxBodyBytes = store.MostPhotoBytes
		op.RequestBody = &huma.RequestBody{Required: true, Content: map[string]*huma.MediaType{
			"image/jpeg": {Schema: &huma.Schema{Type: "string", Format: "binary"}}, "image/png": {Schema: &huma.Schema{Type: "string", Format: "binary"}}, "image/webp": {Schema: &huma.Schema{Type: "string", Format: "binary"}},
		}}
	}), func(ctx context.Context, in *struct {
		TankID
		ID      string `query:"id" required:"true" minLength:"8" maxLength:"64" doc:"made by the sender"`
		At      string `query:"at" required:"true" maxLength:"16" doc:"local time, 2027-03-01T18:30"`
		Mark    string `query:"mark" maxLength:"80" doc:"fixed place it was taken from"`
		RawBody []byte
	},
	) (*body[shelf.PhotoInfo], error) {
		if !photoID.MatchString(in.ID) || !atTime.MatchString(in.At) {
			return nil, wrong("give an id of 8 to 64 letters, digits and dashes, and a time such as 2027-03-01T18:30", errors.New("the photo's id or time cannot be used"))
		}
		if _, err := s.store.Tank(ctx, in.Tank); err != nil {
			return nil, err
		}
		kept, err := s.shelf.Photos.Add(in.RawBody)
		if err != nil {
			if errors.Is(err, store.ErrNoPhoto) || errors.Is(err, store.ErrTooLarge) {
				return nil, wrong("send another picture", err)
			}
			return nil, err
		}
		p := store.Photo{ID: in.ID, Tank: in.Tank, Sum: kept.Sum, Mark: in.Mark, At: in.At, Width: kept.Width, Height: kept.Height, Bytes: kept.Bytes, Author: who(ctx), Made: s.now()}
		if err := s.store.AddPhoto(ctx, p); err != nil {
			return nil, err
		}
		return &body[shelf.PhotoInfo]{shelf.PhotoInfos([]store.Photo{p})[0]}, nil
	})
	add(s, roleClient, with(get("getPhoto", "/api/tanks/{tank}/photos/{photo}", "A photo, or the small picture of it", tagJournal), func(op *huma.Operation) {
		op.Responses = binary("image/jpeg")
	}), func(ctx context.Context, in *struct {
		TankID
		Photo string `path:"photo" maxLength:"64"`
		Thumb bool   `query:"thumb"`
	},
	) (*data, error) {
		p, err := s.store.Photo(ctx, in.Photo)
		if err != nil {
			return nil, err
		}
		if p.Tank != in.Tank {
			return nil, store.ErrNotFound
		}
		b, err := s.shelf.Photos.Read(p.Sum, in.Thumb)
		return &data{Type: "image/jpeg", Cache: forever, Body: b}, err
	})
	add(s, roleDesigner, with(get("deletePhoto", "/api/tanks/{tank}/photos/{photo}", "Take a photo away", tagJournal), func(op *huma.Operation) {
		op.Method = http.MethodDelete
		noContent(op)
	}), func(ctx context.Context, in *struct {
		TankID
		Photo string `path:"photo" maxLength:"64"`
	},
	) (*none, error) {
		p, err := s.store.Photo(ctx, in.Photo)
		if err != nil {
			return nil, err
		}
		if p.Tank != in.Tank {
			return nil, store.ErrNotFound
		}
		left, err := s.store.DeletePhoto(ctx, in.Photo)
		if err != nil || left > 0 {
			return nil, err
		}
		return nil, s.shelf.Photos.Remove(p.Sum)
	})
	s.tableRoutes()
}

// TestsRead is what became of a table of tests.
type TestsRead struct {
	Kept     int      `json:"kept" doc:"tests that are now in the journal"`
	Already  int      `json:"already" doc:"tests that were there before"`
	Problems []string `json:"problems" say:"text" doc:"rows that were not taken, with the cure; nothing is kept while there are any"`
}

func (s *Server) tableRoutes() {
	add(s, roleCrew, with(get("getTests", "/api/tanks/{tank}/tests", "All tests as a table", tagJournal), func(op *huma.Operation) {
		op.Responses = binary("text/csv", xlsxType)
	}), func(ctx context.Context, in *struct {
		TankID
		As string `query:"as" default:"csv" enum:"csv,xlsx"`
	},
	) (*data, error) {
		b, err := s.shelf.Tests(ctx, in.Tank, in.As == "xlsx")
		if in.As == "xlsx" {
			return &data{Type: xlsxType, Cache: asksNow, Name: "attachment; filename=tests.xlsx", Body: b}, err
		}
		return &data{Type: "text/csv; charset=utf-8", Cache: asksNow, Name: "attachment; filename=tests.csv", Body: b}, err
	})
	add(s, roleCrew, with(post("addTests", "/api/tanks/{tank}/tests", "Take tests from a table kept elsewhere", tagJournal), func(op *huma.Operation) {
		op.Description = "CSV or XLSX with a column date (and time), and one for each thing measured, named with its unit: \"nitrate mg/L\", \"temperature °F\", \"ph\". The same table sent twice is kept once."
		op.MaxBodyBytes = 8 << 20
		op.RequestBody = &huma.RequestBody{Required: true, Content: map[string]*huma.MediaType{
			"text/csv": {Schema: &huma.Schema{Type: "string", Format: "binary"}}, xlsxType: {Schema: &huma.Schema{Type: "string", Format: "binary"}},
		}}
	}), func(ctx context.Context, in *struct {
		TankID
		RawBody []byte
	},
	) (*body[TestsRead], error) {
		out, err := s.readTests(ctx, in.Tank, in.RawBody)
		return &body[TestsRead]{out}, err
	})
}

const xlsxType = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"

func (s *Server) readTests(ctx context.Context, tank string, raw []byte) (TestsRead, error) {
	if _, err := s.store.Tank(ctx, tank); err != nil {
		return TestsRead{}, err
	}
	out := TestsRead{Problems: []string{}}
	entries, problems := shelf.ReadTests(tank, raw, bytes.HasPrefix(raw, []byte("PK")))
	if len(problems) > 0 {
		out.Problems = problems
		return out, nil
	}
	for i := range entries {
		put, err := s.put(ctx, tank, &SyncEntry{Entry: entries[i]})
		if err != nil {
			return out, err
		}
		if put.Result == store.Kept {
			out.Kept++
		} else {
			out.Already++
		}
	}
	return out, nil
}
