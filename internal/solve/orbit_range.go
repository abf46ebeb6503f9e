package solve

import (
	"cmp"
	"math"
	"math/bits"
	"slices"
)

// A path whose quantities can be bounded over a box of angles is searched turn by
// turn of its fastest axis. A turn is cut in parts, and these again, as long as
// bounds promise more than what is met for sure, down to stretches of a sample's
// length; these are sampled. What then may still be the greatest is looked at
// exactly, the most promising stretch first.

// orbitRanges is such a search. A want is a side of a quantity that is looked for.
type orbitRanges struct {
	*orbitSearch
	wants  []orbitWant
	line   orbitLine
	turn   int64
	step   float64
	sample []float64
	off    [][2]float64 // where sampled
}

type orbitWant struct {
	side, q int
	sure    float64 // what it reaches at least
	list    []orbitStretch
}

// orbitStretch is a stretch of the path between two breaks that has been sampled.
type orbitStretch struct {
	turn     int64
	from, to float64
	most     float64 // what the quantity may reach on it, as sampled
	off      float64 // how much of that is what samples may be off
}

const (
	// orbitParts is into how many parts a stretch is cut.
	orbitParts = 4
	// orbitMostWants is how many sides of quantities are searched at once.
	orbitMostWants = 16
	// orbitOffShare is how much of what samples may be off, in all, may show between
	// places looked at exactly.
	orbitOffShare = 0.25
)

// followRanges searches the closed curve that the axes trace.
func (s *orbitSearch) followRanges() {
	r := orbitRanges{orbitSearch: s, line: s.strand(0), step: s.pathStep(), sample: make([]float64, s.field.N), off: make([][2]float64, s.field.N)}
	for q := range s.field.N {
		for side := range orbitSigns {
			if !s.wants(side, q) {
				continue
			}
			if r.wants = append(r.wants, orbitWant{side: side, q: q, sure: math.Inf(-1)}); len(r.wants) == orbitMostWants {
				r.search()
				r.wants = r.wants[:0]
			}
		}
	}
	r.search()
}

// search looks for some wants: each in the turn that promises it most, then all
// in all others.
func (r *orbitRanges) search() {
	turns := max(1, r.axes[0].winding)
	if len(r.axes) == 1 {
		turns = 1
	}
	n := len(r.wants)
	upper := make([]float64, n*int(turns))
	first := make([]int64, n)
	for m := range turns {
		r.bounds(m, 0, 2*math.Pi, upper[int(m)*n:])
		for k, u := range upper[int(m)*n:][:n] {
			if u > upper[int(first[k])*n+k] {
				first[k] = m
			}
		}
	}
	for k, m := range first {
		r.cut(m, 0, 2*math.Pi, 1<<k)
		r.refineWant(&r.wants[k])
	}
	for m := range turns {
		set := r.open(upper[int(m)*n:])
		for k := range first {
			if first[k] == m {
				set &^= 1 << k
			}
		}
		r.cut(m, 0, 2*math.Pi, set)
	}
	for k := range r.wants {
		r.refineWant(&r.wants[k])
	}
}

// bounds writes what every want may reach on a stretch of a turn.
func (r *orbitRanges) bounds(turn int64, from, to float64, upper []float64) {
	r.goTo(turn)
	b := &r.box
	for i := range r.axes {
		at := r.axes[i].index
		b.from[at], b.to[at] = r.line.base[i]+r.line.slope[i]*from, r.line.base[i]+r.line.slope[i]*to
	}
	r.field.Range(b.from, b.to, b.low, b.high)
	for k := range r.wants {
		w := &r.wants[k]
		if upper[k] = b.high[w.q]; w.side == 1 {
			upper[k] = -b.low[w.q]
		}
	}
}

func (r *orbitRanges) goTo(turn int64) {
	if turn != r.turn {
		r.turn = turn
		r.setStrand(&r.line, turn)
	}
}

// open returns the set of wants whose bounds go beyond what is sure.
func (r *orbitRanges) open(upper []float64) uint {
	set := uint(0)
	for k := range r.wants {
		if w := &r.wants[k]; upper[k] > w.sure+r.slackOf(w) {
			set |= 1 << k
		}
	}
	return set
}

func (r *orbitRanges) slackOf(w *orbitWant) float64 {
	if r.field.Slack == nil || math.IsInf(w.sure, -1) {
		return 0
	}
	return r.field.Slack(w.q, orbitSigns[w.side]*w.sure)
}

