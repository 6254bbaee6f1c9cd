package plan

import "littoral/internal/unit"

// Measured is a test of the running tank's water. It has no place in a plan's file: the journal lays it over a plan.
type Measured struct {
	ID       string // of the journal entry
	On       unit.Day
	At       unit.Clock // absent = 10:00
	Change   string     // before or after the day's water change; empty where neither is said
	Readings []Reading
}

// Reading is one value of a test: nitrate, nitrite, ammonium, phosphate, potassium, iron, calcium or magnesium in mg/L of the ion, kh in dKH, gh in dGH.
type Reading struct {
	What  string
	Value float64
}
