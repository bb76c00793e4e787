package render

import (
	"encoding/base64"
	"io"
	"strconv"
	"strings"

	"moldtally/estimate"
	"moldtally/mesh/finding"
	"moldtally/render/figure"
)

// WriteBenchPage sets the bench sheet as one page for a browser, in the order of
// WriteBench and as large: it needs no script and nothing else, no request leaves it,
// and it prints as the paper does. Nothing stands on it twice.
func WriteBenchPage(w io.Writer, plan *estimate.Plan, o BenchOptions) error {
	b := &benchPage{plan: plan, screen: NewScreen(plan, o.View, o.SheetOptions), w: o.wording(plan), view: o.View}
	s := b.w.sheet()
	b.printf("<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n"+sealed+
		"<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n<title>%s</title>\n<style>\n%s%s</style>\n</head>\n<body class=\"bench\">\n",
		esc(b.screen.Title), pageStyle, benchStyle)
	b.head()
	b.printf("<main>\n")
	b.pours()
	b.beside(o.Places)
	b.open(s)
	b.build()
	b.rest(s, o)
	b.printf("</main>\n<footer><p class=\"maker\">%s</p></footer>\n</body>\n</html>\n", esc(b.screen.Maker))
	_, err := w.Write(b.Bytes())
	return err
}

type benchPage struct {
	page
	plan   *estimate.Plan
	screen *Screen
	w      *wording
	view   *View
}

// head is the answer, the pattern and how it is taken out.
func (b *benchPage) head() {
	s := b.screen
	b.printf("<header>\n")
	if s.Answer.Text != "" {
		b.printf("<p class=\"answer %s\">%s</p>\n", toneClass(s.Answer.Tone), esc(s.Answer.Text))
	}
	for _, e := range s.Effects {
		b.printf("<p>%s</p>\n", esc(e))
	}
	b.printf("<h1>%s</h1>\n", esc(s.Title))
	if s.Verdict.Text != "" {
		b.printf("<p class=\"comes %s\">%s</p>\n", toneClass(s.Verdict.Tone), esc(s.Verdict.Text))
	}
	if s.How != "" {
		b.printf("<p>%s</p>\n", esc(s.How))
	}
	b.printf("</header>\n")
}

// pours are the weights, the cups to tick off and the times to fill in.
func (b *benchPage) pours() {
	for i := range b.screen.Pours {
		p := &b.screen.Pours[i]
		b.printf("<section class=\"pour\">\n<h2>%s</h2>\n<dl class=\"weights\">\n", esc(p.Name))
		for _, x := range p.Parts {
			b.printf("<div><dt>%s</dt><dd><b>%s</b>", esc(x.Name), esc(x.Amount))
			if x.Other != "" {
				b.printf(" <span class=\"other\">%s</span>", esc(x.Other))
			}
			b.printf("</dd></div>\n")
		}
		b.printf("</dl>\n<ul class=\"ticks\">\n")
		for _, l := range cupTicks(p) {
			b.printf("<li><label><input type=\"checkbox\"> %s</label></li>\n", esc(l))
		}
		b.printf("</ul>\n<p class=\"clock\">")
		for _, c := range clockCells(b.plan.Rubber) {
			b.printf("<label>%s <input size=\"7\"></label>\n", esc(c))
		}
		b.printf("</p>\n</section>\n")
	}
}

// beside is the picture with the numbers of the places, and what to build beside it.
func (b *benchPage) beside(places []byte) {
	b.printf("<section class=\"glance\">\n<h2>At a glance</h2>\n<div class=\"two\">\n")
	if len(places) > 0 {
		b.printf("<figure><img alt=\"%s\" src=\"data:image/png;base64,%s\"></figure>\n",
			esc("The pattern in its container at three quarters, colored by how far rubber must bend; a number marks the place of each finding below that has one."), base64.StdEncoding.EncodeToString(places))
	}
	b.printf("<dl class=\"rows\">\n")
	for _, r := range append(append([]Row{}, b.screen.Build...), b.screen.Work...) {
		if r.Label == "More" || r.Label == "Time" {
			continue
		}
		b.printf("<dt>%s</dt><dd>%s</dd>\n", esc(r.Label), esc(onPages(r.Value, "below")))
	}
	b.printf("</dl>\n</div>\n</section>\n")
}

