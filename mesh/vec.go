package mesh

import "math"

// Vec is a point or direction in millimetres (or unitless, for a direction),
// in the pattern file's own axes.
//
// Products are rounded one by one (the explicit float64 conversions), so that
// no processor fuses a multiply with an add and the same input gives the same
// bits everywhere.
type Vec struct{ X, Y, Z float64 }

// V is shorthand for Vec{x, y, z}.
func V(x, y, z float64) Vec { return Vec{x, y, z} }

// Add returns a + b.
func (a Vec) Add(b Vec) Vec { return Vec{a.X + b.X, a.Y + b.Y, a.Z + b.Z} }

// Sub returns a - b.
func (a Vec) Sub(b Vec) Vec { return Vec{a.X - b.X, a.Y - b.Y, a.Z - b.Z} }

// Mul returns a scaled by k.
func (a Vec) Mul(k float64) Vec { return Vec{a.X * k, a.Y * k, a.Z * k} }

// Neg returns -a.
func (a Vec) Neg() Vec { return Vec{-a.X, -a.Y, -a.Z} }

// Dot returns the scalar product.
func (a Vec) Dot(b Vec) float64 {
	return float64(a.X*b.X) + float64(a.Y*b.Y) + float64(a.Z*b.Z)
}

// Cross returns the vector product.
func (a Vec) Cross(b Vec) Vec {
	return Vec{
		float64(a.Y*b.Z) - float64(a.Z*b.Y),
		float64(a.Z*b.X) - float64(a.X*b.Z),
		float64(a.X*b.Y) - float64(a.Y*b.X),
	}
}

// Len returns the Euclidean length.
func (a Vec) Len() float64 { return math.Sqrt(a.Dot(a)) }

// Unit returns a scaled to length 1, or the zero vector if a is zero.
func (a Vec) Unit() Vec {
	l := a.Len()
	if l == 0 {
		return Vec{}
	}
	return a.Mul(1 / l)
}

// Min and Max are taken coordinate by coordinate.
func (a Vec) Min(b Vec) Vec { return Vec{min(a.X, b.X), min(a.Y, b.Y), min(a.Z, b.Z)} }

// Max is the coordinate-wise maximum.
func (a Vec) Max(b Vec) Vec { return Vec{max(a.X, b.X), max(a.Y, b.Y), max(a.Z, b.Z)} }

// IsFinite reports whether no coordinate is NaN or infinite.
func (a Vec) IsFinite() bool {
	const inf = math.MaxFloat64
	return a.X >= -inf && a.X <= inf && a.Y >= -inf && a.Y <= inf && a.Z >= -inf && a.Z <= inf
}

// Array returns the coordinates as an array, the form used in reports.
func (a Vec) Array() [3]float64 { return [3]float64{a.X, a.Y, a.Z} }

// Basis returns two unit vectors e1, e2 such that (e1, e2, u) is a
// right-handed orthonormal frame. u must be a unit vector. For u = +Z it is
// the identity frame (+X, +Y), and the frame depends on u alone.
func Basis(u Vec) (e1, e2 Vec) {
	// Take the axis least aligned with u to build e1; for |u.Z| large that
	// is X, so that a pattern seen from above keeps the file's own axes.
	a := Vec{1, 0, 0}
	if math.Abs(u.X) > 0.9 {
		a = Vec{0, 1, 0}
	}
	e1 = a.Sub(u.Mul(a.Dot(u))).Unit()
	e2 = u.Cross(e1)
	return e1, e2
}
