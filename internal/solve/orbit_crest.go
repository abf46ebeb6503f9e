package solve

import (
	"cmp"
	"math"
	"slices"
)

// Crest is where, over two axes, a quantity is greater than all round: a place,
// or the stretch or field over which it stays so while an axis has no effect. A
// field that knows all crests of a quantity spares the grid.
type Crest struct {
	From, To [2]float64 // by the field's axes, rad, From ≤ To ≤ From + 2π
	Value    float64
	// Bend are the second derivatives at a place, by the first axis, mixed, and by
	// the second; zero where they are not known.
	Bend [3]float64
	// Rough says that the quantity may have a kink there.
	Rough bool
}

// orbitPass is a strand of the path that comes by a crest, near θ of the fast
// axis, and what it may reach there. Of a crest that is no smooth place, low and
// high are where the strand has it beside along one axis and along the other: in
// between, the one axis makes the quantity fall and the other makes it grow.
type orbitPass struct {
	strand, theta, upper float64
	rough                bool
	low, high            float64
}

const (
	// orbitMeets, in spacings of the strands, is how far a strand may pass by a
	// place and count as meeting it: the value is level there.
	orbitMeets = 1e-9
	// orbitMeetings is among how many strands that meet a crest the first in time
	// is sought.
	orbitMeetings = 64
	// orbitLossShare of the loss that a crest's bends foretell for a strand is
	// counted on: they change with the distance.
	orbitLossShare = 0.5
	// orbitPassStep, rad, is half the width of the parabola laid over a pass, and
	// orbitPassFine of its height how well the top must fit it.
	orbitPassStep = 1e-3
	orbitPassFine = 1e-4
	// orbitFlank, rad, is how far apart the flanks of a pass may lie for the quantity
	// to have but one greatest value between them.
	orbitFlank = 0.3
	// orbitFlankFine, of the way between a pass's flanks, is where its search stops.
	orbitFlankFine = 1e-4
)

// searchCrests searches a quantity whose crests the field knows. On a crest the
// greatest value along the line at w rises steadily to the top, so the best
// strand is one that meets the crest, or one of the two beside it.
func (t *orbitTorus) searchCrests(q int) bool {
	if t.field.Crests == nil {
		return false
	}
	for side, sign := range orbitSigns {
		if !t.wants(side, q) {
			continue
		}
		crests, ok := t.field.Crests(q, sign)
		if !ok || len(crests) == 0 {
			return false
		}
		t.passes = t.passes[:0]
		for i := range crests {
			t.approach(&crests[i], side, q)
		}
		t.tryPasses(side, q)
	}
	return true
}

// approach offers the crest's value where it is met, and notes the strands
// beside it where it is not.
func (t *orbitTorus) approach(c *Crest, side, q int) {
	x, y := t.axes[0].index, t.axes[1].index
	if t.bound {
		t.offer(side, q, c.Value, t.closestPass(orbitTop{w: c.From[y], theta: c.From[x], value: c.Value}))
		return
	}
	if c.Value <= t.best[side][q].value {
		return
	}
	spacing := 2 * math.Pi / float64(t.axes[0].winding)
	low, high := (c.From[y]-t.slope*c.To[x])/spacing, (c.To[y]-t.slope*c.From[x])/spacing
	if first := math.Ceil(low - orbitMeets); first <= high+orbitMeets {
		t.offer(side, q, c.Value, t.meeting(c, first, high+orbitMeets))
		return
	}
	bend := [3]float64{c.Bend[0], c.Bend[1], c.Bend[2]}
	if x == 1 {
		bend[0], bend[2] = bend[2], bend[0]
	}
	for _, strand := range [2]float64{math.Floor(low), math.Floor(low) + 1} {
		p := orbitPass{strand: strand, theta: c.From[x], upper: c.Value, rough: c.Rough || c.From != c.To}
		off := strand - low
		if strand > low {
			off = strand - high
		}
		off *= spacing // from the crest, along y
		p.low, p.high = t.flanks(c, strand*spacing)
		along := bend[0] + 2*t.slope*bend[1] + t.slope*t.slope*bend[2]
		if loss := (bend[0]*bend[2] - bend[1]*bend[1]) / along * off * off / 2; along < 0 && loss < 0 && !p.rough && p.high-p.low <= orbitFlank {
			p.upper += orbitLossShare * loss
			p.theta -= off * (bend[1] + t.slope*bend[2]) / along
		}
		t.passes = append(t.passes, p)
	}
}

