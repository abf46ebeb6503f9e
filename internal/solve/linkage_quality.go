package solve

import (
	"math"

	"understage/internal/mech"

	"gonum.org/v1/gonum/spatial/r2"
)

// Transmission is the angle μ at one joint, rad in [0, π], unfolded: between
// the two links of a dyad at their common pin; for a pin on a line, between the
// rod and the line's normal; for a lever whose slot lies over a pin, between the
// slot and the normal of the line from pivot to pin. 90° is best; the sine of μ
// is the share of the push that moves what it should.
type Transmission struct {
	Pin   int
	Angle Extent
}

// Off returns how far from 90° the angle comes, rad.
func (t Transmission) Off() float64 { return offSquare(t.Angle) }

func offSquare(e Extent) float64 {
	return math.Max(math.Pi/2-e.Min.Value, e.Max.Value-math.Pi/2)
}

// joints lists the steps that have a transmission angle.
func (c *Chain) joints() []int {
	var list []int
	for i := range c.steps {
		switch c.steps[i].kind {
		case stepCircles, stepCircleLine, stepLines, stepLever:
			list = append(list, i)
		}
	}
	return list
}

// transmission returns the angle at a step, rad.
func (c *Chain) transmission(p *ChainPose, step int) float64 {
	s := &c.steps[step]
	at := p.Pins[s.pin].Pos
	switch s.kind {
	case stepCircles:
		r, t := r2.Sub(p.Pins[s.a].Pos, at), r2.Sub(p.Pins[s.c].Pos, at)
		return math.Atan2(math.Abs(r2.Cross(r, t)), r2.Dot(r, t))
	case stepCircleLine:
		line := s.line.motion(p.Pins)
		r := r2.Sub(at, p.Pins[s.a].Pos)
		return math.Atan2(math.Abs(r2.Dot(r, line.dir.Pos)), r2.Cross(line.dir.Pos, r))
	case stepLines:
		u, v := s.line.motion(p.Pins).dir.Pos, s.over.motion(p.Pins).dir.Pos
		return math.Atan2(math.Abs(r2.Cross(u, v)), r2.Dot(u, v))
	default: // stepLever
		q := r2.Sub(p.Pins[s.c].Pos, p.Pins[s.a].Pos)
		along := math.Sqrt(math.Max(0, r2.Dot(q, q)-s.la*s.la))
		return math.Atan2(along, s.la)
	}
}

// LoopKind is what a simple loop is, seen from the crank that drives it.
type LoopKind int

const (
	CrankRocker   LoopKind = iota // the crank is shortest and turns fully; the output swings
	DoubleCrank                   // the ground is shortest: crank and output both turn fully
	DoubleRocker                  // the coupler is shortest: neither turns fully
	RockerCrank                   // the output is shortest: it could turn fully, the driving crank cannot
	ChangePoint                   // shortest + longest = the other two: branches meet in line
	TripleRocker                  // no link turns fully
	SliderCrank                   // the crank turns fully
	SliderRocker                  // a slider-crank whose crank cannot turn fully
	SlottedLever                  // the lever swings
	WhitworthLoop                 // the lever turns fully
)

var loopKinds = [...]string{
	"crank-rocker", "double crank", "double rocker", "rocker-crank", "change point", "triple rocker",
	"slider-crank", "slider-crank, crank blocked", "slotted lever", "turning slotted lever",
}

// String returns the trade's word for the kind.
func (k LoopKind) String() string { return loopKinds[k] }

// FullTurn reports whether the driving crank can turn all the way round.
func (k LoopKind) FullTurn() bool {
	switch k {
	case DoubleRocker, RockerCrank, TripleRocker, SliderRocker:
		return false
	}
	return true
}

// LoopClass is one simple loop between a crank and the frame. Lengths are
// crank, coupler, output and ground; of a slider-crank crank, rod, 0 and the
// offset of the slide from the shaft; of a lever crank, 0, 0 and the distance
// from shaft to pivot.
type LoopClass struct {
	Pin     int // where coupler and output meet
	Kind    LoopKind
	Lengths [4]float64
	// Grashof is shortest + longest − the other two, negative when a link can
	// turn fully; of four-bars only.
	Grashof float64
}

// loopEqual, relative to the longest link, is how close to equal the sums of
// Grashof's criterion count as equal: lengths are not cut any better.
const loopEqual = 1e-9

// ClassifyFourBar returns the kind of a four-bar driven by crank a, with
// coupler b, output c and ground d, by Grashof's criterion (Norton, Design of
// Machinery, section 2.12), and shortest + longest − the other two.
func ClassifyFourBar(a, b, c, d float64) (LoopKind, float64) {
	short, long := min(a, b, c, d), max(a, b, c, d)
	excess := 2*(short+long) - (a + b + c + d)
	switch {
	case math.Abs(excess) <= loopEqual*long:
		return ChangePoint, excess
	case excess > 0:
		return TripleRocker, excess
	case short == a:
		return CrankRocker, excess
	case short == d:
		return DoubleCrank, excess
	case short == b:
		return DoubleRocker, excess
	default:
		return RockerCrank, excess
	}
}

// loops classifies every dyad between a crank and the frame.
func (a *linkageAnalysis) loops() []LoopClass {
	var list []LoopClass
	for i := range a.c.steps {
		s := &a.c.steps[i]
		crank, ground := s.a, s.c
		if s.kind != stepCircleLine && (s.c < 0 || a.l.Pins[s.c].Kind == mech.CrankPin) {
			crank, ground = s.c, s.a
		}
		if crank < 0 || a.l.Pins[crank].Kind != mech.CrankPin {
			continue
		}
		pin := &a.l.Pins[crank].Crank
		axis := a.m.Shafts[pin.Shaft].At
		loop := LoopClass{Pin: s.pin, Lengths: [4]float64{0: pin.Radius}}
		switch {
		case s.kind == stepCircles && a.l.Pins[ground].Kind == mech.FixedPin:
			b, c := s.la, s.lc
			if crank == s.c {
				b, c = c, b
			}
			loop.Lengths = [4]float64{pin.Radius, b, c, r2.Norm(r2.Sub(a.l.Pins[ground].At, axis))}
			loop.Kind, loop.Grashof = ClassifyFourBar(pin.Radius, b, c, loop.Lengths[3])
		case s.kind == stepCircleLine && s.line.b < 0:
			e := math.Abs(r2.Cross(s.line.dir, r2.Sub(axis, s.line.at)))
			loop.Lengths[1], loop.Lengths[3] = s.la, e
			loop.Kind = SliderCrank
			if pin.Radius+e >= s.la {
				loop.Kind = SliderRocker
			}
		case s.kind == stepLever && a.l.Pins[ground].Kind == mech.FixedPin:
			loop.Lengths[3] = r2.Norm(r2.Sub(a.l.Pins[ground].At, axis))
			loop.Kind = SlottedLever
			if pin.Radius > loop.Lengths[3] {
				loop.Kind = WhitworthLoop
			}
		default:
			continue
		}
		list = append(list, loop)
	}
	return list
}
