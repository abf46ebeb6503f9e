package report

import (
	"fmt"
	"io"
	"math"
	"strings"

	"understage/internal/mech"
)

// Units writes quantities of a text report: lengths in the spec's unit with
// what a maker can measure (mm to 0.01, in to 0.001), angles to 0.1 deg, the
// rest to three significant digits. Null prints as a dash.
type Units struct {
	Lengths mech.LengthUnit
}

// LengthName returns "mm" or "in", for column heads.
func (u Units) LengthName() string {
	if u.Lengths == mech.Inch {
		return "in"
	}
	return "mm"
}

// Length writes millimetres in the maker's unit, without its name.
func (u Units) Length(mm Value) string {
	if u.Lengths == mech.Inch {
		return fixed(float64(mm)/25.4, 3)
	}
	return fixed(float64(mm), 2)
}

// Degrees writes an angle already in degrees, without its unit.
func (u Units) Degrees(deg Value) string { return fixed(float64(deg), 1) }

// Plain writes three significant digits.
func (u Units) Plain(v Value) string { return u.significant(v, 3) }

// plainLength writes three significant digits of a length, or of a length over
// time, given in millimetres, in the maker's unit.
func (u Units) plainLength(mm Value) string {
	if u.Lengths == mech.Inch {
		mm /= 25.4
	}
	return u.Plain(mm)
}

func (u Units) significant(v Value, digits int) string {
	f := float64(v)
	if !finite(f) {
		return "-"
	}
	if a := math.Abs(f); a >= math.Pow10(digits) && a < 1e9 {
		return fmt.Sprintf("%.0f", f) // not 1.15e+03
	}
	return fmt.Sprintf("%.*g", digits, f)
}

// Style is how a text report looks.
type Style struct {
	Units Units
	Width int
	Color bool
}

// paint colors text with an SGR parameter where the style wants color.
func (s Style) paint(text, sgr string) string {
	if !s.Color {
		return text
	}
	return "\x1b[" + sgr + "m" + text + "\x1b[0m"
}

// WriteText prints the report in the order a maker works, the verdict first and
// the cautions last.
func (r *Report) WriteText(w io.Writer, style Style) error {
	var b strings.Builder
	b.WriteString(Wrap(strings.ToUpper(r.Figure), style.Width, ""))
	b.WriteString(style.paint(Verdict(r.Findings), verdictColor(r.Findings)) + "\n\n")
	for _, tables := range []func(*Report, Units) []Table{
		motorTables, driveTables, beltTables, camTables, torsoTables, linkageTables, frameTables,
	} {
		for _, t := range tables(r, style.Units) {
			if err := t.Write(&b, style.Width); err != nil {
				return err
			}
			b.WriteString("\n")
		}
	}
	writeFindings(&b, r.Findings, style)
	if len(r.Findings) > 0 {
		b.WriteString("\n")
	}
	b.WriteString("Cautions\n")
	for _, c := range r.Cautions {
		b.WriteString("  - " + hanging(c, 4, style.Width))
	}
	_, err := io.WriteString(w, b.String())
	return err
}

func verdictColor(findings []Finding) string { return severityColor[worst(findings)] }

// cautions end every report. The gap is ISO 13854:2017 (formerly EN 349) as the
// AUVA lexicon quotes it; the rest is common practice.
var cautions = [...]string{
	"Moving parts pinch and draw in. ISO 13854 asks for a gap of at least 25 mm where a finger must not be crushed; guard or cover every smaller gap that opens and closes, cams, belts and slots included.",
	"Children stand in the audience and reach further than you think: keep the drive behind a closed stage, and the moving figure out of reach.",
	"Put a fuse close to the supply or battery, sized for the wire, and a switch within your own reach. A stalled motor may draw less than the fuse blows at.",
	"A stalled or overloaded motor gets hot enough to soften a printed frame and to burn; stop it and find the jam. Never leave batteries charging or the figure running unattended.",
	"These figures come from a model of the figure as written down, not from the figure. Turn it through by hand before it is powered. Local codes and licensed practice come first.",
}
