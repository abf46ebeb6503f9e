package report

import (
	"fmt"
	"math"
	"strings"

	"understage/internal/mech"
	"understage/internal/solve"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// makingWidth is how wide a making list is, characters.
const makingWidth = 80

// making gathers the lines of a making list.
type making struct {
	strings.Builder
	m *mech.Model
	s *solve.Solution
	u Units
}

// MakingList says what to buy, what to cut, and how to put it together in time:
// text for the bench, in the order of the work.
func MakingList(m *mech.Model, s *solve.Solution) string {
	k := &making{m: m, s: s, u: Units{Lengths: m.Lengths}}
	k.head(strings.ToUpper("Making list: " + m.Name))
	k.head("\nBuy")
	k.buy()
	k.head("\nCut and print")
	k.cut()
	k.head("\nPut together, with the motor at turn 0")
	k.assemble()
	k.head("\nCheck at motor turn 0")
	k.checks()
	return k.String()
}

func (k *making) head(text string) { k.WriteString(text + "\n") }

// item writes one wrapped line with its box to tick.
func (k *making) item(format string, args ...any) {
	k.WriteString("  [ ] " + strings.TrimLeft(Wrap(fmt.Sprintf(format, args...), makingWidth, "      "), " "))
}

// note writes a wrapped line without a box.
func (k *making) note(format string, args ...any) {
	k.WriteString(Wrap(fmt.Sprintf(format, args...), makingWidth, "      "))
}

// length writes a length with its unit.
func (k *making) length(mm float64) string { return k.u.Length(Value(mm)) + " " + k.u.LengthName() }

func (k *making) buy() {
	for i := range k.m.Belts {
		b, f := &k.m.Belts[i], &k.s.Belts[i].Fitted
		section := b.Section.Name
		if section == "" {
			section = "pitch " + k.length(b.Section.Pitch)
		}
		width := ""
		if b.Width.OK {
			width = ", " + k.length(b.Width.Value) + " wide"
		}
		if f.Teeth == 0 {
			k.item("a belt for %s: none is found that fits", b.Name)
			continue
		}
		code := ""
		if f.Code != "" {
			code = " code " + f.Code + ","
		}
		k.item("2 belts %s,%s %d teeth, %s long%s (one to spare)", section, code, f.Teeth, k.length(f.Length), width)
		for _, p := range b.Run {
			switch {
			case p.Teeth > 0:
				k.item("sprocket %s, %d teeth, bore %s, for shaft %s", section, p.Teeth, k.length(2*k.shaft(p.Shaft).Radius), k.m.Shafts[p.Shaft].Name)
			case p.Shaft == mech.None:
				k.item("plain idler %s, %s across, with its pin", p.Idler, k.length(p.Diameter))
			default:
				k.item("plain pulley %s across, bore %s, for shaft %s", k.length(p.Diameter), k.length(2*k.shaft(p.Shaft).Radius), k.m.Shafts[p.Shaft].Name)
			}
		}
	}
	for _, g := range k.m.Gears {
		k.item("%s gears %s: %d and %d teeth%s", g.Kind, g.Name, g.Driver.Teeth, g.Driven.Teeth, moduleText(g.Module))
	}
	k.buyMotor()
}

func moduleText(module float64) string {
	if module <= 0 {
		return ""
	}
	return fmt.Sprintf(", module %.4g mm", module)
}

func (k *making) buyMotor() {
	m := k.m.Motor
	if m == nil {
		return
	}
	k.item("gearmotor, rated %.4g V, no-load %.3g rpm, stall torque %.3g N·mm, to run on %.4g V", m.Rated, m.NoLoad.Speed*30/math.Pi, m.Stall.Torque, m.Supply)
	if m.Body == nil || len(m.Body.Screws) == 0 {
		return
	}
	deep := "longer than its plate is thick"
	if p := k.s.Frame.Mount.Plate; p != mech.None && p < len(k.s.Frame.Plates) {
		deep = "longer than the plate's " + k.length(k.s.Frame.Parts[k.s.Frame.Plates[p].Part].Thickness())
	}
	if m.Body.ScrewDiameter > 0 {
		k.item("%d screws of %s for the motor, %s, and 2 to spare", len(m.Body.Screws), k.length(m.Body.ScrewDiameter), deep)
		return
	}
	k.item("%d screws for the motor, %s, and 2 to spare", len(m.Body.Screws), deep)
}

// shaft returns a shaft's part of the stack-up.
func (k *making) shaft(i int) *solve.FramePart { return k.find(solve.FrameShaft, i) }

func (k *making) find(kind solve.FrameKind, index int) *solve.FramePart {
	for i := range k.s.Frame.Parts {
		if p := &k.s.Frame.Parts[i]; p.Kind == kind && p.Index == index {
			return p
		}
	}
	return &solve.FramePart{}
}

func (k *making) cut() {
	for i, s := range k.m.Shafts {
		p := k.shaft(i)
		flat := ""
		if s.Flat.OK {
			flat = ", with a flat to " + k.length(s.Flat.Value)
		}
		k.item("shaft %s: rod %s thick, %s long%s%s", s.Name, k.length(2*p.Radius), k.length(p.Thickness()), flat, assumedText(p))
	}
	if t := k.m.Torso; t != nil {
		k.item("torso shaft: rod %s thick, %s below the pivot", k.length(t.ShaftDiameter), k.length(t.ShaftDepth))
		p := k.find(solve.FrameGuidePin, mech.None)
		k.item("guide pin: rod %s thick, %s long", k.length(t.Guide.PinDiameter), k.length(p.Thickness()))
		k.cutGuide(t)
		k.cutPushes(t)
	}
	for i := range k.s.Frame.Plates {
		p := &k.s.Frame.Plates[i]
		k.item("frame plate %s: %s thick, %s by %s, %s; drawing plate-%s", k.m.Frame.Plates[p.Plate].Name,
			k.length(k.s.Frame.Parts[p.Part].Thickness()), k.length(p.Size.X), k.length(p.Size.Y), counted(len(p.Holes), "hole"), k.m.Frame.Plates[p.Plate].Name)
	}
	for i, c := range k.m.Cams {
		k.item("cam %s: %s thick, for shaft %s; drawing cam-%s", c.Name, k.length(k.find(solve.FrameCam, i).Thickness()), k.m.Shafts[c.Shaft].Name, c.Name)
	}
	k.cutLinkages()
}

func counted(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}

func assumedText(p *solve.FramePart) string {
	if len(p.Assumed) == 0 {
		return ""
	}
	return " (assumed: " + strings.Join(p.Assumed, ", ") + ")"
}

func (k *making) cutGuide(t *mech.Torso) {
	wide := k.length(t.Guide.PinDiameter + t.Guide.Clearance)
	if t.Guide.SlotGiven {
		k.item("guide arm with a slot %s wide, pin centres from %s to %s from the shaft's axis", wide, k.length(t.Guide.SlotMin), k.length(t.Guide.SlotMax))
		return
	}
	if k.s.Torso != nil && k.s.Torso.Posed {
		k.item("guide arm with a slot %s wide, for pin centres from %s to %s from the shaft's axis at least", wide,
			k.length(k.s.Torso.Slot.Min.Value), k.length(k.s.Torso.Slot.Max.Value))
	}
}

func (k *making) cutPushes(t *mech.Torso) {
	for i, p := range t.Pushes {
		switch p.Kind {
		case mech.Yoke:
			k.item("yoke plate %s: %s thick, with a slot for the torso shaft of %s, square to its push", p.Name,
				k.length(k.find(solve.FrameYoke, i).Thickness()), k.length(t.ShaftDiameter))
		case mech.Rod:
			k.item("push rod %s: %s between centres", p.Name, k.length(p.Length))
		}
	}
}

func (k *making) cutLinkages() {
	for i := range k.m.Linkages {
		l := &k.m.Linkages[i]
		for _, b := range l.Bars {
			k.item("linkage %s: bar %s-%s, %s between holes", l.Name, l.Pins[b.Pins[0]].Name, l.Pins[b.Pins[1]].Name, k.length(b.Length))
		}
		for _, p := range l.Plates {
			k.item("linkage %s: plate %s, %s", l.Name, p.Name, counted(len(p.Pins), "hole"))
		}
		k.item("linkage %s: %s", l.Name, counted(len(l.Pins), "pin"))
	}
}

// assemble lists the timing of every shaft that carries a cam or a crank, and
// what a tooth is worth.
func (k *making) assemble() {
	k.item("Stand the shafts in their plates, push on sprockets, gears and cams at the levels of the stack, and leave their set screws loose.")
	steps := solve.SolveTiming(k.m, k.s)
	for i := range k.m.Shafts {
		k.timeShaft(i)
	}
	for i := range k.m.Belts {
		b := &k.m.Belts[i]
		k.item("With every mark where it belongs, put on belt %s and take it up%s.", b.Name, k.takeUpText(i))
	}
	for i := range steps {
		k.toothNote(&steps[i])
	}
	k.item("Tighten the set screws, turn the motor shaft by hand through a whole turn of the slowest shaft, and look at the marks again at turn 0.")
}

func (k *making) takeUpText(belt int) string {
	b, f := &k.m.Belts[belt], &k.s.Belts[belt].Fitted
	if b.TakeUp == nil || !f.TakeUp.OK {
		return ""
	}
	what := "shaft"
	name := ""
	if p := b.Run[b.TakeUp.Pulley]; p.Shaft == mech.None {
		what, name = "idler", p.Idler
	} else {
		name = k.m.Shafts[p.Shaft].Name
	}
	return fmt.Sprintf(": %s %s then stands at %s, %s", what, name, k.u.Length(Value(f.At.X)), k.u.Length(Value(f.At.Y)))
}

func (k *making) timeShaft(i int) {
	for j, c := range k.m.Cams {
		if c.Shaft != i {
			continue
		}
		solved := k.s.Machine.Cams[j]
		at := solve.CamMark(k.m, j) + solved.Sense()*c.Phase
		k.item("Shaft %s: turn cam %s until its timing mark points to %s deg from +u of the %s view.", k.m.Shafts[i].Name, c.Name, angleText(at), k.m.Shafts[i].View)
	}
	crank := func(radius, phase float64, whose string) {
		k.item("Shaft %s: set the crank of %s, radius %s, to %s deg from +u of the %s view.", k.m.Shafts[i].Name, whose, k.length(radius), angleText(phase), k.m.Shafts[i].View)
	}
	if k.m.Torso != nil {
		for _, p := range k.m.Torso.Pushes {
			if p.Kind == mech.Rod && p.Crank.Shaft == i {
				crank(p.Crank.Radius, p.Crank.Phase, "push "+p.Name)
			}
		}
	}
	for _, l := range k.m.Linkages {
		for _, p := range l.Pins {
			if p.Kind == mech.CrankPin && p.Crank.Shaft == i {
				crank(p.Crank.Radius, p.Crank.Phase, "linkage "+l.Name)
			}
		}
	}
}

// toothNote says what one tooth of a sprocket does.
func (k *making) toothNote(t *solve.ToothStep) {
	name := k.m.Shafts[t.Shaft].Name
	text := fmt.Sprintf("A tooth more or less on shaft %s shifts its phase by %s deg", name, fixed(t.Step*180/math.Pi, 2))
	var effects []string
	for i, e := range t.Lifts {
		if e.Value <= 0 {
			continue
		}
		if k.s.Machine.Cams[i].Swings() {
			effects = append(effects, fmt.Sprintf("cam %s stands off by up to %s deg", k.m.Cams[i].Name, fixed(e.Value*180/math.Pi, 2)))
		} else {
			effects = append(effects, fmt.Sprintf("cam %s stands off by up to %s", k.m.Cams[i].Name, k.length(e.Value)))
		}
	}
	for i, e := range t.Points {
		if e.Value > 0 {
			effects = append(effects, fmt.Sprintf("%s by up to %s", k.m.Torso.Points[i].Name, k.length(e.Value)))
		}
	}
	if len(effects) == 0 {
		k.note("%s; no cam and no point of the torso stands off for it.", text)
		return
	}
	k.note("%s: %s. A jumped tooth shows as just that.", text, strings.Join(effects, ", "))
}

// checks lists distances that a rule can measure at motor turn 0.
func (k *making) checks() {
	pose := k.s.Machine.NewPose()
	k.s.Machine.Pose(0, pose)
	for i, c := range pose.Cams {
		if k.s.Machine.Cams[i].Status != solve.CamSolved {
			continue
		}
		if k.s.Machine.Cams[i].Swings() {
			k.item("cam %s: its follower's arm stands %s deg above its lowest", k.m.Cams[i].Name, fixed(c.Lift.S*180/math.Pi, 2))
			continue
		}
		k.item("cam %s: its follower stands %s above its lowest", k.m.Cams[i].Name, k.length(c.Lift.S))
	}
	k.checkTorso(pose)
	for i := range k.m.Linkages {
		k.checkLinkage(i, pose)
	}
}

func (k *making) checkTorso(pose *solve.Pose) {
	t := k.m.Torso
	if t == nil || k.s.Torso == nil || k.s.Torso.Torso == nil || pose.Torso.Status != solve.TorsoPosed {
		return
	}
	torso := k.s.Torso.Torso
	k.item("guide pin: %s from the torso shaft's axis, along the arm", k.length(pose.Torso.Slot()))
	end := torso.Point(&pose.Torso, r3.Vec{Z: -t.ShaftDepth})
	k.item("torso shaft's lower end: x %s, y %s from where it stands upright", k.length(end.X), k.length(end.Y))
	for _, p := range t.Points {
		at := torso.Point(&pose.Torso, p.At)
		k.item("%s: x %s, y %s, z %s above the stage", p.Name, k.u.Length(Value(at.X)), k.u.Length(Value(at.Y)), k.length(at.Z))
	}
}

func (k *making) checkLinkage(i int, pose *solve.Pose) {
	l, chain := &k.m.Linkages[i], k.s.Machine.Chains[i]
	if chain == nil || !pose.Reached[i] {
		return
	}
	fixedPin := mech.None
	for j, p := range l.Pins {
		if p.Kind == mech.FixedPin {
			fixedPin = j
			break
		}
	}
	for j, point := range l.Points {
		at := chain.Point(pose.Chains[i], j).Pos
		from := ""
		if fixedPin != mech.None {
			away := r2.Norm(r2.Sub(at, pose.Chains[i].Pins[fixedPin].Pos))
			from = fmt.Sprintf(", %s from pin %s", k.length(away), l.Pins[fixedPin].Name)
		}
		k.item("%s %s: u %s, v %s in the %s view%s", l.Name, point.Name, k.u.Length(Value(at.X)), k.u.Length(Value(at.Y)), l.View, from)
	}
}
