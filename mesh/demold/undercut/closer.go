package undercut

import (
	"context"
	"math"
	"slices"

	"moldtally/mesh/demold/scene"
	"moldtally/mesh/dexel"
	"moldtally/mesh/par"
)

// A place may seem shut in only because the columns stand too far apart to
// enter the passage that leads to it. So it is looked at again in a window of
// columns as close as a web of rubber asks for, whatever the field's own cell.

// Bounds of what is looked at closer (judgement of this program).
const (
	maxLooks     = 6         // places, the largest first
	maxWindow    = 1_500_000 // columns of one window
	websOfCell   = 2.5       // cells across a web of rubber
	windowMargin = 0.05      // of the pattern's size, round the place
	cellsOfSize  = 256       // along the pattern's largest size
)

// closeCell is the cell of a window, mm.
func (p *pathSolver) closeCell() float64 {
	return min(scene.NarrowPassage/websOfCell, p.s.c.Size/cellsOfSize)
}

// closeLook is what a closer look at a place found.
type closeLook struct {
	lock   bool
	volume float64   // shut in, mm³
	ways   []wayFrom // of a place that is none
}

// wayFrom is the way out from a gap of column (i, j) at a height, mm.
type wayFrom struct {
	i, j, gap int32
	h, d      float64
}

// takeWays enters ways into the gaps' paths.
func (s *shadow) takeWays(res *deepestPaths, ways []wayFrom) {
	for _, w := range ways {
		s.path[w.gap] = max(s.path[w.gap], float32(w.d))
		if w.d > res.length {
			i, j := int(w.i), int(w.j)
			res.length, res.at = w.d, place{i, j, int(w.gap) - s.f.Offset(i, j), w.h}
		}
	}
}

// window is a part of a shadow's field, looked at closer.
type window struct {
	*shadow
	p        *pathSolver
	levels   *levelPool
	body     *shutBody
	ways     []wayFrom
	sections []shutSection // of the body, in order of height
}

// lookCloser looks again at what is shut in.
func (p *pathSolver) lookCloser(ctx context.Context, b *shutBody) (closeLook, error) {
	w, err := p.window(ctx, b)
	if err != nil {
		return closeLook{}, err
	}
	heights := make([]float64, 0, 16)
	for n := range 11 {
		heights = append(heights, b.low+(b.high-b.low)*(float64(n)+0.01)/10.02)
	}
	at, err := w.find(ctx, heights)
	if err != nil {
		return closeLook{}, err
	}
	if at, err = sweep(ctx, at, w.f.Cell, p.s.leastLocked(), w.find); err != nil {
		return closeLook{}, err
	}
	var c closeLook
	high, least := max(2*w.f.Cell, p.s.c.Ignore), p.s.leastLocked()
	for _, x := range w.shutBodies(at) {
		c.volume += x.volume
		c.lock = c.lock || x.lock(high, least)
	}
	if !c.lock {
		c.ways = w.ways
	}
	return c, nil
}

// window casts the columns of a window round a place.
func (p *pathSolver) window(ctx context.Context, b *shutBody) (*window, error) {
	f := p.s.f
	margin := max(8, int(windowMargin*p.s.c.Size/f.Cell))
	i0, j0 := max(b.box[0]-margin, 0), max(b.box[1]-margin, 0)
	i1, j1 := min(b.box[2]+margin+1, f.NX), min(b.box[3]+margin+1, f.NY)
	wide, long := float64(i1-i0)*f.Cell, float64(j1-j0)*f.Cell
	g := f.Grid
	g.X0, g.Y0 = f.X0+float64(i0)*f.Cell, f.Y0+float64(j0)*f.Cell
	g.Cell = max(p.closeCell(), math.Sqrt(wide*long/maxWindow))
	g.NX, g.NY = int(math.Ceil(wide/g.Cell)), int(math.Ceil(long/g.Cell))
	below := g.U != p.s.c.Up
	g.U = p.s.c.Up
	field, err := p.s.c.Solid.Field(ctx, g)
	if err != nil {
		return nil, err
	}
	if below {
		field = scene.FromBelow(field)
	}
	w := &window{p: p, body: b, sections: b.sections}
	w.shadow = newShadow(p.s.c, scene.Half{Up: field.U, Field: field, Space: p.spaceOf(field), Floor: p.s.floor}, p.s.ref)
	w.levels = newLevelPool(w.shadow, 1)
	return w, nil
}

// spaceOf tells what fills a window as the field tells it.
func (p *pathSolver) spaceOf(f *dexel.Field) *scene.Space {
	if !p.s.c.OnBoard() {
		none := math.Inf(-1)
		return scene.NewSpace(f, none, none, p.s.eps, nil)
	}
	near := func(x, y, h float64) scene.Fill {
		i, j := p.s.column(x, y)
		for _, d := range [...][2]int{{0, 0}, {-1, 0}, {1, 0}, {0, -1}, {0, 1}} {
			if fill, ok := p.s.fillAt(i+d[0], j+d[1], h); ok {
				return fill
			}
		}
		return scene.Nothing
	}
	return scene.Like(f, p.s.c.Base, p.s.c.ClayLine(), p.s.eps, near)
}

