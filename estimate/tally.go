package estimate

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"moldtally/boxfit"
	"moldtally/estimate/casting"
	"moldtally/estimate/money"
	"moldtally/estimate/rubber"
	"moldtally/mesh"
	"moldtally/mesh/demold"
	"moldtally/mesh/finding"
	"moldtally/mesh/solid"
	"moldtally/mesh/unit"
)

// Options of Tally. The zero value is the default.
type Options struct {
	Version string // of the program, for the plan
	// Progress, if not nil, is called from one goroutine with the stage's name
	// and how much of it is done.
	Progress func(stage string, done, total int)
}

// Tally does the whole job for one pattern: survey, solid, which way up,
// undercuts, container, rubber, castings, money, order of work, verdict. The
// mesh is in millimetres, already resized.
//
// An error is the job's (a *rubber.BadInput, boxfit.ErrRequest) or the
// pattern's (solid.ErrNothing, mesh.ErrTooLarge), or ctx's. Where the pattern
// surrounds nothing, a session comes with the error: its plan has the counts.
// The result does not depend on the number of cores.
func Tally(ctx context.Context, m *mesh.Mesh, job Job, o Options) (*Session, error) {
	p := &Plan{Schema: Schema, Tool: Tool, Version: o.Version}
	b, err := newBench(job, p)
	if err != nil {
		return nil, err
	}
	switch job.Mold {
	case "", "auto", string(demold.Block), string(demold.TwoPart), string(demold.Cut), string(demold.Blanket):
	default:
		return nil, &rubber.BadInput{Flag: "mold", What: fmt.Sprintf("%q; say auto, block, two-part, cut or blanket", job.Mold)}
	}
	t := &tally{job: job, o: o, b: b, s: &Session{Mesh: m, Plan: p}}
	if err := t.run(ctx); err != nil {
		if errors.Is(err, solid.ErrNothing) && p.Pattern != nil {
			p.finish(job.Source)
			return t.s, err
		}
		return nil, err
	}
	return t.s, nil
}

// tally is one run.
type tally struct {
	job    Job
	o      Options
	b      *bench
	s      *Session
	survey *mesh.Survey

	mold  demold.Mold
	two   *demold.Report // the pattern in two parts, where that was looked at
	twoUp *demold.Pose
	hung  *stood         // how it stands without a baseboard, where that was asked
	top   *solid.Opening // that faces up: lid or vessel
	wall  float64
	flat  *bool // made of flat faces; nil = not looked at yet
	shape rubber.Shape
	rng   rubber.Range
}

func (t *tally) run(ctx context.Context) error {
	p := t.s.Plan
	survey, err := mesh.Inspect(ctx, t.s.Mesh, mesh.SurveyOptions{Progress: t.o.Progress})
	if err != nil {
		return fmt.Errorf("estimate: %w", err)
	}
	t.survey = survey
	p.Pattern = patternOf(t.job, survey)
	p.Warnings = append(p.Warnings, unitDoubt(t.job.Source, survey.Size)...)

	s, err := solid.From(ctx, t.s.Mesh, survey, solid.Options{KeepCrumbs: t.job.KeepCrumbs, Opening: t.job.Opening, Progress: t.o.Progress})
	if err != nil {
		return fmt.Errorf("estimate: %w", err)
	}
	t.s.Solid = s
	t.displaced()
	p.Warnings = append(p.Warnings, s.Findings...)
	drains, err := s.Drains(ctx)
	if err != nil {
		return fmt.Errorf("estimate: %w", err)
	}
	for _, d := range drains {
		p.Warnings.Add(d.Finding())
	}
	if t.job.Parts.StopAfter == ThroughPattern {
		p.NotChecked = []string{"whether it comes out of rubber, its container and the rubber it takes: this looks at the file alone"}
		p.finish(t.job.Source)
		return nil
	}

	if err := t.demold(ctx); err != nil {
		return err
	}
	p.Warnings = append(p.Warnings, t.s.Report.Findings...)
	t.openTop(p.Pose)
	if t.job.Parts.StopAfter == ThroughDemold {
		t.tellOpenTop(0, boxfit.DefaultSG)
		p.NotChecked = []string{"the container, the rubber, whether it cures against the pattern, and whether the pattern floats: this looks at how it comes out alone"}
		p.finish(t.job.Source)
		return nil
	}

	if err := t.container(ctx); err != nil {
		return err
	}
	p.finish(t.job.Source)
	return nil
}

