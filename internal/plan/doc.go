// Package plan holds the plan of a planted tank: its types, its strict YAML reader with errors that name place and cure, its
// JSON Schema, and the studio's house file. Loading resolves every file a plan names (meshes, photometry, price lists, extra
// catalogue files) into values, so that nothing above this package opens a file.
//
// Positions in a plan are centimetres from the front-left inside corner of the tank (of its bounding rectangle for round and
// polygon tanks): x to the right, y to the back, z up from the inside of the bottom glass. They are written as bare numbers;
// every other quantity carries its unit.
//
// Load opens files; Parse takes bytes and a function that gives the files a plan names. Reading goes in steps, each of which reports
// all it finds: YAML to a syntax tree (syntax.go), the tree to the types by their tags (decode.go), what the values mean together
// (check*.go), the files a plan names (resolve.go). Only a sound plan is then completed (defaults.go has the table of what is taken
// for what is left out, with the mark of each value). NewPlan writes a plan to start from; Schema serves editors.
package plan
