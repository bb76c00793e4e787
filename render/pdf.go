package render

import (
	"bytes"
	"compress/zlib"
	"fmt"
	"image"
	"image/color"
	"io"
	"maps"
	"slices"
	"strconv"
	"strings"
	"unicode/utf16"

	"moldtally/mesh/finding"
	"moldtally/render/figure"
)

// PDFOptions says how to set a sheet on paper.
type PDFOptions struct {
	Paper   string       // "a4" (or "") or "letter"
	Picture *image.NRGBA // stands under the warnings; nil = none
}

// WritePDF sets a sheet on paper: PDF 1.4 (ISO 32000-1), the Go fonts embedded
// whole so that any name prints, text that can be searched and copied, no date
// and no identifier: the same sheet gives the same bytes.
func WritePDF(w io.Writer, s *Sheet, o PDFOptions) error {
	p := &paperSheet{w: 595.28, h: 841.89} // A4, ISO 216, in points
	switch o.Paper {
	case "", "a4":
	case "letter":
		p.w, p.h = 612, 792 // 8 1/2 by 11 in
	default:
		return fmt.Errorf("render: paper %q: a4 or letter", o.Paper)
	}
	for i := range p.used {
		p.used[i] = map[rune]bool{}
	}
	p.compose(s, o.Picture)
	_, err := w.Write(p.file(s, o.Picture))
	return err
}

// Margins and sizes of type on paper, points (1/72 in).
const (
	pageMargin = 46.0
	pageFoot   = 40.0
	typeSize   = 9.5
	leading    = 13.0
)

// paperSheet is a document being set. Positions are points, y from the top.
type paperSheet struct {
	w, h  float64
	pages []*bytes.Buffer
	y     float64
	used  [3]map[rune]bool // characters set in each weight
	shows bool             // the picture is on some page
}

func (p *paperSheet) out() *bytes.Buffer { return p.pages[len(p.pages)-1] }

func (p *paperSheet) newPage() {
	p.pages = append(p.pages, &bytes.Buffer{})
	p.y = pageMargin
}

// need begins a new page where less than so much is left on this one.
func (p *paperSheet) need(h float64) {
	if len(p.pages) == 0 || p.y+h > p.h-pageMargin-pageFoot/2 {
		p.newPage()
	}
}

func num(v float64) string {
	s := strconv.FormatFloat(v, 'f', 2, 64)
	return strings.TrimSuffix(strings.TrimRight(s, "0"), ".")
}

func (p *paperSheet) fillColor(c color.NRGBA) {
	fmt.Fprintf(p.out(), "%s %s %s rg\n", num(float64(c.R)/255), num(float64(c.G)/255), num(float64(c.B)/255))
}

// text sets one line with its baseline at y.
func (p *paperSheet) text(s string, x, y float64, wt weight, size float64, c color.NRGBA) {
	if s == "" {
		return
	}
	f := typefaces()[wt]
	p.fillColor(c)
	fmt.Fprintf(p.out(), "BT /F%d %s Tf %s %s Td <", wt, num(size), num(x), num(p.h-y))
	for _, r := range s {
		if r == '\u00a0' {
			r = ' '
		}
		p.used[wt][r] = true
		fmt.Fprintf(p.out(), "%04X", f.glyph(r).index)
	}
	p.out().WriteString("> Tj ET\n")
}

func (p *paperSheet) rect(x, y, w, h float64, c color.NRGBA) {
	p.fillColor(c)
	fmt.Fprintf(p.out(), "%s %s %s %s re f\n", num(x), num(p.h-y-h), num(w), num(h))
}

func lineWidth(s string, wt weight, size float64) float64 { return typefaces()[wt].width(s) * size }

