package solve

import "math"

// torsoKind is a quantity of the torso whose extremes are sought. Where an angle
// or a length has a simpler monotone measure, that is searched and the extremes
// converted: squares for speeds, tangents for angles.
type torsoKind int

const (
	torsoLean      torsoKind = iota // tan
	torsoNod                        // tan
	torsoIncline                    // 1/cos
	torsoTwist                      // tan of half
	torsoSlot                       // mm
	torsoTurning                    // angular speed squared
	torsoWrench                     // angular acceleration squared
	torsoSquare                     // sine of the angle between the pushes
	torsoPress                      // of push index, N
	torsoAlong                      // of push index: the shaft along and across its direction, mm
	torsoAcross                     //
	torsoReach                      // of stage face index, mm
	torsoHalfWidth                  //
	torsoHalfDepth                  //
	torsoX                          // of point index, mm
	torsoY                          //
	torsoZ                          //
	torsoSpeed                      // squared
	torsoSurge                      // acceleration squared
	torsoClear                      // of point index to obstacle other, or the stage for None, mm
)

// order is the order of derivatives that a quantity needs.
func (k torsoKind) order() int {
	switch k {
	case torsoTurning, torsoSpeed:
		return 1
	case torsoWrench, torsoSurge, torsoPress:
		return 2
	default:
		return 0
	}
}

func (k torsoKind) sides() Sides {
	switch k {
	case torsoIncline, torsoTurning, torsoWrench, torsoSpeed, torsoSurge, torsoReach, torsoHalfWidth, torsoHalfDepth:
		return OnlyMax
	case torsoClear, torsoSquare, torsoPress:
		return OnlyMin
	default:
		return BothSides
	}
}

// finish turns what was searched into what is reported.
func (k torsoKind) finish(v float64) float64 {
	switch k {
	case torsoLean, torsoNod:
		return math.Atan(v)
	case torsoIncline:
		return math.Acos(min(1, 1/v))
	case torsoTwist:
		return 2 * math.Atan(v)
	case torsoSquare:
		return math.Asin(min(1, v))
	case torsoTurning, torsoWrench, torsoSpeed, torsoSurge:
		return math.Sqrt(v)
	default:
		return v
	}
}

// torsoQuantity is a quantity, of a push, stage face or point, and of an
// obstacle.
type torsoQuantity struct {
	kind         torsoKind
	index, other int
}
