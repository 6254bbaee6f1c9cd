package papers

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"littoral/internal/check"
	"littoral/internal/findings"
	"littoral/internal/forecast"
	"littoral/internal/geometry"
	"littoral/internal/picture/sample"
	"littoral/internal/plan"
	"littoral/internal/unit"
	"math"
	"os"
	"path/filepath"
	"reflect"
	"regexp"
	"slices"
	"sort"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/santhosh-tekuri/jsonschema/v6"
	"pgregory.net/rapid"
)

// found is an invented set of findings: with and without a place, of one kind twice, in no order.
func found() []findings.Finding {
	return []findings.Finding{
		{ID: "edge", Rule: "root-zone", Severity: "look", Day: 420, Until: 1120, When: "from month 14", Where: "front left", X: .3, Y: .25, Subject: "12-carpet", What: "The root zone runs short at the edge.", Because: "5 cm of soil holds phosphorus for 7 more weeks.", Do: "Push in 12 root tablets along the sand."},
		{ID: "sword", Rule: "shade", Severity: "harm", Day: 322, Until: 1120, When: "from week 46", Where: "back right", X: 1.82, Y: .6, Subject: "08-rosette", What: "Aquarius grisebachii shades its neighbour.", Because: "14 of the 25 µmol m⁻² s⁻¹ it lives on; CO₂ ≥ 20 mg/L.", Do: "Take six outer leaves every 5 weeks."},
		{ID: "fern", Rule: "shade", Severity: "harm", Day: 400, Until: 1120, X: .9, Y: .6, Subject: "15-rhizome", What: "The fern shades the carpet", Do: "Thin it."},
		{ID: "nitrite", Rule: "nitrite", Severity: "danger", Day: 12, Until: 24, When: "day 12 to day 24", X: -1, Y: -1, Subject: "water", What: "Nitrite would harm animals until day 24.", Because: "NO2 peaks at 1.3 mg/L.", Do: "Keep animals out.", Caution: "Watch the animals."},
	}
}

// desk is the small sample without the bodies of its stones, whose drawing takes most of the time; TestReportIsWhole draws them.
func desk() *forecast.Forecast {
	f := sample.Desk()
	for i := range f.Model.Solids {
		f.Model.Solids[i].Body = nil
	}
	return f
}

func build(t testing.TB, f *forecast.Forecast, x []findings.Finding) map[string][]byte {
	t.Helper()
	files, err := Build(f, x, Options{Made: "littoral, a test"})
	if err != nil {
		t.Fatal(err)
	}
	out := map[string][]byte{}
	for _, f := range files {
		out[f.Name] = f.Data
	}
	return out
}

func TestFolder(t *testing.T) {
	files := build(t, desk(), found())
	var names []string
	for n := range files {
		names = append(names, n)
	}
	sort.Strings(names)
	want := []string{"forecast.json", "forecast.schema.json", "held.csv", "plantings.csv", "plants.csv", "report.html", "rootzone.csv", "series.csv", "swings.csv"}
	if d := cmp.Diff(want, names); d != "" {
		t.Error(d)
	}
}

// TestHeaders keeps the names that scripts rely on.
func TestHeaders(t *testing.T) {
	files := build(t, desk(), found())
	for name, want := range map[string]string{
		"series.csv":    "day,temp_c,temp_min_c,temp_max_c,ph_dawn,ph_dusk,kh_dkh,gh_dgh,co2_dawn_mg_l,co2_lit_mg_l,co2_corner_mg_l,co2_max_mg_l,co2_night_mg_l,o2_dawn_mg_l,o2_dusk_mg_l,no3_mg_l,no2_mg_l,nh4_mg_l,nh3_n_max_mg_l,po4_mg_l,k_mg_l,ca_mg_l,mg_mg_l,fe_mg_l,suspended_mg_l,kd_per_m,beam_per_m,sight_m,contrast_share,evaporated_l,top_up_l,changed_l,co2_used_g,heater_kwh,lamp_kwh,light_h,dim_share,sun_h,daylight_bed_mol_m2,shoot_dry_g,root_dry_g,growth_dry_g,cut_dry_g,cut_n_mg,cut_p_mg,uptake_n_water_mg,uptake_n_root_mg,cover_share,bed_ppfd_umol_m2_s,soil_n_mg,soil_p_mg,soil_k_mg,buffer_meq,nitrifiers_share,flow_share,glass_film_g_m2,leaf_film_g_m2,algae_mg_l,work_min",
		"plants.csv":    "day,id,planting,species,x_cm,y_cm,crown_z_cm,on,born_day,plants_together,height_cm,spread_cm,leaves,stems,shoots,nodes,internode_cm,stem_length_cm,bare_foot_cm,leaves_week,leaf_life_days,daughters,runners,plantlets,red,resting,mat_loose,shoot_dry_g,root_dry_g,n_share,p_share,k_share,iron_status,leaf_area_cm2,ppfd_umol_m2_s,top_ppfd_umol_m2_s,least,least_factor,shaded_by,shaded_by_share,full_light_share,submersed_share",
		"plantings.csv": "day,planting,species,plants,height_mean_cm,height_max_cm,spread_mean_cm,shoot_dry_g,root_dry_g,ppfd_mean_umol_m2_s,reached_share,held_back_by,held_back_share",
	} {
		got, _, _ := strings.Cut(string(files[name]), "\n")
		if d := cmp.Diff(want, got); d != "" {
			t.Errorf("%s: %s", name, d)
		}
	}
}

