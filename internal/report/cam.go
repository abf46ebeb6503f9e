package report

import (
	"understage/internal/mech"
	"understage/internal/solve"
)

type Cam struct{}

func buildCams(m *mech.Model, s *solve.Solution) []Cam { return []Cam{} }
func camTables(r *Report, u Units) []Table             { return nil }
