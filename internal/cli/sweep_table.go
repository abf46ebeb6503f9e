package cli

import (
	"context"
	"errors"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"

	"understage/internal/report"
	"understage/internal/sweep"
)

// runTable collects the rows and prints them as a table.
func runTable(ctx context.Context, a *app, run *sweepRun, o sweepOptions) error {
	const most = 10_000
	var rows []sweep.Row
	err := run.each(ctx, a, func(r *sweep.Row) error {
		if len(rows) == most {
			return fmt.Errorf("more than %d rows make no table; give --csv, --json or --best", most)
		}
		rows = append(rows, r.Copy())
		return nil
	})
	if err != nil && !errors.Is(err, context.Canceled) {
		return err
	}
	if printErr := a.write(o.outputOptions, func(w io.Writer) error { return run.writeTable(w, rows) }); printErr != nil {
		return printErr
	}
	return interrupted(err, len(rows))
}

// runRanked keeps the best rows only and prints them when all are solved.
func runRanked(ctx context.Context, a *app, run *sweepRun, o sweepOptions) error {
	front := sweep.Front{Goals: run.goals}
	best := sweep.Best{Goal: run.goals[0], Most: o.top}
	err := run.each(ctx, a, func(r *sweep.Row) error {
		if o.front != "" {
			front.Add(r)
		} else {
			best.Add(r)
		}
		return nil
	})
	if err != nil {
		return interrupted(err, 0)
	}
	rows := front.Rows
	if o.best != "" {
		rows = best.Rows()
	}
	return a.write(o.outputOptions, func(w io.Writer) error {
		if !o.csv && !o.json {
			return run.writeTable(w, rows)
		}
		format := run.format(w, o.json)
		format.head()
		for i := range rows {
			format.row(&rows[i])
		}
		return format.err
	})
}

// interrupted words the end of a run that Ctrl-C cut short.
func interrupted(err error, rows int) error {
	if errors.Is(err, context.Canceled) {
		return fmt.Errorf("interrupted after %d rows", rows)
	}
	return err
}

// writeTable prints rows for reading. The columns' heads are their keys, cut
// to what tells them apart.
func (run *sweepRun) writeTable(w io.Writer, rows []sweep.Row) error {
	t := report.Table{Columns: []report.Column{{Head: "row", Right: true}}}
	heads := make([]string, 0, len(run.plan.Axes)+run.shown)
	for _, axis := range run.plan.Axes {
		heads = append(heads, axis.Path)
	}
	for _, key := range run.columns[:run.shown] {
		heads = append(heads, key.Path)
	}
	for i, head := range shortHeads(heads) {
		t.Columns = append(t.Columns, report.Column{Head: head, Right: true})
		if head != heads[i] {
			t.Notes = append(t.Notes, head+" = "+heads[i])
		}
	}
	reasons := slices.ContainsFunc(rows, func(r sweep.Row) bool { return r.Reason != "" })
	if reasons {
		t.Columns = append(t.Columns, report.Column{Head: "reason"})
	}
	for _, r := range rows {
		cells := append([]string{strconv.Itoa(r.Index)}, r.Values...)
		for _, c := range r.Cells[:run.shown] {
			cells = append(cells, tableCell(c))
		}
		if reasons {
			cells = append(cells, r.Reason)
		}
		t.Rows = append(t.Rows, cells)
	}
	return t.Write(w, textWidth)
}

func tableCell(c sweep.Cell) string {
	switch c.Kind {
	case sweep.Number:
		return strconv.FormatFloat(c.Number, 'g', 6, 64)
	case sweep.Text:
		return c.Text
	}
	return "-"
}

// shortHeads cuts each path to its last steps, as many as tell it from the
// others.
func shortHeads(paths []string) []string {
	out := make([]string, len(paths))
	for i, path := range paths {
		steps := strings.Split(path, ".")
		for keep := 1; keep <= len(steps); keep++ {
			out[i] = strings.Join(steps[len(steps)-keep:], ".")
			last := steps[len(steps)-keep]
			if _, err := strconv.Atoi(last); err == nil || last == "min" || last == "max" {
				continue
			}
			same := 0
			for _, other := range paths {
				if other == out[i] || strings.HasSuffix(other, "."+out[i]) {
					same++
				}
			}
			if same == 1 {
				break
			}
		}
	}
	return out
}
