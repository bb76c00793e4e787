package demold

import (
	"math"
	"slices"
	"testing"

	"moldtally/mesh"
	"moldtally/mesh/shape"
)

// armOnHip is a figure of blocks: a body 30 × 20 and 100 high, and an arm 8
// thick that leaves it at the shoulder (z 80 to 90), comes down 12 from its
// side and goes back to it at the hip (z 30 to 40). The opening between arm and
// body is 12 wide, 40 high and 8 deep.
func armOnHip() *mesh.Mesh {
	return shape.Blocks([]float64{0, 30, 42, 50}, []float64{0, 6, 14, 20}, []float64{0, 30, 40, 80, 90, 100},
		func(i, j, k int) bool {
			arm := j == 1 && (i == 1 && (k == 1 || k == 3) || i == 2 && k >= 1 && k <= 3)
			return i == 0 || arm
		})
}

// ringOnStand is a ring set on edge into a block 12 high.
func ringOnStand() *mesh.Mesh {
	ring := shape.Rotate(shape.Torus(30, 8, 96, 48), mesh.V(0, 1, 0), math.Pi/2)
	return shape.Merge(shape.Box(40, 60, 12), shape.Translate(ring, mesh.V(0, 0, 42)))
}

// leaningCone is the undercut at the board of a cone of base radius r whose tip
// stands a past the middle of its base, in depth, and of height h, in volume:
// from above it covers its base and the tangents from the tip to it.
func leaningCone(r, a, h float64) (depth, volume float64) {
	area := float64(r*math.Sqrt(a*a-r*r)) - float64(r*r*math.Acos(r/a))
	return (a - r) * r / a, area * h / 3
}

// wantTunnel is a passage known in closed form.
type wantTunnel struct {
	opening, length, area float64
	at                    mesh.Vec
}

