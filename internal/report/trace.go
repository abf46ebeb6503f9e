package report

import (
	"encoding/json"
	"math"
	"strings"

	"understage/internal/mech"
	"understage/internal/solve"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
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
		t.add("cams."+cam.Name+".lift_"+unit, func(p *solve.Pose) float64 {
			if p.Cams[i].NoMotion {
				return math.NaN()
			}
			return p.Cams[i].Lift.S * size
		})
	}
	t.addLoad(&s.Motor)
	t.addTorso(s.Machine)
	for i := range m.Linkages {
		t.addLinkage(s.Machine, i)
	}
	return t
}

// addLoad adds what the figure asks of the motor at each instant, while the
// motor follows it without lag.
func (t *Trace) addLoad(r *solve.MotorResult) {
	if r.Load == nil || !r.Load.Known {
		return
	}
	at := r.Follow()
	t.add("motor.torque_Nmm", func(p *solve.Pose) float64 { return at(p.MotorTurns) })
	t.add("motor.speed_rpm", func(p *solve.Pose) float64 {
		return float64(rpm(max(0, r.Line.Speed(r.Load.Rotor(at(p.MotorTurns))))))
	})
	t.add("motor.current_A", func(p *solve.Pose) float64 {
		return min(r.StallCurrent, r.Line.Current(r.Load.Rotor(at(p.MotorTurns))))
	})
}

func (t *Trace) addTorso(k *solve.Machine) {
	if k.Torso == nil {
		return
	}
	add := func(name string, value func(p *solve.Pose) float64) {
		t.add("torso."+name, func(p *solve.Pose) float64 {
			if !p.Torso.Posed() {
				return math.NaN()
			}
			return value(p)
		})
	}
	add("lean_deg", func(p *solve.Pose) float64 { return p.Torso.Lean() * degreesPerRadian })
	add("nod_deg", func(p *solve.Pose) float64 { return p.Torso.Nod() * degreesPerRadian })
	add("twist_deg", func(p *solve.Pose) float64 { return p.Torso.Twist() * degreesPerRadian })
	add("slot_mm", func(p *solve.Pose) float64 { return p.Torso.Slot() })
	for _, point := range k.Model.Torso.Points {
		at := func(p *solve.Pose) r3.Vec { return k.Torso.Point(&p.Torso, point.At) }
		add("points."+point.Name+".x_mm", func(p *solve.Pose) float64 { return at(p).X })
		add("points."+point.Name+".y_mm", func(p *solve.Pose) float64 { return at(p).Y })
		add("points."+point.Name+".z_mm", func(p *solve.Pose) float64 { return at(p).Z })
	}
}

func (t *Trace) addLinkage(k *solve.Machine, i int) {
	spec := &k.Model.Linkages[i]
	add := func(name string, at func(p *solve.Pose) r2.Vec) {
		name = "linkages." + spec.Name + "." + name
		reached := func(p *solve.Pose) r2.Vec {
			if !p.Reached[i] {
				return r2.Vec{X: math.NaN(), Y: math.NaN()}
			}
			return at(p)
		}
		t.add(name+".u_mm", func(p *solve.Pose) float64 { return reached(p).X })
		t.add(name+".v_mm", func(p *solve.Pose) float64 { return reached(p).Y })
	}
	for j, pin := range spec.Pins {
		add("pins."+pin.Name, func(p *solve.Pose) r2.Vec { return p.Chains[i].Pins[j].Pos })
	}
	for j, point := range spec.Points {
		add("points."+point.Name, func(p *solve.Pose) r2.Vec { return k.Chains[i].Point(p.Chains[i], j).Pos })
	}
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
