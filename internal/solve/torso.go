package solve

import (
	"math"

	"understage/internal/geom"
	"understage/internal/mech"

	"gonum.org/v1/gonum/spatial/r3"
)

// The torso hangs at its pivot P = (0, 0, h) and turns about it by the rotation
// R, body to stage. Its shaft axis points along a = R·ẑ. With
//
//	p = R13/R33 = tan(lean),  q = R23/R33 = tan(nod),  w = √(1 + p² + q²) = 1/cos(tilt)
//
// the axis is a = (p, q, 1)/w and crosses the level d below the pivot at
// c = P − d·(p, q, 1). R is the smallest turn that tilts the axis there, after
// the twist ψ about the shaft: R = S(a)·Rz(ψ). The two pushes involve the axis
// only, so they give p and q; the guide then gives ψ in closed form.
//
//	yoke   −d·(p, q)·along = ratio·(lift − plumb)
//	edge   |c − A| = prime radius + lift(φ ∓ δ), A the cam's axis, δ the angle from
//	       the heading to c as seen from A; − on a counter-clockwise cam
//	rod    |P − d·a − k| = length, k the crank pin
//	guide  the pin (X, Y) meets the plane z = −D of the body at the place
//	       g = (X, Y) + (p, q)·(D + m/(w + 1)),  m = pX + qY,  ψ short of the body,
//	       so ψ is the angle from (X, Y) to g and |g| the distance along the slot
//
// All derived from the design's statement of the pose; docs/formulas-torso.md
// has the steps. Derivatives are by the motor's angle, per rad, and exact.

// TorsoStatus says whether the torso can be posed.
type TorsoStatus int

const (
	TorsoPosed         TorsoStatus = iota
	TorsoParallel                  // both pushes act along one line in plan
	TorsoGuideOnAxis               // the guide pin stands on the shaft's axis
	TorsoNotPlan                   // a cam or crank that pushes does not turn in plan
	TorsoCamUnsolved               // a cam that pushes has no motion
	TorsoPushNotDriven             // nothing turns a shaft that pushes; posed with it standing
	TorsoOutOfReach                // no pose meets both pushes at some angle
)

// Torso is a torso compiled for posing. It is read-only once made.
type Torso struct {
	// Status is TorsoPosed, TorsoPushNotDriven, or why no pose exists at any angle.
	Status TorsoStatus
	pivot  float64
	pushes [2]torsoPush
	yokes  bool       // both pushes are yokes
	level  [4]float64 // of two yokes: (p, q) from their travels, by rows
	branch float64    // sign of the pushes' determinant at the start; 0 when not posed there
	// The guide: pin X, Y, its distance squared, and the arm's depth.
	pinX, pinY, pin2, arm float64
	points                []r3.Vec
	orbit                 Orbit
	ratios                [2]Ratio // of the pushes' shafts
}

// torsoPush is one push.
type torsoPush struct {
	kind    mech.PushKind
	cam     *Cam
	carried *Cam    // Edge: the cam whose rim was carried over to cam, or nil
	axis    int     // of the orbit
	rate    float64 // turn of the shaft in its own sense per turn of the motor
	phase   float64
	depth   float64
	// Yoke: unit direction, travel per lift, lift at rest.
	alongX, alongY, ratio, plumb float64
	// Edge: the cam's axis, the heading's angle. Rod: the crank's axis.
	atX, atY, heading float64
	sense             float64 // of the cam or crank, +1 counter-clockwise
	// Rod.
	radius, pinDepth, length float64
}

// NewTorso compiles the torso of a model that has one, with the drive's ratios
// and its cams as compiled by CompileCams.
func NewTorso(m *mech.Model, d Drive, cams []*Cam) *Torso {
	spec := m.Torso
	t := &Torso{pivot: spec.Pivot, pinX: spec.Guide.Pin.X, pinY: spec.Guide.Pin.Y, arm: spec.Guide.Depth}
	t.pin2 = t.pinX*t.pinX + t.pinY*t.pinY
	for _, p := range spec.Points {
		t.points = append(t.points, p.At)
	}
	t.yokes = true
	var shafts []int
	for i := range spec.Pushes {
		shaft := t.compilePush(m, d, cams, i)
		axis := 0
		for axis < len(shafts) && shafts[axis] != shaft {
			axis++
		}
		if axis == len(shafts) {
			shafts = append(shafts, shaft)
			t.orbit.Axes = append(t.orbit.Axes, OrbitAxis{Ratio: t.ratios[i]})
		}
		t.pushes[i].axis = axis
		t.yokes = t.yokes && t.pushes[i].kind == mech.Yoke
	}
	t.orbit = t.orbitFor(torsoAccelerations)
	t.settle()
	return t
}

