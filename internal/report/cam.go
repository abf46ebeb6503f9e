package report

import (
	"fmt"
	"math"

	"understage/internal/mech"
	"understage/internal/solve"
)

// Cam is one cam in JSON. Lifts are in LiftUnit; what does not exist or cannot
// be solved is null.
type Cam struct {
	Name             string      `json:"name"`
	Shaft            string      `json:"shaft"`
	Sense            string      `json:"sense"`
	Shape            string      `json:"shape"`
	Follower         string      `json:"follower"`
	Status           string      `json:"status"`
	LiftUnit         string      `json:"lift_unit"`
	Lift             CamRange    `json:"lift"`
	Velocity         CamRange    `json:"velocity_per_rad"`
	Acceleration     CamRange    `json:"acceleration_per_rad2"`
	PressureAngle    CamPressure `json:"pressure_angle_deg"`
	RimRadius        CamRadii    `json:"rim_radius_mm"`
	Undercut         bool        `json:"undercut"`
	BaseMM           Value       `json:"base_radius_mm"`
	RollerMM         Value       `json:"roller_radius_mm"`
	PeakVelocity     Value       `json:"peak_velocity_mm_s"`
	PeakAcceleration Value       `json:"peak_acceleration_mm_s2"`
	Face             *CamRange   `json:"face_reach_mm,omitempty"`
	Sizing           CamSizing   `json:"sizing"`
	Jumps            []CamJump   `json:"jumps"`
	Bridges          []CamBridge `json:"bridges"`
	Load             CamLoad     `json:"load"`
}

// CamRange is the range of a quantity over the cam's turn.
type CamRange struct {
	Min   Value `json:"min"`
	Max   Value `json:"max"`
	MinAt Value `json:"min_at_deg"`
	MaxAt Value `json:"max_at_deg"`
}

// CamPressure is the pressure angle: Max in magnitude, and where.
type CamPressure struct {
	Max    Value `json:"max"`
	At     Value `json:"at_deg"`
	Rise   Value `json:"rise_max"`   // greatest positive
	Return Value `json:"return_max"` // greatest negative, as it is
}

// CamRadii are the tightest places of the rim, signed as in the rows of a
// template: LeastConvex is positive, zero or negative where the rim undercuts;
// LeastHollow is negative.
type CamRadii struct {
	LeastConvex   Value `json:"least_convex"`
	LeastConvexAt Value `json:"least_convex_at_deg"`
	LeastHollow   Value `json:"least_hollow"`
	LeastHollowAt Value `json:"least_hollow_at_deg"`
}

// CamSizing is what size the cam should have.
type CamSizing struct {
	Base       Value `json:"base_for_pressure_angle_mm"`
	BestOffset Value `json:"best_offset_mm"`
	BestBase   Value `json:"base_at_best_offset_mm"`
	Fair       Value `json:"base_without_undercut_mm"`
	Track      Value `json:"track_for_pressure_angle_mm"`
}

// CamJump is a joint at which the motion jumps.
type CamJump struct {
	At     Value  `json:"at_deg"`
	Of     string `json:"of"`
	Before Value  `json:"before"` // per radian
	After  Value  `json:"after"`
}

// CamBridge is a hollow that the follower spans.
type CamBridge struct {
	At    Value `json:"at_deg"`
	Width Value `json:"width_deg"`
}

func camDegrees(rad float64) Value { return Value(rad * 180 / math.Pi) }

var camStatus = map[solve.CamStatus]string{
	solve.CamSolved: "solved",
	solve.CamBase:   "no base circle",
	solve.CamOffset: "offset passes outside the prime circle",
	solve.CamBelow:  "motion passes below the axis",
	solve.CamArm:    "arm does not reach",
	solve.CamPair:   "follower does not suit the cam",
}

func buildCams(m *mech.Model, s *solve.Solution) []Cam {
	cams := make([]Cam, len(m.Cams))
	for i := range m.Cams {
		cams[i] = BuildCam(m, &m.Cams[i], &s.Cams[i], s.Cams[i].Load.Speed)
	}
	return cams
}

