// Package scene is what the questions about demolding are asked of: a solid
// seen along the pull of a mold, with the heights, the clay and the columns that
// all of them read.
//
// A Scene does not change once it is made, and may be shared by goroutines.
// What several questions need is worked out when the first asks for it, and
// kept. The questions themselves are in the packages beside this one.
package scene

import (
	"context"
	"errors"
	"fmt"
	"math"
	"sync"

	"moldtally/mesh"
	"moldtally/mesh/dexel"
	"moldtally/mesh/solid"
)

// Mold says how the mold comes off.
type Mold string

// The kinds of mold.
const (
	Block   Mold = "block"    // one piece poured over a pattern on a baseboard
	TwoPart Mold = "two-part" // keyed halves
	Cut     Mold = "cut"      // one piece all round, cut open
	Blanket Mold = "blanket"  // an even coat, poured under a rigid mother mold
	Brushed Mold = "brushed"  // the same coat, brushed on in layers
)

// OnBoard reports whether the pattern stands on a baseboard in this mold.
func (m Mold) OnBoard() bool { return m == Block || m.Coated() }

// Coated reports whether the mold is an even coat under a rigid mother mold.
func (m Mold) Coated() bool { return m == Blanket || m == Brushed }

// ClayDefault is the height of the clay fillet for a pattern of the given
// height, mm: 1 % of it, at least 0.5 and at most 3 mm, and never over 5 % of
// it. Common practice, no source.
func ClayDefault(height float64) float64 {
	return min(max(0.01*height, 0.5), 3, 0.05*height)
}

// DefaultIgnore is the depth under which an undercut is surface noise, mm:
// about what a brushed release and the softest skin of rubber forgive. Common
// practice, no source.
const DefaultIgnore = 0.3

// NarrowPassage is the thinnest web of rubber that counts as a way out, mm: a
// passage in the shadow narrower than this would tear. Stated by the definition
// of the undercut path.
const NarrowPassage = 0.5

// Options of a scene. Lengths in mm; the zero value is the default.
type Options struct {
	Mold       Mold     // "" = Block
	Clay       *float64 // height of the clay fillet; nil = ClayDefault
	Ignore     *float64 // undercuts shallower than this are noise; nil = DefaultIgnore
	Resolution float64  // cell of the column field; 0 = auto
	Coarser    float64  // makes the cells so many times as wide, for a look that is only compared; 0 = 1
}

// Scene is a solid in a mold of a kind, to be lifted along Up. Lengths in mm;
// heights are p·Up in the file's own axes. The fields are for reading.
type Scene struct {
	Solid *solid.Solid // nil in the scene of a stand-in
	Up    mesh.Vec     // of length 1
	Mold  Mold
	Field *dexel.Field // columns along Up

	Base, Top   float64 // heights of the lowest and the highest point of S
	Clay        float64 // height of the clay above the base: of its fillet, or of the bed; 0 without a board
	Bed         float64 // height of the clay in which an uneven underside is bedded; 0 = it stands as it is
	Ignore      float64 // undercuts shallower than this are noise
	Size        float64 // the pattern's largest size
	Eps         float64 // heights closer than this are one
	Uncertainty float64 // of a depth: both its ends are sampled to within a cell

	asked  Options
	coarse float64 // how many times the automatic cell the field's is
	space  func() *Space
	lower  func() Half
	bottom func() func(tri int32) bool
}

// New looks at a solid along up, which need not have length 1. The errors are
// about the arguments, or the ctx's. Time goes with the triangles once and with
// the columns, about 300 thousand at automatic resolution.
func New(ctx context.Context, s *solid.Solid, up mesh.Vec, o Options) (*Scene, error) {
	u := up.Unit()
	if !u.IsFinite() || u == (mesh.Vec{}) {
		return nil, errors.New("up is not a direction")
	}
	switch o.Mold {
	case "", Block, TwoPart, Cut, Blanket, Brushed:
	default:
		return nil, fmt.Errorf("unknown kind of mold %q", o.Mold)
	}
	if i := o.Ignore; i != nil && (!(*i >= 0) || math.IsInf(*i, 0)) {
		return nil, errors.New("ignore is not a length")
	}
	c := &Scene{Solid: s, Up: u, asked: o}
	if err := c.measure(ctx); err != nil {
		return nil, err
	}
	if err := c.settle(o); err != nil {
		return nil, err
	}
	g, err := c.grid(o)
	if err != nil {
		return nil, err
	}
	if c.Field, err = s.Field(ctx, g); err != nil {
		return nil, err
	}
	c.bedDown()
	// The turned grid meets every edge at all offsets, so the errors of a
	// depth's two ends do not add up one way.
	c.Uncertainty = g.Cell
	return c, nil
}

// Answers reports whether c is the scene that New would make.
func (c *Scene) Answers(s *solid.Solid, up mesh.Vec, o Options) bool {
	same := func(x, y *float64) bool { return x == y || x != nil && y != nil && *x == *y }
	if o.Mold == "" {
		o.Mold = Block
	}
	return c.Solid != nil && c.Solid == s && (c.Up == up || c.Up == up.Unit()) && c.Mold == o.Mold &&
		c.asked.Resolution == o.Resolution && c.asked.Coarser == o.Coarser && same(c.asked.Clay, o.Clay) && same(c.asked.Ignore, o.Ignore)
}

