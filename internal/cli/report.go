package cli

import (
	"io"

	"understage/internal/check"
	"understage/internal/report"
	"understage/internal/solve"

	"github.com/spf13/cobra"
)

type reportOptions struct {
	specOptions
	outputOptions
}

func newReportCmd(a *app) *cobra.Command {
	var o reportOptions
	cmd := &cobra.Command{
		Use:   "report [SPEC]",
		Short: "solve a figure and print every table",
		Long: `Solves a figure and prints the verdict, then motor, shafts, repeat, belts, cams,
torso, linkages, beats and findings. Without SPEC it reports the built-in
figure; "-" reads standard input.

Exit status: 0 done, 1 solved but something is judged fail, 2 no answer.`,
		Example: `  understage report
  understage report watchman.yaml --set 'motor.supply=6 V'
  understage report watchman.yaml --json -o watchman.json`,
		Args: upTo(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			return runReport(a, args, o)
		},
	}
	addSpecFlags(cmd, &o.specOptions)
	addOutputFlags(cmd, &o.outputOptions, false)
	return cmd
}

func runReport(a *app, args []string, o reportOptions) error {
	figure, err := a.loadOne(args, o.specOptions)
	if err != nil {
		return err
	}
	solution := solve.Solve(figure.Model)
	findings := check.Findings(figure.Model, solution)
	result := report.Build(figure.Model, solution, findings)
	err = a.write(o.outputOptions, func(w io.Writer) error {
		if o.json {
			return writeJSON(w, result)
		}
		style := report.Style{Units: report.Units{Lengths: figure.Model.Lengths}, Width: textWidth, Color: o.file == "" && a.colored(a.stdout)}
		return result.WriteText(w, style)
	})
	if err == nil && check.Worst(findings) == check.Fail {
		err = errJudgedFail
	}
	return err
}
