package boxfit

import (
	"math"

	"moldtally/mesh/unit"
)

// Walls of a box bow as thin plates. Method: M. Lévy's series in S. Timoshenko
// & S. Woinowsky-Krieger, "Theory of Plates and Shells", 2nd ed. 1959, chapters
// 5 and 6; its coefficients (and those of Roark's Formulas for Stress and
// Strain) are computed here, not copied.

// edge says how the bottom or the top of a wall is held. The two upright edges
// are always simply supported: a butt joint turns.
type edge int

const (
	supported edge = iota // held in place, free to turn
	clamped               // held in place and in direction
	free
)

// plate is a wall: width a between its supported upright edges, height h.
// The load at height y above the bottom is c0 + c1·y.
type plate struct {
	a, h        float64
	nu          float64 // Poisson's ratio
	bottom, top edge
	c0, c1      float64
	terms       []plateTerm
}

// plateTerm is one sine across the width: W(y) = Σ c[i]·φi(y) + f·(c0 + c1·y),
// for a plate of stiffness D = 1.
type plateTerm struct {
	m, k, f float64
	c       [4]float64
}

// plateTerms is how many sines are summed; the load falls off as m⁻⁵, so 40
// odd ones (to m = 79) leave less than a part in a million of the deflection.
const plateTerms = 40

// basis returns the i-th homogeneous solution and its first three derivatives
// at y. The exponentials fall away from the edge they start at, so none ever
// overflows.
func (p *plate) basis(i int, k, y float64) [4]float64 {
	s := y
	if i >= 2 {
		s = p.h - y
	}
	e := math.Exp(-k * s)
	var d [4]float64
	if i%2 == 0 { // e^(-ks)
		d = [4]float64{e, -k * e, k * k * e, -k * k * k * e}
	} else { // ks·e^(-ks)
		t := k * s
		d = [4]float64{t * e, k * (1 - t) * e, k * k * (t - 2) * e, k * k * k * (3 - t) * e}
	}
	if i >= 2 { // s runs against y
		d[1], d[3] = -d[1], -d[3]
	}
	return d
}

// rows returns the two conditions at an edge as functions of (w, w', w”, w”').
func (p *plate) rows(e edge, k float64) [2][4]float64 {
	switch e {
	case clamped:
		return [2][4]float64{{1, 0, 0, 0}, {0, 1, 0, 0}}
	case free: // no moment, no shear (Kirchhoff)
		return [2][4]float64{{-p.nu * k * k, 0, 1, 0}, {0, -(2 - p.nu) * k * k, 0, 1}}
	}
	return [2][4]float64{{1, 0, 0, 0}, {0, 0, 1, 0}}
}

// solve finds the coefficients of each term.
func (p *plate) solve() {
	p.terms = p.terms[:0]
	for n := range plateTerms {
		t := plateTerm{m: float64(2*n + 1)}
		t.k = t.m * math.Pi / p.a
		t.f = 4 / (t.m * math.Pi * t.k * t.k * t.k * t.k)
		var sys [4][5]float64
		for side, y := range [2]float64{0, p.h} {
			e := p.bottom
			if side == 1 {
				e = p.top
			}
			part := [4]float64{t.f * (p.c0 + p.c1*y), t.f * p.c1, 0, 0}
			for r, row := range p.rows(e, t.k) {
				q := &sys[2*side+r]
				for i := range 4 {
					d := p.basis(i, t.k, y)
					for j, c := range row {
						q[i] += c * d[j]
					}
				}
				for j, c := range row {
					q[4] -= c * part[j]
				}
			}
		}
		t.c = gauss4(sys)
		p.terms = append(p.terms, t)
	}
}

// gauss4 solves four equations in four unknowns, rows scaled and pivoted.
func gauss4(a [4][5]float64) (x [4]float64) {
	for i := range a {
		s := 0.0
		for _, v := range a[i][:4] {
			s = max(s, math.Abs(v))
		}
		if s > 0 {
			for j := range a[i] {
				a[i][j] /= s
			}
		}
	}
	for i := range 4 {
		p := i
		for r := i + 1; r < 4; r++ {
			if math.Abs(a[r][i]) > math.Abs(a[p][i]) {
				p = r
			}
		}
		a[i], a[p] = a[p], a[i]
		if a[i][i] == 0 {
			continue
		}
		for r := i + 1; r < 4; r++ {
			f := a[r][i] / a[i][i]
			for j := i; j < 5; j++ {
				a[r][j] -= f * a[i][j]
			}
		}
	}
	for i := 3; i >= 0; i-- {
		s := a[i][4]
		for j := i + 1; j < 4; j++ {
			s -= a[i][j] * x[j]
		}
		if a[i][i] != 0 {
			x[i] = s / a[i][i]
		}
	}
	return x
}

