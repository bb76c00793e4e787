package rubber

import (
	"math"
	"sync"
)

// Profile is a pattern as the rubber round it feels it when it is drawn
// straight out: a stack of round sections from the mouth inwards, each as wide
// as the convex hull of the pattern's section there (stretched rubber bridges
// hollows).
type Profile struct {
	Step   float64   // height of a section, mm
	Radius []float64 // perimeter of the section's hull / 2π, mm

	known *forces // nil = each is reckoned anew
}

// NewProfile is a profile that keeps what it takes: the same pull is asked for by every
// way to mold a pattern, by its verdict and by its hardness. It must not be changed.
func NewProfile(step float64, radius []float64) Profile {
	return Profile{step, radius, &forces{of: map[force]float64{}}}
}

// forces are what is known of a profile, looked up and never ranged over.
type forces struct {
	mu sync.Mutex
	of map[force]float64
}

// force is a way to get a pattern out, and how the mold is held meanwhile.
type force struct {
	way byte // one of pulled, opened, peeled
	Hold
}

const (
	pulled = iota
	opened
	peeled
)

// recall is what a way takes: reckoned once where the profile keeps it.
func (p Profile) recall(way byte, h Hold, reckon func(*slide) float64) float64 {
	if p.known == nil {
		return reckon(p.rings(h))
	}
	of := force{way, h}
	p.known.mu.Lock()
	v, ok := p.known.of[of]
	p.known.mu.Unlock()
	if !ok {
		v = reckon(p.rings(h))
		p.known.mu.Lock()
		p.known.of[of] = v
		p.known.mu.Unlock()
	}
	return v
}

// Hold is how a mold is held while the pattern is drawn out of it.
type Hold struct {
	Wall      float64 // rubber beside the widest section, mm
	Even      bool    // a coat no thicker at a neck than elsewhere, not a block
	Friction  float64 // of rubber on the pattern
	Contained bool    // its container is still round it and cannot give
}

// What finite elements add to rings that know nothing of their neighbours, fitted
// to axisymmetric, finite-strain, neo-Hookean elements with contact (a ball on a
// stem with two walls and two lengths of stem, a vase, a plate on a stem; at
// frictions to 0.3 held to a factor of 1.4 out of the container and 1.5 in it).
const (
	// shoulder is how much more a climb takes that stands square to the pull: it
	// pushes rubber ahead of itself before the rubber rolls over. A climb at α takes
	// 1 + shoulder·sin⁶α.
	shoulder      = 1.9
	shoulderPower = 6

	// steepest is the slope, radians, past which friction no longer wedges:
	// rubber rolls over a steeper shoulder.
	steepest = 0.38

	// leastWedge keeps 1 − μ·tan α from nothing, for the same reason.
	leastWedge = 0.15

	// confined is how many times as hard a ring presses whose container keeps it
	// from swelling.
	confined = 2.2

	// squeezed is the resistance of the rubber between pattern and container to
	// being pushed along: dp/dz = squeezed·G·q/h³ for a volume q that is moved
	// per width through a gap h. A layer held on one face has 3, on both 12.
	squeezed = 6.0

	// noRoom is the share of its thickness to which no rubber is pressed between
	// pattern and container; a judgement.
	noRoom = 0.1
)

// sections is how many rings a profile is cut into; finer changes a force by
// under a per cent.
const sections = 256

// Pull is the greatest force on the way, as a multiple of the shear modulus
// (N per MPa, that is mm²), when a rigid pattern is drawn straight out of its
// mold. The mold is a stack of rings, each stretched by the widest part of the
// pattern that is in it at the time (Tube.Pressure), pressing on the slope that
// is there: work against the stretch, and friction. Rings behind the widest
// place push the pattern out. Nothing in it has a length of its own: with all
// lengths doubled it is four times.
func (p Profile) Pull(h Hold) float64 { return p.recall(pulled, h, (*slide).pull) }

func (s *slide) pull() float64 {
	most := 0.0
	for d := 1; d < len(s.r); d++ {
		most = max(most, s.drawn(d))
	}
	return most
}

// Open is the force of each of two hands that open the mold evenly, every ring to
// the widest section behind it, as a multiple of the shear modulus (mm²): the
// pressure of each ring times the width it is opened to.
func (p Profile) Open(h Hold) float64 { return p.recall(opened, h, (*slide).open) }

func (s *slide) open() float64 {
	sum := 0.0
	for k, x := range s.behind() {
		sum += s.pressure(k, x) * 2 * x * s.step
	}
	return sum
}

// thinToTurn is the least ratio of radius to thickness at which rubber is turned
// inside out (common practice, no source).
const thinToTurn = 1.5

// Peel is the force of each of two hands that turn the rim back bit by bit, each
// bit as long as the rubber there is thick (judgement of this program), as a
// multiple of the shear modulus (mm²): the most that one bit takes. Where the rubber
// gets too thick to turn, the pattern is drawn straight out of the rest.
func (p Profile) Peel(h Hold) float64 { return p.recall(peeled, h, (*slide).peel) }

