package solve

import (
	"cmp"
	"math"
	"slices"
)

// followPath searches the closed curve that the axes trace, one turn of the
// fastest axis after the other: first every quantity at samples, then the
// samples that may still beat the greatest one are refined.
func (s *orbitSearch) followPath() {
	turns := max(1, s.axes[0].winding)
	if len(s.axes) == 1 {
		turns = 1
	}
	line := s.strand(0)
	step := s.pathStep()
	var candidates []orbitCandidate
	var marks []float64
	rows := newOrbitRows(s.field.N)
	for m := range turns {
		s.setStrand(&line, m)
		marks = append(s.cuts(append(marks[:0], 0), &line, 0, 2*math.Pi), 2*math.Pi)
		for i := 1; i < len(marks); i++ {
			candidates = s.samplePiece(&line, m, marks[i-1], marks[i], step, rows, candidates)
		}
	}
	for i := range candidates {
		// Two samples cannot tell what lies between an end and the place just
		// inside it.
		if c := &candidates[i]; c.atEnd() {
			c.upper += orbitEndShare * (s.best[0][c.q].value + s.best[1][c.q].value)
		}
	}
	candidates = slices.DeleteFunc(candidates, func(c orbitCandidate) bool { return !(c.upper > s.worth(c.side, c.q)) })
	slices.SortStableFunc(candidates, func(p, q orbitCandidate) int { return cmp.Compare(q.upper, p.upper) })
	for _, c := range candidates {
		if c.upper <= s.worth(c.side, c.q) {
			continue
		}
		s.setStrand(&line, c.strand)
		peak := orbitPeak{value: math.Inf(-1)}
		s.refine(&line, c, &peak)
		s.offer(c.side, c.q, peak.value, s.strandTurns(c.strand, peak.theta))
	}
}

// pathStep is the step in the fastest axis's angle that gives every axis its
// samples.
func (s *orbitSearch) pathStep() float64 {
	samples := 0.0
	for _, a := range s.axes {
		share := 1.0
		if len(s.axes) > 1 {
			share = float64(a.winding) / float64(s.axes[0].winding)
		}
		samples = max(samples, float64(a.samples)*share)
	}
	return 2 * math.Pi / samples
}

// strand returns the line that the path follows in the m-th turn of the fastest
// axis, θ being that axis's angle.
func (s *orbitSearch) strand(m int64) orbitLine {
	l := orbitLine{base: make([]float64, len(s.axes)), slope: make([]float64, len(s.axes))}
	s.setStrand(&l, m)
	return l
}

func (s *orbitSearch) setStrand(l *orbitLine, m int64) {
	l.base[0], l.slope[0] = 0, 1
	for i := 1; i < len(s.axes); i++ {
		whole, n := s.axes[0].winding, s.axes[i].winding
		l.base[i] = 2 * math.Pi * float64(mulMod(n, m, whole)) / float64(whole)
		l.slope[i] = float64(n) / float64(whole)
	}
}

// strandTurns returns the motor turns at the angle θ of the fastest axis in its
// m-th turn, both counted on past a turn if need be.
func (s *orbitSearch) strandTurns(m int64, theta float64) float64 {
	t := float64(m) + theta/(2*math.Pi)
	if whole := float64(max(1, s.axes[0].winding)); len(s.axes) > 1 {
		t -= whole * math.Floor(t/whole)
	} else {
		t -= math.Floor(t)
	}
	return t / math.Abs(s.fastest.Float())
}

// orbitRows holds the quantities at the last three samples.
type orbitRows struct {
	before, here, after []float64
}

func newOrbitRows(n int) *orbitRows {
	return &orbitRows{make([]float64, n), make([]float64, n), make([]float64, n)}
}

func (r *orbitRows) shift() { r.before, r.here, r.after = r.here, r.after, r.before }

func fillNaN(row []float64) {
	for i := range row {
		row[i] = math.NaN()
	}
}

// samplePiece looks at every quantity between two breaks of the path, offers the
// samples and appends those that stand no lower than their neighbours.
func (s *orbitSearch) samplePiece(l *orbitLine, m int64, from, to, step float64, rows *orbitRows, list []orbitCandidate) []orbitCandidate {
	if to-from < 4*orbitNudge {
		return list
	}
	n := max(2, int(math.Ceil((to-from)/step)))
	c := orbitCandidate{strand: m, left: from, mid: from, right: from}
	fillNaN(rows.here)
	s.place(l, from, orbitAfter)
	s.field.All(s.x, rows.after)
	over := 0 // samples before this one are passed over
	for k := range n + 3 {
		rows.shift()
		c.left, c.mid = c.mid, c.right
		if k < n+2 {
			var stand orbitSide
			c.right, stand = orbitStop(from, to, k+1, n)
			if s.field.Range != nil && k > 0 && k+1 >= over && (k-1)%orbitBlock == 0 {
				next := min(k+1+orbitBlock, n+1)
				if end, _ := orbitStop(from, to, next, n); s.beneath(l, c.mid, end) {
					over = next
				}
			}
			if k+1 < over {
				fillNaN(rows.after)
			} else {
				s.place(l, c.right, stand)
				s.field.All(s.x, rows.after)
			}
		} else {
			fillNaN(rows.after)
		}
		list = s.pickPeaks(c, rows, list)
	}
	return list
}

// beneath reports whether no quantity can be extreme on a stretch of a line.
func (s *orbitSearch) beneath(l *orbitLine, from, to float64) bool {
	b := &s.box
	for i, a := range s.axes {
		b.from[a.index], b.to[a.index] = l.base[i]+l.slope[i]*from, l.base[i]+l.slope[i]*to
	}
	s.field.Range(b.from, b.to, b.low, b.high)
	for q := range s.field.N {
		spare := orbitRangeShare * (s.best[0][q].value + s.best[1][q].value)
		if s.wants(0, q) && !(b.high[q]+spare < s.worth(0, q)) || s.wants(1, q) && !(spare-b.low[q] < s.worth(1, q)) {
			return false
		}
	}
	return true
}

// pickPeaks appends a candidate for each quantity that is no lower here than at
// the samples beside.
func (s *orbitSearch) pickPeaks(c orbitCandidate, rows *orbitRows, list []orbitCandidate) []orbitCandidate {
	for q, here := range rows.here {
		if here != here {
			continue
		}
		for side := range orbitSigns {
			before, after := orbitSigned(rows.before[q], side), orbitSigned(rows.after[q], side)
			c.side, c.q, c.value = side, q, orbitSigned(here, side)
			if c.value < before || c.value < after {
				continue
			}
			if c.value > s.best[side][q].value {
				s.offer(side, q, c.value, s.strandTurns(c.strand, c.mid))
			}
			if !s.wants(side, q) {
				continue
			}
			if c.upper = c.promise(before, after); c.upper > s.worth(side, q) || c.atEnd() {
				list = append(list, c)
			}
		}
	}
	return list
}
