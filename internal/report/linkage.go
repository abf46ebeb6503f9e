package report

import (
	"understage/internal/mech"
	"understage/internal/solve"
)

type Linkage struct{}
type Beats struct{}

func buildLinkages(m *mech.Model, s *solve.Solution) []Linkage { return []Linkage{} }
func buildBeats(m *mech.Model, s *solve.Solution) *Beats       { return nil }
func linkageTables(r *Report, u Units) []Table                 { return nil }