func (s *slide) peel() float64 {
	most := 0.0
	for k, x := range s.behind() {
		thick := s.outer[k] - s.r[k]
		if s.r[k] < thinToTurn*thick {
			rest := s.from(k)
			return max(most, rest.pull(), rest.open())
		}
		most = max(most, s.pressure(k, x)*2*x*thick)
	}
	return most
}

// slide is a profile cut into rings of equal height.
type slide struct {
	Hold
	r, tan     []float64 // radius, and slope of the climb into it from the section before
	more       []float64 // how many times as much that climb takes for its steepness
	outer      []float64 // radius of the mold's outside
	step       float64
	press, vol []float64 // scratch of one position: per ring
}

func (p Profile) rings(h Hold) *slide {
	n := min(len(p.Radius), sections)
	row := func() []float64 { return make([]float64, n) }
	s := &slide{Hold: h, r: row(), tan: row(), more: row(), outer: row(), press: row(), vol: row()}
	if n == 0 {
		return s
	}
	s.step = p.Step * float64(len(p.Radius)) / float64(n)
	widest := 0.0
	for k := range s.r {
		// The widest of what the ring takes in: rubber bridges the rest.
		for i := k * len(p.Radius) / n; i < (k+1)*len(p.Radius)/n; i++ {
			s.r[k] = max(s.r[k], p.Radius[i])
		}
		widest = max(widest, s.r[k])
		if k > 0 {
			s.tan[k] = (s.r[k] - s.r[k-1]) / s.step
		}
		sin := s.tan[k] / math.Sqrt(1+s.tan[k]*s.tan[k])
		s.more[k] = 1 + shoulder*math.Pow(sin, shoulderPower)
	}
	for k, r := range s.r {
		if s.outer[k] = widest + h.Wall; h.Even {
			s.outer[k] = r + h.Wall
		}
	}
	return s
}

// from is what is left of it from ring k inwards.
func (s *slide) from(k int) *slide {
	t := *s
	t.r, t.tan, t.more, t.outer, t.press, t.vol = s.r[k:], s.tan[k:], s.more[k:], s.outer[k:], s.press[k:], s.vol[k:]
	return &t
}

// behind is, per ring, the widest section that has to pass it.
func (s *slide) behind() []float64 {
	out := make([]float64, len(s.r))
	widest := 0.0
	for k := len(s.r) - 1; k >= 0; k-- {
		widest = max(widest, s.r[k])
		out[k] = widest
	}
	return out
}

// pressure on the bore of ring k stretched to x, as a multiple of the shear
// modulus.
func (s *slide) pressure(k int, x float64) float64 {
	a := s.r[k]
	if x <= a {
		return 0
	}
	if a <= 0 {
		a = x * 1e-3 // a point for a mouth: as good as closed
	}
	p := Tube{a, s.outer[k], x / a}.Pressure()
	if s.Contained {
		p *= confined
	}
	return p
}

// drawn is the force when the pattern has come out by d sections; +Inf where its
// container leaves no room for that.
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
				if s.outer[end]-s.r[end+d] < noRoom*(s.outer[end]-s.r[end]) {
					return math.Inf(1)
				}
				end++
			}
			s.displace(k, end, d)
			k = end
		}
	}
	force := 0.0
	for k := range n {
		if s.r[k+d] > s.r[k] {
			force += s.ring(k, k+d)
		}
	}
	return force
}

// ring is what ring k adds, opened by the section at.
func (s *slide) ring(k, at int) float64 {
	a, x, tan, pushed := s.r[k], s.r[at], s.tan[at], s.press[k]
	steep := min(math.Abs(tan), math.Tan(steepest))
	if tan < 0 {
		// Past its widest place the pattern is pushed out.
		p := (s.pressure(k, x) + pushed) * 2 * math.Pi * x
		return p * s.step * (tan + s.Friction*(1+steep*steep)/(1+s.Friction*steep))
	}
	from := max(a, x-tan*s.step)
	p, parts := 0.0, min(8, 1+int(8*(x-from)/(x-a)))
	for i := range parts {
		y := from + (x-from)*(float64(i)+0.5)/float64(parts)
		p += (s.pressure(k, y) + pushed*(y-a)/(x-a)) * 2 * math.Pi * y
	}
	p /= float64(parts)
	return s.more[at] * p * (x - from + s.step*s.Friction*(1+steep*steep)/max(leastWedge, 1-s.Friction*steep))
}

// displace fills the pressure of the rubber that rings k to end push along the
// gap between pattern and container: it leaves at both ends of the contact,
// where there is no pressure, and takes the way that resists least.
func (s *slide) displace(k, end, d int) {
	moved, flow, hold := 0.0, 0.0, 0.0
	weight := func(i int) float64 {
		x := s.r[i+d]
		gap := max(s.outer[i]-x, 1e-3*s.outer[i])
		return squeezed / (math.Pi * (x + s.outer[i]) * gap * gap * gap)
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
