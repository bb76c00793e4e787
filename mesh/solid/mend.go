package solid

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"

	"moldtally/mesh"
	"moldtally/mesh/dexel"
)

// slitArea is the area, as a share of the perimeter squared, below which a
// hole is a crack of no width.
const slitArea = 1e-9

func dexelGrid(s *Solid, u mesh.Vec, cell float64) dexel.Grid {
	return dexel.GridAlong(s.surface, u, cell, 0.37, 2, s.skipFunc())
}

func count(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}

// mend joins the faces of an unclean mesh into sheets and closes them. It
// returns what the mending may be wrong by beyond the patches' own brackets,
// mm³.
func (s *Solid) mend(ctx context.Context, m *mesh.Mesh, sv *mesh.Survey, skip []bool) (float64, error) {
	if skip == nil {
		skip = make([]bool, m.NumTriangles())
	} else {
		skip = slices.Clone(skip)
	}
	var walls []int32
	if sv.DuplicateFaces > 0 {
		s.Dropped, walls = dropDoubles(m, skip)
		if s.Dropped > 0 {
			s.Repairs = append(s.Repairs, fmt.Sprintf("%s dropped as doubles", count(s.Dropped, "face")))
		}
	}
	tris := m.Triangles()
	if sv.BoundaryEdges > 0 || sv.EdgesOdd > 0 {
		z, err := zip(ctx, m, skip)
		if err != nil {
			return 0, err
		}
		if z != nil {
			for _, t := range z.gone {
				skip[t] = true
			}
			all := make([][3]int32, 0, len(tris)+len(z.extra))
			tris = append(append(all, tris...), z.extra...)
			skip = append(skip, make([]bool, len(z.extra))...)
			s.surface = mesh.New(m.Vertices(), tris)
			s.patchFrom = len(tris)
			s.Repairs = append(s.Repairs, fmt.Sprintf("%s of cracks zipped within %.2g mm", count(z.edges-z.left, "open edge"), z.within))
		}
	}
	st, err := stitch(ctx, m.Vertices(), tris, skip)
	if err != nil {
		return 0, err
	}
	s.Turned = st.turned()
	if s.Turned > 0 {
		s.Repairs = append(s.Repairs, fmt.Sprintf("%s turned to agree with their neighbours", count(s.Turned, "face")))
	}
	s.piece = st.part
	s.pieces = st.n
	s.turnTri = st.flip
	if slices.Contains(st.odd, true) {
		s.odd = st.odd
	}
	if len(walls) > 0 {
		s.walls = true
		for _, t := range walls {
			s.piece[t] = int32(s.pieces)
		}
		s.pieces++
		if s.odd != nil {
			s.odd = append(s.odd, false)
		}
	}

	var extra [][3]int32
	verts := m.Vertices()
	for _, l := range st.loops() {
		pts := make([]mesh.Vec, len(l.verts))
		for k, v := range l.verts {
			pts[k] = m.Vertices()[v]
		}
		// The patch runs against the rim's triangles.
		slices.Reverse(pts)
		rev := slices.Clone(l.verts)
		slices.Reverse(rev)
		disc := triangulate(pts)
		rim := len(pts)
		o := s.opening(st, l, pts, disc)
		if !o.Flat && o.Area > slitArea*o.Perimeter*o.Perimeter {
			pts, disc = film(pts, disc)
		}
		if len(pts) > rim {
			if len(verts) == m.NumVertices() {
				verts = slices.Clone(verts)
			}
			for _, p := range pts[rim:] {
				rev = append(rev, int32(len(verts)))
				verts = append(verts, p)
			}
		}
		for _, t := range disc {
			extra = append(extra, [3]int32{rev[t[0]], rev[t[1]], rev[t[2]]})
			s.piece = append(s.piece, l.part)
			s.turnTri = append(s.turnTri, false)
		}
		s.Openings = append(s.Openings, o)
	}
	if len(extra) > 0 {
		all := make([][3]int32, 0, len(tris)+len(extra))
		s.surface = mesh.New(verts, append(append(all, tris...), extra...))
		real := 0
		for _, o := range s.Openings {
			if o.Area > slitArea*o.Perimeter*o.Perimeter {
				real++
			}
		}
		if slits := len(s.Openings) - real; slits > 0 {
			s.Repairs = append(s.Repairs, fmt.Sprintf("%s of no width zipped", count(slits, "crack")))
		}
		if real > 0 {
			s.Repairs = append(s.Repairs, fmt.Sprintf("%s closed with a patch each", count(real, "hole")))
		}
	}
	slices.SortStableFunc(s.Openings, func(a, b Opening) int { return cmp.Compare(b.Area, a.Area) })
	return 0, nil
}

