package cli

import (
	"context"
	"errors"
	"fmt"
	"os"
	"os/signal"
	"runtime"
	"strconv"
	"strings"

	"understage/internal/sweep"

	"github.com/spf13/cobra"
)

type sweepOptions struct {
	specOptions
	outputOptions
	vary   []string
	pair   bool
	sample int
	seed   uint64
	show   []string
	keep   []string
	best   string
	front  string
	top    int
	part   string
	resume string
}

func newSweepCmd(a *app) *cobra.Command {
	var o sweepOptions
	cmd := &cobra.Command{
		Use:   "sweep SPEC --vary PATH=VALUES",
		Short: "solve many variants of a figure and list the answers",
		Long: `Solves the figure once for every combination of the values of each --vary and
prints a row for each. Values are a list (18, 20, 22), words (cycloidal, 3-4-5)
or a range with a step (14..18 by 0.5 mm). --pair steps the lists together;
--sample draws from the ranges by Latin hypercube.

--show names the columns by their path in report --json; an element of a list
goes by its name (belts.loop.take_up_mm). fail, caution and unknown count the
findings. A variant that cannot be solved is a row with its reason.

--best KEY lists the rows with the least KEY first ('most KEY': the greatest);
--front KEY,KEY keeps the rows that none other beats by all of the keys.

With --out the rows go to FILE.partial, which becomes FILE when all are there.
After an interruption --resume FILE goes on where it ended. --part K/N does the
Kth of N equal parts; the parts' files in order make up the whole.`,
		Example: `  understage sweep watchman.yaml --vary 'motor.supply=4..6 by 0.25 V' \
      --show motor.running_rpm
  understage sweep watchman.yaml --vary cams.sway.base=14,16,18 \
      --vary 'drive.belts.loop.run.1.teeth=36..44 by 1' \
      --keep 'fail == 0' --best torso.tilt_deg.max`,
		Args: oneSpec,
		RunE: func(cmd *cobra.Command, args []string) error { return runSweep(a, args[0], o) },
	}
	f := cmd.Flags()
	f.StringArrayVar(&o.vary, "vary", nil, "`PATH=VALUES` to step through; repeatable")
	f.BoolVar(&o.pair, "pair", false, "step all lists together instead of crossing them")
	f.IntVar(&o.sample, "sample", 0, "draw `N` variants from the ranges instead of crossing them")
	f.Uint64Var(&o.seed, "seed", 1, "seed of the draws")
	f.StringArrayVar(&o.show, "show", nil, "`KEY` of a column, by its path in report --json; repeatable, or several with commas")
	f.StringArrayVar(&o.keep, "keep", nil, "keep only rows that meet `'KEY < VALUE'`; repeatable")
	f.StringVar(&o.best, "best", "", "rank by `KEY`, least first ('most KEY': greatest first)")
	f.StringVar(&o.front, "front", "", "keep the rows not beaten by all of `KEY,KEY`")
	f.IntVar(&o.top, "top", 20, "rows that --best lists")
	f.StringVar(&o.part, "part", "", "do part `K/N` of the rows")
	f.StringVar(&o.resume, "resume", "", "go on with the interrupted `FILE`")
	addSpecFlags(cmd, &o.specOptions)
	addOutputFlags(cmd, &o.outputOptions, true)
	cmd.MarkFlagsMutuallyExclusive("pair", "sample")
	cmd.MarkFlagsMutuallyExclusive("best", "front")
	cmd.MarkFlagsMutuallyExclusive("resume", "out")
	return cmd
}

// sweepRun is a sweep that has been checked and can start.
type sweepRun struct {
	plan     *sweep.Plan
	from, to int
	headed   bool        // this run begins with the header: it is not a later part
	columns  []sweep.Key // those shown first, then those only filtered or ranked by
	shown    int
	filters  []sweep.Filter
	goals    []sweep.Goal
	figure   *variants
}

func runSweep(a *app, name string, o sweepOptions) error {
	run, err := planSweep(a, name, o)
	if err != nil {
		return err
	}
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	defer stop()
	switch {
	case o.best != "" || o.front != "":
		return runRanked(ctx, a, run, o)
	case o.file == "" && o.resume == "" && !o.json && !o.csv:
		return runTable(ctx, a, run, o)
	}
	return runRows(ctx, a, run, o)
}

