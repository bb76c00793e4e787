package demold

import (
	"context"
	"math"

	"moldtally/mesh"
	"moldtally/mesh/demold/parting"
	"moldtally/mesh/demold/standin"
)

// Seam is where a mold that was poured in one piece all round is cut open. The
// knife follows a plane from the outside to the pattern, along one side, and the
// mold opens like a book about the rubber left on the other side: its two leaves
// swing apart as two halves of a mold lift off, so what is left undercut is
// judged as theirs.
type Seam struct {
	parting.Cut
	Opens   []Opened    `json:"opens"`        // undercuts that the cut relieves
	Path    *float64    `json:"left_path_mm"` // deepest undercut that is left; nil = locked
	PathAt  *[3]float64 `json:"left_path_at_mm"`
	Stretch *float64    `json:"left_stretch"` // nil = no finite figure
}

// Opened is an undercut that a seam relieves, and what is left of it.
type Opened struct {
	Region int      `json:"region"`
	Left   *float64 `json:"left_mm"` // nil = locked
}

// How a seam is sought; judgements.
const (
	// seamAngles planes through the pull are tried, evenly spread.
	seamAngles = 12
	// seamColumns is how many columns across the pattern they are tried on.
	seamColumns = 160
	// relieved is the part of an undercut's path up to which it counts as
	// opened.
	relieved = 0.5
)

// seams finds the seam of a cut mold: of the flat parting and the planes along
// the pull, the one that leaves the shortest path; within the uncertainty the
// parting, whose figures the report has. The flap is found for every mold that
// opens along a seam.
func seams(ctx context.Context, a *analysis) error {
	if a.OnBoard() {
		return nil
	}
	a.rep.Flap = a.flap()
	if a.Mold != Cut {
		return nil
	}
	best, err := a.otherPlane(ctx)
	if err != nil {
		return err
	}
	at := a
	if best != nil && a.found.reach()-best.found.reach() > a.rep.Uncertainty+best.rep.Uncertainty {
		at = best
		a.rep.Flap = best.flap()
	}
	o := parting.KnifeOptions{Cell: a.Field.Cell}
	if at != a {
		o.Hinge = &a.Up
	}
	for _, r := range a.rep.Regions {
		if r.Kind != "minor" {
			o.Undercuts = append(o.Undercuts, mesh.V(r.At[0], r.At[1], r.At[2]))
		}
	}
	cut, err := parting.Knife(ctx, at.Scene, at.parting, o)
	if err != nil || cut == nil {
		return err
	}
	a.rep.Seam = &Seam{Cut: *cut, Opens: []Opened{}, Path: at.rep.UndercutPath, PathAt: at.rep.UndercutPathAt, Stretch: at.rep.Stretch}
	if at != a {
		a.rep.Seam.Opens = a.relieves(at)
	}
	return nil
}

// otherPlane looks at the planes along the pull, coarsely at all of them and
// exactly at the best.
func (a *analysis) otherPlane(ctx context.Context) (*analysis, error) {
	p, err := standin.New(ctx, a.Solid)
	if err != nil {
		return nil, err
	}
	o := Options{Mold: TwoPart, Ignore: a.o.Ignore, Resolution: a.o.Resolution}
	e1, e2 := mesh.Basis(a.Up)
	var best trial
	for k := range seamAngles {
		sin, cos := math.Sincos(math.Pi * float64(k) / seamAngles)
		if 2*k == seamAngles {
			cos = 0 // not a rounding beside it
		}
		t, err := tryOn(ctx, p, e1.Mul(cos).Add(e2.Mul(sin)), seamColumns, o.scene())
		if err != nil {
			return nil, err
		}
		if k == 0 || t.path < best.path-t.resolved/2 || t.path < best.path+t.resolved/2 && t.volume < 0.98*best.volume {
			best = t
		}
	}
	if best.path > a.found.reach()+best.resolved {
		return nil, nil
	}
	x, err := newAnalysis(ctx, a.Solid, best.up, o)
	if err != nil {
		return nil, err
	}
	for _, f := range []func(context.Context, *analysis) error{findUndercuts, stretch, judgeSurface} {
		if err := f(ctx, x); err != nil {
			return nil, err
		}
	}
	return x, nil
}

// relieves lists the undercuts of a that are next to nothing when the mold
// opens as at does.
func (a *analysis) relieves(at *analysis) []Opened {
	out := []Opened{}
	left := make([]float64, len(a.rep.Regions)+1)
	for v, id := range a.rep.VertexRegion {
		left[id] = max(left[id], float64(at.rep.VertexPath[v]))
	}
	for _, r := range a.rep.Regions {
		if r.Kind == "minor" {
			continue
		}
		was := math.Inf(1)
		if r.Path != nil {
			was = *r.Path
		}
		if l := left[r.ID]; l <= max(at.regionFloor(), min(relieved*was, a.Size)) && !math.IsInf(l, 1) {
			out = append(out, Opened{r.ID, &l})
		}
	}
	return out
}
