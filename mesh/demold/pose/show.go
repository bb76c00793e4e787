package pose

import (
	"math"
	"slices"

	"moldtally/mesh"
	"moldtally/mesh/demold/parting"
)

// The show side. Judgements of this program.
const (
	showCone  = 40 * math.Pi / 180 // the face is the surface that looks within this of the show direction
	showStray = 0.02               // share of it that may do otherwise
)

// allowed drops the ways to stand that the show side forbids, unless none is left.
func (p *pattern) allowed(ways []*candidate) []*candidate {
	in := slices.DeleteFunc(slices.Clone(ways), func(c *candidate) bool { return !p.shows(c.up) })
	if len(in) == 0 {
		return ways
	}
	return in
}

// shows reports whether the show side allows a direction: no parting crosses
// the face, and it does not lie on the board.
func (p *pattern) shows(u mesh.Vec) bool {
	if p.o.Show == nil {
		return true
	}
	d := p.o.Show.Unit()
	cone := math.Cos(showCone)
	var all, up, down float64
	for t := range p.body.Mesh.NumTriangles() {
		a, b, c := p.body.Mesh.Corners(t)
		n := b.Sub(a).Cross(c.Sub(a))
		l := n.Len()
		if l == 0 || n.Dot(d) < cone*l {
			continue
		}
		all += l
		switch s := n.Dot(u) / l; {
		case s > parting.Plumb:
			up += l
		case s < -parting.Plumb:
			down += l
		}
	}
	switch {
	case all == 0:
		return true
	case p.o.Mold.OnBoard():
		return d.Dot(u) > -cone
	}
	return up >= (1-showStray)*all || down >= (1-showStray)*all
}
