package section

import (
	"cmp"
	"slices"

	"moldtally/mesh"
	"moldtally/mesh/disjoint"
)

// Level is a height to cut at. A vertex at H, to within the slicer's Eps, lies
// below the plane where Above is set and above it where it is not: the section
// just above, or just below, the height. So a flat shelf has two sections, also
// where turning or 32-bit numbers have roughened it.
type Level struct {
	H     float64 // along the slicer's U, mm
	Above bool
}

// JustAbove and JustBelow are the two levels of a height.
func JustAbove(h float64) Level { return Level{H: h, Above: true} }

// JustBelow is the section below all that lies at h.
func JustBelow(h float64) Level { return Level{H: h} }

// Compare orders levels from low to high.
func (l Level) Compare(m Level) int {
	switch {
	case l.H != m.H:
		return cmp.Compare(l.H, m.H)
	case l.Above == m.Above:
		return 0
	case m.Above:
		return -1
	}
	return 1
}

// Below reports whether the plane lies below a vertex at height z.
func (l Level) Below(z, eps float64) bool {
	if l.Above {
		return z > l.H+eps
	}
	return z >= l.H-eps
}

// Beside is the height by which the plane is told from the heights that lie in
// it: d above H, or below.
func (l Level) Beside(d float64) float64 {
	if l.Above {
		return l.H + d
	}
	return l.H - d
}

// Section is the section of a surface at one level.
type Section struct {
	Level
	Points   []Point
	Places   []mesh.Vec2 // of the points, in the slicer's axes, mm
	Segments []Segment
	LoopOf   []int32 // per point: the loop it belongs to
	NumLoops int

	hang  disjoint.Sets // of points that segments join
	table []int32       // hash of edges: point + 1, 0 = free
	start []int32       // places of loop k stand from start[k] to start[k+1] in order
	order []mesh.Vec2
}

// Segment is one triangle's part of a section: it runs from point A to point B
// with the inside of the surface on the left, seen against U.
type Segment struct{ A, B, Tri int32 }

// Loop is a part of a section that hangs together: one closed line where the
// surface is sound.
type Loop struct {
	Area   float64 // enclosed, by the winding of the triangles: negative round a hole, mm²
	Length float64 // of the line itself, mm
	Sound  bool    // every point has one segment in and one out
}

// add appends a triangle's segment.
func (s *Section) add(sl *Slicer, t int32) {
	corners := sl.Mesh.Triangles()[t]
	verts := sl.Mesh.Vertices()
	var z [3]float64
	var up [3]bool
	for k, v := range corners {
		z[k] = verts[v].Dot(sl.U)
		up[k] = s.Below(z[k], sl.Eps)
	}
	k, ok := lone(up)
	if !ok {
		return
	}
	// Points are numbered as the triangle runs, whichever way it is wound.
	a, b := s.point(sl, corners, &z, k, (k+1)%3), s.point(sl, corners, &z, k, (k+2)%3)
	s.hang.Join(a, b)
	if up[k] != (sl.Outward == nil || sl.Outward(int(t))) {
		a, b = b, a
	}
	s.Segments = append(s.Segments, Segment{a, b, t})
}

// point is the number of the point on the edge between corners a and b.
func (s *Section) point(sl *Slicer, corners [3]int32, z *[3]float64, a, b int) int32 {
	i, j := corners[a], corners[b]
	if i > j {
		i, j, a, b = j, i, b, a
	}
	mask := uint64(len(s.table) - 1)
	at := (uint64(i)<<32 | uint64(uint32(j))) * 0x9E3779B97F4A7C15 // 2^64 over the golden ratio
	at ^= at >> 29
	for at &= mask; ; at = (at + 1) & mask {
		k := s.table[at]
		if k == 0 {
			break
		}
		if p := &s.Points[k-1]; p.I == i && p.J == j {
			return k - 1
		}
	}
	w := weight(s.H, z[a], z[b])
	p, q := sl.Mesh.Vertices()[i], sl.Mesh.Vertices()[j]
	px, py := p.Dot(sl.E1), p.Dot(sl.E2)
	qx, qy := q.Dot(sl.E1), q.Dot(sl.E2)
	n := int32(len(s.Points))
	s.Points = append(s.Points, Point{i, j, w})
	s.Places = append(s.Places, mesh.Vec2{X: px + float64((qx-px)*w), Y: py + float64((qy-py)*w)})
	s.hang.Add()
	s.table[at] = n + 1
	return n
}

