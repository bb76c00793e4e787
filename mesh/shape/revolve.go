package shape

import (
	"fmt"
	"math"

	"moldtally/mesh"
)

// RZ is a point of a turned profile: distance from the Z axis, and height.
type RZ struct{ R, Z float64 }

// Revolve turns a profile about the Z axis in n steps. A profile that starts
// and ends on the axis (R = 0) bounds a solid of revolution; any other is a
// loop whose last point joins its first, and gives a ring. Either direction of
// travel gives a mesh wound outward. The profile must not cross itself, nor
// touch the axis between its ends.
//
// Rings stand at the angles 2πk/n, so every facet is a plane trapezium and the
// section at any height is a regular n-gon: RevolveVolume and RevolveArea are
// exact.
func Revolve(profile []RZ, n int) *mesh.Mesh {
	p, loop := checkProfile(profile, n)
	cos, sin := circle(n)
	at := func(q RZ, k int) mesh.Vec {
		if q.R == 0 {
			return mesh.Vec{Z: q.Z}
		}
		k %= n
		return mesh.Vec{X: q.R * cos[k], Y: q.R * sin[k], Z: q.Z}
	}
	var s soup
	edges := len(p) - 1
	if loop {
		edges = len(p)
	}
	for i := range edges {
		a, b := p[i], p[(i+1)%len(p)]
		for k := range n {
			s.quad(at(a, k), at(a, k+1), at(b, k+1), at(b, k))
		}
	}
	return s.mesh()
}

// circle returns the n directions of a regular n-gon, exact at the quarters
// and symmetric, so that opposite corners are exact negatives where n is even.
func circle(n int) (cos, sin []float64) {
	cos, sin = make([]float64, n), make([]float64, n)
	for k := range n {
		switch {
		case 8*k%n == 0 && (8*k/n)%2 == 0:
			q := 8 * k / n / 2
			cos[k], sin[k] = []float64{1, 0, -1, 0}[q], []float64{0, 1, 0, -1}[q]
		default:
			sin[k], cos[k] = math.Sincos(2 * math.Pi * float64(k) / float64(n))
		}
	}
	if n%2 == 0 {
		for k := n / 2; k < n; k++ {
			cos[k], sin[k] = -cos[k-n/2]+0, -sin[k-n/2]+0
		}
	}
	return cos, sin
}

func checkProfile(profile []RZ, n int) (p []RZ, loop bool) {
	if n < 3 || len(profile) < 3 {
		panic(fmt.Sprintf("shape: a profile of %d points in %d steps", len(profile), n))
	}
	last := len(profile) - 1
	loop = profile[0].R != 0 || profile[last].R != 0
	area := 0.0
	for i, q := range profile {
		if q.R < 0 || (q.R == 0 && (loop || (i != 0 && i != last))) {
			panic(fmt.Sprintf("shape: profile point %d at radius %v", i, q.R))
		}
		o := profile[(i+1)%len(profile)]
		area += q.R*o.Z - o.R*q.Z
	}
	p = profile
	if area < 0 { // make it run counter-clockwise: up on the outside
		p = make([]RZ, len(profile))
		for i, q := range profile {
			p[last-i] = q
		}
	}
	return p, loop
}

// RevolveVolume is the exact volume of Revolve(profile, n), mm³: sections are
// regular n-gons of area (n/2)·sin(2π/n)·r², with r linear along each edge.
// n = 0 gives the ideal body of revolution (π·r²).
func RevolveVolume(profile []RZ, n int) float64 {
	k := math.Pi
	if n > 0 {
		k = float64(n) / 2 * math.Sin(2*math.Pi/float64(n))
	}
	sum := 0.0
	for i, a := range profile {
		b := profile[(i+1)%len(profile)]
		sum += (b.Z - a.Z) * (a.R*a.R + a.R*b.R + b.R*b.R) / 3
	}
	return k * math.Abs(sum)
}

// RevolveArea is the exact surface of Revolve(profile, n), mm²: each edge
// gives n trapezia. n = 0 gives the ideal body of revolution.
func RevolveArea(profile []RZ, n int) float64 {
	sum := 0.0
	for i, a := range profile {
		b := profile[(i+1)%len(profile)]
		if a.R == 0 && b.R == 0 {
			continue
		}
		if n == 0 {
			sum += math.Pi * (a.R + b.R) * math.Hypot(a.R-b.R, a.Z-b.Z)
			continue
		}
		h := math.Pi / float64(n)
		slant := math.Hypot((a.R-b.R)*math.Cos(h), a.Z-b.Z)
		sum += float64(n) * (a.R + b.R) * math.Sin(h) * slant
	}
	return sum
}

// NgonPerimeter is the perimeter of the regular n-gon of circumradius r, the
// section of a revolved body.
func NgonPerimeter(r float64, n int) float64 {
	return 2 * float64(n) * r * math.Sin(math.Pi/float64(n))
}

// NgonArea is the area of the regular n-gon of circumradius r.
func NgonArea(r float64, n int) float64 {
	return float64(n) / 2 * r * r * math.Sin(2*math.Pi/float64(n))
}

