package report

import (
	"fmt"
	"math"

	"understage/internal/mech"
	"understage/internal/solve"
)

// Beats is the beat against the tempo asked for. Numbers are null where nothing
// beats.
type Beats struct {
	Of           string        `json:"of"`
	When         string        `json:"when"` // "drop" for a cam
	Status       string        `json:"status"`
	PerMin       Value         `json:"per_min"`
	TargetPerMin Value         `json:"target_per_min"`
	SupplyV      Value         `json:"supply_for_target_V"`
	Sprockets    []BeatWheel   `json:"sprockets"`
	MotorTurns   Value         `json:"motor_turns"` // that the events below are counted over
	Part         bool          `json:"part"`        // only the beginning of a repeat too long to follow
	Evenness     Value         `json:"evenness"`    // shortest gap over longest
	ShortestS    Value         `json:"shortest_s"`
	LongestS     Value         `json:"longest_s"`
	Events       []BeatInstant `json:"events"`
}

// BeatWheel is a wheel to exchange, with the tempo it gives.
type BeatWheel struct {
	Kind   string `json:"kind"` // "belt" or "gears"
	Name   string `json:"name"`
	Shaft  string `json:"shaft"`
	From   int    `json:"from_teeth"`
	To     int    `json:"to_teeth"`
	Drawer bool   `json:"drawer"`
	Belt   *int   `json:"belt_teeth"` // of the stocked belt that then fits; null when none does, or for gears
	PerMin Value  `json:"per_min"`
}

// BeatInstant is one beat. Of a long repeat only the first are listed.
type BeatInstant struct {
	MotorTurns Value `json:"motor_turns"`
	Seconds    Value `json:"seconds"`
}

// beatsListed is the most beats a report lists.
const beatsListed = 200

var beatStatuses = map[solve.BeatsStatus]string{
	solve.BeatsFound: "found", solve.BeatsStill: "still", solve.BeatsNever: "never", solve.BeatsUnsolved: "unsolved",
}

func buildBeats(m *mech.Model, s *solve.Solution) *Beats {
	if m.Beats == nil || s.Beats == nil {
		return nil
	}
	r := s.Beats
	out := &Beats{
		Of: m.Beats.Of.Name, When: beatWhen(m.Beats), Status: beatStatuses[r.Status],
		PerMin: Null, TargetPerMin: given(r.Target), SupplyV: given(r.SupplyForTarget), Sprockets: []BeatWheel{},
		MotorTurns: Value(r.Turns), Part: r.Part, Evenness: Null, ShortestS: Null, LongestS: Null, Events: []BeatInstant{},
	}
	if r.Status != solve.BeatsFound {
		return out
	}
	seconds := func(turns float64) Value { return Value(turns * 2 * math.Pi / s.Motor.RunningSpeed) }
	out.PerMin, out.Evenness = Value(r.PerMinute), Value(r.Evenness())
	out.ShortestS, out.LongestS = seconds(r.Shortest), seconds(r.Longest)
	for _, e := range r.Events[:min(len(r.Events), beatsListed)] {
		out.Events = append(out.Events, BeatInstant{MotorTurns: Value(e.Turns), Seconds: seconds(e.Turns)})
	}
	for _, c := range r.Sprockets {
		wheel := BeatWheel{Kind: "gears", Shaft: m.Shafts[c.Shaft].Name, From: c.From, To: c.To, Drawer: c.Stocked, PerMin: Value(c.PerMinute)}
		if c.Part.Kind == solve.BeltPart {
			wheel.Kind, wheel.Name = "belt", m.Belts[c.Part.Index].Name
			if c.Belt > 0 {
				teeth := c.Belt
				wheel.Belt = &teeth
			}
		} else {
			wheel.Name = m.Gears[c.Part.Index].Name
		}
		out.Sprockets = append(out.Sprockets, wheel)
	}
	return out
}

func beatWhen(b *mech.Beats) string {
	if b.Of.Linkage == mech.None && b.Of.Point == mech.None {
		return "drop"
	}
	return b.When.String()
}

func beatsTable(b *Beats, u Units) Table {
	t := Table{Title: "Beats: " + b.Of + ", " + b.When}
	if b.Status != "found" {
		t.Notes = []string{"None: see the findings."}
		return t
	}
	t.Columns = []Column{{Head: "per minute", Right: true}, {Head: "asked for", Right: true}, {Head: "gaps s", Right: true}, {Head: "evenness", Right: true}, {Head: "supply for it V", Right: true}}
	gaps := fixed(float64(b.ShortestS), 2)
	if longest := fixed(float64(b.LongestS), 2); longest != gaps {
		gaps += " to " + longest
	}
	t.Rows = [][]string{{fixed(float64(b.PerMin), 1), fixed(float64(b.TargetPerMin), 1), gaps, fixed(float64(b.Evenness), 2), fixed(float64(b.SupplyV), 2)}}
	for _, w := range b.Sprockets {
		belt := ""
		switch {
		case w.Belt != nil:
			belt = fmt.Sprintf(" (belt of %d)", *w.Belt)
		case w.Kind == "belt":
			belt = " (no stocked belt fits)"
		}
		t.Notes = append(t.Notes, fmt.Sprintf("Or %d teeth instead of %d on shaft %s, %s %s%s: %s per minute.", w.To, w.From, w.Shaft, w.Kind, w.Name, belt, fixed(float64(w.PerMin), 1)))
	}
	return t
}
