package rubber_test

import (
	"flag"
	"fmt"
	"os"
	"strings"
	"testing"

	"moldtally/estimate/material"
	"moldtally/estimate/rubber"
	"moldtally/mesh/unit"
	"moldtally/render/words"
)

var update = flag.Bool("update", false, "rewrite the golden files under testdata; read them before committing")

// Every pattern material under every chemistry with every release: the words
// that a mold maker gets, kept as a table that a person has read.
func TestCureTable(t *testing.T) {
	var b strings.Builder
	for _, p := range material.Patterns() {
		fmt.Fprintf(&b, "%s (%s)\n", p.Name, p.What)
		for _, f := range material.Families {
			x := rubber.Cures(&p, f)[0]
			told := words.Tell(x, unit.Metric)
			fmt.Fprintf(&b, "  %-12s %s: %s\n%15s%s\n%15sdo: %s\n", f, x.Severity, told.Summary, "", told.Effect, "", told.Hint)
			var never []string
			for _, r := range material.Releases() {
				if s, _ := r.Between(&p, f); s == material.Never {
					_, why, _ := strings.Cut(words.Tell(rubber.ReleaseChosen(r, &p, f, false)[0], unit.Metric).Summary, ": ")
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
