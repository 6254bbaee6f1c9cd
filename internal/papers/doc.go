// Package papers writes what a forecast gives into the hand: the folder with report.html, series.csv, plants.csv, plantings.csv, held.csv, rootzone.csv,
// forecast.json and the JSON schema that explains it, and the ten lines for the terminal.
//
// Every paper is a pure function of the forecast and its findings, and has the same bytes each time. Saving writes beside the
// folder first and renames file by file, so that nothing half-written ever stands in it and what else lies there stays.
//
// Quantities are shown in the units of the plan's house. Numbers carry no more digits than are true of a forecast: two or three.
// The only sums made here are those of an order list (spare pots, bags, stone to choose from); their rules of thumb stand beside them.
package papers
