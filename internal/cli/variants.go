package cli

import (
	"fmt"

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
// and of that only what a variant can touch.
func (v *variants) answer(paths []string, columns []sweep.Key, findings []finding) sweep.Answer {
	want := solve.Parts(0)
	for _, c := range columns {
		want |= report.Needs(c.Path)
	}
	judged := want == solve.AllParts || len(findings) > 0
	if judged {
		want = solve.AllParts
	}
	// Its own base: solutions that share parts also share working room.
	base := solve.SolveParts(v.figure.Model, want)
	var sets []spec.Set
	return func(values []string, cells []sweep.Cell) string {
		sets = sets[:0]
		for i, value := range values {
			set, messages := spec.ParseSets([]string{paths[i] + "=" + value})
			if len(messages) > 0 {
				return reason(messages)
			}
			sets = append(sets, set...)
		}
		figure, messages := v.figure.Variant(sets, v.read)
		if len(messages) > 0 {
			return reason(messages)
		}
		solution := base.Again(figure.Model, figure.Fresh, want)
		var result *judgedReport
		if judged {
			result = judge(figure.Model, solution)
		} else {
			result = &judgedReport{Report: report.Build(figure.Model, solution, nil)}
		}
		for i := range columns {
			cells[i] = columns[i].Find(result)
		}
		for i, f := range findings {
			cells[len(columns)+i] = sweep.Cell{Kind: sweep.Number, Number: f.fails(result)}
		}
		return ""
	}
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
