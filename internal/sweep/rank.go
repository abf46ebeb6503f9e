package sweep

import (
	"math"
	"sort"
)

// Goal is a key to rank by.
type Goal struct {
	Column int
	Most   bool // more is better
}

// Sort orders rows by a goal, best first; rows that have no answer come last,
// and equal ones keep their order.
func Sort(rows []Row, g Goal) {
	sort.SliceStable(rows, func(i, j int) bool {
		return g.cost(&rows[i]) < g.cost(&rows[j])
	})
}

// cost is what a goal makes as small as it can.
func (g Goal) cost(r *Row) float64 {
	c := r.Cells[g.Column]
	switch {
	case c.Kind != Number:
		return math.Inf(1)
	case g.Most:
		return -c.Number
	}
	return c.Number
}

// Front keeps the rows that no other row beats: none is as good by every goal
// and better by one (Pareto). Add offers one row; the front never holds a
// beaten one.
type Front struct {
	Goals []Goal
	Rows  []Row
}

// Add offers a row. The row is copied when it is kept. Rows that lack an answer
// to any goal are not on the front.
func (f *Front) Add(r *Row) {
	for _, g := range f.Goals {
		if math.IsInf(g.cost(r), 1) {
			return
		}
	}
	kept := f.Rows[:0]
	for i := range f.Rows {
		switch f.compare(&f.Rows[i], r) {
		case beats:
			// What the front holds already beats r; then r beats none of the
			// rest, because the front would beat those too.
			return
		case beaten:
			continue
		}
		kept = append(kept, f.Rows[i])
	}
	f.Rows = append(kept, r.Copy())
}

type order int

const (
	neither order = iota
	beats
	beaten
)

// compare says whether a beats b or is beaten by it. Equal rows do neither.
func (f *Front) compare(a, b *Row) order {
	better, worse := false, false
	for _, g := range f.Goals {
		x, y := g.cost(a), g.cost(b)
		better = better || x < y
		worse = worse || x > y
	}
	switch {
	case better && !worse:
		return beats
	case worse && !better:
		return beaten
	}
	return neither
}

// Copy returns a row that stays when the original is reused.
func (r *Row) Copy() Row {
	c := *r
	c.Values = append([]string(nil), r.Values...)
	c.Cells = append([]Cell(nil), r.Cells...)
	return c
}

// Best keeps the Most best rows by a goal of all that are added.
type Best struct {
	Goal Goal
	Most int
	rows []Row
}

// Add offers a row; it is copied when it is kept.
func (b *Best) Add(r *Row) {
	b.rows = append(b.rows, r.Copy())
	// Sorting once per Most rows keeps the cost per row low and the memory fixed.
	if len(b.rows) >= 2*b.Most+64 {
		b.rows = b.Rows()
	}
}

// Rows returns the best rows so far, best first.
func (b *Best) Rows() []Row {
	Sort(b.rows, b.Goal)
	return b.rows[:min(b.Most, len(b.rows))]
}
