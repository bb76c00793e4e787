package solid

import (
	"cmp"
	"context"
	"math"
	"slices"

	"moldtally/mesh"
)

// zipSteps are the distances, as shares of the pattern's longest size, within
// which the two lips of a crack are taken for one: from the last digit of a
// float32 (6e-8) to that of a file written with four digits. The smallest that
// closes what any of them closes is used (judgement of this program).
var zipSteps = []float64{2e-7, 2e-6, 2e-5, 2e-4}

// zipped is the outcome of closing cracks.
type zipped struct {
	extra  [][3]int32 // faces that stand in for source faces
	gone   []int32    // source faces they stand in for
	edges  int        // open edges before
	left   int        // open edges after
	within float64    // the distance used, mm
}

// zip closes cracks: open vertices within a small distance become one, and an
// open vertex on the open edge of another face splits that face. It changes
// nothing where that closes nothing.
func zip(ctx context.Context, m *mesh.Mesh, skip []bool) (*zipped, error) {
	st, err := stitch(ctx, m.Vertices(), m.Triangles(), skip)
	if err != nil {
		return nil, err
	}
	before := st.open()
	if before == 0 {
		return nil, nil
	}
	size := m.Size()
	longest := max(size.X, size.Y, size.Z)
	// Never so wide that the faces along the lips themselves would close up.
	widest := st.medianOpen() / 4
	var best *zipped
	for _, f := range zipSteps {
		if f*longest > widest {
			break
		}
		z, err := zipWithin(ctx, m, skip, st, f*longest)
		if err != nil {
			return nil, err
		}
		z.edges = before
		// Cracks come by the hundred; a scan's ragged rim that closes here
		// and there is no crack.
		if z.left <= before/2 && (best == nil || float64(z.left) < 0.9*float64(best.left)) {
			best = z
		}
		if z.left == 0 {
			break
		}
	}
	return best, nil
}

// open is the number of half-edges without a mate.
func (s *stitching) open() int {
	n := 0
	for _, m := range s.mate {
		if m == noMate {
			n++
		}
	}
	return n
}

// medianOpen is the median length of the open edges, mm.
func (s *stitching) medianOpen() float64 {
	var lens []float64
	for h, m := range s.mate {
		if m == noMate {
			a, b := s.ends(int32(h))
			lens = append(lens, s.vert[b].Sub(s.vert[a]).Len())
		}
	}
	if len(lens) == 0 {
		return 0
	}
	slices.Sort(lens)
	return lens[len(lens)/2]
}

func zipWithin(ctx context.Context, m *mesh.Mesh, skip []bool, st *stitching, tol float64) (*zipped, error) {
	z := &zipped{within: tol}
	vert := m.Vertices()
	tris := slices.Clone(m.Triangles())
	left := slices.Clone(skip)

	changed := z.merge(vert, tris, left, st, tol)

	// An open vertex on another face's open edge splits that face.
	var err error
	if st, err = stitch(ctx, vert, tris, left); err != nil {
		return nil, err
	}
	z.split(tris, left, changed, st, tol)
	all := append(tris, z.extra...)
	allLeft := append(left, make([]bool, len(z.extra))...)
	if st, err = stitch(ctx, vert, all, allLeft); err != nil {
		return nil, err
	}
	z.left = st.open()
	return z, nil
}

// merge makes open vertices within tol of each other the first of them, and
// tells which triangles that changed.
func (z *zipped) merge(vert []mesh.Vec, tris [][3]int32, left []bool, st *stitching, tol float64) (changed []bool) {
	var open []int32
	seen := make([]bool, len(vert))
	for h, mt := range st.mate {
		if mt != noMate {
			continue
		}
		a, b := st.ends(int32(h))
		for _, v := range []int32{a, b} {
			if !seen[v] {
				seen[v] = true
				open = append(open, v)
			}
		}
	}
	slices.Sort(open)
	to := make([]int32, len(vert))
	for v := range to {
		to[v] = int32(v)
	}
	grid := newHash(vert, 2*tol)
	merged := false
	for _, v := range open {
		if w := grid.near(v, tol); w >= 0 {
			to[v] = w
			merged = true
		} else {
			grid.put(v)
		}
	}
	changed = make([]bool, len(tris))
	if !merged {
		return changed
	}
	for t, i := range tris {
		if left[t] {
			continue
		}
		n := [3]int32{to[i[0]], to[i[1]], to[i[2]]}
		if n != i {
			changed[t] = true
			tris[t] = n
			if n[0] == n[1] || n[1] == n[2] || n[2] == n[0] {
				left[t] = true // closed up with the crack
			}
		}
	}
	return changed
}

// split cuts every face that has open vertices of others on its open edges
// there, and collects what comes of it, and of the changed faces, in z.
func (z *zipped) split(tris [][3]int32, left, changed []bool, st *stitching, tol float64) {
	type splits [3][]int32
	cut := map[int32]*splits{}
	var cutOrder []int32
	lines := newSegments(st)
	for h, mt := range st.mate {
		if mt != noMate {
			continue
		}
		if on := lines.on(int32(h), tol); len(on) > 0 {
			t := int32(h / 3)
			c := cut[t]
			if c == nil {
				c = &splits{}
				cut[t] = c
				cutOrder = append(cutOrder, t)
			}
			c[h%3] = on
		}
	}
	var pieces [][3]int32
	for _, t := range cutOrder {
		i, c := tris[t], cut[t]
		splitFace(i, c[0], c[1], c[2], &pieces)
	}
	for t := range tris {
		_, isCut := cut[int32(t)]
		switch {
		case isCut:
			left[t] = true
			z.gone = append(z.gone, int32(t))
		case changed[t]:
			z.gone = append(z.gone, int32(t))
			if !left[t] {
				pieces = append(pieces, tris[t])
			}
			left[t] = true
		}
	}
	z.extra = pieces
}

