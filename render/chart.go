package render

import (
	"cmp"
	"fmt"
	"html"
	"image/color"
	"math"
	"slices"
	"strconv"
	"strings"

	"moldtally/render/figure"
	"moldtally/render/typeface"
)

// Chart is curves over one axis in panels one below the other, drawn on pages
// and paper, and listed by a few of its points in plain text.
type Chart struct {
	Caption string
	X       Axis
	Panels  []Panel
	Band    *[2]float64 // stretch of the axis that is shaded
	Mark    *float64    // a place on the axis
	BandIs  string      // what the shaded stretch is
	MarkIs  string      // what stands there
	Note    string
}

// Axis is a scale with marks at Low + k·Step.
type Axis struct {
	Title           string
	Low, High, Step float64
}

// Panel is one field of a chart; what goes over Y.High is cut off.
type Panel struct {
	Y      Axis
	Curves []Curve
	Levels []Level
}

// Curve is a line through points of rising x.
type Curve struct {
	Label  string
	Short  string // for the head of a column; "" = the axis' title
	Dashed bool
	Strong bool
	X, Y   []float64
}

// Level is a line across a panel.
type Level struct {
	Y     float64
	Label string
	Tone  Tone
}

// table lists a chart at the marks of its axis, for plain text.
func (c *Chart) table() *Table {
	t := &Table{Caption: c.Caption, Columns: []Column{{Title: c.X.Title, Right: true}}, Note: c.Note}
	for _, p := range c.Panels {
		for _, l := range p.Levels {
			t.Note = figure.Join("; ", t.Note, l.Label)
		}
	}
	if c.Band != nil {
		t.Note = figure.Join("; ", t.Note, "* "+c.BandIs)
	}
	for _, p := range c.Panels {
		for _, k := range p.Curves {
			title := k.Short
			if title == "" {
				title = p.Y.Title
			}
			t.Columns = append(t.Columns, Column{Title: title, Right: true})
		}
	}
	t.Columns = append(t.Columns, Column{})
	at := []float64{}
	if len(c.Panels) > 0 && len(c.Panels[0].Curves) > 0 {
		if x := c.Panels[0].Curves[0].X; len(x) > 0 && math.Mod(x[0], c.X.Step) != 0 {
			at = append(at, x[0])
		}
	}
	for x := c.X.Low; x <= c.X.High+1e-9; x += c.X.Step {
		if len(at) == 0 || x > at[0] {
			at = append(at, x)
		}
	}
	for _, x := range at {
		row := []string{figure.Trimmed(x, 0)}
		any := false
		for _, p := range c.Panels {
			_, unit, _ := strings.Cut(p.Y.Title, ", ")
			write := func(y float64) string { return figure.Stepped(y, figure.Significant(y, 2)) }
			if unit == "%" {
				write = func(y float64) string { return figure.Fixed(y, 0) }
			}
			for _, k := range p.Curves {
				y, ok := k.at(x)
				if !ok {
					row = append(row, "-")
					continue
				}
				any = true
				row = append(row, figure.Tie(write(y), unit))
			}
		}
		if !any {
			continue
		}
		in := ""
		if c.Band != nil && x >= c.Band[0]-1e-9 && x <= c.Band[1]+1e-9 {
			in = "*"
		}
		t.Rows = append(t.Rows, append(row, in))
	}
	return t
}

// at reads a curve; false outside of it.
func (k *Curve) at(x float64) (float64, bool) {
	for i := 1; i < len(k.X); i++ {
		if x >= k.X[i-1]-1e-9 && x <= k.X[i]+1e-9 {
			return k.Y[i-1] + (k.Y[i]-k.Y[i-1])*(x-k.X[i-1])/(k.X[i]-k.X[i-1]), true
		}
	}
	return 0, false
}

type point struct{ x, y float64 }

// align places text against a point.
type align int

const (
	alignLeft align = iota
	alignCenter
	alignRight
)

// pen draws a chart: points, y down. Widths and sizes are in the same unit.
type pen interface {
	fill(lo, hi point, c color.NRGBA)
	stroke(pts []point, width, dash float64, c color.NRGBA)
	label(s string, p point, size float64, w typeface.Face, al align, c color.NRGBA)
}

