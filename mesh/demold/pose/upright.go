package pose

import (
	"context"

	"moldtally/mesh"
	"moldtally/mesh/demold/scene"
)

// own is the side that is the object's top where it stands in the world, and
// where that is known from.
func (o *Options) own() (top mesh.Vec, from Origin) {
	switch {
	case o.Upright != nil:
		return o.Upright.Unit(), SaidUp
	case o.FileUp != nil:
		return o.FileUp.Unit(), FileUp
	}
	return mesh.V(0, 0, 1), AssumedUp
}

// asItStands finds how the object stands in the world: with the top that is said
// or stated; else on +z where it has a base there, on the base that it has
// elsewhere, or without one on +z all the same.
func (p *pattern) asItStands(ctx context.Context) (mesh.Vec, Chosen, error) {
	top, from := p.o.own()
	if from != AssumedUp {
		return top, Chosen{Steps: []Step{StandsUpright}, Top: &from}, nil
	}
	list, err := p.bases(ctx, top)
	if err != nil {
		return top, Chosen{}, err
	}
	share := func(c *candidate) float64 { return max(c.contact, c.foot) / c.outline }
	var best *candidate
	for _, c := range plumb(list) {
		if c.based() && (best == nil || !best.open && share(c) > share(best)) {
			best = c
		}
	}
	switch own := list[0]; {
	case best == nil:
		return top, Chosen{Steps: []Step{StandsUpright}, Top: &from}, nil
	case own.based() && (own.open || !best.open && share(own) >= baseTie*share(best)):
		return top, Chosen{Steps: []Step{StandsOnBase}, Top: &from}, nil
	}
	return best.up, Chosen{Steps: []Step{StandsOnBase}}, nil
}

// bases are the ways to stand with what they stand on: with the top up, which
// comes first, on the open sides of a scan, along the axes, on the sides it rests
// on.
func (p *pattern) bases(ctx context.Context, top mesh.Vec) ([]*candidate, error) {
	var list []*candidate
	var ups []mesh.Vec
	add := func(up mesh.Vec, from Origin, open bool) {
		list = append(list, &candidate{figures: figures{up: up}, from: from, open: open, rank: len(list)})
		ups = append(ups, up)
	}
	add(top, AssumedUp, false)
	for k, op := range p.solid.Openings {
		if up := op.Normal.Neg().Unit(); k < maxOpenings && op.Area >= openShare*p.body.Area && up.IsFinite() && up != (mesh.Vec{}) {
			add(up, OpenSideDown, true)
		}
	}
	for _, a := range axes {
		add(a.up, a.from, false)
	}
	sides, err := resting(ctx, p.body)
	if err != nil {
		return nil, err
	}
	for _, up := range sides[:min(len(sides), maxResting)] {
		add(up, Resting, false)
	}
	got, err := contacts(ctx, p.solid, ups, roughContact*p.body.Size, roughAngle)
	if err != nil {
		return nil, err
	}
	return list, each(ctx, len(list), func(k int) error {
		c := list[k]
		s, err := p.body.Scene(ctx, c.up, candidateColumns, scene.Options{})
		if err == nil {
			c.contact, c.outline, c.foot = got[k], outline(s.Field), foot(s, p.body.Size)
		}
		return err
	})
}

// A base; judgements of this program.
const (
	// baseTie is the part of the best base that +z must have where nothing says that
	// it is the top: a round side that touches the board is none.
	baseTie = 0.5
	// wideFoot is the share of the outline that a foot must have to be a base: less
	// is a rounding that touches the board.
	wideFoot = 1.0 / 3
	// hollowFoot is how high the underside of a foot may arch, as a share of the
	// height: beyond it the pattern needs a cradle and not a bed of clay.
	hollowFoot = 0.1
)

// based reports whether it stands on a base: the open side of a scan, a real flat
// side, or a wide foot whose underside is hollow or rough.
func (c *candidate) based() bool {
	return c.open || c.flat() || c.foot >= wideFoot*c.outline
}

// flat reports whether it stands on a real flat side.
func (c *candidate) flat() bool { return c.contact >= realContact*c.outline }

// foot is the area, mm², of the columns of a body of some size that lie between
// those which touch the board and come near it themselves, where those carry the
// rest.
func foot(c *scene.Scene, size float64) float64 {
	f := c.Field
	touches := c.Base + max(roughContact*size, f.Cell/4)
	near := c.Base + hollowFoot*(c.Top-c.Base)
	var mass mesh.Vec2
	var touch, under []mesh.Vec2
	total := 0.0
	for j := range f.NY {
		for i := range f.NX {
			col := f.Column(i, j)
			if len(col) == 0 {
				continue
			}
			x, y := f.Center(i, j)
			at := mesh.Vec2{X: x, Y: y}
			for _, s := range col {
				total += s.Top - s.Bottom
				mass.X += (s.Top - s.Bottom) * x
				mass.Y += (s.Top - s.Bottom) * y
			}
			if col[0].Bottom <= touches {
				touch = append(touch, at)
			}
			if col[0].Bottom <= near {
				under = append(under, at)
			}
		}
	}
	hull := mesh.Hull2(touch)
	if len(hull) < 3 || !(total > 0) || !holds(hull, mesh.Vec2{X: mass.X / total, Y: mass.Y / total}) {
		return 0
	}
	n := 0.0
	for _, p := range under {
		if holds(hull, p) {
			n++
		}
	}
	return n * f.Cell * f.Cell
}
