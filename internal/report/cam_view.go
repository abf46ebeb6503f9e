package report

import (
	"fmt"
	"io"
	"strings"

	"understage/internal/solve"
)

// CamView is one cam of the command that looks at cams.
type CamView struct {
	Cam
	File     string         `json:"file,omitempty"`
	Figure   string         `json:"figure,omitempty"`
	Findings []Finding      `json:"findings"`
	Against  *CamComparison `json:"against,omitempty"`
}

// CamViews is the whole of what the command prints.
type CamViews struct {
	Version int       `json:"version"`
	Cams    []CamView `json:"cams"`
}

// CamStyle is how the command prints.
type CamStyle struct {
	Style
	Plain bool // ASCII only
}

// WriteCam prints one cam: motion, rim, load, findings, and the lift drawn over
// a turn.
func (v *CamView) WriteCam(w io.Writer, c *solve.Cam, style CamStyle) error {
	var b strings.Builder
	u := style.Units
	title := fmt.Sprintf("Cam %s: %s, %s follower, turning %s", v.Name, v.Shape, v.Follower, v.Sense)
	if finite(float64(v.Load.ShaftRPM)) {
		title += fmt.Sprintf(" at %s rpm", u.Plain(v.Load.ShaftRPM))
	}
	b.WriteString(Wrap(title, style.Width, ""))
	b.WriteString(style.paint(Tally(v.Findings), verdictColor(v.Findings)) + "\n\n")
	tables := []Table{v.motionTable(u), v.rimTable(u)}
	if v.Load.Known || v.Load.Drop != nil {
		tables = append(tables, v.loadTable(u))
	}
	if v.Against != nil {
		tables = append(tables, v.Against.tables(u)...)
	}
	for _, t := range tables {
		if err := t.Write(&b, style.Width); err != nil {
			return err
		}
		b.WriteString("\n")
	}
	if !c.NoMotion() {
		b.WriteString(fmt.Sprintf("Lift, %s, over the cam's angle, deg\n", v.liftUnit(u)))
		b.WriteString(camPlot(c, v.LiftUnit, u, style.Width, style.Plain))
		b.WriteString("\n")
	}
	writeFindings(&b, v.Findings, style.Style)
	_, err := io.WriteString(w, b.String())
	return err
}

// WriteRows prints the rows of a cam as a table.
func (v *CamView) WriteRows(w io.Writer, c *solve.Cam, step float64, style CamStyle) error {
	return camRowTable(c, v.liftUnit(style.Units), step, style.Units).Write(w, style.Width)
}

func (v *CamView) liftUnit(u Units) string {
	if v.LiftUnit == "deg" {
		return "deg"
	}
	return u.LengthName()
}

// lift writes a value in the lift's unit.
func (v *CamView) lift(x Value, u Units) string {
	if v.LiftUnit == "deg" {
		return fixed(float64(x), 2)
	}
	return u.Length(x)
}

var camColumns = []Column{{Head: ""}, {Head: "", Right: true}, {Head: "at deg", Right: true}, {Head: "", Right: true}, {Head: "at deg", Right: true}}

func (v *CamView) motionTable(u Units) Table {
	t := Table{Title: "Motion", Columns: append([]Column(nil), camColumns...)}
	t.Columns[1].Head, t.Columns[3].Head = "least", "most"
	row := func(name string, r CamRange, write func(Value) string) {
		t.Rows = append(t.Rows, []string{name, write(r.Min), u.Degrees(r.MinAt), write(r.Max), u.Degrees(r.MaxAt)})
	}
	unit := v.liftUnit(u)
	row("lift "+unit, v.Lift, func(x Value) string { return v.lift(x, u) })
	row("velocity "+unit+"/rad", v.Velocity, func(x Value) string { return v.lift(x, u) })
	row("acceleration "+unit+"/rad²", v.Acceleration, func(x Value) string { return v.lift(x, u) })
	if finite(float64(v.PeakVelocity)) {
		t.Notes = append(t.Notes, fmt.Sprintf("At running speed the peaks are %s mm/s and %s mm/s².", u.Plain(v.PeakVelocity), u.Plain(v.PeakAcceleration)))
	}
	for _, j := range v.Jumps {
		t.Notes = append(t.Notes, fmt.Sprintf("The %s jumps at %s deg.", j.Of, u.Degrees(j.At)))
	}
	return t
}

