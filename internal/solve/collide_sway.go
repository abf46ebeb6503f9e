package solve

import "gonum.org/v1/gonum/spatial/r3"

// How far a body may stray from where it stands while its shafts stay within
// reach of their angles.
//
// Of a cam and of what yokes push, that follows from the lift's greatest velocity
// and acceleration, which are true extremes. What else moves is posed at evenly
// spread angles beforehand.

// frameMover is what makes bodies move: one cam, the torso, one linkage.
type frameMover struct {
	shafts []int
	// set takes the angles of the shafts, in order, and reports whether there is a
	// pose.
	set func(x []float64) bool
	// sway notes how far the bodies may stray from the pose set while every shaft
	// stays within reach of its angle; each body's stray tells what it comes to.
	// Nil: samples tell.
	sway    func(reach []float64)
	samples *swaySamples
	breaks  [][]float64 // per shaft, angles at which the motion has a corner
	// resolve is how many samples per turn of each shaft resolve its ripples; 0: the
	// usual.
	resolve int

	at    []float64 // the angles set
	reach []float64 // room for how far they may be off
	posed bool
	poses int // how often
}

// pose sets the angles x of the mover's shafts; the last ones are kept.
func (m *frameMover) pose(x []float64) bool {
	same := m.poses > 0
	for i := range x {
		same = same && m.at[i] == x[i]
	}
	if !same {
		copy(m.at, x)
		m.posed = m.set(x)
		m.poses++
	}
	return m.posed
}

// stand places a body by the pose set and reports whether there is one.
func (m *frameMover) stand(f *frameBody) bool {
	if m.posed && f.placed != m.poses {
		f.place()
		f.placed = m.poses
	}
	return m.posed
}

// bodyStray is a body as it stands and how far it may stray from there.
type bodyStray struct {
	body  *frameBody
	mover *frameMover // nil: it does not
}

// by returns how far the body may stray along a unit vector of the stage's; nil: any
// way.
func (s *bodyStray) by(way *r3.Vec) float64 {
	switch m := s.mover; {
	case m == nil:
		return 0
	case m.sway != nil:
		return s.body.stray(way)
	default:
		sum := 0.0
		for k, reach := range m.reach {
			sum += m.samples.way(s.body.row, k, m.at[k], reach)
		}
		return sum
	}
}

// swept returns the body, or in place of a rim the disc it sweeps.
func (s *bodyStray) swept() bodyStray {
	if s.body.kind == bodyRim {
		return bodyStray{body: s.body.disc}
	}
	return *s
}