// BuildCam lays out one cam, its shaft turning at the speed in rad/s; 0 for a
// shaft that nothing turns.
func BuildCam(m *mech.Model, c *mech.Cam, r *solve.CamResult, speed float64) Cam {
	if speed == 0 {
		speed = math.NaN()
	}
	out := Cam{
		Name: c.Name, Sense: "ccw", Shape: c.Shape.Kind.String(), Follower: camFollower(c),
		Status: camStatus[r.Status], LiftUnit: "mm", BaseMM: Value(r.Base), RollerMM: Value(r.Roller),
		Undercut: r.Undercut, Jumps: []CamJump{}, Bridges: []CamBridge{},
		PressureAngle: CamPressure{Null, Null, Null, Null},
		RimRadius:     CamRadii{Null, Null, Null, Null},
		Load:          buildCamLoad(&r.Load),
	}
	if c.Shaft >= 0 && c.Shaft < len(m.Shafts) {
		out.Shaft = m.Shafts[c.Shaft].Name
	}
	if r.Sense < 0 {
		out.Sense = "cw"
	}
	unit := 1.0
	if r.Swings {
		out.LiftUnit, unit = "deg", 180/math.Pi
	}
	worst := solve.NoStep
	for _, j := range r.Jumps {
		out.Jumps = append(out.Jumps, camJump(j, unit))
		if worst == solve.NoStep || j.Step < worst {
			worst = j.Step
		}
	}
	out.Lift = camRange(r.Lift, unit)
	out.Velocity = camRange(r.Velocity, unit)
	out.Acceleration = camRange(r.Acceleration, unit)
	out.PeakVelocity = camPeak(r.Velocity, r.Lever*speed, worst.Infinite(1))
	out.PeakAcceleration = camPeak(r.Acceleration, r.Lever*speed*speed, worst.Infinite(2))
	if r.NoMotion {
		none := CamRange{Null, Null, Null, Null}
		out.Lift, out.Velocity, out.Acceleration = none, none, none
		out.PeakVelocity, out.PeakAcceleration = Null, Null
	}
	out.Sizing = CamSizing{given(r.Sizing.Base), given(r.Sizing.BestOffset), given(r.Sizing.BestBase), given(r.Sizing.Fair), given(r.Sizing.Track)}
	if r.Status != solve.CamSolved {
		return out
	}
	out.PressureAngle = CamPressure{
		camDegrees(r.PeakPressure.Value), camDegrees(r.PeakPressure.Angle),
		camDegrees(max(r.Pressure.Max.Value, 0)), camDegrees(min(r.Pressure.Min.Value, 0)),
	}
	out.RimRadius.LeastConvex, out.RimRadius.LeastConvexAt = camRadius(r.LeastConvex)
	out.RimRadius.LeastHollow, out.RimRadius.LeastHollowAt = camRadius(r.LeastHollow)
	out.RimRadius.LeastHollow = 0 - out.RimRadius.LeastHollow // a null stays one, 0 gets no sign
	if c.Follower != nil && c.Follower.Kind == mech.Flat {
		face := camRange(r.Face, 1)
		out.Face = &face
	}
	for _, b := range r.Bridges {
		out.Bridges = append(out.Bridges, CamBridge{At: camDegrees(b.Angle), Width: camDegrees(b.Value)})
	}
	return out
}

func camFollower(c *mech.Cam) string {
	if c.Follower == nil {
		return "torso shaft"
	}
	return c.Follower.Path.String() + " " + c.Follower.Kind.String()
}

func camRange(e solve.CamExtent, unit float64) CamRange {
	return CamRange{
		Min: Value(e.Min.Value * unit), Max: Value(e.Max.Value * unit),
		MinAt: camDegrees(e.Min.Angle), MaxAt: camDegrees(e.Max.Angle),
	}
}