// meeting returns the motor turns at which one of the strands from first to last
// meets a crest: the first of all where the crest goes round a whole axis.
func (t *orbitTorus) meeting(c *Crest, first, last float64) float64 {
	x, y := t.axes[0].index, t.axes[1].index
	fast := c.firstAngle(x) / (2 * math.Pi) / math.Abs(t.fastest.Float())
	switch slow := c.firstAngle(y) / (2 * math.Pi) / math.Abs(t.fastest.Float()) / t.slope; {
	case c.whole(x) && c.whole(y):
		return 0
	case c.whole(y):
		return fast
	case c.whole(x):
		return slow
	}
	turns := math.Inf(1)
	for k := first; k <= last && k < first+orbitMeetings; k++ {
		theta := max(c.From[x], (c.From[y]-2*math.Pi/float64(t.axes[0].winding)*k)/t.slope)
		turns = min(turns, t.turnsOn(int64(k), theta))
	}
	return turns
}

// firstAngle returns the first angle from 0 at which an axis stands on the crest.
func (c *Crest) firstAngle(axis int) float64 {
	from := orbitWrap(c.From[axis])
	if from+c.To[axis]-c.From[axis] >= 2*math.Pi {
		return 0
	}
	return from
}

// whole reports whether the crest goes round an axis.
func (c *Crest) whole(axis int) bool { return c.To[axis]-c.From[axis] >= 2*math.Pi }

// tryPasses searches the strands noted, those that may reach highest first.
func (t *orbitTorus) tryPasses(side, q int) {
	slices.SortFunc(t.passes, func(a, b orbitPass) int { return cmp.Compare(b.upper, a.upper) })
	spacing := 2 * math.Pi / float64(t.axes[0].winding)
	for i := range t.passes {
		p := &t.passes[i]
		if p.upper <= t.best[side][q].value {
			return
		}
		var top orbitTop
		if p.high-p.low > orbitFlank {
			top = t.wideTop(p, p.strand*spacing, side, q)
		} else if p.rough {
			top = t.roughTop(p, p.strand*spacing, side, q)
		} else if smooth, ok := t.passTop(p.strand*spacing, p.theta, side, q); ok {
			top = smooth
		} else {
			top = t.along(p.strand*spacing, p.theta, side, q)
		}
		t.offer(side, q, top.value, t.turnsOn(int64(p.strand), top.theta))
	}
}

// flanks returns where the line at w leaves the crest's stretch along one axis
// and comes to that along the other.
func (t *orbitTorus) flanks(c *Crest, w float64) (low, high float64) {
	x, y := t.axes[0].index, t.axes[1].index
	from, to := (c.From[y]-w)/t.slope, (c.To[y]-w)/t.slope
	if from > c.To[x] {
		return c.To[x], from
	}
	return to, c.From[x]
}

// wideTop finds the greatest value between flanks far apart, and a little beyond,
// for at a smooth crest the axes may act together.
func (t *orbitTorus) wideTop(p *orbitPass, w float64, side, q int) orbitTop {
	t.line.base[1], t.line.slope[1] = w, t.slope
	by := 0.1 * (p.high - p.low)
	peak := t.scan(&t.line, p.low-by, p.high+by, math.Pi/float64(t.axes[0].samples), side, q)
	return orbitTop{w, peak.theta, peak.value}
}

// roughTop finds the greatest value between a pass's flanks.
func (t *orbitTorus) roughTop(p *orbitPass, w float64, side, q int) orbitTop {
	t.line.base[1], t.line.slope[1] = w, t.slope
	value := func(theta float64) float64 { return t.at(&t.line, theta, orbitBetween, side, q) }
	top := orbitTop{w: w, theta: p.low, value: value(p.low)}
	if v := value(p.high); v > top.value {
		top.theta, top.value = p.high, v
	}
	middle := (p.low + p.high) / 2
	theta, v := brentMax(value, p.low, middle, p.high, value(middle), orbitFlankFine*(p.high-p.low))
	if v > top.value {
		top.theta, top.value = theta, v
	}
	return top
}

// passTop finds the greatest value on the line at w, close to theta, by the top
// of a narrow parabola. It reports false where the value there is not what the
// parabola says, as at a kink.
func (t *orbitTorus) passTop(w, theta float64, side, q int) (orbitTop, bool) {
	t.line.base[1], t.line.slope[1] = w, t.slope
	value := func(theta float64) float64 { return t.at(&t.line, theta, orbitBetween, side, q) }
	const h = orbitPassStep
	for range 3 {
		before, here, after := value(theta-h), value(theta), value(theta+h)
		bend := before - 2*here + after
		shift := (before - after) / (2 * bend)
		switch {
		case !(bend < 0) || math.Abs(shift) > 100:
			return orbitTop{}, false
		case math.Abs(shift) > 1:
			theta += h * shift
			continue
		}
		top := orbitTop{w: w, theta: theta + h*shift}
		top.value = value(top.theta)
		expected := here - (before-after)*(before-after)/(8*bend)
		return top, math.Abs(top.value-expected) <= -orbitPassFine*bend+1e-14*math.Abs(here)
	}
	return orbitTop{}, false
}
