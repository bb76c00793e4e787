package estimate

import (
	"moldtally/boxfit"
	"moldtally/mesh/demold"
	"moldtally/mesh/finding"
)

// Method is one way to mold the pattern, reckoned to the end. Cost is in the
// currency of the shop file, and good for choosing alone where Basis is nominal.
type Method struct {
	Mold         demold.Mold      `json:"mold"`
	Slit         *bool            `json:"slit"` // nil but for a block
	Up           [3]float64       `json:"up"`
	Container    boxfit.Kind      `json:"container"`
	Chosen       bool             `json:"chosen"`
	Verdict      Answer           `json:"verdict"` // of a cut mold that fails wherever it is cut: as cut straight up the back
	Path         *float64         `json:"path_mm"` // nil = locked
	Rubber       string           `json:"rubber"`
	RubberVolume float64          `json:"rubber_volume_mm3"`
	RubberMass   *float64         `json:"rubber_mass_g"`
	ShellMass    *float64         `json:"shell_mass_g"` // nil = no mother mold
	Labor        float64          `json:"labor_min"`
	Days         int              `json:"days"` // working days until it may be cast in, the usual most
	DaysLow      int              `json:"days_low"`
	Cost         float64          `json:"cost"`
	Basis        Basis            `json:"basis"`
	Molds        int              `json:"molds"`
	Risk         int              `json:"risk_level"` // to the pattern, 0 none to 4 damage expected
	Seam         int              `json:"seam_level"` // on castings, 0 none to 4 across the face
	Risks        []finding.Remark `json:"risks"`
	Fails        []finding.Remark `json:"fails"`
}

// methods are all ways as the plan tells them, the chosen one first.
func (c *choice) methods() *[]Method {
	out := []Method{}
	for _, m := range c.all {
		t := Method{Mold: m.way.Mold, Up: m.pose.Up, Container: m.fit.Kind, Chosen: m == c.method, Verdict: m.verdict.Answer, Path: m.path(),
			Rubber: m.chosen.Name, RubberVolume: m.fit.Rubber, RubberMass: new(m.mix.mix.Mass),
			Labor: m.Minutes, Days: m.Days.High, DaysLow: m.Days.Low, Cost: m.Total, Basis: m.basis(), Molds: m.Molds,
			Risk: int(m.Risk), Seam: int(m.Seam), Risks: append([]finding.Remark{}, m.risks...), Fails: append([]finding.Remark{}, m.fails...)}
		if m.way.Mold == demold.Block {
			t.Slit = &m.way.Slit
		}
		if m.fit.Kind == boxfit.Mother {
			t.ShellMass = new(m.shellMass())
		}
		out = append(out, t)
	}
	return &out
}

// path is the deepest way out that rubber has to bend round, mm; of a cut mold
// what its seam leaves, and without what loose pieces take. nil = locked.
func (t *trial) path() *float64 {
	p := t.report.UndercutPath
	if t.way.Mold == demold.Cut && t.report.Seam != nil {
		p = t.report.Seam.Path
	}
	if p == nil && t.report.Loose.Serve() {
		p = &t.report.Loose.Rest
	}
	return p
}
