package drawing

import (
	"context"
	"strconv"
	"strings"

	"moldtally/boxfit"
	"moldtally/estimate"
	"moldtally/mesh/demold"
	"moldtally/mesh/unit"
	"moldtally/render/figure"
)

// Options say for whom it is drawn.
type Options struct {
	System unit.System // of the measures; US also takes letter paper
}

// Sizes of a page's furniture, mm.
const (
	margin   = 10.0
	headHigh = 15.0
	footHigh = 14.0
	listText = 2.9 // size of text in lists
	listStep = 4.4 // from line to line
)

// New draws what a finished plan takes to cut and to mark: the boards and the sheets that
// they come from, a section, and templates at true scale. The same session gives the same
// drawing.
func New(ctx context.Context, s *estimate.Session, o Options) (*Drawing, error) {
	w := &writer{Units: figure.Units{System: o.System}, s: s, d: &Drawing{Title: s.Plan.Pattern.File, Width: 210, Height: 297}}
	if o.System == unit.US {
		w.d.Width, w.d.Height = 8.5*25.4, 11*25.4
	}
	c, err := newContainer(ctx, s)
	if err != nil {
		return nil, err
	}
	w.c = c
	if len(s.Fit.Boards) > 0 {
		w.boards()
		w.sheets()
	}
	w.section()
	w.fromAbove()
	if s.Fit.Kind == boxfit.Polygon || s.Fit.Kind == boxfit.Sleeve {
		w.template("Template: the container's ends", w.ends())
	}
	if len(s.Fit.Layout) > 0 {
		w.template("Template: where the patterns stand, to lay on the board", w.stands())
	}
	if s.Fit.Mold == demold.TwoPart && c.parting != nil {
		w.template("Template: the parting, to lay on the clay", w.land())
		if len(s.Fit.Keys) > 0 {
			w.keys()
		}
	}
	w.feet("moldtally " + s.Plan.Version)
	return w.d, nil
}

// writer fills pages from top to bottom.
type writer struct {
	figure.Units
	s *estimate.Session
	c *container
	d *Drawing
	y float64 // where the page is filled to
}

// mm words a length for a dimension.
func (w *writer) mm(l float64) string {
	if w.System == unit.US {
		return figure.Inches(l, 16) + figure.NBSP + "in"
	}
	return figure.Trimmed(l, 1)
}

// cut words a side of a board, as the cut list has it: never short.
func (w *writer) cut(l float64) string {
	q := figure.Clear(l)
	if w.System == unit.US {
		return q.US()
	}
	return q.Value
}

// marked words a height to mark, as the sheet has it.
func (w *writer) marked(l float64) string {
	q := figure.Marked(l)
	if w.System == unit.US {
		return q.US()
	}
	return q.Value
}

// long words a length in a sentence.
func (w *writer) long(l float64) string { return w.Inline(figure.Ruled(l)) }

// page begins a page.
func (w *writer) page(title, note string) *Page {
	w.d.Pages = append(w.d.Pages, Page{})
	p := w.now()
	p.Texts = append(p.Texts, Text{At: Point{X: margin, Y: margin + 5}, Words: title, Size: 5, Bold: true})
	p.text(margin, margin+10, 3.2, Left, figure.Join("; ", w.d.Title, note))
	w.y = margin + headHigh
	return p
}

func (w *writer) now() *Page { return &w.d.Pages[len(w.d.Pages)-1] }

// room is what a page has for figures, mm.
func (w *writer) room() (across, down float64) {
	return w.d.Width - 2*margin, w.d.Height - 2*margin - headHigh - footHigh
}

// bottom is how far down a page is filled.
func (w *writer) bottom() float64 { return w.d.Height - margin - footHigh }

// need begins another page like this one where less than high is left.
func (w *writer) need(high float64, title, note string) {
	if w.y+high > w.bottom() {
		w.page(title, note)
	}
}

// put draws a figure at a scale under what is there, with so much room left of and above
// it for its dimensions.
func (w *writer) put(f *Figure, scale, left, above, below float64) {
	lo, hi := f.box()
	p := w.now()
	p.Scale = scale
	at := Point{X: margin + left - scale*lo.X, Y: w.y + above + scale*hi.Y}
	p.add(f.placed(at, scale))
	w.y += above + scale*(hi.Y-lo.Y) + below
}

