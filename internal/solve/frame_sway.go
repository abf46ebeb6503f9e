package solve

import (
	"math"

	"understage/internal/mech"

	"gonum.org/v1/gonum/spatial/r3"
)

// sway is how far a quantity may fall and rise from where it is, neither negative.
type sway struct{ down, up float64 }

// times returns the sway of a multiple of the quantity.
func (w sway) times(k float64) sway {
	if k < 0 {
		return sway{-k * w.up, -k * w.down}
	}
	return sway{k * w.down, k * w.up}
}

func (w sway) plus(v sway) sway { return sway{w.down + v.down, w.up + v.up} }

// most returns how far the quantity may change.
func (w sway) most() float64 { return max(w.down, w.up) }

// camSway bounds how far a cam's lift may change.
type camSway struct {
	cam                    *Cam
	velocity, acceleration float64      // the greatest between jumps
	jumps                  []CamJump    // of the lift or its velocity
	rests                  [][2]float64 // stretches of φ over which the follower rests
}

// camSway returns the bounds of a cam's lift.
func (b *frameBuild) camSway(cam int) camSway {
	r := &b.results[cam]
	most := func(e CamExtent) float64 { return max(-e.Min.Value, e.Max.Value) }
	w := camSway{cam: b.cams[cam], velocity: most(r.Velocity), acceleration: most(r.Acceleration)}
	for _, j := range r.Jumps {
		if j.Step <= VelocityStep {
			w.jumps = append(w.jumps, j)
		}
	}
	if w.cam.source == camFromPieces {
		for i, p := range w.cam.pieces {
			if p.form == camCubic && p.c[1] == 0 && p.c[2] == 0 && p.c[3] == 0 {
				w.rests = append(w.rests, [2]float64{w.cam.spans[i].from, w.cam.spanEnd(i)})
			}
		}
	}
	return w
}

// of returns how the lift may change within a turn of reach from φ: by no more than
// its greatest velocity and acceleration let it, and not beyond its extremes.
func (w *camSway) of(phi float64, l *Lift, reach float64) sway {
	by := min(w.velocity*reach, (math.Abs(l.V)+w.acceleration*reach/2)*reach)
	for _, j := range w.jumps {
		switch near := math.Abs(math.Remainder(phi-j.Angle, 2*math.Pi)) <= reach+camJoint; {
		case near && j.Step == LiftStep:
			by = math.Inf(1)
		case near:
			by = max(by, w.velocity*reach)
		}
	}
	if len(w.rests) > 0 {
		phi = w.cam.wrap(phi)
		for _, r := range w.rests {
			if phi-reach >= r[0] && phi+reach <= r[1] {
				return sway{}
			}
		}
	}
	lift := w.cam.LiftRange()
	return sway{min(by, max(l.S-lift.Min.Value, 0)), min(by, max(lift.Max.Value-l.S, 0))}
}

// torsoState is the torso as its mover last set it.
type torsoState struct {
	torso  *Torso
	driven [2]pushState
	pose   TorsoPose
	// Of a torso pushed by two yokes: its cams as they stand and how their lifts may
	// change, and what follows from it.
	sways [2]camSway
	phi   [2]float64
	lifts [2]Lift
	p, q  sway
	tilt  float64 // by how much (p, q) may change together
	swing float64 // by how much the shaft's direction may turn, rad, and the body with it
	twist float64 // by how much the body may turn about the shaft besides, rad
}

// newTorsoState returns a state of its own for one mover.
func (b *frameBuild) newTorsoState(torso *Torso) *torsoState {
	t := &torsoState{torso: torso}
	for i, push := range b.m.Torso.Pushes {
		if push.Kind == mech.Yoke {
			t.sways[i] = b.camSway(push.Cam)
		}
	}
	return t
}

func (t *torsoState) set(x []float64) bool {
	k := t.torso
	if k.yokes { // what they need of the cams' lifts, which strays needs too
		for i := range t.driven {
			p := &k.pushes[i]
			t.phi[i] = x[p.axis] + p.phase
			t.lifts[i] = p.cam.Lift(t.phi[i])
			t.driven[i].e = p.ratio * (t.lifts[i].S - p.plumb)
		}
	} else {
		k.drive(x, &t.driven, 0)
	}
	k.poseDriven(&t.driven, &t.pose, 0)
	return t.pose.Posed()
}

// at returns the stage place of a point given from the pivot, figure upright.
func (t *torsoState) at(p r3.Vec) r3.Vec { return t.torso.Point(&t.pose, p) }

