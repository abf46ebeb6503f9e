package report

import (
	"encoding/json"
	"math"
	"strings"
	"testing"

	"understage/internal/mech"
	"understage/internal/solve"
)

// camHand is a cam with results written by hand.
func camHand() (*mech.Model, *mech.Cam, *solve.CamResult) {
	cam := &mech.Cam{Name: "bow", Base: 16, Follower: &mech.Follower{Kind: mech.Roller, Radius: 3}, Shape: mech.Shape{Kind: mech.ShapeMotion}}
	r := &solve.CamResult{
		Sense: -1, Lever: 1, Base: 16, Roller: 3,
		Lift:         solve.CamExtent{Min: solve.CamAt{Value: 0, Angle: 0}, Max: solve.CamAt{Value: 10, Angle: math.Pi}},
		Velocity:     solve.CamExtent{Min: solve.CamAt{Value: -6, Angle: 4}, Max: solve.CamAt{Value: 5, Angle: 1}},
		Acceleration: solve.CamExtent{Min: solve.CamAt{Value: -8, Angle: 2}, Max: solve.CamAt{Value: 7, Angle: 3}},
		Pressure:     solve.CamExtent{Min: solve.CamAt{Value: -0.3, Angle: 4}, Max: solve.CamAt{Value: 0.2, Angle: 1}},
		PeakPressure: solve.CamAt{Value: 0.3, Angle: 4},
		LeastConvex:  solve.CamAt{Value: 12.5, Angle: math.Pi / 2},
		LeastHollow:  solve.CamAt{Value: math.Inf(1)},
	}
	return &mech.Model{Shafts: []mech.Shaft{{Name: "fore"}}}, cam, r
}

func TestBuildCam(t *testing.T) {
	m, cam, r := camHand()
	c := BuildCam(m, cam, r, 2)
	text, err := json.Marshal(c)
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{
		`"name":"bow","shaft":"fore","sense":"cw","shape":"motion","follower":"straight roller","status":"solved","lift_unit":"mm"`,
		`"lift":{"min":0,"max":10,"min_at_deg":0,"max_at_deg":180}`,
		`"pressure_angle_deg":{"max":17.1887338539,"at_deg":229.183118052,"rise_max":11.4591559026,"return_max":-17.1887338539}`,
		`"rim_radius_mm":{"least_convex":12.5,"least_convex_at_deg":90,"least_hollow":null,"least_hollow_at_deg":null}`,
		`"undercut":false`,
		`"peak_velocity_mm_s":12,"peak_acceleration_mm_s2":32`,
		`"jumps":[],"bridges":[]`,
	} {
		if !strings.Contains(string(text), want) {
			t.Errorf("no %s in %s", want, text)
		}
	}
	// A velocity that jumps makes the peak acceleration infinite: null. A speed not
	// known makes both null.
	r.Jumps = []solve.CamJump{{Angle: 1, Step: solve.VelocityStep}}
	c = BuildCam(m, cam, r, 2)
	if float64(c.PeakVelocity) != 12 || finite(float64(c.PeakAcceleration)) || c.Jumps[0].Of != "velocity" {
		t.Errorf("with a jump: %v, %v, %+v", c.PeakVelocity, c.PeakAcceleration, c.Jumps)
	}
	if c := BuildCam(m, cam, r, 0); finite(float64(c.PeakVelocity)) {
		t.Errorf("without a speed: %v", c.PeakVelocity)
	}
	r.Status = solve.CamOffset
	if c := BuildCam(m, cam, r, 2); finite(float64(c.PressureAngle.Max)) || c.Status == "solved" {
		t.Errorf("not solved: %+v", c)
	}
	r.Status, r.Swings, r.Lever = solve.CamSolved, true, 40
	r.Jumps = nil
	if c := BuildCam(m, cam, r, 2); c.LiftUnit != "deg" || math.Abs(float64(c.Lift.Max)-10*180/math.Pi) > 1e-9 || float64(c.PeakVelocity) != 480 {
		t.Errorf("swinging: %s %v %v", c.LiftUnit, c.Lift, c.PeakVelocity)
	}
}

// The best of each row is starred: less is better for speeds, angles and forces,
// more for radii and life; what is unknown or alike is not contested.
func TestCamComparisonStars(t *testing.T) {
	m, cam, r := camHand()
	var views CamViews
	for i, base := range []float64{16, 20} {
		one := *r
		one.PeakPressure.Value -= 0.1 * float64(i)
		one.LeastConvex.Value += 2 * float64(i)
		one.Undercut = i == 0
		c := *cam
		c.Name, one.Base = []string{"small", "large"}[i], base
		views.Cams = append(views.Cams, CamView{Cam: BuildCam(m, &c, &one, 0), Findings: []Finding{{Severity: []string{"fail", "ok"}[i]}}})
	}
	var b strings.Builder
	if err := views.WriteComparison(&b, CamStyle{Style: Style{Width: 80}}); err != nil {
		t.Fatal(err)
	}
	const want = `Cams side by side; * is the best of the row
                                 small      large
  travel                      10.00 mm   10.00 mm
  base radius mm                 16.00      20.00
  peak velocity per rad              6          6
  peak acceleration per rad²         8          8
  pressure angle deg              17.2       11.5*
  least bulge mm                 12.50      14.50*
  least hollow mm                    -          -
  peak torque N·mm                   -          -
  contact pressure MPa               -          -
  life h                             -          -
  undercut                         YES         no
  judged                          fail         ok
`
	if b.String() != want {
		t.Errorf("got\n%s\nwant\n%s", b.String(), want)
	}
}

// The plot keeps to its width, starts and ends at the labels, and is ASCII when
// plain.
func TestCamPlot(t *testing.T) {
	c := solve.CompileCam(&mech.Cam{Base: 20, Shape: mech.Shape{Kind: mech.ShapeWaves, Waves: []mech.Wave{{PerTurn: 1, Amplitude: 5}}}, Follower: &mech.Follower{}}, 0, 1)
	for _, width := range []int{40, 80, 120} {
		plain := camPlot(c, "mm", Units{}, width, true)
		lines := strings.Split(strings.TrimRight(plain, "\n"), "\n")
		if len(lines) != camPlotLines+2 {
			t.Errorf("%d lines", len(lines))
		}
		for _, line := range lines {
			if len(line) > width {
				t.Errorf("width %d: %q has %d", width, line, len(line))
			}
		}
		if strings.ContainsFunc(plain, func(r rune) bool { return r > '~' }) {
			t.Errorf("not plain: %q", plain)
		}
		if !strings.HasPrefix(strings.TrimSpace(lines[0]), "10.00 |*") || !strings.HasPrefix(strings.TrimSpace(lines[camPlotLines-1]), "0.00 |") {
			t.Errorf("width %d:\n%s", width, plain)
		}
		if !strings.Contains(camPlot(c, "mm", Units{}, width, false), "•") {
			t.Error("no dots on a terminal")
		}
	}
}
