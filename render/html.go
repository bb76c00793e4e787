package render

import (
	"bytes"
	"encoding/base64"
	"fmt"
	"html"
	"io"
	"regexp"
	"strconv"
	"strings"

	"moldtally/mesh/finding"
	"moldtally/render/figure"
)

// HTMLOptions says how to set a sheet as a page.
type HTMLOptions struct {
	Picture []byte // a PNG to stand under the verdict; nil = none
	Paper   string // that it is printed on: "a4" (or "") or "letter"
	// PictureLast puts the picture, and who made the page, at the end.
	PictureLast bool
}

// sealed keeps a page from asking anybody for anything, and from running scripts: all
// that it shows is in it.
const sealed = "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; style-src 'unsafe-inline'; img-src data:; font-src data:\">\n"

// WriteHTML sets a sheet as one page that needs nothing else: no script, no
// font, no other file; it prints on white. The picture is inside it.
func WriteHTML(w io.Writer, s *Sheet, o HTMLOptions) error {
	p := &page{}
	p.printf("<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n"+sealed+
		"<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n<title>%s</title>\n<style>\n%s@page { size: %s; margin: 16mm; }\n</style>\n</head>\n<body>\n",
		esc(s.Title), pageStyle, printedOn(o.Paper))
	p.printf("<header>\n")
	if s.Answer.Text != "" {
		p.printf("<p class=\"answer %s\">%s</p>\n", toneClass(s.Answer.Tone), esc(s.Answer.Text))
	}
	p.letter(s.Letter)
	p.printf("<h1>%s</h1>\n", esc(s.Title))
	if !o.PictureLast {
		p.printf("<p class=\"maker\">%s</p>\n", esc(s.Maker))
	}
	if s.Verdict.Text != "" {
		p.printf("<p class=\"verdict %s\">%s</p>\n", toneClass(s.Verdict.Tone), esc(s.Verdict.Text))
		p.list(s.Because, true)
	}
	p.printf("</header>\n")
	show := func() {
		if len(o.Picture) == 0 {
			return
		}
		p.printf("<figure><img alt=\"%s\" src=\"data:image/png;base64,%s\"></figure>\n",
			esc("The pattern in its container, from four sides, colored by how far rubber must bend"), base64.StdEncoding.EncodeToString(o.Picture))
	}
	if !o.PictureLast {
		show()
	}
	for i := range s.Sections {
		p.section(&s.Sections[i])
	}
	if o.PictureLast {
		show()
		p.printf("<footer><p class=\"maker\">%s</p></footer>\n", esc(s.Maker))
	}
	p.printf("</body>\n</html>\n")
	_, err := w.Write(p.Bytes())
	return err
}

// printedOn is a paper as a page's style names it.
func printedOn(paper string) string {
	if paper == "letter" {
		return paper
	}
	return "A4"
}

type page struct{ bytes.Buffer }

func (p *page) printf(format string, a ...any) { fmt.Fprintf(p, format, a...) }

func esc(s string) string { return html.EscapeString(s) }

// flags are the names of flags, which no line parts.
var flags = regexp.MustCompile(`--[a-z]+(-[a-z]+)+`)

// prose is text as it stands in a page.
func prose(s string) string { return flags.ReplaceAllString(esc(s), `<span class="flag">$0</span>`) }

func toneClass(t Tone) string {
	return [...]string{"plain", "good", "care", "bad", "quiet"}[min(max(int(t), 0), 4)]
}

func (p *page) list(items []string, sentences bool) {
	if len(items) == 0 {
		return
	}
	p.printf("<ul>\n")
	for _, l := range items {
		if sentences {
			l = figure.Sentence(l)
		}
		p.printf("<li>%s</li>\n", prose(l))
	}
	p.printf("</ul>\n")
}

