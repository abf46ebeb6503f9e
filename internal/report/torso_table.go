package report

import "fmt"

// torsoTables lays out the torso: its angles, what it needs below the stage,
// and its points.
func torsoTables(r *Report, u Units) []Table {
	t := r.Torso
	if t == nil {
		return nil
	}
	if !t.Posed {
		return []Table{{Title: "Torso", Notes: []string{"No pose exists: see the findings."}}}
	}
	tables := []Table{torsoAngles(t, u), torsoNeeds(t, u)}
	if len(t.Points) > 0 {
		tables = append(tables, torsoPoints(t, u))
	}
	if len(t.Clearances) > 0 {
		tables = append(tables, torsoGaps(t, u))
	}
	return tables
}

func torsoAngles(t *Torso, u Units) Table {
	table := Table{
		Title:   "Torso",
		Columns: []Column{{Head: ""}, {Head: "least", Right: true}, {Head: "greatest", Right: true}},
		Rows: [][]string{
			{"lean deg", u.Degrees(t.LeanDeg.Min), u.Degrees(t.LeanDeg.Max)},
			{"nod deg", u.Degrees(t.NodDeg.Min), u.Degrees(t.NodDeg.Max)},
			{"tilt deg", "", u.Degrees(t.TiltDeg.Max)},
			{"twist deg", u.Degrees(t.TwistDeg.Min), u.Degrees(t.TwistDeg.Max)},
			{"turning deg/s", "", u.Degrees(t.TurningDegS)},
			{"pin in slot " + u.LengthName(), u.Length(t.SlotMM.Min), u.Length(t.SlotMM.Max)},
		},
		Notes: []string{fmt.Sprintf("Near upright the guide makes %s deg of twist per deg of lean and %s per deg of nod.", fixed(float64(t.TwistGain.PerLean), 2), fixed(float64(t.TwistGain.PerNod), 2))},
	}
	if finite(float64(t.FailsAtTurns)) {
		table.Notes = append(table.Notes, fmt.Sprintf("From motor turn %.6g on no pose exists for a while; these figures are of the rest.", float64(t.FailsAtTurns)))
	}
	if t.TiltDeg.Bound {
		table.Notes = append(table.Notes, "The repeat is too long to follow: extremes here are bounds over all combinations of the shafts' angles.")
	}
	return table
}

func torsoNeeds(t *Torso, u Units) Table {
	table := Table{
		Title:   "Pushes " + u.LengthName(),
		Columns: []Column{{Head: "push"}, {Head: "by"}, {Head: "along", Right: true}, {Head: "across", Right: true}, {Head: "plate", Right: true}, {Head: "slot", Right: true}},
		Notes: []string{fmt.Sprintf("The shaft needs an opening of %s %s across, or %s by %s, before any clearance.",
			u.Length(t.Opening.CircleMM), u.LengthName(), u.Length(t.Opening.WidthMM), u.Length(t.Opening.DepthMM))},
	}
	for _, p := range t.Pushes {
		table.Rows = append(table.Rows, []string{
			p.Name, p.By,
			u.Length(p.AlongMM.Min) + " to " + u.Length(p.AlongMM.Max),
			u.Length(p.AcrossMM.Min) + " to " + u.Length(p.AcrossMM.Max),
			u.Length(p.PlateMM), u.Length(p.SlotLengthMM),
		})
	}
	return table
}

func torsoPoints(t *Torso, u Units) Table {
	table := Table{
		Title: fmt.Sprintf("Points %s, %s/s, %s/s²", u.LengthName(), u.LengthName(), u.LengthName()),
		Columns: []Column{{Head: "point"}, {Head: "x", Right: true}, {Head: "y", Right: true}, {Head: "z", Right: true},
			{Head: "speed", Right: true}, {Head: "accel.", Right: true}},
	}
	for _, p := range t.Points {
		table.Rows = append(table.Rows, []string{
			p.Name, torsoSpan(p.XMM, u), torsoSpan(p.YMM, u), torsoSpan(p.ZMM, u), u.Length(p.PeakSpeed), u.Length(p.PeakAcceleration),
		})
	}
	return table
}

// torsoSpan writes a range to a tenth of a millimetre, so that three of them fit
// a line.
func torsoSpan(r Range, u Units) string {
	if u.LengthName() == "in" {
		return fixed(float64(r.Min)/25.4, 2) + " to " + fixed(float64(r.Max)/25.4, 2)
	}
	return fixed(float64(r.Min), 1) + " to " + fixed(float64(r.Max), 1)
}

func torsoGaps(t *Torso, u Units) Table {
	table := Table{
		Title:   "Clearances",
		Columns: []Column{{Head: "point"}, {Head: "obstacle"}, {Head: "least " + u.LengthName(), Right: true}, {Head: "at turns", Right: true}},
	}
	for _, c := range t.Clearances {
		at := fixed(float64(c.AtTurns), 2)
		if c.Bound && at != "-" {
			at = "about " + at
		}
		table.Rows = append(table.Rows, []string{c.Point, c.Obstacle, u.Length(c.MM), at})
	}
	return table
}
