package solve

import (
	"slices"

	"understage/internal/mech"
)

// Parts of a load that share no shaft ask for torque independently of each
// other. Each such group depends on one or two angles as a rule, so that it can
// be tabulated once and read at every instant of a long repeat.

// loadGroup is parts of the load that hang together.
type loadGroup struct {
	axes  []int // into Load.Shafts
	torso bool
	chain []int // into Load.chains
	cams  []int
	yoked []int // of the cams, those whose followers move the torso
	// branch is the part of the train that carries the group's torque only.
	branch loadBranch
	// table is of the torque at each end of the branch, sliding and then at rest,
	// and press of what presses on each yoked cam.
	table, press *loadTable
}

// group sorts the load's parts by the shafts they share.
func (l *Load) group() {
	first := make([]int, len(l.Shafts)) // by axis: the group's first axis
	for i := range first {
		first[i] = i
	}
	root := func(i int) int {
		for first[i] != i {
			i = first[i]
		}
		return i
	}
	join := func(a, b int) {
		a, b = root(a), root(b)
		first[max(a, b)] = min(a, b)
	}
	tie := func(place []int) {
		for _, at := range place {
			join(place[0], at)
		}
	}
	tie(l.place)
	for i := range l.chains {
		tie(l.chains[i].place)
	}
	groups := map[int]int{}
	for i := range l.Shafts {
		r := root(i)
		if _, ok := groups[r]; !ok {
			groups[r] = len(l.groups)
			l.groups = append(l.groups, loadGroup{})
		}
		g := &l.groups[groups[r]]
		g.axes = append(g.axes, i)
	}
	at := func(axis int) *loadGroup { return &l.groups[groups[root(axis)]] }
	if l.body != nil {
		at(l.place[0]).torso = true
	}
	for i := range l.chains {
		g := at(l.chains[i].place[0])
		g.chain = append(g.chain, i)
	}
	for _, c := range l.loaded {
		g := at(l.axis[l.m.Cams[c].Shaft])
		g.cams = append(g.cams, c)
		if l.yokes(c) {
			g.yoked = append(g.yoked, c)
		}
	}
	of := make([]int, len(l.m.Shafts)) // by shaft: the group
	for shaft, axis := range l.axis {
		if of[shaft] = mech.None; axis != mech.None {
			of[shaft] = groups[root(axis)]
		}
	}
	var branches []loadBranch
	branches, l.common = l.train.branches(of, len(l.groups))
	for i := range branches {
		l.groups[i].branch = branches[i]
	}
}

// yokes reports whether a cam's follower moves the torso by a yoke.
func (l *Load) yokes(cam int) bool {
	return l.body != nil && slices.ContainsFunc(l.m.Torso.Pushes[:], func(p mech.Push) bool { return p.Kind == mech.Yoke && p.Cam == cam })
}