// at returns, at the middle of the width and height y, the deflection for
// D = 1 and the bending moments along the width (mx) and the height (my).
func (p *plate) at(y float64) (w, mx, my float64) {
	for _, t := range p.terms {
		d := [4]float64{t.f * (p.c0 + p.c1*y), t.f * p.c1, 0, 0}
		for i, c := range t.c {
			b := p.basis(i, t.k, y)
			for j := range d {
				d[j] += c * b[j]
			}
		}
		s := 1.0
		if int(t.m)%4 == 3 {
			s = -1 // sin(mπ/2)
		}
		w += s * d[0]
		mx += s * (t.k*t.k*d[0] - p.nu*d[2])
		my += s * (p.nu*t.k*t.k*d[0] - d[2])
	}
	return w, mx, my
}

// most returns the largest deflection on the middle line and where it is, and
// the largest moments, for D = 1.
func (p *plate) most() (w, y, mx, my float64) {
	const n = 100
	for i := 0; i <= n; i++ {
		v := p.h * float64(i) / n
		a, b, c := p.at(v)
		if a > w {
			w, y = a, v
		}
		mx, my = max(mx, b), max(my, c)
	}
	// Golden section round the best sample.
	lo, hi := max(0, y-p.h/n), min(p.h, y+p.h/n)
	const g = 0.6180339887498949
	for range 40 {
		a, b := hi-g*(hi-lo), lo+g*(hi-lo)
		wa, _, _ := p.at(a)
		wb, _, _ := p.at(b)
		if wa > wb {
			hi = b
		} else {
			lo = a
		}
	}
	if v, _, _ := p.at((lo + hi) / 2); v > w {
		w, y = v, (lo+hi)/2
	}
	return w, y, mx, my
}

// boardPoisson is Poisson's ratio of box boards (common practice for wood
// panels and plastics, no source; it moves the bow by a few per cent at most).
const boardPoisson = 0.3

// stiffness returns a plate's D in N·mm from E in GPa and thickness in mm.
func stiffness(e, t, nu float64) float64 { return e * 1000 * t * t * t / (12 * (1 - nu*nu)) }

// wallBow returns the largest bow, mm, of a wall of width a and height h (mm)
// under liquid of density sg up to its top, its upright edges and its bottom
// supported and its top as given, for a board of E (GPa) and thickness t (mm).
// No creep is added.
func wallBow(a, h, sg, e, t float64, top edge) float64 {
	if a <= 0 || h <= 0 {
		return 0
	}
	q0 := headPressure(sg, h) / 1000 // kPa = 1000 N/m² = 0.001 N/mm²
	p := plate{a: a, h: h, nu: boardPoisson, top: top, c0: q0, c1: -q0 / h}
	p.solve()
	w, _, _, _ := p.most()
	return w / stiffness(e, t, boardPoisson)
}

// headPressure returns the pressure under a depth h (mm) of liquid, kPa.
func headPressure(sg, h float64) float64 { return sg * unit.G * h / 1000 }

// wallForce returns the force of liquid of depth h on a wall of length l (mm),
// N; it acts at a third of the depth above the bottom.
func wallForce(sg, h, l float64) float64 { return headPressure(sg, h) * h * l / 2 / 1000 }

// buoyancy returns the force that lifts a pattern of mass m (g) with the volume
// v (mm³) under liquid of density sg, N; negative when it sinks. Archimedes,
// full: the liquid is taken to creep under the pattern.
func buoyancy(sg, v, m float64) float64 { return (sg*v/1000 - m) / 1000 * unit.G }

// sealedLift returns the vertical force of liquid of density sg on a body of
// volume v (mm³) whose foot of the given area (mm²) no liquid gets under, depth
// mm below the liquid's top, N: often negative, the liquid then holds it down.
// It is the best case only; seepage brings back full buoyancy.
func sealedLift(sg, v, area, depth float64) float64 {
	return sg * (v - area*depth) * 1e-6 * unit.G
}

// shellLift returns the force that lifts a closed shell of the given projected
// area (mm²) off its base, N, with the liquid in its riser head mm above the
// base and volume mm³ of room between base and shell: the weight of the liquid
// missing above the shell.
func shellLift(sg, area, head, volume float64) float64 {
	return sg * (area*head - volume) * 1e-6 * unit.G
}
