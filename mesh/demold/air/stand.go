package air

import (
	"context"
	"math"

	"moldtally/mesh"
	"moldtally/mesh/demold/scene"
	"moldtally/mesh/dexel"
)

// How the side is chosen on which a closed mold stands while it is cast.
// Judgements of this program.
const (
	// sideTie is the share of the casting by which two sides may differ in the
	// air they catch and still be as good, and hiddenTie that by which the foot
	// and the back may catch more: a vent or two clear that, and nobody sees them.
	sideTie   = 1e-3
	hiddenTie = 5e-3
	// trialError is how far a volume of air is off on the few columns of a trial,
	// as a share of it.
	trialError = 0.1
	// trialCells is how many times as wide as the report's the columns are on
	// which the sides are tried.
	trialCells = 4
	// alike is the cosine of the angle within which a side is the foot, the
	// back or the face.
	alike = 0.7
	// footing is the share of the outline that has to lie within ceilingShare of
	// the size of one plane for a side to be a foot; of a ball it is 4 %.
	footing = 0.1
	// openShare is the least share of the surface that an open side has.
	openShare = 0.02
	// square is the cosine of the angle within which a side is taken to be square
	// to the file's axes.
	square = 0.9986
	// same is the cosine of what is one direction.
	same = 1 - 1e-9
	// widthTie is how near two ceilings are as wide, relatively.
	widthTie = 0.1
)

// side is a way to stand a closed mold while it is cast.
type side struct {
	up    mesh.Vec
	p     *pour // tried on few columns
	air   float64
	rank  int
	width float64 // of the place of the sprue, mm
}

// standing is the search for such a side.
type standing struct {
	c    *scene.Scene
	o    Options
	foot *mesh.Vec // which way the pattern's foot looks; nil = it has none

	fields []*dexel.Field // that were cast already
}

// cast is the casting's pour, level: on a board through the mouth; else with the
// side up that catches least, the mold stood on an edge before it is laid on a
// face, and of sides as good its foot or back up before its face and fine work.
func cast(ctx context.Context, c *scene.Scene, o Options) (*pour, error) {
	if c.OnBoard() {
		mouth := -c.ClayLine()
		p := castingPour(c, c.Field.UpsideDown(), &mouth)
		p.swill = o.Swilled
		p.level()
		return p, ctx.Err()
	}
	s := &standing{c: c, o: o}
	if err := s.findFoot(ctx); err != nil {
		return nil, err
	}
	var best *side
	for _, group := range s.groups() {
		sides, err := s.try(ctx, group)
		if err != nil {
			return nil, err
		}
		b := choose(sides, c.Field.Volume())
		if best == nil || b.air < (1-trialError)*best.air-sideTie*c.Field.Volume() {
			best = b
		}
		if best.air <= hiddenTie*c.Field.Volume() {
			break
		}
	}
	var f *dexel.Field
	switch d := c.Up.Dot(best.up); {
	case d > same:
		f = c.Field
	case d < -same:
		f = c.Field.UpsideDown()
	default:
		var err error
		if f, err = c.Across(ctx, best.up, 1); err != nil {
			return nil, err
		}
	}
	p := s.pour(f)
	p.level()
	return p, ctx.Err()
}

// groups are the sides to try, those before others first: of two halves the four
// in the parting plane, then the two halves; of a mold that is cut open all six.
func (s *standing) groups() [][]mesh.Vec {
	u := s.c.Up
	a := s.axis()
	b := u.Cross(a)
	edges, faces := []mesh.Vec{a, a.Neg(), b, b.Neg()}, []mesh.Vec{u.Neg(), u}
	if s.c.Mold == scene.Cut {
		return [][]mesh.Vec{append(faces, edges...)}
	}
	return [][]mesh.Vec{edges, faces}
}

// axis is the direction across the pull that two sides of the mold are square to:
// the pattern's foot where it has one there, else the side of its least rectangle.
func (s *standing) axis() mesh.Vec {
	u := s.c.Up
	if s.foot != nil {
		if f := s.foot.Sub(u.Mul(s.foot.Dot(u))); f.Len() >= alike {
			return s.straight(f.Unit())
		}
	}
	surface := s.c.Solid.Surface()
	skip := make([]bool, surface.NumTriangles())
	for t := range skip {
		skip[t] = !s.c.Solid.Live(t)
	}
	e1, e2 := mesh.Basis(u)
	r := mesh.MinRect(mesh.OutlinePoints(surface, skip, u)).Axis
	return s.straight(e1.Mul(r.X).Add(e2.Mul(r.Y)).Unit())
}

