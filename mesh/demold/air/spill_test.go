package air

import (
	"math"
	"os"
	"slices"
	"testing"

	"moldtally/mesh"
	"moldtally/mesh/demold/scene"
	"moldtally/mesh/shape"
	"moldtally/mesh/shape/real"
	"moldtally/mesh/solid/solidtest"
)

// lattice is a cavity as cubes, for pouring into it drop by drop; nothing of it
// goes by the columns' own flood.
type lattice struct {
	n    [3]int
	h    float64
	what []byte // wall, air, liquid
	open []int  // cubes that are open to the air, where the liquid comes in
}

const (
	wall = iota
	empty
	liquid
)

// newLattice asks of every cube's middle whether it is in the cavity.
func newLattice(lo, hi mesh.Vec, h float64, in func(x, y, z float64) bool) *lattice {
	d := hi.Sub(lo)
	l := &lattice{n: [3]int{int(d.X/h) + 3, int(d.Y/h) + 3, int(d.Z/h) + 3}, h: h}
	l.what = make([]byte, l.n[0]*l.n[1]*l.n[2])
	for k := 1; k < l.n[2]-1; k++ {
		for j := 1; j < l.n[1]-1; j++ {
			for i := 1; i < l.n[0]-1; i++ {
				if in(lo.X+(float64(i)-0.5)*h, lo.Y+(float64(j)-0.5)*h, lo.Z+(float64(k)-0.5)*h) {
					l.what[(k*l.n[1]+j)*l.n[0]+i] = empty
				}
			}
		}
	}
	return l
}

// around calls f for the cubes that a cube touches: those beside it, with corners,
// then those below and above.
func (l *lattice) around(c int, f func(q, rise int)) {
	for dj := -1; dj <= 1; dj++ {
		for di := -1; di <= 1; di++ {
			if di != 0 || dj != 0 {
				f(c+dj*l.n[0]+di, 0)
			}
		}
	}
	f(c-l.n[0]*l.n[1], -1)
	f(c+l.n[0]*l.n[1], 1)
}

// pour fills the lattice through its openings and returns the volume of what stays
// air, in pockets at least two cubes high. Liquid falls and runs level; where it
// can do neither it rises, in all bodies that hang together and have air over them
// that still gets out; the lowest place it can get to fills first. Air that the
// liquid has cut off from the openings stays.
func (l *lattice) pour() float64 {
	high := 0
	for _, c := range l.open {
		high = max(high, c/(l.n[0]*l.n[1]))
	}
	flood := func(seeds []int, into func(from, to, rise int) bool) []bool {
		seen := make([]bool, len(l.what))
		stack := []int{}
		for _, c := range seeds {
			if l.what[c] != wall && !seen[c] {
				seen[c] = true
				stack = append(stack, c)
			}
		}
		for len(stack) > 0 {
			c := stack[len(stack)-1]
			stack = stack[:len(stack)-1]
			l.around(c, func(q, rise int) {
				if l.what[q] != wall && !seen[q] && into(c, q, rise) {
					seen[q] = true
					stack = append(stack, q)
				}
			})
		}
		return seen
	}
	for {
		out := flood(l.open, func(from, to, _ int) bool { return l.what[from] == empty && l.what[to] == empty })
		gets := flood(l.open, func(from, to, rise int) bool {
			if l.what[to] == empty && !out[to] {
				return false
			}
			return l.what[from] == liquid || rise <= 0
		})
		low := -1
		var fill []int
		for c := range l.what { // from below
			if l.what[c] != empty || !gets[c] {
				continue
			}
			k := c / (l.n[0] * l.n[1])
			if low >= 0 && k > low || k > high {
				break
			}
			low = k
			fill = append(fill, c)
		}
		if fill == nil {
			break
		}
		for _, c := range fill {
			l.what[c] = liquid
		}
	}
	caught := 0
	seen := make([]bool, len(l.what))
	for c := range l.what {
		if l.what[c] != empty || seen[c] {
			continue
		}
		part, layers := []int{c}, map[int]bool{}
		seen[c] = true
		for m := 0; m < len(part); m++ {
			layers[part[m]/(l.n[0]*l.n[1])] = true
			l.around(part[m], func(q, _ int) {
				if l.what[q] == empty && !seen[q] {
					seen[q] = true
					part = append(part, q)
				}
			})
		}
		if len(layers) > 1 {
			caught += len(part)
		}
	}
	return float64(caught) * l.h * l.h * l.h
}

