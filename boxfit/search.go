package boxfit

import (
	"context"
	"fmt"
	"sort"

	"moldtally/mesh"
	"moldtally/mesh/demold"
	space "moldtally/mesh/demold/scene"
	"moldtally/mesh/dexel"
	"moldtally/mesh/finding"
	"moldtally/mesh/solid"
	"moldtally/mesh/unit"
)

// Search finds the container for a solid that stands with up facing up. rep is
// the solid's demold report along up for the same mold: it gives the pockets,
// the clay, the column field and the parting plane.
//
// best is the mother mold of a coat; else the user's own container where one is
// given, else the kind asked for, else the one with the least work that no other
// pays to be built instead of. others are what was weighed against it, least rubber
// first. A container in which the pattern does not fit is no error: it comes back
// with CodeSmall, a stop, among its findings, and [Fit.Fits] says so. The error is a *BadRequest where the request makes
// no sense, and ctx's error when it was cancelled.
func Search(ctx context.Context, s *solid.Solid, up mesh.Vec, rep *demold.Report, r Request) (best *Fit, others []*Fit, err error) {
	if err := r.check(); err != nil {
		return nil, nil, err
	}
	if up = up.Unit(); up == (mesh.Vec{}) || !up.IsFinite() {
		return nil, nil, &BadRequest{Input: InputUp}
	}
	surface := s.Surface()
	var skip []bool
	for t := range surface.NumTriangles() {
		if !s.Live(t) {
			if skip == nil {
				skip = make([]bool, surface.NumTriangles())
			}
			skip[t] = true
		}
	}
	sc, err := newScene(ctx, surface, skip, up)
	if err != nil {
		return nil, nil, err
	}
	sc.displaced, sc.columns = s.Displaced, s.Field
	if r.Displaced != nil {
		sc.displaced = *r.Displaced
	}
	if rep != nil {
		sc.pockets, sc.clay, sc.clayHeight = rep.Pockets, rep.ClayFill, rep.Clay
		if r.Mold.Coated() {
			sc.ragged = space.Ragged(s, up, sc.base+rep.Clay+1e-6*sc.height())
		}
		if rep.Parting != nil {
			h := sc.base + rep.Parting.Height // the report tells it above the base
			sc.parting = &h
		}
		if f := rep.Field; f != nil {
			sc.share = shareOf(f)
		}
	}
	return search(ctx, sc, r)
}

// shareOf is the share of a pattern's volume below a height, by its columns. All
// containers ask for the same few heights, so each is summed once.
func shareOf(f *dexel.Field) func(h float64) float64 {
	total := f.Volume()
	known := map[float64]float64{}
	return func(h float64) float64 {
		if total == 0 {
			return 0
		}
		if s, ok := known[h]; ok {
			return s
		}
		var v float64
		for j := range f.NY {
			var row float64
			for i := range f.NX {
				for _, sp := range f.Column(i, j) {
					row += max(0, min(h, sp.Top)-sp.Bottom)
				}
			}
			v += row
		}
		known[h] = v * f.Cell * f.Cell / total
		return known[h]
	}
}

// search is Search for a pattern already measured.
func search(ctx context.Context, sc *scene, r Request) (*Fit, []*Fit, error) {
	p, err := newPlanner(sc, &r)
	if err != nil {
		return nil, nil, err
	}
	step := func(n int) error {
		if r.Progress != nil {
			r.Progress("container", n, 3)
		}
		if err := ctx.Err(); err != nil {
			return fmt.Errorf("boxfit: %w", err)
		}
		return nil
	}
	if err := step(0); err != nil {
		return nil, nil, err
	}
	best, err := p.settled(ctx)
	if err != nil {
		return nil, nil, err
	}
	if err := step(1); err != nil {
		return nil, nil, err
	}
	var others []*Fit
	if best == nil || best.Own {
		best, others = p.weighed(best)
	}
	if err := step(3); err != nil {
		return nil, nil, err
	}
	all := append([]*Fit{best}, others...)
	for _, f := range all {
		p.doubtVolume(f)
		f.Findings.Sort()
	}
	leastFirst(all)
	for _, f := range all {
		mass := float64(unit.Density(p.sg).Mass(unit.Volume(f.Rubber)))
		best.Options = append(best.Options, Option{Mold: f.Mold, Container: f.Kind, Volume: f.Rubber, Mass: &mass})
	}
	return best, others, nil
}

// settled is the container that nothing is weighed for: a coat's mother mold,
// whatever box there is, the user's own, a trough; nil where there is none.
func (p *planner) settled(ctx context.Context) (*Fit, error) {
	switch r := p.r; {
	case p.mold.Coated():
		f, err := p.blanket(ctx)
		if err != nil {
			return nil, err
		}
		f.Reason = &Reason{Why: BecauseBlanket}
		return f, nil
	case r.Inside != nil:
		return p.ownBox(*r.Inside), nil
	case r.InsideTube != nil:
		w := sleeveWalls(p.s.circle, r.InsideTube[0])
		f := p.own(&w, r.InsideTube[1])
		f.Reason = &Reason{Why: BecauseOwn, Than: Sleeve}
		return f, nil
	case p.trough():
		f := p.gutter()
		f.Reason = &Reason{Why: BecauseLong}
		return f, nil
	}
	return nil, nil
}

// weighed makes a container of each kind, and picks one where none is given; the
// others are those of other kinds, least rubber first.
func (p *planner) weighed(own *Fit) (best *Fit, others []*Fit) {
	bw := p.boxWalls()
	box, sleeve, poly := p.made(&bw), p.sleeve(), p.polygon()
	best = own
	if best == nil {
		best = p.pick(box, sleeve, poly)
	}
	for _, f := range []*Fit{box, sleeve, poly} {
		if f != best && (best.Own || f.Kind != best.Kind) {
			others = append(others, f)
		}
	}
	leastFirst(others)
	return best, others
}

func leastFirst(list []*Fit) {
	sort.SliceStable(list, func(i, j int) bool { return list[i].Rubber < list[j].Rubber })
}

// ownBox turns the pattern in the user's box so that its thinnest side is as
// thick as it can be.
func (p *planner) ownBox(in [3]float64) *Fit {
	c, _ := mesh.MaxClearance(p.s.hull, in[0], in[1])
	w := walls{kind: Box, center: c.Center, axis: c.Axis, length: c.Length, width: c.Width}
	f := p.own(&w, in[2])
	f.Reason = &Reason{Why: BecauseOwn, Than: Box}
	return f
}

// doubtVolume raises a stop where the figures leave no rubber.
func (p *planner) doubtVolume(f *Fit) {
	if f.RubberLow > 0 || f.Findings.Has(CodeSmall) {
		return
	}
	f.Findings.Add(finding.Finding{Code: CodeVolume, Severity: finding.Stop, Facts: NoRoom{p.s.displaced.High, unit.Volume(f.Capacity)}})
}
