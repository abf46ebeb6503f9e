package cli

import (
	"errors"
	"fmt"
	"io"

	"understage/internal/check"
	"understage/internal/diag"
	"understage/internal/report"
	"understage/internal/solve"

	"github.com/spf13/cobra"
)

type checkOptions struct {
	specOptions
	outputOptions
	all bool
}

func newCheckCmd(a *app) *cobra.Command {
	var o checkOptions
	cmd := &cobra.Command{
		Use:   "check SPEC...",
		Short: "judge figures and print only what needs attention",
		Long: `Solves each figure and prints its verdict and every finding that is not ok, with
the line of the spec it is about. A spec that cannot be read is reported and the
others are judged all the same.

Exit status: 0 nothing failed, 1 something is judged fail, 2 a spec gave no
answer.`,
		Example: `  understage check *.yaml
  understage check watchman.yaml --all`,
		Args: func(cmd *cobra.Command, args []string) error {
			if len(args) == 0 {
				return errors.New("check needs at least one SPEC; - reads standard input")
			}
			return nil
		},
		RunE: func(cmd *cobra.Command, args []string) error { return runCheck(a, args, o) },
	}
	cmd.Flags().BoolVar(&o.all, "all", false, "print the findings that are ok too")
	addSpecFlags(cmd, &o.specOptions)
	addOutputFlags(cmd, &o.outputOptions, false)
	return cmd
}

// checkedFile is one spec's verdict in JSON.
type checkedFile struct {
	File     string           `json:"file"`
	Figure   string           `json:"figure"`
	Verdict  string           `json:"verdict"`
	Findings []checkedFinding `json:"findings"`
}

type checkedFinding struct {
	report.Finding
	Line   int `json:"line"`
	Column int `json:"column"`
}

func runCheck(a *app, args []string, o checkOptions) error {
	var status error
	files := []checkedFile{}
	for _, name := range args {
		file, worst, err := checkFile(a, name, o)
		if err != nil {
			if !errors.Is(err, errReported) {
				fmt.Fprintf(a.stderr, "understage: %v\n", err)
			}
			status = errReported
			continue
		}
		files = append(files, file)
		if worst == check.Fail && status == nil {
			status = errJudgedFail
		}
	}
	err := a.write(o.outputOptions, func(w io.Writer) error {
		if o.json {
			return writeJSON(w, map[string]any{"version": report.Version, "files": files})
		}
		return writeChecked(w, files)
	})
	if err != nil {
		return err
	}
	return status
}

func checkFile(a *app, name string, o checkOptions) (checkedFile, check.Severity, error) {
	figure, err := a.loadOne([]string{name}, o.specOptions)
	if err != nil {
		return checkedFile{}, 0, err
	}
	findings := check.Findings(figure.Model, solve.Solve(figure.Model))
	built := report.Findings(findings)
	file := checkedFile{File: name, Figure: figure.Model.Name, Verdict: report.Verdict(built), Findings: []checkedFinding{}}
	for i, f := range findings {
		if f.Severity == check.OK && !o.all {
			continue
		}
		pos := figure.Position(f.Where)
		file.Findings = append(file.Findings, checkedFinding{built[i], pos.Line, pos.Col})
	}
	return file, check.Worst(findings), nil
}

func writeChecked(w io.Writer, files []checkedFile) error {
	for _, f := range files {
		if f.File == "-" {
			f.File = standardInput
		}
		fmt.Fprintf(w, "%s: %s: %s\n", diag.Visible(f.File), diag.Visible(f.Figure), f.Verdict)
		for _, finding := range f.Findings {
			at := f.File
			if finding.Line > 0 {
				at = fmt.Sprintf("%s:%d:%d", at, finding.Line, finding.Column)
			}
			text := fmt.Sprintf("%s: %s: %s: %s: %s", diag.Visible(at), finding.Severity, finding.Where, finding.Rule, finding.Message)
			if _, err := io.WriteString(w, report.Wrap(text, textWidth, "  ")); err != nil {
				return err
			}
		}
	}
	return nil
}
