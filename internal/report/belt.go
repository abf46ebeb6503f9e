package report

import (
	"understage/internal/mech"
	"understage/internal/solve"
)

type Belt struct{}

func buildBelts(m *mech.Model, s *solve.Solution) []Belt { return []Belt{} }
func beltTables(r *Report, u Units) []Table              { return nil }
