package report

import (
	"fmt"
	"understage/internal/mech"
)

// Units writes quantities of a text report: lengths in the spec's unit with
// what a maker can measure (mm to 0.01, in to 0.001), angles to 0.1 deg, the
// rest to three significant digits. Null prints as a dash.
type Units struct {
	Lengths mech.LengthUnit
}

// LengthName returns "mm" or "in", for column heads.
func (u Units) LengthName() string {
	if u.Lengths == mech.Inch {
		return "in"
	}
	return "mm"
}

// Length writes millimetres in the maker's unit, without its name.
func (u Units) Length(mm Value) string {
	if u.Lengths == mech.Inch {
		return fixed(float64(mm)/25.4, 3)
	}
	return fixed(float64(mm), 2)
}

// Degrees writes an angle already in degrees, without its unit.
func (u Units) Degrees(deg Value) string { return fixed(float64(deg), 1) }

// Plain writes three significant digits.
func (u Units) Plain(v Value) string {
	f := float64(v)
	if !finite(f) {
		return "-"
	}
	return fmt.Sprintf("%.3g", f)
}
