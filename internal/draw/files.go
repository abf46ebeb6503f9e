package draw

import (
	"fmt"
	"strings"
	"unicode"

	"understage/internal/geom"
	"understage/internal/mech"
	"understage/internal/solve"
)

// File is one file of a set of drawings.
type File struct {
	Name string
	Data []byte
}

// set gathers files and keeps their names apart.
type set struct {
	files []File
	taken map[string]bool
}

// Files draws everything a figure needs on paper, for the cutter and for the
// printer. A cam whose rim cannot be made is drawn, but not cut. It fails as a
// whole.
func Files(m *mech.Model, s *solve.Solution) ([]File, error) {
	out := set{taken: map[string]bool{}}
	for i := range s.Frame.Plates {
		if err := out.plate(m, s, &s.Frame.Plates[i]); err != nil {
			return nil, err
		}
	}
	for i := range m.Cams {
		if err := out.cam(m, s, i); err != nil {
			return nil, err
		}
	}
	for _, view := range geom.Views {
		if d, ok := LayoutDrawing(m, s, view); ok {
			if err := out.sheet(d); err != nil {
				return nil, err
			}
		}
	}
	for _, view := range [2]geom.View{geom.Front, geom.Plan} {
		if d, ok := StackDrawing(m, s, view); ok {
			if err := out.sheet(d); err != nil {
				return nil, err
			}
		}
	}
	for _, view := range [2]geom.View{geom.Plan, geom.Front} {
		if d, ok := SwayDrawing(m, s, view); ok {
			if err := out.sheet(d); err != nil {
				return nil, err
			}
		}
	}
	return out.files, nil
}

// sheet adds a drawing as SVG and PDF.
func (f *set) sheet(d Drawing) error {
	stem := f.stem(d.Name)
	pdf, err := PDF(d)
	if err != nil {
		return fmt.Errorf("%s: %w", d.Name, err)
	}
	f.files = append(f.files, File{stem + ".svg", d.SVG()}, File{stem + ".pdf", pdf})
	return nil
}

func (f *set) plate(m *mech.Model, s *solve.Solution, p *solve.PlateResult) error {
	if len(p.Holes) == 0 && len(p.Outline) == 0 {
		return nil // nothing says how large it is; a finding says so
	}
	d := PlateDrawing(m, s, p)
	cut := PlateCut(m, p)
	d.Notes = append(d.Notes, cutterNote(m))
	return f.made(d, cut, PlateSolid(s, p), p.Least.Wall > 0 || !p.Wall)
}

func (f *set) cam(m *mech.Model, s *solve.Solution, i int) error {
	d := CamDrawing(m, s, i)
	c := &m.Cams[i]
	if s.Machine.Cams[i].Status != solve.CamSolved {
		return f.sheet(d)
	}
	d.Notes = append(d.Notes, cutterNote(m))
	cut := CamCut(m, s, i)
	if c.Follower != nil && c.Follower.Path == mech.Axial {
		return f.made(d, cut, Solid{}, false)
	}
	return f.made(d, cut, CamSolid(m, s, i), !s.Cams[i].Undercut && boreFits(m, s, i))
}

// boreFits reports whether a cam's bore leaves any rim.
func boreFits(m *mech.Model, s *solve.Solution, cam int) bool {
	return 2*shaftRadius(s, m.Cams[cam].Shaft)+m.Frame.HoleAllowance < 2*s.Cams[cam].Base
}

// made adds a part that is made: on paper, for the cutter, and, where its edges
// do not meet, for the printer.
func (f *set) made(d, cut Drawing, solid Solid, printable bool) error {
	stem := f.stem(d.Name)
	pdf, err := PDF(d)
	if err != nil {
		return fmt.Errorf("%s: %w", d.Name, err)
	}
	f.files = append(f.files, File{stem + ".svg", d.SVG()}, File{stem + ".pdf", pdf}, File{stem + ".dxf", cut.DXF()})
	if !printable {
		return nil
	}
	stl, err := solid.STL(d.Name)
	if err != nil {
		return fmt.Errorf("%s: %w", d.Name, err)
	}
	f.files = append(f.files, File{stem + ".stl", stl})
	return nil
}

// cutterNote says where the lines of the cutting file lie.
func cutterNote(m *mech.Model) string {
	if m.Frame.Cutter > 0 {
		return fmt.Sprintf("in the DXF the lines are the middle of a cut %s wide; here they are the finished edges", inUnit(m, m.Frame.Cutter))
	}
	return "lines are the finished edges; frame.cutter makes room for a cutter or blade in the DXF"
}

// stem returns a file name for a part's name: letters, digits, dots and dashes,
// no two alike whatever the case.
func (f *set) stem(name string) string {
	clean := strings.Map(func(r rune) rune {
		if unicode.IsLetter(r) || unicode.IsDigit(r) || r == '-' || r == '_' {
			return r
		}
		return '_'
	}, name)
	const longest = 60 // runes, so that no file system refuses it
	if runes := []rune(clean); len(runes) > longest {
		clean = string(runes[:longest])
	}
	stem := clean
	for n := 2; f.taken[strings.ToLower(stem)]; n++ {
		stem = fmt.Sprintf("%s-%d", clean, n)
	}
	f.taken[strings.ToLower(stem)] = true
	return stem
}
