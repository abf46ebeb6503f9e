package solve

import (
	"math"
	"testing"

	"understage/internal/mech"
)

// A cam's chart is its motion, segment by segment; two turns repeat it.
func TestChartOfCam(t *testing.T) {
	m := beatModel()
	m.Cams = []mech.Cam{{
		Name: "tap", Shaft: 0, Base: 20,
		Shape: mech.Shape{Kind: mech.ShapeMotion, Segments: []mech.Segment{
			{Rise: 8, Over: 120 * degree, Law: mech.Cycloidal}, {Over: 40 * degree}, {Rise: -3, Over: 60 * degree, Law: mech.Polynomial345},
			{Rise: -5}, {Over: 140 * degree},
		}},
		Follower: &mech.Follower{Kind: mech.Knife},
	}}
	s := Solve(m)
	row := NewChart(m, s, 2).Rows[0]
	want := []struct {
		kind     ChartKind
		from, to float64 // deg
		end      float64
	}{
		{ChartRise, 0, 120, 8}, {ChartDwell, 120, 160, 8}, {ChartFall, 160, 220, 5}, {ChartFall, 220, 220, 0}, {ChartDwell, 220, 360, 0},
		{ChartRise, 360, 480, 8}, {ChartDwell, 480, 520, 8}, {ChartFall, 520, 580, 5}, {ChartFall, 580, 580, 0}, {ChartDwell, 580, 720, 0},
	}
	if row.Part != "cams.tap" || len(row.Spans) != len(want) {
		t.Fatalf("%s: %+v", row.Part, row.Spans)
	}
	for i, w := range want {
		got := row.Spans[i]
		if got.Kind != w.kind || math.Abs(got.From*360-w.from) > 1e-6 || math.Abs(got.To*360-w.to) > 1e-6 || math.Abs(got.End-w.end) > 1e-6 {
			t.Errorf("span %d: %v from %.4f to %.4f ends at %g, want %v %g %g %g", i, got.Kind, got.From*360, got.To*360, got.End, w.kind, w.from, w.to, w.end)
		}
	}
	near(t, "high", row.High, 8, 1e-9)
}

// A point's rises and falls meet at its extremes, span the time without gaps,
// and its beats fall where a fall ends.
func TestChartOfPoint(t *testing.T) {
	m := beatModel()
	s := Solve(m)
	chart := NewChart(m, s, 6) // two turns of the crank
	var point, beats *ChartRow
	for i := range chart.Rows {
		switch chart.Rows[i].Part {
		case "linkages.staff.tip":
			point = &chart.Rows[i]
		case "beats":
			beats = &chart.Rows[i]
		}
	}
	if point == nil || beats == nil || len(beats.Spans) != 2 {
		t.Fatalf("rows %+v", chart.Rows)
	}
	z := s.Linkages[0].Points[0].Z
	near(t, "low", point.Low, z.Min.Value, 1e-6)
	near(t, "high", point.High, z.Max.Value, 1e-6)
	at := 0.0
	for i, span := range point.Spans {
		near(t, "joins the last", span.From, at, 1e-6)
		at = span.To
		if i > 0 {
			near(t, "goes on where the last ended", span.Start, point.Spans[i-1].End, 1e-6)
		}
		if (span.End > span.Start) != (span.Kind == ChartRise) || span.Kind == ChartDwell {
			t.Errorf("%v from %g to %g", span.Kind, span.Start, span.End)
		}
	}
	near(t, "to the end", at, 6, 1e-9)
	for _, b := range beats.Spans {
		found := false
		for _, span := range point.Spans {
			found = found || span.Kind == ChartFall && math.Abs(span.To-b.From) < 1e-5
		}
		if !found {
			t.Errorf("no fall ends at the beat at %g", b.From)
		}
	}
}
