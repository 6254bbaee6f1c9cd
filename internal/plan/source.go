package plan

import "github.com/goccy/go-yaml/ast"

// Source keeps the bytes of a plan file, and where each item stands in them, so that errors can quote a line and later
// editing can splice new values in without touching comments or order.
type Source struct {
	Path  string
	Bytes []byte
	Pos   map[string]Position // path such as "plants[3].species" to where its value begins
	Tree  ast.Node            // the syntax tree as it was read; large, so that who keeps a plan and edits no text sets it nil
	Sum   string              // SHA-256 in hex over the plan and every file it names, so that a changed plan can be told from an old one

	meshes map[string]readMesh
}

// Warning words a doubt about an item of a plan that was read, with the item's line, for rooms that know more of the tank than the file says.
// Without a source, or for an item that the file does not have, it names the file alone.
func (p *Plan) Warning(path, message, cure string) Problem {
	if p.Source == nil {
		return Problem{Path: path, Message: message, Cure: cure, Severity: SeverityWarning}
	}
	r := newReporter(p.Source.Path, p.Source.Bytes)
	r.add(SeverityWarning, path, p.Source.Pos[path], message, cure)
	return r.found[0]
}

// Position is a place in the file, both counted from 1.
type Position struct{ Line, Column int }
