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
	c    *scene.Scene
	f    *dexel.Field
	down bool    // heights grow against the scene's Up
	ref  float64 // height along f's direction from which they are counted, mm
	top  float32 // of the pattern, in the cavity's heights; rubber only
	rep  Pour
	hold []trap    // what the cavity catches standing level
	rest []float32 // per node, from where; its upper end outside of hold
}

// newCavity is a cavity with a node per span, without heights. Two heights that
// differ by less than its eps are one: they are 32-bit and, leaning, as large as
// the pattern.
func newCavity(c *scene.Scene, f *dexel.Field) *cavity {
	n, inf := f.NumSpans(), float32(math.Inf(1))
	return &cavity{
		nx: f.NX, ny: f.NY, cell: f.Cell, off: f.Offsets(), lo: make([]float32, n), hi: make([]float32, n),
		mouth: inf, rim: inf, eps: float32(max(c.Eps, 1e-6*c.Size)),
	}
}

// rubberPour is the space under the pattern that rubber rises in. Its rim is
// the box's, which is made as high as it need be.
func rubberPour(c *scene.Scene, s Side) *pour {
	f := s.Field
	ref, top := c.Base, c.Top
	if s.Up != c.Up {
		ref, top = -c.Top, -c.Base
	}
	v := newCavity(c, f)
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
	return &pour{cavity: v, c: c, f: f, ref: ref, top: float32(top - ref), rep: Pour{Pour: Rubber, Half: s.Half, Up: s.Up.Array()}}
}

// castingPour is the mold's cavity with the given direction up. With a mouth,
// air leaves where the cavity is open at the clay line; without, at the highest
// place of each connected part, where its sprue stands.
func castingPour(c *scene.Scene, up mesh.Vec, mouth bool) *pour {
	f := c.Field
	v := newCavity(c, f)
	v.shut = !mouth
	p := &pour{cavity: v, c: c, f: f, down: up != c.Up, ref: c.Base, rep: Pour{Pour: Casting, Half: Whole, Up: up.Array()}}
	if p.down {
		p.ref = c.Top
	}
	for j := range f.NY {
		for i := range f.NX {
			off := f.Offset(i, j)
			for k, s := range f.Column(i, j) {
				if p.down {
					v.lo[off+k], v.hi[off+k] = float32(c.Top-s.Top), float32(c.Top-s.Bottom)
				} else {
					v.lo[off+k], v.hi[off+k] = float32(s.Bottom-c.Base), float32(s.Top-c.Base)
				}
			}
		}
	}
	if !mouth {
		v.join()
		return p
	}
	v.mouth = float32(c.Top - c.ClayLine() - c.Eps)
	v.rim = v.mouth
	v.each(func(p place) {
		if v.hi[p.n] >= v.mouth {
			v.brim = append(v.brim, p)
		}
	})
	return p
}

// at is the place of a node's upper end in the file's frame.
func (p *pour) at(t place) [3]float64 {
	z := p.ref + float64(p.hi[t.n])
	if p.down {
		z = p.ref - float64(p.hi[t.n])
	}
	return *scene.Point(p.f, int(t.i), int(t.j), z)
}

// report fills in what is caught in the given traps, with the vents that clear
// them and the sprue.
func (p *pour) report(traps []trap, l lean) {
	p.rep.Left, p.rep.Vents = 0, [][3]float64{}
	for _, t := range traps {
		p.rep.Left += t.volume
		p.rep.Vents = append(p.rep.Vents, p.at(t.top))
	}
	if p.part == nil {
		return
	}
	// A part of the cavity that the sprue does not reach takes a vent.
	for k, s := range p.sprues(l) {
		at := p.at(s)
		if k == 0 {
			p.rep.SprueAt = &at
		} else {
			p.rep.Vents = append(p.rep.Vents, at)
		}
	}
}

// level finds what the cavity catches standing level.
func (p *pour) level() {
	rest := p.climb(lean{})
	p.hold = p.traps(rest, lean{}, p.c.Rise(), true)
	p.rest = slices.Clone(p.hi)
	for _, t := range p.hold {
		for _, g := range t.nodes {
			p.rest[g.n] = rest[g.n]
		}
	}
	p.report(p.hold, lean{})
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
			high = max(high, p.hi[g.n]+l.at(g.i, g.j))
		}
	}
	return float64(high-p.low(l)) - float64(p.top)
}
