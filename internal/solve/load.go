package solve

import (
	"math"

	"understage/internal/mech"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// The torque that the figure asks of its motor. Contact and friction forces
// come first: the torso's on its pushes and guide, the linkages' on cranks and
// followers, then each cam's own with what pushes on its follower; the shafts'
// torques last, gathered through belts and gears.

// LoadPart is one reason why the motor must give torque.
type LoadPart int

const (
	LoadTorso     LoadPart = iota // weight and inertia of the torso
	LoadLinkages                  // weight and inertia of bars and plates
	LoadFollowers                 // springs, weight and inertia of followers
	LoadCams                      // friction of cams and follower guides
	LoadYokes                     // friction of yokes and edges on the torso's shaft
	LoadPivot                     // friction of the torso's pivot
	LoadGuide                     // friction of the guide pin
	LoadPins                      // friction of linkage pins, slides and slots
	LoadDrive                     // losses of belts and gears
	loadPartCount = iota
)

var loadParts = [loadPartCount]string{
	"torso", "linkages", "followers", "cam friction", "yoke friction",
	"pivot friction", "guide friction", "pin friction", "belts and gears",
}

// String returns the part's name in tables.
func (p LoadPart) String() string { return loadParts[p] }

// LoadShares is the torque at the motor, N·mm, by part.
type LoadShares [loadPartCount]float64

// LoadGap is something about the loads that the spec leaves out.
type LoadGap struct {
	Where   string // path of the part
	What    string // the key that is missing
	Assumed bool   // a stated figure stands in; otherwise it counts as nothing
}

// Load is a figure ready to have its torque found at any angles. Each user
// needs one of its own: it holds room to work in.
type Load struct {
	// Orbit has one axis for each shaft in Shafts.
	Orbit  Orbit
	Shafts []int
	Gaps   []LoadGap
	// Known says that at least one thing that weighs or presses is given.
	Known bool

	m      *mech.Model
	train  loadTrain
	cams   []*Cam
	axis   []int // by shaft, into Shafts; None
	loaded []int // cams that carry anything
	torso  *Torso
	body   *torsoLoad
	pose   TorsoPose
	motion torsoMotion // of the pose
	place  []int       // torso's axes, into Shafts
	chains []loadChain
	groups []loadGroup
	// tabulated says that every group has its table.
	tabulated bool
	rest      bool
	speed     float64
	locked    string // path of the first part found locked by friction

	x      []float64 // room: angles for torso and chains
	torque []float64 // by shaft
	still  []float64 // the same, starting from rest
	push   []float64 // by cam: what presses on its follower from outside, along the lift
	along  []float64 // by cam: what presses its follower down in all but the torso's friction, N
	drag   []float64 // by cam: what the torso's friction adds to push
	way    []float64 // by cam: its follower's way per radian of motor turn, mm
	shares LoadShares
}

// loadChain is a linkage with its forces.
type loadChain struct {
	index int // of the linkage
	chain *Chain
	pose  *ChainPose
	force *chainLoad
	place []int
	steps []*chainStep // of the driven pins
}

// NewLoad compiles the loads of a machine that has a motor and whose drive does
// not lock.
func NewLoad(k *Machine) *Load {
	m, d, cams := k.Model, &k.Drive, k.Cams
	l := &Load{
		m: m, train: newLoadTrain(m, d), cams: cams,
		axis: make([]int, len(m.Shafts)), torque: make([]float64, len(m.Shafts)), push: make([]float64, len(cams)), along: make([]float64, len(cams)), drag: make([]float64, len(cams)), way: make([]float64, len(cams)),
		still: make([]float64, len(m.Shafts)), x: make([]float64, len(m.Shafts)),
	}
	for i := range l.axis {
		l.axis[i] = mech.None
	}
	carries := make([]bool, len(cams))
	l.addTorso(k.Torso, carries)
	for i, c := range k.Chains {
		l.addChain(i, c, carries)
	}
	for i := range cams {
		l.addCam(i, d, carries[i])
	}
	for i := range l.Orbit.Axes {
		l.Orbit.Axes[i].Ratio = d.Ratios[l.Shafts[i]]
		l.Orbit.Axes[i].Samples = max(l.Orbit.Axes[i].Samples, loadSamples)
	}
	l.group()
	l.Gaps = gapsFirst(l.Gaps)
	return l
}

// loadSamples is the least number of angles of a shaft's turn looked at:
// friction doubles the ripples of the motion, since it does not change sign.
const loadSamples = 24

// useShaft returns the axis of a shaft, a new one if need be.
func (l *Load) useShaft(shaft int) int {
	if l.axis[shaft] == mech.None {
		l.axis[shaft] = len(l.Shafts)
		l.Shafts = append(l.Shafts, shaft)
		l.Orbit.Axes = append(l.Orbit.Axes, OrbitAxis{})
	}
	return l.axis[shaft]
}

// Set chooses what At answers for: the motor turning at a speed, rad/s, with
// sliding friction and inertia; or, with rest, standing and about to turn, with
// breakaway friction.
func (l *Load) Set(speed float64, rest bool) {
	l.speed, l.rest = speed, rest
	if rest {
		l.speed = 0
	}
}

// At returns the torque that the motor must give, N·mm, with the shafts turned
// by the angles x since motor turn 0, parallel to Shafts; NaN where the figure
// cannot be posed. Negative torque is what the figure would give back. It does
// not allocate.
func (l *Load) At(x []float64) float64 {
	l.shares = LoadShares{}
	clear(l.torque)
	clear(l.push)
	clear(l.drag)
	for i := range l.groups {
		if !l.ask(&l.groups[i], x) {
			return math.NaN()
		}
	}
	sum := 0.0
	for shaft, rate := range l.train.rate {
		sum += l.torque[shaft] * rate
	}
	total := l.train.motorTorque(l.torque)
	l.shares[LoadDrive] = total - sum
	return total
}

// Shares returns the parts of the torque last found.
func (l *Load) Shares() LoadShares { return l.shares }

func (l *Load) angles(x []float64, place []int) []float64 {
	for k, at := range place {
		l.x[k] = x[at]
	}
	return l.x[:len(place)]
}

// atTorso finds the torso's forces and passes them to cams and cranks.
func (l *Load) atTorso(x []float64) bool {
	l.torso.PoseAt(l.angles(x, l.place), &l.pose, 2)
	if l.pose.Status != TorsoPosed {
		return false
	}
	po := &l.pose
	l.motion = torsoMotion{
		x: po.Turn(r3.Vec{X: 1}), y: po.Turn(r3.Vec{Y: 1}), z: po.axis,
		omega: po.omega, alpha: po.alpha,
	}
	for i := range l.torso.pushes {
		l.placePush(i, &l.motion, x)
	}
	l.body.placeGuide(&l.motion)
	if state := l.body.solve(&l.motion, l.speed, l.rest, l.torsoWeight); state != loadSolved {
		l.note(state, "torso")
		return false
	}
	l.shares[LoadPivot] += l.body.lost
	l.shares[LoadGuide] += l.body.contacts[2].lost
	for i := range l.torso.pushes {
		p := &l.m.Torso.Pushes[i]
		l.shares[LoadYokes] += l.body.contacts[i].lost
		switch p.Kind {
		case mech.Yoke:
			l.push[p.Cam] += l.body.pushForce(i) * p.Ratio
			l.drag[p.Cam] += l.body.pushForce(i) * p.Ratio
		case mech.Edge:
			l.torque[l.m.Cams[p.Cam].Shaft] += l.body.work(i) / l.torso.pushes[i].rate
		case mech.Rod:
			l.torque[p.Crank.Shaft] += l.body.work(i) / l.torso.pushes[i].rate
		}
	}
	return true
}

// torsoWeight books what the torso asks for without friction.
func (l *Load) torsoWeight() {
	for i := range l.torso.pushes {
		l.shares[LoadTorso] += l.body.work(i)
		if p := &l.m.Torso.Pushes[i]; p.Kind == mech.Yoke {
			l.drag[p.Cam] -= l.body.pushForce(i) * p.Ratio
		}
	}
}

// placePush sets the contact of one push.
func (l *Load) placePush(i int, b *torsoMotion, x []float64) {
	p := &l.torso.pushes[i]
	turn := x[l.place[p.axis]]
	switch p.kind {
	case mech.Yoke:
		l.body.placeYoke(i, b, p.ratio*p.cam.Lift(turn+p.phase).V*p.rate)
	case mech.Edge:
		s := pushState{phi: turn + p.phase}
		_, _, row := p.edgeRow(&s, l.pose.p, l.pose.q)
		normal := r2.Scale(-1/p.depth, r2.Vec{X: row.fp, Y: row.fq})
		l.body.placeEdge(i, b, normal, r2.Vec{X: p.atX, Y: p.atY}, p.sense*p.rate)
	case mech.Rod:
		sin, cos := math.Sincos(p.phase + p.sense*turn)
		arm := r3.Vec{X: p.radius * cos, Y: p.radius * sin}
		pin := r3.Vec{X: p.atX + arm.X, Y: p.atY + arm.Y, Z: -p.pinDepth}
		l.body.placeRod(i, b, pin, r3.Scale(p.sense*p.rate, r3.Vec{X: -arm.Y, Y: arm.X}))
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
	if !c.chain.Solve(l.angles(x, c.place), c.pose) || c.pose.Singular {
		return false
	}
	pins := c.pose.Pins
	state := c.force.solve(pins, l.speed, l.rest, func() {
		for _, s := range c.steps {
			l.shares[LoadLinkages] += c.force.work(pins, s.pin)
		}
	})
	if state != loadSolved {
		l.note(state, "linkages."+l.m.Linkages[c.index].Name)
		return false
	}
	l.shares[LoadPins] += c.force.lost(pins, l.rest)
	for _, s := range c.steps {
		if s.kind == stepCrank {
			l.torque[c.chain.Shafts[s.axis]] += c.force.work(pins, s.pin) / s.rate
			continue
		}
		l.push[l.m.Linkages[c.index].Pins[s.pin].Cam] += c.force.against(pins, s)
	}
	return true
}

// against returns what presses on a follower's pin against its lift: N, or N·mm
// for a swinging follower.
func (c *chainLoad) against(pins []PinMotion, s *chainStep) float64 {
	if !s.swings {
		return -r2.Dot(c.held[s.pin], s.along)
	}
	r := r2.Sub(pins[s.pin].Pos, s.k)
	return -s.sense * (r2.Dot(c.held[s.pin], perpendicular(r)) + c.heldCouple[s.pin])
}

// atCam finds a cam's torque under its own load and what presses from outside.
func (l *Load) atCam(i int, x []float64) {
	cam := &l.m.Cams[i]
	rate := l.train.rate[cam.Shaft]
	w := l.cams[i].work(x[l.axis[cam.Shaft]]+cam.Phase, l.speed*rate, l.push[i], l.rest)
	l.along[i], l.way[i] = w.along-l.drag[i]/l.cams[i].load.lever, w.way*rate
	l.torque[cam.Shaft] += w.torque
	l.shares[LoadFollowers] += w.own * rate
	l.shares[LoadCams] += w.friction * rate
}
