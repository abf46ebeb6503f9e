package solve

import (
	"math"
	"slices"

	"understage/internal/mech"

	"gonum.org/v1/gonum/spatial/r2"
)

// TorsoResult is everything computed about a torso over the repeat. Angles are
// rad; speeds are per rad of the motor's angle, accelerations per rad², at a
// steady motor. Where the torso cannot be posed, extremes are those of the rest.
type TorsoResult struct {
	// Status is TorsoPosed, or TorsoPushNotDriven, when every angle has a pose.
	Status TorsoStatus
	// FailsAt is the motor turn at which TorsoOutOfReach first comes; negative
	// when that is not known.
	FailsAt float64
	// Posed is whether there is a pose at any angle; without one the extremes
	// mean nothing.
	Posed bool

	Lean, Nod, Twist, Slot Extent
	Tilt                   Extreme
	// Turning and TurningRise are the peak angular speed and acceleration of the
	// body.
	Turning, TurningRise Extreme
	// PushAngle is the least angle between the ways in which the pushes hold the
	// shaft, at most π/2.
	PushAngle  Extreme
	Opening    OpeningNeed
	Points     []TorsoPointResult
	Clearances []Clearance
	Pushes     [2]TorsoPushResult
	Gain       TwistGain

	// Torso poses it; nil when it cannot be compiled.
	Torso *Torso
}

// OpeningNeed is the hole that the shaft needs through the whole thickness of
// the stage, about the opening's centre, without any clearance.
type OpeningNeed struct {
	Circle, Width, Depth Extreme // diameter, along x, along y
}

// TorsoPointResult is the motion of one point.
type TorsoPointResult struct {
	X, Y, Z             Extent
	Speed, Acceleration Extreme // peaks
}

// Clearance is the least gap between a point's ball and an obstacle, negative
// when it goes in.
type Clearance struct {
	Point    int
	Obstacle int // None: the stage's top
	Gap      Extreme
}

// TorsoPushResult is what a push needs.
type TorsoPushResult struct {
	// Along and Across are the shaft's places at the push's level, from upright:
	// along the push, and to its left.
	Along, Across Extent
	// Plate is the length of a yoke's plate from the follower (roller's centre,
	// knife's edge or flat face) to the middle of the slot. It is given for a yoke
	// that a straight follower carries along its own heading.
	Plate mech.Given
	// SlotLength is what a yoke's slot needs across, end to end: the range of the
	// shaft across plus the shaft as cut by the plate.
	SlotLength float64
	// CamUnsolved is whether the push's cam has no motion.
	CamUnsolved bool
	// RodReach is, where the torso cannot be posed, how long a rod would have to be
	// for the shaft to stand upright at that turn.
	RodReach mech.Given
	// Press is the least force, N, that presses an edge push's rim and the shaft
	// together, without friction; PressKnown says whether a spring or the weight
	// was given to know it by.
	Press      Extreme
	PressKnown bool
}

// TwistGain is how far the torso twists for a small lean or nod near upright,
// rad per rad: twist ≈ PerLean·lean + PerNod·nod. Most is the gain of the
// direction that twists it most, arm depth over pin distance.
type TwistGain struct {
	PerLean, PerNod, Most float64
}

// SolveTorso computes a model's torso, compiled by NewTorso, over the repeat; nil
// when the model has none. Bound says that the repeat is too long to follow;
// speed is the motor's, rad/s, for the inertia at contacts.
func SolveTorso(m *mech.Model, t *Torso, bound bool, speed float64) *TorsoResult {
	return solveTorso(m, t, bound, speed, torsoAccelerations)
}

// SolveTorsoPlaces is SolveTorso with no need of speeds, accelerations and what
// follows from them, which may be zero.
func SolveTorsoPlaces(m *mech.Model, t *Torso, bound bool, speed float64) *TorsoResult {
	return solveTorso(m, t, bound, speed, torsoPlaces)
}

// solveTorso solves for the quantities up to an order.
func solveTorso(m *mech.Model, t *Torso, bound bool, speed float64, order int) *TorsoResult {
	if m.Torso == nil {
		return nil
	}
	r := &TorsoResult{Status: t.Status, FailsAt: -1, Torso: t, Points: make([]TorsoPointResult, len(m.Torso.Points))}
	if t.pin2 > 0 {
		r.Gain = TwistGain{PerLean: -t.pinY * t.arm / t.pin2, PerNod: t.pinX * t.arm / t.pin2, Most: t.arm / math.Sqrt(t.pin2)}
	}
	for i := range t.pushes {
		p := &t.pushes[i]
		r.Pushes[i].Plate = p.plate(m)
		r.Pushes[i].CamUnsolved = p.cam != nil && p.cam.Status != CamSolved
	}
	if t.Status != TorsoPosed && t.Status != TorsoPushNotDriven {
		return r
	}
	f := newTorsoField(t, m, speed)
	f.useTravels()
	if f.plane != nil { // otherwise one search may serve all orders
		f.all = slices.DeleteFunc(f.all, func(q torsoQuantity) bool { return q.kind.order() > order })
	}
	extents := f.searchExtents(bound)
	for i, q := range f.all {
		r.take(q, extents[i])
	}
	for i := range r.Pushes {
		p := &r.Pushes[i]
		if m.Torso.Pushes[i].Kind == mech.Yoke && p.Across.Valid {
			p.SlotLength = p.Across.Max.Value - p.Across.Min.Value + m.Torso.ShaftDiameter/math.Cos(r.Tilt.Value)
		}
	}
	if t.yokes {
		a, b := &t.pushes[0], &t.pushes[1]
		r.PushAngle = Extreme{Value: math.Asin(min(1, math.Abs(a.alongX*b.alongY-a.alongY*b.alongX)))}
	}
	if f.outOfReach {
		r.Status = TorsoOutOfReach
		r.FailsAt = t.firstOutOfReach()
		t.measureRods(r)
	}
	return r
}

