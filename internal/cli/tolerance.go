package cli

import (
	"context"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"os/signal"
	"runtime"
	"slices"
	"strings"

	"understage/internal/report"
	"understage/internal/spec"
	"understage/internal/sweep"
	"understage/internal/units"

	"github.com/spf13/cobra"
)

type toleranceOptions struct {
	specOptions
	outputOptions
	margins []string
	show    []string
	draws   int
	seed    uint64
	spread  string
}

func newToleranceCmd(a *app) *cobra.Command {
	var o toleranceOptions
	cmd := &cobra.Command{
		Use:   "tolerance SPEC",
		Short: "say what sloppy dimensions do to the figure",
		Long: `Studies the dimensions that the spec writes with a margin (base: 16 ±0.1 mm) or
that --margin names. The figure is solved for many draws of all of them at once,
and for a small step of each alone. Printed are the mean, the spread (standard
deviation) and the 5th and 95th percentile of each quantity, from the draws and
by the slopes; how much of the variance each dimension brings; and the chance
that each finding fails.

A dimension is drawn evenly within its margin; with --spread normal the margin
is three standard deviations.`,
		Example: `  understage tolerance watchman.yaml --margin 'cams.sway.base=0.1 mm' \
      --margin 'drive.shafts.side.at.0=0.2 mm'
  understage tolerance watchman.yaml --show torso.tilt_deg.max --draws 5000`,
		Args: oneSpec,
		RunE: func(cmd *cobra.Command, args []string) error { return runTolerance(a, args[0], o) },
	}
	f := cmd.Flags()
	f.StringArrayVar(&o.margins, "margin", nil, "`PATH=MARGIN` of a dimension that the spec writes without; repeatable")
	f.StringArrayVar(&o.show, "show", nil, "`KEY` to study, by its path in report --json; repeatable, or several with commas")
	f.IntVar(&o.draws, "draws", 1000, "figures to draw")
	f.Uint64Var(&o.seed, "seed", 1, "seed of the draws")
	f.StringVar(&o.spread, "spread", "uniform", "how parts lie within their margin: uniform or normal")
	addSpecFlags(cmd, &o.specOptions)
	addOutputFlags(cmd, &o.outputOptions, false)
	return cmd
}

// study is a tolerance study ready to run: its rows are those of a sweep.
type study struct {
	*sweep.Study
	figure     *variants
	dimensions []spec.Tolerance
	columns    []sweep.Key
	findings   []finding
}

// Values writes the made dimensions of a row.
func (s *study) Values(row int, out []string) {
	for k, d := range s.dimensions {
		out[k] = units.Format(d.Nominal+d.Margin*s.Offset(row, k), d.Dimension, units.Defaults{})
	}
}

func runTolerance(a *app, name string, o toleranceOptions) error {
	s, err := planStudy(a, name, o)
	if err != nil {
		return err
	}
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	defer stop()
	values, err := s.solve(ctx, a)
	if err != nil {
		return interrupted(err, 0)
	}
	result := s.evaluate(values, o.spread)
	return a.write(o.outputOptions, func(w io.Writer) error {
		if o.json {
			return writeJSON(w, result)
		}
		return result.WriteText(w, textWidth)
	})
}

func planStudy(a *app, name string, o toleranceOptions) (*study, error) {
	spread, ok := map[string]sweep.Spread{"uniform": sweep.Uniform, "normal": sweep.Normal}[o.spread]
	if !ok {
		return nil, fmt.Errorf("--spread %q: want uniform or normal", o.spread)
	}
	if o.draws < 2 || o.draws > 1_000_000 {
		return nil, fmt.Errorf("--draws %d: want 2 to 1000000", o.draws)
	}
	// A margin of the command line is written into the spec, so that it is read
	// and checked like any other.
	figure, err := a.loadVariants(name, o.set)
	if err != nil {
		return nil, err
	}
	s := &study{figure: figure, dimensions: figure.figure.Tolerances}
	for _, text := range o.margins {
		margin, err := figure.margin(text)
		if err != nil {
			return nil, err
		}
		s.dimensions = slices.DeleteFunc(s.dimensions, func(t spec.Tolerance) bool { return t.Path == margin.Path })
		s.dimensions = append(s.dimensions, margin)
	}
	if len(s.dimensions) == 0 {
		return nil, errors.New("no dimension carries a margin: write one as 16 ±0.1 mm, or give --margin PATH=MARGIN")
	}
	if err := s.planColumns(o.show); err != nil {
		return nil, err
	}
	s.Study = sweep.NewStudy(len(s.dimensions), o.draws, spread, o.seed)
	return s, nil
}

