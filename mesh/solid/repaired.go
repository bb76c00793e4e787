package solid

import (
	"context"
	"fmt"
	"math"

	"moldtally/mesh"
	"moldtally/mesh/arrange"
	"moldtally/mesh/dexel"
)

// Rewritten says what became of faces on the way to the boundary of S.
type Rewritten struct {
	// Cut faces crossed or touched others and were cut where they do; Dropped
	// ones bound nothing that rubber meets; Added ones came of cutting.
	Cut, Dropped, Added int
	// Left are pairs of faces that rounding the new corners left crossing.
	Left int
	// Cell is the size of the cells of a surface that was drawn anew, mm; 0 where
	// faces were kept.
	Cell float64
}

// Repaired returns the boundary of S as a mesh of its own: closed, wound
// outward, every piece that lies inside another left out (S fills it). Faces that
// need nothing keep their corners to the bit. Where the mended surface crosses
// itself its faces are cut along the lines in which they meet, and new corners
// are rounded once: nothing else moves. Only where it cannot be cut it is drawn
// anew from columns along the three axes on a lattice: flat faces come out flat,
// edges are cut off within a cell.
//
// across is the number of cells along the longest side for a surface drawn
// anew; 0 means 200. Errors: a cancelled ctx.
func (s *Solid) Repaired(ctx context.Context, across int) (m *mesh.Mesh, how Rewritten, err error) {
	if s.embedded {
		m, err = s.kept()
		return m, how, err
	}
	_, pairs, err := mesh.CrossingPairs(ctx, s.surface, s.leftOut(), arrange.MostPairs, nil)
	if err != nil {
		return nil, how, err
	}
	r, err := s.arranged(ctx, pairs, nil)
	if err != nil {
		return nil, how, err
	}
	if r != nil && !r.Empty() {
		how = Rewritten{Cut: r.Cut, Dropped: r.Dropped, Added: r.Added}
		if m, err = r.Mesh(); err != nil {
			return nil, how, fmt.Errorf("solid: %w", err)
		}
		left, err := mesh.SelfCrossings(ctx, m, nil, nil)
		how.Left = left.Pairs
		return m, how, err
	}
	if across <= 0 {
		across = 200
	}
	m, how.Cell, err = s.redraw(ctx, across)
	return m, how, err
}

// kept is the mended surface as it stands, without what lies within.
func (s *Solid) kept() (*mesh.Mesh, error) {
	var b mesh.Builder
	verts := s.surface.Vertices()
	for t, i := range s.surface.Triangles() {
		p := s.piece[t]
		if p < 0 || s.within[p] >= 0 {
			continue
		}
		if !s.Outward(t) {
			i[1], i[2] = i[2], i[1]
		}
		var n [3]int32
		for k := range 3 {
			var err error
			if n[k], err = b.Vertex(verts[i[k]]); err != nil {
				return nil, fmt.Errorf("solid: %w", err)
			}
		}
		b.Triangle(n[0], n[1], n[2])
	}
	return b.Build(1)
}

// redraw contours a signed distance by marching tetrahedra: a cube is cut into
// six along its diagonal, the same way everywhere, so that faces of
// neighbouring cubes match and the result is always closed (A. Doi and
// A. Koide, "An efficient method of triangulating equi-valued surfaces by
// using tetrahedral cells", IEICE Trans. E74 (1991) 214, from memory).
func (s *Solid) redraw(ctx context.Context, across int) (*mesh.Mesh, float64, error) {
	g, err := s.drawing(ctx, across)
	if err != nil {
		return nil, 0, err
	}
	step := [8]int{}
	for k := range 8 {
		step[k] = g.n.At(k&1, k>>1&1, k>>2&1)
	}
	for z := 0; z+1 < g.n[2]; z++ {
		if err := ctx.Err(); err != nil {
			return nil, 0, fmt.Errorf("solid: %w", err)
		}
		for y := 0; y+1 < g.n[1]; y++ {
			for x := 0; x+1 < g.n[0]; x++ {
				base := g.n.At(x, y, z)
				mixed := false
				for k := 1; k < 8 && !mixed; k++ {
					mixed = g.inside[base+step[k]] != g.inside[base]
				}
				if !mixed {
					continue
				}
				for _, t := range tetrahedra {
					g.tetrahedron([4]int{base + step[t[0]], base + step[t[1]], base + step[t[2]], base + step[t[3]]})
				}
			}
		}
	}
	m, err := g.b.Build(1)
	if err != nil {
		return nil, 0, fmt.Errorf("solid: %w", err)
	}
	m, err = s.dropSpecks(ctx, m)
	return m, g.cell, err
}

