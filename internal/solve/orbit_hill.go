package solve

import "math"

// orbitModel is the paraboloid through nine values at and around a hill's node.
// It says where to look; values are always the quantity's own.
type orbitModel struct {
	x, y   float64 // its top
	du, dv float64 // its steps
	lead   float64 // how far θ of the best place on a line moves with w
	drop   float64 // how far the best value on a line falls with the square of w
}

// model fits a hill: by the grid where its nine nodes are evenly spread with no
// break between them, or else by values within its piece. It reports false where
// that has no top, or too close to a break for strands beside it.
func (t *orbitTorus) model(h *orbitHill, side, q int) (orbitModel, bool) {
	u, v := &t.first[h.i], &t.second[h.j]
	if u.rough || v.rough {
		return orbitModel{}, false
	}
	m := orbitModel{x: u.x, y: v.x, du: nodeGap(t.first, h.i), dv: nodeGap(t.second, h.j)}
	var g [3][3]float64
	if orbitEven(m.du, nodeGap(t.first, h.i-1)) && orbitEven(m.dv, nodeGap(t.second, h.j-1)) && u.smooth(m.du) && v.smooth(m.dv) {
		for i := range g {
			for j := range g[i] {
				g[i][j] = t.around(h, i-1, j-1, side)
			}
		}
	} else {
		m.x, m.du = u.within(max(m.du, nodeGap(t.first, h.i-1)) / 2)
		m.y, m.dv = v.within(max(m.dv, nodeGap(t.second, h.j-1)) / 2)
		t.around9(&g, m.x, m.y, m.du, m.dv, side, q)
	}
	p := paraboloid(&g, m.du, m.dv)
	if !p.top || math.Abs(p.x) > m.du || math.Abs(p.y) > m.dv {
		return m, false
	}
	m.x, m.y = m.x+p.x, m.y+p.y
	along := p.bend[0] + 2*t.slope*p.bend[1] + t.slope*t.slope*p.bend[2]
	m.lead = -(p.bend[1] + t.slope*p.bend[2]) / along
	m.drop = -(p.bend[0]*p.bend[2] - p.bend[1]*p.bend[1]) / along / 2
	near := 0.0
	if !t.bound {
		near = 2 * math.Pi / float64(t.axes[0].winding)
	}
	return m, m.x-near >= u.lo && m.x+near <= u.hi && m.y-near >= v.lo && m.y+near <= v.hi
}

// within returns a place near the node with room for a step to either side in
// the node's piece, and that step, made shorter if need be.
func (n *orbitNode) within(step float64) (x, fit float64) {
	fit = min(step, (n.hi-n.lo)/2)
	return min(max(n.x, n.lo+fit), n.hi-fit), fit
}

// smooth reports whether a step to either side stays within the node's piece.
func (n *orbitNode) smooth(step float64) bool {
	return !n.rough && n.x-step > n.lo-orbitNudge && n.x+step < n.hi+orbitNudge
}

func orbitEven(a, b float64) bool { return math.Abs(a-b) < 1e-6*(a+b) }

// quickHill searches a hill from its paraboloid with few evaluations. It reports
// false, having offered nothing amiss, where that does not hold good, as at a
// kink, and the hill must be climbed.
func (t *orbitTorus) quickHill(h orbitHill, side, q int) bool {
	m, ok := t.model(&h, side, q)
	if !ok {
		return false
	}
	if t.bound {
		return t.quickTop(&m, side, q)
	}
	return t.quickStrands(&m, side, q)
}

// quickStrands searches the two strands beside the top, and on from there where
// what they reach says that the top lies elsewhere.
func (t *orbitTorus) quickStrands(m *orbitModel, side, q int) bool {
	spacing := 2 * math.Pi / float64(t.axes[0].winding)
	top := m.y - t.slope*m.x // w of the model's top
	try := func(strand float64) (float64, bool) {
		w := strand * spacing
		theta, value, ok := t.quickLine(m, w, m.x+m.lead*(w-top), side, q)
		if ok {
			t.offer(side, q, value, t.turnsOn(int64(strand), theta))
		}
		return value, ok
	}
	strand := math.Floor(top / spacing)
	low, ok := try(strand)
	if !ok {
		return false
	}
	high, ok := try(strand + 1)
	if !ok {
		return false
	}
	// With E = top − m.drop·(w − w*)² the two tell where w* lies between them.
	at := 0.5 + (high-low)/(2*m.drop*spacing*spacing)
	if math.Abs(at-0.5) < orbitMiddle && math.Abs(at-(top/spacing-strand)) < orbitAgree {
		return true
	}
	return t.walk(try, strand, -1, low) && t.walk(try, strand+1, 1, high)
}

