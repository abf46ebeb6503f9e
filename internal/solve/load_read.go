package solve

// What is read from the tables of all groups: each shaft's torque, and how the
// train gathers them at the motor.

// read returns the torque at the motor from the tables, sliding and at rest.
func (l *Load) read(x []float64) (sliding, rest float64) {
	clear(l.torque)
	clear(l.still)
	for i := range l.groups {
		g := &l.groups[i]
		var out [groupTorques]float64
		g.table.add(x[g.axes[0]], x[g.axes[len(g.axes)-1]], out[:])
		for e, shaft := range g.branch.ends {
			l.torque[shaft] += out[e]
			l.still[shaft] += out[len(g.branch.ends)+e]
		}
	}
	passOn(l.common, l.torque)
	passOn(l.common, l.still)
	return l.torque[l.train.motor], l.still[l.train.motor]
}

// loadRange is room for bounds of the torques at the shafts, by state.
type loadRange struct {
	low, high [loadStates][]float64
}

func newLoadRange(shafts int) *loadRange {
	r := &loadRange{}
	for state := range loadStates {
		r.low[state], r.high[state] = make([]float64, shafts), make([]float64, shafts)
	}
	return r
}

// within bounds the torque at the motor, sliding and at rest, over a box of angles.
// The motor's torque rises with that of each shaft.
func (l *Load) within(from, to, low, high []float64, room *loadRange) {
	for state := range loadStates {
		clear(room.low[state])
		clear(room.high[state])
	}
	for i := range l.groups {
		g := &l.groups[i]
		first, last := g.axes[0], g.axes[len(g.axes)-1]
		var span [groupTorques][2]float64
		g.table.within([2]float64{from[first], to[first]}, [2]float64{from[last], to[last]}, span[:])
		n := len(g.branch.ends)
		for e, shaft := range g.branch.ends {
			for state := range loadStates {
				f := state*n + e
				room.low[state][shaft] += span[f][0]
				room.high[state][shaft] += span[f][1]
			}
		}
	}
	for state := range loadStates {
		passOn(l.common, room.low[state])
		passOn(l.common, room.high[state])
		low[state], high[state] = room.low[state][l.train.motor], room.high[state][l.train.motor]
	}
}

// offs finds how far below and above what is read the torque at the motor may lie,
// sliding and at rest.
func (l *Load) offs(x []float64, off [][2]float64, room *loadRange) {
	for state := range loadStates {
		clear(room.low[state])
		clear(room.high[state])
	}
	for i := range l.groups {
		g := &l.groups[i]
		o := g.table.offAt(x[g.axes[0]], x[g.axes[len(g.axes)-1]])
		n := len(g.branch.ends)
		for e, shaft := range g.branch.ends {
			for state := range loadStates {
				room.low[state][shaft] += o[state*n+e][0]
				room.high[state][shaft] += o[state*n+e][1]
			}
		}
	}
	for state := range loadStates {
		passOn(l.common, room.low[state])
		passOn(l.common, room.high[state])
		off[state] = [2]float64{room.low[state][l.train.motor], room.high[state][l.train.motor]}
	}
}
