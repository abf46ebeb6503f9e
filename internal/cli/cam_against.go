package cli

import (
	"fmt"

	"understage/internal/check"
	"understage/internal/mech"
	"understage/internal/report"
	"understage/internal/solve"
	"understage/internal/spec"

	"github.com/spf13/cobra"
)

// compareCut compares a cut cam with the one meant, and the torso with either.
func compareCut(c camChoice, against string) (*report.CamComparison, error) {
	f := c.figure
	meant, err := camNamed(f.model, "--against", against)
	if err != nil {
		return nil, err
	}
	if meant == c.cam {
		return nil, fmt.Errorf("--against %s: that is the cam itself; --name says which one was cut", against)
	}
	machine := f.solution.Machine
	result := solve.CompareCams(machine, c.cam, meant)
	var before, after *report.Torso
	if f.solution.Torso != nil && result.Status == solve.CamSolved {
		changed := result.WithCut(machine, c.cam, meant)
		before = report.BuildTorso(f.model, f.solution)
		after = report.BuildTorso(changed, solve.Solve(changed))
	}
	return report.BuildCamComparison(against, &result, machine.Cams[meant].Swings(), before, after), nil
}

// cutName names a rim measured beside a figure as no cam of the figure is named.
func cutName(m *mech.Model) string {
	name := "as-cut"
	for i := 0; i < len(m.Cams); i++ {
		if m.Cams[i].Name == name {
			name, i = name+"-2", -1
		}
	}
	return name
}

// camFigureWithCut adds the rim of --measured or --radii to the figure, beside
// the cam it was meant to be, and solves that.
func camFigureWithCut(a *app, args []string, o camOptions) (*camFigure, error) {
	if err := upTo(1)(&cobra.Command{Use: "cam"}, args); err != nil {
		return nil, err
	}
	s, err := a.loadOne(args, o.specOptions)
	if err != nil {
		return nil, err
	}
	m := s.Model
	meant, err := camNamed(m, "--against", o.against)
	if err != nil {
		return nil, err
	}
	o.flags.inches = m.Lengths == mech.Inch
	text, err := o.flags.spec()
	if err != nil {
		return nil, err
	}
	src := source{text, beside(".")}
	rim, messages := spec.Load(src.Source, nil, src.read)
	if len(messages) > 0 {
		return nil, a.refuse(src, nil, messages)
	}
	cut := m.Cams[meant]
	cut.Name, cut.Base, cut.Shape = cutName(m), 0, rim.Model.Cams[0].Shape
	m.Cams = append(m.Cams, cut)
	solution := solve.Solve(m)
	return &camFigure{args[0], m, solution, check.Findings(m, solution)}, nil
}

// camNamed returns the index of the cam that a flag names.
func camNamed(m *mech.Model, flag, name string) (int, error) {
	var names []string
	for i := range m.Cams {
		if m.Cams[i].Name == name {
			return i, nil
		}
		names = append(names, m.Cams[i].Name)
	}
	return 0, fmt.Errorf("%s %q: no such cam%s", flag, name, nearest(name, names))
}
