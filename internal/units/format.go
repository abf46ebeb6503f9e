package units

import (
	"fmt"
	"math"
	"strconv"
)

// Display returns a value of the model in the unit that is printed for the
// dimension, with that unit's name: rad become deg, mm become in where lengths
// are in inches. The name is "" for a Number.
func Display(value float64, dim Dimension, d Defaults) (float64, string) {
	word := dim.printed(d)
	if word == "" {
		return value, ""
	}
	u := table[normalUnit(word)]
	return value * u.den / u.num, word
}

func (d Dimension) printed(defaults Defaults) string {
	if d == Length && defaults.Inches {
		return "in"
	}
	return dimensions[d].print
}

// Format writes a value of the model with its unit so that Parse returns it:
// the fewest digits that read back as the same float64, or, where no decimal
// does, as one of its next neighbours. A value that is not finite, which no
// quantity is, prints as "-".
func Format(value float64, dim Dimension, d Defaults) string {
	if math.IsNaN(value) || math.IsInf(value, 0) {
		return "-"
	}
	if value == 0 {
		value = 0 // drops the sign of -0
	}
	number, word := Display(value, dim, d)
	u := unit{dim, 1, 1}
	if word != "" {
		u = table[normalUnit(word)]
	}
	text := shortest(number, value, u)
	if word == "" {
		return text
	}
	return text + " " + word
}

// shortest writes number, which stands for value once converted by u, in the
// fewest digits that convert back to value or next to it.
func shortest(number, value float64, u unit) string {
	const near = 2.0 / (1 << 53) // one unit in the last place, at most
	for digits := 1; digits <= 17; digits++ {
		text := strconv.FormatFloat(number, 'g', digits, 64)
		back, _ := strconv.ParseFloat(text, 64)
		if math.Abs(back*u.num/u.den-value) <= near*math.Abs(value) || digits == 17 {
			return plain(back)
		}
	}
	return "" // not reached: 17 digits always return
}

// plain writes the fewest digits that identify f, without an exponent where
// that stays readable.
func plain(f float64) string {
	if a := math.Abs(f); a != 0 && (a < 1e-6 || a >= 1e12) {
		return strconv.FormatFloat(f, 'e', -1, 64)
	}
	return strconv.FormatFloat(f, 'f', -1, 64)
}

// FormatInch writes millimetres as the nearest 64th of an inch, the way an
// inch rule and a set of drills are marked, and returns by how many
// millimetres the fraction is too long.
func FormatInch(mm float64) (text string, excess float64) {
	if math.IsNaN(mm) || math.Abs(mm) > Largest {
		return "-", 0
	}
	parts := int64(math.Round(mm / 25.4 * 64))
	excess = float64(parts)*25.4/64 - mm
	sign := ""
	if parts < 0 {
		sign, parts = "-", -parts
	}
	whole, top, bottom := parts/64, parts%64, int64(64)
	for top != 0 && top%2 == 0 {
		top, bottom = top/2, bottom/2
	}
	switch {
	case top == 0:
		text = fmt.Sprintf("%s%d in", sign, whole)
	case whole == 0:
		text = fmt.Sprintf("%s%d/%d in", sign, top, bottom)
	default:
		text = fmt.Sprintf("%s%d %d/%d in", sign, whole, top, bottom)
	}
	return text, excess
}
