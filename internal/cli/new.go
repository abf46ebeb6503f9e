package cli

import (
	"fmt"
	"io"

	"understage/internal/spec"

	"github.com/spf13/cobra"
)

type newOptions struct {
	outputOptions
	like string
	list bool
}

func newNewCmd(a *app) *cobra.Command {
	var o newOptions
	cmd := &cobra.Command{
		Use:   "new [FILE]",
		Short: "write a spec to start from",
		Long: `Writes a commented figure spec to FILE, or to standard output. --like chooses
which built-in figure it starts from; --list names them.`,
		Example: `  understage new watchman.yaml
  understage new --list
  understage new --like ` + spec.Figures()[1].Name + ` mine.yaml`,
		Args: upTo(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			if len(args) == 1 {
				if o.file != "" {
					return fmt.Errorf("two files named, %s and %s: want one", args[0], o.file)
				}
				o.file = args[0]
			}
			return runNew(a, o)
		},
	}
	cmd.Flags().StringVar(&o.like, "like", spec.Figures()[0].Name, "the built-in figure to start from")
	cmd.Flags().BoolVar(&o.list, "list", false, "list the built-in figures")
	addFileFlags(cmd, &o.outputOptions)
	return cmd
}

func runNew(a *app, o newOptions) error {
	var names []string
	for _, f := range spec.Figures() {
		if f.Name == o.like && !o.list {
			return a.write(o.outputOptions, func(w io.Writer) error {
				_, err := w.Write(f.Text)
				return err
			})
		}
		names = append(names, f.Name)
	}
	if !o.list {
		return fmt.Errorf("--like %q: no such figure%s; new --list names them", o.like, nearest(o.like, names))
	}
	return a.write(o.outputOptions, func(w io.Writer) error {
		for _, f := range spec.Figures() {
			if _, err := fmt.Fprintf(w, "%-12s  %s\n", f.Name, f.Title); err != nil {
				return err
			}
		}
		return nil
	})
}
