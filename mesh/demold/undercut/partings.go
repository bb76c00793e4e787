package undercut

import (
	"context"
	"math"
	"slices"

	"moldtally/mesh/demold/parting"
	"moldtally/mesh/demold/scene"
)

// partings are all flat partings of a field. The upper half's path only falls
// as the parting rises and the lower half's only grows.
type partings struct {
	*scene.Scene
	upper, lower halfByHeight // the lower one in the field as seen from below
	roughly      bool         // asked for so
	speck        float64      // by how much what is locked has to differ, mm³
}

// halfByHeight answers how deep one half locks when the mold parts at a height
// of the half's own field. What is known of the ways out are the straight ones
// and the levels solved so far.
type halfByHeight struct {
	s       *shadow      // of all that the field shows: its floor is the lowest height
	bins    int          // heights of floors that are told apart
	height  float64      // of the pattern, mm
	floors  *floors      // made when first asked for
	cuts    [][2]float64 // height and deepest straight way there, mm
	levels  []float64    // heights not solved yet
	solved  []solvedLevel
	quickly *quickLevels
	ways    *pathSolver // of what is blocked; nil = nothing is, or not asked for
	shut    []shutArea  // what has no way out, in order of height
}

// solvedLevel is a level of blocked stretches: its height, the deepest path
// there, and whether that was solved at full resolution.
type solvedLevel struct {
	h, path float64
	full    bool
}

// newPartings prepares the two halves of a scene without a board; bins is how
// many heights of floors they tell apart.
func newPartings(c *scene.Scene, bins int) *partings {
	half := func(h scene.Half, low float64) halfByHeight {
		h.Floor = low
		return halfByHeight{s: newShadow(c, h, low), bins: bins, height: c.Top - c.Base}
	}
	h := c.Halves(0)
	return &partings{Scene: c, upper: half(h[0], c.Base), lower: half(h[1], -c.Top)}
}

// straight is the deepest straight way out of the half above its height h, mm.
// The same heights are asked for again and again.
func (d *halfByHeight) straight(h float64) float64 {
	for _, c := range d.cuts {
		if c[0] == h {
			return c[1]
		}
	}
	if d.floors == nil {
		d.floors = newFloors(d.s, d.height, d.bins)
	}
	x := d.s.cut(h, d.floors.above(h))
	d.cuts = append(d.cuts, [2]float64{h, x})
	return x
}

// path is what is known of the deepest way out above h, mm: no less than it is.
func (d *halfByHeight) path(h float64) float64 {
	best := d.straight(h)
	for _, l := range d.solved {
		if l.h >= h {
			best = max(best, l.path)
		}
	}
	return best
}

// heights is a span of heights, from lo to hi.
type heights struct{ lo, hi float64 }

// crossing is where the deeper of two halves is least.
type crossing struct {
	h, least float64 // the height, and how deep that is, mm
	between  heights // which of the halves is the deeper one changes there
}

// cross finds the crossing in a span: where the two paths cross, by halving the
// span so many times. The upper half is taken as if it parted so much lower, mm.
func (p *partings) cross(span heights, rounds int, lower float64) crossing {
	x := crossing{span.lo, math.Inf(1), span}
	try := func(z float64) bool {
		u, l := p.upper.path(z-lower), p.lower.path(-z)
		if d := max(u, l); d < x.least {
			x.h, x.least = z, d
		}
		return u > l
	}
	if !try(span.lo) { // already better from below
		if span.lo == p.Base { // there the lower half is empty
			x.least = min(x.least, p.upper.path(span.lo))
		}
		x.between.hi = span.lo
		return x
	}
	try(span.hi)
	for range rounds {
		if mid := (x.between.lo + x.between.hi) / 2; try(mid) {
			x.between.lo = mid
		} else {
			x.between.hi = mid
		}
	}
	return x
}

