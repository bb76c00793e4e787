package estimate

import (
	"context"

	"moldtally/estimate/rubber"
	"moldtally/mesh"
	"moldtally/mesh/demold"
	"moldtally/mesh/finding"
)

// choice is the method that is planned, with all that it was weighed against: the
// first of them first, then those that work, the cheapest first, then those that
// fail.
type choice struct {
	*method
	all    []*method
	why    Weighed
	turned []finding.Remark // what another way up would bring
}

// choose reckons every way to mold the pattern to its end and weighs them once.
// All are looked at on coarse columns; the one that comes first is looked at as
// closely as it is printed, and weighed again as it is then.
func (k *known) choose(ctx context.Context) (*choice, error) {
	l := looks{}
	for _, m := range []demold.Mold{demold.TwoPart, demold.Block, demold.Cut} {
		// What is pinned is planned whatever the others do.
		c := afar
		if k.job.Mold != "" && m == (Way{Mold: k.job.Mold}).pull() {
			c = whole
		}
		if err := l.closely(ctx, k, m, c); err != nil {
			return nil, err
		}
	}
	var all []*method
	for {
		var err error
		if all, err = k.reckon(ctx, l, all); err != nil {
			return nil, err
		}
		c := k.weigh(all)
		if c.close == whole {
			c.turned, err = k.elsewhere(ctx, c.trial)
			return c, err
		}
		if err := l.closely(ctx, k, c.pull, whole); err != nil {
			return nil, err
		}
	}
}

// reckon is every way, reckoned to the end on what the pulls do: what was reckoned on
// the same looks before is so again; nil = nothing was.
func (k *known) reckon(ctx context.Context, l looks, before []*method) ([]*method, error) {
	var all []*method
	for n, w := range ways {
		if before != nil && before[n].look == l[w.pull()] && before[n].two == l[demold.TwoPart].report {
			all = append(all, before[n])
			continue
		}
		m, err := k.evaluate(ctx, k.trial(w, l))
		if err != nil {
			return nil, err
		}
		all = append(all, m)
	}
	return all, nil
}

// boxed reports whether the user asked for a container, which a blanket has
// none of.
func (j *resolved) boxed() bool {
	return j.Container != "" || j.Inside != nil || j.InsideTube != nil
}

// elsewhere says what another way up would bring, where the user holds the
// pattern one way and that way it has to be slit, or is locked.
func (k *known) elsewhere(ctx context.Context, t *trial) ([]finding.Remark, error) {
	if !k.job.Up.Held() || t.verdict.Answer != SlitIt && t.verdict.Answer != Locked {
		return nil, nil
	}
	pose, two, err := k.demolds(ctx, demold.TwoPart, Up{}, afar)
	if err != nil {
		return nil, err
	}
	j := judged{Report: t.report, Shape: rubber.Shape{Wall: t.wall, Longest: k.longest()}, Two: two, Volume: float64(k.solid.Displaced.Value)}
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
