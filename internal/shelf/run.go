package shelf

import (
	"bytes"
	"compress/gzip"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"littoral/internal/findings"
	"littoral/internal/forecast"
	"littoral/internal/journal"
	"littoral/internal/plan"
	"littoral/internal/store"
	"slices"
	"sync"
	"time"
)

// MostDays bounds a forecast. Twenty years is longer than any planting lasts.
const MostDays = 7305

// Ask says which forecast is wanted. It is kept with the forecast, so that the same can be made again.
type Ask struct {
	Tank     string `json:"tank"`
	Revision int    `json:"revision"`
	Days     int    `json:"days"`
	Seed     uint64 `json:"seed"`
	Ways
	// Done is what the journal says was done, lost and added; it is laid over the plan.
	Done []journal.Entry `json:"done,omitempty"`
	// Asked is when the journal was read. It names no other forecast.
	Asked time.Time `json:"asked"`
}

// Asking reads what is needed to ask for a forecast of a tank now; revision 0 is the plan in force, days 0 three years. With asPlanned the
// journal is left out.
func (s *Shelf) Asking(ctx context.Context, tank string, revision, days int, asPlanned bool) (Ask, error) {
	if err := s.Store.Seal(ctx, tank); err != nil { // what is forecast stays as it is
		return Ask{}, err
	}
	return s.asking(ctx, tank, revision, days, asPlanned)
}

// asking is Asking that leaves a revision open that is being drawn.
func (s *Shelf) asking(ctx context.Context, tank string, revision, days int, asPlanned bool) (Ask, error) {
	t, err := s.Store.Tank(ctx, tank)
	if err != nil {
		return Ask{}, err
	}
	a := Ask{Tank: tank, Revision: revision, Days: days, Seed: 1, Asked: s.Now()}
	if a.Revision == 0 {
		a.Revision = t.Current
	}
	if a.Days == 0 {
		a.Days = forecast.ThreeYears
	}
	if a.Ways, err = s.Ways(ctx); err != nil {
		return a, err
	}
	r, err := s.Store.Revision(ctx, tank, a.Revision)
	if err != nil {
		return a, err
	}
	if ownHouse(r.Files) {
		a.House = "" // the shelf's says nothing to it
	}
	if asPlanned {
		return a, nil
	}
	rows, err := s.Store.Movers(ctx, tank)
	if err != nil {
		return a, err
	}
	a.Done, err = Entries(rows)
	return a, err
}

// Entries reads journal entries as they are kept.
func Entries(rows []store.Entry) ([]journal.Entry, error) {
	out := make([]journal.Entry, len(rows))
	for i := range rows {
		if err := json.Unmarshal([]byte(rows[i].Body), &out[i]); err != nil {
			return nil, fmt.Errorf("journal entry %s cannot be read: %w", rows[i].ID, err)
		}
	}
	return out, nil
}

// Names of the parts of a kept forecast.
const (
	partAsk      = "ask"
	partResult   = "result"
	partSeries   = "series"
	partBands    = "bands"
	partMeasured = "measured"
	partTries    = "tries"
)

// keepDays are days that are kept beside the weekly ones, so that the dates people look at are exact.
var keepDays = []int{1, 30, 60, 90, 120, 180, 270, 365, 540, 730, 910, 1095}

// Key names the forecast of an ask: a hash over plan, files, options and program.
func (s *Shelf) Key(ctx context.Context, a Ask) (string, error) {
	r, err := s.Store.Revision(ctx, a.Tank, a.Revision)
	if err != nil {
		return "", err
	}
	return s.key(a, r)
}

func (s *Shelf) key(a Ask, r store.Revision) (string, error) {
	a.Asked = time.Time{}
	options, err := json.Marshal(a)
	if err != nil {
		return "", err
	}
	sum := sha256.Sum256([]byte(s.Engine + "\n" + r.Sum + "\n" + string(options)))
	return hex.EncodeToString(sum[:])[:32], nil
}

// Whole is a forecast in hand: what it says and what was found in it.
type Whole struct {
	Key      string
	Ask      Ask
	Plan     *plan.Plan // as written
	Own      bool       // it has a house file of its own
	Laid     journal.Laid
	Forecast *forecast.Forecast
	Findings []findings.Finding
}

// live holds the forecasts that were looked at last.
type live struct {
	lock  sync.Mutex
	order []*Whole // latest last
	locks map[string]*sync.Mutex
}

// mostLive is how many forecasts are held in memory; each takes some tens of MB.
const mostLive = 4

func (l *live) get(key string) *Whole {
	l.lock.Lock()
	defer l.lock.Unlock()
	i := slices.IndexFunc(l.order, func(w *Whole) bool { return w.Key == key })
	if i < 0 {
		return nil
	}
	w := l.order[i]
	l.order = append(slices.Delete(l.order, i, i+1), w)
	return w
}

func (l *live) put(w *Whole) {
	l.lock.Lock()
	defer l.lock.Unlock()
	l.order = slices.DeleteFunc(l.order, func(o *Whole) bool { return o.Key == w.Key })
	l.order = append(l.order, w)
	if len(l.order) > mostLive {
		l.order = slices.Delete(l.order, 0, len(l.order)-mostLive)
	}
}

// one gives the lock under which a key is worked at, so that the same forecast is never made twice at once.
func (l *live) one(key string) *sync.Mutex {
	l.lock.Lock()
	defer l.lock.Unlock()
	m := l.locks[key]
	if m == nil {
		m = &sync.Mutex{}
		l.locks[key] = m
	}
	return m
}

