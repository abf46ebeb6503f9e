// Package standard holds the published tables and the rules drawn from them:
// belt systems and stocked lengths, materials and friction, limits with their
// sources. It is data; packages solve and check apply it.
package standard

import "understage/internal/units"

// Judge is how a rule compares a value with its limit.
type Judge int

const (
	AtMost  Judge = iota // the value must not exceed the limit
	AtLeast              // the value must not fall short of the limit
	Must                 // a yes-or-no rule, no limit to set
)

// Rule is one thing a figure is judged by.
type Rule struct {
	Name      string // as findings and the spec's limits write it, such as near_repeat
	Asks      string // the question in a line
	Judge     Judge
	Dimension units.Dimension // of value and limit
	Limit     float64         // in the model's unit for the dimension; unused with Must
	Meaning   string          // what it measures, how it is computed, what to do
	Source    string          // published reference, or "common practice"
}

// Quantity is one thing a figure is measured by, for the reader who asks.
type Quantity struct {
	Name    string // as tables and JSON write it, without unit suffix
	Unit    string
	Meaning string
	Formula string
	Source  string
}

// Rules returns every rule, in the order a maker works. Each file of this
// package that holds rules adds its own slice here.
func Rules() []Rule {
	var all []Rule
	for _, part := range [][]Rule{driveRules, beltRules, camRules, torsoRules, linkageRules, motorRules, frameRules, showRules} {
		all = append(all, part...)
	}
	return all
}

// rules holds the rules by name.
var rules = func() map[string]Rule {
	byName := make(map[string]Rule)
	for _, r := range Rules() {
		byName[r.Name] = r
	}
	return byName
}()

// FindRule returns the rule of that name.
func FindRule(name string) (Rule, bool) {
	r, ok := rules[name]
	return r, ok
}

// Limit returns the maker's own limit for a rule, or otherwise the standard
// one, in the model's unit for the rule's dimension. A rule nobody wrote down
// has no limit: a bug, and a panic.
func Limit(own map[string]float64, rule string) float64 {
	if limit, ok := own[rule]; ok {
		return limit
	}
	r, ok := FindRule(rule)
	if !ok {
		panic("standard: no rule " + rule)
	}
	return r.Limit
}

// Quantities returns every quantity the report prints, in its order.
func Quantities() []Quantity {
	var all []Quantity
	for _, part := range [][]Quantity{motorQuantities, driveQuantities, beltQuantities, camQuantities, torsoQuantities, linkageQuantities, frameQuantities} {
		all = append(all, part...)
	}
	return all
}