// breakLines breaks a text at its spaces to fit a width; a longer word is cut.
func breakLines(s string, wt weight, size, width float64) []string {
	var out []string
	line := ""
	for _, word := range strings.Split(s, " ") {
		try := word
		if line != "" {
			try = line + " " + word
		}
		if lineWidth(try, wt, size) <= width {
			line = try
			continue
		}
		if line != "" {
			out = append(out, line)
		}
		for lineWidth(word, wt, size) > width {
			r := []rune(word)
			n := len(r) - 1
			for n > 1 && lineWidth(string(r[:n]), wt, size) > width {
				n--
			}
			out = append(out, string(r[:n]))
			word = string(r[n:])
		}
		line = word
	}
	return append(out, line)
}

// para sets a paragraph and moves down past it.
func (p *paperSheet) para(s string, x, width float64, wt weight, size float64, c color.NRGBA) {
	for _, l := range breakLines(s, wt, size, width) {
		p.need(leading)
		p.y += leading * size / typeSize
		p.text(l, x, p.y-3, wt, size, c)
	}
}

func toneColor(t Tone, or color.NRGBA) color.NRGBA {
	switch t {
	case Good:
		return goodInk
	case Care:
		return careInk
	case Bad:
		return badInk
	case Quiet:
		return softInk
	}
	return or
}

func (p *paperSheet) compose(s *Sheet, picture *image.NRGBA) {
	p.newPage()
	full := p.w - 2*pageMargin
	p.para(s.Title, pageMargin, full, heavy, 20, inkColor)
	if s.Verdict.Text != "" {
		p.y += 8
		w := lineWidth(s.Verdict.Text, heavy, 13)
		p.rect(pageMargin, p.y, w+20, 22, toneColor(s.Verdict.Tone, softInk))
		p.text(s.Verdict.Text, pageMargin+10, p.y+15.5, heavy, 13, nrgba(0xFFFFFF, 255))
		p.y += 26
		p.bullets(s.Because)
	}
	shown := picture == nil
	show := func() {
		h := full * float64(picture.Rect.Dy()) / float64(picture.Rect.Dx())
		h = min(h, p.h-2*pageMargin-pageFoot)
		w := h * float64(picture.Rect.Dx()) / float64(picture.Rect.Dy())
		p.need(h + 16)
		fmt.Fprintf(p.out(), "q %s 0 0 %s %s %s cm /Im Do Q\n", num(w), num(h), num(pageMargin+(full-w)/2), num(p.h-p.y-8-h))
		p.y += h + 16
		p.shows, shown = true, true
	}
	for i := range s.Sections {
		sec := &s.Sections[i]
		if !shown && sec.Key != finding.Stop.String() && sec.Key != finding.Caution.String() {
			show() // after stops and cautions, before the figures
		}
		p.section(sec)
	}
	if !shown {
		show()
	}
}

func (p *paperSheet) bullets(items []string) {
	for _, b := range items {
		p.need(leading)
		p.text("-", pageMargin+2, p.y+leading-3, regular, typeSize, softInk)
		p.para(figure.Sentence(b), pageMargin+12, p.w-2*pageMargin-12, regular, typeSize, inkColor)
	}
}

func (p *paperSheet) section(s *Section) {
	p.need(58) // a title keeps something under it
	p.y += 14
	title := s.Title
	if n := len(s.Notices); n > 1 {
		title += " (" + strconv.Itoa(n) + ")"
	}
	p.y += 14
	p.text(title, pageMargin, p.y-3, heavy, 12, toneColor(s.Tone, inkColor))
	p.rect(pageMargin, p.y+1, p.w-2*pageMargin, 0.7, hairline)
	p.y += 4
	for i := range s.Notices {
		p.notice(i+1, &s.Notices[i])
	}
	for _, r := range s.Rows {
		p.row(r)
	}
	if s.Chart != nil {
		p.chart(s.Chart)
	}
	for i := range s.Tables {
		p.table(&s.Tables[i])
	}
	p.bullets(s.List)
}

