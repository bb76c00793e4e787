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

// WriteBench sets a plan as a bench sheet. Page one is the first screen with nothing
// cut short, as large as the page holds, its weights in numerals to be read across a
// bench, with boxes to tick and times to fill in; page two is what to build, with a
// sketch to scale, and the picture from all sides; then come the order of work, the
// findings that page one only counts, the words on safety, and, where asked for, the
// rest of the sheet. The same plan gives the same bytes.
func WriteBench(w io.Writer, plan *estimate.Plan, o BenchOptions) error {
	b, err := newBench(plan, o)
	if err != nil {
		return err
	}
	b.front()
	b.build()
	b.rest(b.w.sheet(), o.Full)
	b.feet(b.screen.Maker)
	return b.write(w, b.screen.Title)
}

// newBench begins a bench sheet, what page one says and how large chosen.
func newBench(plan *estimate.Plan, o BenchOptions) (*bench, error) {
	size, ok := paperSizes[o.Paper]
	if !ok {
		return nil, fmt.Errorf("render: paper %q: a4 or letter", o.Paper)
	}
	p, err := newDocument(size, o.Picture)
	if err != nil {
		return nil, err
	}
	b := &bench{document: p, plan: plan, w: o.wording(plan)}
	if b.places, err = p.image("places", o.Places); err != nil {
		return nil, err
	}
	p.newPage()
	b.choose(o)
	return b, nil
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
	alone  bool                // the whole picture begins a page
	wide   float64             // its width as a share of the text's
	scale
}

// scale is how large page one is set.
type scale struct {
	k     float64 // type, as a multiple of its least size
	share float64 // of the width that the picture has
	air   float64 // points between its parts
}

// scales are those that are tried on page one, the first that fits is used: the largest
// type, and of that the largest picture. Type of 12 points and more is read at arm's
// length in gloves (common practice, no source).
var scales = func() (out []scale) {
	for _, k := range []float64{1.4, 1.3, 1.2, 1.1, 1} {
		for _, share := range []float64{0.66, 0.6, 0.54, 0.48} {
			out = append(out, scale{k: k, share: share})
		}
	}
	return append(out, scale{k: 0.95, share: 0.42}, scale{k: 0.9, share: 0.36})
}()

// choose settles what page one says and how large: whole where that fits, else as short
// as a terminal has it.
func (b *bench) choose(o BenchOptions) {
	for _, r := range []room{uncut, rooms[0], rooms[len(rooms)-2]} {
		b.screen = screenIn(r, b.plan, o.View, o.SheetOptions)
		for _, strict := range []bool{true, false} {
			for _, b.scale = range scales {
				if ok, high := b.fits(b.front); ok && (!strict || b.level()) {
					b.air = min(mostAir, (b.bottom()-b.y-high)/float64(len(b.screen.Pours)+4))
					return
				}
			}
		}
	}
}

// mostAir is how far the parts of a page stand apart at most, points: farther they no
// longer seem to belong together (judgement of this program).
const mostAir = 16

// level reports whether what stands beside the picture is about as high as that, at
// most.
func (b *bench) level() bool {
	if b.places == nil {
		return true
	}
	_, h, x, across := b.aside()
	_, rows := b.fits(func() { b.besideRows(x, across) })
	return rows <= h+2*b.tall()
}

