package pose

import (
	"cmp"
	"context"
	"math"
	"os"
	"slices"
	"testing"
	"time"

	"moldtally/mesh"
	"moldtally/mesh/demold/scene"
	"moldtally/mesh/par"
	"moldtally/mesh/shape"
	"moldtally/mesh/shape/real"
	"moldtally/mesh/solid/solidtest"
)

// What follows is a second, plain way to the undercut, which shares nothing
// with the package but the list of triangles: cubes filled by casting rays,
// a flood for the rubber, and on every layer Dijkstra's shortest ways over
// sixteen neighbours. It is coarse and slow.

// cubes is a body cut into cubes along a direction.
type cubes struct {
	nx, ny, nz int
	side       float64 // of a cube, mm
	solid      []bool  // nz layers of ny rows of nx
}

// pass is where a ray enters (1) or leaves (-1) a body.
type pass struct {
	z float64
	w int
}

// bruteCubes fills cubes of a side by casting a ray through the middle of each
// column. Layers begin at from above the lowest point. The body is where the
// windings of what the ray has passed do not add up to nothing.
func bruteCubes(tris [][3]mesh.Vec, u mesh.Vec, side float64, from func(height float64) float64) *cubes {
	e1 := u.Cross(mesh.V(0.3, 0.9, -0.2))
	if e1.Len() < 0.2 {
		e1 = u.Cross(mesh.V(0.9, -0.1, 0.3))
	}
	e1 = e1.Unit()
	e2 := u.Cross(e1)
	lo := mesh.V(math.Inf(1), math.Inf(1), math.Inf(1))
	hi := lo.Neg()
	in := make([][3]mesh.Vec, len(tris))
	for n, t := range tris {
		for k, p := range t {
			q := mesh.V(p.Dot(e1), p.Dot(e2), p.Dot(u))
			in[n][k], lo, hi = q, lo.Min(q), hi.Max(q)
		}
	}
	z0 := lo.Z + from(hi.Z-lo.Z)
	c := &cubes{side: side}
	// Two empty columns all round, and a crooked start, so that no ray runs
	// along a wall.
	x0, y0 := lo.X-2.4142*side, lo.Y-2.2361*side
	c.nx, c.ny = int((hi.X-x0)/side)+4, int((hi.Y-y0)/side)+4
	c.nz = max(int(math.Ceil((hi.Z-z0)/side)), 1)
	c.solid = make([]bool, c.nx*c.ny*c.nz)
	for k, hits := range c.rays(in, x0, y0) {
		c.fill(k, hits, z0)
	}
	return c
}

// rays casts a ray up through the middle of each column; x0, y0 is the corner of
// the first.
func (c *cubes) rays(tris [][3]mesh.Vec, x0, y0 float64) [][]pass {
	side := c.side
	hits := make([][]pass, c.nx*c.ny)
	for _, t := range tris {
		a, b, d := t[0], t[1], t[2]
		den := (b.X-a.X)*(d.Y-a.Y) - (d.X-a.X)*(b.Y-a.Y)
		if den == 0 {
			continue
		}
		w := 1
		if den > 0 {
			w = -1
		}
		i0 := int(math.Ceil((min(a.X, b.X, d.X)-x0)/side - 0.5))
		i1 := int(math.Floor((max(a.X, b.X, d.X)-x0)/side - 0.5))
		j0 := int(math.Ceil((min(a.Y, b.Y, d.Y)-y0)/side - 0.5))
		j1 := int(math.Floor((max(a.Y, b.Y, d.Y)-y0)/side - 0.5))
		for j := max(j0, 0); j <= min(j1, c.ny-1); j++ {
			for i := max(i0, 0); i <= min(i1, c.nx-1); i++ {
				x, y := x0+(float64(i)+0.5)*side, y0+(float64(j)+0.5)*side
				p := ((x-a.X)*(d.Y-a.Y) - (d.X-a.X)*(y-a.Y)) / den
				q := ((b.X-a.X)*(y-a.Y) - (x-a.X)*(b.Y-a.Y)) / den
				if p < 0 || q < 0 || p+q > 1 {
					continue
				}
				hits[j*c.nx+i] = append(hits[j*c.nx+i], pass{a.Z + p*(b.Z-a.Z) + q*(d.Z-a.Z), w})
			}
		}
	}
	return hits
}

