// Package report lays a solved and judged figure out as values for JSON and as
// tables for a terminal. It computes nothing about the figure.
package report

import (
	"math"
	"slices"
	"strconv"
	"strings"

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
	r := allSections.Build(m, s)
	r.Findings = Findings(findings)
	return r
}

// Sections builds some sections of a report, for a long run that asks for no
// more. The others are empty.
type Sections []section

// section is a top-level key of the report and what fills it.
type section struct {
	key   string
	build func(r *Report, m *mech.Model, s *solve.Solution)
}

var allSections = Sections{
	{"motor", func(r *Report, m *mech.Model, s *solve.Solution) { r.Motor = buildMotor(m, s) }},
	{"shafts", func(r *Report, m *mech.Model, s *solve.Solution) { r.Shafts = buildShafts(m, s) }},
	{"repeat", func(r *Report, m *mech.Model, s *solve.Solution) { r.Repeat = buildRepeat(m, s) }},
	{"belts", whenHas(solve.PartBelts, func(r *Report, m *mech.Model, s *solve.Solution) { r.Belts = buildBelts(m, s) })},
	{"gears", whenHas(solve.PartBelts, func(r *Report, m *mech.Model, s *solve.Solution) { r.Gears = buildGears(m, s) })},
	{"cams", whenHas(solve.PartCams, func(r *Report, m *mech.Model, s *solve.Solution) { r.Cams = buildCams(m, s) })},
	{"torso", whenHas(solve.PartPlaces, func(r *Report, m *mech.Model, s *solve.Solution) { r.Torso = buildTorso(m, s) })},
	{"linkages", whenHas(solve.PartLinkages, func(r *Report, m *mech.Model, s *solve.Solution) { r.Linkages = buildLinkages(m, s) })},
	{"beats", whenHas(solve.PartBeats, func(r *Report, m *mech.Model, s *solve.Solution) { r.Beats = buildBeats(m, s) })},
	{"frame", whenHas(solve.PartFrame, func(r *Report, m *mech.Model, s *solve.Solution) { r.Frame = buildFrame(m, s) })},
}

// whenHas builds a section when its part was computed.
func whenHas(part solve.Parts, build func(*Report, *mech.Model, *solve.Solution)) func(*Report, *mech.Model, *solve.Solution) {
	return func(r *Report, m *mech.Model, s *solve.Solution) {
		if s.Has(part) {
			build(r, m, s)
		}
	}
}

// SectionsOf returns the sections that hold the keys at the JSON paths.
func SectionsOf(paths []string) Sections {
	var list Sections
	for _, section := range allSections {
		if slices.ContainsFunc(paths, func(path string) bool {
			top, _, _ := strings.Cut(path, ".")
			return top == section.key
		}) {
			list = append(list, section)
		}
	}
	return list
}

// Build lays out the sections of a solved figure, without its findings.
func (list Sections) Build(m *mech.Model, s *solve.Solution) *Report {
	r := &Report{
		Version:  Version,
		Figure:   m.Name,
		Shafts:   []Shaft{},
		Belts:    []Belt{},
		Gears:    []Gear{},
		Cams:     []Cam{},
		Linkages: []Linkage{},
		Findings: []Finding{},
		Cautions: cautions[:],
	}
	for _, section := range list {
		section.build(r, m, s)
	}
	return r
}
