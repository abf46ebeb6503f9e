package solve

import "math"

// orbitNode is one angle of the grid on an axis.
type orbitNode struct {
	x      float64
	lo, hi float64 // the smooth piece it lies in
	rough  bool    // there are breaks that the grid does not follow
}

const (
	// orbitManyBreaks is how many breaks make a spline through many points of an
	// axis: smooth enough that one node beside each break and one between will do.
	orbitManyBreaks = 64
	// orbitMaxNodes is the most nodes on an axis. It resolves a hundred ripples.
	orbitMaxNodes = 1200
	// orbitMaxGrid is how many values of the grid are kept at once.
	orbitMaxGrid = 1 << 22
)

// orbitNodes spreads samples over a turn, with both sides of every break.
func orbitNodes(a *orbitAxis) []orbitNode {
	samples := min(a.samples, orbitMaxNodes)
	step := 2 * math.Pi / float64(samples)
	var nodes []orbitNode
	switch {
	case len(a.breaks) == 0, a.warped, 2*len(a.breaks) > orbitMaxNodes:
		if len(a.breaks) > 0 && !a.warped {
			samples = orbitMaxNodes
			step = 2 * math.Pi / orbitMaxNodes
		}
		for i := range samples {
			nodes = append(nodes, orbitNode{float64(i) * step, math.Inf(-1), math.Inf(1), len(a.breaks) > 0})
		}
		return nodes
	case len(a.breaks) > orbitManyBreaks:
		step = max(step, 4*math.Pi/orbitMaxNodes)
	}
	for i, from := range a.breaks {
		to := a.breaks[0] + 2*math.Pi
		if i+1 < len(a.breaks) {
			to = a.breaks[i+1]
		}
		from, to := from+orbitNudge, to-orbitNudge
		n := max(2, int(math.Ceil((to-from)/step)))
		if len(a.breaks) > orbitManyBreaks {
			for k := range n {
				nodes = append(nodes, orbitNode{from + (to-from)*float64(k)/float64(n), from, to, false})
			}
			continue
		}
		for k := range n + 3 {
			x, _ := orbitStop(from, to, k, n)
			nodes = append(nodes, orbitNode{x, from, to, false})
		}
	}
	return nodes
}

// nodeGap returns the angle from a node to the next, round the turn.
func nodeGap(nodes []orbitNode, i int) float64 {
	n := len(nodes)
	return orbitWrap(nodes[(i+1+n)%n].x - nodes[(i+n)%n].x)
}
