package solid

import (
	"cmp"
	"context"
	"math"
	"slices"

	"moldtally/mesh"
	"moldtally/mesh/dexel"
	"moldtally/mesh/unit"
)

// slitArea is the area, as a share of the perimeter squared, below which a
// hole is a crack of no width.
const slitArea = 1e-9

func dexelGrid(s *Solid, u mesh.Vec, cell float64) dexel.Grid {
	return dexel.GridAlong(s.surface, u, cell, 0.37, 2, s.skipFunc())
}

// mend joins the faces of an unclean mesh into sheets and closes them. It
// returns what the mending may be wrong by beyond the patches' own brackets,
// mm³.
func (s *Solid) mend(ctx context.Context, m *mesh.Mesh, sv *mesh.Survey, skip []bool, o Options) (float64, error) {
	if skip == nil {
		skip = make([]bool, m.NumTriangles())
	} else {
		skip = slices.Clone(skip)
	}
	var walls []int32
	if sv.DuplicateFaces > 0 {
		s.Dropped, walls = dropDoubles(m, skip)
		if s.Dropped > 0 {
			s.mended(DroppedDoubles{s.Dropped})
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
			s.mended(ZippedEdges{z.edges - z.left, unit.Length(z.within)})
		}
	}
	st, err := stitch(ctx, m.Vertices(), tris, skip)
	if err != nil {
		return 0, err
	}
	s.Turned = st.turned()
	if s.Turned > 0 {
		s.mended(TurnedToAgree{s.Turned})
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

	return s.closeHoles(st, o), nil
}

// closeHoles gives every boundary loop a disc of its own; with the option
// "open" the largest is left open and its sheet becomes a vessel with a wall.
// It returns what that may be wrong by, mm³.
func (s *Solid) closeHoles(st *stitching, o Options) (invented float64) {
	loops := st.loops()
	if len(loops) == 0 {
		return 0
	}
	discs := make([]disc, len(loops))
	mouth := -1
	for k, l := range loops {
		discs[k] = s.disc(st, l)
		if o.Opening == "open" && (mouth < 0 || discs[k].Area > discs[mouth].Area) {
			mouth = k
		}
	}
	verts := slices.Clone(st.vert)
	tris := slices.Clone(st.tris)
	add := func(i [3]int32, part int32) {
		tris = append(tris, i)
		s.piece = append(s.piece, part)
		s.turnTri = append(s.turnTri, false)
	}
	for k, d := range discs {
		if k == mouth {
			continue
		}
		rim := d.rim
		for _, p := range d.pts[len(rim):] {
			rim = append(rim, int32(len(verts)))
			verts = append(verts, p)
		}
		for _, t := range d.tris {
			add([3]int32{rim[t[0]], rim[t[1]], rim[t[2]]}, d.piece)
		}
		s.Openings = append(s.Openings, d.Opening)
	}
	if mouth >= 0 {
		verts, invented = s.vessel(verts, tris, add, discs[mouth])
	}
	s.surface = mesh.New(verts, tris)
	slits, holes := 0, 0
	for _, o := range s.Openings {
		if o.slit() {
			slits++
		} else {
			holes++
		}
	}
	if slits > 0 {
		s.mended(ZippedCracks{slits})
	}
	if holes > 0 {
		s.mended(Patched{holes})
	}
	slices.SortStableFunc(s.Openings, func(a, b Opening) int { return cmp.Compare(b.Area, a.Area) })
	return invented
}

// disc is a patch: its points, those of the rim first and in the patch's own
// winding, its faces over them, and the vertices that the rim stands for.
type disc struct {
	Opening
	pts  []mesh.Vec
	tris [][3]int32
	rim  []int32
}

// disc closes a loop: in its plane where it is flat, else with the least-area
// skin.
func (s *Solid) disc(st *stitching, l loop) disc {
	d := disc{rim: slices.Clone(l.verts)}
	// The patch runs against the rim's triangles.
	slices.Reverse(d.rim)
	for _, v := range d.rim {
		d.pts = append(d.pts, st.vert[v])
	}
	n := len(l.half)
	tooth := make([]bool, n)
	for k := range n {
		tooth[n-1-k] = n > 3 && l.half[k]/3 == l.half[(k+n-1)%n]/3
	}
	d.tris = triangulate(d.pts, tooth)
	d.Opening = s.opening(st, l, d.pts, d.tris)
	if !d.Flat && !d.slit() {
		d.pts, d.tris = film(d.pts, d.tris, tooth)
	}
	return d
}

// slit reports whether the opening is a crack of no width.
func (o *Opening) slit() bool { return o.Area <= slitArea*o.Perimeter*o.Perimeter }

// vesselWall is the thickness given to a sheet that is declared an open vessel
// and has none in the file, as a share of the pattern's longest size, and its
// limits, mm (judgement of this program: a thin shell that rubber fills and
// pulls out of; the caution says so).
const (
	vesselWall    = 0.01
	vesselWallMin = 0.5
	vesselWallMax = 3
)

// vessel gives the sheet around an opening a wall: a second skin inside the
// first, joined to it along the rim.
func (s *Solid) vessel(verts []mesh.Vec, tris [][3]int32, add func([3]int32, int32), mouth disc) ([]mesh.Vec, float64) {
	part := mouth.piece
	size := s.src.Size()
	longest := max(size.X, size.Y, size.Z)
	t := min(max(vesselWall*longest, vesselWallMin), vesselWallMax, 0.05*longest)
	// Which way is in: by the volume under the lid.
	var v6 float64
	normal := make(map[int32]mesh.Vec)
	var area float64
	var faces [][3]int32 // of the sheet, turned outward
	for k, i := range tris {
		if s.piece[k] != part {
			continue
		}
		if s.turnTri[k] {
			i[1], i[2] = i[2], i[1]
		}
		faces = append(faces, i)
	}
	o := mouth.At
	for _, i := range faces {
		a, b, c := verts[i[0]].Sub(o), verts[i[1]].Sub(o), verts[i[2]].Sub(o)
		v6 += a.Dot(b.Cross(c))
		nv := b.Sub(a).Cross(c.Sub(a))
		area += nv.Len() / 2
		for _, v := range i {
			normal[v] = normal[v].Add(nv)
		}
	}
	if v6 < 0 {
		t = -t
	}
	// A corner goes in by more than the wall, so that its faces go in by it:
	// at the corner of a box by √3 times, never by more than twice.
	dist := make(map[int32]float64, len(normal))
	seen := make(map[int32]float64, len(normal))
	for _, i := range faces {
		nv := verts[i[1]].Sub(verts[i[0]]).Cross(verts[i[2]].Sub(verts[i[0]]))
		for _, v := range i {
			dist[v] += nv.Dot(normal[v].Unit())
			seen[v] += nv.Len()
		}
	}
	inner := make(map[int32]int32, len(normal))
	in := func(v int32) int32 {
		w, ok := inner[v]
		if !ok {
			w = int32(len(verts))
			verts = append(verts, verts[v].Sub(normal[v].Unit().Mul(t*min(2, seen[v]/max(dist[v], 1e-300)))))
			inner[v] = w
		}
		return w
	}
	for _, i := range faces {
		add([3]int32{in(i[0]), in(i[2]), in(i[1])}, part)
	}
	for k, p := range mouth.rim {
		q := mouth.rim[(k+1)%len(mouth.rim)]
		add([3]int32{p, q, in(q)}, part)
		add([3]int32{p, in(q), in(p)}, part)
	}
	s.Wall = math.Abs(t)
	s.mended(GivenWall{unit.Length(s.Wall)})
	// A real wall may be half of that or twice.
	return verts, 0.5 * area * s.Wall
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
	return dropped, dropWalls(tris, skip, twins)
}

// dropWalls leaves out the clusters of twins, faces that lie back to back with
// another, without which fewer edges are ragged, and returns them.
func dropWalls(tris [][3]int32, skip []bool, twins []int32) (walls []int32) {
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
	return walls
}

// opening measures a loop and brackets its patch.
func (s *Solid) opening(st *stitching, l loop, pts []mesh.Vec, tris [][3]int32) Opening {
	o := Opening{piece: l.part}
	n := newell(pts)
	o.Normal = n.Unit()
	for k, p := range pts {
		o.At = o.At.Add(p)
		o.Perimeter += pts[(k+1)%len(pts)].Sub(p).Len()
	}
	o.At = o.At.Mul(1 / float64(len(pts)))
	for _, t := range tris {
		o.Area += triArea(pts[t[0]], pts[t[1]], pts[t[2]])
	}
	var rough, far float64
	for _, p := range pts {
		d := p.Sub(o.At)
		rough = max(rough, math.Abs(d.Dot(o.Normal)))
		far = max(far, d.Len())
	}
	o.Diameter = 2 * far
	o.Flat = rough <= 0.01*math.Sqrt(o.Area)
	if o.slit() {
		return o
	}
	angle, varies := st.rimAngle(l, o.Normal)
	o.bracket(angle, varies, rough)
	return o
}

// rimAngle is the angle between the surface along a rim and its patch: its mean
// and how much it varies. It is read from the faces' normals, since a rim that
// zigzags runs along the slope as often as across; a side that runs along it
// tells little of which way the slope goes and counts for little.
func (st *stitching) rimAngle(l loop, normal mesh.Vec) (angle, varies float64) {
	var square, weight float64
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
		x := math.Acos(max(-1, min(1, face.Dot(normal))))
		d := a.Sub(c)
		d = d.Sub(e.Mul(d.Dot(e) / (le * le))).Unit()
		slope := d.Dot(normal) / max(math.Sin(x), 1e-9)
		w := le * min(1, math.Abs(slope))
		if slope < 0 {
			x = -x
		}
		angle += w * x
		square += w * x * x
		weight += w
	}
	if weight == 0 {
		return angle, 0
	}
	angle /= weight
	square = math.Sqrt(square / weight)
	return angle, math.Sqrt(max(0, square*square-angle*angle))
}

// bracket sets how far the true surface may bulge off the patch. An opening
// that the surface meets steeply is a side that was cut off or never seen:
// nothing says that the skin goes on beyond its rim. A flat rim says so sooner.
// Elsewhere the patch is bracketed by the cap of a ball that leaves the rim at
// the mean angle, and where the angle varies (a saddle, a missing corner) by
// half the cap of what it varies by to both sides. The limits are judgements of
// this program, checked on mutilated bodies.
func (o *Opening) bracket(angle, varies, rough float64) {
	root := math.Sqrt(o.Area)
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
		slack = o.Area*max(0.25*rough, 0.005*root) + 0.3*math.Abs(cap) + 0.5*capOf(varies)
	}
	o.BulgeLow = min(0, cap) - slack
	o.BulgeHigh = max(0, cap) + slack
}
