package rubber

import "math"

// Profile is a pattern as the rubber round it feels it when it is drawn
// straight out: a stack of round sections from the mouth inwards, each as wide
// as the convex hull of the pattern's section there (stretched rubber bridges
// hollows).
type Profile struct {
	Step   float64   // height of a section, mm
	Radius []float64 // perimeter of the section's hull / 2π, mm
}

// Hold is how a mold is held while the pattern is drawn out of it.
type Hold struct {
	Wall      float64 // rubber beside the widest section, mm
	Friction  float64 // of rubber on the pattern
	Contained bool    // its container is still round it and cannot give
}

// What finite elements add to rings that know nothing of their neighbours. The
// three were fitted to axisymmetric, finite-strain, neo-Hookean elements with
// contact (a ball on a stem with two walls and two lengths of stem, a vase, a
// plate on a stem; forces held to a factor of 1.5 with the mold out of its
// container, of 2 in it).
const (
	// shoulder and shoulderIn are how much more a climb takes that stands square
	// to the pull, out of the container and in it: it pushes rubber ahead of
	// itself before the rubber rolls over. A climb at α takes 1 + k·sin⁶α.
	shoulder, shoulderIn = 1.5, 3.0
	shoulderPower        = 6

	// steepest is the slope, radians, past which friction no longer wedges:
	// rubber rolls over a steeper shoulder.
	steepest = math.Pi / 3

	// leastWedge keeps 1 − μ·tan α from nothing, for the same reason.
	leastWedge = 0.15

	// squeezed is the resistance of the rubber between pattern and container to
	// being pushed along: dp/dz = squeezed·G·q/h³ for a volume q that is moved
	// per width through a gap h. A layer held on one face has 3, on both 12.
	squeezed = 9.0
)

// sections is how many rings a profile is cut into; finer changes a force by
// under a per cent.
const sections = 200

// Pull is the greatest force on the way, as a multiple of the shear modulus
// (N per MPa, that is mm²), when a rigid pattern is drawn straight out of its
// mold. The mold is a stack of rings, each stretched by the widest part of the
// pattern that is in it at the time (Tube.Pressure), pressing on the slope that
// is there: work against the stretch, and friction. Rings behind the widest
// place push the pattern out. Nothing in it has a length of its own: with all
// lengths doubled it is four times.
func (p Profile) Pull(h Hold) float64 {
	s := p.rings(h)
	most := 0.0
	for d := 1; d < len(s.r); d++ {
		most = max(most, s.drawn(d))
	}
	return most
}

// Open is the force of each of two hands that open mouth and neck evenly to the
// widest section, as a multiple of the shear modulus (mm²): the pressure of
// every ring below it times the width it is opened to.
func (p Profile) Open(wall float64) float64 {
	s := p.rings(Hold{Wall: wall})
	widest, at := 0.0, 0
	for k, r := range s.r {
		if r > widest {
			widest, at = r, k
		}
	}
	sum := 0.0
	for _, r := range s.r[:at] {
		sum += s.pressure(r, widest) * 2 * widest * s.step
	}
	return sum
}

// slide is a profile cut into rings of equal height.
type slide struct {
	Hold
	r, tan     []float64 // radius, and slope of the climb into it from the section before
	step       float64
	outer      float64 // radius of the mold's outside
	shoulder   float64
	press, vol []float64 // scratch of one position: per ring
}

func (p Profile) rings(h Hold) *slide {
	n := min(len(p.Radius), sections)
	s := &slide{Hold: h, r: make([]float64, n), tan: make([]float64, n), press: make([]float64, n), vol: make([]float64, n), shoulder: shoulder}
	if h.Contained {
		s.shoulder = shoulderIn
	}
	if n == 0 {
		return s
	}
	s.step = p.Step * float64(len(p.Radius)) / float64(n)
	for k := range s.r {
		// The widest of what the ring takes in: rubber bridges the rest.
		for i := k * len(p.Radius) / n; i < (k+1)*len(p.Radius)/n; i++ {
			s.r[k] = max(s.r[k], p.Radius[i])
		}
		s.outer = max(s.outer, s.r[k])
		if k > 0 {
			s.tan[k] = (s.r[k] - s.r[k-1]) / s.step
		}
	}
	s.outer += h.Wall
	return s
}

// pressure on a bore of radius a stretched to x, as a multiple of the shear
// modulus.
func (s *slide) pressure(a, x float64) float64 {
	if x <= a {
		return 0
	}
	if a <= 0 {
		a = x * 1e-3 // a point for a mouth: as good as closed
	}
	return Tube{a, s.outer, x / a}.Pressure()
}

// drawn is the force when the pattern has come out by d sections.
func (s *slide) drawn(d int) float64 {
	n := len(s.r) - d
	for k := range n {
		s.press[k] = 0
	}
	if s.Contained {
		for k := 0; k < n; {
			if s.r[k+d] <= s.r[k] {
				k++
				continue
			}
			end := k
			for end < n && s.r[end+d] > s.r[end] {
				end++
			}
			s.displace(k, end, d)
			k = end
		}
	}
	force := 0.0
	for k := range n {
		if a, x := s.r[k], s.r[k+d]; x > a {
			force += s.ring(a, x, s.tan[k+d], s.press[k])
		}
	}
	return force
}

// ring is what one ring of bore a, opened to x, adds: pushed is the pressure of
// the rubber that its neighbours push past it.
func (s *slide) ring(a, x, tan, pushed float64) float64 {
	steep := min(math.Abs(tan), math.Tan(steepest))
	if tan < 0 {
		// Past its widest place the pattern is pushed out.
		p := (s.pressure(a, x) + pushed) * 2 * math.Pi * x
		return p * s.step * (tan + s.Friction*(1+steep*steep)/(1+s.Friction*steep))
	}
	from := max(a, x-tan*s.step)
	p, parts := 0.0, 1
	if x > a {
		parts = min(8, 1+int(8*(x-from)/(x-a)))
	}
	for i := range parts {
		y := from + (x-from)*(float64(i)+0.5)/float64(parts)
		p += (s.pressure(a, y) + pushed*(y-a)/(x-a)) * 2 * math.Pi * y
	}
	p /= float64(parts)
	sin := tan / math.Sqrt(1+tan*tan)
	more := 1 + s.shoulder*math.Pow(sin, shoulderPower)
	return more * p * (x - from + s.step*s.Friction*(1+steep*steep)/max(leastWedge, 1-s.Friction*steep))
}

// displace fills the pressure of the rubber that rings k to end push along the
// gap between pattern and container: it leaves at both ends of the contact,
// where there is no pressure, and takes the way that resists least.
func (s *slide) displace(k, end, d int) {
	moved, flow, hold := 0.0, 0.0, 0.0
	weight := func(i int) float64 {
		x := s.r[i+d]
		gap := max(s.outer-x, 1e-3*s.outer)
		return squeezed / (math.Pi * (x + s.outer) * gap * gap * gap)
	}
	for i := k; i < end; i++ {
		a, x := s.r[i], s.r[i+d]
		moved += math.Pi * (x*x - a*a) * s.step
		s.vol[i] = moved
		w := weight(i)
		flow += moved * w
		hold += w
	}
	still := flow / hold // the volume that turns back to the first end
	p := 0.0
	for i := k; i < end; i++ {
		p -= (s.vol[i] - still) * weight(i) * s.step
		s.press[i] = max(0, p)
	}
}
