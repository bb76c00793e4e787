package undercut

import (
	"math"
	"math/rand/v2"
	"testing"

	"moldtally/mesh"
	"moldtally/mesh/demold/scene"
	"moldtally/mesh/shape"
	"moldtally/mesh/solid/solidtest"
)

// rooms is a block of random bricks, some of its courses thin: full of rooms,
// passages and ledges.
func rooms(seed uint64) *mesh.Mesh {
	r := rand.New(rand.NewPCG(seed, 7))
	grown := func(n int, least, most float64) []float64 {
		x := []float64{0}
		for range n {
			x = append(x, x[len(x)-1]+least+(most-least)*r.Float64())
		}
		return x
	}
	xs, ys, zs := grown(6, 4, 9), grown(6, 4, 9), []float64{0}
	for n := range 8 {
		high := 3 + 5*r.Float64()
		if n%3 == 1 {
			high = 0.2 + 0.3*r.Float64()
		}
		zs = append(zs, zs[n]+high)
	}
	full := make([]bool, 6*6*8)
	for n := range full {
		full[n] = r.Float64() < 0.42
	}
	// Bricks that touch along an edge alone leave a passage of no width: fill it.
	at := func(p [3]int) *bool { return &full[(p[2]*6+p[1])*6+p[0]] }
	for again := true; again; {
		again = false
		for n := range full {
			p := [3]int{n % 6, n / 6 % 6, n / 36}
			for a := range 3 {
				b := (a + 1) % 3
				q, r, s := p, p, p
				q[a]++
				r[b]++
				s[a], s[b] = s[a]+1, s[b]+1
				if size := [3]int{6, 6, 8}; s[a] >= size[a] || s[b] >= size[b] {
					continue
				}
				if *at(p) == *at(s) && *at(q) == *at(r) && *at(p) != *at(q) {
					*at(p), *at(q) = true, true
					again = true
				}
			}
		}
	}
	return shape.Blocks(xs, ys, zs, func(i, j, k int) bool { return full[(k*6+j)*6+i] })
}

// TestUpsideDown: halves part as well whichever of them is the upper one. A way
// out that is long at a thin height only, between the levels that are looked at
// first, once moved the parting to where it is half as long again.
func TestUpsideDown(t *testing.T) {
	for seed := range uint64(3) {
		s := solidtest.Rough(t, rooms(seed))
		o := scene.Options{Mold: scene.TwoPart, Resolution: 0.4}
		a, b := undercutsOf(t, s, up, o), undercutsOf(t, s, up.Neg(), o)
		switch sure := a.Scene.Uncertainty + b.Scene.Uncertainty; {
		case (a.Path == nil) != (b.Path == nil):
			t.Errorf("seed %d: locked %v, upside down %v (%g and %g mm³)", seed, a.Path == nil, b.Path == nil, a.Locked, b.Locked)
		case a.Path != nil && math.Abs(*a.Path-*b.Path) > sure:
			t.Errorf("seed %d: path %g, upside down %g", seed, *a.Path, *b.Path)
		case math.Abs(a.Locked-b.Locked) > 0.03*a.Locked+leastLock:
			t.Errorf("seed %d: shut in %g mm³, upside down %g", seed, a.Locked, b.Locked)
		}
	}
}

// TestDoubt: a way out that is long at one height only is known no better than
// that height; one that is as long all the way up is known to within a cell.
func TestDoubt(t *testing.T) {
	none := 0.0
	for _, high := range []float64{0.1, 10} {
		m := shape.Blocks([]float64{0, 10, 30, 40}, []float64{0, 15, 19.4, 20.6, 25, 40}, []float64{0, 10, 10 + high, 30},
			func(i, j, k int) bool { return k != 1 || (i != 1 || j < 1 || j > 3) && (i != 2 || j != 2) })
		u := undercutsOf(t, solidtest.Rough(t, m), up, scene.Options{Clay: &none, Resolution: 0.4})
		if want := 10 + math.Hypot(20, 4.4); u.Path == nil || math.Abs(*u.Path-want) > 1.5 {
			t.Fatalf("%g mm high: path %v, want %g", high, u.Path, want)
		}
		want := u.Scene.Uncertainty
		if high < want {
			want = *u.Path / 3
		}
		if math.Abs(u.Uncertainty-want) > 1e-9 {
			t.Errorf("%g mm high: uncertainty %g, want %g", high, u.Uncertainty, want)
		}
	}
}

// curtain is a roof on a back wall, the room under it shut off by a thin wall but for
// a door at its far end; lip is how far the door ends below the roof, mm. A window in
// the wall is open up to the lip as well, if there is one.
func curtain(thick, lip float64, window bool) *mesh.Mesh {
	return shape.Blocks([]float64{0, thick, 20, 25}, []float64{0, thick, 4, 8, 30, 40, 40 + thick}, []float64{0, 5, 15 - lip, 15, 20}, func(i, j, k int) bool {
		switch {
		case k == 0 || k == 3 || i == 2 || j == 0 || j == 5:
			return true
		case i == 1:
			return false
		case j == 4: // the door
			return false
		}
		return !window || j != 2 || k == 2
	})
}

// TestThinWall: a wall of the pattern little thicker than the columns are wide leads
// the way out round it, at whatever angle it stands to them.
func TestThinWall(t *testing.T) {
	const thick = 0.3
	m := curtain(thick, 1, false)
	want := math.Hypot(20-thick, 30-thick) + thick
	s := solidtest.Rough(t, shape.Rotate(m, mesh.V(0, 0, 1), math.Pi/9))
	u := undercutsOf(t, s, up, scene.Options{Resolution: 0.3})
	if u.Path == nil || math.Abs(*u.Path-want) > 2*u.Uncertainty {
		t.Errorf("path %g, want %g", u.Reach(), want)
	}
}

// TestLasts: where a window is shut in the last fifth of a millimetre under the roof,
// the rubber there goes out below its lip; a lip of two millimetres is in its way.
func TestLasts(t *testing.T) {
	const thick = 2.0
	far := math.Hypot(20-thick, 30-thick) + thick  // from the near corner to the door
	near := math.Hypot(20-thick, (30-8)/2) + thick // from between door and window
	for _, tt := range []struct{ lip, want float64 }{{0.2, near}, {2, far}} {
		for n, cell := range []float64{0.4, 0.6} {
			turn, axis := float64(n)*5*math.Pi/180, mesh.V(1, 2, 0.5).Unit()
			s := solidtest.Rough(t, shape.Rotate(curtain(thick, tt.lip, true), axis, turn))
			u := undercutsOf(t, s, rotated(up, axis, turn), scene.Options{Resolution: cell})
			if u.Path == nil || math.Abs(*u.Path-tt.want) > 2*u.Uncertainty {
				t.Errorf("lip of %g mm, cells of %g: path %g, want %g (give or take %g)", tt.lip, cell, u.Reach(), tt.want, u.Uncertainty)
			}
		}
	}
}
