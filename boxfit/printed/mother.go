package printed

import (
	"context"
	"math"

	"moldtally/boxfit"
	"moldtally/mesh"
	"moldtally/mesh/demold"
)

// Measures of printed mother molds, mm. Judgement of this program, after common practice
// for bolted shells, where nothing else is said.
const (
	// formSteps is in how many steps the longest size of a shell is made, finest and
	// coarsest the steps at least and at most.
	formSteps = 220
	finest    = 0.8
	coarsest  = 4.0

	flangeOver = 1.25 // a flange is so much thicker than its shell
	riserBore  = 10.0
	highLeast  = 3.0  // a high of less needs no riser: the shell is tipped while it is filled
	footLeast  = 30.0 // half the width of what it stands on mouth up, at least
	tipping    = 10 * math.Pi / 180

	buttonWide  = 24.0
	buttonHigh  = 8.0
	buttonLean  = 40 * math.Pi / 180
	buttonApart = 110.0
	buttonSlope = 35 * math.Pi / 180 // of the blanket under a button, at most

	dimpleWide, dimpleHigh = 10.0, 4.0
	pryWide, pryDeep       = 10.0, 2.5
)

// shell is a mother mold at work.
type shell struct {
	fit    *boxfit.Fit
	form   *boxfit.Form
	wall   float64
	flange float64 // its width
	thick  float64 // its thickness
	poured bool
	spout  float64 // bore of the pour hole
	board  float64 // where the board is: below Form.Floor by the clay
	sin    float64 // of half the angle that a piece takes; 1 for halves
	rises  []pipe
	end    float64 // how high spouts, and what it stands on mouth up, reach: along Up, or along each draw
	round  []spot  // bolts
	// Of halves: what keeps them in register, and where they are pried apart, in the
	// surface of the first.
	dimples, pries []mesh.Vec2
	size           float64 // of the bolts
	apart          float64
	pieces         []*piece
}

// pipe is a spout or a riser: over a face, or with Form.Sideways in the surface between
// a face and the next.
type pipe struct {
	face int
	at   mesh.Vec2 // of a face
	bore float64
	top  float64 // of the blanket there
}

// spot is a place in the surface between two pieces, or between one and the board.
type spot struct {
	face int
	at   mesh.Vec2
}

// piece is one of its bodies at work: over the lattice of a face, and round it.
type piece struct {
	*shell
	k    int
	face *boxfit.Face
	*graph
	inner []float64 // the outside of blanket, spouts and buttons, over the nodes
	from  []float64 // from where the shell stands, over the nodes
	away  []float64 // how far each node is from where a blanket is, in the surface that pieces part at
}

// motherMold makes the pieces of a mother mold for a printer: the inside of each is the
// outside of the filled-out blanket.
func motherMold(ctx context.Context, f *boxfit.Fit, p Printer) (*Made, error) {
	cell := min(coarsest, max(finest, f.FormSize()/formSteps))
	form, err := f.Form(ctx, cell)
	if err != nil {
		return nil, err
	}
	s := newShell(f, form)
	made := &Made{Wall: s.wall, Capacity: form.Volume(), BoltSize: s.size}
	made.Buttons = s.shaped()
	for _, x := range s.pieces {
		m, err := x.body()
		if err != nil {
			return nil, err
		}
		made.Parts = append(made.Parts, Part{Role: ShellPart, Mesh: m})
		if err := ctx.Err(); err != nil {
			return nil, err
		}
	}
	s.count(made)
	if !made.fits(p) {
		return nil, ErrTooSmall
	}
	return made, nil
}

// shaped makes the heights of all pieces, and returns how many buttons they have.
func (s *shell) shaped() (buttons int) {
	s.end = s.highest() + s.wall + 10
	if s.poured {
		s.end = s.highest() + riser
	}
	for k := range s.form.Faces {
		s.pieces = append(s.pieces, s.piece(k))
	}
	s.pipes()
	for _, x := range s.pieces {
		x.widen()
	}
	s.bolts()
	for _, x := range s.pieces {
		buttons += x.buttons()
		x.shape()
	}
	return buttons
}

func newShell(f *boxfit.Fit, form *boxfit.Form) *shell {
	s := &shell{fit: f, form: form, flange: f.Shell.Flange, sin: 1, poured: f.Mold == demold.Blanket}
	s.wall, s.spout, s.size, s.apart = boxfit.PrintedShell(f.FormSize() - 2*form.Coat)
	s.thick = max(flangeThick, flangeOver*s.wall)
	s.board = form.Board - form.Floor
	if n := len(form.Faces); n > 2 {
		s.sin = math.Sin(math.Pi / float64(n))
	}
	return s
}

// count tells what the shell takes beside its pieces.
func (s *shell) count(m *Made) {
	m.Bolts = len(s.round)
	for k, p := range s.rises {
		if k == 0 {
			m.Spout = p.bore
		} else {
			m.Risers++
		}
	}
	lean := buttonWide/2 - buttonHigh*math.Tan(buttonLean)
	m.ButtonVolume = float64(m.Buttons) * math.Pi * buttonHigh / 3 * (buttonWide*buttonWide/4 + buttonWide/2*lean + lean*lean)
}
