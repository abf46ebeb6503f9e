package cli

import (
	"errors"
	"io"

	"understage/internal/check"
	"understage/internal/diag"
	"understage/internal/report"
	"understage/internal/solve"
	"understage/internal/spec"

	"github.com/spf13/cobra"
)

type showOptions struct {
	specOptions
	outputOptions
}

func newShowCmd(a *app) *cobra.Command {
	var o showOptions
	cmd := &cobra.Command{
		Use:   "show SHOW",
		Short: "put several figures on one stage, supply and battery",
		Long: `Reads a show: a YAML file that names figure specs, where each stands, and the
supply they share. Prints the current of all together with its worst peak, fuse,
wire, run time on the battery, the gaps between neighbours, and every figure's
beat against the common tempo. "-" reads standard input.

Exit status: 0 done, 1 solved but something is judged fail, 2 no answer.`,
		Example: `  understage show quayside.yaml
  understage show quayside.yaml --set 'supply.voltage=5 V' --json`,
		Args: func(cmd *cobra.Command, args []string) error {
			if len(args) == 0 {
				return errors.New("show needs a SHOW file; - reads standard input")
			}
			return upTo(1)(cmd, args)
		},
		RunE: func(cmd *cobra.Command, args []string) error { return runShow(a, args, o) },
	}
	addSpecFlags(cmd, &o.specOptions)
	addOutputFlags(cmd, &o.outputOptions, false)
	return cmd
}

func runShow(a *app, args []string, o showOptions) error {
	src, err := a.readSource(args)
	if err != nil {
		return err
	}
	show, messages, texts := spec.LoadShow(src.Source, o.set, src.read)
	if len(messages) > 0 {
		texts[diag.SetFile] = diag.SetSource(o.set)
		if err := diag.Write(a.stderr, messages, texts, a.colored(a.stderr)); err != nil {
			return err
		}
		return errReported
	}
	result := solve.SolveShow(show)
	findings := check.ShowFindings(show, result)
	laid := report.BuildShow(show, result, findings)
	err = a.write(o.outputOptions, func(w io.Writer) error {
		if o.json {
			return writeJSON(w, laid)
		}
		style := report.Style{Units: report.Units{Lengths: show.Lengths}, Width: textWidth, Color: o.file == "" && a.colored(a.stdout)}
		return laid.WriteText(w, style)
	})
	if err == nil && check.Worst(findings) == check.Fail {
		err = errJudgedFail
	}
	return err
}
