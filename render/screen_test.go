package render

import (
	"bytes"
	"strings"
	"testing"

	"moldtally/estimate"
	"moldtally/mesh/unit"
	"moldtally/render/figure"
)

// sampleView looks at the sample's finial from the corner between -y and +x.
func sampleView() *View {
	const s = 0.70710678
	return &View{Right: [3]float64{s, s, 0}, Back: [3]float64{-s, s, 0}, Up: [3]float64{0, 0, 1}, Low: [3]float64{-40, -40, 0}, High: [3]float64{40, 40, 142.25}}
}

func setScreen(t *testing.T, s *Screen, o TextOptions) string {
	t.Helper()
	var b bytes.Buffer
	if err := WriteScreen(&b, s, o); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

func TestScreenGolden(t *testing.T) {
	for _, c := range []struct {
		name   string
		system unit.System
	}{{"screen_both.txt", ""}, {"screen_metric.txt", unit.Metric}, {"screen_us.txt", unit.US}} {
		s := NewScreen(samplePlan(), sampleView(), SheetOptions{System: c.system})
		if n := s.lines(); n > s.budget() {
			t.Errorf("%s: %d lines, %d are promised", c.name, n, s.budget())
		}
		golden(t, c.name, []byte(setScreen(t, s, TextOptions{})))
	}
}

// Whatever a plan lacks, its screen must come out.
func TestScreenOfSparsePlans(t *testing.T) {
	for _, p := range []*estimate.Plan{{}, {Pattern: &estimate.Pattern{}}, {Rubber: &estimate.Rubber{}}, {Rubber: &estimate.Rubber{Pours: []estimate.Pour{{}}}}, fullPlan()} {
		out := setScreen(t, NewScreen(p, nil, SheetOptions{}), TextOptions{Width: 60, Color: true})
		for _, bad := range []string{"NaN", "Inf", "%!", "nil", figure.NBSP} {
			if strings.Contains(out, bad) {
				t.Errorf("has %q:\n%s", bad, out)
			}
		}
	}
}

func TestPlaces(t *testing.T) {
	v := &View{Right: [3]float64{1, 0, 0}, Back: [3]float64{0, 1, 0}, Up: [3]float64{0, 0, 1}, Low: [3]float64{-50, -30, 0}, High: [3]float64{50, 30, 100}}
	for _, c := range []struct {
		at   [3]float64
		want string
	}{
		{[3]float64{-50, 30, 66}, "the left, two thirds up, at the back"},
		{[3]float64{0, 0, 50}, "the middle, half way up"},
		{[3]float64{45, -25, 1}, "the right, at the foot, at the front"},
		{[3]float64{0, 0, 100}, "the middle, at the top"},
		{[3]float64{0, -30, 33}, "the middle, a third up, at the front"},
	} {
		if got := v.Place(c.at); got != c.want {
			t.Errorf("%v is %q, want %q", c.at, got, c.want)
		}
	}
	for _, c := range []struct {
		d    [3]float64
		want string
	}{{[3]float64{-1, 0, 0}, "left"}, {[3]float64{0.6, -0.8, 0}, "front right"}, {[3]float64{0, 0, -1}, "bottom"}, {[3]float64{0, 0.96, 0.28}, "back"}} {
		if got := v.Side(c.d); got != c.want {
			t.Errorf("%v looks %q, want %q", c.d, got, c.want)
		}
	}
	// A relief has no front and back to tell apart.
	flat := &View{Right: v.Right, Back: v.Back, Up: v.Up, Low: [3]float64{-50, -3, 0}, High: [3]float64{50, 3, 80}}
	if got := flat.Place([3]float64{40, 3, 40}); got != "the right, half way up" {
		t.Errorf("on a relief: %q", got)
	}
}

func TestClip(t *testing.T) {
	for _, c := range []struct {
		text     string
		n, lines int
		want     string
	}{
		{"Short enough.", 20, 1, "Short enough."},
		{"One sentence that is long. Another.", 30, 1, "One sentence that is long. …"},
		{"Weigh it; until then fix it as if it floated, and say so (a flag).", 30, 2, "Weigh it; until then fix it as if it floated …"},
		{"Hold it with a weight (913 g on a bridge) or a screw", 30, 1, "Hold it with a weight …"},
	} {
		if got := clip(c.text, c.n, c.lines); got != c.want {
			t.Errorf("clip(%q, %d, %d) = %q, want %q", c.text, c.n, c.lines, got, c.want)
		}
	}
}

// Of a finding whole half sentences are left, and nothing tells in its middle that more
// was said.
func TestShorten(t *testing.T) {
	for _, c := range []struct {
		text string
		less bool
		want string
	}{
		{"Short enough.", false, "Short enough."},
		{"One sentence is long. Another one.", true, "One sentence is long."},
		{"Weigh it; fix it meanwhile; say so.", true, "Weigh it; fix it meanwhile."},
		{"Weigh it (on a scale; a fine one) and fix it", true, "Weigh it …"},
	} {
		if got, less := shorten(c.text, 30, 1); got != c.want || less != c.less {
			t.Errorf("shorten(%q) = %q, %v, want %q", c.text, got, less, c.want)
		}
	}
}

// On a terminal that shows nothing else, a screen is plain ASCII and as wide.
func TestASCII(t *testing.T) {
	s := NewScreen(samplePlan(), sampleView(), SheetOptions{})
	for _, l := range strings.Split(setScreen(t, s, TextOptions{ASCII: true}), "\n") {
		for _, r := range l {
			if r > 126 {
				t.Errorf("%q in %q", r, l)
			}
		}
		if len(l) > screenWidth {
			t.Errorf("%d columns: %q", len(l), l)
		}
	}
	sheet := setText(t, NewSheet(samplePlan(), SheetOptions{}), TextOptions{ASCII: true})
	if i := strings.IndexFunc(sheet, func(r rune) bool { return r > 126 }); i >= 0 {
		t.Errorf("the sheet has %q", sheet[i:min(len(sheet), i+20)])
	}
}
