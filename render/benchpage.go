package render

import (
	"encoding/base64"
	"io"
	"slices"
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
	like, err := newBench(plan, o) // the paper that it prints as
	if err != nil {
		return err
	}
	size := like.scale
	like.front()
	like.build()
	if !built(plan) {
		like.wide = 1
	}
	b := &benchPage{plan: plan, screen: like.screen, w: like.w}
	b.printf("<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n"+sealed+
		"<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n<title>%s</title>\n<style>\n%s%s@page { size: %s; margin: 16mm 16mm 18mm; }\n</style>\n</head>\n<body class=\"bench\" style=\"--k: %s; --share: %s%%; --picture: %s%%\">\n",
		esc(b.screen.Title), pageStyle, benchStyle, printedOn(o.Paper), num(size.k), num(100*size.share), num(100*like.wide))
	b.head()
	b.printf("<main>\n")
	b.pours()
	b.beside(o.Places)
	b.findings()
	b.rows(b.screen.Work, func(label string) bool { return label != "Time" && label != "More" && !besides(label) })
	b.build(o.Picture)
	b.printf("<div class=\"rest%s\">\n", map[bool]string{true: " follows"}[like.alone || !built(plan)])
	for _, sec := range b.screen.rest(b.w.sheet(), o.Full) {
		b.section(&sec)
	}
	if !built(plan) {
		b.sides(o.Picture)
	}
	b.printf("</div>\n</main>\n<footer><p class=\"maker\">%s</p></footer>\n</body>\n</html>\n", esc(b.screen.Maker))
	_, err = w.Write(b.Bytes())
	return err
}

type benchPage struct {
	page
	plan   *estimate.Plan
	screen *Screen
	w      *wording
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
		b.printf("<section class=\"pour\">\n<h2>%s</h2>\n", esc(p.Name))
		b.weights(p)
		b.printf("<p class=\"clock\">")
		for _, c := range clockCells(b.plan.Rubber, b.w.brushed()) {
			b.printf("<label>%s <input size=\"7\"></label>\n", esc(c))
		}
		b.printf("</p>\n</section>\n")
	}
}

// weights are the parts of a pour in large numerals, and its cups to tick off.
func (b *benchPage) weights(p *ScreenPour) {
	b.printf("<dl class=\"weights\">\n")
	for _, x := range p.Parts {
		b.printf("<div><dt>%s</dt><dd><b>%s</b>", esc(x.Name), esc(x.Amount))
		if x.Other != "" {
			b.printf(" <span class=\"other\">%s</span>", esc(x.Other))
		}
		b.printf("</dd></div>\n")
	}
	b.printf("</dl>\n")
	for _, t := range p.ticks() {
		b.ticks(t)
	}
}

// ticks are boxes to tick, with what they are for.
func (b *benchPage) ticks(t tickRow) {
	b.printf("<div class=\"ticks\">")
	if t.Text != "" {
		b.printf("<span class=\"each\">%s</span>\n", esc(t.Text))
	}
	for _, g := range t.Groups {
		if g.N == 1 {
			b.printf("<label><input type=\"checkbox\"> %s</label>\n", esc(g.Label))
			continue
		}
		b.printf("<span class=\"group\"><span class=\"part\">%s</span>", esc(g.Label))
		for i := range g.N {
			b.printf(" <input type=\"checkbox\" aria-label=\"%s, cup %d\">", esc(g.Label), i+1)
		}
		b.printf("</span>\n")
	}
	b.printf("</div>\n")
}

// beside is the picture with the numbers of the places, and what to build beside it.
func (b *benchPage) beside(places []byte) {
	b.printf("<section class=\"two\" aria-label=\"The mold at a glance\">\n")
	if len(places) > 0 {
		b.printf("<figure><img alt=\"%s\" src=\"data:image/png;base64,%s\"></figure>\n",
			esc("The pattern in its container at three quarters, colored by how far rubber must bend; a number marks the place of each finding below that has one."), base64.StdEncoding.EncodeToString(places))
	}
	b.rows(append(append([]Row{}, b.screen.Build...), b.screen.Work...), func(label string) bool {
		return besides(label) || slices.ContainsFunc(b.screen.Build, func(r Row) bool { return r.Label == label })
	})
	b.printf("</section>\n")
}

// rows are those of the screen's rows that are wanted.
func (b *benchPage) rows(rows []Row, wanted func(label string) bool) {
	b.printf("<dl class=\"rows\">\n")
	for _, r := range rows {
		if wanted(r.Label) {
			b.printf("<dt>%s</dt><dd>%s</dd>\n", esc(r.Label), prose(onPages(r.Value, "below")))
		}
	}
	b.printf("</dl>\n")
}