// TestClosedBodies: every figure of bodies that are known in closed form, none
// ignored, without clay: kinds and number of undercuts, depth, path, volume,
// stretch, squeeze, tunnels. NaN and nil
// kinds are not asked, an infinite path is locked.
func TestClosedBodies(t *testing.T) {
	if testing.Short() {
		t.Skip("the short run looks at what runs in parallel, once")
	}
	nan := math.NaN()
	const n = 192
	rz := func(r, z float64) shape.RZ { return shape.RZ{R: r, Z: z} }
	bell := shape.Revolve([]shape.RZ{rz(0, 0), rz(5, 0), rz(5, 40), rz(25, 40), rz(25, 20), rz(30, 20), rz(30, 50), rz(0, 50)}, n)
	// A blind hole across the pull with a bend: an L in plan, so that the way
	// out goes round the inner corner.
	bend := shape.Blocks([]float64{0, 20, 60, 80, 100}, []float64{0, 10, 30, 70, 90, 100}, []float64{0, 40, 60, 100},
		func(i, j, k int) bool { return !(k == 1 && (i == 2 && j >= 1 && j <= 3 || j == 3 && i >= 2)) })
	coneDepth, coneVolume := leaningCone(20, 60, 60)
	inner := func(r float64) float64 { return disc(r, 96) }
	tests := []struct {
		name        string
		m           *mesh.Mesh
		up          mesh.Vec
		depth, path float64
		volume      float64
		stretch     float64
		squeeze     float64
		kinds       []string
		tunnels     []wantTunnel
		slit        float64 // path with every web slit
	}{
		{"mushroom", shape.Mushroom(30, 10, 10, 40, n), up, 20, 20, 40 * (disc(30, n) - disc(10, n)), 2, 0, []string{"neck"}, nil, nan},
		{"dovetail", shape.Dovetail(20, 30, 15, 60), up, 5, 5, 5 * 15 * 60, 180.0/160 - 1, 0, []string{"overhang", "overhang"}, nil, nan},
		{"bottle", shape.Bottle(30, 10, 50, 20, 30, n), up, 0, 0, 0, 0, 0, []string{}, nil, nan},
		// Under the body round the neck, and under the shoulder's cone.
		{"bottle upside down", shape.Bottle(30, 10, 50, 20, 30, n), up.Neg(), 20, 20,
			30*(disc(30, n)-disc(10, n)) + 20*(disc(30, n)-disc(1, n)*(30*30+30*10+10*10)/3), 2, 0, []string{"neck"}, nil, nan},
		{"cone", shape.Cone(20, 50, 96), up, 0, 0, 0, 0, 0, []string{}, nil, nan},
		{"cylinder", shape.Cylinder(20, 50, 96), up, 0, 0, 0, 0, 0, []string{}, nil, nan},
		{"cube", shape.Cube(40), up, 0, 0, 0, 0, 0, []string{}, nil, nan},
		{"flat ring", shape.SquareRing(10, 20, 8, 96), up, 0, 0, 0, 0, 0, []string{}, nil, nan},
		// Under a post that leans the nearest way out is to its side.
		{"leaning post", shape.LeaningPost(20, 60, 45), up, 10, 10, 20 * 45 * 60 / 2, nan, nan, []string{"overhang"}, nil, nan},
		{"bent cross hole", bend, up, 40, math.Hypot(20, 60) + 20, 20 * (20*80 + 20*20), nan, nan, []string{"pocket"}, nil, nan},
		{"waisted post", shape.Waisted(30, 20, 37, n), up, 10, 10, nan, nan, nan, []string{"neck"}, nil, nan},
		{"bell on a post", bell, up, 25, math.Inf(1), 20*(disc(30, n)-disc(5, n)) + 20*(disc(25, n)-disc(5, n)), nan, nan, []string{"neck"}, nil, nan},
		// Torus lying flat, its lower half in its own shadow: depth r both ways.
		{"torus flat", shape.Torus(40, 10, 256, 128), up, 10, 10, 2*math.Pi*40*200 - math.Pi*math.Pi*40*100, nan, nan, nil, nil, nan},
		{"leaning cone", shape.Shear(shape.Cone(20, 60, n), 1), up, coneDepth, coneDepth, coneVolume, 0, 0, []string{"overhang"}, nil, nan},
		{"curved horn", shape.Horn(60, 10, 64, 96), up, 10, 10, nan, nan, 0, []string{"overhang"}, nil, nan},
		{"blind cross hole", shape.CrossHoleCube(100, 12, 98), up, 50, 98, 12 * 12 * 98, 0, 0, []string{"pocket"}, nil, nan},
		{"through cross hole", shape.ThroughHoleCube(100, 12), up, 50, 50, 12 * 12 * 100, 0, 0, []string{"tunnel"},
			[]wantTunnel{{12, 100, 144, mesh.V(0, 0, 50)}}, 50},
		// Inside, the rubber bulges under the shoulder; outside, it narrows at
		// the foot and under the belly.
		{"vase with its inside", shape.Vase(25, 40, 20, 120, 4, n), up, 15, 20, nan, 0.6, 1 - 16.0/36, []string{"pocket", "neck"}, nil, nan},
		{"arch", shape.Arch(60, 20, 50, 15, 35), up, 10, 10, 30 * 20 * 35, 0, 0, []string{"tunnel"},
			[]wantTunnel{{30, 20, 30 * 35, mesh.V(0, 0, 17.5)}}, 10},
		// Three webs slit, the rubber under the table leaves by the fourth side:
		// from the middle of a web, half way along a leg, to the far edge.
		{"table", shape.Table(60, 40, 8, 10), up, 30, 30, 32 * (60*60 - 4*10*10), 0, 0, []string{"tunnel"},
			[]wantTunnel{{32, 10, 40 * 32, mesh.V(25, 0, 16)}, {32, 10, 40 * 32, mesh.V(0, 25, 16)}, {32, 10, 40 * 32, mesh.V(0, -25, 16)}}, 55},
		// The handle is as wide as a facet; its feet stand at 0.2 and 0.8 of the
		// height, 0.15 of it thick, and reach 30 from the facet. The mug is 40
		// round, and its handle's outer face stands 43.5 from the facet.
		{"mug", shape.Mug(40, 90, 4, 30, 48), up, 40 * math.Sin(math.Pi/48), 40 * math.Sin(math.Pi/48), nan, nan, nan, []string{"overhang", "tunnel"},
			[]wantTunnel{{27, 80 * math.Sin(math.Pi/48), 27 * 30, mesh.V(40*math.Cos(math.Pi/48)+15, 0, 45)}}, 40 * math.Sin(math.Pi/48)},
		{"arm on a hip", armOnHip(), up, 4, 4, 12*8*40 + 20*8*30, nan, 0, []string{"overhang", "tunnel"},
			[]wantTunnel{{12, 8, 12 * 40, mesh.V(36, 10, 60)}}, 4},
		{"ring on edge", shape.Torus(30, 8, 192, 96), mesh.V(1, 0, 0), 8, 8, nan, nan, 0, []string{"tunnel", "overhang"},
			[]wantTunnel{{44, 16, disc(22, 192), mesh.V(0, 0, 0)}}, 8},
		// On both sides of the stand the ring leans out.
		{"ring on a stand", ringOnStand(), up, 8, 8, nan, nan, 0, []string{"tunnel", "overhang", "overhang"},
			[]wantTunnel{{44, 16, inner(22), mesh.V(0, 0, 42)}}, 8},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			r := analyze(t, tt.m, tt.up, Options{Clay: ptr(0), Ignore: ptr(0), Resolution: coarse(tt.m)})
			s := tt.m.Size()
			size := max(s.X, s.Y, s.Z)
			tol := 0.003 * size
			check := func(what string, got *float64, want, tol float64) {
				t.Helper()
				switch {
				case math.IsNaN(want):
				case got == nil:
					t.Errorf("%s: got none, want %g", what, want)
				case math.Abs(*got-want) > tol:
					t.Errorf("%s: got %g, want %g within %g", what, *got, want, tol)
				}
			}
			check("depth", &r.UndercutDepth, tt.depth, tol)
			if !math.IsInf(tt.path, 1) {
				check("path", r.UndercutPath, tt.path, tol)
			} else if r.UndercutPath != nil {
				t.Errorf("path: got %g, want locked", *r.UndercutPath)
			}
			check("volume", &r.UndercutVolume, tt.volume, 0.01*tt.volume)
			check("stretch", r.Stretch, tt.stretch, 0.02)
			check("squeeze", &r.Squeeze, tt.squeeze, 0.02)
			var kinds []string
			for _, g := range r.Regions {
				if g.Kind != "minor" {
					kinds = append(kinds, string(g.Kind))
				}
				if h := mesh.V(g.At[0], g.At[1], g.At[2]).Dot(tt.up); math.Abs(r.Field.U.Dot(tt.up)-1) > 1e-9 || g.Height < -1e-9 || g.Height > h+size {
					t.Errorf("region %d: height %g", g.ID, g.Height)
				}
			}
			slices.Sort(kinds) // equally deep ones stand in any order
			slices.Sort(tt.kinds)
			if tt.kinds != nil && !slices.Equal(kinds, tt.kinds) {
				t.Errorf("kinds: got %q, want %q", kinds, tt.kinds)
			}
			if len(r.Regions) > 0 && r.UndercutPathAt != nil && *r.UndercutPathAt != r.Regions[0].At {
				t.Errorf("the deepest path is at %v, the first undercut at %v", *r.UndercutPathAt, r.Regions[0].At)
			}
			if *r.Tunnels != len(tt.tunnels) || len(r.TunnelList) != len(tt.tunnels) {
				t.Fatalf("tunnels: counted %d, listed %d, want %d", *r.Tunnels, len(r.TunnelList), len(tt.tunnels))
			}
			// On a facetted ring the plane that just fits between the crests
			// leans a little: lengths are good to the columns' cell.
			tol = max(tol, r.Uncertainty)
			for k, want := range tt.tunnels {
				got := r.TunnelList[k]
				check("opening", &got.Opening, want.opening, tol)
				check("length", got.Length, want.length, tol)
				check("web", got.WebArea, want.area, 0.003*want.area)
				if len(tt.tunnels) == 1 { // else any of several as wide
					if d := mesh.V(got.At[0], got.At[1], got.At[2]).Sub(want.at).Len(); d > tol {
						t.Errorf("middle: got %v, want %v", got.At, want.at)
					}
				}
				if got.Region == nil || r.Regions[*got.Region-1].Kind != "tunnel" {
					t.Errorf("the tunnel's undercut: got %v of %v", got.Region, r.Regions)
				}
			}
			if len(tt.tunnels) == 0 {
				if r.Webs != nil {
					t.Errorf("webs: got %+v, want none", *r.Webs)
				}
				return
			}
			if r.Webs == nil {
				t.Fatal("no figures with the webs slit")
			}
			if r.Webs.Uncut.Path != nil || !(r.Webs.Uncut.Linked > 0) {
				t.Errorf("uncut: got %+v, want no way out", r.Webs.Uncut)
			}
			check("slit path", r.Webs.Slit.Path, tt.slit, 0.003*size+r.Uncertainty)
			if r.Webs.Slit.Volume != r.UndercutVolume || r.Webs.Slit.Linked != 0 {
				t.Errorf("slit: got %+v", r.Webs.Slit)
			}
		})
	}
}