// solveAll solves the levels of both halves, at half resolution, and finds what
// is shut in at all heights of them.
func (p *partings) solveAll(ctx context.Context) error {
	for _, d := range [2]*halfByHeight{&p.upper, &p.lower} {
		bs, err := d.s.findBlocked(ctx)
		if err != nil {
			return err
		}
		if len(bs) == 0 {
			continue
		}
		d.ways = newPathSolver(d.s, bs)
		d.s.path = slices.Clone(d.s.depth)
		tops, shut, err := d.ways.eachLevel(ctx, toPart)
		if err != nil {
			return err
		}
		if !p.compared() {
			rough, _, err := d.ways.roughly(ctx)
			if err != nil {
				return err
			}
			tops, d.s.rough = append(tops, rough...), rough
		}
		for _, t := range tops {
			d.solved = append(d.solved, solvedLevel{h: t.z, path: t.d})
		}
		if shut, err = d.ways.sweep(ctx, shut); err != nil {
			return err
		}
		d.shut = d.s.areasOf(shut)
	}
	return nil
}

// compared reports whether what is found is only compared with other looks as
// coarse: then nothing is done twice.
func (p *partings) compared() bool { return p.roughly || p.Asked().Coarser > 0 }

// quickRounds halve the height down to a fraction of the width of the columns
// that a quick look is taken on, and quickBins are the heights of floors that it
// tells apart.
const quickRounds, quickBins = 9, 512

// quickest is where the two halves cross by what is known so far, on a quick
// look.
func (p *partings) quickest() (h, least float64) {
	x := p.cross(p.whole(), quickRounds, 0)
	return x.h, x.least
}

// solveWithin finds the least path of any flat parting, as long as it is within
// a limit, mm. Levels are solved only where the best parting known so far still
// rests on straight ways alone.
func (p *partings) solveWithin(ctx context.Context, limit float64) (h, least float64, within bool, err error) {
	if h, least = p.quickest(); least > limit {
		return h, least, false, nil
	}
	for _, d := range [2]*halfByHeight{&p.upper, &p.lower} {
		bs, err := d.s.findBlocked(ctx)
		if err != nil {
			return 0, 0, false, err
		}
		if len(bs) > 0 {
			d.levels, d.quickly = interleaved(d.s.heights(bs)), newQuickLevels(p.Scene, d.s, bs)
		}
	}
	for {
		upper, err := p.upper.solveSome(ctx, h)
		if err != nil {
			return 0, 0, false, err
		}
		lower, err := p.lower.solveSome(ctx, -h)
		if err != nil {
			return 0, 0, false, err
		}
		if !upper && !lower {
			return h, least, true, nil
		}
		if h, least = p.quickest(); least > limit {
			return h, least, false, nil
		}
	}
}

// solveSome solves a few of the levels above a height and reports whether there
// were any.
func (d *halfByHeight) solveSome(ctx context.Context, h float64) (bool, error) {
	const some = 4 // levels between two looks at what they change
	n := 0
	rest := d.levels[:0]
	for _, z := range d.levels {
		if z < h || n == some {
			rest = append(rest, z)
			continue
		}
		n++
		if err := ctx.Err(); err != nil {
			return false, err
		}
		d.solved = append(d.solved, solvedLevel{h: z, path: d.quickly.deepest(z)})
	}
	d.levels = rest
	return n > 0, nil
}

// partedWithin is Within for a scene without a board.
func partedWithin(ctx context.Context, c *scene.Scene, limit float64) (x Figures, within bool, err error) {
	p := newPartings(c, quickBins)
	h, least, within, err := p.solveWithin(ctx, limit)
	x.Path = least
	if err != nil || !within {
		return x, false, err
	}
	x.Depth = max(p.upper.straight(h), p.lower.straight(-h))
	vol, _ := partedVolumes(c.Field, []float64{h})
	x.Volume = vol[0] + parting.Trapped(c)
	return x, true, nil
}
