package mesh_test

import (
	"context"
	"math"
	"slices"
	"testing"

	"moldtally/mesh"
	"moldtally/mesh/shape/real"
	"moldtally/mesh/solid/solidtest"
)

// reference is what independent programs found in the real meshes.
type reference struct {
	File     string
	Topology struct {
		Triangles, Edges int
		Welded           int   `json:"welded_vertices"`
		Collapsed        int   `json:"collapsed_triangles"`
		Duplicates       int   `json:"duplicate_triangles"`
		Boundary         int   `json:"boundary_edges"`
		NonManifold      int   `json:"nonmanifold_edges"`
		Turned           int   `json:"inconsistently_oriented_edges"`
		Odd              int   `json:"edges_with_odd_count"`
		Closed           bool  `json:"closed"`
		EdgeManifold     bool  `json:"edge_manifold"`
		Oriented         bool  `json:"consistently_oriented"`
		Components       int   `json:"components_by_edge"`
		ClosedManifold   int   `json:"closed_components"` // closed and manifold
		Inward           int   `json:"inward_closed_components"`
		Genus            []int `json:"genus_of_closed_consistent_components"`
		GenusTotal       *int  `json:"genus_total"`
	}
	Size    [3]float64
	Figures struct {
		Area    struct{ Value float64 } `json:"surface_area"`
		Volume  struct{ Value float64 } `json:"signed_volume"`
		Crossed *int                    `json:"self_intersecting_triangle_pairs_cgal"`

		MinRect   *struct{ Value float64 } `json:"min_rect_xy_area"`
		MinCircle *struct{ Value float64 } `json:"min_circle_xy"`
		HullXY    *struct{ Value float64 } `json:"footprint_hull_area_xy"`
		Hull      *struct{ Value float64 } `json:"hull_volume"`
		HullArea  *struct{ Value float64 } `json:"hull_area"`
	}
}

func TestInspectRealMeshes(t *testing.T) {
	const unchecked = "counts, areas and volumes of real meshes"
	for _, ref := range real.Figures[reference](t, unchecked) {
		t.Run(ref.File, func(t *testing.T) {
			t.Parallel()
			s := inspect(t, solidtest.Read(t, real.File(t, unchecked, ref.File)))
			want := ref.Topology
			for _, c := range []struct {
				what      string
				got, want int
			}{
				{"triangles", s.Triangles, want.Triangles},
				{"vertices", s.Vertices, want.Welded},
				{"degenerate faces", s.DegenerateFaces, want.Collapsed},
				{"duplicate faces", s.DuplicateFaces, want.Duplicates},
				{"boundary edges", s.BoundaryEdges, want.Boundary},
				{"edges of three or more", s.NonManifoldEdges, want.NonManifold},
				{"turned edges", s.TurnedEdges, want.Turned},
				{"odd edges", s.EdgesOdd, want.Odd},
				{"pieces", len(s.Pieces), want.Components},
			} {
				if c.got != c.want {
					t.Errorf("%s: got %d, want %d", c.what, c.got, c.want)
				}
			}
			if s.Closed != want.Closed {
				t.Errorf("closed: got %t, want %t", s.Closed, want.Closed)
			}
			closed, inward, genus := 0, 0, map[int]int{}
			holes, known := 0, true
			for _, p := range s.Pieces {
				if p.Closed && p.Manifold {
					closed++
					if p.Oriented && p.SignedVolume < 0 {
						inward++
					}
				}
				if p.Closed && p.Genus == nil {
					known = false
				}
				if p.Genus != nil {
					genus[*p.Genus]++
					holes += *p.Genus
				}
			}
			if closed != want.ClosedManifold {
				t.Errorf("closed manifold pieces: got %d, want %d", closed, want.ClosedManifold)
			}
			if inward != want.Inward && want.Oriented {
				t.Errorf("pieces wound inward: got %d, want %d", inward, want.Inward)
			}
			for _, g := range want.Genus {
				genus[g]--
			}
			for g, n := range genus {
				if n != 0 && len(want.Genus) > 0 {
					t.Errorf("genus %d: %d pieces more than wanted", g, n)
				}
			}
			// The reference sums over the sound pieces whatever the others are;
			// here an unsound closed piece makes the sum unknown.
			if want.GenusTotal != nil && known && (s.ThroughHoles == nil || *s.ThroughHoles != *want.GenusTotal) {
				t.Errorf("through holes: got %v, want %d", deref(s.ThroughHoles), *want.GenusTotal)
			}
			if (s.ThroughHoles != nil) != (known && closed > 0) {
				t.Errorf("through holes: got %v with %d sound closed pieces, all sound: %t", deref(s.ThroughHoles), closed, known)
			}

			// The ASCII PLY was read into 32 bits by the reference: its figures
			// are rounded so.
			rel := 1e-12
			if ref.File == "bunny_decimated_bad.ply" {
				rel = 1e-7
			}
			for k, got := range s.Size.Array() {
				if !within(got, ref.Size[k], rel, ref.Size[k]) {
					t.Errorf("size: got %v, want %v", s.Size, ref.Size)
				}
			}
			if got, want := s.Area, ref.Figures.Area.Value; !within(got, want, rel, want) {
				t.Errorf("area: got %.15g, want %.15g, off by %.2g", got, want, got/want-1)
			}
			// The volume may cancel: its rounding is a share of area times size.
			got, v := s.SignedVolume, ref.Figures.Volume.Value
			if d := s.Size.Len(); math.Abs(got-v) > rel*math.Abs(v)+1e-16*s.Area*d {
				t.Errorf("signed volume: got %.15g, want %.15g, off by %.2g", got, v, got-v)
			}
		})
	}
}