// TestPassageBends: a tube through a block that turns a square corner is
// followed past it, though not always to its end.
func TestPassageBends(t *testing.T) {
	if testing.Short() {
		t.Skip("the short run looks at what runs in parallel, once")
	}
	// 10 wide and high, from the face x = 100 to the middle and on to y = 100.
	m := shape.Blocks([]float64{0, 45, 55, 100}, []float64{0, 45, 55, 100}, []float64{0, 45, 55, 100},
		func(i, j, k int) bool { return !(k == 1 && (j == 1 && i >= 1 || i == 1 && j >= 1)) })
	r := analyze(t, m, up, Options{Clay: ptr(0), Ignore: ptr(0), Resolution: coarse(m)})
	if len(r.TunnelList) != 1 {
		t.Fatalf("got %d tunnels, want 1", len(r.TunnelList))
	}
	got := r.TunnelList[0]
	if math.Abs(got.Opening-10) > 0.3 {
		t.Errorf("opening: got %g, want 10", got.Opening)
	}
	// Either leg is 45 long to the corner's square; round it 10 more at most.
	if got.Length == nil || *got.Length < 55 || *got.Length > 105 {
		t.Errorf("length: got %v, want more than a leg and at most 100", deref2(got.Length))
	}
}

// TestTunnelsParted: without a board an upright hole is a tunnel, too; there
// are no webs to slit, for it lies along the pull.
func TestTunnelsParted(t *testing.T) {
	if testing.Short() {
		t.Skip("the short run looks at what runs in parallel, once")
	}
	r := analyze(t, shape.SquareRing(15, 25, 12, 96), up, Options{Mold: TwoPart, Resolution: 0.15})
	if len(r.TunnelList) != 1 || r.Webs != nil {
		t.Fatalf("got %d tunnels, webs %v", len(r.TunnelList), r.Webs)
	}
	got := r.TunnelList[0]
	if math.Abs(got.Opening-30*math.Cos(math.Pi/96)) > 0.05 || math.Abs(*got.Length-12) > 0.15 || math.Abs(*got.WebArea-disc(15, 96)) > 1 || got.Region != nil {
		t.Errorf("got %+v, length %g, area %g", got, *got.Length, *got.WebArea)
	}
}

func deref2(n *float64) any {
	if n == nil {
		return nil
	}
	return *n
}