// findings are the gravest of what is open, numbered as in the picture.
func (b *benchPage) findings() {
	if len(b.screen.Findings) == 0 {
		return
	}
	b.printf("<section id=\"open\" aria-label=\"What is open\">\n<ol>\n")
	for _, x := range b.screen.Findings {
		x.Summary = strings.ToUpper(x.Severity.String()) + ": " + x.Summary
		b.notice(&x)
	}
	b.printf("</ol>\n")
	if b.screen.Rest != "" {
		b.printf("<p class=\"more\">%s</p>\n", esc(onPages(b.screen.Rest, "below")))
	}
	b.printf("</section>\n")
}

// build is what to build, with its sketch and the picture from all sides.
func (b *benchPage) build(picture []byte) {
	if !built(b.plan) {
		return
	}
	c := b.plan.Container
	const width = 500
	b.printf("<section id=\"build\">\n<h2>What to build</h2>\n")
	if s := newSketch(b.w, width); s != nil {
		b.printf("<figure class=\"sketch\">\n<div class=\"scroll\" tabindex=\"0\">%s</div>\n<figcaption>%s</figcaption>\n</figure>\n", s.svg(width), esc(s.note()))
	}
	if len(c.Boards) > 0 {
		t := b.w.cutList(c)
		b.table(&t)
	}
	b.printf("</section>\n")
	if g := b.w.gang(); len(g.Rows) > 0 {
		b.section(&g)
	}
	b.sides(picture)
}

// sides is the picture from all sides.
func (b *benchPage) sides(picture []byte) {
	if len(picture) > 0 {
		b.printf("<section id=\"picture\">\n<h2>%s</h2>\n<figure><img alt=\"%s\" src=\"data:image/png;base64,%s\"></figure>\n</section>\n", allSides,
			esc("The pattern in its container, at three quarters, from above and from two sides, with inside measures and fill line, colored by how far rubber must bend; a section through the deepest undercut."), base64.StdEncoding.EncodeToString(picture))
	}
}

// tickRow is a line of boxes to tick, with what they are for.
type tickRow struct {
	Text   string
	Groups []tickGroup
}

// tickGroup is some boxes under one name.
type tickGroup struct {
	Label string
	N     int
}

// ticks are the cups of a pour, a box for each: a line for those that are mixed alike.
func (p *ScreenPour) ticks() (out []tickRow) {
	n := 0
	if k := len(p.Cups); k > 0 {
		n = p.Cups[k-1].To
	}
	for _, c := range p.Cups {
		count, holds := c.To-c.From+1, ""
		if c.Holds != "" {
			holds = "; cup of " + c.Holds + " or more"
		}
		var t tickRow
		switch {
		case c.Coat > 0:
			coats := c.Last - c.Coat + 1
			t.Text = "Coat " + strconv.Itoa(c.Coat)
			if coats > 1 {
				t.Text = "Coats " + strconv.Itoa(c.Coat) + " to " + strconv.Itoa(c.Last)
			}
			t.Text += ", each cup " + partsLine(c.Parts, " + ") + holds
			for i := range coats {
				t.Groups = append(t.Groups, tickGroup{"coat " + strconv.Itoa(c.Coat+i), count / coats})
			}
		case n == 1:
			t.Groups = []tickGroup{{"weighed, stirred, poured over, stirred again" + holds, 1}}
		default:
			t.Text = "Each cup " + partsLine(c.Parts, " + ") + holds
			for i := c.From; i <= c.To; i++ {
				t.Groups = append(t.Groups, tickGroup{strconv.Itoa(i), 1})
			}
		}
		out = append(out, t)
	}
	return out
}

// clockCells are the times that are filled in at the bench.
func clockCells(r *estimate.Rubber, brushed bool) []string {
	if r == nil {
		return nil
	}
	cells := []string{"first stir at"}
	if r.PotLife != nil {
		from := *r.PotLife
		if r.PotLifeLow != nil {
			from = *r.PotLifeLow
		}
		do := "pour until"
		if brushed {
			do = "first cup until"
		}
		cells = append(cells, do+" (+ "+figure.Duration(from)+")")
	}
	if r.Demold != nil {
		do := "open after"
		if brushed {
			do = "from the last coat"
		}
		cells = append(cells, do+" (+ "+figure.Duration(*r.Demold)+")")
	}
	return cells
}

// later is where the findings stand that page one only counts.
const later = "later"

// benchOrder are the sections of a sheet that the work needs, in its order.
var benchOrder = []string{"schedule", "mixing", "original", later, "cautions", "not_checked"}

// rest is what of a sheet follows what is to be built, in order: what is needed to do
// the work, or all of it.
func (s *Screen) rest(sheet *Sheet, full bool) (out []Section) {
	for _, key := range benchOrder {
		if key == later {
			out = append(out, s.laterSections()...)
			continue
		}
		for _, sec := range sheet.Sections {
			if sec.Key == key {
				out = append(out, sec)
			}
		}
	}
	for _, sec := range sheet.Sections {
		if full && !onBench(sec.Key) {
			out = append(out, sec)
		}
	}
	return out
}

