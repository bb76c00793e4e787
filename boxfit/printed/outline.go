package printed

import (
	"math"

	"moldtally/mesh"
)

// outline is the inside of a container seen from above: a convex polygon, counted
// anticlockwise, about the origin.
type outline struct {
	corners []mesh.Vec2
	starts  []float64 // how far round each side begins; one more for the whole way
}

func newOutline(corners []mesh.Vec2) *outline {
	o := &outline{corners: corners, starts: make([]float64, len(corners)+1)}
	for i := range corners {
		o.starts[i+1] = o.starts[i] + length(o.side(i))
	}
	return o
}

// rectangle is an outline of a length along x and a width.
func rectangle(length, width float64) *outline {
	x, y := length/2, width/2
	return newOutline([]mesh.Vec2{{X: -x, Y: -y}, {X: x, Y: -y}, {X: x, Y: y}, {X: -x, Y: y}})
}

// regular is an outline of n sides round a circle of a radius. Where it stands for
// the circle itself it has the circle's area instead.
func regular(n int, radius float64, round bool) *outline {
	half := math.Pi / float64(n)
	r := radius / math.Cos(half)
	if round {
		r = radius * math.Sqrt(2*half/math.Sin(2*half))
	}
	c := make([]mesh.Vec2, n)
	for i := range c {
		sin, cos := math.Sincos(float64(2*i-1) * half)
		c[i] = mesh.Vec2{X: r * cos, Y: r * sin}
	}
	return newOutline(c)
}

// side is the way along the i-th side.
func (o *outline) side(i int) mesh.Vec2 {
	return o.corners[(i+1)%len(o.corners)].Sub(o.corners[i])
}

// outward is the normal of the i-th side, counted round.
func (o *outline) outward(i int) mesh.Vec2 {
	n := len(o.corners)
	d := o.side((i + n) % n)
	l := length(d)
	return mesh.Vec2{X: d.Y / l, Y: -d.X / l}
}

// round is the whole way round.
func (o *outline) round() float64 { return o.starts[len(o.corners)] }

// middle is how far round the middle of the i-th side lies.
func (o *outline) middle(i int) float64 { return (o.starts[i] + o.starts[i+1]) / 2 }

// place is the point so far round, and so far outside the outline; at a corner
// what lies outside meets in its miter.
func (o *outline) place(s, out float64) mesh.Vec2 {
	i := 0
	for i+1 < len(o.corners) && s >= o.starts[i+1]-nodesApart {
		i++
	}
	n := o.outward(i)
	along := s - o.starts[i]
	if along < nodesApart {
		m := n.Add(o.outward(i - 1))
		return o.corners[i].Add(m.Mul(out / (m.X*n.X + m.Y*n.Y)))
	}
	d := o.side(i)
	return o.corners[i].Add(d.Mul(along / length(d))).Add(n.Mul(out))
}

func length(v mesh.Vec2) float64 { return math.Hypot(v.X, v.Y) }
