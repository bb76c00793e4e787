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
	return finished(&Plan{Pattern: k.pattern, NotChecked: notChecked}, k.o.Version, k.job.Source, k.findings)
}

// demoldPlan is how the pattern comes out.
func (k *known) demoldPlan(c *choice) *Plan {
	p := &Plan{Pattern: k.pattern, Pose: c.pose, Demold: c.report, Verdict: c.verdict(0),
		NotChecked: []NotChecked{{What: OnlyDemolding}}}
	return finished(p, k.o.Version, k.job.Source, k.findings, c.findings, c.report.Findings, k.openTop(c.pose, 0, boxfit.DefaultSG))
}

// wholePlan is the chosen way with everything that follows from it.
func (k *known) wholePlan(c *choice, m *method) *Plan {
	p := m.plan()
	p.Pattern, p.Pose, p.Demold, p.Verdict, p.Options = k.pattern, c.pose, c.report, c.verdict(m.lip), &m.options
	p.Verdict.inHand(m.rubber)
	return finished(p, k.o.Version, k.job.Source, k.findings, c.findings, c.report.Findings, m.findings)
}

// plan is what was reckoned of a method.
func (m *method) plan() *Plan {
	return &Plan{Container: m.fit, Rubber: m.rubber, Casting: m.casting, Cost: m.cost, Schedule: m.schedule, NotChecked: m.notChecked, Cautions: m.cautions}
}

// finished gives a plan its name and its warnings, the worst first and no repeats,
// and settles what depends on all of them. No slice of it is nil afterwards.
func finished(p *Plan, version string, src Source, found ...finding.List) *Plan {
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
		p.answer()
	}
	if c := p.Cost; c != nil {
		worst, any := p.Warnings.Worst()
		c.Draft = src.UnitsFrom == UnitsAssumed || any && worst == finding.Stop
	}
	return p
}
