package cli

import (
	"fmt"
	"strings"

	"understage/internal/check"
	"understage/internal/mech"
	"understage/internal/report"
	"understage/internal/solve"
	"understage/internal/standard"
	"understage/internal/units"

	"github.com/spf13/pflag"
	"gonum.org/v1/gonum/spatial/r2"
)

// beltDutyFlags say what a belt carries.
type beltDutyFlags struct {
	torque, speed string
	service       float64
}

func (d *beltDutyFlags) add(f *pflag.FlagSet) {
	f.StringVar(&d.torque, "torque", "", "torque at the driving pulley, with its unit; left out, the figure's motor at its most")
	f.StringVar(&d.speed, "driver-speed", "", "speed of the driving pulley; left out, the figure's")
	f.Float64Var(&d.service, "service", 1.5, "service factor on the torque")
}

// tension returns nil where no torque is known.
func (d *beltDutyFlags) tension(m *mech.Model, s *solve.Solution, belt int) (*report.Tension, error) {
	duty, torqueIs, known := solve.BeltDutyOf(m, s, belt)
	if d.torque != "" {
		t, err := quantity("torque", d.torque, units.Torque, units.Defaults{})
		if err != nil {
			return nil, err
		}
		if t < 0 {
			return nil, fmt.Errorf("--torque %q: want no less than nothing", d.torque)
		}
		duty.Torque, torqueIs, known = t, "as asked", true
	}
	if d.speed != "" {
		v, err := quantity("driver-speed", d.speed, units.Speed, units.Defaults{})
		if err != nil {
			return nil, err
		}
		duty.Speed = max(v, -v)
	}
	if !(d.service >= 1 && d.service <= 100) {
		return nil, fmt.Errorf("--service %g: want 1 to 100", d.service)
	}
	duty.Service = d.service
	if !known || s.Belts[belt].Status != solve.LoopOK {
		return nil, nil
	}
	b := &m.Belts[belt]
	section, _ := standard.FindSection(b.Section.Name)
	t := solve.SolveTension(m, b, &s.Belts[belt], section, duty)
	return report.BuildTension(m, b, &t, duty, torqueIs), nil
}

// beltPlaceFlags ask where something must stand.
type beltPlaceFlags struct {
	move, along []string
	idler       string
	idlerSide   string
	between     string
}

func (p *beltPlaceFlags) add(f *pflag.FlagSet) {
	f.StringArrayVar(&p.move, "move", nil, "find where the pulley `NAME` must stand for its belt; twice for two unknowns and two belts")
	f.StringArrayVar(&p.along, "along", nil, "direction `U,V` that --move may go in; left out with two belts on it, anywhere")
	f.StringVar(&p.idler, "idler", "", "add a plain idler of this `DIAMETER` and find where it must stand")
	f.StringVar(&p.idlerSide, "idler-side", "back", "side of the belt the added idler meets, back or inside")
	f.StringVar(&p.between, "between", "", "the two pulleys `A,B` the added idler stands between; left out, the longest span")
}

// placed is what was found, for the belt it is listed with.
type placed struct {
	belt      int
	positions []report.BeltPosition
}

// solve finds the places asked for. It adds the idler to its belt at the
// nearest of them. What cannot be placed is a finding.
func (p *beltPlaceFlags) solve(m *mech.Model, only []int) (placed, []check.Finding, error) {
	none := placed{belt: -1}
	switch {
	case p.idler != "" && len(p.move) > 0:
		return none, nil, fmt.Errorf("belt: --idler and --move ask two questions at once: give one of them")
	case p.idler != "":
		return p.addIdler(m, only)
	case len(p.along) > 0 && len(p.move) == 0:
		return none, nil, fmt.Errorf("--along needs --move, which says what moves")
	case len(p.move) == 0:
		return none, nil, nil
	}
	unknowns, err := p.unknowns(m)
	if err != nil {
		return none, nil, err
	}
	belts := beltsOver(m, only, p.move)
	switch {
	case len(unknowns) == 1 && len(belts) == 1:
		return placeOne(m, belts[0], unknowns[0])
	case len(unknowns) == 2 && len(belts) == 2:
		return placeTwo(m, belts, unknowns)
	}
	return none, nil, fmt.Errorf("--move: %d unknowns and %d belts over them (%s): want as many of each, one or two; --name picks a belt", len(unknowns), len(belts), strings.Join(p.move, ", "))
}