// fill fills the cubes of column k between a ray's passes; layers begin at z0.
func (c *cubes) fill(k int, hits []pass, z0 float64) {
	slices.SortFunc(hits, func(a, b pass) int { return cmp.Or(cmp.Compare(a.z, b.z), b.w-a.w) })
	w := 0
	for n := 0; n+1 < len(hits); n++ {
		w += hits[n].w
		for l := 0; w != 0 && l < c.nz; l++ {
			if z := z0 + (float64(l)+0.5)*c.side; z > hits[n].z && z < hits[n+1].z {
				c.solid[l*c.nx*c.ny+k] = true
			}
		}
	}
}

// turned is the same body upside down.
func (c *cubes) turned() *cubes {
	d := &cubes{c.nx, c.ny, c.nz, c.side, make([]bool, len(c.solid))}
	n := c.nx * c.ny
	for l := range c.nz {
		copy(d.solid[l*n:(l+1)*n], c.solid[(c.nz-1-l)*n:(c.nz-l)*n])
	}
	return d
}

// rubber marks what the open air above and around reaches, and with below
// also from underneath.
func (c *cubes) rubber(below bool) []bool {
	n := c.nx * c.ny
	seen := make([]bool, len(c.solid))
	var stack []int
	push := func(k int) {
		if !c.solid[k] && !seen[k] {
			seen[k] = true
			stack = append(stack, k)
		}
	}
	for k := range n {
		push((c.nz-1)*n + k)
		if below {
			push(k)
		}
	}
	for l := range c.nz { // the margin
		push(l * n)
	}
	for len(stack) > 0 {
		k := stack[len(stack)-1]
		stack = stack[:len(stack)-1]
		l, j, i := k/n, k%n/c.nx, k%c.nx
		if i > 0 {
			push(k - 1)
		}
		if i+1 < c.nx {
			push(k + 1)
		}
		if j > 0 {
			push(k - c.nx)
		}
		if j+1 < c.ny {
			push(k + c.nx)
		}
		if l > 0 {
			push(k - n)
		}
		if l+1 < c.nz {
			push(k + n)
		}
	}
	return seen
}

// bruteQueue is a heap of cells by distance.
type bruteQueue []struct {
	d float64
	k int
}

func (q *bruteQueue) push(d float64, k int) {
	h := append(*q, struct {
		d float64
		k int
	}{d, k})
	for n := len(h) - 1; n > 0 && h[n].d < h[(n-1)/2].d; n = (n - 1) / 2 {
		h[n], h[(n-1)/2] = h[(n-1)/2], h[n]
	}
	*q = h
}

func (q *bruteQueue) pop() (float64, int) {
	h := *q
	top := h[0]
	h[0] = h[len(h)-1]
	h = h[:len(h)-1]
	for n := 0; 2*n+1 < len(h); {
		c := 2*n + 1
		if c+1 < len(h) && h[c+1].d < h[c].d {
			c++
		}
		if h[n].d <= h[c].d {
			break
		}
		h[n], h[c] = h[c], h[n]
		n = c
	}
	*q = h
	return top.d, top.k
}

// layers returns for every layer, from below, the deepest way out of its
// undercut rubber, mm (+Inf where some has none), and its undercut area, mm².
// What is shut in and nowhere three cubes wide is not resolved and not counted.
func (c *cubes) layers(rubber []bool) (deep, area []float64) {
	n := c.nx * c.ny
	deep, area = make([]float64, c.nz), make([]float64, c.nz)
	above := make([]bool, n) // body above
	for l := c.nz - 1; l >= 0; l-- {
		y := &layer{cubes: c, body: c.solid[l*n : (l+1)*n], rubber: rubber[l*n : (l+1)*n], dist: make([]float64, n)}
		for k := range n {
			y.dist[k] = math.Inf(1)
			switch {
			case y.body[k] || !y.rubber[k]:
			case !above[k]:
				y.dist[k] = 0
			default:
				y.undercut = append(y.undercut, k)
				area[l] += c.side * c.side
			}
		}
		y.waysOut()
		deep[l] = y.deepest()
		for k := range n {
			above[k] = above[k] || y.body[k]
		}
	}
	return deep, area
}

// layer is one layer of cubes, with the ways out of it.
type layer struct {
	*cubes
	body, rubber []bool
	undercut     []int     // cells of rubber with body above
	dist         []float64 // way out, mm; 0 where there is nothing above
}

