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
	battened // free but for a beam along it, held at the corners
)

// plate is a wall: width a between its supported upright edges, height h.
// The load at height y above the bottom is c0 + c1·y up to the liquid's level, where
// it is 0; above the level there is none.
type plate struct {
	a, h        float64
	nu          float64 // Poisson's ratio
	bottom, top edge
	rim         float64 // of a battened edge: the beam's stiffness E·I over the plate's D, mm
	c0, c1      float64
	level       float64 // of the liquid; 0 = the load goes on to the top
	terms       []plateTerm
	count       int // of terms; 0 = plateTerms
}

// plateTerm is one sine across the width: W(y) = Σ c[i]·φi(y) + what the load does
// far from the edges, for a plate of stiffness D = 1.
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

// loaded is a solution under the load, and its first three derivatives, at y: f·(c0 +
// c1·y) below the level, nothing above, and at the level what joins the two
// smoothly, which falls away from it on both sides: with r the distance from the
// level, (-3s/4k)·(1 + kr/3)·e^(-kr), s the step in slope there.
func (p *plate) loaded(t *plateTerm, y float64) [4]float64 {
	d := [4]float64{t.f * (p.c0 + p.c1*y), t.f * p.c1, 0, 0}
	if p.level <= 0 || p.level >= p.h {
		return d
	}
	r, side := p.level-y, -1.0
	if r < 0 {
		d, r, side = [4]float64{}, -r, 1
	}
	k := t.k
	b := -t.f * p.c1 / (4 * k)
	a, e := 3*b, math.Exp(-k*r)
	d[0] += (a + b*k*r) * e
	d[1] += side * k * (b - a - b*k*r) * e
	d[2] += k * k * (a - 2*b + b*k*r) * e
	d[3] += side * k * k * k * (3*b - a - b*k*r) * e
	return d
}

// rows returns the two conditions at an edge as functions of (w, w', w”, w”').
func (p *plate) rows(e edge, k float64) [2][4]float64 {
	switch e {
	case clamped:
		return [2][4]float64{{1, 0, 0, 0}, {0, 1, 0, 0}}
	case free: // no moment, no shear (Kirchhoff)
		return [2][4]float64{{-p.nu * k * k, 0, 1, 0}, {0, -(2 - p.nu) * k * k, 0, 1}}
	case battened: // no moment; its shear is what bends the beam: D·V = E·I·k⁴·w
		return [2][4]float64{{-p.nu * k * k, 0, 1, 0}, {-p.rim * k * k * k * k, -(2 - p.nu) * k * k, 0, 1}}
	}
	return [2][4]float64{{1, 0, 0, 0}, {0, 0, 1, 0}}
}

// solve finds the coefficients of each term.
func (p *plate) solve() {
	p.terms = p.terms[:0]
	count := p.count
	if count == 0 {
		count = plateTerms
	}
	for n := range count {
		t := plateTerm{m: float64(2*n + 1)}
		t.k = t.m * math.Pi / p.a
		t.f = 4 / (t.m * math.Pi * t.k * t.k * t.k * t.k)
		var sys [4][5]float64
		for side, y := range [2]float64{0, p.h} {
			e := p.bottom
			if side == 1 {
				e = p.top
			}
			part := p.loaded(&t, y)
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

// deflection is that at the middle of the width and height y, for D = 1.
func (p *plate) deflection(y float64) (w float64) {
	for i := range p.terms {
		t := &p.terms[i]
		up, down := t.k*y, t.k*(p.h-y)
		v := p.loaded(t, y)[0] + (t.c[0]+t.c[1]*up)*math.Exp(-up) + (t.c[2]+t.c[3]*down)*math.Exp(-down)
		if int(t.m)%4 == 3 {
			v = -v // sin(mπ/2)
		}
		w += v
	}
	return w
}

// deepest is the largest deflection on the middle line, for D = 1.
func (p *plate) deepest() (w float64) {
	const n = 24
	at := 0.0
	for i := 0; i <= n; i++ {
		y := p.h * float64(i) / n
		if v := p.deflection(y); v > w {
			w, at = v, y
		}
	}
	lo, hi := max(0, at-p.h/n), min(p.h, at+p.h/n)
	const g = 0.6180339887498949 // golden section round the best sample
	for range 16 {
		a, b := hi-g*(hi-lo), lo+g*(hi-lo)
		if p.deflection(a) > p.deflection(b) {
			hi = b
		} else {
			lo = a
		}
	}
	return max(w, p.deflection((lo+hi)/2))
}

// boardPoisson is Poisson's ratio of box boards (common practice for wood
// panels and plastics, no source; it moves the bow by a few per cent at most).
const boardPoisson = 0.3

// stiffness returns a plate's D in N·mm from E in GPa and thickness in mm.
func stiffness(e, t, nu float64) float64 { return e * 1000 * t * t * t / (12 * (1 - nu*nu)) }

// wall is a wall of a box: width a, height h, with liquid of density sg up to a
// level against it; of a board of modulus e, GPa, and thickness t. Lengths mm.
type wall struct{ a, h, level, sg, e, t float64 }

// bow is the largest bow, mm, with the wall's upright edges and its bottom held and
// its top as given; ei is the stiffness of the batten along a battened one, N·mm².
// No creep is added.
func (w wall) bow(top edge, ei float64) float64 {
	if w.a <= 0 || w.h <= 0 || w.level <= 0 {
		return 0
	}
	d := stiffness(w.e, w.t, boardPoisson)
	q0 := headPressure(w.sg, w.level) / 1000 // kPa = 1000 N/m² = 0.001 N/mm²
	p := plate{a: w.a, h: max(w.h, w.level), level: w.level, nu: boardPoisson, top: top, rim: ei / d, c0: q0, c1: -q0 / w.level}
	// A dozen sines leave a part in a million; a long low wall needs more.
	p.count = min(plateTerms, max(12, int(6*w.a/p.h)))
	p.solve()
	return p.deepest() / d
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
