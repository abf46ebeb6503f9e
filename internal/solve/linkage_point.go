package solve

import (
	"math"

	"understage/internal/geom"
	"understage/internal/mech"

	"gonum.org/v1/gonum/integrate/quad"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// PointMotion is where a point on a link gets to, in the stage frame.
type PointMotion struct {
	X, Y, Z Extent // the one along the view's third axis is its level; not Valid when the spec does not give that
	// Speed and Acceleration are the greatest, mm per rad and per rad² of motor
	// turn; not Valid where the chain locks, for they have no bound there.
	Speed, Acceleration Extent
	// Path is the length travelled, mm: over a turn of the only driving shaft, or
	// over the repeat of several as long as that is at most pathMost turns.
	Path mech.Given
}

// pathMost is the most turns of the fastest shaft a path is measured over.
const pathMost = 400

// LinkageLevel returns where a linkage lies along its view's third axis: as the
// spec says, or as its driving shaft does.
func LinkageLevel(m *mech.Model, l *mech.Linkage) mech.Given {
	if l.Level.OK {
		return l.Level
	}
	for _, p := range l.Pins {
		if p.Kind == mech.CrankPin && m.Shafts[p.Crank.Shaft].Level.OK {
			return m.Shafts[p.Crank.Shaft].Level
		}
	}
	return mech.Given{}
}

// pointMotion lays the ranges of u, v, speed and acceleration out in the stage
// frame.
func (a *linkageAnalysis) pointMotion(i int, ranges []Extent) PointMotion {
	level := LinkageLevel(a.m, a.l)
	third := Extent{Min: Extreme{Value: level.Value}, Max: Extreme{Value: level.Value}, Valid: level.OK}
	p := PointMotion{Speed: ranges[2], Acceleration: ranges[3], Path: a.pathLength(i)}
	switch a.l.View {
	case geom.Front:
		p.X, p.Y, p.Z = ranges[0], third, ranges[1]
	case geom.Side:
		p.X, p.Y, p.Z = third, ranges[0], ranges[1]
	default:
		p.X, p.Y, p.Z = ranges[0], ranges[1], third
	}
	return p
}

// PointAt returns the linkage's point of that index in the stage frame, with
// its velocity and acceleration.
func (c *Chain) PointAt(l *mech.Linkage, level float64, p *ChainPose, i int) (pos, vel, acc r3.Vec) {
	pt := c.Point(p, i)
	return l.View.Stage(pt.Pos, level), l.View.Stage(pt.Vel, 0), l.View.Stage(pt.Acc, 0)
}

// pathLength integrates a point's speed along the path (Gauss-Legendre, panels
// halved until they agree).
func (a *linkageAnalysis) pathLength(point int) mech.Given {
	if !math.IsInf(a.to, 0) || a.gone {
		return mech.Given{}
	}
	span, rates := 2*math.Pi, []float64{1}
	if len(a.c.rates) > 1 {
		span, rates = a.repeat(), a.c.rates
		if span*slicesMax(rates) > 2*math.Pi*pathMost {
			return mech.Given{}
		}
	}
	x := make([]float64, len(rates))
	speed := func(at float64) float64 {
		for i, r := range rates {
			x[i] = orbitWrap(at * r)
		}
		if !a.c.Solve(x, a.p) {
			return 0
		}
		return r2.Norm(a.c.Point(a.p, point).Vel)
	}
	// Velocities are per rad of motor turn; a single shaft's path runs by its own.
	scale := rates[0] / a.c.rates[0]
	n := int(math.Ceil(span * slicesMax(rates) / (2 * math.Pi) * 32))
	total := 0.0
	for k := range n {
		p, q := span*float64(k)/float64(n), span*float64(k+1)/float64(n)
		total += panelLength(speed, p, q, quad.Fixed(speed, p, q, 7, quad.Legendre{}, 0), 24)
	}
	return mech.Given{Value: total * scale, OK: true}
}

// panelLength integrates f over [p, q], whose first estimate is whole.
func panelLength(f func(float64) float64, p, q, whole float64, depth int) float64 {
	mid := (p + q) / 2
	left := quad.Fixed(f, p, mid, 7, quad.Legendre{}, 0)
	right := quad.Fixed(f, mid, q, 7, quad.Legendre{}, 0)
	if depth == 0 || math.Abs(left+right-whole) <= 1e-10*(1e-3+math.Abs(whole)) {
		return left + right
	}
	return panelLength(f, p, mid, left, depth-1) + panelLength(f, mid, q, right, depth-1)
}

func slicesMax(list []float64) float64 {
	most := 0.0
	for _, v := range list {
		most = max(most, v)
	}
	return most
}