func (y *layer) free(i, j int) bool {
	return i >= 0 && j >= 0 && i < y.nx && j < y.ny && !y.body[j*y.nx+i]
}

// reach calls f for the cells that one straight step leads to.
func (y *layer) reach(k int, f func(e int, w float64)) {
	i, j := k%y.nx, k/y.nx
	for dj := -2; dj <= 2; dj++ {
		for di := -2; di <= 2; di++ {
			a, b := max(di, -di), max(dj, -dj)
			if a+b == 0 || a == 2 && b != 1 || b == 2 && a != 1 || !y.free(i+di, j+dj) {
				continue
			}
			// Neither cut a corner nor jump a wall.
			if a == 1 && b == 1 && !(y.free(i+di, j) && y.free(i, j+dj)) {
				continue
			}
			if a == 2 && !(y.free(i+di/2, j) && y.free(i+di/2, j+dj)) || b == 2 && !(y.free(i, j+dj/2) && y.free(i+di, j+dj/2)) {
				continue
			}
			f((j+dj)*y.nx+i+di, y.side*math.Sqrt(float64(a*a+b*b)))
		}
	}
}

// waysOut fills in the shortest ways of the undercut cells.
func (y *layer) waysOut() {
	var q bruteQueue
	for _, k := range y.undercut {
		y.reach(k, func(e int, w float64) {
			if y.dist[e] == 0 {
				y.dist[k] = min(y.dist[k], w)
			}
		})
		if !math.IsInf(y.dist[k], 1) {
			q.push(y.dist[k], k)
		}
	}
	for len(q) > 0 {
		d, k := q.pop()
		if d > y.dist[k] {
			continue
		}
		y.reach(k, func(e int, w float64) {
			if d+w < y.dist[e]-1e-9 && y.rubber[e] {
				y.dist[e] = d + w
				q.push(d+w, e)
			}
		})
	}
}

// deepest is the longest way out, mm.
func (y *layer) deepest() (deep float64) {
	for _, k := range y.undercut {
		if !math.IsInf(y.dist[k], 1) {
			deep = max(deep, y.dist[k])
			continue
		}
		wide := true
		for dj := -1; dj <= 1; dj++ {
			for di := -1; di <= 1; di++ {
				wide = wide && y.free(k%y.nx+di, k/y.nx+dj)
			}
		}
		if wide {
			return math.Inf(1)
		}
	}
	return deep
}

// bruteScore is path, mm, and undercut volume, mm³, of a direction.
type bruteScore struct{ path, volume float64 }

func brute(tris [][3]mesh.Vec, u mesh.Vec, mold scene.Mold, side float64) bruteScore {
	if mold.OnBoard() {
		c := bruteCubes(tris, u, side, scene.ClayDefault)
		deep, area := c.layers(c.rubber(false))
		s := bruteScore{path: slices.Max(deep)}
		for _, a := range area {
			s.volume += a * side
		}
		return s
	}
	c := bruteCubes(tris, u, side, func(float64) float64 { return 0 })
	r := c.rubber(true)
	up, upArea := c.layers(r)
	d := c.turned()
	n := c.nx * c.ny
	rd := make([]bool, len(r))
	for l := range c.nz {
		copy(rd[l*n:(l+1)*n], r[(c.nz-1-l)*n:(c.nz-l)*n])
	}
	down, downArea := d.layers(rd)
	best := bruteScore{math.Inf(1), math.Inf(1)}
	for h := 0; h <= c.nz; h++ { // layers h and above lift, the others stay
		var s bruteScore
		for l := range c.nz {
			if l >= h {
				s.path = max(s.path, up[l])
				s.volume += upArea[l] * side
			} else {
				s.path = max(s.path, down[c.nz-1-l])
				s.volume += downArea[c.nz-1-l] * side
			}
		}
		if s.path < best.path || s.path == best.path && s.volume < best.volume {
			best = s
		}
	}
	return best
}

