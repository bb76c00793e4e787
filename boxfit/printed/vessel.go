package printed

import (
	"math"
	"slices"

	"moldtally/mesh"
)

// vessel is a container's inside and its walls. Lengths mm, heights above the floor.
type vessel struct {
	outline      *outline
	height, fill float64
	wall, bow    float64
	bows         bool // further than a flat-sided mold may
	flat         bool // its outline is its sides; else they stand for a circle
}

// cuts is how a vessel is parted: how far round its walls are cut, at what heights,
// and into how many tiles along and across its floor.
type cuts struct {
	round  []float64
	levels []float64
	floor  [2]int
}

// levels are the heights at which walls are cut so that none is higher than most; 0 =
// any.
func (v *vessel) levels(most float64) (at []float64) {
	n := 1
	if most > 0 {
		n = max(1, int(math.Ceil(v.height/most-1e-9)))
	}
	for i := 1; i < n; i++ {
		at = append(at, v.height*float64(i)/float64(n))
	}
	return at
}

// tiles are into how many pieces a plate is cut along and across so that each fits a
// bed, the fewest; false where a hundred do not.
func tiles(size mesh.Vec2, p Printer) ([2]int, bool) {
	if p == (Printer{}) {
		return [2]int{1, 1}, true
	}
	best, found := [2]int{}, false
	for x := 1; x <= 10; x++ {
		for y := 1; y <= 10; y++ {
			l, w := size.X/float64(x), size.Y/float64(y)
			if max(l, w) <= max(p[0], p[1]) && min(l, w) <= min(p[0], p[1]) && (!found || x*y < best[0]*best[1]) {
				best, found = [2]int{x, y}, true
			}
		}
	}
	return best, found
}

// cutRound is where the walls are cut into n: opposite each other, in the middle of
// flat sides or evenly along them, clear of the corners.
func (v *vessel) cutRound(n int) (at []float64, ok bool) {
	o := v.outline
	sides := len(o.corners)
	switch {
	case !v.flat:
		for i := range n {
			at = append(at, o.middle(i*sides/n))
		}
		return at, n <= sides/4
	case sides == 4:
		return v.cutRectangle(n)
	case n > sides:
		return nil, false
	}
	for i := range n {
		at = append(at, o.middle(i*sides/n))
	}
	return at, v.room(at)
}

// cutRectangle spreads n cuts over two pairs of sides, so that the longest stretch
// between cuts, corners counted, is least.
func (v *vessel) cutRectangle(n int) (best []float64, ok bool) {
	o := v.outline
	l, w := o.starts[1], o.starts[2]-o.starts[1]
	least := math.Inf(1)
	for long := 1; 2*long <= n; long++ {
		short := n/2 - long
		stretch := max(l/float64(long+1), w/float64(short+1))
		if long == 1 && short == 0 {
			stretch = max(l/2, w) // two U shapes
		}
		if stretch >= least {
			continue
		}
		var at []float64
		for side := range 4 {
			k, whole := long, l
			if side%2 == 1 {
				k, whole = short, w
			}
			for i := 1; i <= k; i++ {
				at = append(at, o.starts[side]+whole*float64(i)/float64(k+1))
			}
		}
		if v.room(at) {
			best, least = at, stretch
		}
	}
	return best, best != nil
}

// room reports whether the flanges at all cuts are clear of corners and each other.
func (v *vessel) room(at []float64) bool {
	o := v.outline
	for _, s := range at {
		for _, c := range o.starts {
			if math.Abs(s-c) < 2*flangeThick {
				return false
			}
		}
		for _, t := range at {
			if s != t && math.Abs(s-t) < 4*flangeThick {
				return false
			}
		}
	}
	return true
}

// slot is a gap for a bolt: from low to high along an axis.
type slot struct{ low, high float64 }

func (s slot) has(x float64) bool { return x > s.low && x < s.high }

func slotAt(x float64) slot { const half = (boltSize + boltRoom) / 2; return slot{x - half, x + half} }

