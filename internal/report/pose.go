package report

import (
	"io"
	"math"
	"strings"

	"understage/internal/mech"
	"understage/internal/solve"
)

// Pose is where everything stands at one instant, in JSON.
type Pose struct {
	Posed      bool                   `json:"posed"` // false where torso or linkages cannot be posed
	MotorTurns Value                  `json:"motor_turns"`
	Shafts     map[string]Value       `json:"shafts"` // deg, signed, whole turns included
	Cams       map[string]CamPose     `json:"cams"`
	Torso      *TorsoPose             `json:"torso"`
	Linkages   map[string]LinkagePose `json:"linkages"`
}

// TorsoPose is the torso at one instant. Points are [x, y, z] in the stage's
// frame. Everything is null where the torso cannot be posed.
type TorsoPose struct {
	LeanDeg  Value               `json:"lean_deg"`
	NodDeg   Value               `json:"nod_deg"`
	TiltDeg  Value               `json:"tilt_deg"`
	TwistDeg Value               `json:"twist_deg"`
	SlotMM   Value               `json:"slot_mm"`
	Points   map[string][3]Value `json:"points"`
}

// LinkagePose is a linkage at one instant, in the coordinates of its view.
// Everything is null where it cannot be posed.
type LinkagePose struct {
	Pins   map[string][2]Value `json:"pins"`
	Points map[string][2]Value `json:"points"`
}

// CamPose is a cam at one instant. Lift is mm or deg, as LiftUnit says, and
// velocity and acceleration are the same per radian and radian² of the cam's
// turn.
type CamPose struct {
	AngleDeg     Value  `json:"angle_deg"`
	Lift         Value  `json:"lift"`
	LiftUnit     string `json:"lift_unit"`
	Velocity     Value  `json:"velocity"`
	Acceleration Value  `json:"acceleration"`
}

const degreesPerRadian = 180 / math.Pi

// BuildPose lays one pose out.
func BuildPose(k *solve.Machine, p *solve.Pose) *Pose {
	m := k.Model
	out := &Pose{
		Posed:      k.Posed(p),
		Linkages:   make(map[string]LinkagePose, len(m.Linkages)),
		MotorTurns: Value(p.MotorTurns),
		Shafts:     make(map[string]Value, len(m.Shafts)),
		Cams:       make(map[string]CamPose, len(m.Cams)),
	}
	for i, s := range m.Shafts {
		out.Shafts[s.Name] = Value(p.Shafts[i] * degreesPerRadian)
	}
	for i := range m.Cams {
		out.Cams[m.Cams[i].Name] = buildCamPose(&m.Cams[i], &p.Cams[i])
	}
	if k.Torso != nil {
		out.Torso = buildTorsoPose(k, p)
	}
	for i := range m.Linkages {
		out.Linkages[m.Linkages[i].Name] = buildLinkagePose(k, p, i)
	}
	return out
}

func buildTorsoPose(k *solve.Machine, p *solve.Pose) *TorsoPose {
	spec, po := k.Model.Torso, &p.Torso
	out := &TorsoPose{Null, Null, Null, Null, Null, make(map[string][3]Value, len(spec.Points))}
	if po.Posed() {
		*out = TorsoPose{degrees(po.Lean()), degrees(po.Nod()), degrees(po.Tilt()), degrees(po.Twist()), Value(po.Slot()), out.Points}
	}
	for _, point := range spec.Points {
		at := [3]Value{Null, Null, Null}
		if po.Posed() {
			v := k.Torso.Point(po, point.At)
			at = [3]Value{Value(v.X), Value(v.Y), Value(v.Z)}
		}
		out.Points[point.Name] = at
	}
	return out
}

func buildLinkagePose(k *solve.Machine, p *solve.Pose, i int) LinkagePose {
	spec := &k.Model.Linkages[i]
	out := LinkagePose{Pins: make(map[string][2]Value, len(spec.Pins)), Points: make(map[string][2]Value, len(spec.Points))}
	place := func(motion func() solve.PinMotion) [2]Value {
		if !p.Reached[i] {
			return [2]Value{Null, Null}
		}
		at := motion().Pos
		return [2]Value{Value(at.X), Value(at.Y)}
	}
	for j, pin := range spec.Pins {
		out.Pins[pin.Name] = place(func() solve.PinMotion { return p.Chains[i].Pins[j] })
	}
	for j, point := range spec.Points {
		out.Points[point.Name] = place(func() solve.PinMotion { return k.Chains[i].Point(p.Chains[i], j) })
	}
	return out
}

func buildCamPose(cam *mech.Cam, p *solve.CamPose) CamPose {
	size, unit := liftUnit(cam)
	out := CamPose{
		AngleDeg:     wholeTurn(p.Angle * degreesPerRadian),
		Lift:         Value(p.Lift.S * size),
		LiftUnit:     unit,
		Velocity:     Value(p.Lift.V * size),
		Acceleration: Value(p.Lift.A * size),
	}
	if p.NoMotion {
		out.Lift, out.Velocity, out.Acceleration = Null, Null, Null
	}
	if p.Step.Infinite(1) {
		out.Velocity = Null
	}
	if p.Step.Infinite(2) {
		out.Acceleration = Null
	}
	return out
}

