package check

import (
	"testing"

	"understage/internal/mech"
	"understage/internal/solve"
	"understage/internal/standard"
)

// judgedShow is one figure on a rail, as solved by hand.
func judgedShow(change func(*mech.Show, *solve.ShowResult)) []Finding {
	m, r := loadedMotor(1, 1, 0.1)
	show := &mech.Show{
		Supply:  mech.ShowSupply{Voltage: 5, Limit: known(1)},
		Tempo:   known(1),
		Figures: []mech.Placed{{Name: "left", Model: m}, {Name: "right", Model: m}},
	}
	s := &solve.Solution{Motor: *r, Beats: &solve.BeatsResult{PerMinute: 60}}
	result := &solve.ShowResult{
		Figures: []solve.ShowFigure{{Solution: s, Runs: true, Known: true}, {Solution: s, Runs: true, Known: true}},
		Voltage: 5, Mean: 0.1, Bound: 0.5, Start: 0.9, Fuse: 0.8, FuseOpens: true,
		Wire: standard.Wires[0], WireFound: true, Drop: known(0.1),
		Gaps: []solve.ShowGap{{A: 0, B: 1, Gap: 40}},
	}
	change(show, result)
	return ShowFindings(show, result)
}

func TestShowFindings(t *testing.T) {
	cases := []struct {
		name   string
		rule   string
		change func(*mech.Show, *solve.ShowResult)
		want   Severity
	}{
		{"within the limit", "show_current", func(*mech.Show, *solve.ShowResult) {}, OK},
		{"beyond it", "show_current", func(_ *mech.Show, r *solve.ShowResult) { r.Bound = 1.01 }, Fail},
		{"no limit given", "show_current", func(s *mech.Show, _ *solve.ShowResult) { s.Supply.Limit = mech.Given{} }, Unknown},
		{"starts", "show_start", func(*mech.Show, *solve.ShowResult) {}, OK},
		{"starts too hard", "show_start", func(_ *mech.Show, r *solve.ShowResult) { r.Start = 1.01 }, Caution},
		{"fuse opens", "show_fuse", func(*mech.Show, *solve.ShowResult) {}, OK},
		{"fuse blind to a jam", "show_fuse", func(_ *mech.Show, r *solve.ShowResult) { r.FuseOpens = false }, Caution},
		{"each has its own", "show_fuse", func(s *mech.Show, r *solve.ShowResult) {
			r.FuseOpens = false
			s.Figures[0].Model.Motor.Fuse = known(0.25)
		}, OK},
		{"thin lead", "show_drop", func(_ *mech.Show, r *solve.ShowResult) { r.Drop = known(0.26) }, Caution},
		{"good lead", "show_drop", func(_ *mech.Show, r *solve.ShowResult) { r.Drop = known(0.24) }, OK},
		{"apart", "neighbour_gap", func(*mech.Show, *solve.ShowResult) {}, OK},
		{"a finger's width", "neighbour_gap", func(_ *mech.Show, r *solve.ShowResult) { r.Gaps[0].Gap = 24.9 }, Caution},
		{"collide", "neighbour_gap", func(_ *mech.Show, r *solve.ShowResult) { r.Gaps[0].Gap = -0.1 }, Fail},
		{"nothing to watch", "neighbour_gap", func(_ *mech.Show, r *solve.ShowResult) { r.Gaps = nil }, Unknown},
	}
	for _, c := range cases {
		if got := motorSeverity(t, judgedShow(c.change), c.rule); got != c.want {
			t.Errorf("%s: %s = %v, want %v", c.name, c.rule, got, c.want)
		}
	}
}

// Rules that judge every figure give the worst of them here.
func TestShowFigureFindings(t *testing.T) {
	worst := func(rule string, change func(*mech.Show, *solve.ShowResult)) Severity {
		w := OK
		for _, f := range judgedShow(change) {
			if f.Rule == rule {
				w = max(w, f.Severity)
			}
		}
		return w
	}
	if got := worst("show_runs", func(_ *mech.Show, r *solve.ShowResult) { r.Figures[1].Runs = false }); got != Fail {
		t.Errorf("a figure that stands still = %v, want fail", got)
	}
	if got := worst("show_runs", func(_ *mech.Show, r *solve.ShowResult) { r.Figures[1].Known = false }); got != Unknown {
		t.Errorf("a figure without loads = %v, want unknown", got)
	}
	if got := worst("show_tempo", func(s *mech.Show, _ *solve.ShowResult) { s.Tempo = known(1.019) }); got != OK {
		t.Errorf("60 to a tempo of 61.1 = %v, want ok", got)
	}
	if got := worst("show_tempo", func(s *mech.Show, _ *solve.ShowResult) { s.Tempo = known(1.021) }); got != Caution {
		t.Errorf("60 to a tempo of 61.3 = %v, want caution", got)
	}
}
