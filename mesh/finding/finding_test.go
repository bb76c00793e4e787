package finding_test

import (
	"strings"
	"testing"

	"moldtally/mesh/finding"
)

func TestSortPutsTheWorstFirst(t *testing.T) {
	l := finding.List{{Code: "b.x", Severity: finding.Note}, {Code: "c.x", Severity: finding.Stop}, {Code: "a.x", Severity: finding.Stop}, {Code: "z.x", Severity: finding.Caution}}
	l.Sort()
	var got []string
	for _, f := range l {
		got = append(got, string(f.Code))
	}
	if s := strings.Join(got, " "); s != "a.x c.x z.x b.x" {
		t.Errorf("got %s, want a.x c.x z.x b.x", s)
	}
	if w, ok := l.Worst(); !ok || w != finding.Stop {
		t.Errorf("worst is %v, want stop", w)
	}
}