// TestBruteKnown: the second way finds what is known in closed form.
func TestBruteKnown(t *testing.T) {
	if testing.Short() {
		t.Skip("it only serves the slow test below")
	}
	cube := shape.CrossHoleCube(60, 20, 50)
	for _, tt := range []struct {
		name   string
		m      *mesh.Mesh
		mold   scene.Mold
		path   float64
		volume float64
	}{
		{"mushroom", shape.Mushroom(30, 10, 10, 40, 96), scene.Block, 20, math.Pi * (900 - 100) * 39.5},
		{"cone", shape.Cone(20, 60, 96), scene.Block, 0, 0},
		{"sphere in two", shape.Sphere(25, 48), scene.TwoPart, 0, 0},
		{"blind hole across", cube, scene.Block, math.Inf(1), 20 * 20 * 50},
	} {
		u := mesh.V(0, 0, 1)
		size := tt.m.Size()
		side := max(size.X, size.Y, size.Z) / 80
		got := brute(triangleList(tt.m), u, tt.mold, side)
		if got.path != tt.path && math.Abs(got.path-tt.path) > 1.5*side+0.03*tt.path {
			t.Errorf("%s: path %.2f, want %.2f", tt.name, got.path, tt.path)
		}
		if math.Abs(got.volume-tt.volume) > 0.05*tt.volume+1000*side {
			t.Errorf("%s: volume %.0f, want %.0f", tt.name, got.volume, tt.volume)
		}
	}
}

func triangleList(m *mesh.Mesh) [][3]mesh.Vec {
	out := make([][3]mesh.Vec, 0, m.NumTriangles())
	for t := range m.NumTriangles() {
		a, b, c := m.Corners(t)
		out = append(out, [3]mesh.Vec{a, b, c})
	}
	return out
}

// bruteAll scores directions, in parallel.
func bruteAll(tris [][3]mesh.Vec, dirs []mesh.Vec, mold scene.Mold, side float64) []bruteScore {
	out := make([]bruteScore, len(dirs))
	par.Quick(len(dirs), func(k int) { out[k] = brute(tris, dirs[k], mold, side) })
	return out
}

// crossedMushrooms is two mushrooms that grow out of each other at a right angle:
// there is no way without an undercut.
func crossedMushrooms() *mesh.Mesh {
	m := shape.Mushroom(20, 8, 8, 40, 32)
	return shape.Stand(shape.Merge(m, shape.Rotate(m, mesh.V(0.1, 1, 0).Unit(), math.Pi/2)), turnedAxis)
}

// searchedBody is a body that a search is held against the second way on.
type searchedBody struct {
	name string
	mesh func(t testing.TB) *mesh.Mesh
	mold scene.Mold
	near *mesh.Vec // the choice must be within 3° of it
}

func made(m *mesh.Mesh) func(testing.TB) *mesh.Mesh {
	return func(testing.TB) *mesh.Mesh { return m }
}

func sample(name string) func(testing.TB) *mesh.Mesh {
	return func(t testing.TB) *mesh.Mesh { return solidtest.Sample(t, name) }
}

func collected(name string) func(testing.TB) *mesh.Mesh {
	return func(t testing.TB) *mesh.Mesh {
		return solidtest.Read(t, real.File(t, "the search for the way up of a real mug against brute force", name))
	}
}

var (
	turnedAxis = mesh.V(0.36, -0.48, 0.8)
	fewBodies  = []searchedBody{ // in every run
		{"hook", made(shape.Rotate(shape.Hook(12, 40, 60, 25, 10), mesh.V(1, 2, 3).Unit(), 0.7)), scene.Block, nil},
		{"crossed mushrooms", made(crossedMushrooms()), scene.Block, nil},
		{"crossed mushrooms in two", made(crossedMushrooms()), scene.TwoPart, nil},
	}
	moreBodies = []searchedBody{
		{"wells", made(shape.Stand(wells(), turnedAxis)), scene.Block, &turnedAxis},
		{"bottle", made(shape.Stand(shape.Bottle(30, 12, 50, 20, 30, 48), turnedAxis)), scene.TwoPart, nil},
		{"horn", made(shape.Horn(60, 12, 24, 32)), scene.Block, nil},
		{"horn in two", made(shape.Horn(60, 12, 24, 32)), scene.TwoPart, nil},
		{"mug", made(shape.Stand(shape.Mug(40, 90, 4, 30, 48), turnedAxis)), scene.Block, nil},
		{"heron", sample("heron.ply"), scene.Block, nil},
		{"heron in two", sample("heron.ply"), scene.TwoPart, nil},
		{"finial", sample("finial.stl"), scene.Block, nil},
		{"mug.obj", collected("mug.obj"), scene.Block, nil},
		{"mug.obj in two", collected("mug.obj"), scene.TwoPart, nil},
	}
)

