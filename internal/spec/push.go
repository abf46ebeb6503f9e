package spec

import (
	"fmt"
	"math"

	"understage/internal/geom"
	"understage/internal/mech"

	"gonum.org/v1/gonum/spatial/r2"
)

// pushCount is how many pushers a torso has: one for each way it can lean.
const pushCount = 2

func (d *decoder) pushes(f fields, t *mech.Torso) {
	p := f.child("pushes")
	if p == nil {
		f.missing("pushes")
		return
	}
	parts := d.parts(p)
	if p.node.kind == mapKind && len(parts) != pushCount {
		d.sayAt(p.at, p, "found "+counted(len(parts), "push", "pushes"), fmt.Sprintf("%d, one for each way the figure leans", pushCount), "")
	}
	for i := range parts {
		push := d.push(&parts[i])
		if i < pushCount {
			t.Pushes[i] = push
		}
	}
}

func (d *decoder) push(p *place) mech.Push {
	push := mech.Push{Name: p.key, Cam: mech.None, Crank: mech.Crank{Shaft: mech.None}, Ratio: 1}
	f, ok := d.open(p)
	if !ok {
		return push
	}
	hasCam, hasCrank := f.has("cam"), f.has("crank")
	push.Kind = mech.PushKind(f.word("by"))
	if !f.has("by") && hasCrank {
		push.Kind = mech.Rod
	}
	push.Depth = f.number("depth")
	push.Thickness = f.given("thickness")
	push.Rub = f.friction("friction")
	switch {
	case hasCam && hasCrank:
		f.refuse("crank", "both a cam and a crank", "a cam for yoke and edge, a crank for rod")
		return push
	case !hasCam && !hasCrank:
		d.sayAt(f.at, p, "a push by nothing", "cam: NAME, or crank: {shaft, radius, phase}", "")
		return push
	case push.Kind == mech.Rod && hasCam:
		f.refuse("cam", "a cam for a rod", "crank: {shaft, radius, phase}, or by: yoke or edge")
		return push
	case push.Kind != mech.Rod && hasCrank:
		f.refuse("crank", "a crank for "+articled(push.Kind.String()), "a cam, or by: rod")
		return push
	}
	for _, key := range pushKeys {
		if push.Kind == key.kind {
			continue
		}
		if p := f.child(key.name); p != nil {
			d.sayAt(p.at, p, key.name+" for "+articled(push.Kind.String()), key.name+" only with by: "+key.kind.String(), "")
		}
	}
	if push.Kind == mech.Rod {
		d.rod(f, &push)
		return push
	}
	push.Cam = f.reference("cam", "cam", d.camNames)
	if push.Kind == mech.Edge {
		d.edge(f, &push)
		return push
	}
	d.yoke(f, &push)
	return push
}

// pushKeys are the keys that only one kind of push has.
var pushKeys = []struct {
	name string
	kind mech.PushKind
}{
	{"along", mech.Yoke}, {"ratio", mech.Yoke}, {"plumb", mech.Yoke},
	{"pin_depth", mech.Rod}, {"length", mech.Rod},
}

// yoke reads the plate's direction: the follower's heading where the view is
// the plan, otherwise it must be written.
func (d *decoder) yoke(f fields, push *mech.Push) {
	push.Ratio = f.number("ratio")
	if !f.has("ratio") {
		push.Ratio = 1
	} else if push.Ratio == 0 {
		d.say(f.child("ratio"), "a ratio of 0", "travel of the plate over lift", "")
	}
	push.Plumb = f.number("plumb")
	if f.has("along") {
		push.Along, _ = f.direction("along")
	}
	f.child("along")
	if push.Cam == mech.None {
		return
	}
	cam := &d.m.Cams[push.Cam]
	switch {
	case cam.Follower == nil:
		return // refused with the cam
	case cam.Follower.Path == mech.Swing:
		d.say(f.child("cam"), "a yoke on the swinging follower of cam "+quoted(cam.Name), "a straight follower", "a swinging follower pushes only through a pin on its arm, in a linkage")
	case f.has("along") || cam.Shaft == mech.None:
	case cam.Follower.Path == mech.Axial || d.m.Shafts[cam.Shaft].View != geom.Plan:
		d.sayAt(f.at, f.place, fmt.Sprintf("along is missing: the follower of cam %s does not move level in the plan", quoted(cam.Name)),
			"along: [u, v], the plate's direction in plan", "")
	default:
		sin, cos := math.Sincos(cam.Follower.Heading)
		push.Along = r2.Vec{X: cos, Y: sin}
	}
}

// edge checks that the cam lies level, so that the upright shaft can ride on
// its rim.
func (d *decoder) edge(f fields, push *mech.Push) {
	if push.Cam == mech.None {
		return
	}
	if d.edgeCams == nil {
		d.edgeCams = make(map[int]bool)
	}
	d.edgeCams[push.Cam] = true
	cam := &d.m.Cams[push.Cam]
	switch {
	case cam.Shaft != mech.None && d.m.Shafts[cam.Shaft].View != geom.Plan:
		d.say(f.child("cam"), "an edge push by a cam of the "+d.m.Shafts[cam.Shaft].View.String()+" view", "a cam on an upright shaft", "")
	case cam.Follower != nil && cam.Follower.Path != mech.Straight:
		d.say(f.child("cam"), "an edge push by a cam with a "+describe(cam.Follower), "a cam without a follower, or with a straight one", "")
	}
}

func (d *decoder) rod(f fields, push *mech.Push) {
	push.Length = f.needed("length")
	push.PinDepth = f.given("pin_depth").Or(push.Depth)
	crank := f.section("crank")
	if crank.place == nil {
		return
	}
	push.Crank = mech.Crank{Shaft: d.shaft(crank, "shaft"), Radius: crank.number("radius"), Phase: crank.number("phase")}
	if s := push.Crank.Shaft; s != mech.None && d.m.Shafts[s].View != geom.Plan {
		d.say(crank.child("shaft"), "a crank of the "+d.m.Shafts[s].View.String()+" view", "a crank on an upright shaft", "")
	}
}
