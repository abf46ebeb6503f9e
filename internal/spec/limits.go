package spec

import (
	"strings"

	"understage/internal/standard"
)

// limits reads the maker's own limits. Rule names are taken with hyphens or
// underscores alike.
func (d *decoder) limits(p *place) {
	d.m.Limits = map[string]float64{}
	parts := d.parts(p)
	for i := range parts {
		q := &parts[i]
		rule, ok := findRule(q.key)
		if !ok {
			d.sayAt(q.at, q, "no rule "+quoted(q.key), "a rule's name, as explain lists them", suggest(q.key, limitNames()))
			continue
		}
		if rule.Judge == standard.Must {
			d.sayAt(q.at, q, "a limit for "+rule.Name+", which holds or does not", "a rule that has a limit", "")
			continue
		}
		if v, ok := d.quantity(q, rule.Dimension, q.schema.key.Bound); ok {
			if _, twice := d.m.Limits[rule.Name]; twice {
				d.sayAt(q.at, q, "rule "+rule.Name+" a second time", "each rule once", "")
			}
			d.m.Limits[rule.Name] = v
		}
	}
}

func findRule(name string) (standard.Rule, bool) {
	for _, spelling := range []string{name, strings.ReplaceAll(name, "_", "-"), strings.ReplaceAll(name, "-", "_")} {
		if rule, ok := standard.FindRule(spelling); ok {
			return rule, true
		}
	}
	return standard.Rule{}, false
}

func limitNames() []string {
	var names []string
	for _, rule := range standard.Rules() {
		if rule.Judge != standard.Must {
			names = append(names, rule.Name)
		}
	}
	return names
}