// aside is the size of the picture with the numbers of the places, and where what
// stands beside it begins and how wide that is.
func (b *bench) aside() (w, h, x, across float64) {
	across = b.across()
	if b.places == nil {
		return 0, 0, pageMargin, across
	}
	pw, ph := b.places.Extent()
	w = b.share * across
	return w, w * ph / pw, pageMargin + w + 14, across - w - 14
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

// size is the type of page one, and tall its leading.
func (b *bench) size() float64 { return benchSize * b.k }
func (b *bench) tall() float64 { return benchTight * b.k }

// tight sets a paragraph at the size of page one.
func (b *bench) tight(s string, x, width float64, f typeface.Face, c color.NRGBA) {
	for _, l := range b.lines(s, f, b.size(), width) {
		b.need(b.tall())
		b.y += b.tall()
		b.text(l, x, b.y-2.5*b.k, f, b.size(), c)
	}
}

// front is page one.
func (b *bench) front() {
	b.head()
	b.pours()
	for _, set := range []func(){b.beside, b.findings, b.work} {
		b.y += b.air
		set()
	}
}

// head is the answer, the pattern and how it is taken out.
func (b *bench) head() {
	s := b.screen
	if s.Answer.Text != "" {
		b.para(s.Answer.Text, pageMargin, b.across(), typeface.Bold, 11*b.k, toneColor(s.Answer.Tone, Ink))
	}
	for _, e := range s.Effects {
		b.para(e, pageMargin, b.across(), typeface.Regular, typeSize*b.k, Ink)
	}
	b.y += 2
	b.para(s.Title, pageMargin, b.across(), typeface.Bold, 18, Ink)
	if s.Verdict.Text != "" {
		b.y += 2
		b.para(s.Verdict.Text, pageMargin, b.across(), typeface.Medium, (typeSize+0.5)*b.k, toneColor(s.Verdict.Tone, Ink))
	}
	if s.How != "" {
		b.para(s.How, pageMargin, b.across(), typeface.Regular, typeSize*b.k, Ink)
	}
}

// pours are the weights, the cups to tick off and the times to fill in.
func (b *bench) pours() {
	for i := range b.screen.Pours {
		p := &b.screen.Pours[i]
		b.need(numeral + 60)
		b.y += 8 + b.air
		b.rect(pageMargin, b.y, b.across(), 0.9, Ink)
		b.y += 3
		b.weights(p)
		for _, t := range p.ticks() {
			b.ticks(t)
		}
		b.clock()
	}
}

// weights sets what goes on the scale for a pour, large.
func (b *bench) weights(p *ScreenPour) {
	label := 84.0 * max(1, b.k)
	most := numeral * max(1, b.k)
	b.text(p.Name, pageMargin, b.y+most-2, typeface.Bold, 11.5*b.k, Ink)
	if len(p.Parts) == 0 {
		b.y += most
		return
	}
	wide := (b.across() - label) / float64(len(p.Parts))
	under := false
	for i, x := range p.Parts {
		at := pageMargin + label + float64(i)*wide
		name := b.width(x.Name, typeface.Bold, bigLabel) + 8
		size := most
		for size > 24 && name+b.width(x.Amount, typeface.Bold, size) > wide-6 {
			size--
		}
		b.text(x.Name, at, b.y+most-2, typeface.Bold, bigLabel, SoftInk)
		b.text(x.Amount, at+name, b.y+most-2, typeface.Bold, size, Ink)
		if x.Other != "" {
			under = true
			b.text(x.Other, at+name, b.y+most+13, typeface.Medium, 12, SoftInk)
		}
	}
	b.y += 1.16 * most // and what hangs below the line
	if under {
		b.y += 10
	}
}

// ticks sets boxes to tick, after or under what they are for.
func (b *bench) ticks(t tickRow) {
	const box = 10.0
	size := 10.5 * max(1, b.k)
	high := max(16, size+5.5)
	x := pageMargin
	if t.Text != "" {
		b.need(high)
		for i, l := range b.lines(t.Text, typeface.Medium, size, b.across()) {
			if i > 0 {
				b.y += high
			}
			b.text(l, pageMargin, b.y+12, typeface.Medium, size, Ink)
			x = pageMargin + b.width(l, typeface.Medium, size) + 14
		}
	}
	for _, g := range t.Groups {
		label := b.width(g.Label, typeface.Medium, size)
		w := label + 5 + float64(g.N)*(box+4)
		if x > pageMargin && x+w > pageMargin+b.across() {
			x = pageMargin
			b.y += high
			b.need(high)
		}
		before := 0.0
		if g.N > 1 { // a name stands before its boxes, a number after its one
			before = label + 5
			b.text(g.Label, x, b.y+12, typeface.Medium, size, SoftInk)
		} else {
			b.text(g.Label, x+box+5, b.y+12, typeface.Medium, size, Ink)
		}
		for i := range g.N {
			b.frame(x+before+float64(i)*(box+4), b.y+3, box, box)
		}
		x += w + 14
	}
	b.y += high + 2
}

// clock are the times to fill in.
func (b *bench) clock() {
	cells := clockCells(b.plan.Rubber, b.w.brushed())
	if len(cells) == 0 {
		return
	}
	b.need(24)
	wide := b.across() / 3
	for i, c := range cells {
		x := pageMargin + float64(i)*wide
		w := b.width(c, typeface.Regular, b.size())
		b.text(c, x, b.y+15, typeface.Regular, b.size(), SoftInk)
		b.rect(x+w+5, b.y+16.5, wide-w-17, 0.7, Ink)
	}
	b.y += 22
}

func (p *document) frame(x, y, w, h float64) {
	if p.dry {
		return
	}
	p.doc.SetDrawColor(int(Ink.R), int(Ink.G), int(Ink.B))
	p.doc.SetLineWidth(0.9)
	p.doc.Rect(x, y, w, h, "D")
}

// besides reports whether a row of the work stands beside the picture.
func besides(label string) bool {
	return label == "Hold down" || label == "Release" || label == "Original"
}

// beside sets the picture with the numbers of the places, and what to build beside it.
func (b *bench) beside() {
	w, h, x, across := b.aside()
	b.need(h + 12)
	b.y += 8
	top := b.y
	if b.places != nil {
		b.put("places", pageMargin, top, w, h)
		h += 4
	}
	b.besideRows(x, across)
	b.y = max(b.y, top+h)
}

// besideRows are what to build, and what is held and released.
func (b *bench) besideRows(x, across float64) {
	for _, r := range b.screen.Build {
		b.labelled(r, x, across)
	}
	for _, r := range b.screen.Work {
		if besides(r.Label) {
			b.labelled(r, x, across)
		}
	}
}

// labelled sets a row with its label at the left edge, over it where there is little
// room beside.
func (b *bench) labelled(r Row, x, across float64) {
	label := 52.0 * b.k
	b.need(b.tall())
	b.text(r.Label, x, b.y+b.tall()-2.5*b.k, typeface.Medium, b.size(), SoftInk)
	if across < 3*label {
		b.y += b.tall()
		label = 0
	}
	b.tight(onPages(r.Value, after), x+label, across-label, typeface.Medium, Ink)
	b.y += 2
}

// findings are the gravest of what is open, by their numbers in the picture.
func (b *bench) findings() {
	in := 14.0 * b.k
	for i, x := range b.screen.Findings {
		c := CareInk
		if x.Severity == finding.Stop {
			c = BadInk
		}
		b.keep(func() {
			b.need(b.tall())
			b.y += 3
			b.text(strconv.Itoa(i+1), pageMargin, b.y+b.tall()-2.5*b.k, typeface.Bold, b.size()+1, c)
			b.tight(strings.ToUpper(x.Severity.String())+": "+x.Summary, pageMargin+in, b.across()-in, typeface.Medium, c)
			for _, part := range [...][2]string{{"effect", x.Effect}, {"do", x.Hint}, {"where", x.Place}} {
				if part[1] != "" {
					b.need(b.tall())
					b.text(part[0], pageMargin+in, b.y+b.tall()-2.5*b.k, typeface.Regular, b.size(), SoftInk)
					b.tight(part[1], pageMargin+in+34*b.k, b.across()-in-34*b.k, typeface.Regular, Ink)
				}
			}
		})
	}
	if b.screen.Rest != "" {
		b.tight(onPages(b.screen.Rest, after), pageMargin+in, b.across()-in, typeface.Medium, CareInk)
	}
}

// work are the rows that are left.
func (b *bench) work() {
	b.y += 3
	for _, r := range b.screen.Work {
		if r.Label == "Time" || r.Label == "More" || besides(r.Label) {
			continue
		}
		b.labelled(r, pageMargin, b.across())
	}
}

// after is where a bench sheet on paper has what page one leaves out.
const after = "on the pages after this"

// onPages is a text of the screen as it stands where nothing has to be asked for:
// where the rest is in place of the flag that prints it.
func onPages(s, where string) string {
	return strings.NewReplacer(": see --full", ": "+where, ": --full", " "+where, "(--full)", "("+where+")", "on --full", where).Replace(s)
}

// built reports whether a plan has anything to build: a job that is refused has not.
func built(p *estimate.Plan) bool { return p.Container != nil && !p.Refused() }

// build is the page of what to build, with the picture where it has room.
func (b *bench) build() {
	if !built(b.plan) {
		return
	}
	c := b.plan.Container
	b.scale = scale{k: 1}
	b.newPage()
	b.para("What to build", pageMargin, b.across(), typeface.Bold, 15, Ink)
	b.y += 6
	if s := newSketch(b.w, b.across()); s != nil {
		b.keep(func() {
			b.need(s.high + 20)
			if !b.dry {
				s.draw(&paperPen{b.document, pageMargin, b.y, 1})
			}
			b.y += s.high
			b.tight(s.note(), pageMargin, b.across(), typeface.Regular, SoftInk)
			b.y += 6
		})
	}
	if len(c.Boards) > 0 {
		t := b.w.cutList(c)
		t.Columns = append([]Column{{Title: "cut"}}, t.Columns...)
		for i, r := range t.Rows {
			t.Rows[i] = append([]string{"[  ]"}, r...)
		}
		b.keep(func() { b.table(&t) })
	}
	if g := b.w.gang(); len(g.Rows) > 0 {
		b.section(&g)
	}
	if b.picture != nil {
		b.fromAllSides()
	}
}

// allSides is the title of the whole picture.
const allSides = "From all sides"

// least is how large the whole picture is set at least, as a share of the text's width:
// smaller its words cannot be read.
const least = 0.7

// fromAllSides sets the whole picture under its title: a little smaller where that puts
// it on the page, else on a page that what follows goes on with.
func (b *bench) fromAllSides() {
	full := b.across()
	pw, ph := b.picture.Extent()
	high := full * ph / pw
	_, title := b.fits(func() { b.title(&Section{Title: allSides}) })
	if room := b.bottom() - b.y - title - 6; room < least*high {
		b.newPage()
		b.alone = true
	} else {
		high = min(high, room)
	}
	high = min(high, b.bottom()-b.y-title-6)
	b.title(&Section{Title: allSides})
	w := high * pw / ph
	b.wide = w / full
	b.put("picture", pageMargin+(full-w)/2, b.y+4, w, high)
	b.y += high + 6
}

// rest is what follows page two: what is needed to do the work, or all of it.
func (b *bench) rest(s *Sheet, full bool) {
	if built(b.plan) && !b.alone {
		b.newPage()
	}
	for _, sec := range b.screen.rest(s, full) {
		b.section(&sec)
	}
	if b.picture != nil && !built(b.plan) {
		b.fromAllSides()
	}
}