func (p *page) section(s *Section) {
	p.printf("<section id=\"%s\" class=\"%s\">\n<h2>%s", esc(s.Key), toneClass(s.Tone), esc(s.Title))
	if n := len(s.Notices); n > 1 && s.Before == 0 {
		p.printf(" (%d)", n)
	}
	p.printf("</h2>\n")
	if len(s.Notices) > 0 {
		start := ""
		if s.Before > 0 {
			start = " start=\"" + strconv.Itoa(s.Before+1) + "\""
		}
		p.printf("<ol%s>\n", start)
		for _, x := range s.Notices {
			p.notice(&x)
		}
		p.printf("</ol>\n")
	}
	if len(s.Rows) > 0 {
		p.printf("<table class=\"rows\">\n")
		for _, r := range s.Rows {
			p.row(r)
		}
		p.printf("</table>\n")
	}
	if c := s.Chart; c != nil {
		p.printf("<figure class=\"chart\"><figcaption>%s</figcaption>\n%s", esc(c.Caption), c.svg())
		if c.Note != "" {
			p.printf("<p class=\"note\">%s</p>\n", esc(figure.Sentence(c.Note)))
		}
		p.printf("</figure>\n")
	}
	for i := range s.Tables {
		p.table(&s.Tables[i])
	}
	p.list(s.List, false)
	p.printf("</section>\n")
}

// row sets label, figure, the other system's figure and remark side by side; what is
// there has the room of what is not.
func (p *page) row(r Row) {
	span := ""
	switch {
	case r.Other == "" && r.Note == "":
		span = " colspan=\"3\""
	case r.Other == "":
		span = " colspan=\"2\""
	}
	p.printf("<tr class=\"%s\"><th scope=\"row\">%s</th><td%s>%s</td>", toneClass(r.Tone), esc(strings.TrimSpace(r.Label)), span, esc(figure.Tie(r.Value, r.Unit)))
	if r.Other != "" {
		p.printf("<td>%s</td>", esc(r.Other))
	}
	if r.Other != "" || r.Note != "" {
		p.printf("<td class=\"note\">%s</td>", esc(r.Note))
	}
	p.printf("</tr>\n")
}

func (p *page) notice(x *Notice) {
	tone := Quiet
	switch x.Severity {
	case finding.Stop:
		tone = Bad
	case finding.Caution:
		tone = Care
	}
	p.printf("<li class=\"%s\"><strong>%s</strong>", toneClass(tone), esc(x.Summary))
	for _, part := range [...][2]string{{"Effect", x.Effect}, {"Do", x.Hint}, {"Where", x.Place}} {
		if part[1] != "" {
			p.printf("<br><span class=\"part\">%s</span> %s", part[0], prose(part[1]))
		}
	}
	p.printf("</li>\n")
}

func (p *page) table(t *Table) {
	p.printf("<table class=\"list\">\n")
	if t.Caption != "" {
		p.printf("<caption>%s</caption>\n", esc(t.Caption))
	}
	cell := func(tag string, c int, s string) {
		class := ""
		if t.Columns[c].Right {
			class = " class=\"right\""
		}
		p.printf("<%s%s>%s</%s>", tag, class, esc(s), tag)
	}
	row := func(tag string, cells []string) {
		p.printf("<tr>")
		for c := range t.Columns {
			s := ""
			if c < len(cells) {
				s = cells[c]
			}
			cell(tag, c, s)
		}
		p.printf("</tr>\n")
	}
	titles := make([]string, len(t.Columns))
	for c, col := range t.Columns {
		titles[c] = col.Title
	}
	if strings.Join(titles, "") != "" {
		p.printf("<thead>\n")
		row("th", titles)
		p.printf("</thead>\n")
	}
	p.printf("<tbody>\n")
	for _, r := range t.Rows {
		row("td", r)
	}
	p.printf("</tbody>\n")
	if t.Foot != nil {
		p.printf("<tfoot>\n")
		row("td", t.Foot)
		p.printf("</tfoot>\n")
	}
	p.printf("</table>\n")
	if t.Note != "" {
		p.printf("<p class=\"note\">%s</p>\n", esc(t.Note))
	}
}