// compilePush fills one push and returns its shaft.
func (t *Torso) compilePush(m *mech.Model, d Drive, cams []*Cam, i int) int {
	spec := &m.Torso.Pushes[i]
	p := &t.pushes[i]
	p.kind, p.depth = spec.Kind, spec.Depth
	shaft := spec.Crank.Shaft
	if spec.Kind == mech.Rod {
		p.phase = spec.Crank.Phase
		p.radius, p.pinDepth, p.length = spec.Crank.Radius, spec.PinDepth, spec.Length
		p.sense = d.Sign(m, shaft)
	} else {
		p.cam = cams[spec.Cam]
		shaft = m.Cams[spec.Cam].Shaft
		p.phase = m.Cams[spec.Cam].Phase
		p.sense = p.cam.Sense()
		if p.cam.Status != CamSolved {
			t.fail(TorsoCamUnsolved)
		}
	}
	p.alongX, p.alongY, p.ratio, p.plumb = spec.Along.X, spec.Along.Y, spec.Ratio, spec.Plumb
	p.atX, p.atY = m.Shafts[shaft].At.X, m.Shafts[shaft].At.Y
	p.heading = math.Atan2(-p.atY, -p.atX)
	if spec.Kind == mech.Edge {
		own := p.cam
		if p.cam, p.heading = edgeCam(own, m.Torso.ShaftDiameter/2, p.heading); p.cam != own {
			p.carried = own
		}
		if p.cam.Status != CamSolved {
			t.fail(TorsoCamUnsolved)
		}
	}
	if spec.Kind != mech.Yoke && m.Shafts[shaft].View != geom.Plan {
		t.fail(TorsoNotPlan)
	}
	t.ratios[i] = d.Ratios[shaft]
	p.rate = math.Abs(t.ratios[i].Float())
	if !t.ratios[i].Driven() {
		t.fail(TorsoPushNotDriven)
	}
	return shaft
}

// fail keeps the first reason that matters: standing still is the least.
func (t *Torso) fail(s TorsoStatus) {
	if t.Status == TorsoPosed || t.Status == TorsoPushNotDriven {
		t.Status = s
	}
}

// settle finds what is the same at every angle: the inverse of two yokes'
// directions, and which of two poses the start has.
func (t *Torso) settle() {
	if t.pin2 == 0 {
		t.fail(TorsoGuideOnAxis)
	}
	if t.yokes {
		a, b := &t.pushes[0], &t.pushes[1]
		det := a.depth * b.depth * (a.alongX*b.alongY - a.alongY*b.alongX)
		if math.Abs(det) < 1e-9*a.depth*b.depth {
			t.fail(TorsoParallel)
			return
		}
		t.level = [4]float64{
			-b.depth * b.alongY / det, a.depth * a.alongY / det,
			b.depth * b.alongX / det, -a.depth * a.alongX / det,
		}
		return
	}
	if t.Status != TorsoPosed && t.Status != TorsoPushNotDriven {
		return
	}
	var start [2]pushState
	t.drive(make([]float64, len(t.orbit.Axes)), &start, 0)
	if s, ok := t.newton(&start, 0, 0); ok {
		t.branch = math.Copysign(1, s.det)
		return
	}
	t.settleElsewhere(&start)
}

// settleElsewhere takes the branch from the first angles that have a pose, for
// a torso that has none at the start.
func (t *Torso) settleElsewhere(s *[2]pushState) {
	const steps = 16
	x := make([]float64, len(t.orbit.Axes))
	for k := range steps * steps {
		x[0] = 2 * math.Pi * float64(k%steps) / steps
		if len(x) > 1 {
			x[1] = 2 * math.Pi * float64(k/steps) / steps
		}
		t.drive(x, s, 0)
		if r, ok := t.newton(s, 0, 0); ok {
			t.branch = math.Copysign(1, r.det)
			return
		}
	}
}

// Orbit returns the shafts whose angles the pose depends on, with the angles at
// which a cam's motion has a joint.
func (t *Torso) Orbit() Orbit { return t.orbit }
