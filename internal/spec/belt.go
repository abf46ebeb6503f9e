package spec

import (
	"fmt"
	"strings"

	"understage/internal/geom"
	"understage/internal/mech"
	"understage/internal/standard"
)

func (d *decoder) belt(p *place) {
	f, ok := d.open(p)
	if !ok {
		return
	}
	b := mech.Belt{Name: p.key, Width: f.given("width"), Level: f.given("level"), Efficiency: f.share("efficiency")}
	run := f.child("run")
	if run == nil {
		f.missing("run")
	}
	items := d.items(run)
	if len(items) > mostPulleys {
		d.say(run, fmt.Sprintf("found %d pulleys", len(items)), fmt.Sprintf("at most %d", mostPulleys), "")
		return
	}
	for i := range items {
		b.Run = append(b.Run, d.pulley(&items[i]))
	}
	if run != nil && run.node.kind == listKind && len(items) < 2 {
		d.say(run, "found "+counted(len(items), "pulley", "pulleys"), "at least two", "")
	}
	d.checkRun(&b, items)
	d.pitch(f, &b)
	d.fitted(f, &b)
	b.TakeUp = d.takeUp(f.child("take_up"), &b)
	d.m.Belts = append(d.m.Belts, b)
}

func (d *decoder) pulley(p *place) mech.Pulley {
	f, ok := d.open(p)
	if !ok {
		return mech.Pulley{Shaft: mech.None}
	}
	u := mech.Pulley{Shaft: mech.None, Back: f.word("side") == 1, Flange: f.given("flange"), Hub: d.hub(f.child("hub"))}
	onShaft, idler := f.has("shaft"), f.has("idler")
	switch {
	case onShaft && idler:
		f.refuse("idler", "both a shaft and an idler", "one of them")
	case idler:
		u.Idler = f.text("idler")
		if !f.has("at") {
			f.missing("at")
		}
		u.At, _ = f.pair("at")
	case onShaft:
		u.Shaft = d.shaft(f, "shaft")
		f.refuse("at", "a place for a pulley on a shaft", "no place; it stands where the shaft does")
	default:
		d.sayAt(f.at, p, "a pulley on nothing", "shaft: NAME, or idler: NAME with its place", "")
	}
	switch {
	case f.has("teeth") && f.has("diameter"):
		f.refuse("diameter", "both teeth and a diameter", "teeth for a sprocket, a diameter for a plain pulley")
	case f.has("teeth"):
		u.Teeth = f.whole("teeth")
	case f.has("diameter"):
		u.Diameter = f.number("diameter")
	default:
		d.sayAt(f.at, p, "a pulley without teeth or a diameter", "teeth for a sprocket, a diameter for a plain pulley", "")
	}
	return u
}

// checkRun refuses pulleys named twice and shafts of different views, and
// settles the belt's view.
func (d *decoder) checkRun(b *mech.Belt, items []place) {
	b.View = geom.Plan
	first := mech.None
	for i := range b.Run {
		u := &b.Run[i]
		for j := range i {
			v := &b.Run[j]
			if u.Shaft != mech.None && u.Shaft == v.Shaft {
				d.say(&items[i], "shaft "+quoted(d.shaftNames[u.Shaft])+" a second time", "each pulley once", "")
			} else if u.Idler != "" && u.Idler == v.Idler {
				d.say(&items[i], "idler "+quoted(u.Idler)+" a second time", "each pulley once", "")
			}
		}
		if u.Shaft == mech.None {
			continue
		}
		view := d.m.Shafts[u.Shaft].View
		if first == mech.None {
			first, b.View = u.Shaft, view
		} else if view != b.View {
			d.say(&items[i], fmt.Sprintf("shaft %s of the %s view", quoted(d.shaftNames[u.Shaft]), view),
				fmt.Sprintf("shafts of one view; %s is of the %s view", quoted(d.shaftNames[first]), b.View), "")
		}
	}
	if first == mech.None && len(items) >= 2 {
		d.say(items[0].up, "a belt on no shaft", "at least one pulley on a shaft", "")
	}
}

