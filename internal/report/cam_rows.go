package report

import (
	"math"
	"strconv"

	"understage/internal/solve"
)

// CamRow is a cam at one angle. Lift is in the cam's lift unit, its derivatives
// in that per radian; x and y are in the template's frame, the timing mark along
// +X. What is infinite at a joint is null.
type CamRow struct {
	Angle        Value `json:"angle_deg"`
	Lift         Value `json:"lift"`
	Velocity     Value `json:"velocity"`
	Acceleration Value `json:"acceleration"`
	Jerk         Value `json:"jerk"`
	Pressure     Value `json:"pressure_angle_deg"`
	RimRadius    Value `json:"rim_radius_mm"`
	X            Value `json:"x_mm"`
	Y            Value `json:"y_mm"`
}

// CamRowHeads are the columns of a CSV of rows.
var CamRowHeads = []string{"angle_deg", "lift", "velocity", "acceleration", "jerk", "pressure_angle_deg", "rim_radius_mm", "x_mm", "y_mm"}

// Cells returns the row's cells for CSV, empty for null.
func (r CamRow) Cells() []string {
	values := [...]Value{r.Angle, r.Lift, r.Velocity, r.Acceleration, r.Jerk, r.Pressure, r.RimRadius, r.X, r.Y}
	cells := make([]string, len(values))
	for i, v := range values {
		if f := float64(v); finite(f) {
			cells[i] = strconv.FormatFloat(f+0, 'g', 12, 64)
		}
	}
	return cells
}

// CamRowCount is the number of rows a step of that many degrees gives.
func CamRowCount(step float64) int { return int(math.Ceil(360/step - 1e-9)) }

// BuildCamRow lays out row i of a cam.
func BuildCamRow(c *solve.Cam, step float64, i int) CamRow {
	deg := step * float64(i)
	phi := deg * math.Pi / 180
	unit := 1.0
	if c.Swings() {
		unit = 180 / math.Pi
	}
	l, jump := c.Lift(phi), c.Step(phi)
	row := CamRow{
		Angle: Value(deg), Lift: Value(l.S * unit), Velocity: Value(l.V * unit), Acceleration: Value(l.A * unit), Jerk: Value(l.J * unit),
		Pressure: Null, RimRadius: Null, X: Null, Y: Null,
	}
	for order, v := range [...]*Value{&row.Velocity, &row.Acceleration, &row.Jerk} {
		if jump.Infinite(order + 1) {
			*v = Null
		}
	}
	if c.NoMotion() {
		row.Lift, row.Velocity, row.Acceleration, row.Jerk = Null, Null, Null, Null
	}
	if c.Status != solve.CamSolved {
		return row
	}
	k := c.ContactAt(phi, l)
	row.Pressure, row.RimRadius = camDegrees(k.Pressure), Value(k.Radius)
	if jump.Infinite(2) {
		row.RimRadius = Null
	}
	row.X, row.Y = Value(k.Rim.X), Value(k.Rim.Y)
	return row
}

// camRowTable is the rows as text.
func camRowTable(c *solve.Cam, unit string, step float64, u Units) Table {
	t := Table{Columns: []Column{
		{Head: "deg", Right: true}, {Head: "lift " + unit, Right: true}, {Head: "velocity", Right: true}, {Head: "accel", Right: true},
		{Head: "jerk", Right: true}, {Head: "pressure", Right: true}, {Head: "radius", Right: true}, {Head: "x", Right: true}, {Head: "y", Right: true},
	}}
	for i := range CamRowCount(step) {
		r := BuildCamRow(c, step, i)
		lift := u.Length
		if unit == "deg" {
			lift = func(v Value) string { return fixed(float64(v), 2) }
		}
		t.Rows = append(t.Rows, []string{
			strconv.FormatFloat(math.Round(float64(r.Angle)*1e6)/1e6, 'f', -1, 64), lift(r.Lift), lift(r.Velocity), lift(r.Acceleration),
			lift(r.Jerk), u.Degrees(r.Pressure), u.Length(r.RimRadius), u.Length(r.X), u.Length(r.Y),
		})
	}
	return t
}
