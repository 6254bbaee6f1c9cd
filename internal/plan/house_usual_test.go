package plan

import (
	"testing"

	"github.com/google/go-cmp/cmp"
)

func TestUsualHouseSaysWhatTheProgramSays(t *testing.T) {
	h, err := ParseHouse([]byte(UsualHouse()), "house.yaml")
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(DefaultHouse(), h); diff != "" {
		t.Errorf("-program +file:\n%s", diff)
	}
}
