package demold

import (
	"context"
	"errors"
	"fmt"

	"moldtally/mesh"
	"moldtally/mesh/demold/parting"
	"moldtally/mesh/demold/scene"
	"moldtally/mesh/solid"
)

// analysis is a scene and what the questions have found of it so far.
type analysis struct {
	*scene.Scene
	o Options

	found *Undercuts
	rep   *Report

	// parting is the height of the flat parting, for molds that have one.
	parting float64

	// halves are the shadows: one for a block, the upper and the lower half
	// for molds that part.
	halves []*half
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
	a, err := newAnalysis(ctx, s, up, o)
	if err != nil {
		return nil, fmt.Errorf("demold: %w", err)
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
		if st.more && o.Brief {
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
	a.find()
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
	a := &analysis{o: o}
	if o.Known.answers(s, up, o) {
		a.found, a.Scene = o.Known, o.Known.Scene
	} else {
		var err error
		if a.Scene, err = scene.New(ctx, s, up, o.scene()); err != nil {
			return nil, err
		}
	}
	a.rep = &Report{Field: a.Field, Clay: a.Clay, Resolution: a.Field.Cell, Uncertainty: a.Uncertainty}
	return a, nil
}

// findUndercuts puts the undercuts in the report.
func findUndercuts(ctx context.Context, a *analysis) error {
	if a.found == nil {
		u, err := FindUndercuts(ctx, a.Scene, a.o.Parting)
		if err != nil {
			return err
		}
		a.found = u
	}
	u, r := a.found, a.rep
	r.UndercutVolume, r.LockedVolume, r.FreePath = u.Volume, u.Locked, u.FreePath
	r.UndercutDepth, r.UndercutDepthAt = u.Depth, u.DepthAt
	r.UndercutPath, r.UndercutPathAt = u.Path, u.PathAt
	a.halves = nil
	for _, h := range u.halves {
		own := *h // regions are numbered in it
		a.halves = append(a.halves, &own)
	}
	if a.OnBoard() {
		r.Pockets, r.ClayFill = a.Space().Pockets, a.Space().ClayFill
		return nil
	}
	a.parting = u.Parting
	trapped := parting.Trapped(a.Scene)
	r.Trapped = &trapped
	r.Parting = &Parting{Kind: "flat", Height: a.parting - a.Base}
	return nil
}
