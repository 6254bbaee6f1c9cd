package unit

import (
	"math"
	"strconv"
	"strings"
	"time"

	"github.com/teambition/rrule-go"
)

// parseClock reads "09:30", "9:30", "9:30 pm" and "9 pm"; 24:00 is the end of the day.
func parseClock(text string) (float64, *Error) {
	bad := func(reason string) (float64, *Error) {
		return 0, &Error{text, KindClock, quote(text) + " " + reason, example(KindClock)}
	}
	s := strings.ToLower(canonical(text))
	s = strings.NewReplacer("a.m.", "am", "p.m.", "pm", " ", "").Replace(s)
	half := ""
	if strings.HasSuffix(s, "am") || strings.HasSuffix(s, "pm") {
		half, s = s[len(s)-2:], s[:len(s)-2]
	}
	hour, minute, found := strings.Cut(s, ":")
	if !found && half == "" {
		return bad("is not a time of day")
	}
	h, ok := smallNumber(hour, 1)
	m := 0
	if found && ok {
		m, ok = smallNumber(minute, 2)
	}
	if !ok {
		return bad("is not a time of day")
	}
	if half != "" {
		if h < 1 || h > 12 || m > 59 {
			return bad("is not on the twelve-hour clock")
		}
		h %= 12
		if half == "pm" {
			h += 12
		}
	}
	if m > 59 || h > 24 || h == 24 && m > 0 {
		return bad("is outside the day")
	}
	return float64(3600*h + 60*m), nil
}

// smallNumber reads one or two digits, but at least as many as asked.
func smallNumber(s string, atLeast int) (int, bool) {
	if len(s) < atLeast || len(s) > 2 {
		return 0, false
	}
	for i := range len(s) {
		if !digit(s[i]) {
			return 0, false
		}
	}
	n, err := strconv.Atoi(s)
	return n, err == nil
}

// parseDay reads "day 21", "week 3", "month 9", "year 1".
func parseDay(text string) (float64, *Error) {
	const kind = KindDay
	s := strings.ToLower(canonical(text))
	word, number, _ := strings.Cut(s, " ")
	length := dayLength(word)
	if length == 0 {
		if x, rest, err := scanNumber(kind, text, s); err == nil && rest == "" {
			return 0, &Error{text, kind, quote(text) + " does not say whether days, weeks or months are counted", "write day " + digits(x, 6)}
		} else if err == nil && dayLength(strings.TrimSuffix(rest, "s")) > 0 {
			return 0, &Error{text, kind, quote(text) + " is a duration, not a day of the plan", "write " + strings.TrimSuffix(rest, "s") + " " + digits(x, 6)}
		}
		return 0, &Error{text, kind, quote(text) + " is not a day of the plan", example(kind)}
	}
	x, rest, err := scanNumber(kind, text, number)
	if err != nil {
		return 0, err
	}
	if rest != "" {
		return 0, &Error{text, kind, quote(text) + " has something behind the number", example(kind)}
	}
	if v := x * length; math.Abs(v) <= longestDayOfPlan {
		return v + 0, nil
	}
	return 0, &Error{text, kind, quote(text) + " is more than a century away", example(kind)}
}

func dayLength(word string) float64 {
	switch word {
	case "day":
		return 1
	case "week":
		return 7
	case "month":
		return daysPerMonth
	case "year":
		return daysPerYear
	}
	return 0
}

// the longest interval of a recurrence, in its own unit; longer ones are slips.
const longestInterval = 1000

// ParseEvery reads a recurrence: "day", "2 days", "week", "3 weeks", "month", "year"; a leading "every" is allowed. It
// always returns a recurrence with N of at least 1, or an *Error.
func ParseEvery(text string) (Every, error) {
	const cure = "write for example day, 2 days, week, 3 weeks or month"
	bad := func(reason, cure string) (Every, error) {
		return Every{}, &Error{Text: text, Reason: reason, Cure: cure}
	}
	if err := checkText("", text); err != nil {
		return bad(err.Reason, cure)
	}
	s := strings.TrimPrefix(strings.ToLower(canonical(text)), "every ")
	n := 1.0
	word := s
	if s != "" && (digit(s[0]) || s[0] == '-' || s[0] == '+' || s[0] == '.') {
		x, rest, err := scanNumber("", text, s)
		if err != nil {
			return bad(err.Reason, cure)
		}
		n, word = x, rest
	}
	if word == "" {
		return bad(quote(text)+" does not say whether days, weeks or months are counted", "write for example "+digits(n, 6)+" days")
	}
	var freq string
	switch word {
	case "day", "days", "daily":
		freq = "DAILY"
	case "week", "weeks", "weekly":
		freq = "WEEKLY"
	case "month", "months", "monthly":
		freq = "MONTHLY"
	case "year", "years", "yearly":
		freq = "YEARLY"
	case "fortnight":
		return bad(quote(text)+" is not a recurrence that is known here", "write 2 weeks")
	case "quarter":
		return bad(quote(text)+" is not a recurrence that is known here", "write 3 months")
	default:
		return bad(quote(text)+" is not a recurrence", cure)
	}
	switch {
	case n != math.Trunc(n):
		inDays := map[string]float64{"DAILY": 1, "WEEKLY": 7, "MONTHLY": daysPerMonth, "YEARLY": daysPerYear}[freq]
		return bad(quote(text)+" is not a whole number of days, weeks or months", "write a whole number, for example "+digits(max(1, math.Round(inDays*n)), 6)+" days")
	case n < 1:
		return bad(quote(text)+" would never come round", cure)
	case n > longestInterval:
		return bad(quote(text)+" is too long an interval", cure)
	}
	return Every{N: int(n), Freq: freq}, nil
}

