// Package seam finds where a mold that was poured in one piece all round is cut
// open: along its flat parting, or along the pull, and what that relieves.
package seam

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"

	"moldtally/mesh"
	"moldtally/mesh/demold/parting"
	"moldtally/mesh/demold/scene"
	"moldtally/mesh/demold/standin"
	"moldtally/mesh/demold/strip"
	"moldtally/mesh/demold/undercut"
)

// Seam is where a mold that was poured in one piece is cut open. The knife follows
// a plane from the outside to the pattern, up its back, and the mold opens like a
// book about the rubber left in front: its two leaves swing apart as two halves of
// a mold lift off, so what is left undercut is judged as theirs.
type Seam struct {
	parting.Cut
	Front   Front       `json:"front"`        // the way the pattern looks: the knife keeps away from it
	Opens   []Opened    `json:"opens"`        // undercuts that the cut relieves
	Path    *float64    `json:"left_path_mm"` // deepest undercut that is left; nil = locked
	PathAt  *[3]float64 `json:"left_path_at_mm"`
	Bend    float64     `json:"left_bend_mm"` // as in undercut.Result
	Stretch *float64    `json:"left_stretch"` // nil = no finite figure
}

// Crosses reports whether the cut runs over the shown face, since no plane spares
// it.
func (s *Seam) Crosses() bool { return s.Front.From == FrontAsked && s.Across > stray*s.Length }

// Opened is an undercut that a seam relieves, and what is left of it.
type Opened struct {
	Region int      `json:"region"`
	Left   *float64 `json:"left_mm"` // nil = locked
}

// How a seam is sought; judgements of this program.
const (
	// turn is how far apart the planes through the pull are that are tried; nearBack
	// of them to each side of the one straight up the back are its neighbours, and
	// allRound of them lie a quarter turn away, up the silhouette.
	turn     = 15 * math.Pi / 180
	nearBack = 3
	allRound = 6
	// upSide is the sine of how near the cut side must face to the back for the
	// back to say which side it is.
	upSide = 0.2
	// columns is how many lie across the pattern where they are tried.
	columns = 96
	// slitColumns is how many times as wide as usual the columns are on which a slit is
	// looked at, where more than leastAcross of the usual ones lie across the pattern.
	slitColumns = 2
	leastAcross = 250
	// relief is the part of an undercut's path up to which it counts as opened.
	relief = 0.5
	// stray is the share of a cut that may run over faces that look as the shown
	// one does: a fold of the back.
	stray = 0.02
)

// Options of Find.
type Options struct {
	// Show is the outward direction of the face that no cut may cross; nil = not
	// known, and then guessed.
	Show *mesh.Vec
	// Straight takes the plane straight up the middle of the back, whatever it
	// leaves and crosses: for a mold that is not cut open anyway.
	Straight bool
}

// Result is how a mold opens.
type Result struct {
	Seam      *Seam            // nil = there is nothing to cut along, or nothing is gained
	Undercuts *undercut.Result // of the leaves that then lift off; without a seam those that were asked about
}

// Find finds the seam of a mold in one piece, whose undercuts are u and lie on the
// surface s: up the back from the base, along the pull, in the plane near the
// middle of the back whose leaves are left with the shortest path. A mold without
// a board is cut across the pull, along its flat parting, where that leaves a
// shorter path, or where the face looks along the pull; one on a board, that is a
// block that is slit, is left whole where no plane leaves a shorter one. No cut
// crosses the shown face if there is a plane that spares it. The error is the
// ctx's.
func Find(ctx context.Context, u *undercut.Result, s *undercut.Surface, o Options) (Result, error) {
	r, err := find(ctx, u, s, o)
	if err != nil {
		return Result{}, fmt.Errorf("seam: %w", err)
	}
	return r, nil
}

func find(ctx context.Context, u *undercut.Result, s *undercut.Surface, o Options) (Result, error) {
	c := u.Scene
	k, front, err := newSeeker(ctx, u, o.Show)
	if err != nil {
		return Result{}, err
	}
	for _, r := range s.Regions {
		if r.Kind != undercut.Minor {
			k.undercuts = append(k.undercuts, mesh.V(r.At[0], r.At[1], r.At[2]))
		}
	}
	settle := k.settle
	if o.Straight {
		settle = k.straight
	}
	at, cut, err := settle(ctx)
	if err != nil || cut == nil {
		return Result{nil, u}, err
	}
	left := s
	if at != u {
		if left, err = undercut.OnSurface(ctx, at, undercut.SurfaceOptions{}); err != nil {
			return Result{}, err
		}
	}
	stretch, err := strip.Of(at.Scene, strip.Options{Parting: at.Parting}).Stretch(ctx)
	if err != nil {
		return Result{}, err
	}
	out := &Seam{Cut: *cut, Front: front, Opens: []Opened{}, Path: at.Path, PathAt: left.PathAt, Bend: at.Bend, Stretch: stretch.Value}
	if at != u {
		out.Opens = relieved(s, left, c.Size, at.Scene.Noise())
	}
	return Result{out, at}, nil
}

