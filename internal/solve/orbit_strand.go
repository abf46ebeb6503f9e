package solve

import "math"

// orbitTop is a place on the torus: on the line at w, at the fast axis's angle
// theta.
type orbitTop struct {
	w, theta, value float64
}

// along returns the local greatest value on the line at w, near theta.
func (t *orbitTorus) along(w, theta float64, side, q int) orbitTop {
	t.line.base[1], t.line.slope[1] = w, t.slope
	reach := 4 * math.Pi / float64(t.axes[0].samples)
	t.marks = t.cuts(t.marks[:0], &t.line, theta-reach, theta+reach)
	if len(t.marks) == 0 {
		if top, ok := t.near(w, theta, reach, side, q); ok {
			return top
		}
	}
	peak := orbitPeak{theta: theta, value: math.Inf(-1)}
	for range t.axes[0].samples { // once round is far enough
		next := t.scan(&t.line, peak.theta-reach, peak.theta+reach, reach/3, side, q)
		if next.value <= peak.value {
			break
		}
		if peak = next; !peak.edge {
			break
		}
	}
	return orbitTop{w, peak.theta, peak.value}
}

// near is along by parabolas, within a reach that has no break. It reports false
// where that finds no smooth extreme.
func (t *orbitTorus) near(w, theta, reach float64, side, q int) (orbitTop, bool) {
	f := func(theta float64) float64 { return t.at(&t.line, theta, orbitBetween, side, q) }
	step := reach / 8
	a, x, b := theta-step, theta, theta+step
	fa, fx, fb := f(a), f(x), f(b)
	if fa == fx && fx == fb { // level ground
		return orbitTop{w, x, fx}, true
	}
	for fx < fa || fx < fb {
		if math.Abs(x-theta) > reach-2*step {
			return orbitTop{}, false
		}
		if fa > fb {
			a, x, b = a-step, a, x
			fa, fx, fb = f(a), fa, fx
		} else {
			a, x, b = x, b, b+step
			fa, fx, fb = fx, fb, f(b)
		}
	}
	drop := max(fx-fa, fx-fb)
	x, fx = parabolaMax(f, a, x, b, fa, fx, fb, orbitSmoothFine*reach)
	return orbitTop{w, x, fx}, !math.IsInf(drop, 1) && (t.smooth(q) || t.isFlat(f, x, fx, step, drop))
}

// climb goes from a node of the grid to the top of its hill. Where the strands
// of the path stand wide apart there is no need: they are tried from the node.
func (t *orbitTorus) climb(h orbitHill, side, q int) orbitTop {
	u, v := t.first[h.i], t.second[h.j]
	gap := nodeGap(t.second, h.j) + t.slope*nodeGap(t.first, h.i)
	w := v.x - t.slope*u.x
	if !t.bound && 16*math.Pi/float64(t.axes[0].winding) > gap {
		return orbitTop{w, u.x, math.Inf(1)}
	}
	reach := 3 * math.Pi * (1/float64(t.axes[1].samples) + t.slope/float64(t.axes[0].samples))
	low, high := math.Inf(-1), math.Inf(1)
	if t.slope == 0 { // the line keeps within a smooth piece of the slow axis
		low, high = v.lo, v.hi
	}
	tolerance := t.fine(side, q) * reach
	if !t.bound {
		tolerance = max(tolerance, 0.2*2*math.Pi/float64(t.axes[0].winding))
	}
	top := t.along(w, u.x, side, q)
	for range 8 { // on from the end of the bracket along a long ridge
		start := top
		from, to := max(low, start.w-reach), min(high, start.w+reach)
		f := func(w float64) float64 {
			next := t.along(w, start.theta, side, q)
			if next.value > top.value {
				top = next
			}
			return next.value
		}
		from1, to1 := f(from), f(to)
		mid := min(max(start.w, from), to)
		if mid > from && mid < to && start.value >= from1 && start.value >= to1 {
			parabolaMax(f, from, mid, to, from1, start.value, to1, tolerance)
		} else {
			brentMax(f, from, min(max(top.w, from), to), to, top.value, tolerance)
		}
		if (top.w > from+reach/8 && top.w < to-reach/8) || top.w <= low || top.w >= high {
			break
		}
	}
	return top
}

// tryStrands follows the strands of the path beside the top of a hill, outward
// on both sides for as long as they improve.
func (t *orbitTorus) tryStrands(top orbitTop, side, q int) {
	spacing := 2 * math.Pi / float64(t.axes[0].winding)
	below := math.Floor(top.w / spacing)
	for _, direction := range []float64{-1, 1} {
		strand := below
		if direction > 0 {
			strand++
		}
		last := math.Inf(-1)
		theta := top.theta
		for range t.axes[0].winding {
			here := t.along(strand*spacing, theta, side, q)
			if here.value <= last {
				break
			}
			t.offer(side, q, here.value, t.turnsOn(int64(strand), here.theta))
			last, theta = here.value, here.theta
			strand += direction
		}
	}
}

// turnsOn returns the motor turns at the angle θ of the fast axis on the j-th
// strand.
func (t *orbitTorus) turnsOn(j int64, theta float64) float64 {
	a, b := t.axes[0].winding, t.axes[1].winding
	return t.strandTurns(mulMod(j, inverseMod(b, a), a), theta)
}

// closestPass returns the motor turns at which the path first passes a place of
// the torus as closely as it ever does, or -1 when its strands are too many to
// count.
func (t *orbitTorus) closestPass(top orbitTop) float64 {
	a, b := t.axes[0].winding, t.axes[1].winding
	if a == 0 {
		return -1
	}
	// base[1] of the line of slope b/a through the place
	w := orbitWrap(top.w - float64(b)/float64(a)*top.theta)
	return t.turnsOn(int64(math.Round(w/(2*math.Pi)*float64(a))), top.theta)
}
