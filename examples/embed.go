// Package examples carries the demo tanks, so that a program can offer them without the repository beside it.
package examples

import "embed"

// Demos holds one folder for each demo, with its plan.yaml, its page and every file the plan names.
//
//go:embed assay-hall quay-street-library reading-desk
var Demos embed.FS
