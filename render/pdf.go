package render

import (
	"fmt"
	"image/color"
	"io"
	"strconv"
	"strings"

	"moldtally/mesh/finding"
	"moldtally/render/figure"
	"moldtally/render/typeface"
)

// PDFOptions says how to set a sheet on paper.
type PDFOptions struct {
	Paper   string // "a4" (or "") or "letter"
	Picture []byte // PNG; stands under the warnings; nil = none
	// PictureLast puts the picture at the end.
	PictureLast bool
}

// WritePDF sets a sheet on paper. Of the Go fonts the letters in use are
// embedded, so that any name prints; text can be searched and copied. It bears
// no date and no identifier: the same sheet gives the same bytes.
func WritePDF(w io.Writer, s *Sheet, o PDFOptions) error {
	size, ok := paperSizes[o.Paper]
	if !ok {
		return fmt.Errorf("render: paper %q: a4 or letter", o.Paper)
	}
	p, err := newDocument(size, o.Picture)
	if err != nil {
		return err
	}
	p.compose(s, o.PictureLast)
	p.feet(figure.Join("; ", s.Mark, s.Maker))
	return p.write(w, s.Title)
}

func toneColor(t Tone, or color.NRGBA) color.NRGBA {
	switch t {
	case Good:
		return GoodInk
	case Care:
		return CareInk
	case Bad:
		return BadInk
	case Quiet:
		return SoftInk
	}
	return or
}

func (p *document) compose(s *Sheet, last bool) {
	p.newPage()
	full := p.w - 2*pageMargin
	if s.Answer.Text != "" {
		p.para(s.Answer.Text, pageMargin, full, typeface.Bold, 11, toneColor(s.Answer.Tone, Ink))
		p.y += 4
	}
	p.letter(s.Letter)
	p.para(s.Title, pageMargin, full, typeface.Bold, 20, Ink)
	if s.Verdict.Text != "" {
		p.y += 8
		w := p.width(s.Verdict.Text, typeface.Bold, 13)
		p.rect(pageMargin, p.y, w+20, 22, toneColor(s.Verdict.Tone, SoftInk))
		p.text(s.Verdict.Text, pageMargin+10, p.y+15.5, typeface.Bold, 13, white)
		p.y += 26
		p.bullets(s.Because)
	}
	shown := p.picture == nil
	for i := range s.Sections {
		sec := &s.Sections[i]
		if !shown && !last && sec.Key != finding.Stop.String() && sec.Key != finding.Caution.String() {
			p.show() // after stops and cautions, before the figures
			shown = true
		}
		p.section(sec)
	}
	if !shown {
		p.show()
	}
}

// show sets the picture as wide as the text, or as high as a page.
func (p *document) show() {
	full := p.w - 2*pageMargin
	across, down := p.picture.Extent()
	h := min(full*down/across, p.h-2*pageMargin-pageFoot)
	w := h * across / down
	p.need(h + 16)
	p.put("picture", pageMargin+(full-w)/2, p.y+8, w, h)
	p.y += h + 16
}

func (p *document) bullets(items []string) {
	for _, b := range items {
		p.bullet(b)
	}
}

func (p *document) bullet(s string) {
	p.need(leading)
	p.text("-", pageMargin+2, p.y+leading-3, typeface.Regular, typeSize, SoftInk)
	p.para(figure.Sentence(s), pageMargin+12, p.w-2*pageMargin-12, typeface.Regular, typeSize, Ink)
}