// splitFans gives every fan of triangles at a vertex a vertex of its own, as
// programs must that keep surfaces as half-edges.
func splitFans(t *testing.T, m *mesh.Mesh) *mesh.Mesh {
	a, err := mesh.Edges(context.Background(), m, nil)
	if err != nil {
		t.Fatal(err)
	}
	vs := slices.Clone(m.Vertices())
	ts := slices.Clone(m.Triangles())
	var uses []mesh.Use
	for v := range int32(m.NumVertices()) {
		left := slices.Clone(a.Around(v))
		for first := true; len(left) > 0; first = false {
			fan := left[:1:1]
			for k := 0; k < len(fan); k++ {
				for _, w := range m.Triangles()[fan[k]] {
					if w == v {
						continue
					}
					uses = a.Uses(v, w, uses)
					for _, u := range uses {
						if !slices.Contains(fan, u.Tri) {
							fan = append(fan, u.Tri)
						}
					}
				}
			}
			left = slices.DeleteFunc(left, func(t int32) bool { return slices.Contains(fan, t) })
			if first {
				continue
			}
			vs = append(vs, m.Vertices()[v])
			for _, f := range fan {
				for k := range 3 {
					if m.Triangles()[f][k] == v {
						ts[f][k] = int32(len(vs) - 1)
					}
				}
			}
		}
	}
	return mesh.New(vs, ts)
}

