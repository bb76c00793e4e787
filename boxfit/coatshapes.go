package boxfit

import (
	"context"
	"fmt"
	"math"
	"slices"

	"moldtally/mesh"
)

// shortEdge is the length of edges, as a share of the coat, from which rods and plates
// are drawn; between the balls at the ends of shorter ones the coat sags by up to 3 %,
// and that is made up for by larger balls. nearVertices is how close vertices of dense
// meshes may be, as a share of the coat, for one to do for all.
const (
	shortEdge    = 0.45
	nearVertices = 0.2
	// sag is the mean of the squared distance to the nearest point of a plane that has
	// a point for an area, as a share of the area: 5/(18√3) where they stand in
	// hexagons; about as much for those of a mesh (a test measures what comes of it).
	sag = 0.165
	// thinned is the same where the points are what is left of closer ones, and stand
	// at random; 1/π where nothing keeps them apart.
	thinned = 0.22
	// creased is how long the sum of the faces' normals round a vertex may be, as a
	// share of their lengths, for an edge to run through it: 18° to both sides.
	creased = 0.95
)

// coatShapes are what the space within a distance of a surface is made of: balls
// round vertices, rods round edges and plates over faces.
type coatShapes struct {
	balls  []ball
	rods   [][2]int32
	plates []int32 // triangles
}

// ball is what is within a radius, mm, of a vertex.
type ball struct {
	vertex int32
	radius float64
}

// gather finds the shapes.
func (c *coating) gather(ctx context.Context) error {
	s := c.s
	verts := s.surface.Vertices()
	held, round := make([]bool, len(verts)), make([]float64, len(verts)) // round: area about a vertex
	normal := make([]mesh.Vec, len(verts))
	limit := shortEdge * c.t * shortEdge * c.t
	var keys []uint64
	for k, tri := range s.surface.Triangles() {
		if k&0xffff == 0 && ctx.Err() != nil {
			return fmt.Errorf("boxfit: %w", ctx.Err())
		}
		if s.skip != nil && s.skip[k] || s.surface.Collapsed(k) {
			continue
		}
		p := [3]mesh.Vec{verts[tri[0]], verts[tri[1]], verts[tri[2]]}
		u, v, w := p[1].Sub(p[0]), p[2].Sub(p[1]), p[0].Sub(p[2])
		if max(u.Dot(u), v.Dot(v), w.Dot(w)) <= limit {
			n := u.Cross(v).Mul(1.0 / 6)
			area := n.Len()
			for _, v := range tri {
				round[v] += area
				normal[v] = normal[v].Add(n)
			}
			continue
		}
		c.shapes.plates = append(c.shapes.plates, int32(k))
		for e := range 3 {
			a, b := tri[e], tri[(e+1)%3]
			held[a], held[b] = true, true
			keys = append(keys, uint64(min(a, b))<<32|uint64(max(a, b)))
		}
	}
	slices.Sort(keys)
	for _, k := range slices.Compact(keys) {
		c.shapes.rods = append(c.shapes.rods, [2]int32{int32(k >> 32), int32(k & math.MaxUint32)})
	}
	c.thin(held, round, normal)
	return nil
}

// thin makes the balls: of vertices that no rod holds and no edge runs through one
// does for all in a cube, and stands for the area round all of them.
func (c *coating) thin(held []bool, round []float64, normal []mesh.Vec) {
	s := c.s
	type cube [3]int32
	first := map[cube]int32{} // looked up, never ranged over
	side := nearVertices * c.t
	var stands []float64
	var alone []bool
	keep := func(k int, area float64) {
		c.shapes.balls = append(c.shapes.balls, ball{int32(k), c.t})
		stands, alone = append(stands, area), append(alone, true)
	}
	for k, v := range s.surface.Vertices() {
		switch {
		case s.used != nil && !s.used[k]:
			continue
		case held[k]:
			keep(k, 0)
			continue
		case normal[k].Len() < creased*round[k]:
			keep(k, round[k])
			continue
		}
		p := s.plane(v)
		at := cube{int32(math.Floor(p.X / side)), int32(math.Floor(p.Y / side)), int32(math.Floor(v.Dot(s.up) / side))}
		if n, ok := first[at]; ok {
			stands[n] += round[k]
			alone[n] = false
			continue
		}
		first[at] = int32(len(stands))
		keep(k, round[k])
	}
	for k, a := range stands {
		share := thinned
		if alone[k] {
			share = sag
		}
		c.shapes.balls[k].radius = math.Sqrt(c.t*c.t + min(share*a, 0.2*c.t*c.t))
	}
}

