package render

import (
	"bytes"
	"fmt"
	"image/color"
	"image/png"
	"io"
	"strings"
	"time"

	"codeberg.org/go-pdf/fpdf"

	"moldtally/render/typeface"
)

// Margins and sizes of type on paper, points (1/72 in).
const (
	pageMargin = 46.0
	pageFoot   = 40.0
	typeSize   = 9.5
	leading    = 13.0
)

// paperSizes are the papers by name, in points: A4 (ISO 216) and US letter,
// 8 1/2 by 11 in.
var paperSizes = map[string]fpdf.SizeType{
	"": {Wd: 595.28, Ht: 841.89}, "a4": {Wd: 595.28, Ht: 841.89}, "letter": {Wd: 612, Ht: 792},
}

// undated stands where the format wants a date: the same sheet gives the same
// bytes on any day.
var undated = time.Date(2000, 1, 1, 0, 0, 0, 0, time.UTC)

// fontNames are what the library knows the faces by, lower case. It sets "utf8"
// before them in the file, which makes six letters and a plus sign: the form
// that marks a subset (ISO 32000-1, 9.6.4), but for their case.
var fontNames = [...]string{typeface.Regular: "aa+goregular", typeface.Medium: "bb+gomedium", typeface.Bold: "cc+gobold"}

// subsetNames puts the names in the case that the format wants.
var subsetNames = strings.NewReplacer(
	"/utf8aa+goregular", "/UTFHAA+GoRegular", "/utf8bb+gomedium", "/UTFHBB+GoMedium", "/utf8cc+gobold", "/UTFHCC+GoBold")

// document is a sheet being set. Positions are points, y from the top.
type document struct {
	doc     *fpdf.Fpdf
	ruler   *fpdf.Fpdf // has no page: to measure with another font leaves no mark
	w, h    float64
	y       float64
	picture *fpdf.ImageInfoType // nil = none
	dry     bool                // only measured: nothing is drawn
	turned  bool                // while measured, a page ran out
}

func newDocument(size fpdf.SizeType, picture []byte) (*document, error) {
	p := &document{w: size.Wd, h: size.Ht}
	for _, d := range []**fpdf.Fpdf{&p.doc, &p.ruler} {
		*d = fpdf.NewCustom(&fpdf.InitType{UnitStr: "pt", Size: size})
		for f, name := range fontNames {
			(*d).AddUTF8FontFromBytes(name, "", typeface.Face(f).TTF())
		}
	}
	d := p.doc
	d.SetCatalogSort(true)
	d.SetCreationDate(undated)
	d.SetModificationDate(undated)
	d.SetLang("en")
	d.SetAutoPageBreak(false, 0)
	d.SetLineJoinStyle("round")
	var err error
	p.picture, err = p.image("picture", picture)
	return p, err
}

// image takes a PNG into the file under a name; nil = there is none.
func (p *document) image(name string, data []byte) (*fpdf.ImageInfoType, error) {
	if data == nil {
		return nil, nil
	}
	if _, err := png.DecodeConfig(bytes.NewReader(data)); err != nil {
		return nil, fmt.Errorf("render: the picture on paper: %w", err)
	}
	return p.doc.RegisterImageOptionsReader(name, fpdf.ImageOptions{ImageType: "PNG"}, bytes.NewReader(data)), nil
}

func (p *document) newPage() {
	p.y = pageMargin
	if p.dry {
		p.turned = true
		return
	}
	p.doc.AddPage()
}

// bottom is how far down a page is set.
func (p *document) bottom() float64 { return p.h - pageMargin - pageFoot/2 }

// fits reports whether what is set stays on the page, and how high it is; it leaves no
// mark.
func (p *document) fits(set func()) (ok bool, high float64) {
	y, dry, turned := p.y, p.dry, p.turned
	p.dry, p.turned = true, false
	set()
	ok, high = !p.turned, p.y-y
	p.y, p.dry, p.turned = y, dry, turned
	return ok, high
}

// keep sets what is not to be parted: on a new page where it does not fit on this one,
// unless it is too long for any.
func (p *document) keep(set func()) {
	if p.dry {
		set()
		return
	}
	if ok, _ := p.fits(set); !ok && p.y > pageMargin {
		y := p.y
		p.y = pageMargin
		ok, high := p.fits(set)
		p.y = y
		if ok && high < wholePart*(p.bottom()-pageMargin) {
			p.newPage()
		}
	}
	set()
}

// wholePart is the share of a page up to which a part is not parted: a longer one would
// leave too much of the page before it empty (judgement of this program).
const wholePart = 0.4

