package solve

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// frameBox is a rectangular block of the stage frame.
type frameBox struct{ min, max r3.Vec }

func boxGap(a, b frameBox) float64 {
	gap := r3.Vec{
		X: max(a.min.X-b.max.X, b.min.X-a.max.X, 0),
		Y: max(a.min.Y-b.max.Y, b.min.Y-a.max.Y, 0),
		Z: max(a.min.Z-b.max.Z, b.min.Z-a.max.Z, 0),
	}
	return r3.Norm(gap)
}

// sweptBoxes returns a block that each body stays within at all times.
func (s *frameScene) sweptBoxes() []frameBox {
	boxes := make([]frameBox, len(s.bodies))
	groups := map[*frameMover][]int{}
	var movers []*frameMover
	for i := range s.bodies {
		m := s.bodies[i].mover
		if m == nil || s.bodies[i].kind == bodyRim { // a rim supports as the disc it sweeps
			boxes[i] = s.bodies[i].box()
			continue
		}
		if groups[m] == nil {
			movers = append(movers, m)
		}
		groups[m] = append(groups[m], i)
	}
	for _, m := range movers {
		s.sweepMover(m, groups[m], boxes)
	}
	return boxes
}

// sweepMover measures the blocks of the bodies that one mover moves, at evenly
// spread angles of its shafts, whether or not the path meets them, and widens
// them by the longest step between neighbours: a motion that is resolved at all
// goes less than half a step beyond its samples.
func (s *frameScene) sweepMover(m *frameMover, bodies []int, boxes []frameBox) {
	g := newFrameGroup(s, m)
	for _, i := range bodies {
		boxes[i] = frameBox{r3.Vec{X: math.Inf(1), Y: math.Inf(1), Z: math.Inf(1)}, r3.Vec{X: math.Inf(-1), Y: math.Inf(-1), Z: math.Inf(-1)}}
	}
	last, step := make([]frameBox, len(bodies)), make([]float64, len(bodies))
	known := false
	g.grid(s, g.looks(), func(posed bool) {
		for k, i := range bodies {
			if !posed {
				break
			}
			box := s.bodies[i].box()
			if known {
				step[k] = max(step[k], boxStep(box, last[k]))
			}
			last[k] = box
			boxes[i] = boxes[i].with(box)
		}
		known = posed
	})
	for k, i := range bodies {
		boxes[i] = boxes[i].grown(step[k])
	}
}

func (b frameBox) with(o frameBox) frameBox {
	return frameBox{
		r3.Vec{X: min(b.min.X, o.min.X), Y: min(b.min.Y, o.min.Y), Z: min(b.min.Z, o.min.Z)},
		r3.Vec{X: max(b.max.X, o.max.X), Y: max(b.max.Y, o.max.Y), Z: max(b.max.Z, o.max.Z)},
	}
}

func (b frameBox) grown(by float64) frameBox {
	d := r3.Vec{X: by, Y: by, Z: by}
	return frameBox{r3.Sub(b.min, d), r3.Add(b.max, d)}
}

// boxStep returns the greatest move of a side from one block to the next.
func boxStep(a, b frameBox) float64 {
	low, high := r3.Sub(a.min, b.min), r3.Sub(a.max, b.max)
	return max(math.Abs(low.X), math.Abs(low.Y), math.Abs(low.Z), math.Abs(high.X), math.Abs(high.Y), math.Abs(high.Z))
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
