package spec

import (
	"embed"
	"strings"
)

//go:embed figures/*.yaml
var figureFiles embed.FS

// Figure is a spec that is built in, for a maker to start from.
type Figure struct {
	Name  string // as the command line writes it
	Title string
	Text  []byte
}

// figureNames and their titles, the one that stands in for no spec at all
// first.
var figureNames = [...][2]string{
	{"watchman", "Harbour watchman: two cams rock the torso, a staff beats time"},
	{"baker", "Night baker: in inches, all shafts front to back"},
	{"tinker", "Tinker's hammer: one cam that lifts and drops, no torso"},
}

// Figures returns the built-in figures. The text is the caller's own.
func Figures() []Figure {
	figures := make([]Figure, len(figureNames))
	for i, f := range figureNames {
		text, err := figureFiles.ReadFile("figures/" + f[0] + ".yaml")
		if err != nil {
			text = nil // a test sees to it that every file is there
		}
		figures[i] = Figure{Name: f[0], Title: f[1], Text: text}
	}
	return figures
}

// FindFigure returns the built-in figure of that name, whatever its case.
func FindFigure(name string) (Figure, bool) {
	for _, f := range Figures() {
		if strings.EqualFold(f.Name, name) {
			return f, true
		}
	}
	return Figure{}, false
}
