package spec

import (
	"strings"

	"understage/internal/units"
)

// Tolerance is a dimension that the spec writes with a margin, such as
// "16 ±0.1 mm": made well, it lies anywhere from Nominal − Margin to
// Nominal + Margin. Both are in the model's unit for the dimension.
type Tolerance struct {
	Path            string
	Dimension       units.Dimension
	Nominal, Margin float64
}

// cutTolerance splits "16 ±0.1 mm" into "16 mm" and "0.1 mm". A unit written
// once goes for both.
func cutTolerance(text string) (nominal, margin string, ok bool) {
	nominal, margin, ok = strings.Cut(text, "±")
	if !ok {
		if nominal, margin, ok = strings.Cut(text, "+/-"); !ok {
			return text, "", false
		}
	}
	nominal, margin = strings.TrimSpace(nominal), strings.TrimSpace(margin)
	switch unit, other := unitText(nominal), unitText(margin); {
	case unit == "" && other != "":
		nominal += " " + other
	case unit != "" && other == "":
		margin += " " + unit
	}
	return nominal, margin, true
}

// unitText returns what follows the number of a quantity.
func unitText(text string) string {
	return strings.TrimSpace(strings.TrimLeft(text, "+-−0123456789./ "))
}

// tolerance reads and keeps the margin of a quantity.
func (d *decoder) tolerance(p *place, dim units.Dimension, nominal float64, margin string) bool {
	v, err := units.Parse(margin, dim, d.unitDefaults(p))
	if err != nil {
		d.sayError(p, err)
		return false
	}
	if v < 0 {
		d.say(p, "found a margin of "+quoted(margin), "a margin that is not negative, such as ±0.1 mm", "")
		return false
	}
	d.tolerances = append(d.tolerances, Tolerance{Path: p.path(), Dimension: dim, Nominal: nominal, Margin: v})
	return true
}
