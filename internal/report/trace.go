package report

import (
	"encoding/json"
	"math"
	"strings"

	"understage/internal/mech"
	"understage/internal/solve"
)

// Trace names and fills the columns of a figure's poses over time. It reuses
// one row, so a trace of any length costs one row of memory.
type Trace struct {
	Names []string
	fills []func(p *solve.Pose) float64
}

// NewTrace lists the columns of a figure: time where a motor gives it, motor
// turns, every shaft's angle, every cam's lift.
func NewTrace(m *mech.Model, s *solve.Solution) *Trace {
	t := &Trace{}
	if m.Motor != nil && s.Motor.RunningSpeed > 0 {
		period := 2 * math.Pi / s.Motor.RunningSpeed
		t.add("time_s", func(p *solve.Pose) float64 { return p.MotorTurns * period })
	}
	t.add("motor_turns", func(p *solve.Pose) float64 { return p.MotorTurns })
	for i, shaft := range m.Shafts {
		t.add("shafts."+shaft.Name+"_deg", func(p *solve.Pose) float64 { return p.Shafts[i] * degreesPerRadian })
	}
	for i := range m.Cams {
		cam := &m.Cams[i]
		size, unit := liftUnit(cam)
		t.add("cams."+cam.Name+".angle_deg", func(p *solve.Pose) float64 { return p.Cams[i].Angle * degreesPerRadian })
		t.add("cams."+cam.Name+".lift_"+unit, func(p *solve.Pose) float64 { return p.Cams[i].Lift.S * size })
	}
	return t
}

func (t *Trace) add(name string, fill func(p *solve.Pose) float64) {
	t.Names = append(t.Names, name)
	t.fills = append(t.fills, fill)
}

// Row fills out, which has as many places as there are names, from a pose. NaN
// stands for what the pose does not have.
func (t *Trace) Row(p *solve.Pose, out []float64) {
	for i, fill := range t.fills {
		out[i] = fill(p)
	}
}

// AppendCSV appends a cell, quoted where it must be (RFC 4180).
func AppendCSV(b []byte, cell string) []byte {
	if !strings.ContainsAny(cell, ",\"\r\n") {
		return append(b, cell...)
	}
	b = append(b, '"')
	b = append(b, strings.ReplaceAll(cell, `"`, `""`)...)
	return append(b, '"')
}

// AppendQuoted appends a JSON string.
func AppendQuoted(b []byte, s string) []byte {
	text, err := json.Marshal(s)
	if err != nil { // cannot be: every Go string has a JSON form
		text = []byte(`""`)
	}
	return append(b, text...)
}
