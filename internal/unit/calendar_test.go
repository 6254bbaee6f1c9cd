package unit

import (
	"errors"
	"math"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/teambition/rrule-go"
	"pgregory.net/rapid"
)

func TestParseEvery(t *testing.T) {
	tests := []struct {
		text  string
		want  Every
		rrule string
		cure  string // when refused
	}{
		{"day", Every{1, "DAILY"}, "FREQ=DAILY;INTERVAL=1", ""},
		{"2 days", Every{2, "DAILY"}, "FREQ=DAILY;INTERVAL=2", ""},
		{"week", Every{1, "WEEKLY"}, "FREQ=WEEKLY;INTERVAL=1", ""},
		{"every 3 weeks", Every{3, "WEEKLY"}, "FREQ=WEEKLY;INTERVAL=3", ""},
		{"Month", Every{1, "MONTHLY"}, "FREQ=MONTHLY;INTERVAL=1", ""},
		{"3 months", Every{3, "MONTHLY"}, "FREQ=MONTHLY;INTERVAL=3", ""},
		{"year", Every{1, "YEARLY"}, "FREQ=YEARLY;INTERVAL=1", ""},
		{"3", Every{}, "", "write for example 3 days"},
		{"1.5 weeks", Every{}, "", "write a whole number, for example 11 days"},
		{"0.5 months", Every{}, "", "write a whole number, for example 15 days"},
		{"0 days", Every{}, "", "write for example day, 2 days, week, 3 weeks or month"},
		{"-2 days", Every{}, "", "write for example day, 2 days, week, 3 weeks or month"},
		{"5000 days", Every{}, "", "write for example day, 2 days, week, 3 weeks or month"},
		{"fortnight", Every{}, "", "write 2 weeks"},
		{"quarter", Every{}, "", "write 3 months"},
		{"", Every{}, "", "write for example day, 2 days, week, 3 weeks or month"},
		{"now and then", Every{}, "", "write for example day, 2 days, week, 3 weeks or month"},
	}
	for _, tt := range tests {
		got, err := ParseEvery(tt.text)
		if got != tt.want {
			t.Errorf("ParseEvery(%q) = %v, want %v", tt.text, got, tt.want)
		}
		if tt.cure != "" {
			var e *Error
			if !errors.As(err, &e) || e.Cure != tt.cure || e.Text != tt.text {
				t.Errorf("ParseEvery(%q): error %v, want the cure %q", tt.text, err, tt.cure)
			}
			continue
		}
		if err != nil || got.RRULE() != tt.rrule {
			t.Errorf("ParseEvery(%q): %v, rule %s, want %s", tt.text, err, got.RRULE(), tt.rrule)
		}
		if again, err := ParseEvery(got.String()); err != nil || again != got {
			t.Errorf("%v is written %q and read back as %v, %v", got, got.String(), again, err)
		}
	}
}

func TestOccurrences(t *testing.T) {
	leap := time.Date(2024, time.January, 31, 18, 30, 0, 0, time.FixedZone("", 3*3600))
	tests := []struct {
		name        string
		every       Every
		planted     time.Time
		from, until Day
		want        []Day
	}{
		{"every second day, the last day left out", Every{2, "DAILY"}, nominal, 0, 14, []Day{0, 2, 4, 6, 8, 10, 12}},
		{"weekly from day 14", Every{1, "WEEKLY"}, nominal, 14, 36, []Day{14, 21, 28, 35}},
		{"starts on the next whole day", Every{1, "WEEKLY"}, nominal, 13.2, 29, []Day{14, 21, 28}},
		{"until within a day", Every{1, "DAILY"}, nominal, 0, 2.5, []Day{0, 1, 2}},
		{"before planting", Every{1, "WEEKLY"}, nominal, -14, 1, []Day{-14, -7, 0}},
		{"calendar months", Every{1, "MONTHLY"}, time.Date(2025, time.May, 10, 0, 0, 0, 0, time.UTC), 0, 100, []Day{0, 31, 61, 92}},
		{"months from the 31st fall on month's end", Every{1, "MONTHLY"}, leap, 0, 122, []Day{0, 29, 60, 90, 121}},
		{"nominal months", Every{3, "MONTHLY"}, nominal, 0, 366, []Day{0, 90, 181, 273, 365}},
		{"years from 29 February", Every{1, "YEARLY"}, time.Date(2024, time.February, 29, 0, 0, 0, 0, time.UTC), 0, 1500, []Day{0, 365, 730, 1095, 1461}},
		{"nothing left", Every{1, "DAILY"}, nominal, 5, 5, nil},
		{"turned round", Every{1, "DAILY"}, nominal, 9, 5, nil},
		{"not finite", Every{1, "DAILY"}, nominal, Day(math.NaN()), 5, nil},
		{"no recurrence", Every{}, nominal, 0, 5, nil},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			got := tt.every.OccurrencesFrom(tt.planted, tt.from, tt.until)
			if diff := cmp.Diff(tt.want, got); diff != "" {
				t.Errorf("days (-want +got):\n%s", diff)
			}
		})
	}
	if n := len(Every{1, "DAILY"}.Occurrences(0, Day(math.Inf(1)))); n != int(longestDayOfPlan) {
		t.Errorf("an endless list has %d days, want a century", n)
	}
}

