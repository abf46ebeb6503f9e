package cli

import (
	"bytes"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"golang.org/x/tools/txtar"
)

var update = flag.Bool("update", false, "rewrite the golden output of testdata/cli")

// TestScripts runs the command lines in testdata/cli/*.txt in process, each in
// a folder of its own. A script is a txtar archive: its comment holds the
// commands, one a line, led by "understage" ("understage < FILE" feeds standard
// input); its files are there before the first command, but for the last one,
// "want", which holds what the commands print: "$ command", standard output,
// lines of standard error led by "! ", and "status N" when it is not 0.
func TestScripts(t *testing.T) {
	scripts, err := filepath.Glob("../../testdata/cli/*.txt")
	if err != nil || len(scripts) == 0 {
		t.Fatalf("no scripts: %v", err)
	}
	for _, script := range scripts {
		t.Run(strings.TrimSuffix(filepath.Base(script), ".txt"), func(t *testing.T) { runScript(t, script) })
	}
}

func runScript(t *testing.T, script string) {
	path, err := filepath.Abs(script)
	if err != nil {
		t.Fatal(err)
	}
	archive, err := txtar.ParseFile(path)
	if err != nil {
		t.Fatal(err)
	}
	t.Chdir(t.TempDir())
	want := ""
	kept := archive.Files[:0]
	for _, f := range archive.Files {
		if f.Name == "want" {
			want = string(f.Data)
			continue
		}
		kept = append(kept, f)
		if err := os.MkdirAll(filepath.Dir(f.Name), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(f.Name, f.Data, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	got := runCommands(t, string(archive.Comment))
	if got == want {
		return
	}
	if *update {
		archive.Files = append(kept, txtar.File{Name: "want", Data: []byte(got)})
		if err := os.WriteFile(path, txtar.Format(archive), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	t.Errorf("output differs (go test ./internal/cli -update rewrites it)\n--- want\n%s--- got\n%s", want, got)
}

// runCommands runs the commands and returns what they print.
func runCommands(t *testing.T, commands string) string {
	var b strings.Builder
	for line := range strings.Lines(commands) {
		line = strings.TrimSpace(line)
		if line == "" || strings.HasPrefix(line, "#") {
			continue
		}
		args := splitCommand(line)
		if args[0] != "understage" {
			t.Fatalf("not a command of ours: %s", line)
		}
		args = args[1:]
		var stdin bytes.Buffer
		if n := len(args); n >= 2 && args[n-2] == "<" {
			text, err := os.ReadFile(args[n-1])
			if err != nil {
				t.Fatal(err)
			}
			stdin.Write(text)
			args = args[:n-2]
		}
		var stdout, stderr bytes.Buffer
		status := Main(args, &stdin, &stdout, &stderr)
		fmt.Fprintf(&b, "$ %s\n%s", line, stdout.String())
		for message := range strings.Lines(stderr.String()) {
			b.WriteString("! " + message)
		}
		if status != 0 {
			fmt.Fprintf(&b, "status %d\n", status)
		}
	}
	return b.String()
}

// splitCommand splits at blanks outside single quotes.
func splitCommand(line string) []string {
	var args []string
	var word strings.Builder
	quoted, open := false, false
	for _, r := range line + " " {
		switch {
		case r == '\'':
			quoted, open = !quoted, true
		case r == ' ' && !quoted:
			if open {
				args = append(args, word.String())
			}
			word.Reset()
			open = false
		default:
			word.WriteRune(r)
			open = true
		}
	}
	return args
}
