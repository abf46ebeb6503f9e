package check

import (
	"math"
	"strings"
	"testing"

	"understage/internal/geom"
	"understage/internal/mech"
	"understage/internal/solve"

	"gonum.org/v1/gonum/spatial/r2"
)

// drivenFigure is a motor, a belt to a second shaft and gears to a third, all
// sound; cams on each make them matter.
func drivenFigure() *mech.Model {
	m := &mech.Model{
		Motor: &mech.Motor{Rated: 6, Supply: 6, NoLoad: mech.NoLoad{Speed: 2, Current: 0.05}, Stall: mech.Stall{Torque: 400, Current: 0.8}},
		Shafts: []mech.Shaft{
			{Name: "main"}, {Name: "side", At: r2.Vec{X: 40}}, {Name: "third", At: r2.Vec{Y: 24.5}},
		},
		Belts: []mech.Belt{{
			Name: "loop", Teeth: 80, Section: mech.BeltSection{Name: "MXL", Pitch: 2.032, ToothHeight: 0.51, PitchLine: 0.254, Back: 0.38},
			Run:    []mech.Pulley{{Shaft: 0, Teeth: 31}, {Shaft: 1, Teeth: 40}},
			TakeUp: &mech.TakeUp{Pulley: 1, Along: r2.Vec{X: 1}, Min: -2, Max: 9},
		}},
		Gears: []mech.Gear{{Name: "pair", Kind: mech.Spur, Module: 1, Driver: mech.GearWheel{Shaft: 0, Teeth: 20}, Driven: mech.GearWheel{Shaft: 2, Teeth: 29}}},
	}
	for i := range m.Shafts {
		m.Cams = append(m.Cams, mech.Cam{Shaft: i})
	}
	return m
}

func judge(m *mech.Model) []Finding {
	s := &solve.Solution{Motor: solve.SolveMotor(m), Drive: solve.SolveDrive(m)}
	s.Repeat = solve.SolveRepeat(m, &s.Drive, limit(m, "near_repeat"))
	s.Belts = solve.SolveBelts(m)
	s.Gears = solve.SolveGears(m, s.Belts)
	return append(driveFindings(m, s), beltFindings(m, s)...)
}

// worstOf returns the worst finding of a rule; ok is false when it is absent.
func worstOf(all []Finding, rule string) (worst Finding, ok bool) {
	for _, f := range all {
		if f.Rule == rule && (!ok || f.Severity > worst.Severity) {
			worst, ok = f, true
		}
	}
	return worst, ok
}

