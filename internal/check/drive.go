package check

import (
	"understage/internal/mech"
	"understage/internal/solve"
)

func driveFindings(m *mech.Model, s *solve.Solution) []Finding { return nil }
