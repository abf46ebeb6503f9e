package report

import (
	"understage/internal/check"
	"understage/internal/mech"
)

// Finding is one judgement in JSON.
type Finding struct {
	Rule     string `json:"rule"`
	Severity string `json:"severity"`
	Where    string `json:"where"`
	Value    Value  `json:"value"`
	Limit    Value  `json:"limit"`
	Unit     string `json:"unit"`
	Message  string `json:"message"`
	Source   string `json:"source"`
}

func buildFindings(findings []check.Finding) []Finding {
	out := make([]Finding, len(findings))
	for i, f := range findings {
		out[i] = Finding{
			Rule:     f.Rule,
			Severity: f.Severity.String(),
			Where:    f.Where,
			Value:    given(f.Value),
			Limit:    given(f.Limit),
			Unit:     f.Unit,
			Message:  f.Message,
			Source:   f.Source,
		}
	}
	return out
}

func given(g mech.Given) Value {
	if !g.OK {
		return Null
	}
	return Value(g.Value)
}
