package solve

import (
	"slices"

	"understage/internal/mech"
	"understage/internal/standard"
)

// How torques at the shafts add up to the torque at the motor. Each belt or
// gear pair takes its share of the work that passes through it:
//
//	parent's torque += step·T/η     where the load takes work (T > 0)
//	parent's torque += step·T·η'    where it gives work back  (T < 0)
//
// step is the turn of the shaft per turn of its parent, both in their own
// sense; η' is 0 for a worm, which holds. Torques are those that the shaft must
// be given, N·mm in the shaft's own sense.

// loadTrain is the tree of shafts from the motor outward.
type loadTrain struct {
	steps []loadStep // from the farthest shaft to the nearest
	motor int
	rate  []float64 // by shaft: turn per motor turn, own sense
}

// loadStep passes one shaft's torque to its parent.
type loadStep struct {
	shaft, parent int
	turn          float64
	forward, back float64
	gear          bool // a gear pair, whose loss counts as friction of gears
}

// newLoadTrain lays out the tree of a drive that does not lock.
func newLoadTrain(m *mech.Model, d *Drive) loadTrain {
	t := loadTrain{motor: m.Motor.Shaft, rate: make([]float64, len(m.Shafts))}
	children := make([][]int, len(m.Shafts))
	parents := make([]int, len(m.Shafts))
	for i, ratio := range d.Ratios {
		if t.rate[i] = ratio.Float(); t.rate[i] < 0 {
			t.rate[i] = -t.rate[i]
		}
		parents[i] = mech.None
		if ratio.Driven() && i != t.motor {
			parents[i] = feedingShaft(m, d, i)
		}
		if parents[i] != mech.None {
			children[parents[i]] = append(children[parents[i]], i)
		}
	}
	order := []int{t.motor}
	for k := 0; k < len(order); k++ {
		order = append(order, children[order[k]]...)
	}
	for k := len(order) - 1; k > 0; k-- {
		shaft := order[k]
		step := loadStep{shaft: shaft, parent: parents[shaft], gear: d.Via[shaft].Kind == GearPart}
		step.turn = t.rate[shaft] / t.rate[step.parent]
		step.forward, step.back = stageEfficiency(m, d.Via[shaft])
		t.steps = append(t.steps, step)
	}
	return t
}

// feedingShaft returns the shaft that the part turning this one is driven by.
func feedingShaft(m *mech.Model, d *Drive, shaft int) int {
	via := d.Via[shaft]
	switch via.Kind {
	case BeltPart:
		for _, p := range m.Belts[via.Index].Run {
			if p.Shaft != mech.None && p.Teeth > 0 && d.Via[p.Shaft] != via {
				return p.Shaft
			}
		}
	case GearPart:
		g := m.Gears[via.Index]
		if g.Driver.Shaft == shaft {
			return g.Driven.Shaft
		}
		return g.Driver.Shaft
	}
	return mech.None
}

// stageEfficiency returns what a belt or gear pair passes on, and what of work
// given back; the maker's figure stands for both directions but a worm's.
func stageEfficiency(m *mech.Model, part Part) (forward, back float64) {
	if part.Kind == BeltPart {
		e := m.Belts[part.Index].Efficiency
		return e.Or(standard.ToothedBelt.Forward), e.Or(standard.ToothedBelt.Back)
	}
	g := &m.Gears[part.Index]
	stage := standard.SpurPair
	switch g.Kind {
	case mech.Bevel:
		stage = standard.BevelPair
	case mech.Crown:
		stage = standard.CrownPair
	case mech.Worm:
		return g.Efficiency.Or(standard.WormPair.Forward), standard.WormPair.Back
	}
	return g.Efficiency.Or(stage.Forward), g.Efficiency.Or(stage.Back)
}

// motorTorque gathers the shafts' torques at the motor shaft, using torque as
// room to work in.
func (t *loadTrain) motorTorque(torque []float64) float64 {
	passOn(t.steps, torque)
	return torque[t.motor]
}

// passOn adds each step's torque to its parent's.
func passOn(steps []loadStep, torque []float64) {
	for i := range steps {
		s := &steps[i]
		through := torque[s.shaft] * s.turn
		if through > 0 {
			through /= s.forward
		} else {
			through *= s.back
		}
		torque[s.parent] += through
	}
}

// loadBranch is the part of a train that carries the torques of some shafts only:
// its steps, and the shafts nearer to the motor to which it brings them, where
// other torques join.
type loadBranch struct {
	steps []loadStep
	ends  []int
}

// branches splits a train by what loads its shafts: of names for each shaft which
// of so many groups of torques it belongs to, or None. common are the steps that
// carry more than one.
func (t *loadTrain) branches(of []int, groups int) (branches []loadBranch, common []loadStep) {
	const mixed = -2
	on := slices.Clone(of) // by shaft: the group that it carries, or mixed
	on[t.motor] = mixed
	branches = make([]loadBranch, groups)
	ends := func(group, shaft int) {
		if b := &branches[group]; !slices.Contains(b.ends, shaft) {
			b.ends = append(b.ends, shaft)
		}
	}
	for _, s := range t.steps {
		switch p := on[s.parent]; {
		case on[s.shaft] == mech.None:
		case p == mech.None:
			on[s.parent] = on[s.shaft]
		case p != on[s.shaft]:
			on[s.parent] = mixed
		}
	}
	for shaft, group := range of {
		if group != mech.None && on[shaft] == mixed {
			ends(group, shaft)
		}
	}
	for _, s := range t.steps {
		switch group := on[s.shaft]; {
		case group == mixed:
			common = append(common, s)
		case group != mech.None:
			branches[group].steps = append(branches[group].steps, s)
			if on[s.parent] == mixed {
				ends(group, s.parent)
			}
		}
	}
	return branches, common
}