// tetrahedra are six round the diagonal 0-7 of a cell, each along one path of
// axes.
var tetrahedra = [6][4]int{{0, 1, 3, 7}, {0, 3, 2, 7}, {0, 2, 6, 7}, {0, 6, 4, 7}, {0, 4, 5, 7}, {0, 5, 1, 7}}

// drawing is a lattice over the solid from which its surface is drawn anew:
// which nodes lie inside, and how far each is from the surface along each axis,
// in cells.
type drawing struct {
	lattice
	inside []bool
	along  [3][]float32

	b   mesh.Builder
	cut map[[2]int32]int32 // edge of the lattice to vertex; looked up, never ranged over
}

func (s *Solid) drawing(ctx context.Context, across int) (*drawing, error) {
	lo, hi := s.surface.Bounds()
	size := hi.Sub(lo)
	g := &drawing{lattice: lattice{axis: [3]mesh.Vec{{X: 1}, {Y: 1}, {Z: 1}}, cell: max(size.X, size.Y, size.Z) / float64(across)}, cut: map[[2]int32]int32{}}
	for d, x := range [3][2]float64{{lo.X, hi.X}, {lo.Y, hi.Y}, {lo.Z, hi.Z}} {
		g.n[d] = int((x[1]-x[0])/g.cell) + 5
		// Off the middle by an odd share, so that drawn faces and lattice
		// planes do not coincide.
		g.lo[d] = (x[0]+x[1])/2 - (float64(g.n[d]-1)/2+0.1372)*g.cell
	}
	g.inside = make([]bool, g.n.Total())
	for d := range 3 {
		f, err := s.Field(ctx, g.columns(d))
		if err != nil {
			return nil, err
		}
		g.read(f, d)
	}
	return g, nil
}

// read takes in the field along axis d.
func (g *drawing) read(f *dexel.Field, d int) {
	a, b := (d+1)%3, (d+2)%3
	dist := make([]float32, g.n.Total())
	for k := range dist {
		dist[k] = float32(math.Inf(1))
	}
	g.along[d] = dist
	for j := range g.n[b] {
		for i := range g.n[a] {
			var at [3]int
			at[a], at[b] = i, j
			near := func(z float64) {
				q := (z - g.lo[d]) / g.cell
				k0 := int(math.Floor(q))
				for k := max(k0-1, 0); k <= min(k0+2, g.n[d]-1); k++ {
					at[d] = k
					n := g.n.At(at[0], at[1], at[2])
					dist[n] = min(dist[n], float32(max(math.Abs(q-float64(k)), 1e-3)))
				}
			}
			for _, x := range f.Column(i, j) {
				near(x.Bottom)
				near(x.Top)
				if d == 2 {
					k0 := int(math.Ceil((x.Bottom - g.lo[2]) / g.cell))
					k1 := int(math.Floor((x.Top - g.lo[2]) / g.cell))
					for k := max(k0, 0); k <= min(k1, g.n[2]-1); k++ {
						g.inside[g.n.At(i, j, k)] = true
					}
				}
			}
		}
	}
}

