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

// StackDrawing draws what lies under the stage from the front, as the audience
// would see it (x, z), or from above (x, y): levels true, the farther parts
// behind the nearer ones. False when no shaft lies across the way it is seen.
func StackDrawing(m *mech.Model, s *solve.Solution, from geom.View) (Drawing, bool) {
	d := Drawing{Name: "stack-" + from.String(), Title: m.Name + ": stack under the stage, from the front"}
	if from == geom.Plan {
		d.Title = m.Name + ": stack under the stage, from above"
	}
	across := slices.ContainsFunc(m.Shafts, func(shaft mech.Shaft) bool { return shaft.View != from })
	blocks := stackBlocks(m, s, from)
	if len(blocks) == 0 || !across {
		return d, false
	}
	d.Notes = []string{"parts that turn across the sight as blocks of their outside diameter at motor turn 0, those that turn toward you as circles; " +
		"the number is the part's level along its own shaft"}
	slices.SortStableFunc(blocks, func(a, b stackBlock) int { return cmp.Compare(b.depth, a.depth) })
	low, high := blocks[0].at.Min.X, blocks[0].at.Max.X
	for _, b := range blocks {
		low, high = min(low, b.at.Min.X), max(high, b.at.Max.X)
	}
	if from == geom.Front && m.Torso != nil && m.Torso.Stage.Thickness > 0 {
		const beyond = 8
		d.Path(Sweep, Rectangle(Bounds{r2.Vec{X: low - beyond, Y: -m.Torso.Stage.Thickness}, r2.Vec{X: high + beyond}}))
	}
	var labels []label
	for _, b := range blocks {
		if b.radius > 0 {
			d.Circle(b.layer, b.at.Centre(), b.radius)
		} else {
			d.Path(b.layer, Rectangle(b.at))
		}
		if b.text != "" {
			labels = append(labels, label{at: r2.Vec{X: b.at.Max.X, Y: b.at.Centre().Y}, lines: []string{b.text}})
		}
	}
	d.labelColumn(labels, 0.85*TextHeight(d.Bounds().Size().X*1.5))
	return d, true
}

// stackBlock is one part as it is seen.
type stackBlock struct {
	layer  Layer
	at     Bounds
	depth  float64 // along the sight, greater is farther
	radius float64 // of a part that turns toward the viewer; 0: a block
	text   string
}

// stackBlocks lists the parts below the stage that have an outline of their own.
func stackBlocks(m *mech.Model, s *solve.Solution, from geom.View) []stackBlock {
	var out []stackBlock
	for i := range s.Frame.Parts {
		p := &s.Frame.Parts[i]
		if p.Min == p.Max {
			continue
		}
		b := stackBlock{layer: Body, text: fmt.Sprintf("%s  %s", number(m, p.Level()), p.Name)}
		switch p.Kind {
		case solve.FrameSprocket, solve.FrameIdler, solve.FrameGear, solve.FrameCam, solve.FrameGuidePin, solve.FrameCrank,
			solve.FrameYoke, solve.FrameGuideArm, solve.FrameBar:
		case solve.FrameMotor:
			b.layer = Hidden
		case solve.FrameShaft, solve.FrameTorsoShaft:
			b.text = ""
		case solve.FramePlate:
			b.layer = Sweep
		default:
			continue
		}
		low, high := p.Min, p.Max
		high.Z = min(high.Z, 12) // the torso shaft goes on
		low.Z = min(low.Z, high.Z)
		var near, far float64
		b.at.Min, near = from.Project(low)
		b.at.Max, far = from.Project(high)
		b.depth = (near + far) / 2
		if from == geom.Plan { // seen from above, lower is farther
			b.depth = -b.depth
		}
		if p.View == from && (p.Kind == solve.FramePlate || p.Kind == solve.FrameBar) {
			continue // it would hide the rest, and is drawn elsewhere
		}
		if p.View == from && p.Radius > 0 && p.Kind != solve.FrameMotor {
			b.radius = p.Radius
		}
		out = append(out, b)
	}
	return out
}
