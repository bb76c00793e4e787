package thin

import (
	"cmp"
	"math"
	"slices"

	"moldtally/mesh"
	"moldtally/mesh/disjoint"
)

const (
	// slender: a place less than this many times as deep as it is thick is a
	// rib or a groove, and stands (judgement).
	slender = 2.0
	// smallShare: places with less than this share of the area of the largest of
	// their kind, or past mostListed, are added up in one (judgement).
	smallShare = 0.02
	mostListed = 12
)

// places joins spots that lie side by side and keeps the places that are deep
// enough to matter.
func places(spots []spot, cell float64) (all []Place) {
	join := beside(spots, 2.5*cell)
	var members [][]int32
	number := join.Number()
	members = make([][]int32, number)
	for n, g := range join {
		members[g] = append(members[g], int32(n))
	}
	for _, m := range members {
		if p, ok := sum(spots, m, cell); ok {
			all = append(all, p)
		}
	}
	return all
}

// beside joins spots that lie side by side, not one behind the other, and no
// farther apart than reach.
func beside(spots []spot, reach float64) disjoint.Sets {
	key := func(p mesh.Vec) [3]int32 {
		return [3]int32{int32(math.Floor(p.X / reach)), int32(math.Floor(p.Y / reach)), int32(math.Floor(p.Z / reach))}
	}
	bins := make(map[[3]int32][]int32, len(spots)/4) // looked up, never ranged over
	join := disjoint.New(len(spots))
	for n := range spots {
		s := &spots[n]
		k := key(s.at)
		for b := range int32(27) {
			for _, m := range bins[[3]int32{k[0] + b%3 - 1, k[1] + b/3%3 - 1, k[2] + b/9 - 1}] {
				o := &spots[m]
				d := o.at.Sub(s.at)
				if o.kind == s.kind && d.Dot(d) <= reach*reach && math.Abs(o.n.Dot(s.n)) >= 0.7 && math.Abs(d.Dot(s.n)) <= s.thick+0.4*d.Len() {
					join.Join(int32(n), m)
				}
			}
		}
		bins[k] = append(bins[k], int32(n))
	}
	return join
}

// worst orders places, webs first, as thin and as deep as possible first, and
// adds the small ones of a kind up.
func worst(all []Place) []Place {
	slices.SortStableFunc(all, func(p, q Place) int {
		return cmp.Or(cmp.Compare(q.Kind, p.Kind), cmp.Compare(q.Depth/q.Thickness, p.Depth/p.Thickness),
			cmp.Compare(p.At[0], q.At[0]), cmp.Compare(p.At[1], q.At[1]), cmp.Compare(p.At[2], q.At[2]))
	})
	out := []Place{}
	for _, kind := range [2]Kind{Web, Fin} {
		largest := 0.0
		for _, t := range all {
			if t.Kind == kind {
				largest = max(largest, t.Area)
			}
		}
		var rest Place
		n := 0
		for _, t := range all {
			switch {
			case t.Kind != kind:
			case n < mostListed && t.Area >= smallShare*largest:
				out = append(out, t)
				n++
			case rest.Places == 0:
				rest = t
			default:
				rest.Places++
				rest.Area += t.Area
				rest.Thickness = min(rest.Thickness, t.Thickness)
				rest.Depth = max(rest.Depth, t.Depth)
			}
		}
		if rest.Places > 0 {
			out = append(out, rest)
		}
	}
	return out
}

// sum makes a place of the spots m; false where it is too small or too stout to
// matter.
func sum(spots []spot, m []int32, cell float64) (Place, bool) {
	var area float64
	var mid mesh.Vec
	for _, n := range m {
		area += spots[n].area
		mid = mid.Add(spots[n].at.Mul(spots[n].area))
	}
	mid = mid.Mul(1 / area)
	thick := thickness(spots, m, area)
	long := longest(spots, m, mid)
	// Across: in the faces, square to the long way.
	var nn mesh.Vec
	for _, n := range m {
		x := spots[n].n
		if x.Dot(spots[m[0]].n) < 0 {
			x = x.Neg()
		}
		nn = nn.Add(x.Mul(spots[n].area))
	}
	across := nn.Cross(long)
	if across.Len() == 0 {
		return Place{}, false
	}
	// Where a place is ragged its extent says too much: no deeper than its area
	// over its length.
	depth := min(extent(spots, m, across.Unit())+cell, 1.5*area/(extent(spots, m, long.Unit())+cell))
	// A few columns are no place: an edge between them is not resolved.
	if len(m) < 6 || depth < slender*thick || area < slender*thick*thick {
		return Place{}, false
	}
	near, best := math.Inf(1), mid
	for _, n := range m {
		if d := spots[n].at.Sub(mid).Len(); d < near {
			near, best = d, spots[n].at
		}
	}
	return Place{Kind: spots[m[0]].kind, Thickness: thick, Area: area, Depth: depth, At: best.Array(), Places: 1}, true
}

// thickness is what a tenth of the area is thinner than: one column on an edge
// says nothing.
func thickness(spots []spot, m []int32, area float64) (thick float64) {
	order := slices.Clone(m)
	slices.SortFunc(order, func(p, q int32) int {
		return cmp.Or(cmp.Compare(spots[p].thick, spots[q].thick), cmp.Compare(p, q))
	})
	sum := 0.0
	for _, n := range order {
		thick = spots[n].thick
		if sum += spots[n].area; sum >= area/10 {
			break
		}
	}
	return thick
}

// longest is the way that the spots reach farthest from their middle: the first
// principal axis, or where there is none the way to the farthest spot.
func longest(spots []spot, m []int32, mid mesh.Vec) (long mesh.Vec) {
	var c [3][3]float64
	far := -1.0
	for _, n := range m {
		q := spots[n].at.Sub(mid)
		if d := q.Len(); d > far {
			far, long = d, q
		}
		v := q.Array()
		for i := range 3 {
			for j := range 3 {
				c[i][j] -= v[i] * v[j] * spots[n].area
			}
		}
	}
	if l := mesh.LeastAxis(c); l != (mesh.Vec{}) {
		long = l
	}
	return long
}

// extent is how far the spots reach along a direction.
func extent(spots []spot, m []int32, along mesh.Vec) float64 {
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, n := range m {
		d := spots[n].at.Dot(along)
		lo, hi = min(lo, d), max(hi, d)
	}
	return hi - lo
}
