package strip

import (
	"context"
	"fmt"
	"math"
	"slices"

	"moldtally/mesh"
	"moldtally/mesh/section"
)

// Squeeze is how much rubber inside the pattern (a core in a vase, a plug in a
// hole) must narrow to leave: a tongue that hangs on the rest of the mold by its
// root.
type Squeeze struct {
	Value  float64     // of its widest section, 0..1
	At     *[3]float64 // the narrowest place, mm in the file's own axes; nil where nothing is squeezed
	Length *float64    // of the tongue from its root to its end, mm; nil where there is none
	Root   *float64    // least width of its root, mm; nil where it has none
	// Rest is the same where what sits in holes is left aside: rubber no section of
	// which is wider round than a hole a tenth of the pattern's size across. Such a hole
	// is plugged before the mold is made.
	Rest float64
}

// hole is how wide rubber in a hole is at most, as a share of the pattern's size.
// Judgement of this program.
const hole = 0.1

// tongue is rubber inside the pattern.
type tongue struct {
	squeeze float64
	at      mesh.Vec
	length  float64 // from the root to its end, mm
	root    float64 // least width of the root, mm
	rest    float64 // squeeze of what is wider than a hole
}

// slender is the length of a tongue beside its root.
func (t *tongue) slender() float64 {
	if t.root <= 0 {
		return 0
	}
	return t.length / t.root
}

// Squeeze finds the rubber inside the pattern that must be squeezed to leave:
// components of the rubber between the floor and a height that do not reach
// the container's wall. Length and root belong to the one that is squeezed
// most, or where none is, to the slenderest.
func (s *Sections) Squeeze(ctx context.Context) (Squeeze, error) {
	sides, err := s.cut(ctx)
	if err != nil {
		return Squeeze{}, err
	}
	var best *tongue
	rest := 0.0
	for _, c := range sides {
		t, err := c.squeeze(ctx, math.Pi*hole*s.c.Size)
		if err != nil {
			return Squeeze{}, fmt.Errorf("strip: %w", err)
		}
		if t == nil {
			continue
		}
		rest = max(rest, t.rest)
		if best == nil || t.squeeze > best.squeeze || t.squeeze == best.squeeze && t.slender() > best.slender() {
			best = t
		}
	}
	if best == nil {
		return Squeeze{}, nil
	}
	out := Squeeze{Length: &best.length, Rest: rest}
	if best.root > 0 {
		out.Root = &best.root
	}
	if best.squeeze > 0 {
		at := best.at.Array()
		out.Value, out.At = best.squeeze, &at
	}
	return out, nil
}

// squeeze sweeps the sections from the floor up; round is how far it is round a hole
// at most, mm.
func (c *side) squeeze(ctx context.Context, round float64) (*tongue, error) {
	x, bulge, err := c.tongue(ctx, c.finest())
	if err != nil || x == nil {
		return x, err
	}
	x.rest = x.squeeze
	if x.squeeze > 0 && bulge < round {
		wide, _, err := c.tongue(ctx, round)
		if err != nil {
			return nil, err
		}
		if x.rest = 0; wide != nil {
			x.rest = wide.squeeze
		}
	}
	return x, nil
}

// tongue finds the rubber that is squeezed most, of that with a section of so much
// round at least, mm, and how much its widest is.
func (c *side) tongue(ctx context.Context, least float64) (*tongue, float64, error) {
	t := c.gaps
	outside := t.root(t.wall, math.Inf(-1))
	s := &sweep{
		levels: c.sections, t: t, skip: t.wall,
		node: func(r *ring) int32 {
			// A space that never joins the wall's is a pocket, not rubber.
			if r.gap < 0 || t.root(r.gap, math.Inf(-1)) != outside {
				return -1
			}
			return r.gap
		},
		least: least, nudge: c.nudge,
	}
	s.run()
	worst := s.worst
	if worst.neck == 0 || 1-worst.neck/worst.bulge < roundingSqueeze {
		return c.slenderest(s), 0, nil
	}
	s.to(worst.level, nil)
	r, err := c.refine(ctx, s, worst)
	if err != nil {
		return nil, 0, err
	}
	out := &tongue{squeeze: 1 - r.neck/r.bulge}
	if len(r.neckHull) > 0 {
		p := section.Center(r.neckHull)
		out.at = c.f.Point(p.X, p.Y, r.neckAt.H)
	}
	// The tongue reaches up to where its rubber joins the wall's.
	out.length, out.root = c.reach(s, t.root(worst.id, s.keyAt(r.neckAt)), worst.level)
	return out, r.bulge, nil
}

