package undercut

import (
	"cmp"
	"math"
	"slices"

	"moldtally/mesh"
)

// Lock is a body of rubber that has no way out at its own height, and is more than
// a speck. Lengths mm, volumes mm³; places in the file's own axes.
type Lock struct {
	At     mesh.Vec // within it
	Volume float64
	Size   float64    // its largest
	Bends  bool       // so small that it can be bent out of the way
	Points []mesh.Vec // spread evenly through it
}

// lockPoints is how many places of a lock are kept. Judgement of this program.
const lockPoints = 512

// Locks are the bodies of rubber that lock, the largest first. What a parting
// divides is one.
func (r *Result) Locks() (out []Lock) {
	for n, h := range r.halves {
		above := len(out)
		out = append(out, h.locks...)
		if n == 0 {
			continue
		}
		for k := above; k < len(out); k++ {
			for m := 0; m < above; m++ {
				if out[m].meets(&out[k], r.Scene.Field.Cell) {
					out[m].take(&out[k])
					out = slices.Delete(out, k, k+1)
					k--
					break
				}
			}
		}
	}
	slices.SortStableFunc(out, func(a, b Lock) int { return cmp.Compare(b.Volume, a.Volume) })
	return out
}

// reach is how far apart neighbours among a lock's places are, mm.
func (l *Lock) reach() float64 { return math.Cbrt(l.Volume / float64(max(len(l.Points), 1))) }

// meets reports whether two locks touch, as far as their places and columns of a
// width in mm tell.
func (l *Lock) meets(o *Lock, cell float64) bool {
	near := 2*max(l.reach(), o.reach()) + cell
	for _, p := range l.Points {
		for _, q := range o.Points {
			if p.Sub(q).Len() <= near {
				return true
			}
		}
	}
	return false
}

// take makes one of two locks that touch.
func (l *Lock) take(o *Lock) {
	if o.Volume > l.Volume {
		l.At = o.At
	}
	l.Volume += o.Volume
	l.Points = slices.Concat(l.Points, o.Points)
	l.Bends = l.Bends && o.Bends
	lo, hi := l.Points[0], l.Points[0]
	for _, p := range l.Points {
		lo, hi = lo.Min(p), hi.Max(p)
	}
	d := hi.Sub(lo)
	l.Size = max(l.Size, o.Size, d.X, d.Y, d.Z)
}

// told is a body that locks in the file's axes.
func (b *shutBody) told(s *shadow) Lock {
	x := Lock{Volume: b.volume, Size: b.size(s.f.Cell)}
	x.Bends = x.Size <= max(bendable, s.c.Ignore)
	i, j := int(b.at.col)%s.f.NX, int(b.at.col)/s.f.NX
	u, v := s.f.Center(i, j)
	x.At = s.f.Point(u, v, b.atH)
	whole := 0.0
	high := func(k int) float64 {
		lo, hi := slab(b.sections, k)
		if k == 0 {
			lo = b.low
		}
		if k == len(b.sections)-1 {
			hi = b.high
		}
		return hi - lo
	}
	for k := range b.sections {
		whole += high(k) * float64(len(b.sections[k].cells))
	}
	step := whole / lockPoints
	next, sum := step/2, 0.0
	for k := range b.sections {
		for _, c := range b.sections[k].cells {
			if sum += high(k); sum < next {
				continue
			}
			next += step * math.Ceil((sum-next)/step+1e-9)
			u, v := s.f.Center(int(c.col)%s.f.NX, int(c.col)/s.f.NX)
			x.Points = append(x.Points, s.f.Point(u, v, b.sections[k].h))
		}
	}
	return x
}
