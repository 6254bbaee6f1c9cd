package draft

import (
	"slices"
	"strings"

	"github.com/goccy/go-yaml/ast"
)

// agree tells whether the two readings of a text are one: the same keys and items in the same order, and the same words.
func agree(n *node, a ast.Node) bool {
	switch a := a.(type) {
	case nil:
		return n.kind == missing
	case *ast.NullNode:
		return n.kind == missing || n.kind == plain && slices.Contains([]string{"null", "Null", "NULL", "~"}, n.text)
	case *ast.MappingNode:
		return n.isMap() && n.kind == flowMap == a.IsFlowStyle && agreeKeys(n, a.Values)
	case *ast.MappingValueNode:
		return n.isMap() && agreeKeys(n, []*ast.MappingValueNode{a})
	case *ast.SequenceNode:
		if !n.isList() || n.kind == flowList != a.IsFlowStyle || len(n.entries) != len(a.Values) {
			return false
		}
		for i := range n.entries {
			if !agree(n.entries[i].value, a.Values[i]) {
				return false
			}
		}
		return true
	case *ast.LiteralNode:
		return n.kind == block
	case *ast.StringNode:
		return n.folded || (n.kind == plain || n.kind == quoted) && n.text == a.Value
	case *ast.IntegerNode, *ast.FloatNode, *ast.BoolNode, *ast.InfinityNode, *ast.NanNode:
		return n.kind == plain && n.text == strings.TrimSpace(a.GetToken().Value)
	}
	return false
}

func agreeKeys(n *node, values []*ast.MappingValueNode) bool {
	if len(n.entries) != len(values) {
		return false
	}
	for i := range n.entries {
		if n.entries[i].key != values[i].Key.GetToken().Value || !agree(n.entries[i].value, values[i].Value) {
			return false
		}
	}
	return true
}
