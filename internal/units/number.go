package units

import (
	"math"
	"strconv"
	"strings"
	"unicode"
)

// number is the number that leads a quantity, value/over. A fraction keeps its
// denominator so that 1/3 turn is rounded once.
type number struct {
	value, over float64
	text        string // as written, for hints
	fraction    bool
	digits      bool // written in digits alone
	zero        bool // no digit but 0 before the exponent
}

// malformed says how to write what was meant; hint "" when that is unknown.
type malformed struct{ hint string }

// scanNumber reads a decimal number, a fraction (1/4) or a mixed one (1 1/2,
// also 1-1/2) from the front of s, which has plain blanks and is not empty.
// Forms that other readers of the file would take for something else are
// refused: leading zeros, other bases, digit groups, clock times, dates.
func scanNumber(s string) (n number, rest string, bad *malformed) {
	sign := 1.0
	body := s
	switch {
	case strings.HasPrefix(s, "-"), strings.HasPrefix(s, "−"):
		sign = -1
		body = strings.TrimPrefix(strings.TrimPrefix(s, "-"), "−")
	case strings.HasPrefix(s, "+"):
		body = s[1:]
	}
	if body == "" || !isDigit(body[0]) && (body[0] != '.' || len(body) < 2 || !isDigit(body[1])) {
		return number{}, "", &malformed{}
	}
	if n, rest, ok := scanFraction(body); ok {
		if n.over == 0 {
			return number{}, "", &malformed{hint: "nothing can be divided by 0"}
		}
		n.value *= sign
		return checkRest(n, rest, s)
	}
	n, rest, bad = scanDecimal(body)
	if bad != nil {
		return number{}, "", bad
	}
	n.value *= sign
	return checkRest(n, rest, s)
}

func isDigit(b byte) bool { return b >= '0' && b <= '9' }

// leadingDigits returns how many digits s starts with.
func leadingDigits(s string) int {
	i := 0
	for i < len(s) && isDigit(s[i]) {
		i++
	}
	return i
}

// scanFraction reads a/b, "w a/b" or "w-a/b".
func scanFraction(s string) (n number, rest string, ok bool) {
	whole := 0.0
	i := leadingDigits(s)
	if i == 0 {
		return n, "", false
	}
	top, start := s[:i], 0
	if gap := i + len(s[i:]) - len(strings.TrimLeft(s[i:], " ")); i < len(s) && (gap > i || s[i] == '-') {
		if s[i] == '-' {
			gap = i + 1
		}
		j := leadingDigits(s[gap:])
		if j == 0 || gap+j >= len(s) || s[gap+j] != '/' {
			return n, "", false
		}
		whole, _ = strconv.ParseFloat(top, 64)
		start, top, i = gap, s[gap:gap+j], gap+j
	}
	if i >= len(s) || s[i] != '/' {
		return n, "", false
	}
	j := leadingDigits(s[i+1:])
	if j == 0 {
		return n, "", false // "52/min" is no fraction
	}
	bottom, rest := s[i+1:i+1+j], s[i+1+j:]
	for _, part := range []string{s[:leadingDigits(s)], s[start : start+len(top)], bottom} {
		if len(part) > 1 && part[0] == '0' || len(part) > 6 {
			return n, "", false
		}
	}
	a, _ := strconv.ParseFloat(top, 64)
	b, _ := strconv.ParseFloat(bottom, 64)
	value := whole*b + a
	return number{value: value, over: b, text: s[:i+1+j], fraction: true, zero: value == 0}, rest, true
}

// scanDecimal reads digits with a point and an exponent.
func scanDecimal(s string) (n number, rest string, bad *malformed) {
	i := leadingDigits(s)
	if i > 1 && s[0] == '0' {
		return n, "", &malformed{hint: "write " + plainZero(strings.TrimLeft(s[:i], "0"))}
	}
	digits := true
	if i < len(s) && s[i] == '.' && (i+1 == len(s) || !unicode.IsLetter(rune(s[i+1]))) {
		digits = false
		i++
		i += leadingDigits(s[i:])
	}
	mantissa := s[:i]
	if i < len(s) && (s[i] == 'e' || s[i] == 'E') {
		j := i + 1
		if j < len(s) && (s[j] == '+' || s[j] == '-') {
			j++
		}
		if k := leadingDigits(s[j:]); k > 0 {
			digits = false
			i = j + k
		}
	}
	value, err := strconv.ParseFloat(s[:i], 64)
	if err != nil && !math.IsInf(value, 0) {
		return n, "", &malformed{}
	}
	zero := strings.Trim(mantissa, "0.") == ""
	return number{value: value, over: 1, text: s[:i], digits: digits, zero: zero}, s[i:], nil
}

