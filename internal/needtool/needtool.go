// Package needtool finds the programs that tests read drawings and long runs
// back with. Only tests import it.
package needtool

import (
	"os"
	"os/exec"
	"testing"
)

// Path returns the path of a program. Where it is not installed the test is
// skipped, or fails if UNDERSTAGE_REQUIRE_TOOLS is set, as the gate sets it.
func Path(t testing.TB, program, debianPackage string) string {
	t.Helper()
	path, err := exec.LookPath(program)
	if err == nil {
		return path
	}
	if os.Getenv("UNDERSTAGE_REQUIRE_TOOLS") != "" {
		t.Fatalf("%s is not installed (Debian package %s)", program, debianPackage)
	}
	t.Skipf("%s is not installed (Debian package %s)", program, debianPackage)
	return ""
}
