package mesh

import (
	"math"
	"sort"
)

// Rect is a rectangle in a plane; Axis is a unit vector along Length, and
// Length >= Width. The other side runs along Axis.Perp().
type Rect struct {
	Center        Vec2
	Axis          Vec2
	Length, Width float64 // mm
}

// Area returns Length × Width, mm².
func (r Rect) Area() float64 { return r.Length * r.Width }

// extent is what the calipers read at one angle: the hull's four extreme
// corners along d and along d.Perp().
type extent struct{ loX, hiX, loY, hiY int }

// calipers walks a direction round a hull. Each of the four pointers only ever
// goes forward, so a whole turn costs O(n) (M. I. Shamos, "Computational
// Geometry", 1978; H. Freeman & R. Shapira, "Determining the minimum-area
// encasing rectangle for an arbitrary closed curve", CACM 18 (1975), for the
// flush edge).
type calipers struct {
	h []Vec2
	extent
}

// newCalipers starts at direction d.
func newCalipers(h []Vec2, d Vec2) *calipers {
	c := &calipers{h: h}
	q := d.Perp()
	o := h[0]
	for i, p := range h {
		v := p.Sub(o)
		if v.Dot(d) < h[c.loX].Sub(o).Dot(d) {
			c.loX = i
		}
		if v.Dot(d) > h[c.hiX].Sub(o).Dot(d) {
			c.hiX = i
		}
		if v.Dot(q) < h[c.loY].Sub(o).Dot(q) {
			c.loY = i
		}
		if v.Dot(q) > h[c.hiY].Sub(o).Dot(q) {
			c.hiY = i
		}
	}
	return c
}

// turn moves the pointers to direction d, which must not be behind the last
// one. Edge vectors are compared, not positions, so that short edges keep
// their digits.
func (c *calipers) turn(d Vec2) {
	step := func(i *int, d Vec2) {
		for k := 0; k < len(c.h); k++ {
			j := (*i + 1) % len(c.h)
			if c.h[j].Sub(c.h[*i]).Dot(d) <= 0 {
				return
			}
			*i = j
		}
	}
	q := d.Perp()
	step(&c.hiX, d)
	step(&c.hiY, q)
	step(&c.loX, d.Mul(-1))
	step(&c.loY, q.Mul(-1))
}

// rect is the rectangle at unit direction d.
func (c *calipers) rect(d Vec2) Rect {
	q := d.Perp()
	o := c.h[c.loX]
	w := c.h[c.hiX].Sub(o).Dot(d)
	lo := c.h[c.loY].Sub(o).Dot(q)
	hi := c.h[c.hiY].Sub(o).Dot(q)
	r := Rect{
		Center: o.Add(d.Mul(w / 2)).Add(q.Mul((lo + hi) / 2)),
		Axis:   d, Length: w, Width: hi - lo,
	}
	return r.canonical()
}

// canonical puts the longer side first and the axis into the right half-plane.
func (r Rect) canonical() Rect {
	if r.Width > r.Length {
		r.Length, r.Width, r.Axis = r.Width, r.Length, r.Axis.Perp()
	}
	if r.Axis.X < 0 || r.Axis.X == 0 && r.Axis.Y < 0 {
		r.Axis = r.Axis.Mul(-1)
	}
	r.Axis.X, r.Axis.Y = r.Axis.X+0, r.Axis.Y+0
	return r
}

// skew says how far a rectangle stands from the plane's axes: 0 when it is
// square to them. Among equal rectangles the least skew wins, so that a round
// or regular outline gives a rectangle a person would have drawn.
func (r Rect) skew() float64 { return min(math.Abs(r.Axis.X), math.Abs(r.Axis.Y)) }

// rectTie is how near two areas must be, relatively, to be called equal.
// It is far above rounding and far below anything a saw can cut.
const rectTie = 1e-10

// flatRect is the rectangle of a hull with fewer than three corners.
func flatRect(h []Vec2) Rect {
	switch len(h) {
	case 0:
		return Rect{Axis: Vec2{1, 0}}
	case 1:
		return Rect{Center: h[0], Axis: Vec2{1, 0}}
	}
	v := h[1].Sub(h[0])
	l := v.Len()
	return Rect{Center: h[0].Add(v.Mul(0.5)), Axis: v.Mul(1 / l), Length: l}.canonical()
}

// flush returns the directions, folded into the first quadrant and sorted by
// angle, at which a rectangle's side lies along a hull edge.
func flush(h []Vec2) []Vec2 {
	ds := make([]Vec2, 0, len(h))
	for i, a := range h {
		v := h[(i+1)%len(h)].Sub(a)
		for v.X <= 0 || v.Y < 0 {
			v = v.Perp()
		}
		l := v.Len()
		if l == 0 {
			continue
		}
		ds = append(ds, Vec2{v.X / l, v.Y / l})
	}
	sort.Slice(ds, func(i, j int) bool {
		if ds[i].Y != ds[j].Y {
			return ds[i].Y < ds[j].Y
		}
		return ds[i].X > ds[j].X
	})
	return ds
}

