package cli

import (
	"fmt"
	"slices"
	"strings"

	"understage/internal/check"
	"understage/internal/mech"
	"understage/internal/report"
	"understage/internal/solve"
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
	span, err := p.span(m, only[0])
	if err != nil {
		return none, nil, err
	}
	idler := mech.Pulley{Shaft: mech.None, Idler: freeName(m, "idler"), Diameter: across, Back: p.idlerSide == "back"}
	teeth, length := solve.LengthToFit(m, only[0])
	without := solve.SolveBelt(m, b)
	after := solve.PulleyName(m, b.Run[span])
	places := solve.AddIdler(m, only[0], span, idler)
	out := placed{belt: only[0], positions: report.BuildPositions(places)}
	if len(places) > 0 {
		return out, nil, nil
	}
	message := fmt.Sprintf("no idler %s across, at the %s of the span after %s, closes a belt of %d teeth", p.idler, p.idlerSide, after, teeth)
	if without.Status == solve.LoopOK && without.Length >= length {
		message += fmt.Sprintf(": the loop without it already needs %.2f teeth, and an idler only makes it longer", without.TeethExact)
	}
	return out, []check.Finding{check.NoPlace(b, message)}, nil
}

// span returns the stop whose span onward the idler goes on.
func (p *beltPlaceFlags) span(m *mech.Model, belt int) (int, error) {
	b := &m.Belts[belt]
	if p.between == "" {
		return solve.LongestSpan(m, belt), nil
	}
	first, second, ok := strings.Cut(p.between, ",")
	i, j := solve.StopNamed(m, belt, strings.TrimSpace(first)), solve.StopNamed(m, belt, strings.TrimSpace(second))
	n := len(b.Run)
	switch {
	case !ok || i == mech.None || j == mech.None:
		return 0, fmt.Errorf("--between %q: want two pulleys of the belt with a comma between; it has %s", p.between, listed(pulleyNames(m, *b)))
	case (i+1)%n == j:
		return i, nil
	case (j+1)%n == i:
		return j, nil
	}
	return 0, fmt.Errorf("--between %q: no span runs between these two", p.between)
}

// freeName returns the word, with a number where a pulley has the name already.
func freeName(m *mech.Model, word string) string {
	taken := pulleyNames(m, m.Belts...)
	name := word
	for i := 2; slices.Contains(taken, name); i++ {
		name = fmt.Sprintf("%s%d", word, i)
	}
	return name
}
