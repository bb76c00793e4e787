package mesh_test

import (
	"fmt"
	"math/rand/v2"
	"reflect"
	"slices"
	"testing"

	"moldtally/mesh"
	"moldtally/mesh/shape"
)

// slowSurvey is the readable twin of Inspect: maps, no order, no cores. It
// knows nothing of measures; figures that it does not compute stay zero.
func slowSurvey(m *mesh.Mesh) (s mesh.Survey, of []int, genus []*int) {
	type edge [2]int32
	type use struct {
		tri int
		fwd bool
	}
	s.Triangles, s.Vertices, s.Size = m.NumTriangles(), m.NumVertices(), m.Size()
	edges := map[edge][]use{}
	faces := map[[3]int32]bool{}
	live := 0
	for t, c := range m.Triangles() {
		if m.Collapsed(t) {
			s.DegenerateFaces++
			continue
		}
		live++
		key := c
		slices.Sort(key[:])
		faces[key] = true
		for k := range 3 {
			a, b := c[k], c[(k+1)%3]
			edges[edge{min(a, b), max(a, b)}] = append(edges[edge{min(a, b), max(a, b)}], use{t, a < b})
		}
	}
	s.DuplicateFaces = live - len(faces)

	// Pieces: spread a colour over edges until nothing changes.
	of = make([]int, m.NumTriangles())
	for t := range of {
		of[t] = -1
	}
	neighbours := map[int][]int{}
	for _, us := range edges {
		for _, u := range us {
			for _, w := range us {
				neighbours[u.tri] = append(neighbours[u.tri], w.tri)
			}
		}
	}
	n := 0
	for t := range of {
		if of[t] >= 0 || m.Collapsed(t) {
			continue
		}
		todo := []int{t}
		of[t] = n
		for len(todo) > 0 {
			x := todo[0]
			todo = todo[1:]
			for _, y := range neighbours[x] {
				if of[y] < 0 {
					of[y] = n
					todo = append(todo, y)
				}
			}
		}
		n++
	}
	closed, manifold := make([]bool, n), make([]bool, n)
	count, nedges := make([]int, n), make([]int, n)
	for i := range n {
		closed[i], manifold[i] = true, true
	}
	for _, p := range of {
		if p >= 0 {
			count[p]++
		}
	}
	turned := make([]bool, n)
	for _, us := range edges {
		p := of[us[0].tri]
		nedges[p]++
		switch k := len(us); {
		case k == 1:
			s.BoundaryEdges++
		case k > 2:
			s.NonManifoldEdges++
			manifold[p] = false
		case us[0].fwd == us[1].fwd:
			s.TurnedEdges++
			turned[p] = true
		}
		if len(us)%2 == 1 {
			s.EdgesOdd++
			closed[p] = false
		}
	}
	s.Closed = live > 0 && s.EdgesOdd == 0
	s.Clean = s.Closed && s.NonManifoldEdges+s.TurnedEdges+s.DuplicateFaces == 0

	// Fans: classes of (triangle, vertex) joined over edges at the vertex.
	type corner struct {
		tri int
		v   int32
	}
	parent := map[corner]corner{}
	var find func(c corner) corner
	find = func(c corner) corner {
		if p, ok := parent[c]; ok && p != c {
			return find(p)
		}
		return c
	}
	fans := make([]int, n)
	for t, c := range m.Triangles() {
		if of[t] >= 0 {
			fans[of[t]] += 3
			_ = c
		}
	}
	for e, us := range edges {
		for _, u := range us[1:] {
			for _, v := range e {
				a, b := find(corner{us[0].tri, v}), find(corner{u.tri, v})
				if a != b {
					parent[a] = b
					fans[of[u.tri]]--
				}
			}
		}
	}
	genus = make([]*int, n)
	sum, known, some := 0, true, false
	for i := range n {
		if !closed[i] {
			continue
		}
		some = true
		if !manifold[i] || turned[i] && !slowOrientable(m, of, i) {
			known = false
			continue
		}
		g := (2 - (fans[i] - nedges[i] + count[i])) / 2
		genus[i] = &g
		sum += g
	}
	if some && known {
		s.ThroughHoles = &sum
	}
	return s, of, genus
}

// slowOrientable turns triangles over until no edge is turned or a
// contradiction shows.
func slowOrientable(m *mesh.Mesh, of []int, piece int) bool {
	turn := map[int]bool{}
	for t := range of {
		if of[t] == piece {
			turn[t] = false
			break
		}
	}
	for changed := true; changed; {
		changed = false
		for t, a := range m.Triangles() {
			ta, ok := turn[t]
			if of[t] != piece || !ok {
				continue
			}
			for o, b := range m.Triangles() {
				if of[o] != piece || o == t {
					continue
				}
				for i := range 3 {
					for j := range 3 {
						same := a[i] == b[j] && a[(i+1)%3] == b[(j+1)%3]
						anti := a[i] == b[(j+1)%3] && a[(i+1)%3] == b[j]
						if !same && !anti {
							continue
						}
						want := ta != same
						if got, ok := turn[o]; !ok {
							turn[o] = want
							changed = true
						} else if got != want {
							return false
						}
					}
				}
			}
		}
	}
	return true
}

