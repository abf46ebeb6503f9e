// Package sweep plans and runs variants of one figure: which values each row
// takes, in which order, and what is kept of the answers. It reads no files and
// prints nothing; package cli feeds it and writes the rows.
package sweep

import (
	"errors"
	"fmt"
	"math/big"
	"strings"
)

// maxValues is the most values one --vary may list: enough for a million steps.
const maxValues = 1_000_000

// Axis is one varied path of the spec and the values it takes: a list, a range
// with a step, or a continuous range, which only draws use.
type Axis struct {
	Path      string
	Low, High *big.Rat // of a range, in Unit
	Unit      string
	list      []string // spec text
	step      *big.Rat // of a range with a step
	steps     int      // values of such a range
	grid      *decimalGrid
}

// Len returns the number of values; 0 for a continuous range.
func (a *Axis) Len() int {
	if a.step != nil {
		return a.steps
	}
	return len(a.list)
}

// Value returns value i as spec text, its unit carried. Values of a range are
// made as they are asked for, so that a long range takes no room.
func (a *Axis) Value(i int) string {
	if a.step == nil {
		return a.list[i]
	}
	if a.grid != nil {
		return a.grid.value(i, a.Unit)
	}
	value := new(big.Rat).SetInt64(int64(i))
	return a.text(value.Mul(value, a.step).Add(value, a.Low))
}

// ParseAxis reads PATH=VALUES, where VALUES is a list "18, 20, 22" or
// "cycloidal, 3-4-5", a range with a step "14..18 by 0.5 mm", or, for draws, a
// range without one. Steps are exact decimals: 0..1 by 0.1 gives 0.3, not
// 0.30000000000000004.
func ParseAxis(text string) (Axis, error) {
	path, values, ok := strings.Cut(text, "=")
	path, values = strings.TrimSpace(path), strings.TrimSpace(values)
	if !ok || path == "" || values == "" {
		return Axis{}, fmt.Errorf("--vary %q: want PATH=VALUES, such as motor.supply='4..6 by 0.5 V'", text)
	}
	a := Axis{Path: path}
	var err error
	if strings.Contains(values, "..") {
		err = a.readRange(values)
	} else {
		a.list, err = splitList(values)
	}
	if err != nil {
		return Axis{}, fmt.Errorf("--vary %s: %w", path, err)
	}
	return a, nil
}

func (a *Axis) readRange(text string) error {
	from, rest, _ := strings.Cut(text, "..")
	to, step, stepped := strings.Cut(rest, " by ")
	low, lowUnit, err := splitQuantity(from)
	if err != nil {
		return err
	}
	high, highUnit, err := splitQuantity(to)
	if err != nil {
		return err
	}
	a.Low, a.High = low, high
	if !stepped {
		a.Unit, err = oneUnit(lowUnit, highUnit)
		if err == nil && high.Cmp(low) <= 0 {
			err = fmt.Errorf("the range %s does not go up", text)
		}
		return err
	}
	by, byUnit, err := splitQuantity(step)
	if err != nil {
		return err
	}
	if a.Unit, err = oneUnit(lowUnit, highUnit, byUnit); err != nil {
		return err
	}
	return a.setStep(text, by)
}

// setStep counts the values of a stepped range. The end is included when a step
// falls on it.
func (a *Axis) setStep(text string, by *big.Rat) error {
	span := new(big.Rat).Sub(a.High, a.Low)
	if by.Sign() == 0 || span.Sign() != 0 && span.Sign() != by.Sign() {
		return fmt.Errorf("the range %s never ends: the step must lead from the first value to the last", text)
	}
	ratio := new(big.Rat).Quo(span, by)
	count := new(big.Int).Quo(ratio.Num(), ratio.Denom())
	count.Add(count, big.NewInt(1))
	if count.Cmp(big.NewInt(maxValues)) > 0 {
		return fmt.Errorf("the range %s has %s values, more than %d; take a longer step, or draws with --sample", text, count, maxValues)
	}
	a.step, a.steps = by, int(count.Int64())
	a.grid = newDecimalGrid(a.Low, by, a.steps)
	return nil
}

// text writes a value of the range with its unit.
func (a *Axis) text(value *big.Rat) string {
	number := decimal(value)
	if a.Unit == "" {
		return number
	}
	return number + " " + a.Unit
}

// decimal writes a rational exactly where it is a short decimal, and as a
// fraction such as 1/3 where it is not.
func decimal(r *big.Rat) string {
	if places, exact := r.FloatPrec(); exact && places <= 15 {
		return r.FloatString(places)
	}
	return r.RatString()
}

// splitQuantity splits "1 1/2 in" into 3/2 and "in".
func splitQuantity(text string) (*big.Rat, string, error) {
	text = strings.TrimSpace(text)
	end := 0
	for end < len(text) && strings.IndexByte("0123456789.+-/ eE", text[end]) >= 0 {
		if (text[end] == 'e' || text[end] == 'E') && (end+1 == len(text) || strings.IndexByte("0123456789+-", text[end+1]) < 0) {
			break
		}
		end++
	}
	sum := new(big.Rat)
	fields := strings.Fields(text[:end])
	if len(fields) == 0 || len(fields) > 2 {
		return nil, "", fmt.Errorf("found %q, want a number with or without a unit", text)
	}
	for i, field := range fields {
		part, ok := new(big.Rat).SetString(field)
		// SetString takes exponents as large as it is given; 1e30 and more
		// stands for no dimension of a figure.
		if !ok || len(field) > 30 || strings.ContainsAny(field, "eE") && part.Num().BitLen()+part.Denom().BitLen() > 100 {
			return nil, "", fmt.Errorf("found %q, want a number with or without a unit", text)
		}
		if i > 0 && fields[0][0] == '-' {
			part.Neg(part)
		}
		sum.Add(sum, part)
	}
	return sum, strings.TrimSpace(text[end:]), nil
}

// oneUnit returns the unit the parts of a range share; a part without one takes
// the others'.
func oneUnit(parts ...string) (string, error) {
	unit := ""
	for _, p := range parts {
		if p == "" {
			continue
		}
		if unit != "" && p != unit {
			return "", fmt.Errorf("the range mixes %s and %s: want one unit", unit, p)
		}
		unit = p
	}
	return unit, nil
}

// splitList splits at commas outside brackets, braces and quotes, so that a
// value may be a YAML list or map.
func splitList(text string) ([]string, error) {
	var out []string
	depth, start := 0, 0
	var quote rune
	for i, r := range text {
		switch {
		case quote != 0:
			if r == quote {
				quote = 0
			}
		case r == '"' || r == '\'':
			quote = r
		case r == '[' || r == '{':
			depth++
		case r == ']' || r == '}':
			depth--
		case r == ',' && depth == 0:
			out = append(out, strings.TrimSpace(text[start:i]))
			start = i + 1
		}
	}
	if depth != 0 || quote != 0 {
		return nil, fmt.Errorf("found %q, want brackets and quotes closed", text)
	}
	out = append(out, strings.TrimSpace(text[start:]))
	for _, v := range out {
		if v == "" {
			return nil, errors.New("a value of the list is empty")
		}
	}
	return out, nil
}
