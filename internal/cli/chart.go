package cli

import (
	"errors"
	"fmt"
	"io"
	"math"

	"understage/internal/mech"
	"understage/internal/report"
	"understage/internal/solve"

	"github.com/spf13/cobra"
)

type chartOptions struct {
	specOptions
	outputOptions
	shaft  string
	repeat bool
}

func newChartCmd(a *app) *cobra.Command {
	var o chartOptions
	cmd := &cobra.Command{
		Use:   "chart SPEC",
		Short: "draw what every moving part does when",
		Long: `Prints a timing chart: a row for every cam, for the torso's lean and nod, for
every point of a linkage and for the beats, over one turn of a shaft or over the
whole repeat, as rises, dwells, falls and beats. Without --shaft it runs over
one turn of the slowest shaft that moves the figure. --csv and --json give every
stretch with its times and values.

Exit status: 0 done, 1 a part cannot be posed all through, 2 no answer.`,
		Example: `  understage chart watchman.yaml
  understage chart watchman.yaml --shaft beat
  understage chart watchman.yaml --repeat --csv -o timing.csv`,
		Args: oneSpec,
		RunE: func(cmd *cobra.Command, args []string) error { return runChart(a, args, o) },
	}
	cmd.Flags().StringVar(&o.shaft, "shaft", "", "over one turn of this `SHAFT`")
	cmd.Flags().BoolVar(&o.repeat, "repeat", false, "over the whole repeat")
	cmd.MarkFlagsMutuallyExclusive("shaft", "repeat")
	addSpecFlags(cmd, &o.specOptions)
	addOutputFlags(cmd, &o.outputOptions, true)
	return cmd
}

func runChart(a *app, args []string, o chartOptions) error {
	figure, err := a.loadOne(args, o.specOptions)
	if err != nil {
		return err
	}
	m := figure.Model
	solution := solve.Solve(m)
	shaft, turns, err := o.span(m, solution)
	if err != nil {
		return err
	}
	chart := solve.NewChart(m, solution, turns)
	result := report.BuildChart(m, solution, chart, shaft)
	err = a.write(o.outputOptions, func(w io.Writer) error {
		switch {
		case o.json:
			return writeJSON(w, result)
		case o.csv:
			return result.WriteCSV(w)
		}
		return result.WriteText(w, report.Units{Lengths: m.Lengths}, textWidth)
	})
	if err != nil {
		return err
	}
	for _, row := range chart.Rows {
		if row.Unposed {
			return errJudgedFail
		}
	}
	return nil
}

// span returns the shaft the chart runs a turn of, None over the repeat, and its
// length in motor turns.
func (o chartOptions) span(m *mech.Model, s *solve.Solution) (shaft int, turns float64, err error) {
	switch {
	case s.Repeat.Status != solve.RepeatOK:
		return 0, 0, errors.New("chart: nothing moves the figure: it has no motor, no cam or crank that turns, or a drive that locks")
	case o.repeat:
		shaft, turns = mech.None, s.Repeat.Turns
	case o.shaft != "":
		var names []string
		shaft = mech.None
		for i := range m.Shafts {
			names = append(names, m.Shafts[i].Name)
			if m.Shafts[i].Name == o.shaft {
				shaft = i
			}
		}
		if shaft == mech.None {
			return 0, 0, fmt.Errorf("--shaft %q: no such shaft%s", o.shaft, nearest(o.shaft, names))
		}
	default:
		shaft = slowest(s)
	}
	if shaft != mech.None {
		ratio := math.Abs(s.Drive.Ratios[shaft].Float())
		if ratio == 0 {
			return 0, 0, fmt.Errorf("--shaft %q: nothing turns it", m.Shafts[shaft].Name)
		}
		turns = 1 / ratio
	}
	if !solve.ChartFits(s, turns) {
		return 0, 0, fmt.Errorf("a chart over %.4g motor turns is too long to read: at most %d turns of the fastest shaft; take --shaft", turns, solve.ChartMost)
	}
	return shaft, turns, nil
}

// slowest returns the slowest shaft that moves the figure.
func slowest(s *solve.Solution) int {
	found := mech.None
	least := math.Inf(1)
	for i, r := range s.Drive.Ratios {
		if speed := math.Abs(r.Float()); s.Repeat.Matters[i] && r.Driven() && speed < least {
			found, least = i, speed
		}
	}
	return found
}
