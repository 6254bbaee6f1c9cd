package plan

// Source keeps the bytes of a plan file, and where each item stands in them, so that errors can quote a line and later
// editing can splice new values in without touching comments or order.
type Source struct {
	Path  string
	Bytes []byte
	Pos   map[string]Position // path such as "plants[3].species" to where its value begins
	Sum   string              // SHA-256 in hex over the plan and every file it names, so that a changed plan can be told from an old one
}

// Position is a place in the file, both counted from 1.
type Position struct{ Line, Column int }
