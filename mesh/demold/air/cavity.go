package air

import (
	"math"
)

// cavity is a space of columns that a liquid fills from below, each node a
// stretch of one column: the gaps of rubber for the rubber pour, the spans of
// S for the casting pour. Heights grow the way air rises while the cavity
// stands level, relative to a reference, mm.
//
// Tilted, the same columns serve: what is level then rises evenly from column
// to column, so a point is as high as its level height plus the lean of its
// column. Volumes do not change by that, and nothing is cast anew.
type cavity struct {
	nx, ny int
	cell   float64   // mm
	off    []int32   // per column: its first node; one more at the end
	lo, hi []float32 // per node; lo >= hi: no node
	tops   []float32 // per column: above this the space is open to the sky; nil = nowhere
	mouth  float32   // nodes that reach this height are open to the air; +Inf = none
	part   []int32   // per node: its connected part; air leaves each at one high place of it; nil = not shut
	parts  int
	lists  [][]place // what connected has found
	open   []place   // where air leaves standing level, once that is settled; nil = not yet
	shut   bool      // closed all round but for its sprue: it sets as it leans
	rim    float32   // height of the cavity's rim, standing level; +Inf = as high as it need be
	brim   []place   // columns under the rim
	eps    float32
	noise  float32 // ceilings no farther apart than this are as high as each other
	reach  float32 // and no farther than this one ceiling, where the middle of one is looked for
}

// lean is how much higher the next column along i and along j stands, mm.
type lean struct{ i, j float32 }

func (l lean) at(i, j int32) float32 { return l.i*float32(i) + l.j*float32(j) }

var around8 = [8][2]int{{-1, 0}, {1, 0}, {0, -1}, {0, 1}, {-1, -1}, {1, -1}, {-1, 1}, {1, 1}}

// around returns the columns next to (i, j), with how much lower than it each
// of them stands.
func (v *cavity) around(i, j int32, l lean, yield func(x, y int32, drop float32)) {
	for _, d := range around8 {
		x, y := i+int32(d[0]), j+int32(d[1])
		if x >= 0 && y >= 0 && int(x) < v.nx && int(y) < v.ny {
			yield(x, y, -l.i*float32(d[0])-l.j*float32(d[1]))
		}
	}
}

func (v *cavity) column(i, j int32) (from, to int32) {
	k := int(j)*v.nx + int(i)
	return v.off[k], v.off[k+1]
}

// place is a node with its column.
type place struct{ n, i, j int32 }

// free returns the nodes whose air gets out by itself: those beside open space,
// at the mouth, or at the sprue. Leaning, a cavity that is shut has its sprue at
// its highest place, the largest where several are as high.
func (v *cavity) free(l lean) []place {
	switch {
	case v.open != nil && l == (lean{}):
		return v.open
	case v.part != nil:
		return v.peaks(l)
	}
	var out []place
	v.each(func(p place) {
		z := v.hi[p.n]
		open := z >= v.mouth
		if !open && v.tops != nil {
			v.around(p.i, p.j, l, func(x, y int32, _ float32) { open = open || v.tops[int(y)*v.nx+int(x)] < z-v.eps })
		}
		if open {
			out = append(out, p)
		}
	})
	return out
}

// peaks is the largest of the highest sheets of each connected part.
func (v *cavity) peaks(l lean) (out []place) {
	peak := make([]float32, v.parts)
	for k := range peak {
		peak[k] = float32(math.Inf(-1))
	}
	v.each(func(p place) { peak[v.part[p.n]] = max(peak[v.part[p.n]], v.height(p, l)) })
	var set []place
	v.each(func(p place) {
		if v.height(p, l) >= peak[v.part[p.n]]-v.noise {
			set = append(set, p)
		}
	})
	best := make([][]place, v.parts)
	for _, s := range v.sheets(set) {
		if k := v.part[s[0].n]; len(s) > len(best[k]) {
			best[k] = s
		}
	}
	for _, s := range best {
		out = append(out, s...)
	}
	return out
}

// each calls f for every node, in order.
func (v *cavity) each(f func(p place)) {
	for j := range int32(v.ny) {
		for i := range int32(v.nx) {
			n, to := v.column(i, j)
			for ; n < to; n++ {
				if v.lo[n] < v.hi[n] {
					f(place{n, i, j})
				}
			}
		}
	}
}

// thinned is the cavity with every step-th column of every step-th row, for
// trying many leans fast; at tells the node of v that each node is.
func (v *cavity) thinned(step int32) (w *cavity, at []int32) {
	w = &cavity{cell: v.cell * float64(step), mouth: v.mouth, parts: v.parts, shut: v.shut, rim: v.rim, eps: v.eps, noise: v.noise, reach: v.reach, off: []int32{0}}
	for j := step / 2; int(j) < v.ny; j += step {
		w.ny++
		w.nx = 0
		for i := step / 2; int(i) < v.nx; i += step {
			w.nx++
			from, to := v.column(i, j)
			w.lo, w.hi = append(w.lo, v.lo[from:to]...), append(w.hi, v.hi[from:to]...)
			for n := from; n < to; n++ {
				at = append(at, n)
				if v.part != nil {
					w.part = append(w.part, v.part[n])
				}
			}
			w.off = append(w.off, int32(len(w.lo)))
			if v.tops != nil {
				w.tops = append(w.tops, v.tops[int(j)*v.nx+int(i)])
			}
		}
	}
	for _, p := range v.brim {
		w.brim = append(w.brim, place{-1, p.i / step, p.j / step})
	}
	return w, at
}
