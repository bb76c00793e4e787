package boxfit

import (
	"math"

	"moldtally/mesh/finding"
	"moldtally/mesh/unit"
)

// Limits of a box board's bow, mm and as a share of the wall's width
// (judgement, no source): more than that shows in a flat-sided mold.
const (
	bowMost      = 0.5
	bowWidthPart = 600
)

// allowedBow is the bow that a wall of width a may have, mm.
func allowedBow(a float64) float64 { return min(bowMost, a/bowWidthPart) }

// ribsMost is how many upright ribs are worth advising on one wall.
const ribsMost = 8

// woodCreep marks the wood panels among the boards.
const woodCreep = 1.5

// Batten is a strip of softwood along the rim of a wall, mm: laid flat on it, or on
// edge, with its wide side across the wall. The zero Batten is none.
type Batten struct {
	Thick, Wide unit.Length
	OnEdge      bool
}

// battens are those that are tried, the lightest first: sawn softwood sizes as they
// are sold (PS 20, recalled).
var battens = []Batten{{19, 38, false}, {19, 38, true}, {38, 89, true}}

// battenE is the bending modulus of softwood along the grain, GPa (from memory,
// unverified; species run from 8 to 12).
const battenE = 9

// softwood is what battens and ribs are sawn from.
const softwood = "softwood"

// tall is how much of a wall's height a batten along its rim takes, mm.
func (b Batten) tall() float64 {
	if b.OnEdge {
		return float64(b.Thick)
	}
	return float64(b.Wide)
}

// cutBattens adds to the cut list what braces the walls of a box or polygon: the long
// walls, and the short ones where they do not hold by themselves.
func (p *planner) cutBattens(f *Fit, w *walls, rim float64) {
	br := f.Brace
	if br == nil || br.Trough || br.Batten == (Batten{}) {
		return
	}
	b, t := br.Batten, p.board.Thickness
	add := func(r Role, n int, l float64) {
		f.Boards = append(f.Boards, Board{Part{Role: r, Stock: softwood}, n, l, float64(b.Wide), float64(b.Thick)})
	}
	many := 2
	if w.kind == Polygon {
		many = w.sides
		add(RimBatten, many, w.side()+2*t*math.Tan(math.Pi/float64(many)))
	} else {
		add(RimBatten, many, w.length+2*t)
		h, _ := p.poured(f)
		short := wall{w.width, rim, h, p.sg, p.board.ELow, t}
		if _, _, ok := short.held(Batten{}, p.board.Creep); !ok {
			add(RimBatten, 2, w.width+2*t)
			many = 4
		}
	}
	if br.Ribs > 0 {
		add(UprightRib, many*br.Ribs, rim-b.tall())
	}
}

// stiffness is E·I against the push of the rubber, N·mm².
func (b Batten) stiffness() float64 {
	across, deep := float64(b.Wide), float64(b.Thick)
	if b.OnEdge {
		across, deep = deep, across
	}
	return battenE * 1000 * across * deep * deep * deep / 12
}

// held is the bow of a wall by morning under a batten along its rim (none = free),
// mm, and whether thin-plate theory holds for it and it is small enough.
func (w wall) held(b Batten, creep float64) (bow float64, known, ok bool) {
	top, ei := free, 0.0
	if b != (Batten{}) {
		top, ei = battened, b.stiffness()
	}
	v := w.bow(top, ei)
	known = v <= w.t/2 // beyond, small-deflection theory says nothing
	return v * creep, known, known && v*creep <= allowedBow(w.a)
}

// bow works out how far the widest wall bows and what to do about it.
func (p *planner) bow(f *Fit, w *walls, rim float64) {
	switch {
	case w.kind == Sleeve || f.Own && p.r.Board == "":
		return // a tube is held by its hoop; of an own box the board is unknown
	case f.Kind == Trough:
		p.bowOfTrough(f, w, rim)
		return
	}
	b, a := p.board, w.widest()
	h, _ := p.poured(f)
	side := func(t BoardStock, a float64) wall { return wall{a, rim, h, p.sg, t.ELow, t.Thickness} }
	open, known, ok := side(b, a).held(Batten{}, b.Creep)
	if known {
		f.BoardBow = &open
	}
	if ok {
		return
	}
	x := Bow{Board: b.Name, Width: unit.Length(a), Head: unit.Length(h), Unknown: !known, By: unit.Length(open), Allowed: unit.Length(allowedBow(a))}
	if f.Brace = p.brace(func(a float64) wall { return side(b, a) }, a); f.Brace != nil {
		f.BoardBow = new(float64(f.Brace.Bow))
		x.Brace = f.Brace
	}
	if x.Enough = f.Brace != nil && f.Brace.Ribs == 0; x.Enough {
		f.Findings.Add(finding.Finding{Code: CodeBow, Severity: finding.Caution, Facts: x})
		return
	}
	p.stiffer(&x, func(t BoardStock) wall { return side(t, a) })
	f.Findings.Add(finding.Finding{Code: CodeBow, Severity: finding.Stop, Facts: x})
}

// brace is the least that holds a wall of width a, with the bow that it leaves: a
// batten along the rim, then upright ribs under one; nil = nothing within reason.
// side is the wall between two ribs.
func (p *planner) brace(side func(a float64) wall, a float64) *Brace {
	for n := 0; n <= ribsMost; n++ {
		span := a / float64(n+1)
		for _, b := range battens {
			if bow, _, ok := side(span).held(b, p.board.Creep); ok {
				br := &Brace{Walls: unit.Length(a), Ribs: n, Bow: unit.Length(bow), Batten: b}
				if n > 0 {
					br.Every = unit.Length(span)
				}
				return br
			}
		}
	}
	return nil
}

// stiffer names the thinnest wood board in stock that holds the wall, by itself or,
// where none does, under the stoutest batten; an engineer's plate is no answer for a
// one-off box.
func (p *planner) stiffer(x *Bow, side func(BoardStock) wall) {
	stoutest := battens[len(battens)-1]
	for _, b := range []Batten{{}, stoutest} {
		for _, t := range Boards() {
			if t.Creep != woodCreep || x.Stiffer != "" && unit.Length(t.Thickness) >= x.StifferThickness {
				continue
			}
			if _, _, ok := side(t).held(b, t.Creep); ok {
				x.Stiffer, x.StifferThickness, x.StifferUnder = t.Name, unit.Length(t.Thickness), b
			}
		}
		if x.Stiffer != "" {
			return
		}
	}
}