// Measures of a chart, in points at a width of chartWide.
const (
	chartWide  = 503.0
	chartLeft  = 44.0
	chartRight = 96.0 // room for the curves' names
	chartHead  = 20.0
	chartGap   = 24.0
	panelFirst = 150.0
	panelMore  = 84.0
	chartFoot  = 30.0
	chartType  = 8.5
)

// bandInk is the ground of the range that would do.
var bandInk = color.NRGBA{0xE3, 0xEF, 0xE6, 255}

// height of the chart when it is drawn.
func (c *Chart) height() float64 {
	h := chartHead + chartFoot + panelFirst
	for range len(c.Panels) - 1 {
		h += chartGap + panelMore
	}
	return h
}

// draw draws the chart with its upper left corner at the origin.
func (c *Chart) draw(p pen) {
	left, right := chartLeft, chartWide-chartRight
	x := func(v float64) float64 { return left + (right-left)*(v-c.X.Low)/(c.X.High-c.X.Low) }
	const top = chartHead
	bottom := c.height() - chartFoot
	if c.Band != nil {
		p.fill(point{x(c.Band[0]), top}, point{max(x(c.Band[1]), x(c.Band[0])+1), bottom}, bandInk)
		p.label(c.BandIs, point{x(c.Band[0]), top - 5}, chartType, typeface.Medium, alignLeft, GoodInk)
	}
	at := top
	for i := range c.Panels {
		h := panelFirst
		if i > 0 {
			h = panelMore
		}
		c.panel(p, &c.Panels[i], x, at, at+h)
		at += h + chartGap
	}
	for v := c.X.Low; v <= c.X.High+1e-9; v += c.X.Step {
		p.stroke([]point{{x(v), bottom}, {x(v), bottom + 3}}, 0.6, 0, SoftInk)
		p.label(figure.Trimmed(v, 0), point{x(v), bottom + 12}, chartType, typeface.Regular, alignCenter, SoftInk)
	}
	p.label(c.X.Title, point{right + 8, bottom + 12}, chartType, typeface.Regular, alignLeft, SoftInk)
	if c.Mark != nil {
		m := x(*c.Mark)
		p.stroke([]point{{m, top}, {m, bottom}}, 1.2, 0, Ink)
		al := alignCenter
		if m < left+60 {
			al = alignLeft
			m -= 4
		}
		p.label(c.MarkIs, point{m, bottom + 25}, chartType, typeface.Medium, al, Ink)
	}
}

// panel draws one field between two heights.
func (c *Chart) panel(p pen, f *Panel, x func(float64) float64, top, bottom float64) {
	left, right := chartLeft, chartWide-chartRight
	y := func(v float64) float64 { return bottom - (bottom-top)*(v-f.Y.Low)/(f.Y.High-f.Y.Low) }
	for v := f.Y.Low; v <= f.Y.High*(1+1e-9); v += f.Y.Step {
		p.stroke([]point{{left, y(v)}, {right, y(v)}}, 0.5, 0, hairline)
		p.label(figure.Trimmed(v, 1), point{left - 5, y(v) + 3}, chartType, typeface.Regular, alignRight, SoftInk)
	}
	p.label(f.Y.Title, point{0, top - 8}, chartType, typeface.Medium, alignLeft, SoftInk)
	p.stroke([]point{{left, top}, {left, bottom}, {right, bottom}}, 0.8, 0, SoftInk)
	type name struct {
		text string
		at   float64
		w    typeface.Face
		col  color.NRGBA
	}
	var names []name
	for _, k := range f.Curves {
		width, dash, col, wt := 1.0, 0.0, SoftInk, typeface.Regular
		if k.Strong {
			width, col, wt = 2, Ink, typeface.Medium
		}
		if k.Dashed {
			dash = 4
		}
		pts := k.under(f.Y.High)
		if len(pts) < 2 {
			continue
		}
		for i, q := range pts {
			pts[i] = point{x(q.x), y(q.y)}
		}
		p.stroke(pts, width, dash, col)
		if k.Label != "" {
			names = append(names, name{k.Label, pts[len(pts)-1].y, wt, col})
		}
	}
	// Names stand where their curves end, from the lowest up, none on another.
	slices.SortStableFunc(names, func(a, b name) int { return cmp.Compare(b.at, a.at) })
	floor := bottom - 3
	for _, n := range names {
		at := min(n.at, floor)
		floor = at - chartType - 2
		p.label(n.text, point{right + 8, at + 3}, chartType, n.w, alignLeft, n.col)
	}
	for _, l := range f.Levels {
		col := toneColor(l.Tone, Ink)
		at, s := y(min(l.Y, f.Y.High)), l.Label
		if l.Y > f.Y.High {
			s += ", off this scale"
		}
		p.stroke([]point{{left, at}, {right, at}}, 1.2, 0, col)
		up := at - 4
		if up-chartType < top {
			up = at + chartType + 2
		}
		p.label(s, point{right - 4, up}, chartType, typeface.Medium, alignRight, col)
	}
}

