package needtool

import (
	"os/exec"
	"runtime"
	"testing"
)

func TestPath(t *testing.T) {
	want, err := exec.LookPath("go")
	if err != nil {
		t.Skip("go itself is not on the path")
	}
	if got := Path(t, "go", "golang-go"); got != want {
		t.Errorf("got %q, want %q", got, want)
	}
}

// TestPathMissing: what is not there skips, or fails where tools are required.
func TestPathMissing(t *testing.T) {
	for _, c := range []struct {
		require string
		want    string
	}{{"", "skipped"}, {"1", "failed"}} {
		t.Setenv("UNDERSTAGE_REQUIRE_TOOLS", c.require)
		r := &recorder{TB: t}
		done := make(chan struct{})
		go func() {
			defer close(done)
			Path(r, "no-such-program-at-all", "none")
		}()
		<-done
		if r.outcome != c.want {
			t.Errorf("with %q: %q, want %q", c.require, r.outcome, c.want)
		}
	}
}

// recorder notes how a test would have ended.
type recorder struct {
	testing.TB
	outcome string
}

func (r *recorder) Helper() {}

func (r *recorder) Fatalf(string, ...any) { r.end("failed") }

func (r *recorder) Skipf(string, ...any) { r.end("skipped") }

func (r *recorder) end(outcome string) {
	r.outcome = outcome
	runtime.Goexit()
}