// say writes words under what is there, in lines as wide as the page.
func (w *writer) say(words, title, note string) {
	across, _ := w.room()
	for _, l := range broken(words, int(across/(listText*0.47))) {
		w.need(listStep, title, note)
		w.y += listStep
		w.now().text(margin, w.y-1, listText, Left, l)
	}
}

// broken parts a text at its spaces into lines of at most so many letters.
func broken(s string, most int) (lines []string) {
	line := ""
	for _, word := range strings.Split(s, " ") {
		if line != "" && len([]rune(line))+1+len([]rune(word)) > most {
			lines, line = append(lines, line), ""
		}
		if line != "" {
			line += " "
		}
		line += word
	}
	return append(lines, line)
}

// reductions are the scales that a drawing may have (ISO 5455, recalled).
var reductions = [...]float64{1, 2, 5, 10, 20, 50, 100, 200, 500, 1000}

// scale is the largest at which across × down go into a room, and how it is told.
func scale(across, down, roomAcross, roomDown float64) (k float64, told string) {
	for _, n := range reductions {
		k = 1 / n
		told = "scale 1 : " + strconv.Itoa(int(n))
		if across*k <= roomAcross && down*k <= roomDown {
			break
		}
	}
	if k == 1 {
		told = "true scale, 1 : 1"
	}
	return k, told
}

// template spreads a figure at true scale over as many pages as it takes; one that would
// take too many is drawn smaller.
func (w *writer) template(title string, f *Figure) {
	across, down := w.room()
	flat := f.lined()
	t := tiled(&flat, across, down)
	side := f.turned()
	if over := side.lined(); t.nx*t.ny > 1 {
		if u := tiled(&over, across, down); u.nx*u.ny < t.nx*t.ny {
			flat, t = over, u
		}
	}
	if t.nx*t.ny > mostTiles {
		lo, hi := f.box()
		k, told := scale(hi.X-lo.X, hi.Y-lo.Y, across-30, down-30)
		w.page(title, told+": too large for true scale on paper")
		w.put(f, k, 15, 15, 0)
		return
	}
	for j := range t.ny {
		for i := range t.nx {
			note := "true scale, 1 : 1"
			if t.nx*t.ny > 1 {
				note += "; part " + t.name(i, j) + " of " + strconv.Itoa(t.nx) + " × " + strconv.Itoa(t.ny) + ": lay the crosses on each other"
			}
			p := w.page(title, note)
			p.Scale = 1
			g := t.tile(&flat, i, j)
			// A page's y runs down as the figure's does already.
			for _, l := range g.Lines {
				for k := range l.Points {
					l.Points[k] = l.Points[k].Add(Point{X: margin, Y: w.y})
				}
			}
			for k := range g.Circles {
				g.Circles[k].Center = g.Circles[k].Center.Add(Point{X: margin, Y: w.y})
			}
			for k := range g.Texts {
				g.Texts[k].At = g.Texts[k].At.Add(Point{X: margin, Y: w.y})
			}
			p.add(g)
		}
	}
}

// feet puts under each page a line of known length to measure, and its number.
func (w *writer) feet(maker string) {
	length, told := 100.0, "100 mm"
	if w.System == unit.US {
		length, told = 4*25.4, "4 in"
	}
	y := w.d.Height - margin
	for i := range w.d.Pages {
		p := &w.d.Pages[i]
		p.line(Faint, Point{X: margin, Y: y - footHigh + 3}, Point{X: w.d.Width - margin, Y: y - footHigh + 3})
		p.line(Outline, Point{X: margin, Y: y - 2}, Point{X: margin + length, Y: y - 2})
		for _, x := range [2]float64{margin, margin + length} {
			p.line(Outline, Point{X: x, Y: y - 4}, Point{X: x, Y: y})
		}
		p.text(margin+length/2, y-4, 2.8, Center, told+": measure it; if it is not, print at 100 %, not fitted to the page")
		p.text(w.d.Width-margin, y-4, 2.8, Right, maker)
		p.text(w.d.Width-margin, y, 2.8, Right, "page "+strconv.Itoa(i+1)+" of "+strconv.Itoa(len(w.d.Pages)))
	}
}
