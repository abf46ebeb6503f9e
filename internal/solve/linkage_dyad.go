package solve

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
)

// Closed forms of the steps a chain is made of. Each places one pin or link
// from pins already placed, with first and second derivatives, and returns its
// margin: sin² of the angle μ between what it joins, negative when it does not
// close. The determinant of every dyad is the sine of that same angle, so the
// margin also tells how well the rates are determined.
//
// RRR and RRP dyads: the circle-circle and circle-line forms with the rates of
// the coordinate-free dyad equations, (B−A)·vB = (B−A)·vA and
// (B−A)·aB = (B−A)·aA − |vB−vA|² for each leg; derived from |B−A|² = const.

type stepKind int

const (
	stepCrank      stepKind = iota // a pin carried round by a shaft
	stepFollower                   // a pin moved by a cam's lift
	stepPlate                      // a pin of a link that two other pins place
	stepCircles                    // RRR: a pin at given distances from two pins
	stepCircleLine                 // RRP: a pin at a given distance from one pin, on a line
	stepLines                      // a pin on two lines
	stepLever                      // RPR: a link on one pin, its slot over another
	stepBlock                      // everything that does not fall apart into dyads
)

// chainLine is a line along which a pin runs: fixed, or through two pins.
type chainLine struct {
	b, c   int // pins; b < 0: fixed at at along dir
	length float64
	at     r2.Vec
	dir    r2.Vec
}

// chainStep is one step. Fields are shared between kinds.
type chainStep struct {
	kind stepKind
	pin  int // placed; first pin of the link for stepLever
	a, c int // pins placed before: the dyad's outer pins
	la   float64
	lc   float64
	sign float64   // branch
	k    r2.Vec    // stepPlate: the similarity; stepCrank: the shaft's axis
	line chainLine // stepCircleLine, stepLines
	over chainLine // stepLines: the other line
	// stepCrank, stepFollower: the input.
	axis   int
	rate   float64 // turn of the shaft per motor turn, > 0
	phase  float64
	sense  float64 // of the crank; of the swing of a follower
	cam    *Cam
	at     r2.Vec // follower: from the swing pivot, or the place at zero lift
	along  r2.Vec
	swings bool
	// stepLever: pins of the link and their places as seen from pin a with the
	// slot along +x.
	pins []int
	ats  []r2.Vec

	block int
	body  [2]int // links that meet here, None where there is none
	axes  uint64 // set of driving shafts that move what is placed
}

// crank: P = O + r(cos θ, sin θ), θ = phase + sense·x.
func (s *chainStep) crank(x []float64, pins []PinMotion) {
	sin, cos := math.Sincos(s.phase + s.sense*x[s.axis])
	w := s.sense * s.rate
	r := r2.Vec{X: s.la * cos, Y: s.la * sin}
	p := &pins[s.pin]
	p.Pos = r2.Add(s.k, r)
	p.Vel = r2.Vec{X: -w * r.Y, Y: w * r.X}
	p.Acc = r2.Vec{X: -w * w * r.X, Y: -w * w * r.Y}
}

// follower: P = from + lift·along, or P turned by the lift about the pivot of
// a swinging follower.
func (s *chainStep) follower(x []float64, pins []PinMotion) {
	lift := s.cam.Lift(x[s.axis] + s.phase)
	p := &pins[s.pin]
	v, a := lift.V*s.rate, lift.A*s.rate*s.rate
	if !s.swings {
		p.Pos = r2.Add(s.at, r2.Scale(lift.S, s.along))
		p.Vel = r2.Scale(v, s.along)
		p.Acc = r2.Scale(a, s.along)
		return
	}
	sin, cos := math.Sincos(s.sense * lift.S)
	r := turnBy(s.at, r2.Vec{X: cos, Y: sin})
	p.Pos = r2.Add(s.k, r)
	p.Vel = r2.Scale(s.sense*v, perpendicular(r))
	p.Acc = r2.Sub(r2.Scale(s.sense*a, perpendicular(r)), r2.Scale(v*v, r))
}

func (s *chainStep) plate(pins []PinMotion) {
	pins[s.pin] = similar(&pins[s.a], &pins[s.c], s.k)
}