// dropDoubles marks faces that stand on the same three corners as another.
// Of faces wound alike one stays. A back-to-back pair stays as one face where
// the pairs around it form a surface of their own (a model drawn
// double-sided). Where it only parts two bodies, or hangs on one as a fin, or
// is a sheet with a rim, it bounds nothing by itself: its faces are returned
// as walls, which leave the winding alone but stop the flood from outside.
func dropDoubles(m *mesh.Mesh, skip []bool) (dropped int, walls []int32) {
	tris := m.Triangles()
	key := func(t int32) [3]int32 {
		i := tris[t]
		slices.Sort(i[:])
		return i
	}
	var order []int32
	for t := range tris {
		if !skip[t] {
			order = append(order, int32(t))
		}
	}
	keys := make([][3]int32, len(tris))
	for _, t := range order {
		keys[t] = key(t)
	}
	slices.SortFunc(order, func(a, b int32) int {
		for k := range 3 {
			if c := cmp.Compare(keys[a][k], keys[b][k]); c != 0 {
				return c
			}
		}
		return cmp.Compare(a, b)
	})
	even := func(t int32) bool { // winding against the sorted corners
		i, k := tris[t], keys[t]
		return i == k || i == [3]int32{k[1], k[2], k[0]} || i == [3]int32{k[2], k[0], k[1]}
	}
	var twins []int32 // the face that stays of each back-to-back pair
	for a := 0; a < len(order); {
		b := a + 1
		for b < len(order) && keys[order[b]] == keys[order[a]] {
			b++
		}
		if b-a > 1 {
			both := false
			for _, t := range order[a+1 : b] {
				both = both || even(t) != even(order[a])
				skip[t] = true
				dropped++
			}
			if both {
				twins = append(twins, order[a])
			}
		}
		a = b
	}
	if len(twins) == 0 {
		return dropped, nil
	}
	// Count faces per edge over what is kept, on the edges of twins only.
	type edge [2]int32
	edges := func(t int32, f func(edge)) {
		i := tris[t]
		for k := range 3 {
			p, q := i[k], i[(k+1)%3]
			f(edge{min(p, q), max(p, q)})
		}
	}
	kept := map[edge]int{}
	byEdge := map[edge][]int32{}
	for n, t := range twins {
		edges(t, func(e edge) {
			kept[e] = 0
			byEdge[e] = append(byEdge[e], int32(n))
		})
	}
	for t := range tris {
		if skip[t] {
			continue
		}
		edges(int32(t), func(e edge) {
			if _, ok := kept[e]; ok {
				kept[e]++
			}
		})
	}
	seen := make([]bool, len(twins))
	for n0 := range twins {
		if seen[n0] {
			continue
		}
		cluster := []int32{int32(n0)}
		seen[n0] = true
		own := map[edge]int{}
		for q := 0; q < len(cluster); q++ {
			edges(twins[cluster[q]], func(e edge) {
				own[e]++
				for _, n := range byEdge[e] {
					if !seen[n] {
						seen[n] = true
						cluster = append(cluster, n)
					}
				}
			})
		}
		raggedKeep, raggedDrop := 0, 0
		for e, c := range own {
			raggedKeep += kept[e] & 1
			raggedDrop += (kept[e] - c) & 1
		}
		if raggedDrop < raggedKeep {
			for _, n := range cluster {
				skip[twins[n]] = true
				walls = append(walls, twins[n])
			}
		}
	}
	return dropped, walls
}

