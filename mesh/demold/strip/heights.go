package strip

import (
	"cmp"
	"context"
	"math"
	"slices"

	"moldtally/mesh/par"
	"moldtally/mesh/section"
)

// levelCount is the least number of heights at which the pattern is sliced,
// evenly from base to top. A perimeter changes by at most some 6.3 mm per mm of
// height on a 45° slope, so on a body as high as wide a step is under 1 % of
// it; the worst pair is refined after that.
const levelCount = 256

// shelfCount bounds the heights of flat shelves that are sliced besides, just
// below and just above each: there a perimeter jumps.
const shelfCount = 128

// shelfShare is the least area of level surface at one height, as a share of
// the box from above, that makes a shelf.
const shelfShare = 1e-3

// faceBlock is how many triangles are looked at between two looks at the
// context.
const faceBlock = 1 << 15

// choose picks the heights: the floor, an even row, and both sides of every
// shelf.
func (c *side) choose(ctx context.Context, base, top float64) ([]section.Level, error) {
	levels := []section.Level{section.JustAbove(base), section.JustBelow(top)}
	for k := range levelCount {
		levels = append(levels, section.JustAbove(base+(float64(k)+0.5)*(top-base)/levelCount))
	}
	shelves, err := c.shelves(ctx, base, top)
	if err != nil {
		return nil, err
	}
	for _, h := range shelves {
		if h > base+c.Eps {
			levels = append(levels, section.JustBelow(h))
		}
		if h > base+c.Eps && h < top {
			levels = append(levels, section.JustAbove(h))
		}
	}
	return inOrder(levels), nil
}

// shelves returns the heights of level faces, largest first cut off at
// shelfCount, and where the pattern has few different heights all of them.
func (c *side) shelves(ctx context.Context, base, top float64) ([]float64, error) {
	all, err := c.levelFaces(ctx, base, top)
	if err != nil {
		return nil, err
	}
	g := &c.f.Grid
	least := shelfShare * float64(g.NX) * g.Cell * float64(g.NY) * g.Cell
	all = slices.DeleteFunc(all, func(b shelf) bool { return b.area < least })
	slices.SortStableFunc(all, func(a, b shelf) int { return cmp.Compare(b.area, a.area) })
	out := make([]float64, 0, shelfCount)
	for _, b := range all[:min(len(all), shelfCount)] {
		out = append(out, b.h)
	}
	// A drawn part has few different heights: take them all.
	few := make([]float64, 0, shelfCount+1)
	for _, v := range c.Mesh.Vertices() {
		z := v.Dot(g.U)
		k, found := c.known(few, z)
		if found {
			continue
		}
		if len(few) == shelfCount {
			return out, nil
		}
		few = slices.Insert(few, k, z)
	}
	for _, z := range few {
		if z >= base && z <= top && !slices.ContainsFunc(out, func(h float64) bool { return math.Abs(h-z) <= c.Eps }) {
			out = append(out, z)
		}
	}
	return out, nil
}

// shelf is level surface at about one height.
type shelf struct{ area, h float64 }

// add takes in more of it; the highest stands for all.
func (s *shelf) add(t shelf) {
	if s.area == 0 || t.h > s.h {
		s.h = t.h
	}
	s.area += t.area
}

// shelfBins is how finely level faces are told apart by height.
const shelfBins = 4096

// levelFaces sums the area of level faces by height.
func (c *side) levelFaces(ctx context.Context, base, top float64) ([]shelf, error) {
	verts, tris := c.Mesh.Vertices(), c.Mesh.Triangles()
	u := c.U
	scale := shelfBins / max(top-base, 1e-300)
	flat := (top - base) / shelfBins / 16
	n := len(tris)
	parts := make([]map[int]shelf, (n+faceBlock-1)/faceBlock)
	err := par.Blocks(ctx, n, faceBlock, func(from, to int) {
		var part map[int]shelf
		for t := from; t < to; t++ {
			i := tris[t]
			p, q := verts[i[0]], verts[i[1]]
			zp, zq := p.Dot(u), q.Dot(u)
			if math.Abs(zp-zq) > flat {
				continue
			}
			r := verts[i[2]]
			zr := r.Dot(u)
			h := max(zp, zq, zr)
			if h-min(zp, zq, zr) > flat || !c.Live(t) {
				continue
			}
			if part == nil {
				part = map[int]shelf{}
			}
			k := min(max(int((h-base)*scale), 0), shelfBins)
			s := part[k]
			s.add(shelf{math.Abs(q.Sub(p).Cross(r.Sub(p)).Dot(u)) / 2, h})
			part[k] = s
		}
		parts[from/faceBlock] = part
	})
	if err != nil {
		return nil, err
	}
	all := make([]shelf, shelfBins+1)
	for _, p := range parts {
		for k, b := range p {
			all[k].add(b)
		}
	}
	return all, nil
}

// known finds a height in a sorted row, to within Eps, and where it would go.
func (c *side) known(row []float64, z float64) (int, bool) {
	k, found := slices.BinarySearch(row, z)
	return k, found || k < len(row) && row[k]-z <= c.Eps || k > 0 && z-row[k-1] <= c.Eps
}

// between returns the levels to try from lo to hi: an even row, and both sides
// of the heights of the triangles' corners where there are few.
func (c *side) between(lo, hi float64, n int, only []int32) []section.Level {
	levels := make([]section.Level, 0, 4*n)
	for k := 0; k <= n; k++ {
		levels = append(levels, section.JustAbove(lo+(hi-lo)*float64(k)/float64(n)))
	}
	verts, tris := c.Mesh.Vertices(), c.Mesh.Triangles()
	var hs []float64
collect:
	for _, t := range only {
		for _, v := range tris[t] {
			z := verts[v].Dot(c.U)
			if z < lo || z > hi {
				continue
			}
			if k, found := c.known(hs, z); !found {
				if len(hs) == 2*n {
					hs = nil
					break collect
				}
				hs = slices.Insert(hs, k, z)
			}
		}
	}
	for _, z := range hs {
		levels = append(levels, section.JustBelow(z), section.JustAbove(z))
	}
	return inOrder(levels)
}
