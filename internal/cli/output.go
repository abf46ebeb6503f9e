package cli

import (
	"bufio"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"

	"github.com/spf13/cobra"
)

// outputOptions are the flags of a command that prints a result.
type outputOptions struct {
	json, csv bool
	file      string
	force     bool
}

// addOutputFlags adds --json, --out and --force, and --csv where the result is
// rows.
func addOutputFlags(cmd *cobra.Command, o *outputOptions, rows bool) {
	cmd.Flags().BoolVar(&o.json, "json", false, "print JSON")
	if rows {
		cmd.Flags().BoolVar(&o.csv, "csv", false, "print CSV")
		cmd.MarkFlagsMutuallyExclusive("json", "csv")
	}
	addFileFlags(cmd, o)
}

// addFileFlags adds --out and --force.
func addFileFlags(cmd *cobra.Command, o *outputOptions) {
	cmd.Flags().StringVarP(&o.file, "out", "o", "", "write to this file, whole or not at all")
	cmd.Flags().BoolVar(&o.force, "force", false, "let --out replace a file")
}

// write runs print on standard output, or on the file of --out. The file
// appears only when print has succeeded.
func (a *app) write(o outputOptions, print func(io.Writer) error) error {
	if o.file == "" || o.file == "-" {
		b := bufio.NewWriterSize(a.stdout, 1<<16)
		if err := print(b); err != nil {
			b.Flush()
			return err
		}
		if err := b.Flush(); err != nil {
			return fmt.Errorf("standard output: %w", err)
		}
		return nil
	}
	return writeFile(o.file, o.force, print)
}

// writeFile creates the file whole through a temporary one beside it. Without
// force it never replaces a file, even one that appears meanwhile.
func writeFile(name string, force bool, print func(io.Writer) error) error {
	if info, err := os.Stat(name); err == nil {
		if info.IsDir() {
			return fmt.Errorf("%s: is a folder", name)
		}
		if !force {
			return fmt.Errorf("%s: exists already; --force replaces it", name)
		}
	}
	temp, err := os.CreateTemp(filepath.Dir(name), "."+filepath.Base(name)+".*")
	if err != nil {
		return fmt.Errorf("%s: cannot be written: %w", name, cause(err))
	}
	defer os.Remove(temp.Name())
	b := bufio.NewWriterSize(temp, 1<<16)
	err = errors.Join(print(b), b.Flush(), temp.Chmod(0o644), temp.Close())
	if err != nil {
		return err
	}
	if force {
		err = os.Rename(temp.Name(), name)
	} else {
		err = os.Link(temp.Name(), name)
		if err != nil && !errors.Is(err, os.ErrExist) {
			// No hard links here, as on some memory cards.
			err = os.Rename(temp.Name(), name)
		}
	}
	if err != nil {
		return fmt.Errorf("%s: cannot be written: %w", name, cause(err))
	}
	return nil
}

// cause strips the operation and the path from a file error: the message
// around it names the file already.
func cause(err error) error {
	var path *os.PathError
	if errors.As(err, &path) {
		return path.Err
	}
	var link *os.LinkError
	if errors.As(err, &link) {
		return link.Err
	}
	return err
}

// writeJSON prints v indented, with a final newline.
func writeJSON(w io.Writer, v any) error {
	e := json.NewEncoder(w)
	e.SetEscapeHTML(false)
	e.SetIndent("", "  ")
	return e.Encode(v)
}
