package sweep

import (
	"context"
	"sync"
)

// Row is one answered variant.
type Row struct {
	Index  int      // from 0
	Values []string // of the axes
	Cells  []Cell   // one per column, all Nothing where Reason is set
	Reason string   // why there is no answer; "" when there is one
}

// Rows says which values each row of a run takes: a Plan, or a Study of
// tolerances with its dimensions.
type Rows interface {
	// Values writes the values of a row into out, one per axis.
	Values(row int, out []string)
}

// Answer solves one variant: it fills cells for the values, or returns the
// reason why it cannot. Each worker has its own.
type Answer func(values []string, cells []Cell) (reason string)

// chunkRows is how many rows a worker takes at a time: enough that handing
// over costs nothing beside solving, few enough that the cores end together.
const chunkRows = 32

type chunk struct {
	rows []Row
	done chan struct{}
}

// Run answers rows from..to-1, of so many axes and columns, on as many workers as there are answers and
// passes them to emit in order, whatever the number of workers. It holds a fixed
// number of rows at a time. It ends early when emit fails or the context ends,
// and then returns that error; the rows emitted until then are complete and in
// order.
func Run(ctx context.Context, rows Rows, axes, from, to, columns int, answers []Answer, emit func(*Row) error) error {
	ctx, stop := context.WithCancel(ctx)
	var workers sync.WaitGroup
	// The queue's length bounds how far the workers run ahead of emit.
	queue := make(chan *chunk, 4*len(answers))
	jobs := make(chan *chunk)
	free := make(chan *chunk, cap(queue)+len(answers)+2)
	workers.Go(func() {
		defer close(queue)
		defer close(jobs)
		deal(ctx, axes, from, to, columns, queue, jobs, free)
	})
	for _, answer := range answers {
		workers.Go(func() {
			for c := range jobs {
				for i := range c.rows {
					row := &c.rows[i]
					rows.Values(row.Index, row.Values)
					clear(row.Cells)
					row.Reason = answer(row.Values, row.Cells)
				}
				c.done <- struct{}{}
			}
		})
	}
	err := collect(ctx, queue, free, emit)
	stop()
	workers.Wait()
	return err
}

// deal hands out the rows in chunks, in order.
func deal(ctx context.Context, axes, from, to, columns int, queue, jobs chan<- *chunk, free <-chan *chunk) {
	for start := from; start < to; start += chunkRows {
		var c *chunk
		select {
		case c = <-free:
		default:
			c = newChunk(axes, columns)
		}
		c.rows = c.rows[:min(chunkRows, to-start)]
		for i := range c.rows {
			c.rows[i].Index = start + i
		}
		select {
		case queue <- c:
		case <-ctx.Done():
			return
		}
		select {
		case jobs <- c:
		case <-ctx.Done():
			return
		}
	}
}

func newChunk(axes, columns int) *chunk {
	c := &chunk{rows: make([]Row, chunkRows), done: make(chan struct{}, 1)}
	for i := range c.rows {
		c.rows[i].Values = make([]string, axes)
		c.rows[i].Cells = make([]Cell, columns)
	}
	return c
}

// collect emits the chunks in the order they were dealt.
func collect(ctx context.Context, queue <-chan *chunk, free chan<- *chunk, emit func(*Row) error) error {
	for c := range queue {
		select {
		case <-c.done:
		case <-ctx.Done():
			return ctx.Err()
		}
		for i := range c.rows {
			if err := emit(&c.rows[i]); err != nil {
				return err
			}
		}
		if ctx.Err() != nil {
			return ctx.Err()
		}
		select {
		case free <- c:
		default:
		}
	}
	return ctx.Err()
}