// camBridgesShown is how many bridged hollows the text names; JSON has them all.
const camBridgesShown = 4

func (v *CamView) rimTable(u Units) Table {
	t := Table{Title: "Rim", Columns: []Column{{Head: ""}, {Head: "", Right: true}, {Head: "at deg", Right: true}}}
	add := func(name string, text string, at Value) {
		t.Rows = append(t.Rows, []string{name, text, u.Degrees(at)})
	}
	unit := " " + u.LengthName()
	add("base radius"+unit, u.Length(v.BaseMM), Null)
	add("greatest pressure angle deg", u.Degrees(v.PressureAngle.Max), v.PressureAngle.At)
	add("least radius where it bulges"+unit, u.Length(v.RimRadius.LeastConvex), v.RimRadius.LeastConvexAt)
	add("least radius where it is hollow"+unit, u.Length(v.RimRadius.LeastHollow), v.RimRadius.LeastHollowAt)
	if v.Face != nil {
		add("contact on the face, least"+unit, u.Length(v.Face.Min), v.Face.MinAt)
		add("contact on the face, most"+unit, u.Length(v.Face.Max), v.Face.MaxAt)
	}
	for _, s := range []struct {
		name string
		size Value
	}{
		{"least base for the pressure angle", v.Sizing.Base},
		{"best offset", v.Sizing.BestOffset},
		{"least base at the best offset", v.Sizing.BestBase},
		{"least base without undercut", v.Sizing.Fair},
		{"least track radius for the pressure angle", v.Sizing.Track},
	} {
		if finite(float64(s.size)) {
			add(s.name+unit, u.Length(s.size), Null)
		}
	}
	if v.Undercut {
		t.Notes = append(t.Notes, "The rim is UNDERCUT: the follower does not make this motion.")
	}
	for i, b := range v.Bridges {
		if i == camBridgesShown {
			t.Notes = append(t.Notes, fmt.Sprintf("It bridges %d hollows more.", len(v.Bridges)-i))
			break
		}
		t.Notes = append(t.Notes, fmt.Sprintf("The follower bridges %s deg of the rim at %s deg.", u.Degrees(b.Width), u.Degrees(b.At)))
	}
	return t
}

func (v *CamView) loadTable(u Units) Table {
	l := &v.Load
	t := Table{Title: "Load", Columns: []Column{{Head: ""}, {Head: "", Right: true}, {Head: "at deg", Right: true}}}
	add := func(name string, x, at Value) {
		if finite(float64(x)) {
			t.Rows = append(t.Rows, []string{name, u.Plain(x), u.Degrees(at)})
		}
	}
	add("greatest contact force N", l.ContactForceN, l.ContactForceAt)
	add("least force that holds it down N", l.HoldingForceN, Null)
	add("peak torque N·mm", l.PeakTorqueNmm, l.PeakTorqueAt)
	add("mean torque N·mm", l.MeanTorqueNmm, Null)
	add("share lost in the guide", l.GuideShare, Null)
	add("floats above rpm", l.FloatRPM, Null)
	add("contact pressure MPa", l.ContactMPa, l.ContactAt)
	if d := l.Drop; d != nil {
		add("drop mm", d.Height, d.At)
		add("falls in ms", d.FallMS, Null)
		add("while the cam turns deg", d.Turned, Null)
	}
	for _, w := range []struct {
		name string
		wear CamWearing
	}{{"cam", l.CamWear}, {"follower", l.FollowerWear}} {
		if finite(float64(w.wear.Hours.Min)) {
			t.Notes = append(t.Notes, fmt.Sprintf("Wear of the %s, by order of magnitude: %s to %s mm per hour of running; %s mm after %s to %s h. Source: %s.",
				w.name, u.Plain(w.wear.PerHour.Min), u.Plain(w.wear.PerHour.Max), u.Plain(l.WearDepthMM), u.Plain(w.wear.Hours.Min), u.Plain(w.wear.Hours.Max), w.wear.Source))
		} else if w.wear.Missing != "" && l.Known {
			t.Notes = append(t.Notes, fmt.Sprintf("Wear of the %s is unknown for want of: %s.", w.name, w.wear.Missing))
		}
	}
	if l.FrictionAssumed {
		t.Notes = append(t.Notes, "A friction coefficient is assumed, since none is given.")
	}
	return t
}