// seeker looks for a seam.
type seeker struct {
	body      *standin.Body
	whole     *undercut.Result // of the mold before it is cut
	looks     mesh.Vec         // the front, unit
	undercuts []mesh.Vec       // where they are, the deepest first
}

// newSeeker looks which way the pattern looks: as said, or as it seems to.
func newSeeker(ctx context.Context, u *undercut.Result, show *mesh.Vec) (*seeker, Front, error) {
	body, err := standin.New(ctx, u.Scene.Solid)
	if err != nil {
		return nil, Front{}, err
	}
	front, err := frontOf(ctx, body, u.Scene.Up, show)
	if err != nil {
		return nil, Front{}, err
	}
	return &seeker{body: body, whole: u, looks: point(front.Looks)}, front, nil
}

// settle settles on leaves and the cut between them; no cut where nothing can be
// cut or a block gains nothing.
func (k *seeker) settle(ctx context.Context) (*undercut.Result, *parting.Cut, error) {
	u := k.whole
	c := u.Scene
	flat := func() (*parting.Cut, error) {
		if c.OnBoard() {
			return nil, nil
		}
		return k.knife(ctx, c, *u.Parting, nil)
	}
	if along(k.looks, c.Up) {
		cut, err := flat() // every plane up a side ends on the face
		return u, cut, err
	}
	leaves, cut, err := k.upTheBack(ctx)
	if err != nil {
		return nil, nil, err
	}
	if cut != nil && u.Reach() >= leaves.Reach()-u.Scene.Uncertainty-leaves.Scene.Uncertainty && spares(cut) {
		return leaves, cut, nil
	}
	across, err := flat()
	if err != nil || across == nil {
		if c.OnBoard() && cut != nil && u.Reach() > leaves.Reach() {
			return leaves, cut, err
		}
		return u, nil, err
	}
	if cut != nil && !spares(across) && across.Across >= cut.Across {
		return leaves, cut, nil
	}
	return u, across, nil
}

// straight is the plane straight up the middle of the back; no cut where the
// pattern looks along the pull.
func (k *seeker) straight(ctx context.Context) (*undercut.Result, *parting.Cut, error) {
	up := k.whole.Scene.Up
	if along(k.looks, up) {
		return k.whole, nil, nil
	}
	x, err := scene.New(ctx, k.whole.Scene.Solid, up.Cross(k.looks).Unit(), k.asked())
	if err != nil {
		return nil, nil, err
	}
	return k.exactly(ctx, k.whole.Scene.OverBoard(x))
}

func spares(c *parting.Cut) bool { return c.Across <= stray*c.Length }

// knife lays the cut between the leaves of a scene that part at a height.
func (k *seeker) knife(ctx context.Context, c *scene.Scene, height float64, hinge *mesh.Vec) (*parting.Cut, error) {
	up := k.whole.Scene.Up
	o := parting.KnifeOptions{Hinge: hinge, Cell: k.whole.Scene.Field.Cell, Face: &k.looks, Undercuts: k.undercuts}
	if !along(k.looks, up) {
		if hinge == nil {
			o.Hinge = new(up.Cross(k.looks).Unit())
		}
		if c.Up.Cross(*o.Hinge).Dot(k.looks) > upSide || c.Up.Cross(*o.Hinge).Dot(k.looks) < -upSide {
			o.Side = new(k.looks.Neg())
		}
	}
	return parting.Knife(ctx, c, height, o)
}

// upTheBack looks at the planes along the pull, coarsely at all of them and
// exactly at the best that spares the face; where none does by the coarse look, at
// the one that crosses least of it. Near the middle of the back comes first, and up
// a silhouette only where that leaves a shorter path.
func (k *seeker) upTheBack(ctx context.Context) (best *undercut.Result, cut *parting.Cut, err error) {
	tried, left, err := k.look(ctx, 0, nearBack, math.Inf(1))
	if err != nil {
		return nil, nil, err
	}
	if n := shortest(tried); tried[n].Reach() > tried[n].Scene.Noise() {
		limit := tried[n].Reach() - 2*tried[n].Scene.Uncertainty
		more, longer, err := k.look(ctx, nearBack+1, allRound, limit)
		if err != nil {
			return nil, nil, err
		}
		if len(more) > 0 && more[shortest(more)].Reach() < limit {
			tried, left = append(tried, more...), append(left, longer...)
		}
	}
	var rest []leaf // those that cross the face
	for {
		if len(tried) == 0 {
			if len(left) == 0 {
				break
			}
			if tried, err = solved(ctx, left); err != nil {
				return nil, nil, err
			}
			left = nil
		}
		n := shortest(tried)
		l, err := k.leaf(ctx, tried[n])
		if err != nil {
			return nil, nil, err
		}
		tried = slices.Delete(tried, n, n+1)
		switch {
		case l.cut == nil:
			continue
		case !spares(l.cut):
			rest = append(rest, l)
			continue
		}
		leaves, now, err := k.exactly(ctx, l.scene)
		if err != nil || now != nil && spares(now) {
			return leaves, now, err
		}
		if now != nil && (cut == nil || now.Across < cut.Across) {
			best, cut = leaves, now
		}
	}
	if cut == nil && len(rest) > 0 {
		least := slices.MinFunc(rest, func(a, b leaf) int { return cmp.Compare(a.cut.Across, b.cut.Across) })
		return k.exactly(ctx, least.scene)
	}
	return best, cut, nil
}