// MinRect returns the rectangle of least area round a convex hull as Hull2
// returns it. The least rectangle has a side flush with a hull edge (Freeman &
// Shapira 1975), so trying each edge is exact; O(n log n). Among equal ones
// the one squarest to the plane's axes is taken.
func MinRect(hull []Vec2) Rect { return MinRectGrown(hull, 0, 0) }

// MinRectGrown returns the rectangle of least area that keeps a distance of
// grow from the hull on all four sides, each side's length then rounded up to
// a whole number of steps (0 = not rounded), mm. The outline stands in its
// middle; Length and Width are the grown, rounded ones.
//
// Without rounding a flush edge is still best: between two flush angles the
// two widths are arcs of cosines, so they and their sums with a constant are
// concave, the logarithm of the product is concave, and a concave function is
// least at an end. The least grown rectangle may be flush with another edge
// than the least bare one, though.
//
// With rounding the area is a step function of the angle, and its least value
// may be reached only between two flush angles, where one side has just
// dropped to a whole step and the other has not yet left one. It changes only
// where a side passes a whole step; so besides the flush angles all those
// crossings are tried, in each interval whose ends, unrounded, do not already
// rule it out (by the concavity above the unrounded ends bound the interval
// from below). Among equal areas the least unrounded one is taken, then the
// squarest to the axes.
func MinRectGrown(hull []Vec2, grow, step float64) Rect {
	if len(hull) < 3 {
		r := flatRect(hull)
		r.Length = roundUp(r.Length+2*grow, step)
		r.Width = roundUp(r.Width+2*grow, step)
		return r
	}
	s := rectSearch{grow: grow, step: step}
	ds := flush(hull)
	c := newCalipers(hull, ds[0])
	ext := make([]extent, len(ds)) // the corners touched at ds[i]
	low := make([]float64, len(ds))
	for i, d := range ds {
		c.turn(d)
		ext[i] = c.extent
		r := c.rect(d)
		s.try(r, r.Length+2*grow, r.Width+2*grow)
		low[i] = (r.Length + 2*grow) * (r.Width + 2*grow)
	}
	if step > 0 {
		for i, d := range ds {
			// The interval after the last flush angle runs to the first one
			// turned by a quarter.
			j := (i + 1) % len(ds)
			e := ds[j]
			if j == 0 {
				e = e.Perp()
			}
			if min(low[i], low[j]) >= s.area*(1-rectTie) {
				continue
			}
			// Just after d the sides may rest on other corners than at d; half
			// way along the interval they rest on those of all of it.
			c.extent = ext[i]
			c.turn(d.Add(e))
			s.between(c, d, e)
		}
	}
	return s.best
}

// roundUp rounds x up to a whole number of steps. A length that is over a
// whole step by less than a millionth of a step counts as that step: it is
// rounding, not size.
func roundUp(x, step float64) float64 {
	if step <= 0 {
		return x
	}
	return math.Ceil(x/step-1e-6) * step
}

// rectSearch keeps the best rectangle so far.
type rectSearch struct {
	grow, step float64
	any        bool
	best       Rect
	area, raw  float64 // of best: rounded, unrounded
}

// try offers a rectangle whose sides, grown, are l and w.
func (s *rectSearch) try(r Rect, l, w float64) {
	raw := l * w
	r.Length, r.Width = roundUp(l, s.step), roundUp(w, s.step)
	r = r.canonical()
	area := r.Area()
	better := !s.any || area < s.area*(1-rectTie)
	if !better && area <= s.area*(1+rectTie) {
		better = raw < s.raw*(1-rectTie) || raw <= s.raw*(1+rectTie) && r.skew() < s.best.skew()-1e-9
	}
	if better {
		s.any, s.best, s.area, s.raw = true, r, area, raw
	}
}

