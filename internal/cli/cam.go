package cli

import (
	"errors"
	"fmt"
	"io"
	"os"
	"strconv"

	"understage/internal/check"
	"understage/internal/mech"
	"understage/internal/report"
	"understage/internal/solve"
	"understage/internal/spec"

	"github.com/spf13/cobra"
	"golang.org/x/term"
)

type camOptions struct {
	specOptions
	outputOptions
	flags   camFlags
	names   []string
	against string
	step    string
}

func newCamCmd(a *app) *cobra.Command {
	var o camOptions
	cmd := &cobra.Command{
		Use:   "cam [SPEC...]",
		Short: "look closely at cams, or compare them",
		Long: `Solves cams, of figures or from flags alone: motion, rim, pressure angle, what
size they need, forces, torque, contact pressure and wear. One cam is shown in
full with its lift drawn over a turn; several stand side by side with the best
of each row starred. Without SPEC and without flags it takes the built-in
figure.

--step prints a row for each angle instead: lift and derivatives by the cam's
angle, pressure angle, and the rim with the timing mark along +X.

--against compares a cam that was cut with the one meant: the error over the
turn once rotation and height are put right, and what is left of it in the
torso. The cut one is a measured cam of the spec, or the radii of --measured or
--radii.

Exit status: 0 done, 1 solved but something is judged fail, 2 no answer.`,
		Example: `  understage cam watchman.yaml
  understage cam watchman.yaml --name sway --step 10 --csv > sway.csv
  understage cam watchman.yaml --against sway --measured rim.csv
  understage cam --law cycloidal --lift 8 --over 120 --base 15 --roller 4
  understage cam --law 3-4-5 --law modified-sine --lift 8 --over 120 \
      --base 15 --flat
  understage cam --eccentric 18,4 --roller 3 --rpm 20 --mass '40 g' \
      --spring '0.1 N/mm'`,
		RunE: func(cmd *cobra.Command, args []string) error { return runCam(a, args, o) },
	}
	f := cmd.Flags()
	f.StringArrayVar(&o.names, "name", nil, "cam of the spec to look at; repeatable; left out, all of them")
	f.StringVar(&o.against, "against", "", "`NAME` of the cam that the one looked at was meant to be")
	f.StringVar(&o.step, "step", "", "`angle` from row to row; prints rows")
	o.flags.add(f)
	addSpecFlags(cmd, &o.specOptions)
	addOutputFlags(cmd, &o.outputOptions, true)
	return cmd
}

// camFigure is one solved figure whose cams are looked at.
type camFigure struct {
	file     string
	model    *mech.Model
	solution *solve.Solution
	findings []check.Finding
}

// camChoice is one cam looked at.
type camChoice struct {
	figure *camFigure
	cam    int
}

func runCam(a *app, args []string, o camOptions) error {
	figures, err := camFigures(a, args, o)
	if err != nil {
		return err
	}
	if o.against != "" && o.flags.onlyRim() && len(args) > 0 {
		cams := figures[0].model.Cams
		o.names = []string{cams[len(cams)-1].Name}
	}
	chosen, err := chooseCams(figures, o.names)
	if err != nil {
		return err
	}
	if o.against != "" && len(chosen) > 1 {
		return fmt.Errorf("--against %s: compares one cam; --name says which was cut", o.against)
	}
	if o.step != "" {
		return writeCamRows(a, chosen, o)
	}
	if o.csv {
		return errors.New("cam: --csv goes with --step")
	}
	views := report.CamViews{Version: report.Version, Cams: []report.CamView{}}
	worst := check.OK
	for _, c := range chosen {
		view, findings, err := viewCam(c, len(figures) > 1, o.against)
		if err != nil {
			return err
		}
		worst = max(worst, check.Worst(findings))
		views.Cams = append(views.Cams, view)
	}
	style := a.camStyle(o, chosen[0].figure.model)
	err = a.write(o.outputOptions, func(w io.Writer) error {
		switch {
		case o.json:
			return writeJSON(w, views)
		case len(chosen) == 1:
			return views.Cams[0].WriteCam(w, chosen[0].compiled(), style)
		}
		return views.WriteComparison(w, style)
	})
	if err == nil && worst == check.Fail {
		err = errJudgedFail
	}
	return err
}

func (c camChoice) compiled() *solve.Cam { return c.figure.solution.Machine.Cams[c.cam] }

