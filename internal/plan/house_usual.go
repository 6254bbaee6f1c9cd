package plan

import _ "embed"

//go:embed usual-house.yaml
var usualHouse string

// UsualHouse is a house file with explanations that says what DefaultHouse says, to begin one's own from.
func UsualHouse() string { return usualHouse }