// patternOf is the survey in the plan's words.
func patternOf(job Job, sv *mesh.Survey) *Pattern {
	src := job.Source
	return &Pattern{File: src.File, Format: src.Format, Units: src.Units, UnitsFrom: src.UnitsFrom,
		Triangles: sv.Triangles, Vertices: sv.Vertices, Size: sv.Size.Array(), Area: sv.Area, Closed: sv.Closed,
		BoundaryEdges: sv.BoundaryEdges, NonManifoldEdges: sv.NonManifoldEdges, TurnedEdges: sv.TurnedEdges,
		DegenerateFaces: sv.DegenerateFaces, DuplicateFaces: sv.DuplicateFaces, Pieces: len(sv.Pieces), Crumbs: sv.Crumbs,
		ThroughHoles: sv.ThroughHoles, SignedVolume: sv.SignedVolume, Repairs: []finding.Remark{}}
}

// dunkTolerance is how far a dunked volume may lie from the mesh's before it is
// worth a word: what a kitchen scale and a wet pattern are good for; a judgement.
const dunkTolerance = 0.03

// displaced writes the solid's volumes; a dunked one wins, and is compared.
func (t *tally) displaced() {
	p, r := t.s.Plan, &t.s.Solid.Result
	pat := p.Pattern
	f := func(v unit.Volume) *float64 { x := float64(v); return &x }
	pat.MaterialVolume, pat.SealedVoidVolume = f(r.Material), f(r.SealedVoidVolume)
	pat.DisplacedVolume, pat.DisplacedLow, pat.DisplacedHigh = f(r.Displaced.Value), f(r.Displaced.Low), f(r.Displaced.High)
	method, voids, crossings := finding.Remark{Facts: r.Measured}, r.SealedVoids, r.SelfCrossings
	pat.SealedVoids, pat.SelfCrossings = &voids, &crossings
	pat.Repairs = append(pat.Repairs, r.Repairs...)
	if d := t.job.Displaced; d != nil {
		low, high := float64(r.Displaced.Low), float64(r.Displaced.High)
		if v := *d; v < low*(1-dunkTolerance) || v > high*(1+dunkTolerance) {
			p.Warnings.Add(finding.Finding{Code: finding.PatternDunked, Severity: finding.Caution,
				Summary: fmt.Sprintf("dunked, the pattern displaces %.4g cm³; the mesh says %.4g cm³: %+.0f %%", v/1000, float64(r.Displaced.Value)/1000, 100*(v/float64(r.Displaced.Value)-1)),
				Effect:  "the dunked volume is used; a large difference means that unit, size or file are not the pattern's",
				Hint:    "measure one length of the pattern against size_mm, and dunk it again without air"})
		}
		method = finding.Remark{Facts: Dunked{r.Displaced.Value, r.Measured}}
		pat.DisplacedVolume, pat.DisplacedLow, pat.DisplacedHigh = d, d, d
	}
	pat.DisplacedMethod = &method
}

// Dunked says, as a remark, that the displaced volume was measured by dunking,
// and what the mesh displaces.
type Dunked struct {
	Mesh     unit.Volume
	Measured solid.Measured
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
	if src.UnitsFrom == "file" {
		if raw < 2 || raw > 5000 {
			out.Add(finding.Finding{Code: finding.UnitDoubtful, Severity: finding.Caution,
				Summary: fmt.Sprintf("by the unit the file states (%s) the pattern is %.4g mm at its longest", src.Units, raw),
				Effect:  "a wrong unit makes the rubber wrong a thousandfold",
				Hint:    "measure it; --units overrides what the file states"})
		}
		return out
	}
	if src.UnitsFrom != "assumed" || src.SizeGiven {
		return out
	}
	doubt := func(what string) {
		out.Add(finding.Finding{Code: finding.UnitDoubtful, Severity: finding.Caution,
			Summary: fmt.Sprintf("the file does not say its unit; read as mm the pattern is %.4g mm (%.3g in) at its longest: %s", raw, raw/25.4, what),
			Effect:  "a wrong unit makes the rubber wrong a thousandfold",
			Hint:    "measure the pattern and say --units mm, cm, m or in; or give its finished size with --height or --longest"})
	}
	switch {
	case raw < 3:
		doubt("did you mean --units in, or m?")
	case raw <= 30:
		doubt("a size like that is as often cm as mm (--units cm)")
	case raw > 2000:
		doubt("too large for most molds; is it a scan in thousandths of a mm?")
	default:
		out.Add(finding.Finding{Code: finding.UnitAssumed, Severity: finding.Note,
			Summary: fmt.Sprintf("the file does not say its unit; read as mm the pattern is %.4g mm (%.3g in) at its longest", raw, raw/25.4),
			Effect:  "if that is not its size, nothing below is right, and a quote is only a draft",
			Hint:    "check one length; --units mm confirms it"})
	}
	return out
}