// pitch reads the belt's section: a standard's name or its figures.
func (d *decoder) pitch(f fields, b *mech.Belt) {
	p := f.child("pitch")
	if p == nil {
		f.missing("pitch")
		return
	}
	if p.node.kind == mapKind {
		d.ownSection(p, b)
		return
	}
	found, hint := "found "+p.found(), ""
	if p.node.kind == scalarKind {
		s, ok := standard.FindSection(p.node.text)
		if ok {
			b.Section = mech.BeltSection{Name: s.Name, Pitch: s.Pitch.Value, ToothHeight: s.ToothHeight.Value, PitchLine: s.PitchLine.Value, Back: s.Back.Value}
			return
		}
		found, hint = "unknown pitch "+quoted(p.node.text), suggest(p.node.text, standard.SectionNames())
	}
	d.say(p, found, "a standard pitch: "+strings.Join(standard.SectionNames(), ", ")+"; or {length: …}", hint)
}

// ownSection reads a section in figures. What the run has no use for may be
// left out; what it needs may not be guessed.
func (d *decoder) ownSection(p *place, b *mech.Belt) {
	f, ok := d.open(p)
	if !ok {
		return
	}
	b.Section = mech.BeltSection{Pitch: f.number("length"), ToothHeight: f.number("tooth_height"),
		PitchLine: f.number("pitch_line"), Back: f.number("back")}
	for i := range b.Run {
		u := &b.Run[i]
		var needs []string
		switch {
		case u.Back:
			needs = []string{"back"}
		case u.Diameter > 0:
			needs = []string{"tooth_height", "pitch_line"}
		}
		for _, key := range needs {
			if !f.has(key) {
				f.missing(key)
				return
			}
		}
	}
}

// fitted reads which belt is to be fitted.
func (d *decoder) fitted(f fields, b *mech.Belt) {
	if f.has("belt") && f.has("teeth") {
		f.refuse("teeth", "both a stock code and teeth", "one of them")
	}
	b.Teeth = f.whole("teeth")
	code := f.text("belt")
	if code == "" || b.Section.Pitch == 0 {
		return
	}
	s, ok := standard.FindSection(b.Section.Name)
	if b.Section.Name == "" || !ok {
		d.say(f.child("belt"), "a stock code for a pitch that is not a standard's", "teeth: and the number of teeth", "")
		return
	}
	l, ok := s.FindLength(code)
	if !ok {
		var codes []string
		for _, l := range s.Lengths {
			codes = append(codes, l.Code)
		}
		d.say(f.child("belt"), fmt.Sprintf("no %s belt of code %s", s.Name, quoted(code)), "one of "+strings.Join(codes, ", "), "teeth: takes any number of teeth")
		return
	}
	b.Teeth = l.Teeth
}

func (d *decoder) takeUp(p *place, b *mech.Belt) *mech.TakeUp {
	f, ok := d.open(p)
	if !ok {
		return nil
	}
	t := &mech.TakeUp{Pulley: mech.None}
	var shafts, idlers []string
	shaftAt, idlerAt := map[string]int{}, map[string]int{}
	for i, u := range b.Run {
		if u.Shaft != mech.None {
			shafts = append(shafts, d.shaftNames[u.Shaft])
			shaftAt[d.shaftNames[u.Shaft]] = i
		} else if u.Idler != "" {
			idlers = append(idlers, u.Idler)
			idlerAt[u.Idler] = i
		}
	}
	switch {
	case f.has("shaft") == f.has("idler"):
		d.sayAt(f.at, p, "a take-up that needs one pulley", "shaft: or idler: and the name of one in the run", "")
	case f.has("shaft"):
		if i := f.reference("shaft", "shaft in this belt's run", shafts); i != mech.None {
			t.Pulley = shaftAt[shafts[i]]
		}
	default:
		if i := f.reference("idler", "idler in this belt's run", idlers); i != mech.None {
			t.Pulley = idlerAt[idlers[i]]
		}
	}
	t.Along, _ = f.direction("along")
	t.Min, t.Max = -takeUpRange, takeUpRange
	if f.has("range") {
		t.Min, t.Max, _ = f.span("range")
	} else {
		f.child("range")
	}
	return t
}

// mostPulleys is far beyond any belt: setting every stretch of one against every
// other takes time with the square of them.
const mostPulleys = 200

// takeUpRange is how far, mm, a take-up moves either way where the spec does not
// say; the key table states it.
const takeUpRange = 3

// suggestPitch hints at the belt system that was most likely meant.
func suggestPitch(word string) string {
	if near := standard.NearestSection(word); near != "" {
		return "did you mean " + near + "?"
	}
	return ""
}
