// Package tapsheet reads a water company's analysis as it is printed: a list of parameters with values and units, or one row of a
// spreadsheet under its header, in English, German or French words, formulas, and any of the usual units. What it reads is
// a water.Analysis and the account of how each line was understood; a sheet that cannot be right is told so, with the ion that is most likely wrong.
package tapsheet
