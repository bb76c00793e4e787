package render

import (
	"bytes"
	"strings"
	"testing"
	"unicode"
	"unicode/utf8"

	"moldtally/estimate"
	"moldtally/mesh/finding"
	"moldtally/mesh/meshfile"
	"moldtally/mesh/unit"
	"moldtally/render/figure"
)

func setText(t *testing.T, s *Sheet, o TextOptions) string {
	t.Helper()
	var b bytes.Buffer
	if err := WriteText(&b, s, o); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

func TestSheetGolden(t *testing.T) {
	p := samplePlan()
	for _, c := range []struct {
		name   string
		plan   *estimate.Plan
		system unit.System
	}{
		{"plan_both.txt", p, ""},
		{"plan_metric.txt", p, unit.Metric},
		{"plan_us.txt", p, unit.US},
		{"check.txt", &estimate.Plan{Schema: 1, Tool: p.Tool, Version: p.Version, Pattern: p.Pattern, Warnings: p.Warnings[1:]}, ""},
		{"demold.txt", &estimate.Plan{Schema: 1, Tool: p.Tool, Version: p.Version, Pattern: p.Pattern, Pose: p.Pose, Demold: p.Demold, Verdict: p.Verdict}, ""},
		{"pour.txt", &estimate.Plan{Schema: 1, Tool: p.Tool, Version: p.Version, Container: p.Container, Rubber: p.Rubber, NotChecked: p.NotChecked, Cautions: p.Cautions}, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			out := setText(t, NewSheet(c.plan, SheetOptions{System: c.system}), TextOptions{})
			for i, l := range strings.Split(out, "\n") {
				if n := utf8.RuneCountInString(l); n > 80 {
					t.Errorf("line %d is %d columns wide: %q", i+1, n, l)
				}
			}
			golden(t, c.name, []byte(out))
		})
	}
}

// Whatever a plan lacks, its sheet must come out.
func TestSheetOfSparsePlans(t *testing.T) {
	p := samplePlan()
	p.Demold.UndercutPath, p.Demold.Stretch, p.Demold.Tunnels = nil, nil, ptr(2)
	p.Container.HoldDown, p.Container.HoldDownMargin, p.Container.Boards = nil, nil, nil
	p.Rubber.PartA, p.Rubber.PartB, p.Rubber.PartAml, p.Rubber.PartBml = nil, nil, ptr(700.0), ptr(70.0)
	p.Rubber.Hardness.Low, p.Rubber.Hardness.High = ptr(30.0), ptr(15.0)
	p.Pattern.DisplacedVolume = nil
	out := setText(t, NewSheet(p, SheetOptions{}), TextOptions{})
	for _, want := range []string{"locked", "no limit", "Tunnels                2", "weigh the pattern", "700 ml", "no hardness", "surround nothing"} {
		if !strings.Contains(out, want) {
			t.Errorf("lacks %q:\n%s", want, out)
		}
	}
	for _, empty := range []*estimate.Plan{{}, {Pattern: &estimate.Pattern{}}, {Rubber: &estimate.Rubber{}}, fullPlan()} {
		out := setText(t, NewSheet(empty, SheetOptions{}), TextOptions{Width: 60, Color: true})
		for _, bad := range []string{"NaN", "Inf", "%!", "nil", figure.NBSP} {
			if strings.Contains(out, bad) {
				t.Errorf("has %q:\n%s", bad, out)
			}
		}
	}
}

func TestTextColor(t *testing.T) {
	s := NewSheet(samplePlan(), SheetOptions{})
	without := setText(t, s, TextOptions{})
	if strings.Contains(without, "\x1b") {
		t.Error("colors without being told")
	}
	with := setText(t, s, TextOptions{Color: true})
	if !strings.Contains(with, "\x1b[31m") {
		t.Error("a stop is not red")
	}
	if got := plain(with); got != without {
		t.Error("color changes the text")
	}
}

func TestTextWidth(t *testing.T) {
	s := NewSheet(samplePlan(), SheetOptions{System: unit.Metric})
	for _, width := range []int{60, 72, 100, 132} {
		for i, l := range strings.Split(setText(t, s, TextOptions{Width: width}), "\n") {
			if n := utf8.RuneCountInString(l); n > width {
				t.Errorf("width %d, line %d: %d columns: %q", width, i+1, n, l)
			}
		}
	}
}

// The verdict stands first, then stops, then cautions; safety stands last.
func TestSheetOrder(t *testing.T) {
	out := setText(t, NewSheet(samplePlan(), SheetOptions{}), TextOptions{})
	at := -1
	for _, want := range []string{"COMES OUT IN SOFT RUBBER", "Stop before you pour", "Look twice", "\nPattern\n", "\nHow it stands\n", "\nHow it comes out\n", "\nContainer\n", "\nRubber\n", "\nSoft or firm\n", "\nCasting\n", "\nCost\n", "\nOrder of work\n", "\nNot looked at\n", "\nSafety\n"} {
		i := strings.Index(out, want)
		if i <= at {
			t.Errorf("%q is missing or out of order", want)
		}
		at = max(at, i)
	}
}

func TestTotalsGolden(t *testing.T) {
	p := samplePlan()
	q := samplePlan()
	q.Pattern.File, q.Verdict.Answer = "newel cap.obj", estimate.ComesOut
	s := NewTotals([]Entry{{Plan: p}, {Plan: q}, {File: "broken.stl", Error: "the file ends in the middle of a triangle"}}, SheetOptions{})
	golden(t, "totals.txt", []byte(setText(t, s, TextOptions{})))
}

// A file name may hold anything; a terminal must see only text.
func TestTextHasNoControlCharacters(t *testing.T) {
	p := samplePlan()
	p.Pattern.File = "a\x1b[31m\x07b\xff\r\n.stl"
	p.Warnings[0] = finding.Finding{Code: meshfile.CodeNoEnd, Severity: finding.Stop, Facts: meshfile.NoEnd{File: "b\x1b]0;title\x07"}}
	bad := func(r rune) bool { return unicode.IsControl(r) && r != '\n' }
	for _, s := range []*Sheet{NewSheet(p, SheetOptions{}), NewTotals([]Entry{{Plan: p}, {File: "\x1b[2J.stl", Error: "x\ty"}}, SheetOptions{})} {
		out := setText(t, s, TextOptions{})
		if strings.ContainsFunc(out, bad) || !utf8.ValidString(out) {
			t.Errorf("control characters reach the terminal: %q", out)
		}
	}
}
