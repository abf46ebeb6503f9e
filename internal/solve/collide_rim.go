package solve

import (
	"iter"
	"math"

	"gonum.org/v1/gonum/spatial/r2"
)

// rimCorners is how many corners a rim has for collisions: on a rim of 40 mm the
// chords leave it by 1.5 micrometres.
const rimCorners = 360

// frameRim is a cam's outline about its axis, in its own template: corners on
// the true rim, counter-clockwise from polar angle 0, evenly spaced in angle.
// They are there once drawn; most rims come near nothing.
type frameRim struct {
	cam      *Cam
	corners  []r2.Vec
	radii    []float64
	slope    float64 // by which the radius changes at most, mm per rad
	greatest float64 // radius, the true one
	farthest r2.Vec  // where the rim has it
	sense    float64 // in which the cam turns, +1 counter-clockwise
}

func newFrameRim(c *Cam) *frameRim {
	r := &frameRim{cam: c, sense: c.Sense()}
	r.greatest, r.farthest = c.farthest()
	return r
}

// draw samples the true outline as its template is drawn. Where the stated motion
// folds the outline back, the outermost branch is the one that meets others.
func (r *frameRim) draw() {
	if r.corners != nil {
		return
	}
	const fine = 4 // samples to a corner
	n := rimCorners
	rays := make([]r2.Vec, n)
	for i := range rays {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / float64(n))
		rays[i] = r2.Vec{X: cos, Y: sin}
	}
	r.corners, r.radii = rays, make([]float64, n)
	sin, cos := math.Sincos(2 * math.Pi / float64(n*fine))
	turn := r2.Vec{X: 1} // φ's
	first := r.cam.rimAt(0, 0, 1)
	before, at := first, r.corner(math.Atan2(first.Y, first.X))
	for k := 1; k < n*fine; k++ {
		if turn = (r2.Vec{X: cos*turn.X - sin*turn.Y, Y: sin*turn.X + cos*turn.Y}); k%fine == 0 {
			turn = rays[k/fine]
		}
		p := r.cam.rimAt(2*math.Pi*float64(k)/float64(n*fine), turn.Y, turn.X)
		at = r.mark(at, before, p)
		before = p
	}
	r.mark(at, before, first)
	for i, rho := range r.radii {
		r.corners[i] = r2.Scale(rho, rays[i])
		r.greatest = max(r.greatest, rho)
	}
	r.measureSlope()
}

// mark raises the radius of every ray that the stretch from p to q crosses to
// where it crosses, and returns the last ray that q is past; at is p's. The
// corners are still the rays' directions.
func (r *frameRim) mark(at int, p, q r2.Vec) int {
	n := len(r.corners)
	way := r2.Sub(q, p)
	onward := r2.Cross(p, q) >= 0
	for range n {
		next := (at + 1) % n
		crossed := next
		if !onward {
			crossed = at
		}
		ray := r.corners[crossed]
		before, after := r2.Cross(p, ray), r2.Cross(ray, q)
		switch {
		case onward && before >= 0 && after >= 0:
			at = next
		case !onward && before <= 0 && after < 0:
			at = (at + n - 1) % n
		default:
			return at
		}
		if across := r2.Cross(ray, way); across != 0 {
			r.radii[crossed] = max(r.radii[crossed], r2.Cross(p, way)/across)
		}
	}
	return at
}

// measureSlope finds how fast the radius changes; along a chord it does so most
// at an end.
func (r *frameRim) measureSlope() {
	for i, c := range r.corners {
		next := r.corners[(i+1)%len(r.corners)]
		way := r2.Sub(next, c)
		for _, end := range [2]r2.Vec{c, next} {
			r.slope = max(r.slope, math.Abs(planLength(end)*r2.Dot(way, end)/r2.Cross(end, way)))
		}
	}
}

// farthest returns the greatest radius of the rim, and where in the template it
// has it: the true one, between samples on every smooth stretch.
func (c *Cam) farthest() (radius float64, at r2.Vec) {
	for i := range c.spans {
		from, to := c.spans[i].from, c.spanEnd(i)
		rim := func(phi float64) r2.Vec { return c.ContactAt(phi, c.spanLift(i, phi)).Rim }
		far := func(phi float64) float64 { return r2.Norm2(rim(phi)) }
		n := max(2*c.intervals(i), 4)
		step := (to - from) / float64(n)
		before, here := math.Inf(-1), far(from)
		for k := range n + 1 {
			phi, after := from+float64(k)*step, math.Inf(-1)
			if k < n {
				after = far(from + float64(k+1)*step)
			}
			peak := orbitCandidate{left: phi - step, mid: phi, right: phi + step, value: here}
			if here >= before && here >= after && peak.promise(before, after) > radius*radius*(1+1e-12) {
				x, most := brentMax(far, max(from, phi-step), phi, min(to, phi+step), here, orbitFine*step)
				if most > radius*radius {
					radius, at = math.Sqrt(most), rim(x)
				}
			}
			before, here = here, after
		}
	}
	return radius, at
}

// rimPose is a rim as it stands: centre and turn of its template.
type rimPose struct {
	*frameRim
	centre   r2.Vec
	sin, cos float64
}

// local returns a point of the view in the template.
func (r *rimPose) local(p r2.Vec) r2.Vec {
	d := r2.Sub(p, r.centre)
	return r2.Vec{X: r.cos*d.X + r.sin*d.Y, Y: r.cos*d.Y - r.sin*d.X}
}

// world is the inverse of local.
func (r *rimPose) world(p r2.Vec) r2.Vec {
	return r2.Vec{X: r.centre.X + r.cos*p.X - r.sin*p.Y, Y: r.centre.Y + r.sin*p.X + r.cos*p.Y}
}