// Run makes the forecast of an ask and keeps it, as the tank's last one when the revision is the one in force. It returns the key.
// tell hears the days done; nil = silent.
func (s *Shelf) Run(ctx context.Context, a Ask, tell func(done, total int)) (string, error) {
	r, err := s.Store.Revision(ctx, a.Tank, a.Revision)
	if err != nil {
		return "", err
	}
	key, err := s.key(a, r)
	if err != nil {
		return "", err
	}
	if _, err := s.Store.Part(ctx, key, partResult); err == nil {
		return key, s.lastIs(ctx, key, a)
	}
	w, err := s.make(ctx, key, a, r, tell)
	if err != nil {
		return "", err
	}
	return key, s.keep(ctx, w)
}

// lastIs makes a kept forecast the tank's last one.
func (s *Shelf) lastIs(ctx context.Context, key string, a Ask) error {
	t, err := s.Store.Tank(ctx, a.Tank)
	if err != nil || t.Current != a.Revision || t.Forecast == key {
		return err
	}
	return s.Store.AddForecast(ctx, store.Forecast{Key: key, Tank: a.Tank, Revision: a.Revision, Engine: s.Engine, Days: a.Days, Made: a.Asked}, nil, true)
}

func (s *Shelf) make(ctx context.Context, key string, a Ask, r store.Revision, tell func(done, total int)) (*Whole, error) {
	p, err := Parse(r.Plan, r.Files, a.Ways)
	if err != nil {
		return nil, err
	}
	if p.LightOnly {
		return nil, errors.New("the plan states only tank, optics and lamps; it needs water, bed and plants to be forecast")
	}
	laid := journal.Lay(p, a.Done)
	f, err := forecast.Run(ctx, laid.Plan, forecast.Options{Days: a.Days, Seed: a.Seed, Keep: keepDays, Hours: true, Progress: tell})
	if err != nil {
		return nil, err
	}
	w := &Whole{Key: key, Ask: a, Plan: p, Own: ownHouse(r.Files), Laid: laid, Forecast: f, Findings: findings.Read(f)}
	s.live.put(w)
	return w, nil
}

// keep writes what pages need of a forecast to the store.
func (s *Shelf) keep(ctx context.Context, w *Whole) error {
	t, err := s.Store.Tank(ctx, w.Ask.Tank)
	if err != nil {
		return err
	}
	r, err := s.Store.Revision(ctx, w.Ask.Tank, w.Ask.Revision)
	if err != nil {
		return err
	}
	ghost := Ghost{Key: w.Key, Revision: w.Ask.Revision, Sum: r.Sum, Days: ghostOf(w.Forecast)}
	var parts []store.Part
	for name, v := range map[string]any{partGhost: ghost, partAsk: w.Ask, partBrief: briefOf(w), partResult: result(w), partSeries: series(w), partMeasured: w.Forecast.Measured} {
		data, err := packed(v)
		if err != nil {
			return err
		}
		parts = append(parts, store.Part{Name: name, Type: "application/json", Data: data})
	}
	f := store.Forecast{Key: w.Key, Tank: w.Ask.Tank, Revision: w.Ask.Revision, Engine: s.Engine, Days: w.Ask.Days, Made: w.Ask.Asked}
	return s.Store.AddForecast(ctx, f, parts, t.Current == w.Ask.Revision)
}

// ErrOld says that another version of the program made a forecast, so that its days cannot be made again.
var ErrOld = errors.New("another version of the program made this forecast; forecast the tank again")

// Live returns a kept forecast in hand; what is no longer in memory is made again from what was asked.
func (s *Shelf) Live(ctx context.Context, key string) (*Whole, error) {
	if w := s.live.get(key); w != nil {
		return w, nil
	}
	m := s.live.one(key)
	m.Lock()
	defer m.Unlock()
	if w := s.live.get(key); w != nil {
		return w, nil
	}
	kept, err := s.Store.Forecast(ctx, key)
	if err != nil {
		return nil, err
	}
	if kept.Engine != s.Engine {
		return nil, ErrOld
	}
	var a Ask
	if err := s.part(ctx, key, partAsk, &a); err != nil {
		return nil, err
	}
	r, err := s.Store.Revision(ctx, a.Tank, a.Revision)
	if err != nil {
		return nil, err
	}
	return s.make(ctx, key, a, r, nil)
}

// part reads a JSON part of a kept forecast.
func (s *Shelf) part(ctx context.Context, key, name string, to any) error {
	p, err := s.Store.Part(ctx, key, name)
	if err != nil {
		return err
	}
	return unpacked(p.Data, to)
}

func unpacked(data []byte, to any) error {
	z, err := gzip.NewReader(bytes.NewReader(data))
	if err != nil {
		return fmt.Errorf("the kept forecast is damaged: %w; forecast the tank again", err)
	}
	raw, err := io.ReadAll(z)
	if err != nil {
		return fmt.Errorf("the kept forecast is damaged: %w; forecast the tank again", err)
	}
	return json.Unmarshal(raw, to)
}

func packed(v any) ([]byte, error) {
	var b bytes.Buffer
	z := gzip.NewWriter(&b)
	if err := json.NewEncoder(z).Encode(v); err != nil {
		return nil, err
	}
	if err := z.Close(); err != nil {
		return nil, err
	}
	return b.Bytes(), nil
}

// Result returns what pages need of a kept forecast.
func (s *Shelf) Result(ctx context.Context, key string) (Result, error) {
	var r Result
	if err := s.part(ctx, key, partResult, &r); err != nil {
		return Result{}, err
	}
	return r, nil
}

// Series returns the day lines of a kept forecast.
func (s *Shelf) Series(ctx context.Context, key string) (Series, error) {
	var r Series
	if err := s.part(ctx, key, partSeries, &r); err != nil {
		return Series{}, err
	}
	return r, nil
}
