package report

import (
	"fmt"
	"io"
	"math"

	"understage/internal/solve"
)

// CamComparison is a cut cam against the one meant. Errors are in the cam's lift
// unit.
type CamComparison struct {
	Name        string     `json:"name"`
	Status      string     `json:"status"`
	RotationDeg Value      `json:"rotation_deg"`
	Height      Value      `json:"height"`
	BaseMM      Value      `json:"base_radius_mm"`
	Error       CamRange   `json:"error"`
	Worst       Value      `json:"worst_error"`
	WorstAt     Value      `json:"worst_at_deg"`
	RMS         Value      `json:"rms_error"`
	Raw         CamRange   `json:"error_as_cut"`
	Torso       []CamSwing `json:"torso"`

	unit string
}

// CamSwing is what the error does to one range of the torso.
type CamSwing struct {
	What  string `json:"what"`
	Unit  string `json:"unit"`
	Meant Range  `json:"meant"`
	Cut   Range  `json:"cut"`
}

// BuildCamComparison lays out a comparison. The torsos, either nil, are as meant
// and with the cut cam in place.
func BuildCamComparison(name string, r *solve.CamComparison, swings bool, meant, cut *Torso) *CamComparison {
	unit, scale := "mm", 1.0
	if swings {
		unit, scale = "deg", 180/math.Pi
	}
	out := &CamComparison{Name: name, Status: camStatus[r.Status], unit: unit, BaseMM: Value(r.Base),
		RotationDeg: Null, Height: Null, Worst: Null, WorstAt: Null, RMS: Null, Torso: []CamSwing{}}
	none := CamRange{Null, Null, Null, Null}
	out.Error, out.Raw = none, none
	if r.Status != solve.CamSolved {
		return out
	}
	out.RotationDeg, out.Height = camDegrees(r.Rotation), Value(r.Height*scale)
	out.Error, out.Raw = camRange(r.Error, scale), camRange(r.Raw, scale)
	out.Worst, out.WorstAt, out.RMS = Value(r.Worst.Value*scale), camDegrees(r.Worst.Angle), Value(r.Mean*scale)
	if meant == nil || cut == nil {
		return out
	}
	add := func(what, unit string, a, b Range) {
		out.Torso = append(out.Torso, CamSwing{What: what, Unit: unit, Meant: a, Cut: b})
	}
	add("lean", "deg", meant.LeanDeg, cut.LeanDeg)
	add("nod", "deg", meant.NodDeg, cut.NodDeg)
	add("twist", "deg", meant.TwistDeg, cut.TwistDeg)
	for i := range meant.Points {
		p, q := &meant.Points[i], &cut.Points[i]
		add(p.Name+" x", "mm", p.XMM, q.XMM)
		add(p.Name+" y", "mm", p.YMM, q.YMM)
		add(p.Name+" z", "mm", p.ZMM, q.ZMM)
	}
	return out
}

func (c *CamComparison) tables(u Units) []Table {
	write := func(unit string) func(Value) string {
		if unit == "mm" {
			return u.Length
		}
		return func(v Value) string { return fixed(float64(v), 2) }
	}
	name := c.unit
	if name == "mm" {
		name = u.LengthName()
	}
	lift := write(c.unit)
	t := Table{
		Title:   fmt.Sprintf("Against %s, both under its follower", c.Name),
		Columns: []Column{{Head: ""}, {Head: "", Right: true}, {Head: "at deg", Right: true}},
	}
	if c.Status != "solved" {
		t.Columns, t.Notes = nil, []string{"They cannot be compared: " + c.Status + "."}
		return []Table{t}
	}
	t.Rows = [][]string{
		{"turned ahead by deg", fixed(float64(c.RotationDeg), 2), ""},
		{"follower carried higher by " + name, lift(c.Height), ""},
		{"base radius larger by " + u.LengthName(), u.Length(c.BaseMM), ""},
		{"with both taken out: worst error " + name, lift(c.Worst), u.Degrees(c.WorstAt)},
		{"root mean square error " + name, lift(c.RMS), ""},
		{"as cut: least error " + name, lift(c.Raw.Min), u.Degrees(c.Raw.MinAt)},
		{"as cut: greatest error " + name, lift(c.Raw.Max), u.Degrees(c.Raw.MaxAt)},
	}
	t.Notes = []string{"Turn the cut cam on its shaft against the cam's sense by the first number, and set the follower by the second, to come that near."}
	if c.RotationDeg < 0 {
		t.Notes[0] = "Turn the cut cam on its shaft in the cam's sense by the first number, and set the follower by the second, to come that near."
	}
	tables := []Table{t}
	if len(c.Torso) > 0 {
		s := Table{Title: "What is left does to the torso", Columns: []Column{
			{Head: ""}, {Head: ""}, {Head: "meant", Right: true}, {Head: "", Right: true}, {Head: "cut", Right: true}, {Head: "", Right: true},
		}}
		for _, x := range c.Torso {
			w, unit := write(x.Unit), x.Unit
			if unit == "mm" {
				unit = u.LengthName()
			}
			s.Rows = append(s.Rows, []string{x.What, unit, w(x.Meant.Min), w(x.Meant.Max), w(x.Cut.Min), w(x.Cut.Max)})
		}
		tables = append(tables, s)
	}
	return tables
}

// camContest is one row of a comparison of several cams: the value of each, and
// whether less or more is better.
type camContest struct {
	name   string
	better int // -1: less, +1: more, 0: neither
	value  func(*CamView) Value
	write  func(Value) string
}

