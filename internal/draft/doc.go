// Package draft is the drawing board: a plan as it is drawn. It edits the plan's text in place, lays the plan out as places and outlines in
// centimetres, and looks over what is being moved.
//
// The text of the plan is the one truth. An edit finds the item by its id in the syntax tree, and replaces the bytes of one value, or puts in
// or takes out one item; comments, order and spacing of all else stay as they are, and so do line ends. Every edit gives the patch that takes
// it back.
//
// Everything here is pure: values in, values out. Lengths are centimetres and angles degrees where a name says so, as people write them in
// plans.
package draft