// BallProfile is a half circle of radius r centred at height 0, in m chords.
func BallProfile(r float64, m int) []RZ {
	p := make([]RZ, m+1)
	for i := range p {
		s, c := math.Sincos(math.Pi * float64(i) / float64(m))
		p[i] = RZ{r * s, -r * c}
	}
	p[0].R, p[m].R = 0, 0
	return p
}

// Sphere is a ball of radius r about the origin: 2n meridians and n bands. Its
// volume is RevolveVolume(BallProfile(r, n), 2*n).
func Sphere(r float64, n int) *mesh.Mesh { return Revolve(BallProfile(r, n), 2*n) }

// Ellipsoid has half axes a, b, c about the origin; its volume is a·b·c times
// that of Sphere(1, n).
func Ellipsoid(a, b, c float64, n int) *mesh.Mesh { return Scale(Sphere(1, n), a, b, c) }

// TorusProfile is a circle of radius r about (R, 0) in nv chords.
func TorusProfile(R, r float64, nv int) []RZ {
	cos, sin := circle(nv)
	p := make([]RZ, nv)
	for i := range p {
		p[i] = RZ{R + r*cos[i], r * sin[i]}
	}
	return p
}

// Torus lies flat about the origin: centre circle R, tube r, nu steps round
// the axis and nv round the tube. Genus 1.
func Torus(R, r float64, nu, nv int) *mesh.Mesh { return Revolve(TorusProfile(R, r, nv), nu) }

// FrustumProfile stands on z = 0 with radius r0 below and r1 above.
func FrustumProfile(r0, r1, h float64) []RZ {
	p := []RZ{{0, 0}, {r0, 0}, {r1, h}, {0, h}}
	if r1 == 0 {
		p = []RZ{{0, 0}, {r0, 0}, {0, h}}
	}
	if r0 == 0 {
		p = []RZ{{0, 0}, {r1, h}, {0, h}}
	}
	return p
}

// Frustum is a truncated cone on z = 0.
func Frustum(r0, r1, h float64, n int) *mesh.Mesh { return Revolve(FrustumProfile(r0, r1, h), n) }

// Cylinder stands on z = 0.
func Cylinder(r, h float64, n int) *mesh.Mesh { return Frustum(r, r, h, n) }

// Cone stands on its base on z = 0: nothing is undercut for a pull along +Z,
// and everything above its tip for −Z.
func Cone(r, h float64, n int) *mesh.Mesh { return Frustum(r, 0, h, n) }

// MushroomProfile is a stem with a flat cap on it.
func MushroomProfile(capR, capH, stemR, stemH float64) []RZ {
	return []RZ{{0, 0}, {stemR, 0}, {stemR, stemH}, {capR, stemH}, {capR, stemH + capH}, {0, stemH + capH}}
}

// Mushroom stands on its stem. For a pull along +Z and no clay: depth and path
// capR − stemR, stretch capR/stemR − 1, undercut volume
// (NgonArea(capR) − NgonArea(stemR))·stemH.
func Mushroom(capR, capH, stemR, stemH float64, n int) *mesh.Mesh {
	return Revolve(MushroomProfile(capR, capH, stemR, stemH), n)
}

// VaseProfile is a pot with its inside: floor and wall of thickness t, foot
// radius foot, belly radius at half height, mouth radius at the top, all
// outside.
func VaseProfile(foot, belly, mouth, h, t float64) []RZ {
	return []RZ{
		{0, 0}, {foot, 0}, {belly, h / 2}, {mouth, h},
		{mouth - t, h}, {belly - t, h / 2}, {foot - t, t}, {0, t},
	}
}

// Vase stands on its foot, open at the top. For a pull along +Z the rubber
// inside it is squeezed by 1 − (mouth−t)/(belly−t).
func Vase(foot, belly, mouth, h, t float64, n int) *mesh.Mesh {
	return Revolve(VaseProfile(foot, belly, mouth, h, t), n)
}

// BottleProfile is a solid bottle: body, shoulder and neck.
func BottleProfile(body, neck, bodyH, shoulderH, neckH float64) []RZ {
	return []RZ{{0, 0}, {body, 0}, {body, bodyH}, {neck, bodyH + shoulderH},
		{neck, bodyH + shoulderH + neckH}, {0, bodyH + shoulderH + neckH}}
}

// Bottle stands on z = 0, solid; nothing is undercut for +Z, and upside down
// (−Z) its body hangs body − neck over the neck.
func Bottle(body, neck, bodyH, shoulderH, neckH float64, n int) *mesh.Mesh {
	return Revolve(BottleProfile(body, neck, bodyH, shoulderH, neckH), n)
}

// WaistedProfile is a post with a groove: radius R, and r at half height.
func WaistedProfile(R, r, h float64) []RZ {
	return []RZ{{0, 0}, {R, 0}, {r, h / 2}, {R, h}, {0, h}}
}

// Waisted is a post with a waist: for +Z depth R − r, stretch R/r − 1.
func Waisted(R, r, h float64, n int) *mesh.Mesh { return Revolve(WaistedProfile(R, r, h), n) }

// SquareRing is a washer of square section: inner radius ri, outer ro, height
// h, lying on z = 0. Genus 1; for +Z nothing is undercut and no rubber links
// through it.
func SquareRing(ri, ro, h float64, n int) *mesh.Mesh {
	return Revolve([]RZ{{ri, 0}, {ro, 0}, {ro, h}, {ri, h}}, n)
}
