package solve

// The repeat of a figure. A shaft of ratio a/b in lowest terms is home every
// b/|a| motor turns, so all of them are home together first after
//
//	T = lcm(b_1, …, b_k) / gcd(|a_1|, …, |a_k|)
//
// motor turns: the least common multiple of fractions in lowest terms. A few
// coprime pairs overflow 64 bits.

import (
	"math"
	"math/big"

	"understage/internal/mech"
)

// BoundTurns is how often the fastest shaft that matters may turn in one
// repeat and still have its path followed; beyond it extremes are taken over
// all combinations of the shafts' angles.
const BoundTurns = 10000

// RepeatStatus says whether there is a repeat at all.
type RepeatStatus int

const (
	RepeatOK      RepeatStatus = iota
	NothingTurns               // no shaft that matters is driven
	RepeatUnknown              // a shaft that matters has a ratio beyond 64 bits, or the drive locks
)

// Repeat is how long the figure takes to be back where it started.
type Repeat struct {
	Status RepeatStatus
	// Matters marks the shafts that a cam or crank used by the torso, a linkage
	// or the beats sits on. Where there are none, the shafts of all cams stand in
	// and StandIn is true.
	Matters []bool
	StandIn bool

	Turns      float64   // motor turns; may be a fraction where every shaft is geared up
	Exact      string    // the same, exactly: "1147" or "860/3"
	ShaftTurns []float64 // by shaft, unsigned, in that time; 0 where nothing drives it
	Bound      bool      // the fastest shaft that matters turns more than BoundTurns times
	Near       Near
}

// SolveRepeat computes the repeat; near is how far from home, in rad, a shaft
// may be in a near repeat.
func SolveRepeat(m *mech.Model, d *Drive, near float64) Repeat {
	r := Repeat{ShaftTurns: make([]float64, len(m.Shafts))}
	r.Matters, r.StandIn = shaftsThatMatter(m)
	ratios, status := ratiosThatMatter(d, r.Matters)
	if r.Status = status; status != RepeatOK {
		return r
	}
	turns := repeatOf(ratios)
	r.Turns = turns.float()
	r.Exact = turns.String()
	for i, ratio := range d.Ratios {
		n := turns.times(ratio.rational()).magnitude()
		r.ShaftTurns[i] = n.float()
		if r.Matters[i] && n.cmp(newRational(BoundTurns, 1)) > 0 {
			r.Bound = true
		}
	}
	if !isFinite(r.Turns) { // beyond 1e308 motor turns
		r.Turns = math.MaxFloat64
	}
	r.Near = nearRepeat(ratios, turns, near)
	return r
}

// rational returns the ratio as an exact number; 0 when nothing drives the shaft.
func (r Ratio) rational() rational {
	if r.Num == 0 {
		return newRational(0, 1)
	}
	return newRational(r.Num, r.Den)
}

func isFinite(f float64) bool { return f-f == 0 }

// shaftsThatMatter marks the shafts that move what is seen.
func shaftsThatMatter(m *mech.Model) (matters []bool, standIn bool) {
	matters = make([]bool, len(m.Shafts))
	mark := func(shaft int) {
		if shaft >= 0 && shaft < len(matters) {
			matters[shaft] = true
		}
	}
	markCam := func(cam int) {
		if cam >= 0 && cam < len(m.Cams) {
			mark(m.Cams[cam].Shaft)
		}
	}
	if m.Torso != nil {
		for _, p := range m.Torso.Pushes {
			if p.Kind == mech.Rod {
				mark(p.Crank.Shaft)
			} else {
				markCam(p.Cam)
			}
		}
	}
	for _, l := range m.Linkages {
		for _, p := range l.Pins {
			switch p.Kind {
			case mech.CrankPin:
				mark(p.Crank.Shaft)
			case mech.FollowerPin:
				markCam(p.Cam)
			}
		}
	}
	if m.Beats != nil && m.Beats.Of.Linkage == mech.None && m.Beats.Of.Point == mech.None {
		markCam(m.Beats.Of.Cam)
	}
	for _, yes := range matters {
		if yes {
			return matters, false
		}
	}
	for i := range m.Cams {
		markCam(i)
	}
	return matters, true
}

// ratiosThatMatter returns the distinct speeds of the driven shafts that
// matter, unsigned.
func ratiosThatMatter(d *Drive, matters []bool) ([]Ratio, RepeatStatus) {
	if d.Locks() {
		return nil, RepeatUnknown
	}
	for _, i := range d.Overflows {
		if matters[i] {
			return nil, RepeatUnknown
		}
	}
	var ratios []Ratio
	seen := make(map[Ratio]bool)
	for i, ratio := range d.Ratios {
		if ratio.Num < 0 {
			ratio.Num = -ratio.Num
		}
		if matters[i] && ratio.Driven() && !seen[ratio] {
			seen[ratio] = true
			ratios = append(ratios, ratio)
		}
	}
	if len(ratios) == 0 {
		return nil, NothingTurns
	}
	return ratios, RepeatOK
}

// repeatOf returns the least common multiple of the shafts' own periods.
func repeatOf(ratios []Ratio) rational {
	lcm, gcd := int64(1), int64(0)
	for _, r := range ratios {
		var fits bool
		if lcm, fits = fittingProduct(lcm, r.Den/divisor(lcm, r.Den)); !fits {
			return bigRepeatOf(ratios)
		}
		gcd = divisor(gcd, r.Num)
	}
	return newRational(lcm, gcd)
}

// bigRepeatOf is repeatOf for a few coprime pairs, which overflow 64 bits.
func bigRepeatOf(ratios []Ratio) rational {
	lcm, gcd := big.NewInt(1), new(big.Int)
	for _, r := range ratios {
		den := big.NewInt(r.Den)
		common := new(big.Int).GCD(nil, nil, lcm, den)
		lcm.Mul(lcm, den.Quo(den, common))
		num := big.NewInt(r.Num)
		gcd.GCD(nil, nil, gcd, num.Abs(num))
	}
	return rationalOf(new(big.Rat).SetFrac(lcm, gcd))
}
