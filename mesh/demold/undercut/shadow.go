package undercut

import (
	"context"
	"math"
	"math/bits"

	"moldtally/mesh"
	"moldtally/mesh/demold/scene"
	"moldtally/mesh/dexel"
	"moldtally/mesh/par"
)

// shadow is the undercut of one half of a mold along the way it lifts off: the
// rubber above the half's floor that has S above it. Gaps are numbered as in
// scene.Space.
type shadow struct {
	c      *scene.Scene
	closer bool // what is shut in may be looked at closer: the columns are the solid's
	up     mesh.Vec
	f      *dexel.Field
	rubber *scene.Space
	floor  float64   // undercuts count above this height: the clay line or the parting
	ref    float64   // heights in tops are stored relative to this
	eps    float64   // heights closer than this are one, mm
	rise   float64   // a dimple or pit that shuts rubber in and is no deeper than this is noise, mm
	narrow float64   // a passage narrower than this is no way out, mm; 0 = any is
	tops   []float32 // per column: top of S above ref, -Inf where there is none
	across [][2]int  // per row: the first column that has S, and the one after the last
	pyr    pyramid
	rough  []peak     // what a scan of the half found before it had its floor
	whole  *shadow    // the same over a lower floor, whose depths are known; nil = there is none
	stops  []blockage // what is blocked, in the order of the gaps; nil = not looked for

	depth []float32 // per gap, mm: straight in-plane way out at its floor; 0 = no undercut
	exit  []int32   // per gap: the column of that way out
	path  []float32 // per gap, mm: way round S; +Inf where there is none
}

// newShadow prepares the shadow of a half; the depths come with find. ref is the
// lowest height of S along the half's way.
func newShadow(c *scene.Scene, h scene.Half, ref float64) *shadow {
	f := h.Field
	s := &shadow{c: c, up: h.Up, f: f, rubber: h.Space, floor: h.Floor, ref: ref, eps: c.Eps, rise: c.Rise(), narrow: c.Narrow()}
	s.tops, s.across = make([]float32, f.NX*f.NY), make([][2]int, f.NY)
	for j := range f.NY {
		row := &s.across[j]
		for i := range f.NX {
			t := float32(math.Inf(-1))
			if col := f.Column(i, j); len(col) > 0 {
				t = float32(col[len(col)-1].Top - ref)
				if row[1] == 0 {
					row[0] = i
				}
				row[1] = i + 1
			}
			s.tops[j*f.NX+i] = t
		}
	}
	s.pyr = newPyramid(s.tops, f.NX, f.NY)
	return s
}

// above is the same shadow over another floor, its depths not known yet.
func (s *shadow) above(floor float64) *shadow {
	c := *s
	c.floor, c.depth, c.exit, c.path, c.stops = floor, nil, nil, nil, nil
	if s.depth != nil && s.floor <= floor {
		c.whole = s
	}
	return &c
}

// piece returns the part of a gap that is undercut: rubber above the floor.
func (s *shadow) piece(col []dexel.Span, off, k int) (lo, hi float64, ok bool) {
	if s.rubber.Fill[off+k] != scene.Rubber {
		return 0, 0, false
	}
	lo, hi = s.rubber.Gap(col, k)
	lo = max(lo, s.floor)
	return lo, hi, hi-lo > s.eps
}

// open returns the height, relative to ref, up to which a column's top lets
// rubber at height z go straight up.
func (s *shadow) open(z float64) float32 { return float32(z - s.ref + s.eps) }

// volume is the undercut's volume, mm³.
func (s *shadow) volume() float64 {
	var v float64
	for j := range s.f.NY {
		var row float64
		for i := range s.f.NX {
			col, off := s.f.Column(i, j), s.f.Offset(i, j)
			for k := range col {
				if lo, hi, ok := s.piece(col, off, k); ok {
					row += hi - lo
				}
			}
		}
		v += row
	}
	return v * s.f.Cell * s.f.Cell
}

// find fills depth and exit for every gap. A gap is deepest at its own floor,
// because the shadow only shrinks with height, so one query serves it: the
// nearest column whose top is no higher than the floor.
func (s *shadow) find(ctx context.Context) error {
	f := s.f
	s.depth = make([]float32, f.NumSpans())
	s.exit = make([]int32, f.NumSpans())
	return par.Each(ctx, f.NY, func(j int) {
		var q nearest
		q.at = -1
		for i := range f.NX {
			col, off := f.Column(i, j), f.Offset(i, j)
			for k := range col {
				s.exit[off+k] = -1
				lo, _, ok := s.piece(col, off, k)
				if !ok {
					continue
				}
				if w := s.whole; w != nil && lo > s.floor {
					// The floor does not cut this gap.
					s.depth[off+k], s.exit[off+k] = w.depth[off+k], w.exit[off+k]
					continue
				}
				z := s.open(lo)
				// The last answer in the row is a good first guess.
				q.d2 = math.MaxInt64
				if q.at >= 0 && s.tops[q.at] <= z {
					q.d2 = dist2(i, j, int(q.at)%f.NX, int(q.at)/f.NX)
				} else {
					q.at = -1
				}
				s.pyr.nearest(i, j, z, &q)
				if q.at < 0 {
					continue // cannot be: the grid's margin is empty
				}
				s.depth[off+k] = float32(math.Sqrt(float64(q.d2)) * f.Cell)
				s.exit[off+k] = q.at
			}
		}
	})
}

