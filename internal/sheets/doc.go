// Package sheets draws a plan on paper to a true scale: plan, elevations and sections with their measures, a legend, a planting map for
// the crew, and what changed between two plans. It needs no forecast.
//
// A drawing is a Page: lines, outlines and words in millimetres of the paper. SVG and PDF are two ways to write the same pages, so that
// what is seen on a screen is what is printed. Symbols and the forms of plants, wood and stones are those of the picture room; lines are
// thin and fills are white, so that a sheet takes little ink and reads as well in grey.
//
// Everything here is a pure function of its values and gives the same bytes each time.
package sheets
