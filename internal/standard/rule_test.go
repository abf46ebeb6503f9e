package standard

import (
	"regexp"
	"testing"
)

// Rule names are keys of the spec's limits, and those are snake_case like every
// other key of the spec (limits.near_repeat).
func TestRulesAreComplete(t *testing.T) {
	name := regexp.MustCompile(`^[a-z][a-z0-9]*(_[a-z0-9]+)*$`)
	seen := make(map[string]bool)
	for _, r := range Rules() {
		if !name.MatchString(r.Name) {
			t.Errorf("rule %q: want a snake_case name such as near_repeat", r.Name)
		}
		if seen[r.Name] {
			t.Errorf("rule %q stands twice", r.Name)
		}
		seen[r.Name] = true
		if r.Asks == "" || r.Meaning == "" || r.Source == "" {
			t.Errorf("rule %q lacks a question, meaning or source", r.Name)
		}
	}
}

func TestQuantitiesAreComplete(t *testing.T) {
	for _, q := range Quantities() {
		if q.Name == "" || q.Meaning == "" || q.Source == "" {
			t.Errorf("quantity %q lacks a meaning or source", q.Name)
		}
	}
}