// spilled pours into a closed mold of a scene, its sprue standing at a place, with
// the scene's up up; or, without one, rubber over the pattern on its board.
func spilled(c *scene.Scene, sprue *[3]float64, across int) float64 {
	f := c.Field
	span := func(x, y, z float64) bool {
		i, j := int(math.Floor((x-f.X0)/f.Cell)), int(math.Floor((y-f.Y0)/f.Cell))
		if i < 0 || j < 0 || i >= f.NX || j >= f.NY {
			return false
		}
		for _, s := range f.Column(i, j) {
			if s.Bottom <= z && z <= s.Top {
				return true
			}
		}
		return false
	}
	lo := mesh.V(f.X0, f.Y0, c.Base)
	hi := mesh.V(f.X0+float64(f.NX)*f.Cell, f.Y0+float64(f.NY)*f.Cell, c.Top)
	h := c.Size / float64(across)
	if sprue == nil {
		lo, hi = lo.Add(mesh.V(-3*h, -3*h, c.Clay)), hi.Add(mesh.V(3*h, 3*h, 4*h))
		l := newLattice(lo, hi, h, func(x, y, z float64) bool { return !span(x, y, z) })
		top := l.n[2] - 2
		for k := range l.n[0] * l.n[1] {
			if at := top*l.n[0]*l.n[1] + k; l.what[at] == empty {
				l.open = append(l.open, at)
			}
		}
		// What the board shuts in is no rubber.
		in := make([]bool, len(l.what))
		stack := append([]int(nil), l.open...)
		for _, at := range stack {
			in[at] = true
		}
		for len(stack) > 0 {
			at := stack[len(stack)-1]
			stack = stack[:len(stack)-1]
			l.around(at, func(q, _ int) {
				if l.what[q] == empty && !in[q] {
					in[q] = true
					stack = append(stack, q)
				}
			})
		}
		for at := range in {
			if !in[at] {
				l.what[at] = wall
			}
		}
		return l.pour()
	}
	l := newLattice(lo, hi, h, span)
	// The openings are the cubes of the ceiling that has the sprue in it, as high as
	// it to within a cube and together with the one nearest to it.
	x, y, z := f.Plane(mesh.V(sprue[0], sprue[1], sprue[2]))
	best, near := -1, math.Inf(1)
	at := func(c int) (float64, float64, float64) {
		i, j, k := c%l.n[0], c/l.n[0]%l.n[1], c/(l.n[0]*l.n[1])
		return lo.X + (float64(i)-0.5)*h, lo.Y + (float64(j)-0.5)*h, lo.Z + (float64(k)-0.5)*h
	}
	for c, w := range l.what {
		if w == empty {
			cx, cy, cz := at(c)
			if d := math.Hypot(math.Hypot(cx-x, cy-y), cz-z); d < near {
				best, near = c, d
			}
		}
	}
	k0 := best / (l.n[0] * l.n[1])
	in := map[int]bool{best: true}
	l.open = []int{best}
	for m := 0; m < len(l.open); m++ {
		l.around(l.open[m], func(q, _ int) {
			if k := q / (l.n[0] * l.n[1]); l.what[q] == empty && !in[q] && k >= k0 {
				in[q] = true
				l.open = append(l.open, q)
			}
		})
	}
	return l.pour()
}

// TestSpill: pouring drop by drop on a lattice catches what the flood of columns
// says, level, in closed molds and on boards: in some of the made bodies, and with
// MOLDTALLY_SLOW=1, which takes minutes, in all of them, in the samples and in
// scans.
func TestSpill(t *testing.T) {
	if testing.Short() {
		t.Skip("slow twin")
	}
	slow := os.Getenv("MOLDTALLY_SLOW") != ""
	across := 50.0 // cubes
	if slow {
		across = 80
	}
	compare := func(t *testing.T, m *mesh.Mesh, up mesh.Vec, what string, rubber bool) {
		t.Helper()
		mold := scene.TwoPart
		if rubber {
			mold = scene.Block
		}
		size := m.Size()
		longest := max(size.X, size.Y, size.Z)
		c := sceneOf(t, m, up, scene.Options{Mold: mold, Ignore: ptr(2 * longest / across), Resolution: longest / (3 * across)})
		var p *pour
		var got float64
		if rubber {
			p = rubberPour(c, Side{Whole, c.Up, c.Field, c.Space(), c.ClayLine()})
			p.level()
			got = spilled(c, nil, int(across))
		} else {
			p = castingPour(c, c.Field, nil)
			p.level()
			p.tell()
			got = spilled(c, p.rep.SprueAt, int(across))
		}
		want := volume(p.hold)
		t.Logf("%s, %.2g up: flood %.0f, drops %.0f of %.0f mm³", what, up, want, got, c.Field.Volume())
		// A layer of cubes more or less.
		if math.Abs(got-want) > 0.2*max(got, want)+0.005*c.Field.Volume() {
			t.Errorf("%s, %.2g up: by the flood %.0f mm³ are caught, by drops %.0f", what, up, want, got)
		}
	}
	few := []string{"table, a leg short", "dumbbell", "snake", "bent hole", "loop with a horn", "dent that goes up"}
	for _, b := range shape.MadeBodies() {
		if !slow && !slices.Contains(few, b.Name) {
			continue
		}
		t.Run(b.Name, func(t *testing.T) {
			t.Parallel()
			for _, k := range b.Closed {
				compare(t, b.Mesh, k.Up, "shut", false)
			}
			for _, k := range b.Rubber {
				compare(t, b.Mesh, k.Up, "rubber", true)
			}
		})
	}
	if !slow {
		return
	}
	turn := func(t *testing.T, m *mesh.Mesh) {
		s := m.Size()
		k := 100 / max(s.X, s.Y, s.Z)
		m = shape.Scale(m, k, k, k)
		for _, up := range []mesh.Vec{{Z: 1}, {Z: -1}, {X: 1}, {Y: -1}} {
			compare(t, m, up, "shut", false)
			compare(t, m, up, "rubber", true)
		}
	}
	for _, name := range []string{"finial.stl", "heron.ply", "arch.stl"} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			turn(t, solidtest.Sample(t, name))
		})
	}
	for _, name := range []string{"skull.obj", "bust_open_bottom.obj", "springer.obj", "lion_statue_holes.obj", "rabbit_overlapping.obj", "mug.obj"} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			turn(t, solidtest.Read(t, real.File(t, "the air that pours catch in scans", name)))
		})
	}
}