// look analyzes the solid for one kind of mold with a side up, on columns of a
// width in mm (0 = auto); brief for advice alone.
func (t *tally) look(ctx context.Context, mold demold.Mold, side Up, resolution float64, brief bool) (*demold.Pose, *demold.Report, error) {
	o := demold.StandOptions{FileUp: t.job.Source.FileUp, Mold: mold, Clay: t.job.Clay, Ignore: t.job.Ignore, Search: t.job.Search, Show: t.job.Show, Progress: t.o.Progress}
	if !side.Auto && side.Dir != (mesh.Vec{}) {
		o.Up = &side.Dir
	}
	o.Kept = &demold.Kept{}
	st, err := t.stand(ctx, o)
	if err != nil {
		return nil, nil, err
	}
	up, pose, dirs := st.up, st.pose, st.dirs
	rep, err := demold.Analyze(ctx, t.s.Solid, up, demold.Options{Mold: mold, Clay: t.job.Clay, Ignore: t.job.Ignore, Web: t.job.Web, Fin: t.job.Fin, Resolution: resolution, Kept: o.Kept, Brief: brief, Progress: t.o.Progress})
	if err != nil {
		return nil, nil, fmt.Errorf("estimate: %w", err)
	}
	if dirs != nil {
		rep.Directions = slices.Clone(dirs)
		for k := range rep.Directions {
			// One way up has one set of figures: those of the analysis.
			if d := &rep.Directions[k]; d.Up == up.Array() {
				d.Depth, d.Path, d.Score, d.Volume, d.Stretch = rep.UndercutDepth, rep.UndercutPath, rep.UndercutPath, rep.UndercutVolume, rep.Stretch
			}
		}
	}
	return pose, rep, nil
}

// stood is how the pattern stands for one kind of mold.
type stood struct {
	up   mesh.Vec
	pose *demold.Pose
	dirs []demold.Direction
}

// stand finds how the pattern stands. A mold cut open and one in two parts ask
// the same of it, so the answer for the one is kept for the other.
func (t *tally) stand(ctx context.Context, o demold.StandOptions) (stood, error) {
	keep := !o.Mold.OnBoard() && o.Up == nil
	if keep && t.hung != nil {
		return *t.hung, nil
	}
	var st stood
	var err error
	if st.up, st.pose, st.dirs, err = demold.Stand(ctx, t.s.Solid, o); err != nil {
		return st, fmt.Errorf("estimate: %w", err)
	}
	if keep {
		t.hung = &st
	}
	return st, nil
}

// demold stands the pattern up, looks how it comes out, and decides.
func (t *tally) demold(ctx context.Context) error {
	pose, rep, j, v, err := t.kind(ctx)
	if err != nil {
		return err
	}
	p := t.s.Plan
	t.shape = asOpened(j.Shape, v.Answer)
	// The verdict is the pattern's own; how hard a mold may be used depends on
	// the castings wanted of it.
	t.shape.Copies, t.shape.Head = t.job.Copies, pose.Height
	t.rng = t.suggest(t.shape)
	p.Pose, p.Demold, p.Verdict = pose, rep, &v
	t.s.Report = rep
	return nil
}

// suggest is the hardness that a shape and what is cast ask for.
func (t *tally) suggest(s rubber.Shape) rubber.Range { return rubber.Suggest(s, t.b.cast) }

