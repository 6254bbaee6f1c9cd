package plan

import (
	"strings"
	"testing"
)

// afloat is the smallest plan with one floating plant, for a region.
func afloat(t *testing.T, species, region string) []byte {
	t.Helper()
	src := string(plans(t, "testdata/minimal.yaml")["testdata/minimal.yaml"])
	return []byte(strings.Replace(src, "{species: Cryptocoryne wendtii, pots: 4, in: [[5,15],[55,15],[55,28],[5,28]]}",
		"{species: "+species+", pots: 1, afloat: true}", 1) + "region: " + region + "\n")
}

// Water hyacinth is on the EU's list (Regulation 1143/2014) and on those of several states of the US. However a person writes where
// the tank stands, the ban must be said.
func TestRegionsAreKnownByTheirNames(t *testing.T) {
	for _, c := range []struct {
		region, want string
		warnings     int
	}{
		{"[EU]", "EU", 1},
		{"[eu]", "EU", 1},
		{"[European Union]", "EU", 1},
		{"[DE]", "EU", 1},
		{"[Germany]", "EU", 1},
		{"[ireland]", "EU", 1},
		{"[GR, EL, Greece]", "EU", 1},
		{"[EU, DE]", "EU", 1},
		{"[US]", "US", 1},
		{"[USA]", "US", 1},
		{"[U.S.A.]", "US", 1},
		{"[United States]", "US", 1},
		{"[Florida]", "US", 1},
		{"[US-FL]", "US", 1},
		{"[New  York]", "US", 1},
		{"[Austria, Texas]", "EU US", 2},
		{"[UK]", "UK", 0},
		{"[Scotland]", "UK", 0},
	} {
		for _, species := range []string{"Pontederia crassipes", "Eichhornia crassipes"} {
			p, err := Parse(afloat(t, species, c.region), "m.yaml", nil)
			if err != nil {
				t.Errorf("%s in %s: %v", species, c.region, err)
				continue
			}
			if got := strings.Join(p.Region, " "); got != c.want || len(p.Warnings) != c.warnings {
				t.Errorf("%s in %s: regions %q, warnings %v", species, c.region, got, p.Warnings)
			}
		}
	}
}

func TestUnknownRegionsAreRefused(t *testing.T) {
	for _, c := range []struct{ region, want string }{
		{"[Mars]", `no list of banned plants is known for region "Mars"`},
		{"[Mars]", "lists are known for Australia, EU, New Zealand, UK, US;"},
		{"[Germnay]", `did you mean "Germany"?`},
		{"[Untied States]", `did you mean "United States"?`},
		{"[Europe]", "lists are known for"},
		{"[Northern Ireland]", "write region: [UK, EU]"},
		{"[CA]", "lists are known for"},
		{"[U]", "lists are known for"},
		{"[EU, Japan]", `region "Japan"`},
	} {
		if _, err := Parse(afloat(t, "Pontederia crassipes", c.region), "m.yaml", nil); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v, want %q", c.region, err, c.want)
		}
	}
}

// A plan's own catalogue may know the list of a region that the built-in one does not.
func TestRegionsOfTheOwnCatalogueAreKnown(t *testing.T) {
	files := func(string) ([]byte, error) {
		return []byte("species,notices\nPistia stratiotes,Japan watched 2026-01-01\n"), nil
	}
	p, err := Parse(append(afloat(t, "Pistia stratiotes", "[japan]"), "catalog: [own.csv]\n"...), "m.yaml", files)
	if err != nil {
		t.Fatal(err)
	}
	if len(p.Warnings) != 1 || len(p.Region) != 1 || p.Region[0] != "Japan" {
		t.Errorf("regions %v, warnings %v", p.Region, p.Warnings)
	}
}

func TestTheHousesRegionCounts(t *testing.T) {
	src := afloat(t, "Pontederia crassipes", "[]")
	src = src[:strings.LastIndex(strings.TrimSpace(string(src)), "\n")+1]
	for _, c := range []struct {
		region string
		want   string
	}{{"[DE]", "is banned in EU"}, {"[Mars]", `region "Mars" of the house file`}} {
		h, err := ParseHouse([]byte("region: "+c.region+"\n"), "house.yaml")
		if err != nil {
			t.Fatal(err)
		}
		p, err := read(src, "m.yaml", nil, h, nil)
		said := ""
		if err != nil {
			said = err.Error()
		} else {
			said = p.Warnings.Error()
		}
		if !strings.Contains(said, c.want) {
			t.Errorf("%s says %q, want %q", c.region, said, c.want)
		}
	}
}