// TestCrossingsRealMeshes compares with the counts of an exact library. That
// one splits vertices until every edge has two triangles and every vertex one
// fan, and then counts what touched at the vertex or edge before as crossing:
// the fans can be split here as well, and then the counts are equal; where an
// edge has three triangles or more, its count is only a bound. Of a triangle
// without area it says that it crosses itself, and nothing more.
func TestCrossingsRealMeshes(t *testing.T) {
	const unchecked = "crossings of real meshes"
	for _, ref := range real.Figures[reference](t, unchecked) {
		if ref.Figures.Crossed == nil {
			continue
		}
		t.Run(ref.File, func(t *testing.T) {
			t.Parallel()
			m := solidtest.Read(t, real.File(t, unchecked, ref.File))
			if testing.Short() && m.NumTriangles() > 10_000 {
				t.Skip("a large mesh, looked at in the full run")
			}
			want := *ref.Figures.Crossed
			read := crossings(t, m)
			whole := read.Pairs
			if !ref.Topology.EdgeManifold {
				if whole > want || whole == 0 {
					t.Errorf("crossing pairs: got %d, want some and at most %d", whole, want)
				}
				return
			}
			split := splitFans(t, m)
			flat, flats := make([]bool, m.NumTriangles()), 0
			for i := range flat {
				a, b, c := m.Corners(i)
				n := b.Sub(a).Cross(c.Sub(a))
				if m.Collapsed(i) || n.Len() > 1e-9*a.Sub(b).Len()*a.Sub(c).Len() {
					continue
				}
				if o := ratOf(a); ratOf(b).sub(o).cross(ratOf(c).sub(o)).zero() {
					flat[i] = true
					flats++
				}
			}
			c, err := mesh.SelfCrossings(context.Background(), split, flat, nil)
			if err != nil {
				t.Fatal(err)
			}
			if got := c.Pairs + flats; got != want {
				t.Errorf("crossing pairs: got %d and %d without area, want %d in all; %d as read", c.Pairs, flats, want, whole)
			}
			if whole > 200 || testing.Short() {
				return
			}
			// All that cross are among the triangles involved: the slow twin
			// must find as many there.
			slow := 0
			for i, s := range read.Triangles {
				for _, u := range read.Triangles[:i] {
					if boxesApart(m, int(s), int(u)) {
						continue
					}
					if slowCross(m, int(s), int(u)) {
						slow++
					}
				}
			}
			if slow != whole {
				t.Errorf("crossing pairs: got %d, the slow twin finds %d", whole, slow)
			}
		})
	}
}

// Outlines and hulls of real meshes are what other programs found.
func TestHullsRealMeshes(t *testing.T) {
	const unchecked = "outlines and hulls of real meshes"
	for _, ref := range real.Figures[reference](t, unchecked) {
		t.Run(ref.File, func(t *testing.T) {
			t.Parallel()
			m := solidtest.Read(t, real.File(t, unchecked, ref.File))
			// An ASCII PLY was read into 32 bits by the reference.
			rel := 1e-9
			if ref.File == "bunny_decimated_bad.ply" {
				rel = 1e-6
			}
			h := mesh.OutlinePoints(m, nil, mesh.V(0, 0, 1))
			hull, err := mesh.Hull3(context.Background(), m.Vertices())
			if err != nil {
				t.Fatal(err)
			}
			whole := inspect(t, hull)
			for _, c := range []struct {
				what string
				got  float64
				want *struct{ Value float64 }
			}{
				{"least rectangle", mesh.MinRect(h).Area(), ref.Figures.MinRect},
				{"least circle", mesh.MinCircle(h).Radius, ref.Figures.MinCircle},
				{"area of the outline's hull", mesh.AreaOf(h), ref.Figures.HullXY},
				{"volume of the hull", whole.SignedVolume, ref.Figures.Hull},
				{"area of the hull", whole.Area, ref.Figures.HullArea},
			} {
				if c.want != nil && !within(c.got, c.want.Value, rel, c.want.Value) {
					t.Errorf("%s: got %.12g, want %.12g", c.what, c.got, c.want.Value)
				}
			}
		})
	}
}

func boxesApart(m *mesh.Mesh, s, t int) bool {
	a, b, c := m.Corners(s)
	d, e, f := m.Corners(t)
	lo, hi := a.Min(b).Min(c), a.Max(b).Max(c)
	lo2, hi2 := d.Min(e).Min(f), d.Max(e).Max(f)
	return lo.X > hi2.X || lo2.X > hi.X || lo.Y > hi2.Y || lo2.Y > hi.Y || lo.Z > hi2.Z || lo2.Z > hi.Z
}