// TestSearchAgainstBruteReduced is TestSearchAgainstBrute on few bodies, few
// directions and large cubes: some seconds, in every run.
func TestSearchAgainstBruteReduced(t *testing.T) {
	if testing.Short() {
		t.Skip("the short run looks at what runs in parallel, once")
	}
	for _, b := range fewBodies {
		t.Run(b.name, func(t *testing.T) { holdAgainstBrute(t, b, 240, 20, 40, 80) })
	}
}

// TestSearchAgainstBrute: over 2,000 directions none has a path that is
// shorter than that of the search's choice by more than the uncertainty, and
// none as short has much less undercut. It takes minutes: set MOLDTALLY_SLOW=1.
func TestSearchAgainstBrute(t *testing.T) {
	if os.Getenv("MOLDTALLY_SLOW") == "" {
		t.Skip("set MOLDTALLY_SLOW=1 to run it; TestSearchAgainstBruteReduced runs always")
	}
	for _, b := range slices.Concat(fewBodies, moreBodies) {
		t.Run(b.name, func(t *testing.T) { holdAgainstBrute(t, b, 2000, 36, 90, 0) })
	}
}

// holdAgainstBrute judges so many directions on large cubes, coarse of them across
// the largest size, and what may be among the best, and the search's choice, on
// small ones, fine of them. The search measures its best on so many columns, 0 = as
// in a report. The uncertainty of a path is two small cubes (one at
// each end) and 2.7 % of it, which is what sixteen neighbours overstate it by at
// most.
func holdAgainstBrute(t *testing.T, b searchedBody, directions, coarse, fine, columns int) {
	m := b.mesh(t)
	s := m.Size()
	size := max(s.X, s.Y, s.Z)
	o := Options{Search: true, Mold: b.mold}
	if columns > 0 {
		o.Resolution = size / float64(columns)
	}
	start := time.Now()
	st, err := Choose(context.Background(), solidtest.Rough(t, m), o)
	if err != nil {
		t.Fatal(err)
	}
	up, says := st.Up, tried(t, st)[0]
	searched := time.Since(start)
	if b.near != nil && up.Dot(*b.near) < math.Cos(3*math.Pi/180) {
		t.Errorf("up %.3f, want %.3f", up, *b.near)
	}
	start = time.Now()
	list := halfSphere(directions) // opposite directions part alike
	if b.mold.OnBoard() {
		list = halfSphere(directions / 2)
		for _, u := range list[:directions/2] {
			list = append(list, u.Neg())
		}
	}
	tris := triangleList(m)
	side := size / float64(coarse)
	rough := bruteAll(tris, list, b.mold, side)
	least := math.Inf(1)
	for _, r := range rough {
		least = min(least, r.path)
	}
	keep := []mesh.Vec{up}
	for k, r := range rough {
		if r.path <= least+2*side+0.03*least || math.IsInf(least, 1) {
			keep = append(keep, list[k])
		}
	}
	side = size / float64(fine)
	got := bruteAll(tris, keep, b.mold, side)
	own := got[0]
	best := 0
	off := 2*side + 0.027*own.path
	if math.IsInf(own.path, 1) {
		off = 0
	}
	for k, g := range got {
		if g.path < got[best].path || g.path == got[best].path && g.volume < got[best].volume {
			best = k
		}
		switch {
		case g.path < own.path-off, math.IsInf(own.path, 1) && !math.IsInf(g.path, 1):
			t.Errorf("%.3f needs %.2f mm, the search's %.3f needs %.2f ± %.2f (it says %v)", keep[k], g.path, up, own.path, off, fmtPtr(says.Path))
		case g.path < own.path-off/2 && g.volume < 0.8*own.volume:
			t.Errorf("%.3f undercuts %.0f mm³ with a path of %.2f, the search's %.3f %.0f with %.2f", keep[k], g.volume, g.path, up, own.volume, own.path)
		}
	}
	t.Logf("%s: searched in %v, %d directions in %v, %d of them on small cubes; best %.3f: %.2f mm, %.0f mm³; chosen %.3f: %.2f ± %.2f mm, %.0f mm³ (it says %v, %.0f)",
		b.mold, searched.Round(time.Millisecond), directions, time.Since(start).Round(time.Millisecond), len(keep)-1, keep[best], got[best].path, got[best].volume, up, own.path, off, own.volume, fmtPtr(says.Path), says.Volume)
}
