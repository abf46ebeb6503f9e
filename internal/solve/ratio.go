package solve

import (
	"math"
	"math/bits"
	"strconv"
)

// Ratio is a shaft's exact speed ratio to the motor shaft, Num/Den turns per
// motor turn in lowest terms with Den > 0: positive when counter-clockwise goes
// with counter-clockwise. The zero Ratio means that nothing drives the shaft.
type Ratio struct {
	Num, Den int64
}

// Driven reports whether the shaft turns with the motor.
func (r Ratio) Driven() bool { return r.Num != 0 }

// Float returns the ratio as a number; 0 when nothing drives the shaft.
func (r Ratio) Float() float64 {
	if r.Num == 0 {
		return 0
	}
	return float64(r.Num) / float64(r.Den)
}

// String writes the ratio as "9/20", "-1/3" or "2".
func (r Ratio) String() string {
	num := strconv.FormatInt(r.Num, 10)
	if r.Den == 1 || r.Num == 0 {
		return num
	}
	return num + "/" + strconv.FormatInt(r.Den, 10)
}

// Turn returns how far past a whole turn the shaft is, in [0, 1) turns in its
// own sense, after the given number of motor turns. Whole turns are dropped in
// integers, so nothing is lost after any number of them.
func (r Ratio) Turn(motorTurns float64) float64 {
	if r.Num == 0 {
		return 0
	}
	num, den := uint64(r.Num), uint64(r.Den)
	if r.Num < 0 {
		num = -num
	}
	whole, part := math.Modf(motorTurns)
	negative := whole < 0
	turns := uint64(math.Abs(whole))
	// num·turns mod den without overflow; reducing both factors first keeps the
	// high word below den, which is what Div64 needs.
	high, low := bits.Mul64(num%den, turns%den)
	_, rest := bits.Div64(high, low, den)
	if negative && rest > 0 {
		rest = den - rest
	}
	t := (float64(rest) + part*float64(num)) / float64(den)
	t -= math.Floor(t)
	if t >= 1 { // a tiny negative t rounds up to 1
		return 0
	}
	return t
}
