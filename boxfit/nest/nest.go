// Package nest lays rectangular boards on stock sheets so that a saw that only cuts
// right across can part them (guillotine cuts), with its kerf between them.
//
// It is a leaf: it knows sizes alone, all in millimetres.
package nest

import "math"

// Piece is a board to cut, mm. It may lie either way on the sheet.
type Piece struct{ Length, Width float64 }

// Sheet is one stock sheet with what is cut from it. Places are mm from a corner of
// it, x along its length.
type Sheet struct {
	Placed []Placed
	Cuts   []Cut // in the order in which they are sawn
	// Offcut is the largest rectangle that is left whole.
	Offcut Rect
}

// Placed is a piece on its sheet: its corner nearest to the sheet's, and whether its
// length runs across the sheet.
type Placed struct {
	Piece  int // its number among those given
	X, Y   float64
	Turned bool
}

// Cut is a saw cut right across what is on the saw then: along x at Y, or along y at
// X. The saw takes its kerf beyond that line, as far as there is board.
type Cut struct {
	AlongX   bool
	At       float64 // y of a cut along x, else x
	From, To float64 // the ends of the cut, along it
}

// Length is how long the cut is, mm.
func (c Cut) Length() float64 { return c.To - c.From }

// Rect is a rectangle on a sheet, sides along it, mm.
type Rect struct{ X, Y, Length, Width float64 }

// Area is in mm².
func (r Rect) Area() float64 { return r.Length * r.Width }

// Nest lays pieces on as few sheets of length × width as it finds, with a saw that
// takes kerf; and of ways with as few, the one that leaves the largest rectangles
// whole. tooLarge are the numbers of pieces that no sheet holds. The same pieces are
// laid the same way every time. Sizes that are not above 0 are the caller's mistake.
func Nest(pieces []Piece, length, width, kerf float64) (sheets []Sheet, tooLarge []int) {
	s := &search{length: length, width: width, kerf: kerf, pieces: pieces}
	for i, p := range pieces {
		if s.fits(p) {
			s.list = append(s.list, i)
		} else {
			tooLarge = append(tooLarge, i)
		}
	}
	if len(s.list) == 0 {
		return nil, tooLarge
	}
	l := s.best()
	sheets = l.sheets(s)
	last := len(sheets) - 1
	var list []int
	for _, p := range sheets[last].Placed {
		list = append(list, p.Piece)
	}
	if sh, ok := s.trimmed(list, sheets[last].Offcut); ok {
		sheets[last] = sh
	}
	return sheets, tooLarge
}

// slack is what sizes that came of sums may be over, mm.
const slack = 1e-6

// fits reports whether a sheet holds a piece either way.
func (s *search) fits(p Piece) bool {
	long, short := max(p.Length, p.Width), min(p.Length, p.Width)
	return long <= max(s.length, s.width)+slack && short <= min(s.length, s.width)+slack
}

// least is a number of sheets that no way of laying them goes below.
func (s *search) least() int {
	sum := 0.0
	for _, i := range s.list {
		sum += (s.pieces[i].Length + s.kerf) * (s.pieces[i].Width + s.kerf)
	}
	return int(math.Ceil(sum/((s.length+s.kerf)*(s.width+s.kerf)) - 1e-9))
}
