package words

import "testing"

func TestEdits(t *testing.T) {
	for _, c := range []struct {
		a, b       string
		most, want int
	}{
		{"lenght", "length", 3, 1}, // a swap is one slip
		{"kitten", "sitting", 5, 3},
		{"", "abc", 3, 3},
		{"same", "same", 0, 0},
		{"ca", "abc", 5, 3}, // no letter is edited twice
		{"Vallisneria", "Valisneria", 2, 1},
		{"short", "a much longer word", 4, 5},
	} {
		if got := Edits([]rune(c.a), []rune(c.b), c.most); got != c.want {
			t.Errorf("%q to %q: %d, want %d", c.a, c.b, got, c.want)
		}
		if back := Edits([]rune(c.b), []rune(c.a), c.most); back != Edits([]rune(c.a), []rune(c.b), c.most) {
			t.Errorf("%q and %q: the way back differs", c.a, c.b)
		}
	}
}