// agree compares Inspect's counts with the slow twin's.
func agree(m *mesh.Mesh, s *mesh.Survey) error {
	want, of, genus := slowSurvey(m)
	got := *s
	got.Area, got.SignedVolume, got.Pieces, got.PieceOf, got.Crumbs = 0, 0, nil, nil, 0
	if !reflect.DeepEqual(got, want) {
		return fmt.Errorf("got %+v (holes %v), want %+v (holes %v)", got, deref(got.ThroughHoles), want, deref(want.ThroughHoles))
	}
	triangles, boundary := 0, 0
	for t, p := range s.PieceOf {
		if int(p) != of[t] {
			return fmt.Errorf("triangle %d: got piece %d, want %d", t, p, of[t])
		}
	}
	for i, p := range s.Pieces {
		triangles += p.Triangles
		boundary += p.BoundaryEdges
		if !reflect.DeepEqual(p.Genus, genus[i]) {
			return fmt.Errorf("piece %d: got genus %v, want %v", i, deref(p.Genus), deref(genus[i]))
		}
	}
	if triangles != s.Triangles-s.DegenerateFaces || boundary != s.BoundaryEdges {
		return fmt.Errorf("pieces have %d triangles and %d boundary edges of %d and %d", triangles, boundary, s.Triangles-s.DegenerateFaces, s.BoundaryEdges)
	}
	return nil
}

func deref(p *int) any {
	if p == nil {
		return nil
	}
	return *p
}

// soup is n triangles over few vertices, most of them nonsense.
func soup(r *rand.Rand, verts, tris int) *mesh.Mesh {
	vs := make([]mesh.Vec, verts)
	for i := range vs {
		vs[i] = mesh.V(float64(i), float64(i*i%11), float64(i*i*i%13))
	}
	ts := make([][3]int32, tris)
	for i := range ts {
		ts[i] = [3]int32{r.Int32N(int32(verts)), r.Int32N(int32(verts)), r.Int32N(int32(verts))}
	}
	return mesh.New(vs, ts)
}

func TestInspectAgainstSlow(t *testing.T) {
	const seed = 4
	r := rand.New(rand.NewPCG(seed, 0))
	rounds := 3000
	if testing.Short() {
		rounds = 300
	}
	for i := range rounds {
		m := soup(r, 3+r.IntN(12), 1+r.IntN(30))
		if err := agree(m, inspect(t, m)); err != nil {
			t.Fatalf("seed %d, mesh %d: %v\n%v", seed, i, err, m.Triangles())
		}
	}
	// Sound bodies with a few triangles spoilt.
	bodies := []*mesh.Mesh{shape.Torus(10, 4, 7, 5), shape.Icosphere(10, 1), pinched(), shape.Cone(10, 20, 80)}
	for i := range rounds / 15 {
		m := bodies[i%len(bodies)]
		ts := slices.Clone(m.Triangles())
		for range r.IntN(4) {
			k := r.IntN(len(ts))
			switch r.IntN(4) {
			case 0:
				ts[k][r.IntN(3)] = r.Int32N(int32(m.NumVertices()))
			case 1:
				ts[k][0], ts[k][1] = ts[k][1], ts[k][0]
			case 2:
				ts = append(ts, ts[k])
			case 3:
				ts = slices.Delete(ts, k, k+1)
			}
		}
		m = mesh.New(m.Vertices(), ts)
		if err := agree(m, inspect(t, m)); err != nil {
			t.Fatalf("seed %d, body %d: %v", seed, i, err)
		}
	}
}

func FuzzInspect(f *testing.F) {
	f.Add([]byte{0, 1, 2, 0, 2, 3, 0, 3, 1, 1, 3, 2})
	f.Add([]byte{0, 1, 2, 2, 1, 0, 5, 5, 5})
	f.Fuzz(func(t *testing.T, data []byte) {
		const verts = 16
		if len(data) > 600 {
			data = data[:600]
		}
		vs := make([]mesh.Vec, verts)
		for i := range vs {
			vs[i] = mesh.V(float64(i%4), float64(i/4), float64(i*i%5))
		}
		var ts [][3]int32
		for ; len(data) >= 3; data = data[3:] {
			ts = append(ts, [3]int32{int32(data[0] % verts), int32(data[1] % verts), int32(data[2] % verts)})
		}
		m := mesh.New(vs, ts)
		s := inspect(t, m)
		if err := agree(m, s); err != nil {
			t.Fatal(err)
		}
		// Every triangle has three sides: they come to an even number exactly
		// where the odd edges do.
		if live := s.Triangles - s.DegenerateFaces; (3*live-s.EdgesOdd)%2 != 0 {
			t.Errorf("%d triangles with %d odd edges", live, s.EdgesOdd)
		}
		if s.BoundaryEdges > s.EdgesOdd || s.EdgesOdd > s.BoundaryEdges+s.NonManifoldEdges {
			t.Errorf("odd edges %d, boundary %d, branching %d", s.EdgesOdd, s.BoundaryEdges, s.NonManifoldEdges)
		}
	})
}