// opening measures a loop and brackets its patch.
func (s *Solid) opening(st *stitching, l loop, pts []mesh.Vec, disc [][3]int32) Opening {
	o := Opening{piece: l.part}
	n := newell(pts)
	o.Normal = n.Unit()
	for k, p := range pts {
		o.At = o.At.Add(p)
		o.Perimeter += pts[(k+1)%len(pts)].Sub(p).Len()
	}
	o.At = o.At.Mul(1 / float64(len(pts)))
	for _, t := range disc {
		o.Area += triArea(pts[t[0]], pts[t[1]], pts[t[2]])
	}
	var rough, far float64
	for _, p := range pts {
		d := p.Sub(o.At)
		rough = max(rough, math.Abs(d.Dot(o.Normal)))
		far = max(far, d.Len())
	}
	o.Diameter = 2 * far
	root := math.Sqrt(o.Area)
	o.Flat = rough <= 0.01*root
	if o.Area <= slitArea*o.Perimeter*o.Perimeter {
		return o // a slit
	}
	// The angle between the surface along the rim and the patch: its mean and
	// how much it varies. It is read from the faces' normals, since a rim that
	// zigzags runs along the slope as often as across; a side that runs along
	// it tells little of which way the slope goes and counts for little.
	var angle, square, weight float64
	for _, h := range l.half {
		t := h / 3
		i := st.tris[t]
		a, b := st.vert[i[h%3]], st.vert[i[(h%3+1)%3]]
		c := st.vert[i[(h%3+2)%3]]
		e := b.Sub(a)
		le := e.Len()
		if le == 0 {
			continue
		}
		face := e.Cross(c.Sub(a)).Unit()
		if st.flip[t] {
			face = face.Neg()
		}
		x := math.Acos(max(-1, min(1, face.Dot(o.Normal))))
		d := a.Sub(c)
		d = d.Sub(e.Mul(d.Dot(e) / (le * le))).Unit()
		slope := d.Dot(o.Normal) / max(math.Sin(x), 1e-9)
		w := le * min(1, math.Abs(slope))
		if slope < 0 {
			x = -x
		}
		angle += w * x
		square += w * x * x
		weight += w
	}
	var spread float64
	if weight > 0 {
		angle /= weight
		square = math.Sqrt(square / weight)
		spread = math.Sqrt(max(0, square*square-angle*angle))
	}
	// An opening that the surface meets steeply is a side that was cut off or
	// never seen: nothing says that the skin goes on beyond its rim. A flat rim
	// says so sooner. Elsewhere the patch is bracketed by the cap of a ball
	// that leaves the rim at the mean angle, and where the angle varies (a
	// saddle, a missing corner) by half the cap of its spread to both sides.
	// The limits are judgements of this program, checked on mutilated bodies.
	const steepFlat, steep = 50 * math.Pi / 180, 75 * math.Pi / 180
	r := math.Sqrt(o.Area / math.Pi)
	capOf := func(a float64) float64 {
		h := r * math.Tan(max(-1.2, min(1.2, a))/2)
		return math.Pi * h * (3*r*r + h*h) / 6
	}
	var cap float64
	slack := 0.008 * root * o.Area
	if a := math.Abs(angle); a <= steepFlat || a <= steep && !o.Flat {
		cap = capOf(angle)
		slack = o.Area*max(0.25*rough, 0.005*root) + 0.3*math.Abs(cap) + 0.5*capOf(spread)
	}
	o.BulgeLow = min(0, cap) - slack
	o.BulgeHigh = max(0, cap) + slack
	return o
}
