package solve

import (
	"understage/internal/mech"
)

// Mobility is the Kutzbach-Gruebler count of a planar chain,
// M = 3(n−1) − 2·j1 − j2 (any kinematics textbook, such as Norton, Design of
// Machinery, chapter 2). Cranks, follower rods and sliding blocks count as
// links; a pin that joins k links counts as k−1 lower pairs; a pin in a slot
// is a higher pair.
type Mobility struct {
	Links       int // n, with the ground
	LowerPairs  int // j1: turning and sliding pairs
	HigherPairs int // j2: pins in slots
	// Idle counts loose pins that only ride in slots: each could turn on
	// itself, which moves nothing.
	Idle   int
	Driven int // cranks' shafts and cam followers that drive the chain
}

// Count returns M.
func (m Mobility) Count() int {
	return 3*(m.Links-1) - 2*m.LowerPairs - m.HigherPairs - m.Idle
}

// Excess returns how many motions are left undecided when every driven input
// stands still: 0 for a sound chain, positive when it hangs loose, negative
// when it is held too often.
func (m Mobility) Excess() int { return m.Count() - m.Driven }

// countMobility counts the links and pairs of a linkage.
func countMobility(m *mech.Model, l *mech.Linkage) Mobility {
	count := Mobility{Links: 1 + len(l.Bars) + len(l.Plates), HigherPairs: len(l.Slots)}
	joined := make([]int, len(l.Pins)) // links met at each pin
	for _, b := range l.Bars {
		joined[b.Pins[0]]++
		joined[b.Pins[1]]++
	}
	for _, p := range l.Plates {
		for _, at := range p.Pins {
			joined[at.Pin]++
		}
	}
	shafts, cams := map[int]bool{}, map[int]bool{}
	for i, pin := range l.Pins {
		switch pin.Kind {
		case mech.FixedPin:
			joined[i]++
		case mech.SlidePin:
			joined[i]++
			count.Links++
			count.LowerPairs++
		case mech.CrankPin:
			joined[i]++
			if !shafts[pin.Crank.Shaft] {
				shafts[pin.Crank.Shaft] = true
				count.Links++
				count.LowerPairs++
				count.Driven++
			}
		case mech.FollowerPin:
			joined[i]++
			if !cams[pin.Cam] {
				cams[pin.Cam] = true
				count.Links++
				count.LowerPairs++
				count.Driven++
			}
		}
		switch {
		case joined[i] > 0:
			count.LowerPairs += joined[i] - 1
		default:
			count.Links++
			count.Idle++
		}
	}
	return count
}