// section sets a title with what it stands over; of that no part is parted from
// itself, nor the first from its title.
func (p *document) section(s *Section) {
	var parts []func()
	for i := range s.Notices {
		parts = append(parts, func() { p.notice(s.Before+i+1, &s.Notices[i]) })
	}
	for _, r := range s.Rows {
		parts = append(parts, func() { p.row(r) })
	}
	if s.Chart != nil {
		parts = append(parts, func() { p.chart(s.Chart) })
	}
	for i := range s.Tables {
		parts = append(parts, func() { p.table(&s.Tables[i]) })
	}
	for _, l := range s.List {
		parts = append(parts, func() { p.bullet(l) })
	}
	if len(parts) == 0 {
		parts = append(parts, func() {})
	}
	p.keep(func() { p.title(s); parts[0]() })
	for _, set := range parts[1:] {
		p.keep(set)
	}
}

// title sets the title of a section.
func (p *document) title(s *Section) {
	p.need(58) // a title keeps something under it
	if p.y > pageMargin {
		p.y += 14
	}
	title := s.Title
	if n := len(s.Notices); n > 1 && s.Before == 0 {
		title += " (" + strconv.Itoa(n) + ")"
	}
	p.y += 14
	p.text(title, pageMargin, p.y-3, typeface.Bold, 12, toneColor(s.Tone, Ink))
	p.rect(pageMargin, p.y+1, p.w-2*pageMargin, 0.7, hairline)
	p.y += 4
}

func (p *document) notice(n int, x *Notice) {
	c := Ink
	switch x.Severity {
	case finding.Stop:
		c = BadInk
	case finding.Caution:
		c = CareInk
	}
	const in = 16.0
	p.need(leading)
	p.text(strconv.Itoa(n)+".", pageMargin, p.y+leading-3, typeface.Medium, typeSize, c)
	p.para(x.Summary, pageMargin+in, p.w-2*pageMargin-in, typeface.Medium, typeSize, c)
	for _, part := range [...][2]string{{"effect", x.Effect}, {"do", x.Hint}, {"where", x.Place}} {
		if part[1] != "" {
			p.need(leading)
			p.text(part[0], pageMargin+in, p.y+leading-3, typeface.Regular, typeSize, SoftInk)
			p.para(part[1], pageMargin+in+36, p.w-2*pageMargin-in-36, typeface.Regular, typeSize, Ink)
		}
	}
	p.y += 3
}

// row sets label, figure, the other system's figure and remark side by side.
func (p *document) row(r Row) {
	full := p.w - 2*pageMargin
	at := [4]float64{0, 0.23 * full, 0.46 * full, 0.68 * full}
	cells := [4]string{strings.TrimSpace(r.Label), figure.Tie(r.Value, r.Unit), r.Other, r.Note}
	wide := [4]float64{at[1] - 6, at[2] - at[1] - 6, at[3] - at[2] - 6, full - at[3]}
	switch {
	case r.Other == "" && r.Note == "":
		wide[1] = full - at[1]
	case r.Other == "" && p.width(cells[1], typeface.Medium, typeSize) > wide[1]:
		wide[1] = at[3] - at[1] - 6
	case r.Other == "": // a remark has the free column too
		at[3], wide[3] = at[2], full-at[2]
	}
	wts := [4]typeface.Face{typeface.Regular, typeface.Medium, typeface.Medium, typeface.Regular}
	cols := [4]color.NRGBA{SoftInk, toneColor(r.Tone, Ink), Ink, SoftInk}
	var lines [4][]string
	n := 1
	for i, c := range cells {
		lines[i] = p.lines(c, wts[i], typeSize, wide[i])
		n = max(n, len(lines[i]))
	}
	p.need(float64(n) * leading)
	for i := range cells {
		for k, l := range lines[i] {
			p.text(l, pageMargin+at[i], p.y+float64(k+1)*leading-3, wts[i], typeSize, cols[i])
		}
	}
	p.y += float64(n) * leading
}

