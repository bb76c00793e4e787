package nest

import "cmp"

// Kerf is dealt with by growing: pieces and sheet alike are a kerf longer and wider,
// and then lie edge to edge. What is right of a piece and above it is its own kerf; that
// of the last in a row falls off the sheet.

// order is by what pieces are laid, the largest first.
type order int

const (
	byArea order = iota
	byLong
	byShort
	byRound
	orders
)

// choice is which free rectangle a piece goes into: the one that is least left of.
type choice int

const (
	leastArea choice = iota
	leastShort
	leastLong
	lowest // nearest to the end of the sheet
	choices
)

// split is how what is left beside a piece in the corner of a free rectangle is parted
// in two: by the first cut.
type split int

const (
	cutShort  split = iota // along the shorter side of the rectangle
	cutLong                // along the longer one
	cutSmall               // so that the smaller of the two is as small as can be
	cutEven                // so that they are as alike as can be
	cutAlongX              // rips first
	cutAcross
	splits
)

// step is a piece to lay, and how: whichever way round it lies better in the rectangle
// that it goes into.
type step struct {
	piece  int
	choice choice
	split  split
}

// free is a rectangle that nothing lies in yet, grown by the kerf.
type free struct {
	sheet int
	Rect
}

// laid is a piece in its rectangle, and how that was cut.
type laid struct {
	Placed
	in     free
	alongX bool // the first cut
}

// layout is pieces laid by one rule in one order.
type layout struct {
	laid  []laid
	free  []free
	used  int
	score score
}

// score is what layouts are compared by, the least first.
type score struct {
	sheets int
	spoilt float64 // mm² that are in no sheet's largest offcut
	cuts   float64 // length of all cuts, mm
}

func (a score) less(b score) bool {
	if a.sheets != b.sheets {
		return a.sheets < b.sheets
	}
	// A square millimetre is a tie.
	if a.spoilt < b.spoilt-1 || a.spoilt > b.spoilt+1 {
		return a.spoilt < b.spoilt
	}
	return a.cuts < b.cuts-1
}

// lay puts the pieces on sheets one after the other.
func (s *search) lay(l *layout, steps []step) {
	l.laid, l.free, l.used, l.score = l.laid[:0], l.free[:0], 0, score{}
	for _, r := range steps {
		k, turned := s.find(l, r)
		if k < 0 {
			l.free = append(l.free, free{l.used, Rect{0, 0, s.length + s.kerf, s.width + s.kerf}})
			l.used++
			k, turned = s.find(l, r)
		}
		s.put(l, r, k, turned)
	}
	s.rate(l)
}

// grown is a piece as it lies, a kerf longer and wider.
func (s *search) grown(p Piece, turned bool) (x, y float64) {
	if turned {
		p.Length, p.Width = p.Width, p.Length
	}
	return p.Length + s.kerf, p.Width + s.kerf
}

// find is the free rectangle that a piece goes into; -1 = none holds it.
func (s *search) find(l *layout, r step) (best int, turned bool) {
	best = -1
	p := s.pieces[r.piece]
	var worth [2]float64
	for k := range l.free {
		f := &l.free[k]
		for _, t := range [2]bool{false, true} {
			x, y := s.grown(p, t)
			dx, dy := f.Length-x, f.Width-y
			if dx < -slack || dy < -slack {
				continue
			}
			var w [2]float64
			switch r.choice {
			case leastArea:
				w = [2]float64{f.Area(), min(dx, dy)}
			case leastShort:
				w = [2]float64{min(dx, dy), max(dx, dy)}
			case leastLong:
				w = [2]float64{max(dx, dy), min(dx, dy)}
			case lowest:
				w = [2]float64{f.X + x, f.Y + y}
			}
			// An earlier sheet is filled first.
			if best < 0 || f.sheet == l.free[best].sheet && (w[0] < worth[0] || w[0] == worth[0] && w[1] < worth[1]) || f.sheet < l.free[best].sheet {
				best, turned, worth = k, t, w
			}
		}
	}
	return best, turned
}

// put lays a piece into the corner of a free rectangle and parts the rest of it.
func (s *search) put(l *layout, r step, k int, turned bool) {
	f := l.free[k]
	x, y := s.grown(s.pieces[r.piece], turned)
	alongX := s.firstAlongX(f.Rect, x, y, r.split)
	l.laid = append(l.laid, laid{Placed{r.piece, f.X, f.Y, turned}, f, alongX})
	right, above := rest(f.Rect, x, y, alongX)
	l.free[k] = l.free[len(l.free)-1]
	l.free = l.free[:len(l.free)-1]
	for _, q := range [2]Rect{right, above} {
		if s.real(q) {
			l.free = append(l.free, free{f.sheet, q})
		}
	}
}

// real reports whether anything is left of a rectangle without its kerf.
func (s *search) real(r Rect) bool { return r.Length > s.kerf+slack && r.Width > s.kerf+slack }

// rest is what is left of a rectangle beside a corner of x × y and above it.
func rest(f Rect, x, y float64, alongX bool) (right, above Rect) {
	right = Rect{f.X + x, f.Y, f.Length - x, f.Width}
	above = Rect{f.X, f.Y + y, f.Length, f.Width - y}
	if alongX {
		right.Width = y
	} else {
		above.Length = x
	}
	return right, above
}

// firstAlongX says which way the first cut goes.
func (s *search) firstAlongX(f Rect, x, y float64, r split) bool {
	dx, dy := f.Length-x, f.Width-y
	switch r {
	case cutShort:
		return f.Length <= f.Width
	case cutLong:
		return f.Length > f.Width
	case cutSmall: // the right one is dx × y, or the upper one x × dy
		return dx*y <= x*dy
	case cutEven:
		return dx*y > x*dy
	case cutAlongX:
		return true
	}
	return false
}

// rate works out a layout's score.
func (s *search) rate(l *layout) {
	l.score.sheets = l.used
	area := s.length * s.width
	for k := range l.used {
		l.score.spoilt += area - s.offcut(l, k).Area()
	}
	for i := range l.laid {
		for _, c := range s.cuts(&l.laid[i]) {
			l.score.cuts += c.Length()
		}
	}
}

// offcut is the largest rectangle that is left of a sheet, without its kerf.
func (s *search) offcut(l *layout, sheet int) (best Rect) {
	for _, f := range l.free {
		if f.sheet == sheet {
			f.Length, f.Width = f.Length-s.kerf, f.Width-s.kerf
			if c := cmp.Compare(f.Area(), best.Area()); c > 0 {
				best = f.Rect
			}
		}
	}
	return best
}

// cuts are the cuts that free a laid piece: the second ends at the first.
func (s *search) cuts(p *laid) (list []Cut) {
	x, y := s.grown(s.pieces[p.Piece], p.Turned)
	f := p.in
	l, w := f.Length-s.kerf, f.Width-s.kerf
	x, y = x-s.kerf, y-s.kerf
	add := func(alongX bool, to float64) {
		switch {
		case alongX && y < w-slack:
			list = append(list, Cut{true, f.Y + y, f.X, f.X + to})
		case !alongX && x < l-slack:
			list = append(list, Cut{false, f.X + x, f.Y, f.Y + to})
		}
	}
	if p.alongX {
		add(true, l)
		add(false, min(y, w))
	} else {
		add(false, w)
		add(true, min(x, l))
	}
	return list
}
