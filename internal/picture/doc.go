// Package picture draws a forecast as SVG: the plan with its contours and plant symbols, the tank from any side on a date, the
// light on the bed, and charts over time. Every drawing is a pure function of its values and gives the same bytes each time.
//
// Lengths come in metres and are drawn to one scale, in drawing units per metre, that the caller picks with ScaleFor. Colours are
// classes that Style explains for paper and for a dark room, so that one sheet of rules serves every drawing on a page. Hue is
// never the only carrier of a meaning: a shape, a dash or a word goes with it.
//
// The look is that of a field botanist's plate. Forms of leaves are drawn after the growth form and leaf shape of the catalogue;
// how a leaf curves is invention within the height, spread and number of leaves that the forecast gives.
package picture
