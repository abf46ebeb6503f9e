package report

import (
	"math"

	"understage/internal/mech"
	"understage/internal/solve"
)

// Torso is the torso over the repeat. Everything is null where no pose exists
// at any angle. FailsAtTurns is null while a pose exists at every angle.
type Torso struct {
	Posed        bool             `json:"posed"`
	FailsAtTurns Value            `json:"fails_at_turns"`
	LeanDeg      Range            `json:"lean_deg"`
	NodDeg       Range            `json:"nod_deg"`
	TiltDeg      Peak             `json:"tilt_deg"`
	TwistDeg     Range            `json:"twist_deg"`
	SlotMM       Range            `json:"slot_mm"`
	Opening      Opening          `json:"opening"`
	TwistGain    TwistGain        `json:"twist_gain"`
	PushAngleDeg Value            `json:"push_angle_deg"` // least
	TurningDegS  Value            `json:"turning_deg_s"`
	TurningDegS2 Value            `json:"turning_deg_s2"`
	Pushes       []TorsoPush      `json:"pushes"`
	Points       []TorsoPoint     `json:"points"`
	Clearances   []TorsoClearance `json:"clearances"`
}

// Peak is the greatest value of a quantity.
type Peak struct {
	Max   Value `json:"max"`
	Bound bool  `json:"bound,omitempty"`
}

// Opening is the hole that the shaft needs in the stage, without clearance.
type Opening struct {
	CircleMM Value `json:"circle_mm"`
	WidthMM  Value `json:"width_mm"`
	DepthMM  Value `json:"depth_mm"`
	Bound    bool  `json:"bound,omitempty"`
}

// TwistGain is the twist that the guide makes of a small lean and nod, rad per
// rad.
type TwistGain struct {
	PerLean Value `json:"per_lean"`
	PerNod  Value `json:"per_nod"`
	Most    Value `json:"most"`
}

// TorsoPush is what one push needs. PlateMM and SlotLengthMM are null for what
// is no yoke, PlateMM also for one on a lever; PressN for what is no edge push
// and where no spring or weight is given.
type TorsoPush struct {
	Name         string `json:"name"`
	By           string `json:"by"`
	AlongMM      Range  `json:"along_mm"`
	AcrossMM     Range  `json:"across_mm"`
	PlateMM      Value  `json:"plate_mm"`
	SlotLengthMM Value  `json:"slot_length_mm"`
	PressN       Value  `json:"press_N"`
}

// TorsoPoint is the motion of one point.
type TorsoPoint struct {
	Name             string `json:"name"`
	XMM              Range  `json:"x_mm"`
	YMM              Range  `json:"y_mm"`
	ZMM              Range  `json:"z_mm"`
	PeakSpeed        Value  `json:"peak_speed_mm_s"`
	PeakAcceleration Value  `json:"peak_acceleration_mm_s2"`
	Bound            bool   `json:"bound,omitempty"`
}

// TorsoClearance is the least gap between a point's ball and an obstacle,
// negative inside. AtTurns is where it is met; of a bound, where the figure
// comes by most closely, or null.
type TorsoClearance struct {
	Point    string `json:"point"`
	Obstacle string `json:"obstacle"`
	MM       Value  `json:"mm"`
	AtTurns  Value  `json:"at_turns"`
	Bound    bool   `json:"bound,omitempty"`
}

// stageObstacle is the stage's top among the obstacles.
const stageObstacle = "stage"

// torsoRange returns an extent times a factor; nulls where it has none.
func torsoRange(e solve.Extent, factor float64) Range {
	if !e.Valid {
		return Range{Min: Null, Max: Null}
	}
	return Range{Value(e.Min.Value * factor), Value(e.Max.Value * factor), e.Max.Bound}
}

// torsoValue returns v where there is a pose.
func torsoValue(posed bool, v float64) Value {
	if !posed {
		return Null
	}
	return Value(v)
}

