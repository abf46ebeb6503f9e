// Package cli is the command line: flags and streams in, exit status out.
//
// Output rules. Results go to standard output and nothing else does; messages
// go to standard error. The status is 0 when the job is done, 1 when a figure
// was solved but something in it is judged fail, and 2 when there is no answer:
// bad usage, a bad spec, a file that cannot be read or written, an internal
// fault. A file named with --out is written whole or not at all.
package cli

import (
	"errors"
	"fmt"
	"io"
	"os"
	"strings"

	"understage/internal/diag"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
)

// Exit statuses.
const (
	statusDone   = 0
	statusFailed = 1 // solved, but something is judged fail
	statusNone   = 2 // no answer
)

// errJudgedFail ends a command whose output is complete but holds a fail.
var errJudgedFail = errors.New("judged fail")

// errReported ends a command whose messages are already on standard error.
var errReported = errors.New("already reported")

// app is what the commands share: the streams, and the place they read from.
type app struct {
	stdin          io.Reader
	stdout, stderr io.Writer
	env            func(string) string
	color          string
}

// Main runs one command line and returns its exit status. It never panics.
func Main(args []string, stdin io.Reader, stdout, stderr io.Writer) (status int) {
	defer func() {
		if fault := recover(); fault != nil {
			fmt.Fprintf(stderr, "understage: internal fault: %v\n", fault)
			status = statusNone
		}
	}()
	a := &app{stdin: stdin, stdout: stdout, stderr: stderr, env: os.Getenv}
	root := newRootCmd(a)
	root.SetArgs(args)
	root.SetIn(stdin)
	root.SetOut(stdout)
	root.SetErr(stderr)
	err := root.Execute()
	switch {
	case err == nil:
		return statusDone
	case errors.Is(err, errJudgedFail):
		return statusFailed
	case !errors.Is(err, errReported):
		fmt.Fprintf(stderr, "understage: %v\n", err)
	}
	return statusNone
}

func newRootCmd(a *app) *cobra.Command {
	root := &cobra.Command{
		Use:   "understage",
		Short: "compute the mechanism under a moving figure before it is printed",
		Long: `understage reads one YAML figure spec, solves the mechanism under the stage,
and prints every number that decides whether the figure will work: belt length
and shaft positions, speeds, the repeat, cam shapes, the torso's sway, and
findings that say what to change.`,
		Example: `  understage report                  # the built-in figure
  understage new watchman.yaml       # a spec to start from
  understage report watchman.yaml`,
		SilenceUsage:      true,
		SilenceErrors:     true,
		DisableAutoGenTag: true,
		Args: func(cmd *cobra.Command, args []string) error {
			if len(args) == 0 {
				return nil
			}
			return fmt.Errorf("unknown command %q%s; understage --help lists them", args[0], nearest(args[0], commandNames(cmd)))
		},
		RunE: func(cmd *cobra.Command, args []string) error { return cmd.Help() },
	}
	root.CompletionOptions.HiddenDefaultCmd = true
	root.PersistentFlags().StringVar(&a.color, "color", "auto", "color the verdicts: auto, always or never")
	root.PersistentPreRunE = func(*cobra.Command, []string) error {
		switch a.color {
		case "auto", "always", "never":
			return nil
		}
		return fmt.Errorf("--color %q: want auto, always or never", a.color)
	}
	root.SetFlagErrorFunc(flagError)
	root.SetUsageTemplate(strings.ReplaceAll(root.UsageTemplate(), ".FlagUsages", fmt.Sprintf(".FlagUsagesWrapped %d", textWidth)))
	root.AddCommand(
		newReportCmd(a), newCheckCmd(a), newPoseCmd(a), newTraceCmd(a), newChartCmd(a), newDrawCmd(a),
		newSweepCmd(a), newToleranceCmd(a), newBeltCmd(a), newCamCmd(a), newShowCmd(a),
		newNewCmd(a), newExplainCmd(a),
	)
	return root
}

// flagError words an error of flag parsing, with the nearest flag for an
// unknown one.
func flagError(cmd *cobra.Command, err error) error {
	text := err.Error()
	if name, ok := strings.CutPrefix(text, "unknown flag: --"); ok {
		var known []string
		cmd.Flags().VisitAll(func(f *pflag.Flag) { known = append(known, f.Name) })
		return fmt.Errorf("unknown flag --%s%s; understage %s --help lists them", name, nearest(name, known), cmd.Name())
	}
	return fmt.Errorf("%s; understage %s --help", text, cmd.Name())
}

func commandNames(cmd *cobra.Command) []string {
	var names []string
	for _, c := range cmd.Commands() {
		names = append(names, c.Name())
	}
	return names
}

// nearest words a suggestion, or nothing.
func nearest(word string, known []string) string {
	if near := diag.Near(word, known); near != "" {
		return fmt.Sprintf(" (did you mean %q?)", near)
	}
	return ""
}

// colored reports whether w should carry color.
func (a *app) colored(w io.Writer) bool {
	switch a.color {
	case "always":
		return true
	case "never":
		return false
	}
	return a.env("NO_COLOR") == "" && a.env("TERM") != "dumb" && terminal(w)
}

// terminal reports whether w is a terminal.
func terminal(w io.Writer) bool {
	f, ok := w.(*os.File)
	if !ok {
		return false
	}
	info, err := f.Stat()
	return err == nil && info.Mode()&os.ModeCharDevice != 0
}

// upTo refuses more arguments than n, naming the first that is too many.
func upTo(n int) cobra.PositionalArgs {
	return func(cmd *cobra.Command, args []string) error {
		if len(args) <= n {
			return nil
		}
		return fmt.Errorf("%s: one argument too many, %q; understage %s --help", cmd.Name(), args[n], cmd.Name())
	}
}
