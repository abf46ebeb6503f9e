package solve

import (
	"slices"

	"understage/internal/mech"
	"understage/internal/standard"
)

// Parts is a set of parts of a solution. Machine, Drive, Repeat and the motor's
// line are always there; they cost microseconds.
type Parts uint

const (
	PartBelts    Parts = 1 << iota // belts and gears
	PartCams                       // cams, without what presses on them
	PartPlaces                     // the torso's extremes of place
	PartTorso                      // all of the torso's extremes, with its speeds
	PartLoad                       // running speed and mean current under load; presses on cams
	PartPeak                       // greatest torque under load, and what it takes to start
	PartLinkages                   // linkages, with their clearances to the torso
	PartBeats
	PartFrame
	PartNear       // how far a near repeat leaves the points from home
	AllParts Parts = 1<<iota - 1
)

// needs returns the parts with those they are computed from.
func (p Parts) needs() Parts {
	if p&PartFrame != 0 {
		p |= PartBelts | PartCams
	}
	if p&PartPeak != 0 {
		p |= PartLoad
	}
	if p&PartBeats != 0 {
		p |= PartLinkages | PartLoad
	}
	if p&(PartLinkages|PartTorso) != 0 {
		p |= PartPlaces
	}
	return p
}

// Has reports whether all these parts were computed.
func (s *Solution) Has(parts Parts) bool { return s.parts&parts == parts }

// Again solves a variant of the figure that s solves: the parts that are
// wanted, and of them anew only what the fresh parts of the model, by their
// paths in the spec, can touch. Nil fresh stands for all. The rest is shared
// with s, which does not change; but since both then share working room, only
// one goroutine may go on to pose or load them. What is not wanted is the zero
// value. The model must have the same shafts as that of s.
func (s *Solution) Again(m *mech.Model, fresh []string, want Parts) *Solution {
	if fresh == nil {
		return SolveParts(m, want)
	}
	v := variant{Solution: &Solution{parts: want.needs()}, base: s, changes: changesOf(s.Machine.Model, m, fresh)}
	v.solve(m)
	return v.Solution
}

// Solve computes the whole figure.
func Solve(m *mech.Model) *Solution { return SolveParts(m, AllParts) }

// SolveParts computes some parts of a figure; the others are the zero value.
func SolveParts(m *mech.Model, want Parts) *Solution {
	v := variant{Solution: &Solution{parts: want.needs()}}
	v.solve(m)
	return v.Solution
}

// variant is a solution in the making, next to the base from which it takes
// what the changes do not touch.
type variant struct {
	*Solution
	base *Solution // nil: everything is solved
	changes
	// whether the torso, or a linkage or what it may run into, moves otherwise
	torsoMoves, linkagesMove bool
}

// old reports whether a part is taken from the base.
func (v *variant) old(part Parts, dirty bool) bool {
	return v.base != nil && v.base.Has(part) && !dirty
}

func (v *variant) solve(m *mech.Model) {
	v.compile(m)
	if v.Has(PartBelts) {
		if v.old(PartBelts, v.belts || v.other) {
			v.Belts, v.Gears = v.base.Belts, v.base.Gears
		} else {
			v.Belts = SolveBelts(m)
			v.Gears = SolveGears(m, v.Belts)
		}
	}
	if v.Has(PartCams) {
		v.solveCams(m)
	}
	if v.Has(PartPlaces) {
		v.solveTorso(m)
	}
	v.solveUnderLoad(m)
}

func (v *variant) solveTorso(m *mech.Model) {
	// Whether an edge push keeps contact depends on the motor's speed.
	if v.old(v.parts&(PartPlaces|PartTorso), v.torsoMoves || v.motor && ridesEdge(m)) {
		v.Torso = v.base.Torso
		return
	}
	solve := SolveTorsoPlaces
	if v.Has(PartTorso) {
		solve = SolveTorso
	}
	v.Torso = solve(m, v.Machine.Torso, v.Repeat.Bound, v.Motor.RunningSpeed)
}

// solveUnderLoad goes on with what depends on the running speed, and with the
// linkages that beat.
func (v *variant) solveUnderLoad(m *mech.Model) {
	moves := v.moves()
	if v.Has(PartLoad) {
		peaks := v.Has(PartPeak)
		kept := func(dirty bool) bool { return v.old(PartLoad, dirty) && (!peaks || v.old(PartPeak, dirty)) }
		if kept(moves || v.motor || v.belts || v.other) {
			v.Motor = v.base.Motor
		} else if !kept(moves || v.belts || v.other) || !reloadMotor(m, v.Solution, v.base) {
			solveLoad(v.Machine, v.Solution, peaks)
		}
	}
	if v.Has(PartLinkages) {
		if v.old(PartLinkages, v.linkagesMove) {
			v.Linkages = v.base.Linkages
		} else {
			v.Linkages = solveLinkages(v.Machine, v.Solution)
		}
	}
	if v.Has(PartBeats) {
		v.Beats = solveBeats(m, v.Solution, v.Machine.Cams)
	}
	if v.Has(PartFrame) {
		if v.old(PartFrame, moves || v.belts || v.other) {
			v.Frame = v.base.Frame
		} else {
			v.Frame = SolveFrame(m, v.Solution)
		}
	}
	if v.Has(PartLoad | PartCams) {
		v.solveCamLoads(m)
	}
}

// compile prepares the machine, its ratios, the repeat and the motor's line.
func (v *variant) compile(m *mech.Model) {
	if v.base == nil {
		v.Machine = Compile(m)
	} else {
		v.Machine = v.base.Machine.recompile(m, &v.changes)
	}
	v.Drive = v.Machine.Drive
	v.Motor = SolveMotor(m)
	v.solveRepeat(m)
	if v.base != nil {
		v.torsoMoves = v.drive || v.torsoAnew || v.Repeat.Bound != v.base.Repeat.Bound
		v.linkagesMove = v.torsoMoves || v.chainsAnew
	}
}

// solveRepeat finds the repeat, or keeps the base's: the same shafts matter, at
// the same ratios, and a near repeat is as near.
func (v *variant) solveRepeat(m *mech.Model) {
	near := standard.Limit(m.Limits, "near_repeat")
	if v.base != nil && near == standard.Limit(v.base.Machine.Model.Limits, "near_repeat") && v.Drive.turnsLike(&v.base.Drive) {
		if matters, standIn := shaftsThatMatter(m); standIn == v.base.Repeat.StandIn && slices.Equal(matters, v.base.Repeat.Matters) {
			v.Repeat = v.base.Repeat
			v.Repeat.Near.Move, v.Repeat.Near.Moves = 0, false
		}
	}
	if v.Repeat.Matters == nil {
		v.Repeat = SolveRepeat(m, &v.Drive, near)
	}
	if r := &v.Repeat.Near; r.Status == NearFound && v.Has(PartNear) {
		r.Move, r.Moves = v.Machine.moved(0, r.Turns)
	}
}

// ridesEdge reports whether the torso's shaft rides on a cam's rim.
func ridesEdge(m *mech.Model) bool {
	return m.Torso != nil && slices.ContainsFunc(m.Torso.Pushes[:], func(p mech.Push) bool { return p.Kind == mech.Edge })
}
