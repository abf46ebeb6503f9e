package solve

// Near repeats. A shaft of (unsigned) ratio r_i is within ε turns of home while
// |r_i·t − n_i| ≤ ε for some whole n_i, an interval of t. Intervals on a line
// share a point exactly when every two of them do, so all shafts are near home
// together, about the turn counts n, exactly when for every pair
//
//	|n_i·r_j − n_j·r_i| ≤ ε·(r_i + r_j)
//
// and the least worst distance from home there is the greatest, over the pairs,
// of |n_i·r_j − n_j·r_i|/(r_i + r_j) (a minimum of the greatest of straight-line
// Vs is reached where two of opposite slope cross). The search takes the slowest
// shaft's turns one by one, since only there can all be home, and for each the
// few counts of the others that pass the pair test.

import (
	"math"
	"math/big"
	"slices"
)

// NearStatus says what the search for a near repeat came to.
type NearStatus int

const (
	NoNearRepeat NearStatus = iota // none before the repeat
	NearFound
	NearSearchEnded // none in the first Searched motor turns; the rest was not looked at
)

// Near is the first instant, after the slowest shaft that matters has turned
// once, when all are near home, taken to where the worst of them is nearest.
type Near struct {
	Status   NearStatus
	Turns    float64 // motor turns from the start
	Worst    float64 // rad from home, of the shaft that is worst off
	Searched float64 // motor turns looked through
	// Move is the farthest any of the figure's points then is from its home
	// place, mm. It is filled in by what poses the figure.
	Move float64
	// Moves says that Move is known.
	Moves bool
}

// nearSearchSteps is how many combinations of turn counts the search looks at
// before it gives up: some tens of milliseconds' worth. Chance alone brings k
// shafts near home within some (180°/limit)^(k-1) turns of the slowest, so that
// six shafts at 10° mostly stay within it.
const nearSearchSteps = 4_000_000

// nearEpsilonMost keeps the stretches about successive turn counts apart.
const nearEpsilonMost = 0.49

// nearRepeat searches before the repeat. The ratios are distinct and positive.
func nearRepeat(ratios []Ratio, repeat rational, limit float64) Near {
	epsilon := limit / (2 * math.Pi)
	if !(epsilon > 0) || len(ratios) < 2 {
		return Near{}
	}
	s := newNearSearch(ratios, min(epsilon, nearEpsilonMost))
	slowest := repeat.times(s.ratios[0]).float()
	returns := newReturns(s.speed[1]/s.speed[0], s.epsilon*(1+s.speed[1]/s.speed[0]))
	n := returns.after(0)
	for ; float64(n) <= slowest && s.steps < nearSearchSteps && float64(n) < returns.most; n = returns.after(n) {
		s.counts[0] = n
		if s.extend(1, -s.epsilon/s.speed[0], s.epsilon/s.speed[0]) {
			break
		}
	}
	near := Near{Searched: float64(n) / s.speed[0]}
	switch {
	case !s.turns.known() && float64(n) <= slowest:
		near.Status = NearSearchEnded
	case !s.turns.known():
		near.Searched = slowest / s.speed[0]
	case s.turns.cmp(repeat) != 0: // otherwise every shaft is exactly home
		near.Status = NearFound
		near.Turns = s.turns.float()
		near.Worst = s.worst.float() * 2 * math.Pi
	}
	return near
}

// returns steps through the counts n of the slowest shaft at which the second
// slowest is near home too: n·ρ within w of a whole number. A turning by ρ comes
// back to a stretch of length 2w after one of three counts only: the least that
// moves it up by no more than 2w, the least that moves it down so, or both
// together (the three-gap theorem; Sós, Surányi and Świerczkowski, 1958,
// from memory).
type returns struct {
	rho, w     float64
	up, down   int64 // 0: every count is one
	rise, fall float64
	most       float64 // counts beyond which n·ρ is not exact enough
}

// returnMargin, in turns, widens the stretch by more than the rounding of n·ρ
// up to returns.most; what it lets in besides is sorted out exactly later.
const returnMargin = 1e-6

// returnScan bounds the look for the two returns; a stretch so narrow that it
// does not suffice is stepped through one by one.
const returnScan = 1 << 20

