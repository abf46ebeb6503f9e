// Package report lays a solved and judged figure out as values for JSON and as
// tables for a terminal. It computes nothing about the figure.
package report

import (
	"math"
	"strconv"
	"understage/internal/check"
	"understage/internal/mech"
	"understage/internal/solve"
)

// Version is the version of the JSON.
const Version = 1

// Report is everything the report command says, in the order a maker works.
// Lengths are mm, angles deg, speeds rpm, torques N·mm in every key, whatever
// the spec is written in; a key never changes its unit.
type Report struct {
	Version  int       `json:"version"`
	Figure   string    `json:"figure"`
	Motor    *Motor    `json:"motor"`
	Shafts   []Shaft   `json:"shafts"`
	Repeat   *Repeat   `json:"repeat"`
	Belts    []Belt    `json:"belts"`
	Gears    []Gear    `json:"gears"`
	Cams     []Cam     `json:"cams"`
	Torso    *Torso    `json:"torso"`
	Linkages []Linkage `json:"linkages"`
	Beats    *Beats    `json:"beats"`
	Frame    *Frame    `json:"frame"`
	Findings []Finding `json:"findings"`
	Cautions []string  `json:"cautions"`
}

// Value is a number in JSON: finite with 12 significant digits, or null.
type Value float64

// MarshalJSON writes null for NaN and infinities and 0 for -0.
func (v Value) MarshalJSON() ([]byte, error) { return v.Append(nil), nil }

// Append appends the number as JSON writes it.
func (v Value) Append(b []byte) []byte {
	f := float64(v)
	switch {
	case math.IsNaN(f) || math.IsInf(f, 0):
		return append(b, "null"...)
	case f == 0: // -0 too
		return append(b, '0')
	}
	return strconv.AppendFloat(b, f, 'g', 12, 64)
}

// Null is the Value written as null.
var Null = Value(math.NaN())

// Range is the extent of a quantity in JSON.
type Range struct {
	Min   Value `json:"min"`
	Max   Value `json:"max"`
	Bound bool  `json:"bound,omitempty"`
}

// Build lays out a solved figure. Each section is built in its own file; the
// section of a part that was not computed is empty.
func Build(m *mech.Model, s *solve.Solution, findings []check.Finding) *Report {
	r := &Report{
		Version:  Version,
		Figure:   m.Name,
		Motor:    buildMotor(m, s),
		Shafts:   buildShafts(m, s),
		Repeat:   buildRepeat(m, s),
		Belts:    []Belt{},
		Gears:    []Gear{},
		Cams:     []Cam{},
		Linkages: []Linkage{},
		Findings: Findings(findings),
		Cautions: cautions[:],
	}
	if s.Has(solve.PartBelts) {
		r.Belts, r.Gears = buildBelts(m, s), buildGears(m, s)
	}
	if s.Has(solve.PartCams) {
		r.Cams = buildCams(m, s)
	}
	if s.Has(solve.PartTorso) {
		r.Torso = buildTorso(m, s)
	}
	if s.Has(solve.PartLinkages) {
		r.Linkages = buildLinkages(m, s)
	}
	if s.Has(solve.PartBeats) {
		r.Beats = buildBeats(m, s)
	}
	if s.Has(solve.PartFrame) {
		r.Frame = buildFrame(m, s)
	}
	return r
}
