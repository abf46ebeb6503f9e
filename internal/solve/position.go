package solve

// Where pulleys must stand for belts of given lengths. One unknown along a line
// and one belt is TakeUpRoots. Two unknowns, of one shaft in the plane or of two
// shafts each along a line, and two belts make two equations
//
//	L_b(t_1, t_2) = L_b*,   ∂L_b/∂t_i = Pull_b(k_bi)·along_i
//
// solved by Newton's method from a grid of starts, so that all solutions within
// reach are met.

import (
	"math"
	"slices"

	"understage/internal/mech"

	"gonum.org/v1/gonum/spatial/r2"
)

// Move is one unknown: how far a pulley goes along a unit vector. On says which
// circle of each belt it moves, mech.None where the belt does not go over it.
type Move struct {
	On    []int
	Along r2.Vec
}

// startsEachWay is the number of starts along each unknown; solutions nearer
// together than a fortieth of the reach can share one.
const startsEachWay = 41

// sameSolution, in mm, is nearer than two solutions can be told apart.
const sameSolution = 1e-5

// SolveMoves returns every pair of travels, nearest home first, at which both
// loops have the lengths asked for. blocked, if not nil, says which travels
// leave pulleys in each other. The circles are left as they were found.
func SolveMoves(loops [2][]Circle, moves [2]Move, lengths [2]float64, blocked func(t [2]float64) bool) [][2]float64 {
	s := moveSolver{moves: moves, lengths: lengths}
	for b := range loops {
		s.home[b] = slices.Clone(loops[b])
		s.circles[b] = slices.Clone(loops[b])
	}
	reach := s.reach()
	var found [][2]float64
	for i := range startsEachWay {
		for j := range startsEachWay {
			start := [2]float64{
				reach * (2*float64(i)/(startsEachWay-1) - 1),
				reach * (2*float64(j)/(startsEachWay-1) - 1),
			}
			t, ok := s.newton(start, reach)
			if !ok || blocked != nil && blocked(t) {
				continue
			}
			if !slices.ContainsFunc(found, func(o [2]float64) bool { return math.Hypot(o[0]-t[0], o[1]-t[1]) < sameSolution }) {
				found = append(found, t)
			}
		}
	}
	slices.SortFunc(found, func(a, b [2]float64) int {
		if math.Hypot(a[0], a[1]) < math.Hypot(b[0], b[1]) {
			return -1
		}
		return 1
	})
	return found
}

type moveSolver struct {
	home    [2][]Circle
	circles [2][]Circle
	moves   [2]Move
	lengths [2]float64
	loop    Loop
}

// reach bounds the travel: no loop gets farther from any of its pulleys than
// half its length.
func (s *moveSolver) reach() float64 {
	far := 0.0
	for b, circles := range s.home {
		wide := 0.0
		for _, c := range circles {
			for _, d := range circles {
				wide = max(wide, r2.Norm(r2.Sub(c.At, d.At))+c.Radius+d.Radius)
			}
		}
		far = max(far, wide+s.lengths[b]/2)
	}
	return far
}

// at returns how far both lengths are off and their rates of growth.
func (s *moveSolver) at(t [2]float64) (miss [2]float64, rate [2][2]float64, ok bool) {
	for b := range s.circles {
		copy(s.circles[b], s.home[b])
		for i, move := range s.moves {
			if k := move.On[b]; k != mech.None {
				s.circles[b][k].At = r2.Add(s.circles[b][k].At, r2.Scale(t[i], move.Along))
			}
		}
		if !s.loop.close(s.circles[b]) {
			return miss, rate, false
		}
		miss[b] = s.loop.Length - s.lengths[b]
		for i, move := range s.moves {
			if k := move.On[b]; k != mech.None {
				rate[b][i] = r2.Dot(s.loop.Pull(k), move.Along)
			}
		}
	}
	return miss, rate, true
}

// newton iterates from a start, halving steps that lead where there is no loop
// or no gain.
func (s *moveSolver) newton(t [2]float64, reach float64) ([2]float64, bool) {
	miss, rate, ok := s.at(t)
	for range 60 {
		if !ok {
			return t, false
		}
		size := math.Hypot(miss[0], miss[1])
		if size <= rootTolerance {
			return t, true
		}
		det := rate[0][0]*rate[1][1] - rate[0][1]*rate[1][0]
		if math.Abs(det) < 1e-12 {
			return t, false
		}
		step := [2]float64{
			-(miss[0]*rate[1][1] - miss[1]*rate[0][1]) / det,
			-(miss[1]*rate[0][0] - miss[0]*rate[1][0]) / det,
		}
		if long := math.Hypot(step[0], step[1]); long > reach/4 {
			step[0], step[1] = step[0]*reach/4/long, step[1]*reach/4/long
		}
		better := false
		for range 12 {
			next := [2]float64{t[0] + step[0], t[1] + step[1]}
			m, r, good := s.at(next)
			if good && math.Hypot(m[0], m[1]) < size {
				t, miss, rate, better = next, m, r, true
				break
			}
			step[0], step[1] = step[0]/2, step[1]/2
		}
		if !better {
			return t, false
		}
	}
	return t, false
}

// PlaceIdler returns where an idler of the given pitch radius must stand for the
// loop to have the length: on the line square to the middle of the span after
// stop i, pushing in for a back-side idler and out for one inside. The travels
// are from the middle of the span, inward positive, nearest first; at is where
// the idler's centre is for each.
func PlaceIdler(circles []Circle, i int, radius float64, back bool, length float64, blocked func(r2.Vec) bool) (travels []float64, at []r2.Vec) {
	var loop Loop
	SolveLoop(&loop, circles)
	if loop.Status != LoopOK {
		return nil, nil
	}
	leave, meet := loop.Ends(circles, i)
	middle := r2.Scale(0.5, r2.Add(leave, meet))
	h := loop.Headings[i]
	inward := r2.Vec{X: -h.Y, Y: h.X}
	if loop.Clockwise {
		inward = r2.Scale(-1, inward)
	}
	with := slices.Insert(slices.Clone(circles), i+1, Circle{At: middle, Radius: radius, Back: back})
	travels = TakeUpRoots(with, i+1, inward, []float64{length}, blocked)[0]
	for _, t := range travels {
		at = append(at, r2.Add(middle, r2.Scale(t, inward)))
	}
	return travels, at
}

// LengthRange returns the least and greatest lengths that the loop has as circle
// k moves along its line as far as a loop of the given length could reach, to
// about a thousandth; it is not OK where there is no loop anywhere. It gives the
// reason when a belt closes nowhere.
func LengthRange(circles []Circle, k int, along r2.Vec, length float64, blocked func(r2.Vec) bool) (least, most mech.Given) {
	v := loopMove{circles: circles, k: k, home: circles[k].At, along: along, blocked: blocked}
	defer func() { circles[k].At = v.home }()
	const steps = 2000
	reach := v.reach(length)
	for i := range 2*steps + 1 {
		l, _, ok := v.at(reach * (float64(i)/steps - 1))
		if !ok {
			continue
		}
		if !least.OK || l < least.Value {
			least = mech.Given{Value: l, OK: true}
		}
		if !most.OK || l > most.Value {
			most = mech.Given{Value: l, OK: true}
		}
	}
	return least, most
}
