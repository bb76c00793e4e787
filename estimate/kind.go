package estimate

import (
	"context"
	"fmt"
	"math"

	"moldtally/boxfit"
	"moldtally/mesh"
	"moldtally/mesh/demold"
	"moldtally/mesh/finding"
)

// Judgements about which kind of mold to plan where the user leaves it open.
const (
	// blanketFrom is the middle size √(length × width), mm, from which a blanket
	// under a mother mold is planned instead of a block: there a tenth of it, the
	// rubber wanted at the sides, passes 25 mm, and the kind of mold should change
	// rather than its wall.
	blanketFrom = 250
	// blanketGain is the share of a block's rubber that a blanket must stay under:
	// its mother mold is a day's work of its own.
	blanketGain = 0.5
	// footing is the share of the outline's rectangle that must stand flat on the
	// board for a block: with less the pattern hangs in the rubber anyway, and a
	// mold that has to be slit is poured all round and cut open.
	footing = 0.05
)

// blanketPays reports whether a blanket under a mother mold is the better kind
// for a pattern that comes out of a block, and why.
func blanketPays(pose *demold.Pose, area, displaced float64) (string, bool) {
	l, w, h := pose.Rect[0], pose.Rect[1], pose.Height
	if math.Sqrt(l*w) <= blanketFrom {
		return "", false
	}
	c := boxfit.CoverRule(l, w)
	block := (l+2*c)*(w+2*c)*(h+c) - displaced
	coat := max(0, area-pose.BaseContact) * boxfit.BlanketRule(l, w)
	if coat >= blanketGain*block {
		return "", false
	}
	return fmt.Sprintf("a block round a pattern %.0f by %.0f mm would take some %.0f kg of rubber, an even coat under a rigid shell some %.0f kg",
		l, w, block*boxfit.DefaultSG/1e6, coat*boxfit.DefaultSG/1e6), true
}

// kind settles the kind of mold: it looks at the block first, then at two
// halves, then at a mold poured all round and cut open, and at a blanket where
// the pattern is large. It returns how the pattern stands, what the pull does,
// and the verdict.
func (t *tally) kind(ctx context.Context) (*demold.Pose, *demold.Report, judged, Verdict, error) {
	p := t.s.Plan
	auto := t.job.Mold == "" || t.job.Mold == "auto"
	t.mold = demold.Mold(t.job.Mold)
	if auto {
		t.mold = demold.Block
	}
	fail := func(err error) (*demold.Pose, *demold.Report, judged, Verdict, error) {
		return nil, nil, judged{}, Verdict{}, err
	}
	pose, rep, err := t.look(ctx, t.mold, t.job.Up, t.job.Resolution, false)
	if err != nil {
		return fail(err)
	}
	j, v := t.judge(t.mold, pose, rep, auto)
	switched := func(what, effect string) {
		p.Warnings.Add(finding.Finding{Code: finding.MoldSwitched, Severity: finding.Note,
			Summary: what, Effect: effect, Hint: "--mold block shows the one-piece mold all the same"})
	}
	if t.mold.OnBoard() && v.Answer != ComesOut && v.Answer != ComesOutSoft {
		// Would two halves let go of it? They may stand another way up. Where the
		// user wants the block all the same this is only advice: a coarse look
		// does.
		res := t.job.Resolution
		if !auto {
			res = 4 * rep.Resolution
		}
		if t.twoUp, t.two, err = t.look(ctx, demold.TwoPart, t.job.Up, res, !auto); err != nil {
			return fail(err)
		}
		j, v = t.judge(t.mold, pose, rep, auto)
		ok, _ := j.parts()
		switch {
		case auto && ok && v.Answer == MakeTwoParts:
			switched("planned as two keyed halves, since a block does not let go: "+v.Because[0], "a second pour, a release between the halves and a seam on the casting")
			t.mold, pose, rep = demold.TwoPart, t.twoUp, t.two
			j, _ = t.judge(t.mold, pose, rep, auto)
		case auto && v.Answer == SlitIt && pose.BaseContact < footing*pose.Rect[0]*pose.Rect[1]:
			cutPose, cut, err := t.look(ctx, demold.Cut, t.job.Up, t.job.Resolution, false)
			if err != nil {
				return fail(err)
			}
			if cj, cv := t.judge(demold.Cut, cutPose, cut, auto); cv.Answer == SlitIt {
				switched("planned as one piece poured all round and cut open: the pattern has next to no flat side to stand on, and a block has to be slit all the same", "the pattern hangs in the box on its sprue; the knife leaves a seam on the casting")
				cv.Because = append(v.Because[:1:1], cv.Because...)
				t.mold, pose, rep, j, v = demold.Cut, cutPose, cut, cj, cv
			}
		}
		if err := t.elsewhere(ctx, rep, &v); err != nil {
			return fail(err)
		}
	}
	if auto && t.mold == demold.Block && (v.Answer == ComesOut || v.Answer == ComesOutSoft) && !t.boxed() {
		if why, ok := blanketPays(pose, t.survey.Area, float64(t.s.Solid.Displaced.Value)); ok {
			switched("planned as a blanket under a mother mold: "+why, "a shell of plaster or laminate has to be built over a layer of clay, or over the brushed rubber")
			t.mold = demold.Blanket
			j, v = t.judge(t.mold, pose, rep, auto)
		}
	}
	return pose, rep, j, v, nil
}