// fill cuts the listed triangles.
func (s *Section) fill(sl *Slicer, list []int32) {
	s.Points, s.Places, s.Segments = s.Points[:0], s.Places[:0], s.Segments[:0]
	s.hang, s.LoopOf, s.NumLoops, s.order = s.hang[:0], s.LoopOf[:0], 0, s.order[:0]
	size := 16
	for size < 4*len(list) {
		size *= 2
	}
	s.table = slices.Grow(s.table[:0], size)[:size]
	clear(s.table)
	for _, t := range list {
		s.add(sl, t)
	}
	for p := range s.hang {
		if r := s.hang.Find(int32(p)); int(r) == p {
			s.LoopOf = append(s.LoopOf, int32(s.NumLoops))
			s.NumLoops++
		} else {
			s.LoopOf = append(s.LoopOf, s.LoopOf[r])
		}
	}
}

// Loops measures the loops. Areas are summed about a point nearby, so that a
// surface far from the origin loses nothing.
func (s *Section) Loops(near mesh.Vec2) []Loop {
	out := make([]Loop, s.NumLoops)
	for k := range out {
		out[k].Sound = true
	}
	type ends struct{ in, out int32 }
	met := make([]ends, len(s.Points))
	for _, g := range s.Segments {
		l := &out[s.LoopOf[g.A]]
		a, b := s.Places[g.A], s.Places[g.B]
		l.Area += a.Sub(near).Cross(b.Sub(near)) / 2
		l.Length += b.Sub(a).Len()
		met[g.A].out++
		met[g.B].in++
	}
	for p, m := range met {
		if m != (ends{1, 1}) {
			out[s.LoopOf[p]].Sound = false
		}
	}
	return out
}

// Hull is the convex hull of a loop, of Hull's make.
func (s *Section) Hull(loop int) []mesh.Vec2 {
	if len(s.order) != len(s.Places) {
		s.gather()
	}
	return Hull(s.order[s.start[loop]:s.start[loop+1]])
}

// gather orders the places by loops.
func (s *Section) gather() {
	n := s.NumLoops + 2
	s.start = slices.Grow(s.start[:0], n)[:n]
	clear(s.start)
	for _, r := range s.LoopOf {
		s.start[r+2]++
	}
	for k := 2; k < n; k++ {
		s.start[k] += s.start[k-1]
	}
	s.order = slices.Grow(s.order[:0], len(s.Places))[:len(s.Places)]
	for p, r := range s.LoopOf {
		s.order[s.start[r+1]] = s.Places[p]
		s.start[r+1]++
	}
}

// Lines strings the segments into lines, as numbers of points; each begins at
// the first point of the first segment that no line has yet, and a closed one
// ends where it began. Where lines meet in a point, the earlier segment is
// followed.
func (s *Section) Lines() [][]int32 {
	type end struct{ seg, next int32 } // of the segments at a point, +1 each
	first, last := make([]int32, len(s.Points)), make([]int32, len(s.Points))
	ends := make([]end, 0, 2*len(s.Segments))
	for k, g := range s.Segments {
		for _, p := range [2]int32{g.A, g.B} {
			ends = append(ends, end{seg: int32(k)})
			n := int32(len(ends))
			if last[p] == 0 {
				first[p] = n
			} else {
				ends[last[p]-1].next = n
			}
			last[p] = n
		}
	}
	used := make([]bool, len(s.Segments))
	var lines [][]int32
	for k, g := range s.Segments {
		if used[k] {
			continue
		}
		used[k] = true
		from, at := min(g.A, g.B), max(g.A, g.B)
		line := []int32{from, at}
		for at != from {
			for first[at] != 0 && used[ends[first[at]-1].seg] {
				first[at] = ends[first[at]-1].next
			}
			if first[at] == 0 {
				break
			}
			next := ends[first[at]-1].seg
			used[next] = true
			at = s.Segments[next].A + s.Segments[next].B - at
			line = append(line, at)
		}
		lines = append(lines, line)
	}
	return lines
}
