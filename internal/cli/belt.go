package cli

import (
	"fmt"
	"io"

	"understage/internal/check"
	"understage/internal/mech"
	"understage/internal/report"
	"understage/internal/solve"
	"understage/internal/standard"

	"github.com/spf13/cobra"
)

type beltOptions struct {
	specOptions
	outputOptions
	layout beltLayout
	name   string
	belt   string
	duty   beltDutyFlags
	place  beltPlaceFlags
	choose beltChooseFlags
}

func newBeltCmd(a *app) *cobra.Command {
	var o beltOptions
	cmd := &cobra.Command{
		Use:   "belt [SPEC]",
		Short: "fit, place, choose and tension toothed belts",
		Long: `Solves belt loops, of a figure or from flags alone: exact length, wraps and
teeth in mesh, the stocked lengths around it with what each needs, where a
pulley must stand for a given belt, tension, pull on the shafts and the pitch of
a plucked span. The maker's drawer comes before the standard lists.

From flags, pulleys stand in the order of --teeth: a number is a sprocket, d10 a
plain pulley 10 across, and :back puts it at the belt's back. They are named 1,
2, 3 ... Without --take-up any travel of the last sprocket along the line from
the first may be had.

Exit status: 0 done, 1 solved but something is judged fail, 2 no answer.`,
		Example: `  understage belt --pitch MXL --teeth 18,40 --centre 60
  understage belt --pitch MXL --teeth 18,40 --belt 90
  understage belt --pitch 3M --teeth 20,32,d12:back --at 0,0 --at 70,0 --at 35,8
  understage belt watchman.yaml --belt 125 --torque '0.1 N·m'
  understage belt watchman.yaml --belt 125 --move side --along 1,1
  understage belt watchman.yaml --choose --speed side=7..9 --speed fore=7..9`,
		Args: upTo(1),
		RunE: func(cmd *cobra.Command, args []string) error { return runBelt(a, args, o) },
	}
	f := cmd.Flags()
	o.layout.add(f)
	f.StringVar(&o.name, "name", "", "belt of the spec to look at; left out, all of them")
	f.StringVar(&o.belt, "belt", "", "fit this belt: its teeth, or a stock code such as 100MXL")
	o.duty.add(f)
	o.place.add(f)
	o.choose.add(f)
	addSpecFlags(cmd, &o.specOptions)
	addOutputFlags(cmd, &o.outputOptions, false)
	return cmd
}

func runBelt(a *app, args []string, o beltOptions) error {
	m, err := beltModel(a, args, o)
	if err != nil {
		return err
	}
	only, err := beltsAsked(m, o.name)
	if err != nil {
		return err
	}
	if err := fitAsked(m, only, o.belt); err != nil {
		return err
	}
	if o.layout.given() {
		if err := o.layout.placeForBelt(m); err != nil {
			return err
		}
	}
	result, worst, err := solveBelts(a, m, only, o)
	if err != nil {
		return err
	}
	err = a.write(o.outputOptions, func(w io.Writer) error {
		if o.json {
			return writeJSON(w, result)
		}
		return result.WriteText(w, report.Style{Units: report.Units{Lengths: m.Lengths}, Width: textWidth, Color: o.file == "" && a.colored(a.stdout)})
	})
	if err == nil && worst == check.Fail {
		err = errJudgedFail
	}
	return err
}

// beltModel returns the figure of the spec, or one built from the flags.
func beltModel(a *app, args []string, o beltOptions) (*mech.Model, error) {
	if o.layout.given() {
		if len(args) > 0 {
			return nil, fmt.Errorf("belt: --%s says the pulleys, and so does %s: give one of them", o.layout.firstGiven(), args[0])
		}
		return o.layout.model(a)
	}
	figure, err := a.loadOne(args, o.specOptions)
	if err != nil {
		return nil, err
	}
	if err := o.layout.drawer(a, figure.Model); err != nil {
		return nil, err
	}
	return figure.Model, nil
}

// beltsAsked returns the indices of the belts to look at.
func beltsAsked(m *mech.Model, name string) ([]int, error) {
	var all []int
	var names []string
	for i, b := range m.Belts {
		if name == "" || b.Name == name {
			all = append(all, i)
		}
		names = append(names, b.Name)
	}
	switch {
	case len(m.Belts) == 0:
		return nil, fmt.Errorf("belt: the figure has no belt")
	case len(all) == 0:
		return nil, fmt.Errorf("--name %q: no such belt%s", name, nearest(name, names))
	}
	return all, nil
}

// fitAsked puts the belt of --belt on the loop it is meant for.
func fitAsked(m *mech.Model, only []int, text string) error {
	if text == "" {
		return nil
	}
	if len(only) != 1 {
		return fmt.Errorf("--belt %s: the figure has several belts; --name says which", text)
	}
	b := &m.Belts[only[0]]
	teeth, err := beltTeeth(b.Section.Name, text)
	if err != nil {
		return err
	}
	b.Teeth = teeth
	return nil
}

// solveBelts solves the belts asked for, and what else is asked about them.
func solveBelts(a *app, m *mech.Model, only []int, o beltOptions) (*report.Belts, check.Severity, error) {
	placed, more, err := o.place.solve(m, only)
	if err != nil {
		return nil, check.OK, err
	}
	s := solve.Solve(m)
	gaps := solve.SolveLayout(m, s.Belts)
	result := &report.Belts{Version: 1, Figure: m.Name, Belts: []report.BeltDetail{}}
	for _, i := range only {
		b, r := &m.Belts[i], &s.Belts[i]
		detail := report.BuildBeltDetail(m, b, r)
		if placed.belt == i {
			detail.Positions = placed.positions
		}
		load, err := o.duty.load(m, s, i)
		if err != nil {
			return nil, check.OK, err
		}
		detail.Tension = tension(m, s, i, load)
		result.Belts = append(result.Belts, detail)
		more = append(more, check.Belt(m, s, i, load, gaps)...)
	}
	if o.choose.on {
		if len(only) != 1 {
			return nil, check.OK, fmt.Errorf("--choose: the figure has several belts; --name says which")
		}
		if result.Choices, err = o.choose.run(a, m, s, only[0]); err != nil {
			return nil, check.OK, err
		}
	}
	result.Findings = report.Findings(more)
	return result, check.Worst(more), nil
}

// sectionOf returns the belt system of that name.
func sectionOf(name string) (standard.Section, error) {
	s, ok := standard.FindSection(name)
	if !ok {
		hint := ""
		if near := standard.NearestSection(name); near != "" {
			hint = fmt.Sprintf(" (did you mean %q?)", near)
		}
		return s, fmt.Errorf("--pitch %q: no such belt system%s; there are %s", name, hint, listed(standard.SectionNames()))
	}
	return s, nil
}

// listed joins words with commas and a last "and".
func listed(words []string) string {
	text := ""
	for i, w := range words {
		switch {
		case i > 0 && i == len(words)-1:
			text += " and "
		case i > 0:
			text += ", "
		}
		text += w
	}
	return text
}