// strays notes how far the torso may stray from its pose while its shafts turn by
// no more than reach either way.
//
// Two yokes push (p, q) by a matrix times their travels. With ρ the greatest
// length of (p, q) within reach and w = √(1 + ρ²), the shaft's direction
// (p, q, 1)/w turns by no more than (p, q) changes; the smallest turn that brings
// the shaft there turns the body by no more than √(2w/(w + 1)) times that
// (TorsoPose.turnRates: |ω| = |ȧ|·√(2/(1 + a_z))). The twist is the angle of the
// guide's g = (X, Y) + (p, q)·k, k = D + m/(w + 1) with |m| ≤ ρ·|(X, Y)|, whose
// length is the slot's: where g changes by less than that, the twist changes by no
// more than asin(|dg|/|g|), and |dk| ≤ |(X, Y)|·(1/2 + ρ²/4)·|d(p, q)|.
func (t *torsoState) strays(reach []float64) {
	k := t.torso
	var e [2]sway
	for i := range e {
		p := &k.pushes[i]
		e[i] = t.sways[i].of(t.phi[i], &t.lifts[i], reach[p.axis]).times(p.ratio)
	}
	t.p = e[0].times(k.level[0]).plus(e[1].times(k.level[1]))
	t.q = e[0].times(k.level[2]).plus(e[1].times(k.level[3]))
	t.tilt = math.Hypot(t.p.most(), t.q.most())
	rho := math.Sqrt(t.pose.p*t.pose.p+t.pose.q*t.pose.q) + t.tilt
	w := math.Sqrt(1 + rho*rho)
	t.swing = t.tilt * math.Sqrt(2*w/(w+1))
	pin := math.Sqrt(k.pin2)
	if g := (k.arm + pin*rho/2 + rho*pin*(0.5+rho*rho/4)) * t.tilt; g < t.pose.slot {
		t.twist = math.Asin(g / t.pose.slot)
	} else {
		t.twist = math.Pi
	}
}

// strayOfShaft returns how far any place of a shaft that ends at a depth below the
// pivot may stray along a unit vector n, or any way. The end stands at −depth·a, and
// from a = (p, q, 1)/w
//
//	n·da = ((n_x − (n·a)·a_x)·dp + (n_y − (n·a)·a_y)·dq)/w
//
// where n·a, a_x and a_y change by no more than a does.
func (t *torsoState) strayOfShaft(depth, radius float64, n *r3.Vec) float64 {
	if n == nil {
		return (depth + radius) * t.tilt
	}
	a := t.pose.axis
	na := r3.Dot(*n, a)
	along := func(n, a float64, by sway) float64 {
		k, off := n-na*a, (math.Abs(na)+math.Abs(a)+t.tilt)*t.tilt
		return max((k+off)*by.down, (off-k)*by.up, 0)
	}
	return depth*(along(n.X, a.X, t.p)+along(n.Y, a.Y, t.q)) + radius*t.tilt
}

// strayOf returns how far any of the body's places may stray along a unit vector n,
// or any way. A turn by an angle moves a place by no more than twice its distance
// from the axis. With r the place from the pivot, a swing moves it along n by no more
// than its angle times |r × n|, and a twist by no more than its angle times the
// place's distance from the shaft's axis a times |n × a|.
func (t *torsoState) strayOf(places []r3.Vec, n *r3.Vec) float64 {
	swing, twist := min(t.swing, 2), min(t.twist, 2)
	lean := 1.0
	if n != nil {
		lean = min(1, spaceLength(cross3(*n, t.pose.axis))+t.tilt)
	}
	far := 0.0
	for _, p := range places {
		out, off := spaceLength(p), math.Sqrt(p.X*p.X+p.Y*p.Y)
		if n != nil {
			out = min(out, spaceLength(cross3(t.pose.Turn(p), *n))+swing*out+twist*off)
		}
		far = max(far, swing*out+twist*off*lean)
	}
	return far
}

// yokeState is a yoke of a torso's as its mover last set it.
type yokeState struct {
	torso  *Torso
	push   int
	along  r3.Vec
	sways  camSway
	phi    float64
	lift   Lift
	travel float64 // along the push, from upright
	sway   sway    // of it
}

// yokeMover returns what moves a yoke: its own push alone.
func (b *frameBuild) yokeMover(k int, torso *Torso) (*yokeState, *frameMover) {
	push := &b.m.Torso.Pushes[k]
	y := &yokeState{torso: torso, push: k, along: r3.Vec{X: push.Along.X, Y: push.Along.Y}, sways: b.camSway(push.Cam)}
	axis := torso.Orbit().Axes[torso.pushes[k].axis]
	m := newMover([]int{b.m.Cams[push.Cam].Shaft}, y.set)
	m.sway, m.resolve = y.strays, axis.Samples
	for _, x := range axis.Breaks {
		m.addBreak(0, x)
	}
	return y, m
}

func (y *yokeState) set(x []float64) bool {
	p := &y.torso.pushes[y.push]
	y.phi = x[0] + p.phase
	y.lift = p.cam.Lift(y.phi)
	y.travel = p.ratio * (y.lift.S - p.plumb)
	return true
}

func (y *yokeState) strays(reach []float64) {
	y.sway = y.sways.of(y.phi, &y.lift, reach[0]).times(y.torso.pushes[y.push].ratio)
}

func (y *yokeState) stray(way *r3.Vec) float64 { return y.sway.along(y.along, way) }

// along returns how far what moves along one unit vector may stray along another;
// any way, where that is nil.
func (w sway) along(move r3.Vec, way *r3.Vec) float64 {
	if way == nil {
		return w.most()
	}
	return w.times(r3.Dot(move, *way)).up
}