// Asked is what the scene was made with.
func (c *Scene) Asked() Options { return c.asked }

// In is the same scene in other columns along its pull.
func (c *Scene) In(f *dexel.Field) *Scene {
	d := *c
	d.Field = f
	d.share()
	return &d
}

// As is the same scene for another kind of mold, on a board as this one is, or as
// little.
func (c *Scene) As(m Mold) *Scene {
	d := *c
	d.Mold, d.asked.Mold = m, m
	return &d
}

// Over is the scene of a stand-in that has columns only: f, of a body of which
// nothing smaller than blur is true, mm; that is noise. The clay is no higher
// than the body.
func Over(f *dexel.Field, base, top, size, blur float64, o Options) *Scene {
	c := &Scene{Up: f.U, Field: f, Base: base, Top: top, Size: size}
	if o.Clay != nil {
		o.Clay = new(min(*o.Clay, top-base))
	}
	_ = c.settle(o) // such a clay fits
	c.bedDown()
	c.Ignore = max(c.Ignore, blur)
	c.Uncertainty = f.Cell + blur
	return c
}

// measure fills in heights and size.
func (c *Scene) measure(ctx context.Context) error {
	lo, hi := mesh.V(math.Inf(1), math.Inf(1), math.Inf(1)), mesh.V(math.Inf(-1), math.Inf(-1), math.Inf(-1))
	c.Base, c.Top = math.Inf(1), math.Inf(-1)
	m := c.Solid.Surface()
	verts := m.Vertices()
	for t, tri := range m.Triangles() {
		if t&(1<<16-1) == 0 && ctx.Err() != nil {
			return ctx.Err()
		}
		if !c.Solid.Live(t) {
			continue
		}
		for _, i := range tri {
			v := verts[i]
			lo, hi = lo.Min(v), hi.Max(v)
			h := v.Dot(c.Up)
			c.Base, c.Top = min(c.Base, h), max(c.Top, h)
		}
	}
	if c.Base > c.Top {
		return errors.New("the solid has no surface")
	}
	d := hi.Sub(lo)
	c.Size = max(d.X, d.Y, d.Z)
	return nil
}

// settle fills in what follows from the options and the heights.
func (c *Scene) settle(o Options) error {
	c.Mold, c.Ignore = o.Mold, DefaultIgnore
	if c.Mold == "" {
		c.Mold = Block
	}
	if o.Ignore != nil {
		c.Ignore = *o.Ignore
	}
	height := c.Top - c.Base
	// A hollow of a millionth of the height under the base is rounding.
	c.Eps = max(1e-6*height, 1e-9*c.Size)
	if c.OnBoard() {
		c.Clay = ClayDefault(height)
		if o.Clay != nil {
			c.Clay = *o.Clay
		}
		if !(c.Clay >= 0) || c.Clay > height {
			return errors.New("the clay is not a height within the pattern")
		}
	}
	c.share()
	return nil
}

// share prepares what several questions need.
func (c *Scene) share() {
	c.bottom = sync.OnceValue(c.raggedBottom)
	c.lower = sync.OnceValue(c.lowerHalf)
	c.space = sync.OnceValue(func() *Space {
		if !c.OnBoard() {
			return NewSpace(c.Field, math.Inf(-1), math.Inf(-1), c.Eps, nil)
		}
		return NewSpace(c.Field, c.Base, c.ClayLine(), c.Eps, c.RaggedBottom())
	})
}

// ClayLine is the height below which clay, not rubber, meets the pattern. For
// molds without a baseboard it is the base itself.
func (c *Scene) ClayLine() float64 { return c.Base + c.Clay }

// OnBoard reports whether there is a base plane.
func (c *Scene) OnBoard() bool { return c.Mold.OnBoard() }

// Rise is how high a dimple may be in which rubber counts as free though the
// section at its height is shut: surface noise, and what the field cannot
// tell apart.
func (c *Scene) Rise() float64 { return max(c.Ignore, c.Field.Cell/2) }

// Noise is the depth under which an undercut is noise, or cannot be told from it.
func (c *Scene) Noise() float64 { return max(c.Ignore, 2*c.Uncertainty) }

// Narrow is the width of a passage that is no way out, mm; 0 where nothing is
// noise.
func (c *Scene) Narrow() float64 {
	if c.Ignore == 0 {
		return 0
	}
	return NarrowPassage
}

// Space tells what fills the space round S; without a board all is rubber.
func (c *Scene) Space() *Space { return c.space() }

// RaggedBottom returns what tells the triangles of the surface that stand on
// the board because they close an open bottom: nil where there are none.
func (c *Scene) RaggedBottom() func(tri int32) bool { return c.bottom() }

// Point is the place of a column's axis at a height, in the file's frame.
func Point(f *dexel.Field, i, j int, z float64) *[3]float64 {
	x, y := f.Center(i, j)
	return new(f.Point(x, y, z).Array())
}
