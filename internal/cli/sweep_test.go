package cli

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"runtime"
	"strconv"
	"strings"
	"testing"
)

// run runs one command line and returns what it prints and its status.
func run(t *testing.T, args ...string) (stdout, stderr string, status int) {
	t.Helper()
	var out, messages bytes.Buffer
	status = Main(args, strings.NewReader(""), &out, &messages)
	return out.String(), messages.String(), status
}

// weathercock is a small figure for sweeps: a motor and one cam.
const weathercock = `understage: 1
figure: Weathercock
motor:
  rated: 6 V
  supply: 6 V
  no_load: {speed: 60 rpm, current: 50 mA}
  stall: {torque: 0.2 N·m, current: 0.5 A}
  shaft: main
drive:
  view: plan
  shafts:
    main: {at: [0, 0]}
cams:
  tail:
    shaft: main
    base: 20
    waves: [{per_turn: 1, amplitude: 5}, {per_turn: 3, amplitude: 0.5, at: 20 deg}]
    follower: {kind: roller, radius: 3, path: straight, heading: 90 deg}
`

// sweepArgs is a grid of 7·5·3 variants of the weathercock.
func sweepArgs(t *testing.T) []string {
	t.Helper()
	name := filepath.Join(t.TempDir(), "cock.yaml")
	if err := os.WriteFile(name, []byte(weathercock), 0o644); err != nil {
		t.Fatal(err)
	}
	return []string{
		"sweep", name,
		"--vary", "motor.supply=3..6 by 0.5 V",
		"--vary", "cams.tail.base=16..20 by 1",
		"--vary", "cams.tail.waves.1.amplitude=0.25, 0.5, 0.75",
		"--show", "motor.running_rpm,cams.tail.pressure_angle_deg.max,cams.tail.rim_radius_mm.least_convex,fail",
	}
}

// Every row equals a lone report with the same values set.
func TestSweepRowsEqualLoneReports(t *testing.T) {
	args := sweepArgs(t)
	out, messages, status := run(t, append(args, "--csv")...)
	if status != 0 {
		t.Fatal(messages)
	}
	rows, err := csv.NewReader(strings.NewReader(out)).ReadAll()
	if err != nil || len(rows) != 1+7*5*3 {
		t.Fatalf("%d lines, %v", len(rows), err)
	}
	random := rand.New(rand.NewPCG(1, 2))
	for range 20 {
		row := rows[1+random.IntN(len(rows)-1)]
		lone, messages, status := run(t, "report", args[1], "--json",
			"--set", rows[0][1]+"="+row[1], "--set", rows[0][2]+"="+row[2], "--set", rows[0][3]+"="+row[3])
		if status == 2 {
			t.Fatal(messages)
		}
		var report struct {
			Motor struct {
				RunningRPM float64 `json:"running_rpm"`
			} `json:"motor"`
			Cams []struct {
				Pressure struct{ Max float64 } `json:"pressure_angle_deg"`
				Rim      struct {
					Convex float64 `json:"least_convex"`
				} `json:"rim_radius_mm"`
			} `json:"cams"`
		}
		if err := json.Unmarshal([]byte(lone), &report); err != nil {
			t.Fatal(err)
		}
		want := []float64{report.Motor.RunningRPM, report.Cams[0].Pressure.Max, report.Cams[0].Rim.Convex}
		for i, w := range want {
			got, err := strconv.ParseFloat(row[4+i], 64)
			if err != nil || math.Abs(got-w) > 1e-9*math.Abs(w) {
				t.Errorf("row %v: %s is %s, a lone report says %g", row, rows[0][4+i], row[4+i], w)
			}
		}
	}
}

func TestSweepIsTheSameOnOneCore(t *testing.T) {
	args := append(sweepArgs(t), "--csv")
	all, _, _ := run(t, args...)
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(1))
	one, _, _ := run(t, args...)
	if one != all {
		t.Error("one core and all give different bytes")
	}
}

func TestSweepPartsMakeUpTheWhole(t *testing.T) {
	for _, format := range []string{"--csv", "--json"} {
		args := append(sweepArgs(t), format)
		whole, _, _ := run(t, args...)
		for _, n := range []int{1, 2, 7, 200} {
			var parts strings.Builder
			for k := 1; k <= n; k++ {
				part, messages, status := run(t, append(args, "--part", fmt.Sprintf("%d/%d", k, n))...)
				if status != 0 {
					t.Fatal(messages)
				}
				parts.WriteString(part)
			}
			if parts.String() != whole {
				t.Errorf("%s: %d parts do not make up the whole", format, n)
			}
		}
	}
}

// A run cut off at any byte goes on to the very bytes of an uncut one.
func TestSweepResumesAtAnyByte(t *testing.T) {
	for _, format := range []string{"--csv", "--json"} {
		args := append(sweepArgs(t), format)
		whole, _, _ := run(t, args...)
		random := rand.New(rand.NewPCG(3, 4))
		name := filepath.Join(t.TempDir(), "rows")
		for range 50 {
			cut := random.IntN(len(whole) + 1)
			if err := os.WriteFile(name+".partial", []byte(whole[:cut]), 0o644); err != nil {
				t.Fatal(err)
			}
			if _, messages, status := run(t, append(args, "--resume", name)...); status != 0 {
				t.Fatalf("%s cut at %d: %s", format, cut, messages)
			}
			got, err := os.ReadFile(name)
			if err != nil || string(got) != whole {
				t.Fatalf("%s cut at %d: %v, resumed to other bytes", format, cut, err)
			}
			if _, err := os.Stat(name + ".partial"); err == nil {
				t.Fatal("the partial file stays")
			}
			if err := os.Remove(name); err != nil {
				t.Fatal(err)
			}
		}
	}
}

func TestSweepResumesOnlyItsOwnRows(t *testing.T) {
	args := append(sweepArgs(t), "--csv")
	name := filepath.Join(t.TempDir(), "rows.csv")
	for _, foreign := range []string{"a,b\n", "row,motor.supply,x\n0,1,2\n", "row,motor.supply,cams.tail.base,cams.tail.waves.1.amplitude,motor.running_rpm,cams.tail.pressure_angle_deg.max,cams.tail.rim_radius_mm.least_convex,fail,reason\n0,9 V,16,0.25,1,1,1,0,\n"} {
		if err := os.WriteFile(name+".partial", []byte(foreign), 0o644); err != nil {
			t.Fatal(err)
		}
		if _, messages, status := run(t, append(args, "--resume", name)...); status != 2 || !strings.Contains(messages, "not those of this run") {
			t.Errorf("%q: status %d, %s", foreign, status, messages)
		}
		if kept, _ := os.ReadFile(name + ".partial"); string(kept) != foreign {
			t.Errorf("%q is overwritten", foreign)
		}
	}
	if _, messages, status := run(t, append(args, "-o", name)...); status != 2 || !strings.Contains(messages, "interrupted run") {
		t.Errorf("a new run over a partial file: status %d, %s", status, messages)
	}
}