// walk tries strands outward for as long as they improve.
func (t *orbitTorus) walk(try func(float64) (float64, bool), strand, direction, last float64) bool {
	for {
		strand += direction
		value, ok := try(strand)
		if !ok || value <= last {
			return ok
		}
		last = value
	}
}

const (
	// orbitMiddle, in spacings, is how far from the middle between two strands the
	// top may lie while they are certain to be the best, if what they reach and the
	// paraboloid agree on the place to within orbitAgree: a long ridge of several
	// humps is no paraboloid.
	orbitMiddle = 0.4
	orbitAgree  = 0.15
)

const (
	// orbitRidge is the drop along a ridge over the drop across it, from node to
	// node, below which a hill counts as a ridge.
	orbitRidge = 0.05
	// orbitRidgeStrands is how many strands across a ridge are told apart. More
	// stand so close that the ridge is a hill to them.
	orbitRidgeStrands = 128
)

// tryRidge tries each strand that crosses a long level hill where it does: the
// one nearest to such a hill's top need not be the best, if few cross it. The
// hill is climbed besides.
func (t *orbitTorus) tryRidge(h orbitHill, side, q int) {
	var drop, top [2]float64
	for axis, nodes := range [2][]orbitNode{t.first, t.second} {
		i, di, dj := h.i, 1, 0
		if axis == 1 {
			i, di, dj = h.j, 0, 1
		}
		before, after := t.around(&h, -di, -dj, side), t.around(&h, di, dj, side)
		drop[axis], top[axis] = h.value-min(before, after), nodes[i].x
		p, r := nodeGap(nodes, i-1), nodeGap(nodes, i)
		if a, b := (h.value-after)/r, (h.value-before)/p; orbitEven(p, r) && a+b > 0 {
			top[axis] += p / 2 * (b - a) / (a + b)
		}
	}
	spacing := 2 * math.Pi / float64(t.axes[0].winding)
	try := func(strand, theta float64) {
		best := t.along(strand*spacing, theta, side, q)
		t.offer(side, q, best.value, t.turnsOn(int64(strand), best.theta))
	}
	across := 0
	if drop[0] < drop[1] {
		across = 1
	}
	if t.best[side][q].value >= t.crest(&h, across, side, q)-1e-11*(t.high-t.low) {
		return // the path meets the very top
	}
	switch {
	case drop[0] < orbitRidge*drop[1] && t.axes[1].winding <= orbitRidgeStrands && !t.tried[h.j]:
		t.markTried(h.j, 0, len(t.second))
		last := math.Floor(top[1] / spacing)
		for k := range t.axes[1].winding {
			strand := last - float64(k)
			try(strand, (top[1]-strand*spacing)/t.slope)
		}
	case drop[1] < orbitRidge*drop[0] && t.axes[0].winding <= orbitRidgeStrands && !t.tried[len(t.second)+h.i]:
		t.markTried(h.i, len(t.second), len(t.first))
		for j := range t.axes[0].winding {
			try(float64(j), top[0])
		}
	}
}

// crest returns the greatest value across a ridge, through a hill's node along an
// axis.
func (t *orbitTorus) crest(h *orbitHill, axis, side, q int) float64 {
	nodes, i := t.first, h.i
	if axis == 1 {
		nodes, i = t.second, h.j
	}
	l := orbitLine{base: []float64{t.first[h.i].x, t.second[h.j].x}, slope: make([]float64, 2)}
	l.base[axis], l.slope[axis] = 0, 1
	x := nodes[i].x
	from, to := x-nodeGap(nodes, i-1), x+nodeGap(nodes, i)
	return t.scan(&l, from, to, (to-from)/2, side, q).value
}

// markTried notes a ridge, with the two beside it: level ground is often some
// nodes wide.
func (t *orbitTorus) markTried(i, start, n int) {
	for d := -1; d <= 1; d++ {
		t.tried[start+(i+d+n)%n] = true
	}
}

