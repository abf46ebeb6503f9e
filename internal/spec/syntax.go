package spec

import (
	"bytes"
	"regexp"
	"strconv"
	"strings"
	"sync"
	"unicode/utf8"

	"understage/internal/diag"

	"gopkg.in/yaml.v3"
)

// maxBisected is the largest text in which the line of a syntax error is
// searched for; longer ones take the library's word.
const maxBisected = 128 << 10

var libraryLine = sync.OnceValue(func() *regexp.Regexp {
	return regexp.MustCompile(`^yaml: (?:line (\d+): )?(?s:(.*))$`)
})

// syntaxFault says a complaint of the YAML library in a maker's words.
type syntaxFault struct {
	problem string // what the library says, or its beginning
	text    string
	want    string
	hint    string
	// block marks faults of block layout: the lines before the fault read well
	// by themselves, so the fault's line can be searched for. The library names
	// the line where the block starts.
	block bool
	// parser marks complaints whose line the library counts from 0.
	parser bool
}

var syntaxFaults = []syntaxFault{
	{problem: "mapping values are not allowed", text: "a second ': ' in one line", want: "one key and value to a line",
		hint: "quote a text that holds ': ', or put a mapping in braces", block: true},
	{problem: "did not find expected key", text: "a line that does not fit the ones above it", want: "key: value, indented as its neighbours",
		hint: "check the indentation and the end of the value above", block: true, parser: true},
	{problem: "did not find expected '-' indicator", text: "a line that does not fit the list above it", want: "- entry, indented as its neighbours", block: true, parser: true},
	{problem: "could not find expected ':'", text: "a line without ': '", want: "key: value", hint: "is a blank missing after the colon?", block: true},
	{problem: "did not find expected ',' or ']'", text: "a list in brackets that is not closed, or misses a comma", want: "[a, b, c]", parser: true},
	{problem: "did not find expected ',' or '}'", text: "a mapping in braces that is not closed, or misses a comma", want: "{key: value, key: value}", parser: true},
	{problem: "did not find expected node content", text: "a bracket that is not closed, or a comma with no value before it", want: "a value", parser: true},
	{problem: "did not find expected <document start>", text: "something after the end of the figure", want: "one mapping", parser: true},
	{problem: "found unexpected end of stream", text: "a quote that is not closed", want: "a closing quote"},
	{problem: "found unexpected document indicator", text: "a quote that is not closed before the document ends", want: "a closing quote"},
	{problem: "found character that cannot start any token", text: "a character that no value starts with", want: "a word, a number, or text in quotes", hint: "put the text in quotes", block: true},
	{problem: "found a tab character", text: "a tab", want: "blanks for indentation", block: true},
	{problem: "block sequence entries are not allowed", text: "a list entry where none can stand", want: "list entries on lines of their own", block: true},
	{problem: "did not find expected alphabetic or numeric", text: "& or * with no name", want: "text that starts with & or * in quotes"},
	{problem: "unknown anchor", text: "an alias of something not marked before", want: "the value itself", block: true},
	{problem: "exceeded max depth", text: "nesting without end", want: "a figure spec"},
	{problem: "exceeded depth", text: "nesting without end", want: "a figure spec"},
	{problem: "found unknown escape character", text: "an unknown escape in double quotes", want: `\\ for a backslash, or single quotes`},
}

// syntaxMessage turns an error of the YAML library into a message, with the
// best line that can be had: the library names at best a line, and for faults
// of layout the line where the block began.
func syntaxMessage(file string, text []byte, err error) diag.Message {
	line, problem, counted := 1, err.Error(), false
	if m := libraryLine().FindStringSubmatch(err.Error()); m != nil {
		if n, convErr := strconv.Atoi(m[1]); convErr == nil {
			line, counted = n, true
		}
		problem = m[2]
	}
	fault := syntaxFault{text: "not YAML: " + problem, want: "a figure spec"}
	for _, f := range syntaxFaults {
		if strings.HasPrefix(problem, f.problem) {
			fault = f
			if f.parser && counted {
				line++
			}
			break
		}
	}
	if fault.block && len(text) <= maxBisected {
		line = faultLine(text, problem)
	}
	pos := lineStart(file, text, line)
	if tab, ok := tabIndent(text, line); ok {
		pos.Line, pos.Col = tab.Line, tab.Col
		fault = syntaxFault{text: "a tab in the indentation", want: "blanks"}
	}
	return diag.Message{Pos: pos, Text: fault.text, Want: fault.want, Hint: fault.hint}
}

// faultLine finds the first line with which the text shows the problem: the
// lines before it, alone, do not.
func faultLine(text []byte, problem string) int {
	lines := bytes.SplitAfter(text, []byte("\n"))
	low, high := 1, len(lines)
	for low < high {
		middle := (low + high) / 2
		head := bytes.Join(lines[:middle], nil)
		var n yaml.Node
		err := decodeNext(yaml.NewDecoder(bytes.NewReader(head)), &n)
		if err != nil && strings.HasSuffix(err.Error(), problem) {
			high = middle
		} else {
			low = middle + 1
		}
	}
	return low
}

// tabIndent finds a tab among the blanks that start the line or the one before
// it, where a fault of indentation comes from.
func tabIndent(text []byte, line int) (diag.Pos, bool) {
	lines := bytes.Split(text, []byte("\n"))
	for n := min(line, len(lines)); n >= max(line-1, 1); n-- {
		s := lines[n-1]
		indent := s[:len(s)-len(bytes.TrimLeft(s, " \t"))]
		if i := bytes.IndexByte(indent, '\t'); i >= 0 {
			return diag.Pos{Line: n, Col: i + 1}, true
		}
	}
	return diag.Pos{}, false
}

// lineStart returns the place of the first character of a line that is not
// blank, within the text.
func lineStart(file string, text []byte, line int) diag.Pos {
	lines := bytes.Split(text, []byte("\n"))
	line = min(max(line, 1), len(lines))
	for line > 1 && len(bytes.TrimSpace(lines[line-1])) == 0 {
		line-- // an unfinished file is at fault where its text ends
	}
	s := lines[line-1]
	indent := len(s) - len(bytes.TrimLeft(s, " \t\r"))
	return diag.Pos{File: file, Line: line, Col: utf8.RuneCount(s[:indent]) + 1}
}