// planSweep reads everything the flags say and refuses what cannot be run,
// before the first variant is solved.
func planSweep(a *app, name string, o sweepOptions) (*sweepRun, error) {
	if len(o.vary) == 0 {
		return nil, errors.New("sweep needs at least one --vary PATH=VALUES")
	}
	figure, err := a.loadVariants(name, o.set)
	if err != nil {
		return nil, err
	}
	run := &sweepRun{figure: figure, headed: true}
	if run.plan, err = planRows(o); err != nil {
		return nil, err
	}
	for _, path := range run.paths() {
		if messages := figure.figure.CheckPath(path); len(messages) > 0 {
			return nil, fmt.Errorf("--vary %s", reason(messages))
		}
	}
	run.to = run.plan.Rows
	if o.part != "" {
		if o.best != "" || o.front != "" {
			return nil, errors.New("--part cannot rank: a part does not know the other rows")
		}
		k, n, err := parsePart(o.part)
		if err != nil {
			return nil, err
		}
		run.from, run.to = run.plan.Part(k, n)
		run.headed = k == 1
	}
	return run, run.planColumns(o)
}

func planRows(o sweepOptions) (*sweep.Plan, error) {
	var axes []sweep.Axis
	for _, text := range o.vary {
		axis, err := sweep.ParseAxis(text)
		if err != nil {
			return nil, err
		}
		for _, other := range axes {
			if other.Path == axis.Path {
				return nil, fmt.Errorf("--vary %s: varied twice", axis.Path)
			}
		}
		axes = append(axes, axis)
	}
	switch {
	case o.sample != 0:
		return sweep.NewSample(axes, o.sample, o.seed)
	case o.pair:
		return sweep.NewPairs(axes)
	}
	return sweep.NewGrid(axes)
}

func parsePart(text string) (k, n int, err error) {
	left, right, ok := strings.Cut(text, "/")
	if ok {
		k, err = strconv.Atoi(left)
		if err == nil {
			n, err = strconv.Atoi(right)
		}
	}
	if !ok || err != nil || k < 1 || n < 1 || k > n {
		return 0, 0, fmt.Errorf("--part %q: want K/N with K from 1 to N, such as 2/8", text)
	}
	return k, n, nil
}

// planColumns finds every key the flags name in the figure's own report.
func (run *sweepRun) planColumns(o sweepOptions) error {
	shown := splitKeys(o.show)
	if len(shown) == 0 {
		shown = run.figure.usualKeys()
	}
	for _, path := range shown {
		if _, err := run.column(path); err != nil {
			return fmt.Errorf("--show: %w", err)
		}
	}
	run.shown = len(run.columns)
	for _, text := range o.keep {
		path, operator, value, err := sweep.SplitFilter(text)
		if err != nil {
			return err
		}
		at, err := run.column(path)
		if err != nil {
			return fmt.Errorf("--keep: %w", err)
		}
		filter, err := sweep.NewFilter(at, run.columns[at], operator, value)
		if err != nil {
			return err
		}
		run.filters = append(run.filters, filter)
	}
	for _, text := range splitKeys([]string{o.best, o.front}) {
		path, most := strings.CutPrefix(text, "most ")
		path, _ = strings.CutPrefix(path, "least ")
		at, err := run.column(strings.TrimSpace(path))
		if err != nil {
			return fmt.Errorf("ranking: %w", err)
		}
		run.goals = append(run.goals, sweep.Goal{Column: at, Most: most})
	}
	if o.best != "" && len(run.goals) != 1 {
		return errors.New("--best ranks by one KEY; --front takes several")
	}
	return nil
}

// column returns the place of a key among the columns, adding it where it is
// new.
func (run *sweepRun) column(path string) (int, error) {
	for i, k := range run.columns {
		if k.Path == path {
			return i, nil
		}
	}
	key, err := sweep.ParseKey(path, run.figure.base)
	if err != nil {
		return 0, err
	}
	run.columns = append(run.columns, key)
	return len(run.columns) - 1, nil
}

// splitKeys splits comma lists of keys and drops empty ones.
func splitKeys(lists []string) []string {
	var out []string
	for _, list := range lists {
		for _, key := range strings.Split(list, ",") {
			if key = strings.TrimSpace(key); key != "" {
				out = append(out, key)
			}
		}
	}
	return out
}

// paths lists the varied paths.
func (run *sweepRun) paths() []string {
	paths := make([]string, len(run.plan.Axes))
	for i, axis := range run.plan.Axes {
		paths[i] = axis.Path
	}
	return paths
}

// each runs the rows and passes those the filters keep to emit, in order.
func (run *sweepRun) each(ctx context.Context, a *app, emit func(*sweep.Row) error) error {
	answers := make([]sweep.Answer, runtime.GOMAXPROCS(0))
	for i := range answers {
		answers[i] = run.figure.answer(run.paths(), run.columns, nil, run.plan.Nested())
	}
	defer letGarbagePile(len(answers))()
	meter := newMeter(a, run.to-run.from)
	defer meter.done()
	return sweep.Run(ctx, run.plan, len(run.plan.Axes), run.from, run.to, len(run.columns), answers, func(r *sweep.Row) error {
		meter.step()
		for i := range run.filters {
			if !run.filters[i].Keep(r.Cells) {
				return nil
			}
		}
		return emit(r)
	})
}