// quickLine finds the greatest value on the line at w next to theta, within the
// model's nodes: three places and parabolas from there.
func (t *orbitTorus) quickLine(m *orbitModel, w, theta float64, side, q int) (at, value float64, ok bool) {
	t.line.base[1], t.line.slope[1] = w, t.slope
	f := func(theta float64) float64 { return t.at(&t.line, theta, orbitBetween, side, q) }
	step := 0.15 * m.du
	within := func(theta float64) bool {
		return math.Abs(theta-m.x) <= 1.5*m.du && math.Abs(w+t.slope*theta-m.y) <= 1.5*m.dv
	}
	a, x, b := theta-step, theta, theta+step
	fa, fx, fb := f(a), f(x), f(b)
	for fx < fa || fx < fb {
		if !within(x) {
			return 0, 0, false
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
	at, value = parabolaMax(f, a, x, b, fa, fx, fb, orbitSmoothFine*m.du)
	return at, value, t.smooth(q) || t.isFlat(f, at, value, step, drop)
}

// isFlat tells a smooth extreme from a kink: a thousandth of a step away it has
// dropped by about a millionth of the drop over the step, and not by a thousandth
// of it.
func (t *orbitTorus) isFlat(f func(float64) float64, at, value, step, drop float64) bool {
	const near, flat = 1e-3, 5e-6
	return value-f(at-near*step) <= flat*drop && value-f(at+near*step) <= flat*drop
}

// parabolaMax finds the greatest value of a smooth f between a and b from three
// values, the middle one not the least, by parabolas, to the tolerance in x;
// where they do not close in it falls back on Brent's method.
func parabolaMax(f func(float64) float64, a, x, b, fa, fx, fb, tol float64) (float64, float64) {
	for range 8 {
		r, s := (x-a)*(fx-fb), (x-b)*(fx-fa)
		if r == s {
			return x, fx
		}
		u := x - ((x-a)*r-(x-b)*s)/(2*(r-s))
		if math.Abs(u-x) < tol {
			return x, fx
		}
		if !(u > a && u < b) {
			break
		}
		fu := f(u)
		switch {
		case fu >= fx && u > x:
			a, fa, x, fx = x, fx, u, fu
		case fu >= fx:
			b, fb, x, fx = x, fx, u, fu
		case u > x:
			b, fb = u, fu
		default:
			a, fa = u, fu
		}
	}
	return brentMax(f, a, x, b, fx, tol)
}

// quickTop finds the top of a hill for a bound: the paraboloid again at a sixth
// and a fortieth of the grid's steps, each time about the last one's top.
func (t *orbitTorus) quickTop(m *orbitModel, side, q int) bool {
	value := func(x, y float64) float64 { return t.valueAt(x, y, side, q) }
	x, y := m.x, m.y
	var g [3][3]float64
	for _, part := range [2]float64{1. / 6, 1. / 40} {
		du, dv := part*m.du, part*m.dv
		t.around9(&g, x, y, du, dv, side, q)
		p := paraboloid(&g, du, dv)
		if !p.top || math.Abs(p.x) > 3*du || math.Abs(p.y) > 3*dv {
			return false
		}
		x, y = x+p.x, y+p.y
	}
	top := orbitTop{w: y, theta: x, value: value(x, y)}
	if !t.smooth(q) {
		drop := max(top.value-value(x-m.du, y), top.value-value(x, y-m.dv))
		along := func(x float64) float64 { return value(x, y) }
		across := func(y float64) float64 { return value(x, y) }
		if !t.isFlat(along, x, top.value, m.du, drop) || !t.isFlat(across, y, top.value, m.dv, drop) {
			return false
		}
	}
	t.offer(side, q, top.value, t.closestPass(top))
	return true
}

// orbitParaboloid is a paraboloid through nine values: where its top lies from
// the middle, and its second derivatives by x, mixed, and by y. top is false
// where it has none that is certain, as on a long ridge or a plateau, or a value
// is missing.
type orbitParaboloid struct {
	x, y float64
	bend [3]float64
	top  bool
}

// paraboloid lays one through values at steps dx and dy.
func paraboloid(g *[3][3]float64, dx, dy float64) orbitParaboloid {
	gu, gv := (g[2][1]-g[0][1])/2, (g[1][2]-g[1][0])/2
	huu, hvv := g[2][1]-2*g[1][1]+g[0][1], g[1][2]-2*g[1][1]+g[1][0]
	huv := (g[2][2] - g[2][0] - g[0][2] + g[0][0]) / 4
	det := huu*hvv - huv*huv
	return orbitParaboloid{
		x: dx * (huv*gv - hvv*gu) / det, y: dy * (huv*gu - huu*gv) / det,
		bend: [3]float64{huu / (dx * dx), huv / (dx * dy), hvv / (dy * dy)},
		top:  huu < 0 && hvv < 0 && det > 0.02*huu*hvv,
	}
}

// valueAt returns the quantity at angles of the fast and the slow axis.
func (t *orbitTorus) valueAt(x, y float64, side, q int) float64 {
	t.x[t.axes[0].index], t.x[t.axes[1].index] = orbitWrap(x), orbitWrap(y)
	if t.field.One != nil {
		return orbitSigned(t.field.One(t.x, q), side)
	}
	t.field.All(t.x, t.values)
	return orbitSigned(t.values[q], side)
}

// around9 fills the values at and around angles.
func (t *orbitTorus) around9(g *[3][3]float64, x, y, dx, dy float64, side, q int) {
	for i := range g {
		for j := range g[i] {
			g[i][j] = t.valueAt(x+float64(i-1)*dx, y+float64(j-1)*dy, side, q)
		}
	}
}
