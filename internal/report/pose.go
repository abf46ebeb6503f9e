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
	Posed      bool               `json:"posed"` // false where torso or linkages cannot be posed
	MotorTurns Value              `json:"motor_turns"`
	Shafts     map[string]Value   `json:"shafts"` // deg, signed, whole turns included
	Cams       map[string]CamPose `json:"cams"`
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
		Posed:      true,
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
	return tables
}
