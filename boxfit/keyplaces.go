package boxfit

import (
	"math"

	"moldtally/mesh"
)

// Key is one key of two halves: its middle in the parting plane, in the file's axes,
// and how wide it is there, mm.
type Key struct {
	At       [3]float64 `json:"at_mm"`
	Diameter float64    `json:"diameter_mm"`
}

// Room round keys, mm. Judgement of this program, after common practice.
const (
	keyClear   = keyRoom / 2 // to the cavity and to the edge
	keyChannel = 10.0        // to a sprue or a vent
	// keySlides is in how many steps a key that stands in the way is moved along the
	// flange, up to half the way to the next one on either side.
	keySlides = 16
)

// PlaceKeys sets the keys of two halves for a parting of a length, mm (0 = not known),
// and a pattern of a largest size, mm: evenly along the middle of the flange, round
// the pattern's convex outline, clear of cavity, walls, sprue and vents. One that
// nothing but its even place is in the way of moves along the flange; where there is
// no room for it, it is left out. Sprue and vents have to stand already.
func (f *Fit) PlaceKeys(outline, longest float64) {
	f.Keys = []Key{}
	if f.RubberBelow == nil || len(f.Outline) < 3 {
		return
	}
	c := newFlange(f)
	if outline <= 0 {
		outline = c.length(0)
	}
	k := KeysFor(outline, f.Wall, longest)
	r := k.Diameter / 2
	d := max(f.Wall/2, r+keyClear)
	long := c.length(d)
	pitch := long / float64(k.Count)
	placed := newApart(k.Diameter + keyClear)
	free := func(p mesh.Vec) bool {
		return f.beside(p) >= r+keyClear-1e-9 && f.toChannels(p) >= r+keyChannel && placed.free(p)
	}
	for i := range k.Count {
		for step := range 2 * keySlides {
			slide := float64(float64((step+1)/2) / (2 * keySlides) * pitch)
			if step%2 == 1 {
				slide = -slide
			}
			if p := c.at(math.Mod(float64(float64(i)*pitch)+slide+long, long), d); free(p) {
				f.Keys = append(f.Keys, Key{p.Array(), k.Diameter})
				placed.add(p)
				break
			}
		}
	}
}

// apart are places that lie no nearer to each other than a distance, mm, by the cubes
// of that size that they lie in: only those in cubes side by side can be nearer.
type apart struct {
	least float64
	in    map[[3]int][]mesh.Vec // looked up, never ranged over
}

func newApart(least float64) apart { return apart{least, map[[3]int][]mesh.Vec{}} }

func (a apart) cube(p mesh.Vec) [3]int {
	return [3]int{int(math.Floor(p.X / a.least)), int(math.Floor(p.Y / a.least)), int(math.Floor(p.Z / a.least))}
}

func (a apart) add(p mesh.Vec) { c := a.cube(p); a.in[c] = append(a.in[c], p) }

// free reports whether a place keeps the distance to all.
func (a apart) free(p mesh.Vec) bool {
	c := a.cube(p)
	for n := range 27 {
		for _, o := range a.in[[3]int{c[0] + n%3 - 1, c[1] + n/3%3 - 1, c[2] + n/9 - 1}] {
			if o.Sub(p).Len() < a.least {
				return false
			}
		}
	}
	return true
}

// beside is how far a place is from the nearest side wall, mm.
func (f *Fit) beside(p mesh.Vec) float64 {
	v, axis, long := p.Sub(vec(f.Center)), vec(f.Up), vec(f.LongAxis)
	x, y := v.Dot(long), v.Dot(axis.Cross(long))
	switch {
	case f.Interior == nil:
		return math.Inf(1)
	case f.Kind.FourSided() || f.Diameter == nil:
		return min(f.Interior[0]/2-math.Abs(x), f.Interior[1]/2-math.Abs(y))
	}
	return *f.Diameter/2 - math.Hypot(x, y)
}

// toChannels is how far a place is from the side of the nearest sprue or vent, mm.
func (f *Fit) toChannels(p mesh.Vec) float64 {
	least := math.Inf(1)
	near := func(c *Channel) {
		a, b := vec(c.At), vec(c.At)
		if c.End != nil {
			b = vec(*c.End)
		}
		t := 0.0
		if ab := b.Sub(a); ab.Dot(ab) > 0 {
			t = min(1, max(0, p.Sub(a).Dot(ab)/ab.Dot(ab)))
		}
		least = min(least, p.Sub(a.Add(b.Sub(a).Mul(t))).Len()-c.Diameter/2)
	}
	if f.Sprue != nil {
		near(f.Sprue)
	}
	for k := range f.Vents {
		near(&f.Vents[k])
	}
	return least
}

// flange is a convex outline, and the lines that run round it at a distance: each side
// moved out, and an arc round each corner.
type flange struct {
	at0  []mesh.Vec // corners
	out  []mesh.Vec // of each side, from its corner to the next, the unit vector outward
	side []float64  // its length, mm
}

// newFlange is that of a container. Its outline runs one way round; which way, its
// middle tells.
func newFlange(f *Fit) *flange {
	var mid mesh.Vec
	for _, p := range f.Outline {
		mid = mid.Add(p.Mul(1 / float64(len(f.Outline))))
	}
	c := &flange{}
	for i, a := range f.Outline {
		v := f.Outline[(i+1)%len(f.Outline)].Sub(a)
		if v.Len() == 0 {
			continue
		}
		n := v.Cross(vec(f.Up))
		n = n.Mul(1 / n.Len())
		if n.Dot(a.Sub(mid)) < 0 {
			n = n.Neg()
		}
		c.at0, c.out, c.side = append(c.at0, a), append(c.out, n), append(c.side, v.Len())
	}
	return c
}

// turn is the angle from one side to the next round their corner.
func (c *flange) turn(i int) float64 {
	a, b := c.out[i], c.out[(i+1)%len(c.out)]
	return math.Atan2(a.Cross(b).Len(), a.Dot(b))
}

// length is how long the line at a distance is, mm.
func (c *flange) length(d float64) (sum float64) {
	for i, l := range c.side {
		sum += l + float64(d*c.turn(i))
	}
	return sum
}

// at is the place on the line at a distance d that is s on from its beginning, mm.
func (c *flange) at(s, d float64) mesh.Vec {
	n := len(c.at0)
	for i := range n {
		next := c.at0[(i+1)%n]
		if s <= c.side[i] {
			return c.at0[i].Add(next.Sub(c.at0[i]).Mul(s / c.side[i])).Add(c.out[i].Mul(d))
		}
		s -= c.side[i]
		arc := c.turn(i)
		if s <= d*arc && arc > 0 {
			a, b, t := c.out[i], c.out[(i+1)%n], s/d
			dir := a.Mul(math.Sin(arc - t)).Add(b.Mul(math.Sin(t)))
			return next.Add(dir.Mul(d / dir.Len()))
		}
		s -= float64(d * arc)
	}
	return c.at0[0].Add(c.out[0].Mul(d))
}