// TestSeriesTellsEveryNumberOfADay fails when the forecast's day gets a number that series.csv leaves out.
func TestSeriesTellsEveryNumberOfADay(t *testing.T) {
	typ := reflect.TypeFor[forecast.Day]()
	for i := range typ.NumField() {
		if typ.Field(i).Name == "Day" {
			continue
		}
		var d forecast.Day
		reflect.ValueOf(&d).Elem().Field(i).SetFloat(1234.5)
		told := 0
		for _, c := range seriesColumns {
			if c.of(&d) == 1234.5 {
				told++
			}
		}
		if told != 1 {
			t.Errorf("%s is told by %d columns of series.csv, want one", typ.Field(i).Name, told)
		}
	}
}

func TestCSVRows(t *testing.T) {
	f := sample.Library()
	f.Before = []forecast.Day{{Day: -1, NH4: 3, TempC: math.NaN()}}
	files := build(t, f, nil)
	rows, err := csv.NewReader(bytes.NewReader(files["series.csv"])).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	if len(rows) != f.Length+3 || rows[1][0] != "-1" || rows[1][1] != "" || rows[2][0] != "0" {
		t.Errorf("%d rows; first %v", len(rows), rows[1][:3])
	}
	rows, err = csv.NewReader(bytes.NewReader(files["plants.csv"])).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	days := map[string]bool{}
	for _, r := range rows[1:] {
		days[r[0]] = true
	}
	if d := cmp.Diff(map[string]bool{"0": true, "56": true, "364": true, "1092": true}, days); d != "" {
		t.Errorf("days of plants.csv: %s", d)
	}
}

func TestSpreadsheetsSeeNoFormulas(t *testing.T) {
	for _, c := range []struct{ in, want string }{{"=cmd()", "'=cmd()"}, {"+1", "'+1"}, {"-1", "'-1"}, {"@x", "'@x"}, {"rotala", "rotala"}, {"", ""}} {
		if got := cell(c.in); got != c.want {
			t.Errorf("%q becomes %q, want %q", c.in, got, c.want)
		}
	}
}

func compiled(t testing.TB) *jsonschema.Schema {
	t.Helper()
	doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(Schema()))
	if err != nil {
		t.Fatal(err)
	}
	c := jsonschema.NewCompiler()
	if err := c.AddResource(SchemaID, doc); err != nil {
		t.Fatal(err)
	}
	s, err := c.Compile(SchemaID)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// schemaCopy is where people look for the schemas of the project's files.
const schemaCopy = "../../schema/littoral-forecast-1.schema.json"

// TestSchemaIsFresh fails when the types changed and schema/ was not renewed: UPDATE_GOLDEN=1 go test ./internal/papers.
func TestSchemaIsFresh(t *testing.T) {
	want, err := makeSchema()
	if err != nil {
		t.Fatal(err)
	}
	if os.Getenv("UPDATE_GOLDEN") != "" {
		for _, path := range []string{filepath.Join("schema", "forecast.schema.json"), schemaCopy} {
			if err := os.WriteFile(path, want, 0o644); err != nil {
				t.Fatal(err)
			}
		}
		return
	}
	if shown, err := os.ReadFile(schemaCopy); err != nil || !bytes.Equal(shown, want) {
		t.Errorf("%s is not the schema of today (%v)", schemaCopy, err)
	}
	if d := cmp.Diff(string(want), string(Schema())); d != "" {
		t.Error(d)
	}
}

func TestForecastJSONFitsItsSchema(t *testing.T) {
	s := compiled(t)
	valid := func(data []byte) error {
		v, err := jsonschema.UnmarshalJSON(bytes.NewReader(data))
		if err != nil {
			return err
		}
		return s.Validate(v)
	}
	data := build(t, sample.Library(), found())["forecast.json"]
	if err := valid(data); err != nil {
		t.Error(err)
	}
	o := JSON(sample.Round(), nil)
	wall := 1.25
	o.WallS = &wall
	summary, err := json.Marshal(o)
	if err != nil {
		t.Fatal(err)
	}
	if err := valid(summary); err != nil {
		t.Errorf("the summary on standard output: %v", err)
	}
	if err := valid(bytes.Replace(data, []byte(`"net_water_l"`), []byte(`"net_water_gal"`), 1)); err == nil {
		t.Error("the schema takes a key that it does not know")
	}
	if err := valid(bytes.Replace(data, []byte(`"danger"`), []byte(`"dreadful"`), 1)); err == nil {
		t.Error("the schema takes a severity that there is none of")
	}
}

