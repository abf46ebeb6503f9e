package units

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"unicode/utf8"
)

// Error says what is wrong with the text of a quantity. All three parts are
// lower case without a full stop.
type Error struct {
	Found string // what was found, such as `unknown unit "mn"`
	Want  string // what was expected, such as "a length: mm, cm, m, in"
	Hint  string // nearest known unit or what to write; "" for none
}

// Error joins the parts into one line.
func (e *Error) Error() string {
	text := e.Found
	if e.Want != "" {
		text += " (want " + e.Want + ")"
	}
	if e.Hint != "" {
		text += "; " + e.Hint
	}
	return text
}

// longest is the number of characters a quantity may have. The longest in
// earnest, with 17 digits and a spelled-out unit, stays below half of it.
const longest = 80

// Parse reads a quantity of the dimension and returns it in the model's unit.
// A number without a unit is in the dimension's Bare unit. Errors are *Error.
func Parse(text string, dim Dimension, d Defaults) (float64, error) {
	fail := func(found, hint string) (float64, error) {
		return 0, &Error{Found: found, Want: dim.Want(), Hint: hint}
	}
	if len(text) > 4*longest || utf8.RuneCountInString(text) > longest {
		return fail(fmt.Sprintf("a text of %d characters is not a quantity", utf8.RuneCountInString(text)), "")
	}
	s := plainBlanks(text)
	if s == "" {
		return fail("found nothing", "")
	}
	n, rest, bad := scanNumber(s)
	if bad != nil {
		return fail(fmt.Sprintf("%s is not a number", quote(text)), bad.hint)
	}
	u, word, found, hint := findUnit(rest, n, dim, d)
	if found != "" {
		return fail(found, hint)
	}
	value := n.value * u.num / (n.over * u.den)
	switch {
	case math.IsInf(value, 0) || math.Abs(value) > Largest:
		return fail(fmt.Sprintf("%s is absurdly large", quote(text)), "the most is "+bound(Largest, word, u))
	case math.Abs(value) < Smallest && (dim == Length || dim == Angle || dim == Number):
		value = 0 // what rounding leaves of a place or direction: a cosine of 90° comes as 6.1e-17
	case (value == 0) != n.zero || !n.zero && math.Abs(value) < Smallest:
		return fail(fmt.Sprintf("%s is absurdly small", quote(text)), "the least but for 0 is "+bound(Smallest, word, u))
	case value == 0:
		value = 0 // -0 prints badly and compares well
	}
	return value, nil
}

func bound(limit float64, word string, u unit) string {
	return strings.TrimSpace(fmt.Sprintf("%.0e %s", limit*u.den/u.num, word))
}

// findUnit resolves the text after the number. It returns the unit and its
// name, or what is wrong with it.
func findUnit(rest string, n number, dim Dimension, d Defaults) (u unit, word, found, hint string) {
	if rest == "" {
		return bareUnit(n, dim, d)
	}
	key := rest
	u, known := table[key] // most are written as the table has them
	if !known {
		key = normalUnit(rest)
		u, known = table[key]
	}
	switch {
	case !known:
		return unit{}, "", "unknown unit " + quote(rest), nearest(key, dim)
	case u.dim.kind() != dim.kind():
		return unit{}, "", "found " + u.dim.Name(), kindHint(rest, u.dim, dim)
	}
	return u, rest, "", ""
}

func bareUnit(n number, dim Dimension, d Defaults) (u unit, word, found, hint string) {
	if dim == Number {
		return unit{Number, 1, 1}, "", "", ""
	}
	word = dim.Bare(d)
	if word == "" {
		return unit{}, "", "found a number without its unit", ""
	}
	if n.fraction && word != "in" {
		hint = "a fraction needs its unit"
		if dim == Length {
			hint = "write " + n.text + " in for inches"
		}
		return unit{}, "", "found a fraction without its unit", hint
	}
	return table[word], word, "", ""
}

// kind is the dimension that shares its units: speeds of turning are speeds.
func (d Dimension) kind() Dimension {
	if d == AngularSpeed {
		return Speed
	}
	return d
}

// kindHint helps where a unit of a neighbouring dimension is often written.
func kindHint(word string, found, want Dimension) string {
	switch {
	case found == Mass && want == Force:
		for _, w := range []string{"kg", "g", "oz", "lb"} {
			if normalUnit(word) == w {
				return "the weight of that mass is written " + w + "f"
			}
		}
	case found == Speed && want == Rate:
		return "turns are not beats: write per min"
	case found == Rate && want.kind() == Speed:
		return "a shaft turns in rpm"
	}
	return ""
}

// nearest names the unit of the dimension that differs from the word in case
// only, or, for words of more than three letters, by one edit.
func nearest(key string, dim Dimension) string {
	const none = 2
	best, bestRank := "", none
	for spelling, u := range table {
		rank := none
		switch {
		case u.dim.kind() != dim.kind():
		case strings.EqualFold(spelling, key):
			rank = 0
		case utf8.RuneCountInString(key) > 3 && oneEdit(key, spelling):
			rank = 1
		}
		if rank < bestRank || rank == bestRank && rank < none && spelling < best {
			best, bestRank = spelling, rank
		}
	}
	if best == "" {
		return ""
	}
	if strings.HasPrefix(best, "/") {
		best = "per " + best[1:]
	}
	return "did you mean " + best + "?"
}

// oneEdit reports whether one letter put in, left out or changed, or two
// neighbours swapped, turns a into b.
func oneEdit(a, b string) bool {
	x, y := []rune(a), []rune(b)
	if len(x) > len(y) {
		x, y = y, x
	}
	if len(y)-len(x) > 1 || a == b {
		return false
	}
	i := 0
	for i < len(x) && x[i] == y[i] {
		i++
	}
	if len(x) < len(y) {
		return string(x[i:]) == string(y[i+1:])
	}
	if string(x[i+1:]) == string(y[i+1:]) {
		return true
	}
	return i+1 < len(x) && x[i] == y[i+1] && x[i+1] == y[i] && string(x[i+2:]) == string(y[i+2:])
}

// quote makes any text safe to show on one line.
func quote(text string) string {
	if r := []rune(text); len(r) > 40 {
		text = string(r[:37]) + "..."
	}
	return strconv.Quote(text)
}

// ParseCount reads a whole number, 0 or more, written in plain digits. The
// most is a million: more than the teeth of any belt or gear, and small enough
// that ratios of a whole drive stay exact.
func ParseCount(text string) (int, error) {
	const want, most = "a whole number", 1_000_000
	s := plainBlanks(text)
	if s == "" {
		return 0, &Error{Found: "found nothing", Want: want}
	}
	n, rest, bad := scanNumber(s)
	switch {
	case bad != nil:
		return 0, &Error{Found: quote(text) + " is not a number", Want: want, Hint: bad.hint}
	case rest != "":
		return 0, &Error{Found: "found " + quote(text), Want: want + " without a unit"}
	case !n.digits || n.value < 0:
		return 0, &Error{Found: "found " + quote(text), Want: want}
	case n.value > most:
		return 0, &Error{Found: quote(text) + " is absurdly large", Want: want, Hint: "the most is 1000000"}
	}
	return int(n.value), nil
}