// unknown is one thing that may move, and its direction.
type unknown struct {
	name  string
	along r2.Vec
}

func (p *beltPlaceFlags) unknowns(m *mech.Model) ([]unknown, error) {
	var all []unknown
	for _, name := range p.move {
		if len(beltsOver(m, nil, []string{name})) == 0 {
			return nil, fmt.Errorf("--move %q: no belt goes over such a pulley%s", name, nearest(name, pulleyNames(m)))
		}
	}
	switch {
	case len(p.along) == len(p.move):
		for i, text := range p.along {
			u, v, ok := strings.Cut(text, ",")
			x, errX := units.Parse(u, units.Number, units.Defaults{})
			y, errY := units.Parse(v, units.Number, units.Defaults{})
			if !ok || errX != nil || errY != nil || x == 0 && y == 0 {
				return nil, fmt.Errorf("--along %q: want a direction such as 1,0", text)
			}
			all = append(all, unknown{name: p.move[i], along: r2.Unit(r2.Vec{X: x, Y: y})})
		}
	case len(p.move) == 1 && len(p.along) == 0:
		all = []unknown{{p.move[0], r2.Vec{X: 1}}, {p.move[0], r2.Vec{Y: 1}}}
		if len(beltsOver(m, nil, p.move)) == 1 {
			return nil, fmt.Errorf("--move %s: one belt leaves a line of places: say the direction with --along", p.move[0])
		}
	default:
		return nil, fmt.Errorf("--along is given %d times and --move %d times: want one for each", len(p.along), len(p.move))
	}
	return all, nil
}

// pulleyName returns the name of what stands at a stop of a run.
func pulleyName(m *mech.Model, p mech.Pulley) string {
	if p.Shaft == mech.None {
		return p.Idler
	}
	return m.Shafts[p.Shaft].Name
}

func pulleyNames(m *mech.Model) []string {
	var names []string
	for _, b := range m.Belts {
		for _, p := range b.Run {
			names = append(names, pulleyName(m, p))
		}
	}
	return names
}

// onRun returns which stop of the belt's run has the name, or mech.None.
func onRun(m *mech.Model, belt int, name string) int {
	for i, p := range m.Belts[belt].Run {
		if pulleyName(m, p) == name {
			return i
		}
	}
	return mech.None
}

// beltsOver returns the belts, of those asked for or all, that go over any of
// the names.
func beltsOver(m *mech.Model, only []int, names []string) []int {
	if only == nil {
		for i := range m.Belts {
			only = append(only, i)
		}
	}
	var belts []int
	for _, i := range only {
		for _, name := range names {
			if onRun(m, i, name) != mech.None {
				belts = append(belts, i)
				break
			}
		}
	}
	return belts
}

// fittedLength returns the length of the belt to be fitted: as asked, or the
// best stocked one.
func fittedLength(m *mech.Model, belt int) (teeth int, length float64) {
	b := &m.Belts[belt]
	teeth = b.Teeth
	if teeth == 0 {
		r := solve.SolveBelt(m, b)
		teeth = r.Fitted.Teeth
	}
	return teeth, float64(teeth) * b.Section.Pitch
}

