package solve

import (
	"cmp"
	"math"
	"slices"
)

// camRimCells is the least number of cells into which a turn of the rim is cut
// to find where the follower leaves it, and camKnotCells the least number
// between two measured radii, over which the rim is a single cubic.
const (
	camRimCells  = 256
	camKnotCells = 4
)

// camCell is a stretch of the rim, within one cubic, over which φ(γ) rises: the
// follower touches it unless something higher holds it off.
type camCell struct {
	knot       int
	from, to   float64 // γ
	phi0, phi1 float64 // cam angle at both ends, turn included
	turn       float64 // whole turns that bring phi0 into [0, 2π)
	joined     bool    // the cell before it in the list runs on into it
}

// guess returns about the γ at which the cell is touched at a cam angle.
func (c *camCell) guess(phi float64) float64 {
	if !(c.phi1 > c.phi0) {
		return (c.from + c.to) / 2
	}
	return c.from + (c.to-c.from)*min(max((phi-c.phi0)/(c.phi1-c.phi0), 0), 1)
}

// cells cuts the rim into cells on which φ(γ) rises, in the order of γ, and
// reports whether it falls anywhere.
func (r *camRim) cells() (cells []camCell, folded bool) {
	per := max(camKnotCells, (camRimCells+len(r.profile)-1)/len(r.profile))
	for knot := range r.profile {
		start := r.profile[knot].from
		width := (camPieceEnd(r.profile, knot) - start) / float64(per)
		rising := func(gamma float64) bool {
			_, phi := r.contact(knot, gamma)
			return phi.b > 0
		}
		for i := range per {
			from, to := start+float64(i)*width, start+float64(i+1)*width
			up0, up1 := rising(from), rising(to)
			switch {
			case !up0 && !up1:
				folded = true
				continue
			case up0 != up1:
				folded = true
				fold := camSwitch(from, to, func(g float64) bool { return rising(g) == up0 })
				if up0 {
					to = fold
				} else {
					from = fold
				}
			}
			cells = append(cells, r.cell(knot, from, to, up0 && len(cells) > 0))
		}
	}
	return cells, folded
}

func (r *camRim) cell(knot int, from, to float64, joined bool) camCell {
	_, phi0 := r.contact(knot, from)
	_, phi1 := r.contact(knot, to)
	turn := -2 * math.Pi * math.Floor(phi0.a/(2*math.Pi))
	return camCell{knot: knot, from: from, to: to, phi0: phi0.a + turn, phi1: phi1.a + turn, turn: turn, joined: joined}
}

// camSwitch returns where a condition that holds at low and not at high ceases,
// to rounding.
func camSwitch(low, high float64, holds func(float64) bool) float64 {
	for range 64 {
		mid := (low + high) / 2
		if mid <= low || mid >= high {
			break
		}
		if holds(mid) {
			low = mid
		} else {
			high = mid
		}
	}
	return low
}

// camCorner is how close, in rad, the two contacts beside a bridge are told
// apart.
const camCorner = 1e-13

// follow walks once round the cam and records which cell the follower touches.
func (r *camRim) follow(cells []camCell) {
	w := camWalk{r: r, cells: cells, order: make([]int, len(cells))}
	ends := make([]float64, 0, 2*len(cells))
	for i, c := range cells {
		w.order[i] = i
		w.widest = max(w.widest, c.phi1-c.phi0)
		ends = append(ends, c.phi0, math.Mod(c.phi1, 2*math.Pi))
	}
	slices.SortFunc(w.order, func(a, b int) int { return cmp.Compare(cells[a].phi0, cells[b].phi0) })
	slices.Sort(ends)
	ends = slices.Compact(ends)
	ends = append(ends, ends[0]+2*math.Pi)
	first := (ends[0] + ends[1]) / 2
	at, holder := first, w.highest(first)
	start := holder
	for i := 1; i+1 < len(ends); i++ {
		next := (ends[i] + ends[i+1]) / 2
		now := w.highest(next)
		w.pass(at, next, holder, now)
		at, holder = next, now
	}
	w.pass(at, first+2*math.Pi, holder, start)
	if len(r.nodes) == 0 && start >= 0 {
		r.add(cells[start].phi0, cells[start], cells[start].from)
	}
}

// camWalk finds the cell that holds the follower up at a cam angle.
type camWalk struct {
	r      *camRim
	cells  []camCell
	order  []int // by phi0
	widest float64
}

// highest returns the cell with the greatest lift at φ, -1 for none.
func (w *camWalk) highest(phi float64) int {
	phi -= 2 * math.Pi * math.Floor(phi/(2*math.Pi))
	best, lift := -1, math.Inf(-1)
	for _, at := range [...]float64{phi, phi + 2*math.Pi} {
		first, _ := slices.BinarySearchFunc(w.order, at-w.widest, func(i int, p float64) int { return cmp.Compare(w.cells[i].phi0, p) })
		for _, i := range w.order[first:] {
			c := &w.cells[i]
			if c.phi0 > at {
				break
			}
			if c.phi1 < at {
				continue
			}
			s, _ := w.r.contact(c.knot, w.r.find(c.knot, c.from, c.to, c.guess(at), at-c.turn))
			if s.a > lift {
				best, lift = i, s.a
			}
		}
	}
	return best
}

// pass records how the contact goes from cell a at φ = low to cell b at high.
func (w *camWalk) pass(low, high float64, a, b int) {
	if a == b || b < 0 {
		return
	}
	next := &w.cells[b]
	if w.runsOn(a, b) {
		w.r.add(next.phi0, *next, next.from)
		return
	}
	if high-low > camCorner {
		mid := (low + high) / 2
		m := w.highest(mid)
		w.pass(low, mid, a, m)
		w.pass(mid, high, m, b)
		return
	}
	turn := 2 * math.Pi * math.Floor(high/(2*math.Pi))
	at := high - turn
	if at < next.phi0 {
		at += 2 * math.Pi
	}
	gamma := w.r.find(next.knot, next.from, next.to, next.guess(at), at-next.turn)
	w.r.add(at, *next, gamma)
	if a >= 0 {
		w.r.bridges = append(w.r.bridges, camBridge{from: w.cells[a].to, to: gamma, phi: camReduce(at)})
	}
}

// runsOn reports whether the rim runs from cell a into cell b.
func (w *camWalk) runsOn(a, b int) bool {
	if a < 0 {
		return false
	}
	gap := w.cells[b].from - w.cells[a].to
	if b == 0 {
		gap += 2 * math.Pi
	}
	return (b == a+1 && w.cells[b].joined || b == 0 && a == len(w.cells)-1) && math.Abs(gap) < 10*camCorner
}
