package solve

import (
	"slices"
	"strings"

	"understage/internal/mech"
	"understage/internal/standard"
)

// Parts is a set of parts of a solution. Machine, Drive, Repeat and the motor's
// line are always there; they cost microseconds.
type Parts uint

const (
	PartBelts    Parts = 1 << iota // belts and gears
	PartCams                       // cams, without what presses on them
	PartTorso                      // the torso's extremes
	PartLoad                       // running speed and mean current under load; presses on cams
	PartPeak                       // greatest torque under load, and what it takes to start
	PartLinkages                   // linkages, with their clearances to the torso
	PartBeats
	PartFrame
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
		p |= PartLinkages | PartTorso | PartLoad
	}
	if p&PartLinkages != 0 {
		p |= PartTorso
	}
	return p
}

// Has reports whether all these parts were computed.
func (s *Solution) Has(parts Parts) bool { return s.parts&parts == parts }

// changes says what a variant's model has that the base's has not.
type changes struct {
	motor    bool // the motor's sheet or supply
	drive    bool // how fast a shaft turns, or where one stands
	belts    bool // a belt or a pair of gears
	cams     bool
	torso    bool
	linkages bool
	other    bool // limits, beats, stock, frame
}

// changesOf reads the paths of the fresh parts; nil stands for all parts.
func changesOf(base *Solution, m *mech.Model, fresh []string) changes {
	if base == nil || fresh == nil {
		return changes{true, true, true, true, true, true, true}
	}
	var c changes
	for _, path := range fresh {
		part, _, _ := strings.Cut(path, ".")
		switch part {
		case "motor":
			c.motor = true
			old := base.Machine.Model.Motor
			if old == nil || m.Motor == nil || old.Shaft != m.Motor.Shaft || old.Sense != m.Motor.Sense {
				c.drive = true
			}
			if base.Machine.Model.Breakaway != m.Breakaway { // cams carry it
				c.cams = true
			}
		case "drive":
			c.belts = true
		case "cams":
			c.cams = true
		case "torso":
			c.torso = true
		case "linkages":
			c.linkages = true
		default:
			c.other = true
		}
	}
	return c
}

// Again solves a variant of the figure that s solves: the parts that are
// wanted, and of them anew only what the fresh parts of the model, by their
// paths in the spec, can touch. Nil fresh stands for all. The rest is shared
// with s, which does not change; but since both then share working room, only
// one goroutine may go on to pose or load them. What is not wanted is the zero
// value. The model must have the same shafts as that of s.
func (s *Solution) Again(m *mech.Model, fresh []string, want Parts) *Solution {
	return solveParts(s, m, fresh, want)
}

// Solve computes the whole figure.
func Solve(m *mech.Model) *Solution { return solveParts(nil, m, nil, AllParts) }

// SolveParts computes some parts of a figure; the others are the zero value.
func SolveParts(m *mech.Model, want Parts) *Solution { return solveParts(nil, m, nil, want) }

func solveParts(base *Solution, m *mech.Model, fresh []string, want Parts) *Solution {
	want = want.needs()
	c := changesOf(base, m, fresh)
	s := &Solution{parts: want}
	s.compile(base, m, &c)
	moves := c.drive || c.cams || c.torso || c.linkages
	// old reports whether a part is taken from the base.
	old := func(part Parts, dirty bool) bool {
		return base != nil && base.parts&part != 0 && !dirty
	}
	if want&PartBelts != 0 {
		if old(PartBelts, c.belts || c.other) {
			s.Belts, s.Gears = base.Belts, base.Gears
		} else {
			s.Belts = SolveBelts(m)
			s.Gears = SolveGears(m, s.Belts)
		}
	}
	if want&PartCams != 0 {
		if old(PartCams, c.cams || c.torso || c.drive || c.other) {
			s.Cams = slices.Clone(base.Cams)
		} else {
			s.Cams = solveCams(m, s.Machine.Cams)
		}
	}
	if want&PartTorso != 0 {
		// Whether an edge push keeps contact depends on the motor's speed.
		if old(PartTorso, moves || c.motor && ridesEdge(m)) {
			s.Torso = base.Torso
		} else {
			s.Torso = SolveTorso(m, s.Machine.Torso, s.Repeat.Bound, s.Motor.RunningSpeed)
		}
	}
	s.solveUnderLoad(old, base, moves, &c, want)
	return s
}

// solveUnderLoad goes on with what depends on the running speed, and with the
// linkages that beat.
func (s *Solution) solveUnderLoad(old func(Parts, bool) bool, base *Solution, moves bool, c *changes, want Parts) {
	m := s.Machine.Model
	loads := moves || c.motor || c.belts
	if want&PartLoad != 0 {
		peaks := want&PartPeak != 0
		kept := func(dirty bool) bool { return old(PartLoad, dirty) && (!peaks || old(PartPeak, dirty)) }
		if kept(loads || c.other) {
			s.Motor = base.Motor
		} else if !kept(moves || c.belts || c.other) || !reloadMotor(m, s, base) {
			solveLoad(s.Machine, s, peaks)
		}
	}
	if want&PartLinkages != 0 {
		if old(PartLinkages, moves) {
			s.Linkages = base.Linkages
		} else {
			s.Linkages = solveLinkages(s.Machine, s)
		}
	}
	if want&PartBeats != 0 {
		s.Beats = solveBeats(m, s, s.Machine.Cams)
	}
	if want&PartFrame != 0 {
		if old(PartFrame, moves || c.belts || c.other) {
			s.Frame = base.Frame
		} else {
			s.Frame = SolveFrame(m, s)
		}
	}
	if want&PartLoad != 0 && want&PartCams != 0 {
		solveCamLoads(m, s)
	}
}

// compile prepares the machine, its ratios, the repeat and the motor's line.
func (s *Solution) compile(base *Solution, m *mech.Model, c *changes) {
	if base != nil && !c.cams && !c.torso && !c.linkages && !c.drive && !c.belts {
		k := *base.Machine
		k.Model = m
		s.Machine = &k
	} else {
		s.Machine = Compile(m)
		if base != nil && c.belts && !slices.Equal(s.Machine.Drive.Ratios, base.Machine.Drive.Ratios) {
			c.drive = true
		}
	}
	s.Drive = s.Machine.Drive
	s.Motor = SolveMotor(m)
	if base != nil && !c.cams && !c.torso && !c.linkages && !c.drive && !c.other {
		s.Repeat = base.Repeat
		return
	}
	s.Repeat = SolveRepeat(m, &s.Drive, standard.Limit(m.Limits, "near_repeat"))
	if near := &s.Repeat.Near; near.Status == NearFound {
		near.Move, near.Moves = s.Machine.moved(0, near.Turns)
	}
}

// ridesEdge reports whether the torso's shaft rides on a cam's rim.
func ridesEdge(m *mech.Model) bool {
	return m.Torso != nil && slices.ContainsFunc(m.Torso.Pushes[:], func(p mech.Push) bool { return p.Kind == mech.Edge })
}
