package strip

import (
	"context"
	"fmt"
	"math"
	"slices"
	"sync"

	"moldtally/mesh"
	"moldtally/mesh/demold/scene"
	"moldtally/mesh/dexel"
	"moldtally/mesh/par"
	"moldtally/mesh/section"
)

// Options of the three questions. The zero value is the default.
type Options struct {
	Parting *float64 // height along Up at which two halves part; nil = half way up
}

// Sections is a pattern's sections, for molds in two halves those of each half.
// They are cut when the first question is asked.
type Sections struct {
	c *scene.Scene
	o Options

	mu    sync.Mutex
	sides []*side
}

// Of is what the questions are asked of.
func Of(c *scene.Scene, o Options) *Sections { return &Sections{c: c, o: o} }

// side is the sections of the pattern above the plane it leaves through.
type side struct {
	section.Slicer
	f        *dexel.Field
	spans    *forest
	gaps     *forest
	chips    map[int32]bool // roots of spans, at the floor of all, that are no part of the pattern
	nudge    float64        // mm: how far from a level its side is looked up in the field
	sections []level        // lowest first
	floor    float64
	fine     float64 // the cell that figures are told by, mm
	outline  float64 // perimeter of the convex outline from above, mm
}

// level is all rings of a section.
type level struct {
	section.Level
	rings []ring
}

// cut makes the sections, once. Of two halves the lower one is seen upside down.
func (s *Sections) cut(ctx context.Context) ([]*side, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.sides != nil {
		return s.sides, nil
	}
	c := s.c
	fine := c.Field.Cell
	if k := c.Asked().Coarser; k > 0 {
		fine /= k // a neck that a coarse look cannot trust is one that no look can
	}
	parts := []columns{{c.Field, c.ClayLine(), c.Top, fine}}
	if c.Mold == scene.TwoPart {
		mid := (c.Base + c.Top) / 2
		if s.o.Parting != nil {
			mid = *s.o.Parting
		}
		parts = []columns{{c.Field, mid, c.Top, fine}, {c.Field.UpsideDown(), -mid, -c.Base, fine}}
	}
	sides := make([]*side, len(parts))
	for k, p := range parts {
		var err error
		if sides[k], err = newSide(ctx, c.Solid.Surface(), c.Solid.Live, c.Solid.Outward, p); err != nil {
			return nil, fmt.Errorf("strip: %w", err)
		}
	}
	s.sides = sides
	return sides, nil
}

// columns are those of a side.
type columns struct {
	f     *dexel.Field // along the way in which mold and pattern part
	floor float64      // height along it at which the rubber begins: clay line, parting or base, mm
	top   float64      // of the pattern, mm
	fine  float64      // the cell that figures are told by, mm
}

// newSide grows the forests and slices at all heights from floor to top.
func newSide(ctx context.Context, m *mesh.Mesh, live, outward func(t int) bool, x columns) (*side, error) {
	size, f := m.Size(), x.f
	eps := mesh.TouchShare * max(size.X, size.Y, size.Z)
	c := &side{
		Slicer: section.Slicer{Mesh: m, Live: live, Outward: outward, U: f.U, E1: f.E1, E2: f.E2, Eps: eps},
		f:      f, nudge: 2 * eps, floor: x.floor, fine: x.fine,
	}
	var levels []section.Level
	var err error
	par.Together(
		func() {
			c.spans = spanForest(f, eps)
			c.chips = c.spans.chips()
		},
		func() { c.gaps = gapForest(f, x.floor) },
		func() { levels, err = c.choose(ctx, x.floor, x.top) },
	)
	if err != nil {
		return nil, err
	}
	if c.sections, err = c.slice(ctx, levels, nil); err != nil {
		return nil, err
	}
	var pts []mesh.Vec2
	for _, s := range c.sections {
		for _, r := range s.rings {
			pts = append(pts, r.hull...)
		}
	}
	c.outline = mesh.PerimeterOf(section.Hull(pts))
	return c, nil
}

// part is the root of the spans that a ring bounds, where it is of the pattern and of
// no chip; else -1.
func (c *side) part(r *ring) int32 {
	if r.span < 0 || c.chips[c.spans.root(r.span, math.Inf(-1))] {
		return -1
	}
	return r.span
}

// slice returns the sections at the given levels, which must be in order. only
// lists the triangles to look at; nil takes all.
func (c *side) slice(ctx context.Context, levels []section.Level, only []int32) ([]level, error) {
	out := make([]level, len(levels))
	for k, l := range levels {
		out[k].Level = l
	}
	err := c.Each(ctx, levels, only, func(k int, sec *section.Section) { out[k].rings = c.rings(sec) })
	return out, err
}

// hullPerimeter is the perimeter of the convex hull of the whole section, mm.
func (l *level) hullPerimeter() float64 {
	switch len(l.rings) {
	case 0:
		return 0
	case 1:
		return l.rings[0].perimeter
	}
	var pts []mesh.Vec2
	var most float64
	for _, r := range l.rings {
		pts = append(pts, r.hull...)
		most = max(most, r.perimeter)
	}
	return max(mesh.PerimeterOf(section.Hull(pts)), most)
}

// inOrder sorts levels and drops doubles.
func inOrder(levels []section.Level) []section.Level {
	slices.SortFunc(levels, section.Level.Compare)
	return slices.Compact(levels)
}