// camFigures solves the figures asked for, or the one that the flags describe.
func camFigures(a *app, args []string, o camOptions) ([]*camFigure, error) {
	flag := o.flags.given()
	if o.against != "" && len(args) > 0 && o.flags.onlyRim() {
		f, err := camFigureWithCut(a, args, o)
		return []*camFigure{f}, err
	}
	if flag != "" {
		if len(args) > 0 {
			return nil, fmt.Errorf("cam: --%s describes a cam, and so does %s; change a figure with --set", flag, args[0])
		}
		f, err := camFromFlags(a, o)
		return []*camFigure{f}, err
	}
	if len(args) == 0 {
		args = []string{""}
	}
	var figures []*camFigure
	for _, name := range args {
		one := []string{name}
		if name == "" {
			one = nil
		}
		s, err := a.loadOne(one, o.specOptions)
		if err != nil {
			return nil, err
		}
		solution := solve.Solve(s.Model)
		figures = append(figures, &camFigure{name, s.Model, solution, check.Findings(s.Model, solution)})
	}
	return figures, nil
}

func camFromFlags(a *app, o camOptions) (*camFigure, error) {
	source_, err := o.flags.spec()
	if err != nil {
		return nil, err
	}
	speed, err := o.flags.speed()
	if err != nil {
		return nil, err
	}
	src := source{source_, beside(".")}
	figure, messages := spec.Load(src.Source, o.set, src.read)
	if len(messages) > 0 {
		return nil, a.refuse(src, o.set, messages)
	}
	m := figure.Model
	sense := 1.0
	if o.flags.clockwise {
		sense = -1
	}
	solution := solve.SolveCamsAlone(m, sense, speed)
	return &camFigure{"", m, solution, check.CamFindings(m, solution)}, nil
}

// chooseCams picks the cams by name, all of them without one.
func chooseCams(figures []*camFigure, names []string) ([]camChoice, error) {
	var chosen []camChoice
	var known []string
	found := map[string]bool{}
	for _, f := range figures {
		for i := range f.model.Cams {
			name := f.model.Cams[i].Name
			known = append(known, name)
			wanted := len(names) == 0
			for _, n := range names {
				wanted = wanted || n == name
			}
			if wanted {
				found[name] = true
				chosen = append(chosen, camChoice{f, i})
			}
		}
	}
	for _, n := range names {
		if !found[n] {
			return nil, fmt.Errorf("--name %q: no such cam%s", n, nearest(n, known))
		}
	}
	if len(chosen) == 0 {
		return nil, errors.New("cam: the figure has no cam")
	}
	return chosen, nil
}

func viewCam(c camChoice, several bool, against string) (report.CamView, []check.Finding, error) {
	f := c.figure
	r := &f.solution.Cams[c.cam]
	r.Sizing = solve.SizeCam(c.compiled(), r, solve.CamPressureLimit(f.model.Limits, c.compiled()))
	var own []check.Finding
	where := spec.Path("cams", f.model.Cams[c.cam].Name)
	for _, finding := range f.findings {
		if finding.Where == where {
			own = append(own, finding)
		}
	}
	file := ""
	if several {
		file = f.file
	}
	view := report.BuildCamView(file, f.model, f.solution, c.cam, own)
	if against != "" {
		comparison, err := compareCut(c, against)
		if err != nil {
			return view, nil, err
		}
		view.Against = comparison
	}
	return view, own, nil
}

// camStyle fits the width of a terminal; a pipe and a file get 80 columns of
// ASCII.
func (a *app) camStyle(o camOptions, m *mech.Model) report.CamStyle {
	toScreen := (o.file == "" || o.file == "-") && terminal(a.stdout) && a.env("TERM") != "dumb"
	style := report.CamStyle{Style: report.Style{Units: report.Units{Lengths: m.Lengths}, Width: textWidth}, Plain: !toScreen}
	style.Color = (o.file == "" || o.file == "-") && a.colored(a.stdout)
	if !toScreen {
		return style
	}
	width, err := strconv.Atoi(a.env("COLUMNS"))
	if err != nil {
		if f, ok := a.stdout.(*os.File); ok {
			width, _, err = term.GetSize(int(f.Fd()))
		}
	}
	if err == nil {
		style.Width = min(max(width, textWidth/2), 2*textWidth)
	}
	return style
}
