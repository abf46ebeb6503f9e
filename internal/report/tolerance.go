package report

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"understage/internal/sweep"
)

// Tolerance is what sloppy dimensions do to a figure.
type Tolerance struct {
	Version    int                  `json:"version"`
	Figure     string               `json:"figure"`
	Draws      int                  `json:"draws"`
	Unsolved   int                  `json:"unsolved"` // draws that gave no answer
	Spread     string               `json:"spread"`   // uniform or normal
	Dimensions []ToleranceDimension `json:"dimensions"`
	Quantities []ToleranceQuantity  `json:"quantities"`
	Findings   []ToleranceFinding   `json:"findings"`
}

// ToleranceDimension is a dimension and its margin.
type ToleranceDimension struct {
	Path    string `json:"path"`
	Nominal Value  `json:"nominal"`
	Margin  Value  `json:"margin"`
	Unit    string `json:"unit"`
}

// ToleranceQuantity is how one quantity spreads.
type ToleranceQuantity struct {
	Key      string           `json:"key"`
	AsDrawn  Value            `json:"as_drawn"`
	Answered int              `json:"answered"` // draws in which it has a value
	Mean     Value            `json:"mean"`
	Spread   Value            `json:"spread"` // standard deviation
	P5       Value            `json:"p5"`
	P95      Value            `json:"p95"`
	Linear   ToleranceLinear  `json:"linear"` // the same by the slopes alone
	Shares   []ToleranceShare `json:"shares"`
}

// ToleranceLinear is a spread by slopes.
type ToleranceLinear struct {
	Spread Value `json:"spread"`
	P5     Value `json:"p5"`
	P95    Value `json:"p95"`
}

// ToleranceShare is how much of a quantity's variance a dimension brings, by
// the slopes and over the draws.
type ToleranceShare struct {
	Path   string `json:"path"`
	Linear Value  `json:"linear"`
	Drawn  Value  `json:"drawn"`
}

// ToleranceFinding is the chance that a finding fails.
type ToleranceFinding struct {
	Rule         string `json:"rule"`
	Where        string `json:"where"`
	FailsAsDrawn bool   `json:"fails_as_drawn"`
	FailChance   Value  `json:"fail_chance"`
}

// NewToleranceQuantity lays an outcome out, its dimensions in the order of how
// much they matter by the slopes. Without an outcome all is null.
func NewToleranceQuantity(key string, o sweep.Outcome, ok bool, dimensions []ToleranceDimension) ToleranceQuantity {
	q := ToleranceQuantity{Key: key, AsDrawn: Value(o.Drawn), Answered: o.Answered, Mean: Null, Spread: Null, P5: Null, P95: Null,
		Linear: ToleranceLinear{Null, Null, Null}, Shares: []ToleranceShare{}}
	if !ok {
		return q
	}
	low, high := o.LinearRange()
	q.Mean, q.Spread, q.P5, q.P95 = Value(o.Mean), Value(o.Spread), Value(o.Low), Value(o.High)
	q.Linear = ToleranceLinear{Value(o.LinearSpan), Value(low), Value(high)}
	for k, d := range dimensions {
		q.Shares = append(q.Shares, ToleranceShare{d.Path, Value(o.LinearShare[k]), Value(o.DrawnShare[k])})
	}
	slices.SortStableFunc(q.Shares, func(a, b ToleranceShare) int {
		switch {
		case a.Linear > b.Linear:
			return -1
		case a.Linear < b.Linear:
			return 1
		}
		return 0
	})
	return q
}

// WriteText prints the study as tables.
func (t *Tolerance) WriteText(w io.Writer, width int) error {
	var b strings.Builder
	fmt.Fprintf(&b, "%s\n%d draws, %s within the margins\n\n", strings.ToUpper(t.Figure), t.Draws, t.Spread)
	for _, table := range t.tables() {
		if err := table.Write(&b, width); err != nil {
			return err
		}
		b.WriteString("\n")
	}
	_, err := io.WriteString(w, strings.TrimSuffix(b.String(), "\n"))
	return err
}

func (t *Tolerance) tables() []Table {
	digits := func(v Value) string { return Units{}.significant(v, 4) }
	dimensions := Table{Title: "Dimensions", Columns: []Column{{Head: "dimension"}, {Head: "nominal", Right: true}, {Head: "margin", Right: true}, {Head: "unit"}}}
	for _, d := range t.Dimensions {
		dimensions.Rows = append(dimensions.Rows, []string{d.Path, digits(d.Nominal), "±" + digits(d.Margin), d.Unit})
	}
	spread := Table{Title: "Spread: by draws, and by slopes alone", Columns: []Column{{Head: "quantity"}, {Head: "as drawn", Right: true}, {Head: "mean", Right: true},
		{Head: "spread", Right: true}, {Head: "5 %", Right: true}, {Head: "95 %", Right: true}, {Head: "by slopes", Right: true}}}
	tables := []Table{dimensions, spread}
	for _, q := range t.Quantities {
		tables[1].Rows = append(tables[1].Rows, []string{q.Key, digits(q.AsDrawn), digits(q.Mean), digits(q.Spread), digits(q.P5), digits(q.P95), digits(q.Linear.Spread)})
		tables = append(tables, q.shareTable())
	}
	chances := Table{Title: "Chance that a finding fails", Columns: []Column{{Head: "chance", Right: true}, {Head: "finding"}}}
	for _, f := range t.Findings {
		if f.FailChance > 0 {
			text := f.Where + ": " + f.Rule
			if f.FailsAsDrawn {
				text += " (fails as drawn)"
			}
			chances.Rows = append(chances.Rows, []string{fmt.Sprintf("%.1f %%", 100*float64(f.FailChance)), text})
		}
	}
	if len(chances.Rows) == 0 {
		chances.Notes = append(chances.Notes, fmt.Sprintf("No finding fails in any of the %d draws.", t.Draws))
		chances.Columns = nil
	}
	if t.Unsolved > 0 {
		chances.Notes = append(chances.Notes, fmt.Sprintf("%d draws gave no answer.", t.Unsolved))
	}
	return append(tables, chances)
}

// shareTable lists the dimensions that bring a hundredth or more of the variance.
func (q *ToleranceQuantity) shareTable() Table {
	t := Table{Title: "What matters to " + q.Key, Columns: []Column{{Head: "by slopes", Right: true}, {Head: "by draws", Right: true}, {Head: "dimension"}}}
	for _, s := range q.Shares {
		if s.Linear >= 0.01 {
			t.Rows = append(t.Rows, []string{fmt.Sprintf("%.0f %%", 100*float64(s.Linear)), fmt.Sprintf("%.0f %%", 100*float64(s.Drawn)), s.Path})
		}
	}
	if len(t.Rows) == 0 {
		t.Columns = nil
		t.Notes = append(t.Notes, "None of these dimensions moves it.")
	}
	return t
}