// circles: with V = C−A, D² = V·V and X = (D²+b²−c²)/2,
// B = A + (X·V + branch·√(D²b²−X²)·perp V)/D²; the root is D·h = b·c·sin μ.
func (s *chainStep) circles(pins []PinMotion) float64 {
	a, c, b := &pins[s.a], &pins[s.c], &pins[s.pin]
	v := r2.Sub(c.Pos, a.Pos)
	d2 := r2.Dot(v, v)
	bb, cc := s.la*s.la, s.lc*s.lc
	x := (d2 + bb - cc) / 2
	area := d2*bb - x*x
	margin := area / (bb * cc)
	if margin < touchMargin {
		if d2 == 0 { // the outer pins lie on each other: any direction would do
			return -1
		}
		b.Pos = r2.Add(a.Pos, r2.Scale(x/d2, v))
		b.Vel, b.Acc = r2.Vec{}, r2.Vec{}
		return margin
	}
	inv := 1 / d2
	p, q := x*inv, s.sign*math.Sqrt(area)*inv
	r := r2.Vec{X: p*v.X - q*v.Y, Y: p*v.Y + q*v.X} // B − A
	t := r2.Sub(r, v)                               // B − C
	b.Pos = r2.Add(a.Pos, r)
	det := 1 / (r.X*t.Y - r.Y*t.X)
	e, f := r2.Dot(r, a.Vel), r2.Dot(t, c.Vel)
	b.Vel = r2.Vec{X: (e*t.Y - f*r.Y) * det, Y: (f*r.X - e*t.X) * det}
	va, vc := r2.Sub(b.Vel, a.Vel), r2.Sub(b.Vel, c.Vel)
	e = r2.Dot(r, a.Acc) - r2.Dot(va, va)
	f = r2.Dot(t, c.Acc) - r2.Dot(vc, vc)
	b.Acc = r2.Vec{X: (e*t.Y - f*r.Y) * det, Y: (f*r.X - e*t.X) * det}
	return margin
}

// lineMotion is a line as it moves: a point of it and its unit direction.
type lineMotion struct {
	at, dir PinMotion
}

func (l *chainLine) motion(pins []PinMotion) lineMotion {
	if l.b < 0 {
		return lineMotion{at: PinMotion{Pos: l.at}, dir: PinMotion{Pos: l.dir}}
	}
	b, c := &pins[l.b], &pins[l.c]
	k := 1 / l.length
	return lineMotion{at: *b, dir: PinMotion{
		Pos: r2.Scale(k, r2.Sub(c.Pos, b.Pos)),
		Vel: r2.Scale(k, r2.Sub(c.Vel, b.Vel)),
		Acc: r2.Scale(k, r2.Sub(c.Acc, b.Acc)),
	}}
}

// circleLine: pin F = P + s·u at distance l from A. With w = A−P, t = w·u and
// n = u×w: s = t + branch·√(l²−n²); the rates follow from r·r' = 0, r = F−A.
func (s *chainStep) circleLine(pins []PinMotion) float64 {
	a, f := &pins[s.a], &pins[s.pin]
	line := s.line.motion(pins)
	u := line.dir.Pos
	w := r2.Sub(a.Pos, line.at.Pos)
	t, n := r2.Dot(w, u), r2.Cross(u, w)
	ll := s.la * s.la
	margin := (ll - n*n) / ll
	if margin < touchMargin {
		f.Pos = r2.Add(line.at.Pos, r2.Scale(t, u))
		f.Vel, f.Acc = r2.Vec{}, r2.Vec{}
		return margin
	}
	root := s.sign * math.Sqrt(ll-n*n)
	at := t + root
	f.Pos = r2.Add(line.at.Pos, r2.Scale(at, u))
	r := r2.Sub(f.Pos, a.Pos)
	inv := 1 / root // r·u
	base := r2.Add(line.at.Vel, r2.Scale(at, line.dir.Vel))
	rate := r2.Dot(r, r2.Sub(a.Vel, base)) * inv
	f.Vel = r2.Add(base, r2.Scale(rate, u))
	base = r2.Add(r2.Add(line.at.Acc, r2.Scale(at, line.dir.Acc)), r2.Scale(2*rate, line.dir.Vel))
	d := r2.Sub(f.Vel, a.Vel)
	f.Acc = r2.Add(base, r2.Scale((r2.Dot(r, r2.Sub(a.Acc, base))-r2.Dot(d, d))*inv, u))
	return margin
}

