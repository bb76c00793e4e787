package meshfile

import (
	"math"

	"moldtally/mesh"
	"moldtally/mesh/finding"
)

// maxEars is the most corners a polygon may have to be cut by ears, whose cost
// grows with the square; larger ones are always fanned.
const maxEars = 1000

// splitter cuts polygons into triangles, reusing its memory.
type splitter struct {
	tris [][3]int32
	x, y []float64
	left []int32
}

// split returns triangles of corner numbers for the polygon c. A polygon is
// cut as a fan from its first corner, the usual reading; where that fan would
// fold over itself (the polygon is concave as seen from there) ears are cut
// instead, in the plane that fits it best. even is false if neither gives a
// surface without folds: the polygon crosses itself, or is too long to tell.
// The result is good until the next call.
func (s *splitter) split(c []mesh.Vec) (tris [][3]int32, even bool) {
	n := len(c)
	s.tris = s.tris[:0]
	// Newell's normal: twice the vector area, whatever the origin.
	var area mesh.Vec
	for i := 1; i+1 < n; i++ {
		area = area.Add(c[i].Sub(c[0]).Cross(c[i+1].Sub(c[0])))
	}
	folds := false
	size := area.Len()
	for i := 1; i+1 < n; i++ {
		// A sliver that folds by less than the rounding of the sum is flat.
		a := c[i].Sub(c[0]).Cross(c[i+1].Sub(c[0]))
		if a.Dot(area) < -1e-12*size*size {
			folds = true
			break
		}
	}
	if !folds || size == 0 || n > maxEars {
		return s.fan(n), !folds
	}
	return s.ears(c, area)
}

func (s *splitter) fan(n int) [][3]int32 {
	for i := 1; i+1 < n; i++ {
		s.tris = append(s.tris, [3]int32{0, int32(i), int32(i + 1)})
	}
	return s.tris
}

// ears clips convex corners whose triangle holds no other corner, the one with
// the widest smallest angle first among neighbours tried, so that slivers are
// left for last only where they must be.
func (s *splitter) ears(c []mesh.Vec, normal mesh.Vec) ([][3]int32, bool) {
	s.flatten(c, normal)
	left := s.left[:0]
	for i := range c {
		left = append(left, int32(i))
	}
	even := true
	k, tried := 0, 0
	for len(left) > 3 {
		m := len(left)
		ok := s.isEar(c, left, k)
		if !ok && tried > m {
			// No ear left: either the rest is flat or it crosses itself.
			// Take a corner that turns least, and go on.
			best := math.Inf(1)
			for j := range left {
				t := math.Abs(s.turn(left[(j+m-1)%m], left[j], left[(j+1)%m]))
				if t < best {
					best, k = t, j
				}
			}
			even = even && best == 0
			ok = true
		}
		if !ok {
			k, tried = (k+1)%m, tried+1
			continue
		}
		s.tris = append(s.tris, [3]int32{left[(k+m-1)%m], left[k], left[(k+1)%m]})
		left = append(left[:k], left[k+1:]...)
		tried = 0
		k = k % len(left)
	}
	s.tris = append(s.tris, [3]int32{left[0], left[1], left[2]})
	if s.turn(left[0], left[1], left[2]) < 0 {
		even = false
	}
	s.left = left
	return s.tris, even
}

// flatten drops the axis that the normal leans to most and keeps the sense of
// rotation.
func (s *splitter) flatten(c []mesh.Vec, normal mesh.Vec) {
	s.x, s.y = s.x[:0], s.y[:0]
	ax, ay, az := math.Abs(normal.X), math.Abs(normal.Y), math.Abs(normal.Z)
	for _, v := range c {
		v = v.Sub(c[0])
		x, y, along := v.Z, v.X, normal.Y
		switch {
		case az >= ax && az >= ay:
			x, y, along = v.X, v.Y, normal.Z
		case ax >= ay:
			x, y, along = v.Y, v.Z, normal.X
		}
		if along < 0 {
			x, y = y, x
		}
		s.x, s.y = append(s.x, x), append(s.y, y)
	}
}

// turn is twice the area of three corners, positive where they turn to the left.
func (s *splitter) turn(a, b, d int32) float64 {
	return float64((s.x[b]-s.x[a])*(s.y[d]-s.y[a])) - float64((s.x[d]-s.x[a])*(s.y[b]-s.y[a]))
}

// isEar reports whether the k-th of the corners left is convex and the triangle
// with its neighbours holds none of the others.
func (s *splitter) isEar(c []mesh.Vec, left []int32, k int) bool {
	m := len(left)
	a, b, d := left[(k+m-1)%m], left[k], left[(k+1)%m]
	if s.turn(a, b, d) <= 0 {
		return false
	}
	for _, p := range left {
		if p == a || p == b || p == d || c[p] == c[a] || c[p] == c[b] || c[p] == c[d] {
			continue
		}
		if s.turn(a, b, p) >= 0 && s.turn(b, d, p) >= 0 && s.turn(d, a, p) >= 0 {
			return false
		}
	}
	return true
}

func (s *source) noteUneven(n int) {
	if n == 0 {
		return
	}
	s.note(CodePolygons, finding.Caution, Polygons{s.name, n})
}

func (s *source) noteSkipped(n int, what Stray) {
	if n == 0 {
		return
	}
	s.note(CodeSkipped, finding.Note, Skipped{s.name, n, what})
}
