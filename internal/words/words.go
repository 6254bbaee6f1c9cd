// Package words tells how far apart two words are, for "did you mean".
package words

// Edits is the least number of letters to insert, drop, change or swap with a neighbour between two words (optimal string alignment
// distance), or something above most when it is more than that.
func Edits(a, b []rune, most int) int {
	if d := len(a) - len(b); d > most || -d > most {
		return most + 1
	}
	before, last, now := make([]int, len(b)+1), make([]int, len(b)+1), make([]int, len(b)+1)
	for j := range last {
		last[j] = j
	}
	for i := 1; i <= len(a); i++ {
		now[0] = i
		for j := 1; j <= len(b); j++ {
			cost := 1
			if a[i-1] == b[j-1] {
				cost = 0
			}
			now[j] = min(last[j]+1, now[j-1]+1, last[j-1]+cost)
			if i > 1 && j > 1 && a[i-1] == b[j-2] && a[i-2] == b[j-1] {
				now[j] = min(now[j], before[j-2]+1)
			}
		}
		before, last, now = last, now, before
	}
	return last[len(b)]
}
