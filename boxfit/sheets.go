package boxfit

import (
	"cmp"
	"math"
	"slices"

	"moldtally/boxfit/nest"
	"moldtally/mesh/finding"
	"moldtally/mesh/unit"
)

// Sheets that boards are cut from where the shop file says no other, mm (common
// practice, no source: four by eight feet in round millimetres), and what a saw blade
// takes, mm (common practice, no source: 2.4 to 3.2).
const (
	SheetLength = 2440
	SheetWidth  = 1220
	DefaultKerf = 3
)

// Saw is what boards are cut from and with. The zero value has the usual sheets and kerf.
type Saw struct {
	Kerf  *float64              // mm; nil = DefaultKerf
	Sizes map[string][2]float64 // of sheets by the board's name, length and width, mm
}

// sheet is the size of the sheets of a board, mm.
func (s Saw) sheet(board string) [2]float64 {
	if z, ok := s.Sizes[board]; ok {
		return z
	}
	return [2]float64{SheetLength, SheetWidth}
}

// kerf is what a cut takes, mm.
func (s Saw) kerf() float64 {
	if s.Kerf != nil {
		return *s.Kerf
	}
	return DefaultKerf
}

// sawStep is what a saw's fence is set by, mm: a board is cut to the next whole
// millimetre, never short of its length. Judgement of this program.
const sawStep = 1.0

// piece is a board as it is sawn: up to the next step, where its sheet is no smaller.
func (s Saw) piece(b *Board) nest.Piece {
	z := s.sheet(b.Part.Stock)
	up := func(l float64) float64 {
		r := math.Ceil((l-1e-6)/sawStep) * sawStep
		if r > max(z[0], z[1]) {
			return l
		}
		return r
	}
	p := nest.Piece{Length: up(b.Length), Width: up(b.Width)}
	if min(p.Length, p.Width) > min(z[0], z[1]) {
		return nest.Piece{Length: b.Length, Width: b.Width}
	}
	return p
}

// Sheet is a stock sheet with the boards that are cut from it by cuts right across what
// is on the saw. Places are mm from one corner of it, along its length and across.
type Sheet struct {
	Board  string       `json:"board"`
	Size   [2]float64   `json:"sheet_mm"`
	Boards []SheetBoard `json:"boards"` // as they come off the saw
	Cuts   []SawCut     `json:"cuts"`   // in their order
	Kerf   float64      `json:"kerf_mm"`
	Waste  float64      `json:"waste_fraction"` // of the sheet, all that is no board
	// Offcut is the largest rectangle that is left whole: where its corner lies, and
	// how long and wide it is; nil = none.
	OffcutAt *[2]float64 `json:"offcut_at_mm"`
	Offcut   *[2]float64 `json:"offcut_mm"`
}

// SheetBoard is a board where it is cut. Length and width are its own; turned, its
// length runs across the sheet.
type SheetBoard struct {
	Part   Part       `json:"name"`
	At     [2]float64 `json:"at_mm"`
	Length float64    `json:"length_mm"`
	Width  float64    `json:"width_mm"`
	Turned bool       `json:"turned"`
}

// SawCut is a cut from one place to another; the blade runs beyond that line, on the
// side that is farther from the sheet's corner.
type SawCut struct {
	From [2]float64 `json:"from_mm"`
	To   [2]float64 `json:"to_mm"`
}

// Sheeted reports whether a part is cut from a sheet: a tube and battens are not.
func (p Part) Sheeted() bool {
	return p.Role != TubeWall && p.Role != RimBatten && p.Role != UprightRib
}

// Mitred is how long the short sides of a box are cut, over their outer faces, where its
// corners are mitred and not butted, mm; the long sides are as long either way. ok is
// false for what is no box of boards.
func (f *Fit) Mitred() (short float64, ok bool) {
	if f.Kind != Box || f.Interior == nil {
		return 0, false
	}
	for _, b := range f.Boards {
		if b.Part.Role == ShortSide {
			return b.Length + 2*b.Thickness, true
		}
	}
	return 0, false
}

// Nest lays the cut list on sheets: those of a kind of board together, in the order of
// the cut list. What no sheet holds is left out; [CodeSheet] tells of it.
func (f *Fit) Nest(saw Saw) {
	f.Sheets = []Sheet{}
	var stocks []string
	for i := range f.Boards {
		if b := &f.Boards[i]; b.Part.Sheeted() && !slices.Contains(stocks, b.Part.Stock) {
			stocks = append(stocks, b.Part.Stock)
		}
	}
	for _, stock := range stocks {
		var pieces []nest.Piece
		var of []*Board
		for i := range f.Boards {
			b := &f.Boards[i]
			if !b.Part.Sheeted() || b.Part.Stock != stock {
				continue
			}
			for range b.Count {
				pieces, of = append(pieces, saw.piece(b)), append(of, b)
			}
		}
		size := saw.sheet(stock)
		sheets, _ := nest.Nest(pieces, size[0], size[1], saw.kerf())
		for _, s := range sheets {
			f.Sheets = append(f.Sheets, told(s, of, stock, size, saw.kerf()))
		}
	}
}

// told is a nested sheet with its boards' names.
func told(s nest.Sheet, of []*Board, stock string, size [2]float64, kerf float64) Sheet {
	out := Sheet{Board: stock, Size: size, Kerf: kerf, Boards: []SheetBoard{}, Cuts: []SawCut{}}
	taken := 0.0
	for _, p := range s.Placed {
		b := of[p.Piece]
		out.Boards = append(out.Boards, SheetBoard{b.Part, [2]float64{p.X, p.Y}, b.Length, b.Width, p.Turned})
		taken += b.Length * b.Width
	}
	for _, c := range s.Cuts {
		cut := SawCut{[2]float64{c.At, c.From}, [2]float64{c.At, c.To}}
		if c.AlongX {
			cut = SawCut{[2]float64{c.From, c.At}, [2]float64{c.To, c.At}}
		}
		out.Cuts = append(out.Cuts, cut)
	}
	out.Waste = 1 - taken/(size[0]*size[1])
	if o := s.Offcut; o.Area() > 0 {
		out.OffcutAt, out.Offcut = &[2]float64{o.X, o.Y}, &[2]float64{o.Length, o.Width}
	}
	return out
}

// judgeSheets tells of the board that is most beyond its sheet.
func (p *planner) judgeSheets(f *Fit) {
	var worst *PastSheet
	over := 0.0
	for i := range f.Boards {
		b := &f.Boards[i]
		z := p.r.Saw.sheet(b.Part.Stock)
		long, short := max(b.Length, b.Width), min(b.Length, b.Width)
		by := max(long-max(z[0], z[1]), short-min(z[0], z[1]))
		if b.Part.Sheeted() && cmp.Compare(by, max(over, 1e-6)) > 0 {
			over = by
			worst = &PastSheet{b.Part, unit.Length(b.Length), unit.Length(b.Width), unit.Length(z[0]), unit.Length(z[1])}
		}
	}
	if worst != nil {
		f.Findings.Add(finding.Finding{Code: CodeSheet, Severity: finding.Caution, Facts: *worst})
	}
}
