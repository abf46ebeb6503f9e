package cli

import (
	"fmt"
	"io"
	"strings"

	"understage/internal/report"
	"understage/internal/standard"
	"understage/internal/units"

	"github.com/spf13/cobra"
)

func newExplainCmd(a *app) *cobra.Command {
	var o outputOptions
	cmd := &cobra.Command{
		Use:   "explain [RULE|QUANTITY]",
		Short: "say what a rule or quantity means, its limit and its source",
		Long: `Prints the formula, the meaning, the limit and the source of a rule named by a
finding, or of a quantity named in a table or a JSON key; of a belt system, such
as MXL, its figures with the source and standing of each. Without a name it
lists all of them.`,
		Example: `  understage explain pressure_angle
  understage explain tilt
  understage explain MXL
  understage explain`,
		Args: upTo(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			if len(args) == 0 {
				return a.write(o, func(w io.Writer) error {
					if o.json {
						return writeJSON(w, allExplained())
					}
					return writeNames(w)
				})
			}
			rule, quantities, err := findExplained(args[0])
			if section, ok := standard.FindSection(args[0]); ok && err != nil {
				return a.explainSection(o, section)
			}
			if key, ok := findKey(args[0]); ok && err != nil {
				quantities, err = []standard.Quantity{key}, nil
			}
			if err != nil {
				return err
			}
			return a.write(o, func(w io.Writer) error {
				if o.json {
					return writeJSON(w, explained(rule, quantities))
				}
				return writeExplained(w, rule, quantities)
			})
		},
	}
	addOutputFlags(cmd, &o, false)
	return cmd
}

// findExplained returns the rule and the quantities of that name: one word may
// name both, and a quantity may be asked for by its JSON key with its unit.
func findExplained(name string) (*standard.Rule, []standard.Quantity, error) {
	word := strings.ToLower(strings.TrimSpace(name))
	var rule *standard.Rule
	var known []string
	for _, r := range standard.Rules() {
		known = append(known, r.Name)
		if r.Name == word {
			rule = &r
		}
	}
	var quantities []standard.Quantity
	for _, q := range standard.Quantities() {
		known = append(known, q.Name)
		if sameQuantity(q.Name, word) {
			quantities = append(quantities, q)
		}
	}
	if rule == nil && len(quantities) == 0 {
		return nil, nil, fmt.Errorf("nothing is called %q%s; understage explain lists the names", name, nearest(word, known))
	}
	return rule, quantities, nil
}

// findKey returns what a JSON key holds that is no quantity of its own, by its
// last step.
func findKey(path string) (standard.Quantity, bool) {
	key, ok := standard.FindKey(path[strings.LastIndexByte(path, '.')+1:])
	return standard.Quantity{Name: key.Name, Meaning: key.Meaning, Source: "definition"}, ok
}

// sameQuantity compares names as people write them: "pressure angle",
// "pressure_angle_deg" and "torso.tilt_deg" for pressure_angle and tilt.
func sameQuantity(name, word string) bool {
	plain := func(s string) string { return strings.NewReplacer(" ", "_", "-", "_").Replace(s) }
	word = word[strings.LastIndexByte(word, '.')+1:]
	name, word = plain(name), plain(word)
	if name == word {
		return true
	}
	rest, ok := strings.CutPrefix(word, name+"_")
	return ok && unitSuffix[rest]
}

// unitSuffix holds the endings that JSON keys carry for their unit.
var unitSuffix = map[string]bool{
	"mm": true, "deg": true, "rpm": true, "v": true, "a": true, "nmm": true, "n": true, "s": true,
	"mm_s": true, "mm_s2": true, "deg_s": true, "deg_s2": true, "mpa": true, "hz": true, "g": true, "w": true,
}

