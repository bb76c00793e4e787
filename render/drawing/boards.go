package drawing

import (
	"math"
	"strconv"

	"moldtally/boxfit"
	"moldtally/mesh/finding"
	"moldtally/mesh/unit"
	"moldtally/render/figure"
	"moldtally/render/words"
)

// boardRoom is how wide and how high a board may be on paper, mm: judgement of this
// program.
const (
	boardWide = 150.0
	boardHigh = 80.0
)

// letter is what a board of the cut list is called in drawings.
func letter(i int) string { return string(rune('a' + i%26)) }

// part is a board in words.
func (w *writer) part(p boxfit.Part) string { return words.Say(finding.Remark{Facts: p}, w.System) }

// boards draws the cut list: each board with its measures and what to mark on it.
func (w *writer) boards() {
	f := w.s.Fit
	long, high := 0.0, 0.0
	for _, b := range f.Boards {
		long, high = max(long, b.Length), max(high, b.Width)
	}
	k, told := scale(long, high, boardWide, boardHigh)
	const title = "Boards to cut"
	w.page(title, told)
	for i := range f.Boards {
		b := &f.Boards[i]
		g := w.board(b, k)
		above := 3.0
		if w.measuredAbove(b) {
			above = 10
		}
		w.need(5+above+k*b.Width+11, title, told)
		w.y += 5
		t := Text{At: Point{X: margin, Y: w.y}, Words: letter(i) + ": " + strconv.Itoa(b.Count) + " × " + w.part(b.Part), Size: 3.2, Bold: true}
		w.now().Texts = append(w.now().Texts, t)
		if thick := ", " + w.long(b.Thickness) + " thick"; b.Part.Role != boxfit.TubeWall {
			w.now().Texts[len(w.now().Texts)-1].Words += thick
		}
		w.put(&g, k, 12, above, 11)
	}
}

// board is one board as it stands in the container, for a scale; heights are from its
// lower edge.
func (w *writer) board(b *boxfit.Board, k float64) Figure {
	g, f := Figure{}, w.s.Fit
	l, h := b.Length, b.Width
	g.rect(Outline, 0, 0, l, h)
	g.dim(Point{}, Point{X: l}, -6, w.cut(l))
	g.dim(Point{}, Point{Y: h}, 6, w.cut(h))
	switch b.Part.Role {
	case boxfit.BaseBoard, boxfit.TroughBrace, boxfit.RimBatten, boxfit.UprightRib:
		return g
	case boxfit.TubeWall:
		for _, y := range [2]float64{b.Thickness, h - b.Thickness} {
			g.line(Dashed, Point{Y: y}, Point{X: l, Y: y})
		}
		g.text(l/2, h/2, dimText, Center, "slit along its length")
		return g
	case boxfit.PolygonSide:
		// What the bevels leave of the inner face.
		in := b.Thickness * math.Tan(math.Pi/float64(b.Part.Sides))
		for _, x := range [2]float64{in, l - in} {
			g.line(Dashed, Point{X: x}, Point{X: x, Y: h})
		}
		g.dim(Point{X: in, Y: h}, Point{X: l - in, Y: h}, 5, w.cut(l-2*in)+" inside")
	}
	w.across(&g, b)
	if y := f.FillHeight; y < h-0.5 {
		w.markedLine(&g, y, l, k, "fill line")
	}
	if y := w.c.bed; y != nil && *y > 0.5 && *y < h-0.5 {
		w.markedLine(&g, *y, l, k, "clay bed")
	}
	return g
}

// across marks what stands upright on a board: ribs and braces, each from its left end,
// and the lap of a sheet.
func (w *writer) across(g *Figure, b *boxfit.Board) {
	first, every, many := 0.0, 0.0, 0
	if br := w.s.Fit.Brace; br != nil {
		every, many = float64(br.Every), br.Ribs
	}
	switch b.Part.Role {
	case boxfit.WrappedSheet:
		x := b.Length - boxfit.Lap
		g.line(Dashed, Point{X: x}, Point{X: x, Y: b.Width})
		g.dim(Point{X: x, Y: b.Width}, Point{X: b.Length, Y: b.Width}, 5, w.mm(boxfit.Lap)+" lap")
		return
	case boxfit.LongSide, boxfit.TroughSide:
		first = b.Thickness
	case boxfit.PolygonSide:
		first = b.Thickness * math.Tan(math.Pi/float64(b.Part.Sides))
	default:
		return
	}
	from := 0.0
	for k := 1; k <= many; k++ {
		x := first + every*float64(k)
		g.line(Dashed, Point{X: x}, Point{X: x, Y: b.Width})
		if b.Part.Role != boxfit.PolygonSide { // there the inner face is measured
			g.dim(Point{X: from, Y: b.Width}, Point{X: x, Y: b.Width}, 5, w.mm(x-from)+" to a rib")
		}
		from = x
	}
}

// measuredAbove reports whether a board has dimensions along its upper edge.
func (w *writer) measuredAbove(b *boxfit.Board) bool {
	br := w.s.Fit.Brace
	switch b.Part.Role {
	case boxfit.PolygonSide, boxfit.WrappedSheet:
		return true
	case boxfit.LongSide, boxfit.TroughSide:
		return br != nil && br.Ribs > 0
	}
	return false
}

