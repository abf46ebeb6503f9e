package check

import (
	"understage/internal/mech"
	"understage/internal/solve"
)

func beltFindings(m *mech.Model, s *solve.Solution) []Finding { return nil }
