package drawing

import (
	"bytes"
	"fmt"
	"html"
	"io"
	"strconv"
	"strings"
)

// WriteSVG writes the pages one below the other, in millimetres: the file says how large
// it is, so that it prints at true scale.
func WriteSVG(w io.Writer, d *Drawing) error {
	var b bytes.Buffer
	wide, high := num(d.Width), num(d.Height*float64(len(d.Pages)))
	fmt.Fprintf(&b, `<svg xmlns="http://www.w3.org/2000/svg" width="%smm" height="%smm" viewBox="0 0 %s %s">`+"\n", wide, high, wide, high)
	fmt.Fprintf(&b, "<title>%s</title>\n", html.EscapeString(d.Title))
	b.WriteString("<style>\npath,circle{fill:none;stroke:#000;stroke-linejoin:round}\n")
	for _, p := range [...]Pen{Outline, Thin, Dashed, Faint} {
		fmt.Fprintf(&b, ".p%d{stroke-width:%s", p, num(p.Width()))
		if p.Dash() > 0 {
			fmt.Fprintf(&b, ";stroke-dasharray:%s", num(p.Dash()))
		}
		if p == Faint {
			b.WriteString(";stroke:#888")
		}
		b.WriteString("}\n")
	}
	// A browser prints it at true scale, and page by page, on paper of the drawing's size.
	fmt.Fprintf(&b, "text{font-family:sans-serif}\n.b{font-weight:bold}\n@page{size:%smm %smm;margin:0}\n</style>\n", num(d.Width), num(d.Height))
	fmt.Fprintf(&b, `<rect width="%s" height="%s" fill="#fff"/>`+"\n", wide, high)
	for i := range d.Pages {
		fmt.Fprintf(&b, `<g transform="translate(0 %s)">`+"\n", num(d.Height*float64(i)))
		f := d.Pages[i].Flat()
		f.svg(&b)
		b.WriteString("</g>\n")
	}
	b.WriteString("</svg>\n")
	_, err := w.Write(b.Bytes())
	return err
}

func (f *Figure) svg(b *bytes.Buffer) {
	for _, l := range f.Lines {
		fmt.Fprintf(b, `<path class="p%d" d="`, l.Pen)
		for i, p := range l.Points {
			c := byte('L')
			if i == 0 {
				c = 'M'
			}
			b.WriteByte(c)
			b.WriteString(num(p.X) + " " + num(p.Y))
		}
		if l.Closed {
			b.WriteByte('Z')
		}
		b.WriteString(`"/>` + "\n")
	}
	for _, c := range f.Circles {
		fmt.Fprintf(b, `<circle class="p%d" cx="%s" cy="%s" r="%s"/>`+"\n", c.Pen, num(c.Center.X), num(c.Center.Y), num(c.Radius))
	}
	for _, t := range f.Texts {
		fmt.Fprintf(b, `<text x="%s" y="%s" font-size="%s"`, num(t.At.X), num(t.At.Y), num(t.Size))
		if a := [...]string{"", "middle", "end"}[t.Align]; a != "" {
			fmt.Fprintf(b, ` text-anchor="%s"`, a)
		}
		if t.Bold {
			b.WriteString(` class="b"`)
		}
		if t.Upright {
			fmt.Fprintf(b, ` transform="rotate(-90 %s %s)"`, num(t.At.X), num(t.At.Y))
		}
		fmt.Fprintf(b, ">%s</text>\n", html.EscapeString(t.Words))
	}
}

// num writes a length to a thousandth of a millimetre.
func num(v float64) string {
	s := strconv.FormatFloat(v, 'f', 3, 64)
	s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	if s == "-0" {
		return "0"
	}
	return s
}
