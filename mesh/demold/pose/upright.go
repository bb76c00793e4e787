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
	list := []*candidate{{figures: figures{up: top}}}
	for k, op := range p.solid.Openings {
		if up := op.Normal.Neg().Unit(); k < maxOpenings && op.Area >= openShare*p.body.Area && up.IsFinite() && up != (mesh.Vec{}) {
			list = append(list, &candidate{figures: figures{up: up}, open: true})
		}
	}
	sides, err := resting(ctx, p.body)
	if err != nil {
		return top, Chosen{}, err
	}
	for _, up := range sides[:min(len(sides), maxResting)] {
		list = append(list, &candidate{figures: figures{up: up}})
	}
	ups := make([]mesh.Vec, len(list))
	for k, c := range list {
		ups[k] = c.up
	}
	got, err := contacts(ctx, p.solid, ups, roughContact*p.body.Size, roughAngle)
	if err != nil {
		return top, Chosen{}, err
	}
	best := -1
	for k, c := range list {
		s, err := p.body.Scene(ctx, c.up, candidateColumns, scene.Options{Mold: scene.TwoPart})
		if err != nil {
			return top, Chosen{}, err
		}
		if c.contact, c.outline = got[k], outline(s.Field); !c.based() {
			continue
		}
		if k == 0 {
			return top, Chosen{Steps: []Step{StandsOnBase}, Top: &from}, nil
		}
		if best < 0 || !list[best].open && c.contact/c.outline > list[best].contact/list[best].outline {
			best = k
		}
	}
	if best < 0 {
		return top, Chosen{Steps: []Step{StandsUpright}, Top: &from}, nil
	}
	return list[best].up, Chosen{Steps: []Step{StandsOnBase}}, nil
}

// based reports whether it stands on a base: the open side of a scan, or a real
// flat side.
func (c *candidate) based() bool { return c.open || c.contact >= realContact*c.outline }
