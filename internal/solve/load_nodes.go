package solve

import (
	"math"
	"slices"
)

// loadNodes are the angles of one axis that a table has values at. A turn falls
// into pieces at the kinks, between which what is tabulated is smooth; each piece
// is cut into equal cells, with a node at either end of it.
type loadNodes struct {
	x      []float64
	start  float64
	kinked bool
	pieces []loadPiece
	cells  int
	bins   [loadBins]int32 // by equal part of a turn: the piece that it starts in
	// spans are the first and last cell in each such part; cells before the first
	// piece are those of the last, and counted below 0.
	spans [loadBins][2]int32
}

// loadPiece is a piece of a turn. What lies between two pieces, at kinks near each
// other, is read from the nearer one.
type loadPiece struct {
	from, to float64
	end      float64 // where the next piece is nearer; the last one's is a turn on from start
	per      float64 // cells per rad
	cells    int
	cell     int // its first
	node     int // its first
}

const (
	loadBins = 128
	// loadLeastCells lets a cubic through four nodes of one piece.
	loadLeastCells = 3
	// loadMostKinks is how many kinks a table follows. More are ripples that its
	// steps must resolve.
	loadMostKinks = 24
	// loadNearKinks, rad, is how near to each other kinks leave no piece between
	// them, and loadBeside how far from a kink a piece begins or ends: a law at rest
	// takes a while to move a follower for sure.
	loadNearKinks = 2e-3
	loadBeside    = 1e-4
)

// newLoadNodes spreads at least so many steps over a turn.
func newLoadNodes(kinks []float64, steps int) loadNodes {
	gaps := kinkGaps(kinks)
	if len(gaps) > loadMostKinks {
		gaps = nil
	}
	n := loadNodes{kinked: len(gaps) > 0}
	if !n.kinked {
		gaps = [][2]float64{{loadBeside, -loadBeside}} // one piece from 0 on
	}
	n.start = (gaps[0][0] + gaps[0][1]) / 2
	for i, gap := range gaps {
		next := [2]float64{gaps[0][0] + 2*math.Pi, gaps[0][1] + 2*math.Pi}
		if i+1 < len(gaps) {
			next = gaps[i+1]
		}
		n.add(gap[1]+loadBeside, next[0]-loadBeside, (next[0]+next[1])/2, steps)
	}
	for i := range n.bins {
		start := 2 * math.Pi * float64(i) / loadBins
		piece := 0
		for piece+1 < len(n.pieces) && n.after(start) >= n.pieces[piece].end {
			piece++
		}
		n.bins[i] = int32(piece)
		n.spans[i] = [2]int32{n.cell(start), n.cell(math.Nextafter(start+2*math.Pi/loadBins, 0))}
	}
	return n
}

// kinkGaps joins kinks that lie near each other. A gap may pass 0, and ends beyond
// 0 then.
func kinkGaps(kinks []float64) (gaps [][2]float64) {
	kinks = slices.Clone(kinks)
	slices.Sort(kinks)
	for _, x := range kinks {
		if last := len(gaps) - 1; last >= 0 && x-gaps[last][1] < loadNearKinks {
			gaps[last][1] = x
			continue
		}
		gaps = append(gaps, [2]float64{x, x})
	}
	if last := len(gaps) - 1; last > 0 && gaps[0][0]+2*math.Pi-gaps[last][1] < loadNearKinks {
		gaps[0][0] = gaps[last][0] - 2*math.Pi
		gaps = gaps[:last]
	}
	return gaps
}

// cell returns the cell of an angle in [0, 2π).
func (n *loadNodes) cell(x float64) int32 {
	p, u := n.find(x)
	cell := p.cell + min(int(u), p.cells-1)
	if x < n.start {
		cell -= n.cells
	}
	return int32(cell)
}

// add appends a piece, of as many cells as the steps of a turn ask for.
func (n *loadNodes) add(from, to, end float64, steps int) {
	cells := max(loadLeastCells, int(math.Ceil((to-from)*float64(steps)/(2*math.Pi))))
	n.pieces = append(n.pieces, loadPiece{from: from, to: to, end: end, per: float64(cells) / (to - from), cells: cells, cell: n.cells, node: len(n.x)})
	for k := range cells + 1 {
		n.x = append(n.x, from+(to-from)*float64(k)/float64(cells))
	}
	n.cells += cells
}

// after returns an angle of [0, 2π) in the turn from start on.
func (n *loadNodes) after(x float64) float64 {
	if x < n.start {
		return x + 2*math.Pi
	}
	return x
}

// find returns the piece of an angle in [0, 2π), and where it lies in it in
// cells.
func (n *loadNodes) find(x float64) (*loadPiece, float64) {
	at := int(x * (loadBins / (2 * math.Pi)))
	piece := 0
	if at < loadBins {
		piece = int(n.bins[at])
	}
	x = n.after(x)
	if piece > 0 && x < n.pieces[piece-1].end { // the bin starts in the last piece, and the angle has come round
		piece = 0
	}
	for piece+1 < len(n.pieces) && x >= n.pieces[piece].end {
		piece++
	}
	p := &n.pieces[piece]
	return p, (x - p.from) * p.per
}

// beside reports whether a place in a piece, in cells, is in a cell beside a kink.
func (n *loadNodes) beside(p *loadPiece, u float64) bool {
	return n.kinked && (u < 1 || u >= float64(p.cells-1))
}

// taps returns the first of the four nodes that an angle is read from, and their
// weights: the cubic through them (Lagrange).
func (n *loadNodes) taps(x float64) (first int, w [4]float64) {
	p, u := n.find(x)
	k := max(0, min(int(u)-1, p.cells-loadLeastCells))
	u -= float64(k)
	a, b, c := u-1, u-2, u-3
	w = [4]float64{-a * b * c / 6, u * b * c / 2, -u * a * c / 2, u * a * b / 6}
	return p.node + k, w
}

// reach returns cells from the first to before the last that hold all between two
// angles, modulo the cells of a turn and none below 0.
func (n *loadNodes) reach(x [2]float64) (from, to int) {
	const perRad = loadBins / (2 * math.Pi)
	first, last := int(math.Floor(x[0]*perRad)), int(math.Floor(x[1]*perRad))
	turn := first &^ (loadBins - 1) // start with the turn of the first
	from = int(n.spans[first-turn][0])
	last -= turn
	to = last/loadBins*n.cells + int(n.spans[last%loadBins][1]) + 1
	if to-from >= n.cells {
		return 0, n.cells
	}
	if from < 0 {
		from, to = from+n.cells, to+n.cells
	}
	return from, to
}

// nearKink returns an angle in a cell beside a kink for every other k, and any for
// the others, for y from 0 to 1.
func (n *loadNodes) nearKink(y float64, k int) float64 {
	if len(n.pieces) == 0 || !n.kinked || k%2 == 0 {
		return 2 * math.Pi * y
	}
	k /= 2
	p := &n.pieces[k/2%len(n.pieces)]
	if k%2 == 0 {
		return orbitWrap(p.from + y/p.per)
	}
	return orbitWrap(p.to - y/p.per)
}