// corner returns the index of the corner at or before a polar angle.
func (r *frameRim) corner(angle float64) int {
	n := len(r.corners)
	i := int(math.Floor(angle / (2 * math.Pi) * float64(n)))
	return ((i % n) + n) % n
}

// pointGap returns the signed distance of a point, in the template, from the
// rim, if that is less than limit; otherwise some value no less than limit.
// Corners are tried outward from the point's own direction, until the ray they
// lie on passes farther off than the best.
func (r *frameRim) pointGap(p r2.Vec, limit float64) float64 {
	rho := math.Sqrt(r2.Norm2(p))
	if gap := rho - r.greatest; gap >= limit {
		return gap
	}
	n := len(r.corners)
	start := r.corner(math.Atan2(p.Y, p.X))
	a, b := r.corners[start], r.corners[(start+1)%n]
	inside := r2.Cross(r2.Sub(b, a), r2.Sub(p, a)) > 0
	best := r2.Norm2(r2.Sub(nearestOnSegment(a, b, p), p))
	if inside && limit < 0 {
		// The rim is no farther than straight out.
		way := r2.Sub(b, a)
		if gap := rho * (1 - r2.Cross(a, way)/r2.Cross(p, way)); gap >= limit {
			return gap
		}
	}
	// enough: inside, nearer to the rim than this is no deeper than limit.
	enough := 0.0
	switch {
	case !inside && limit <= 0:
		return 0
	case !inside:
		best = min(best, limit*limit)
	case limit < 0:
		enough = limit * limit
	}
	for _, way := range [2]int{1, -1} {
		for k := 1; k <= n/2 && best > enough; k++ {
			i := start + way*k
			if i < 0 {
				i += n
			} else if i >= n {
				i -= n
			}
			j := i + 1
			if j == n {
				j = 0
			}
			// The edge lies beyond the ray of its nearer corner.
			near := i
			if way < 0 {
				near = j
			}
			if ray := r.corners[near]; r2.Dot(p, ray) > 0 {
				if d := r2.Cross(p, ray); d*d > best*r.radii[near]*r.radii[near] {
					break
				}
			} else if rho*rho > best {
				break
			}
			best = min(best, r2.Norm2(r2.Sub(nearestOnSegment(r.corners[i], r.corners[j], p), p)))
		}
	}
	if inside {
		return -math.Sqrt(best)
	}
	return math.Sqrt(best)
}

// rimCoreGap returns the signed distance between a rim and a grown convex core
// in the same view; where that is no more than enough, some such value.
func rimCoreGap(r *rimPose, q []r2.Vec, qr, enough float64) float64 {
	if len(q) == 1 {
		return r.pointGap(r.local(q[0]), math.Inf(1)) - qr
	}
	gap := math.Inf(1)
	for _, c := range q {
		gap = min(gap, r.pointGap(r.local(c), gap))
		if gap-qr <= enough {
			return gap - qr
		}
	}
	// Corners of the rim against the core's edges: only those that the core's
	// middle and reach leave room for.
	middle, reach := coreDisc(q)
	local := r.local(middle)
	for k := range r.outward(local, gap+reach) {
		c := r.corners[k]
		if room := gap + reach; room <= 0 || r2.Norm2(r2.Sub(c, local)) >= room*room {
			continue
		}
		if gap = min(gap, coreDistance(q, r.world(c))); gap-qr <= enough {
			break
		}
	}
	return gap - qr
}

// rimCoreLeast returns a value that the gap between a rim and a grown core in the
// same view is not less than; where that is more than most, some value more.
func rimCoreLeast(r *rimPose, q []r2.Vec, qr, most float64) float64 {
	middle, reach := coreDisc(q)
	return r.pointGap(r.local(middle), most+reach+qr) - reach - qr
}

// coreDisc returns the middle of a core's corners and how far they lie from it.
func coreDisc(q []r2.Vec) (middle r2.Vec, reach float64) {
	for _, c := range q {
		middle = r2.Add(middle, r2.Scale(1/float64(len(q)), c))
	}
	for _, c := range q {
		reach = max(reach, r2.Norm2(r2.Sub(c, middle)))
	}
	return middle, math.Sqrt(reach)
}

// outward yields the corners, outward from the one that faces a point of the
// template, as far as they may lie within reach of it.
func (r *frameRim) outward(p r2.Vec, reach float64) iter.Seq[int] {
	return func(yield func(int) bool) {
		n := len(r.corners)
		most := n
		if rho := math.Sqrt(r2.Norm2(p)); reach < rho {
			// A point within reach lies at most asin(reach/rho) to either side.
			most = min(n, 2*int(math.Asin(max(reach/rho, 0))/(2*math.Pi)*float64(n))+5)
		}
		facing := r.corner(math.Atan2(p.Y, p.X))
		for k := range most {
			i := facing + (k+1)/2
			if k%2 == 1 {
				i = facing - (k+1)/2
			}
			if i < 0 {
				i += n
			} else if i >= n {
				i -= n
			}
			if !yield(i) {
				return
			}
		}
	}
}

// rimRimGap returns the signed distance between two rims in the same view; where
// that is no more than enough, some such value.
func rimRimGap(p, q *rimPose, enough float64) float64 {
	gap := math.Inf(1)
	for pass := range 2 {
		a, b := p, q
		if pass == 1 {
			a, b = q, p
		}
		centre := a.local(b.centre)
		for k := range a.outward(centre, min(gap, 1e9)+b.greatest) {
			c := a.corners[k]
			if bound := planLength(r2.Sub(c, centre)) - b.greatest; bound >= gap {
				continue
			}
			if gap = min(gap, b.pointGap(b.local(a.world(c)), gap)); gap <= enough {
				return gap
			}
		}
	}
	return gap
}
