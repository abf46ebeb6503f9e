package solve

import (
	"gonum.org/v1/gonum/spatial/r3"
)

// component returns a coordinate of v: 0 x, 1 y, 2 z.
func component(v r3.Vec, axis int) float64 {
	switch axis {
	case 0:
		return v.X
	case 1:
		return v.Y
	default:
		return v.Z
	}
}
