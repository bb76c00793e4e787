package render

import (
	"bytes"
	"regexp"
	"strings"
	"testing"

	"moldtally/mesh/finding"
	"moldtally/mesh/meshfile"
	"moldtally/mesh/unit"
	"moldtally/render/figure"
)

func pageOf(t *testing.T, s *Sheet, o HTMLOptions) string {
	t.Helper()
	var b bytes.Buffer
	if err := WriteHTML(&b, s, o); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

func TestHTMLGolden(t *testing.T) {
	golden(t, "plan.html", []byte(pageOf(t, NewSheet(samplePlan(), SheetOptions{}), HTMLOptions{})))
}

// Every element that is opened is closed, in order.
func TestHTMLBalanced(t *testing.T) {
	for _, s := range []*Sheet{NewSheet(samplePlan(), SheetOptions{}), NewSheet(fullPlan(), SheetOptions{System: unit.US}), {}} {
		var open []string
		for _, m := range regexp.MustCompile(`<(/?)([a-z0-9]+)[^>]*>`).FindAllStringSubmatch(pageOf(t, s, HTMLOptions{Picture: []byte("x")}), -1) {
			switch {
			case m[2] == "meta" || m[2] == "br" || m[2] == "img":
			case m[1] == "":
				open = append(open, m[2])
			case len(open) == 0 || open[len(open)-1] != m[2]:
				t.Fatalf("</%s> closes %v", m[2], open)
			default:
				open = open[:len(open)-1]
			}
		}
		if len(open) > 0 {
			t.Errorf("left open: %v", open)
		}
	}
}

// A client's file name is text, not markup, and the page asks for nothing.
func TestHTMLStandsAlone(t *testing.T) {
	p := samplePlan()
	p.Pattern.File = `<script>alert("x")</script>.stl`
	p.Warnings[0] = finding.Finding{Code: meshfile.CodeNoEnd, Severity: finding.Stop, Facts: meshfile.NoEnd{File: `a & b <img src=x onerror=y>`}}
	out := pageOf(t, NewSheet(p, SheetOptions{}), HTMLOptions{Picture: []byte{1, 2, 3}})
	for _, bad := range []string{"<script", "<img src=x", "http:", "https:", "url(", "@import", "<link"} {
		if strings.Contains(out, bad) {
			t.Errorf("the page has %q", bad)
		}
	}
	if !strings.Contains(out, "data:image/png;base64,AQID") {
		t.Error("the picture is not inside")
	}
}

// The page says all that the text says.
func TestHTMLSaysTheSame(t *testing.T) {
	s := NewSheet(samplePlan(), SheetOptions{})
	out := pageOf(t, s, HTMLOptions{})
	for _, sec := range s.Sections {
		for _, r := range sec.Rows {
			for _, w := range []string{strings.TrimSpace(r.Label), figure.Tie(r.Value, r.Unit), r.Other, r.Note} {
				if !strings.Contains(out, esc(w)) {
					t.Errorf("lacks %q", w)
				}
			}
		}
		for _, n := range sec.Notices {
			for _, w := range []string{n.Summary, n.Effect, n.Hint, n.Place} {
				if !strings.Contains(out, esc(w)) && !strings.Contains(out, prose(w)) {
					t.Errorf("lacks %q", w)
				}
			}
		}
	}
}
