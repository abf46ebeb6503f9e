package report

import (
	"understage/internal/mech"
	"understage/internal/solve"
)

type Motor struct{}

func buildMotor(m *mech.Model, s *solve.Solution) *Motor { return nil }
func motorTables(r *Report, u Units) []Table             { return nil }
