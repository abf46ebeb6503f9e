package solve

import (
	"cmp"
	"math"
	"slices"
)

const (
	// orbitSpaceNodes is about how many angle combinations are looked at when
	// three axes or more are searched for a bound.
	orbitSpaceNodes = 40000
	// orbitSpaceHills is how many of the most promising are climbed.
	orbitSpaceHills = 24
)

// searchSpace bounds quantities over all combinations of three axes or more:
// a coarse grid, then from its hills one-dimensional searches along each axis
// in turn and along the way the last round went (M. J. D. Powell, 1964), until
// nothing rises. The motor turns are not known.
func (s *orbitSearch) searchSpace() {
	k := len(s.axes)
	nodes := make([][]orbitNode, k)
	per := math.Floor(math.Pow(orbitSpaceNodes, 1/float64(k)))
	for i := range s.axes {
		a := s.axes[i]
		a.samples = min(a.samples, max(4, int(per)))
		nodes[i] = orbitNodes(&a)
	}
	hills := s.spaceHills(nodes)
	for q := range s.field.N {
		for side := range orbitSigns {
			for _, h := range hills[side][q] {
				s.offer(side, q, s.climbSpace(h.at, h.value, side, q), -1)
			}
		}
	}
}

// orbitSpot is a grid node of the space search and a value there.
type orbitSpot struct {
	at    []float64
	value float64
}

// spaceHills keeps the best few nodes of the grid for each quantity and side.
func (s *orbitSearch) spaceHills(nodes [][]orbitNode) [2][][]orbitSpot {
	var best [2][][]orbitSpot
	for side := range best {
		best[side] = make([][]orbitSpot, s.field.N)
	}
	at := make([]float64, len(nodes))
	count := make([]int, len(nodes))
	for {
		for i, n := range nodes {
			at[i] = n[count[i]].x
			s.x[s.axes[i].index] = orbitWrap(at[i])
		}
		s.field.All(s.x, s.values)
		for q, v := range s.values {
			for side := range best {
				if signed := orbitSigned(v, side); s.wants(side, q) && !math.IsInf(signed, -1) {
					best[side][q] = keepSpot(best[side][q], at, signed)
				}
			}
		}
		i := 0
		for ; i < len(nodes); i++ {
			if count[i]++; count[i] < len(nodes[i]) {
				break
			}
			count[i] = 0
		}
		if i == len(nodes) {
			return best
		}
	}
}

// keepSpot adds a spot to a list of the best, in falling order.
func keepSpot(list []orbitSpot, at []float64, value float64) []orbitSpot {
	if len(list) == orbitSpaceHills && value <= list[len(list)-1].value {
		return list
	}
	if len(list) < orbitSpaceHills {
		list = append(list, orbitSpot{})
	}
	i, _ := slices.BinarySearchFunc(list[:len(list)-1], value, func(s orbitSpot, v float64) int { return cmp.Compare(v, s.value) })
	copy(list[i+1:], list[i:])
	list[i] = orbitSpot{slices.Clone(at), value}
	return list
}

// climbSpace climbs from a node by lines.
func (s *orbitSearch) climbSpace(at []float64, value float64, side, q int) float64 {
	line := orbitLine{base: slices.Clone(at), slope: make([]float64, len(at))}
	reach := 4 * math.Pi / float64(s.axes[0].samples)
	search := func(direction []float64, reach float64) float64 {
		copy(line.slope, direction)
		peak := s.scan(&line, -reach, reach, reach/4, side, q)
		if peak.value > value {
			for i := range line.base {
				line.base[i] += peak.theta * direction[i]
			}
			gain := peak.value - value
			value = peak.value
			return gain
		}
		return 0
	}
	unit := make([]float64, len(at))
	way := make([]float64, len(at))
	for range 200 {
		start := slices.Clone(line.base)
		gain := 0.0
		for i := range unit {
			clear(unit)
			unit[i] = 1
			gain += search(unit, reach)
		}
		length := 0.0
		for i := range way {
			way[i] = line.base[i] - start[i]
			length = math.Hypot(length, way[i])
		}
		if length > 0 {
			for i := range way {
				way[i] /= length
			}
			gain += search(way, reach)
		}
		if gain <= 1e-13*math.Abs(value) {
			break
		}
	}
	return value
}
