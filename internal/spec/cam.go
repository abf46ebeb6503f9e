package spec

import (
	"fmt"
	"strings"

	"understage/internal/mech"
	"understage/internal/units"
)

// loneShaft is the shaft of cams that name none, where there is no drive.
const loneShaft = "shaft"

func (d *decoder) cams(p *place) {
	for _, q := range d.parts(p) {
		d.cam(&q)
	}
}

func (d *decoder) cam(p *place) {
	c := mech.Cam{Name: p.key, Shaft: mech.None}
	if f, ok := d.open(p); ok {
		c.Shaft = d.camShaft(f)
		c.Phase = f.number("phase")
		c.Thickness = f.number("thickness")
		c.Level = f.given("level")
		c.Follower = d.follower(f.child("follower"))
		d.shape(f, &c)
		d.camLoad(f, &c)
	}
	d.m.Cams = append(d.m.Cams, c)
	d.camNames = append(d.camNames, c.Name)
}

func (d *decoder) camShaft(f fields) int {
	if f.has("shaft") {
		return d.shaft(f, "shaft")
	}
	f.child("shaft")
	if d.hasDrive {
		d.sayAt(f.at, f.place, "a cam on no shaft", "shaft: and one of "+strings.Join(d.shaftNames, ", "), "")
		return mech.None
	}
	for i, name := range d.shaftNames {
		if name == loneShaft {
			return i
		}
	}
	d.m.Shafts = append(d.m.Shafts, mech.Shaft{Name: loneShaft})
	d.shaftNames = append(d.shaftNames, loneShaft)
	return len(d.m.Shafts) - 1
}

// shapeKeys are the keys that say a cam's form, in the order of mech.ShapeKind.
var shapeKeys = [...]string{"waves", "motion", "through", "eccentric", "measured"}

func (d *decoder) shape(f fields, c *mech.Cam) {
	var written []string
	for kind, key := range shapeKeys {
		if f.has(key) {
			written = append(written, key)
			c.Shape.Kind = mech.ShapeKind(kind)
		}
	}
	if len(written) != 1 {
		want := "one of " + strings.Join(shapeKeys[:], ", ")
		if written == nil {
			d.sayAt(f.at, f.place, "a cam without a shape", want, "")
			return
		}
		d.sayAt(f.child(written[1]).at, f.place, "a cam with "+strings.Join(written, " and "), want, "")
		return
	}
	d.base(f, c)
	lift := units.Length
	if c.Follower.Swings() {
		lift = units.Angle
	}
	p := f.child(c.Shape.Kind.String())
	switch c.Shape.Kind {
	case mech.ShapeWaves:
		c.Shape.Waves = d.waves(p, lift)
	case mech.ShapeMotion:
		c.Shape.Segments = d.motion(p, lift)
	case mech.ShapeThrough:
		c.Shape.Points = d.through(p, lift)
	case mech.ShapeEccentric:
		c.Shape.Eccentric = d.eccentric(p)
	case mech.ShapeMeasured:
		c.Shape.Rim = d.measured(p)
	}
}

// base reads the base circle, which a shape that states the rim already says.
func (d *decoder) base(f fields, c *mech.Cam) {
	axial := c.Follower != nil && c.Follower.Path == mech.Axial
	switch {
	case c.Shape.Kind.StatesRim() && axial:
		d.sayAt(f.child(c.Shape.Kind.String()).at, f.place, "a rim for a face cam", "its motion: waves, motion or through", "")
	case c.Shape.Kind.StatesRim():
		f.refuse("base", "a base circle beside "+c.Shape.Kind.String(), "none; the rim's least radius is the base")
	case axial:
		c.Base = f.number("base")
	default:
		c.Base = f.needed("base")
	}
}

// maxCrests is how many crests of one wave a rim may have: one a degree is finer
// than any follower.
const maxCrests = 360

func (d *decoder) waves(p *place, lift units.Dimension) []mech.Wave {
	items := d.items(p)
	var waves []mech.Wave
	for i := range items {
		f, _ := d.open(&items[i])
		w := mech.Wave{PerTurn: 1, Amplitude: f.numberOf("amplitude", lift), At: f.number("at")}
		if f.has("per_turn") {
			if w.PerTurn = f.whole("per_turn"); w.PerTurn > maxCrests {
				d.say(f.child("per_turn"), "found "+f.child("per_turn").found(), fmt.Sprintf("at most %d", maxCrests), "")
			}
		} else {
			f.child("per_turn")
		}
		waves = append(waves, w)
	}
	d.atLeast(p, len(items), 1, "wave")
	return waves
}

