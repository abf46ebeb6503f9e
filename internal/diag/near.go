package diag

import "strings"

// Near returns the known word that the reader most likely meant, "" where none
// is near. A word that differs in case only is near at any length. Otherwise
// words of four letters and more may be one edit away (a letter more, less or
// other, or two neighbours swapped), words of eight and more two; shorter ones
// are near to too many things to guess. Of several the fewest edits win, then
// the same first letter, then the order of known.
func Near(word string, known []string) string {
	allowed := 0
	switch n := len([]rune(word)); {
	case n > 100:
		return ""
	case n > 7:
		allowed = 2
	case n > 3:
		allowed = 1
	}
	best, bestCost := "", 2*allowed+2
	folded := []rune(strings.ToLower(word))
	for _, k := range known {
		if k == word {
			continue
		}
		other := []rune(strings.ToLower(k))
		edits := edits(folded, other, allowed)
		cost := 2 * edits
		if len(folded) == 0 || len(other) == 0 || folded[0] != other[0] {
			cost++
		}
		if edits <= allowed && cost < bestCost {
			best, bestCost = k, cost
		}
	}
	return best
}

// edits is the optimal string alignment distance between a and b, or more than
// most where it exceeds that.
func edits(a, b []rune, most int) int {
	if len(a)-len(b) > most || len(b)-len(a) > most {
		return most + 1
	}
	older, old, row := make([]int, len(b)+1), make([]int, len(b)+1), make([]int, len(b)+1)
	for j := range row {
		row[j] = j
	}
	for i := 1; i <= len(a); i++ {
		older, old, row = old, row, older
		row[0] = i
		for j := 1; j <= len(b); j++ {
			change := 1
			if a[i-1] == b[j-1] {
				change = 0
			}
			row[j] = min(old[j]+1, row[j-1]+1, old[j-1]+change)
			if i > 1 && j > 1 && a[i-1] == b[j-2] && a[i-2] == b[j-1] {
				row[j] = min(row[j], older[j-2]+1)
			}
		}
	}
	return row[len(b)]
}
