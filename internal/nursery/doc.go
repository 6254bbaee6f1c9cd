// Package nursery chooses plants for a plan: what a species would find in the tank, what of it suits and what does not, each in a
// sentence with the numbers, and which species could stand in for another.
//
// A Site is worked out once for a plan and then asked about any number of species. Verdicts compare the catalogue's ranges with the
// plan; they know no time. What a plant makes of years in the tank is the forecast's business.
package nursery
