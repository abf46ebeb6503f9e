package spec

import (
	"fmt"
	"slices"
	"strings"
	"unicode/utf8"

	"understage/internal/diag"

	"gopkg.in/yaml.v3"
)

// Set replaces one value of a spec. Its places have File diag.SetFile, as line
// the number of the replacement, and columns that count in its "PATH=VALUE".
type Set struct {
	segments []string
	value    *node
	pos      diag.Pos
}

// ParseSets reads replacements, each "PATH=VALUE" with the value in YAML. A
// value of ~ takes the key out.
func ParseSets(texts []string) ([]Set, diag.List) {
	var sets []Set
	var msgs diag.List
	for i, text := range texts {
		set, more := parseSet(text, i+1)
		msgs = append(msgs, more...)
		if more == nil {
			sets = append(sets, set)
		}
	}
	return sets, msgs
}

// cutSet splits PATH=VALUE at the first equals sign outside quotes.
func cutSet(text string) (path, value string, ok bool) {
	quoted := false
	for i := 0; i < len(text); i++ {
		switch {
		case text[i] == '\\' && quoted:
			i++
		case text[i] == '"':
			quoted = !quoted
		case text[i] == '=' && !quoted:
			return text[:i], text[i+1:], true
		}
	}
	return "", "", false
}

func parseSet(text string, number int) (Set, diag.List) {
	pos := diag.Pos{File: diag.SetFile, Line: number, Col: 1}
	refuse := func(at diag.Pos, text, want string) (Set, diag.List) {
		return Set{}, diag.List{{Pos: at, Text: text, Want: want}}
	}
	if strings.ContainsAny(text, "\r\n") {
		return refuse(pos, "a line break", "PATH=VALUE in one line")
	}
	path, value, ok := cutSet(text)
	if !ok {
		return refuse(pos, fmt.Sprintf("%q has no =", text), "PATH=VALUE")
	}
	segments, err := splitPath(strings.TrimSpace(path))
	if err != nil {
		return refuse(pos, err.Error(), "a path such as drive.belts.loop.run.0.teeth")
	}
	n, msgs := setValue(value, segments, diag.Pos{Line: number - 1, Col: utf8.RuneCountInString(path) + 1})
	if len(msgs) > 0 {
		return Set{}, msgs
	}
	return Set{segments: segments, value: n, pos: pos}, nil
}

// setValue reads the value of a replacement. before is what stands ahead of it:
// whole lines, and columns of its own line.
func setValue(value string, segments []string, before diag.Pos) (*node, diag.List) {
	pos := diag.Pos{File: diag.SetFile, Line: before.Line + 1, Col: 1}
	if text := strings.Trim(value, " "); plainScalar(text) {
		pos.Col += before.Col + strings.Index(value, text)
		return &node{kind: scalarKind, text: text, pos: pos}, nil
	}
	src := Source{Name: diag.SetFile, Text: []byte(value)}
	_, msgs := checkText(src)
	if msgs == nil {
		var top *yaml.Node
		if top, msgs = parseYAML(src.Name, src.Text); top != nil {
			b := &builder{file: diag.SetFile, shift: before, trail: slices.Clone(segments)}
			n := b.build(top, pos, 0)
			return n, b.msgs
		}
	}
	path := Path(segments...)
	if msgs == nil {
		return nil, diag.List{{Pos: pos, Path: path, Text: "no value after the =", Want: "PATH=VALUE; ~ takes the key out"}}
	}
	for i := range msgs {
		msgs[i].Path = path
		msgs[i].Pos.Line = pos.Line
		msgs[i].Pos.Col = before.Col + max(msgs[i].Pos.Col, 1)
	}
	return nil, msgs
}

// plainScalar reports whether YAML reads the text as itself: a number with a
// unit, or a word. Sweeps replace little else, and this is a tenth of the cost
// of asking the YAML library. It says no whenever in doubt.
func plainScalar(text string) bool {
	if text == "" || strings.EqualFold(text, "null") {
		return false
	}
	digits := text
	if text[0] == '-' || text[0] == '+' {
		digits = text[1:]
	}
	if digits == "" || digits[0] == ' ' || digits[0] == '-' || digits[0] == '+' || digits[0] == '/' {
		return false
	}
	for i := range len(text) {
		switch c := text[i]; {
		case c >= '0' && c <= '9', c >= 'a' && c <= 'z', c >= 'A' && c <= 'Z', c == '.', c == ' ', c == '/', c == '-', c == '+':
		default:
			return false
		}
	}
	return text != "..." && text != "---"
}