// placeOne finds the places of one pulley along a line.
func placeOne(m *mech.Model, belt int, u unknown) (placed, []check.Finding, error) {
	b := &m.Belts[belt]
	k := onRun(m, belt, u.name)
	circles := solve.BeltCircles(m, b)
	teeth, length := fittedLength(m, belt)
	blocked := solve.BeltBlocked(m, b, k)
	out := placed{belt: belt, positions: []report.BeltPosition{}}
	for _, t := range solve.TakeUpRoots(circles, k, u.along, []float64{length}, blocked)[0] {
		at := r2.Add(circles[k].At, r2.Scale(t, u.along))
		out.positions = append(out.positions, position([]string{u.name}, []float64{t}, []r2.Vec{at}))
	}
	if len(out.positions) > 0 {
		return out, nil, nil
	}
	message := fmt.Sprintf("no place of %s along that line closes a belt of %d teeth", u.name, teeth)
	if least, most := solve.LengthRange(circles, k, u.along, length, blocked); least.OK {
		message += fmt.Sprintf(": there the loop needs %.2f to %.2f teeth", least.Value/b.Section.Pitch, most.Value/b.Section.Pitch)
	} else {
		message += ": there is no loop anywhere along it"
	}
	return out, []check.Finding{check.NoPlace(b, message)}, nil
}

func position(names []string, travel []float64, at []r2.Vec) report.BeltPosition {
	p := report.BeltPosition{Moved: names}
	for i := range travel {
		p.TravelMM = append(p.TravelMM, report.Value(travel[i]))
		p.At = append(p.At, []report.Value{report.Value(at[i].X), report.Value(at[i].Y)})
	}
	return p
}

// placeTwo finds the places for two unknowns and two belts.
func placeTwo(m *mech.Model, belts []int, unknowns []unknown) (placed, []check.Finding, error) {
	var loops [2][]solve.Circle
	var lengths [2]float64
	moves := [2]solve.Move{{Along: unknowns[0].along}, {Along: unknowns[1].along}}
	for b, belt := range belts {
		loops[b] = solve.BeltCircles(m, &m.Belts[belt])
		_, lengths[b] = fittedLength(m, belt)
		for i, u := range unknowns {
			moves[i].On = append(moves[i].On, onRun(m, belt, u.name))
		}
	}
	blocked := func(t [2]float64) bool {
		for b, belt := range belts {
			travel := make(map[int]r2.Vec)
			for i := range moves {
				if k := moves[i].On[b]; k != mech.None {
					travel[k] = r2.Add(travel[k], r2.Scale(t[i], moves[i].Along))
				}
			}
			if solve.BeltOverlaps(m, &m.Belts[belt], travel) {
				return true
			}
		}
		return false
	}
	out := placed{belt: belts[0], positions: []report.BeltPosition{}}
	for _, t := range solve.SolveMoves(loops, moves, lengths, blocked) {
		out.positions = append(out.positions, twoMoved(m, unknowns, t))
	}
	if len(out.positions) > 0 {
		return out, nil, nil
	}
	b := &m.Belts[belts[0]]
	return out, []check.Finding{check.NoPlace(b, fmt.Sprintf("no place closes belts %s and %s together: fit a longer belt or move what stands still", b.Name, m.Belts[belts[1]].Name))}, nil
}

// twoMoved says where two unknowns put what they move: two pulleys, or one that
// may go anywhere.
func twoMoved(m *mech.Model, unknowns []unknown, t [2]float64) report.BeltPosition {
	first, second := r2.Scale(t[0], unknowns[0].along), r2.Scale(t[1], unknowns[1].along)
	names := []string{unknowns[0].name, unknowns[1].name}
	if names[0] == names[1] {
		way := r2.Add(first, second)
		return position(names[:1], []float64{r2.Norm(way)}, []r2.Vec{r2.Add(pulleyPlace(m, names[0]), way)})
	}
	return position(names, t[:], []r2.Vec{r2.Add(pulleyPlace(m, names[0]), first), r2.Add(pulleyPlace(m, names[1]), second)})
}

func pulleyPlace(m *mech.Model, name string) r2.Vec {
	for _, b := range m.Belts {
		for i, p := range b.Run {
			if pulleyName(m, p) == name {
				return solve.BeltCircles(m, &b)[i].At
			}
		}
	}
	return r2.Vec{}
}
