package shelf

import (
	"archive/zip"
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"littoral/internal/plan"
	"littoral/internal/store"
	"path"
	"slices"
	"strings"
	"unicode"

	"github.com/google/uuid"
)

// Bounds of an archive, our own choice: what a server takes, and what may come out of it (a small archive can claim a huge file).
const (
	MostArchive      = 128 << 20
	mostUnpacked     = 512 << 20
	mostArchiveFiles = 20_000
)

// BadArchive says why an archive was not taken; nothing of it was.
type BadArchive struct{ Why string }

func (b BadArchive) Error() string { return b.Why }

// Imported is a tank that came onto the shelf.
type Imported struct {
	ID   string `json:"id"`
	Name string `json:"name"`
}

// Export packs the plan in force of a tank, or of all when tank is empty, with every file beside it: a folder for each, as the command
// line and Import read them.
func (s *Shelf) Export(ctx context.Context, tank string) ([]byte, error) {
	tanks, err := s.Store.Tanks(ctx)
	if err != nil {
		return nil, err
	}
	if tank != "" {
		tanks = slices.DeleteFunc(tanks, func(t store.Tank) bool { return t.ID != tank })
		if len(tanks) == 0 {
			return nil, store.ErrNotFound
		}
	}
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	used := map[string]bool{}
	for _, t := range tanks {
		r, err := s.Store.Revision(ctx, t.ID, t.Current)
		if err != nil {
			return nil, err
		}
		dir := slug(t.Name)
		for n := 2; used[dir]; n++ {
			dir = fmt.Sprintf("%s-%d", slug(t.Name), n)
		}
		used[dir] = true
		for _, f := range append([]store.File{{Name: PlanFile, Data: []byte(r.Plan)}}, r.Files...) {
			w, err := z.CreateHeader(&zip.FileHeader{Name: dir + "/" + f.Name, Method: zip.Deflate, Modified: r.Made})
			if err != nil {
				return nil, err
			}
			if _, err := w.Write(f.Data); err != nil {
				return nil, err
			}
		}
	}
	if err := z.Close(); err != nil {
		return nil, err
	}
	return b.Bytes(), nil
}

// slug makes a folder's name of a tank's.
func slug(name string) string {
	var b strings.Builder
	for _, r := range strings.ToLower(name) {
		switch {
		case unicode.IsLetter(r) || unicode.IsDigit(r):
			b.WriteRune(r)
		case b.Len() > 0 && !strings.HasSuffix(b.String(), "-"):
			b.WriteByte('-')
		}
		if b.Len() > 60 {
			break
		}
	}
	if out := strings.Trim(b.String(), "-"); out != "" {
		return out
	}
	return "tank"
}

// Import puts every plan of an archive on the shelf, each with the files in its folder. All plans are read before the first is kept; what is
// wrong with an archive is a BadArchive, and then nothing of it is kept.
func (s *Shelf) Import(ctx context.Context, raw []byte, author string) ([]Imported, error) {
	z, err := zip.NewReader(bytes.NewReader(raw), int64(len(raw)))
	if err != nil {
		return nil, BadArchive{"this is no zip archive that can be read"}
	}
	if len(z.File) > mostArchiveFiles {
		return nil, BadArchive{fmt.Sprintf("the archive holds %d files, more than the %d that are read", len(z.File), mostArchiveFiles)}
	}
	all := map[string][]byte{}
	left := int64(mostUnpacked)
	for _, f := range z.File {
		if f.FileInfo().IsDir() {
			continue
		}
		if f.Name != path.Clean(f.Name) || path.IsAbs(f.Name) || strings.HasPrefix(f.Name, "..") || strings.Contains(f.Name, "\\") {
			return nil, BadArchive{fmt.Sprintf("the archive holds %q, which leads out of it", f.Name)}
		}
		b, err := unpack(f, left)
		if err != nil {
			return nil, err
		}
		left -= int64(len(b))
		all[f.Name] = b
	}
	var plans []string
	for name := range all {
		if path.Base(name) == PlanFile {
			plans = append(plans, name)
		}
	}
	slices.Sort(plans)
	if len(plans) == 0 {
		return nil, BadArchive{"the archive holds no " + PlanFile}
	}
	type ready struct {
		text  string
		files []store.File
		p     *plan.Plan
	}
	ways, err := s.Ways(ctx)
	if err != nil {
		return nil, err
	}
	var list []ready
	for _, name := range plans {
		r := ready{text: string(all[name])}
		for other, b := range all {
			rel, inside := strings.CutPrefix(other, path.Dir(name)+"/")
			if path.Dir(name) == "." {
				rel, inside = other, true
			}
			if inside && rel != PlanFile && path.Base(rel) != PlanFile && GoodName(rel) == nil {
				r.files = append(r.files, store.File{Name: rel, Data: b})
			}
		}
		slices.SortFunc(r.files, func(a, b store.File) int { return strings.Compare(a.Name, b.Name) })
		if r.p, err = Parse(r.text, r.files, ways); err != nil {
			return nil, BadArchive{fmt.Sprintf("%s cannot be read: %v", name, err)}
		}
		list = append(list, r)
	}
	out := []Imported{}
	for _, r := range list {
		t, err := s.Add(ctx, r.p, r.text, r.files, author)
		if err != nil {
			return out, err
		}
		out = append(out, Imported{t.ID, t.Name})
	}
	return out, nil
}

func unpack(f *zip.File, most int64) ([]byte, error) {
	in, err := f.Open()
	if err != nil {
		return nil, BadArchive{fmt.Sprintf("%s in the archive is damaged", f.Name)}
	}
	defer in.Close() //nolint:errcheck // read only
	b, err := io.ReadAll(io.LimitReader(in, most+1))
	if err != nil {
		return nil, BadArchive{fmt.Sprintf("%s in the archive is damaged", f.Name)}
	}
	if int64(len(b)) > most {
		return nil, BadArchive{"the archive holds more than is unpacked at once"}
	}
	return b, nil
}

// Add puts a plan that was read on the shelf as a tank of its own.
func (s *Shelf) Add(ctx context.Context, p *plan.Plan, text string, files []store.File, author string) (store.Tank, error) {
	if p.LightOnly {
		return store.Tank{}, errors.New("the plan states only tank, optics and lamps; a tank on the shelf needs water, bed and plants")
	}
	id, err := uuid.NewV7()
	if err != nil {
		return store.Tank{}, err
	}
	return s.Store.AddTank(ctx, id.String(), p.Planted, store.Revision{Name: p.Name, Plan: text, Sum: Sum(text, files), Files: files, Author: author, Made: s.Now().UTC()})
}
