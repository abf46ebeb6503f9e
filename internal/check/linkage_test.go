package check

import (
	"math"
	"strings"
	"testing"

	"understage/internal/geom"
	"understage/internal/mech"
	"understage/internal/solve"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// tappingFigure is a sound four-bar in the front view on a motor of 2 rad/s at
// 6 V, whose rocker's end beats once a turn.
func tappingFigure() *mech.Model {
	return &mech.Model{
		Motor:  &mech.Motor{Rated: 6, Supply: 6, NoLoad: mech.NoLoad{Speed: 2, Current: 0.05}, Stall: mech.Stall{Torque: 400, Current: 0.8}},
		Shafts: []mech.Shaft{{Name: "main", View: geom.Front}},
		Linkages: []mech.Linkage{{
			Name: "foot", View: geom.Front, Level: mech.Given{Value: -20, OK: true},
			Pins: []mech.Pin{
				{Name: "hand", Kind: mech.CrankPin, Crank: mech.Crank{Radius: 40}},
				{Name: "knee", Start: r2.Vec{X: 60, Y: 100}, StartGiven: true},
				{Name: "heel", Kind: mech.FixedPin, At: r2.Vec{X: 100}},
			},
			Bars:   []mech.Bar{{Pins: [2]int{0, 1}, Length: 120}, {Pins: [2]int{1, 2}, Length: 80}},
			Points: []mech.LinkagePoint{{Name: "toe", On: [2]int{2, 1}, At: r2.Vec{X: 80}, Radius: 4}},
		}},
		Beats: &mech.Beats{Of: mech.BeatSource{Name: "foot.toe", Linkage: 0, Point: 0, Cam: mech.None}, When: mech.Lowest},
		// A torso only to keep things clear of; it is not asked to move.
		Torso: &mech.Torso{Pushes: [2]mech.Push{{Kind: mech.Rod, Cam: mech.None}, {Kind: mech.Rod, Cam: mech.None}}},
	}
}

func judgeLinkages(m *mech.Model) []Finding {
	return linkageFindings(m, solve.Solve(m))
}

// TestLinkageRules straddles each rule's limit.
func TestLinkageRules(t *testing.T) {
	foot := func(m *mech.Model) *mech.Linkage { return &m.Linkages[0] }
	slotted := func(length float64) func(*mech.Model) {
		return func(m *mech.Model) {
			l := foot(m)
			l.Pins[1].Start = r2.Vec{X: -100}
			l.Bars = []mech.Bar{{Pins: [2]int{2, 1}, Length: length}}
			l.Slots = []mech.Slot{{Pin: 0, Line: [2]int{2, 1}}}
		}
	}
	// Once a turn at 2 rad/s.
	perSecond := 1 / math.Pi
	tests := []struct {
		rule, name string
		change     func(*mech.Model)
		want       Severity
		says       string
	}{
		{"mobility", "sound", func(*mech.Model) {}, OK, "mobility 1 with 1 driven"},
		{"mobility", "loose", func(m *mech.Model) { foot(m).Bars = foot(m).Bars[:1] }, Fail, "loose by 1"},
		{"mobility", "held", func(m *mech.Model) {
			l := foot(m)
			l.Pins = append(l.Pins, mech.Pin{Name: "extra", Kind: mech.FixedPin, At: r2.Vec{Y: 90}})
			l.Bars = append(l.Bars, mech.Bar{Pins: [2]int{1, 3}, Length: 70})
		}, Fail, "held 1 times"},
		{"mobility", "undriven", func(m *mech.Model) { foot(m).Pins[0].Kind = mech.FixedPin; foot(m).Pins[0].At = r2.Vec{X: 40} }, Fail, "nothing drives"},
		{"assembly", "sound", func(*mech.Model) {}, OK, ""},
		{"assembly", "short", func(m *mech.Model) { foot(m).Bars[0].Length, foot(m).Bars[1].Length = 20, 39.9 }, Fail, "knee-heel is 39.90 mm, make it at least 40.00 mm"},
		{"assembly", "long", func(m *mech.Model) { foot(m).Bars[0].Length, foot(m).Bars[1].Length = 20, 80.1 }, Fail, "at most 80.00 mm"},
		{"assembly", "no bar", func(m *mech.Model) { foot(m).Bars[0].Length = 0 }, Fail, "hand, knee"},
		{"linkage_locks", "goes round", func(*mech.Model) {}, OK, ""},
		// Stretched at cos θ = (40² + 100² − 130²)/(2·40·100), 131.49 deg.
		{"linkage_locks", "stretched", func(m *mech.Model) { foot(m).Bars[0].Length, foot(m).Bars[1].Length = 80, 50 }, Fail, "crank hand at 131.49 deg"},
		{"linkage_locks", "just long enough", func(m *mech.Model) { foot(m).Bars[0].Length, foot(m).Bars[1].Length = 80, 60.1 }, OK, ""},
		{"linkage_locks", "just too short", func(m *mech.Model) { foot(m).Bars[0].Length, foot(m).Bars[1].Length = 80, 59.9 }, Fail, "at least 60.00 mm"},
		{"assembly_branch", "sound", func(*mech.Model) {}, OK, ""},
		{"assembly_branch", "parallelogram", func(m *mech.Model) { foot(m).Bars[0].Length, foot(m).Bars[1].Length = 100, 40 }, Caution, "in line"},
		{"assembly_branch", "unsaid", func(m *mech.Model) { foot(m).Pins[1].StartGiven = false }, Caution, "knee"},
		// Least at D = 60: cos μ = (b² + c² − 60²)/(2bc) = cos 40° with b = c: 60 = 2b·sin 20°, b = 87.71.
		{"transmission_angle", "just well", func(m *mech.Model) { foot(m).Bars[0].Length, foot(m).Bars[1].Length = 87.7, 87.7 }, OK, ""},
		{"transmission_angle", "just not", func(m *mech.Model) { foot(m).Bars[0].Length, foot(m).Bars[1].Length = 87.8, 87.8 }, Caution, "comes within 40.0 deg"},
		{"transmission_angle", "own limit", func(m *mech.Model) {
			m.Limits = map[string]float64{"transmission_angle": 30 * math.Pi / 180}
			foot(m).Bars[0].Length, foot(m).Bars[1].Length = 87.8, 87.8
		}, OK, ""},
		{"grashof", "crank-rocker", func(*mech.Model) {}, OK, "crank-rocker at pin knee"},
		{"grashof", "triple rocker", func(m *mech.Model) { foot(m).Bars[0].Length, foot(m).Bars[1].Length = 80, 50 }, Fail, "triple rocker"},
		{"grashof", "change point", func(m *mech.Model) { foot(m).Bars[0].Length, foot(m).Bars[1].Length = 100, 40 }, Caution, "change point"},
		// The crank pin's farthest place from the pivot is 140.
		{"slot_reach", "long enough", slotted(140.1), OK, "60.00 mm to 140.00 mm"},
		{"slot_reach", "too short", slotted(139.9), Fail, "at least"},
		{"beats", "once", func(*mech.Model) {}, OK, "19.1 times"},
		{"beats", "never in depth", func(m *mech.Model) { m.Beats.When = mech.Hindmost }, Fail, "does not vary"},
		{"beats", "too low", func(m *mech.Model) { m.Beats.When, m.Beats.Height = mech.Touching, -5 }, Fail, "never touches -5.00 mm"},
		{"beats", "locked", func(m *mech.Model) { foot(m).Bars[0].Length, foot(m).Bars[1].Length = 80, 50 }, Unknown, "cannot be posed"},
		{"beat_tempo", "met", func(m *mech.Model) { m.Beats.Target = mech.Given{Value: perSecond * 1.0195, OK: true} }, OK, ""},
		{"beat_tempo", "slow", func(m *mech.Model) { m.Beats.Target = mech.Given{Value: perSecond * 1.05, OK: true} }, Caution, "more than the motor's 6 V"},
		{"beat_tempo", "fast", func(m *mech.Model) { m.Beats.Target = mech.Given{Value: perSecond * 0.95, OK: true} }, Caution, "set the supply to 5.72 V"},
		{"beat_evenness", "even", func(*mech.Model) {}, OK, ""},
		{"beat_evenness", "own limit", func(m *mech.Model) { m.Limits = map[string]float64{"beat_evenness": 1.001} }, Caution, "come evenly"},
		{"clearance", "far", func(m *mech.Model) { m.Torso.KeepClear = []mech.Obstacle{toeBox(3.01)} }, OK, ""},
		{"clearance", "near", func(m *mech.Model) { m.Torso.KeepClear = []mech.Obstacle{toeBox(2.99)} }, Caution, "post"},
		{"clearance", "through", func(m *mech.Model) { m.Torso.KeepClear = []mech.Obstacle{toeBox(-0.5)} }, Fail, "meet by 0.50 mm"},
		{"pinch_gap", "wide", func(m *mech.Model) { m.Torso.KeepClear = []mech.Obstacle{toeBox(25.01)} }, OK, ""},
		{"pinch_gap", "narrow", func(m *mech.Model) { m.Torso.KeepClear = []mech.Obstacle{toeBox(24.99)} }, Caution, "pinches"},
	}
	for _, tt := range tests {
		m := tappingFigure()
		tt.change(m)
		f, ok := worstOf(judgeLinkages(m), tt.rule)
		if !ok {
			t.Errorf("%s, %s: no finding", tt.rule, tt.name)
			continue
		}
		if f.Severity != tt.want || !strings.Contains(f.Message, tt.says) || f.Source == "" {
			t.Errorf("%s, %s: %v %q, want %v and %q", tt.rule, tt.name, f.Severity, f.Message, tt.want, tt.says)
		}
	}
}

// toeBox is a post that leaves the given gap to the toe's ball at its farthest
// right. There crank and coupler are stretched to 160, and the angle ψ at the heel
// has cos ψ = (100² + 80² − 160²)/(2·100·80), so x = 100 − 80·cos ψ.
func toeBox(gap float64) mech.Obstacle {
	x := 100 - 80*(100*100+80*80-160*160)/(2*100*80.)
	left := x + 4 + gap
	return mech.Obstacle{Name: "post", Box: mech.Box{Min: r3.Vec{X: left, Y: -100, Z: -200}, Max: r3.Vec{X: left + 10, Y: 100, Z: 200}}}
}
