package demold

import (
	"cmp"
	"math"
	"slices"

	"moldtally/mesh"
	"moldtally/mesh/demold/scene"
	"moldtally/mesh/dexel"
	"moldtally/mesh/grid"
)

// region is a connected undercut under work.
type region struct {
	half    *half
	gaps    []gapRef // in the order they were reached
	depth   float64
	path    float64 // +Inf = locked
	volume  float64
	area    float64
	at      [3]int // column and gap of the deepest path
	atH     float64
	minor   bool
	columns int
}

type gapRef struct {
	i, j, k int32
}

// regionFloor is the depth under which an undercut is noise or cannot be told
// from it.
func (a *analysis) regionFloor() float64 { return max(a.Ignore, 2*a.rep.Uncertainty) }

// findRegions joins the undercut gaps of each half into regions. Only gaps
// deeper than noise join each other, or a hair of back-draft along a wall
// would make one region of everything; the shallow rubber round a region is
// then given to the nearest one, so that its volume is whole.
func (a *analysis) findRegions() []*region {
	var all []*region
	for _, h := range a.halves {
		h.label = make([]int32, len(h.depth))
		h.first = len(all)
		all = append(all, h.regions(max(a.Ignore, a.Field.Cell))...)
	}
	floor := a.regionFloor()
	for _, r := range all {
		r.minor = max(r.depth, r.path) < floor
	}
	return all
}

// regions labels h.label with region numbers from h.first + 1.
func (h *half) regions(core float64) []*region {
	var out []*region
	var shallow []gapRef // rim of the regions, to be given away in rounds
	for j := range h.f.NY {
		for i := range h.f.NX {
			off := h.f.Offset(i, j)
			for k := range h.f.Column(i, j) {
				if float64(h.depth[off+k]) < core || h.label[off+k] != 0 {
					continue
				}
				r := &region{half: h}
				id := int32(h.first + len(out) + 1)
				h.label[off+k] = id
				r.gaps = append(r.gaps, gapRef{int32(i), int32(j), int32(k)})
				for n := 0; n < len(r.gaps); n++ {
					g := r.gaps[n]
					rim := false
					h.around(g, func(x gapRef, at int) {
						if h.label[at] != 0 {
							return
						}
						if float64(h.depth[at]) >= core {
							h.label[at] = id
							r.gaps = append(r.gaps, x)
						} else {
							rim = true
						}
					})
					if rim {
						shallow = append(shallow, g)
					}
				}
				out = append(out, r)
			}
		}
	}
	// Give the shallow gaps to the regions round by round.
	for n := 0; n < len(shallow); n++ {
		g := shallow[n]
		id := h.label[h.f.Offset(int(g.i), int(g.j))+int(g.k)]
		h.around(g, func(x gapRef, at int) {
			if h.label[at] == 0 {
				h.label[at] = id
				out[int(id)-1-h.first].gaps = append(out[int(id)-1-h.first].gaps, x)
				shallow = append(shallow, x)
			}
		})
	}
	// What is left is shallow all over.
	for j := range h.f.NY {
		for i := range h.f.NX {
			off := h.f.Offset(i, j)
			for k := range h.f.Column(i, j) {
				if h.depth[off+k] == 0 || h.label[off+k] != 0 {
					continue
				}
				r := &region{half: h}
				id := int32(h.first + len(out) + 1)
				h.label[off+k] = id
				r.gaps = append(r.gaps, gapRef{int32(i), int32(j), int32(k)})
				for n := 0; n < len(r.gaps); n++ {
					h.around(r.gaps[n], func(x gapRef, at int) {
						if h.label[at] == 0 {
							h.label[at] = id
							r.gaps = append(r.gaps, x)
						}
					})
				}
				out = append(out, r)
			}
		}
	}
	for _, r := range out {
		r.measure()
	}
	return out
}