func TestForecastJSONKeys(t *testing.T) {
	f := sample.Library()
	var m map[string]any
	if err := json.Unmarshal(build(t, f, found())["forecast.json"], &m); err != nil {
		t.Fatal(err)
	}
	if _, ok := m["wall_s"]; ok {
		t.Error("the seconds of a run are in the file; then two runs differ")
	}
	for _, k := range []string{"net_water_l", "filled_weight_kg", "plants", "findings", "days", "seed"} {
		if _, ok := m[k]; !ok {
			t.Errorf("no key %s", k)
		}
	}
	last := f.Snapshots[len(f.Snapshots)-1].Plants
	plants := m["plants"].([]any)
	if len(plants) != len(last) {
		t.Fatalf("%d plants, want %d", len(plants), len(last))
	}
	p := plants[3].(map[string]any)
	if p["id"] != last[3].ID || math.Abs(p["height_cm"].(float64)-100*last[3].HeightM) > .06 || math.Abs(p["spread_cm"].(float64)-100*last[3].SpreadM) > .06 {
		t.Errorf("plant %v, want %v", p, last[3])
	}
	x := m["findings"].([]any)[0].(map[string]any)
	if x["severity"] != "danger" || x["number"] != 1. || x["x_cm"] != nil {
		t.Errorf("the gravest finding does not stand first, or has a place: %v", x)
	}
	if m["findings"].([]any)[1].(map[string]any)["x_cm"] != 182. {
		t.Error("a place is lost")
	}
}

func TestSameBytesTwice(t *testing.T) {
	a, b := build(t, desk(), found()), build(t, desk(), found())
	for n := range a {
		if !bytes.Equal(a[n], b[n]) {
			t.Errorf("%s differs between two runs", n)
		}
	}
}

// wholesome checks what must hold for any report: every drawing well-formed, nothing from outside, ids unique, links that arrive.
func wholesome(t *testing.T, page string) {
	t.Helper()
	for _, svg := range regexp.MustCompile(`(?s)<svg.*?</svg>`).FindAllString(page, -1) {
		d := xml.NewDecoder(strings.NewReader(svg))
		for {
			if _, err := d.Token(); errors.Is(err, io.EOF) {
				break
			} else if err != nil {
				t.Fatalf("a drawing is not well-formed: %v in %.200s", err, svg)
			}
		}
	}
	rest := strings.ToLower(strings.ReplaceAll(page, `xmlns="http://www.w3.org/2000/svg"`, ""))
	for _, outside := range []string{"http://", "https://", "<img", "<iframe", "<object", "<embed", "<video", "<audio", "@import", "<script", `rel="stylesheet`, "url(//", "url('", `url("`} {
		if i := strings.Index(rest, outside); i >= 0 {
			t.Errorf("the report reaches outside or runs something: %q", rest[max(0, i-60):min(len(rest), i+60)])
		}
	}
	ids := map[string]bool{}
	for _, m := range regexp.MustCompile(`\bid="([^"]*)"`).FindAllStringSubmatch(page, -1) {
		if ids[m[1]] {
			t.Errorf("id %s stands twice", m[1])
		}
		ids[m[1]] = true
	}
	for _, m := range regexp.MustCompile(`(?:href="|url\()#([^")]*)`).FindAllStringSubmatch(page, -1) {
		if !ids[m[1]] {
			t.Errorf("a link to #%s leads nowhere", m[1])
		}
	}
	_, body, _ := strings.Cut(page, "</style>")
	if i := strings.Index(body, "NaN"); i >= 0 {
		t.Errorf("NaN reached the report: %q", body[max(0, i-80):i+20])
	}
	for _, broken := range []string{"+Inf", "-Inf", "%!"} {
		if i := strings.Index(body, broken); i >= 0 {
			t.Errorf("an infinite number or a broken format reached the report: %q", body[max(0, i-60):min(len(body), i+20)])
		}
	}
}

func TestReportIsWhole(t *testing.T) {
	for name, f := range map[string]*forecast.Forecast{"box": sample.Library(), "cylinder": sample.Round()} {
		page := string(build(t, f, found())["report.html"])
		wholesome(t, page)
		for _, want := range []string{"In ten sentences", "The plan", "Light at the bed", "Growth, seen from the front", "Round the tank", "First six weeks", "first six weeks", "Orders and doses", "Work by quarter", "Balance", "docs/model.md", "prefers-color-scheme:dark", "@media print", `lang="en"`, "Caution", "local codes"} {
			if !strings.Contains(page, want) {
				t.Errorf("%s: the report says nothing of %q", name, want)
			}
		}
		if n := strings.Count(page, "<h1"); n != 1 {
			t.Errorf("%s: %d titles", name, n)
		}
		if len(page) > 6_000_000 {
			t.Errorf("%s: %d bytes are too many to send by mail", name, len(page))
		}
	}
}

