package check

import (
	"math"
	"testing"

	"understage/internal/mech"
	"understage/internal/solve"
	"understage/internal/standard"

	"gonum.org/v1/gonum/spatial/r2"
)

func extreme(v float64) solve.Extreme { return solve.Extreme{Value: v, Turns: 1} }

func extent(low, high float64) solve.Extent {
	return solve.Extent{Min: extreme(low), Max: extreme(high), Valid: true}
}

// soundTorso is a figure and a hand-written solution of it that no rule objects
// to. The first push is a yoke, the second an edge.
func soundTorso() (*mech.Model, *solve.Solution) {
	m := &mech.Model{
		Motor: &mech.Motor{},
		Cams: []mech.Cam{
			{Name: "sway", Follower: &mech.Follower{Kind: mech.Roller, Radius: 3}},
			{Name: "bow"},
		},
		Torso: &mech.Torso{
			Pivot: 95, ShaftDiameter: 6, ShaftDepth: 157,
			Pushes: [2]mech.Push{{Name: "sway", Kind: mech.Yoke, Depth: 140}, {Name: "bow", Kind: mech.Edge, Cam: 1, Depth: 150}},
			Guide:  mech.Guide{Depth: 112, Pin: r2.Vec{X: -80}, SlotMin: 74, SlotMax: 87, SlotGiven: true},
			Points: []mech.TorsoPoint{{Name: "hat"}},
			Stage:  mech.Stage{Thickness: 9, Opening: mech.Opening{Shape: mech.CircleOpening, Diameter: 20}},
			KeepClear: []mech.Obstacle{
				{Name: "bollard"},
			},
		},
	}
	s := &solve.Solution{
		Motor: solve.MotorResult{RunningSpeed: 2},
		Torso: &solve.TorsoResult{
			Posed: true, FailsAt: -1,
			Lean: extent(-0.03, 0.03), Nod: extent(-0.03, 0.03), Twist: extent(-0.04, 0.05), Slot: extent(76, 84),
			Tilt: extreme(0.05), Turning: extreme(0.04), TurningRise: extreme(0.04), PushAngle: extreme(math.Pi / 2),
			Opening:    solve.OpeningNeed{Circle: extreme(16), Width: extreme(13), Depth: extreme(13)},
			Points:     []solve.TorsoPointResult{{Acceleration: extreme(2)}},
			Clearances: []solve.Clearance{{Point: 0, Obstacle: mech.None, Gap: extreme(200)}, {Point: 0, Obstacle: 0, Gap: extreme(60)}},
			Pushes: [2]solve.TorsoPushResult{
				{Plate: known(12), SlotLength: 15},
				{Press: extreme(0.5), PressKnown: true},
			},
			Gain: solve.TwistGain{PerNod: -1.4, Most: 1.4},
		},
	}
	return m, s
}

// TestTorsoSound: a sound figure has one ok for every rule of the torso.
func TestTorsoSound(t *testing.T) {
	m, s := soundTorso()
	seen := map[string]bool{}
	for _, f := range torsoFindings(m, s) {
		seen[f.Rule] = true
		if f.Severity != OK {
			t.Errorf("%s: %v %q", f.Rule, f.Severity, f.Message)
		}
		if f.Source == "" || f.Message == "" || f.Where == "" {
			t.Errorf("%s lacks a source, message or place: %+v", f.Rule, f)
		}
	}
	for _, rule := range []string{
		"pose", "tilt", "twist_against_tilt", "slot", "opening", "clearance", "pinch_gap", "head_turning",
		"head_jolt", "yoke_plate", "shaft_depth", "below_stage", "edge_contact", "push_angle",
	} {
		if _, ok := standard.FindRule(rule); !ok || !seen[rule] {
			t.Errorf("rule %s: known %v, judged %v", rule, ok, seen[rule])
		}
	}
}

const degree = math.Pi / 180

