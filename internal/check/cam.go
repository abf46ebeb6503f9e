package check

import (
	"understage/internal/mech"
	"understage/internal/solve"
)

func camFindings(m *mech.Model, s *solve.Solution) []Finding { return nil }
