package spec

import (
	"fmt"
	"strings"

	"understage/internal/geom"
	"understage/internal/mech"
)

func (d *decoder) beats(p *place) {
	f, ok := d.open(p)
	if !ok {
		return
	}
	b := &mech.Beats{When: mech.BeatEvent(f.word("when")), Target: f.given("target")}
	b.Of = mech.BeatSource{Name: f.text("of"), Linkage: mech.None, Point: mech.None, Cam: mech.None}
	if of := f.child("of"); b.Of.Name != "" {
		d.beatSource(of, &b.Of)
		d.checkBeat(f, of, b)
	}
	if b.When == mech.Touching {
		b.Height = f.needed("height")
	} else {
		f.refuse("height", "a height beside when: "+b.When.String(), "when: touching")
	}
	d.m.Beats = b
}

// beatSource resolves LINKAGE.POINT, torso.POINT, cams.CAM, or a bare name of a
// torso point or a cam.
func (d *decoder) beatSource(p *place, s *mech.BeatSource) {
	segments, err := splitPath(s.Name)
	want := "LINKAGE.POINT, torso.POINT, or a cam"
	if err != nil || len(segments) > 2 {
		d.say(p, "found "+quoted(s.Name), want, "")
		return
	}
	var torsoNames []string
	if d.m.Torso != nil {
		for _, q := range d.m.Torso.Points {
			torsoNames = append(torsoNames, q.Name)
		}
	}
	if len(segments) == 1 {
		point, cam := indexOf(torsoNames, segments[0]), indexOf(d.camNames, segments[0])
		switch {
		case point != mech.None && cam != mech.None:
			d.say(p, quoted(s.Name)+" is both a torso point and a cam", "torso."+s.Name+" or cams."+s.Name, "")
		case point == mech.None && cam == mech.None:
			d.say(p, "no point or cam "+quoted(s.Name), want, suggest(s.Name, append(append(d.pointNames(), torsoNames...), d.camNames...)))
		default:
			s.Point, s.Cam = point, cam
		}
		return
	}
	for i := range d.m.Linkages {
		if l := &d.m.Linkages[i]; l.Name == segments[0] {
			for j := range l.Points {
				if l.Points[j].Name == segments[1] {
					s.Linkage, s.Point = i, j
					return
				}
			}
		}
	}
	switch segments[0] {
	case "torso":
		s.Point = indexOf(torsoNames, segments[1])
	case "cams":
		s.Cam = indexOf(d.camNames, segments[1])
	}
	if s.Point == mech.None && s.Cam == mech.None {
		d.say(p, "no point "+quoted(s.Name), want, suggest(s.Name, d.pointNames()))
	}
}

// pointNames lists the points of linkages and torso as beats name them.
func (d *decoder) pointNames() []string {
	var names []string
	for _, l := range d.m.Linkages {
		for _, q := range l.Points {
			names = append(names, Path(l.Name, q.Name))
		}
	}
	if d.m.Torso != nil {
		for _, q := range d.m.Torso.Points {
			names = append(names, Path("torso", q.Name))
		}
	}
	return names
}

// checkBeat refuses an event that can never come: a coordinate that cannot
// vary, a cam that never drops.
func (d *decoder) checkBeat(f fields, of *place, b *mech.Beats) {
	at := f.child("when")
	if at == nil {
		at = of
	}
	switch {
	case b.Of.Linkage != mech.None:
		view := d.m.Linkages[b.Of.Linkage].View
		if axis := beatAxis(b.When); axis == levelAxis(view) {
			d.say(at, fmt.Sprintf("%s of a point that moves in the %s view, where %s stays the same", b.When, view, axis), "one of "+strings.Join(varyingEvents(view), ", "), "")
		}
	case b.Of.Point != mech.None:
		if p := d.m.Torso.Points[b.Of.Point]; p.At.X == 0 && p.At.Y == 0 && p.At.Z == 0 {
			d.say(of, "a point at the pivot, which never moves", "a point that moves", "")
		}
	case b.Of.Cam != mech.None:
		if !drops(&d.m.Cams[b.Of.Cam]) {
			d.say(of, "cam "+quoted(d.m.Cams[b.Of.Cam].Name)+" has no sudden drop", "a cam with a fall over: 0", "")
		}
	}
}

func drops(c *mech.Cam) bool {
	for _, s := range c.Shape.Segments {
		if s.Rise < 0 && s.Over == 0 {
			return true
		}
	}
	return false
}

// beatAxis returns the stage axis along which an event is an extreme.
func beatAxis(e mech.BeatEvent) string {
	switch e {
	case mech.Leftmost, mech.Rightmost:
		return "x"
	case mech.Foremost, mech.Hindmost:
		return "y"
	}
	return "z"
}

// levelAxis returns the stage axis along which nothing moves in a view.
func levelAxis(v geom.View) string {
	switch v {
	case geom.Front:
		return "y"
	case geom.Side:
		return "x"
	}
	return "z"
}

func varyingEvents(v geom.View) []string {
	var words []string
	for _, e := range mech.BeatEvents {
		if beatAxis(e) != levelAxis(v) {
			words = append(words, e.String())
		}
	}
	return words
}