// open are the stops and cautions in full, numbered as in the picture.
func (b *benchPage) open(s *Sheet) {
	n := 0
	for i := range s.Sections {
		sec := &s.Sections[i]
		if sec.Key != finding.Stop.String() && sec.Key != finding.Caution.String() {
			continue
		}
		b.printf("<section id=\"%s\" class=\"%s\">\n<h2>%s</h2>\n<ol start=\"%d\">\n", esc(sec.Key), toneClass(sec.Tone), esc(sec.Title), n+1)
		for _, x := range sec.Notices {
			if x.At != nil && b.view != nil && b.w.seen == nil {
				x.Place = strings.TrimPrefix(b.view.Place(*x.At), "the ") + "; " + x.Place
			}
			b.notice(&x)
			n++
		}
		b.printf("</ol>\n</section>\n")
	}
}

// build is what to build, with its sketch.
func (b *benchPage) build() {
	c := b.plan.Container
	if c == nil {
		return
	}
	const width = 500
	b.printf("<section id=\"build\">\n<h2>What to build</h2>\n")
	if s := newSketch(b.w, width); s != nil {
		b.printf("<figure class=\"sketch\">\n%s<figcaption>%s</figcaption>\n</figure>\n", s.svg(width), esc(s.note()))
	}
	if len(c.Boards) > 0 {
		t := b.w.cutList(c)
		b.table(&t)
	}
	b.printf("</section>\n")
	if g := b.w.gang(); len(g.Rows) > 0 {
		b.section(&g)
	}
}

// rest is what follows: what is needed to do the work, or all of it.
func (b *benchPage) rest(s *Sheet, o BenchOptions) {
	for _, key := range benchOrder {
		for i := range s.Sections {
			if s.Sections[i].Key == key && key != finding.Stop.String() && key != finding.Caution.String() {
				b.section(&s.Sections[i])
			}
		}
	}
	if len(o.Picture) > 0 {
		b.printf("<section id=\"picture\">\n<h2>From all sides</h2>\n<figure><img alt=\"%s\" src=\"data:image/png;base64,%s\"></figure>\n</section>\n",
			esc("The pattern in its container, at three quarters, from above and from two sides, with inside measures and fill line, colored by how far rubber must bend; a section through the deepest undercut."), base64.StdEncoding.EncodeToString(o.Picture))
	}
	if !o.Full {
		return
	}
	for i := range s.Sections {
		if sec := &s.Sections[i]; !onBench(sec.Key) {
			b.section(sec)
		}
	}
}

// cupTicks are the cups of a pour, a line for each.
func cupTicks(p *ScreenPour) (out []string) {
	n := 0
	if k := len(p.Cups); k > 0 {
		n = p.Cups[k-1].To
	}
	for _, c := range p.Cups {
		for i := c.From; i <= min(c.To, cupsTicked); i++ {
			s := c.named(i)
			if n > 1 {
				s += ": " + partsLine(c.Parts, " + ")
			} else {
				s = "weighed, stirred, poured over, stirred again"
			}
			if c.Holds != "" && i == c.From && (i == 1 || c.Coat > 0) {
				s += "; cup of " + c.Holds + " or more"
			}
			out = append(out, s)
		}
	}
	if n > cupsTicked {
		out = append(out, "and so on to "+strconv.Itoa(n))
	}
	return out
}

