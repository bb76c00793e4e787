package tunnel

import (
	"math"

	"moldtally/mesh"
)

// leastTilt: planes across a passage are sought within this angle, radians, of
// the thinned line there, which runs in steps (judgement of this program).
const leastTilt = 50 * math.Pi / 180

// sectors is how many ways round a place the surface is looked for.
const sectors = 24

// around is the surface round a place: per sector the nearest place of it, as
// seen from there, and how far away that is; +Inf = none.
type around struct {
	near [sectors]mesh.Vec
	dist [sectors]float64
}

// facing looks round from c, roughly square to along, for the nearest places of
// the surface and the slab, and cuts along the plane that fits them best: a
// thin ring is closed only in its own plane.
func (sl *cutter) facing(c, along mesh.Vec, reach float64) (best crossSection, found bool) {
	// try cuts across n as far as it takes to find the cut closed.
	try := func(o, n mesh.Vec) (crossSection, bool) {
		for far := reach; far < 4*sl.Size; far *= 3 {
			if cut, ok := sl.cut(o, n, far, rows); ok && cut.near() {
				return cut, true
			}
		}
		return crossSection{}, false
	}
	n := along
	for range 3 {
		a := sl.lookAround(c, n, reach)
		next, mean, ok := a.plane(reach)
		if !ok {
			break
		}
		if next.Dot(n) < 0 {
			next = next.Neg()
		}
		if next.Dot(along) < math.Cos(leastTilt) {
			break
		}
		n = next
		if cut, ok := try(c.Add(n.Mul(mean.Dot(n))), n); ok && (!found || cut.area < best.area) {
			best, found = cut, true
		}
	}
	if !found {
		best, found = try(c, along)
	}
	return best, found
}

// lookAround finds the places of the surface and the slab nearest to c, sector by
// sector about n.
func (sl *cutter) lookAround(c, n mesh.Vec, reach float64) (a around) {
	e1, e2 := mesh.Basis(n)
	for k := range a.dist {
		a.dist[k] = math.Inf(1)
	}
	see := func(p mesh.Vec) {
		q := p.Sub(c)
		l := q.Len()
		// Of a triangle without area there is no nearest place (NaN).
		if !(l > 0) || !(math.Abs(q.Dot(n)) <= l*math.Sin(leastTilt)) {
			return
		}
		k := int((math.Atan2(q.Dot(e2), q.Dot(e1))/(2*math.Pi) + 1.5) * sectors)
		if k %= sectors; l < a.dist[k] {
			a.dist[k], a.near[k] = l, q
		}
	}
	sl.gather(c, reach)
	tris, verts := sl.Solid.Surface().Triangles(), sl.Solid.Surface().Vertices()
	for _, t := range sl.tris {
		i := tris[t]
		see(mesh.NearestOn(c, verts[i[0]], verts[i[1]], verts[i[2]]))
	}
	if sl.slab() {
		see(c.Sub(sl.Up.Mul(c.Dot(sl.Up) - sl.floor)))
	}
	return a
}

// plane is the plane that fits the places within reach best: its normal, and the
// middle of the places. ok is false for fewer than three.
func (a *around) plane(reach float64) (normal, mean mesh.Vec, ok bool) {
	var sum mesh.Vec
	count := 0.0
	for k := range a.near {
		if a.dist[k] < reach {
			sum = sum.Add(a.near[k])
			count++
		}
	}
	if count < 3 {
		return mesh.Vec{}, mesh.Vec{}, false
	}
	mean = sum.Mul(1 / count)
	var m [3][3]float64
	for k := range a.near {
		if a.dist[k] < reach {
			q := a.near[k].Sub(mean).Array()
			for i := range 3 {
				for j := range 3 {
					m[i][j] += q[i] * q[j]
				}
			}
		}
	}
	return mesh.LeastAxis(m), mean, true
}

// across tries planes through c within leastTilt of square to along; d is
// about the room there. Of those whose part at c is closed all round the least
// area wins.
func (sl *cutter) across(c, along mesh.Vec, d, cell float64) (best crossSection, ok bool) {
	normals := []mesh.Vec{along}
	e1, e2 := mesh.Basis(along)
	for ring := 1; ring <= 4; ring++ {
		st, ct := math.Sincos(leastTilt * float64(ring) / 4)
		for k := range 6 * ring {
			s, co := math.Sincos(2 * math.Pi * float64(k) / float64(6*ring))
			normals = append(normals, along.Mul(ct).Add(e1.Mul(st*co)).Add(e2.Mul(st*s)))
		}
	}
	for reach := 4 * (d + 2*cell); reach < 4*sl.Size && !ok; reach *= 3 {
		for _, n := range normals {
			if cut, found := sl.cut(c, n, reach, rows); found && cut.near() && (!ok || cut.area < best.area) {
				best, ok = cut, true
			}
		}
	}
	return best, ok
}

// squareTo tilts and shifts a cross-section until its area is least: tilt
// radians and shift mm are the first steps.
func (sl *cutter) squareTo(c crossSection, tilt, shift float64) crossSection {
	first := tilt
	for tilt > 0.002 {
		better := false
		o := c.point(c.seed)
		reach := 1.2*max(c.hi.X-c.lo.X, c.hi.Y-c.lo.Y) + 2*shift
		st, ct := math.Sincos(tilt)
		for k := range 4 {
			t := [4]mesh.Vec{c.e1, c.e1.Neg(), c.e2, c.e2.Neg()}[k]
			if q, ok := sl.cut(o, c.n.Mul(ct).Add(t.Mul(st)), reach, rows); ok && q.near() && q.area < c.area*(1-1e-5) {
				c, better = q, true
				break
			}
		}
		if shift > 0 {
			for _, s := range [2]float64{1, -1} {
				o := c.point(c.seed).Add(c.n.Mul(s * shift * max(tilt/first, 0.02)))
				if q, ok := sl.cut(o, c.n, reach, rows); ok && q.near() && q.area < c.area*(1-1e-5) {
					c, better = q, true
				}
			}
		}
		if !better {
			tilt /= 2
		}
	}
	return c
}
