package solve

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// frameBox is a rectangular block of the stage frame.
type frameBox struct{ min, max r3.Vec }

func boxGap(a, b *frameBox) float64 {
	return spaceLength(r3.Vec{
		X: max(a.min.X-b.max.X, b.min.X-a.max.X, 0),
		Y: max(a.min.Y-b.max.Y, b.min.Y-a.max.Y, 0),
		Z: max(a.min.Z-b.max.Z, b.min.Z-a.max.Z, 0),
	})
}

// noBox holds nothing.
var noBox = frameBox{
	r3.Vec{X: math.Inf(1), Y: math.Inf(1), Z: math.Inf(1)},
	r3.Vec{X: math.Inf(-1), Y: math.Inf(-1), Z: math.Inf(-1)},
}

// sweptBoxes returns a block that each body stays within at all times, and has
// every mover without sway sampled.
func (s *frameScene) sweptBoxes() []frameBox {
	boxes := make([]frameBox, len(s.bodies))
	moved := map[*frameMover][]int{}
	var movers []*frameMover
	for i := range s.bodies {
		f := &s.bodies[i]
		switch m := f.mover; {
		case m == nil || f.kind == bodyRim: // a rim supports as the disc it sweeps
			boxes[i] = f.box()
		case m.sway == nil:
			s.sample(m)
			boxes[i] = m.samples.boxes[f.row]
		default:
			if moved[m] == nil {
				movers = append(movers, m)
			}
			moved[m] = append(moved[m], i)
		}
	}
	for _, m := range movers {
		s.sweepMover(m, moved[m], boxes)
	}
	return boxes
}

// sweepMover measures the blocks of the bodies that one mover moves, at the middle
// of stretches of its shafts' angles, widened by how far they stray within each.
func (s *frameScene) sweepMover(m *frameMover, bodies []int, boxes []frameBox) {
	const stretches = 6 // to a turn of each shaft
	x, reach := make([]float64, len(m.shafts)), make([]float64, len(m.shafts))
	total := 1
	for k := range reach {
		reach[k] = math.Pi / stretches
		total *= stretches
	}
	for _, i := range bodies {
		boxes[i] = noBox
	}
	for n := range total {
		rest := n
		for k := range x {
			x[k] = 2 * math.Pi * (float64(rest%stretches) + 0.5) / stretches
			rest /= stretches
		}
		m.pose(x)
		m.sway(reach)
		for _, i := range bodies {
			f := &s.bodies[i]
			m.stand(f)
			boxes[i] = boxes[i].with(f.reachBox(f.box(), f.stray(nil)))
		}
	}
}

func (b frameBox) with(o frameBox) frameBox {
	return frameBox{
		r3.Vec{X: min(b.min.X, o.min.X), Y: min(b.min.Y, o.min.Y), Z: min(b.min.Z, o.min.Z)},
		r3.Vec{X: max(b.max.X, o.max.X), Y: max(b.max.Y, o.max.Y), Z: max(b.max.Z, o.max.Z)},
	}
}

// reachBox is the block round a body that strays from where it stands by no more
// than a distance; what lies flat in a view keeps its levels.
func (f *frameBody) reachBox(b frameBox, stray float64) frameBox {
	d := r3.Vec{X: stray, Y: stray, Z: stray}
	if f.kind <= bodyOutline {
		d = f.view.Stage(r2.Vec{X: stray, Y: stray}, 0)
	}
	return frameBox{r3.Sub(b.min, d), r3.Add(b.max, d)}
}

var boxAxes = [6]r3.Vec{{X: 1}, {Y: 1}, {Z: 1}, {X: -1}, {Y: -1}, {Z: -1}}

// box returns the block round a body as it stands.
func (f *frameBody) box() frameBox {
	const endless = 1e6 // mm; a slab has no edges
	if f.kind == bodySlab {
		return frameBox{r3.Vec{X: -endless, Y: -endless, Z: f.low}, r3.Vec{X: endless, Y: endless, Z: f.high}}
	}
	var b frameBox
	b.max = r3.Vec{X: f.support(boxAxes[0]).X, Y: f.support(boxAxes[1]).Y, Z: f.support(boxAxes[2]).Z}
	b.min = r3.Vec{X: f.support(boxAxes[3]).X, Y: f.support(boxAxes[4]).Y, Z: f.support(boxAxes[5]).Z}
	return b
}
