package solve

// Which belts there are: the maker's drawer first, then the standard list.

import (
	"math"
	"slices"

	"understage/internal/mech"
	"understage/internal/standard"

	"gonum.org/v1/gonum/spatial/r2"
)

// StockedBelt is a belt of whole teeth and where it comes from.
type StockedBelt struct {
	Teeth    int
	Code     string
	Drawer   bool              // the maker has it
	Stocked  bool              // the maker has it, or a standard list does
	Standing standard.Standing // of the standard list's row; "" otherwise
}

// BeltStock lists the belts of a section, shortest first. A belt in the drawer
// stands for the same one of the standard list.
func BeltStock(m *mech.Model, sectionName string) []StockedBelt {
	var stock []StockedBelt
	section, known := standard.FindSection(sectionName)
	if known {
		for _, l := range section.Lengths {
			stock = append(stock, StockedBelt{Teeth: l.Teeth, Code: l.Code, Stocked: true, Standing: l.Standing})
		}
	}
	for _, own := range m.Stock.Belts {
		if own.Teeth <= 0 || !sameSection(own.Section, sectionName) {
			continue
		}
		i, found := slices.BinarySearchFunc(stock, own.Teeth, func(s StockedBelt, t int) int { return s.Teeth - t })
		if !found {
			stock = slices.Insert(stock, i, StockedBelt{Teeth: own.Teeth, Code: own.Code, Stocked: true})
		}
		stock[i].Drawer = true
		if stock[i].Code == "" {
			stock[i].Code = own.Code
		}
	}
	return stock
}

// sameSection reports whether two names mean one belt system.
func sameSection(a, b string) bool {
	sa, okA := standard.FindSection(a)
	sb, okB := standard.FindSection(b)
	if okA && okB {
		return sa.Name == sb.Name
	}
	return a == b
}

// candidatesEachSide is how many stocked lengths are shown below and above the
// exact one.
const candidatesEachSide = 3

// fitBelts finds the belt to fit and the stocked ones about the exact length.
func fitBelts(m *mech.Model, b *mech.Belt, circles []Circle, r *BeltResult) {
	stock := BeltStock(m, b.Section.Name)
	low, high := around(stock, r.TeethExact)
	if r.Status != LoopOK {
		low, high = 0, 0
	}
	first, last := low, high // what may be fitted
	if b.Teeth == 0 {
		first, last = withinReach(stock, b, r, low, high)
	}
	tried := make([]FittedBelt, 0, last-first+1)
	for _, s := range stock[first:last] {
		tried = append(tried, FittedBelt{StockedBelt: s, Length: float64(s.Teeth) * b.Section.Pitch})
	}
	asked := -1
	if b.Teeth > 0 {
		asked = len(tried)
		tried = append(tried, FittedBelt{StockedBelt: stockedOf(stock, b.Teeth), Length: float64(b.Teeth) * b.Section.Pitch})
	}
	fitOver(m, b, circles, r, tried)
	if r.Candidates = []FittedBelt{}; r.Status == LoopOK {
		r.Candidates = append(r.Candidates, tried[low-first:high-first]...)
	}
	switch {
	case asked >= 0:
		r.Fitted = tried[asked]
	case len(tried) > 0:
		r.Fitted = best(tried, r.Length)
	}
}

// wholeTeeth is how near, in teeth, a loop counts as being as long as a whole
// belt: closer than any length is computed.
const wholeTeeth = 1e-6

// around returns the range of the stock from three below to three above the
// exact length. A belt just as long as the loop stands below.
func around(stock []StockedBelt, teeth float64) (low, high int) {
	i, _ := slices.BinarySearchFunc(stock, teeth, func(s StockedBelt, t float64) int {
		if float64(s.Teeth) <= t+wholeTeeth {
			return -1
		}
		return 1
	})
	return max(0, i-candidatesEachSide), min(len(stock), i+candidatesEachSide)
}

