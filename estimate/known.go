package estimate

import (
	"context"
	"fmt"
	"math"
	"slices"

	"moldtally/mesh"
	"moldtally/mesh/demold"
	"moldtally/mesh/demold/pose"
	"moldtally/mesh/finding"
	"moldtally/mesh/solid"
	"moldtally/mesh/unit"
)

// known is what is known of a pattern whatever mold is made of it.
type known struct {
	job      *resolved
	o        Options
	mesh     *mesh.Mesh
	survey   *mesh.Survey
	pattern  *Pattern // as the plan tells it
	findings finding.List

	gang *gathered // several patterns that stand together; nil = one
	*found
}

// know surveys a mesh in millimetres and makes a solid of it. Where its faces
// surround nothing, what the survey found comes with solid.ErrNothing.
func know(ctx context.Context, m *mesh.Mesh, job *resolved, o Options) (*known, error) {
	return newStudied(m).know(ctx, job, o)
}

// know is know of a mesh of which some is found already.
func (s *studied) know(ctx context.Context, job *resolved, o Options) (*known, error) {
	k := &known{job: job, o: o, mesh: s.mesh}
	f, err := s.of(ctx, job, o)
	if s.survey == nil {
		return nil, err
	}
	k.survey = s.survey
	k.findings = append(append(k.findings, job.Source.Findings...), unitDoubt(job.Source, k.survey.Size)...)
	k.pattern = patternOf(job.Source, k.survey)
	if err != nil {
		return k, err
	}
	k.found = f
	k.pattern.displaces(&k.solid.Result, job.Displaced)
	if job.Height != nil {
		k.findings = append(k.findings, job.heightDoubt(k.solid)...)
	}
	k.findings = append(append(k.findings, dunkDoubt(job.Displaced, &k.solid.Result)...), k.solid.Findings...)
	k.findings = append(k.findings, k.drains...)
	return k, nil
}

// longest is the pattern's largest size, mm; of several that of the largest.
func (k *known) longest() float64 {
	if k.gang != nil {
		return k.gang.longest
	}
	return max(k.survey.Size.X, k.survey.Size.Y, k.survey.Size.Z)
}

// patternOf is the survey in the plan's words.
func patternOf(src Source, sv *mesh.Survey) *Pattern {
	return &Pattern{File: src.File, FileName: &src.File, Format: src.Format, Units: src.Units, UnitsFrom: src.UnitsFrom,
		Triangles: sv.Triangles, Vertices: sv.Vertices, Size: sv.Size.Array(), Area: sv.Area, Closed: sv.Closed,
		BoundaryEdges: sv.BoundaryEdges, NonManifoldEdges: sv.NonManifoldEdges, TurnedEdges: sv.TurnedEdges,
		DegenerateFaces: sv.DegenerateFaces, DuplicateFaces: sv.DuplicateFaces, Pieces: len(sv.Pieces), Crumbs: sv.Crumbs,
		ThroughHoles: sv.ThroughHoles, SignedVolume: sv.SignedVolume, Repairs: []finding.Remark{}}
}

// displaces writes a solid's volumes; a dunked one, mm³, wins (nil = none).
func (p *Pattern) displaces(r *solid.Result, dunked *float64) {
	f := func(v unit.Volume) *float64 { x := float64(v); return &x }
	p.MaterialVolume, p.SealedVoidVolume = f(r.Material), f(r.SealedVoidVolume)
	p.DisplacedVolume, p.DisplacedLow, p.DisplacedHigh = f(r.Displaced.Value), f(r.Displaced.Low), f(r.Displaced.High)
	method, voids, crossings := finding.Remark{Facts: r.Measured}, r.SealedVoids, r.SelfCrossings
	p.SealedVoids, p.SelfCrossings = &voids, &crossings
	p.Repairs = append(p.Repairs, r.Repairs...)
	if dunked != nil {
		method = finding.Remark{Facts: Dunked{r.Displaced.Value, r.Measured}}
		p.DisplacedVolume, p.DisplacedLow, p.DisplacedHigh = dunked, dunked, dunked
	}
	p.DisplacedMethod = &method
}

// Dunked says, as a remark, that the displaced volume was measured by dunking,
// and what the mesh displaces.
type Dunked struct {
	Mesh     unit.Volume
	Measured solid.Measured
}

// dunkTolerance is how far a dunked volume may lie from the mesh's before it is
// worth a word: what a kitchen scale and a wet pattern are good for; a judgement.
const dunkTolerance = 0.03

// dunkDoubt compares a volume measured by dunking, mm³ (nil = none), with the
// mesh's.
func dunkDoubt(dunked *float64, r *solid.Result) (out finding.List) {
	if dunked == nil {
		return nil
	}
	v, low, high := *dunked, float64(r.Displaced.Low), float64(r.Displaced.High)
	if v < low*(1-dunkTolerance) || v > high*(1+dunkTolerance) {
		out.Add(finding.Finding{Code: CodeDunked, Severity: finding.Caution, Facts: DunkedDiffers{unit.Volume(v), r.Displaced.Value}})
	}
	return out
}