// TestReportUsesOnlyCharactersOfItsFonts: the latin subset of the packages, as their style sheets give it (unicode-range).
func TestReportUsesOnlyCharactersOfItsFonts(t *testing.T) {
	ranges := [][2]rune{{0, 0xff}, {0x131, 0x131}, {0x152, 0x153}, {0x2bb, 0x2bc}, {0x2c6, 0x2c6}, {0x2da, 0x2da}, {0x2dc, 0x2dc}, {0x304, 0x304}, {0x308, 0x308}, {0x329, 0x329}, {0x2000, 0x206f}, {0x20ac, 0x20ac}, {0x2122, 0x2122}, {0x2191, 0x2191}, {0x2193, 0x2193}, {0x2212, 0x2212}, {0x2215, 0x2215}}
	for _, r := range string(build(t, desk(), found())["report.html"]) {
		ok := false
		for _, x := range ranges {
			ok = ok || r >= x[0] && r <= x[1]
		}
		if !ok {
			t.Errorf("%q is not in the fonts", r)
		}
	}
}

func TestHostileNames(t *testing.T) {
	for _, hostile := range []string{`<script>alert(1)</script>`, `" onmouseover="x`, `'><img src=x>`, `]]>&#x3c;b&#x3e;`, "{{.Title}}</style>", "a\x00\x1b[31m\u202eb\xff" + strings.Repeat("W", 400)} {
		f := desk()
		f.Plan.Name = hostile
		f.Plan.Planted = hostile
		f.Plan.Region = []string{hostile}
		f.Plan.House.Letterhead = hostile
		f.Plan.Substrate.Layers[0].Material, f.Plan.Hardscape = hostile, nil
		f.Plan.Plants[0].ID, f.Plan.Plants[0].Species = hostile, hostile
		f.Plan.Care[2].Grams = map[string]float64{hostile: 3}
		f.Plan.Water.Salts[0].Salt = hostile
		f.Plan.Livestock[0].Species = hostile
		f.Model.Notes = []string{hostile}
		f.Model.Facts.BedByMaterial[0].Material = hostile
		for i := range f.Model.Solids {
			f.Model.Solids[i].Material = hostile
		}
		f.Balance.Elements[0].In[0].Name, f.Balance.Elements[0].Element = hostile, hostile
		x := found()
		for i := range x {
			x[i].What, x[i].Because, x[i].Do, x[i].Caution, x[i].When, x[i].Where, x[i].Severity, x[i].Rule = hostile, hostile, hostile, hostile, hostile, hostile, hostile, hostile
		}
		files := build(t, f, x)
		page := string(files["report.html"])
		wholesome(t, page)
		if strings.Contains(page, "<img src=x") || strings.Contains(page, "<script>") || strings.Contains(page, ` onmouseover="x`) {
			t.Errorf("%q reaches the page as it is", hostile)
		}
		var o Outcome
		if err := json.Unmarshal(files["forecast.json"], &o); err != nil {
			t.Errorf("%q breaks forecast.json: %v", hostile, err)
		}
		for _, n := range []string{"series.csv", "plants.csv", "plantings.csv", "held.csv", "rootzone.csv"} {
			if _, err := csv.NewReader(bytes.NewReader(files[n])).ReadAll(); err != nil {
				t.Errorf("%q breaks %s: %v", hostile, n, err)
			}
		}
		if err := Summary(io.Discard, f, x); err != nil {
			t.Error(err)
		}
	}
}

// TestNumbersThatAreNone: a forecast full of what is no number still gives whole papers.
func TestNumbersThatAreNone(t *testing.T) {
	for _, bad := range []float64{math.NaN(), math.Inf(1), math.Inf(-1)} {
		f := desk()
		var spoil func(v reflect.Value)
		spoil = func(v reflect.Value) {
			switch v.Kind() {
			case reflect.Float64:
				v.SetFloat(bad)
			case reflect.Struct:
				for i := range v.NumField() {
					spoil(v.Field(i))
				}
			case reflect.Slice:
				for i := range v.Len() {
					spoil(v.Index(i))
				}
			}
		}
		spoil(reflect.ValueOf(&f.Days).Elem())
		spoil(reflect.ValueOf(&f.Events).Elem())
		spoil(reflect.ValueOf(&f.Visits).Elem())
		spoil(reflect.ValueOf(&f.LightMaps).Elem())
		spoil(reflect.ValueOf(&f.Balance).Elem())
		spoil(reflect.ValueOf(&f.Model.Facts).Elem())
		spoil(reflect.ValueOf(&f.Columns.Top).Elem())
		for i := range f.Snapshots {
			spoil(reflect.ValueOf(&f.Snapshots[i].Plants).Elem())
			spoil(reflect.ValueOf(&f.Snapshots[i].Soil).Elem())
		}
		x := found()
		x[0].X, x[0].Y = bad, bad
		files := build(t, f, x)
		wholesome(t, string(files["report.html"]))
		var o Outcome
		if err := json.Unmarshal(files["forecast.json"], &o); err != nil {
			t.Errorf("%g: %v", bad, err)
		}
		var b bytes.Buffer
		if err := Summary(&b, f, x); err != nil || strings.Contains(b.String(), "NaN") || strings.Contains(b.String(), "Inf") {
			t.Errorf("%g: %v %s", bad, err, b.String())
		}
	}
}