// column is the column that a place in the plane lies in.
func (s *shadow) column(x, y float64) (i, j int) {
	return int(math.Floor((x - s.f.X0) / s.f.Cell)), int(math.Floor((y - s.f.Y0) / s.f.Cell))
}

// fillAt tells what fills the gap that a height lies in; false in S and beside
// the field.
func (s *shadow) fillAt(i, j int, h float64) (scene.Fill, bool) {
	if i < 0 || j < 0 || i >= s.f.NX || j >= s.f.NY {
		return scene.Rubber, true
	}
	col := s.f.Column(i, j)
	k, in := dexel.At(col, h)
	if in {
		return 0, false
	}
	if k == len(col) {
		return scene.Rubber, true
	}
	return s.rubber.Fill[s.f.Offset(i, j)+k], true
}

// find finds what is shut in at some heights of the window, and the ways out
// from the place.
func (w *window) find(ctx context.Context, heights []float64) ([]shutSection, error) {
	around, err := w.p.sections(ctx, heights)
	if err != nil {
		return nil, err
	}
	out, ways := make([]shutSection, len(heights)), make([][]wayFrom, len(heights))
	err = par.Each(ctx, len(heights), func(n int) {
		l := w.levels.take()
		defer w.levels.give(l)
		out[n] = w.level(l, around[n])
		ways[n] = w.waysOut(l, heights[n])
	})
	w.ways = slices.Concat(append(ways, w.ways)...)
	return out, err
}

// level solves one height of the window. What is shut in or has a way out
// beyond the window is known from the field.
func (w *window) level(l *level, around shutSection) shutSection {
	h := around.h
	l.classify(l.class, h)
	w.border(l, around)
	l.cells = l.cells[:0]
	for c, v := range l.class {
		if v == inShadow {
			l.cells = append(l.cells, int32(c))
		}
	}
	l.startOver()
	resolved := l.markThin(l.class, [4]int{0, 0, l.nx - 1, l.ny - 1})
	l.shortestWays()
	out := shutSection{h: h}
	for _, c := range l.cells {
		if !math.IsInf(float64(l.dist[c]), 1) || !w.inBox(int(c)%l.nx, int(c)/l.nx) {
			continue
		}
		i, j := int(c)%l.nx, int(c)/l.nx
		k, _ := dexel.At(w.f.Column(i, j), h)
		wide := resolved && !l.thin[c] || !resolved && l.roomy(c)
		out.cells = append(out.cells, shutCell{c, int32(w.f.Offset(i, j) + k), wide, false})
	}
	return out
}

// border makes the rim of the window ways out, with what is left of the way
// there, or walls.
func (w *window) border(l *level, around shutSection) {
	s := w.p.s
	if l.entry == nil {
		l.entry = make([]float32, len(l.class))
	}
	set := func(i, j int) {
		c := j*l.nx + i
		l.entry[c] = 0
		if l.class[c] != inShadow {
			return
		}
		l.class[c] = inSolid
		x, y := w.f.Center(i, j)
		u, v := s.column(x, y)
		if u < 0 || v < 0 || u >= s.f.NX || v >= s.f.NY {
			l.class[c] = inOpen
			return
		}
		if s.tops[v*s.f.NX+u] <= s.open(around.h) {
			l.class[c] = inOpen
			return
		}
		at := int32(v*s.f.NX + u)
		if k, in := slices.BinarySearchFunc(around.cells, at, func(x shutCell, at int32) int { return int(x.col) - int(at) }); in && !around.cells[k].doubt {
			return
		}
		col := s.f.Column(u, v)
		if k, in := dexel.At(col, around.h); !in && k < len(col) {
			l.class[c] = inOpen
			l.entry[c] = s.path[s.f.Offset(u, v)+k] / float32(w.f.Cell)
		}
	}
	for i := range l.nx {
		set(i, 0)
		set(i, l.ny-1)
	}
	for j := range l.ny {
		set(0, j)
		set(l.nx-1, j)
	}
}

// inBox reports whether a column of the window lies over the place.
func (w *window) inBox(i, j int) bool {
	x, y := w.f.Center(i, j)
	u, v := w.p.s.column(x, y)
	b := w.body.box
	return u >= b[0] && v >= b[1] && u <= b[2] && v <= b[3]
}

// waysOut are the ways out, at a height just solved, from the field's own
// columns over the place.
func (w *window) waysOut(l *level, h float64) (found []wayFrom) {
	k, _ := slices.BinarySearchFunc(w.sections, h, func(x shutSection, h float64) int {
		switch {
		case x.h < h:
			return -1
		case x.h > h:
			return 1
		}
		return 0
	})
	k = min(k, len(w.sections)-1)
	s := w.p.s
	for _, c := range w.sections[k].cells {
		i, j := int(c.col)%s.f.NX, int(c.col)/s.f.NX
		x, y := s.f.Center(i, j)
		u, v := w.column(x, y)
		if u < 0 || v < 0 || u >= l.nx || v >= l.ny {
			continue
		}
		if e := v*l.nx + u; l.class[e] == inShadow && !math.IsInf(float64(l.dist[e]), 1) {
			found = append(found, wayFrom{int32(i), int32(j), c.gap, h, float64(l.dist[e]) * w.f.Cell})
		}
	}
	return found
}
