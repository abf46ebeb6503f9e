package solve

// Where one pulley must stand for a loop to have a given length.
//
// Moving circle k by t along a unit vector changes the loop's length L(t) at
// the rate (h_in − h_out)·along, which is never more than 2. So a root lies no
// nearer to t than |L(t) − L|/2: marching outward by that step can pass none.
// And no loop of length L reaches farther from another pulley than half of it,
// which bounds the march. Near a root a safeguarded Newton iteration ends it.

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
)

// rootTolerance, in mm of belt, is how near a length counts as met: a thousandth
// of a hair, and well above rounding in a loop of some metres.
const rootTolerance = 1e-9

// marchLeast, in mm, is the least step of the march: two roots nearer to each
// other than this, about a take-up that barely reaches, may be taken for one.
const marchLeast = 1e-3

// marchMost caps the steps in one direction.
const marchMost = 20000

// loopMove is one circle's way through a loop.
type loopMove struct {
	circles []Circle // circle k is moved about; the rest stand
	k       int
	home    r2.Vec
	along   r2.Vec
	blocked func(at r2.Vec) bool // nil, or whether circle k cannot stand there
	loop    Loop
	lengths []float64
	roots   [][]float64 // by length
}

// at returns the loop's length and its rate of growth at t, and whether there
// is a loop there.
func (v *loopMove) at(t float64) (length, rate float64, ok bool) {
	c := &v.circles[v.k]
	c.At = r2.Add(v.home, r2.Scale(t, v.along))
	if v.blocked != nil && v.blocked(c.At) || !v.loop.close(v.circles) {
		return 0, 0, false
	}
	return v.loop.Length, r2.Dot(v.loop.Pull(v.k), v.along), true
}

// reach returns how far along its way circle k can be with a loop of the length.
func (v *loopMove) reach(length float64) float64 {
	far := 0.0
	for i, c := range v.circles {
		if i != v.k {
			far = max(far, r2.Norm(r2.Sub(v.home, c.At))+c.Radius)
		}
	}
	return far + length/2 + v.circles[v.k].Radius
}

// TakeUpRoots returns, for each length asked for, every signed distance along
// the unit vector, nearest zero first, by which circle k must be moved from
// where it stands for the loop to have that length. blocked, if not nil, says
// where circle k cannot stand. It leaves circles as it found them.
func TakeUpRoots(circles []Circle, k int, along r2.Vec, lengths []float64, blocked func(r2.Vec) bool) [][]float64 {
	v := loopMove{circles: circles, k: k, home: circles[k].At, along: along, blocked: blocked}
	defer func() { circles[k].At = v.home }()
	v.lengths = lengths
	v.roots = make([][]float64, len(lengths))
	for _, way := range [...]float64{1, -1} {
		v.march(way)
	}
	for _, roots := range v.roots {
		sortByDistance(roots)
	}
	return v.roots
}

// growsAlong reports whether the loop grows as circle k, moved by t, moves on.
func growsAlong(circles []Circle, k int, along r2.Vec, t float64) bool {
	v := loopMove{circles: circles, k: k, home: circles[k].At, along: along}
	defer func() { circles[k].At = v.home }()
	_, rate, ok := v.at(t)
	return ok && rate > 0
}

// sortByDistance orders roots by how near zero they are, the positive first.
func sortByDistance(roots []float64) {
	for i := 1; i < len(roots); i++ {
		for j := i; j > 0 && (math.Abs(roots[j]) < math.Abs(roots[j-1]) ||
			math.Abs(roots[j]) == math.Abs(roots[j-1]) && roots[j] > roots[j-1]); j-- {
			roots[j], roots[j-1] = roots[j-1], roots[j]
		}
	}
}

// march walks from zero one way as far as any of the lengths can reach, and
// adds the roots it meets.
func (v *loopMove) march(way float64) {
	reach := 0.0
	for _, length := range v.lengths {
		reach = max(reach, v.reach(length))
	}
	t := 0.0
	was, _, wasOK := v.at(0)
	for range marchMost {
		if t >= reach {
			break
		}
		// Without a loop to go by, small steps near home and larger ones far off.
		step := max(reach/4000+t/50, marchLeast)
		if wasOK {
			step = v.free(was)
		}
		next := min(t+step, reach)
		now, _, ok := v.at(way * next)
		for i, length := range v.lengths {
			switch {
			case wasOK && was == length:
				if t > 0 || way > 0 { // zero itself belongs to the first march
					v.roots[i] = append(v.roots[i], way*t)
				}
			case ok && wasOK && (was < length) != (now < length) && now != length:
				v.pin(i, way*t, way*next)
			case ok != wasOK:
				v.pinAtEdge(i, way*t, way*next, ok)
			}
		}
		t, was, wasOK = next, now, ok
	}
}

// free returns a step that passes over no root from where the loop has the
// given length.
func (v *loopMove) free(length float64) float64 {
	gap := math.Inf(1)
	for _, target := range v.lengths {
		gap = min(gap, math.Abs(target-length))
	}
	return max(gap/2, marchLeast)
}

// pinAtEdge finds the edge of the stretch that has a loop by halving, and pins
// root i between it and the end of the step on that side.
func (v *loopMove) pinAtEdge(i int, from, to float64, loopAtTo bool) {
	with, without := from, to
	if loopAtTo {
		with, without = to, from
	}
	side, _, _ := v.at(with)
	for range 60 {
		mid := (with + without) / 2
		if mid == with || mid == without {
			return
		}
		l, _, ok := v.at(mid)
		if !ok {
			without = mid
			continue
		}
		if (l < v.lengths[i]) != (side < v.lengths[i]) {
			v.pin(i, with, mid)
			return
		}
		with, side = mid, l
	}
}

// pin adds root i between a and b, where the length passes from one side of
// its target to the other.
func (v *loopMove) pin(i int, a, b float64) {
	target := v.lengths[i]
	la, _, _ := v.at(a)
	low := la < target // the side of a
	t := (a + b) / 2
	for range 100 {
		l, rate, ok := v.at(t)
		if !ok {
			return
		}
		miss := l - target
		if math.Abs(miss) <= rootTolerance/16 {
			v.roots[i] = append(v.roots[i], t)
			return
		}
		if (l < target) == low {
			a = t
		} else {
			b = t
		}
		next := t - miss/rate
		if !(next > min(a, b) && next < max(a, b)) {
			next = (a + b) / 2
		}
		if next == t {
			break
		}
		t = next
	}
	if l, _, ok := v.at(t); ok && math.Abs(l-target) <= rootTolerance {
		v.roots[i] = append(v.roots[i], t)
	}
}