// String writes the recurrence as ParseEvery reads it: "day", "2 days", "week".
func (e Every) String() string {
	word := ""
	switch e.Freq {
	case "DAILY":
		word = "day"
	case "WEEKLY":
		word = "week"
	case "MONTHLY":
		word = "month"
	case "YEARLY":
		word = "year"
	}
	if e.N == 1 {
		return word
	}
	return strconv.Itoa(e.N) + " " + word + "s"
}

// PerWeek is how often it comes in a week in the long run; months and years are those of 365.25 days.
func (e Every) PerWeek() float64 {
	per := map[string]float64{"DAILY": 7, "WEEKLY": 1, "MONTHLY": 12 * 7 / 365.25, "YEARLY": 7 / 365.25}[e.Freq]
	return per / float64(max(1, e.N))
}

// RRULE writes the recurrence in the form of RFC 5545: "FREQ=DAILY;INTERVAL=2". Where the first day is known and may be
// the 29th or later of a month, RRULEFrom is right for months and years.
func (e Every) RRULE() string { return "FREQ=" + e.Freq + ";INTERVAL=" + strconv.Itoa(e.N) }

// RRULEFrom writes the recurrence in the form of RFC 5545 for a calendar whose first occurrence is on the date of start.
// A monthly or yearly job that starts on a day which some months lack falls on the last day of those months, where the
// bare rule would leave them out.
func (e Every) RRULEFrom(start time.Time) string {
	o, ok := e.option(start)
	if !ok {
		return e.RRULE()
	}
	return e.RRULE() + byParts(o)
}

func byParts(o rrule.ROption) string {
	s := ""
	if len(o.Bymonth) > 0 {
		s += ";BYMONTH=" + strconv.Itoa(o.Bymonth[0])
	}
	for i, d := range o.Bymonthday {
		if i == 0 {
			s += ";BYMONTHDAY="
		} else {
			s += ","
		}
		s += strconv.Itoa(d)
	}
	if len(o.Bysetpos) > 0 {
		s += ";BYSETPOS=-1"
	}
	return s
}

// option builds the rule that starts on a date; ok is false for a recurrence that ParseEvery would not give.
func (e Every) option(start time.Time) (o rrule.ROption, ok bool) {
	if e.N < 1 || e.N > longestInterval {
		return o, false
	}
	start = time.Date(start.Year(), start.Month(), start.Day(), 0, 0, 0, 0, time.UTC)
	o = rrule.ROption{Interval: e.N, Dtstart: start}
	switch e.Freq {
	case "DAILY":
		o.Freq = rrule.DAILY
	case "WEEKLY":
		o.Freq = rrule.WEEKLY
	case "MONTHLY":
		o.Freq = rrule.MONTHLY
		o.Bymonthday, o.Bysetpos = lastOf(start.Day())
	case "YEARLY":
		o.Freq = rrule.YEARLY
		if start.Month() == time.February && start.Day() == 29 {
			o.Bymonth = []int{2}
			o.Bymonthday, o.Bysetpos = lastOf(29)
		}
	default:
		return o, false
	}
	return o, true
}

// lastOf asks for the given day of the month, or the last day before it in shorter months.
func lastOf(day int) (monthdays, setpos []int) {
	if day <= 28 {
		return nil, nil
	}
	for d := 28; d <= day; d++ {
		monthdays = append(monthdays, d)
	}
	return monthdays, []int{-1}
}

// nominal is the planting date that stands in when a plan has none: the first day of a common year.
var nominal = time.Date(2001, time.January, 1, 0, 0, 0, 0, time.UTC)

// Occurrences lists the days on which the recurrence falls, from the first whole day not before from, up to but not
// including until. Months and years are those after a nominal planting on 1 January of a common year. The list is in
// order; it is empty when until is not after from, or when either is not finite, and reaches at most a century.
func (e Every) Occurrences(from, until Day) []Day { return e.OccurrencesFrom(nominal, from, until) }

// OccurrencesFrom is Occurrences with the calendar months and years that follow a planting on the date of planted (day 0).
func (e Every) OccurrencesFrom(planted time.Time, from, until Day) []Day {
	if !(math.Abs(float64(from)) <= longestDayOfPlan && until > from) {
		return nil
	}
	first := math.Ceil(float64(from))
	until = min(until, Day(first+longestDayOfPlan))
	day0 := time.Date(planted.Year(), planted.Month(), planted.Day(), 0, 0, 0, 0, time.UTC)
	o, ok := e.option(day0.AddDate(0, 0, int(first)))
	if !ok || Day(first) >= until {
		return nil
	}
	o.Until = day0.AddDate(0, 0, int(math.Ceil(float64(until)))-1)
	rule, err := rrule.NewRRule(o)
	if err != nil {
		return nil
	}
	var days []Day
	next := rule.Iterator()
	for {
		date, more := next()
		if !more {
			return days
		}
		days = append(days, Day(math.Round(date.Sub(day0).Hours()/24)))
	}
}
