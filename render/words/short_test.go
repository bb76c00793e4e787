package words

import (
	"strings"
	"testing"
	"unicode/utf8"

	"moldtally/mesh/finding"
	"moldtally/mesh/unit"
)

// A first screen has two lines of 68 columns for each part of a finding and cuts a
// longer one at the end of a sentence or of half a sentence: the first of these fits,
// and tells by itself what matters.
func TestFirstHalfSentencesFitTheScreen(t *testing.T) {
	for code, list := range exampleFindings {
		if strings.HasPrefix(string(code), "file.") {
			continue // told on a line of their own
		}
		for _, f := range list {
			for _, s := range []unit.System{unit.Both, unit.Metric, unit.US} {
				told := Tell(finding.Finding{Code: code, Severity: finding.Caution, Facts: f, At: &[3]float64{1, 2, 3}}, s)
				for _, part := range []string{told.Summary, told.Effect, told.Hint} {
					if first := firstHalf(part); linesOf(first, 68) > 2 {
						t.Errorf("%s, %s: %d columns before a half sentence ends: %s", code, s, utf8.RuneCountInString(first), first)
					}
				}
			}
		}
	}
}

// firstHalf is the first half sentence of a text whose brackets are closed.
func firstHalf(s string) string {
	for i := range s {
		if rest := s[i:]; (strings.HasPrefix(rest, ". ") || strings.HasPrefix(rest, "; ")) && strings.Count(s[:i], "(") == strings.Count(s[:i], ")") {
			return s[:i] + "."
		}
	}
	return s
}

// linesOf is how many lines of n columns a text takes.
func linesOf(s string, n int) int {
	lines, used := 1, 0
	for _, w := range strings.Fields(s) {
		k := utf8.RuneCountInString(w)
		if used > 0 && used+1+k > n {
			lines, used = lines+1, 0
		}
		if used > 0 {
			used++
		}
		used += k
	}
	return lines
}
