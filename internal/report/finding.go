package report

import (
	"fmt"
	"slices"
	"strings"

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

// Findings lays judgements out for JSON, in their order.
func Findings(findings []check.Finding) []Finding {
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

// Verdict counts the findings of a whole figure and says in a line what they
// come to.
func Verdict(findings []Finding) string {
	tally := Tally(findings)
	switch worst(findings) {
	case check.Fail.String():
		return tally + ": not yet ready to print"
	case check.Caution.String():
		return tally + ": nothing fails; weigh the cautions before printing"
	case check.Unknown.String():
		return tally + ": nothing fails that the spec lets us judge"
	}
	if len(findings) == 0 {
		return "nothing to judge: the spec has no motor, belt, cam, torso or linkage"
	}
	return tally + ": ready to print"
}

// Tally counts the findings that are not ok: "1 fail, 2 caution", or "all ok".
// It is all that can be said of a part alone.
func Tally(findings []Finding) string {
	count := map[string]int{}
	for _, f := range findings {
		count[f.Severity]++
	}
	var counts []string
	for _, s := range []check.Severity{check.Fail, check.Caution, check.Unknown} {
		if n := count[s.String()]; n > 0 {
			counts = append(counts, fmt.Sprintf("%d %s", n, s))
		}
	}
	if len(counts) == 0 {
		return "all ok"
	}
	return strings.Join(counts, ", ")
}

// worst returns the severity that the verdict goes by, "ok" for none.
func worst(findings []Finding) string {
	for _, s := range []check.Severity{check.Fail, check.Caution, check.Unknown} {
		for _, f := range findings {
			if f.Severity == s.String() {
				return f.Severity
			}
		}
	}
	return check.OK.String()
}

// severityMark stands before a finding, so that no color is needed to tell
// how bad it is.
var severityMark = map[string]string{"fail": "FAIL", "caution": "caution", "unknown": "unknown", "ok": "ok"}

// severityColor holds the SGR parameter (ECMA-48) of each severity's color.
var severityColor = map[string]string{"fail": "31", "caution": "33", "unknown": "36", "ok": "32"}

// findingIndent is where the text of a finding begins.
const findingIndent = 11

// writeFindings prints what needs attention, worst first, then the names of
// the rules that are ok.
func writeFindings(b *strings.Builder, findings []Finding, style Style) {
	if len(findings) == 0 {
		return
	}
	b.WriteString("Findings\n")
	for _, severity := range []check.Severity{check.Fail, check.Caution, check.Unknown} {
		for _, f := range findings {
			if f.Severity == severity.String() {
				b.WriteString(findingLead(f.Severity, style) + hanging(f.Where+": "+f.Rule+": "+f.Message, findingIndent, style.Width))
			}
		}
	}
	if fine := fineByPart(findings); fine != "" {
		b.WriteString(findingLead("ok", style) + hanging(fine, findingIndent, style.Width))
	}
}

// fineByPart lists the rules that are ok, part by part: "motor: supply, start;
// drive: repeat".
func fineByPart(findings []Finding) string {
	var parts []string
	rules := make(map[string][]string)
	for _, f := range findings {
		if f.Severity != check.OK.String() {
			continue
		}
		if rules[f.Where] == nil {
			parts = append(parts, f.Where)
		}
		if !slices.Contains(rules[f.Where], f.Rule) {
			rules[f.Where] = append(rules[f.Where], f.Rule)
		}
	}
	for i, part := range parts {
		parts[i] = part + ": " + strings.Join(rules[part], ", ")
	}
	return strings.Join(parts, "; ")
}

func findingLead(severity string, style Style) string {
	mark := severityMark[severity]
	return "  " + style.paint(mark, severityColor[severity]) + strings.Repeat(" ", findingIndent-2-len(mark))
}

func given(g mech.Given) Value {
	if !g.OK {
		return Null
	}
	return Value(g.Value)
}
