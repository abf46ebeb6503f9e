package cli

import (
	"fmt"
	"time"
)

// meter shows on a terminal how far a long run is. It stays silent for the
// first second and where standard error is not a terminal.
type meter struct {
	a           *app
	total, rows int
	start, last time.Time
	shown       bool
}

func newMeter(a *app, total int) *meter {
	m := &meter{a: a, total: total}
	if terminal(a.stderr) {
		m.start = time.Now()
		m.last = m.start
	}
	return m
}

// step counts one row.
func (m *meter) step() {
	m.rows++
	if m.start.IsZero() || m.rows%16 != 0 {
		return
	}
	now := time.Now()
	if now.Sub(m.last) < time.Second {
		return
	}
	m.last = now
	rate := float64(m.rows) / now.Sub(m.start).Seconds()
	left := time.Duration(float64(m.total-m.rows) / rate * float64(time.Second)).Round(time.Second)
	fmt.Fprintf(m.a.stderr, "\r%d of %d rows, %.0f a second, %s left \x1b[K", m.rows, m.total, rate, left)
	m.shown = true
}

// done clears the line.
func (m *meter) done() {
	if m.shown {
		fmt.Fprint(m.a.stderr, "\r\x1b[K")
	}
}
