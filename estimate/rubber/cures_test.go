package rubber

import (
	"slices"
	"testing"

	"moldtally/estimate/material"
	"moldtally/mesh/finding"
)

// What must hold whatever the table's words.
func TestReleaseRules(t *testing.T) {
	silicones := []material.Family{material.Platinum, material.Tin}
	oil, ok := material.FindRelease("silicone-oil-spray")
	if !ok {
		t.Fatal("no silicone oil spray in the table")
	}
	for _, f := range silicones {
		if s, _ := oil.Between(nil, f); s != material.Never {
			t.Errorf("silicone oil under %s: %v, want never", f, s)
		}
		for _, p := range material.Patterns() {
			if s, why := oil.Between(&p, f); s != material.Never || why == (material.Objection{}) {
				t.Errorf("silicone oil on %s under %s: %v, %+v", p.Name, f, s, why)
			}
			if w, _ := ReleaseChosen(oil, &p, f, false).Worst(); w != finding.Stop {
				t.Errorf("silicone oil chosen on %s under %s: no stop", p.Name, f)
			}
			if m, _ := Cures(&p, f)[0].Facts.(Meets); slices.Contains(m.Releases, oil.Name) {
				t.Errorf("%s under %s: offers silicone oil: %v", p.Name, f, m.Releases)
			}
		}
		// Silicone on silicone: always a release, and one to name.
		for _, n := range []string{"platinum-silicone", "tin-silicone"} {
			p := pattern(t, n)
			c, _ := p.Against(f)
			if m := Cures(p, f)[0].Facts.(Meets); !c.No && (!m.Brushed() || len(m.Releases) == 0) {
				t.Errorf("%s under %s: %+v", n, f, m)
			}
		}
		if len(material.Between("release", nil, f)) < 2 {
			t.Errorf("%s over its own first half: nothing to brush between", f)
		}
	}
	// Polyurethane: a release always; sealed where the table says so.
	for _, p := range material.Patterns() {
		c, _ := p.Against(material.Polyurethane)
		if m, ok := Cures(&p, material.Polyurethane)[0].Facts.(Meets); ok && !c.No && (!m.Brushed() || len(m.Releases) == 0) {
			t.Errorf("%s under polyurethane: no release: %+v", p.Name, m)
		}
		for _, f := range material.Families {
			if c, _ := p.Against(f); c.Seal && len(material.Between("sealer", &p, f)) == 0 {
				t.Errorf("%s under %s: to be sealed, and nothing to seal it with", p.Name, f)
			}
		}
	}
}
