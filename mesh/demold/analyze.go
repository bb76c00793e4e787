package demold

import (
	"context"
	"errors"
	"fmt"
	"math"

	"moldtally/mesh"
	"moldtally/mesh/demold/parting"
	"moldtally/mesh/demold/scene"
	"moldtally/mesh/demold/strip"
	"moldtally/mesh/solid"
)

// analysis is a scene and what the questions have found of it so far.
type analysis struct {
	*scene.Scene
	o Options

	cuts *strip.Sections // made when first asked
	rep  *Report

	// parting is the height of the flat parting, for molds that have one.
	parting float64

	// halves are the shadows: one for a block, the upper and the lower half
	// for molds that part.
	halves []*half
}

// half is the undercut of one half of the mold.
type half struct {
	*shadow
	up    mesh.Vec // the way this half lifts off
	res   pathResult
	label []int32 // per gap: region + 1, 0 = none
	first int     // number of the half's first region in the report
}

// Analyze answers how a mold of kind o.Mold, lifted along up, lets go of the
// solid. up need not have length 1. The error is about the arguments or the
// context; whatever is wrong with the pattern is a finding. The result does
// not depend on GOMAXPROCS. Time goes with the triangles once and with the
// columns (about 300 thousand at automatic resolution).
func Analyze(ctx context.Context, s *solid.Solid, up mesh.Vec, o Options) (*Report, error) {
	if s == nil {
		return nil, errors.New("demold: no solid")
	}
	a := o.Kept.take(s, up, o)
	known := a != nil
	if !known {
		var err error
		if a, err = newAnalysis(ctx, s, up, o); err != nil {
			return nil, fmt.Errorf("demold: %w", err)
		}
	}
	steps := []struct {
		name string
		run  func(ctx context.Context, a *analysis) error
		more bool // nothing that a verdict rests on
	}{
		{"undercuts", findUndercuts, false},
		{"tunnels", tunnels, false},
		{"passages", passages, true},
		{"stretch", stretch, false},
		{"squeeze", squeeze, false},
		{"surface", judgeSurface, false},
		{"webs", judgeWebs, true},
		{"thin", findThin, true},
		{"air", findAir, true},
	}
	for n, st := range steps {
		if o.Progress != nil {
			o.Progress("demold: "+st.name, n, len(steps))
		}
		if n == 0 && known || st.more && o.Brief {
			continue
		}
		if err := st.run(ctx, a); err != nil {
			return nil, fmt.Errorf("demold: %s: %w", st.name, err)
		}
	}
	if err := mouth(ctx, a); err != nil {
		return nil, fmt.Errorf("demold: mouth: %w", err)
	}
	if o.Brief {
		return a.rep, nil
	}
	if p := a.rep.Parting; p != nil {
		var err error
		if p.Natural, err = parting.Line(ctx, a.Scene, a.parting); err != nil {
			return nil, fmt.Errorf("demold: parting line: %w", err)
		}
		if p.Halves, a.rep.VertexHalf, err = parting.InHalves(ctx, a.Scene, a.parting); err != nil {
			return nil, fmt.Errorf("demold: halves: %w", err)
		}
	}
	if err := seams(ctx, a); err != nil {
		return nil, fmt.Errorf("demold: seam: %w", err)
	}
	a.tell()
	a.rep.Findings.Sort()
	if o.Progress != nil {
		o.Progress("demold", len(steps), len(steps))
	}
	return a.rep, nil
}

// scene is what the options say of the scene.
func (o Options) scene() scene.Options {
	return scene.Options{Mold: o.Mold, Clay: o.Clay, Ignore: o.Ignore, Resolution: o.Resolution}
}

func newAnalysis(ctx context.Context, s *solid.Solid, up mesh.Vec, o Options) (*analysis, error) {
	c, err := scene.New(ctx, s, up, o.scene())
	if err != nil {
		return nil, err
	}
	return &analysis{Scene: c, o: o, rep: &Report{Field: c.Field, Clay: c.Clay, Resolution: c.Field.Cell, Uncertainty: c.Uncertainty}}, nil
}

// findUndercuts fills the rubber space and all that follows from the columns:
// volume, depth, path and regions.
func findUndercuts(ctx context.Context, a *analysis) error {
	if !a.OnBoard() {
		return a.findParted(ctx)
	}
	a.rep.Pockets, a.rep.ClayFill = a.Space().Pockets, a.Space().ClayFill
	sh := newShadow(a.Field, a.Space(), a.ClayLine(), a.Base, a.Eps)
	h := &half{shadow: sh, up: a.Up}
	if err := h.solve(ctx, a); err != nil {
		return err
	}
	a.halves = []*half{h}
	a.sum()
	return nil
}

func (h *half) solve(ctx context.Context, a *analysis) error {
	if err := h.find(ctx); err != nil {
		return err
	}
	var err error
	h.res, err = h.paths(ctx, a.Rise(), a.Narrow())
	return err
}

// sum puts the halves' figures together in the report.
func (a *analysis) sum() {
	r := a.rep
	path, locked := 0.0, false
	for _, h := range a.halves {
		r.UndercutVolume += h.volume()
		if d, i, j, k := h.deepest(); d > r.UndercutDepth {
			lo, _, _ := h.piece(h.f.Column(i, j), h.f.Offset(i, j), k)
			r.UndercutDepth, r.UndercutDepthAt = d, scene.Point(h.f, i, j, lo)
		}
		if h.res.locked && !locked {
			locked = true
			r.UndercutPathAt = scene.Point(h.f, h.res.lockAt[0], h.res.lockAt[1], h.res.lockH)
		}
		if h.res.deepest > path {
			path = h.res.deepest
			if !locked {
				r.UndercutPathAt = scene.Point(h.f, h.res.at[0], h.res.at[1], h.res.atH)
			}
		}
		v, open := h.lockedVolume()
		r.LockedVolume += v
		r.FreePath = max(r.FreePath, open)
	}
	if !locked {
		r.UndercutPath = &path
	}
}

// lockedVolume is the volume of the gaps that have rubber without a way out,
// and the deepest path among the others.
func (h *half) lockedVolume() (vol, deepest float64) {
	for j := range h.f.NY {
		var row float64
		for i := range h.f.NX {
			col, off := h.f.Column(i, j), h.f.Offset(i, j)
			for k := range col {
				p := float64(h.path[off+k])
				if math.IsInf(p, 1) {
					lo, hi, _ := h.piece(col, off, k)
					row += hi - lo
				} else {
					deepest = max(deepest, p)
				}
			}
		}
		vol += row
	}
	return vol * h.f.Cell * h.f.Cell, deepest
}