func buildTorso(m *mech.Model, s *solve.Solution) *Torso {
	if m.Torso == nil || s.Torso == nil {
		return nil
	}
	r := s.Torso
	speed := math.NaN() // without a motor nothing has a speed
	if m.Motor != nil {
		speed = s.Motor.RunningSpeed
	}
	out := &Torso{
		Posed:        r.Posed,
		FailsAtTurns: Null,
		LeanDeg:      torsoRange(r.Lean, degreesPerRadian),
		NodDeg:       torsoRange(r.Nod, degreesPerRadian),
		TiltDeg:      Peak{torsoValue(r.Posed, r.Tilt.Value*degreesPerRadian), r.Tilt.Bound},
		TwistDeg:     torsoRange(r.Twist, degreesPerRadian),
		SlotMM:       torsoRange(r.Slot, 1),
		Opening: Opening{
			torsoValue(r.Posed, r.Opening.Circle.Value), torsoValue(r.Posed, r.Opening.Width.Value),
			torsoValue(r.Posed, r.Opening.Depth.Value), r.Opening.Circle.Bound,
		},
		TwistGain:    TwistGain{Value(r.Gain.PerLean), Value(r.Gain.PerNod), Value(r.Gain.Most)},
		PushAngleDeg: torsoValue(r.Posed, r.PushAngle.Value*degreesPerRadian),
		TurningDegS:  torsoValue(r.Posed, r.Turning.Value*speed*degreesPerRadian),
		TurningDegS2: torsoValue(r.Posed, r.TurningRise.Value*speed*speed*degreesPerRadian),
		Points:       make([]TorsoPoint, len(r.Points)),
		Clearances:   make([]TorsoClearance, len(r.Clearances)),
	}
	if r.Status == solve.TorsoOutOfReach && r.FailsAt >= 0 {
		out.FailsAtTurns = Value(r.FailsAt)
	}
	for i := range r.Pushes {
		out.Pushes = append(out.Pushes, buildTorsoPush(&m.Torso.Pushes[i], &r.Pushes[i]))
	}
	for i, p := range r.Points {
		out.Points[i] = TorsoPoint{
			Name: m.Torso.Points[i].Name,
			XMM:  torsoRange(p.X, 1), YMM: torsoRange(p.Y, 1), ZMM: torsoRange(p.Z, 1),
			PeakSpeed:        torsoValue(r.Posed, p.Speed.Value*speed),
			PeakAcceleration: torsoValue(r.Posed, p.Acceleration.Value*speed*speed),
			Bound:            p.Speed.Bound,
		}
	}
	for i, c := range r.Clearances {
		out.Clearances[i] = buildTorsoClearance(m, c)
	}
	return out
}

func buildTorsoPush(spec *mech.Push, r *solve.TorsoPushResult) TorsoPush {
	p := TorsoPush{
		Name: spec.Name, By: spec.Kind.String(), AlongMM: torsoRange(r.Along, 1), AcrossMM: torsoRange(r.Across, 1),
		PlateMM: given(r.Plate), SlotLengthMM: Null, PressN: Null,
	}
	if spec.Kind == mech.Yoke && r.Across.Valid {
		p.SlotLengthMM = Value(r.SlotLength)
	}
	if r.PressKnown {
		p.PressN = Value(r.Press.Value)
	}
	return p
}

func buildTorsoClearance(m *mech.Model, c solve.Clearance) TorsoClearance {
	out := TorsoClearance{Point: m.Torso.Points[c.Point].Name, Obstacle: stageObstacle, MM: Value(c.Gap.Value), AtTurns: Null, Bound: c.Gap.Bound}
	if c.Obstacle != mech.None {
		out.Obstacle = m.Torso.KeepClear[c.Obstacle].Name
	}
	if c.Gap.Turns >= 0 {
		out.AtTurns = Value(c.Gap.Turns)
	}
	return out
}
