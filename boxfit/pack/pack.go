// Package pack lays the outlines of several patterns out in one container, seen
// from above: with a wall of rubber between all of them and to the container's side,
// in a rectangle of least area or in a least circle.
//
// Where an outline may stand beside another is a no-fit polygon, their Minkowski sum.
// A layout is begun from the bottom left (B. S. Baker, E. G. Coffman, R. L. Rivest,
// "Orthogonal packings in two dimensions", 1980; with no-fit polygons A. M. Gomes,
// J. F. Oliveira, "A 2-exchange heuristic for nesting problems", 2002, whose exchanges
// of two in the order are tried too) and then drawn together: the container is made a
// little smaller, the overlaps that this brings are driven out by minimising the
// squares of their depths, and where that fails two change places or one jumps
// (T. Imamichi, M. Yagiura, H. Nagamochi, "An iterated local search algorithm based on
// nonlinear programming for the irregular strip packing problem", 2009).
//
// Outlines are convex: what is hollow from above is taken as if a band were drawn
// round it, so that rubber never has to fill a bay that another pattern stands in.
// The same request gives the same layout; chance comes from a fixed seed.
package pack

import (
	"context"
	"fmt"
	"math"

	"moldtally/mesh"
)

// Piece is an outline and how often it is wanted.
type Piece struct {
	Outline []mesh.Vec2 // convex, counterclockwise, as mesh.Hull2 returns it, mm
	Count   int         // at least 1
}

// Within is the shape that is packed into.
type Within int

// The shapes.
const (
	Rectangle Within = iota
	Circle
)

// Request says what is packed. Lengths mm.
type Request struct {
	Pieces []Piece
	Gap    float64 // least distance between two outlines
	Wall   float64 // least distance from an outline to the container's side
	Step   float64 // a rectangle's sides are rounded up to it; 0 = not rounded
	Within Within
	// Ratio, if not 0, is the length over the width of the rectangle that the outlines
	// take, without the wall: of a container of which the shape is given.
	Ratio float64
}

// Place is where one outline stands: a point p of it at R·p + At, with R the turn
// counterclockwise. The origin is the middle of the container.
type Place struct {
	Piece int
	Turn  float64 // radians
	At    mesh.Vec2
}

// Layout is where all outlines stand, in the order of the pieces.
type Layout struct {
	Places []Place
	// Clear inside, with the wall, mm: of a rectangle, whose length is along x, or of a
	// circle.
	Length, Width, Radius float64
}

// Area is the clear area of the container, mm².
func (l *Layout) Area() float64 {
	if l.Radius > 0 {
		return math.Pi * l.Radius * l.Radius
	}
	return l.Length * l.Width
}

// Most is how many outlines are laid out at most: past it the search would take
// minutes, and a container that holds more is no longer carried. Judgement of this
// program.
const Most = 60

// Pack lays outlines out. The error is ctx's, or says what of the request makes no
// sense.
func Pack(ctx context.Context, r Request) (*Layout, error) {
	n := 0
	for i, p := range r.Pieces {
		if len(p.Outline) == 0 || p.Count < 1 {
			return nil, fmt.Errorf("pack: piece %d has %d corners and is wanted %d times", i, len(p.Outline), p.Count)
		}
		n += p.Count
	}
	if n == 0 || n > Most {
		return nil, fmt.Errorf("pack: %d outlines are no number that is laid out: 1 to %d", n, Most)
	}
	for _, v := range []float64{r.Gap, r.Wall, r.Step, r.Ratio} {
		if !(v >= 0) || math.IsInf(v, 0) {
			return nil, fmt.Errorf("pack: %v is no length", v)
		}
	}
	s := newSearch(&r)
	best, err := s.run(ctx)
	if err != nil {
		return nil, fmt.Errorf("pack: %w", err)
	}
	return s.layout(best), nil
}

// layout is an arrangement as it is told: turned outlines as they are, not the few
// corners that they were packed by, with the wall round them.
func (s *search) layout(a *arrangement) *Layout {
	l := &Layout{Places: make([]Place, len(a.at))}
	var all []mesh.Vec2
	for i, v := range a.of {
		w := &s.variants[v]
		l.Places[i] = Place{Piece: w.piece, Turn: w.turn, At: a.at[i].Sub(w.middle)}
		for _, p := range w.whole {
			all = append(all, p.Add(a.at[i]))
		}
	}
	var mid mesh.Vec2
	if s.r.Within == Circle {
		c := mesh.MinCircle(all)
		mid, l.Radius = c.Center, c.Radius+s.r.Wall
	} else {
		lo, hi := mesh.Bounds2(all)
		mid = lo.Add(hi).Mul(0.5)
		l.Length, l.Width = s.grown(hi.X-lo.X), s.grown(hi.Y-lo.Y)
	}
	for i := range l.Places {
		l.Places[i].At = l.Places[i].At.Sub(mid)
	}
	if l.Width > l.Length {
		l.quarter()
	}
	return l
}

// quarter turns a layout by a quarter, so that its length is along x.
func (l *Layout) quarter() {
	l.Length, l.Width = l.Width, l.Length
	for i, p := range l.Places {
		l.Places[i].At, l.Places[i].Turn = p.At.Perp(), turned(p.Turn+math.Pi/2)
	}
}

// grown is a side of the rectangle with the wall on both ends, rounded up to the step.
func (s *search) grown(x float64) float64 {
	x += 2 * s.r.Wall
	if s.r.Step > 0 {
		x = math.Ceil(x/s.r.Step-1e-6) * s.r.Step
	}
	return x
}

// turned is an angle from 0 to under a whole turn.
func turned(a float64) float64 {
	a = math.Mod(a, 2*math.Pi)
	if a < 0 {
		a += 2 * math.Pi
	}
	if 2*math.Pi-a < 1e-12 {
		a = 0
	}
	return a
}
