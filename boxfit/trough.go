package boxfit

import (
	"math"

	"moldtally/mesh/demold"
	"moldtally/mesh/finding"
	"moldtally/mesh/unit"
)

// What makes a trough of a box: cornices, rails, moldings by the run. Longer than
// three times as wide, and long enough that its sides need braces (judgement of
// this program).
const (
	longFrom   = 3.0 // times the width
	longWholly = 4.0
	troughFrom = 600 // mm
	troughTall = 2.0 // times the width, at most; taller is a box on edge
)

// bracesEvery is how far apart the braces of a trough may stand, mm; a long side
// between two of them is a wall of its own (common practice, no source: 300 to
// 400 mm).
const bracesEvery = 400

// braceFoot is how far a brace reaches out over the base, mm (judgement, no source).
const braceFoot = 60

// runMost is the longest run that is poured in one piece, mm: what repeats is
// molded once, with an overlap (common practice, no source: 1.0 to 1.5 m).
const runMost = 1500

// trough reports whether the pattern's container is a trough.
func (p *planner) trough() bool {
	l, w := p.s.rect.Length, p.s.rect.Width
	return p.mold == demold.Block && p.r.Container == "" && l > longFrom*w && l >= troughFrom && p.s.height() <= troughTall*w
}

// CoverSize is the size, mm, of an outline of length × width that rubber round it
// goes by: the middle size √(length × width); of what is long and thin its section,
// that is the width, as a wall is no weaker for going on and on. From three to four
// times as long as wide the one passes into the other, so that no hair's breadth
// changes the wall. Judgement of this program.
func CoverSize(length, width float64) float64 {
	if width > length {
		length, width = width, length
	}
	mid := math.Sqrt(length * width)
	if !(width > 0) || length <= longFrom*width {
		return mid
	}
	t := min(1, (length/width-longFrom)/(longWholly-longFrom))
	return math.Pow(mid, 1-t) * math.Pow(width, t)
}

// gutter is a trough round the pattern: a base, two sides with braces, stop ends.
func (p *planner) gutter() *Fit {
	w := p.boxWalls()
	f := p.start(&w)
	f.Kind = Trough
	p.fill(f, &w, p.upTo(f))
	if l := w.length; l > runMost {
		f.Findings.Add(finding.Finding{Code: CodeRun, Severity: finding.Caution, Facts: LongRun{unit.Length(l), runMost}})
	}
	return f
}

// bays is into how many lengths the braces of a trough part its sides.
func bays(length float64) int { return max(1, int(math.Ceil(length/bracesEvery-1e-9))) }

// bowOfTrough works out how far a trough's sides bow between their braces, which
// stand closer where the board asks for it.
func (p *planner) bowOfTrough(f *Fit, w *walls, rim float64) {
	b := p.board
	h, _ := p.poured(f)
	first := bays(w.length)
	side := func(t BoardStock, a float64) wall { return wall{a, rim, h, p.sg, t.ELow, t.Thickness} }
	for n := first; n <= first+ribsMost; n++ {
		span := w.length / float64(n)
		if bow, _, ok := side(b, span).held(Batten{}, b.Creep); ok {
			f.BoardBow = &bow
			f.Brace = &Brace{Walls: unit.Length(w.length), Ribs: n - 1, Every: unit.Length(span), Bow: unit.Length(bow), Trough: true}
			return
		}
	}
	span := w.length / float64(first)
	open, known, _ := side(b, span).held(Batten{}, b.Creep)
	x := Bow{Board: b.Name, Width: unit.Length(span), Head: unit.Length(h), Unknown: !known, By: unit.Length(open), Allowed: unit.Length(allowedBow(span))}
	p.stiffer(&x, func(t BoardStock) wall { return side(t, span) })
	f.Findings.Add(finding.Finding{Code: CodeBow, Severity: finding.Stop, Facts: x})
}

// cutTrough writes the cut list of a trough: the sides run past the stop ends, and
// the base reaches out under the braces.
func (p *planner) cutTrough(f *Fit, w *walls, rim float64) {
	t := p.board.Thickness
	add := func(r Role, n int, l, b float64) {
		f.Boards = append(f.Boards, Board{Part{Role: r, Stock: p.board.Name}, n, l, b, t})
	}
	add(TroughSide, 2, w.length+2*t, rim)
	add(StopEnd, 2, w.width, rim)
	if f.Brace != nil && f.Brace.Ribs > 0 {
		add(TroughBrace, 2*f.Brace.Ribs, rim, braceFoot)
	}
	f.Boards = append(f.Boards, p.base(w.length+2*t+2*baseMargin, w.width+2*t+2*braceFoot))
}