// TestTorsoRules straddles every limit: just within is ok, just beyond is what
// the rule says of it.
func TestTorsoRules(t *testing.T) {
	for _, test := range []struct {
		rule     string
		beyond   Severity
		set      func(m *mech.Model, s *solve.TorsoResult, v float64)
		ok, over float64
	}{
		{"tilt", Caution, func(m *mech.Model, r *solve.TorsoResult, v float64) { r.Tilt.Value = v }, 9.99 * degree, 10.01 * degree},
		{"twist_against_tilt", Caution, func(m *mech.Model, r *solve.TorsoResult, v float64) { r.Twist.Min.Value = -v * 0.05 }, 1.499, 1.501},
		{"slot", Caution, func(m *mech.Model, r *solve.TorsoResult, v float64) { r.Slot.Max.Value = v }, 86.49, 86.51},
		{"slot", Fail, func(m *mech.Model, r *solve.TorsoResult, v float64) { r.Slot.Min.Value = v }, 74.51, 73.99},
		{"opening", Caution, func(m *mech.Model, r *solve.TorsoResult, v float64) { r.Opening.Circle.Value = v }, 17.99, 18.01},
		{"opening", Fail, func(m *mech.Model, r *solve.TorsoResult, v float64) { r.Opening.Circle.Value = v }, 17.99, 20.01},
		{"opening", Fail, func(m *mech.Model, r *solve.TorsoResult, v float64) {
			m.Torso.Stage.Opening = mech.Opening{Shape: mech.RectangleOpening, Width: 20, Depth: v}
		}, 15.01, 12.99},
		{"clearance", Caution, func(m *mech.Model, r *solve.TorsoResult, v float64) { r.Clearances[1].Gap.Value = v }, 3.01, 2.99},
		{"clearance", Fail, func(m *mech.Model, r *solve.TorsoResult, v float64) { r.Clearances[0].Gap.Value = v }, 3.01, -0.01},
		{"pinch_gap", Caution, func(m *mech.Model, r *solve.TorsoResult, v float64) { r.Clearances[1].Gap.Value = v }, 25.01, 24.99},
		{"head_turning", Caution, func(m *mech.Model, r *solve.TorsoResult, v float64) { r.Turning.Value = v * degree / 2 }, 14.99, 15.01},
		{"head_jolt", Caution, func(m *mech.Model, r *solve.TorsoResult, v float64) { r.Points[0].Acceleration.Value = v * gravity / 4 }, 0.299, 0.301},
		{"yoke_plate", Caution, func(m *mech.Model, r *solve.TorsoResult, v float64) { r.Pushes[0].Plate.Value = v }, 8.01, 7.99},
		{"yoke_plate", Fail, func(m *mech.Model, r *solve.TorsoResult, v float64) { r.Pushes[0].Plate.Value = v }, 8.01, 5.99},
		{"shaft_depth", Caution, func(m *mech.Model, r *solve.TorsoResult, v float64) { m.Torso.ShaftDepth = v }, 150/math.Cos(0.05) + 1.01, 150/math.Cos(0.05) + 0.99},
		{"shaft_depth", Fail, func(m *mech.Model, r *solve.TorsoResult, v float64) { m.Torso.ShaftDepth = v }, 152, 150.01},
		{"below_stage", Fail, func(m *mech.Model, r *solve.TorsoResult, v float64) { m.Torso.Guide.Depth = v }, 104.01, 103.99},
		{"edge_contact", Fail, func(m *mech.Model, r *solve.TorsoResult, v float64) { r.Pushes[1].Press.Value = v }, 0.01, -0.01},
		{"push_angle", Caution, func(m *mech.Model, r *solve.TorsoResult, v float64) { r.PushAngle.Value = v }, 40.1 * degree, 39.9 * degree},
	} {
		for _, side := range []struct {
			v    float64
			want Severity
		}{{test.ok, OK}, {test.over, test.beyond}} {
			m, s := soundTorso()
			test.set(m, s.Torso, side.v)
			worst := OK
			for _, f := range torsoFindings(m, s) {
				if f.Rule == test.rule {
					worst = max(worst, f.Severity)
				}
			}
			if worst != side.want {
				t.Errorf("%s at %g: %v, want %v", test.rule, side.v, worst, side.want)
			}
		}
	}
}

