package estimate

import (
	"reflect"
	"slices"

	"moldtally/boxfit"
	"moldtally/mesh/finding"
)

// plan is what is known of the pattern alone; notChecked says what was not looked
// at.
func (k *known) plan(notChecked ...NotChecked) *Plan {
	return finished(&Plan{Pattern: k.pattern, NotChecked: notChecked}, k.o.Version, k.job.Source, nil, k.findings)
}

// demoldPlan is how the pattern comes out.
func (k *known) demoldPlan(c *choice) *Plan {
	p := &Plan{Pattern: k.pattern, Pose: c.pose, Demold: c.report, Verdict: c.told(),
		NotChecked: []NotChecked{{What: OnlyDemolding}}}
	return finished(p, k.o.Version, k.job.Source, nil, k.findings, c.reported(), k.openTop(c.pose, 0, boxfit.DefaultSG))
}

// told is the verdict on the method that was chosen, as it is in its container.
func (c *choice) told() *Verdict {
	j := c.judged
	j.Lip = c.lip
	v := decide(j)
	if !c.letsGo() && c.why.Why == ByLeastBad {
		v.Answer = Locked
	}
	v.Because = append(append([]finding.Remark{}, v.Because...), c.turned...)
	return &v
}

// finished gives a plan its name and its warnings, the worst first and no repeats,
// and settles what depends on all of them. spared are refusals that are not the job's.
// No slice of it is nil afterwards.
func finished(p *Plan, version string, src Source, spared []finding.Code, found ...finding.List) *Plan {
	p.Schema, p.Tool, p.Version, p.Warnings = Schema, Tool, version, finding.List{}
	for _, list := range found {
		for _, f := range list {
			same := func(x finding.Finding) bool { x.At = nil; return reflect.DeepEqual(f, x) }
			// A place of its own keeps a finding apart.
			if f.At != nil || !slices.ContainsFunc(p.Warnings, same) {
				p.Warnings = append(p.Warnings, f)
			}
		}
	}
	p.Warnings.Sort()
	if p.NotChecked == nil {
		p.NotChecked = []NotChecked{}
	}
	if p.Cautions == nil {
		p.Cautions = []Safety{}
	}
	if p.Verdict != nil || p.Rubber != nil {
		p.answer(spared)
	}
	if c := p.Cost; c != nil {
		c.DraftBecause = p.unsettled(src)
		c.Draft = len(c.DraftBecause) > 0
	}
	return p
}
