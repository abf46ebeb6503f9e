package cli

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"understage/internal/needtool"
)

// The line that docs/sweep.md gives for GNU Parallel deals a run out to
// processes, and its output is that of a single run.
func TestParallelLineOfTheManual(t *testing.T) {
	if testing.Short() {
		t.Skip("builds the program")
	}
	parallel := needtool.Path(t, "parallel", "parallel")
	manual, err := os.ReadFile("../../docs/sweep.md")
	if err != nil {
		t.Fatal(err)
	}
	line := regexp.MustCompile(`(?m)^parallel .*$`).FindString(string(manual))
	if line == "" {
		t.Fatal("docs/sweep.md gives no line for GNU Parallel")
	}
	dir := t.TempDir()
	build := exec.Command("go", "build", "-o", filepath.Join(dir, "understage"), "understage/cmd/understage")
	if out, err := build.CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	command := func(text string) *exec.Cmd {
		c := exec.Command("sh", "-c", text)
		c.Dir = dir
		c.Env = append(os.Environ(), "PATH="+dir+":"+filepath.Dir(parallel)+":"+os.Getenv("PATH"), "HOME="+dir)
		return c
	}
	if out, err := command("understage new mine.yaml").CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	var stderr bytes.Buffer
	dealt := command(strings.Replace(line, "parallel ", "parallel --will-cite ", 1))
	dealt.Stderr = &stderr
	if err := dealt.Run(); err != nil {
		t.Fatalf("%v\n%s", err, stderr.String())
	}
	got, err := os.ReadFile(filepath.Join(dir, "rows.csv"))
	if err != nil {
		t.Fatal(err)
	}
	single := strings.NewReplacer("parallel --keep-order ", "", `"'`, "'", `'"`, "'", "--part {}/8 ", "", "::: $(seq 8) ", "").Replace(line)
	single, _, _ = strings.Cut(single, ">")
	want, err := command(single).Output()
	if err != nil {
		t.Fatalf("%s: %v", single, err)
	}
	if len(want) == 0 || !bytes.Equal(got, want) {
		t.Errorf("dealt out:\n%s\nin one run:\n%s", got, want)
	}
}
