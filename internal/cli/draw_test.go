package cli

import (
	"bytes"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// drawn runs a command line in the current folder.
func drawn(t *testing.T, args ...string) (status int, stdout, stderr string) {
	t.Helper()
	var out, problems bytes.Buffer
	status = Main(args, strings.NewReader(""), &out, &problems)
	return status, out.String(), problems.String()
}

// entries lists all files under a folder, hidden ones too.
func entries(t *testing.T, folder string) []string {
	t.Helper()
	var all []string
	err := filepath.WalkDir(folder, func(path string, e fs.DirEntry, err error) error {
		if err == nil && path != folder {
			all = append(all, path)
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return all
}

func TestDrawWholeOrNotAtAll(t *testing.T) {
	t.Chdir(t.TempDir())
	if status, _, problems := drawn(t, "new", "figure.yaml"); status != 0 {
		t.Fatal(problems)
	}
	status, out, problems := drawn(t, "draw", "figure.yaml", "-o", "out")
	if status != 0 || problems != "" {
		t.Fatalf("status %d: %s", status, problems)
	}
	count := len(entries(t, "out"))
	if count < 30 || !strings.Contains(out, "plate-top") {
		t.Errorf("%d files; listed:\n%s", count, out)
	}
	list, err := os.ReadFile("out/making-list.txt")
	if err != nil || !strings.Contains(string(list), "125 teeth") {
		t.Errorf("making list: %v\n%s", err, list)
	}
	for _, line := range strings.Split(string(list), "\n") {
		if len([]rune(line)) > 80 {
			t.Errorf("wider than 80: %q", line)
		}
	}

	// Without --force nothing is touched.
	if status, _, problems := drawn(t, "draw", "figure.yaml", "-o", "out"); status != 2 || !strings.Contains(problems, "--force") {
		t.Errorf("status %d: %s", status, problems)
	}
	// With it, an earlier set is replaced whole.
	if err := os.WriteFile("out/plate-gone.svg", []byte("old"), 0o644); err != nil {
		t.Fatal(err)
	}
	if status, _, problems := drawn(t, "draw", "figure.yaml", "-o", "out", "--force"); status != 0 {
		t.Errorf("status %d: %s", status, problems)
	}
	if now := len(entries(t, "out")); now != count {
		t.Errorf("%d files after replacing, %d before", now, count)
	}
	// But never a folder with anything else in it.
	if err := os.WriteFile("out/notes.txt", []byte("mine"), 0o644); err != nil {
		t.Fatal(err)
	}
	if status, _, problems := drawn(t, "draw", "figure.yaml", "-o", "out", "--force"); status != 2 || !strings.Contains(problems, "notes.txt") {
		t.Errorf("status %d: %s", status, problems)
	}
	if got, err := os.ReadFile("out/notes.txt"); err != nil || string(got) != "mine" {
		t.Errorf("notes: %q, %v", got, err)
	}
	// Nothing is left over beside it.
	if left := entries(t, "."); len(left) != count+1+2 {
		t.Errorf("left over: %v", left)
	}
}

func TestDrawRefuses(t *testing.T) {
	t.Chdir(t.TempDir())
	drawn(t, "new", "figure.yaml")
	if err := os.WriteFile("file", nil, 0o644); err != nil {
		t.Fatal(err)
	}
	before := entries(t, ".")
	for _, c := range []struct {
		args []string
		want string
	}{
		{[]string{"draw", "figure.yaml"}, "-o DIR"},
		{[]string{"draw", "-o", "x"}, "needs a SPEC"},
		{[]string{"draw", "figure.yaml", "-o", "no/such/folder"}, "no such file"},
		{[]string{"draw", "figure.yaml", "-o", "file"}, "exists already"},
		{[]string{"draw", "figure.yaml", "-o", "file", "--force"}, "is not a folder"},
		{[]string{"draw", "figure.yaml", "-o", "x", "--set", "cams.sway.thickness=0"}, "thickness"},
		{[]string{"draw", "missing.yaml", "-o", "x"}, "missing.yaml"},
	} {
		status, out, problems := drawn(t, c.args...)
		if status != 2 || out != "" || !strings.Contains(problems, c.want) {
			t.Errorf("%v: status %d, %q, %q", c.args, status, out, problems)
		}
	}
	if after := entries(t, "."); len(after) != len(before) {
		t.Errorf("left over: %v", after)
	}
}

// A figure that is judged fail is drawn all the same, and says so.
func TestDrawFailing(t *testing.T) {
	t.Chdir(t.TempDir())
	drawn(t, "new", "figure.yaml")
	status, _, problems := drawn(t, "draw", "figure.yaml", "-o", "out", "--set", "drive.belts.loop.level=-75")
	if status != 1 || !strings.Contains(problems, "judged fail") {
		t.Errorf("status %d: %s", status, problems)
	}
	if len(entries(t, "out")) < 30 {
		t.Error("not drawn")
	}
}
