package grid

import "math"

// Discs is scratch for growing the marks of a plane by discs of a few nodes, 64 nodes
// at a time; its zero value is ready. A row of the plane begins with a word of its own.
type Discs struct {
	marked, grown, wide []uint64
}

// words is how many a row of w nodes takes.
func words(w int) int { return (w + 63) / 64 }

// Marks are the marks of a plane w by h, none set: bit x&63 of word
// y·(w+63)/64 + x>>6 is node (x, y). They are valid until the next call.
func (g *Discs) Marks(w, h int) []uint64 {
	n := words(w) * h
	if cap(g.marked) < n {
		g.marked, g.grown, g.wide = make([]uint64, n), make([]uint64, n), make([]uint64, n)
	}
	g.marked, g.grown, g.wide = g.marked[:n], g.grown[:n], g.wide[:n]
	clear(g.marked)
	return g.marked
}

// Grow marks all nodes whose squared distance to a marked one is at most d2.
func (g *Discs) Grow(w, h int, d2 int) {
	n := words(w)
	clear(g.grown)
	copy(g.wide, g.marked)
	side := int(math.Sqrt(float64(d2))) // at y of the disc it reaches as far as x
	for x, y := 0, side; x <= side; x++ {
		if x > 0 {
			for r := range h {
				widen(g.wide[r*n : (r+1)*n])
			}
		}
		for ; y >= 0 && x == int(math.Sqrt(float64(d2-y*y))); y-- {
			for r := range h {
				row := g.wide[r*n : (r+1)*n]
				if q := r - y; q >= 0 {
					join(g.grown[q*n:(q+1)*n], row)
				}
				if q := r + y; q < h && y > 0 {
					join(g.grown[q*n:(q+1)*n], row)
				}
			}
		}
	}
	g.marked, g.grown = g.grown, g.marked
}

// Invert marks what is not, and the other way round.
func (g *Discs) Invert(w, h int) {
	n := words(w)
	for k, v := range g.marked {
		g.marked[k] = ^v
	}
	if w&63 != 0 {
		for r := range h {
			g.marked[(r+1)*n-1] &= 1<<(w&63) - 1
		}
	}
}

// Row are the marks of a row of w nodes.
func (g *Discs) Row(w, y int) []uint64 { return g.marked[y*words(w) : (y+1)*words(w)] }

// widen marks the nodes of a row beside those that are.
func widen(row []uint64) {
	below := uint64(0)
	for k, v := range row {
		next := uint64(0)
		if k+1 < len(row) {
			next = row[k+1]
		}
		row[k] = v | v<<1 | v>>1 | below>>63 | next<<63
		below = v
	}
}

func join(to, row []uint64) {
	for k, v := range row {
		to[k] |= v
	}
}