// around calls fn for the undercut gaps of the eight columns round a gap that
// share heights with it.
func (h *half) around(g gapRef, fn func(x gapRef, at int)) {
	f := h.f
	i, j := int(g.i), int(g.j)
	lo, hi := h.rubber.Gap(f.Column(i, j), int(g.k))
	lo = max(lo, h.clip)
	for _, d := range around8 {
		x, y := i+d[0], j+d[1]
		if x < 0 || y < 0 || x >= f.NX || y >= f.NY {
			continue
		}
		col, off := f.Column(x, y), f.Offset(x, y)
		for k := range col {
			if h.depth[off+k] == 0 {
				continue
			}
			l, u := h.rubber.Gap(col, k)
			if l = max(l, h.clip); l >= hi {
				break
			}
			if u > lo {
				fn(gapRef{int32(x), int32(y), int32(k)}, off+k)
			}
		}
	}
}

// measure sums a region up.
func (r *region) measure() {
	h := r.half
	var last [2]int32
	best := -1.0
	for n, g := range r.gaps {
		off := h.f.Offset(int(g.i), int(g.j))
		col := h.f.Column(int(g.i), int(g.j))
		lo, hi, _ := h.piece(col, off, int(g.k))
		r.volume += hi - lo
		at := off + int(g.k)
		r.depth = max(r.depth, float64(h.depth[at]))
		p := float64(h.path[at])
		r.path = max(r.path, p)
		if p > best {
			best, r.at, r.atH = p, [3]int{int(g.i), int(g.j), int(g.k)}, lo
		}
		if n == 0 || last != [2]int32{g.i, g.j} {
			r.columns++
		}
		last = [2]int32{g.i, g.j}
	}
	r.volume *= h.f.Cell * h.f.Cell
}

// reportRegions writes the regions, deepest first, with the minor ones in one.
// It returns the number that each of all has in the report.
func (a *analysis) reportRegions(all []*region) []int32 {
	var minor *Region
	var minorPath float64
	out := []Region{}
	a.shareWorst(all)
	// A region with a web in it is a tunnel. Where the list is short, so is one
	// with more than one mouth.
	holds := make([]bool, len(all)+1)
	for _, t := range a.rep.TunnelList {
		holds[a.labelAt(t.WebAt)] = true
	}
	linked := a.rep.Tunnels != nil && *a.rep.Tunnels > len(a.rep.TunnelList)
	for n, r := range all {
		at := *scene.Point(r.half.f, r.at[0], r.at[1], r.atH)
		height := mesh.V(at[0], at[1], at[2]).Dot(a.Up) - a.Base
		if r.minor {
			if minor == nil {
				minor = &Region{Kind: "minor", At: at, Height: height}
				minorPath = -1
			}
			minor.Volume += r.volume
			minor.Area += r.area
			minor.Depth = max(minor.Depth, r.depth)
			if r.path > minorPath {
				minorPath, minor.At, minor.Height = r.path, at, height
			}
			continue
		}
		x := Region{ID: n, Kind: r.kind(linked), Depth: r.depth, Volume: r.volume, Area: r.area, At: at, Height: height}
		if holds[n+1] {
			x.Kind = "tunnel"
		}
		if !math.IsInf(r.path, 1) {
			p := r.path
			x.Path = &p
		}
		out = append(out, x)
	}
	slices.SortStableFunc(out, func(p, q Region) int {
		deep := func(r Region) float64 {
			if r.Path == nil {
				return math.Inf(1)
			}
			return *r.Path
		}
		return cmp.Or(cmp.Compare(deep(q), deep(p)), cmp.Compare(q.Depth, p.Depth), cmp.Compare(q.Volume, p.Volume),
			cmp.Compare(p.At[0], q.At[0]), cmp.Compare(p.At[1], q.At[1]), cmp.Compare(p.At[2], q.At[2]))
	})
	if minor != nil {
		if !math.IsInf(minorPath, 1) {
			minor.Path = &minorPath
		}
		out = append(out, *minor)
	}
	// The worst undercut's place is the deepest path's, where they mean the
	// same: of several as deep, or locked, the one that is listed first.
	if len(out) > 0 && a.rep.UndercutPathAt != nil {
		p, q := out[0].Path, a.rep.UndercutPath
		if p == nil && q == nil || p != nil && q != nil && math.Abs(*p-*q) <= a.Field.Cell/2 {
			at := out[0].At
			a.rep.UndercutPathAt = &at
		}
	}
	ids := make([]int32, len(all))
	for n, r := range all {
		if r.minor {
			ids[n] = int32(len(out))
		}
	}
	for n := range out {
		if out[n].Kind != "minor" {
			ids[out[n].ID] = int32(n + 1)
		}
		out[n].ID = n + 1
	}
	a.rep.Regions = out
	return ids
}