// atLeast refuses a list that is too short; one that could not be read has been
// refused already.
func (d *decoder) atLeast(p *place, n, least int, what string) {
	if p.node.kind == listKind && n < least {
		d.say(p, "found "+counted(n, what, what+"s"), fmt.Sprintf("at least %d", least), "")
	}
}

func (d *decoder) through(p *place, lift units.Dimension) []mech.Point {
	items := d.items(p)
	var points []mech.Point
	good := true
	for i := range items {
		q := &items[i]
		if q.node.kind != listKind || len(q.node.items) != 2 {
			d.say(q, "found "+q.found(), "[angle, lift], such as [60 deg, 5]", "")
			good = false
			continue
		}
		angle := place{node: q.node.items[0], schema: q.schema, up: q, index: 0}
		value := place{node: q.node.items[1], schema: q.schema, up: q, index: 1}
		a, ok := d.quantity(&angle, units.Angle, Any)
		v, alsoOK := d.quantity(&value, lift, Any)
		good = good && ok && alsoOK
		if ok && !d.inTurn(&angle, a) {
			good = false
		}
		points = append(points, mech.Point{Angle: a, Value: v})
		if good && i > 0 && a <= points[i-1].Angle {
			d.say(&angle, risingFault(a, points[i-1].Angle), "angles that rise from point to point", "")
			good = false
		}
	}
	d.atLeast(p, len(items), 3, "point")
	return points
}

func risingFault(a, before float64) string {
	if a == before {
		return "the same angle as the one before"
	}
	return "an angle below the one before"
}

// inTurn refuses an angle outside [0, 360) degrees.
func (d *decoder) inTurn(p *place, angle float64) bool {
	if angle >= 0 && angle < turn {
		return true
	}
	hint := ""
	if angle == turn {
		hint = "360 deg is 0 deg again; leave it out"
	}
	d.say(p, "found "+quoted(p.node.text), "an angle from 0 deg to below 360 deg", hint)
	return false
}

func (d *decoder) eccentric(p *place) mech.Eccentric {
	f, ok := d.open(p)
	if !ok {
		return mech.Eccentric{}
	}
	e := mech.Eccentric{DiscRadius: f.number("disc_radius"), Offset: f.number("offset")}
	if e.DiscRadius > 0 && e.Offset >= e.DiscRadius {
		d.say(f.child("offset"), "an offset that puts the axis outside the disc", "less than disc_radius", "")
	}
	return e
}

func (d *decoder) camLoad(f fields, c *mech.Cam) {
	load := &c.Load
	load.Mass = f.given("mass")
	if spring := f.section("spring"); spring.place != nil {
		load.SpringRate = mech.Given{Value: spring.number("rate"), OK: true}
		load.SpringPreload = mech.Given{Value: spring.number("preload"), OK: true}
	}
	load.Force = f.given("force")
	if guide := f.section("guide"); guide.place != nil {
		load.GuideLength = mech.Given{Value: guide.number("length"), OK: true}
		load.GuideOverhang = mech.Given{Value: guide.number("overhang"), OK: true}
		load.GuideFriction = guide.given("friction")
		if c.Follower != nil && c.Follower.Path == mech.Swing {
			f.refuse("guide", "a guide for a swinging follower", "none; it turns on its pivot")
		}
	}
	load.Material = f.text("material")
	load.Friction = f.given("friction")
	load.WearRate = f.given("wear_rate")
	load.WearDepth = f.given("wear_depth")
	load.Modulus = f.given("modulus")
	if q := f.child("follower"); q != nil && q.node.kind == mapKind {
		follower := fields{place: q, d: d}
		load.FollowerMaterial = follower.text("material")
		load.FaceWidth = follower.given("width")
		load.FollowerWearRate = follower.given("wear_rate")
		load.FollowerModulus = follower.given("modulus")
		load.Vertical = follower.flag("vertical", d.liftsUp(c))
	}
}