func camPeak(e solve.CamExtent, scale float64, infinite bool) Value {
	if infinite {
		return Null
	}
	return Value(max(e.Max.Value, -e.Min.Value) * scale)
}

func camRadius(r solve.CamAt) (radius, at Value) {
	if math.IsInf(r.Value, 0) {
		return Null, Null
	}
	return Value(r.Value), camDegrees(r.Angle)
}

func camJump(j solve.CamJump, unit float64) CamJump {
	out := CamJump{At: camDegrees(j.Angle)}
	switch j.Step {
	case solve.LiftStep:
		out.Of, out.Before, out.After = "lift", Value(j.Before.S*unit), Value(j.After.S*unit)
	case solve.VelocityStep:
		out.Of, out.Before, out.After = "velocity", Value(j.Before.V*unit), Value(j.After.V*unit)
	default:
		out.Of, out.Before, out.After = "acceleration", Value(j.Before.A*unit), Value(j.After.A*unit)
	}
	return out
}

func camTables(r *Report, u Units) []Table {
	if len(r.Cams) == 0 {
		return nil
	}
	motion := Table{
		Title: fmt.Sprintf("Cams: motion (peaks at running speed, %s/s and %s/s²)", u.LengthName(), u.LengthName()),
		Columns: []Column{
			{Head: "cam"}, {Head: "shaft"}, {Head: "shape"}, {Head: "follower"},
			{Head: "lift", Right: true}, {Head: ""}, {Head: "speed", Right: true}, {Head: "accel.", Right: true},
		},
	}
	rim := Table{
		Title: fmt.Sprintf("Cams: rim (%s, deg)", u.LengthName()),
		Columns: []Column{
			{Head: "cam"}, {Head: "base", Right: true}, {Head: "pressure angle", Right: true}, {Head: "at", Right: true},
			{Head: "least bulge", Right: true}, {Head: "least hollow", Right: true}, {Head: "undercut"},
		},
	}
	for _, c := range r.Cams {
		travel, unit := c.Lift.Max-c.Lift.Min, u.LengthName()
		lift := u.Length(travel)
		if c.LiftUnit == "deg" {
			lift, unit = u.Degrees(travel), "deg"
		}
		motion.Rows = append(motion.Rows, []string{
			c.Name, c.Shaft, c.Shape, c.Follower, lift, unit, u.plainLength(c.PeakVelocity), u.plainLength(c.PeakAcceleration),
		})
		undercut := "no"
		if c.Undercut {
			undercut = "YES"
		}
		if c.Status != "solved" {
			undercut = c.Status
		}
		rim.Rows = append(rim.Rows, []string{
			c.Name, u.Length(c.BaseMM), u.Degrees(c.PressureAngle.Max), u.Degrees(c.PressureAngle.At),
			u.Length(c.RimRadius.LeastConvex), u.Length(c.RimRadius.LeastHollow), undercut,
		})
	}
	tables := []Table{motion, rim}
	if load, any := camLoadTable(r.Cams); any {
		tables = append(tables, load)
	}
	return tables
}

// camLoadTable is left out where no cam has loads.
func camLoadTable(cams []Cam) (t Table, any bool) {
	t = Table{
		Title: "Cams: load (wear is an order of magnitude)",
		Columns: []Column{
			{Head: "cam"}, {Head: "force N", Right: true}, {Head: "torque N·mm", Right: true}, {Head: "mean", Right: true},
			{Head: "float rpm", Right: true}, {Head: "contact MPa", Right: true}, {Head: "life h", Right: true},
		},
	}
	var u Units
	for i := range cams {
		l := &cams[i].Load
		if !l.Known {
			continue
		}
		any = true
		t.Rows = append(t.Rows, []string{
			cams[i].Name, u.Plain(l.ContactForceN), u.Plain(l.PeakTorqueNmm), u.Plain(l.MeanTorqueNmm),
			u.Plain(l.FloatRPM), u.Plain(l.ContactMPa), u.Plain(l.life()),
		})
	}
	return t, any
}
