package pack

import (
	"cmp"
	"math"
	"slices"

	"moldtally/mesh"
)

// Measures of how closely outlines are followed. Judgements of this program.
const (
	// An outline of more corners is packed by what touches it along directions all
	// round and along its longest sides, and the rounding of a no-fit polygon by the
	// gap has as many sides: that is never smaller, and larger by at most 2 % of the
	// radius or gap where layouts are begun, by 0.5 % where they are drawn together.
	roughSides, roughLong = 16, 4
	fineSides, fineLong   = 32, 8
	// mostTurns is how many ways round an outline is tried.
	mostTurns = 8
	// roundish is how much wider than narrow an outline may be that no turn changes.
	roundish = 1.005
)

// How closely outlines are followed.
const (
	boxed = iota // by the box round them
	rough
	fine
	levels
)

// rounding is by how many sides a no-fit polygon is rounded by the gap.
var rounding = [levels]int{boxed: 4, rough: roughSides, fine: fineSides}

// variant is an outline turned one way, about the middle of its least circle.
type variant struct {
	piece  int
	turn   float64
	middle mesh.Vec2           // of the least circle, turned, from the piece's own origin
	whole  []mesh.Vec2         // the turned outline as it is
	pts    [levels][]mesh.Vec2 // those that it is packed by
	lo, hi mesh.Vec2
	reach  float64 // the farthest corner from the middle
	area   float64
}

// variants are the ways round that an outline is tried: its least rectangle square to
// the container, four ways, and its longest sides along the container's.
func variants(piece int, outline []mesh.Vec2) []variant {
	c := mesh.MinCircle(outline)
	angles := []float64{}
	if !isRound(outline) {
		a := mesh.MinRect(outline).Axis
		first := -math.Atan2(a.Y, a.X)
		for q := range 4 {
			angles = append(angles, turned(first+float64(float64(q)*math.Pi/2)))
		}
		for _, n := range longest(outline, 3) {
			side := -math.Pi/2 - math.Atan2(n.Y, n.X) // down
			angles = append(angles, turned(side), turned(side+math.Pi))
		}
	} else {
		angles = append(angles, 0)
	}
	var out []variant
	for _, a := range angles {
		v := newVariant(piece, outline, c.Center, a)
		same := func(w variant) bool { return v.looksLike(&w, 1e-6*c.Radius) }
		if len(out) < mostTurns && !slices.ContainsFunc(out, same) {
			out = append(out, v)
		}
	}
	return out
}

func newVariant(piece int, outline []mesh.Vec2, middle mesh.Vec2, a float64) variant {
	cos, sin := math.Cos(a), math.Sin(a)
	if math.Abs(cos) < 1e-15 {
		cos = 0
	}
	if math.Abs(sin) < 1e-15 {
		sin = 0
	}
	rot := func(p mesh.Vec2) mesh.Vec2 {
		return mesh.Vec2{X: float64(p.X*cos) - float64(p.Y*sin), Y: float64(p.X*sin) + float64(p.Y*cos)}
	}
	v := variant{piece: piece, turn: a, middle: rot(middle), whole: make([]mesh.Vec2, len(outline))}
	for i, p := range outline {
		v.whole[i] = rot(p.Sub(middle))
	}
	v.lo, v.hi = mesh.Bounds2(v.whole)
	v.pts = [levels][]mesh.Vec2{
		boxed: {v.lo, {X: v.hi.X, Y: v.lo.Y}, v.hi, {X: v.lo.X, Y: v.hi.Y}},
		rough: around(v.whole, roughSides, roughLong), fine: around(v.whole, fineSides, fineLong),
	}
	for _, p := range v.whole {
		v.reach = max(v.reach, p.Len())
	}
	v.area = math.Abs(mesh.AreaOf(v.whole))
	return v
}

// looksLike reports whether two turned outlines are the same but for a shift.
func (v *variant) looksLike(w *variant, tol float64) bool {
	for _, n := range even(fineSides) {
		if math.Abs(support(v.whole, n)-support(w.whole, n)) > tol {
			return false
		}
	}
	return true
}

// isRound reports whether an outline is about as wide all ways.
func isRound(outline []mesh.Vec2) bool {
	lo, hi := math.Inf(1), 0.0
	for _, n := range even(fineSides) {
		w := support(outline, n) + support(outline, n.Mul(-1))
		lo, hi = min(lo, w), max(hi, w)
	}
	return hi <= roundish*lo
}

// longest are the outward normals of the n longest sides, the longest first.
func longest(outline []mesh.Vec2, n int) []mesh.Vec2 {
	type side struct {
		n mesh.Vec2
		l float64
	}
	var sides []side
	for i, a := range outline {
		d := outline[(i+1)%len(outline)].Sub(a)
		if l := d.Len(); l > 0 {
			sides = append(sides, side{mesh.Vec2{X: d.Y / l, Y: -d.X / l}, l})
		}
	}
	slices.SortStableFunc(sides, func(a, b side) int { return cmp.Compare(b.l, a.l) })
	var out []mesh.Vec2
	for _, s := range sides[:min(n, len(sides))] {
		out = append(out, s.n)
	}
	return out
}

// even are n unit vectors all round; n divides fineSides.
func even(n int) []mesh.Vec2 {
	out := make([]mesh.Vec2, n)
	for k := range out {
		out[k] = allRound[k*fineSides/n]
	}
	return out
}

