package cli

import (
	"fmt"
	"os"
	"runtime/debug"
	"slices"

	"understage/internal/check"
	"understage/internal/diag"
	"understage/internal/mech"
	"understage/internal/report"
	"understage/internal/solve"
	"understage/internal/spec"
	"understage/internal/sweep"
)

// variants solves one figure again and again with other values. The text is
// taken apart once; each worker then decodes what its own variants change.
type variants struct {
	read   spec.ReadFile
	figure *spec.Spec    // with the values of --set
	base   *judgedReport // the figure as it stands
}

// judgedReport is a report with the counts of its findings beside it, for keys that
// no report holds.
type judgedReport struct {
	*report.Report
	Fail    int    `json:"fail"`
	Caution int    `json:"caution"`
	Unknown int    `json:"unknown"`
	Verdict string `json:"verdict"`
}

func judge(m *mech.Model, solution *solve.Solution) *judgedReport {
	findings := check.Findings(m, solution)
	j := &judgedReport{Report: report.Build(m, solution, findings), Verdict: check.Worst(findings).String()}
	for _, f := range findings {
		switch f.Severity {
		case check.Fail:
			j.Fail++
		case check.Caution:
			j.Caution++
		case check.Unknown:
			j.Unknown++
		}
	}
	return j
}

// loadVariants reads the figure, with the values of --set.
func (a *app) loadVariants(name string, set []string) (*variants, error) {
	src, err := a.readSource([]string{name})
	if err != nil {
		return nil, err
	}
	figure, messages := spec.Load(src.Source, set, src.read)
	if len(messages) > 0 {
		return nil, a.refuse(src, set, messages)
	}
	return &variants{src.read, figure, judge(figure.Model, solve.Solve(figure.Model))}, nil
}

// answer returns a worker's solver: the values of the paths in, the answers at
// the columns out. Behind the columns comes a cell for each of the findings, 1
// where it fails and 0 where it does not. Only what the columns need is solved,
// and of that only what a variant can touch. With stems, as a grid's rows come,
// what all but the last path do is solved once for all values of the last.
func (v *variants) answer(paths []string, columns []sweep.Key, findings []finding, stems bool) sweep.Answer {
	w := &worker{read: v.read, paths: paths, columns: columns, findings: findings}
	keys := make([]string, len(columns))
	for i, c := range columns {
		keys[i] = c.Path
		w.want |= report.Needs(c.Path)
	}
	w.sections = report.SectionsOf(keys)
	if len(findings) > 0 {
		w.want = solve.AllParts
	}
	// Its own base: solutions that share parts also share working room.
	w.base = solved{v.figure, solve.SolveParts(v.figure.Model, w.want)}
	if stems && len(paths) > 1 {
		w.stem = &solved{}
	}
	return w.answer
}

// letGarbagePile sets the collector for a long run on so many workers and returns
// what sets it back. A row leaves some kilobytes behind and a worker holds few
// megabytes, which at Go's own 100 % makes a tenth to a fifth of the run a search
// through them. One worker may leave three times what it holds, more of them
// less each, so that eight still take some 64 MB. The user's own GOGC
// stands.
func letGarbagePile(workers int) (setBack func()) {
	if os.Getenv("GOGC") != "" {
		return func() {}
	}
	before := debug.SetGCPercent(100 + 200/workers)
	return func() { debug.SetGCPercent(before) }
}

// solved is a figure with what is wanted of its solution.
type solved struct {
	figure   *spec.Spec
	solution *solve.Solution
}

// worker solves the variants that one core is given, one after the other.
type worker struct {
	read     spec.ReadFile
	paths    []string
	columns  []sweep.Key
	findings []finding
	want     solve.Parts
	sections report.Sections // of the columns
	base     solved
	// stem is the figure with all but the last value of a row, solved for the
	// values in stemValues; nil when rows do not share them.
	stem       *solved
	stemValues []string
}

func (w *worker) answer(values []string, cells []sweep.Cell) string {
	now, messages := w.vary(values)
	if len(messages) > 0 {
		return reason(messages)
	}
	result := w.report(now)
	for i := range w.columns {
		cells[i] = w.columns[i].Find(result)
	}
	for i, f := range w.findings {
		cells[len(w.columns)+i] = sweep.Cell{Kind: sweep.Number, Number: f.fails(result)}
	}
	return ""
}

// report lays out what the columns need.
func (w *worker) report(s solved) *judgedReport {
	if w.want == solve.AllParts {
		return judge(s.figure.Model, s.solution)
	}
	return &judgedReport{Report: w.sections.Build(s.figure.Model, s.solution)}
}

// vary solves the figure with the values of one row.
func (w *worker) vary(values []string) (solved, diag.List) {
	last := len(values) - 1
	if w.stem == nil {
		return w.again(w.base, w.paths, values)
	}
	if w.stem.figure == nil || !slices.Equal(w.stemValues, values[:last]) {
		stem, messages := w.again(w.base, w.paths[:last], values[:last])
		if len(messages) > 0 { // the last value may yet set it right
			return w.again(w.base, w.paths, values)
		}
		*w.stem, w.stemValues = stem, append(w.stemValues[:0], values[:last]...)
	}
	return w.again(*w.stem, w.paths[last:], values[last:])
}

// again solves a variant of a solved figure.
func (w *worker) again(from solved, paths, values []string) (solved, diag.List) {
	texts := make([]string, len(values))
	for i, value := range values {
		texts[i] = paths[i] + "=" + value
	}
	sets, messages := spec.ParseSets(texts)
	if len(messages) > 0 {
		return solved{}, messages
	}
	figure, messages := from.figure.Variant(sets, w.read)
	if len(messages) > 0 {
		return solved{}, messages
	}
	return solved{figure, from.solution.Again(figure.Model, figure.Fresh, w.want)}, nil
}

// finding names a judgement across variants.
type finding struct{ rule, where string }

// fails returns 1 where the judgement is fail, otherwise 0.
func (f finding) fails(result *judgedReport) float64 {
	for i := range result.Findings {
		r := &result.Findings[i]
		if r.Rule == f.rule && r.Where == f.where && r.Severity == check.Fail.String() {
			return 1
		}
	}
	return 0
}

// reason puts what is wrong with a variant in one line.
func reason(messages diag.List) string {
	m := messages[0]
	text := m.Text
	if m.Path != "" {
		text = m.Path + ": " + text
	}
	if m.Want != "" {
		text += ", want " + m.Want
	}
	if m.Hint != "" {
		text += " (" + m.Hint + ")"
	}
	if len(messages) > 1 {
		text += fmt.Sprintf(" (and %d more)", len(messages)-1)
	}
	return text
}

// usualKeys are the columns shown where --show names none.
func (v *variants) usualKeys() []string {
	keys := []string{"fail", "caution"}
	r := v.base.Report
	if r.Motor != nil {
		keys = append(keys, "motor.running_rpm")
	}
	if r.Torso != nil {
		keys = append(keys, "torso.tilt_deg.max", "torso.twist_deg.max")
	}
	if r.Beats != nil {
		keys = append(keys, "beats.per_min")
	}
	for i, b := range r.Belts {
		if i == 0 {
			keys = append(keys, "belts."+b.Name+".take_up_mm")
		}
	}
	return keys
}
