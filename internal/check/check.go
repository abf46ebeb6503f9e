// Package check judges a solved figure: each rule is a small function from
// model and solution to findings. It computes no geometry.
package check

import (
	"understage/internal/mech"
	"understage/internal/solve"
)

// Severity is how bad a finding is.
type Severity int

const (
	OK Severity = iota
	Unknown
	Caution
	Fail
)

var severities = [...]string{"ok", "unknown", "caution", "fail"}

// String returns the word printed for the severity.
func (s Severity) String() string { return severities[s] }

// Finding is one judgement.
type Finding struct {
	Rule     string // name in package standard
	Severity Severity
	Where    string     // path of the part in the spec, such as "cams.sway"
	Value    mech.Given // in Unit
	Limit    mech.Given // in Unit
	Unit     string     // "mm", "deg", "teeth", ...; "" for a bare number or none
	Message  string     // one sentence that says what to change
	Source   string
}

// Findings judges everything, in the order a maker works. Every rule that
// applies to a part of the figure yields at least one finding.
func Findings(m *mech.Model, s *solve.Solution) []Finding {
	var all []Finding
	for _, judge := range []func(*mech.Model, *solve.Solution) []Finding{
		motorFindings,
		driveFindings,
		beltFindings,
		camFindings,
		torsoFindings,
		linkageFindings,
		frameFindings,
	} {
		all = append(all, judge(m, s)...)
	}
	return all
}

// Worst returns the worst severity among the findings; OK when there are none.
func Worst(findings []Finding) Severity {
	worst := OK
	for _, f := range findings {
		worst = max(worst, f.Severity)
	}
	return worst
}
