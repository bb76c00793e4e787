package mesh

import (
	"context"
	"fmt"

	"moldtally/mesh/par"
)

// Sum adds floats with a running compensation for what rounding loses, so that
// the result is as good as if it had been added in twice the precision and
// rounded once (A. Neumaier, "Rundungsfehleranalyse einiger Verfahren zur
// Summation endlicher Summen", ZAMM 54 (1974)). The zero value is an empty
// sum. The same addends in the same order give the same bits everywhere.
type Sum struct{ s, c float64 }

// Add adds x.
func (s *Sum) Add(x float64) {
	t := s.s + x
	if abs(s.s) >= abs(x) {
		s.c += (s.s - t) + x
	} else {
		s.c += (x - t) + s.s
	}
	s.s = t
}

// Merge adds another sum.
func (s *Sum) Merge(o Sum) {
	s.Add(o.s)
	s.c += o.c
}

// Value is the sum.
func (s Sum) Value() float64 { return s.s + s.c }

func abs(x float64) float64 {
	if x < 0 {
		return -x
	}
	return x
}

// measureBlock is how many triangles are summed together. It is fixed, so that
// the sums do not depend on the number of cores.
const measureBlock = 1 << 14

// tally is what is summed over the triangles of one piece.
type tally struct {
	piece      int32
	triangles  int
	area       Sum // twice the area
	volume     Sum // six times the volume, about the local origin
	ax, ay, az Sum // twice the vector area
	lo, hi     Vec
	flags      uint32
	boundary   int
}

func (p *tally) merge(q *tally) {
	if p.triangles == 0 {
		p.lo, p.hi = q.lo, q.hi
	} else {
		p.lo, p.hi = p.lo.Min(q.lo), p.hi.Max(q.hi)
	}
	p.triangles += q.triangles
	p.area.Merge(q.area)
	p.volume.Merge(q.volume)
	p.ax.Merge(q.ax)
	p.ay.Merge(q.ay)
	p.az.Merge(q.az)
	p.flags |= q.flags
	p.boundary += q.boundary
}

// add takes in one triangle; o is the local origin.
//
// Volume is the divergence theorem, six times a tetrahedron being
// (a-o)·((b-a)×(c-a)): built on the triangle's own sides, its rounding error
// is proportional to the triangle's area and the pattern's size, not to the
// square of its distance from the origin.
func (p *tally) add(a, b, c, o Vec) {
	n := b.Sub(a).Cross(c.Sub(a))
	p.area.Add(n.Len())
	p.volume.Add(a.Sub(o).Dot(n))
	p.ax.Add(n.X)
	p.ay.Add(n.Y)
	p.az.Add(n.Z)
	lo, hi := a, a
	for _, v := range [2]Vec{b, c} {
		if v.X < lo.X {
			lo.X = v.X
		} else if v.X > hi.X {
			hi.X = v.X
		}
		if v.Y < lo.Y {
			lo.Y = v.Y
		} else if v.Y > hi.Y {
			hi.Y = v.Y
		}
		if v.Z < lo.Z {
			lo.Z = v.Z
		} else if v.Z > hi.Z {
			hi.Z = v.Z
		}
	}
	if p.triangles == 0 {
		p.lo, p.hi = lo, hi
	} else {
		if lo.X < p.lo.X {
			p.lo.X = lo.X
		}
		if lo.Y < p.lo.Y {
			p.lo.Y = lo.Y
		}
		if lo.Z < p.lo.Z {
			p.lo.Z = lo.Z
		}
		if hi.X > p.hi.X {
			p.hi.X = hi.X
		}
		if hi.Y > p.hi.Y {
			p.hi.Y = hi.Y
		}
		if hi.Z > p.hi.Z {
			p.hi.Z = hi.Z
		}
	}
	p.triangles++
}

// localOrigin is the point that volumes are summed about: the middle of the
// mesh's box.
func (m *Mesh) localOrigin() Vec { return m.lo.Mul(0.5).Add(m.hi.Mul(0.5)) }

// measure sums over the triangles of every piece.
func measure(ctx context.Context, m *Mesh, r *joined) ([]tally, error) {
	total := make([]tally, r.n)
	for i := range total {
		total[i].piece = int32(i)
	}
	blocks := (len(m.tris) + measureBlock - 1) / measureBlock
	o := m.localOrigin()

	// A worker sums a block into one tally per piece that it meets there. The
	// blocks are taken in waves and merged in order after each, so that a mesh
	// of many pieces does not hold a list per block.
	wave := 16 * par.Workers()
	part := make([][]tally, min(wave, blocks))
	type scratch struct {
		slot []int32 // per piece: its place in the block's list + 1; empty between blocks
	}
	var team par.Team[scratch]
	for from := 0; from < blocks; from += wave {
		n := min(wave, blocks-from)
		err := team.Each(ctx, n, func(w *scratch, i int) {
			if w.slot == nil {
				w.slot = make([]int32, r.n)
			}
			slot, list := w.slot, part[i][:0]
			lo := (from + i) * measureBlock
			for t := lo; t < min(lo+measureBlock, len(m.tris)); t++ {
				p := r.of[t]
				if p < 0 {
					continue
				}
				k := slot[p]
				if k == 0 {
					list = append(list, tally{piece: p})
					k = int32(len(list))
					slot[p] = k
				}
				y := &list[k-1]
				a, b, c := m.Corners(t)
				y.add(a, b, c, o)
				if r.flags != nil {
					f := r.flags.get(t)
					y.flags |= f
					y.boundary += boundarySides(f)
				}
			}
			for k := range list {
				slot[list[k].piece] = 0
			}
			part[i] = list
		})
		if err != nil {
			return nil, fmt.Errorf("mesh: measure: %w", err)
		}
		for _, list := range part[:n] {
			for k := range list {
				total[list[k].piece].merge(&list[k])
			}
		}
	}
	return total, nil
}

// figures turns sums into the piece's area and signed volume. The volume is
// about the file's own origin. Where every edge of the piece is run along as
// often one way as the other, the vector area is exactly zero and the origin
// makes no difference; nothing is added then, so that a pattern far off loses
// no digits.
func (p *tally) figures(o Vec) (area, volume float64) {
	area = p.area.Value() / 2
	volume = p.volume.Value() / 6
	if p.flags&flagUneven != 0 {
		n := Vec{p.ax.Value(), p.ay.Value(), p.az.Value()}
		volume += o.Dot(n) / 6
	}
	return area, volume
}