func writeNames(w io.Writer) error {
	rules := report.Table{Title: "Rules (limits: in the spec sets the limit of each)", Columns: []report.Column{{Head: "rule"}, {Head: "asks"}}}
	for _, r := range standard.Rules() {
		rules.Rows = append(rules.Rows, []string{r.Name, r.Asks})
	}
	quantities := report.Table{Title: "Quantities", Columns: []report.Column{{Head: "quantity"}, {Head: "unit"}, {Head: "meaning"}}}
	for _, q := range standard.Quantities() {
		quantities.Rows = append(quantities.Rows, []string{q.Name, q.Unit, q.Meaning})
	}
	keys := report.Table{Title: "Other keys of report --json", Columns: []report.Column{{Head: "key"}, {Head: "meaning"}}}
	for _, k := range standard.Keys() {
		keys.Rows = append(keys.Rows, []string{k.Name, k.Meaning})
	}
	for i, t := range []report.Table{rules, quantities, keys} {
		if i > 0 {
			fmt.Fprintln(w)
		}
		if err := t.Write(w, textWidth); err != nil {
			return err
		}
	}
	return nil
}

func writeExplained(w io.Writer, rule *standard.Rule, quantities []standard.Quantity) error {
	var blocks []string
	if rule != nil {
		block := "rule " + rule.Name + "\n" + report.Wrap(rule.Asks, textWidth, "  ") +
			report.Wrap(rule.Meaning, textWidth, "  ") +
			report.Wrap("Limit: "+limitText(*rule), textWidth, "  ")
		blocks = append(blocks, block+report.Wrap("Source: "+rule.Source, textWidth, "  "))
	}
	for _, q := range quantities {
		head := "quantity " + q.Name
		if q.Unit != "" {
			head += ", " + q.Unit
		}
		block := head + "\n" + report.Wrap(q.Meaning, textWidth, "  ")
		if q.Formula != "" {
			block += report.Wrap("Formula: "+q.Formula, textWidth, "  ")
		}
		blocks = append(blocks, block+report.Wrap("Source: "+q.Source, textWidth, "  "))
	}
	_, err := io.WriteString(w, strings.Join(blocks, "\n"))
	return err
}

// limitText says the limit of a rule in words.
func limitText(r standard.Rule) string {
	switch r.Judge {
	case standard.AtMost:
		return "at most " + units.Format(r.Limit, r.Dimension, units.Defaults{}) + "; set it with limits." + r.Name
	case standard.AtLeast:
		return "at least " + units.Format(r.Limit, r.Dimension, units.Defaults{}) + "; set it with limits." + r.Name
	}
	return "yes or no, nothing to set"
}

// explainedJSON is explain --json.
type explainedJSON struct {
	Rule       *explainedRule      `json:"rule"`
	Quantities []explainedQuantity `json:"quantities"`
}

type explainedRule struct {
	Name    string `json:"name"`
	Asks    string `json:"asks"`
	Limit   string `json:"limit"`
	Meaning string `json:"meaning"`
	Source  string `json:"source"`
}

type explainedQuantity struct {
	Name    string `json:"name"`
	Unit    string `json:"unit"`
	Meaning string `json:"meaning"`
	Formula string `json:"formula"`
	Source  string `json:"source"`
}

func explained(rule *standard.Rule, quantities []standard.Quantity) explainedJSON {
	out := explainedJSON{Quantities: []explainedQuantity{}}
	if rule != nil {
		one := ruleJSON(*rule)
		out.Rule = &one
	}
	for _, q := range quantities {
		out.Quantities = append(out.Quantities, explainedQuantity(q))
	}
	return out
}

func ruleJSON(r standard.Rule) explainedRule {
	return explainedRule{r.Name, r.Asks, limitText(r), r.Meaning, r.Source}
}

// allExplainedJSON is explain --json without a name.
type allExplainedJSON struct {
	Rules      []explainedRule     `json:"rules"`
	Quantities []explainedQuantity `json:"quantities"`
	Keys       []explainedKey      `json:"keys"`
}

type explainedKey struct {
	Name    string `json:"name"`
	Meaning string `json:"meaning"`
}

func allExplained() allExplainedJSON {
	var out allExplainedJSON
	for _, r := range standard.Rules() {
		out.Rules = append(out.Rules, ruleJSON(r))
	}
	for _, q := range standard.Quantities() {
		out.Quantities = append(out.Quantities, explainedQuantity(q))
	}
	for _, k := range standard.Keys() {
		out.Keys = append(out.Keys, explainedKey(k))
	}
	return out
}
