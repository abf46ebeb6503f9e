package cli

import (
	"fmt"
	"slices"
	"strings"

	"understage/internal/check"
	"understage/internal/mech"
	"understage/internal/report"
	"understage/internal/solve"

	"gonum.org/v1/gonum/spatial/r2"
)

// addIdler puts a plain idler where it closes the belt to be fitted, and adds it
// to the run at the nearest such place.
func (p *beltPlaceFlags) addIdler(m *mech.Model, only []int) (placed, []check.Finding, error) {
	none := placed{belt: -1}
	if len(only) != 1 {
		return none, nil, fmt.Errorf("--idler: the figure has several belts; --name says which")
	}
	b := &m.Belts[only[0]]
	layout := beltLayout{inches: m.Lengths == mech.Inch}
	across, err := layout.length("idler", p.idler)
	if err != nil {
		return none, nil, err
	}
	if across <= 0 {
		return none, nil, fmt.Errorf("--idler %q: want more than nothing", p.idler)
	}
	if p.idlerSide != "back" && p.idlerSide != "inside" {
		return none, nil, fmt.Errorf("--idler-side %q: want back or inside", p.idlerSide)
	}
	idler := mech.Pulley{Shaft: mech.None, Idler: freeName(m, "idler"), Diameter: across, Back: p.idlerSide == "back"}
	circles := solve.BeltCircles(m, b)
	span, err := p.span(m, only[0], circles)
	if err != nil {
		return none, nil, err
	}
	teeth, length := fittedLength(m, only[0])
	b.Teeth = teeth
	with := *b
	with.Run = slices.Insert(slices.Clone(b.Run), span+1, idler)
	if with.TakeUp != nil {
		t := *with.TakeUp
		if t.Pulley > span {
			t.Pulley++
		}
		with.TakeUp = &t
	}
	blocked := solve.BeltBlocked(m, &with, span+1)
	travels, at := solve.PlaceIdler(circles, span, solve.PitchRadius(b.Section, idler), idler.Back, length, blocked)
	out := placed{belt: only[0], positions: []report.BeltPosition{}}
	for i := range travels {
		out.positions = append(out.positions, position([]string{idler.Idler}, travels[i:i+1], []r2.Vec{at[i]}))
	}
	if len(travels) > 0 {
		with.Run[span+1].At = at[0]
		*b = with
		return out, nil, nil
	}
	message := fmt.Sprintf("no idler %s across, at the %s of the span after %s, closes a belt of %d teeth", p.idler, p.idlerSide, pulleyName(m, b.Run[span]), teeth)
	var loop solve.Loop
	if solve.SolveLoop(&loop, circles); loop.Status == solve.LoopOK && loop.Length >= length {
		message += fmt.Sprintf(": the loop without it already needs %.2f teeth, and an idler only makes it longer", loop.Length/b.Section.Pitch)
	}
	return out, []check.Finding{check.NoPlace(b, message)}, nil
}

// span returns the stop whose span onward the idler goes on.
func (p *beltPlaceFlags) span(m *mech.Model, belt int, circles []solve.Circle) (int, error) {
	b := &m.Belts[belt]
	if p.between != "" {
		first, second, ok := strings.Cut(p.between, ",")
		i, j := onRun(m, belt, strings.TrimSpace(first)), onRun(m, belt, strings.TrimSpace(second))
		n := len(b.Run)
		switch {
		case !ok || i == mech.None || j == mech.None:
			return 0, fmt.Errorf("--between %q: want two pulleys of the belt with a comma between; it has %s", p.between, listed(runNames(m, b)))
		case (i+1)%n == j:
			return i, nil
		case (j+1)%n == i:
			return j, nil
		}
		return 0, fmt.Errorf("--between %q: no span runs between these two", p.between)
	}
	var loop solve.Loop
	if solve.SolveLoop(&loop, circles); loop.Status != solve.LoopOK {
		return 0, nil
	}
	longest := 0
	for i, l := range loop.Spans {
		if l > loop.Spans[longest] {
			longest = i
		}
	}
	return longest, nil
}

func runNames(m *mech.Model, b *mech.Belt) []string {
	var names []string
	for _, p := range b.Run {
		names = append(names, pulleyName(m, p))
	}
	return names
}

// freeName returns the word, with a number where a pulley has the name already.
func freeName(m *mech.Model, word string) string {
	taken := pulleyNames(m)
	name := word
	for i := 2; slices.Contains(taken, name); i++ {
		name = fmt.Sprintf("%s%d", word, i)
	}
	return name
}
