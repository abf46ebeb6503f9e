package solve

import (
	"math"
	"slices"

	"understage/internal/mech"
)

// A cam is solved in one canonical picture: the cam turns counter-clockwise, a
// straight follower rises along +Y on the line X = e, a swinging one turns about
// A = (a, 0). A clockwise cam is the mirror image of a counter-clockwise one, so
// only the offset's sign, the arm's side and the template's y change with the
// sense. Letters in the formulas:
//
//	φ        angle of the cam; s, s', s'', s''' lift and its derivatives by φ
//	Rb, Rf   base radius, roller radius (0 for a knife); Rp = Rb + Rf prime radius
//	e        offset, already signed for the canonical picture; d = √(Rp² − e²)
//	a, l     pivot distance and arm; f distance of a flat face from the pivot
//	ψ        angle at the pivot from the cam's axis to the arm or face
//	σ        +1 when arm and canonical cam turn in opposite senses on the rise
//	R, ε     radius and offset of an eccentric's disc
//	γ        angle of a measured rim from the mark

// CamStatus says whether a cam's rim and follower fit together.
type CamStatus int

const (
	CamSolved CamStatus = iota
	CamBase             // the base circle has no radius
	CamOffset           // the follower's line passes outside the prime circle
	CamBelow            // the motion falls below the cam's axis
	CamArm              // the arm, or the face on its pivot, cannot reach the rim
	CamPair             // a flat face cannot ride on a face cam
)

// camJoint is the angle, rad, within which φ counts as standing at a joint of
// two formulas. It is far above the rounding of an angle written in degrees and
// far below anything a maker can set.
const camJoint = 1e-10

// Lift is a follower's lift at one angle of its cam, mm or rad (for a swinging
// follower), and the first three derivatives by φ per rad. At a joint the values
// are those just after it; what is infinite there, Cam.Step says.
type Lift struct {
	S, V, A, J float64
}

// Step is the lowest order of the lift that jumps at a joint. Every higher
// derivative is infinite there.
type Step uint8

const (
	NoStep           Step = iota
	LiftStep              // a sudden drop: velocity, acceleration and jerk are infinite
	VelocityStep          // acceleration and jerk are infinite
	AccelerationStep      // jerk is infinite
)

// Infinite reports whether the derivative of that order, 1 for velocity, is
// infinite at the joint.
func (s Step) Infinite(order int) bool { return s != NoStep && order >= int(s) }

// CamAt is a value and the angle φ of the cam in [0, 2π) at which it is met.
type CamAt struct {
	Value, Angle float64
}

// CamExtent is the true range of a quantity over a turn of a cam.
type CamExtent struct {
	Min, Max CamAt
}

// camSpan is a stretch of φ over which one smooth formula holds, up to the next
// span's start. The last runs on to the first a turn later.
type camSpan struct {
	from float64
	step Step // at its start
}

// camSource is where a compiled cam's motion comes from.
type camSource uint8

const (
	camFromPieces camSource = iota // motion, through
	camFromWaves
	camFromDisc
	camFromRim
	camFromNothing // a rim that its follower cannot reach
)

// Cam is a cam and its follower, compiled for fast evaluation. It is read-only
// once made, so it may be shared.
type Cam struct {
	Status CamStatus
	sense  float64 // +1 counter-clockwise, −1 clockwise
	source camSource

	kind         mech.FollowerKind
	path         mech.FollowerPath
	base, roller float64
	prime        float64
	offset, d    float64 // e and d
	pivot, arm   float64 // a and l
	face         float64 // f
	rest         float64 // ψ at zero lift
	side         float64 // σ
	mark         float64 // canonical angle of the mark at φ = 0
	track        float64

	spans  []camSpan
	edges  []float64 // starts of the spans, less camJoint
	pieces []camPiece
	waves  []camWave
	level  float64 // added to the waves so that their least is zero
	disc   mech.Eccentric
	rim    *camRim

	lift     CamExtent
	flatness float64 // 1/tan of the pressure angle's limit, for sizing; 0 without
	cam      *mech.Cam
	load     CamLoad
}