// container finds what holds the pour, and everything that follows from it.
func (t *tally) container(ctx context.Context) error {
	p, b, pose := t.s.Plan, t.b, t.s.Plan.Pose
	if err := t.chooseRubber(); err != nil {
		return err
	}
	up := mesh.V(pose.Up[0], pose.Up[1], pose.Up[2])
	body := Body{Material: p.Pattern.MaterialVolume, Displaced: p.Pattern.DisplacedVolume, Area: p.Pattern.Area}
	mass, how := PatternMass(t.job, body)
	p.Warnings = append(p.Warnings, massDoubt(t.job, body)...)
	req := boxfit.Request{Mold: t.mold, Container: t.job.Container, Inside: t.job.Inside, InsideTube: t.job.InsideTube,
		Wall: t.job.Wall, Over: t.job.Over, Under: t.job.Under, Board: t.job.Board, Tube: t.job.Tube,
		RubberSG: b.chosen.Density, PatternMass: mass, Progress: t.o.Progress}
	if t.job.Displaced != nil {
		d := unit.Exactly(unit.Volume(*t.job.Displaced))
		req.Displaced = &d
	}
	for _, own := range b.shop.Tubes {
		tube := boxfit.TubeStock{Name: own.Name, Bore: own.Bore}
		if own.Wall != nil {
			tube.Wall = *own.Wall
		}
		req.OwnTubes = append(req.OwnTubes, tube)
	}
	d := b.shop.Defaults
	if req.Board == "" {
		req.Board = d.Board
	}
	if req.Tube == "" {
		req.Tube = d.Tube
	}
	if d.Step != nil {
		req.Step = *d.Step
	}
	fit, others, err := boxfit.Search(ctx, t.s.Solid, up, t.s.Report, req)
	if err != nil {
		return fmt.Errorf("estimate: %w", err)
	}
	t.s.Fit, p.Container = fit, fit
	p.Warnings = append(p.Warnings, fit.Findings...)
	if fit.Boards == nil {
		fit.Boards = []boxfit.Board{}
	}

	all := append([]*boxfit.Fit{fit}, others...)
	if t.two != nil && t.mold != demold.TwoPart && t.job.Inside == nil && t.job.InsideTube == nil {
		// Side by side with the two halves that were looked at anyway.
		r := req
		r.Mold = demold.TwoPart
		u := mesh.V(t.twoUp.Up[0], t.twoUp.Up[1], t.twoUp.Up[2])
		f, more, err := boxfit.Search(ctx, t.s.Solid, u, t.two, r)
		if err != nil && ctx.Err() != nil {
			return fmt.Errorf("estimate: %w", err)
		}
		if err == nil {
			all = append(append(all, f), more...)
		}
	}
	t.tellOpenTop(fit.Rubber, unit.Density(b.chosen.Density))
	if (t.job.Mold == "" || t.job.Mold == "auto") && t.mold == demold.Block && (fit.Rubber > blanketWorth || b.lacks(fit.Rubber)) && t.job.Container == "" && t.job.Inside == nil && t.job.InsideTube == nil {
		r := req
		r.Mold, r.Wall, r.Over = demold.Blanket, nil, nil
		f, _, err := boxfit.Search(ctx, t.s.Solid, up, t.s.Report, r)
		if err != nil && ctx.Err() != nil {
			return fmt.Errorf("estimate: %w", err)
		}
		if err == nil {
			all = append(all, f)
		}
	}
	if t.two != nil && t.two.UndercutPath != nil {
		two := shapeOf(t.two, demold.TwoPart, t.wall, t.shape.Longest, t.shape.Angular)
		two.Copies, two.Head, two.Family = t.shape.Copies, t.shape.Head, t.shape.Family
		b.two = &two
	}
	// How thick the rubber is where it bends is known only now.
	if t.shape.Flap {
		if w := flapWall(fit, t.s.Report.Flap); w > 0 {
			was := t.rng.Needed.Why
			t.shape.There = w
			t.rng = t.suggest(t.shape)
			for k, b := range p.Verdict.Because {
				p.Verdict.Because[k] = strings.Replace(b, was, t.rng.Needed.Why, 1)
			}
		}
	}
	b.rubber(spaceOf(fit, t.mold), t.rng, &t.shape)
	t.strip()
	options, err := b.options(all)
	if err != nil {
		return err
	}
	fit.Options, p.Options = options, &options
	b.stands(fit, t.mold, pose)
	if t.job.Parts.StopAfter == ThroughContainer {
		p.NotChecked = b.notChecked(true, unknownMass(mass, how))
		p.Cautions = b.cautions(fit.LiftMass, p.Verdict.Answer == SlitIt)
		return nil
	}

	// Foam lifts what closes the mold: the lid on the mouth, or the other half.
	lid := pose.Rect[0] * pose.Rect[1]
	if t.mold.OnBoard() && t.s.Report.Mouth.Area > 0 {
		lid = t.s.Report.Mouth.Area
	}
	b.faces = &[2]float64{lid, pose.Rect[0] * pose.Height}
	b.castFits()
	hard := t.rng.Needed.Value == nil
	if v := t.rng.Needed.Value; v != nil {
		if s, ok := b.chosen.Hardness(); ok {
			comfortable, _ := rubber.Stands(s, b.chosen.Family, 0)
			hard = *v > comfortable/2
		}
	}
	if v := p.Pattern.DisplacedVolume; v != nil {
		cu := t.s.Report.CastUp
		if cu == ([3]float64{}) {
			cu = up.Neg().Array()
		}
		var shell *[2]float64
		if w := t.job.CastWall; w != nil && b.cast != nil && t.s.Report.Field != nil {
			vol, lattice, err := casting.ShellOf(ctx, t.s.Report.Field, *w)
			if err != nil {
				return fmt.Errorf("estimate: %w", err)
			}
			shell = &[2]float64{vol, lattice}
		}
		b.casting(*v, p.Pattern.Area, t.mold, &cu, hard, shell)
	}
	save, err := t.saves(ctx)
	if err != nil {
		return err
	}
	b.shelf(save)
	if err := b.cost(fit); err != nil {
		return err
	}
	b.order()
	p.NotChecked = b.notChecked(true, unknownMass(mass, how))
	p.Cautions = b.cautions(fit.LiftMass, p.Verdict.Answer == SlitIt)
	return nil
}

