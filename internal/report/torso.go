package report

import (
	"understage/internal/mech"
	"understage/internal/solve"
)

type Torso struct{}

func buildTorso(m *mech.Model, s *solve.Solution) *Torso { return nil }
func torsoTables(r *Report, u Units) []Table             { return nil }
