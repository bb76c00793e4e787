package mesh

import (
	"math"
)

// Vec2 is a point or direction in a plane, mm (or unitless, for a direction).
type Vec2 struct{ X, Y float64 }

// Add returns a + b.
func (a Vec2) Add(b Vec2) Vec2 { return Vec2{a.X + b.X, a.Y + b.Y} }

// Sub returns a - b.
func (a Vec2) Sub(b Vec2) Vec2 { return Vec2{a.X - b.X, a.Y - b.Y} }

// Mul returns a scaled by k.
func (a Vec2) Mul(k float64) Vec2 { return Vec2{a.X * k, a.Y * k} }

// Dot returns the scalar product.
func (a Vec2) Dot(b Vec2) float64 { return float64(a.X*b.X) + float64(a.Y*b.Y) }

// Cross returns the third coordinate of the vector product.
func (a Vec2) Cross(b Vec2) float64 { return float64(a.X*b.Y) - float64(a.Y*b.X) }

// Len returns the Euclidean length.
func (a Vec2) Len() float64 { return math.Sqrt(a.Dot(a)) }

// Perp returns a turned a quarter turn counterclockwise.
func (a Vec2) Perp() Vec2 { return Vec2{-a.Y, a.X} }

// Bounds2 is the box round points of a plane, of which there must be one at least.
func Bounds2(pts []Vec2) (lo, hi Vec2) {
	lo, hi = pts[0], pts[0]
	for _, p := range pts {
		lo = Vec2{X: min(lo.X, p.X), Y: min(lo.Y, p.Y)}
		hi = Vec2{X: max(hi.X, p.X), Y: max(hi.Y, p.Y)}
	}
	return lo, hi
}
