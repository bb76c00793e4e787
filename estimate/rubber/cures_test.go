package rubber

import (
	"flag"
	"fmt"
	"os"
	"strings"
	"testing"

	"moldtally/estimate/material"
	"moldtally/mesh/finding"
)

var update = flag.Bool("update", false, "rewrite the golden files under testdata; read them before committing")

// Every pattern material under every chemistry with every release: the words
// that a mold maker gets, kept as a table that a person has read.
func TestCureTable(t *testing.T) {
	var b strings.Builder
	for _, p := range material.Patterns() {
		fmt.Fprintf(&b, "%s (%s)\n", p.Name, p.What)
		for _, f := range material.Families {
			x := Cures(&p, f)[0]
			fmt.Fprintf(&b, "  %-12s %s: %s\n%15s%s\n%15sdo: %s\n", f, x.Severity, x.Summary, "", x.Effect, "", x.Hint)
			var never []string
			for _, r := range material.Releases() {
				if s, why := r.Between(&p, f); s == material.Never {
					never = append(never, r.Name+" ("+why+")")
				}
			}
			if len(never) > 0 {
				fmt.Fprintf(&b, "%15snever: %s\n", "", strings.Join(never, "; "))
			}
		}
	}
	const path = "testdata/cures.txt"
	if *update {
		if err := os.MkdirAll("testdata", 0o777); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, []byte(b.String()), 0o666); err != nil {
			t.Fatal(err)
		}
		return
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatalf("%v (go test -update writes it)", err)
	}
	if got := b.String(); got != string(want) {
		a, w := strings.Split(got, "\n"), strings.Split(string(want), "\n")
		for i := range min(len(a), len(w)) {
			if a[i] != w[i] {
				t.Fatalf("line %d: got %q, want %q", i+1, a[i], w[i])
			}
		}
		t.Fatalf("got %d lines, want %d", len(a), len(w))
	}
}

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
			if s, why := oil.Between(&p, f); s != material.Never || why == "" {
				t.Errorf("silicone oil on %s under %s: %v, %q", p.Name, f, s, why)
			}
			if w, _ := ReleaseChosen(oil, &p, f, false).Worst(); w != finding.Stop {
				t.Errorf("silicone oil chosen on %s under %s: no stop", p.Name, f)
			}
			if h := Cures(&p, f)[0].Hint; strings.Contains(h, "(silicone oil") || strings.Contains(h, "or silicone oil spray") {
				t.Errorf("%s under %s: offers silicone oil: %s", p.Name, f, h)
			}
		}
		// Silicone on silicone: always a release, and one to name.
		for _, n := range []string{"platinum-silicone", "tin-silicone"} {
			p := pattern(t, n)
			c, _ := p.Against(f)
			if !c.No && !strings.Contains(Cures(p, f)[0].Hint, "release (") {
				t.Errorf("%s under %s: %s", n, f, Cures(p, f)[0].Hint)
			}
		}
		if len(material.Between("release", nil, f)) < 2 {
			t.Errorf("%s over its own first half: nothing to brush between", f)
		}
	}
	// Polyurethane: a release always; sealed where the table says so.
	for _, p := range material.Patterns() {
		c, _ := p.Against(material.Polyurethane)
		if h := Cures(&p, material.Polyurethane)[0].Hint; !c.No && !strings.Contains(h, "brush on a thin release (") {
			t.Errorf("%s under polyurethane: no release: %s", p.Name, h)
		}
		for _, f := range material.Families {
			if c, _ := p.Against(f); c.Seal && len(material.Between("sealer", &p, f)) == 0 {
				t.Errorf("%s under %s: to be sealed, and nothing to seal it with", p.Name, f)
			}
		}
	}
}
