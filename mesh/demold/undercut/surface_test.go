package undercut_test

import (
	"context"
	"math"
	"reflect"
	"slices"
	"sync"
	"testing"

	"moldtally/mesh"
	"moldtally/mesh/demold/scene"
	"moldtally/mesh/demold/undercut"
	"moldtally/mesh/shape"
	"moldtally/mesh/solid/solidtest"
)

var up = mesh.V(0, 0, 1)

func ptr(x float64) *float64 { return &x }

// surfaceOf asks on columns a 334th of the size wide, unless o says otherwise: a
// depth is good to 0.3 % of the size.
func surfaceOf(t *testing.T, m *mesh.Mesh, u mesh.Vec, o scene.Options) *undercut.Surface {
	t.Helper()
	ctx := context.Background()
	if d := m.Size(); o.Resolution == 0 {
		o.Resolution = max(d.X, d.Y, d.Z) / 334
	}
	c, err := scene.New(ctx, solidtest.Rough(t, m), u, o)
	if err != nil {
		t.Fatal(err)
	}
	found, err := undercut.Find(ctx, c, undercut.Options{})
	if err != nil {
		t.Fatal(err)
	}
	s, err := undercut.OnSurface(ctx, found, undercut.SurfaceOptions{})
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// TestSurface: undercut area and draft against closed figures.
func TestSurface(t *testing.T) {
	if testing.Short() {
		t.Skip("the short run looks at what runs in parallel, once")
	}
	const n = 192
	mush := shape.Mushroom(30, 10, 10, 40, n)
	stem := shape.NgonPerimeter(10, n) * 40
	under := shape.NgonArea(30, n) - shape.NgonArea(10, n)
	side := shape.NgonPerimeter(30, n) * 10
	top := shape.NgonArea(30, n)
	two := shape.Merge(shape.Box(20, 20, 20), shape.Translate(shape.Box(12, 12, 10), mesh.V(10, 0, 0)))
	// A frustum's side by its mean perimeter and the height of its facets.
	r1 := 20 - 40*math.Tan(2*math.Pi/180)
	apothem := math.Cos(math.Pi / n)
	cone := (shape.NgonPerimeter(20, n) + shape.NgonPerimeter(r1, n)) / 2 * math.Hypot(40, (20-r1)*apothem)
	lid := shape.NgonArea(r1, n)
	tests := []struct {
		name  string
		m     *mesh.Mesh
		area  float64
		draft undercut.Draft
	}{
		{"mushroom", mush, stem + under, draftOf(under/(stem+under+side+top), (stem+side)/(stem+under+side+top), 0, top/(stem+under+side+top))},
		{"cone of 2 degrees", shape.Frustum(20, 20-40*math.Tan(2*math.Pi/180), 40, n), 0, draftOf(0, 0, cone/(cone+lid), lid/(cone+lid))},
		// Two boxes pushed into each other: their inner walls do not count.
		{"overlapping boxes", two, 0, draftOf(0, 1720.0/2192, 0, 472.0/2192)},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			r := surfaceOf(t, tt.m, up, scene.Options{Clay: new(float64), Ignore: new(float64)})
			if math.Abs(r.Area-tt.area) > 0.01*tt.area {
				t.Errorf("area: got %g, want %g", r.Area, tt.area)
			}
			draft := r.DraftArea.Shares()
			got := [4]float64{draft.Under0, draft.To1, draft.To3, draft.OverThree}
			want := [4]float64{tt.draft.Under0, tt.draft.To1, tt.draft.To3, tt.draft.OverThree}
			for k := range got {
				if math.Abs(got[k]-want[k]) > 0.005 {
					t.Errorf("draft: got %.5f, want %.5f", got, want)
					break
				}
			}
		})
	}
	// Every vertex of the stem but those at the cap's edge carries a path.
	r := surfaceOf(t, mush, up, scene.Options{Clay: new(float64)})
	for v, p := range mush.Vertices() {
		got := float64(r.VertexPath[v])
		rad := math.Hypot(p.X, p.Y)
		want := 0.0
		if p.Z < 40 && rad > 9 {
			want = 20
		}
		if p.Z < 40 && rad <= 9 || p.Z == 40 {
			continue // on the board, or on an edge whose normal leans
		}
		if math.Abs(got-want) > 0.4 {
			t.Fatalf("vertex %v: got path %g, want %g", p, got, want)
		}
	}
}