// chooseRubber picks the rubber; where it is of a family that stands more or
// less than silicone, the range is reckoned anew for it and the choice with it.
func (t *tally) chooseRubber() error {
	b := t.b
	if err := b.choose(t.rng, t.mold); err != nil || b.chosen.Family == "" {
		return err
	}
	s := t.shape
	s.Family = b.chosen.Family
	r := rubber.Suggest(s, b.cast)
	if *r.Low == *t.rng.Low && *r.High == *t.rng.High {
		t.shape, t.rng = s, r
		return nil
	}
	was := b.chosen
	if err := b.choose(r, t.mold); err != nil {
		return err
	}
	if b.chosen.Family != was.Family {
		b.chosen = was
		return nil
	}
	t.shape, t.rng = s, r
	return nil
}

func unknownMass(mass *float64, how string) string {
	if mass != nil {
		return ""
	}
	return how
}

// blanketWorth is the rubber of a block, mm³, from which a blanket under a
// mother mold is set beside it: its shell is work, and pays from a few litres
// on; a judgement.
const blanketWorth = 2e6

// options lists containers side by side, cheapest first; where no price is
// known, least rubber first.
func (b *bench) options(fits []*boxfit.Fit) ([]boxfit.Option, error) {
	out := []boxfit.Option{}
	for _, f := range fits {
		if f == nil {
			continue
		}
		mass := f.Rubber / 1000 * b.chosen.Density
		op := boxfit.Option{Mold: f.Mold, Container: string(f.Kind), Volume: f.Rubber, Mass: &mass}
		// What is mixed for it, by the same share as for the one chosen.
		mix := mass
		if b.mix.Mass > 0 {
			mix *= b.weighed() / b.mix.Mass
		}
		var cost *money.Amount
		switch q := b.job.Rubber; {
		case q.PricePerKg != nil:
			price, err := money.FromFloat(*q.PricePerKg)
			if err != nil {
				return nil, &rubber.BadInput{Flag: "price-per-kg", What: "not a price"}
			}
			c, err := price.Times(mix / 1000)
			if err != nil {
				return nil, fmt.Errorf("estimate: %w", err)
			}
			c = c.Cents()
			cost = &c
		case len(b.chosen.Kits) > 0:
			if buys, c := money.Cheapest(b.chosen.Kits, mix); buys != nil {
				cost = &c
			}
		}
		if cost != nil {
			v := cost.Float()
			op.Cost = &v
		}
		if !slices.ContainsFunc(out, func(o boxfit.Option) bool {
			return o.Mold == op.Mold && o.Container == op.Container && o.Volume == op.Volume
		}) {
			out = append(out, op)
		}
	}
	slices.SortStableFunc(out, func(a, b boxfit.Option) int {
		switch {
		case a.Cost != nil && b.Cost != nil && *a.Cost != *b.Cost:
			if *a.Cost < *b.Cost {
				return -1
			}
			return 1
		case a.Volume < b.Volume:
			return -1
		case a.Volume > b.Volume:
			return 1
		}
		return 0
	})
	return out, nil
}

// Limits of angular; judgements.
const (
	angularShare   = 0.85 // of the area in the commonest directions
	angularFaces   = 12   // how many directions those may be
	angularSamples = 200_000
)

// angular reports whether the pattern is made of flat faces.
func (t *tally) angular() bool {
	if t.flat == nil {
		f := angular(t.s.Solid)
		t.flat = &f
	}
	return *t.flat
}

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