// unitDoubt says whether the file's numbers can be what they are taken for.
// The bounds are judgements: patterns run from 5 to 1000 mm, and a sculpt of
// 20 units is as often centimetres as millimetres.
func unitDoubt(src Source, size mesh.Vec) (out finding.List) {
	longest := max(size.X, size.Y, size.Z)
	raw := longest
	if src.Resized > 0 {
		raw /= src.Resized
	}
	u := Unit{Longest: unit.Length(raw)}
	tell := func(c finding.Code, s finding.Severity) { out.Add(finding.Finding{Code: c, Severity: s, Facts: u}) }
	switch {
	case src.UnitsFrom == UnitsInFile:
		if u.Stated = src.Units; !src.SizeGiven && (raw < 2 || raw > 5000) {
			tell(CodeUnitDoubtful, finding.Caution)
		}
		return out
	case src.UnitsFrom != UnitsAssumed || src.SizeGiven:
		return nil
	case raw < 3:
		u.Doubt = TooSmall
	case raw <= 30:
		u.Doubt = MaybeCM
	case raw > 2000:
		u.Doubt = TooLargeToMold
	default:
		tell(CodeUnitAssumed, finding.Note)
		return out
	}
	tell(CodeUnitDoubtful, finding.Caution)
	return out
}

// standOptions is how the solid is stood up for a kind of mold.
func (k *known) standOptions(m demold.Mold, up Up) pose.Options {
	j := k.job
	o := pose.Options{Upright: j.Upright, FileUp: j.Source.FileUp, Mold: m, Clay: j.Clay, Ignore: j.Ignore, Search: j.Search, Show: j.Show, Progress: k.o.Progress}
	if up.Held() {
		o.Up = &up.Dir
	}
	return o
}

// demolds stands the solid up for a kind of mold and looks what the pull does.
func (k *known) demolds(ctx context.Context, m demold.Mold, up Up, c closeness) (*pose.Pose, *demold.Report, error) {
	j, how := k.job, k.standOptions(m, up)
	st, err := k.stand(ctx, how)
	if err != nil {
		return nil, nil, err
	}
	of := demold.Options{Mold: m, Clay: j.Clay, Ignore: j.Ignore, Web: j.Web, Fin: j.Fin, Resolution: j.Resolution, Known: st.Known, Progress: k.o.Progress,
		Foot: k.foot(), Show: j.Show, Hollow: j.cast != nil && j.CastWall != nil}
	if c == afar {
		of.Brief, of.Coarser = true, coarser
		of.Straight = m == demold.Cut && len(k.neverCut()) > 0
	}
	if c == whole {
		if of.Directions, err = st.Directions(ctx); err != nil {
			return nil, nil, fmt.Errorf("estimate: %w", err)
		}
	}
	rep, err := k.pull(ctx, how, st, of)
	if err != nil {
		return nil, nil, err
	}
	if j.Height == nil && slices.Contains(st.Pose.Reason.Steps, pose.StandsUpright) {
		rep.Findings = append(rep.Findings, j.uprightDoubt(UprightStands)...)
	}
	return &st.Pose, rep, nil
}

// foot is the side opposite to the one that is said or stated to be the object's
// top; nil where nothing says so.
func (k *known) foot() *mesh.Vec {
	top, assumed := k.job.upright()
	if assumed {
		return nil
	}
	return new(top.Neg())
}

// Limits of angular; judgements.
const (
	angularShare   = 0.85 // of the area in the commonest directions
	angularFaces   = 12   // how many directions those may be
	angularSamples = 200_000
)

// angular reports whether a surface is made of flat faces: most of its area
// looks in no more than a dozen directions. Large meshes are sampled evenly.
func angular(s *solid.Solid) bool {
	m := s.Surface()
	n := m.NumTriangles()
	step := max(1, n/angularSamples)
	bins := map[[3]int16]int{}
	var area []float64
	total := 0.0
	for t := 0; t < n; t += step {
		if !s.Live(t) {
			continue
		}
		a, b, c := m.Corners(t)
		x := b.Sub(a).Cross(c.Sub(a))
		l := x.Len()
		if l == 0 {
			continue
		}
		if !s.Outward(t) {
			x = x.Neg()
		}
		q := func(v float64) int16 { return int16(math.Round(v / l * 20)) }
		key := [3]int16{q(x.X), q(x.Y), q(x.Z)}
		k, ok := bins[key]
		if !ok {
			k = len(area)
			bins[key] = k
			area = append(area, 0)
		}
		area[k] += l
		total += l
	}
	slices.Sort(area)
	top := 0.0
	for i := len(area) - 1; i >= 0 && i >= len(area)-angularFaces; i-- {
		top += area[i]
	}
	return total > 0 && top >= angularShare*total
}
