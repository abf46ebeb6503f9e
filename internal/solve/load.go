package solve

import (
	"math"

	"understage/internal/mech"
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
	axes   []loadAxis
	lift   []Lift // by cam, where its axis stands
	torso  *Torso
	body   *torsoLoad
	driven [2]pushState // by the torso's axes as they stand
	pose   TorsoPose
	motion torsoMotion // of the pose
	posed  bool        // the pose is that of the axes as they stand
	place  []int       // torso's axes, into Shafts
	chains []loadChain
	groups []loadGroup
	common []loadStep // of the train, that carry the torque of more than one group
	steps  int        // of the groups' tables; 0: there are none
	rest   bool
	free   bool // without the torso's friction
	speed  float64
	locked string // path of the first part found locked by friction

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
	at    []float64    // the angles it was posed at; NaN at first
	posed bool         // it could be posed there
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
	l.layAxes()
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

// layAxes notes what each axis turns.
func (l *Load) layAxes() {
	l.axes, l.lift = make([]loadAxis, len(l.Shafts)), make([]Lift, len(l.cams))
	for i := range l.axes {
		l.axes[i].at = math.NaN()
	}
	for _, i := range l.loaded {
		a := &l.axes[l.axis[l.m.Cams[i].Shaft]]
		a.cams = append(a.cams, i)
	}
	if l.torso == nil {
		return
	}
	for i := range l.torso.pushes {
		a := &l.axes[l.place[l.torso.pushes[i].axis]]
		a.pushes = append(a.pushes, i)
	}
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
	l.clear()
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

// clear forgets the torques and pushes last found.
func (l *Load) clear() {
	clear(l.torque)
	clear(l.push)
	clear(l.drag)
}

// Shares returns the parts of the torque last found.
func (l *Load) Shares() LoadShares { return l.shares }

func (l *Load) angles(x []float64, place []int) []float64 {
	for k, at := range place {
		l.x[k] = x[at]
	}
	return l.x[:len(place)]
}
