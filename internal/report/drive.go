package report

import (
	"understage/internal/mech"
	"understage/internal/solve"
)

type Shaft struct{}
type Repeat struct{}
type Gear struct{}

func buildShafts(m *mech.Model, s *solve.Solution) []Shaft { return []Shaft{} }
func buildRepeat(m *mech.Model, s *solve.Solution) *Repeat { return nil }
func buildGears(m *mech.Model, s *solve.Solution) []Gear   { return []Gear{} }
func driveTables(r *Report, u Units) []Table               { return nil }