// boxed reports whether the user asked for a container, which a blanket has
// none of.
func (t *tally) boxed() bool {
	k := t.job.Container
	return k != "" && k != "auto" || t.job.Inside != nil || t.job.InsideTube != nil
}

// judge decides on one kind of mold.
func (t *tally) judge(mold demold.Mold, pose *demold.Pose, rep *demold.Report, auto bool) (judged, Verdict) {
	t.wall = boxfit.CoverRule(pose.Rect[0], pose.Rect[1])
	if mold == demold.Blanket {
		t.wall = boxfit.BlanketRule(pose.Rect[0], pose.Rect[1])
	}
	if t.job.Wall != nil {
		t.wall = *t.job.Wall
	}
	size := t.survey.Size
	j := judged{Mold: mold, Chosen: !auto, Report: rep, Two: t.two, Volume: float64(t.s.Solid.Displaced.Value)}
	j.Shape = shapeOf(rep, mold, t.wall, max(size.X, size.Y, size.Z), t.angular())
	j.Range = t.suggest(j.Shape)
	return j, decide(j)
}

// elsewhere adds to a verdict what another way up would bring, where the user
// holds the pattern one way and that way it has to be slit, or is locked.
func (t *tally) elsewhere(ctx context.Context, rep *demold.Report, v *Verdict) error {
	held := !t.job.Up.Auto && t.job.Up.Dir != (mesh.Vec{})
	if !held || v.Answer != SlitIt && v.Answer != Locked {
		return nil
	}
	pose, two, err := t.look(ctx, demold.TwoPart, Up{Auto: true}, 4*rep.Resolution, true)
	if err != nil {
		return err
	}
	j := judged{Mold: demold.Block, Report: rep, Two: two, Volume: float64(t.s.Solid.Displaced.Value)}
	j.Shape.Wall, j.Shape.Longest = t.wall, max(t.survey.Size.X, t.survey.Size.Y, t.survey.Size.Z)
	switch ok, why := j.parts(); {
	case ok && t.job.Up.Dir.Unit().Dot(mesh.V(pose.Up[0], pose.Up[1], pose.Up[2])) > 1-1e-9:
		v.Because = append(v.Because, why+" (--mold two-part)")
	case ok:
		v.Because = append(v.Because, fmt.Sprintf("laid with %s up instead, %s", toward(pose.Up), why))
	}
	return nil
}

// toward words a direction of the file's own axes.
func toward(d [3]float64) string {
	for i, name := range []string{"x", "y", "z"} {
		if math.Abs(d[i]) > 1-1e-9 {
			if d[i] > 0 {
				return "+" + name
			}
			return "-" + name
		}
	}
	r := func(v float64) float64 { return math.Round(v*1000)/1000 + 0 } // no −0
	return fmt.Sprintf("(%g, %g, %g)", r(d[0]), r(d[1]), r(d[2]))
}
