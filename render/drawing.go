package render

import (
	"io"

	"codeberg.org/go-pdf/fpdf"

	"moldtally/render/drawing"
	"moldtally/render/typeface"
)

// ptPerMM is how many points a millimetre is: 72 to the inch.
const ptPerMM = 72 / 25.4

// WriteDrawingPDF sets a drawing on pages of its own size, so that it prints at true
// scale. Like [WritePDF] it bears no date.
func WriteDrawingPDF(w io.Writer, d *drawing.Drawing) error {
	p, err := newDocument(fpdf.SizeType{Wd: d.Width * ptPerMM, Ht: d.Height * ptPerMM}, nil)
	if err != nil {
		return err
	}
	for i := range d.Pages {
		p.doc.AddPage()
		f := d.Pages[i].Flat()
		p.figure(&f)
	}
	return p.write(w, d.Title)
}

// figure draws a page's lines and words.
func (p *document) figure(f *drawing.Figure) {
	pen := func(k drawing.Pen) {
		c := Ink
		if k == drawing.Faint {
			c = FaintInk
		}
		p.doc.SetDrawColor(int(c.R), int(c.G), int(c.B))
		p.doc.SetLineWidth(k.Width() * ptPerMM)
		var dash []float64
		if k.Dash() > 0 {
			dash = []float64{k.Dash() * ptPerMM}
		}
		p.doc.SetDashPattern(dash, 0)
	}
	for _, l := range f.Lines {
		pen(l.Pen)
		for i, q := range l.Points {
			if i == 0 {
				p.doc.MoveTo(q.X*ptPerMM, q.Y*ptPerMM)
			} else {
				p.doc.LineTo(q.X*ptPerMM, q.Y*ptPerMM)
			}
		}
		if l.Closed {
			p.doc.ClosePath()
		}
		p.doc.DrawPath("D")
	}
	for _, c := range f.Circles {
		pen(c.Pen)
		p.doc.Circle(c.Center.X*ptPerMM, c.Center.Y*ptPerMM, c.Radius*ptPerMM, "D")
	}
	p.doc.SetDashPattern(nil, 0)
	for _, t := range f.Texts {
		p.words(&t)
	}
}

// words sets a text of a drawing.
func (p *document) words(t *drawing.Text) {
	face := typeface.Regular
	if t.Bold {
		face = typeface.Bold
	}
	x, y, size := t.At.X*ptPerMM, t.At.Y*ptPerMM, t.Size*ptPerMM
	if t.Upright {
		p.doc.TransformBegin()
		p.doc.TransformRotate(90, x, y)
		defer p.doc.TransformEnd()
	}
	switch t.Align {
	case drawing.Center:
		x -= p.width(t.Words, face, size) / 2
	case drawing.Right:
		x -= p.width(t.Words, face, size)
	}
	p.text(t.Words, x, y, face, size, Ink)
}