// camsAbreast is how many cams stand side by side in one table.
const camsAbreast = 4

// WriteComparison prints the cams side by side, the best of each row marked with
// a star.
func (v *CamViews) WriteComparison(w io.Writer, style CamStyle) error {
	contests := camContests(style.Units, v.speedKnown())
	for from := 0; from < len(v.Cams); from += camsAbreast {
		shown := v.Cams[from:min(from+camsAbreast, len(v.Cams))]
		t := Table{Title: "Cams side by side; * is the best of the row", Columns: []Column{{Head: ""}}}
		for i := range shown {
			t.Columns = append(t.Columns, Column{Head: v.head(&shown[i]) + " ", Right: true})
		}
		t.Rows = append(t.Rows, travels(shown, style.Units))
		for _, c := range contests {
			best, contested := v.best(c)
			row := []string{c.name}
			for i := range shown {
				x := c.value(&shown[i])
				cell := c.write(x) + " "
				if contested && x == best {
					cell = c.write(x) + "*"
				}
				row = append(row, cell)
			}
			t.Rows = append(t.Rows, row)
		}
		t.Rows = append(t.Rows, v.verdicts(shown)...)
		if from > 0 {
			if _, err := io.WriteString(w, "\n"); err != nil {
				return err
			}
		}
		if err := t.Write(w, style.Width); err != nil {
			return err
		}
	}
	return nil
}

// travels is the row of the followers' ways, each with its unit.
func travels(shown []CamView, u Units) []string {
	row := []string{"travel"}
	for i := range shown {
		c := &shown[i]
		row = append(row, c.lift(c.Lift.Max-c.Lift.Min, u)+" "+c.liftUnit(u)+" ")
	}
	return row
}

// head names a cam, with its file where several are open.
func (v *CamViews) head(c *CamView) string {
	for i := range v.Cams {
		if v.Cams[i].File != c.File {
			return c.File + ":" + c.Name
		}
	}
	return c.Name
}

func (v *CamViews) speedKnown() bool {
	for i := range v.Cams {
		if !finite(float64(v.Cams[i].Load.ShaftRPM)) {
			return false
		}
	}
	return true
}

func camContests(u Units, speed bool) []camContest {
	length := u.LengthName()
	rows := []camContest{
		{"base radius " + length, 0, func(c *CamView) Value { return c.BaseMM }, u.Length},
	}
	if speed {
		rows = append(rows,
			camContest{"peak velocity mm/s", -1, func(c *CamView) Value { return c.PeakVelocity }, u.Plain},
			camContest{"peak acceleration mm/s²", -1, func(c *CamView) Value { return c.PeakAcceleration }, u.Plain})
	} else {
		rows = append(rows,
			camContest{"peak velocity per rad", -1, func(c *CamView) Value { return c.peak(c.Velocity, 1) }, u.Plain},
			camContest{"peak acceleration per rad²", -1, func(c *CamView) Value { return c.peak(c.Acceleration, 2) }, u.Plain})
	}
	return append(rows,
		camContest{"pressure angle deg", -1, func(c *CamView) Value { return c.PressureAngle.Max }, u.Degrees},
		camContest{"least bulge " + length, 1, func(c *CamView) Value { return c.RimRadius.LeastConvex }, u.Length},
		camContest{"least hollow " + length, -1, func(c *CamView) Value { return c.RimRadius.LeastHollow }, u.Length},
		camContest{"peak torque N·mm", -1, func(c *CamView) Value { return c.Load.PeakTorqueNmm }, u.Plain},
		camContest{"contact pressure MPa", -1, func(c *CamView) Value { return c.Load.ContactMPa }, u.Plain},
		camContest{"life h", 1, func(c *CamView) Value { return c.Load.life() }, u.Plain},
	)
}

// peak is the greater magnitude of a derivative's range, null where it is
// infinite.
func (c *CamView) peak(r CamRange, order int) Value {
	for _, j := range c.Jumps {
		if j.Of == "lift" || j.Of == "velocity" && order > 1 {
			return Null
		}
	}
	return max(r.Max, -r.Min)
}

// best returns the best value of a row; contested is false where it has none or
// all are alike.
func (v *CamViews) best(c camContest) (best Value, contested bool) {
	best = Null
	var worst Value
	for i := range v.Cams {
		x := c.value(&v.Cams[i])
		if c.better == 0 || !finite(float64(x)) {
			continue
		}
		if !finite(float64(best)) {
			best, worst = x, x
		}
		if float64(c.better)*float64(x-best) > 0 {
			best = x
		}
		if float64(c.better)*float64(x-worst) < 0 {
			worst = x
		}
	}
	return best, finite(float64(best)) && best != worst
}

func (v *CamViews) verdicts(shown []CamView) [][]string {
	undercut, status, worst := []string{"undercut"}, []string{"status"}, []string{"judged"}
	odd := false
	for i := range shown {
		c := &shown[i]
		word := "no "
		if c.Undercut {
			word = "YES "
		}
		undercut = append(undercut, word)
		status = append(status, c.Status+" ")
		odd = odd || c.Status != "solved"
		judged := "ok"
		for _, f := range c.Findings {
			if f.Severity == "fail" || f.Severity == "caution" && judged != "fail" {
				judged = f.Severity
			}
		}
		worst = append(worst, judged+" ")
	}
	rows := [][]string{undercut, worst}
	if odd {
		rows = append(rows, status)
	}
	return rows
}
