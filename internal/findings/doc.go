// Package findings reads a forecast and says what will go wrong, or is worth a look: what, when, where, why in numbers, and what
// to do. The rules stand in lists that are easy to add to; each is a function of the forecast and of nothing else. House limits
// come from the plan's house; limits of species from the catalogue.
package findings