// TestDriveAndBeltRules straddles each rule's limit: the change makes the
// figure just pass or just not.
func TestDriveAndBeltRules(t *testing.T) {
	first := func(m *mech.Model) *mech.Belt { return &m.Belts[0] }
	tests := []struct {
		rule   string
		name   string
		change func(*mech.Model)
		want   Severity
		says   string
	}{
		{"drive_locks", "one path", func(*mech.Model) {}, OK, ""},
		{"drive_locks", "two paths", func(m *mech.Model) {
			m.Gears = append(m.Gears, mech.Gear{Name: "again", Kind: mech.Spur, Driver: mech.GearWheel{Shaft: 0, Teeth: 20}, Driven: mech.GearWheel{Shaft: 2, Teeth: 30}})
		}, Fail, "-2/3"},
		{"driven", "all", func(*mech.Model) {}, OK, ""},
		{"driven", "not all", func(m *mech.Model) { m.Gears = nil }, Fail, "third"},
		{"worm_backward", "worm first", func(m *mech.Model) { m.Gears[0].Kind = mech.Worm }, OK, ""},
		{"worm_backward", "wheel first", func(m *mech.Model) {
			m.Gears[0].Kind = mech.Worm
			m.Gears[0].Driver, m.Gears[0].Driven = m.Gears[0].Driven, m.Gears[0].Driver
		}, Fail, ""},
		{"gear_spacing", "a hair loose", func(m *mech.Model) { m.Shafts[2].At.Y = 24.74 }, OK, ""},
		{"gear_spacing", "loose", func(m *mech.Model) { m.Shafts[2].At.Y = 24.76 }, Caution, "0.26 mm closer"},
		{"gear_spacing", "out of mesh", func(m *mech.Model) { m.Shafts[2].At.Y = 25.6 }, Fail, ""},
		{"gear_spacing", "a hair tight", func(m *mech.Model) { m.Shafts[2].At.Y = 24.46 }, OK, ""},
		{"gear_spacing", "jammed", func(m *mech.Model) { m.Shafts[2].At.Y = 24.44 }, Fail, "0.06 mm farther"},
		{"gear_spacing", "over the take-up", func(m *mech.Model) { first(m).TakeUp.Pulley = 0 }, Fail, "over the take-up"},
		{"gear_spacing", "no module", func(m *mech.Model) { m.Gears[0].Module = 0 }, Unknown, "module"},
		{"gear_spacing", "views", func(m *mech.Model) { m.Shafts[2].View = geom.Front }, Fail, "different views"},
		{"gear_spacing", "parallel", func(m *mech.Model) { m.Gears[0].Kind = mech.Bevel }, Fail, "parallel"},
		// 31 and 29 teeth: lcm(40, 29) motor turns at 2 rad/s, about an hour.
		{"repeat", "long", func(*mech.Model) {}, OK, "1160 motor turns"},
		{"repeat", "short", func(m *mech.Model) { first(m).Run[1].Teeth, m.Gears[0].Driven.Teeth = 31, 20 }, Caution, "no common divisor"},
		{"repeat", "one shaft", func(m *mech.Model) { m.Cams = m.Cams[:1] }, Caution, "after 1 motor turn, 3.1 s: all that moves sits on one shaft"},
		{"near_repeat", "never", func(m *mech.Model) { first(m).Run[1].Teeth, m.Gears[0].Driven.Teeth = 31, 40 }, OK, "never near home"},
		{"near_repeat", "soon", func(m *mech.Model) {
			m.Gears[0].Driven.Teeth = 20
			first(m).Run[1].Teeth = 32
			m.Limits = map[string]float64{"repeat": 98}
		}, Caution, "within"},

		{"belt_loop", "closes", func(*mech.Model) {}, OK, ""},
		{"belt_loop", "overlaps", func(m *mech.Model) { m.Shafts[1].At.X = 20 }, Fail, "main and side"},
		{"belt_mesh", "enough", func(m *mech.Model) { first(m).Run[0].Teeth, m.Limits = 12, map[string]float64{"belt_mesh": 5} }, OK, ""},
		{"belt_mesh", "too few", func(m *mech.Model) { first(m).Run[0].Teeth, m.Limits = 12, map[string]float64{"belt_mesh": 6} }, Caution, "main"},
		{"belt_mesh", "hardly any", func(m *mech.Model) { first(m).Run[0].Teeth = 3 }, Fail, ""},
		{"least_teeth", "the table's ten", func(m *mech.Model) { first(m).Run[0].Teeth = 10 }, OK, ""},
		{"least_teeth", "one fewer", func(m *mech.Model) { first(m).Run[0].Teeth = 9 }, Caution, "use 10"},
		{"least_teeth", "the maker's own", func(m *mech.Model) { m.Limits = map[string]float64{"least_teeth": 32} }, Caution, "use 32"},
		{"belt_stocked", "standard", func(*mech.Model) {}, OK, "64MXL"},
		{"belt_stocked", "not listed", func(m *mech.Model) { first(m).Teeth = 81 }, Caution, "80 and 90"},
		{"belt_stocked", "drawer", func(m *mech.Model) {
			first(m).Teeth = 81
			m.Stock.Belts = []mech.StockBelt{{Section: "MXL", Teeth: 81}}
		}, OK, "drawer"},
		{"belt_stocked", "no list", func(m *mech.Model) { first(m).Section.Name = "" }, Unknown, ""},
		// 31:40 and 80 teeth close at 45.12 mm, 5.12 of take-up (the approximate
		// formula gives 45.118).
		{"belt_reach", "within", func(m *mech.Model) { first(m).TakeUp.Max = 5.13 }, OK, ""},
		{"belt_reach", "beyond", func(m *mech.Model) { first(m).TakeUp.Max = 5.1 }, Fail, "beyond its range"},
		{"belt_reach", "nowhere", func(m *mech.Model) { first(m).Teeth = 39 }, Fail, "nowhere"},
		{"take_up_allowance", "enough", func(m *mech.Model) { first(m).TakeUp.Max = 5.95 }, OK, ""},
		{"take_up_allowance", "too little", func(m *mech.Model) { first(m).TakeUp.Max = 5.9 }, Caution, ""},
		{"fitting_allowance", "enough", func(m *mech.Model) { first(m).TakeUp.Min = 3.08 }, OK, ""},
		{"fitting_allowance", "too little", func(m *mech.Model) { first(m).TakeUp.Min = 3.1 }, Caution, ""},
		{"fixed_centres", "as drawn", func(m *mech.Model) { first(m).TakeUp = nil; m.Shafts[1].At.X = 45 }, OK, ""},
		{"fixed_centres", "not as drawn", func(m *mech.Model) { first(m).TakeUp = nil; m.Shafts[1].At.X = 44.9 }, Fail, "slack"},
		{"fixed_centres", "short", func(m *mech.Model) { first(m).TakeUp = nil; m.Shafts[1].At.X = 45.35 }, Fail, "short"},
		{"belt_reversal", "no idler", func(m *mech.Model) { m.Motor.Sense = mech.Reversible }, OK, ""},
		{"belt_reversal", "idler", func(m *mech.Model) { m.Motor.Sense = mech.Reversible; addIdler(m, true, 10) }, Caution, ""},
		{"inside_idler", "large", func(m *mech.Model) { addIdler(m, false, 25.9) }, OK, ""},
		{"inside_idler", "small", func(m *mech.Model) { addIdler(m, false, 25.8) }, Caution, "25.87 mm across"},
	}
	for _, tt := range tests {
		m := drivenFigure()
		tt.change(m)
		f, ok := worstOf(judge(m), tt.rule)
		if !ok || f.Severity != tt.want || !strings.Contains(f.Message, tt.says) {
			t.Errorf("%s, %s: %v %q, want %v saying %q", tt.rule, tt.name, f.Severity, f.Message, tt.want, tt.says)
		}
		if ok && (f.Source == "" || f.Where == "" || math.IsNaN(f.Value.Value)) {
			t.Errorf("%s, %s: %+v", tt.rule, tt.name, f)
		}
	}
}