// pageStyle uses the picture's inks and the reader's own fonts.
var pageStyle = func() string {
	ink := func(c interface{ RGBA() (r, g, b, a uint32) }) string {
		r, g, b, _ := c.RGBA()
		return "#" + strconv.FormatUint(uint64(1<<24|r>>8<<16|g>>8<<8|b>>8), 16)[1:]
	}
	return strings.NewReplacer(
		"INK", ink(Ink), "SOFT", ink(SoftInk), "PAPER", ink(Paper), "LINE", ink(hairline),
		"GOOD", ink(GoodInk), "CARE", ink(CareInk), "BAD", ink(BadInk)).Replace(`
body { font: 16px/1.45 system-ui, sans-serif; color: INK; background: PAPER; max-width: 62rem; margin: 2rem auto; padding: 0 1.5rem; }
h1 { font-size: 2rem; margin: 0; overflow-wrap: anywhere; }
h2 { font-size: 1.15rem; margin: 2rem 0 .4rem; border-bottom: 1px solid LINE; padding-bottom: .2rem; }
header { border-bottom: 2px solid INK; padding-bottom: .8rem; }
.maker, .note, .part, caption { color: SOFT; } .flag { white-space: nowrap; }
.maker { margin: .1rem 0 .8rem; }
.answer { margin: 0 0 .4rem; font-weight: 700; } .answer.good { color: GOOD; } .answer.care { color: CARE; } .answer.bad { color: BAD; }
.verdict { display: inline-block; margin: 0; padding: .25rem 1rem; border-radius: 1.2rem; font-weight: 700; font-size: 1.2rem; color: #fff; background: SOFT; }
.verdict.good { background: GOOD; } .verdict.care { background: CARE; } .verdict.bad { background: BAD; }
section.bad h2, li.bad strong, tr.bad td { color: BAD; }
section.care h2, li.care strong, tr.care td { color: CARE; }
tr.good td:nth-child(2) { color: GOOD; }
ol, ul { padding-left: 1.4rem; } li { margin: .35rem 0; }
figure { margin: 1.2rem 0; } img { width: 100%; height: auto; border: 1px solid LINE; }
figure.chart { max-width: 44rem; break-inside: avoid; } figcaption { font-weight: 600; } svg { width: 100%; height: auto; overflow: visible; font-family: inherit; }
table { border-collapse: collapse; margin: .5rem 0; }
th, td { text-align: left; vertical-align: top; padding: .15rem 1.1rem .15rem 0; font-weight: 400; }
table.rows { width: 100%; } table.rows th { width: 24%; color: SOFT; } table.rows td { width: 20%; font-weight: 600; } table.rows td.note { width: 34%; font-weight: 400; color: SOFT; }
table.list th { color: SOFT; } table.list tr { border-bottom: 1px solid LINE; } caption { text-align: left; font-weight: 600; padding: .4rem 0; }
.right { text-align: right !important; font-variant-numeric: tabular-nums; }
tfoot td { font-weight: 700; border-top: 2px solid INK; }
.letter { margin-bottom: 2rem; } .from { font-style: normal; color: SOFT; border-bottom: 1px solid LINE; padding-bottom: .4rem; } .from strong { color: INK; font-size: 1.2rem; }
.to { display: flex; flex-wrap: wrap; gap: 1rem 3rem; justify-content: space-between; margin-top: 1rem; } .to p, .to dl { margin: 0; } .to dt, .to dd { display: inline; margin: 0; } .to dt { color: SOFT; }
@media (max-width: 34rem) { body { padding: 0 .8rem; margin: 1rem auto; } th, td { padding-right: .5rem; font-size: .92rem; } table.rows td { width: auto; } .right { white-space: nowrap; } }
@media print { body { background: #fff; font-size: 9pt; line-height: 1.3; margin: 0; padding: 0; max-width: none; } section, tr, li, figure { break-inside: avoid; } h1 { font-size: 16pt; } h2 { font-size: 11pt; margin: .8rem 0 .2rem; } li { margin: .1rem 0; } th, td { padding-top: 0; padding-bottom: 0; } footer { display: none; } .letter { margin-bottom: 1rem; } .verdict { font-size: 12pt; } }
`)
}()
