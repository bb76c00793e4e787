package estimate

import (
	"context"
	"math"

	"moldtally/boxfit"
	"moldtally/estimate/rubber"
	"moldtally/mesh"
	"moldtally/mesh/demold"
	"moldtally/mesh/demold/pose"
	"moldtally/mesh/finding"
	"moldtally/mesh/unit"
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

// choice is the way that is planned, and what is said of it.
type choice struct {
	*trial
	two      *trial // in two halves, where that was looked at; nil = it was not
	judged   judged // what the verdict is about
	answer   Answer
	instead  []finding.Remark // why it is not the kind that was looked at first
	turned   []finding.Remark // what another way up would bring
	findings finding.List
}

// choose settles the kind of mold: it looks at the block first, then at two
// halves, then at a mold poured all round and cut open, and at a blanket where
// the pattern is large. A kind that the user names is planned whatever it does;
// the others are then looked at for advice alone.
func (k *known) choose(ctx context.Context) (*choice, error) {
	j := k.job
	auto := j.Mold == ""
	first := Way{Mold: demold.Block, Up: j.Up}
	if !auto {
		first.Mold = j.Mold
	}
	t, err := k.try(ctx, first, j.Resolution, false)
	if err != nil {
		return nil, err
	}
	c := k.judge(t, nil)
	if auto && !j.boxed() {
		// What is large enough for a blanket is peeled out of it more easily, too.
		if saves, ok := blanketPays(t.pose, k.survey.Area, float64(k.solid.Displaced.Value)); ok {
			b := k.judge(k.trial(Way{Mold: demold.Blanket, Up: j.Up}, t.pose, t.report), nil)
			if b.answer.Whole() {
				b.switched(KindChosen{Saves: saves})
				return b, nil
			}
		}
	}
	if first.Mold.OnBoard() && !c.answer.Whole() {
		// Would two halves let go of it? They may stand another way up. Where the
		// user wants the block all the same this is only advice: a coarse look
		// does.
		res := j.Resolution
		if !auto {
			res = 4 * t.report.Resolution
		}
		two, err := k.try(ctx, Way{Mold: demold.TwoPart, Up: j.Up}, res, !auto)
		if err != nil {
			return nil, err
		}
		c = k.judge(t, two)
		if auto {
			if c, err = k.parted(ctx, c); err != nil {
				return nil, err
			}
		}
		if c.turned, err = k.elsewhere(ctx, c); err != nil {
			return nil, err
		}
	}
	return c, nil
}

// judge is the choice of one way, with the same pattern in two halves where that
// was looked at (nil = it was not).
func (k *known) judge(t, two *trial) *choice {
	c := &choice{trial: t, two: two, judged: judged{Mold: t.way.Mold, Chosen: k.job.Mold != "", Report: t.report, Shape: t.shape, Volume: float64(k.solid.Displaced.Value)}}
	if two != nil {
		c.judged.Two = two.report
	}
	c.answer = decide(c.judged).Answer
	return c
}

// parted is the choice where a block does not come off whole: two halves where
// they let go, a mold cut open where it has to be slit and has no footing, else
// the block.
func (k *known) parted(ctx context.Context, block *choice) (*choice, error) {
	switch ok, _ := block.judged.parts(); {
	case ok && block.answer == MakeTwoParts:
		c := *block
		c.trial = block.two
		c.switched(KindChosen{Why: decide(block.judged).Because[0]})
		return &c, nil
	case block.answer == SlitIt && block.pose.BaseContact < footing*block.pose.Rect[0]*block.pose.Rect[1]:
		t, err := k.try(ctx, Way{Mold: demold.Cut, Up: k.job.Up}, k.job.Resolution, false)
		if err != nil {
			return nil, err
		}
		c := k.judge(t, block.two)
		if c.answer != SlitIt {
			return block, nil
		}
		c.switched(KindChosen{})
		c.instead = decide(block.judged).Because[:1]
		return c, nil
	}
	return block, nil
}

// switched says that another kind of mold is planned than the block.
func (c *choice) switched(k KindChosen) {
	k.Kind = c.way.Mold
	c.findings.Add(finding.Finding{Code: CodeKind, Severity: finding.Note, Facts: k})
}

// asked is what the chosen way asks of the rubber: opened as the verdict says,
// for the castings wanted. How hard a mold may be used depends on those; the
// verdict is the pattern's own.
func (c *choice) asked(copies int) rubber.Shape {
	s := c.shape
	// Slit, no ring has to stretch, and the rubber may be firmer than for a mold
	// that comes off whole.
	s.Slit = s.Slit || c.answer == SlitIt
	s.Copies, s.Head = copies, c.pose.Height
	return s
}

// verdict is the verdict on the choice; lip is how thick, mm, the rubber is where
// a flap bends, 0 = not known.
func (c *choice) verdict(lip float64) *Verdict {
	j := c.judged
	j.Lip = lip
	v := decide(j)
	v.Because = append(append(append([]finding.Remark{}, c.instead...), v.Because...), c.turned...)
	return &v
}

// boxed reports whether the user asked for a container, which a blanket has
// none of.
func (j *resolved) boxed() bool {
	return j.Container != "" || j.Inside != nil || j.InsideTube != nil
}

// blanketPays reports whether a blanket under a mother mold is the better kind
// for a pattern that comes out of a block, and why.
func blanketPays(pose *pose.Pose, area, displaced float64) (b Blanketing, pays bool) {
	l, w, h := pose.Rect[0], pose.Rect[1], pose.Height
	if math.Sqrt(l*w) <= blanketFrom {
		return b, false
	}
	c := boxfit.CoverRule(l, w)
	block := (l+2*c)*(w+2*c)*(h+c) - displaced
	coat := max(0, area-pose.BaseContact) * boxfit.CoatRule(demold.Blanket, max(l, h)) * 1.2 // a fifth more to fill out and for the rim: common practice, no source
	if coat >= blanketGain*block {
		return b, false
	}
	rubber := func(v float64) unit.Mass { return unit.Density(boxfit.DefaultSG).Mass(unit.Volume(v)) }
	return Blanketing{unit.Length(l), unit.Length(w), rubber(block), rubber(coat)}, true
}

// elsewhere says what another way up would bring, where the user holds the
// pattern one way and that way it has to be slit, or is locked.
func (k *known) elsewhere(ctx context.Context, c *choice) ([]finding.Remark, error) {
	if !k.job.Up.Held() || c.answer != SlitIt && c.answer != Locked {
		return nil, nil
	}
	pose, two, err := k.demolds(ctx, Way{Mold: demold.TwoPart}, 4*c.report.Resolution, true)
	if err != nil {
		return nil, err
	}
	j := judged{Mold: demold.Block, Report: c.report, Shape: rubber.Shape{Wall: c.wall, Longest: k.longest()}, Two: two, Volume: float64(k.solid.Displaced.Value)}
	ok, why := j.parts()
	if !ok {
		return nil, nil
	}
	if k.job.Up.Dir.Unit().Dot(mesh.V(pose.Up[0], pose.Up[1], pose.Up[2])) > 1-1e-9 {
		why.AsItStands = true
	} else {
		why.Turned = &pose.Up
	}
	return []finding.Remark{{Facts: why}}, nil
}
