package spec

import (
	"understage/internal/mech"
	"understage/internal/standard"
)

// motor reads the motor. Shafts have been read.
func (d *decoder) motor(p *place) {
	f, ok := d.open(p)
	if !ok {
		return
	}
	m := &mech.Motor{
		Rated:      f.number("rated"),
		Sense:      mech.Sense(f.word("sense")),
		Continuous: f.given("continuous"),
	}
	m.Supply = f.given("supply").Or(m.Rated)
	m.Feed = mech.MotorFeed{Resistance: f.given("supply_resistance"), Inertia: f.given("inertia"), Returned: f.share("returns")}
	m.Wanted, m.Fuse = f.given("wanted_speed"), f.given("fuse")
	d.m.Breakaway = f.given("breakaway")
	if d.m.Breakaway.OK && d.m.Breakaway.Value < 1 {
		d.say(f.child("breakaway"), "static friction below sliding friction", "1 or more", "")
	}
	if noLoad := f.section("no_load"); noLoad.place != nil {
		m.NoLoad = mech.NoLoad{Speed: noLoad.number("speed"), Current: noLoad.number("current")}
	}
	if stall := f.section("stall"); stall.place != nil {
		m.Stall = mech.Stall{Torque: stall.number("torque"), Current: stall.number("current")}
	}
	m.Shaft = d.shaft(f, "shaft")
	m.Body = d.motorBody(f.child("body"))
	d.m.Motor = m
	d.checkMotor(f, m)
}

// section opens a mapping below; it complains when a required one is not there.
func (f fields) section(key string) fields {
	p := f.child(key)
	if p == nil {
		f.fallback(key)
		return fields{}
	}
	below, _ := f.d.open(p)
	return below
}

// below returns a mapping that has been opened before; it complains of nothing.
func (f fields) below(key string) fields {
	p := f.child(key)
	if p == nil || p.node.kind != mapKind {
		return fields{}
	}
	return fields{place: p, d: f.d}
}

// checkMotor refuses figures that no motor can have.
func (d *decoder) checkMotor(f fields, m *mech.Motor) {
	// A maker's limit below 1 is a matter for a finding.
	if most := m.Rated * max(1, standard.Limit(d.m.Limits, "supply")); m.Rated > 0 && f.has("supply") && m.Supply > most {
		d.say(f.child("supply"), "a supply above the motor's rating of "+f.child("rated").node.text,
			"at most the rated voltage", "take a motor rated for it; limits.supply allows more at your own risk")
	}
	stall := f.below("stall")
	if m.Stall.Current > 0 && m.Stall.Current <= m.NoLoad.Current {
		d.say(stall.child("current"), "a stall current not above the no-load current", "the current with the shaft held still, which is the greatest", "")
	}
	if m.Continuous.OK && m.Stall.Current > 0 && m.Continuous.Value > m.Stall.Current {
		d.say(f.child("continuous"), "a continuous current above the stall current", "the sheet's continuous current", "")
	}
}
