package solve

import (
	"math"

	"understage/internal/mech"
)

// pushState is a push at one angle of its shaft: what its constraint needs that
// does not depend on the pose. Derivatives are by the motor's angle.
type pushState struct {
	phi float64 // of the cam, or the crank's turn;
	// Yoke: travel from upright along its direction, mm, and derivatives.
	e, e1, e2 float64
	// Rod: crank pin from the pivot in plan, and derivatives.
	x, y, x1, y1, x2, y2 float64
}

// drive evaluates both pushes at the angles x of the orbit's axes, with
// derivatives up to order.
func (t *Torso) drive(x []float64, s *[2]pushState, order int) {
	for i := range t.pushes {
		t.driveOne(i, x[t.pushes[i].axis], &s[i], order)
	}
}

// driveOne evaluates one push at its shaft's angle.
func (t *Torso) driveOne(i int, turn float64, st *pushState, order int) {
	p := &t.pushes[i]
	switch p.kind {
	case mech.Yoke:
		p.travel(p.cam.Lift(turn+p.phase), st)
	case mech.Edge:
		st.phi = turn + p.phase
	case mech.Rod:
		sin, cos := math.Sincos(p.phase + p.sense*turn)
		r, rate := p.radius, p.sense*p.rate
		st.x, st.y = p.atX+r*cos, p.atY+r*sin
		if order > 0 {
			st.x1, st.y1 = -r*sin*rate, r*cos*rate
			st.x2, st.y2 = -r*cos*rate*rate, -r*sin*rate*rate
		}
	}
}

// travel sets a yoke's travel from the lift of its cam.
func (p *torsoPush) travel(l Lift, st *pushState) {
	st.e, st.e1, st.e2 = p.ratio*(l.S-p.plumb), p.ratio*l.V*p.rate, p.ratio*l.A*p.rate*p.rate
}

// pushRow is a push's constraint at a pose: its residual f in mm and slopes by
// p and q.
type pushRow struct {
	f, fp, fq float64
}

// row evaluates a push's constraint.
func (p *torsoPush) row(s *pushState, tp, tq float64) pushRow {
	switch p.kind {
	case mech.Edge:
		_, _, row := p.edgeRow(s, tp, tq)
		return row
	case mech.Rod:
		_, row := p.rodRow(s, tp, tq)
		return row
	default:
		return pushRow{-p.depth*(tp*p.alongX+tq*p.alongY) - s.e, -p.depth * p.alongX, -p.depth * p.alongY}
	}
}

// edgeView is where an edge push's cam sees the shaft: distance, unit vectors
// outward and round counter-clockwise.
type edgeView struct {
	distance, ux, uy float64
}

func (p *torsoPush) edgeRow(s *pushState, tp, tq float64) (edgeView, Lift, pushRow) {
	cx, cy := -p.depth*tp-p.atX, -p.depth*tq-p.atY
	d := math.Sqrt(cx*cx + cy*cy)
	v := edgeView{d, cx / d, cy / d}
	delta := math.Remainder(math.Atan2(cy, cx)-p.heading, 2*math.Pi)
	l := p.cam.Lift(s.phi - p.sense*delta)
	// The rim meets the shaft at φ − σδ, so moving round by t̂ changes its radius
	// by −σ·lift'/distance.
	turn := p.sense * l.V / d
	nx, ny := v.ux-turn*v.uy, v.uy+turn*v.ux
	return v, l, pushRow{d - p.cam.PrimeRadius() - l.S, -p.depth * nx, -p.depth * ny}
}

// rodView is a rod at a pose: its vector from crank pin to ball, and the axis.
type rodView struct {
	bx, by, bz float64
	ax, ay, az float64 // the shaft's axis
	length     float64
}

func (p *torsoPush) rodRow(s *pushState, tp, tq float64) (rodView, pushRow) {
	az := 1 / math.Sqrt(1+tp*tp+tq*tq)
	v := rodView{ax: tp * az, ay: tq * az, az: az}
	v.bx, v.by, v.bz = -p.depth*v.ax-s.x, -p.depth*v.ay-s.y, -p.depth*v.az+p.pinDepth
	v.length = math.Sqrt(v.bx*v.bx + v.by*v.by + v.bz*v.bz)
	// ∂a/∂p = (x̂ − a·ax)·az
	along := v.bx*v.ax + v.by*v.ay + v.bz*v.az
	k := -p.depth * az / v.length
	return v, pushRow{v.length - p.length, k * (v.bx - along*v.ax), k * (v.by - along*v.ay)}
}

// rates returns the right-hand sides of fp·p' + fq·q' = first and
// fp·p” + fq·q” = second at a pose, with the row itself. With p1 and q1 not
// yet known, second is meaningless.
func (p *torsoPush) rates(s *pushState, tp, tq, p1, q1 float64) (row pushRow, first, second float64) {
	switch p.kind {
	case mech.Edge:
		return p.edgeRates(s, tp, tq, p1, q1)
	case mech.Rod:
		return p.rodRates(s, tp, tq, p1, q1)
	default:
		return p.row(s, tp, tq), s.e1, s.e2
	}
}