func TestBareForecasts(t *testing.T) {
	for name, strip := range map[string]func(*forecast.Forecast){
		"no days":      func(f *forecast.Forecast) { f.Days, f.Length = nil, 0 },
		"no snapshots": func(f *forecast.Forecast) { f.Snapshots = nil },
		"no plants": func(f *forecast.Forecast) {
			f.Plan.Plants = nil
			for i := range f.Snapshots {
				f.Snapshots[i].Plants = nil
			}
		},
		"one day":      func(f *forecast.Forecast) { f.Days, f.Snapshots, f.Length = f.Days[:1], f.Snapshots[:1], 0 },
		"no hardscape": func(f *forecast.Forecast) { f.Model.Solids = nil },
		"no care": func(f *forecast.Forecast) {
			f.Plan.Care, f.Events, f.Visits, f.Plan.CO2, f.Plan.LightDay = nil, nil, nil, nil, nil
		},
		"no light map": func(f *forecast.Forecast) { f.LightMaps = nil },
		"no house":     func(f *forecast.Forecast) { f.Plan.House, f.Plan.Cat = nil, nil },
		"no columns":   func(f *forecast.Forecast) { *f.Columns = geometry.Columns{} },
	} {
		f := desk()
		strip(f)
		files, err := Build(f, nil, Options{})
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		for _, x := range files {
			if x.Name == "report.html" {
				wholesome(t, string(x.Data))
			}
		}
		var b bytes.Buffer
		if err := Summary(&b, f, nil); err != nil || strings.Contains(b.String(), "NaN") {
			t.Errorf("%s: %v\n%s", name, err, b.String())
		}
	}
	if _, err := Build(nil, nil, Options{}); err == nil {
		t.Error("papers without a forecast")
	}
}

func TestSummaryIsTenSentences(t *testing.T) {
	var b bytes.Buffer
	if err := Summary(&b, sample.Library(), found()); err != nil {
		t.Fatal(err)
	}
	lines := strings.Split(strings.TrimSuffix(b.String(), "\n"), "\n")
	if len(lines) != 10 {
		t.Fatalf("%d lines:\n%s", len(lines), b.String())
	}
	for _, l := range lines {
		if !strings.HasSuffix(l, ".") || strings.Contains(l, "..") || strings.Contains(l, "  ") || strings.Contains(l, "!") {
			t.Errorf("not a plain sentence: %q", l)
		}
	}
	for _, want := range []string{"240 × 90 × 65 cm", "1070 L", "162 pots of 17 species", "4 findings", "Nitrite would harm"} {
		if !strings.Contains(b.String(), want) {
			t.Errorf("nothing of %q in\n%s", want, b.String())
		}
	}
}

func TestUSUnits(t *testing.T) {
	f := desk()
	f.Plan.House.Units = "US"
	page := string(build(t, f, found())["report.html"])
	for _, want := range []string{"gal", "lb", "°F", " in<"} {
		if !strings.Contains(page, want) {
			t.Errorf("no %q in a report in US units", want)
		}
	}
	var b bytes.Buffer
	_ = Summary(&b, f, nil)
	if strings.Contains(b.String(), " L ") || !strings.Contains(b.String(), "gal") {
		t.Errorf("litres in US units:\n%s", b.String())
	}
	if got := string(build(t, f, nil)["series.csv"]); !strings.HasPrefix(got, "day,temp_c,") {
		t.Error("files keep their units whatever the house shows")
	}
}

func TestWrite(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "deep", "out")
	f := desk()
	if err := Write(dir, f, found(), Options{}); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(dir, "notes.txt"), []byte("mine"), 0o644); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(dir, "series.csv"), []byte("old"), 0o644); err != nil {
		t.Fatal(err)
	}
	if err := Write(dir, f, nil, Options{}); err != nil {
		t.Fatal(err)
	}
	if b, _ := os.ReadFile(filepath.Join(dir, "notes.txt")); string(b) != "mine" {
		t.Error("a file of someone else is gone")
	}
	if b, _ := os.ReadFile(filepath.Join(dir, "series.csv")); len(b) < 1000 {
		t.Error("an old file was not replaced")
	}
	beside, _ := os.ReadDir(filepath.Dir(dir))
	if len(beside) != 1 {
		t.Errorf("something was left beside the folder: %v", beside)
	}
	file := filepath.Join(dir, "notes.txt")
	if err := Write(file, f, nil, Options{}); err == nil || !strings.Contains(err.Error(), "name a folder") {
		t.Errorf("writing into a file: %v", err)
	}
}

