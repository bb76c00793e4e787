package mesh

import (
	"math"
	"math/big"
)

// orient3Err bounds the relative rounding error of the plain determinant in
// Orient3: (7 + 56ε)ε with ε = 2⁻⁵³. J. R. Shewchuk, "Adaptive Precision
// Floating-Point Arithmetic and Fast Robust Geometric Predicates", Discrete &
// Computational Geometry 18 (1997), section 4.3 (constant recalled). It holds
// for any of the four points as the one that is subtracted.
const orient3Err = (7 + 56*0x1p-53) * 0x1p-53

// What underflow may add to that error. A product of two differences that
// falls below the normal range is off by at most 2⁻¹⁰⁷⁵, and is then
// multiplied by a third difference: minorFloor, added to what stands for the
// minor in the bound, covers it as orient3Err·2⁻⁹⁵⁰ > 2⁻¹⁰⁰¹. A product of
// three, and the bound itself, are off by a few times 2⁻¹⁰⁷⁵: detFloor.
const (
	minorFloor = 0x1p-950
	detFloor   = 0x1p-1070
)

// Orient3 tells where d lies from the plane through a, b and c: +1 on the side
// from which they turn counterclockwise (the side that the triangle's normal
// points to), -1 on the other, 0 in the plane. The answer is exact for all
// finite coordinates.
//
// Orient3 changes sign when two points change places and keeps it when all
// four are turned round in pairs.
func Orient3(a, b, c, d Vec) int {
	bx, by, bz := b.X-a.X, b.Y-a.Y, b.Z-a.Z
	cx, cy, cz := c.X-a.X, c.Y-a.Y, c.Z-a.Z
	dx, dy, dz := d.X-a.X, d.Y-a.Y, d.Z-a.Z
	x1, x2 := float64(by*cz), float64(bz*cy)
	y1, y2 := float64(bz*cx), float64(bx*cz)
	z1, z2 := float64(bx*cy), float64(by*cx)
	det := float64(dx*(x1-x2)) + float64(dy*(y1-y2)) + float64(dz*(z1-z2))
	bound := float64(math.Abs(dx)*(math.Abs(x1)+math.Abs(x2)+minorFloor)) +
		float64(math.Abs(dy)*(math.Abs(y1)+math.Abs(y2)+minorFloor)) +
		float64(math.Abs(dz)*(math.Abs(z1)+math.Abs(z2)+minorFloor))
	bound = float64(bound*orient3Err) + detFloor
	if det > bound {
		return 1
	}
	if -det > bound {
		return -1
	}
	return orient3Exact(a, b, c, d)
}

// expansion is an exact sum: floats that do not overlap, in order of size, the
// last the largest. Its sign is that of its last member (Shewchuk, section
// 2.2). Zeros are dropped; an empty expansion is zero.
type expansion []float64

// grow adds one float in place.
func (e expansion) grow(x float64) expansion {
	k := 0
	for _, y := range e {
		s := x + y
		v := s - x
		if t := (x - (s - v)) + (y - v); t != 0 {
			e[k] = t
			k++
		}
		x = s
	}
	e = e[:k]
	if x != 0 {
		e = append(e, x)
	}
	return e
}

// product adds x·y in place.
func (e expansion) product(x, y float64) expansion {
	if x == 0 || y == 0 {
		return e
	}
	p := float64(x * y)
	return e.grow(math.FMA(x, y, -p)).grow(p)
}

func (e expansion) sign() int {
	if len(e) == 0 {
		return 0
	}
	return sign(e[len(e)-1])
}

func sign(x float64) int {
	switch {
	case x > 0:
		return 1
	case x < 0:
		return -1
	}
	return 0
}

// difference is x - y exactly, as head and tail.
func difference(x, y float64) (head, tail float64) {
	head = x - y
	v := x - head
	return head, (x - (head + v)) + (v - y)
}

