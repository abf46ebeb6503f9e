// Package diag carries messages about a reader's file to the reader: where,
// what was found, what was expected, and the nearest known word.
package diag

import "sort"

// SetFile is the File of positions in --set values: Line says which of them,
// counted from 1, and its own text is the line.
const SetFile = "--set"

// Pos is a place in a source. Lines and columns count from 1, columns in runes.
// Line 0 means the whole source.
type Pos struct {
	File      string
	Line, Col int
}

// Message is one thing wrong with a source.
type Message struct {
	Pos  Pos
	Path string // path in the spec, such as "drive.belts.loop.run.0.teeth"; "" for none
	Text string // what was found, lower case, no full stop
	Want string // what was expected; "" where Text says it all
	Hint string // nearest known word or remedy; "" for none
}

// List collects messages.
type List []Message

// Sort orders the messages by file, line and column, keeping the order of
// those at one place.
func (l List) Sort() {
	sort.SliceStable(l, func(i, j int) bool {
		a, b := l[i].Pos, l[j].Pos
		if a.File != b.File {
			return a.File < b.File
		}
		if a.Line != b.Line {
			return a.Line < b.Line
		}
		return a.Col < b.Col
	})
}