// CompileCams compiles every cam of the model, each turning in the sense that
// the drive gives its shaft. A cam on a shaft that nothing drives, and every cam
// of a figure without a motor, is taken to turn counter-clockwise.
func CompileCams(m *mech.Model, d Drive) []*Cam {
	cams := make([]*Cam, len(m.Cams))
	for i := range m.Cams {
		cams[i] = compileCamOf(m, d, i)
	}
	return cams
}

// compileCamOf compiles one cam of the model.
func compileCamOf(m *mech.Model, d Drive, i int) *Cam {
	c := CompileCam(&m.Cams[i], camEdgeRadius(m), CamSense(m, d, i))
	if m.Breakaway.OK {
		c.load = newCamLoad(c, m.Breakaway)
	}
	return c
}

// CamSense returns +1 when the cam turns counter-clockwise, -1 otherwise.
func CamSense(m *mech.Model, d Drive, cam int) float64 {
	if m.Motor == nil {
		return 1
	}
	shaft := m.Cams[cam].Shaft
	if shaft < 0 || shaft >= len(d.Ratios) || d.Ratios[shaft].Num == 0 {
		return 1
	}
	if d.Ratios[shaft].Num < 0 {
		return -m.Motor.Sense.Sign()
	}
	return m.Motor.Sense.Sign()
}

// camEdgeRadius is the radius of the torso shaft, which rides as a roller on a
// cam that has no follower.
func camEdgeRadius(m *mech.Model) float64 {
	if m.Torso == nil {
		return 0
	}
	return m.Torso.ShaftDiameter / 2
}

// CompileCam compiles one cam turning in the given sense, +1 counter-clockwise.
// edge is the radius of the radial roller that rides on a cam without follower.
func CompileCam(cam *mech.Cam, edge, sense float64) *Cam {
	c := &Cam{sense: sense, base: cam.Base, cam: cam}
	c.placeFollower(cam.Follower, edge)
	var rim []camPiece
	switch cam.Shape.Kind {
	case mech.ShapeWaves:
		c.source = camFromWaves
		c.waves = camCompileWaves(cam.Shape.Waves)
	case mech.ShapeMotion:
		c.pieces = camSegmentPieces(cam.Shape.Segments)
	case mech.ShapeThrough:
		c.pieces = camSpline(cam.Shape.Points)
	case mech.ShapeEccentric:
		c.source = camFromDisc
		c.disc = cam.Shape.Eccentric
		c.disc.Offset = math.Abs(c.disc.Offset)
		c.base = c.disc.DiscRadius - c.disc.Offset
	case mech.ShapeMeasured:
		c.source = camFromRim
		rim = camSpline(cam.Shape.Rim)
		c.base, _ = camRadii(rim)
	}
	c.place()
	if c.source == camFromDisc && c.Status == CamSolved && !c.reachesDisc() {
		c.Status = CamArm
	}
	if c.Status != CamSolved && cam.Shape.Kind.StatesRim() {
		c.source = camFromNothing
	}
	if c.source == camFromRim {
		c.rim = newCamRim(c, rim)
	}
	c.span()
	c.lift = c.liftExtent()
	c.checkReach()
	c.load = newCamLoad(c, mech.Given{})
	return c
}

// NoMotion is true where the rim is stated and the follower cannot meet it, so
// that there is no lift; the Lift of such a cam is zero throughout.
func (c *Cam) NoMotion() bool { return c.source == camFromNothing }

func (c *Cam) placeFollower(f *mech.Follower, edge float64) {
	if f == nil {
		c.kind, c.roller = mech.Roller, edge
		return
	}
	c.kind, c.path = f.Kind, f.Path
	if f.Kind == mech.Roller {
		c.roller = f.Radius
	}
	switch f.Path {
	case mech.Straight:
		c.offset = c.sense * f.Offset
	case mech.Swing:
		c.pivot, c.arm, c.face = math.Hypot(f.Pivot.X, f.Pivot.Y), f.Arm, f.Face
		c.side = -c.sense
		if f.Left {
			c.side = c.sense
		}
	case mech.Axial:
		c.track = f.TrackRadius
	}
}