// along spreads slots over a stretch, none nearer to its ends than margin; none where
// there is no room.
func along(from, to, margin float64) (all []slot) {
	room := to - from - 2*margin
	if room < 0 {
		return nil
	}
	n := max(1, int(math.Ceil(room/boltsApart))+1)
	if n == 1 || room < 3*boltSize {
		return []slot{slotAt((from + to) / 2)}
	}
	for i := range n {
		all = append(all, slotAt(from+margin+room*float64(i)/float64(n-1)))
	}
	return all
}

// make builds the parts of a vessel that is parted so.
func (v *vessel) make(c cuts) (*Made, error) {
	w := v.walls(c)
	made := &Made{Wall: v.wall, Bow: v.bow, Bows: v.bows, BoltSize: boltSize, Capacity: v.outline.area() * v.fill}
	for _, body := range w.grid.parts() {
		m, err := w.grid.mesh(body, func(out, s, z float64) mesh.Vec {
			p := v.outline.place(s, out)
			return mesh.Vec{X: p.X, Y: p.Y, Z: z}
		})
		if err != nil {
			return nil, err
		}
		if m, err = laid(m); err != nil {
			return nil, err
		}
		made.Parts = append(made.Parts, Part{WallPart, m})
	}
	made.Bolts = len(w.feet)*(len(c.levels)+1) + len(w.upright)*len(c.round)
	floor, err := v.floor(c, w.feet)
	made.Parts = append(made.Parts, floor...)
	return made, err
}

// walls are the walls as a grid of cells: outward, round, up.
type walls struct {
	grid    *cells
	feet    []slot // of the feet, round
	upright []slot // of the flanges at the cuts, up
}

// walls lays the cells of the walls out.
func (v *vessel) walls(c cuts) walls {
	const half = flangeThick + clear/2
	out := []float64{0, v.wall, v.wall + flangeWide - slotDeep, v.wall + flangeWide}
	round := slices.Clone(v.outline.starts)
	up := []float64{0, flangeThick, v.height}
	for _, s := range c.round {
		round = append(round, s-half, s-clear/2, s+clear/2, s+half)
	}
	for _, z := range c.levels {
		up = append(up, z-half, z-clear/2, z+clear/2, z+half)
	}
	w := walls{feet: v.feet(c)}
	for _, s := range w.feet {
		round = append(round, s.low, s.high)
	}
	for i := range len(c.levels) + 1 {
		from, to := flangeThick, v.height
		if i > 0 {
			from = c.levels[i-1] + half
		}
		if i < len(c.levels) {
			to = c.levels[i] - half
		}
		w.upright = append(w.upright, along(from, to, 2*boltSize)...)
	}
	for _, s := range w.upright {
		up = append(up, s.low, s.high)
	}
	near := func(at []float64, x, within float64) bool {
		return slices.ContainsFunc(at, func(a float64) bool { return math.Abs(x-a) < within })
	}
	in := func(all []slot, x float64) bool {
		return slices.ContainsFunc(all, func(s slot) bool { return s.has(x) })
	}
	whole := v.outline.round()
	for i, s := range round {
		if s < 0 || s > whole {
			round[i] = s - whole*math.Floor(s/whole)
		}
	}
	atCut := func(s, within float64) bool { return near(c.round, s, within) || near(c.round, s-whole, within) }
	w.grid = newCells(true, out, round, up)
	w.grid.fill(func(o, s, z float64) bool {
		deep := o > v.wall+flangeWide-slotDeep // where slots reach to
		switch {
		case atCut(s, clear/2) || near(c.levels, z, clear/2):
			return false
		case o < v.wall:
			return true
		case atCut(s, half):
			return !deep || !in(w.upright, z)
		case z < flangeThick || near(c.levels, z, half):
			return !deep || !in(w.feet, s)
		}
		return false
	})
	return w
}