func (p *paperSheet) notice(n int, x *Notice) {
	c := inkColor
	switch x.Severity {
	case finding.Stop:
		c = badInk
	case finding.Caution:
		c = careInk
	}
	p.need(3 * leading)
	const in = 16.0
	p.text(strconv.Itoa(n)+".", pageMargin, p.y+leading-3, medium, typeSize, c)
	p.para(x.Summary, pageMargin+in, p.w-2*pageMargin-in, medium, typeSize, c)
	for _, part := range [...][2]string{{"effect", x.Effect}, {"do", x.Hint}, {"where", x.Place}} {
		if part[1] != "" {
			p.need(leading)
			p.text(part[0], pageMargin+in, p.y+leading-3, regular, typeSize, softInk)
			p.para(part[1], pageMargin+in+36, p.w-2*pageMargin-in-36, regular, typeSize, inkColor)
		}
	}
	p.y += 3
}

// row sets label, figure, the other system's figure and remark side by side.
func (p *paperSheet) row(r Row) {
	full := p.w - 2*pageMargin
	at := [4]float64{0, 0.23 * full, 0.46 * full, 0.68 * full}
	cells := [4]string{strings.TrimSpace(r.Label), figure.Tie(r.Value, r.Unit), r.Other, r.Note}
	wide := [4]float64{at[1] - 6, at[2] - at[1] - 6, at[3] - at[2] - 6, full - at[3]}
	switch {
	case r.Other == "" && r.Note == "":
		wide[1] = full - at[1]
	case r.Other == "" && lineWidth(cells[1], medium, typeSize) > wide[1]:
		wide[1] = at[3] - at[1] - 6
	case r.Other == "": // a remark has the free column too
		at[3], wide[3] = at[2], full-at[2]
	}
	wts := [4]weight{regular, medium, medium, regular}
	cols := [4]color.NRGBA{softInk, toneColor(r.Tone, inkColor), inkColor, softInk}
	var lines [4][]string
	n := 1
	for i, c := range cells {
		lines[i] = breakLines(c, wts[i], typeSize, wide[i])
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

func (p *paperSheet) table(t *Table) {
	const gap, size = 12.0, 9.0
	full := p.w - 2*pageMargin
	all := t.Rows
	if t.Foot != nil {
		all = append(all[:len(all):len(all)], t.Foot)
	}
	width := make([]float64, len(t.Columns))
	total := -gap
	heads := false
	for c, col := range t.Columns {
		width[c] = lineWidth(col.Title, regular, size)
		heads = heads || col.Title != ""
		for _, r := range all {
			if c < len(r) {
				width[c] = max(width[c], lineWidth(r[c], regular, size))
			}
		}
		if c < len(t.Foot) {
			width[c] = max(width[c], lineWidth(t.Foot[c], heavy, size))
		}
		total += width[c] + gap
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
	p.y += 4
	if t.Caption != "" {
		p.need(3 * leading)
		p.para(t.Caption, pageMargin, full, medium, typeSize, inkColor)
	}
	set := func(cells []string, wt weight, c color.NRGBA) {
		lines := make([][]string, len(width))
		n := 1
		for i := range width {
			if i < len(cells) {
				lines[i] = breakLines(cells[i], wt, size, width[i]+0.01)
				n = max(n, len(lines[i]))
			}
		}
		p.need(float64(n) * leading)
		x := pageMargin
		for i := range width {
			for k, l := range lines[i] {
				lx := x
				if t.Columns[i].Right {
					lx += width[i] - lineWidth(l, wt, size)
				}
				p.text(l, lx, p.y+float64(k+1)*leading-3, wt, size, c)
			}
			x += width[i] + gap
		}
		p.y += float64(n) * leading
	}
	if heads {
		titles := make([]string, len(t.Columns))
		for i, col := range t.Columns {
			titles[i] = col.Title
		}
		set(titles, regular, softInk)
	}
	for i, r := range t.Rows {
		if t.Foot != nil && i == len(t.Rows)-1 {
			p.need(3 * leading) // the total stays with what it adds up
		}
		set(r, regular, inkColor)
	}
	if t.Foot != nil {
		p.rect(pageMargin, p.y+0.5, total, 0.7, inkColor)
		set(t.Foot, heavy, inkColor)
	}
	if t.Note != "" {
		p.para(t.Note, pageMargin, full, regular, size, softInk)
	}
	p.y += 3
}

// file puts the pages into a PDF: catalog, page tree, fonts, picture, pages,
// then the table of where each object begins.
func (p *paperSheet) file(s *Sheet, picture *image.NRGBA) []byte {
	for i := range p.pages { // feet, now that their number is known
		keep := p.pages
		p.pages = p.pages[:i+1]
		foot := "page " + strconv.Itoa(i+1) + " of " + strconv.Itoa(len(keep))
		y := p.h - pageMargin/2 - 6
		p.text(s.Maker, pageMargin, y, regular, 8, faintInk)
		p.text(foot, p.w-pageMargin-lineWidth(foot, regular, 8), y, regular, 8, faintInk)
		p.pages = keep
	}
	var d pdfFile
	d.WriteString("%PDF-1.4\n%\xE2\xE3\xCF\xD3\n")
	catalog, tree := d.reserve(), d.reserve()
	resources := "/Font <<"
	for wt := range p.used {
		if len(p.used[wt]) > 0 {
			resources += fmt.Sprintf(" /F%d %d 0 R", wt, d.font(typefaces()[wt], wt, p.used[wt]))
		}
	}
	resources += " >>"
	if p.shows {
		resources += fmt.Sprintf(" /XObject << /Im %d 0 R >>", d.picture(picture))
	}
	var kids []string
	for _, page := range p.pages {
		content := d.stream("", page.Bytes())
		n := d.object(fmt.Sprintf("<< /Type /Page /Parent %d 0 R /MediaBox [0 0 %s %s] /Resources << %s >> /Contents %d 0 R >>",
			tree, num(p.w), num(p.h), resources, content))
		kids = append(kids, fmt.Sprintf("%d 0 R", n))
	}
	d.fill(tree, fmt.Sprintf("<< /Type /Pages /Count %d /Kids [%s] >>", len(kids), strings.Join(kids, " ")))
	d.fill(catalog, fmt.Sprintf("<< /Type /Catalog /Pages %d 0 R /Lang (en) >>", tree))
	title := "<FEFF"
	for _, u := range utf16.Encode([]rune(s.Title)) {
		title += fmt.Sprintf("%04X", u)
	}
	info := d.object("<< /Title " + title + "> >>")
	return d.close(catalog, info)
}

// pdfFile collects numbered objects and where they begin.
type pdfFile struct {
	bytes.Buffer
	at []int
}

func (d *pdfFile) reserve() int {
	d.at = append(d.at, 0)
	return len(d.at)
}

func (d *pdfFile) fill(n int, body string) {
	d.at[n-1] = d.Len()
	fmt.Fprintf(d, "%d 0 obj\n%s\nendobj\n", n, body)
}

func (d *pdfFile) object(body string) int {
	n := d.reserve()
	d.fill(n, body)
	return n
}

// stream writes a compressed stream with the given entries in its dictionary.
func (d *pdfFile) stream(entries string, data []byte) int {
	var z bytes.Buffer
	w := zlib.NewWriter(&z) // a bytes.Buffer never fails
	w.Write(data)
	w.Close()
	return d.object(fmt.Sprintf("<< %s /Filter /FlateDecode /Length %d >>\nstream\n%s\nendstream", entries, z.Len(), z.Bytes()))
}

// font embeds a typeface as a composite font whose codes are glyph numbers.
func (d *pdfFile) font(f *typeface, wt int, used map[rune]bool) int {
	runes := slices.Sorted(maps.Keys(used))
	slices.SortFunc(runes, func(a, b rune) int { return f.glyph(a).index - f.glyph(b).index })
	var widths, chars strings.Builder
	last := -1
	for _, r := range runes {
		g := f.glyph(r)
		if g.index == last {
			continue
		}
		last = g.index
		fmt.Fprintf(&widths, " %d [%s]", g.index, num(1000*g.advance))
	}
	// What each code stands for, so that text can be searched: UTF-16.
	const block = 100
	for i := 0; i < len(runes); i += block {
		part := runes[i:min(i+block, len(runes))]
		fmt.Fprintf(&chars, "%d beginbfchar\n", len(part))
		for _, r := range part {
			fmt.Fprintf(&chars, "<%04X> <", f.glyph(r).index)
			if r > 0xffff {
				r = 0xfffd
			}
			fmt.Fprintf(&chars, "%04X>\n", r)
		}
		chars.WriteString("endbfchar\n")
	}
	file := d.stream(fmt.Sprintf("/Length1 %d", len(f.ttf)), f.ttf)
	unicode := d.stream("", []byte("/CIDInit /ProcSet findresource begin\n12 dict begin\nbegincmap\n/CMapType 2 def\n/CMapName /Sheet def\n"+
		"1 begincodespacerange\n<0000> <FFFF>\nendcodespacerange\n"+chars.String()+"endcmap\nCMapName currentdict /CMap defineresource pop\nend\nend\n"))
	name := [...]string{"GoRegular", "GoMedium", "GoBold"}[wt]
	descriptor := d.object(fmt.Sprintf("<< /Type /FontDescriptor /FontName /%s /Flags 4 /FontBBox [-200 -300 1300 1100] /ItalicAngle 0 /Ascent 940 /Descent -210 /CapHeight 720 /StemV 90 /FontFile2 %d 0 R >>", name, file))
	cid := d.object(fmt.Sprintf("<< /Type /Font /Subtype /CIDFontType2 /BaseFont /%s /CIDSystemInfo << /Registry (Adobe) /Ordering (Identity) /Supplement 0 >> /FontDescriptor %d 0 R /CIDToGIDMap /Identity /W [%s ] >>", name, descriptor, widths.String()))
	return d.object(fmt.Sprintf("<< /Type /Font /Subtype /Type0 /BaseFont /%s /Encoding /Identity-H /DescendantFonts [%d 0 R] /ToUnicode %d 0 R >>", name, cid, unicode))
}

// picture embeds an opaque picture, each byte less the one above it, which
// leaves little of flat grounds to compress.
func (d *pdfFile) picture(m *image.NRGBA) int {
	w, h := m.Rect.Dx(), m.Rect.Dy()
	raw := make([]byte, 0, h*(3*w+1))
	for y := range h {
		raw = append(raw, 2) // the filter "up" of PNG (ISO/IEC 15948)
		for x := range w {
			i := m.PixOffset(m.Rect.Min.X+x, m.Rect.Min.Y+y)
			for c := range 3 {
				v := m.Pix[i+c]
				if y > 0 {
					v -= m.Pix[i-m.Stride+c]
				}
				raw = append(raw, v)
			}
		}
	}
	return d.stream(fmt.Sprintf("/Type /XObject /Subtype /Image /Width %d /Height %d /ColorSpace /DeviceRGB /BitsPerComponent 8 /DecodeParms << /Predictor 15 /Colors 3 /Columns %d >>", w, h, w), raw)
}

func (d *pdfFile) close(catalog, info int) []byte {
	start := d.Len()
	fmt.Fprintf(d, "xref\n0 %d\n0000000000 65535 f \n", len(d.at)+1)
	for _, at := range d.at {
		fmt.Fprintf(d, "%010d 00000 n \n", at)
	}
	fmt.Fprintf(d, "trailer\n<< /Size %d /Root %d 0 R /Info %d 0 R >>\nstartxref\n%d\n%%%%EOF\n", len(d.at)+1, catalog, info, start)
	return d.Bytes()
}