// footprint is what the shapes cover, seen from above, together, mm².
func (c *coating) footprint() (sum float64) {
	s, t := c.s, c.t
	sum = float64(len(c.shapes.balls)) * math.Pi * t * t
	verts := s.surface.Vertices()
	for _, e := range c.shapes.rods {
		d := verts[e[1]].Sub(verts[e[0]])
		up := math.Abs(d.Dot(s.up))
		l := d.Len()
		sum += 2 * t * (math.Sqrt(max(0, l*l-up*up)) + 2*t*up/l)
	}
	for _, k := range c.shapes.plates {
		a, b, d := s.surface.Corners(int(k))
		n := b.Sub(a).Cross(d.Sub(a))
		l := n.Len() / 2
		sum += l + 2*t*math.Sqrt(l) // its own area, and about its width beside it
	}
	return sum
}

// byStripe lists the shapes that reach into each stripe of rows.
func (h *coatShapes) byStripe(c *coating, rows, stripes int) []coatShapes {
	out := make([]coatShapes, stripes)
	over := func(lo, hi float64) (int, int) {
		row := func(y float64) int { return int((y - c.f.Y0) / c.f.Cell) }
		return max(0, row(lo-1.1*c.t)/rows), min(stripes-1, row(hi+1.1*c.t)/rows)
	}
	for _, k := range h.balls {
		y := c.points[k.vertex].Y
		a, b := over(y, y)
		for ; a <= b; a++ {
			out[a].balls = append(out[a].balls, k)
		}
	}
	for _, e := range h.rods {
		p, q := c.points[e[0]].Y, c.points[e[1]].Y
		a, b := over(min(p, q), max(p, q))
		for ; a <= b; a++ {
			out[a].rods = append(out[a].rods, e)
		}
	}
	for _, k := range h.plates {
		tri := c.s.surface.Triangles()[k]
		x, y, z := c.points[tri[0]].Y, c.points[tri[1]].Y, c.points[tri[2]].Y
		a, b := over(min(x, y, z), max(x, y, z))
		for ; a <= b; a++ {
			out[a].plates = append(out[a].plates, k)
		}
	}
	return out
}

func (w *stripe) draw(h *coatShapes) {
	p := w.c.points
	for _, k := range h.balls {
		w.ball(p[k.vertex], k.radius)
	}
	for _, e := range h.rods {
		w.rod(p[e[0]], p[e[1]])
	}
	for _, k := range h.plates {
		tri := w.c.s.surface.Triangles()[k]
		w.plate(p[tri[0]], p[tri[1]], p[tri[2]])
	}
}

// rows are those of the stripe whose columns lie in lo..hi.
func (w *stripe) rows(lo, hi float64) (int, int) {
	f := w.c.f
	a := int(math.Ceil((lo-f.Y0)/f.Cell - 0.5))
	b := int(math.Floor((hi-f.Y0)/f.Cell - 0.5))
	return max(a, w.j0), min(b, w.j1-1)
}

// cols are the columns of a row that lie in lo..hi.
func (w *stripe) cols(lo, hi float64) (int, int) {
	f := w.c.f
	a := int(math.Ceil((lo-f.X0)/f.Cell - 0.5))
	b := int(math.Floor((hi-f.X0)/f.Cell - 0.5))
	return max(a, 0), min(b, f.NX-1)
}

// ball takes what is within t, mm, of a point.
func (w *stripe) ball(p mesh.Vec, t float64) {
	if p.Z+t <= 0 {
		return
	}
	a, b := w.rows(p.Y-t, p.Y+t)
	for j := a; j <= b; j++ {
		x, y := w.c.f.Center(0, j)
		r2 := t*t - (y-p.Y)*(y-p.Y)
		if r2 < 0 {
			continue
		}
		r := math.Sqrt(r2)
		i0, i1 := w.cols(p.X-r, p.X+r)
		for i := i0; i <= i1; i++ {
			d := x + float64(i)*w.c.f.Cell - p.X
			h := math.Sqrt(max(0, r2-d*d))
			w.add(i, j, p.Z-h, p.Z+h)
		}
	}
}