func TestSaveLeavesNothingHalfWritten(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "out")
	if err := Save(dir, []File{{"a.txt", []byte("new")}, {filepath.Join("none", "b.txt"), []byte("x")}}); err == nil {
		t.Fatal("a name in a folder that is not there was written")
	}
	if _, err := os.Stat(dir); !errors.Is(err, os.ErrNotExist) {
		t.Errorf("the folder exists after a failure: %v", err)
	}
	if left, _ := os.ReadDir(filepath.Dir(dir)); len(left) != 0 {
		t.Errorf("left behind: %v", left)
	}
}

// TestDoseOfTheWorkedJob: 22.8 g KNO3 and 2.0 g KH2PO4 in 700 L net bring NO3 20 mg/L with K 12.6 mg/L, and PO4 2 mg/L.
func TestDoseOfTheWorkedJob(t *testing.T) {
	f := sample.Library()
	f.Model.Facts.NetWaterL = 700
	k := newTeller(f, nil)
	read := func(list []string, ion string) float64 {
		for _, s := range list {
			var v float64
			if _, err := fmt.Sscanf(s, ion+" %f mg/L", &v); err == nil {
				return v
			}
		}
		return math.NaN()
	}
	worst := 0.0
	for _, c := range []struct {
		salt        string
		grams, want float64
		ion         string
	}{{"KNO3", 22.8, 20, "NO3"}, {"KNO3", 22.8, 12.6, "K"}, {"KH2PO4", 2.0, 2, "PO4"}} {
		got := read(k.adds(map[string]float64{c.salt: c.grams}), c.ion)
		worst = max(worst, math.Abs(got-c.want)/c.want)
		if math.Abs(got-c.want)/c.want > .04 { // two figures are shown
			t.Errorf("%g g of %s: %s %g mg/L, want %g", c.grams, c.salt, c.ion, got, c.want)
		}
	}
	check.Record(t, check.Row{Room: "papers", What: "what a weekly dose adds to 700 L (KNO3, KH2PO4)", Source: "molar masses; the trade's worked job, common practice, no source", Worst: fmt.Sprintf("%.1f %%", 100*worst), Within: "4 % (two figures shown)"})
}

// Lines of one dose are told as one: on two days of a week, and over spans that follow each other. What differs in anything stays apart.
func TestSameDosesAreToldOnce(t *testing.T) {
	f := sample.Library()
	p := *f.Plan
	f.Plan = &p
	line := func(n int, freq string, from, until unit.Day, grams float64) plan.Care {
		return plan.Care{Do: "dose", Every: unit.Every{N: n, Freq: freq}, From: from, Until: until, Grams: map[string]float64{"KNO3": grams}}
	}
	for _, c := range []struct {
		name  string
		lines []plan.Care
		want  []string
	}{
		{"two days of a week", []plan.Care{line(1, "WEEKLY", 28, 56, 2), line(1, "WEEKLY", 32, 56, 2)}, []string{"twice a week, from week 4, until week 8"}},
		{"three days", []plan.Care{line(1, "WEEKLY", 28, 0, 2), line(1, "WEEKLY", 30, 0, 2), line(1, "WEEKLY", 32, 0, 2)}, []string{"3 times a week, from week 4"}},
		{"spans that follow each other", []plan.Care{line(1, "WEEKLY", 0, 28, 2), line(1, "WEEKLY", 28, 56, 2), line(1, "WEEKLY", 56, 0, 2)}, []string{"every week"}},
		{"the same twice a week in two spans", []plan.Care{line(1, "WEEKLY", 28, 56, 2), line(1, "WEEKLY", 32, 56, 2), line(1, "WEEKLY", 56, 0, 2), line(1, "WEEKLY", 60, 0, 2)}, []string{"twice a week, from week 4"}},
		{"a gap between spans", []plan.Care{line(1, "WEEKLY", 0, 28, 2), line(1, "WEEKLY", 56, 0, 2)}, []string{"every week, until week 4", "every week, from week 8"}},
		{"other amounts", []plan.Care{line(1, "WEEKLY", 28, 0, 2), line(1, "WEEKLY", 32, 0, 3)}, []string{"every week, from week 4", "every week, from week 5"}},
		{"other rhythms", []plan.Care{line(3, "DAILY", 0, 28, 2), line(1, "WEEKLY", 28, 0, 2)}, []string{"every 3 days, until week 4", "every week, from week 4"}},
	} {
		p.Care = c.lines
		var got []string
		for _, d := range newTeller(f, nil).doses() {
			got = append(got, d.When)
		}
		if !slices.Equal(got, c.want) {
			t.Errorf("%s: %q, want %q", c.name, got, c.want)
		}
	}
}