// shareWorst gives the region that holds a half's deepest path, or rubber that
// is locked, the place where that was found: it is sought closer than the
// regions are.
func (a *analysis) shareWorst(all []*region) {
	for _, h := range a.halves {
		give := func(at [3]int, z float64, locked bool) {
			if at[2] < 0 {
				return
			}
			label := h.label[h.f.Offset(at[0], at[1])+at[2]]
			if label == 0 {
				return
			}
			if r := all[label-1]; r.half == h && math.IsInf(r.path, 1) == locked && (locked || h.res.deepest >= r.path-h.f.Cell/2) {
				r.at, r.atH = at, z
			}
		}
		give(h.res.at, h.res.atH, false)
		if h.res.locked {
			give(h.res.lockAt, h.res.lockH, true)
		}
	}
}

// kind says what a region is to a mold maker: a tunnel that rubber links
// through, a neck that it goes round, a pocket whose mouth is less than twice as
// wide as it is deep or that lies round a core of rubber, or an overhang. linked: the pattern has a tunnel at all.
func (r *region) kind(linked bool) string {
	h := r.half
	f := h.f
	// Where the region meets rubber that can rise straight up: its mouth.
	x0, y0, x1, y1 := f.NX, f.NY, 0, 0
	var mouth []gapRef
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
		return "tunnel"
	}
	switch pattern, rubber := r.encloses(x0-1, y0-1, x1+1, y1+1); {
	case pattern >= 4 && pattern >= rubber:
		return "neck"
	case rubber >= 4:
		return "pocket" // it lies round a core of rubber
	}
	if math.IsInf(r.path, 1) || float64(len(mouth))*f.Cell < 2*r.path {
		return "pocket"
	}
	return "overhang"
}

// mouths counts the separate stretches of the mouth, small ones left out.
func (r *region) mouths(mouth []gapRef) int {
	if len(mouth) == 0 {
		return 0
	}
	h := r.half
	at := func(g gapRef) int { return h.f.Offset(int(g.i), int(g.j)) + int(g.k) }
	seen := make(map[int]int, len(mouth)) // looked up, never ranged over
	for n, g := range mouth {
		seen[at(g)] = n
	}
	done := make([]bool, len(mouth))
	count := 0
	var stack []int
	for n := range mouth {
		if done[n] {
			continue
		}
		done[n] = true
		stack = append(stack[:0], n)
		size := 0
		for len(stack) > 0 {
			g := mouth[stack[len(stack)-1]]
			stack = stack[:len(stack)-1]
			size++
			lo, hi := h.rubber.Gap(h.f.Column(int(g.i), int(g.j)), int(g.k))
			// Two cells round: a stair of the grid is no break.
			for dy := -2; dy <= 2; dy++ {
				for dx := -2; dx <= 2; dx++ {
					x, y := int(g.i)+dx, int(g.j)+dy
					if x < 0 || y < 0 || x >= h.f.NX || y >= h.f.NY {
						continue
					}
					col, off := h.f.Column(x, y), h.f.Offset(x, y)
					for k := range col {
						m, ok := seen[off+k]
						if !ok || done[m] {
							continue
						}
						if l, u := h.rubber.Gap(col, k); l < hi && u > lo {
							done[m] = true
							stack = append(stack, m)
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
			if _, in := dexel.At(f.Column(i, j), r.atH+r.half.eps); in {
				pattern++
			} else {
				rubber++
			}
		}
	}
	return pattern, rubber
}
