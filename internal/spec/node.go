package spec

import (
	"fmt"
	"strconv"
	"sync/atomic"

	"understage/internal/diag"
	"understage/internal/units"

	"gopkg.in/yaml.v3"
)

// Bounds on a spec's size. A rim measured every tenth of a degree has 3 600
// radii and nothing written by hand nests deeper than ten, so these are far
// from any real figure; they stop a file that unfolds without end.
const (
	maxNodes = 50_000
	maxDepth = 32
)

// nodeKind is what a node holds.
type nodeKind uint8

const (
	scalarKind nodeKind = iota
	nullKind            // nothing written, or ~
	mapKind
	listKind
)

var nodeKinds = [...]string{"a value", "nothing", "a mapping", "a list"}

// node is one value of a spec, with the place it was written at. Nodes are
// never changed once built; a replacement copies the nodes that lead to it.
type node struct {
	kind    nodeKind
	text    string // of a scalar; of nothing, how it was written
	pos     diag.Pos
	entries []entry // of a mapping, in the order written
	items   []*node // of a list
	// quantity is the number that the text was last read as, without a margin.
	// Decoders that share the node find what they would read themselves.
	quantity atomic.Pointer[quantity]
}

// quantity is a number as package units reads it in a dimension.
type quantity struct {
	dim      units.Dimension
	defaults units.Defaults
	value    float64
}

// entry is one key of a mapping.
type entry struct {
	key   string
	pos   diag.Pos // of the key
	value *node
}

// find returns the index of the entry with the key, or -1.
func (n *node) find(key string) int {
	for i := range n.entries {
		if n.entries[i].key == key {
			return i
		}
	}
	return -1
}

// builder copies the YAML library's tree into nodes, unfolding aliases.
type builder struct {
	file  string
	shift diag.Pos // added to every position: a --set value stands inside a line
	msgs  diag.List
	trail []string // path of the node being copied
	count int
	full  bool
}

// place returns the position of a YAML node. Columns are shifted on the first
// line only.
func (b *builder) place(y *yaml.Node) diag.Pos {
	p := diag.Pos{File: b.file, Line: max(y.Line, 1), Col: max(y.Column, 1)}
	if p.Line == 1 {
		p.Col += b.shift.Col
	}
	p.Line += b.shift.Line
	return p
}

func (b *builder) say(pos diag.Pos, text, want, hint string) {
	for _, m := range b.msgs {
		if m.Pos == pos && m.Text == text {
			return // an alias leads to the same place again
		}
	}
	if len(b.msgs) < maxMessages {
		b.msgs = append(b.msgs, diag.Message{Pos: pos, Path: Path(b.trail...), Text: text, Want: want, Hint: hint})
	}
}

// build copies one YAML node. at is where the value belongs, used when the
// value itself is empty and has no place of its own.
func (b *builder) build(y *yaml.Node, at diag.Pos, depth int) *node {
	n := &node{kind: nullKind, pos: at}
	if b.full {
		return n
	}
	if b.count++; b.count > maxNodes {
		b.full = true
		b.say(at, fmt.Sprintf("more than %d values", maxNodes), "a figure spec; aliases count as often as they are used", "")
		return n
	}
	if depth > maxDepth {
		b.full = true
		b.say(at, fmt.Sprintf("nested more than %d deep", maxDepth), "a figure spec", "")
		return n
	}
	if y.Kind == yaml.AliasNode {
		return b.build(y.Alias, at, depth+1)
	}
	if y.Style&yaml.TaggedStyle != 0 {
		b.say(b.place(y), fmt.Sprintf("a tag %q", y.Tag), "plain values; every value is read from its text", "")
	}
	switch y.Kind {
	case yaml.ScalarNode:
		b.scalar(n, y)
	case yaml.SequenceNode:
		n.kind, n.pos = listKind, b.place(y)
		n.items = make([]*node, 0, min(len(y.Content), maxNodes))
		for i, item := range y.Content {
			if b.full {
				break
			}
			b.trail = append(b.trail, strconv.Itoa(i))
			n.items = append(n.items, b.build(item, n.pos, depth+1))
			b.trail = b.trail[:len(b.trail)-1]
		}
	case yaml.MappingNode:
		b.mapping(n, y, depth)
	}
	return n
}

func (b *builder) scalar(n *node, y *yaml.Node) {
	plain := y.Style&(yaml.DoubleQuotedStyle|yaml.SingleQuotedStyle|yaml.LiteralStyle|yaml.FoldedStyle) == 0
	if plain && y.Value == "" {
		return // nothing written: the place of what should hold it is better
	}
	n.pos = b.place(y)
	n.text = y.Value
	if !plain || y.Tag != "!!null" {
		n.kind = scalarKind
	}
}

func (b *builder) mapping(n *node, y *yaml.Node, depth int) {
	n.kind, n.pos = mapKind, b.place(y)
	n.entries = make([]entry, 0, min(len(y.Content)/2, maxNodes))
	seen := make(map[string]diag.Pos, min(len(y.Content)/2, maxNodes))
	for i := 0; i+1 < len(y.Content) && !b.full; i += 2 {
		key := y.Content[i]
		if key.Kind == yaml.AliasNode {
			key = key.Alias
		}
		at := b.place(y.Content[i])
		b.trail = append(b.trail, key.Value)
		value := b.build(y.Content[i+1], at, depth+1)
		first, twice := seen[key.Value]
		switch {
		case key.Kind != yaml.ScalarNode:
			b.say(at, "a key that is a mapping or list", "a word", "")
		case key.Tag == "!!merge":
			b.say(at, "a merge key <<", "the keys written out", "")
		case key.Value == "":
			b.say(at, "an empty key", "a word", "")
		case twice:
			b.say(at, fmt.Sprintf("%q a second time", key.Value),
				fmt.Sprintf("each key and name once; it was first written in line %d", first.Line), "")
		default:
			seen[key.Value] = at
			n.entries = append(n.entries, entry{key: key.Value, pos: at, value: value})
		}
		b.trail = b.trail[:len(b.trail)-1]
	}
}