// laterSections are the findings that page one only counts, their numbers going on.
func (s *Screen) laterSections() (out []Section) {
	n := len(s.Findings)
	for _, sev := range []finding.Severity{finding.Stop, finding.Caution} {
		sec := Section{Key: "later-" + sev.String(), Title: "Look twice, further", Tone: Care, Before: n}
		if sev == finding.Stop {
			sec.Title, sec.Tone = "Stop before you pour, further", Bad
		}
		for _, x := range s.Later {
			if x.Severity == sev {
				sec.Notices = append(sec.Notices, x)
			}
		}
		if n += len(sec.Notices); len(sec.Notices) > 0 {
			out = append(out, sec)
		}
	}
	return out
}

// onBench reports whether a section of a sheet is told by the bench sheet already.
func onBench(key string) bool {
	return slices.Contains(benchOrder, key) || slices.Contains([]string{"short", "gang", finding.Stop.String(), finding.Caution.String()}, key)
}

// benchStyle is what the page of a bench sheet has beside pageStyle. Numerals are as
// large as on paper; --k and --share are its scale.
const benchStyle = `
.bench h1 { font-size: 1.6rem; } .comes { font-weight: 600; margin: .3rem 0; } .comes.good { color: #1d6f60; } .comes.care { color: #8a5300; } .comes.bad { color: #a8261b; }
.pour { border-top: 2px solid; margin-top: 1rem; } .pour h2 { border: 0; margin: .4rem 0 0; }
.weights { display: flex; flex-wrap: wrap; gap: 0 3rem; margin: 0; } .weights div { display: flex; flex-wrap: wrap; align-items: baseline; gap: .6rem; }
.weights dt { font-size: 1.4rem; } .weights dd { margin: 0; } .weights b { font-size: 40px; line-height: 1.15; } .other { font-size: 1.1rem; }
.ticks { margin: .3rem 0; } .ticks label, .group { white-space: nowrap; margin-right: 1rem; } .each { font-weight: 600; margin-right: 1rem; } .ticks label { display: inline-block; white-space: normal; }
.ticks input { width: 1.2rem; height: 1.2rem; margin: 0 .1rem; vertical-align: -.2rem; } .group { display: inline-block; white-space: normal; }
.clock label { display: inline-block; margin-right: 2rem; } .clock input { font: inherit; }
.two { display: flex; flex-wrap: wrap; gap: 1.5rem; align-items: flex-start; } .two figure { flex: 1 1 24rem; margin: .3rem 0; } .two dl { flex: 1 1 20rem; }
dl.rows { display: grid; grid-template-columns: max-content 1fr; gap: .25rem .8rem; margin: .3rem 0; } dl.rows dt { color: #5b6870; } dl.rows dd { margin: 0; font-weight: 600; }
#open ol { margin: .6rem 0; } .more { color: #8a5300; font-weight: 600; }
.sketch { max-width: 42rem; } .sketch figcaption { font-weight: 400; } .scroll { overflow-x: auto; } .scroll svg { min-width: 30rem; }
.bench header { border: 0; padding: 0; } .bench header p { margin: .2rem 0; } .clock input { border: 0; border-bottom: 1px solid; background: none; }
@media print {
	body.bench { font-size: 8.5pt; line-height: 1.3; padding: 0; } .bench header, .pour, .two, #open, main > dl { font-size: calc(8.2pt * var(--k)); }
	.weights b { font-size: 30pt; } .weights dt { font-size: 15pt; } .bench h1 { font-size: 15pt; } .bench h2 { font-size: 11pt; margin: .7rem 0 .2rem; break-after: avoid; }
	.pour { margin-top: .4rem; } .pour h2 { margin: .2rem 0 0; } .ticks, .clock { margin: .1rem 0; } .ticks input { width: .9em; height: .9em; vertical-align: -.1em; }
	#picture figure { width: var(--picture); margin: .3rem auto; } .two { display: grid; grid-template-columns: var(--share) 1fr; gap: .8rem; } dl.rows { gap: .1rem .5rem; line-height: 1.25; } #open ol { margin: .2rem 0; }
	.bench section { break-inside: auto; } .sketch { max-width: 100%; margin: .3rem 0; } .scroll { overflow: visible; } .bench li { margin: .1rem 0; } .bench figure { margin: .3rem 0; break-inside: avoid; } td, th { padding-top: 0 !important; padding-bottom: 0 !important; }
	#build, .rest { break-before: page; } .rest.follows { break-before: auto; } .rest section:first-child h2, #build h2 { margin-top: 0; } footer { display: none; }
}
`
