package meshfile_test

import (
	"strings"
	"testing"

	"moldtally/mesh/meshfile"
	"moldtally/mesh/unit"
	"moldtally/render/words"
)

// TestErrorsInWords holds what odd files give to what the user is shown: three
// parts, one line each, not too long, in a mold maker's words.
func TestErrorsInWords(t *testing.T) {
	for _, err := range meshfile.OddErrors() {
		f, ok := words.Explain(err, unit.Metric)
		if !ok {
			t.Errorf("%v has no words", err)
		}
		for _, s := range []string{f.Summary, f.Effect, f.Hint} {
			if s == "" || len(s) > 300 {
				t.Errorf("%v: a part is missing or too long: %+v", err, f)
			}
			for _, w := range []string{"\n", "EOF", "strconv", "invalid", "unexpected", "json", "xml", "panic", "slice bounds", "nil", "int32", "meshfile", "%!", "{"} {
				if strings.Contains(s, w) {
					t.Errorf("not in a mold maker's words (%q): %s", w, s)
				}
			}
		}
	}
}