// between tries all angles strictly between directions d and e at which one of
// the sides, grown, is a whole number of steps. c stands on the corners touched
// throughout the interval.
func (s *rectSearch) between(c *calipers, d, e Vec2) {
	vx := c.h[c.hiX].Sub(c.h[c.loX])
	vy := c.h[c.hiY].Sub(c.h[c.loY])
	// At direction t the sides are vx·t and vy·t.Perp() = -vy.Perp()·t: both
	// of the form |v| cos(angle from v).
	for _, v := range [2]Vec2{vx, vy.Perp().Mul(-1)} {
		l := v.Len()
		if l == 0 {
			continue
		}
		a, b := v.Dot(d), v.Dot(e)
		top := max(a, b)
		if f := v.Mul(1 / l); d.Cross(f) > 0 && f.Cross(e) > 0 {
			top = l // the arc's crest lies inside
		}
		lo := math.Ceil((min(a, b) + 2*s.grow) / s.step)
		hi := math.Floor((top + 2*s.grow) / s.step)
		for k := lo; k <= hi; k++ {
			side := k*s.step - 2*s.grow
			if side <= 0 || side > l {
				continue
			}
			cos := side / l
			sin := math.Sqrt(max(0, 1-cos*cos))
			for _, sg := range [2]float64{1, -1} {
				f, q := v.Mul(cos/l), v.Perp().Mul(sg*sin/l)
				t := f.Add(q)
				if d.Cross(t) < 0 || t.Cross(e) < 0 {
					continue
				}
				r := c.rectAt(t)
				s.try(r, r.Length+2*s.grow, r.Width+2*s.grow)
			}
		}
	}
}

// rectAt is rect without the calipers' promise that d is a flush direction.
func (c *calipers) rectAt(d Vec2) Rect {
	l := d.Len()
	return c.rect(d.Mul(1 / l))
}

// MaxClearance turns and places a convex hull in a rectangle of the given
// sides so that the least distance to the four sides is as large as it can be.
// It returns the rectangle as it then lies round the hull and that distance,
// which is negative when the hull fits no way round: then it says by how much
// each of the two tightest sides must move.
//
// Between two flush angles each side's clearance is a constant less an arc of
// a cosine, which is convex; so the lesser of the two is greatest at a flush
// angle or where both are equal, and all of those are tried. Among equal turns
// the squarest to the axes is taken.
func MaxClearance(hull []Vec2, length, width float64) (Rect, float64) {
	if width > length {
		length, width = width, length
	}
	best, gap := Rect{}, math.Inf(-1)
	try := func(r Rect, alongAxis bool) {
		c := min(length-r.Length, width-r.Width) / 2
		if !alongAxis {
			c = min(length-r.Width, width-r.Length) / 2
			r.Axis = r.Axis.Perp()
		}
		r.Length, r.Width = length, width
		r = r.canonical()
		tie := 1e-9 * (length + width)
		if c > gap+tie || c > gap-tie && r.skew() < best.skew()-1e-9 {
			best, gap = r, c
		}
	}
	if len(hull) < 3 {
		r := flatRect(hull)
		try(r, true)
		if len(hull) == 2 { // a line also fits along the diagonal
			for _, c := range diagonal(r.Length, length, width) {
				a := r
				a.Axis = Vec2{r.Axis.X*c.X + r.Axis.Y*c.Y, r.Axis.Y*c.X - r.Axis.X*c.Y}
				a.Length, a.Width = r.Length*c.X, r.Length*math.Abs(c.Y)
				try(a, true)
			}
		}
		return best, gap
	}
	ds := flush(hull)
	c := newCalipers(hull, ds[0])
	for i, d := range ds {
		c.turn(d)
		r := c.rect(d)
		try(r, true)
		try(r, false)
		e := ds[(i+1)%len(ds)]
		if i == len(ds)-1 {
			e = e.Perp()
		}
		at := c.extent
		c.turn(d.Add(e))
		vx := c.h[c.hiX].Sub(c.h[c.loX])
		vp := c.h[c.hiY].Sub(c.h[c.loY]).Perp().Mul(-1)
		for _, v := range [2]Vec2{vx.Sub(vp), vp.Sub(vx)} {
			l := v.Len()
			if l == 0 || length-width > l {
				continue
			}
			cos := (length - width) / l
			sin := math.Sqrt(max(0, 1-cos*cos))
			for _, s := range [2]float64{sin, -sin} {
				t := v.Mul(cos / l).Add(v.Perp().Mul(s / l))
				if d.Cross(t) > 0 && t.Cross(e) > 0 {
					r := c.rectAt(t)
					try(r, true)
					try(r, false)
				}
			}
		}
		c.extent = at
	}
	return best, gap
}

// diagonal returns the directions (relative to a line of length s) of a
// rectangle's long axis at which both clearances are equal.
func diagonal(s, length, width float64) []Vec2 {
	// length - s·cos = width - s·sin
	k := (length - width) / (s * math.Sqrt2)
	if math.Abs(k) > 1 {
		return nil
	}
	var out []Vec2
	for _, a := range []float64{math.Acos(k) - math.Pi/4, -math.Acos(k) - math.Pi/4} {
		if c, n := math.Cos(a), math.Sin(a); c >= 0 && n >= 0 {
			out = append(out, Vec2{c, n}, Vec2{c, -n})
		}
	}
	return out
}
