package spec

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"unicode/utf8"

	"understage/internal/diag"

	"gopkg.in/yaml.v3"
)

// MaxBytes is the size of the largest spec that is read. A caller need not
// read more of a file than this and one byte.
const MaxBytes = 1 << 20

// Document is a spec's text taken apart but not yet understood. It is never
// changed, so many goroutines may decode it at once.
type Document struct {
	root *node
}

// Parse takes a spec's text apart. The document is nil when the text is not
// one YAML mapping; with messages and a document, decoding it finds the rest of
// what is wrong.
func Parse(src Source) (*Document, diag.List) {
	b := &builder{file: src.Name}
	text, msgs := checkText(src)
	if msgs != nil {
		return nil, msgs
	}
	top, msgs := parseYAML(src.Name, text)
	if msgs != nil {
		return nil, msgs
	}
	start := diag.Pos{File: src.Name, Line: 1, Col: 1}
	if top == nil {
		b.say(diag.Pos{File: src.Name}, "an empty file", "a figure spec, a mapping that starts with understage: 1", "")
		return nil, b.msgs
	}
	root := b.build(top, start, 0)
	if root.kind != mapKind && len(b.msgs) == 0 {
		b.say(root.pos, nodeKinds[root.kind], "a figure spec, a mapping that starts with understage: 1", "")
	}
	if root.kind != mapKind || b.full {
		return nil, b.msgs
	}
	return &Document{root: root}, b.msgs
}

// checkText refuses what is not text of a reasonable size, naming the place. It
// returns the text without a byte-order mark.
func checkText(src Source) ([]byte, diag.List) {
	refuse := func(pos diag.Pos, text, want string) ([]byte, diag.List) {
		return nil, diag.List{{Pos: pos, Text: text, Want: want}}
	}
	if len(src.Text) > MaxBytes {
		return refuse(diag.Pos{File: src.Name}, fmt.Sprintf("a file of more than %d KiB", MaxBytes>>10), "a figure spec")
	}
	text := bytes.TrimPrefix(src.Text, []byte("\ufeff"))
	line, col := 1, 0
	for i := 0; i < len(text); {
		r, size := utf8.DecodeRune(text[i:])
		col++
		switch {
		case r == utf8.RuneError && size == 1:
			return refuse(diag.Pos{File: src.Name, Line: line, Col: col},
				fmt.Sprintf("a byte 0x%02x that is not UTF-8", text[i]), "text saved as UTF-8")
		case r == '\n':
			line, col = line+1, 0
		case r == '\r' && i+1 < len(text) && text[i+1] == '\n':
		case !isText(r):
			return refuse(diag.Pos{File: src.Name, Line: line, Col: col},
				fmt.Sprintf("a control character %U", r), "plain text")
		}
		i += size
	}
	return text, nil
}

// isText reports whether a spec may hold the rune. Line breaks other than the
// line feed are left out, so that everyone counts lines alike.
func isText(r rune) bool {
	switch {
	case r == '\t' || r == '\n':
		return true
	case r < 0x20, r >= 0x7f && r < 0xa0, r == 0x2028, r == 0x2029, r == 0xfeff, r == 0xfffe, r == 0xffff:
		return false
	}
	return true
}

// parseYAML runs the YAML library over one document. The node is nil for a
// text without one.
func parseYAML(file string, text []byte) (*yaml.Node, diag.List) {
	decoder := yaml.NewDecoder(bytes.NewReader(text))
	var first, second yaml.Node
	if err := decodeNext(decoder, &first); errors.Is(err, io.EOF) {
		return nil, nil
	} else if err != nil {
		return nil, diag.List{syntaxMessage(file, text, err)}
	}
	if err := decodeNext(decoder, &second); err == nil {
		pos := diag.Pos{File: file, Line: max(second.Line, 1), Col: max(second.Column, 1)}
		return nil, diag.List{{Pos: pos, Text: "a second document", Want: "one figure to a file"}}
	} else if !errors.Is(err, io.EOF) {
		return nil, diag.List{syntaxMessage(file, text, err)}
	}
	if len(first.Content) == 0 || isEmptyScalar(first.Content[0]) {
		return nil, nil
	}
	return first.Content[0], nil
}

func isEmptyScalar(y *yaml.Node) bool {
	return y.Kind == yaml.ScalarNode && y.Value == "" && y.Style == 0
}

// decodeNext reads one document; a fault inside the library comes back as an
// error like any other.
func decodeNext(decoder *yaml.Decoder, into *yaml.Node) (err error) {
	defer func() {
		if fault := recover(); fault != nil {
			err = fmt.Errorf("yaml: %v", fault)
		}
	}()
	return decoder.Decode(into)
}
