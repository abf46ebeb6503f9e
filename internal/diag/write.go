package diag

import (
	"bytes"
	"fmt"
	"io"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"
)

// Bounds of what is printed.
const (
	lineWidth   = 80 // columns of a source line with its number
	maxMessages = 50 // a reader mends the first few and runs again
)

// Terminal colours, used only where the caller asks for them.
const (
	bold  = "\x1b[1m"
	red   = "\x1b[1;31m"
	reset = "\x1b[0m"
)

// Write prints the messages sorted by place, each as
//
//	drive.yaml:14:11: cams.left.lift: unknown unit "mn" (want a length: mm, cm, m, in)
//	  14 |     lift: 8 mn
//	     |           ^
//	  hint: ...
//
// where sources holds the text of each File, for SetFile as SetSource makes
// it. A message in a --set value shows that value instead of a place. The
// source line is cut around the caret to fit 80 columns; control characters
// from file or message are made visible and never reach the terminal. After 50
// messages the rest are counted only.
func Write(w io.Writer, list List, sources map[string][]byte, color bool) error {
	p := printer{color: color}
	sorted := append(List{}, list...)
	sorted.Sort()
	for i, m := range sorted {
		if i == maxMessages {
			fmt.Fprintf(&p.text, "and %d more\n", len(sorted)-i)
			break
		}
		p.message(m, sources[m.Pos.File])
	}
	_, err := w.Write(p.text.Bytes())
	return err
}

// SetSource returns the source for SetFile: one --set value a line.
func SetSource(values []string) []byte {
	lines := make([]string, len(values))
	for i, v := range values {
		lines[i] = strings.ReplaceAll(v, "\n", visible('\n'))
	}
	return []byte(strings.Join(lines, "\n"))
}

type printer struct {
	text  bytes.Buffer
	color bool
}

func (p *printer) paint(code, text string) string {
	if !p.color || text == "" {
		return text
	}
	return code + text + reset
}

func (p *printer) message(m Message, source []byte) {
	line, ok := sourceLine(source, m.Pos.Line)
	place := Visible(m.Pos.File)
	switch {
	case m.Pos.File == SetFile && ok:
		place += " " + Visible(shorten(line, lineWidth))
	case m.Pos.Line > 0 && m.Pos.Col > 0:
		place += fmt.Sprintf(":%d:%d", m.Pos.Line, m.Pos.Col)
	case m.Pos.Line > 0:
		place += fmt.Sprintf(":%d", m.Pos.Line)
	}
	if place != "" {
		p.text.WriteString(p.paint(bold, place+":") + " ")
	}
	if m.Path != "" {
		p.text.WriteString(Visible(m.Path) + ": ")
	}
	p.text.WriteString(Visible(m.Text))
	if m.Want != "" {
		p.text.WriteString(" (want " + Visible(m.Want) + ")")
	}
	p.text.WriteByte('\n')
	if ok && m.Pos.File != SetFile && m.Pos.Col > 0 {
		p.excerpt(line, m.Pos)
	}
	if m.Hint != "" {
		p.text.WriteString("  hint: " + Visible(m.Hint) + "\n")
	}
}

// excerpt prints a source line and a caret under its column.
func (p *printer) excerpt(line string, pos Pos) {
	number := strconv.Itoa(pos.Line)
	shown, under := window(line, pos.Col-1, lineWidth-len(number)-len("   | "))
	fmt.Fprintf(&p.text, "  %s | %s\n", number, shown)
	fmt.Fprintf(&p.text, "  %s | %s%s\n", strings.Repeat(" ", len(number)), under, p.paint(red, "^"))
}

// window returns the part of a line around the rune at index at that fits in
// width columns, and the blanks that reach under that rune. A line that fits
// whole keeps its tabs, and the blanks repeat them; one that is cut shows a tab
// as one blank and … at each cut.
func window(line string, at, width int) (shown, under string) {
	runes := []rune(line)
	at = min(at, len(runes))
	if tabbedWidth(runes) <= width && at < width {
		return Visible(line), blanksFor(runes[:at], true)
	}
	const dots = 2 // columns kept for the two …
	first, last, used := at, at, dots
	grow := func(r rune) bool {
		used += columns(r)
		return used < width
	}
	for before := true; before || last < len(runes); {
		// One rune to the left for every rune to the right, as far as there are any.
		before = first > 0
		if before {
			if !grow(runes[first-1]) {
				break
			}
			first--
		}
		if last < len(runes) {
			if !grow(runes[last]) {
				break
			}
			last++
		}
	}
	shown = strings.ReplaceAll(Visible(string(runes[first:last])), "\t", " ")
	under = blanksFor(runes[first:at], false)
	if first > 0 {
		shown, under = "…"+shown, " "+under
	}
	if last < len(runes) {
		shown += "…"
	}
	return shown, under
}

// tabbedWidth is the width of a line on a terminal with tabs every 8 columns,
// at most.
func tabbedWidth(line []rune) int {
	width := 0
	for _, r := range line {
		if r == '\t' {
			width += 8
		} else {
			width += columns(r)
		}
	}
	return width
}

func blanksFor(line []rune, tabs bool) string {
	var b strings.Builder
	for _, r := range line {
		if r == '\t' && tabs {
			b.WriteByte('\t')
		} else {
			b.WriteString("  "[:columns(r)])
		}
	}
	return b.String()
}

// columns is the width of a rune on a terminal: 0 for marks that combine with
// the one before, 2 for ideographs, Hangul, kana and most emoji.
func columns(r rune) int {
	switch {
	case unicode.Is(unicode.Mn, r), unicode.Is(unicode.Me, r):
		return 0
	case r >= 0x1100 && unicode.In(r, unicode.Han, unicode.Hangul, unicode.Hiragana, unicode.Katakana),
		r >= 0xff01 && r <= 0xff60, r >= 0x1f300 && r <= 0x1faff:
		return 2
	}
	return 1
}

// sourceLine returns the given line, counted from 1, without its end.
func sourceLine(source []byte, line int) (string, bool) {
	if line < 1 || len(source) == 0 {
		return "", false
	}
	source = bytes.TrimPrefix(source, []byte("\ufeff"))
	for ; line > 1; line-- {
		i := bytes.IndexByte(source, '\n')
		if i < 0 {
			return "", false
		}
		source = source[i+1:]
	}
	if i := bytes.IndexByte(source, '\n'); i >= 0 {
		source = source[:i]
	}
	return string(bytes.TrimSuffix(source, []byte("\r"))), true
}

func shorten(text string, width int) string {
	if utf8.RuneCountInString(text) <= width {
		return text
	}
	return string([]rune(text)[:width-1]) + "…"
}

// Visible makes every character that could steer a terminal visible, one for
// one: control characters as their pictures, and what is invisible or turns
// the direction of writing as the replacement character. Tabs stay.
func Visible(text string) string {
	var b strings.Builder
	for _, r := range text {
		b.WriteString(visible(r))
	}
	return b.String()
}

func visible(r rune) string {
	switch {
	case r == '\t':
		return "\t"
	case r < 0x20:
		return string(r + 0x2400) // control pictures, in the order of the controls
	case r == 0x7f:
		return "\u2421"
	case r == utf8.RuneError, unicode.In(r, unicode.Cc, unicode.Cf, unicode.Zl, unicode.Zp):
		return "\ufffd"
	}
	return string(r)
}
