package sweep

import (
	"fmt"
	"math/big"
	"math/rand/v2"
)

// MaxRows is the longest run: beyond it a run would last for days.
const MaxRows = 100_000_000

// Plan says which values each row takes. Row i is a pure function of the plan,
// so that a run can start at any row and be dealt out in parts.
type Plan struct {
	Axes  []Axis
	Rows  int
	pair  bool
	draws [][]uint32 // of a sample: per axis the stratum of each row
	seed  uint64
}

// NewGrid plans every combination of the axes' values, the last axis changing
// fastest. It fails when an axis has no step or the grid is too large.
func NewGrid(axes []Axis) (*Plan, error) {
	rows := big.NewInt(1)
	for _, a := range axes {
		if a.Len() == 0 {
			return nil, fmt.Errorf("--vary %s: a range without a step is drawn from: give \"by STEP\", or --sample N", a.Path)
		}
		rows.Mul(rows, big.NewInt(int64(a.Len())))
	}
	if rows.Cmp(big.NewInt(MaxRows)) > 0 {
		return nil, fmt.Errorf("the grid has %s rows, more than %d; draw from it with --sample N", rows, MaxRows)
	}
	return &Plan{Axes: axes, Rows: int(rows.Int64())}, nil
}

// NewPairs plans the axes stepping together, the first values in the first row.
func NewPairs(axes []Axis) (*Plan, error) {
	for _, a := range axes {
		if a.Len() == 0 {
			return nil, fmt.Errorf("--vary %s: a range without a step cannot be paired: give \"by STEP\"", a.Path)
		}
		if a.Len() != axes[0].Len() {
			return nil, fmt.Errorf("--pair: %s has %d values and %s has %d: want as many of each", axes[0].Path, axes[0].Len(), a.Path, a.Len())
		}
	}
	return &Plan{Axes: axes, Rows: axes[0].Len(), pair: true}, nil
}

// NewSample plans n draws by Latin hypercube (McKay, Beckman and Conover,
// Technometrics 21, 1979): each axis is cut into n strata of equal chance and
// every stratum is drawn from once. Equal seeds give equal plans.
func NewSample(axes []Axis, n int, seed uint64) (*Plan, error) {
	if n < 1 || n > maxValues {
		return nil, fmt.Errorf("--sample %d: want 1 to %d draws", n, maxValues)
	}
	p := &Plan{Axes: axes, Rows: n, seed: seed, draws: make([][]uint32, len(axes))}
	for k := range axes {
		order := make([]uint32, n)
		for i := range order {
			order[i] = uint32(i)
		}
		random := rand.New(rand.NewPCG(seed, uint64(k)))
		random.Shuffle(n, func(i, j int) { order[i], order[j] = order[j], order[i] })
		p.draws[k] = order
	}
	return p, nil
}

// Nested reports whether rows come in runs of three or more in which only the
// last axis changes.
func (p *Plan) Nested() bool {
	return p.draws == nil && !p.pair && p.Axes[len(p.Axes)-1].Len() >= 3
}

// Values writes the values of a row into out, one per axis.
func (p *Plan) Values(row int, out []string) {
	switch {
	case p.draws != nil:
		for k := range p.Axes {
			out[k] = p.draw(k, row)
		}
	case p.pair:
		for k := range p.Axes {
			out[k] = p.Axes[k].Value(row)
		}
	default:
		for k := len(p.Axes) - 1; k >= 0; k-- {
			n := p.Axes[k].Len()
			out[k] = p.Axes[k].Value(row % n)
			row /= n
		}
	}
}

// drawSteps is how finely a continuous range is drawn from within its stratum.
const drawSteps = 1 << 20

// draw returns the value of an axis in a row of a sample.
func (p *Plan) draw(k, row int) string {
	a := &p.Axes[k]
	stratum := int64(p.draws[k][row])
	if n := a.Len(); n > 0 {
		return a.Value(int(stratum * int64(n) / int64(p.Rows)))
	}
	random := rand.New(rand.NewPCG(p.seed^uint64(row)<<20, uint64(k)))
	at := big.NewRat(stratum*drawSteps+int64(random.IntN(drawSteps)), int64(p.Rows)*drawSteps)
	value := new(big.Rat).Sub(a.High, a.Low)
	value.Mul(value, at).Add(value, a.Low)
	number := value.FloatString(9)
	if a.Unit == "" {
		return number
	}
	return number + " " + a.Unit
}

// Part returns the rows of part k of n, k from 1: the parts in order make up
// the whole run.
func (p *Plan) Part(k, n int) (from, to int) {
	cut := func(i int) int {
		return int(new(big.Int).Quo(new(big.Int).Mul(big.NewInt(int64(i)), big.NewInt(int64(p.Rows))), big.NewInt(int64(n))).Int64())
	}
	return cut(k - 1), cut(k)
}
