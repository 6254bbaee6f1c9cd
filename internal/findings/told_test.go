package findings

import (
	"littoral/internal/tongue"
	"testing"
)

// toldInGerman wants each sentence of a finding in the catalogue of the other language.
func toldInGerman(t *testing.T, list []Finding) {
	t.Helper()
	for i := range list {
		x := &list[i]
		for _, s := range []string{x.What, x.Because, x.Do, x.Caution, x.Where, x.When, x.Tried} {
			if de, whole := tongue.Told(s); !whole {
				t.Errorf("%s has no German: %q became %q. Write it into internal/tongue/de/findings.txt.", x.Rule, s, de)
			}
		}
	}
}