// TestTorsoOwnLimit: a maker's own limit takes the standard one's place.
func TestTorsoOwnLimit(t *testing.T) {
	m, s := soundTorso()
	m.Limits = map[string]float64{"tilt": 2 * degree}
	for _, f := range torsoFindings(m, s) {
		if f.Rule == "tilt" && (f.Severity != Caution || math.Abs(f.Limit.Value-2) > 1e-12) {
			t.Errorf("tilt of 2.9 deg against an own limit of 2: %+v", f)
		}
	}
}

// TestTorsoMissingData: what is not given is unknown, never ok.
func TestTorsoMissingData(t *testing.T) {
	for _, test := range []struct {
		rule string
		take func(m *mech.Model, s *solve.Solution)
	}{
		{"slot", func(m *mech.Model, s *solve.Solution) { m.Torso.Guide.SlotGiven = false }},
		{"opening", func(m *mech.Model, s *solve.Solution) { m.Torso.Stage.Opening = mech.Opening{} }},
		{"clearance", func(m *mech.Model, s *solve.Solution) {
			m.Torso.Points, s.Torso.Points, s.Torso.Clearances = nil, nil, nil
		}},
		{"pinch_gap", func(m *mech.Model, s *solve.Solution) {
			m.Torso.Points, s.Torso.Points, s.Torso.Clearances = nil, nil, nil
		}},
		{"head_jolt", func(m *mech.Model, s *solve.Solution) {
			m.Torso.Points, s.Torso.Points, s.Torso.Clearances = nil, nil, nil
		}},
		{"head_turning", func(m *mech.Model, s *solve.Solution) { m.Motor = nil }},
		{"yoke_plate", func(m *mech.Model, s *solve.Solution) { s.Torso.Pushes[0].Plate = mech.Given{} }},
		{"edge_contact", func(m *mech.Model, s *solve.Solution) { s.Torso.Pushes[1].PressKnown = false }},
		{"pose", func(m *mech.Model, s *solve.Solution) { s.Torso.Status = solve.TorsoPushNotDriven }},
	} {
		m, s := soundTorso()
		test.take(m, s)
		found := false
		for _, f := range torsoFindings(m, s) {
			if f.Rule == test.rule {
				found = true
				if f.Severity != Unknown {
					t.Errorf("%s without its data: %v %q", test.rule, f.Severity, f.Message)
				}
			}
		}
		if !found {
			t.Errorf("%s is not judged when its data are missing", test.rule)
		}
	}
}

// TestTorsoUnposed: every way of having no pose fails with what to change, and
// one that fails part of the way says when and still judges the rest.
func TestTorsoUnposed(t *testing.T) {
	for _, status := range []solve.TorsoStatus{solve.TorsoParallel, solve.TorsoGuideOnAxis, solve.TorsoNotPlan, solve.TorsoCamUnsolved, solve.TorsoOutOfReach} {
		m, s := soundTorso()
		s.Torso.Status, s.Torso.Posed = status, false
		all := torsoFindings(m, s)
		if len(all) != 1 || all[0].Rule != "pose" || all[0].Severity != Fail || all[0].Message == "" {
			t.Errorf("status %d: %+v", status, all)
		}
	}
	m, s := soundTorso()
	s.Torso.Status, s.Torso.FailsAt = solve.TorsoOutOfReach, 12.5
	all := torsoFindings(m, s)
	if all[0].Severity != Fail || all[0].Value.Value != 12.5 || all[0].Unit != "turns" || len(all) < 10 {
		t.Errorf("out of reach at turn 12.5: %d findings, first %+v", len(all), all[0])
	}
}

// A slot that is short at both ends says what each lacks.
func TestSlotEnds(t *testing.T) {
	for _, tt := range []struct {
		near, far float64
		want      string
	}{
		{3, -1, "3.00 mm toward the shaft"},
		{0, 2, "2.00 mm away from the shaft"},
		{3, 2, "3.00 mm toward the shaft and 2.00 mm away from it"},
	} {
		if got := slotEnds(&mech.Model{}, tt.near, tt.far); got != tt.want {
			t.Errorf("%v, %v: got %q, want %q", tt.near, tt.far, got, tt.want)
		}
	}
}
