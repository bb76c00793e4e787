package render

import (
	"strings"

	"moldtally/estimate"
	"moldtally/render/figure"
	"moldtally/render/typeface"
)

// letterOf words what stands over a quote; nil where nothing was said.
func letterOf(l *estimate.Letter) *Letter {
	if l == nil {
		return nil
	}
	out := &Letter{To: l.Client}
	if f := l.From; f != nil {
		out.From = f.Name
		out.Lines = append(out.Lines, f.Address...)
		for _, x := range []string{f.Phone, f.Mail} {
			if x != "" {
				out.Lines = append(out.Lines, x)
			}
		}
		if f.TaxNumber != "" {
			out.Lines = append(out.Lines, "Tax number "+f.TaxNumber)
		}
	}
	for _, x := range []struct {
		label string
		value *string
	}{{"Quote number", l.Number}, {"Date", l.Date}} {
		if x.value != nil {
			out.Facts = append(out.Facts, Row{Label: x.label, Value: *x.value})
		}
	}
	if out.From == "" && len(out.Lines)+len(out.To)+len(out.Facts) == 0 {
		return nil
	}
	return out
}

// letter sets the head of a letter in text: who sends it, then to whom.
func (t *text) letter(l *Letter) {
	if l == nil {
		return
	}
	if l.From != "" {
		t.line(t.paint(l.From, bold))
	}
	for _, s := range wrap(strings.Join(l.Lines, " · "), t.width) {
		if s != "" {
			t.line(s)
		}
	}
	if l.From != "" || len(l.Lines) > 0 {
		t.line("")
	}
	for _, s := range l.To {
		t.line(s)
	}
	if len(l.To) > 0 {
		t.line("")
	}
	for _, r := range l.Facts {
		t.line(pad(r.Label, labelWidth+4) + r.Value)
	}
	if len(l.Facts) > 0 {
		t.line("")
	}
}

// letter sets the head of a letter on paper: who sends it across the page, to whom at
// the left, and number and date at the right.
func (p *document) letter(l *Letter) {
	if l == nil {
		return
	}
	full := p.w - 2*pageMargin
	if l.From != "" {
		p.para(l.From, pageMargin, full, typeface.Bold, 13, Ink)
	}
	if len(l.Lines) > 0 {
		p.para(strings.Join(l.Lines, "  ·  "), pageMargin, full, typeface.Regular, 8.5, SoftInk)
	}
	if p.y > pageMargin {
		p.y += 4
		p.rect(pageMargin, p.y, full, 0.7, hairline)
		p.y += 14
	}
	top := p.y
	for _, s := range l.To {
		p.para(s, pageMargin, 0.55*full, typeface.Regular, 10, Ink)
	}
	end := p.y
	p.y = top
	for _, r := range l.Facts {
		p.y += leading
		p.text(r.Label, pageMargin+0.66*full, p.y-3, typeface.Regular, typeSize, SoftInk)
		p.text(r.Value, p.w-pageMargin-p.width(r.Value, typeface.Medium, typeSize), p.y-3, typeface.Medium, typeSize, Ink)
	}
	p.y = max(p.y, end)
	if p.y > top {
		p.y += 16
	}
}

// letter sets the head of a letter as a page has it.
func (p *page) letter(l *Letter) {
	if l == nil {
		return
	}
	p.printf("<div class=\"letter\">\n")
	if l.From != "" || len(l.Lines) > 0 {
		p.printf("<address class=\"from\"><strong>%s</strong><br>%s</address>\n", esc(l.From), esc(strings.Join(l.Lines, " · ")))
	}
	p.printf("<div class=\"to\"><p>")
	for i, s := range l.To {
		if i > 0 {
			p.printf("<br>")
		}
		p.printf("%s", esc(s))
	}
	p.printf("</p><dl>")
	for _, r := range l.Facts {
		p.printf("<div><dt>%s</dt> <dd>%s</dd></div>", esc(r.Label), esc(figure.Tie(r.Value, r.Unit)))
	}
	p.printf("</dl></div>\n</div>\n")
}