// cut looks at the parts of a stretch for a set of wants.
func (r *orbitRanges) cut(turn int64, from, to float64, set uint) {
	if set == 0 {
		return
	}
	if to-from <= r.step {
		r.look(turn, from, to, set)
		return
	}
	var upper [orbitMostWants]float64
	n := min(orbitParts, int(math.Ceil((to-from)/r.step)))
	for k := range n {
		a, b := from+(to-from)*float64(k)/float64(n), from+(to-from)*float64(k+1)/float64(n)
		r.bounds(turn, a, b, upper[:])
		r.cut(turn, a, b, set&r.open(upper[:]))
	}
}

// look samples a stretch between its breaks, and notes it for the wants of a set
// to which it promises more than what is sure: twice what a parabola through three
// samples may rise above them, and what the samples may be off.
func (r *orbitRanges) look(turn int64, from, to float64, set uint) {
	r.goTo(turn)
	var buffer [16]float64
	marks := append(buffer[:0], from)
	marks = append(r.cuts(marks, &r.line, from, to), to)
	for i := 1; i < len(marks); i++ {
		a, b := marks[i-1], marks[i]
		if b-a < 4*orbitNudge {
			continue
		}
		r.lookAt(a, b, set)
	}
}

// lookAt samples a stretch without breaks.
func (r *orbitRanges) lookAt(from, to float64, set uint) {
	var values [3][orbitMostWants]float64
	for k := range values {
		r.standAt(from, to, k)
		r.field.All(r.x, r.sample)
		for set := set; set != 0; set &= set - 1 {
			at := bits.TrailingZeros(set)
			values[k][at] = orbitSigned(r.sample[r.wants[at].q], r.wants[at].side)
		}
	}
	if r.field.Off != nil {
		r.standAt(from, to, 1)
		r.field.Off(r.x, r.off)
	}
	for ; set != 0; set &= set - 1 {
		k := bits.TrailingZeros(set)
		w := &r.wants[k]
		v, off := [3]float64{values[0][k], values[1][k], values[2][k]}, &r.off[w.q]
		w.sure = max(w.sure, max(v[0], v[1], v[2])-off[w.side])
		p := orbitStretch{turn: r.turn, from: from, to: to, most: orbitMay(&v) + off[1-w.side], off: off[1-w.side]}
		if !(p.most <= w.sure+r.slackOf(w)) {
			w.list = append(w.list, p)
		}
	}
}

// standAt sets the field's angles for the first, middle or last place of a
// stretch, and returns it.
func (r *orbitRanges) standAt(from, to float64, k int) float64 {
	theta := from + (to-from)*float64(k)/2
	r.place(&r.line, theta, orbitSide([3]orbitSide{orbitAfter, orbitBetween, orbitBefore}[k]))
	return theta
}

// refineWant looks exactly at the stretches of a want that have been noted.
func (r *orbitRanges) refineWant(w *orbitWant) {
	w.list = slices.DeleteFunc(w.list, func(p orbitStretch) bool { return p.most <= w.sure })
	slices.SortStableFunc(w.list, func(a, b orbitStretch) int { return cmp.Compare(b.most, a.most) })
	for i := range w.list {
		p := &w.list[i]
		if p.most <= r.worth(w.side, w.q) {
			break
		}
		r.goTo(p.turn)
		if r.mayBeat(w, p) {
			peak := orbitPeak{value: r.worth(w.side, w.q)}
			r.scanPiece(&r.line, p.from, p.to, (p.to-p.from)/4, w.side, w.q, &peak)
			r.offer(w.side, w.q, peak.value, r.strandTurns(p.turn, peak.theta))
		}
	}
	w.list = w.list[:0]
	w.sure = max(w.sure, r.best[w.side][w.q].value)
}

// mayBeat looks exactly at the places where a stretch was sampled, and reports
// whether the quantity may beat the best between them.
func (r *orbitRanges) mayBeat(w *orbitWant, p *orbitStretch) bool {
	var v [3]float64
	for k := range v {
		theta := r.standAt(p.from, p.to, k)
		v[k] = r.here(w.side, w.q)
		r.offer(w.side, w.q, v[k], r.strandTurns(p.turn, theta))
	}
	return !(orbitMay(&v)+orbitOffShare*p.off <= r.worth(w.side, w.q))
}

// orbitMay is what a quantity may reach on a stretch of three samples: twice what
// a parabola may rise above them.
func orbitMay(v *[3]float64) float64 {
	return max(v[0], v[1], v[2]) + math.Abs(v[0]-2*v[1]+v[2])/4
}