// rod takes what is within the coat of an edge, between its end planes.
func (w *stripe) rod(p, q mesh.Vec) {
	t, d := w.c.t, q.Sub(p)
	l := d.Len()
	e := d.Mul(1 / l)
	level := e.X*e.X + e.Y*e.Y // 1 - e.Z², without the loss
	flat := math.Sqrt(level)
	a, b := w.rows(min(p.Y, q.Y)-t, max(p.Y, q.Y)+t)
	for j := a; j <= b; j++ {
		x0, y0 := w.c.f.Center(0, j)
		y := y0 - p.Y
		lo, hi := min(0, d.X)-t, max(0, d.X)+t
		if flat > 1e-9 {
			ex, ey := e.X/flat, e.Y/flat
			reach := t * math.Abs(e.Z)
			lo, hi = above(t+y*ex, -ey, lo, hi) // |y·ex - x·ey| <= t
			lo, hi = above(t-y*ex, ey, lo, hi)
			lo, hi = above(y*ey+reach, ex, lo, hi) // between the ends, as far as the rod leans over them
			lo, hi = above(l*flat+reach-y*ey, -ex, lo, hi)
		}
		i0, i1 := w.cols(p.X+lo, p.X+hi)
		for i := i0; i <= i1; i++ {
			x := x0 + float64(i)*w.c.f.Cell - p.X
			if z0, z1, ok := along(x, y, e, level, l, t); ok {
				w.add(i, j, p.Z+z0, p.Z+z1)
			}
		}
	}
}

// along is the stretch of an upright line at (x, y) from an edge's end that is
// within t of the edge, of length l along e, and between its end planes.
func along(x, y float64, e mesh.Vec, level, l, t float64) (lo, hi float64, ok bool) {
	at := x*e.X + y*e.Y
	rest := x*x + y*y - at*at - t*t
	if level < 1e-12 {
		lo, hi = math.Inf(-1), math.Inf(1)
		ok = rest <= 0
	} else {
		half := at * e.Z
		root := half*half - level*rest
		if root < 0 {
			return 0, 0, false
		}
		root = math.Sqrt(root)
		lo, hi, ok = (half-root)/level, (half+root)/level, true
	}
	// 0 <= at + e.Z·z <= l
	lo, hi = above(at, e.Z, lo, hi)
	lo, hi = above(l-at, -e.Z, lo, hi)
	return lo, hi, ok && lo < hi
}

// above is what of the stretch lo to hi has a + b·z >= 0.
func above(a, b, lo, hi float64) (float64, float64) {
	switch {
	case b > 1e-12:
		return max(lo, -a/b), hi
	case b < -1e-12:
		return lo, min(hi, -a/b)
	case a < 0:
		return 1, 0
	}
	return lo, hi
}

// plate takes what is within the coat of a face, straight over and under it.
func (w *stripe) plate(a, b, c mesh.Vec) {
	t := w.c.t
	v := [3]mesh.Vec{a, b, c}
	n := b.Sub(a).Cross(c.Sub(a)).Unit()
	if n == (mesh.Vec{}) {
		return
	}
	var side [3]mesh.Vec // of each edge, towards the face
	var corner [6]mesh.Vec
	for k := range 3 {
		side[k] = n.Cross(v[(k+1)%3].Sub(v[k]))
		corner[k], corner[k+3] = v[k].Add(n.Mul(t)), v[k].Sub(n.Mul(t))
	}
	y0, y1 := corner[0].Y, corner[0].Y
	for _, p := range corner {
		y0, y1 = min(y0, p.Y), max(y1, p.Y)
	}
	j0, j1 := w.rows(y0, y1)
	for j := j0; j <= j1; j++ {
		x0, y := w.c.f.Center(0, j)
		i0, i1 := w.cols(across(&corner, y))
		for i := i0; i <= i1; i++ {
			x := x0 + float64(i)*w.c.f.Cell
			lo, hi := math.Inf(-1), math.Inf(1)
			off := n.X*(x-a.X) + n.Y*(y-a.Y) - n.Z*a.Z
			lo, hi = above(t+off, n.Z, lo, hi)
			lo, hi = above(t-off, -n.Z, lo, hi)
			for k, m := range side {
				p := v[k]
				lo, hi = above(m.X*(x-p.X)+m.Y*(y-p.Y)-m.Z*p.Z, m.Z, lo, hi)
			}
			if lo < hi {
				w.add(i, j, lo, hi)
			}
		}
	}
}

// across is where a line at y enters and leaves a prism of six corners, seen along
// its columns: the ends of the face on one side, then those on the other.
func across(corner *[6]mesh.Vec, y float64) (lo, hi float64) {
	lo, hi = math.Inf(1), math.Inf(-1)
	cut := func(p, q mesh.Vec) {
		if y < min(p.Y, q.Y) || y > max(p.Y, q.Y) {
			return
		}
		for _, v := range [2]mesh.Vec{p, q} {
			if p.Y == q.Y {
				lo, hi = min(lo, v.X), max(hi, v.X)
			}
		}
		if p.Y != q.Y {
			x := p.X + (q.X-p.X)*(y-p.Y)/(q.Y-p.Y)
			lo, hi = min(lo, x), max(hi, x)
		}
	}
	for k := range 3 {
		cut(corner[k], corner[(k+1)%3])
		cut(corner[k+3], corner[(k+1)%3+3])
		cut(corner[k], corner[k+3])
	}
	return lo, hi
}
