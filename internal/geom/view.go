// Package geom places drawings in space: the three drawing views of a figure
// and the stage frame they lie in. Vectors are gonum's r2.Vec and r3.Vec, in
// millimetres.
//
// The stage frame is right-handed: x to the audience's right, y upstage, z up,
// origin where the torso axis crosses the top face of the stage at rest.
package geom

import (
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// View is the drawing view a part turns in. Shafts stand square to their view.
type View int

const (
	// Plan is seen from above: u = x, v = y, level = z.
	Plan View = iota
	// Front is seen from the audience: u = x, v = z, level = y.
	Front
	// Side is seen from the audience's right: u = y, v = z, level = x.
	Side
)

// Views lists the views in the order of their values.
var Views = [...]View{Plan, Front, Side}

// String returns the spec's word for the view.
func (v View) String() string {
	switch v {
	case Front:
		return "front"
	case Side:
		return "side"
	default:
		return "plan"
	}
}

// Stage returns the stage point with the view coordinates p at the given level.
func (v View) Stage(p r2.Vec, level float64) r3.Vec {
	switch v {
	case Front:
		return r3.Vec{X: p.X, Y: level, Z: p.Y}
	case Side:
		return r3.Vec{X: level, Y: p.X, Z: p.Y}
	default:
		return r3.Vec{X: p.X, Y: p.Y, Z: level}
	}
}

// Project returns the view coordinates and the level of a stage point. It is
// the inverse of Stage.
func (v View) Project(p r3.Vec) (uv r2.Vec, level float64) {
	switch v {
	case Front:
		return r2.Vec{X: p.X, Y: p.Z}, p.Y
	case Side:
		return r2.Vec{X: p.Y, Y: p.Z}, p.X
	default:
		return r2.Vec{X: p.X, Y: p.Y}, p.Z
	}
}

// Axis returns the unit vector pointing at the viewer: a counter-clockwise turn
// in the view is right-handed about it.
func (v View) Axis() r3.Vec {
	switch v {
	case Front:
		return r3.Vec{Y: -1}
	case Side:
		return r3.Vec{X: 1}
	default:
		return r3.Vec{Z: 1}
	}
}
