package undercut

import (
	"context"
	"math"
	"slices"

	"moldtally/mesh/par"
)

// A lock is more than a speck: a web of rubber wide, higher than noise and than
// what the columns tell apart, and more than a thousandth of the undercut or
// leastLock. Stated by the definition of the undercut path.
const (
	leastLock   = 1 // mm³
	shareOfLock = 1. / 1000
)

// bendable is the size of a place, mm, up to which what it shuts in can be bent
// out of the way: a curl of hair. Judgement of this program.
const bendable = 5

// size is the largest size of a body in columns of a width in mm.
func (b *shutBody) size(cell float64) float64 {
	return max(b.high-b.low, float64(b.box[2]-b.box[0]+1)*cell, float64(b.box[3]-b.box[1]+1)*cell)
}

// leastLocked is the volume that a lock must have, mm³, in a shadow.
func (s *shadow) leastLocked() float64 { return max(shareOfLock*s.volume(), leastLock) }

// sections finds what is shut in at some heights.
func (p *pathSolver) sections(ctx context.Context, heights []float64) ([]shutSection, error) {
	out := make([]shutSection, len(heights))
	err := par.Each(ctx, len(heights), func(n int) {
		l := p.fine.take()
		out[n] = l.shutIn(heights[n], p.bs, p.looks())
		p.fine.give(l)
	})
	return out, err
}

// sweep completes the sections found so far, in order: with those at both ends
// of what is blocked, and between them.
func (p *pathSolver) sweep(ctx context.Context, at []shutSection) ([]shutSection, error) {
	if !slices.ContainsFunc(at, func(x shutSection) bool { return len(x.cells) > 0 }) {
		return nil, nil
	}
	lo, hi := p.span()
	ends, err := p.sections(ctx, []float64{lo + 2*p.s.eps, hi - 2*p.s.eps})
	if err != nil {
		return nil, err
	}
	at = append(at, ends...)
	slices.SortFunc(at, byHeight)
	return sweep(ctx, at, p.s.f.Cell, p.s.leastLocked(), p.near(at).sections)
}

// looks reports whether places are looked at closer than the field does.
func (p *pathSolver) looks() bool { return p.s.closer && p.s.f.Cell > 1.05*p.closeCell() }

// near is the solver of what is blocked in the columns of some sections only: what
// is shut in between them lies over or under.
func (p *pathSolver) near(at []shutSection) *pathSolver {
	there := make([]bool, p.s.f.NX*p.s.f.NY)
	for _, x := range at {
		for _, c := range x.cells {
			there[c.col] = true
		}
	}
	q := &pathSolver{s: p.s, fine: p.fine}
	for _, b := range p.bs {
		if there[int(b.j)*p.s.f.NX+int(b.i)] {
			q.bs = append(q.bs, b)
		}
	}
	return q
}

// lock tells what is locked by the sections found so far.
func (p *pathSolver) lock(ctx context.Context, res *deepestPaths, at []shutSection) error {
	at, err := p.sweep(ctx, at)
	if err != nil || at == nil {
		return err
	}
	s, least := p.s, p.s.leastLocked()
	high := max(2*p.s.c.Uncertainty, p.s.c.Ignore)
	looked := 0
	res.areas = make([]shutArea, len(at))
	for k, x := range at {
		res.areas[k].h = x.h
	}
	for _, b := range s.shutBodies(at) {
		share := 1.
		lock := b.lock(high, least) && !b.doubt
		if p.looks() && looked < maxLooks && b.volume > least/4 {
			looked++
			c, err := p.lookCloser(ctx, &b)
			if err != nil {
				return err
			}
			if lock = c.lock; !lock {
				s.takeWays(res, c.ways)
			}
			share, b.volume = c.volume/b.volume, c.volume
		} else if b.doubt {
			continue
		}
		res.shut += b.volume
		res.holds(&b, share*s.f.Cell*s.f.Cell)
		switch {
		case !lock && b.volume > 0:
			res.specks++
		case lock:
			res.add(s, &b)
		}
	}
	return nil
}

// holds adds a body to the areas; a cell of it counts for so much, mm².
func (r *deepestPaths) holds(b *shutBody, cell float64) {
	k := 0
	for _, x := range b.sections {
		for r.areas[k].h < x.h {
			k++
		}
		r.areas[k].area += float64(len(x.cells)) * cell
	}
}

// add takes in a lock; the first is the largest.
func (r *deepestPaths) add(s *shadow, b *shutBody) {
	x := b.told(s)
	r.locks = append(r.locks, x)
	if !r.locked {
		i, j := int(b.at.col)%s.f.NX, int(b.at.col)/s.f.NX
		r.locked, r.lockedAt = true, place{i, j, int(b.at.gap) - s.f.Offset(i, j), b.atH}
	}
	if x.Bends {
		r.bend = max(r.bend, x.Size)
	} else {
		r.stiff = true
	}
	for _, g := range b.gaps {
		s.path[g] = float32(math.Inf(1))
	}
}