// under is the curve up to where it leaves the panel at the top, or from where
// it comes in.
func (k *Curve) under(top float64) []point {
	var out []point
	for i := range k.X {
		in := k.Y[i] <= top
		if i > 0 && in != (k.Y[i-1] <= top) {
			t := (top - k.Y[i-1]) / (k.Y[i] - k.Y[i-1])
			out = append(out, point{k.X[i-1] + t*(k.X[i]-k.X[i-1]), top})
		}
		if in {
			out = append(out, point{k.X[i], k.Y[i]})
		}
	}
	return out
}

// svgPen draws into a page.
type svgPen struct{ b strings.Builder }

func hexInk(c color.NRGBA) string { return fmt.Sprintf("#%02x%02x%02x", c.R, c.G, c.B) }

func (p *svgPen) fill(lo, hi point, c color.NRGBA) {
	fmt.Fprintf(&p.b, "<rect x=\"%s\" y=\"%s\" width=\"%s\" height=\"%s\" fill=\"%s\"></rect>\n", num(lo.x), num(lo.y), num(hi.x-lo.x), num(hi.y-lo.y), hexInk(c))
}

func (p *svgPen) stroke(pts []point, width, dash float64, c color.NRGBA) {
	p.b.WriteString("<polyline points=\"")
	for i, q := range pts {
		if i > 0 {
			p.b.WriteByte(' ')
		}
		p.b.WriteString(num(q.x) + "," + num(q.y))
	}
	fmt.Fprintf(&p.b, "\" fill=\"none\" stroke=\"%s\" stroke-width=\"%s\"", hexInk(c), num(width))
	if dash > 0 {
		fmt.Fprintf(&p.b, " stroke-dasharray=\"%s\"", num(dash))
	}
	p.b.WriteString("></polyline>\n")
}

func (p *svgPen) label(s string, at point, size float64, w typeface.Face, al align, c color.NRGBA) {
	anchor := [...]string{"start", "middle", "end"}[al]
	bold := ""
	if w != typeface.Regular {
		bold = " font-weight=\"600\""
	}
	fmt.Fprintf(&p.b, "<text x=\"%s\" y=\"%s\" font-size=\"%s\" text-anchor=\"%s\"%s fill=\"%s\">%s</text>\n", num(at.x), num(at.y), num(size), anchor, bold, hexInk(c), html.EscapeString(s))
}

// svg is the chart as it stands in a page.
func (c *Chart) svg() string {
	p := &svgPen{}
	fmt.Fprintf(&p.b, "<svg viewBox=\"0 0 %s %s\" role=\"img\" aria-label=\"%s\">\n", num(chartWide), num(c.height()), html.EscapeString(c.spoken()))
	c.draw(p)
	p.b.WriteString("</svg>\n")
	return p.b.String()
}

// spoken says what the chart shows, for readers that do not see it.
func (c *Chart) spoken() string {
	var out []string
	for _, s := range []string{c.Caption, c.BandIs, c.MarkIs, c.Note} {
		if s != "" {
			out = append(out, s)
		}
	}
	for _, p := range c.Panels {
		for _, l := range p.Levels {
			out = append(out, l.Label)
		}
	}
	return strings.Join(out, "; ")
}

// num writes a length with at most two decimals.
func num(v float64) string {
	s := strconv.FormatFloat(v, 'f', 2, 64)
	return strings.TrimSuffix(strings.TrimRight(s, "0"), ".")
}