// put sets an image that the file has.
func (p *document) put(name string, x, y, w, h float64) {
	if !p.dry {
		p.doc.ImageOptions(name, x, y, w, h, false, fpdf.ImageOptions{ImageType: "PNG"}, 0, "")
	}
}

// need begins a new page where less than so much is left on this one.
func (p *document) need(h float64) {
	if p.doc.PageNo() == 0 || p.y+h > p.bottom() {
		p.newPage()
	}
}

// settable is a text as it can be set: what the library's 16-bit codes do not
// reach becomes the mark of an unknown character.
func settable(s string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case r == '\u00a0':
			return ' '
		case r > 0xffff:
			return '\ufffd'
		}
		return r
	}, s)
}

// width of a line of text.
func (p *document) width(s string, f typeface.Face, size float64) float64 {
	p.ruler.SetFont(fontNames[f], "", size)
	return p.ruler.GetStringWidth(settable(s))
}

// text sets one line with its baseline at y.
func (p *document) text(s string, x, y float64, f typeface.Face, size float64, c color.NRGBA) {
	if s == "" || p.dry {
		return
	}
	p.doc.SetFont(fontNames[f], "", size)
	p.doc.SetTextColor(int(c.R), int(c.G), int(c.B))
	p.doc.Text(x, y, settable(s))
}

func (p *document) rect(x, y, w, h float64, c color.NRGBA) {
	if p.dry {
		return
	}
	p.doc.SetFillColor(int(c.R), int(c.G), int(c.B))
	p.doc.Rect(x, y, w, h, "F")
}

// lines breaks a text at its spaces to fit a width; a longer word is cut.
func (p *document) lines(s string, f typeface.Face, size, width float64) []string {
	var out []string
	line := ""
	for _, word := range strings.Split(s, " ") {
		try := word
		if line != "" {
			try = line + " " + word
		}
		if p.width(try, f, size) <= width {
			line = try
			continue
		}
		if line != "" {
			out = append(out, line)
		}
		for p.width(word, f, size) > width {
			r := []rune(word)
			n := len(r) - 1
			for n > 1 && p.width(string(r[:n]), f, size) > width {
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
func (p *document) para(s string, x, width float64, f typeface.Face, size float64, c color.NRGBA) {
	for _, l := range p.lines(s, f, size, width) {
		p.need(leading)
		p.y += leading * size / typeSize
		p.text(l, x, p.y-3, f, size, c)
	}
}

// feet sets who made the sheet and the pages' numbers, now that these are
// known.
func (p *document) feet(maker string) {
	const size = 8
	y := p.h - pageMargin/2 - 6
	n := p.doc.PageCount()
	for i := 1; i <= n; i++ {
		p.doc.SetPage(i)
		foot := fmt.Sprintf("page %d of %d", i, n)
		p.text(maker, pageMargin, y, typeface.Regular, size, SoftInk)
		p.text(foot, p.w-pageMargin-p.width(foot, typeface.Regular, size), y, typeface.Regular, size, SoftInk)
	}
}

func (p *document) write(w io.Writer, title string) error {
	p.doc.SetTitle(settable(title), true)
	var b strings.Builder
	if err := p.doc.Output(&b); err != nil {
		return fmt.Errorf("render: %w", err)
	}
	_, err := subsetNames.WriteString(w, b.String())
	return err
}

// paperPen draws onto paper, its origin at (x, y) from the upper left corner.
type paperPen struct {
	p    *document
	x, y float64
	k    float64
}

func (p *paperPen) to(q point) (x, y float64) { return p.x + p.k*q.x, p.y + p.k*q.y }

func (p *paperPen) fill(lo, hi point, c color.NRGBA) {
	x, y := p.to(lo)
	p.p.rect(x, y, p.k*(hi.x-lo.x), p.k*(hi.y-lo.y), c)
}

func (p *paperPen) stroke(pts []point, width, dash float64, c color.NRGBA) {
	if p.p.dry {
		return
	}
	d := p.p.doc
	d.SetDrawColor(int(c.R), int(c.G), int(c.B))
	d.SetLineWidth(p.k * width)
	if dash > 0 {
		d.SetDashPattern([]float64{p.k * dash}, 0)
		defer d.SetDashPattern(nil, 0)
	}
	for i, q := range pts {
		x, y := p.to(q)
		if i == 0 {
			d.MoveTo(x, y)
		} else {
			d.LineTo(x, y)
		}
	}
	d.DrawPath("D")
}

func (p *paperPen) label(s string, at point, size float64, f typeface.Face, al align, c color.NRGBA) {
	x, y := p.to(at)
	size *= p.k
	switch al {
	case alignCenter:
		x -= p.p.width(s, f, size) / 2
	case alignRight:
		x -= p.p.width(s, f, size)
	}
	p.p.text(s, x, y, f, size, c)
}
