package pose

import (
	"context"
	"math"
	"slices"

	"moldtally/mesh"
	"moldtally/mesh/demold/scene"
	"moldtally/mesh/demold/undercut"
	"moldtally/mesh/dexel"
)

// candidate is one way to stand. Areas mm², volumes mm³.
type candidate struct {
	figures
	from    Origin
	open    bool    // stands on the open side of a scan
	rank    int     // order of preference between equals: the file's own up first
	outline float64 // area from above
	contact float64 // plain surface in the base plane
	foot    float64 // of the outline, what a rim on the board encloses or nearly touches it
	rubber  float64 // what a plain box round it would take; for ties only

	scene *scene.Scene // that it is still to be judged on; nil = path, depth and volume are known
}

// plain is how much of the side that faces the board is plain contact: contact
// as a share of the outline, less the share of all surface that is lost
// in hollows on the board.
func (c *candidate) plain(area float64) float64 {
	if c.outline <= 0 {
		return 0
	}
	return c.contact/c.outline - c.pocket/area
}

// Bounds of what is tried. Judgements of this program.
const (
	// maxResting bounds the resting sides that are tried; the largest go first.
	maxResting = 12
	// maxOpenings bounds the openings that are looked at, the largest first.
	maxOpenings = 3
	// openShare is the least share of the surface that an open side has.
	openShare = 0.02
	// candidateColumns is how many columns lie across the largest size where a
	// candidate is judged: a depth is good to about 1 % of the size.
	candidateColumns = 96
)

// snap is the angle within which a direction is taken to be one already there.
var snap = math.Cos(0.1 * math.Pi / 180)

// axes are the directions that anyone would try.
var axes = []struct {
	up   mesh.Vec
	from Origin
}{
	{mesh.V(0, 0, 1), PlusZ}, {mesh.V(0, 0, -1), MinusZ}, {mesh.V(0, 1, 0), PlusY},
	{mesh.V(0, -1, 0), MinusY}, {mesh.V(1, 0, 0), PlusX}, {mesh.V(-1, 0, 0), MinusX},
}

// candidates lists the ways to stand and what they stand on: the file's own up, which
// comes first, the axes, the open sides of a scan, the sides the pattern rests on.
// How they let go is judged when that is asked.
func candidates(ctx context.Context, p *pattern) ([]*candidate, error) {
	var list []*candidate
	add := func(up mesh.Vec, from Origin) *candidate {
		for _, c := range list {
			if c.up.Dot(up) >= snap {
				return c
			}
		}
		c := &candidate{figures: figures{up: up}, from: from, rank: len(list)}
		list = append(list, c)
		return c
	}
	first, from := p.o.own()
	add(first, from)
	for _, a := range axes {
		add(a.up, a.from)
	}
	for _, up := range p.openSides(first) {
		add(up, OpenSideDown).open = true
	}
	sides, err := resting(ctx, p.body)
	if err != nil {
		return nil, err
	}
	for _, up := range sides[:min(len(sides), maxResting)] {
		add(up, Resting)
	}
	if err := p.stand(ctx, list); err != nil {
		return nil, err
	}
	return plumb(list), nil
}

// lean is the angle within which a side that the pattern rests on is the same as
// an upright one. Judgement of this program.
var lean = math.Cos(1 * math.Pi / 180)

// sameContact is the share of its contact that the upright one then has. Judgement
// of this program.
const sameContact = 0.9

// plumb drops the resting sides that lean by a hair from a way listed before them
// which has a base as well: a rough foot rests on three points of it.
func plumb(list []*candidate) []*candidate {
	return slices.DeleteFunc(slices.Clone(list), func(c *candidate) bool {
		return c.from == Resting && slices.ContainsFunc(list[:c.rank], func(a *candidate) bool {
			return a.up.Dot(c.up) >= lean && a.based() && a.contact >= sameContact*c.contact
		})
	})
}

// openSides are the ways up that put an open side of a scan on the board. first
// is the file's own up.
func (p *pattern) openSides(first mesh.Vec) (ups []mesh.Vec) {
	for k, op := range p.solid.Openings {
		if k == maxOpenings || !p.o.Mold.OnBoard() || op.Area < openShare*p.body.Area {
			break
		}
		up := op.Normal.Neg()
		if up.Dot(first) < -math.Sqrt2/2 {
			continue // it would stand on its mouth: whether that is open is another question
		}
		if up.IsFinite() && up != (mesh.Vec{}) {
			ups = append(ups, up.Unit())
		}
	}
	return ups
}

// stand fills in what the candidates stand on, and their sizes.
func (p *pattern) stand(ctx context.Context, list []*candidate) error {
	err := each(ctx, len(list), func(k int) (err error) {
		c := list[k]
		if c.scene, err = p.body.Scene(ctx, c.up, candidateColumns, p.scene()); err != nil {
			return err
		}
		c.figures, c.outline, c.foot = sized(c.scene), outline(c.scene.Field), foot(c.scene, p.body.Size)
		if c.scene.OnBoard() {
			c.pocket = c.scene.Space().PocketSurface()
		}
		return nil
	})
	if err != nil {
		return err
	}
	if p.o.Mold.OnBoard() {
		ups := make([]mesh.Vec, len(list))
		for k, c := range list {
			ups[k] = c.up
		}
		got, err := contacts(ctx, p.solid, ups, roughContact*p.body.Size, roughAngle)
		if err != nil {
			return err
		}
		for k, c := range list {
			c.contact = got[k]
		}
	}
	for _, c := range list {
		c.rubber = p.boxed(c)
	}
	return nil
}

// judge finds how those let go that nothing is known of yet.
func (p *pattern) judge(ctx context.Context, list []*candidate) error {
	return each(ctx, len(list), func(k int) error {
		c := list[k]
		if c.scene == nil {
			return nil
		}
		u, err := undercut.Find(ctx, c.scene, undercut.Options{})
		if err == nil {
			c.depth, c.path, c.volume, c.scene = u.Depth, u.Reach(), u.Volume, nil
		}
		return err
	})
}

// outline is the area of a field's body from above, mm².
func outline(f *dexel.Field) float64 {
	n := 0.0
	for j := range f.NY {
		for i := range f.NX {
			if len(f.Column(i, j)) > 0 {
				n++
			}
		}
	}
	return n * (f.Cell * f.Cell)
}

// boxed is what a plain box round the pattern takes, mm³: rubber all round as it
// is commonly planned, a tenth of the size, at least 6 and at most 25 mm. Common
// practice, no source; for ties only.
func (p *pattern) boxed(c *candidate) float64 {
	hull := mesh.OutlinePoints(p.body.Mesh, nil, c.up)
	wall := min(max(p.body.Size/10, 6), 25)
	r := mesh.MinRectGrown(hull, wall, 0)
	h := c.height + wall
	if !p.o.Mold.OnBoard() {
		h += wall
	}
	return r.Length*r.Width*h - p.body.Volume
}