func TestRegimeOfTheFirstSixWeeks(t *testing.T) {
	weeks := newTeller(sample.Library(), nil).regime()
	if len(weeks) != 6 {
		t.Fatalf("%d weeks", len(weeks))
	}
	for _, c := range []struct {
		week                  int
		light, changes, doses string
	}{
		{0, "6 h at 60 %, on 12:00", "4 × 50 %", "none"},
		{1, "6 h at 60 %, on 12:00", "3 × 50 %", "KH2PO4 0.8 g"},
		{3, "7 h at 80 %, on 11:30", "1 × 40 %", "KNO3 6 g"},
		{5, "8 h at 100 %, on 11:00", "1 × 40 %", "iron 0.2 g"},
	} {
		w := weeks[c.week]
		if w.Light != c.light || w.Changes != c.changes || !strings.Contains(w.Doses, c.doses) {
			t.Errorf("week %d: %+v", c.week+1, w)
		}
	}
	if weeks[3].Adds != "NO3 3.4 mg/L, PO4 0.52 mg/L, K 2.4 mg/L, Fe 0.19 mg/L" {
		t.Errorf("week 4 adds %s", weeks[3].Adds)
	}
	if weeks[0].CO2 != "25 mg/L, 09:30 to 18:00" {
		t.Errorf("CO2 of week 1: %s", weeks[0].CO2)
	}
}

func TestOrders(t *testing.T) {
	k := newTeller(sample.Library(), nil)
	for _, o := range k.plantOrders() {
		if want := int(math.Ceil(float64(o.Pots) * 1.1)); o.Order != want && o.Order != int(math.Ceil(float64(o.Pots)*1.1-1e-9)) {
			t.Errorf("%s: %d pots, order %d, want %d", o.Species, o.Pots, o.Order, want)
		}
		if o.Species == "Vallisneria americana" && o.Order != 31 {
			t.Errorf("28 pots and a tenth more make 31, not %d", o.Order)
		}
	}
	var kno3 float64
	for _, s := range k.firstQuarter() {
		if s.Salt == "KNO3" {
			kno3 = s.Grams
		}
	}
	if kno3 != 72 { // 6 g in each of the weeks 1 to 12
		t.Errorf("KNO3 of the first quarter %g g, want 72", kno3)
	}
	q := k.quarters()
	var minutes, told float64
	for _, d := range k.f.Days {
		minutes += d.Minutes
	}
	for _, x := range q {
		told += x.Hours * 60
	}
	if math.Abs(minutes-told) > 1e-6*minutes {
		t.Errorf("%g minutes of work, %g told by quarters", minutes, told)
	}
}

func TestFigures(t *testing.T) {
	for _, c := range []struct {
		x    float64
		n    int
		want string
	}{{1164.3, 3, "1160"}, {1164.3, 2, "1200"}, {0.0642, 2, "0.064"}, {24, 2, "24"}, {9.96, 2, "10"}, {0, 2, "0"}, {-0.0001, 2, "-0.0001"}, {1e-9, 2, "0"}, {99.6, 2, "100"}, {math.NaN(), 2, "not known"}} {
		if got := figure(c.x, c.n); got != c.want {
			t.Errorf("%g with %d figures is %q, want %q", c.x, c.n, got, c.want)
		}
	}
	rapid.Check(t, func(r *rapid.T) {
		x, n := rapid.Float64Range(1e-3, 1e7).Draw(r, "x"), rapid.IntRange(1, 4).Draw(r, "n")
		var back float64
		if _, err := fmt.Sscan(figure(x, n), &back); err != nil {
			r.Fatal(err)
		}
		if math.Abs(back-x) > .5000001*math.Pow10(int(math.Floor(math.Log10(x)))-n+1) {
			r.Fatalf("%g with %d figures reads %g", x, n, back)
		}
	})
}

func TestFindingsKeepTheirNumbers(t *testing.T) {
	page := string(build(t, desk(), found())["report.html"])
	for _, want := range []string{`id="finding-1"`, `id="plan-m2"`, `href="#plan-m2"`, `<i>Aquarius grisebachii</i> shades its neighbour.`, "14 of the 25 µmol/m²/s it lives on; CO<sub>2</sub> at least 20 mg/L.", "shades its neighbour"} {
		if !strings.Contains(page, want) {
			t.Errorf("no %q in the report", want)
		}
	}
	if strings.Contains(page, `id="plan-m1"`) {
		t.Error("a finding without a place has a ring")
	}
}