// orient3Exact is Orient3 without a filter: differences as two floats each,
// minors and determinant as expansions. Where a number lies so far out that a
// product might over- or underflow, whole-number arithmetic decides.
func orient3Exact(a, b, c, d Vec) int {
	if a.X == b.X && a.X == c.X && a.X == d.X ||
		a.Y == b.Y && a.Y == c.Y && a.Y == d.Y ||
		a.Z == b.Z && a.Z == c.Z && a.Z == d.Z {
		return 0 // parts drawn along the axes end here time and again
	}
	var r [3][3][2]float64 // b, c, d less a; X, Y, Z; head, tail
	p := a.Array()
	for i, v := range [3]Vec{b, c, d} {
		for k, x := range v.Array() {
			h, t := difference(x, p[k])
			if !plainRange(h) || !plainRange(t) {
				return orient3Big(a, b, c, d)
			}
			r[i][k] = [2]float64{h, t}
		}
	}
	var detStore [192]float64
	det := expansion(detStore[:0])
	for k := range 3 {
		i, j := (k+1)%3, (k+2)%3
		var minorStore [16]float64
		minor := expansion(minorStore[:0])
		for _, x := range r[0][i] {
			for _, y := range r[1][j] {
				minor = minor.product(x, y)
			}
		}
		for _, x := range r[0][j] {
			for _, y := range r[1][i] {
				minor = minor.product(-x, y)
			}
		}
		for _, x := range r[2][k] {
			for _, y := range minor {
				det = det.product(x, y)
			}
		}
	}
	return det.sign()
}

// plainRange reports whether a product of three such numbers, down to its last
// bit, neither overflows nor underflows: the last bit of a number not below
// 2⁻²⁸⁸ is not below 2⁻³⁴⁰, and three of those make 2⁻¹⁰²⁰.
func plainRange(x float64) bool {
	x = math.Abs(x)
	return x == 0 || x >= 0x1p-288 && x <= 0x1p300
}

// whole turns floats into whole numbers with a common unit.
func whole(xs ...float64) []*big.Int {
	unit := math.MaxInt
	for _, x := range xs {
		if x != 0 {
			_, e := math.Frexp(x)
			unit = min(unit, e-53)
		}
	}
	is := make([]*big.Int, len(xs))
	for i, x := range xs {
		is[i] = new(big.Int)
		if x != 0 {
			f, e := math.Frexp(x)
			is[i].SetInt64(int64(f * (1 << 53)))
			is[i].Lsh(is[i], uint(e-53-unit))
		}
	}
	return is
}

func orient3Big(a, b, c, d Vec) int {
	n := whole(a.X, a.Y, a.Z, b.X, b.Y, b.Z, c.X, c.Y, c.Z, d.X, d.Y, d.Z)
	for i := 3; i < 12; i++ {
		n[i].Sub(n[i], n[i%3])
	}
	bb, cc, dd := n[3:6], n[6:9], n[9:12]
	det := new(big.Int)
	for k := range 3 {
		i, j := (k+1)%3, (k+2)%3
		l, r := new(big.Int).Mul(bb[i], cc[j]), new(big.Int).Mul(bb[j], cc[i])
		l.Sub(l, r)
		det.Add(det, l.Mul(l, dd[k]))
	}
	return det.Sign()
}

// along is a projection along an axis: 0 drops X, 1 drops Y, 2 drops Z.
type along int

func (k along) of(v Vec) Vec2 {
	switch k {
	case 0:
		return Vec2{v.Y, v.Z}
	case 1:
		return Vec2{v.Z, v.X}
	}
	return Vec2{v.X, v.Y}
}

// turn is Orient2 of the projections, exact for all finite coordinates.
func (k along) turn(a, b, c Vec) int {
	p, q, r := k.of(a), k.of(b), k.of(c)
	for _, x := range [6]float64{p.X, p.Y, q.X, q.Y, r.X, r.Y} {
		if !plainRange(x) {
			return orient2Big(p, q, r)
		}
	}
	return Orient2(p, q, r)
}

func orient2Big(a, b, c Vec2) int {
	n := whole(a.X, a.Y, b.X, b.Y, c.X, c.Y)
	for i := range 4 {
		n[i].Sub(n[i], n[4+i%2])
	}
	l, r := new(big.Int).Mul(n[0], n[3]), new(big.Int).Mul(n[1], n[2])
	return l.Cmp(r)
}

// flatOf finds a projection in which the triangle keeps an area; ok is false
// where there is none because its corners lie on one line.
func flatOf(a, b, c Vec) (k along, ok bool) {
	n := b.Sub(a).Cross(c.Sub(a))
	x, y, z := math.Abs(n.X), math.Abs(n.Y), math.Abs(n.Z)
	order := [3]along{2, 1, 0} // try the largest side first; exactness does not depend on it
	if x > y && x > z {
		order = [3]along{0, 1, 2}
	} else if y > z {
		order = [3]along{1, 2, 0}
	}
	for _, k := range order {
		if k.turn(a, b, c) != 0 {
			return k, true
		}
	}
	return 0, false
}

