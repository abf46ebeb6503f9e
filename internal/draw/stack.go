package draw

import (
	"cmp"
	"fmt"
	"slices"

	"understage/internal/geom"
	"understage/internal/mech"
	"understage/internal/solve"

	"gonum.org/v1/gonum/spatial/r2"
)

// StackDrawing draws what lies under the stage from the side, as the audience
// would see it through the front: heights true, the farther parts behind the
// nearer ones. False when there is nothing.
func StackDrawing(m *mech.Model, s *solve.Solution) (Drawing, bool) {
	d := Drawing{Name: "stack", Title: m.Name + ": stack under the stage, from the front"}
	d.Notes = []string{"heights from the top of the stage; parts on upright shafts as blocks of their outside diameter, " +
		"parts that turn toward the front as circles"}
	blocks := stackBlocks(m, s)
	if len(blocks) == 0 {
		return d, false
	}
	slices.SortStableFunc(blocks, func(a, b stackBlock) int { return cmp.Compare(b.depth, a.depth) })
	low, high := blocks[0].low, blocks[0].high
	for _, b := range blocks {
		low, high = min(low, b.low), max(high, b.high)
	}
	if m.Torso != nil && m.Torso.Stage.Thickness > 0 {
		const beyond = 8
		d.Path(Sweep, Rectangle(Bounds{r2.Vec{X: low - beyond, Y: -m.Torso.Stage.Thickness}, r2.Vec{X: high + beyond}}))
	}
	var labels []label
	for _, b := range blocks {
		if b.round {
			d.Circle(b.layer, b.centre, b.radius)
		} else {
			d.Path(b.layer, Rectangle(Bounds{r2.Vec{X: b.low, Y: b.from}, r2.Vec{X: b.high, Y: b.to}}))
		}
		if b.text != "" {
			labels = append(labels, label{at: b.anchor(), lines: []string{b.text}})
		}
	}
	bounds := d.Bounds()
	d.labelColumn(labels, 0.85*TextHeight(bounds.Size().X*1.5))
	return d, true
}

// stackBlock is one part seen from the front.
type stackBlock struct {
	layer     Layer
	low, high float64 // along x
	from, to  float64 // along z
	depth     float64 // y, greater is farther
	round     bool
	centre    r2.Vec
	radius    float64
	text      string
}

// anchor is where a leader line meets the block.
func (b *stackBlock) anchor() r2.Vec {
	if b.round {
		return r2.Vec{X: b.centre.X + b.radius, Y: b.centre.Y}
	}
	return r2.Vec{X: b.high, Y: (b.from + b.to) / 2}
}

// stackBlocks lists the parts below the stage that have an outline of their own
// from the front.
func stackBlocks(m *mech.Model, s *solve.Solution) []stackBlock {
	var out []stackBlock
	for i := range s.Frame.Parts {
		p := &s.Frame.Parts[i]
		b := stackBlock{layer: Body, text: p.Name, low: p.Min.X, high: p.Max.X, from: p.Min.Z, to: p.Max.Z, depth: (p.Min.Y + p.Max.Y) / 2}
		if p.Min == p.Max {
			continue
		}
		switch p.Kind {
		case solve.FrameShaft, solve.FrameSprocket, solve.FrameIdler, solve.FrameGear, solve.FrameCam, solve.FrameMotor, solve.FrameGuidePin, solve.FrameCrank, solve.FrameYoke, solve.FrameGuideArm:
		case solve.FrameTorsoShaft:
			b.to = min(b.to, 12)
		case solve.FramePlate:
			if p.View != geom.Plan {
				continue
			}
			b.depth = 1e6
			b.layer = Sweep
			b.text = fmt.Sprintf("%s  %s", number(m, p.Level()), p.Name)
			out = append(out, b)
			continue
		default:
			continue
		}
		if p.Kind == solve.FrameMotor {
			b.layer = Hidden
		}
		if p.View == geom.Front && p.Kind != solve.FrameMotor {
			b.round, b.centre, b.radius = true, p.At, p.Radius
		}
		if p.Kind == solve.FrameShaft || p.Kind == solve.FrameTorsoShaft {
			b.text = ""
		} else {
			b.text = fmt.Sprintf("%s  %s", number(m, p.Level()), p.Name)
		}
		out = append(out, b)
	}
	return out
}
