package render

import (
	"fmt"
	"image/color"
	"io"
	"strconv"
	"strings"

	"codeberg.org/go-pdf/fpdf"

	"moldtally/estimate"
	"moldtally/mesh/finding"
	"moldtally/render/figure"
	"moldtally/render/typeface"
)

// BenchOptions says how to set a bench sheet on paper.
type BenchOptions struct {
	SheetOptions
	Paper   string // "a4" (or "") or "letter"
	View    *View  // as for NewScreen
	Places  []byte // PNG: the three-quarter view with the numbers of the findings; nil = none
	Picture []byte // PNG: the whole picture; nil = none
	Full    bool   // the rest of the sheet too
}

// WriteBench sets a plan as a bench sheet. Page one is the first screen, its weights
// in numerals to be read across a bench, with boxes to tick and times to fill in; page
// two is what to build, with a sketch to scale; then come the order of work, the
// warnings in full and the words on safety, and, where asked for, the rest of the
// sheet. The same plan gives the same bytes.
func WriteBench(w io.Writer, plan *estimate.Plan, o BenchOptions) error {
	size, ok := paperSizes[o.Paper]
	if !ok {
		return fmt.Errorf("render: paper %q: a4 or letter", o.Paper)
	}
	p, err := newDocument(size, o.Picture)
	if err != nil {
		return err
	}
	b := &bench{document: p, plan: plan, screen: NewScreen(plan, o.View, o.SheetOptions), w: o.wording(plan)}
	if b.places, err = p.image("places", o.Places); err != nil {
		return err
	}
	p.newPage()
	b.head()
	b.pours()
	b.beside()
	b.findings()
	b.work()
	b.build()
	b.rest(b.w.sheet(), o.Full)
	p.feet(b.screen.Maker)
	return p.write(w, b.screen.Title)
}

// wording tells places in words, and by coordinates where the whole sheet is asked for.
func (o *BenchOptions) wording(plan *estimate.Plan) *wording {
	w := newWording(plan, o.SheetOptions)
	if o.View != nil && !o.Full {
		w.seen = o.View
	}
	return w
}

// bench is a bench sheet being set.
type bench struct {
	*document
	plan   *estimate.Plan
	screen *Screen
	w      *wording
	places *fpdf.ImageInfoType // nil = none
}

// Sizes of type on a bench sheet, points. Numerals of 24 points and more are read from
// two metres (a letter a two-hundredth of the distance high, a rule of sign makers;
// common practice, no source).
const (
	numeral    = 30.0
	bigLabel   = 15.0
	benchSize  = 9.0
	benchTight = 11.5 // leading of benchSize
)

// across is the width of the text.
func (b *bench) across() float64 { return b.document.w - 2*pageMargin }

// tight sets a paragraph at the size of page one.
func (b *bench) tight(s string, x, width float64, f typeface.Face, c color.NRGBA) {
	for _, l := range b.lines(s, f, benchSize, width) {
		b.need(benchTight)
		b.y += benchTight
		b.text(l, x, b.y-2.5, f, benchSize, c)
	}
}

// head is the answer, the pattern and how it is taken out.
func (b *bench) head() {
	s := b.screen
	if s.Answer.Text != "" {
		b.para(s.Answer.Text, pageMargin, b.across(), typeface.Bold, 11, toneColor(s.Answer.Tone, Ink))
	}
	for _, e := range s.Effects {
		b.para(e, pageMargin, b.across(), typeface.Regular, typeSize, Ink)
	}
	b.y += 2
	b.para(s.Title, pageMargin, b.across(), typeface.Bold, 18, Ink)
	if s.Verdict.Text != "" {
		b.y += 2
		b.para(s.Verdict.Text, pageMargin, b.across(), typeface.Medium, typeSize+0.5, toneColor(s.Verdict.Tone, Ink))
	}
	if s.How != "" {
		b.para(s.How, pageMargin, b.across(), typeface.Regular, typeSize, Ink)
	}
}

