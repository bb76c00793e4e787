package render

import (
	"bytes"
	"encoding/xml"
	"image/color"
	"io"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"moldtally/estimate"
	"moldtally/render/typeface"
)

// probe keeps what a chart draws.
type probe struct {
	fills  [][2]point
	lines  [][]point
	labels map[string]point
}

func (p *probe) fill(lo, hi point, _ color.NRGBA) { p.fills = append(p.fills, [2]point{lo, hi}) }
func (p *probe) stroke(pts []point, _, _ float64, _ color.NRGBA) {
	p.lines = append(p.lines, append([]point(nil), pts...))
}
func (p *probe) label(s string, at point, size float64, w typeface.Face, al align, _ color.NRGBA) {
	if p.labels == nil {
		p.labels = map[string]point{}
	}
	p.labels[s] = at
}

func chartOf(t *testing.T, p *estimate.Plan) *Chart {
	t.Helper()
	for _, s := range NewSheet(p, SheetOptions{}).Sections {
		if s.Key == "hardness" {
			return s.Chart
		}
	}
	return nil
}

// The chart shows what the plan says: curves, the level that stripping asks for,
// the range, the rubber; all within its field and in the same places in every
// form.
func TestChart(t *testing.T) {
	plan := samplePlan()
	c := chartOf(t, plan)
	if c == nil {
		t.Fatal("no chart")
	}
	var p probe
	c.draw(&p)
	h := c.height()
	for _, l := range p.lines {
		for _, q := range l {
			if q.x < 0 || q.x > chartWide || q.y < 0 || q.y > h || math.IsNaN(q.x+q.y) {
				t.Fatalf("a line runs off at %v", q)
			}
		}
	}
	left, right := chartLeft, chartWide-chartRight
	x := func(v float64) float64 { return left + (right-left)*v/60 }
	if len(p.fills) != 1 || math.Abs(p.fills[0][0].x-x(10)) > 1e-9 || math.Abs(p.fills[0][1].x-x(20)) > 1e-9 {
		t.Errorf("the range of 10 to 20 A: got %v", p.fills)
	}
	at, ok := p.labels["platinum silicone 15"]
	if !ok || math.Abs(at.x-x(15)) > 1e-9 {
		t.Errorf("the rubber of 15 A stands at %v", at)
	}
	for _, want := range []string{"for a long life", "for some dozen", "for a few castings", "would do: 10 to 20\u00a0A", "stripping asks for 59\u00a0%", "hands pull about 150\u00a0N", "Shore A"} {
		if _, ok := p.labels[want]; !ok {
			t.Errorf("%q is not on the chart", want)
		}
	}
	// Where the planned curve crosses the level: 1.25 − a/55 = 0.587.
	want := (1.25 - 0.587) * 55
	cross := math.NaN()
	for _, k := range c.Panels[0].Curves {
		if k.Strong {
			for a := 5.0; a < 60; a += 0.01 {
				if y, ok := k.at(a); ok && y <= 58.7 {
					cross = a
					break
				}
			}
		}
	}
	if math.Abs(cross-want) > 0.1 {
		t.Errorf("crosses at %.2f A, want %.2f", cross, want)
	}
	// No two names of curves stand on each other.
	for a, p1 := range p.labels {
		for b, p2 := range p.labels {
			if a < b && strings.HasPrefix(a, "for ") && strings.HasPrefix(b, "for ") && math.Abs(p1.y-p2.y) < chartType {
				t.Errorf("%q and %q overlap", a, b)
			}
		}
	}
	if chartOf(t, &estimate.Plan{Rubber: &estimate.Rubber{Hardness: &estimate.Hardness{}}}) != nil {
		t.Error("a chart of nothing")
	}
}

// Curves are cut off at the panel's top.
func TestCurveUnder(t *testing.T) {
	k := Curve{X: []float64{0, 10, 20}, Y: []float64{0, 100, 300}}
	if got := k.under(200); len(got) != 3 || got[2] != (point{15, 200}) {
		t.Errorf("got %v", got)
	}
	k.Y = []float64{300, 100, 0}
	if got := k.under(200); len(got) != 3 || got[0] != (point{5, 200}) {
		t.Errorf("got %v", got)
	}
}

// The page's drawing is well formed, hostile names and all; the paper's is the
// same each time.
func TestChartForms(t *testing.T) {
	plan := samplePlan()
	plan.Rubber.Name = "<b>\"x\"&\x07</b>"
	s := NewSheet(plan, SheetOptions{})
	var page bytes.Buffer
	if err := WriteHTML(&page, s, HTMLOptions{}); err != nil {
		t.Fatal(err)
	}
	text := page.String()
	a, b := strings.Index(text, "<svg"), strings.Index(text, "</svg>")
	if a < 0 || b < a {
		t.Fatal("no drawing in the page")
	}
	d := xml.NewDecoder(strings.NewReader(text[a : b+6]))
	for {
		if _, err := d.Token(); err == io.EOF {
			break
		} else if err != nil {
			t.Fatal(err)
		}
	}
	if strings.Contains(text, "<b>") || strings.Contains(text, "\x07") {
		t.Error("a name got into the page as markup")
	}
	var first, second bytes.Buffer
	for _, w := range []*bytes.Buffer{&first, &second} {
		if err := WritePDF(w, NewSheet(samplePlan(), SheetOptions{}), PDFOptions{}); err != nil {
			t.Fatal(err)
		}
	}
	if !bytes.Equal(first.Bytes(), second.Bytes()) {
		t.Error("the paper differs from one time to the next")
	}
}

// SHOW=folder go test -run ShowChart writes the chart to be looked at.
func TestShowChart(t *testing.T) {
	dir := os.Getenv("SHOW")
	if dir == "" {
		t.Skip("SHOW names no folder")
	}
	for name, change := range map[string]func(*estimate.Plan){
		"sample": func(*estimate.Plan) {},
		"locked": func(p *estimate.Plan) { p.Rubber.Needed = nil },
		"easy":   func(p *estimate.Plan) { *p.Rubber.Needed = 0; p.Rubber.Hardness.High = ptr(60.0) },
		"never":  func(p *estimate.Plan) { *p.Rubber.Needed = 6; p.Rubber.Hardness.Life = "long" },
	} {
		plan := samplePlan()
		change(plan)
		c := chartOf(t, plan)
		if err := os.WriteFile(filepath.Join(dir, "chart-"+name+".svg"), []byte(c.svg()), 0o644); err != nil {
			t.Fatal(err)
		}
	}
}
