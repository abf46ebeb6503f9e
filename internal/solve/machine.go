package solve

import (
	"math"
	"slices"

	"understage/internal/mech"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// Machine is a figure compiled for posing at any motor turn. It does not change
// once compiled and may be shared; each user needs a Pose.
type Machine struct {
	Model  *mech.Model
	Drive  Drive
	Cams   []*Cam
	Torso  *Torso   // nil without a torso
	Chains []*Chain // by linkage; nil where Faults says why one cannot be compiled
	Faults []LinkageFault
}

// Compile prepares a figure for posing.
func Compile(m *mech.Model) *Machine {
	k := &Machine{Model: m, Drive: SolveDrive(m)}
	k.Cams = CompileCams(m, k.Drive)
	if m.Torso != nil {
		k.Torso = NewTorso(m, k.Drive, k.Cams)
	}
	k.Chains, k.Faults = make([]*Chain, len(m.Linkages)), make([]LinkageFault, len(m.Linkages))
	for i := range k.Chains {
		k.Chains[i], k.Faults[i] = NewChain(m, i, &k.Drive, k.Cams)
	}
	return k
}

// Pose is where everything stands at one instant. Make one with
// Machine.NewPose; its slices belong to it.
type Pose struct {
	MotorTurns float64
	// Shafts is how far each shaft has turned, in rad, counter-clockwise in its
	// view positive, whole turns included.
	Shafts []float64
	Cams   []CamPose
	Torso  TorsoPose
	// Chains are the linkages' poses, nil where one could not be compiled, and
	// Reached says which of them close in this pose.
	Chains  []*ChainPose
	Reached []bool

	x []float64 // room for the angles of one chain's shafts
}

// CamPose is a cam at one instant.
type CamPose struct {
	Angle float64 // φ in [0, 2π)
	Lift  Lift    // by φ
	Step  Step

	NoMotion bool // see Cam.NoMotion
}

// NewPose returns room for poses of the machine.
func (k *Machine) NewPose() *Pose {
	p := &Pose{
		Shafts:  make([]float64, len(k.Drive.Ratios)),
		Cams:    make([]CamPose, len(k.Cams)),
		Chains:  make([]*ChainPose, len(k.Chains)),
		Reached: make([]bool, len(k.Chains)),
		x:       make([]float64, len(k.Drive.Ratios)),
	}
	for i, c := range k.Chains {
		if c != nil {
			p.Chains[i] = c.NewPose()
		}
	}
	return p
}

// Pose poses everything after the given number of motor turns, counted in the
// motor's own sense. It does not allocate.
func (k *Machine) Pose(motorTurns float64, p *Pose) {
	p.MotorTurns = motorTurns
	sense := 1.0
	if k.Model.Motor != nil {
		sense = k.Model.Motor.Sense.Sign()
	}
	for i, r := range k.Drive.Ratios {
		p.Shafts[i] = 2 * math.Pi * sense * motorTurns * r.Float()
	}
	for i, c := range k.Cams {
		spec := &k.Model.Cams[i]
		phi := math.Mod(2*math.Pi*k.Drive.Ratios[spec.Shaft].Turn(motorTurns)+spec.Phase, 2*math.Pi)
		if phi < 0 {
			phi += 2 * math.Pi
		}
		if phi >= 2*math.Pi { // a tiny negative angle rounds up to a whole turn
			phi = 0
		}
		p.Cams[i] = CamPose{Angle: phi, Lift: c.Lift(phi), Step: c.Step(phi), NoMotion: c.NoMotion()}
	}
	if k.Torso != nil {
		k.Torso.Pose(motorTurns, &p.Torso)
	}
	for i, c := range k.Chains {
		if c == nil {
			continue
		}
		for axis, shaft := range c.Shafts {
			p.x[axis] = 2 * math.Pi * k.Drive.Ratios[shaft].Turn(motorTurns)
		}
		p.Reached[i] = c.Solve(p.x[:len(c.Shafts)], p.Chains[i])
	}
}

// Posed reports whether torso and linkages all reach the pose.
func (k *Machine) Posed(p *Pose) bool {
	return (k.Torso == nil || p.Torso.Posed()) && !slices.Contains(p.Reached, false)
}

// moved returns the farthest that any point of the torso or of a linkage is at
// one instant from where it is at another, mm, and whether there is any point
// that both instants have.
func (k *Machine) moved(from, to float64) (distance float64, ok bool) {
	a, b := k.NewPose(), k.NewPose()
	k.Pose(from, a)
	k.Pose(to, b)
	if k.Torso != nil && a.Torso.Posed() && b.Torso.Posed() {
		for _, point := range k.Model.Torso.Points {
			ok = true
			distance = max(distance, r3.Norm(r3.Sub(k.Torso.Point(&a.Torso, point.At), k.Torso.Point(&b.Torso, point.At))))
		}
	}
	for i, c := range k.Chains {
		if !a.Reached[i] || !b.Reached[i] {
			continue
		}
		for j := range k.Model.Linkages[i].Points {
			ok = true
			distance = max(distance, r2.Norm(r2.Sub(c.Point(a.Chains[i], j).Pos, c.Point(b.Chains[i], j).Pos)))
		}
	}
	return distance, ok
}