// take stores one quantity's extent where it belongs.
func (r *TorsoResult) take(q torsoQuantity, e Extent) {
	e.Min.Value, e.Max.Value = q.kind.finish(e.Min.Value), q.kind.finish(e.Max.Value)
	if !e.Valid {
		e = Extent{}
	}
	switch q.kind {
	case torsoLean:
		r.Lean, r.Posed = e, e.Valid
	case torsoNod:
		r.Nod = e
	case torsoIncline:
		r.Tilt = e.Max
	case torsoTwist:
		r.Twist = e
	case torsoSlot:
		r.Slot = e
	case torsoTurning:
		r.Turning = e.Max
	case torsoWrench:
		r.TurningRise = e.Max
	case torsoSquare:
		r.PushAngle = e.Min
	case torsoPress:
		r.Pushes[q.index].Press, r.Pushes[q.index].PressKnown = e.Min, e.Valid
	case torsoAlong:
		r.Pushes[q.index].Along = e
	case torsoAcross:
		r.Pushes[q.index].Across = e
	case torsoReach:
		widenOpening(&r.Opening.Circle, e.Max)
	case torsoHalfWidth:
		widenOpening(&r.Opening.Width, e.Max)
	case torsoHalfDepth:
		widenOpening(&r.Opening.Depth, e.Max)
	case torsoClear:
		if e.Valid {
			r.Clearances = append(r.Clearances, Clearance{q.index, q.other, e.Min})
		}
	default:
		r.Points[q.index].take(q.kind, e)
	}
}

// widenOpening makes an opening's size at least twice a reach.
func widenOpening(size *Extreme, reach Extreme) {
	if reach.Value *= 2; reach.Value > size.Value {
		*size = reach
	}
}

func (p *TorsoPointResult) take(kind torsoKind, e Extent) {
	switch kind {
	case torsoX:
		p.X = e
	case torsoY:
		p.Y = e
	case torsoZ:
		p.Z = e
	case torsoSpeed:
		p.Speed = e.Max
	case torsoSurge:
		p.Acceleration = e.Max
	}
}

// plate returns the length of a yoke's plate from follower to slot. The
// follower stands d + lift along the heading from the cam's axis, the slot
// lift − plumb from the torso's axis, so their distance is the same at every
// lift: −A·heading − d − plumb.
func (p *torsoPush) plate(m *mech.Model) mech.Given {
	if p.kind != mech.Yoke || p.cam == nil || p.cam.Status != CamSolved || p.ratio != 1 {
		return mech.Given{}
	}
	f := p.cam.cam.Follower
	if f == nil || f.Path != mech.Straight {
		return mech.Given{}
	}
	shaft := &m.Shafts[p.cam.cam.Shaft]
	sin, cos := math.Sincos(f.Heading)
	way := shaft.View.Stage(r2.Vec{X: cos, Y: sin}, 0)
	if p.alongX*way.X+p.alongY*way.Y < 1-1e-9 {
		return mech.Given{}
	}
	reach := p.cam.d
	if f.Kind == mech.Flat {
		reach = p.cam.PrimeRadius()
	}
	return mech.Given{Value: -r2.Dot(shaft.At, r2.Vec{X: cos, Y: sin}) - reach - p.plumb, OK: true}
}

// measureRods notes how long rods would have to be where the torso fails.
func (t *Torso) measureRods(r *TorsoResult) {
	if r.FailsAt < 0 {
		return
	}
	var x [2]float64
	for i, a := range t.orbit.Axes {
		x[i] = a.angle(r.FailsAt)
	}
	var s [2]pushState
	t.drive(x[:len(t.orbit.Axes)], &s, 0)
	for i := range t.pushes {
		if p := &t.pushes[i]; p.kind == mech.Rod {
			v, _ := p.rodRow(&s[i], 0, 0)
			r.Pushes[i].RodReach = mech.Given{Value: v.length, OK: true}
		}
	}
}

// firstOutOfReach walks the path until there is no pose, and closes in on the
// turn from which there is none.
func (t *Torso) firstOutOfReach() float64 {
	fastest, samples := 0.0, torsoSamples
	for i, a := range t.orbit.Axes {
		fastest = max(fastest, math.Abs(a.Ratio.Float()))
		samples = max(samples, t.orbit.Axes[i].Samples)
	}
	var po TorsoPose
	reached := func(turns float64) bool {
		t.Pose(turns, &po)
		return po.Status == TorsoPosed
	}
	if !reached(0) {
		return 0
	}
	if fastest == 0 {
		return -1
	}
	step := 1 / (fastest * float64(samples))
	for i := range orbitMaxWindings * samples {
		low, high := float64(i)*step, float64(i+1)*step
		if reached(high) {
			continue
		}
		for range 60 {
			if mid := (low + high) / 2; reached(mid) {
				low = mid
			} else {
				high = mid
			}
		}
		return high
	}
	return -1
}
