package internal_test

import (
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// layers says which packages of ours each package may import. Everything below
// cli is a function from values to values.
var layers = map[string][]string{
	"diag":     {},
	"units":    {},
	"geom":     {},
	"mech":     {"geom"},
	"standard": {"units"},
	"spec":     {"diag", "units", "mech", "geom", "standard"},
	"solve":    {"mech", "geom", "standard"},
	"check":    {"mech", "solve", "geom", "standard"},
	"report":   {"units", "diag", "mech", "solve", "check", "standard", "sweep"},
	"draw":     {"units", "geom", "mech", "solve", "check"},
	"sweep":    {"diag", "units"},
	"needtool": {}, // for tests only
	"cli":      {"diag", "units", "geom", "mech", "standard", "spec", "solve", "check", "report", "draw", "sweep"},
}

// libraries says which packages may import each library that is not everyone's,
// by the start of its path.
var libraries = map[string][]string{
	"gopkg.in/yaml.v3":       {"spec"},
	"github.com/spf13/cobra": {"cli"},
	"github.com/spf13/pflag": {"cli"},
	"gonum.org/v1/gonum":     {"geom", "mech", "standard", "spec", "solve", "check", "report", "draw", "sweep"},
	"golang.org/x/term":      {"cli"},
	"github.com/go-pdf/fpdf": {"draw"},
	"golang.org/x/image":     {"draw"},
}

// pure packages read no files or clocks, print nothing and start nothing.
var (
	pure      = []string{"units", "geom", "mech", "solve", "check", "standard"}
	worldly   = []string{"os", "log", "net", "time", "syscall", "os/exec", "os/signal", "math/rand", "math/rand/v2"}
	forbidden = []string{"util", "utils", "common", "helpers", "misc"}
)

// TestLayers walks every package. Test files may import what they like of
// ours, since Go itself refuses a cycle.
func TestLayers(t *testing.T) {
	seen := map[string]bool{}
	err := filepath.WalkDir(".", func(path string, entry fs.DirEntry, err error) error {
		if err != nil || entry.IsDir() || !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go") {
			return err
		}
		name := filepath.ToSlash(filepath.Dir(path))
		if _, known := layers[name]; !known {
			t.Errorf("%s: package %s is not in the table of layers", path, name)
			return nil
		}
		seen[name] = true
		file, err := parser.ParseFile(token.NewFileSet(), path, nil, parser.ImportsOnly)
		if err != nil {
			return err
		}
		for _, spec := range file.Imports {
			imported, _ := strconv.Unquote(spec.Path.Value)
			if why := refused(name, imported); why != "" {
				t.Errorf("%s imports %s: %s", path, imported, why)
			}
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	for name := range layers {
		if !seen[name] {
			t.Errorf("package %s of the table is not there", name)
		}
		if slices.Contains(forbidden, filepath.Base(name)) {
			t.Errorf("package %s says nothing of its job", name)
		}
	}
}

// refused says why a package may not import another, "" where it may.
func refused(name, imported string) string {
	if ours, ok := strings.CutPrefix(imported, "understage/internal/"); ok {
		if !slices.Contains(layers[name], ours) {
			return name + " may import " + strings.Join(layers[name], ", ")
		}
		return ""
	}
	if first, _, _ := strings.Cut(imported, "/"); !strings.Contains(first, ".") {
		if slices.Contains(pure, name) && slices.Contains(worldly, imported) {
			return name + " takes values and returns values"
		}
		return ""
	}
	for start, users := range libraries {
		if strings.HasPrefix(imported, start) {
			if !slices.Contains(users, name) {
				return "only " + strings.Join(users, ", ") + " may"
			}
			return ""
		}
	}
	return "not in the table of libraries"
}

// TestRefused keeps the test above able to fail.
func TestRefused(t *testing.T) {
	for _, c := range []struct {
		name, imported string
		refused        bool
	}{
		{"solve", "understage/internal/mech", false},
		{"mech", "understage/internal/solve", true},
		{"solve", "understage/internal/units", true},
		{"spec", "gopkg.in/yaml.v3", false},
		{"cli", "gopkg.in/yaml.v3", true},
		{"cli", "github.com/spf13/cobra", false},
		{"report", "github.com/spf13/cobra", true},
		{"solve", "os", true},
		{"cli", "os", false},
		{"solve", "example.org/x", true},
	} {
		if got := refused(c.name, c.imported); (got != "") != c.refused {
			t.Errorf("%s importing %s: %q", c.name, c.imported, got)
		}
	}
}

// TestMainOnlyCallsCli: the command itself holds no more than one call.
func TestMainOnlyCallsCli(t *testing.T) {
	source, err := os.ReadFile(filepath.Join("..", "cmd", "understage", "main.go"))
	if err != nil {
		t.Fatal(err)
	}
	file, err := parser.ParseFile(token.NewFileSet(), "main.go", source, 0)
	if err != nil {
		t.Fatal(err)
	}
	if len(file.Imports) != 2 || len(file.Decls) != 2 {
		t.Errorf("main.go has %d imports and %d declarations, want os and cli, and main alone", len(file.Imports), len(file.Decls))
	}
}
