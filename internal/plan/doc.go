// Package plan holds the plan of a planted tank: its types, its strict YAML reader with errors that name place and cure, its
// JSON Schema, and the studio's house file. Loading resolves every file a plan names (meshes, photometry, price lists, extra
// catalogue files) into values, so that nothing above this package opens a file.
//
// Positions in a plan are centimetres from the front-left inside corner of the tank (of its bounding rectangle for round and
// polygon tanks): x to the right, y to the back, z up from the inside of the bottom glass. They are written as bare numbers;
// every other quantity carries its unit.
package plan