// TestOccurrencesAgainstArithmetic: daily and weekly rules are plain steps, and months never drift from the calendar.
func TestOccurrencesAgainstArithmetic(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 60).Draw(t, "n")
		weekly := rapid.Bool().Draw(t, "weekly")
		from := rapid.IntRange(-100, 1200).Draw(t, "from")
		until := rapid.IntRange(-100, 1200).Draw(t, "until")
		planted := nominal.AddDate(0, 0, rapid.IntRange(0, 9000).Draw(t, "planted"))
		e, step := Every{n, "DAILY"}, n
		if weekly {
			e, step = Every{n, "WEEKLY"}, 7*n
		}
		var want []Day
		for d := from; d < until; d += step {
			want = append(want, Day(d))
		}
		if diff := cmp.Diff(want, e.OccurrencesFrom(planted, Day(from), Day(until))); diff != "" {
			t.Fatalf("days (-want +got):\n%s", diff)
		}
		months := Every{n, "MONTHLY"}.OccurrencesFrom(planted, Day(from), Day(from+2000))
		start := planted.AddDate(0, 0, from)
		for i, d := range months {
			at := planted.AddDate(0, 0, int(d))
			gone := (at.Year()-start.Year())*12 + int(at.Month()-start.Month())
			if gone != i*n || at.Day() > start.Day() || at.Day() < min(start.Day(), 28) {
				t.Fatalf("occurrence %d of every %d months from %s is on %s", i, n, start, at)
			}
		}
	})
}

// TestRRULEFrom: the rule handed to a calendar gives the same days as the list.
func TestRRULEFrom(t *testing.T) {
	for _, day := range []int{15, 28, 29, 30, 31} {
		start := time.Date(2024, time.January, day, 0, 0, 0, 0, time.UTC)
		for _, e := range []Every{{1, "MONTHLY"}, {2, "MONTHLY"}, {3, "WEEKLY"}, {1, "YEARLY"}, {2, "DAILY"}} {
			o, err := rrule.StrToROption(e.RRULEFrom(start))
			if err != nil {
				t.Fatalf("%s: %v", e.RRULEFrom(start), err)
			}
			o.Dtstart = start
			o.Until = start.AddDate(3, 0, -1)
			rule, err := rrule.NewRRule(*o)
			if err != nil {
				t.Fatalf("%s: %v", e.RRULEFrom(start), err)
			}
			var want []Day
			for _, at := range rule.All() {
				want = append(want, Day(at.Sub(start).Hours()/24))
			}
			until := Day(o.Until.Sub(start).Hours()/24 + 1)
			if diff := cmp.Diff(want, e.OccurrencesFrom(start, 0, until)); diff != "" {
				t.Errorf("%s from day %d (-rule +list):\n%s", e.RRULEFrom(start), day, diff)
			}
		}
	}
	if got, want := (Every{1, "MONTHLY"}).RRULEFrom(time.Date(2024, 1, 30, 0, 0, 0, 0, time.UTC)), "FREQ=MONTHLY;INTERVAL=1;BYMONTHDAY=28,29,30;BYSETPOS=-1"; got != want {
		t.Errorf("RRULEFrom = %s, want %s", got, want)
	}
	if got, want := (Every{1, "YEARLY"}).RRULEFrom(time.Date(2024, 2, 29, 0, 0, 0, 0, time.UTC)), "FREQ=YEARLY;INTERVAL=1;BYMONTH=2;BYMONTHDAY=28,29;BYSETPOS=-1"; got != want {
		t.Errorf("RRULEFrom = %s, want %s", got, want)
	}
}

func BenchmarkOccurrences(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		_ = Every{1, "WEEKLY"}.Occurrences(14, 1096)
	}
}