// leaf is a plane along the pull at the height that a coarse look parts it at, and
// the cut there; nil = there is nothing to cut.
type leaf struct {
	scene *scene.Scene
	cut   *parting.Cut
}

func (k *seeker) leaf(ctx context.Context, coarse *undercut.Result) (leaf, error) {
	x, err := scene.New(ctx, k.whole.Scene.Solid, coarse.Scene.Up, k.asked())
	if err != nil {
		return leaf{}, err
	}
	l := leaf{scene: k.whole.Scene.OverBoard(x)}
	l.cut, err = k.knife(ctx, l.scene, *coarse.Parting, &k.whole.Scene.Up)
	return l, err
}

// exactly is what the leaves of a plane along the pull are left with, and the cut.
func (k *seeker) exactly(ctx context.Context, x *scene.Scene) (*undercut.Result, *parting.Cut, error) {
	best, err := undercut.Find(ctx, x, undercut.Options{Columns: k.whole.Scene.OnBoard()})
	if err != nil {
		return nil, nil, err
	}
	cut, err := k.knife(ctx, x, *best.Parting, &k.whole.Scene.Up)
	return best, cut, err
}

// asked is what leaves are looked at with.
func (k *seeker) asked() scene.Options {
	o := k.whole.Scene.Asked()
	o.Mold, o.Clay = scene.TwoPart, nil
	if c := k.whole.Scene; c.OnBoard() && c.Size > leastAcross*c.Field.Cell {
		// Where a block is slit, and what that relieves, is told; what its leaves are
		// left with only decides.
		o.Coarser = max(o.Coarser, slitColumns)
	}
	if o.Coarser > 0 && k.whole.Scene.Asked().Coarser > 0 {
		o.Coarser *= 1.5
	}
	return o
}

// look looks coarsely at the planes that lie from so many to so many turns from
// the middle of the back, to both sides. left are those that it need not look at:
// whose straight ways out alone, which takes a small part of the time to tell, are
// longer than limit or than what another leaves, or all that come after one that
// leaves nothing.
func (k *seeker) look(ctx context.Context, from, to int, limit float64) (out []*undercut.Result, left []*scene.Scene, err error) {
	across := k.whole.Scene.Up.Cross(k.looks).Unit()
	for n := from; n <= to; n++ {
		for _, m := range []int{n, -n} {
			if m < 0 && n == allRound || m == 0 && len(out) > 0 {
				continue // the same plane
			}
			sin, cos := math.Sincos(turn * float64(m))
			if n == allRound {
				cos = 0 // not a rounding beside it
			}
			x, err := k.body.Scene(ctx, across.Mul(cos).Add(k.looks.Mul(sin)).Unit(), columns, k.asked())
			if err != nil {
				return nil, nil, err
			}
			x = k.whole.Scene.OverBoard(x)
			if !math.IsInf(limit, 1) && (limit <= x.Noise() || undercut.AtLeast(x) >= limit+x.Uncertainty) {
				left = append(left, x)
				continue
			}
			t, err := undercut.Find(ctx, x, undercut.Options{Roughly: true})
			if err != nil {
				return nil, nil, err
			}
			out = append(out, t)
			limit = min(limit, t.Reach())
		}
	}
	return out, left, nil
}

// solved is what planes leave, looked at coarsely.
func solved(ctx context.Context, planes []*scene.Scene) (out []*undercut.Result, err error) {
	for _, x := range planes {
		t, err := undercut.Find(ctx, x, undercut.Options{Roughly: true})
		if err != nil {
			return nil, err
		}
		out = append(out, t)
	}
	return out, nil
}

// shortest is which of the leaves are left with the shortest path, within the
// uncertainty by volume, then the first.
func shortest(tried []*undercut.Result) (best int) {
	for n, t := range tried {
		b, tie := tried[best], t.Scene.Uncertainty/2
		if t.Reach() < b.Reach()-tie || t.Reach() < b.Reach()+tie && t.Volume < 0.98*b.Volume {
			best = n
		}
	}
	return best
}

// relieved lists the undercuts of a surface that are next to nothing when the mold
// opens so that left is left. size is the pattern's, and what is no deeper than
// noise is nothing, mm.
func relieved(s, left *undercut.Surface, size, noise float64) []Opened {
	out := []Opened{}
	most := make([]float64, len(s.Regions)+1)
	for v, id := range s.VertexRegion {
		most[id] = max(most[id], float64(left.VertexPath[v]))
	}
	for _, r := range s.Regions {
		if r.Kind == undercut.Minor {
			continue
		}
		was := math.Inf(1)
		if r.Path != nil {
			was = *r.Path
		}
		if l := most[r.ID]; l <= max(noise, min(relief*was, size)) && !math.IsInf(l, 1) {
			out = append(out, Opened{r.ID, &l})
		}
	}
	return out
}
