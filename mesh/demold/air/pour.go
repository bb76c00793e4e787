package air

import (
	"math"
	"slices"

	"moldtally/mesh"
	"moldtally/mesh/demold/scene"
	"moldtally/mesh/dexel"
)

// pour is one pour into a cavity, and how its columns lie in the file's frame.
type pour struct {
	*cavity
	f      *dexel.Field // along what is up while it is poured
	base   float64      // height in f from which the cavity's heights are counted, mm
	top    float32      // of the pattern, in the cavity's heights; rubber only
	rise   float64      // traps no higher than this are noise, mm
	last   bool         // the last drop counts
	e1, e2 mesh.Vec     // the horizontal
	rep    Pour
	hold   []trap    // what the cavity catches standing level
	rest   []float32 // per node, from where; its upper end outside of hold

	sprue []place // the sheet that it stands on, level; nil with a mouth
	vents []Vent
	swill bool // the casting is swilled round, and catches nothing
}

// newPour is a pour without heights, with a node per span of a field along what
// is up. Two heights that differ by less than its eps are one: they are 32-bit
// and, leaning, as large as the pattern.
func newPour(c *scene.Scene, f *dexel.Field, what Liquid, half Half, base float64) *pour {
	n, inf := f.NumSpans(), float32(math.Inf(1))
	rise := max(c.Ignore, f.Cell/2)
	v := &cavity{
		nx: f.NX, ny: f.NY, cell: f.Cell, off: f.Offsets(), lo: make([]float32, n), hi: make([]float32, n),
		mouth: inf, rim: inf, eps: float32(max(c.Eps, 1e-6*c.Size)), noise: float32(rise),
		reach: float32(max(rise, min(ceiling, ceilingShare*c.Size))),
	}
	p := &pour{cavity: v, f: f, base: base, rise: rise, last: c.Ignore == 0, rep: Pour{Pour: what, Half: half}}
	for k, x := range f.U.Array() {
		p.rep.Up[k] = x + 0 // no -0
	}
	p.e1, p.e2 = mesh.Basis(f.U)
	if math.Abs(f.U.Dot(c.Up)) > 1-1e-9 { // the same sides whichever way up
		p.e1, p.e2 = mesh.Basis(c.Up)
	}
	return p
}

// rubberPour is the space under the pattern that rubber rises in. Its rim is
// the box's, which is made as high as it need be.
func rubberPour(c *scene.Scene, s Side) *pour {
	f := s.Field
	ref, top := c.Base, c.Top
	if s.Up != c.Up {
		ref, top = -c.Top, -c.Base
	}
	v := newPour(c, f, Rubber, s.Half, ref)
	v.top = float32(top - ref)
	v.tops = make([]float32, f.NX*f.NY)
	for j := range f.NY {
		first, last := -1, -1
		for i := range f.NX {
			col, off := f.Column(i, j), f.Offset(i, j)
			if len(col) == 0 {
				v.tops[j*f.NX+i] = float32(math.Inf(-1))
				continue
			}
			v.tops[j*f.NX+i] = float32(col[len(col)-1].Top - ref)
			if last = i; first < 0 {
				first = i
			}
			for k := range col {
				if s.Space.Fill[off+k] != scene.Rubber {
					continue
				}
				lo, hi := s.Space.Gap(col, k)
				if lo = max(lo, s.Floor); hi-lo > c.Eps {
					v.lo[off+k], v.hi[off+k] = float32(lo-ref), float32(hi-ref)
				}
			}
		}
		if first >= 0 {
			v.brim = append(v.brim, place{-1, int32(first), int32(j)}, place{-1, int32(last), int32(j)})
		}
	}
	return v
}

// castingPour is the mold's cavity, its columns along what is up. With a mouth at
// a height, mm, air leaves where the cavity reaches it; without (nil), at the
// place of each connected part where its sprue stands.
func castingPour(c *scene.Scene, f *dexel.Field, mouth *float64) *pour {
	base := math.Inf(1)
	for j := range f.NY {
		for i := range f.NX {
			if col := f.Column(i, j); len(col) > 0 {
				base = min(base, col[0].Bottom)
			}
		}
	}
	v := newPour(c, f, Casting, Whole, base)
	v.shut = mouth == nil
	for j := range f.NY {
		for i := range f.NX {
			off := f.Offset(i, j)
			for k, s := range f.Column(i, j) {
				v.lo[off+k], v.hi[off+k] = float32(s.Bottom-base), float32(s.Top-base)
			}
		}
	}
	if mouth == nil {
		v.join()
		return v
	}
	v.mouth = float32(*mouth - base - c.Eps)
	v.rim = v.mouth
	v.each(func(p place) {
		if v.hi[p.n] >= v.mouth {
			v.brim = append(v.brim, p)
		}
	})
	return v
}

// at is the place of a node's upper end in the file's frame.
func (p *pour) at(t place) [3]float64 {
	return *scene.Point(p.f, int(t.i), int(t.j), p.base+float64(p.hi[t.n]))
}

// level finds what the cavity catches standing level.
func (p *pour) level() {
	var rest []float32
	switch {
	case p.shut:
		rest = p.feed()
	case p.swill:
		p.open, rest = p.free(lean{}), p.hi
	default:
		p.open = p.free(lean{})
		rest = p.climb(lean{}, p.open)
		p.hold = p.traps(rest, lean{}, p.rise, true)
	}
	p.rest = slices.Clone(p.hi)
	for _, t := range p.hold {
		for _, g := range t.nodes {
			p.rest[g.n] = rest[g.n]
		}
	}
}

// tell fills in the report of the cavity standing level.
func (p *pour) tell() {
	p.put(p.hold, lean{})
	p.report(p.hold, p.rest, lean{})
	p.rep.Caught, p.rep.Traps = p.rep.Left, len(p.hold)
	if len(p.hold) > 0 {
		p.rep.At = new(p.at(p.hold[0].top))
	}
}

// needs is how far over the pattern's top the box has to reach for rubber to
// cover, leaning, what would catch air standing level, mm; it is never less than
// the pattern itself needs.
func (p *pour) needs(l lean) float64 {
	high := p.top + p.low(l)
	for _, t := range p.hold {
		for _, g := range t.nodes {
			high = max(high, p.height(g, l))
		}
	}
	return float64(high-p.low(l)) - float64(p.top)
}
