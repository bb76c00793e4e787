package undercut

import (
	"math"

	"moldtally/mesh/dexel"
	"moldtally/mesh/grid"
)

// kind says what a region is. linked: the pattern has tunnels that are not known,
// so one with more than one mouth is such.
func (r *region) kind(linked bool) Kind {
	h := r.half
	f := h.f
	// Where the region meets rubber that can rise straight up: its mouth.
	x0, y0, x1, y1 := f.NX, f.NY, 0, 0
	var mouth []gap
	for _, g := range r.gaps {
		i, j := int(g.i), int(g.j)
		x0, y0, x1, y1 = min(x0, i), min(y0, j), max(x1, i), max(y1, j)
		_, hi := h.rubber.Gap(f.Column(i, j), int(g.k))
		z := float32(hi - h.eps - h.ref)
		for _, d := range around8 {
			if h.tops[(j+d[1])*f.NX+i+d[0]] < z {
				mouth = append(mouth, g)
				break
			}
		}
	}
	if linked && r.mouths(mouth) > 1 {
		return Tunnel
	}
	switch pattern, rubber := r.encloses(x0-1, y0-1, x1+1, y1+1); {
	case pattern >= 4 && pattern >= rubber:
		return Neck
	case rubber >= 4:
		return Pocket // it lies round a core of rubber
	}
	if math.IsInf(r.path, 1) || float64(len(mouth))*f.Cell < 2*r.path {
		return Pocket
	}
	return Overhang
}

// mouths counts the separate stretches of the mouth, small ones left out.
func (r *region) mouths(mouth []gap) (count int) {
	h := r.half
	left := make(map[int]bool, len(mouth)) // looked up, never ranged over
	for _, g := range mouth {
		left[h.f.Offset(int(g.i), int(g.j))+int(g.k)] = true
	}
	var stack []gap
	take := func(at int, g gap) {
		if left[at] {
			delete(left, at)
			stack = append(stack, g)
		}
	}
	for _, g := range mouth {
		size := 0
		take(h.f.Offset(int(g.i), int(g.j))+int(g.k), g)
		for ; len(stack) > 0; size++ {
			g := stack[len(stack)-1]
			stack = stack[:len(stack)-1]
			lo, hi := h.rubber.Gap(h.f.Column(int(g.i), int(g.j)), int(g.k))
			// Two cells round: a stair of the grid is no break.
			for y := max(int(g.j)-2, 0); y <= min(int(g.j)+2, h.f.NY-1); y++ {
				for x := max(int(g.i)-2, 0); x <= min(int(g.i)+2, h.f.NX-1); x++ {
					col, off := h.f.Column(x, y), h.f.Offset(x, y)
					for k := range col {
						if l, u := h.rubber.Gap(col, k); l < hi && u > lo {
							take(off+k, gap{int32(x), int32(y), int32(k)})
						}
					}
				}
			}
		}
		if size >= max(3, len(mouth)/50) {
			count++
		}
	}
	return count
}

// encloses counts the columns that the region, seen from above, goes all round:
// those where S stands at the height of its worst place, and those where rubber
// does.
func (r *region) encloses(x0, y0, x1, y1 int) (pattern, rubber int) {
	f := r.half.f
	w, ht := x1-x0+1, y1-y0+1
	ring := make([]bool, w*ht)
	for _, g := range r.gaps {
		ring[(int(g.j)-y0)*w+int(g.i)-x0] = true
	}
	// The box is one column larger than the region.
	outside, _ := grid.Connect(grid.Size{w, ht, 1}, ring, false, grid.Faces).Mark(0)
	for y := range ht {
		for x := range w {
			i, j := x+x0, y+y0
			if ring[y*w+x] || outside[y*w+x] || i < 0 || j < 0 || i >= f.NX || j >= f.NY {
				continue
			}
			if _, in := dexel.At(f.Column(i, j), r.at.z+r.half.eps); in {
				pattern++
			} else {
				rubber++
			}
		}
	}
	return pattern, rubber
}
