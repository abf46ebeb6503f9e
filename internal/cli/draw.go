package cli

import (
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"regexp"
	"strings"

	"understage/internal/check"
	"understage/internal/draw"
	"understage/internal/report"
	"understage/internal/solve"

	"github.com/spf13/cobra"
)

type drawOptions struct {
	specOptions
	folder string
	force  bool
	json   bool
}

func newDrawCmd(a *app) *cobra.Command {
	var o drawOptions
	cmd := &cobra.Command{
		Use:   "draw SPEC -o DIR",
		Short: "draw frame plates, cams and layouts at true size",
		Long: `Writes a folder of drawings at 1:1: frame plates and cam templates as SVG, PDF,
DXF and STL; the drive's layout in each view, the stack under the stage and the
figure's sway as SVG and PDF; and making-list.txt. Every sheet has a bar of
100 mm: measure it before you cut. Large drawings are spread over several sheets
of paper.

The folder appears whole or not at all. --force replaces one that holds nothing
but an earlier set of drawings.

Exit status: 0 done, 1 drawn, but something is judged fail, 2 no answer.`,
		Example: `  understage draw watchman.yaml -o drawings
  understage draw watchman.yaml -o drawings --force --set frame.cutter=0.2`,
		Args: oneSpec,
		RunE: func(cmd *cobra.Command, args []string) error { return runDraw(a, args, o) },
	}
	cmd.Flags().StringVarP(&o.folder, "out", "o", "", "the `DIR` to write")
	cmd.Flags().BoolVar(&o.force, "force", false, "let --out replace an earlier set of drawings")
	cmd.Flags().BoolVar(&o.json, "json", false, "list the files as JSON")
	addSpecFlags(cmd, &o.specOptions)
	return cmd
}

func runDraw(a *app, args []string, o drawOptions) error {
	if o.folder == "" {
		return errors.New("draw needs -o DIR, the folder to write")
	}
	figure, err := a.loadOne(args, o.specOptions)
	if err != nil {
		return err
	}
	m := figure.Model
	s := solve.Solve(m)
	files, err := draw.Files(m, s)
	if err != nil {
		return err
	}
	list := report.MakingList(m, s)
	files = append(files, draw.File{Name: makingFile, Data: []byte(list)})
	if err := writeFolder(o.folder, o.force, files); err != nil {
		return err
	}
	if err := a.write(outputOptions{}, func(w io.Writer) error { return listFiles(w, o, files) }); err != nil {
		return err
	}
	if check.Worst(check.Findings(m, s)) == check.Fail {
		fmt.Fprintln(a.stderr, "drawn all the same, but something is judged fail: understage check says what")
		return errJudgedFail
	}
	return nil
}

// drawnFile is one file of the set in JSON.
type drawnFile struct {
	Name  string `json:"name"`
	Bytes int    `json:"bytes"`
}

func listFiles(w io.Writer, o drawOptions, files []draw.File) error {
	if o.json {
		list := make([]drawnFile, len(files))
		for i, f := range files {
			list[i] = drawnFile{f.Name, len(f.Data)}
		}
		return writeJSON(w, struct {
			Folder string      `json:"folder"`
			Files  []drawnFile `json:"files"`
		}{o.folder, list})
	}
	// One line for each drawing, with the kinds it comes in.
	var stems []string
	kinds := map[string][]string{}
	for _, f := range files {
		kind := filepath.Ext(f.Name)
		stem := strings.TrimSuffix(f.Name, kind)
		if kinds[stem] == nil {
			stems = append(stems, stem)
		}
		kinds[stem] = append(kinds[stem], strings.TrimPrefix(kind, "."))
	}
	if _, err := fmt.Fprintf(w, "%d files in %s\n", len(files), o.folder); err != nil {
		return err
	}
	for _, stem := range stems {
		if _, err := fmt.Fprintf(w, "  %-24s %s\n", stem, strings.Join(kinds[stem], " ")); err != nil {
			return err
		}
	}
	return nil
}

const makingFile = "making-list.txt"

// drawnName is what files of a set are called.
var drawnName = regexp.MustCompile(`^(plate|cam|layout|stack|sway)-.*\.(svg|pdf|dxf|stl)$`)

// writeFolder creates the folder whole, through a temporary one beside it.
// With force it replaces a folder that holds nothing but an earlier set.
func writeFolder(name string, force bool, files []draw.File) error {
	name = filepath.Clean(name)
	old := false
	if _, err := os.Lstat(name); err == nil {
		if err := replaceable(name, force); err != nil {
			return err
		}
		old = true
	}
	temp, err := os.MkdirTemp(filepath.Dir(name), "."+filepath.Base(name)+".*")
	if err != nil {
		return fmt.Errorf("%s: cannot be written: %w", name, cause(err))
	}
	defer os.RemoveAll(temp)
	whole := filepath.Join(temp, "new")
	if err := os.Mkdir(whole, 0o755); err != nil {
		return fmt.Errorf("%s: cannot be written: %w", name, cause(err))
	}
	for _, f := range files {
		if err := os.WriteFile(filepath.Join(whole, f.Name), f.Data, 0o644); err != nil {
			return fmt.Errorf("%s: cannot be written: %w", filepath.Join(name, f.Name), cause(err))
		}
	}
	if old {
		// The earlier set waits beside the new one and goes with the temporary
		// folder, or comes back if the new one cannot take its place.
		aside := filepath.Join(temp, "old")
		if err := os.Rename(name, aside); err != nil {
			return fmt.Errorf("%s: cannot be replaced: %w", name, cause(err))
		}
		if err := os.Rename(whole, name); err != nil {
			return errors.Join(fmt.Errorf("%s: cannot be written: %w", name, cause(err)), os.Rename(aside, name))
		}
		return nil
	}
	if err := os.Rename(whole, name); err != nil {
		return fmt.Errorf("%s: cannot be written: %w", name, cause(err))
	}
	return nil
}

// replaceable says whether a folder may be replaced.
func replaceable(name string, force bool) error {
	if !force {
		return fmt.Errorf("%s: exists already; --force replaces an earlier set of drawings", name)
	}
	info, err := os.Lstat(name)
	if err != nil {
		return fmt.Errorf("%s: cannot be read: %w", name, cause(err))
	}
	if !info.IsDir() {
		return fmt.Errorf("%s: is not a folder", name)
	}
	entries, err := os.ReadDir(name)
	if err != nil {
		return fmt.Errorf("%s: cannot be read: %w", name, cause(err))
	}
	for _, e := range entries {
		if e.Name() != makingFile && !drawnName.MatchString(e.Name()) || e.IsDir() {
			return fmt.Errorf("%s: holds %s, which is no drawing of this program; not replaced", name, e.Name())
		}
	}
	return nil
}