// TestDraftAreas: areas by angle against closed forms. On a ball the angle is
// the latitude, so the areas are those of zones, 2πr²(sin b − sin a); a cone's
// side is one angle.
func TestDraftAreas(t *testing.T) {
	if testing.Short() {
		t.Skip("the short run looks at what runs in parallel, once")
	}
	sin := func(deg float64) float64 { return math.Sin(deg * math.Pi / 180) }
	const r = 25.0
	half := 2 * math.Pi * r * r
	const n = 192
	r1 := 20 - 40*math.Tan(2*math.Pi/180)
	side := (shape.NgonPerimeter(20, n) + shape.NgonPerimeter(r1, n)) / 2 * math.Hypot(40, (20-r1)*math.Cos(math.Pi/n))
	ball := shape.Sphere(r, 180) // strips of one degree
	cone := shape.Frustum(20, r1, 40, n)
	steep := 20 * math.Hypot(50, 20) * math.Pi
	for _, tt := range []struct {
		name string
		got  undercut.Draft
		want undercut.Draft
	}{
		{"ball", surfaceOf(t, ball, up, scene.Options{Clay: new(float64), Ignore: new(float64)}).DraftArea, draftOf(half, half*sin(1), half*(sin(3)-sin(1)), half*(1-sin(3)))},
		{"cone of 2°", surfaceOf(t, cone, up, scene.Options{Clay: new(float64)}).DraftArea, draftOf(0, 0, side, shape.NgonArea(r1, n))},
		{"the same on its tip", surfaceOf(t, cone, up.Neg(), scene.Options{Clay: new(float64)}).DraftArea, draftOf(side, 0, 0, shape.NgonArea(20, n))},
		{"steep cone", surfaceOf(t, shape.Cone(20, 50, n), up, scene.Options{Clay: new(float64)}).DraftArea, draftOf(0, 0, 0, steep)},
		// The lowest 10 are in clay.
		{"cone in clay", surfaceOf(t, cone, up, scene.Options{Clay: ptr(10)}).DraftArea, draftOf(0, 0, side*30/40*(20-25*(20-r1)/40)/(20-20*(20-r1)/40), shape.NgonArea(r1, n))},
	} {
		got := [4]float64{tt.got.Under0, tt.got.To1, tt.got.To3, tt.got.OverThree}
		want := [4]float64{tt.want.Under0, tt.want.To1, tt.want.To3, tt.want.OverThree}
		all := want[0] + want[1] + want[2] + want[3]
		for k := range got {
			if math.Abs(got[k]-want[k]) > 0.002*all {
				t.Errorf("%s: got %.1f mm², want %.1f", tt.name, got, want)
				break
			}
		}
	}
}

func draftOf(under0, to1, to3, over float64) undercut.Draft {
	return undercut.Draft{Under0: under0, To1: to1, To3: to3, OverThree: over}
}