// depth is the distance of a node to the surface, cells: a plane that cuts the
// axes through it at a, b and c passes it at 1/√(1/a² + 1/b² + 1/c²).
func (g *drawing) depth(n int) float64 {
	var sum float64
	for d := range 3 {
		e := float64(g.along[d][n])
		sum += 1 / (e * e)
	}
	if sum == 0 {
		return 2
	}
	return 1 / math.Sqrt(sum)
}

// vertex is where the surface cuts the edge between two nodes.
func (g *drawing) vertex(p, q int) int32 {
	if p > q {
		p, q = q, p
	}
	e := [2]int32{int32(p), int32(q)}
	if v, ok := g.cut[e]; ok {
		return v
	}
	dp, dq := g.depth(p), g.depth(q)
	t := min(max(dp/(dp+dq), 0.02), 0.98)
	x, y := g.node(p), g.node(q)
	v, err := g.b.Vertex(x.Add(y.Sub(x).Mul(t)))
	if err != nil {
		return -1 // cannot be: nodes are finite
	}
	g.cut[e] = v
	return v
}

// tetrahedron draws the surface within four nodes.
func (g *drawing) tetrahedron(nodes [4]int) {
	var in, out []int
	for _, n := range nodes {
		if g.inside[n] {
			in = append(in, n)
		} else {
			out = append(out, n)
		}
	}
	var v [4]int32
	switch {
	case len(in) == 1:
		v[0], v[1], v[2] = g.vertex(in[0], out[0]), g.vertex(in[0], out[1]), g.vertex(in[0], out[2])
	case len(out) == 1:
		v[0], v[1], v[2] = g.vertex(in[0], out[0]), g.vertex(in[1], out[0]), g.vertex(in[2], out[0])
	case len(in) == 2:
		v[0], v[1], v[2], v[3] = g.vertex(in[0], out[0]), g.vertex(in[0], out[1]), g.vertex(in[1], out[1]), g.vertex(in[1], out[0])
	default:
		return
	}
	// Outward: away from an inner corner.
	p, q, r := g.b.At(v[0]), g.b.At(v[1]), g.b.At(v[2])
	turn := q.Sub(p).Cross(r.Sub(p)).Dot(p.Sub(g.node(in[0]))) < 0
	add := func(i, j, k int32) {
		if turn {
			j, k = k, j
		}
		g.b.Triangle(i, j, k)
	}
	add(v[0], v[1], v[2])
	if len(in) == 2 {
		add(v[0], v[2], v[3])
	}
}

// dropSpecks leaves out pieces so small that reading the surface back would
// call them crumbs: what the lattice makes of a sliver.
func (s *Solid) dropSpecks(ctx context.Context, m *mesh.Mesh) (*mesh.Mesh, error) {
	sv, err := mesh.Inspect(ctx, m, mesh.SurveyOptions{})
	if err != nil {
		return nil, fmt.Errorf("solid: %w", err)
	}
	least := 0.0
	for k := range sv.Pieces {
		z := sv.Pieces[k].Size()
		least = max(least, mesh.CrumbShare*max(z.X, z.Y, z.Z))
	}
	small := make([]bool, len(sv.Pieces))
	any := false
	for k := range sv.Pieces {
		z := sv.Pieces[k].Size()
		small[k] = max(z.X, z.Y, z.Z) < least
		any = any || small[k]
	}
	if !any {
		return m, nil
	}
	var b mesh.Builder
	for t, i := range m.Triangles() {
		if p := sv.PieceOf[t]; p < 0 || small[p] {
			continue
		}
		var n [3]int32
		for k := range 3 {
			if n[k], err = b.Vertex(m.Vertices()[i[k]]); err != nil {
				return nil, fmt.Errorf("solid: %w", err)
			}
		}
		b.Triangle(n[0], n[1], n[2])
	}
	if m, err = b.Build(1); err != nil {
		return nil, fmt.Errorf("solid: %w", err)
	}
	return m, nil
}