// splitFace cuts face i at points on its three sides, each list in the order
// from corner k to corner k+1.
func splitFace(i [3]int32, ab, bc, ca []int32, out *[][3]int32) {
	a, b, c := i[0], i[1], i[2]
	switch {
	case len(ab) > 0:
		chain := append(append([]int32{a}, ab...), b)
		for k := 0; k+1 < len(chain); k++ {
			var sb, sc []int32
			if k+2 == len(chain) {
				sb = bc
			}
			if k == 0 {
				sc = ca
			}
			splitFace([3]int32{chain[k], chain[k+1], c}, nil, sb, sc, out)
		}
	case len(bc) > 0:
		splitFace([3]int32{b, c, a}, bc, ca, ab, out)
	case len(ca) > 0:
		splitFace([3]int32{c, a, b}, ca, ab, bc, out)
	case a != b && b != c && c != a:
		*out = append(*out, i)
	}
}

// hash finds points near a point.
type hash struct {
	vert []mesh.Vec
	cell float64
	at   map[[3]int64][]int32
}

func newHash(vert []mesh.Vec, cell float64) *hash {
	return &hash{vert, cell, map[[3]int64][]int32{}}
}

func (g *hash) key(p mesh.Vec) [3]int64 {
	return [3]int64{int64(math.Floor(p.X / g.cell)), int64(math.Floor(p.Y / g.cell)), int64(math.Floor(p.Z / g.cell))}
}

func (g *hash) put(v int32) {
	k := g.key(g.vert[v])
	g.at[k] = append(g.at[k], v)
}

// near returns the smallest vertex put in before that lies within d, or -1.
func (g *hash) near(v int32, d float64) int32 {
	p := g.vert[v]
	k := g.key(p)
	best := int32(-1)
	for x := k[0] - 1; x <= k[0]+1; x++ {
		for y := k[1] - 1; y <= k[1]+1; y++ {
			for z := k[2] - 1; z <= k[2]+1; z++ {
				for _, w := range g.at[[3]int64{x, y, z}] {
					if (best < 0 || w < best) && g.vert[w].Sub(p).Len() <= d {
						best = w
					}
				}
			}
		}
	}
	return best
}

// segments finds open vertices on open edges.
type segments struct {
	st   *stitching
	cell float64
	at   map[[3]int64][]int32 // open vertices by cell
}

func newSegments(st *stitching) *segments {
	g := &segments{st: st, at: map[[3]int64][]int32{}}
	var lens []float64
	var open []int32
	seen := make([]bool, len(st.vert))
	for h, mt := range st.mate {
		if mt != noMate {
			continue
		}
		a, b := st.ends(int32(h))
		lens = append(lens, st.vert[b].Sub(st.vert[a]).Len())
		for _, v := range []int32{a, b} {
			if !seen[v] {
				seen[v] = true
				open = append(open, v)
			}
		}
	}
	if len(lens) == 0 {
		return g
	}
	slices.Sort(lens)
	g.cell = max(lens[len(lens)/2], lens[len(lens)-1]/64)
	for _, v := range open {
		k := g.key(st.vert[v])
		g.at[k] = append(g.at[k], v)
	}
	return g
}

func (g *segments) key(p mesh.Vec) [3]int64 {
	return [3]int64{int64(math.Floor(p.X / g.cell)), int64(math.Floor(p.Y / g.cell)), int64(math.Floor(p.Z / g.cell))}
}

// on returns the open vertices within tol of half-edge h's side, in order
// along it, its own ends left out.
func (g *segments) on(h int32, tol float64) []int32 {
	i := g.st.tris[h/3]
	a, b := i[h%3], i[(h%3+1)%3]
	p, q := g.st.vert[a], g.st.vert[b]
	d := q.Sub(p)
	l := d.Len()
	if !(l > 2*tol) || g.cell == 0 {
		return nil
	}
	d = d.Mul(1 / l)
	pad := mesh.V(tol, tol, tol)
	lo, hi := g.key(p.Min(q).Sub(pad)), g.key(p.Max(q).Add(pad))
	type hit struct {
		v int32
		s float64
	}
	var hits []hit
	for x := lo[0]; x <= hi[0]; x++ {
		for y := lo[1]; y <= hi[1]; y++ {
			for z := lo[2]; z <= hi[2]; z++ {
				for _, v := range g.at[[3]int64{x, y, z}] {
					if v == a || v == b || v == i[(h%3+2)%3] {
						continue
					}
					r := g.st.vert[v].Sub(p)
					s := r.Dot(d)
					if s > tol && s < l-tol && r.Sub(d.Mul(s)).Len() <= tol {
						hits = append(hits, hit{v, s})
					}
				}
			}
		}
	}
	slices.SortFunc(hits, func(x, y hit) int {
		if c := cmp.Compare(x.s, y.s); c != 0 {
			return c
		}
		return cmp.Compare(x.v, y.v)
	})
	out := make([]int32, 0, len(hits))
	for k, x := range hits {
		if k > 0 && x.s-hits[k-1].s <= tol {
			continue
		}
		out = append(out, x.v)
	}
	return out
}