// markedLine is a line across a board, with its height over the lower edge beside it.
func (w *writer) markedLine(g *Figure, y, l, k float64, what string) {
	g.line(Dashed, Point{Y: y}, Point{X: l, Y: y})
	g.line(Thin, Point{X: l + 1/k, Y: y}, Point{X: l + 5/k, Y: y})
	g.text(l+6/k, y-dimText/3/k, dimText, Left, w.marked(y)+" "+what)
}

// sheets draws what is sawn from each stock sheet, and in which order.
func (w *writer) sheets() {
	const title = "Sheets to cut the boards from"
	across, _ := w.room()
	note := ""
	for i, s := range w.s.Fit.Sheets {
		k, told := scale(s.Size[0], s.Size[1], across-25, 110)
		if i == 0 || note != told {
			note = told
			w.page(title, note)
		}
		high := s.Size[1] * k
		w.need(6+high+12+2*listStep, title, note)
		w.y += 5
		w.now().Texts = append(w.now().Texts, Text{At: Point{X: margin, Y: w.y}, Words: "sheet " + strconv.Itoa(i+1) + ": " + s.Board, Size: 3.2, Bold: true})
		g := w.sheet(&s, k)
		w.put(&g, k, 12, 3, 10)
		w.say(w.sawing(&s), title, note)
		w.say(w.boardsOn(&s), title, note)
		w.y += listStep
	}
}

// sheet is a stock sheet at a scale, its boards by letters and its cuts by numbers.
func (w *writer) sheet(s *boxfit.Sheet, k float64) Figure {
	g := Figure{}
	g.rect(Outline, 0, 0, s.Size[0], s.Size[1])
	g.dim(Point{}, Point{X: s.Size[0]}, -6, w.side(s.Size[0]))
	g.dim(Point{}, Point{Y: s.Size[1]}, 6, w.side(s.Size[1]))
	for _, b := range s.Boards {
		l, h := b.Length, b.Width
		if b.Turned {
			l, h = h, l
		}
		g.rect(Thin, b.At[0], b.At[1], l, h)
		size := min(3.2, 0.7*k*min(l, h))
		g.text(b.At[0]+l/2, b.At[1]+h/2-0.35*size/k, size, Center, w.letterOf(&b))
	}
	for i, c := range s.Cuts {
		from, to := Point{X: c.From[0], Y: c.From[1]}, Point{X: c.To[0], Y: c.To[1]}
		g.line(Outline, from, to)
		// At the far end, where no board's letter stands.
		u := to.Sub(from)
		if l := u.Len(); l > 0 {
			at := to.Sub(u.Mul(min(0.5, 3/k/l)))
			g.text(at.X+0.5/k, at.Y+0.5/k, 2, Left, strconv.Itoa(i+1))
		}
	}
	if o := s.Offcut; o != nil && k*o[0] > 30 && k*o[1] > 8 {
		g.text(s.OffcutAt[0]+o[0]/2, s.OffcutAt[1]+o[1]/2, dimText, Center, "left whole: "+w.side(o[0])+" × "+w.side(o[1]))
	}
	return g
}

// side is a side of a sheet, or of what is left of one.
func (w *writer) side(l float64) string {
	q := figure.SheetSide(l)
	if w.System == unit.US {
		return q.US()
	}
	return q.Value
}

// letterOf is the letter of the line of the cut list that a board on a sheet is of.
func (w *writer) letterOf(b *boxfit.SheetBoard) string {
	for i, x := range w.s.Fit.Boards {
		if x.Part == b.Part && x.Length == b.Length && x.Width == b.Width {
			return letter(i)
		}
	}
	return ""
}

// sawing is the order of the cuts in words.
func (w *writer) sawing(s *boxfit.Sheet) string {
	out := "Cuts, in this order, measured from the lower left corner to the near side of the blade, which takes " + w.long(s.Kerf) + " beyond:"
	for i, c := range s.Cuts {
		if i > 0 {
			out += ";"
		}
		out += " (" + strconv.Itoa(i+1) + ")" + figure.NBSP
		if c.From[1] == c.To[1] {
			out += "along at" + figure.NBSP + w.mm(c.From[1])
		} else {
			out += "across at" + figure.NBSP + w.mm(c.From[0])
		}
	}
	if len(s.Cuts) == 0 {
		return "No cut is needed."
	}
	return out + "."
}

// boardsOn is which boards the letters are.
func (w *writer) boardsOn(s *boxfit.Sheet) string {
	out := "Boards:"
	for i, b := range w.s.Fit.Boards {
		n := 0
		for _, x := range s.Boards {
			if w.letterOf(&x) == letter(i) {
				n++
			}
		}
		if n > 0 {
			if out != "Boards:" {
				out += ";"
			}
			out += " " + letter(i) + figure.NBSP + strconv.Itoa(n) + " × " + w.part(b.Part) + ", " + w.cut(b.Length) + figure.NBSP + "×" + figure.NBSP + w.cut(b.Width)
		}
	}
	return out + "."
}
