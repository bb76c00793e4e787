package shape

import (
	"errors"
	"fmt"
	"math/big"

	"moldtally/mesh"
)

// Check returns nil where m is closed, consistently wound and outward: every
// edge has exactly two triangles that run it in opposite directions, no
// triangle is collapsed, every vertex is used, and the volume is positive. It
// is meant for every test that makes a mesh.
func Check(m *mesh.Mesh) error {
	if err := CheckClosed(m); err != nil {
		return err
	}
	if v := Volume(m); v <= 0 {
		return fmt.Errorf("shape: wound inward: volume %g mm³", v)
	}
	return nil
}

// CheckClosed is Check without the question of outward or inward.
func CheckClosed(m *mesh.Mesh) error {
	if m.NumTriangles() == 0 {
		return errors.New("shape: no triangles")
	}
	edges := make(map[[2]int32]int, 3*m.NumTriangles())
	used := make([]bool, m.NumVertices())
	for i, t := range m.Triangles() {
		if m.Collapsed(i) {
			return fmt.Errorf("shape: triangle %d is collapsed", i)
		}
		for k := range 3 {
			edges[[2]int32{t[k], t[(k+1)%3]}]++
			used[t[k]] = true
		}
	}
	for v, u := range used {
		if !u {
			return fmt.Errorf("shape: vertex %d is not used", v)
		}
	}
	for i, t := range m.Triangles() {
		for k := range 3 {
			a, b := t[k], t[(k+1)%3]
			there, back := edges[[2]int32{a, b}], edges[[2]int32{b, a}]
			if there != 1 || back != 1 {
				return fmt.Errorf("shape: triangle %d: an edge is run %d times one way and %d times the other, at %v", i, there, back, m.Vertices()[a])
			}
		}
	}
	return nil
}

// Volume is the signed volume of m by the divergence theorem in exact
// arithmetic, rounded once: the truth for any sum in floating point. A few
// microseconds a triangle.
func Volume(m *mesh.Mesh) float64 {
	// Coordinates within 2^±300 of each other fit exactly: products of three
	// 53-bit numbers, spread over the exponents, in 2048 bits.
	const prec = 2048
	f := func(x float64) *big.Float { return new(big.Float).SetPrec(prec).SetFloat64(x) }
	sum := new(big.Float).SetPrec(prec)
	mul := func(a, b *big.Float) *big.Float { return new(big.Float).SetPrec(prec).Mul(a, b) }
	sub := func(a, b *big.Float) *big.Float { return new(big.Float).SetPrec(prec).Sub(a, b) }
	for t := range m.Triangles() {
		a, b, c := m.Corners(t)
		ax, ay, az := f(a.X), f(a.Y), f(a.Z)
		bx, by, bz := f(b.X), f(b.Y), f(b.Z)
		cx, cy, cz := f(c.X), f(c.Y), f(c.Z)
		sum.Add(sum, mul(ax, sub(mul(by, cz), mul(bz, cy))))
		sum.Add(sum, mul(ay, sub(mul(bz, cx), mul(bx, cz))))
		sum.Add(sum, mul(az, sub(mul(bx, cy), mul(by, cx))))
	}
	v, _ := sum.Quo(sum, f(6)).Float64()
	return v
}

// Area is the surface of m, mm², summed plainly.
func Area(m *mesh.Mesh) float64 {
	sum := 0.0
	for t := range m.Triangles() {
		a, b, c := m.Corners(t)
		sum += b.Sub(a).Cross(c.Sub(a)).Len() / 2
	}
	return sum
}

// Genus is the number of handles of a closed connected mesh, by Euler's
// formula V − E + F = 2 − 2g. It does not look for pieces or pinches: ask
// Check first.
func Genus(m *mesh.Mesh) int {
	f := m.NumTriangles()
	return (2 - (m.NumVertices() - 3*f/2 + f)) / 2
}