// named is what cup i of a pour is called: by its coat, where it is of one.
func (c Cups) named(i int) string {
	if c.Coat == 0 {
		return "cup " + strconv.Itoa(i)
	}
	each := (c.To - c.From + 1) / (c.Last - c.Coat + 1)
	s := "coat " + strconv.Itoa(c.Coat+(i-c.From)/each)
	if each > 1 {
		s += ", cup " + strconv.Itoa((i-c.From)%each+1)
	}
	return s
}

// clockCells are the times that are filled in at the bench.
func clockCells(r *estimate.Rubber) []string {
	if r == nil {
		return nil
	}
	cells := []string{"first stir at"}
	if r.PotLife != nil {
		from := *r.PotLife
		if r.PotLifeLow != nil {
			from = *r.PotLifeLow
		}
		cells = append(cells, "pour until (+ "+figure.Duration(from)+")")
	}
	if r.Demold != nil {
		cells = append(cells, "open after (+ "+figure.Duration(*r.Demold)+")")
	}
	return cells
}

// benchOrder are the sections of a sheet that the work needs, in its order.
var benchOrder = []string{"schedule", "mixing", "original", finding.Stop.String(), finding.Caution.String(), "cautions", "not_checked"}

// onBench reports whether a section of a sheet is told by the bench sheet already.
func onBench(key string) bool {
	for _, k := range append([]string{"short", "gang"}, benchOrder...) {
		if k == key {
			return true
		}
	}
	return false
}

// benchStyle is what the page of a bench sheet has beside pageStyle. Numerals are as
// large as on paper.
const benchStyle = `
.bench h1 { font-size: 1.6rem; } .comes { font-weight: 600; margin: .3rem 0; } .comes.good { color: #1d6f60; } .comes.care { color: #8a5300; } .comes.bad { color: #a8261b; }
.pour { border-top: 2px solid; margin-top: 1rem; } .pour h2 { border: 0; margin: .4rem 0 0; }
.weights { display: flex; flex-wrap: wrap; gap: 0 3rem; margin: 0; } .weights div { display: flex; align-items: baseline; gap: .6rem; }
.weights dt { font-size: 1.4rem; } .weights dd { margin: 0; } .weights b { font-size: 40px; line-height: 1.15; } .other { font-size: 1.1rem; }
.ticks { list-style: none; padding: 0; margin: .3rem 0; } .ticks input { width: 1.2rem; height: 1.2rem; vertical-align: -.2rem; }
.clock label { display: inline-block; margin-right: 2rem; } .clock input { font: inherit; }
.two { display: flex; flex-wrap: wrap; gap: 1.5rem; align-items: flex-start; } .two figure { flex: 1 1 24rem; margin: .3rem 0; } .two dl { flex: 1 1 20rem; }
dl.rows { display: grid; grid-template-columns: max-content 1fr; gap: .25rem .8rem; margin: .3rem 0; } dl.rows dd { margin: 0; font-weight: 600; }
.sketch { max-width: 42rem; } .sketch figcaption { font-weight: 400; }
.bench header { border: 0; padding: 0; } .bench header p { margin: .2rem 0; } .clock input { border: 0; border-bottom: 1px solid; background: none; }
@page { margin: 14mm; }
@media print {
	body.bench { font-size: 9pt; padding: 0; } .weights b { font-size: 30pt; } .weights dt { font-size: 15pt; }
	.bench h1 { font-size: 15pt; } .bench h2 { font-size: 11pt; margin: .7rem 0 .2rem; } .pour { margin-top: .4rem; } .pour h2 { margin: .2rem 0 0; } .ticks, .clock { margin: .1rem 0; }
	.two { display: grid; grid-template-columns: 52% 1fr; gap: .8rem; } .two dl { font-size: 8.5pt; line-height: 1.25; gap: .1rem .5rem; } #build { break-before: page; }
	.bench section { break-inside: auto; } .sketch { max-width: 100%; } #schedule { break-before: page; } .bench li { margin: .15rem 0; }
}
`
