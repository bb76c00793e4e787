package render

import (
	"bytes"
	"image"
	"image/color"
	"image/png"
	"math"
	"regexp"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"moldtally/estimate"
	"moldtally/mesh/finding"
	"moldtally/mesh/unit"
	"moldtally/render/figure"
)

func tinyPNG(t *testing.T) []byte {
	t.Helper()
	var b bytes.Buffer
	im := image.NewNRGBA(image.Rect(0, 0, 40, 30))
	for i := range im.Pix {
		im.Pix[i] = 255
	}
	if err := png.Encode(&b, im); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func benchOf(t *testing.T, p *estimate.Plan, o BenchOptions) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := WriteBench(&b, p, o); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// Every weight of every pour stands on page one, in numerals to be read across a
// bench, on both papers and in every system; page two is what to build.
func TestBenchSheet(t *testing.T) {
	p, picture := samplePlan(), tinyPNG(t)
	for _, paper := range []string{"a4", "letter"} {
		for _, system := range []unit.System{unit.Both, unit.Metric, unit.US} {
			o := BenchOptions{SheetOptions: SheetOptions{System: system}, Paper: paper, View: sampleView(), Places: picture, Picture: picture}
			out := benchOf(t, p, o)
			if !bytes.Equal(out, benchOf(t, p, o)) {
				t.Error("the same sheet gives other bytes")
			}
			pages := pdfText(t, out)
			if len(pages) < 3 {
				t.Fatalf("%d pages", len(pages))
			}
			for _, pour := range NewScreen(p, o.View, o.SheetOptions).Pours {
				for _, x := range pour.Parts {
					found := false
					for _, l := range pages[0] {
						found = found || l.size >= 24 && l.text == settable(x.Amount)
					}
					if !found {
						t.Errorf("%s, %s: %s of part %s is not on page one in 24 points", paper, system, x.Amount, x.Name)
					}
				}
			}
			if first := pages[1][0].text; first != "What to build" {
				t.Errorf("page two begins with %q", first)
			}
			for i, page := range pages {
				for _, l := range page {
					if l.x < pageMargin/2 || l.y < 10 {
						t.Errorf("page %d: %q lies at %.0f, %.0f", i+1, l.text, l.x, l.y)
					}
				}
			}
		}
	}
	all := strings.Join(flatten(pdfText(t, benchOf(t, p, BenchOptions{View: sampleView()}))), " ")
	for _, f := range p.Warnings { // each open one once, no word of it cut
		if n := newWording(p, SheetOptions{}); f.Severity > finding.Note {
			if hint := n.notice(f).Hint; strings.Count(all, settable(hint)) != 1 {
				t.Errorf("not once on paper: %s\n%s", hint, all)
			}
		}
	}
	short, full := len(pdfText(t, benchOf(t, p, BenchOptions{}))), len(pdfText(t, benchOf(t, p, BenchOptions{Full: true})))
	if full <= short {
		t.Errorf("in full it has %d pages, else %d", full, short)
	}
}

// flatten is all that stands on some pages, line by line.
func flatten(pages [][]paperText) (out []string) {
	for _, p := range pages {
		for _, l := range p {
			out = append(out, l.text)
		}
	}
	return out
}

// Cups that are mixed alike stand under one line, with a box for each.
func TestTicks(t *testing.T) {
	parts := []Part{{Name: "A", Amount: "90 g"}, {Name: "B", Amount: "90 g"}}
	for _, c := range []struct {
		cups []Cups
		want []tickRow
	}{
		{[]Cups{{From: 1, To: 1, Parts: parts, Holds: "700 ml"}}, []tickRow{{"", []tickGroup{{"weighed, stirred, poured over, stirred again; cup of 700 ml or more", 1}}}}},
		{[]Cups{{From: 1, To: 2, Parts: parts}, {From: 3, To: 3, Parts: parts[:1]}}, []tickRow{
			{"Each cup A\u00a090 g + B\u00a090 g", []tickGroup{{"1", 1}, {"2", 1}}}, {"Each cup A\u00a090 g", []tickGroup{{"3", 1}}}}},
		{[]Cups{{From: 1, To: 2, Coat: 1, Last: 1, Parts: parts[:1]}, {From: 3, To: 8, Coat: 2, Last: 4, Parts: parts[:1]}}, []tickRow{
			{"Coat 1, each cup A\u00a090 g", []tickGroup{{"coat 1", 2}}}, {"Coats 2 to 4, each cup A\u00a090 g", []tickGroup{{"coat 2", 2}, {"coat 3", 2}, {"coat 4", 2}}}}},
	} {
		if diff := cmp.Diff(c.want, (&ScreenPour{Cups: c.cups}).ticks()); diff != "" {
			t.Error(diff)
		}
	}
}

// Whatever a plan lacks, its bench sheet must come out.
func TestBenchOfSparsePlans(t *testing.T) {
	for _, p := range []*estimate.Plan{{}, {Pattern: &estimate.Pattern{}}, {Rubber: &estimate.Rubber{}}, fullPlan()} {
		benchOf(t, p, BenchOptions{Full: true})
		benchPageOf(t, p, BenchOptions{Full: true})
	}
}

func benchPageOf(t *testing.T, p *estimate.Plan, o BenchOptions) string {
	t.Helper()
	var b bytes.Buffer
	if err := WriteBenchPage(&b, p, o); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

// The page stands alone, is whole, and says each thing once: the pattern's name and
// how it comes out in its head, each finding in its list.
func TestBenchPage(t *testing.T) {
	p := samplePlan()
	out := benchPageOf(t, p, BenchOptions{View: sampleView(), Places: tinyPNG(t), Picture: tinyPNG(t), Full: true})
	if err := balanced(out); err != "" {
		t.Error(err)
	}
	for _, bad := range []string{"<script", "http:", "https:", "url(", "@import", "<link"} {
		if strings.Contains(out, bad) {
			t.Errorf("the page has %q", bad)
		}
	}
	s := screenIn(uncut, p, sampleView(), SheetOptions{})
	for _, want := range []string{esc(s.Verdict.Text), esc(s.How), esc(s.Answer.Text)} {
		if n := strings.Count(out, want); n != 1 {
			t.Errorf("%d times on the page: %s", n, want)
		}
	}
	for _, f := range p.Warnings[:2] {
		w := newWording(p, SheetOptions{})
		if n := strings.Count(settable(out), prose(settable(w.notice(f).Hint))); n != 1 {
			t.Errorf("%d times on the page: %s", n, w.notice(f).Hint)
		}
	}
	for _, pour := range s.Pours {
		for _, x := range pour.Parts {
			if !strings.Contains(out, "<b>"+esc(x.Amount)+"</b>") {
				t.Errorf("lacks %s", x.Amount)
			}
		}
	}
	if strings.Count(out, "<h1>") != 1 || strings.Count(out, "<img") != strings.Count(out, "<img alt=\"") || strings.Count(out, "<svg") != strings.Count(out, "role=\"img\" aria-label=") {
		t.Error("headings or alternative texts are wrong")
	}
	if strings.Contains(out, figure.NBSP+figure.NBSP) {
		t.Error("two spaces in a row")
	}
}

// balanced says what element of a page is not closed, in order; "" = none.
func balanced(out string) string {
	var open []string
	for _, m := range regexp.MustCompile(`<(/?)([a-z0-9]+)[^>]*>`).FindAllStringSubmatch(out, -1) {
		switch {
		case m[2] == "meta" || m[2] == "br" || m[2] == "img" || m[2] == "input":
		case m[1] == "":
			open = append(open, m[2])
		case len(open) == 0 || open[len(open)-1] != m[2]:
			return "</" + m[2] + "> closes " + strings.Join(open, " ")
		default:
			open = open[:len(open)-1]
		}
	}
	if len(open) > 0 {
		return "left open: " + strings.Join(open, " ")
	}
	return ""
}

// Words on page and paper stand out by 4.5 to 1 at least, as WCAG 2.2 AA asks (success
// criterion 1.4.3; luminance by its definition), white ones on a ground of color too.
func TestContrast(t *testing.T) {
	luminance := func(c color.NRGBA) float64 {
		channel := func(v uint8) float64 {
			x := float64(v) / 255
			if x <= 0.04045 {
				return x / 12.92
			}
			return math.Pow((x+0.055)/1.055, 2.4)
		}
		return 0.2126*channel(c.R) + 0.7152*channel(c.G) + 0.0722*channel(c.B)
	}
	for _, ink := range []color.NRGBA{Ink, SoftInk, GoodInk, CareInk, BadInk} {
		for _, ground := range []color.NRGBA{Paper, white} {
			if k := (luminance(ground) + 0.05) / (luminance(ink) + 0.05); k < 4.5 {
				t.Errorf("%v on %v: %.2f to 1", ink, ground, k)
			}
		}
	}
	for _, hex := range regexp.MustCompile(`#[0-9a-f]{6}`).FindAllString(benchStyle, -1) {
		known := false
		for _, ink := range []color.NRGBA{Ink, SoftInk, GoodInk, CareInk, BadInk} {
			known = known || hexInk(ink) == hex
		}
		if !known {
			t.Errorf("%s is no ink of the page", hex)
		}
	}
}