// withinReach widens the range to every stocked belt that the take-up could
// close: a loop changes by at most twice its pulley's travel. A loop that does
// not close as drawn says nothing, so then all may be tried.
func withinReach(stock []StockedBelt, b *mech.Belt, r *BeltResult, low, high int) (first, last int) {
	if b.TakeUp == nil {
		return low, high
	}
	if r.Status != LoopOK {
		return 0, len(stock)
	}
	travel := 2 * max(math.Abs(b.TakeUp.Min), math.Abs(b.TakeUp.Max))
	for low > 0 && float64(stock[low-1].Teeth)*b.Section.Pitch >= r.Length-travel {
		low--
	}
	for high < len(stock) && float64(stock[high].Teeth)*b.Section.Pitch <= r.Length+travel {
		high++
	}
	return low, high
}

func stockedOf(stock []StockedBelt, teeth int) StockedBelt {
	for _, s := range stock {
		if s.Teeth == teeth {
			return s
		}
	}
	return StockedBelt{Teeth: teeth}
}

// fitOver computes for each belt where the take-up must stand.
func fitOver(m *mech.Model, b *mech.Belt, circles []Circle, r *BeltResult, belts []FittedBelt) {
	if len(circles) == 2 && !circles[0].Back && !circles[1].Back {
		for i := range belts {
			belts[i].Centre = CentreForLength(circles[0].Radius, circles[1].Radius, belts[i].Length)
			if belts[i].Centre.Value < r.Pulleys[0].Outside+r.Pulleys[1].Outside {
				belts[i].Centre = mech.Given{}
			}
		}
	}
	if b.TakeUp == nil {
		most := standard.Limit(m.Limits, "fixed_centres")
		for i := range belts {
			belts[i].Reachable = r.Status == LoopOK && math.Abs(belts[i].Length-r.Length) <= most
		}
		return
	}
	lengths := make([]float64, len(belts))
	for i := range belts {
		lengths[i] = belts[i].Length
	}
	k := b.TakeUp.Pulley
	for i, roots := range TakeUpRoots(circles, k, b.TakeUp.Along, lengths, BeltBlocked(m, b, k)) {
		belts[i].takeUp(b.TakeUp, circles[k].At, roots)
		if len(roots) > 0 {
			belts[i].Tightens = growsAlong(circles, k, b.TakeUp.Along, roots[0])
		}
	}
}

// takeUp notes the solutions, nearest zero first.
func (f *FittedBelt) takeUp(t *mech.TakeUp, home r2.Vec, roots []float64) {
	if len(roots) == 0 {
		return
	}
	f.TakeUp = mech.Given{Value: roots[0], OK: true}
	f.At = r2.Add(home, r2.Scale(roots[0], t.Along))
	if len(roots) > 1 {
		f.Other = mech.Given{Value: roots[1], OK: true}
	}
	for _, root := range roots {
		f.Reachable = f.Reachable || t.Free || root >= t.Min-rootTolerance && root <= t.Max+rootTolerance
	}
}

// best chooses what to fit: one that can be reached before one that cannot, one
// in the drawer before one to buy, then the least move.
func best(belts []FittedBelt, length float64) FittedBelt {
	move := func(f FittedBelt) float64 {
		if f.TakeUp.OK {
			return math.Abs(f.TakeUp.Value)
		}
		return math.Abs(f.Length - length)
	}
	rank := func(f FittedBelt) int {
		switch {
		case f.Reachable && f.Drawer:
			return 0
		case f.Reachable:
			return 1
		case f.TakeUp.OK:
			return 2
		default:
			return 3
		}
	}
	return slices.MinFunc(belts, func(a, b FittedBelt) int {
		if ra, rb := rank(a), rank(b); ra != rb {
			return ra - rb
		}
		switch ma, mb := move(a), move(b); {
		case ma < mb:
			return -1
		case ma > mb:
			return 1
		}
		return 0
	})
}
