package spec

import (
	"errors"
	"strconv"
	"strings"
)

// Path writes the segments of a spec path, such as drive.belts.loop.run.0.teeth;
// a name with a dot, blank, quote or equals sign is quoted.
func Path(segments ...string) string {
	var b strings.Builder
	for i, s := range segments {
		if i > 0 {
			b.WriteByte('.')
		}
		b.WriteString(quoteSegment(s))
	}
	return b.String()
}

func quoteSegment(s string) string {
	if s != "" && !strings.ContainsAny(s, ". \t\"\\=") {
		return s
	}
	return strconv.Quote(s)
}

var (
	errEmptySegment = errors.New("an empty step in the path")
	errOpenQuote    = errors.New("a quote in the path that is not closed")
	errAfterQuote   = errors.New("a quoted step of the path not followed by a dot")
)

// splitPath takes a spec path apart. It is the inverse of Path.
func splitPath(path string) ([]string, error) {
	segments := make([]string, 0, strings.Count(path, ".")+1)
	for rest := path; ; {
		segment, after, err := cutSegment(rest)
		if err != nil {
			return nil, err
		}
		segments = append(segments, segment)
		if after == "" {
			return segments, nil
		}
		if after[0] != '.' {
			return nil, errAfterQuote
		}
		rest = after[1:]
	}
}

// cutSegment splits off the first segment; after is empty or starts with what
// followed it.
func cutSegment(path string) (segment, after string, err error) {
	if strings.HasPrefix(path, `"`) {
		quoted, err := strconv.QuotedPrefix(path)
		if err != nil {
			return "", "", errOpenQuote
		}
		segment, err := strconv.Unquote(quoted)
		if err != nil || segment == "" {
			return "", "", errEmptySegment
		}
		return segment, path[len(quoted):], nil
	}
	end := strings.IndexByte(path, '.')
	if end < 0 {
		end = len(path)
	}
	if end == 0 {
		return "", "", errEmptySegment
	}
	return path[:end], path[end:], nil
}

// listIndex reads a segment as an index into a list of n entries.
func listIndex(segment string, n int) (int, bool) {
	i, err := strconv.Atoi(segment)
	if err != nil || i < 0 || i >= n || strconv.Itoa(i) != segment {
		return 0, false
	}
	return i, true
}