// place finds where the follower stands at zero lift, once the base is known.
func (c *Cam) place() {
	c.prime = c.base + c.roller
	if c.path == mech.Axial {
		if c.kind == mech.Flat || c.track <= 0 {
			c.Status = CamPair
		}
		return
	}
	if c.base <= 0 {
		c.Status = CamBase
		return
	}
	switch {
	case c.path == mech.Straight && c.kind == mech.Flat:
		c.offset = 0 // only shifts where the face is measured from
	case c.path == mech.Straight:
		if math.Abs(c.offset) >= c.prime {
			c.Status = CamOffset
			return
		}
		c.d = math.Sqrt(c.prime*c.prime - c.offset*c.offset)
	case c.kind == mech.Flat:
		sin := (c.base - c.face) / c.pivot
		if !(math.Abs(sin) < 1) {
			c.Status = CamArm
			return
		}
		c.rest = math.Asin(sin)
		c.mark = c.side * (math.Pi/2 - c.rest)
	default:
		cos := (c.pivot*c.pivot + c.arm*c.arm - c.prime*c.prime) / (2 * c.pivot * c.arm)
		if !(math.Abs(cos) < 1) {
			c.Status = CamArm
			return
		}
		c.rest = math.Acos(cos)
		c.mark = c.side * math.Atan2(c.arm*math.Sin(c.rest), c.pivot-c.arm*cos)
	}
}

// reachesDisc reports whether a swinging follower spans the disc over its whole
// turn: the arm's triangle, or the tangent of the face, exists at its far side.
func (c *Cam) reachesDisc() bool {
	far := c.disc.DiscRadius + c.disc.Offset
	switch {
	case c.path != mech.Swing:
		return true
	case c.kind == mech.Flat:
		return far-c.face < c.pivot
	}
	return far+c.roller < c.pivot+c.arm
}

// checkReach rejects a stated motion that carries the follower to the cam's
// axis, swings its arm through the line from pivot to axis, or turns a face past
// the square to it.
func (c *Cam) checkReach() {
	if c.Status == CamSolved && c.path == mech.Straight && c.kind != mech.Flat && c.d+c.lift.Min.Value <= 0 {
		c.Status = CamBelow
	}
	if c.Status != CamSolved || c.path != mech.Swing {
		return
	}
	low, high := c.rest+c.lift.Min.Value, c.rest+c.lift.Max.Value
	if c.kind == mech.Flat {
		if high >= math.Pi/2 || low <= -math.Pi/2 {
			c.Status = CamArm
		}
		return
	}
	if low <= 0 || high >= math.Pi {
		c.Status = CamArm
	}
}

// Sense returns +1 when the cam turns counter-clockwise in its view, -1 when
// clockwise.
func (c *Cam) Sense() float64 { return c.sense }

// BaseRadius returns the radius of the base circle: the least radius of the rim
// where the shape states the rim.
func (c *Cam) BaseRadius() float64 { return c.base }

// PrimeRadius returns the radius of the base circle plus the roller's.
func (c *Cam) PrimeRadius() float64 { return c.prime }

// RollerRadius returns the radius of the roller; 0 for knife and flat.
func (c *Cam) RollerRadius() float64 { return c.roller }

// Swings reports whether lift is an angle in rad.
func (c *Cam) Swings() bool { return c.path == mech.Swing }

// Load returns what presses on the cam.
func (c *Cam) Load() *CamLoad { return &c.load }

// LiftRange returns the least and greatest lift over a turn.
func (c *Cam) LiftRange() CamExtent { return c.lift }

// Breaks returns the angles φ in [0, 2π), increasing, at which the lift or one
// of its derivatives may jump. Between them the lift is smooth. It is empty for
// waves and eccentrics.
func (c *Cam) Breaks() []float64 {
	breaks := make([]float64, 0, len(c.spans))
	if c.source == camFromWaves || c.source == camFromDisc || len(c.spans) < 2 {
		return breaks
	}
	for _, s := range c.spans {
		breaks = append(breaks, camReduce(s.from))
	}
	slices.Sort(breaks)
	return breaks
}

// lever is the follower's way, in mm, per unit of lift: of the roller's centre or
// knife's edge, or of the place of a swinging face that touches the base circle.
func (c *Cam) lever() float64 {
	switch {
	case c.path != mech.Swing:
		return 1
	case c.kind == mech.Flat:
		return c.pivot * math.Cos(c.rest)
	}
	return c.arm
}