// pours are the weights, the cups to tick off and the times to fill in.
func (b *bench) pours() {
	for i := range b.screen.Pours {
		p := &b.screen.Pours[i]
		b.need(numeral + 60)
		b.y += 8
		b.rect(pageMargin, b.y, b.across(), 0.9, Ink)
		b.y += 3
		b.weights(p)
		b.cups(p)
		b.clock()
	}
}

// weights sets what goes on the scale for a pour, large.
func (b *bench) weights(p *ScreenPour) {
	const label = 84.0
	b.text(p.Name, pageMargin, b.y+numeral-2, typeface.Bold, 11.5, Ink)
	if len(p.Parts) == 0 {
		b.y += numeral
		return
	}
	wide := (b.across() - label) / float64(len(p.Parts))
	under := false
	for i, x := range p.Parts {
		at := pageMargin + label + float64(i)*wide
		name := b.width(x.Name, typeface.Bold, bigLabel) + 8
		size := numeral
		for size > 24 && name+b.width(x.Amount, typeface.Bold, size) > wide-6 {
			size--
		}
		b.text(x.Name, at, b.y+numeral-2, typeface.Bold, bigLabel, SoftInk)
		b.text(x.Amount, at+name, b.y+numeral-2, typeface.Bold, size, Ink)
		if x.Other != "" {
			under = true
			b.text(x.Other, at+name, b.y+numeral+13, typeface.Medium, 12, SoftInk)
		}
	}
	b.y += numeral + 2
	if under {
		b.y += 15
	}
}

// cupsTicked is how many cups of a pour have a box of their own.
const cupsTicked = 24

// cups are boxes to tick, one for each cup, with what goes into it.
func (b *bench) cups(p *ScreenPour) {
	const box = 10.0
	x := pageMargin
	list := cupTicks(p)
	for i, l := range list {
		w := box + 5 + b.width(l, typeface.Medium, 10.5) + 18
		if i > 0 && x+w > pageMargin+b.across()+18 {
			x = pageMargin
			b.y += 16
		}
		if x == pageMargin {
			b.need(18)
		}
		b.frame(x, b.y+3, box, box)
		b.text(l, x+box+5, b.y+12, typeface.Medium, 10.5, Ink)
		x += w
	}
	if len(list) > 0 {
		b.y += 18
	}
}

// clock are the times to fill in.
func (b *bench) clock() {
	cells := clockCells(b.plan.Rubber)
	if len(cells) == 0 {
		return
	}
	b.need(24)
	wide := b.across() / 3
	for i, c := range cells {
		x := pageMargin + float64(i)*wide
		w := b.width(c, typeface.Regular, benchSize)
		b.text(c, x, b.y+15, typeface.Regular, benchSize, SoftInk)
		b.rect(x+w+5, b.y+16.5, wide-w-22, 0.7, Ink)
	}
	b.y += 22
}

func (p *document) frame(x, y, w, h float64) {
	p.doc.SetDrawColor(int(Ink.R), int(Ink.G), int(Ink.B))
	p.doc.SetLineWidth(0.9)
	p.doc.Rect(x, y, w, h, "D")
}

// beside sets the picture with the numbers of the places, and what to build beside it.
func (b *bench) beside() {
	rows := b.screen.Build
	across := b.across()
	top := b.y + 8
	x := pageMargin
	if b.places != nil {
		pw, ph := b.places.Extent()
		w := 0.54 * across
		h := w * ph / pw
		b.need(h + 12)
		top = b.y + 8
		b.doc.ImageOptions("places", pageMargin, top, w, h, false, fpdf.ImageOptions{ImageType: "PNG"}, 0, "")
		defer func(end float64) { b.y = max(b.y, end) }(top + h + 4)
		x, across = pageMargin+w+14, across-w-14
	}
	b.y = top
	for _, r := range rows {
		b.labelled(r, x, across)
	}
	for _, r := range b.screen.Work {
		if r.Label == "Hold down" || r.Label == "Release" || r.Label == "Original" {
			b.labelled(r, x, across)
		}
	}
}

