package solve

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// swaySamples is how far the bodies of a mover go between evenly spread angles
// of its shafts.
type swaySamples struct {
	n, axes int // samples to a turn of each shaft
	// sums holds by body and shaft the way from angle 0 on to each sample, wherever
	// the other shafts stand: n + 1 values.
	sums  [][]float64
	boxes []frameBox // that each body stays within

	starts []int    // by body, its first corner among those of all
	places []r3.Vec // by sample, every corner; while sampling
	posed  []bool   // by sample
}

const (
	// swaySpare is by how much more than the longest of three neighbouring steps a
	// body may go between two samples: a motion that is resolved at all goes no
	// faster.
	swaySpare = 1.25
	// swayUnknown, mm, is farther than anything goes.
	swayUnknown = 1e6
	// swayLock is by how much more than its last step a body may go on to where its
	// mover locks: a dead centre is neared as a square root, by 1/(√2 − 1) steps.
	swayLock = 2.5
	// swayLooks is the least number of angles of a shaft, and twice that of one of
	// three or more.
	swayLooks = 24
)

// way returns how far a body may go while a shaft stays within reach of x.
func (t *swaySamples) way(row, axis int, x, reach float64) float64 {
	sums := t.sums[row*t.axes+axis]
	upTo := func(x float64) float64 {
		turns := math.Floor(x / (2 * math.Pi))
		at := (x/(2*math.Pi) - turns) * float64(t.n)
		i := min(int(at), t.n-1)
		return turns*sums[t.n] + sums[i] + (at-float64(i))*(sums[i+1]-sums[i])
	}
	here := upTo(x)
	return max(here-upTo(x-reach), upTo(x+reach)-here)
}

// sample poses a mover without sway at evenly spread angles, whether or not the
// path meets them, unless that is done.
func (s *frameScene) sample(m *frameMover) {
	if m.samples != nil {
		return
	}
	t := &swaySamples{n: swayLooks, axes: len(m.shafts), starts: []int{0}}
	switch {
	case t.axes == 1:
		t.n = max(swayLooks, min(m.resolve/2, 4*swayLooks))
	case t.axes > 2:
		t.n = swayLooks / 2
	}
	m.samples = t
	var bodies []*frameBody
	for i := range s.bodies {
		if f := &s.bodies[i]; f.mover == m {
			f.row = len(bodies)
			bodies = append(bodies, f)
			t.starts = append(t.starts, t.starts[f.row]+f.corners())
			t.boxes = append(t.boxes, noBox)
		}
	}
	t.pose(m, bodies)
	for row, f := range bodies {
		longest := 0.0
		for stride := 1; stride < len(t.posed); stride *= t.n {
			sums, most := swaySums(t.steps(row, stride))
			t.sums, longest = append(t.sums, sums), max(longest, most)
		}
		t.boxes[row] = f.reachBox(t.boxes[row], longest)
	}
	t.places, t.posed = nil, nil
}

// pose poses the mover at every sample and notes where its bodies are.
func (t *swaySamples) pose(m *frameMover, bodies []*frameBody) {
	total, size := 1, t.starts[len(bodies)]
	for range t.axes {
		total *= t.n
	}
	t.places, t.posed = make([]r3.Vec, total*size), make([]bool, total)
	x := make([]float64, t.axes)
	for node := range total {
		rest := node
		for k := range x {
			x[k] = 2 * math.Pi * float64(rest%t.n) / float64(t.n)
			rest /= t.n
		}
		if t.posed[node] = m.pose(x); !t.posed[node] {
			continue
		}
		for row, f := range bodies {
			m.stand(f)
			for c := range f.corners() {
				t.places[node*size+t.starts[row]+c] = f.corner(c)
			}
			t.boxes[row] = t.boxes[row].with(f.box())
		}
	}
}

// steps returns how far a body goes at most from each sample of a shaft to the next,
// the samples of that shaft being stride apart; +Inf where it cannot be posed.
func (t *swaySamples) steps(row, stride int) []float64 {
	steps := make([]float64, t.n)
	size := t.starts[len(t.starts)-1]
	for node := range t.posed {
		i := node / stride % t.n
		next := node + stride
		if i == t.n-1 { // round the turn
			next -= stride * t.n
		}
		if !t.posed[node] || !t.posed[next] {
			steps[i] = math.Inf(1)
			continue
		}
		for c := t.starts[row]; c < t.starts[row+1]; c++ {
			steps[i] = max(steps[i], spaceLength(r3.Sub(t.places[node*size+c], t.places[next*size+c])))
		}
	}
	return steps
}

// swaySums adds up steps with what is to spare, and returns the longest of them
// as far as they are known.
func swaySums(steps []float64) (sums []float64, longest float64) {
	n := len(steps)
	sums = make([]float64, n+1)
	for i, step := range steps {
		way := 0.0
		for d := -1; d <= 1; d++ {
			if near := steps[(i+d+n)%n]; !math.IsInf(near, 1) {
				way = max(way, swaySpare*near)
			}
		}
		if math.IsInf(step, 1) {
			way *= swayLock
		}
		longest = max(longest, way)
		if math.IsInf(step, 1) && way == 0 {
			way = swayUnknown
		}
		sums[i+1] = sums[i] + way
	}
	return sums, longest
}

// corners returns how many places tell where a body is.
func (f *frameBody) corners() int {
	switch f.kind {
	case bodyRod:
		return 2
	case bodyHull:
		return len(f.points)
	}
	return len(f.core)
}

// corner returns one of them; of a flat body in its view.
func (f *frameBody) corner(i int) r3.Vec {
	switch {
	case f.kind == bodyRod && i == 0:
		return f.a
	case f.kind == bodyRod:
		return f.b
	case f.kind == bodyHull:
		return f.points[i]
	}
	return r3.Vec{X: f.core[i].X, Y: f.core[i].Y}
}
