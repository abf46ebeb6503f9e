package check

import (
	"understage/internal/mech"
	"understage/internal/standard"
)

// limit returns the maker's own limit for a rule, or otherwise the standard one.
func limit(m *mech.Model, rule string) float64 { return standard.Limit(m.Limits, rule) }

// source returns the published source of a rule.
func source(rule string) string { return mustRule(rule).Source }

func mustRule(name string) standard.Rule {
	r, ok := standard.FindRule(name)
	if !ok {
		panic("check: no rule " + name)
	}
	return r
}
