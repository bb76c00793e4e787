package rubber

import (
	"errors"
	"math"

	"moldtally/mesh/unit"
)

// Gent's relation: A. N. Gent, "On the Relation between Indentation Hardness
// and Young's Modulus", Trans. Institution of the Rubber Industry 34 (1958)
// 46-57, with the constant that nearly all published code carries (copies with
// 7.66 differ by under 0.5 %). Other published fits differ by a factor of 1.5
// from 25 to 60 A and 2 outside.
const (
	gentForce = 0.0981
	gentBase  = 56.0
	gentSlope = 7.62336
	gentSize  = 0.137505
)

// ErrHardness is returned for a hardness that Gent's relation says nothing of.
var ErrHardness = errors.New("rubber: hardness outside 5 to 95 Shore A")

// Young returns Young's modulus, MPa, of a rubber of Shore A hardness s.
func Young(s float64) (float64, error) {
	if !(s >= 5 && s <= 95) {
		return 0, ErrHardness
	}
	return young(s), nil
}

func young(s float64) float64 {
	return gentForce * (gentBase + gentSlope*s) / (gentSize * (254 - 2.54*s))
}

// ShoreA is the exact inverse of Young: the hardness of a rubber of modulus e,
// MPa.
func ShoreA(e float64) float64 {
	k := gentSize * e / gentForce
	return (254*k - gentBase) / (gentSlope + 2.54*k)
}

// FitFactor is how far published relations between hardness and modulus differ
// from each other: a force reckoned from hardness is good to this factor.
func FitFactor(s float64) float64 {
	if s >= 25 && s <= 60 {
		return 1.5
	}
	return 2
}

// RingStress is the force per undeformed area, as a multiple of Young's
// modulus, that stretches a narrow ring of rubber to λ times its length:
// (λ − λ⁻²)/3 (neo-Hookean; L. R. G. Treloar, "The Physics of Rubber
// Elasticity", recalled). Good to a factor of 1.5 up to λ = 2.
func RingStress(lambda float64) float64 { return (lambda - 1/(lambda*lambda)) / 3 }

// Tube is a thick ring of rubber, inner radius A, outer B, whose bore is
// stretched to λ·A at unchanged length.
type Tube struct{ A, B, Lambda float64 }

// Stretched returns the radii after stretching; the rubber keeps its volume.
func (t Tube) Stretched() (a, b float64) {
	a = t.Lambda * t.A
	return a, math.Sqrt(t.B*t.B + a*a - t.A*t.A)
}

// Pressure returns the pressure on the bore, as a multiple of the shear modulus
// (a third of Young's): ln(b/a) − ln(b'/a') + (c/2)(1/a'² − 1/b'²), c = a'² − a².
func (t Tube) Pressure() float64 {
	a, b := t.Stretched()
	c := a*a - t.A*t.A
	return math.Log(t.B/t.A) - math.Log(b/a) + c/2*(1/(a*a)-1/(b*b))
}

// gravity is the acceleration of free fall, mm/s².
const gravity = 1000 * unit.G

// plate returns the bending stiffness per width, N·mm, of a sheet: modulus e
// MPa, thickness t mm, Poisson's ratio nu.
func plate(e, t, nu float64) float64 { return e * t * t * t / (12 * (1 - nu*nu)) }

// WallLean is how far, mm, the top of a rubber wall that stands alone leans out
// under a casting as high as itself: ρ·g·h⁵/(30·D), a strip clamped at its foot
// under a triangular load (elementary beam theory). e MPa, thickness and height
// mm, density g/cm³. False past a tenth of the height, where the theory ends
// and the wall simply cannot stand.
func WallLean(e, thick, height, density float64) (float64, bool) {
	w := density * 1e-9 * gravity * math.Pow(height, 5) / (30 * plate(e, thick, 0.5)) // t/mm³·mm/s² = N/mm³
	return w, w <= height/10
}

// TallestWall is the height, mm, at which a wall that stands alone leans by w.
func TallestWall(e, thick, w, density float64) float64 {
	return math.Pow(30*plate(e, thick, 0.5)*w/(density*1e-9*gravity), 0.2)
}

// WallFor is the thickness, mm, of a wall that stands alone and leans by no more
// than w: WallLean turned round.
func WallFor(e, height, w, density float64) float64 {
	return math.Cbrt(12 * 0.75 * density * 1e-9 * gravity * math.Pow(height, 5) / (30 * e * w))
}

// BucklingHeight is the height, mm, at which a free-standing wall of rubber
// folds under its own weight: (7.8373·D/(ρ·g·t))^(1/3), the column of A. G.
// Greenhill (1881), recalled. e MPa, thickness mm, density of the rubber g/cm³.
func BucklingHeight(e, thick, density float64) float64 {
	return math.Cbrt(7.8373 * plate(e, thick, 0.5) / (density * 1e-9 * gravity * thick))
}