// straight is a direction across the pull, or the file's axis close to it that
// lies across the pull too.
func (s *standing) straight(d mesh.Vec) mesh.Vec {
	for _, x := range [...]mesh.Vec{{X: 1}, {Y: 1}, {Z: 1}} {
		if k := d.Dot(x); math.Abs(k) >= square && math.Abs(x.Dot(s.c.Up)) < 1e-9 {
			return x.Mul(math.Copysign(1, k))
		}
	}
	return d
}

// field is the columns along a side on which it is tried.
func (s *standing) field(ctx context.Context, up mesh.Vec) (*dexel.Field, error) {
	for _, f := range s.fields {
		switch d := f.U.Dot(up); {
		case d > same:
			return f, nil
		case d < -same:
			return f.UpsideDown(), nil
		}
	}
	f, err := s.c.Across(ctx, up, trialCells)
	s.fields = append(s.fields, f)
	return f, err
}

// findFoot finds which side of the pattern is its foot: as told, its open side,
// -z where it is flat there, else the flattest of the other axes.
func (s *standing) findFoot(ctx context.Context) error {
	s.foot = s.o.Foot
	if s.foot != nil {
		return nil
	}
	area := 0.0
	m := s.c.Solid.Surface()
	for t := range m.NumTriangles() {
		if s.c.Solid.Live(t) {
			a, b, c := m.Corners(t)
			area += b.Sub(a).Cross(c.Sub(a)).Len() / 2
		}
	}
	if op := s.c.Solid.Openings; len(op) > 0 && op[0].Area >= openShare*area {
		s.foot = &op[0].Normal
		return nil
	}
	most := footing
	for _, u := range [...]mesh.Vec{{Z: -1}, {Y: -1}, {Y: 1}, {X: -1}, {X: 1}, {Z: 1}} {
		f, err := s.field(ctx, u)
		if err != nil {
			return err
		}
		if share := flat(f, ceilingShare*s.c.Size); share >= most {
			s.foot, most = &u, share
		}
		if s.foot != nil && u.Z < 0 {
			break
		}
	}
	return nil
}

// pour is the casting's with the field's direction up.
func (s *standing) pour(f *dexel.Field) *pour {
	p := castingPour(s.c, f, nil)
	p.swill = s.o.Swilled
	return p
}

// try looks what each side catches.
func (s *standing) try(ctx context.Context, ups []mesh.Vec) ([]*side, error) {
	var out []*side
	for _, up := range ups {
		f, err := s.field(ctx, up)
		if err != nil {
			return nil, err
		}
		p := s.pour(f)
		p.level()
		_, wide := p.sprues(lean{})
		t := &side{up: up, p: p, air: volume(p.hold)}
		if len(wide) > 0 {
			t.width = wide[0]
		}
		t.rank = s.rank(up)
		out = append(out, t)
		if err := ctx.Err(); err != nil {
			return nil, err
		}
	}
	return out, nil
}

// How well a side bears the mark of a sprue, the best first.
const (
	foot = iota
	back
	plain
	head
	face
)

func (s *standing) rank(up mesh.Vec) int {
	is := func(d *mesh.Vec, k float64) bool { return d != nil && k*d.Unit().Dot(up) >= alike }
	switch {
	case is(s.o.Show, 1):
		return face
	case is(s.foot, 1):
		return foot
	case is(s.o.Show, -1):
		return back
	case is(s.foot, -1):
		return head
	}
	return plain
}

// flat is the share of the columns of a field whose upper end lies no more than
// slack under the highest, mm.
func flat(f *dexel.Field, slack float64) float64 {
	var tops []float64
	high := math.Inf(-1)
	for j := range f.NY {
		for i := range f.NX {
			if col := f.Column(i, j); len(col) > 0 {
				top := col[len(col)-1].Top
				tops, high = append(tops, top), max(high, top)
			}
		}
	}
	n := 0
	for _, z := range tops {
		if z >= high-slack {
			n++
		}
	}
	return float64(n) / float64(max(len(tops), 1))
}

// choose is the foot, or the back, where that catches little more than any; else
// the side that catches least, of those as good the one of least rank, then the
// widest, then the first. volume is the casting's.
func choose(sides []*side, volume float64) (best *side) {
	least := math.Inf(1)
	for _, s := range sides {
		least = min(least, s.air)
	}
	for _, tie := range [...]float64{hiddenTie, sideTie} {
		for _, s := range sides {
			if s.air > (1+trialError)*least+tie*volume || tie == hiddenTie && s.rank > back {
				continue
			}
			if best == nil || s.rank < best.rank || s.rank == best.rank && s.width > (1+widthTie)*best.width {
				best = s
			}
		}
		if best != nil {
			break
		}
	}
	return best
}