// place is a height in a gap.
type place struct {
	i, j, k int     // column and gap; k = -1 where there is none
	z       float64 // along the half's way, mm
}

// point is the place in the file's frame; nil where there is none.
func (s *shadow) point(p place) *[3]float64 {
	if p.k < 0 {
		return nil
	}
	return scene.Point(s.f, p.i, p.j, p.z)
}

// deepest returns the largest depth, mm, and where it is: at a gap's floor.
func (s *shadow) deepest() (d float64, at place) {
	at.k = -1
	for j := range s.f.NY {
		for i := range s.f.NX {
			col, off := s.f.Column(i, j), s.f.Offset(i, j)
			for k := range col {
				if v := float64(s.depth[off+k]); v > d {
					d, at = v, place{i: i, j: j, k: k}
				}
			}
		}
	}
	if at.k >= 0 {
		at.z, _, _ = s.piece(s.f.Column(at.i, at.j), s.f.Offset(at.i, at.j), at.k)
	}
	return d, at
}

func dist2(i, j, x, y int) int64 {
	dx, dy := int64(i-x), int64(j-y)
	return dx*dx + dy*dy
}

// nearest is a query's best answer so far.
type nearest struct {
	d2     int64     // squared distance in cells
	at     int32     // column
	enough int64     // an answer this near ends the search, nearest or not
	stack  [64]block // scratch: three blocks a level wait, of at most twenty levels
}

// block is a block of a pyramid that a search has still to look into.
type block struct {
	d2   int64 // squared distance to it, in cells
	x, y int32 // its place in its level
	lev  int8
}

// pyramid holds the least top of blocks of 2×2, 4×4, … columns.
type pyramid struct {
	level [][]float32 // level[0] is the columns themselves
	nx    []int
	ny    []int
}

func newPyramid(tops []float32, nx, ny int) pyramid {
	p := pyramid{[][]float32{tops}, []int{nx}, []int{ny}}
	for nx > 1 || ny > 1 {
		mx, my := (nx+1)/2, (ny+1)/2
		below := p.level[len(p.level)-1]
		up := make([]float32, mx*my)
		for j := range my {
			for i := range mx {
				m := below[2*j*nx+2*i]
				if 2*i+1 < nx {
					m = min(m, below[2*j*nx+2*i+1])
				}
				if 2*j+1 < ny {
					m = min(m, below[(2*j+1)*nx+2*i])
					if 2*i+1 < nx {
						m = min(m, below[(2*j+1)*nx+2*i+1])
					}
				}
				up[j*mx+i] = m
			}
		}
		p.level = append(p.level, up)
		p.nx, p.ny = append(p.nx, mx), append(p.ny, my)
		nx, ny = mx, my
	}
	return p
}

// nearest finds the column nearest to (i, j) whose top is at most z, if it is
// nearer than q already is: branch and bound down the pyramid, near blocks
// first. Of equally near columns the one found first stays, in an order that
// depends on (i, j) and the field alone.
func (p *pyramid) nearest(i, j int, z float32, q *nearest) {
	n := 1
	q.stack[0] = p.within(i, j, q.d2)
	for n > 0 {
		n--
		b := q.stack[n]
		if b.d2 >= q.d2 {
			continue
		}
		l := int(b.lev) - 1
		if l < 0 { // a field of one column
			if p.level[0][0] <= z {
				q.d2, q.at = b.d2, 0
			}
			continue
		}
		nx, ny, tops := p.nx[l], p.ny[l], p.level[l]
		first := n
		for y := 2 * int(b.y); y < min(2*int(b.y)+2, ny); y++ {
			ey := apart(j, y, l)
			if ey*ey >= q.d2 {
				continue
			}
			for x := 2 * int(b.x); x < min(2*int(b.x)+2, nx); x++ {
				ex := apart(i, x, l)
				d := ex*ex + ey*ey
				if d >= q.d2 || !(tops[y*nx+x] <= z) {
					continue
				}
				// Keep the nearest on top of the stack.
				m := n
				for m > first && q.stack[m-1].d2 < d {
					q.stack[m] = q.stack[m-1]
					m--
				}
				q.stack[m] = block{d, int32(x), int32(y), int8(l)}
				n++
			}
		}
		if l == 0 && n > first { // columns: the nearest is on top
			q.d2, q.at = q.stack[n-1].d2, q.stack[n-1].y*int32(nx)+q.stack[n-1].x
			n = first
			if q.d2 <= q.enough {
				return
			}
		}
	}
}

// apart is how many cells lie between column i and block x of a level, along
// one axis; 0 inside.
func apart(i, x, level int) int64 {
	return int64(max(x<<level-i, i-(x<<level+1<<level-1), 0))
}

// within returns a block that holds every column nearer to (i, j) than a squared
// distance: the least one there is, so that a search need not start at the top.
func (p *pyramid) within(i, j int, d2 int64) block {
	top := len(p.level) - 1
	if d2 > 1<<30 {
		return block{lev: int8(top)}
	}
	r := int(math.Sqrt(float64(d2)))
	x0, x1 := max(i-r, 0), min(i+r, p.nx[0]-1)
	y0, y1 := max(j-r, 0), min(j+r, p.ny[0]-1)
	l := min(max(bits.Len(uint(x0^x1)), bits.Len(uint(y0^y1)), 1), top)
	return block{x: int32(x0 >> l), y: int32(y0 >> l), lev: int8(l)}
}
