package solve

import "testing"

// draws is how many random cases a property is tried on: under -short, with
// which the race detector's slow run goes, one in six of them.
func draws(n int) int {
	if testing.Short() {
		return max(1, n/6)
	}
	return n
}
