package cli

import (
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"

	"understage/internal/diag"
	"understage/internal/spec"

	"github.com/spf13/cobra"
)

// textWidth is the width of a text report, on a terminal and in a pipe alike.
const textWidth = 80

// standardInput is what messages call the file "-".
const standardInput = "standard input"

// specOptions are the flags of a command that takes a spec.
type specOptions struct {
	set []string
}

func addSpecFlags(cmd *cobra.Command, o *specOptions) {
	cmd.Flags().StringArrayVar(&o.set, "set", nil, "`PATH=VALUE` to put in the spec, such as drive.belts.loop.belt=100; repeatable")
}

// source is a spec's text, and the reader of the files it names.
type source struct {
	spec.Source
	read spec.ReadFile
}

// loadOne loads the spec that the arguments name, or the built-in figure, and
// prints all that is wrong with it.
func (a *app) loadOne(args []string, o specOptions) (*spec.Spec, error) {
	src, err := a.readSource(args)
	if err != nil {
		return nil, err
	}
	figure, messages := spec.Load(src.Source, o.set, src.read)
	if len(messages) > 0 {
		return nil, a.refuse(src, o.set, messages)
	}
	return figure, nil
}

// refuse prints what is wrong with a spec.
func (a *app) refuse(src source, set []string, messages diag.List) error {
	sources := map[string][]byte{src.Name: src.Text, diag.SetFile: diag.SetSource(set)}
	if err := diag.Write(a.stderr, messages, sources, a.colored(a.stderr)); err != nil {
		return err
	}
	return errReported
}

// readSource reads the spec file that the arguments name, standard input for
// "-", or the built-in figure without any.
func (a *app) readSource(args []string) (source, error) {
	if len(args) == 0 {
		builtin := spec.Figures()[0]
		return source{Source: spec.Source{Name: builtin.Name, Text: builtin.Text}}, nil
	}
	name := args[0]
	if name == "-" {
		text, err := readBounded(a.stdin)
		if err != nil {
			return source{}, fmt.Errorf("%s: %w", standardInput, err)
		}
		return source{spec.Source{Name: standardInput, Text: text}, beside(".")}, nil
	}
	text, err := readFile(name)
	if err != nil {
		return source{}, fmt.Errorf("%s: cannot be read: %w", name, cause(err))
	}
	return source{spec.Source{Name: name, Text: text}, beside(filepath.Dir(name))}, nil
}

// beside returns a reader of files named relative to a folder.
func beside(folder string) spec.ReadFile {
	return func(name string) ([]byte, error) {
		if !filepath.IsAbs(name) {
			name = filepath.Join(folder, name)
		}
		text, err := readFile(name)
		if err != nil {
			return nil, cause(err)
		}
		return text, nil
	}
}

func readFile(name string) ([]byte, error) {
	f, err := os.Open(name)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	if info, err := f.Stat(); err == nil && info.IsDir() {
		return nil, errors.New("is a folder")
	}
	return readBounded(f)
}

// readBounded reads all of r, but no more than a spec may hold plus one byte,
// so that the decoder sees that there is too much.
func readBounded(r io.Reader) ([]byte, error) {
	return io.ReadAll(io.LimitReader(r, spec.MaxBytes+1))
}
