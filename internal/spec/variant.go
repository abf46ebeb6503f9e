package spec

import (
	"slices"
	"strings"

	"understage/internal/diag"
	"understage/internal/mech"
)

// Variant decodes the spec once more with some values replaced, and reads anew
// only the parts that the replacements can touch; Fresh names them, and the parts
// that are gone. The rest is shared with s, so neither model may be changed. Spec and messages are those
// that decoding all of it would give, but files that unchanged parts name are
// not read again, and Tolerances may come in another order. It may be called from many goroutines at once.
func (s *Spec) Variant(sets []Set, read ReadFile) (*Spec, diag.List) {
	d := newDecoder(read)
	root := s.root
	for _, set := range sets {
		root = d.replace(root, set)
	}
	if len(d.msgs) == 0 && s.shares(root) {
		d.root = topPlace(root)
		v := variant{decoder: d, base: s, fresh: []string{}}
		if v.decode(); len(d.msgs) == 0 {
			return &Spec{Model: d.m, Tolerances: append(v.keptTolerances(), d.tolerances...), Fresh: v.fresh, root: root, shaftNames: d.shaftNames, camNames: d.camNames, view: d.view}, nil
		}
	}
	return newDecoder(read).decode(s.root, sets)
}

// shares reports whether what all parts rest on is still the same: the units,
// the shafts and their view.
func (s *Spec) shares(root *node) bool {
	old, now := s.root, root
	if at(now, "drive") == nil {
		return false // shafts are made by whoever names them
	}
	return at(old, "understage") == at(now, "understage") && at(old, "units") == at(now, "units") &&
		(at(old, "drive") == at(now, "drive") ||
			at(old, "drive", "shafts") == at(now, "drive", "shafts") && at(old, "drive", "view") == at(now, "drive", "view"))
}

// keptTolerances returns the base's tolerances that stand in parts that were not
// read anew and are still there.
func (v *variant) keptTolerances() []Tolerance {
	var kept []Tolerance
	for _, t := range v.base.Tolerances {
		segments, err := splitPath(t.Path)
		fresh := func(part string) bool { return strings.HasPrefix(t.Path, part+".") }
		if err == nil && step(v.root.node, segments) != nil && !slices.ContainsFunc(v.fresh, fresh) {
			kept = append(kept, t)
		}
	}
	return kept
}

// at returns the node at the keys, nil where there is none.
func at(n *node, keys ...string) *node {
	for _, key := range keys {
		if n.kind != mapKind {
			return nil
		}
		i := n.find(key)
		if i < 0 {
			return nil
		}
		n = n.entries[i].value
	}
	return n
}

// variant decodes on top of a spec that is sound.
type variant struct {
	*decoder
	base  *Spec
	fresh []string
}

// same reports whether the node at the keys is the base's own. Trees share
// every node that no replacement leads through.
func (v *variant) same(keys ...string) bool {
	return at(v.base.root, keys...) == at(v.root.node, keys...)
}

// changed notes a part that is read anew.
func (v *variant) changed(keys ...string) { v.fresh = append(v.fresh, Path(keys...)) }

func (v *variant) decode() {
	f, ok := v.open(v.root)
	if !ok {
		return
	}
	m := *v.base.Model
	d := v.decoder
	d.m = &m
	d.units.Inches = m.Lengths == mech.Inch
	d.hasDrive = true
	d.shaftNames, d.camNames = v.base.shaftNames, v.base.camNames
	if !v.same("figure") {
		m.Name = f.textOr("figure")
	}
	if !v.same("limits") {
		v.changed("limits")
		d.limits(f.child("limits"))
	}
	v.drive(f)
	v.moved(f)
	if !v.same("stock") {
		v.changed("stock")
		m.Stock = mech.Stock{}
		d.stock(f.child("stock"))
	}
	if !v.same("frame") {
		v.changed("frame")
		m.Frame = mech.Frame{}
		d.frame(f.child("frame"))
	}
}

