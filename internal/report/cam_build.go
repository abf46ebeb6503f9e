package report

import (
	"understage/internal/check"
	"understage/internal/mech"
	"understage/internal/solve"
)

// BuildCamView lays out cam i of a solved figure, with the findings about it.
func BuildCamView(file string, m *mech.Model, s *solve.Solution, i int, findings []check.Finding) CamView {
	return CamView{
		Cam:      BuildCam(m, &m.Cams[i], &s.Cams[i], s.Cams[i].Load.Speed),
		File:     file,
		Figure:   m.Name,
		Findings: Findings(findings),
	}
}

// BuildTorso lays out the torso of a solved figure; nil where it has none.
func BuildTorso(m *mech.Model, s *solve.Solution) *Torso { return buildTorso(m, s) }
