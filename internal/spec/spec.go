// Package spec reads a figure spec: YAML text to a checked mech.Model, with the
// position of every part for messages and findings.
//
// Reading has two steps. Parse turns text into a Document, once; Decode turns
// the Document, with some values replaced, into a Spec, as often as wanted and
// from as many goroutines as wanted. Decode reports everything wrong at once.
// Every scalar is read from its text (package units), never through YAML's own
// types, so that 31.5 teeth, a null or an octal number cannot slip through.
//
// What is refused here is what cannot be solved as written: unknown keys, wrong
// dimensions, references that lead nowhere, motions that do not close. A layout
// that is sound as a file and impossible as a machine is left to package check.
package spec

import (
	"understage/internal/diag"
	"understage/internal/geom"
	"understage/internal/mech"
)

// Version is the version of the format this package reads.
const Version = 1

// Source is a spec's text and the name it goes by in messages.
type Source struct {
	Name string
	Text []byte
}

// ReadFile returns the text of a file that a spec names, such as measured
// radii; the name is as the spec writes it, relative to the spec.
type ReadFile func(name string) ([]byte, error)

// Spec is a figure that has been read and checked.
type Spec struct {
	Model *mech.Model
	// Tolerances are the dimensions written with a margin, in the order read.
	Tolerances []Tolerance
	// Fresh lists, after Variant, the paths of the parts that were read anew or are
	// gone; nil when all were read.
	Fresh []string

	root *node
	// what parts refer to, for decoding a variant
	shaftNames []string
	camNames   []string
	view       geom.View
}

// Load reads a spec in one go: Parse, then Decode with the replacements in
// sets, each "PATH=VALUE". read may be nil where no files can be read. The spec
// is nil exactly when there are messages.
func Load(src Source, sets []string, read ReadFile) (*Spec, diag.List) {
	doc, msgs := Parse(src)
	replacements, more := ParseSets(sets)
	msgs = append(msgs, more...)
	if doc == nil {
		msgs.Sort()
		return nil, msgs
	}
	figure, more := doc.Decode(replacements, read)
	msgs = append(msgs, more...)
	if len(msgs) > 0 {
		msgs.Sort()
		return nil, msgs
	}
	return figure, nil
}

// Position returns the place of the part with the given path, such as
// "cams.sway", or of the nearest part that holds it. It joins findings to
// lines of the spec.
func (s *Spec) Position(path string) diag.Pos {
	at := s.root.pos
	segments, err := splitPath(path)
	if err != nil {
		return at
	}
	n := s.root
	for _, segment := range segments {
		switch n.kind {
		case mapKind:
			i := n.find(segment)
			if i < 0 {
				return at
			}
			at, n = n.entries[i].pos, n.entries[i].value
		case listKind:
			i, ok := listIndex(segment, len(n.items))
			if !ok {
				return at
			}
			n = n.items[i]
			at = n.pos
		default:
			return at
		}
	}
	return at
}

// Text returns the single value written at a path, and whether there is one.
func (s *Spec) Text(path string) (string, bool) {
	segments, err := splitPath(path)
	if err != nil {
		return "", false
	}
	n := step(s.root, segments)
	if n == nil || n.kind != scalarKind {
		return "", false
	}
	return n.text, true
}

// step follows a path down from a node; nil where it leads nowhere.
func step(n *node, segments []string) *node {
	for _, segment := range segments {
		switch n.kind {
		case mapKind:
			i := n.find(segment)
			if i < 0 {
				return nil
			}
			n = n.entries[i].value
		case listKind:
			i, ok := listIndex(segment, len(n.items))
			if !ok {
				return nil
			}
			n = n.items[i]
		default:
			return nil
		}
	}
	return n
}