func newReturns(rho, w float64) returns {
	r := returns{rho: rho, w: w + returnMargin, most: 1e9 / rho}
	if r.w >= 0.5 {
		return r
	}
	for n := int64(1); n < returnScan && (r.up == 0 || r.down == 0); n++ {
		x := r.off(n)
		if r.up == 0 && x >= 0 && x <= 2*r.w {
			r.up, r.rise = n, x
		}
		if r.down == 0 && x <= 0 && x >= -2*r.w {
			r.down, r.fall = n, -x
		}
	}
	if r.up == 0 || r.down == 0 {
		r.up, r.down = 0, 0
	}
	return r
}

// off returns how far n·ρ is past the nearest whole number.
func (r *returns) off(n int64) float64 {
	x := float64(n) * r.rho
	return x - math.Round(x)
}

// after returns the next count after n at which both may be near home. It may
// return one at which they are not, never skip one at which they are.
func (r *returns) after(n int64) int64 {
	if r.up == 0 {
		return n + 1
	}
	x := r.off(n)
	next := r.up + r.down
	// A hair of slack at the edges: one return too soon costs little.
	if x+r.rise <= r.w+returnMargin {
		next = min(next, r.up)
	}
	if x-r.fall >= -r.w-returnMargin {
		next = min(next, r.down)
	}
	return n + next
}

// nearSearch looks, for one count of the slowest shaft after another, for
// counts of the others that are near home with it. Taken in rising order,
// slower shafts first, the counts come in the order of time.
type nearSearch struct {
	ratios  []rational // slowest first
	speed   []float64
	epsilon float64 // turns
	exact   rational
	counts  []int64
	steps   int

	turns, worst rational // what was found; not known before
}

func newNearSearch(ratios []Ratio, epsilon float64) *nearSearch {
	slices.SortFunc(ratios, func(a, b Ratio) int { return a.rational().cmp(b.rational()) })
	s := &nearSearch{epsilon: epsilon, counts: make([]int64, len(ratios))}
	// The limit in degrees has been through π; a stretch that only just touches
	// it counts.
	s.exact = rationalOf(new(big.Rat).SetFloat64(epsilon * (1 + 1e-12)))
	for _, r := range ratios {
		s.ratios = append(s.ratios, r.rational())
		s.speed = append(s.speed, r.Float())
	}
	return s
}

// extend tries every count of shaft i that is near home at some time from lo to
// hi, both in motor turns after the slowest shaft is exactly home. It reports
// whether it found one set of counts, the earliest.
func (s *nearSearch) extend(i int, lo, hi float64) bool {
	if i == len(s.counts) {
		return s.confirm()
	}
	middle := float64(s.counts[0]) * (s.speed[i] / s.speed[0])
	// Wider than the rounding of middle; confirm decides exactly.
	reach := s.epsilon + 1e-12 + 8*machineEpsilon*middle
	last := middle + hi*s.speed[i] + reach
	for n := math.Ceil(middle + lo*s.speed[i] - reach); n <= last && s.steps < nearSearchSteps; n++ {
		s.steps++
		s.counts[i] = int64(n)
		off := n - middle
		if s.extend(i+1, max(lo, (off-reach)/s.speed[i]), min(hi, (off+reach)/s.speed[i])) {
			return true
		}
	}
	s.steps++
	return false
}

// machineEpsilon is the spacing of float64 at 1.
const machineEpsilon = 0x1p-52

// confirm decides one set of counts exactly: all near home at once, at some
// instant after the slowest shaft has turned once.
func (s *nearSearch) confirm() bool {
	turns, worst := leastWorst(s.ratios, s.counts)
	if worst.cmp(s.exact) > 0 {
		return false
	}
	once := 1 / s.speed[0]
	for i, n := range s.counts {
		if (float64(n)+s.epsilon)/s.speed[i] < once*(1-1e-12) {
			return false
		}
	}
	s.turns, s.worst = turns, worst
	return true
}

// leastWorst returns the motor turns at which the worst distance from home,
// with the shafts about the given whole turns, is least, and that distance in
// turns.
func leastWorst(ratios []rational, counts []int64) (turns, worst rational) {
	worst = newRational(-1, 1)
	for i := range ratios {
		for j := range i {
			// The Vs of i and j, one rising and one falling, cross at
			// t = (n_i + n_j)/(r_i + r_j), off home by the pair's distance.
			ni, nj := newRational(counts[i], 1), newRational(counts[j], 1)
			sum := ratios[i].plus(ratios[j])
			off := ni.times(ratios[j]).plus(nj.times(ratios[i]).negated()).magnitude().over(sum)
			if off.cmp(worst) > 0 {
				worst = off
				turns = ni.plus(nj).over(sum)
			}
		}
	}
	return turns, worst
}
