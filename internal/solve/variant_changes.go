package solve

import (
	"slices"
	"strconv"
	"strings"

	"understage/internal/mech"
)

// changes says what a variant's model has that the base's has not.
type changes struct {
	motor    bool   // the motor's sheet or supply
	drive    bool   // how fast a shaft turns, or which way
	belts    bool   // a belt or a pair of gears
	cams     []bool // by cam; nil for none
	torso    bool
	linkages []bool // by linkage; nil for none
	other    bool   // limits, stock, frame

	torsoAnew, chainsAnew bool // what recompile found it had to compile
}

// moves reports whether anything that moves is another, or moves otherwise.
func (c *changes) moves() bool {
	return c.drive || c.cams != nil || c.torso || c.linkages != nil
}

// changesOf reads the paths of the fresh parts. Beats are none of it: they are
// found anew each time, and which shafts they make matter is looked up.
func changesOf(base, m *mech.Model, fresh []string) changes {
	var c changes
	for _, path := range fresh {
		section, name, _ := strings.Cut(path, ".")
		switch section {
		case "motor":
			c.motor = true
			if base.Motor == nil || m.Motor == nil || base.Motor.Shaft != m.Motor.Shaft || base.Motor.Sense != m.Motor.Sense {
				c.drive = true
			}
		case "drive":
			c.belts = true
		case "cams":
			c.cams = mark(c.cams, m.Cams, name, func(c *mech.Cam) string { return c.Name })
		case "torso":
			c.torso = true
		case "linkages":
			c.linkages = mark(c.linkages, m.Linkages, name, func(l *mech.Linkage) string { return l.Name })
		case "beats":
		default:
			c.other = true
		}
	}
	if base.Breakaway != m.Breakaway || camEdgeRadius(base) != camEdgeRadius(m) { // cams carry them
		c.cams = mark(c.cams, m.Cams, "", nil)
	}
	return c
}

// mark marks the part that a path calls name; all parts where there is none
// of that name, so that one is gone.
func mark[T any](marks []bool, parts []T, name string, nameOf func(*T) string) []bool {
	if marks == nil {
		marks = make([]bool, len(parts))
	}
	if quoted, err := strconv.Unquote(name); err == nil {
		name = quoted
	}
	if name != "" {
		for i := range parts {
			if nameOf(&parts[i]) == name {
				marks[i] = true
				return marks
			}
		}
	}
	for i := range marks {
		marks[i] = true
	}
	return marks
}

// recompile prepares a variant for posing. Whatever the changes do not touch is
// the old machine's own. It notes as a change when a shaft has another ratio,
// and what it had to compile.
func (old *Machine) recompile(m *mech.Model, c *changes) *Machine {
	k := *old
	k.Model = m
	if c.drive || c.belts {
		k.Drive = SolveDrive(m)
		c.drive = c.drive || !slices.Equal(k.Drive.Ratios, old.Drive.Ratios)
	}
	if !c.moves() {
		return &k
	}
	k.recompileCams(old, c)
	if c.drive || c.torso || k.pushedAnew(old) {
		k.Torso, c.torsoAnew = nil, true
		if m.Torso != nil {
			k.Torso = NewTorso(m, k.Drive, k.Cams)
		}
	}
	k.recompileChains(old, c)
	return &k
}

// recompileCams compiles the cams that have changed or turn the other way.
func (k *Machine) recompileCams(old *Machine, c *changes) {
	if c.cams == nil && !c.drive {
		return
	}
	k.Cams = make([]*Cam, len(k.Model.Cams))
	for i := range k.Cams {
		if (c.cams == nil || !c.cams[i]) && old.Cams[i].sense == CamSense(k.Model, k.Drive, i) {
			k.Cams[i] = old.Cams[i]
		} else {
			k.Cams[i] = compileCamOf(k.Model, k.Drive, i)
		}
	}
}

// pushedAnew reports whether a cam that pushes the torso is not the old one.
func (k *Machine) pushedAnew(old *Machine) bool {
	if k.Model.Torso == nil {
		return false
	}
	for _, p := range k.Model.Torso.Pushes {
		if p.Kind != mech.Rod && k.Cams[p.Cam] != old.Cams[p.Cam] {
			return true
		}
	}
	return false
}

// recompileChains compiles the linkages that have changed, or all where the
// drive has, and those that a new cam moves.
func (k *Machine) recompileChains(old *Machine, c *changes) {
	n := len(k.Model.Linkages)
	k.Chains, k.Faults = make([]*Chain, n), make([]LinkageFault, n)
	c.chainsAnew = c.linkages != nil
	for i := range n {
		if c.drive || c.linkages != nil && c.linkages[i] || k.movedAnew(old, i) {
			k.Chains[i], k.Faults[i] = NewChain(k.Model, i, &k.Drive, k.Cams)
			c.chainsAnew = true
		} else {
			k.Chains[i], k.Faults[i] = old.Chains[i], old.Faults[i]
		}
	}
}

// movedAnew reports whether a cam that moves the linkage is not the old one.
func (k *Machine) movedAnew(old *Machine, linkage int) bool {
	return slices.ContainsFunc(k.Model.Linkages[linkage].Pins, func(p mech.Pin) bool {
		return p.Kind == mech.FollowerPin && k.Cams[p.Cam] != old.Cams[p.Cam]
	})
}
