// Package soil is the root zone: per column of the bed the nutrients that roots can draw on, what leaches into the water in
// the first weeks, the carbonate hardness an active bed takes up until its buffering is spent, detritus that mineralises,
// root tablets, how long each patch will feed what grows there, and how the bed settles, slides and creeps (Relief).
//
// Amounts are milligrams of the element per column, carbon in millimoles, alkalinity in milliequivalents, lengths in metres.
// Every amount is conserved: what a call takes from a column it returns or moves to another column.
package soil