// reach follows a component up to the last level at which it does not reach
// the wall, and returns its length and the least width of its section there.
func (c *side) reach(s *sweep, node int32, level int) (length, root float64) {
	t := c.gaps
	var wall float64
	// The key at which the node's component meets the wall's.
	lo, hi := level, len(c.sections)
	for lo+1 < hi {
		mid := (lo + hi) / 2
		key := s.keyAt(c.sections[mid].Level)
		if t.root(node, key) == t.root(t.wall, key) {
			hi = mid
		} else {
			lo = mid
		}
	}
	if hi < len(c.sections) {
		wall = c.sections[hi].H
	} else {
		wall = c.sections[len(c.sections)-1].H
	}
	key := s.keyAt(c.sections[lo].Level)
	comp := t.root(node, key)
	var pts []mesh.Vec2
	for _, r := range c.sections[lo].rings {
		if r.gap >= 0 && t.root(r.gap, key) == comp {
			pts = append(pts, r.hull...)
		}
	}
	bottom := c.lowest(comp, key)
	return wall - bottom, leastWidth(section.Hull(pts))
}

// lowest is the lowest point of a component of gaps.
func (c *side) lowest(comp int32, key float64) float64 {
	f, t := c.f, c.gaps
	low := math.Inf(1)
	for j := range f.NY {
		for i := range f.NX {
			col := f.Column(i, j)
			first := f.Offset(i, j) + j*f.NX + i
			for k := 0; k <= len(col); k++ {
				floor := c.floor
				if k > 0 {
					floor = max(floor, col[k-1].Top)
				}
				if k < len(col) && col[k].Bottom <= floor || floor >= low || t.key(floor) <= key {
					continue
				}
				if t.root(int32(first+k), key) == comp {
					low = floor
				}
			}
		}
	}
	return low
}

// slenderest finds, among tongues that need no squeezing, the one that is
// longest for its root; nil where there is none worth the name.
func (c *side) slenderest(s *sweep) *tongue {
	t := c.gaps
	// A component dies where it meets the wall: look at each level for those
	// that are gone at the next.
	var best *tongue
	lows := map[int32]float64{}
	f := c.f
	for k := range c.sections {
		key, next, above := s.keyAt(c.sections[k].Level), math.Inf(-1), c.sections[k].H
		if k+1 < len(c.sections) {
			next = s.keyAt(c.sections[k+1].Level)
			above = c.sections[k+1].H
		}
		wall, wallNext := t.root(t.wall, key), t.root(t.wall, next)
		comps := map[int32][]mesh.Vec2{}
		var ids []int32
		for _, r := range c.sections[k].rings {
			if r.gap < 0 {
				continue
			}
			id := t.root(r.gap, key)
			if id == wall || t.root(id, next) != wallNext {
				continue
			}
			if comps[id] == nil {
				ids = append(ids, id)
			}
			comps[id] = append(comps[id], r.hull...)
		}
		slices.Sort(ids)
		for _, id := range slices.Compact(ids) {
			root := leastWidth(section.Hull(comps[id]))
			if root < f.Cell {
				continue
			}
			low, ok := lows[id]
			if !ok {
				low = c.lowest(id, key)
				lows[id] = low
			}
			// The join lies between the two levels.
			top := (c.sections[k].H + above) / 2
			got := &tongue{length: top - low, root: root}
			if got.length > tongueCells*f.Cell && (best == nil || got.slender() > best.slender()) {
				best = got
			}
		}
	}
	return best
}

// roundingSqueeze is what rounding alone may make of a straight wall.
const roundingSqueeze = 1e-6

// tongueCells is the least length of a tongue, in cells: less is a dent.
const tongueCells = 3

// leastWidth is the least distance between two parallel lines that hold a
// convex polygon between them, by turning calipers (M. E. Houle and G. T.
// Toussaint, "Computing the width of a set", IEEE PAMI 10 (1988) 761, from memory).
func leastWidth(h []mesh.Vec2) float64 {
	if len(h) < 3 {
		return 0
	}
	width := math.Inf(1)
	q := 1
	for i, a := range h {
		e := h[(i+1)%len(h)].Sub(a)
		l := e.Len()
		if l == 0 {
			continue
		}
		for e.Cross(h[(q+1)%len(h)].Sub(h[q])) > 0 {
			q = (q + 1) % len(h)
		}
		width = min(width, e.Cross(h[q].Sub(a))/l)
	}
	return width
}
