package air

import (
	"math"

	"moldtally/mesh/grid"
)

// What a sprue or a vent is cut into. Judgements of this program.
const (
	// ceiling is how far under its highest point a ceiling is taken to reach
	// where the middle of it is looked for, mm, so that on a slope a hole does
	// not sit on the edge of a wall; no more than ceilingShare of the size.
	ceiling      = 1.0
	ceilingShare = 0.01
)

// height is how high the ceiling of a place stands in the leaning cavity, mm.
func (v *cavity) height(p place, l lean) float32 { return v.hi[p.n] + l.at(p.i, p.j) }

// high are the places of a pool whose ceilings stand no more than slack under
// the highest.
func (v *cavity) high(pool []place, l lean, slack float32) (out []place) {
	top := float32(math.Inf(-1))
	for _, p := range pool {
		top = max(top, v.height(p, l))
	}
	for _, p := range pool {
		if v.height(p, l) >= top-slack {
			out = append(out, p)
		}
	}
	return out
}

// sheets are the connected parts of a set of places, in the order of their first.
func (v *cavity) sheets(set []place) (out [][]place) {
	in := make([]bool, len(v.lo))
	for _, p := range set {
		in[p.n] = true
	}
	for _, p := range set {
		if !in[p.n] {
			continue
		}
		in[p.n] = false
		sheet := []place{p}
		for k := 0; k < len(sheet); k++ {
			g := sheet[k]
			v.around(g.i, g.j, lean{}, func(x, y int32, _ float32) {
				q, to := v.column(x, y)
				for ; q < to; q++ {
					if in[q] && min(v.hi[g.n], v.hi[q]) > max(v.lo[g.n], v.lo[q]) {
						in[q] = false
						sheet = append(sheet, place{q, x, y})
					}
				}
			})
		}
		out = append(out, sheet)
	}
	return out
}

// middle is the place of a sheet that lies farthest from its edges, and how far,
// mm; of places as far the one nearest to the sheet's centroid, then the first.
func (v *cavity) middle(sheet []place) (best place, clear float64) {
	i0, j0, i1, j1 := sheet[0].i, sheet[0].j, sheet[0].i, sheet[0].j
	var x, y float64
	for _, p := range sheet {
		i0, j0, i1, j1 = min(i0, p.i), min(j0, p.j), max(i1, p.i), max(j1, p.j)
		x, y = x+float64(p.i), y+float64(p.j)
	}
	n := float64(len(sheet))
	x, y = x/n, y/n
	w, h := int(i1-i0)+3, int(j1-j0)+3
	d := make([]int32, w*h)
	at := func(p place) int { return int(p.j-j0+1)*w + int(p.i-i0+1) }
	for _, p := range sheet {
		d[at(p)] = grid.Far
	}
	new(grid.Envelope).Plane(d, w, h)
	var most int32
	for _, p := range sheet {
		most = max(most, d[at(p)])
	}
	enough := math.Sqrt(float64(most)) - 1 // a cell less is as wide
	near := math.Inf(1)
	for _, p := range sheet {
		if r := math.Hypot(float64(p.i)-x, float64(p.j)-y); r < near && math.Sqrt(float64(d[at(p)])) >= enough {
			best, near = p, r
		}
	}
	return best, (math.Sqrt(float64(d[at(best)])) - 0.5) * v.cell
}

// widest is the middle of the widest of the sheets that the ceilings of a pool
// make up, and that sheet.
func (v *cavity) widest(pool []place, l lean, slack float32) (at place, clear float64, sheet []place) {
	clear = -1
	for _, s := range v.sheets(v.high(pool, l, slack)) {
		if p, c := v.middle(s); c > clear {
			at, clear, sheet = p, c, s
		}
	}
	return at, clear, sheet
}