// Squash is how far, mm, a block of rubber of a height settles under its own
// weight: ρ·g·h²/(2E).
func Squash(e, height, density float64) float64 {
	return density * 1e-9 * gravity * height * height / (2 * e)
}

// PressedIn is the most, mm, by which rubber that its container backs gives way
// under a casting of a height: the pressure at its foot on a slab of that
// thickness that could spread freely, ρ·g·h·t/E. Between casting and container
// it cannot spread, so that the truth is far less.
func PressedIn(e, thick, height, density float64) float64 {
	return density * 1e-9 * gravity * height * thick / e
}

// RoundBow is how far, mm, the inside of a round mold of inner radius a and
// outer radius b swells under a casting of a height when it stands without its
// sleeve: 3·p·a·b²/(2E·(b² − a²)), the thick cylinder of G. Lamé for a material
// that keeps its volume, at unchanged length. False past a tenth of the radius.
func RoundBow(e, a, b, height, density float64) (float64, bool) {
	p := density * 1e-9 * gravity * height
	w := 1.5 * p * a * b * b / (e * (b*b - a*a))
	return w, w <= a/10
}

// BoxWallBow is how far, mm, a wall of a rubber block mold bows out at its rim
// under a casting poured to the brim, when the mold stands without its box:
// width between the corners, height and thickness in mm, density g/cm³, e MPa.
// The wall is a plate held at both sides and foot, free at the rim, under a
// triangular load; see rimFactor. False past a tenth of the height.
func BoxWallBow(e, width, height, thick, density float64) (float64, bool) {
	w := rimFactor(height/width, 0.5) * density * 1e-9 * gravity * height * math.Pow(width, 4) / plate(e, thick, 0.5)
	return w, w <= min(height, width)/10
}

// rimFactor is w·D/(q·a⁴) at the middle of the free rim of a plate of height
// ratio·a, simply supported on its other three sides, under a pressure that
// falls from q at the foot to 0 at the rim. M. Lévy's series for odd m (S.
// Timoshenko and S. Woinowsky-Krieger, "Theory of Plates and Shells", 2nd ed.,
// recalled), its four constants per term from the edge conditions.
func rimFactor(ratio, nu float64) float64 {
	h := ratio // with a = 1, q = 1, D = 1
	sum := 0.0
	for m := 1; m <= 81; m += 2 {
		k := float64(m) * math.Pi
		f := 4 / (k * k * k * k * k)
		// particular solution p(y) = f·(1 − y/h); basis e^(−ky), ky·e^(−ky),
		// e^(−k(h−y)), k(h−y)·e^(−k(h−y)); derivatives in units of k.
		kh := k * h
		row := func(y float64) (w, w1, w2, w3 [4]float64) {
			s, r := k*y, kh-k*y
			a, b := math.Exp(-s), math.Exp(-r)
			w = [4]float64{a, s * a, b, r * b}
			w1 = [4]float64{-a, (1 - s) * a, b, (r - 1) * b}
			w2 = [4]float64{a, (s - 2) * a, b, (r - 2) * b}
			w3 = [4]float64{-a, (3 - s) * a, b, (r - 3) * b}
			return w, w1, w2, w3
		}
		f0, _, f2, _ := row(0)
		h0, h1, h2, h3 := row(h)
		var mat [4][5]float64
		for c := range 4 {
			mat[0][c] = f0[c]
			mat[1][c] = f2[c]
			mat[2][c] = h2[c] - nu*h0[c]
			mat[3][c] = h3[c] - (2-nu)*h1[c]
		}
		mat[0][4] = -f                 // w = 0 at the foot
		mat[1][4] = 0                  // no moment at the foot: p'' = 0
		mat[2][4] = 0                  // at the rim p = 0
		mat[3][4] = (2 - nu) * -f / kh // p' = −f/h, in units of k
		x, ok := solve4(mat)
		if !ok {
			continue
		}
		w := 0.0
		for c := range 4 {
			w += h0[c] * x[c]
		}
		if m%4 == 3 {
			w = -w // sin(mπ/2)
		}
		sum += w
	}
	return sum
}

// solve4 solves four equations by elimination with row pivoting.
func solve4(m [4][5]float64) (x [4]float64, ok bool) {
	for c := range 4 {
		p := c
		for r := c + 1; r < 4; r++ {
			if math.Abs(m[r][c]) > math.Abs(m[p][c]) {
				p = r
			}
		}
		if m[p][c] == 0 {
			return x, false
		}
		m[c], m[p] = m[p], m[c]
		for r := c + 1; r < 4; r++ {
			f := m[r][c] / m[c][c]
			for k := c; k < 5; k++ {
				m[r][k] -= f * m[c][k]
			}
		}
	}
	for r := 3; r >= 0; r-- {
		x[r] = m[r][4]
		for c := r + 1; c < 4; c++ {
			x[r] -= m[r][c] * x[c]
		}
		x[r] /= m[r][r]
	}
	return x, true
}
