package cli

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
)

// camRun runs a command line that must end with the status.
func camRun(t *testing.T, status int, args ...string) []byte {
	t.Helper()
	var out, errs bytes.Buffer
	if got := Main(args, strings.NewReader(""), &out, &errs); got != status {
		t.Fatalf("%v: status %d, want %d\n%s", args, got, status, errs.String())
	}
	return out.Bytes()
}

// Rows of an eccentric under a flat face against its closed form, in JSON and
// CSV alike: s = ε(1 − cos φ), the rim a circle of radius R about (−ε, 0).
func TestCamRows(t *testing.T) {
	args := []string{"cam", "--eccentric", "18,4", "--flat", "--step", "40"}
	var got struct {
		LiftUnit string `json:"lift_unit"`
		Rows     []map[string]float64
	}
	if err := json.Unmarshal(camRun(t, 0, append(args, "--json")...), &got); err != nil {
		t.Fatal(err)
	}
	rows, err := csv.NewReader(bytes.NewReader(camRun(t, 0, append(args, "--csv")...))).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	if got.LiftUnit != "mm" || len(got.Rows) != 9 || len(rows) != 10 {
		t.Fatalf("unit %q, %d rows of JSON, %d of CSV", got.LiftUnit, len(got.Rows), len(rows))
	}
	for i, r := range got.Rows {
		phi := float64(i) * 40 * math.Pi / 180
		for key, want := range map[string]float64{
			"angle_deg": float64(i) * 40, "lift": 4 * (1 - math.Cos(phi)), "velocity": 4 * math.Sin(phi),
			"acceleration": 4 * math.Cos(phi), "jerk": -4 * math.Sin(phi), "pressure_angle_deg": 0, "rim_radius_mm": 18,
			// The face touches the disc where its normal points: R from the centre.
			"x_mm": 18*math.Cos(phi) - 4, "y_mm": -18 * math.Sin(phi),
		} {
			have, ok := r[key]
			if !ok || math.Abs(have-want) > 1e-9 {
				t.Errorf("row %d: %s = %v, want %v", i, key, have, want)
			}
		}
		for k, head := range rows[0] {
			v, err := strconv.ParseFloat(rows[i+1][k], 64)
			if err != nil || math.Abs(v-r[head]) > 1e-9 {
				t.Errorf("row %d: CSV has %s = %s, JSON %v", i, head, rows[i+1][k], r[head])
			}
		}
	}
}

// What is infinite at a joint is null in JSON and empty in CSV, and the value is
// the one just after.
func TestCamRowsAtJoints(t *testing.T) {
	args := []string{"cam", "--law", "uniform", "--lift", "6", "--over", "90", "--return-over", "0", "--base", "20", "--step", "90"}
	var got struct{ Rows []map[string]*float64 }
	if err := json.Unmarshal(camRun(t, 0, append(args, "--json")...), &got); err != nil {
		t.Fatal(err)
	}
	drop := got.Rows[1]
	if drop["lift"] == nil || *drop["lift"] != 0 {
		t.Errorf("lift just after the drop: %v", drop["lift"])
	}
	for _, key := range []string{"velocity", "acceleration", "jerk", "rim_radius_mm"} {
		if drop[key] != nil {
			t.Errorf("%s at the drop is %v, want null", key, *drop[key])
		}
	}
	start := got.Rows[0]
	if start["velocity"] == nil || math.Abs(*start["velocity"]-12/math.Pi) > 1e-9 || start["acceleration"] != nil {
		t.Errorf("start of a uniform rise: %v", start)
	}
	if rows := string(camRun(t, 0, append(args, "--csv")...)); !strings.Contains(rows, "\n90,0,,,,") {
		t.Errorf("the drop's row in CSV:\n%s", rows)
	}
}

