package boxfit

import (
	"cmp"
	"math"
	"slices"
)

// tubeWall is the wall taken for an own tube of which none is known, mm (common
// practice, no source).
const tubeWall = 3

// bore is the inside diameter that a tube needs, mm.
func (p *planner) bore() float64 { return 2 * (p.s.circle.Radius + p.wall) }

// sleeve makes a tube for the pattern: stock where there is one wide enough,
// unless one made to measure is asked for; else a sheet wrapped round.
func (p *planner) sleeve() *Fit {
	if p.r.Tube == "exact" {
		return p.wrapped()
	}
	t, ok := p.stockTube()
	if !ok {
		f := p.wrapped()
		if p.r.Container == Sleeve { // a tube is what was asked for
			f.Findings.Add(p.noStockTube(p.bore()))
		}
		return f
	}
	w := sleeveWalls(p.s.circle, t.Bore)
	w.thick, w.elastic = t.Wall, tubeE
	f := p.start(&w)
	rim := p.upTo(f)
	f.Stock = &t.Name
	wall := t.Wall
	if wall <= 0 {
		wall = tubeWall
	}
	out := t.Bore + 2*wall
	f.Boards = append(f.Boards, Board{Part{Role: TubeWall, Stock: t.Name}, 1, rim, out, wall}, p.base(out+2*baseMargin, out+2*baseMargin))
	p.fill(f, &w, rim)
	return f
}

// stockTube is the tube to take: of those that fit snugly the user's own first,
// else the narrowest that is wide enough.
func (p *planner) stockTube() (TubeStock, bool) {
	need := p.bore()
	byBore := func(a, b TubeStock) int { return cmp.Compare(a.Bore, b.Bore) }
	own := slices.SortedStableFunc(slices.Values(p.r.OwnTubes), byBore)
	all := slices.SortedStableFunc(slices.Values(append(own, Tubes()...)), byBore)
	for _, list := range [][]TubeStock{own, all} {
		for _, t := range list {
			if t.Bore >= need-1e-9 && t.Bore <= need+snug {
				return t, true
			}
		}
	}
	i := slices.IndexFunc(all, func(t TubeStock) bool { return t.Bore >= need-1e-9 })
	if i < 0 {
		return TubeStock{}, false
	}
	return all[i], true
}

// Sheets that are wrapped round: of polypropylene, which bends, does not crack and
// lets go of rubber; the wider, the thicker, so that they stand round by
// themselves before the pour (judgement, no source).
var wraps = []struct {
	upTo  float64 // bore, mm
	board string
}{
	{150, "polypropylene-1"},
	{400, "polypropylene-2"},
	{math.Inf(1), "polypropylene-3"},
}

// Lap is how far the ends of a wrapped sheet lie over each other, mm (common
// practice, no source).
const Lap = 50

// wrapped is a sheet wrapped round the pattern, made to measure.
func (p *planner) wrapped() *Fit {
	bore := p.bore()
	if p.r.Step > 0 {
		bore = math.Ceil(bore/p.r.Step-1e-6) * p.r.Step
	}
	i := slices.IndexFunc(wraps, func(w struct {
		upTo  float64
		board string
	}) bool {
		return bore <= w.upTo
	})
	sheet, err := BoardNamed(wraps[i].board)
	if err != nil {
		panic(err) // the table of boards is part of the program, and a test reads it
	}
	w := sleeveWalls(p.s.circle, bore)
	w.thick, w.elastic = sheet.Thickness, 1000*sheet.ELow
	f := p.start(&w)
	rim := p.upTo(f)
	out := bore + 2*sheet.Thickness
	f.Boards = append(f.Boards,
		Board{Part{Role: WrappedSheet, Stock: sheet.Name}, 1, math.Pi*(bore+sheet.Thickness) + Lap, rim, sheet.Thickness},
		p.base(out+2*baseMargin, out+2*baseMargin))
	p.fill(f, &w, rim)
	return f
}

// polygon makes a prism of boards for the pattern, of six or of eight: more boards
// are more bevels for next to no rubber, and odd ones have no pairs to clamp.
func (p *planner) polygon() *Fit {
	made := func(n int) *Fit {
		w := polygonWalls(p.s.hull, n, p.wall, p.r.Step)
		return p.made(&w)
	}
	if n := p.r.Sides; n != 0 {
		return made(n)
	}
	six, eight := made(6), made(8)
	if p.pays(eight, six) {
		return eight
	}
	return six
}
