package live

import (
	"moldtally/estimate"
	"moldtally/mesh/finding"
	"moldtally/mesh/unit"
	"moldtally/render"
	"moldtally/render/figure"
)

// Results is what the page shows of a plan, as the browser takes it: parts of the page
// in HTML, and what the view draws beside the model.
type Results struct {
	File    string       `json:"file"`
	Answer  string       `json:"answer"`
	Ways    string       `json:"ways"`
	Papers  string       `json:"papers"`
	Command string       `json:"command"`
	Sheet   string       `json:"sheet"`
	Places  []Place      `json:"places"`
	View    *render.View `json:"view"`
	Size    [3]float64   `json:"size_mm"`
	US      bool         `json:"us"`      // no metric figures
	Wall    float64      `json:"wall_mm"` // of rubber at the sides, or of a coat; 0 = there is none
	Coated  bool         `json:"coated"`
}

// Place is a finding with a number in the view.
type Place struct {
	Number   int        `json:"number"`
	Severity string     `json:"severity"`
	At       [3]float64 `json:"at_mm"` // in the file's own axes
	Summary  string     `json:"summary"`
	Effect   string     `json:"effect"`
	Hint     string     `json:"hint"`
}

// Paper is a file that a plan gives.
type Paper struct{ Name, Title string }

// Given is what the results are made of beside the plan.
type Given struct {
	View    *render.View // nil = nobody looked
	Options render.SheetOptions
	Command string // the command line that gives the same plan
	Papers  []Paper
	Folder  string // where the papers are asked for, relative to the page
	Groups  []Group
}

// NewResults words a plan for the page.
func NewResults(p *estimate.Plan, g Given) *Results {
	s := render.NewScreen(p, g.View, g.Options)
	sheet := render.NewSheet(p, g.Options)
	r := &Results{File: s.Title, View: g.View, Places: []Place{}, US: g.Options.System == unit.US}
	if p.Pattern != nil {
		r.Size = p.Pattern.Size
	}
	if c := p.Container; c != nil && c.Fits() {
		r.Wall, r.Coated = c.Wall, c.Mold.Coated()
	}
	var a page
	a.answer(p, s, g, r)
	r.Answer = Asked(g.Groups, a.String())
	var ways page
	ways.ways(p, g)
	r.Ways = Asked(g.Groups, ways.String())
	var papers page
	papers.papers(g)
	r.Papers = papers.String()
	var command page
	command.command(g.Command)
	r.Command = command.String()
	var rest page
	rest.print("<details><summary>The whole sheet</summary>\n")
	// A buffer takes all that is written to it.
	_ = render.WriteSections(&rest, sheet, "methods")
	rest.print("</details>\n")
	r.Sheet = Asked(g.Groups, rest.String())
	return r
}

// answer is the first screen: the answer, what stands in the way with its number in the
// view, the weights, and what is built.
func (p *page) answer(plan *estimate.Plan, s *render.Screen, g Given, r *Results) {
	p.printf("<h2>%s</h2>\n", esc(s.Title))
	if size := render.SizeLine(plan, g.Options); size != "" {
		p.printf("<p class=\"size\">%s</p>\n", esc(size))
	}
	if s.Answer.Text != "" {
		p.printf("<p class=\"says %s\">%s</p>\n", s.Answer.Tone.Class(), esc(render.PageText(s.Answer.Text, "below")))
	}
	for _, e := range s.Effects {
		p.printf("<p>%s</p>\n", esc(e))
	}
	if s.Verdict.Text != "" {
		p.printf("<p class=\"comes %s\">%s</p>\n", s.Verdict.Tone.Class(), esc(s.Verdict.Text))
	}
	if s.How != "" {
		p.printf("<p>%s</p>\n", esc(s.How))
	}
	p.pours(s)
	p.findings(s, g, r)
	p.print("<dl class=\"build\">\n")
	for _, row := range append(append([]render.Row{}, s.Build...), s.Work...) {
		if row.Label != "More" {
			p.printf("<dt>%s</dt><dd>%s</dd>\n", esc(row.Label), esc(render.PageText(row.Value, "on the sheet")))
		}
	}
	p.print("</dl>\n")
}

// pours are the weights in large numerals, and the cups to tick off.
func (p *page) pours(s *render.Screen) {
	for i := range s.Pours {
		x := &s.Pours[i]
		p.printf("<section class=\"pour\">\n<h3>%s</h3>\n", esc(x.Name))
		_ = render.WriteWeights(p, x) // a buffer takes all that is written to it
		p.print("</section>\n")
	}
}

// findings are the stops and cautions of the first screen, each with its number.
func (p *page) findings(s *render.Screen, g Given, r *Results) {
	if len(s.Findings) == 0 {
		return
	}
	p.print("<ol class=\"open\">\n")
	for i, n := range s.Findings {
		tone := render.Care
		if n.Severity == finding.Stop {
			tone = render.Bad
		}
		p.printf("<li class=\"%s\"><strong>%s</strong> %s <em>%s</em>", tone.Class(), esc(n.Summary), esc(n.Effect), esc(render.PageText(n.Hint, "below")))
		if n.At != nil {
			r.Places = append(r.Places, Place{i + 1, n.Severity.String(), *n.At, n.Summary, n.Effect, Asked(g.Groups, n.Hint)})
			p.printf(" <button type=\"button\" class=\"quiet\" data-place=\"%d\">Show where</button>", i+1)
		}
		p.print("</li>\n")
	}
	p.print("</ol>\n")
	if s.Rest != "" {
		p.printf("<p class=\"soft\">%s</p>\n", esc(render.PageText(figure.Sentence(s.Rest), "on the sheet")))
	}
}

// ways are the methods side by side; choosing one asks for that kind of mold.
func (p *page) ways(plan *estimate.Plan, g Given) {
	cards := render.MethodCards(plan, g.Options)
	if len(cards) == 0 {
		return
	}
	p.print("<h2>Ways to mold it</h2>\n<div class=\"cards\" role=\"group\" aria-label=\"Ways to mold it\">\n")
	for _, c := range cards {
		class, pressed := "works", "false"
		if c.Fails != "" {
			class = "fails"
		}
		if c.Chosen {
			class, pressed = class+" chosen", "true"
		}
		p.printf("<button type=\"button\" class=\"%s\" data-mold=\"%s\" aria-pressed=\"%s\"><strong>%s</strong>", class, esc(string(c.Mold)), pressed, esc(c.Name))
		for _, row := range [][2]string{{"rubber", c.Rubber}, {"work", c.Hours + " h"}, {"days", c.Days}, {"cost", c.Cost}, {"risk to the pattern", c.Risk}} {
			if row[1] != "" {
				p.printf("<span class=\"row\"><i>%s</i> <b>%s</b></span>", esc(row[0]), esc(row[1]))
			}
		}
		if c.Fails != "" {
			p.printf("<span class=\"why\">Does not work: %s</span>", esc(c.Fails))
		}
		p.print("</button>\n")
	}
	p.print("</div>\n")
}

func (p *page) papers(g Given) {
	if len(g.Papers) == 0 {
		return
	}
	p.print("<h2>Papers and files</h2>\n<ul class=\"papers\">\n")
	for _, x := range g.Papers {
		p.printf("<li><a href=\"%s%s\" download>%s</a></li>\n", esc(g.Folder), esc(x.Name), esc(x.Title))
	}
	p.print("</ul>\n")
}

func (p *page) command(line string) {
	p.printf("<h2>The same on the command line</h2>\n<p><code id=\"line\">%s</code> <button type=\"button\" class=\"quiet\" id=\"copy\">Copy</button></p>\n", esc(line))
}