// allRound are fineSides unit vectors, those along the axes without rounding.
var allRound = func() (out [fineSides]mesh.Vec2) {
	const quarter = fineSides / 4
	for k := range out {
		a := math.Pi / 2 * float64(k%quarter) / quarter
		out[k] = mesh.Vec2{X: math.Cos(a), Y: math.Sin(a)}
		for range k / quarter {
			out[k] = out[k].Perp()
		}
	}
	return out
}()

// support is the largest p·n of points.
func support(pts []mesh.Vec2, n mesh.Vec2) float64 {
	best := math.Inf(-1)
	for _, p := range pts {
		best = max(best, p.Dot(n))
	}
	return best
}

// around is an outline of at most some sides: itself, or a polygon whose sides touch
// it all round and along its longest sides.
func around(outline []mesh.Vec2, sides, long int) []mesh.Vec2 {
	if len(outline) <= sides {
		return outline
	}
	ns := byAngle(append(even(sides), longest(outline, long)...))
	d := make([]float64, len(ns))
	for k, n := range ns {
		d[k] = support(outline, n)
	}
	return corners(ns, d)
}

// byAngle sorts unit vectors by their angle, and keeps one of those that are as good as
// parallel. A side that is left out only makes a polygon larger.
func byAngle(ns []mesh.Vec2) []mesh.Vec2 {
	const parallel = 1e-6
	half := func(v mesh.Vec2) int {
		if v.Y < 0 || v.Y == 0 && v.X < 0 {
			return 1
		}
		return 0
	}
	slices.SortStableFunc(ns, func(a, b mesh.Vec2) int {
		if c := cmp.Compare(half(a), half(b)); c != 0 {
			return c
		}
		return cmp.Compare(0, a.Cross(b))
	})
	out := ns[:0]
	for _, v := range ns {
		if n := len(out); n == 0 || v.Sub(out[n-1]).Len() > parallel {
			out = append(out, v)
		}
	}
	if n := len(out); n > 1 && out[0].Sub(out[n-1]).Len() <= parallel {
		out = out[:n-1]
	}
	return out
}

// corners are where each side meets the next: n·p = d.
func corners(ns []mesh.Vec2, d []float64) []mesh.Vec2 {
	out := make([]mesh.Vec2, len(ns))
	for k, n := range ns {
		j := (k + 1) % len(ns)
		m := ns[j]
		c := n.Cross(m)
		out[k] = mesh.Vec2{X: (float64(d[k]*m.Y) - float64(d[j]*n.Y)) / c, Y: (float64(n.X*d[j]) - float64(m.X*d[k])) / c}
	}
	return out
}

// nofit is where one outline may not stand beside another: the points n·t < d for all
// sides, t being how far its middle is from the other's.
type nofit struct {
	n      []mesh.Vec2
	d      []float64
	at     []mesh.Vec2 // corner k lies between sides k and k+1
	lo, hi mesh.Vec2
	reach  float64 // farther away is free
}

// between is the no-fit polygon of outline b beside a: the Minkowski sum of a and of b turned
// upside down, grown by the gap. The sides of a sum are those of its two outlines.
func between(a, b []mesh.Vec2, gap float64, sides int) *nofit {
	if gap == 0 {
		sides = 4 // nothing is rounded
	}
	ns := append(even(sides), normals(a, 1)...)
	f := &nofit{n: byAngle(append(ns, normals(b, -1)...))}
	f.d = make([]float64, len(f.n))
	for k, n := range f.n {
		f.d[k] = support(a, n) + support(b, n.Mul(-1)) + gap
	}
	f.at = corners(f.n, f.d)
	f.lo, f.hi = mesh.Bounds2(f.at)
	for _, p := range f.at {
		f.reach = max(f.reach, p.Len())
	}
	return f
}

// normals are the outward normals of an outline's sides, times a sign.
func normals(pts []mesh.Vec2, sign float64) []mesh.Vec2 {
	var out []mesh.Vec2
	for i, a := range pts {
		d := pts[(i+1)%len(pts)].Sub(a)
		if l := d.Len(); l > 0 {
			out = append(out, mesh.Vec2{X: sign * d.Y / l, Y: -sign * d.X / l})
		}
	}
	return out
}

// depth is how far t stands in the polygon grown by a pad, and which way is the nearest
// out; not above 0 where it is free.
func (f *nofit) depth(t mesh.Vec2, pad float64) (float64, mesh.Vec2) {
	if far := f.reach + 2*pad; math.Abs(t.X) > far || math.Abs(t.Y) > far {
		return 0, mesh.Vec2{}
	}
	least, way := math.Inf(1), mesh.Vec2{}
	for k, n := range f.n {
		x := f.d[k] + pad - n.Dot(t)
		if x < least {
			if x <= 0 {
				return x, n
			}
			least, way = x, n
		}
	}
	return least, way
}

// inside is the stretch of p + s·v, from s0 to s1, that lies within by more than tol;
// empty where from is not below to.
func (f *nofit) inside(p, v mesh.Vec2, s0, s1, tol float64) (from, to float64) {
	for k, n := range f.n {
		room, rate := f.d[k]-tol-n.Dot(p), n.Dot(v)
		switch {
		case rate > 1e-15:
			s1 = min(s1, room/rate)
		case rate < -1e-15:
			s0 = max(s0, room/rate)
		case room <= 0:
			return 1, 0
		}
		if s0 >= s1 {
			return 1, 0
		}
	}
	return s0, s1
}