// margin reads a margin of the command line against the figure's own value.
func (v *variants) margin(text string) (spec.Tolerance, error) {
	path, margin, ok := strings.Cut(text, "=")
	path = strings.TrimSpace(path)
	if !ok {
		return spec.Tolerance{}, fmt.Errorf("--margin %q: want PATH=MARGIN, such as cams.sway.base='0.1 mm'", text)
	}
	nominal, ok := v.figure.Text(path)
	if !ok {
		return spec.Tolerance{}, fmt.Errorf("--margin %s: the spec writes no single value there", path)
	}
	if strings.Contains(nominal, "±") {
		return spec.Tolerance{}, fmt.Errorf("--margin %s: the spec gives it a margin already, %s", path, nominal)
	}
	set, messages := spec.ParseSets([]string{path + "=" + nominal + " ±" + strings.TrimLeft(margin, " ±")})
	if len(messages) > 0 {
		return spec.Tolerance{}, fmt.Errorf("--margin %s", reason(messages))
	}
	figure, messages := v.figure.Variant(set, v.read)
	if len(messages) > 0 {
		return spec.Tolerance{}, fmt.Errorf("--margin %s", reason(messages))
	}
	for _, t := range figure.Tolerances {
		if t.Path == path {
			return t, nil
		}
	}
	return spec.Tolerance{}, fmt.Errorf("--margin %s: not a dimension that can vary", path)
}

func (s *study) planColumns(show []string) error {
	paths := splitKeys(show)
	if len(paths) == 0 {
		paths = s.figure.usualKeys()[2:] // without the counts of findings, which have a table of their own
	}
	for _, path := range paths {
		key, err := sweep.ParseKey(path, s.figure.base)
		if err != nil {
			return fmt.Errorf("--show: %w", err)
		}
		if key.Find(s.figure.base).Kind == sweep.Text {
			return fmt.Errorf("--show %s: is text, not a number", path)
		}
		s.columns = append(s.columns, key)
	}
	for _, f := range s.figure.base.Findings {
		s.findings = append(s.findings, finding{f.Rule, f.Where})
	}
	return nil
}

// solve runs the study and returns each column's answer in every row.
func (s *study) solve(ctx context.Context, a *app) ([][]float64, error) {
	paths := make([]string, len(s.dimensions))
	for i, d := range s.dimensions {
		paths[i] = d.Path
	}
	answers := make([]sweep.Answer, runtime.GOMAXPROCS(0))
	for i := range answers {
		answers[i] = s.figure.answer(paths, s.columns, s.findings, false)
	}
	columns := len(s.columns) + len(s.findings)
	values := make([][]float64, columns)
	for i := range values {
		values[i] = make([]float64, s.Rows())
	}
	defer letGarbagePile(len(answers))()
	meter := newMeter(a, s.Rows())
	defer meter.done()
	err := sweep.Run(ctx, s, len(paths), 0, s.Rows(), columns, answers, func(r *sweep.Row) error {
		meter.step()
		for i, c := range r.Cells {
			values[i][r.Index] = math.NaN()
			if c.Kind == sweep.Number {
				values[i][r.Index] = c.Number
			}
		}
		return nil
	})
	return values, err
}

// evaluate turns the answers into the study's report.
func (s *study) evaluate(values [][]float64, spread string) *report.Tolerance {
	out := &report.Tolerance{
		Version: report.Version, Figure: s.figure.base.Figure, Draws: s.Draws, Spread: spread,
		Quantities: []report.ToleranceQuantity{}, Findings: []report.ToleranceFinding{},
	}
	for _, d := range s.dimensions {
		nominal, unit := units.Display(d.Nominal, d.Dimension, units.Defaults{})
		margin, _ := units.Display(d.Margin, d.Dimension, units.Defaults{})
		out.Dimensions = append(out.Dimensions, report.ToleranceDimension{Path: d.Path, Nominal: report.Value(nominal), Margin: report.Value(margin), Unit: unit})
	}
	for i, key := range s.columns {
		o, ok := s.Outcome(values[i])
		out.Quantities = append(out.Quantities, report.NewToleranceQuantity(key.Path, o, ok, out.Dimensions))
	}
	first := 1 + 2*len(s.dimensions)
	for i, f := range s.findings {
		fails, answered := 0.0, 0.0
		column := values[len(s.columns)+i]
		for _, v := range column[first:] {
			if v-v == 0 {
				fails += v
				answered++
			}
		}
		if answered > 0 {
			out.Findings = append(out.Findings, report.ToleranceFinding{
				Rule: f.rule, Where: f.where, FailsAsDrawn: column[0] == 1, FailChance: report.Value(fails / answered),
			})
		}
	}
	for _, v := range values[len(s.columns)][first:] {
		if v-v != 0 {
			out.Unsolved++
		}
	}
	return out
}