func TestBandsOfManyForecasts(t *testing.T) {
	f := desk()
	files, err := Build(f, found(), Options{Bands: sample.Bands(f)})
	if err != nil {
		t.Fatal(err)
	}
	for _, x := range files {
		switch x.Name {
		case "report.html":
			page := string(x.Data)
			wholesome(t, page)
			for _, want := range []string{"How sure this is", "40 forecasts of the same plan", "<td>later</td>", "The root zone runs short", "largest growth rate"} {
				if !strings.Contains(page, want) {
					t.Errorf("no %q in the report", want)
				}
			}
		case "forecast.json":
			v, err := jsonschema.UnmarshalJSON(bytes.NewReader(x.Data))
			if err != nil {
				t.Fatal(err)
			}
			if err := compiled(t).Validate(v); err != nil {
				t.Error(err)
			}
			var o Outcome
			if err := json.Unmarshal(x.Data, &o); err != nil {
				t.Fatal(err)
			}
			if o.Sure == nil || o.Sure.Members != 40 || *o.Sure.Dates[0].Mid != 27 || o.Sure.Dates[1].High != nil {
				t.Errorf("dates of many forecasts: %+v", o.Sure)
			}
		}
	}
	empty, err := Build(f, nil, Options{Bands: &forecast.Bands{}})
	if err != nil || len(empty) == 0 {
		t.Errorf("empty bands: %v", err)
	}
}

// The caption of the clearness chart says how far one sees and what a stronger or finer filter would make of it.
func TestHowFarOneSees(t *testing.T) {
	f := desk()
	k := newTeller(f, nil)
	for i := range f.Days {
		f.Days[i].Beam, f.Days[i].Suspended = 0.24, 0
	}
	if got := k.seen(0, f.Length); !strings.Contains(got, "vanishes at 20 m") || !strings.Contains(got, "neither") {
		t.Errorf("clear water: %q", got)
	}
	for i := range f.Days {
		f.Days[i].Beam, f.Days[i].Suspended = 2.4, 3
	}
	if got := k.seen(0, f.Length); !strings.Contains(got, "vanishes at 200 cm") || !strings.Contains(got, "twice the flow would keep") {
		t.Errorf("milky water: %q", got)
	}
}

// The terminal's lines keep to one unit of weight and say what few members see as a share.
func TestBandSummary(t *testing.T) {
	b := sample.Bands(desk())
	b.Totals = append(b.Totals, forecast.TotalBand{Year: 2, HarvestG: forecast.Band{Low: 700, Mid: 900, High: 1300}})
	b.Dates = append(b.Dates, forecast.DateBand{Name: "the bed has spent its buffering", Share: 0.125, Day: forecast.Band{Low: -1, Mid: -1, High: -1}},
		forecast.DateBand{Name: "it is ripe", Share: 1})
	var s strings.Builder
	if err := BandSummary(&s, b); err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"0.3 to 0.88 kg cut wet a month", "0.7 to 1.3 kg cut wet a month", "the bed has spent its buffering: seen by 12 % of the members\n", "it is ripe: day 0\n", "after the forecast ends (in 60 % within the forecast)"} {
		if !strings.Contains(s.String(), want) {
			t.Errorf("no %q in\n%s", want, s.String())
		}
	}
}

func TestViewDays(t *testing.T) {
	for _, c := range []struct {
		length int
		want   []int
	}{{1095, []int{0, 56, 365, 1095}}, {120, []int{0, 56, 120}}, {30, []int{0, 30}}, {0, []int{0}}, {365, []int{0, 56, 365}}, {730, []int{0, 56, 365, 730}}} {
		k := newTeller(&forecast.Forecast{Length: c.length}, nil)
		if d := cmp.Diff(c.want, k.viewDays()); d != "" {
			t.Errorf("%d days: %s", c.length, d)
		}
	}
}

func TestEveryInWords(t *testing.T) {
	for _, c := range []struct {
		e    unit.Every
		want string
	}{{unit.Every{N: 1, Freq: "WEEKLY"}, "every week"}, {unit.Every{N: 2, Freq: "DAILY"}, "every 2 days"}, {unit.Every{N: 3, Freq: "MONTHLY"}, "every 3 months"}, {unit.Every{}, "as written"}} {
		if got := every(c.e); got != c.want {
			t.Errorf("%v: %q, want %q", c.e, got, c.want)
		}
	}
}

func BenchmarkBuild(b *testing.B) {
	f, x := sample.Library(), found()
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Build(f, x, Options{}); err != nil {
			b.Fatal(err)
		}
	}
}

func TestLedgerIsForPeople(t *testing.T) {
	for _, c := range []struct {
		x, sum float64
		want   string
	}{
		{0.00003, 4.7421, "under 0.001"},
		{1.5094, 4.7421, "1.509"},
		{0, 4.7421, "0.000"},
		{12.34, 1234.5, "12"},
		{0.4, 1234.5, "under 1"},
		{3, 0, "3"},
	} {
		if got := ledger(c.x, ledgerDecimals(c.sum)); got != c.want {
			t.Errorf("%g of %g reads %q, want %q", c.x, c.sum, got, c.want)
		}
	}
}