// liftUnit returns the unit a cam's lift is printed in, and how many of it make
// one of the model's.
func liftUnit(cam *mech.Cam) (size float64, unit string) {
	if cam.Follower.Swings() {
		return degreesPerRadian, "deg"
	}
	return 1, "mm"
}

// wholeTurn keeps an angle in [0, 360) after it is rounded for print.
func wholeTurn(deg float64) Value {
	if deg > 360-1e-9 {
		return 0
	}
	return Value(deg)
}

// WriteText prints the pose as tables, parts in the order of the spec.
func (p *Pose) WriteText(w io.Writer, m *mech.Model, width int) error {
	u := Units{Lengths: m.Lengths}
	var b strings.Builder
	for _, t := range p.tables(m, u) {
		if err := t.Write(&b, width); err != nil {
			return err
		}
		b.WriteString("\n")
	}
	_, err := io.WriteString(w, strings.TrimSuffix(b.String(), "\n"))
	return err
}

func (p *Pose) tables(m *mech.Model, u Units) []Table {
	shafts := Table{
		Title:   "Shafts at motor turn " + string(p.MotorTurns.Append(nil)),
		Columns: []Column{{Head: "shaft"}, {Head: "deg", Right: true}},
	}
	for _, s := range m.Shafts {
		shafts.Rows = append(shafts.Rows, []string{s.Name, u.Degrees(p.Shafts[s.Name])})
	}
	cams := Table{
		Title: "Cams",
		Columns: []Column{{Head: "cam"}, {Head: "angle deg", Right: true}, {Head: "lift", Right: true}, {Head: "unit"},
			{Head: "velocity per rad", Right: true}, {Head: "acceleration per rad²", Right: true}},
	}
	for _, c := range m.Cams {
		pose := p.Cams[c.Name]
		write, unit := u.Degrees, "deg"
		if pose.LiftUnit == "mm" {
			write, unit = u.Length, u.LengthName()
		}
		cams.Rows = append(cams.Rows, []string{c.Name, u.Degrees(pose.AngleDeg), write(pose.Lift), unit,
			write(pose.Velocity), write(pose.Acceleration)})
	}
	tables := []Table{shafts}
	if len(m.Cams) > 0 {
		tables = append(tables, cams)
	}
	if p.Torso != nil {
		tables = append(tables, p.torsoTables(m, u)...)
	}
	for i := range m.Linkages {
		tables = append(tables, p.linkageTable(&m.Linkages[i], u))
	}
	return tables
}

func (p *Pose) torsoTables(m *mech.Model, u Units) []Table {
	t := p.Torso
	pose := Table{
		Title: "Torso",
		Columns: []Column{{Head: "lean deg", Right: true}, {Head: "nod deg", Right: true}, {Head: "tilt deg", Right: true},
			{Head: "twist deg", Right: true}, {Head: "slot " + u.LengthName(), Right: true}},
		Rows: [][]string{{u.Degrees(t.LeanDeg), u.Degrees(t.NodDeg), u.Degrees(t.TiltDeg), u.Degrees(t.TwistDeg), u.Length(t.SlotMM)}},
	}
	if !p.Posed && math.IsNaN(float64(t.LeanDeg)) {
		pose.Notes = append(pose.Notes, "The torso cannot be posed here.")
	}
	points := Table{
		Title:   "Points of the torso, " + u.LengthName(),
		Columns: []Column{{Head: "point"}, {Head: "x", Right: true}, {Head: "y", Right: true}, {Head: "z", Right: true}},
	}
	for _, point := range m.Torso.Points {
		at := t.Points[point.Name]
		points.Rows = append(points.Rows, []string{point.Name, u.Length(at[0]), u.Length(at[1]), u.Length(at[2])})
	}
	if len(points.Rows) == 0 {
		return []Table{pose}
	}
	return []Table{pose, points}
}

func (p *Pose) linkageTable(l *mech.Linkage, u Units) Table {
	t := Table{
		Title:   "Linkage " + l.Name + ", " + l.View.String() + " view, " + u.LengthName(),
		Columns: []Column{{Head: "pin or point"}, {Head: "u", Right: true}, {Head: "v", Right: true}},
	}
	pose := p.Linkages[l.Name]
	for _, pin := range l.Pins {
		at := pose.Pins[pin.Name]
		t.Rows = append(t.Rows, []string{pin.Name, u.Length(at[0]), u.Length(at[1])})
	}
	for _, point := range l.Points {
		at := pose.Points[point.Name]
		t.Rows = append(t.Rows, []string{point.Name, u.Length(at[0]), u.Length(at[1])})
	}
	return t
}