// TestVertexRegion: two mushrooms apart, one with a cap 20 mm over its stem,
// one with a cap 8 mm over: each stem is of its own region, the deeper one
// first, and what lets go is of none.
func TestVertexRegion(t *testing.T) {
	const n = 96
	m := shape.Merge(shape.Mushroom(18, 10, 10, 40, n), shape.Translate(shape.Mushroom(30, 10, 10, 40, n), mesh.V(80, 0, 0)))
	r := surfaceOf(t, m, up, scene.Options{Clay: new(float64)})
	if len(r.Regions) != 2 {
		t.Fatalf("got %d regions, want 2", len(r.Regions))
	}
	if len(r.VertexRegion) != len(r.VertexPath) {
		t.Fatalf("got %d regions of vertices for %d paths", len(r.VertexRegion), len(r.VertexPath))
	}
	var most [3]float64
	for v, p := range m.Vertices() {
		id := r.VertexRegion[v]
		if (id == 0) != (r.VertexPath[v] == 0) {
			t.Fatalf("vertex %v: region %d with path %g", p, id, r.VertexPath[v])
		}
		if id == 0 {
			continue
		}
		if want := map[bool]int32{true: 1, false: 2}[p.X > 30]; id != want {
			t.Fatalf("vertex %v: got region %d, want %d", p, id, want)
		}
		most[id] = max(most[id], float64(r.VertexPath[v]))
	}
	for _, g := range r.Regions {
		if math.Abs(most[g.ID]-*g.Path) > 0.34 {
			t.Errorf("region %d: the deepest vertex has %g, the region %g", g.ID, most[g.ID], *g.Path)
		}
	}
	// Under the noise all is one region, the minor one.
	r = surfaceOf(t, shape.Mushroom(10.25, 10, 10, 40, n), up, scene.Options{Clay: new(float64), Ignore: ptr(0.1), Resolution: 0.4})
	if len(r.Regions) != 1 || r.Regions[0].Kind != undercut.Minor {
		t.Fatalf("got %+v, want one minor region", r.Regions)
	}
	if !slices.Contains(r.VertexRegion, 1) {
		t.Error("no vertex is of the minor region")
	}
}

// TestShared: the undercuts stay as they are however many look at the surface with
// them at once, and all see the same.
func TestShared(t *testing.T) {
	ctx := context.Background()
	for _, mold := range []scene.Mold{scene.Block, scene.TwoPart} {
		c, err := scene.New(ctx, solidtest.Rough(t, shape.Mug(40, 90, 4, 30, 48)), up, scene.Options{Mold: mold, Resolution: 1})
		if err != nil {
			t.Fatal(err)
		}
		found := make([]*undercut.Result, 3)
		seen := make([]*undercut.Surface, 3)
		var wg sync.WaitGroup
		for k := range found {
			wg.Go(func() { found[k], _ = undercut.Find(ctx, c, undercut.Options{}) })
		}
		wg.Wait()
		for k := range seen {
			wg.Go(func() {
				seen[k], _ = undercut.OnSurface(ctx, found[0], undercut.SurfaceOptions{Linked: k == 1})
				found[0].Flap()
			})
		}
		wg.Wait()
		for k := range found {
			if !reflect.DeepEqual(found[k], found[0]) {
				t.Errorf("%s: the undercuts differ", mold)
			}
			if k != 1 && !reflect.DeepEqual(seen[k], seen[0]) {
				t.Errorf("%s: the surfaces differ", mold)
			}
		}
	}
}

// TestRegionAt: the rubber in a tunnel is of a region that is one, and what lets
// go is of none.
func TestRegionAt(t *testing.T) {
	ctx := context.Background()
	c, err := scene.New(ctx, solidtest.Rough(t, shape.ThroughHoleCube(100, 12)), up, scene.Options{Resolution: 0.5})
	if err != nil {
		t.Fatal(err)
	}
	u, err := undercut.Find(ctx, c, undercut.Options{})
	if err != nil {
		t.Fatal(err)
	}
	web := [3]float64{0, 0, 50}
	s, err := undercut.OnSurface(ctx, u, undercut.SurfaceOptions{Webs: [][3]float64{web}})
	if err != nil {
		t.Fatal(err)
	}
	if id := s.RegionAt(web); id != 1 || s.Regions[0].Kind != undercut.Tunnel {
		t.Errorf("in the hole: region %d of %+v", id, s.Regions)
	}
	for _, at := range [][3]float64{{0, 0, 20}, {0, 0, 101}, {90, 0, 50}, {900, 0, 0}} {
		if id := s.RegionAt(at); id != 0 {
			t.Errorf("at %v: region %d", at, id)
		}
	}
}