// labelled sets a row with its label over the left edge.
func (b *bench) labelled(r Row, x, across float64) {
	const label = 52.0
	b.text(r.Label, x, b.y+benchTight-2.5, typeface.Medium, benchSize, SoftInk)
	b.tight(onPages(r.Value, after), x+label, across-label, typeface.Medium, Ink)
	b.y += 2
}

// findings are the gravest of what is open, by their numbers in the picture.
func (b *bench) findings() {
	const in = 14.0
	for i, x := range b.screen.Findings {
		c := CareInk
		if x.Severity == finding.Stop {
			c = BadInk
		}
		b.need(4 * benchTight)
		b.y += 3
		b.text(strconv.Itoa(i+1), pageMargin, b.y+benchTight-2.5, typeface.Bold, benchSize+1, c)
		b.tight(strings.ToUpper(x.Severity.String())+": "+x.Summary, pageMargin+in, b.across()-in, typeface.Medium, c)
		b.tight(figure.Join(" ", x.Effect, x.Hint), pageMargin+in, b.across()-in, typeface.Regular, Ink)
	}
	if b.screen.Rest != "" {
		b.tight(onPages(b.screen.Rest, after), pageMargin+in, b.across()-in, typeface.Medium, CareInk)
	}
}

// work are the rows that are left.
func (b *bench) work() {
	b.y += 3
	for _, r := range b.screen.Work {
		switch r.Label {
		case "Time", "Hold down", "Release", "Original", "More":
			continue
		}
		b.labelled(Row{Label: r.Label, Value: onPages(r.Value, after)}, pageMargin, b.across())
	}
}

// after is where a bench sheet on paper has what page one leaves out.
const after = "on the pages after this"

// onPages is a text of the screen as it stands where nothing has to be asked for:
// where the rest is in place of the flag that prints it.
func onPages(s, where string) string {
	return strings.NewReplacer(": see --full", ": "+where, ": --full", " "+where, "(--full)", "("+where+")", "on --full", where).Replace(s)
}

// build is the page of what to build.
func (b *bench) build() {
	c := b.plan.Container
	if c == nil {
		return
	}
	b.newPage()
	b.para("What to build", pageMargin, b.across(), typeface.Bold, 15, Ink)
	b.y += 6
	if s := newSketch(b.w, b.across()); s != nil {
		b.need(s.high + 20)
		s.draw(&paperPen{b.document, pageMargin, b.y, 1})
		b.y += s.high
		b.tight(s.note(), pageMargin, b.across(), typeface.Regular, SoftInk)
		b.y += 6
	}
	for _, r := range b.screen.Build {
		b.row(Row{Label: r.Label, Value: onPages(r.Value, after)})
	}
	if len(c.Boards) > 0 {
		t := b.w.cutList(c)
		t.Columns = append([]Column{{Title: "cut"}}, t.Columns...)
		for i, r := range t.Rows {
			t.Rows[i] = append([]string{"[  ]"}, r...)
		}
		b.table(&t)
	}
	if g := b.w.gang(); len(g.Rows) > 0 {
		b.section(&g)
	}
}

// rest is what follows page two: what is needed to do the work, or all of it.
func (b *bench) rest(s *Sheet, full bool) {
	if b.plan.Container != nil {
		b.newPage()
	}
	for _, key := range benchOrder {
		for i := range s.Sections {
			if s.Sections[i].Key == key {
				b.section(&s.Sections[i])
			}
		}
	}
	if b.picture != nil {
		b.show()
	}
	if !full {
		return
	}
	for i := range s.Sections {
		if sec := &s.Sections[i]; !onBench(sec.Key) {
			b.section(sec)
		}
	}
}
