package labor

// Method is a way to make a mold.
type Method int

// The methods.
const (
	OpenFaced     Method = iota // a block over a pattern whose flat back lies on the board
	Block                       // one piece over a pattern that stands on its base
	Slit                        // a block slit at the back
	CutOpen                     // rubber all round, cut open
	TwoPart                     // two halves, the first poured against a bed of clay
	Parts                       // three or more parts, each drawn its own way
	Poured                      // an even coat poured under a mother mold
	Brushed                     // the same coat brushed on, under a shell
	BrushedHalves               // brushed in two halves against a bed of clay
	PouredHalves                // poured so, each half under its own part of the mother mold
	Glove                       // a thin skin that is turned inside out
)

// Risk is what a method may do to the pattern.
type Risk int

// The levels of risk.
const (
	NoRisk   Risk = iota
	Cleaning      // it has to be cleaned
	Prying        // a hard peel, or prying
	Blade         // a blade near it, or a load on thin parts
	Damage        // damage is to be expected
)

// Share is the share of the pattern's value that is put at stake. Judgement of
// this program.
func (r Risk) Share() float64 {
	return [...]float64{NoRisk: 0, Cleaning: 0.005, Prying: 0.02, Blade: 0.10, Damage: 0.50}[min(max(r, NoRisk), Damage)]
}

// Seam is the line that a method leaves on castings.
type Seam int

// The levels of a seam.
const (
	NoSeam     Seam = iota
	AtBase          // round the base
	AtBack          // one fine line at the back
	AllRound        // a line all round
	AcrossFace      // across the face that is shown
)

// nature is what a method is like whatever the pattern.
type nature struct {
	seam Seam
	risk Risk
	life float64 // times what a rubber gives of castings
	days Days
}

// natures: seams and kinds of risk are common practice, no source; lives and days
// are a judgement of this program. The days are of a mold of three parts for Parts.
var natures = [...]nature{
	OpenFaced:     {NoSeam, Cleaning, 1.2, Days{2, 2}},
	Block:         {AtBase, Cleaning, 1.0, Days{2, 2}},
	Slit:          {AtBack, Blade, 0.8, Days{2, 2}},
	CutOpen:       {AtBack, Blade, 0.6, Days{2, 2}},
	TwoPart:       {AllRound, Cleaning, 1.0, Days{3, 3}},
	Parts:         {AllRound, Prying, 0.8, Days{4, 4}},
	Poured:        {AtBack, Prying, 1.0, Days{4, 5}},
	Brushed:       {AtBack, Prying, 0.8, Days{3, 5}},
	BrushedHalves: {AllRound, Cleaning, 0.8, Days{5, 7}},
	PouredHalves:  {AllRound, Cleaning, 1.0, Days{6, 7}},
	Glove:         {AtBase, Prying, 0.6, Days{3, 5}},
}

// ganged is what is left of the life of a mold of several cavities: one that tears
// idles its own share alone. Judgement of this program.
const ganged = 0.8

// nature is the row of a method; of one that does not exist, that of a block.
func (m Method) nature() nature {
	if m < 0 || int(m) >= len(natures) {
		m = Block
	}
	return natures[m]
}

// blanket reports whether a shell holds the rubber's shape.
func (m Method) blanket() bool {
	return m == Poured || m == Brushed || m == BrushedHalves || m == PouredHalves
}

// slit reports whether the mold is opened along a line that a blade cuts, or that
// a fin leaves open.
func (w Work) slit() bool {
	return w.Method == Slit || (w.Method == Poured || w.Method == Brushed) && !w.Whole
}

// Risk is what the work may do to the pattern. A fin leaves no blade to fear in a
// slit; a cut mold is cut whatever stands in it. A bed of clay wets and pulls at
// what is porous or weak and not sealed, and a loose piece is pried out of its
// hollow.
func (w Work) Risk() Risk {
	r := w.Method.nature().risk
	switch {
	case w.slit() && w.Fin, w.Method.blanket() && w.Whole:
		r = Cleaning
	case w.Weak && (w.Method == TwoPart || w.Method == BrushedHalves || w.Method == PouredHalves):
		r = Prying
	}
	if w.Loose > 0 {
		r = max(r, Prying)
	}
	return r
}

// Endangers reports whether the work must not be done to a pattern that cannot be
// replaced: a risk over cleaning. Judgement of this program.
func (w Work) Endangers() bool { return w.Irreplaceable && w.Risk() > Cleaning }

// Seam is the line that castings have.
func (w Work) Seam() Seam {
	s := w.Method.nature().seam
	switch {
	case w.Whole && (w.Method == Poured || w.Method == Brushed):
		s = AtBase
	case w.Method == CutOpen && w.InTheRound:
		s = AllRound
	}
	if w.Loose > 0 {
		s = max(s, AtBack) // a fine line round its hollow
	}
	if w.Across && s >= AtBack {
		s = AcrossFace
	}
	return s
}

// LifeFactor is what the method makes of the castings that a rubber gives.
func (w Work) LifeFactor() float64 {
	f := w.Method.nature().life
	if w.Loose > 0 {
		f = min(f, Parts.nature().life) // as of more than two parts
	}
	if w.Cavities > 1 {
		f *= ganged
	}
	return f
}

// Days are working days from the first stroke, nights between them counted; low
// and high are equal where nothing is open.
type Days struct{ Low, High int }

// plus adds days to both ends.
func (d Days) plus(low, high int) Days { return Days{d.Low + low, d.High + high} }

// Days is how long the mold takes until it may be cast in: of the method, and what
// has to dry, cure or air. A part more is a day more, as from two to three. Common
// practice and judgement of this program.
func (w Work) Days() Days {
	d := w.Method.nature().days
	if w.Method == Parts {
		d = d.plus(w.parts()-usualParts, w.parts()-usualParts)
	}
	if w.Loose > 0 {
		d = d.plus(1, 1) // they cure before the rest is poured
	}
	if w.Sealer {
		d = d.plus(1, 1)
	}
	switch w.Cure {
	case Overnight:
		d = d.plus(1, 1)
	case OneOrTwoNights:
		d = d.plus(1, 2)
	}
	if w.Airing {
		d = d.plus(3, 3)
	}
	return d
}

// Cure is what a rubber's cure adds to the days.
type Cure int

// The cures.
const (
	SameDay        Cure = iota // platinum-cure silicone and what else is fast
	Overnight                  // tin-cure silicone
	OneOrTwoNights             // polyurethane rubber
)