func plainZero(s string) string {
	if s == "" {
		return "0"
	}
	return s
}

// checkRest refuses what cannot be a unit, with the form that was meant.
func checkRest(n number, rest, s string) (number, string, *malformed) {
	rest = strings.TrimLeft(rest, " ")
	if rest == "" {
		return n, "", nil
	}
	after := byte(0)
	if len(rest) > 1 {
		after = rest[1]
	}
	switch c := rest[0]; {
	case c == ',' && isDigit(after):
		return n, "", &malformed{hint: commaHint(s)}
	case c == '_':
		return n, "", &malformed{hint: "write " + strings.ReplaceAll(s, "_", "")}
	case c == ':':
		return n, "", &malformed{hint: "write one number, not a clock time"}
	case c == '-' && isDigit(after), c == '/' && n.fraction && isDigit(after):
		return n, "", &malformed{hint: "this looks like a date"}
	case n.text == "0" && strings.ContainsRune("xXoObB", rune(c)) && isHex(after):
		return n, "", &malformed{hint: "write the number in decimal"}
	case strings.ContainsRune("0123456789.+-,;=([{<", rune(c)):
		return n, "", &malformed{}
	}
	return n, rest, nil
}

func isHex(b byte) bool { return isDigit(b) || b >= 'a' && b <= 'f' || b >= 'A' && b <= 'F' }

// commaHint tells a decimal comma from a comma between thousands, where the
// text lets it.
func commaHint(s string) string {
	i := strings.IndexByte(s, ',')
	group := leadingDigits(s[i+1:])
	point := s[:i] + "." + s[i+1:]
	if group != 3 {
		return "write " + point + ", with a point"
	}
	return "write " + point + " or " + s[:i] + s[i+1:] + ", as you mean it"
}

// plainBlanks trims the text and turns the no-break and thin blanks that word
// processors set between number and unit into plain ones, and the fraction
// slash into a plain one.
func plainBlanks(text string) string {
	return strings.Trim(strings.Map(func(r rune) rune {
		switch r {
		case '\u00a0', '\u2009', '\u202f', '\t':
			return ' '
		case '\u2044':
			return '/'
		}
		return r
	}, text), " ")
}

// normalUnit brings the many ways of writing a unit into one: "·" for every
// sign of multiplication, "/" for per, plain digits for raised ones.
func normalUnit(s string) string {
	s = strings.Map(func(r rune) rune {
		switch r {
		case '⋅', '∙', '•', '*', '×', '‧':
			return '·'
		case '²':
			return '2'
		case '³':
			return '3'
		case '^':
			return -1
		}
		return r
	}, s)
	s = strings.ReplaceAll(s, "Ω", "ohm")      // Greek letter
	s = strings.ReplaceAll(s, "\u2126", "ohm") // ohm sign
	fields := strings.Fields(s)
	s = ""
	for i, f := range fields {
		switch {
		case f == "per":
			f = "/"
		case i > 0 && !strings.HasSuffix(s, "/") && !strings.HasSuffix(s, "·") && f[0] != '/' && !strings.HasPrefix(f, "·"):
			s += "·" // the blank between two units multiplies
		}
		s += f
	}
	return joinAtoms(s)
}

// joinAtoms turns a full stop or hyphen between two letters into "·".
func joinAtoms(s string) string {
	r := []rune(s)
	for i := 1; i+1 < len(r); i++ {
		if (r[i] == '.' || r[i] == '-') && unicode.IsLetter(r[i-1]) && unicode.IsLetter(r[i+1]) {
			r[i] = '·'
		}
	}
	return string(r)
}
