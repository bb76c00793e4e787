package arrange

import (
	"math"

	"moldtally/mesh"
)

// face is a face of the source that meets another wrongly.
type face struct {
	t     int32
	v     [3]int32    // its vertices in the source
	p     [3]mesh.Vec // their places, mm
	c     [3]*point
	view  view
	ccw   int // +1 where it turns counterclockwise in the view, -1 where not
	plane *plane
	flat  int32
}

// see finds the view that the face is widest in; false where its corners lie on
// one line.
func (f *face) see() bool {
	n := f.p[1].Sub(f.p[0]).Cross(f.p[2].Sub(f.p[0]))
	x, y, z := math.Abs(n.X), math.Abs(n.Y), math.Abs(n.Z)
	first := view(2)
	if x > y && x > z {
		first = 0
	} else if y > z {
		first = 1
	}
	for i := range view(3) {
		f.view = (first + i) % 3
		if f.ccw = f.view.turns(f.p[0], f.p[1], f.p[2]); f.ccw != 0 {
			return true
		}
	}
	return false
}

// turns is turn of corners.
func (k view) turns(a, b, c mesh.Vec) int {
	return mesh.Orient2(k.flat2(a.Array()), k.flat2(b.Array()), k.flat2(c.Array()))
}

// sides tells where the corners of f lie from the plane of g, and whether all
// lie in it.
func (f *face) sides(g *face) (s [3]int, level bool) {
	for k := range 3 {
		s[k] = mesh.Orient3(g.p[0], g.p[1], g.p[2], f.p[k])
	}
	return s, s == [3]int{}
}

// holds reports whether a corner that lies in the plane of f lies in f, its
// sides included.
func (f *face) holds(p mesh.Vec) bool {
	for k := range 3 {
		if f.view.turns(f.p[k], f.p[(k+1)%3], p)*f.ccw < 0 {
			return false
		}
	}
	return true
}

// pierced reports whether the segment pq, whose ends lie on different sides of
// the plane of f, goes through f, its sides included.
func (f *face) pierced(p, q mesh.Vec) bool {
	last := 0
	for k := range 3 {
		s := mesh.Orient3(p, q, f.p[k], f.p[(k+1)%3])
		if s*last < 0 {
			return false
		}
		if s != 0 {
			last = s
		}
	}
	return true
}

// meeting is what two faces have in common that do not lie in one plane: n = 0,
// 1 or 2 points, the ends of a stretch.
type meeting struct {
	n int
	p [2]*point
}

func (m *meeting) add(p *point) {
	for k := range m.n {
		if m.p[k].same(p) {
			return
		}
	}
	if m.n < 2 {
		m.p[m.n] = p
		m.n++
	}
}

// meet finds what two faces have in common that do not lie in one plane: each
// end of it is where the outline of one of them passes through the other.
func (u units) meet2(f, g *face, sf, sg [3]int) (m meeting) {
	u.ends(&m, f, g, sf)
	if m.n < 2 {
		u.ends(&m, g, f, sg)
	}
	return m
}

// ends adds the points of f's outline that lie in g.
func (u units) ends(m *meeting, f, g *face, s [3]int) {
	for i := range 3 {
		if s[i] == 0 && g.holds(f.p[i]) {
			m.add(f.c[i])
		}
	}
	for i := range 3 {
		j := (i + 1) % 3
		if s[i]*s[j] < 0 && g.pierced(f.p[i], f.p[j]) {
			a, b := i, j
			if f.v[a] > f.v[b] {
				a, b = b, a
			}
			p := u.through(g.plane, f.c[a], f.c[b])
			p.side = [2]int32{f.v[a], f.v[b]}
			m.add(p)
		}
	}
}