// lines: pin F = P + s·u on the line Q + t·v: with w = Q−P and k = u×v,
// s = w×v/k. The margin carries the sign of k at the start, so that it turns
// negative when the lines pass through parallel.
func (s *chainStep) lines(pins []PinMotion) float64 {
	l, o := s.line.motion(pins), s.over.motion(pins)
	u, v := l.dir, o.dir
	k := r2.Cross(u.Pos, v.Pos)
	f := &pins[s.pin]
	if k*s.sign < 1e-9 {
		return -1
	}
	w := PinMotion{Pos: r2.Sub(o.at.Pos, l.at.Pos), Vel: r2.Sub(o.at.Vel, l.at.Vel), Acc: r2.Sub(o.at.Acc, l.at.Acc)}
	k1 := r2.Cross(u.Vel, v.Pos) + r2.Cross(u.Pos, v.Vel)
	k2 := r2.Cross(u.Acc, v.Pos) + 2*r2.Cross(u.Vel, v.Vel) + r2.Cross(u.Pos, v.Acc)
	at := r2.Cross(w.Pos, v.Pos) / k
	at1 := (r2.Cross(w.Vel, v.Pos) + r2.Cross(w.Pos, v.Vel) - at*k1) / k
	at2 := (r2.Cross(w.Acc, v.Pos) + 2*r2.Cross(w.Vel, v.Vel) + r2.Cross(w.Pos, v.Acc) - 2*at1*k1 - at*k2) / k
	f.Pos = r2.Add(l.at.Pos, r2.Scale(at, u.Pos))
	f.Vel = r2.Add(l.at.Vel, r2.Add(r2.Scale(at1, u.Pos), r2.Scale(at, u.Vel)))
	f.Acc = r2.Add(l.at.Acc, r2.Add(r2.Scale(at2, u.Pos), r2.Add(r2.Scale(2*at1, u.Vel), r2.Scale(at, u.Acc))))
	return k * k
}

// lever: a link on pin O = a whose slot lies over pin K = c. In the link's
// frame, O at the origin and the slot along +x at height e, K lies at s + ie,
// so the link stands at the direction w = (K−O)/(s+ie), s = branch·√(ρ²−e²),
// ρ = |K−O|.
func (s *chainStep) lever(pins []PinMotion) float64 {
	o, k := pins[s.a], &pins[s.c]
	q := PinMotion{Pos: r2.Sub(k.Pos, o.Pos), Vel: r2.Sub(k.Vel, o.Vel), Acc: r2.Sub(k.Acc, o.Acc)}
	e, scale := s.la, s.lc*s.lc
	left := r2.Dot(q.Pos, q.Pos) - e*e
	margin := left / scale
	if margin < touchMargin {
		return math.Min(margin, -2*touchMargin) // passing over O: the link may turn either way
	}
	z := r2.Vec{X: s.sign * math.Sqrt(left), Y: e}
	z1 := r2.Dot(q.Pos, q.Vel) / z.X
	z2 := (r2.Dot(q.Vel, q.Vel) + r2.Dot(q.Pos, q.Acc) - z1*z1) / z.X
	w := complexQuotient(q.Pos, z)
	w1 := complexQuotient(r2.Sub(q.Vel, r2.Scale(z1, w)), z)
	w2 := complexQuotient(r2.Sub(r2.Sub(q.Acc, r2.Scale(2*z1, w1)), r2.Scale(z2, w)), z)
	for i, pin := range s.pins {
		at := s.ats[i]
		pins[pin] = PinMotion{
			Pos: r2.Add(o.Pos, turnBy(at, w)),
			Vel: r2.Add(o.Vel, turnBy(at, w1)),
			Acc: r2.Add(o.Acc, turnBy(at, w2)),
		}
	}
	return margin
}