func addIdler(m *mech.Model, back bool, diameter float64) {
	at := r2.Vec{X: 20, Y: 60}
	if back {
		at = r2.Vec{X: 20, Y: 14}
	}
	b := &m.Belts[0]
	b.Run = append(b.Run, mech.Pulley{Shaft: mech.None, Idler: "jockey", At: at, Diameter: diameter, Back: back})
}

func TestPartPath(t *testing.T) {
	for name, want := range map[string]string{"loop": "drive.belts.loop", "a.b": `drive.belts."a.b"`, "left side": `drive.belts."left side"`} {
		if got := partPath("drive.belts", name); got != want {
			t.Errorf("%q: %s, want %s", name, got, want)
		}
	}
}

// TestBeltLoadAndLayoutRules straddles the limits of what a belt carries and of
// what stands near it.
func TestBeltLoadAndLayoutRules(t *testing.T) {
	wide := func(m *mech.Model) { m.Belts[0].Width = known(6.4); m.Belts[0].Level = known(-60) }
	second := func(m *mech.Model, y, level float64) {
		wide(m)
		m.Shafts[2].At = r2.Vec{X: 0, Y: y}
		m.Shafts = append(m.Shafts, mech.Shaft{Name: "fourth", At: r2.Vec{X: 40, Y: y}, Diameter: known(4)})
		b := m.Belts[0]
		b.Name, b.Level, b.TakeUp = "other", known(level), nil
		b.Run = []mech.Pulley{{Shaft: 2, Teeth: 20}, {Shaft: 3, Teeth: 20}}
		m.Belts = append(m.Belts, b)
	}
	tests := []struct {
		rule   string
		name   string
		change func(*mech.Model)
		want   Severity
		says   string
	}{
		{"belt_tension", "no width", func(*mech.Model) {}, Unknown, "width"},
		{"belt_tension", "no motor", func(m *mech.Model) { wide(m); m.Motor = nil }, Unknown, "no torque"},
		{"belt_tension", "a weak motor", func(m *mech.Model) { wide(m); m.Motor.Stall.Torque = 50 }, OK, "carries"},
		{"belt_tension", "a strong motor, loads unknown", wide, Unknown, "held still"},
		{"belt_clearance", "a shaft of unknown thickness far off", func(m *mech.Model) { m.Shafts[2].At.X = 300 }, OK, "nearest"},
		{"belt_clearance", "and near", func(m *mech.Model) { m.Shafts[2].At.Y = 10.5 }, Unknown, "diameters"},
		{"belt_clearance", "far", func(m *mech.Model) { m.Shafts[2].Diameter = known(4); m.Shafts[2].At.X = 300 }, OK, "nearest"},
		// Shaft third stands 24.5 over main, whose 31 teeth reach out 10.03 − 0.25.
		{"belt_clearance", "near", func(m *mech.Model) { m.Shafts[2].Diameter = known(28) }, Caution, "only"},
		{"belt_clearance", "in it", func(m *mech.Model) { m.Shafts[2].Diameter = known(30) }, Fail, "in each other"},
		// 10.03 + 6.47 + 2·0.38 of reach: 17.25 apart touch.
		{"pulley_clearance", "apart", func(m *mech.Model) { second(m, 34, -60) }, OK, ""},
		{"pulley_clearance", "near", func(m *mech.Model) { second(m, 20.5, -60) }, Caution, "only"},
		{"pulley_clearance", "in it", func(m *mech.Model) { second(m, 19.5, -60) }, Fail, "in each other"},
		{"belt_layers", "none shared", wide, OK, "no other belt"},
		{"belt_layers", "apart", func(m *mech.Model) { second(m, 34, -66.95); m.Belts[1].Run[0].Shaft = 0 }, OK, ""},
		{"belt_layers", "too near", func(m *mech.Model) { second(m, 34, -66.85); m.Belts[1].Run[0].Shaft = 0 }, Caution, "levels"},
		{"belt_layers", "in it", func(m *mech.Model) { second(m, 34, -66); m.Belts[1].Run[0].Shaft = 0 }, Fail, "levels"},
		{"belt_layers", "level unknown", func(m *mech.Model) { second(m, 34, -66); m.Belts[1].Run[0].Shaft = 0; m.Belts[1].Level = mech.Given{} }, Unknown, "levels"},
	}
	for _, tt := range tests {
		m := drivenFigure()
		tt.change(m)
		f, ok := worstOf(judge(m), tt.rule)
		if !ok || f.Severity != tt.want || !strings.Contains(f.Message, tt.says) {
			t.Errorf("%s, %s: %v %q, want %v saying %q", tt.rule, tt.name, f.Severity, f.Message, tt.want, tt.says)
		}
	}
}