// segmentsMeet reports whether the closed segments pq and rs have a point in
// common in the projection.
func (k along) segmentsMeet(p, q, r, s Vec) bool {
	o1, o2 := k.turn(p, q, r), k.turn(p, q, s)
	if o1*o2 > 0 {
		return false
	}
	o3, o4 := k.turn(r, s, p), k.turn(r, s, q)
	if o3*o4 > 0 {
		return false
	}
	if o1 != 0 || o2 != 0 || o3 != 0 || o4 != 0 {
		return true
	}
	// All on one line: the boxes decide.
	a, b, c, d := k.of(p), k.of(q), k.of(r), k.of(s)
	return max(a.X, b.X) >= min(c.X, d.X) && max(c.X, d.X) >= min(a.X, b.X) &&
		max(a.Y, b.Y) >= min(c.Y, d.Y) && max(c.Y, d.Y) >= min(a.Y, b.Y)
}

// holds reports whether p lies in the closed triangle abc, in the projection,
// in which the triangle must have an area.
func (k along) holds(a, b, c, p Vec) bool {
	o := k.turn(a, b, c)
	return k.turn(a, b, p)*o >= 0 && k.turn(b, c, p)*o >= 0 && k.turn(c, a, p)*o >= 0
}

// segmentMeets reports whether the closed segment pq meets the closed triangle
// abc, whose corners are not on one line.
func segmentMeets(p, q, a, b, c Vec) bool {
	sp, sq := Orient3(a, b, c, p), Orient3(a, b, c, q)
	if sp*sq > 0 {
		return false
	}
	if sp == 0 && sq == 0 {
		k, _ := flatOf(a, b, c)
		return k.holds(a, b, c, p) || k.segmentsMeet(p, q, a, b) || k.segmentsMeet(p, q, b, c) || k.segmentsMeet(p, q, c, a)
	}
	// The segment meets the plane in one point: the line pq must pass the three
	// sides on the same hand, or through them.
	o1, o2 := Orient3(p, q, a, b), Orient3(p, q, b, c)
	if o1*o2 < 0 {
		return false
	}
	o3 := Orient3(p, q, c, a)
	return o1*o3 >= 0 && o2*o3 >= 0
}

// rayEnters reports whether the ray from corner v towards p runs in the
// triangle vcd, whose corners are not on one line.
func rayEnters(v, p, c, d Vec) bool {
	if Orient3(v, c, d, p) != 0 {
		return false
	}
	k, _ := flatOf(v, c, d)
	o := k.turn(v, c, d)
	return k.turn(v, c, p)*o >= 0 && k.turn(v, p, d)*o >= 0
}

// onLine reports whether three points lie on one line.
func onLine(a, b, c Vec) bool {
	_, ok := flatOf(a, b, c)
	return !ok
}

// sameRay reports whether a and b lie in one direction from v. None of them
// equals v.
func sameRay(v, a, b Vec) bool {
	if !onLine(v, a, b) {
		return false
	}
	p, q, r := v.Array(), a.Array(), b.Array()
	for k := range 3 {
		if q[k] != p[k] {
			return (q[k] > p[k]) == (r[k] > p[k]) && r[k] != p[k]
		}
	}
	return false
}

// segmentsMeet3 reports whether the closed segments pq and rs, neither of them
// a point, have a point in common.
func segmentsMeet3(p, q, r, s Vec) bool {
	if Orient3(p, q, r, s) != 0 {
		return false
	}
	k, ok := flatOf(p, q, r)
	if !ok {
		k, ok = flatOf(p, q, s)
	}
	if ok {
		return k.segmentsMeet(p, q, r, s)
	}
	// All on one line: the boxes decide.
	lo, hi := p.Min(q), p.Max(q)
	lo2, hi2 := r.Min(s), r.Max(s)
	return boxesMeet(lo, hi, lo2, hi2)
}

// boxesMeet reports whether two closed boxes have a point in common.
func boxesMeet(lo1, hi1, lo2, hi2 Vec) bool {
	return lo1.X <= hi2.X && lo2.X <= hi1.X &&
		lo1.Y <= hi2.Y && lo2.Y <= hi1.Y &&
		lo1.Z <= hi2.Z && lo2.Z <= hi1.Z
}