// edgeRates: from û·ċ + σ·lift'·β̇ = lift'·φ̇ with β the direction of c from the
// cam's axis, and its derivative, where û˙ = β̇·t̂ and φ̇ is constant.
func (p *torsoPush) edgeRates(s *pushState, tp, tq, p1, q1 float64) (row pushRow, first, second float64) {
	v, l, row := p.edgeRow(s, tp, tq)
	cx1, cy1 := -p.depth*p1, -p.depth*q1
	out := v.ux*cx1 + v.uy*cy1
	round := (v.ux*cy1 - v.uy*cx1) / v.distance // β̇
	slip := p.rate - p.sense*round              // how fast the rim passes under the shaft
	first = l.V * p.rate
	second = l.A*slip*slip - v.distance*round*round + 2*p.sense*l.V*out*round/v.distance
	return row, first, second
}

// rodRates: from b·(ḃ − k̇) = 0 and |ḃ − k̇|² + b·(b̈ − k̈) = 0 with b from crank
// pin k to ball. The rows are divided by the length, like rodRow's.
func (p *torsoPush) rodRates(s *pushState, tp, tq, p1, q1 float64) (row pushRow, first, second float64) {
	v, row := p.rodRow(s, tp, tq)
	first = (v.bx*s.x1 + v.by*s.y1) / v.length
	// ȧ = (x̂p' + ŷq' − a·u)·az with u = ax·p' + ay·q', and the part of ä that does
	// not come from p'' and q'': −2u·az·ȧ − a·(az·(u̇ part)).
	u := v.ax*p1 + v.ay*q1
	dx, dy, dz := (p1-v.ax*u)*v.az, (q1-v.ay*u)*v.az, -v.az*u*v.az
	e := dx*p1 + dy*q1 // u̇ without p'', q''
	kx := -(dx*u + v.ax*e) * v.az
	ky := -(dy*u + v.ay*e) * v.az
	kz := -(dz*u + v.az*e) * v.az
	kx, ky, kz = kx+(p1-v.ax*u)*dz, ky+(q1-v.ay*u)*dz, kz-v.az*u*dz
	gx, gy, gz := -p.depth*dx-s.x1, -p.depth*dy-s.y1, -p.depth*dz
	b := v.bx*(-p.depth*kx-s.x2) + v.by*(-p.depth*ky-s.y2) + v.bz*(-p.depth*kz)
	second = -(gx*gx + gy*gy + gz*gz + b) / v.length
	return row, first, second
}

// torsoTilt is a solution of the two pushes.
type torsoTilt struct {
	p, q float64
	det  float64 // of the slopes by p and q, mm²
}

const (
	// torsoStep is the change of tan(lean) or tan(nod) at which Newton's method
	// stops: the step after it would be its square, below rounding.
	torsoStep = 1e-8
	// torsoRounds bounds Newton's method. From nearby it takes four.
	torsoRounds = 16
	// torsoStride is the longest step taken at once, about 27° of lean.
	torsoStride = 0.5
)

// newton solves both pushes from a guess.
func (t *Torso) newton(s *[2]pushState, p, q float64) (torsoTilt, bool) {
	for range torsoRounds {
		a, b := t.pushes[0].row(&s[0], p, q), t.pushes[1].row(&s[1], p, q)
		det := a.fp*b.fq - a.fq*b.fp
		dp, dq := (a.fq*b.f-b.fq*a.f)/det, (b.fp*a.f-a.fp*b.f)/det
		size := math.Sqrt(dp*dp + dq*dq)
		if !(size < 1e6) { // singular, or NaN
			return torsoTilt{}, false
		}
		if size > torsoStride {
			dp, dq = dp*torsoStride/size, dq*torsoStride/size
		}
		p, q = p+dp, q+dq
		if size < torsoStep {
			return torsoTilt{p, q, det}, true
		}
	}
	return torsoTilt{}, false
}

// tilt solves the pushes on the start's branch, from the guess and from upright,
// and then from poses all round unless told to be hasty: the pose does not
// depend on the guess. far says that only the last helped.
func (t *Torso) tilt(s *[2]pushState, p, q float64, hasty bool) (best torsoTilt, far, ok bool) {
	if t.branch == 0 {
		return torsoTilt{}, false, false
	}
	if r, ok := t.newton(s, p, q); ok && r.det*t.branch > 0 {
		return r, false, true
	}
	if p != 0 || q != 0 {
		if r, ok := t.newton(s, 0, 0); ok && r.det*t.branch > 0 {
			return r, false, true
		}
	}
	if hasty {
		return torsoTilt{}, false, false
	}
	for _, reach := range [...]float64{0.2, 0.5} {
		for i := range 4 {
			sin, cos := math.Sincos((float64(i) + 2*reach) * math.Pi / 2)
			r, solved := t.newton(s, reach*cos, reach*sin)
			if !solved || r.det*t.branch <= 0 {
				continue
			}
			if !ok || r.p*r.p+r.q*r.q < best.p*best.p+best.q*best.q {
				best, ok = r, true
			}
		}
		if ok {
			break
		}
	}
	return best, ok, ok
}
