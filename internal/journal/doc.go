// Package journal is what was really done with a tank, measured in it, lost from it and put into it, beside what its plan says. Lay puts
// what was done over a plan, so that the forecast runs on from the tank as it was kept; Compare lays measured values over a forecast and
// says in words how far they lie apart. It is pure: values in, values out.
package journal
