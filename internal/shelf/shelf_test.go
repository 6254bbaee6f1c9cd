package shelf

import (
	"bytes"
	"littoral/internal/forecast"
	"littoral/internal/journal"
	"littoral/internal/picture"
	"slices"
	"strings"
	"testing"

	"github.com/xuri/excelize/v2"
	"pgregory.net/rapid"
)

func TestNamesOfFilesBesideAPlan(t *testing.T) {
	for name, good := range map[string]bool{
		"prices.csv": true, "meshes/stone.obj": true, "house.yaml": true, "Wurzel ü.obj": true,
		"": false, ".": false, "..": false, "../x": false, "a/../../x": false, "/etc/passwd": false, `a\b`: false, "a//b": false, "./a": false, "c:x": false, "plan.yaml": false, "a\x00b": false,
	} {
		if err := GoodName(name); (err == nil) != good {
			t.Errorf("%q: %v", name, err)
		}
	}
}

// The lines that differ, put into the first text, give the second.
func TestDiffLeadsFromOneTextToTheOther(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		line := rapid.SampledFrom([]string{"a", "b", "c", "d"})
		a, b := rapid.SliceOfN(line, 0, 12).Draw(rt, "a"), rapid.SliceOfN(line, 0, 12).Draw(rt, "b")
		var got []string
		at := 0
		for _, c := range diff(a, b) {
			got = append(got, a[at:c.Line-1]...)
			if !slices.Equal(a[c.Line-1:c.Line-1+len(c.A)], c.A) {
				rt.Fatalf("%v is not at line %d of %v", c.A, c.Line, a)
			}
			got = append(got, c.B...)
			at = c.Line - 1 + len(c.A)
		}
		if got = append(got, a[at:]...); !slices.Equal(got, b) {
			rt.Errorf("%v became %v, want %v", a, got, b)
		}
	})
}

// The day whose picture is drawn is the one that the drawings take for nearest.
func TestNeighboursShareAPicture(t *testing.T) {
	f := &forecast.Forecast{}
	days := append([]int{}, keepDays...)
	for day := 0; day <= forecast.ThreeYears+pictureStep; day += pictureStep {
		days = append(days, day)
	}
	slices.Sort(days)
	for _, day := range slices.Compact(days) {
		f.Snapshots = append(f.Snapshots, forecast.Snapshot{Day: day})
	}
	for day := range forecast.ThreeYears + 1 {
		if got, want := keptDay(day), picture.Nearest(f, day).Day; got != want {
			t.Errorf("day %d is shown by day %d, want %d", day, got, want)
		}
	}
}

func TestFoldersOfAnArchive(t *testing.T) {
	for name, want := range map[string]string{"Reading room, Quay Street": "reading-room-quay-street", "../..": "tank", "Größe 2": "größe-2", "": "tank"} {
		if got := slug(name); got != want {
			t.Errorf("%q becomes %q, want %q", name, got, want)
		}
	}
}

func TestDatesThatAreSure(t *testing.T) {
	for text, want := range map[string]string{
		"2027-03-01": "2027-03-01", "1.3.2027": "2027-03-01", "2027/3/1": "2027-03-01", "2027-03-01 18:30": "2027-03-01", "46447": "2027-03-01",
		"3/1/2027": "", "1.13.2027": "", "yesterday": "", "12": "",
	} {
		got, err := isoDate(text)
		if got != want || (err == nil) != (want != "") {
			t.Errorf("%q is %q (%v), want %q", text, got, err, want)
		}
	}
}

// FuzzReadTests: any table is read or refused in words; what is read is sound, and reads the same again.
func FuzzReadTests(f *testing.F) {
	f.Add([]byte("date,time,nitrate mg/L,ph\n2027-03-01,18:30,12.5,6.8\n"), false)
	f.Add([]byte("Date;NO3 (mg/L)\n1.3.2027;<5\n"), false)
	x := excelize.NewFile()
	var b bytes.Buffer
	if err := x.SetSheetRow("Sheet1", "A1", &[]any{"date", "ph"}); err != nil {
		f.Fatal(err)
	}
	if err := x.Write(&b); err != nil {
		f.Fatal(err)
	}
	f.Add(b.Bytes(), true)
	f.Fuzz(func(t *testing.T, raw []byte, xlsx bool) {
		entries, problems := ReadTests("tank", raw, xlsx)
		if len(problems) > 0 && len(entries) > 0 {
			t.Errorf("entries beside problems")
		}
		ids := map[string]bool{}
		for i := range entries {
			if err := entries[i].Check(); err != nil {
				t.Errorf("%+v: %v", entries[i], err)
			}
			if ids[entries[i].ID] {
				t.Errorf("%s came twice", entries[i].ID)
			}
			ids[entries[i].ID] = true
		}
		again, _ := ReadTests("tank", raw, xlsx)
		if !slices.EqualFunc(entries, again, func(a, b journal.Entry) bool { return a.ID == b.ID && a.At == b.At }) {
			t.Errorf("read again it differs")
		}
		for _, p := range problems {
			if strings.TrimSpace(p) == "" {
				t.Errorf("a problem without words")
			}
		}
	})
}
