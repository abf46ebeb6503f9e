package solve

import (
	"slices"

	"understage/internal/mech"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// The loads at one set of angles. What depends on one shaft alone is found when
// that shaft turns, and what depends on the angles alone when a part is posed:
// sliding and at rest, forces are found from one pose.

// ask adds what a group asks for to the shafts' torques; false where the figure
// cannot be posed.
func (l *Load) ask(g *loadGroup, x []float64) bool {
	for _, axis := range g.axes {
		l.turn(axis, x[axis])
	}
	if g.torso && !l.atTorso() {
		return false
	}
	for _, i := range g.chain {
		if !l.atChain(&l.chains[i], x) {
			return false
		}
	}
	for _, i := range g.cams {
		l.atCam(i)
	}
	return true
}

// loadAxis is an axis as it stands.
type loadAxis struct {
	at     float64 // NaN until it has been turned
	cams   []int   // on it, that carry anything
	pushes []int   // of the torso, driven by it
	kinks  []float64
}

// turn turns an axis to an angle and finds what follows from that alone.
func (l *Load) turn(axis int, at float64) {
	a := &l.axes[axis]
	if a.at == at {
		return
	}
	a.at = at
	for _, i := range a.cams {
		l.lift[i] = l.cams[i].Lift(at + l.m.Cams[i].Phase)
	}
	for _, i := range a.pushes {
		l.posed = false
		if p := &l.torso.pushes[i]; p.kind == mech.Yoke {
			p.travel(l.lift[l.m.Torso.Pushes[i].Cam], &l.driven[i])
			continue
		}
		l.torso.driveOne(i, at, &l.driven[i], 2)
	}
}

// poseTorso poses the torso with the axes as they stand and places its contacts.
func (l *Load) poseTorso() {
	if l.posed {
		return
	}
	l.posed = true
	l.torso.poseDriven(&l.driven, &l.pose, 2)
	if l.pose.Status != TorsoPosed {
		return
	}
	po := &l.pose
	l.motion = torsoMotion{
		x: po.Turn(r3.Vec{X: 1}), y: po.Turn(r3.Vec{Y: 1}), z: po.axis,
		omega: po.omega, alpha: po.alpha,
	}
	for i := range l.torso.pushes {
		l.placePush(i, &l.motion)
	}
	l.body.placeGuide(&l.motion)
	l.body.settle()
}

// atTorso finds the torso's forces and passes them to cams and cranks.
func (l *Load) atTorso() bool {
	l.poseTorso()
	if l.pose.Status != TorsoPosed {
		return false
	}
	if l.free {
		return l.atFreeTorso()
	}
	if state := l.body.solve(&l.motion, l.speed, l.rest); state != loadSolved {
		l.note(state, "torso")
		return false
	}
	l.shares[LoadPivot] += l.body.lost
	l.shares[LoadGuide] += l.body.contacts[2].lost
	for i := range l.torso.pushes {
		p := &l.m.Torso.Pushes[i]
		l.shares[LoadTorso] += l.body.freeWork(i)
		l.shares[LoadYokes] += l.body.contacts[i].lost
		switch p.Kind {
		case mech.Yoke:
			push := l.body.pushForce(i)
			l.push[p.Cam] += push * p.Ratio
			l.drag[p.Cam] += (push - l.body.freePush(i)) * p.Ratio
		case mech.Edge:
			l.torque[l.m.Cams[p.Cam].Shaft] += l.body.work(i) / l.torso.pushes[i].rate
		case mech.Rod:
			l.torque[p.Crank.Shaft] += l.body.work(i) / l.torso.pushes[i].rate
		}
	}
	return true
}

// atFreeTorso finds what a torso without friction presses on cams by yokes.
func (l *Load) atFreeTorso() bool {
	if !l.body.held {
		return false
	}
	l.body.solveFree(&l.motion, l.speed)
	for i := range l.torso.pushes {
		if p := &l.m.Torso.Pushes[i]; p.Kind == mech.Yoke {
			l.push[p.Cam] += l.body.freePush(i) * p.Ratio
		}
	}
	return true
}

// placePush sets the contact of one push.
func (l *Load) placePush(i int, b *torsoMotion) {
	p, s := &l.torso.pushes[i], &l.driven[i]
	switch p.kind {
	case mech.Yoke:
		l.body.placeYoke(i, b, s.e1)
	case mech.Edge:
		_, _, row := p.edgeRow(s, l.pose.p, l.pose.q)
		normal := r2.Scale(-1/p.depth, r2.Vec{X: row.fp, Y: row.fq})
		l.body.placeEdge(i, b, normal, r2.Vec{X: p.atX, Y: p.atY}, p.sense*p.rate)
	case mech.Rod:
		pin := r3.Vec{X: s.x, Y: s.y, Z: -p.pinDepth}
		l.body.placeRod(i, b, pin, r3.Vec{X: s.x1, Y: s.y1})
	}
}

// note remembers the first part that friction locks.
func (l *Load) note(state loadState, part string) {
	if state == loadLocked && l.locked == "" {
		l.locked = part
	}
}

// atChain finds a linkage's forces and passes them to cams and cranks.
func (l *Load) atChain(c *loadChain, x []float64) bool {
	l.poseChain(c, x)
	if !c.posed {
		return false
	}
	if state := c.force.solve(l.speed, l.rest); state != loadSolved {
		l.note(state, "linkages."+l.m.Linkages[c.index].Name)
		return false
	}
	l.shares[LoadPins] += c.force.lost(l.rest)
	for _, s := range c.steps {
		l.shares[LoadLinkages] += c.force.free[s.pin]
		if s.kind == stepCrank {
			l.torque[c.chain.Shafts[s.axis]] += c.force.work(s.pin) / s.rate
			continue
		}
		l.push[l.m.Linkages[c.index].Pins[s.pin].Cam] += c.force.against(s)
	}
	return true
}

// poseChain poses a linkage unless it stands there already.
func (l *Load) poseChain(c *loadChain, x []float64) {
	y := l.angles(x, c.place)
	if slices.Equal(c.at, y) {
		return
	}
	copy(c.at, y)
	if c.posed = c.chain.Solve(y, c.pose) && !c.pose.Singular; c.posed {
		c.force.place(c.pose.Pins)
	}
}

// against returns what presses on a follower's pin against its lift: N, or N·mm
// for a swinging follower.
func (c *chainLoad) against(s *chainStep) float64 {
	if !s.swings {
		return -r2.Dot(c.held[s.pin], s.along)
	}
	r := r2.Sub(c.pins[s.pin].Pos, s.k)
	return -s.sense * (r2.Dot(c.held[s.pin], perpendicular(r)) + c.heldCouple[s.pin])
}

// atCam finds a cam's torque under its own load and what presses from outside.
func (l *Load) atCam(i int) {
	cam := &l.m.Cams[i]
	rate := l.train.rate[cam.Shaft]
	w := l.cams[i].work(l.lift[i], l.speed*rate, l.push[i], l.rest)
	l.along[i], l.way[i] = w.along-l.drag[i]/l.cams[i].load.lever, w.way*rate
	l.torque[cam.Shaft] += w.torque
	l.shares[LoadFollowers] += w.own * rate
	l.shares[LoadCams] += w.friction * rate
}