// The JSON of cams has the keys that scripts rely on.
func TestCamJSON(t *testing.T) {
	var got struct {
		Cams []struct {
			Name     string
			LiftUnit string                     `json:"lift_unit"`
			Lift     struct{ Min, Max float64 } `json:"lift"`
			Pressure struct {
				Max float64
				At  float64 `json:"at_deg"`
			} `json:"pressure_angle_deg"`
			Radius struct {
				Convex *float64 `json:"least_convex"`
				Hollow *float64 `json:"least_hollow"`
			} `json:"rim_radius_mm"`
			Undercut     bool
			Velocity     *float64 `json:"peak_velocity_mm_s"`
			Acceleration *float64 `json:"peak_acceleration_mm_s2"`
		}
	}
	if err := json.Unmarshal(camRun(t, 0, "cam", "--eccentric", "18,4", "--flat", "--rpm", "30", "--json"), &got); err != nil {
		t.Fatal(err)
	}
	c := got.Cams[0]
	w := math.Pi
	if c.Name != "cam" || c.LiftUnit != "mm" || math.Abs(c.Lift.Max-8) > 1e-9 || c.Undercut || c.Radius.Hollow != nil ||
		c.Radius.Convex == nil || math.Abs(*c.Radius.Convex-18) > 1e-9 || math.Abs(*c.Velocity-4*w) > 1e-9 || math.Abs(*c.Acceleration-4*w*w) > 1e-9 {
		t.Errorf("%+v", c)
	}
	// An offset follower over a round disc: the pressure angle in closed form is
	// that of the slider-crank, sin α = (e − ε·sin φ)/(R + r), greatest at 90°.
	if err := json.Unmarshal(camRun(t, 0, "cam", "--eccentric", "18,4", "--roller", "3", "--offset", "2", "--json"), &got); err != nil {
		t.Fatal(err)
	}
	if c := got.Cams[0]; math.Abs(c.Pressure.Max-math.Asin(6.0/21)*180/math.Pi) > 1e-9 || math.Abs(c.Pressure.At-270) > 1e-6 {
		t.Errorf("pressure angle %+v", c.Pressure)
	}
}

// A knife's rim is the curve r = base + lift, whose curvature at a place of least
// lift is (r − s”)/r² (polar curves, Bronshtein, Handbook of Mathematics, from
// memory): with 4·cos 3φ on a base of 20 it is (20 − 36)/400 at 60°, a hollow of
// 25 mm, negative in the rows and in the report alike.
func TestCamHollowIsNegative(t *testing.T) {
	spec := filepath.Join(t.TempDir(), "hollow.yaml")
	text := `understage: 1
cams:
  rim:
    shaft: main
    base: 20
    waves: [{per_turn: 3, amplitude: 4}]
    follower: {kind: knife, heading: 90}
`
	if err := os.WriteFile(spec, []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
	var rows struct{ Rows []map[string]*float64 }
	if err := json.Unmarshal(camRun(t, 0, "cam", spec, "--name", "rim", "--step", "60", "--json"), &rows); err != nil {
		t.Fatal(err)
	}
	var got struct {
		Cams []struct {
			Radius map[string]*float64 `json:"rim_radius_mm"`
		}
	}
	if err := json.Unmarshal(camRun(t, 0, "report", spec, "--json"), &got); err != nil {
		t.Fatal(err)
	}
	for where, radius := range map[string]*float64{"row": rows.Rows[1]["rim_radius_mm"], "report": got.Cams[0].Radius["least_hollow"]} {
		if radius == nil || math.Abs(*radius+25) > 1e-8 {
			t.Errorf("%s: hollow of %v mm, want -25", where, radius)
		}
	}
}

// A disc of radius 18 that the arm cannot reach from a pivot at 60 (60 > 40 + 15
// + 3) gives no motion: null everywhere, never a lift of nothing.
func TestCamWithoutMotion(t *testing.T) {
	spec := filepath.Join(t.TempDir(), "far.yaml")
	text := `understage: 1
motor: {rated: 6 V, no_load: {speed: 23 rpm, current: 60 mA}, stall: {torque: 0.5 N·m, current: 0.8 A}, shaft: main}
cams:
  rim:
    shaft: main
    eccentric: {disc_radius: 18, offset: 3}
    follower: {kind: roller, radius: 3, path: swing, pivot: [60, 0], arm: 40}
`
	if err := os.WriteFile(spec, []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
	var got struct {
		Rows []map[string]*float64
		Cams []map[string]any
	}
	if err := json.Unmarshal(camRun(t, 1, "cam", spec, "--name", "rim", "--step", "90", "--json"), &got); err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(camRun(t, 1, "report", spec, "--json"), &got); err != nil {
		t.Fatal(err)
	}
	for key, value := range got.Rows[1] {
		if (value == nil) != (key != "angle_deg") {
			t.Errorf("row: %s is %v", key, value)
		}
	}
	lift := got.Cams[0]["lift"].(map[string]any)
	for key, value := range map[string]any{"lift.min": lift["min"], "lift.max": lift["max"], "peak": got.Cams[0]["peak_velocity_mm_s"]} {
		if value != nil {
			t.Errorf("%s is %v, want null", key, value)
		}
	}
	var pose struct{ Cams map[string]map[string]any }
	if err := json.Unmarshal(camRun(t, 0, "pose", spec, "--turns", "0.3", "--json"), &pose); err != nil {
		t.Fatal(err)
	}
	if lift := pose.Cams["rim"]["lift"]; lift != nil {
		t.Errorf("pose: lift is %v, want null", lift)
	}
	trace := string(camRun(t, 0, "trace", spec, "--csv"))
	if !strings.Contains(trace, "cams.rim.lift_deg\n0,0,0,0,\n") {
		t.Errorf("trace has a lift: %.200s", trace)
	}
}
