package report

import (
	"fmt"
	"math"
	"strings"

	"understage/internal/mech"
	"understage/internal/solve"
)

// Choices lists what sprockets and belt could stand in a loop, best first.
type Choices struct {
	Belt     string   `json:"belt"`
	LookedAt Value    `json:"looked_at"` // combinations of sprockets and belt
	Met      Value    `json:"met"`       // of them, how many met every demand
	Order    string   `json:"order"`
	Rows     []Choice `json:"rows"`
}

// Choice is one combination.
type Choice struct {
	Teeth       map[string]int   `json:"teeth"` // by shaft
	BeltTeeth   int              `json:"belt_teeth"`
	Code        string           `json:"code"`
	Drawer      bool             `json:"drawer"`
	RepeatTurns string           `json:"repeat_motor_turns"`
	RepeatS     Value            `json:"repeat_s"`
	RPM         map[string]Value `json:"rpm"`
	OffPercent  Value            `json:"off_percent"` // of the speed farthest from what was wanted
	TeethInMesh Value            `json:"teeth_in_mesh"`
	TakeUpMM    Value            `json:"take_up_mm"`
	ToBuy       int              `json:"to_buy"`
	Hunting     bool             `json:"hunting"` // the tooth counts have no common divisor in pairs
	names       []string
}

// BuildChoice lays one choice out, the figure solved with it. The repeat's time
// is at the motor's speed given, rad/s.
func BuildChoice(m *mech.Model, belt int, c solve.BeltChoice, speed float64, d *solve.Drive, repeat *solve.Repeat, r solve.BeltResult) Choice {
	out := Choice{
		Teeth: make(map[string]int), BeltTeeth: c.Belt.Teeth, Code: c.Belt.Code, Drawer: c.Belt.Drawer,
		RepeatTurns: repeat.Exact, RepeatS: Value(repeat.Turns * 2 * math.Pi / speed), RPM: make(map[string]Value),
		OffPercent: Value(100 * c.Off), TeethInMesh: Value(c.Mesh), TakeUpMM: given(r.Fitted.TakeUp), ToBuy: c.ToBuy, Hunting: c.Hunting,
	}
	for _, p := range m.Belts[belt].Run {
		if p.Teeth > 0 {
			name := pulleyName(m, p)
			out.Teeth[name] = p.Teeth
			out.names = append(out.names, name)
		}
	}
	for i, shaft := range m.Shafts {
		if d.Ratios[i].Driven() {
			out.RPM[shaft.Name] = rpm(math.Abs(d.Ratios[i].Float()) * speed)
		}
	}
	return out
}

func choiceTable(c *Choices, u Units) Table {
	title := "Choices for belt " + c.Belt
	if len(c.Rows) > 0 {
		title += ", teeth on " + strings.Join(c.Rows[0].names, ":")
	}
	t := Table{Title: title, Columns: []Column{
		{Head: "teeth"}, {Head: "belt"}, {Head: "repeats after", Right: true}, {Head: "off %", Right: true},
		{Head: "in mesh", Right: true}, {Head: "take-up", Right: true}, {Head: "buy", Right: true}, {Head: "hunting"},
	}}
	for _, row := range c.Rows {
		teeth := ""
		for i, name := range row.names {
			if i > 0 {
				teeth += ":"
			}
			teeth += fmt.Sprint(row.Teeth[name])
		}
		belt := fmt.Sprint(row.BeltTeeth)
		if row.Drawer {
			belt += " drawer"
		}
		t.Rows = append(t.Rows, []string{
			teeth, belt, timeSpan(row.RepeatS), u.Plain(row.OffPercent), fixed(float64(row.TeethInMesh), 1),
			u.Length(row.TakeUpMM), fmt.Sprint(row.ToBuy), yesNo(row.Hunting),
		})
	}
	t.Notes = append(t.Notes, fmt.Sprintf("Looked at %s combinations, of which %s met every demand. Order: %s.", wholeOrPlain(c.LookedAt), wholeOrPlain(c.Met), c.Order))
	return t
}
