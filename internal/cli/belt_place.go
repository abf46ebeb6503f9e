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
)

// beltDutyFlags say what a belt carries.
type beltDutyFlags struct {
	torque, speed string
	service       float64
}

func (d *beltDutyFlags) add(f *pflag.FlagSet) {
	f.StringVar(&d.torque, "torque", "", "torque at the driving pulley, with its unit; left out, the figure's motor at its most")
	f.StringVar(&d.speed, "driver-speed", "", "speed of the driving pulley; left out, the figure's")
	f.Float64Var(&d.service, "service", check.ServiceFactor, "service factor on the torque")
}

// load returns what the flags ask of a belt, and the figure's motor where they
// do not say.
func (d *beltDutyFlags) load(m *mech.Model, s *solve.Solution, belt int) (check.BeltLoad, error) {
	load := check.BeltLoadOf(m, s, belt)
	if d.torque != "" {
		t, err := quantity("torque", d.torque, units.Torque, units.Defaults{})
		if err != nil {
			return load, err
		}
		if t < 0 {
			return load, fmt.Errorf("--torque %q: want no less than nothing", d.torque)
		}
		load.Duty.Torque, load.From, load.AtMax = t, "the torque asked for", false
	}
	if d.speed != "" {
		v, err := quantity("driver-speed", d.speed, units.Speed, units.Defaults{})
		if err != nil {
			return load, err
		}
		load.Duty.Speed = max(v, -v)
	}
	if !(d.service >= 1 && d.service <= 100) {
		return load, fmt.Errorf("--service %g: want 1 to 100", d.service)
	}
	load.Duty.Service = d.service
	return load, nil
}

// tension returns nil where no torque is known or the belt does not close.
func tension(m *mech.Model, s *solve.Solution, belt int, load check.BeltLoad) *report.Tension {
	if load.From == "" || s.Belts[belt].Status != solve.LoopOK {
		return nil
	}
	b := &m.Belts[belt]
	section, _ := standard.FindSection(b.Section.Name)
	t := solve.SolveTension(m, b, &s.Belts[belt], section, load.Duty)
	return report.BuildTension(m, b, &t, load.Duty, load.From)
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

// solve finds the places asked for, and puts what moves, or the added idler, at
// the nearest. What cannot be placed is a finding.
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
		return placeTwo(m, [2]int(belts), [2]solve.Unknown(unknowns))
	}
	return none, nil, fmt.Errorf("--move: %d unknowns and %d belts over them (%s): want as many of each, one or two; --name picks a belt", len(unknowns), len(belts), strings.Join(p.move, ", "))
}

func (p *beltPlaceFlags) unknowns(m *mech.Model) ([]solve.Unknown, error) {
	var all []solve.Unknown
	for _, name := range p.move {
		if len(beltsOver(m, nil, []string{name})) == 0 {
			return nil, fmt.Errorf("--move %q: no belt goes over such a pulley%s", name, nearest(name, pulleyNames(m, m.Belts...)))
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
			all = append(all, solve.NewUnknown(p.move[i], x, y))
		}
	case len(p.move) == 1 && len(p.along) == 0:
		all = []solve.Unknown{solve.NewUnknown(p.move[0], 1, 0), solve.NewUnknown(p.move[0], 0, 1)}
		if len(beltsOver(m, nil, p.move)) == 1 {
			return nil, fmt.Errorf("--move %s: one belt leaves a line of places: say the direction with --along", p.move[0])
		}
	default:
		return nil, fmt.Errorf("--along is given %d times and --move %d times: want one for each", len(p.along), len(p.move))
	}
	return all, nil
}

// pulleyNames lists what stands at the stops of belts.
func pulleyNames(m *mech.Model, belts ...mech.Belt) []string {
	var names []string
	for _, b := range belts {
		for _, p := range b.Run {
			names = append(names, solve.PulleyName(m, p))
		}
	}
	return names
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
			if solve.StopNamed(m, i, name) != mech.None {
				belts = append(belts, i)
				break
			}
		}
	}
	return belts
}

// placeOne finds the places of one pulley along a line.
func placeOne(m *mech.Model, belt int, u solve.Unknown) (placed, []check.Finding, error) {
	places, least, most := solve.PlacePulley(m, belt, u)
	out := placed{belt: belt, positions: report.BuildPositions(places)}
	if len(places) > 0 {
		fix(m, []int{belt}, places[0])
		return out, nil, nil
	}
	b := &m.Belts[belt]
	teeth, _ := solve.LengthToFit(m, belt)
	message := fmt.Sprintf("no place of %s along that line closes a belt of %d teeth", u.Name, teeth)
	switch p := b.Section.Pitch; {
	case !least.OK:
		message += ": there is no loop anywhere along it"
	case float64(teeth)*p < least.Value:
		message += fmt.Sprintf(": there the loop is never shorter than %.2f teeth", least.Value/p)
	case float64(teeth)*p > most.Value:
		message += fmt.Sprintf(": there the loop is never longer than %.2f teeth", most.Value/p)
	}
	return out, []check.Finding{check.NoPlace(b, message)}, nil
}

// fix puts what was moved at the nearest place found, with the belts it was
// found for.
func fix(m *mech.Model, belts []int, place solve.Place) {
	for _, i := range belts {
		m.Belts[i].Teeth, _ = solve.LengthToFit(m, i)
	}
	place.Stand(m)
}

// placeTwo finds the places for two unknowns and two belts.
func placeTwo(m *mech.Model, belts [2]int, unknowns [2]solve.Unknown) (placed, []check.Finding, error) {
	places := solve.PlacePulleys(m, belts, unknowns)
	out := placed{belt: belts[0], positions: report.BuildPositions(places)}
	if len(places) > 0 {
		fix(m, belts[:], places[0])
		return out, nil, nil
	}
	b := &m.Belts[belts[0]]
	return out, []check.Finding{check.NoPlace(b, fmt.Sprintf("no place closes belts %s and %s together: fit a longer belt or move what stands still", b.Name, m.Belts[belts[1]].Name))}, nil
}