// replace returns the tree with the replacement made, sharing with the old one
// all that stays the same.
func (d *decoder) replace(root *node, set Set) *node {
	r := replacement{d: d, set: set}
	n := r.in(root, keyTable(), 0)
	if r.failed {
		return root
	}
	return n
}

// replacement walks down to the value to be replaced.
type replacement struct {
	d      *decoder
	set    Set
	failed bool
}

func (r *replacement) fail(text, want, hint string) *node {
	r.failed = true
	r.d.msgs = append(r.d.msgs, diag.Message{Pos: r.set.pos, Path: Path(r.set.segments...), Text: text, Want: want, Hint: hint})
	return nil
}

// in returns a copy of n in which the value at the segments from depth on is
// replaced. keys is what the key table says of n.
func (r *replacement) in(n *node, keys *schema, depth int) *node {
	if depth == len(r.set.segments) {
		return r.set.value
	}
	switch {
	case n.kind == listKind:
		return r.inList(n, keys, depth)
	case n.kind == mapKind:
		return r.inMapping(n, keys, depth)
	case n.kind == nullKind && keys.isMapping():
		return r.inMapping(&node{kind: mapKind, pos: n.pos}, keys, depth)
	default:
		return r.fail(fmt.Sprintf("%s is %q, which holds no %q",
			Path(r.set.segments[:depth]...), n.text, r.set.segments[depth]), "a path of the spec", "")
	}
}

func (r *replacement) inList(n *node, keys *schema, depth int) *node {
	segment := r.set.segments[depth]
	i, ok := listIndex(segment, len(n.items))
	if !ok {
		return r.fail(fmt.Sprintf("%s has no entry %q", Path(r.set.segments[:depth]...), segment),
			fmt.Sprintf("one of its %d entries, counted from 0", len(n.items)), "")
	}
	value := r.in(n.items[i], keys.item(), depth+1)
	if r.failed {
		return nil
	}
	c := &node{kind: listKind, pos: n.pos, items: slices.Clone(n.items)}
	c.items[i] = value
	return c
}

func (r *replacement) inMapping(n *node, keys *schema, depth int) *node {
	segment := r.set.segments[depth]
	last := depth == len(r.set.segments)-1
	below, known := keys.child(segment)
	i := n.find(segment)
	// A whole new named part may be added, but a path that goes on below a name
	// that is not there is a slip of the pen.
	if i < 0 && (!known || keys.namesParts() && !last) {
		near := diag.Near(segment, append(n.keys(), keys.words()...))
		if near != "" {
			near = "did you mean " + Path(append(slices.Clone(r.set.segments[:depth]), near)...) + "?"
		}
		return r.fail(fmt.Sprintf("no such path: %s holds no %q", orTop(r.set.segments[:depth]), segment), "a path of the spec", near)
	}
	var value *node
	if i < 0 {
		value = r.in(&node{kind: nullKind, pos: r.set.pos}, below, depth+1)
	} else {
		value = r.in(n.entries[i].value, below, depth+1)
	}
	if r.failed {
		return nil
	}
	c := &node{kind: mapKind, pos: n.pos, entries: slices.Clone(n.entries)}
	switch remove := last && value.kind == nullKind; {
	case remove && i >= 0:
		c.entries = append(c.entries[:i], c.entries[i+1:]...)
	case remove:
	case i >= 0:
		c.entries[i].value = value
	default:
		c.entries = append(c.entries, entry{key: segment, pos: r.set.pos, value: value})
	}
	return c
}

func (n *node) keys() []string {
	keys := make([]string, len(n.entries))
	for i := range n.entries {
		keys[i] = n.entries[i].key
	}
	return keys
}

func orTop(segments []string) string {
	if len(segments) == 0 {
		return "the spec"
	}
	return Path(segments...)
}

// CheckPath says what is wrong with the path of a replacement, nothing when the
// spec has such a place or may have it.
func (s *Spec) CheckPath(path string) diag.List {
	set, msgs := parseSet(path+"=0", 1)
	if len(msgs) > 0 {
		return msgs
	}
	d := &decoder{}
	d.replace(s.root, set)
	return d.msgs
}
