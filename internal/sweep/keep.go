package sweep

import (
	"fmt"
	"strconv"
	"strings"

	"understage/internal/units"
)

// Filter keeps the rows whose answer at a key compares as asked.
type Filter struct {
	Column   int // of the key among the columns
	operator string
	number   float64
	text     string
	isNumber bool
}

var operators = []string{"<=", ">=", "==", "!=", "<", ">"}

// SplitFilter splits "torso.tilt_deg.max < 6 deg" into key, operator and value.
func SplitFilter(text string) (key, operator, value string, err error) {
	for i := range text {
		for _, op := range operators {
			if strings.HasPrefix(text[i:], op) {
				key, value = strings.TrimSpace(text[:i]), strings.TrimSpace(text[i+len(op):])
				if key == "" || value == "" {
					break
				}
				return key, op, value, nil
			}
		}
	}
	return "", "", "", fmt.Errorf("--keep %q: want KEY OPERATOR VALUE with one of %s, such as 'torso.tilt_deg.max < 6 deg'", text, strings.Join(operators, " "))
}

// NewFilter makes a filter on a column. The value may carry a unit; it is read
// in the unit that the key's own name ends in, so "torso.tilt_deg.max < 0.1 rad"
// compares degrees with degrees. Text is compared with == and != only.
func NewFilter(column int, key Key, operator, value string) (Filter, error) {
	f := Filter{Column: column, operator: operator, text: value}
	if number, err := strconv.ParseFloat(value, 64); err == nil {
		f.number, f.isNumber = number, true
		return f, nil
	}
	if unit, ok := keyUnit(key); ok {
		number, err := units.Parse(value, unit.dimension, units.Defaults{})
		if err != nil {
			return Filter{}, fmt.Errorf("--keep %s: %w", key.Path, err)
		}
		f.number, f.isNumber = number/unit.size, true
		return f, nil
	}
	if operator != "==" && operator != "!=" {
		return Filter{}, fmt.Errorf("--keep %s: found %q, want a number to compare with %s", key.Path, value, operator)
	}
	return f, nil
}

// Keep reports whether the row passes. An unknown answer passes no comparison
// but "!=".
func (f *Filter) Keep(cells []Cell) bool {
	c := cells[f.Column]
	if f.isNumber && c.Kind == Number {
		switch f.operator {
		case "<":
			return c.Number < f.number
		case "<=":
			return c.Number <= f.number
		case ">":
			return c.Number > f.number
		case ">=":
			return c.Number >= f.number
		case "==":
			return c.Number == f.number
		}
		return c.Number != f.number
	}
	same := c.Kind == Text && c.Text == f.text
	return f.operator == "==" && same || f.operator == "!=" && !same
}

// unitOfKey is the unit a JSON key's name ends in.
type unitOfKey struct {
	suffix    string
	dimension units.Dimension
	size      float64 // of one such unit in the model's unit
}

const degree = 3.141592653589793 / 180

var keyUnits = []unitOfKey{
	{"_mm", units.Length, 1},
	{"_deg", units.Angle, degree},
	{"_rpm", units.Speed, 2 * 3.141592653589793 / 60},
	{"_Nmm", units.Torque, 1},
	{"_V", units.Voltage, 1},
	{"_A", units.Current, 1},
	{"_s", units.Time, 1},
	{"_N", units.Force, 1},
}

// keyUnit finds the unit among the steps of a key, the last first: the unit of
// tilt_deg.max stands on tilt_deg.
func keyUnit(key Key) (unitOfKey, bool) {
	for i := len(key.steps) - 1; i >= 0; i-- {
		for _, u := range keyUnits {
			if word := key.steps[i].word; strings.HasSuffix(word, u.suffix) && !strings.HasSuffix(word, "_mm"+u.suffix) {
				return u, true
			}
		}
	}
	return unitOfKey{}, false
}
