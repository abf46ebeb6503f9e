package spec

import (
	"math"

	"understage/internal/geom"
	"understage/internal/mech"
)

// follower reads what rides on a cam; nil when none is written.
func (d *decoder) follower(p *place) *mech.Follower {
	f, ok := d.open(p)
	if !ok {
		return nil
	}
	r := &mech.Follower{Kind: mech.FollowerKind(f.word("kind")), Path: mech.FollowerPath(f.word("path"))}
	if !f.has("kind") {
		r.Kind = mech.Knife
	}
	if r.Path == mech.Axial && r.Kind == mech.Flat {
		d.say(f.child("kind"), "a flat follower on a face cam", "knife or roller", "")
	}
	for i := range followerKeys {
		key := &followerKeys[i]
		switch {
		case !key.fits(r):
			if p := f.child(key.name); p != nil {
				d.sayAt(p.at, p, key.name+" on a "+describe(r), key.belongs, "")
			}
		case key.into == nil:
		case key.needed:
			*key.into(r) = f.needed(key.name)
		default:
			*key.into(r) = f.number(key.name)
		}
	}
	if r.Path == mech.Swing {
		d.pivot(f, r)
	}
	return r
}

// pivot reads where a swinging arm turns and on which side it touches.
func (d *decoder) pivot(f fields, r *mech.Follower) {
	if !f.has("pivot") {
		f.missing("pivot")
	}
	v, ok := f.pair("pivot")
	if ok && v.X == 0 && v.Y == 0 {
		d.say(f.child("pivot"), "an arm that turns on the cam's own axis", "a place beside it", "")
	}
	r.Pivot = v
	r.Left = f.word("side") == 0
}

func describe(r *mech.Follower) string {
	switch r.Path {
	case mech.Swing:
		return "swinging " + r.Kind.String() + " follower"
	case mech.Axial:
		return r.Kind.String() + " follower on a face cam"
	}
	return "straight " + r.Kind.String() + " follower"
}

// followerKey says which followers a key belongs to.
type followerKey struct {
	name    string
	fits    func(r *mech.Follower) bool
	belongs string
	needed  bool                            // where it fits
	into    func(r *mech.Follower) *float64 // nil for what is read elsewhere
}

var followerKeys = []followerKey{
	{"radius", func(r *mech.Follower) bool { return r.Kind == mech.Roller }, "radius only with kind: roller", true, func(r *mech.Follower) *float64 { return &r.Radius }},
	{"heading", func(r *mech.Follower) bool { return r.Path != mech.Swing }, "heading only with path: straight or axial", true, func(r *mech.Follower) *float64 { return &r.Heading }},
	{"offset", func(r *mech.Follower) bool { return r.Path == mech.Straight }, "offset only with path: straight", false, func(r *mech.Follower) *float64 { return &r.Offset }},
	{"pivot", func(r *mech.Follower) bool { return r.Path == mech.Swing }, "pivot only with path: swing", true, nil},
	{"arm", func(r *mech.Follower) bool { return r.Path == mech.Swing && r.Kind != mech.Flat }, "arm only with path: swing and a knife or roller", true, func(r *mech.Follower) *float64 { return &r.Arm }},
	{"side", func(r *mech.Follower) bool { return r.Path == mech.Swing }, "side only with path: swing", false, nil},
	{"face", func(r *mech.Follower) bool { return r.Path == mech.Swing && r.Kind == mech.Flat }, "face only with path: swing and kind: flat", false, func(r *mech.Follower) *float64 { return &r.Face }},
	{"track_radius", func(r *mech.Follower) bool { return r.Path == mech.Axial }, "track_radius only with path: axial", true, func(r *mech.Follower) *float64 { return &r.TrackRadius }},
	{"width", func(r *mech.Follower) bool { return r.Kind == mech.Flat }, "width only with kind: flat", false, nil},
}

// liftsUp reports whether positive lift points up in the stage frame: along the
// third axis of the plan, or at 90 degrees in the other views.
func (d *decoder) liftsUp(c *mech.Cam) bool {
	if c.Follower == nil || c.Shaft == mech.None {
		return false
	}
	plan := d.m.Shafts[c.Shaft].View == geom.Plan
	switch c.Follower.Path {
	case mech.Axial:
		return plan
	case mech.Straight:
		return !plan && math.Sin(c.Follower.Heading) > math.Sqrt2/2
	}
	return false
}

// followers refuses cams that have no follower and push nothing by their edge.
// Everything that may use a cam has been read.
func (d *decoder) followers() {
	for i := range d.m.Cams {
		if d.m.Cams[i].Follower != nil || d.edgeCams[i] {
			continue
		}
		p := d.find("cams", d.m.Cams[i].Name)
		if p == nil || p.node.kind != mapKind || p.node.find("follower") >= 0 {
			continue
		}
		fields{place: p, d: d}.missing("follower")
	}
}

// find returns the place of a part by its keys, nil when it is not written.
func (d *decoder) find(keys ...string) *place {
	p := d.root
	for _, key := range keys {
		i := p.node.find(key)
		if p.node.kind != mapKind || i < 0 {
			return nil
		}
		s, _ := p.schema.child(key)
		p = &place{node: p.node.entries[i].value, schema: s, at: p.node.entries[i].pos, up: p, key: key, index: -1}
	}
	return p
}
