package check_test

import (
	"strings"
	"testing"

	"understage/internal/check"
	"understage/internal/solve"
	"understage/internal/spec"
)

// frameOf judges the built-in watchman with values replaced, and returns the
// findings of one rule.
func frameOf(t *testing.T, rule string, sets ...string) []check.Finding {
	t.Helper()
	f, _ := spec.FindFigure("watchman")
	s, msgs := spec.Load(spec.Source{Name: "watchman", Text: f.Text}, sets, nil)
	if len(msgs) > 0 {
		t.Fatalf("%v: %v", sets, msgs)
	}
	var out []check.Finding
	for _, finding := range check.Findings(s.Model, solve.Solve(s.Model)) {
		if finding.Rule == rule {
			out = append(out, finding)
		}
	}
	return out
}

// Each rule just short of its limit and just past it, and where data are
// missing. The watchman's sprocket on fore is 6.35 + 1 wide between flanges of
// 1 mm, so its top is 4.675 above the belt's level; the bow cam ends at −57.5.
func TestFrameRules(t *testing.T) {
	for _, c := range []struct {
		rule string
		sets []string
		want check.Severity
		says string
	}{
		{"frame_sizes", nil, check.OK, "given"},
		{"frame_sizes", []string{"drive.belts.loop.run.0.flange=~"}, check.Unknown, "flange of sprocket on main"},
		{"frame_sizes", []string{"torso.guide.width=~", "torso.guide.thickness=~"}, check.Unknown, "width and thickness of guide arm"},
		{"shaft_stack", nil, check.OK, "height of their own"},
		{"shaft_stack", []string{"drive.belts.loop.level=-62.18"}, check.OK, ""},
		{"shaft_stack", []string{"drive.belts.loop.level=-62.17"}, check.Fail, "share a height"},
		{"shaft_stack", []string{"drive.belts.loop.level=-62.18", "limits.shaft_stack=0.5"}, check.Fail, "0.49"},
		{"gear_side", nil, check.OK, ""},
		{"gear_side", []string{"drive.gears.chime.driver.level=-73"}, check.Fail, "other sense"},
		{"frame_clearance", nil, check.OK, "keep clear"},
		{"frame_clearance", []string{"limits.frame_clearance=1.83"}, check.OK, ""},
		{"frame_clearance", []string{"limits.frame_clearance=1.84"}, check.Caution, "within 1.83"},
		{"frame_clearance", []string{"drive.belts.loop.level=-75"}, check.Fail, "meet"},
		{"shaft_bearings", nil, check.OK, "hold"},
		{"shaft_bearings", []string{"drive.shafts.side.to=-40"}, check.Caution, "only 1"},
		{"shaft_bearings", []string{"drive.shafts.side.from=-73", "drive.shafts.side.to=-40"}, check.Fail, "no frame plate"},
		{"shaft_bearings", []string{"frame.plates=~"}, check.Unknown, "frame.plates"},
		{"shaft_bearings", []string{"frame.plates.rail=~", "frame.plates.face=~"}, check.Unknown, "front view"},
		{"hole_wall", nil, check.OK, "thinnest"},
		{"hole_wall", []string{"frame.plates.top.margin=2"}, check.OK, ""},
		{"hole_wall", []string{"frame.plates.top.margin=1.9"}, check.Caution, "thin"},
		{"hole_wall", []string{"frame.plates.top.holes={lead: {at: [34, 0], diameter: 3}}"}, check.Fail, "breaks into"},
		{"hole_wall", []string{"frame.plates.top.level=-300"}, check.Unknown, "no holes"},
		{"hole_wall", []string{"cams.sway.base=4.1"}, check.OK, ""},
		{"hole_wall", []string{"cams.sway.base=4.09"}, check.Caution, "base circle"},
		{"hole_wall", []string{"cams.sway.base=2"}, check.Fail, "breaks through"},
		{"bed_fit", nil, check.OK, "whole"},
		{"bed_fit", []string{"frame.bed=[70, 140]"}, check.OK, "quarter"},
		{"bed_fit", []string{"frame.bed=[100, 100]"}, check.Caution, "2 parts"},
		{"bed_fit", []string{"frame.bed=[20, 20]"}, check.Fail, "no line"},
		{"bed_fit", []string{"frame.bed=~"}, check.Unknown, "frame.bed"},
		{"motor_mount", nil, check.OK, "plate foot"},
		{"motor_mount", []string{"motor.body.face=-97.5"}, check.OK, ""},
		{"motor_mount", []string{"motor.body.face=-97.6"}, check.Fail, "0.60"},
		{"motor_mount", []string{"motor.body=~"}, check.Unknown, "motor.body"},
		{"motor_mount", []string{"motor.body.screw_circle=~"}, check.Unknown, "screws"},
		{"motor_mount", []string{"frame.plates.foot.outline=[[-20, -40], [0, -40], [0, -30], [-20, -30]]"}, check.Fail, "does not reach"},
		{"motor_mount", []string{"frame.plates=~"}, check.Unknown, "frame plates"},
		{"stage_slot", nil, check.OK, "cut a slot"},
	} {
		found := frameOf(t, c.rule, c.sets...)
		if len(found) == 0 {
			t.Errorf("%s %v: no finding", c.rule, c.sets)
			continue
		}
		worst := found[0]
		for _, f := range found {
			if f.Severity > worst.Severity {
				worst = f
			}
			if f.Source == "" || f.Where == "" || f.Message == "" {
				t.Errorf("%s: incomplete finding %+v", c.rule, f)
			}
		}
		if worst.Severity != c.want || !strings.Contains(worst.Message, c.says) {
			t.Errorf("%s %v: %v: %s (want %v, %q)", c.rule, c.sets, worst.Severity, worst.Message, c.want, c.says)
		}
	}
}