// table sets a table, its columns as wide as their content while the page is.
func (p *document) table(t *Table) {
	full := p.w - 2*pageMargin
	width, total := p.columns(t, full)
	p.y += 4
	if t.Caption != "" {
		p.need(3 * leading)
		p.para(t.Caption, pageMargin, full, typeface.Medium, typeSize, Ink)
	}
	titles := make([]string, len(t.Columns))
	for i, col := range t.Columns {
		titles[i] = col.Title
	}
	head := func() {
		if strings.Join(titles, "") != "" {
			p.cells(t, width, titles, typeface.Regular, SoftInk)
		}
	}
	p.need(2 * leading) // titles and a row under them
	head()
	for i, r := range t.Rows {
		high := leading * float64(p.deep(r, width))
		if t.Foot != nil && i == len(t.Rows)-1 {
			high = max(high, 3*leading) // the total stays with what it adds up
		}
		if p.y+high > p.bottom() { // a column tells on every page what it is
			p.newPage()
			head()
		}
		p.cells(t, width, r, typeface.Regular, Ink)
	}
	if t.Foot != nil {
		p.rect(pageMargin, p.y+0.5, total, 0.7, Ink)
		p.cells(t, width, t.Foot, typeface.Bold, Ink)
	}
	if t.Note != "" {
		p.para(t.Note, pageMargin, full, typeface.Regular, tableSize, SoftInk)
	}
	p.y += 3
}

// Type and the room between columns of a table, points.
const (
	tableSize = 9.0
	tableGap  = 12.0
)

// columns returns how wide the columns of a table are and all of it, at most
// full where that can be.
func (p *document) columns(t *Table, full float64) (width []float64, total float64) {
	width = make([]float64, len(t.Columns))
	total = -tableGap
	for c, col := range t.Columns {
		width[c] = p.width(col.Title, typeface.Regular, tableSize)
		for _, r := range t.Rows {
			if c < len(r) {
				width[c] = max(width[c], p.width(r[c], typeface.Regular, tableSize))
			}
		}
		if c < len(t.Foot) {
			width[c] = max(width[c], p.width(t.Foot[c], typeface.Bold, tableSize))
		}
		total += width[c] + tableGap
	}
	for pass := 0; pass < 2 && total > full; pass++ {
		for c, col := range t.Columns { // first words give way, then all
			if (col.Wrap || pass == 1) && total > full {
				cut := min(total-full, max(0, width[c]-60))
				width[c] -= cut
				total -= cut
			}
		}
	}
	return width, total
}

// deep is how many lines a row of a table takes.
func (p *document) deep(cells []string, width []float64) int {
	n := 1
	for i := range min(len(width), len(cells)) {
		n = max(n, len(p.lines(cells[i], typeface.Regular, tableSize, width[i]+0.01)))
	}
	return n
}

// cells sets one row of a table.
func (p *document) cells(t *Table, width []float64, cells []string, f typeface.Face, c color.NRGBA) {
	lines := make([][]string, len(width))
	n := 1
	for i := range width {
		if i < len(cells) {
			lines[i] = p.lines(cells[i], f, tableSize, width[i]+0.01)
			n = max(n, len(lines[i]))
		}
	}
	p.need(float64(n) * leading)
	x := pageMargin
	for i := range width {
		for k, l := range lines[i] {
			lx := x
			if t.Columns[i].Right {
				lx += width[i] - p.width(l, f, tableSize)
			}
			p.text(l, lx, p.y+float64(k+1)*leading-3, f, tableSize, c)
		}
		x += width[i] + tableGap
	}
	p.y += float64(n) * leading
}

// chart sets a chart on paper.
func (p *document) chart(c *Chart) {
	full := p.w - 2*pageMargin
	k := min(1, full/chartWide)
	h := k*c.height() + 2*leading
	p.need(h)
	p.y += leading
	p.para(c.Caption, pageMargin, full, typeface.Medium, typeSize, Ink)
	c.draw(&paperPen{p, pageMargin, p.y + 4, k})
	p.y += k*c.height() + 8
	if c.Note != "" {
		p.para(figure.Sentence(c.Note), pageMargin, full, typeface.Regular, 9, SoftInk)
	}
}