// drive decodes belts, gears and motor. The shafts are the base's.
func (v *variant) drive(f fields) {
	d, m := v.decoder, v.m
	d.view = v.base.view
	train := !v.same("drive")
	if train {
		drive, _ := d.open(f.child("drive"))
		if !v.same("drive", "belts") {
			m.Belts = changedParts(v, drive.child("belts"), &m.Belts, d.belt, "drive", "belts")
		}
		if !v.same("drive", "gears") {
			m.Gears = changedParts(v, drive.child("gears"), &m.Gears, d.gear, "drive", "gears")
		}
	}
	if !v.same("motor") || !v.same("limits") { // limits say what supply is allowed
		v.changed("motor")
		m.Motor, m.Breakaway = nil, mech.Given{}
		d.motor(f.child("motor"))
		train = train || m.Motor != nil && (v.base.Model.Motor == nil || v.base.Model.Motor.Shaft != m.Motor.Shaft)
	}
	if train && len(d.msgs) == 0 {
		d.driven()
	}
}

// moved decodes the cams and what they and the cranks move.
func (v *variant) moved(f fields) {
	d, m := v.decoder, v.m
	followers := v.cams(f)
	torso := followers || !v.same("torso")
	if torso {
		v.changed("torso")
		m.Torso = nil
		d.torso(f.child("torso"))
		d.followers()
	}
	linkages := followers || !v.same("linkages")
	switch {
	case followers:
		v.changed("linkages")
		m.Linkages = nil
		d.linkages(f.child("linkages"))
	case linkages:
		m.Linkages = changedParts(v, f.child("linkages"), &m.Linkages, d.linkage, "linkages")
	}
	if torso || linkages || !v.same("cams") || !v.same("beats") {
		v.changed("beats")
		m.Beats = nil
		d.beats(f.child("beats"))
	}
}

// cams decodes the cams that have changed and reports whether that can matter to
// what they push: another name, shaft or follower.
func (v *variant) cams(f fields) bool {
	d, m := v.decoder, v.m
	if v.same("cams") {
		return false
	}
	old := m.Cams
	d.camNames = nil
	m.Cams = changedParts(v, f.child("cams"), &m.Cams, d.cam, "cams")
	d.camNames = make([]string, len(m.Cams))
	for i := range m.Cams {
		d.camNames[i] = m.Cams[i].Name
	}
	if len(m.Cams) != len(old) || len(d.msgs) > 0 {
		return true
	}
	for i := range old {
		if a, b := &old[i], &m.Cams[i]; a.Name != b.Name || a.Shaft != b.Shaft || !sameFollower(a.Follower, b.Follower) {
			return true
		}
	}
	return false
}

func sameFollower(a, b *mech.Follower) bool {
	return a != nil && b != nil && *a == *b
}

// changedParts decodes the parts of a section that have changed, and takes the others
// from the base's list. decode appends to the list.
func changedParts[T any](v *variant, section *place, list *[]T, decode func(*place), keys ...string) []T {
	old, before := *list, at(v.base.root, keys...)
	parts := v.parts(section)
	v.gone(before, parts, keys)
	if len(parts) == 0 {
		return nil
	}
	all := make([]T, 0, len(parts))
	for i, q := range parts {
		if before != nil && before.kind == mapKind && i < len(old) && i < len(before.entries) &&
			before.entries[i].key == q.key && before.entries[i].value == q.node {
			all = append(all, old[i])
			continue
		}
		v.changed(append(slices.Clone(keys), q.key)...)
		*list = all
		faults := len(v.msgs)
		if decode(&q); len(v.msgs) > faults {
			return all // all of it will be decoded
		}
		all = *list
	}
	return all
}

// gone notes the parts of a section that the base has and the variant has not.
func (v *variant) gone(before *node, parts []place, keys []string) {
	if before == nil {
		return
	}
	for i := range before.entries {
		name := before.entries[i].key
		if !slices.ContainsFunc(parts, func(q place) bool { return q.key == name }) {
			v.changed(append(slices.Clone(keys), name)...)
		}
	}
}