// feet are the slots of the flange that the walls stand on, between the corners and
// cuts of flat sides, or between the cuts of a round one.
func (v *vessel) feet(c cuts) (all []slot) {
	stops := slices.Clone(c.round)
	if v.flat {
		stops = append(stops, v.outline.starts...)
	}
	slices.Sort(stops)
	if !v.flat {
		stops = append(stops, stops[0]+v.outline.round())
	}
	for i := range len(stops) - 1 {
		for _, s := range along(stops[i], stops[i+1], flangeThick+2*boltSize) {
			if r := v.outline.round(); s.low >= r {
				s.low, s.high = s.low-r, s.high-r
			}
			all = append(all, s)
		}
	}
	return all
}

// area is that inside the outline, mm².
func (o *outline) area() float64 {
	a := 0.0
	for i, c := range o.corners {
		a += c.Cross(o.corners[(i+1)%len(o.corners)]) / 2
	}
	return a
}

// laid turns a part flat on the bed so that it takes the least rectangle.
func laid(m *mesh.Mesh) (*mesh.Mesh, error) {
	pts := make([]mesh.Vec2, m.NumVertices())
	lo, _ := m.Bounds()
	for i, v := range m.Vertices() {
		pts[i] = mesh.Vec2{X: v.X, Y: v.Y}
	}
	ax := mesh.MinRect(mesh.Hull2(pts)).Axis
	var b mesh.Builder
	to := make([]int32, m.NumVertices())
	for i, v := range m.Vertices() {
		n, err := b.Vertex(mesh.Vec{X: pts[i].Dot(ax), Y: ax.Cross(pts[i]), Z: v.Z - lo.Z})
		if err != nil {
			return nil, err
		}
		to[i] = n
	}
	for _, t := range m.Triangles() {
		b.Triangle(to[t[0]], to[t[1]], to[t[2]])
	}
	return b.Build(1)
}

// plate is the rectangle of the floor.
func (v *vessel) plate() (lo, hi mesh.Vec2) {
	for i := range v.outline.corners {
		p := v.outline.place(v.outline.starts[i], v.wall+flangeWide+footprint)
		lo.X, lo.Y, hi.X, hi.Y = min(lo.X, p.X), min(lo.Y, p.Y), max(hi.X, p.X), max(hi.Y, p.Y)
	}
	return lo, hi
}

// floor is the plate that the walls stand on, in tiles, with holes under their slots.
func (v *vessel) floor(c cuts, feet []slot) ([]Part, error) {
	lo, hi := v.plate()
	x, y := []float64{lo.X, hi.X}, []float64{lo.Y, hi.Y}
	split := func(at *[]float64, n int) (cut []float64) {
		from, to := (*at)[0], (*at)[1]
		for i := 1; i < n; i++ {
			s := from + (to-from)*float64(i)/float64(n)
			cut = append(cut, s)
			*at = append(*at, s-clear/2, s+clear/2)
		}
		return cut
	}
	cutX, cutY := split(&x, c.floor[0]), split(&y, c.floor[1])
	var holes [][2]slot
	for _, s := range feet {
		p := v.outline.place((s.low+s.high)/2, v.wall+flangeWide-slotDeep+boltSize/2)
		h := [2]slot{slotAt(p.X), slotAt(p.Y)}
		holes = append(holes, h)
		x, y = append(x, h[0].low, h[0].high), append(y, h[1].low, h[1].high)
	}
	g := newCells(false, x, y, []float64{0, floorThick})
	g.fill(func(x, y, _ float64) bool {
		on := func(at []float64, x float64) bool {
			return slices.ContainsFunc(at, func(a float64) bool { return math.Abs(x-a) < clear/2 })
		}
		return !on(cutX, x) && !on(cutY, y) && !slices.ContainsFunc(holes, func(h [2]slot) bool { return h[0].has(x) && h[1].has(y) })
	})
	var all []Part
	for _, body := range g.parts() {
		m, err := g.mesh(body, func(a, b, c float64) mesh.Vec { return mesh.Vec{X: a, Y: b, Z: c} })
		if err != nil {
			return nil, err
		}
		all = append(all, Part{FloorPart, m})
	}
	return all, nil
}
