package solve

import (
	"math"
	"slices"

	"understage/internal/mech"
)

// camForm is the formula of one stretch of a motion, in x from 0.
type camForm uint8

const (
	camCubic   camForm = iota // c0 + c1·x + c2·x² + c3·x³
	camSine                   // c0 + c1·x + amp·sin(freq·x + lag)
	camPoly345                // c0 + c1·(10x³ − 15x⁴ + 6x⁵)
	camPoly4567
)

// camZone is one formula of a motion law. The law's event runs over x in
// [0, 1]; the zone's own x counts from its start.
type camZone struct {
	from          float64
	form          camForm
	c             [4]float64
	amp, freq, at float64 // at: phase of the sine
}

// camLawZones returns the formulas of a unit rise over a unit event, S(0) = 0
// and S(1) = 1.
//
// Source: the family of sine, constant and cosine accelerations, and the
// polynomials of R. L. Norton, Cam Design and Manufacturing Handbook, and H. A.
// Rothbart, Cam Design Handbook (2004), p. 75 for the modified sine.
func camLawZones(law mech.Law) []camZone {
	switch law {
	case mech.Parabolic:
		return camSineFamily(0, 1, 0)
	case mech.Harmonic:
		return camSineFamily(0, 0, 1)
	case mech.Cycloidal:
		return []camZone{{form: camSine, c: [4]float64{0, 1}, amp: -1 / (2 * math.Pi), freq: 2 * math.Pi}}
	case mech.ModifiedTrapezoid:
		return camSineFamily(0.25, 0.5, 0.25)
	case mech.ModifiedSine:
		return camSineFamily(0.25, 0, 0.75)
	case mech.Polynomial345:
		return []camZone{{form: camPoly345, c: [4]float64{0, 1}}}
	case mech.Polynomial4567:
		return []camZone{{form: camPoly4567, c: [4]float64{0, 1}}}
	default:
		return []camZone{{c: [4]float64{0, 1}}}
	}
}

// camSineFamily builds the law whose acceleration rises as a sine over b/2,
// stays constant over c/2, falls through zero as a cosine over d, and mirrors
// itself, with b + c + d = 1. Its peak factor is
// Ca = 4π²/((π²−8)(b²−d²) − 2π(π−2)b + π²).
func camSineFamily(b, c, d float64) []camZone {
	const pi = math.Pi
	ca := 4 * pi * pi / ((pi*pi-8)*(b*b-d*d) - 2*pi*(pi-2)*b + pi*pi)
	x1, x2, z2 := b/2, (1-d)/2, c/2
	v1, s1 := ca*b/pi, ca*(b*b/(2*pi)-b*b/(pi*pi))
	v2, s2 := v1+ca*z2, s1+v1*z2+ca*z2*z2/2
	var zones []camZone
	add := func(width float64, z camZone) {
		if width > 0 {
			zones = append(zones, z)
		}
	}
	add(b, camZone{form: camSine, c: [4]float64{0, v1}, amp: -v1 * b / pi, freq: camQuotient(pi, b)})
	add(c, camZone{from: x1, c: [4]float64{s1, v1, ca / 2}})
	amp := ca * d * d / (pi * pi)
	if d > 0 {
		add(d, camZone{from: x2, form: camSine, c: [4]float64{s2 + amp, v2}, amp: -amp, freq: pi / d, at: pi / 2})
	}
	add(c, camZone{from: 1 - x2, c: [4]float64{1 - s2, v2, -ca / 2}})
	add(b, camZone{from: 1 - x1, form: camSine, c: [4]float64{1 - v1*x1, v1}, amp: v1 * b / pi, freq: camQuotient(pi, b), at: pi / 2})
	return zones
}

func camQuotient(a, b float64) float64 {
	if b == 0 {
		return 0
	}
	return a / b
}

// camPiece is one formula of a compiled motion: lift over x = (φ − from)·scale.
type camPiece struct {
	from, scale   float64
	form          camForm
	c             [4]float64
	amp, freq, at float64
}

// lift evaluates the piece's formula at φ, which need not lie inside it.
func (p *camPiece) lift(phi float64) Lift {
	x := (phi - p.from) * p.scale
	k := p.scale
	var l Lift
	switch p.form {
	case camCubic:
		l.S = p.c[0] + x*(p.c[1]+x*(p.c[2]+x*p.c[3]))
		l.V = p.c[1] + x*(2*p.c[2]+x*3*p.c[3])
		l.A = 2*p.c[2] + x*6*p.c[3]
		l.J = 6 * p.c[3]
	case camSine:
		sin, cos := math.Sincos(p.freq*x + p.at)
		af := p.amp * p.freq
		aff := af * p.freq
		l.S = p.c[0] + p.c[1]*x + p.amp*sin
		l.V = p.c[1] + af*cos
		l.A = -aff * sin
		l.J = -aff * p.freq * cos
	case camPoly345:
		h, y := p.c[1], 1-x
		l.S = p.c[0] + h*x*x*x*(10+x*(6*x-15))
		l.V = h * 30 * x * x * y * y
		l.A = h * 60 * x * y * (1 - 2*x)
		l.J = h * 60 * (1 + x*(6*x-6))
	case camPoly4567:
		h, y := p.c[1], 1-x
		xy := x * y
		l.S = p.c[0] + h*x*x*x*x*(35+x*(x*(70-20*x)-84))
		l.V = h * 140 * xy * xy * xy
		l.A = h * 420 * xy * xy * (1 - 2*x)
		l.J = h * 840 * xy * (1 + x*(5*x-5))
	}
	l.V *= k
	l.A *= k * k
	l.J *= k * k * k
	return l
}

// camSegmentPieces joins the segments of a motion into pieces that fill one
// turn from φ = 0, starting at the lift that makes the least lift zero. A
// segment with nothing but a step makes no piece.
func camSegmentPieces(segments []mech.Segment) []camPiece {
	var pieces []camPiece
	start, lift, least := 0.0, 0.0, 0.0
	for _, s := range segments {
		if s.Over > 0 {
			pieces = append(pieces, camEventPieces(start, lift, s)...)
			start += s.Over
		}
		lift += s.Rise
		least = min(least, lift)
	}
	for i := range pieces {
		pieces[i].c[0] -= least
	}
	return pieces
}

func camEventPieces(start, lift float64, s mech.Segment) []camPiece {
	if s.Rise == 0 {
		return []camPiece{{from: start, scale: 1 / s.Over, c: [4]float64{lift}}}
	}
	zones := camLawZones(s.Law)
	pieces := make([]camPiece, len(zones))
	for i, z := range zones {
		p := camPiece{from: start + z.from*s.Over, scale: 1 / s.Over, form: z.form, c: z.c, amp: z.amp * s.Rise, freq: z.freq, at: z.at}
		for j := range p.c {
			p.c[j] *= s.Rise
		}
		p.c[0] += lift
		pieces[i] = p
	}
	return slices.Clip(pieces)
}
