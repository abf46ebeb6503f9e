package sweep

import (
	"math"
	"math/rand/v2"
	"slices"

	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distuv"
)

// Spread is how a made dimension is taken to lie within its margin.
type Spread int

const (
	// Uniform takes every place within ±margin as equally likely, for printed
	// and hand-made parts of which no more is known: σ = margin/√3.
	Uniform Spread = iota
	// Normal takes the margin as three standard deviations, as a controlled
	// process is rated (common practice): σ = margin/3. What falls outside the
	// margin is drawn at the margin's edge.
	Normal
)

// Deviation returns the standard deviation of a dimension with a margin of 1.
func (s Spread) Deviation() float64 {
	if s == Normal {
		return 1.0 / 3
	}
	return 1 / math.Sqrt(3)
}

// at returns the place within ±1 below which the given share of parts lies.
func (s Spread) at(share float64) float64 {
	if s == Normal {
		return min(1, max(-1, distuv.UnitNormal.Quantile(share)/3))
	}
	return 2*share - 1
}

// Study is a tolerance study of k dimensions: the figure as drawn, then each
// dimension moved down and up by a little for the slopes, then the draws.
// Offsets are in margins: 0 is as drawn, ±1 the ends of the margin.
type Study struct {
	Dimensions int
	Draws      int
	spread     Spread
	offsets    []float64 // of the draws, row by row
}

// studyStep is how far, in margins, a dimension is moved for its slope: small
// enough that the slope is that of the figure as drawn, and far above rounding.
const studyStep = 0.02

// NewStudy draws by Latin hypercube (McKay, Beckman and Conover, Technometrics
// 21, 1979). Equal seeds give equal draws.
func NewStudy(dimensions, draws int, spread Spread, seed uint64) *Study {
	s := &Study{Dimensions: dimensions, Draws: draws, spread: spread, offsets: make([]float64, dimensions*draws)}
	for k := range dimensions {
		random := rand.New(rand.NewPCG(seed, uint64(k)))
		for row, stratum := range random.Perm(draws) {
			s.offsets[row*dimensions+k] = spread.at((float64(stratum) + random.Float64()) / float64(draws))
		}
	}
	return s
}

// Rows returns the number of variants the study solves.
func (s *Study) Rows() int { return 1 + 2*s.Dimensions + s.Draws }

// Offset returns where a row puts a dimension, in margins.
func (s *Study) Offset(row, dimension int) float64 {
	switch row--; {
	case row < 0:
		return 0
	case row < 2*s.Dimensions:
		if row/2 != dimension {
			return 0
		}
		return studyStep * float64(2*(row%2)-1)
	default:
		return s.offsets[(row-2*s.Dimensions)*s.Dimensions+dimension]
	}
}

// Outcome is what the margins do to one quantity.
type Outcome struct {
	Drawn      float64 // as drawn, every dimension nominal
	Mean       float64 // over the draws
	Spread     float64 // standard deviation over the draws
	Low, High  float64 // 5th and 95th percentile of the draws
	Answered   int     // draws that have an answer
	LinearSpan float64 // standard deviation by the slopes: √Σ(slope·σ)²
	// Shares say how much of the variance each dimension brings: by the slopes,
	// (slope·σ)² over their sum, and over the draws, the squared correlation.
	// The shares by slope add to 1, unless no dimension matters at all.
	LinearShare, DrawnShare []float64
}

// normal95 is the 95th percentile of the standard normal distribution.
const normal95 = 1.6448536269514722

// LinearRange returns the 5th and 95th percentile by the slopes, taking the
// sum of the dimensions' effects as normal.
func (o *Outcome) LinearRange() (low, high float64) {
	return o.Drawn - normal95*o.LinearSpan, o.Drawn + normal95*o.LinearSpan
}

// Outcome evaluates one quantity; values holds its answer in every row of the
// study, NaN where there is none. It is not ok when the figure as drawn has no
// answer or fewer than two draws have one.
func (s *Study) Outcome(values []float64) (Outcome, bool) {
	o := Outcome{Drawn: values[0], LinearShare: make([]float64, s.Dimensions), DrawnShare: make([]float64, s.Dimensions)}
	sum := 0.0
	for k := range s.Dimensions {
		slope := (values[2+2*k] - values[1+2*k]) / (2 * studyStep)
		if slope-slope != 0 { // no answer beside the drawing
			continue
		}
		part := slope * s.spread.Deviation()
		o.LinearShare[k] = part * part
		sum += part * part
	}
	o.LinearSpan = math.Sqrt(sum)
	if sum > 0 {
		for k := range o.LinearShare {
			o.LinearShare[k] /= sum
		}
	}
	var drawn []float64
	var rows []int
	for row := 1 + 2*s.Dimensions; row < len(values); row++ {
		if v := values[row]; v-v == 0 {
			drawn, rows = append(drawn, v), append(rows, row)
		}
	}
	o.Answered = len(drawn)
	if o.Answered < 2 || o.Drawn-o.Drawn != 0 {
		return o, false
	}
	s.describe(&o, drawn, rows)
	return o, true
}

// describe fills what the draws say.
func (s *Study) describe(o *Outcome, drawn []float64, rows []int) {
	o.Mean, o.Spread = stat.MeanStdDev(drawn, nil)
	offsets := make([]float64, len(rows))
	for k := range s.Dimensions {
		for i, row := range rows {
			offsets[i] = s.Offset(row, k)
		}
		if r := stat.Correlation(offsets, drawn, nil); r-r == 0 {
			o.DrawnShare[k] = r * r
		}
	}
	slices.Sort(drawn)
	o.Low = stat.Quantile(0.05, stat.LinInterp, drawn, nil)
	o.High = stat.Quantile(0.95, stat.LinInterp, drawn, nil)
}
