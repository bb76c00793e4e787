package labor

// Task is one thing that is done.
type Task int

// The tasks.
const (
	Planning Task = iota
	Sealing
	Fixing // on the board, with the clay edge
	Boxing
	Pouring // mixing and pouring, of one half or part
	Bedding // clay bed and keys
	Turning // turning over, cleaning, release
	Claying // the clay blanket
	Shelling
	Clearing // clearing the clay out and refitting the shell
	Coating
	Plugging // a small hole that would lock, filled with wax or clay
	Piecing  // a loose piece, filled into its hollow, trimmed and released
	Cutting  // the blade, or the fin that stands in for it
	Demolding
	Trying  // a trial casting
	OwnTime // the shop's own hours for a whole step
)

// minutes a task takes by class. Judgement of this program. A fin is taken to be
// as much work as the cut that it spares.
var minutes = [...][classes]float64{
	Planning:  {10, 15, 20, 30, 45},
	Sealing:   {10, 15, 25, 45, 90},
	Fixing:    {10, 10, 15, 25, 40},
	Boxing:    {10, 15, 25, 45, 75},
	Pouring:   {10, 12, 15, 25, 40},
	Bedding:   {30, 50, 90, 180, 360},
	Turning:   {10, 10, 15, 30, 60},
	Claying:   {20, 30, 60, 120, 240},
	Shelling:  {20, 25, 40, 75, 150}, // a piece, of plaster
	Clearing:  {15, 20, 30, 50, 90},
	Coating:   {10, 12, 20, 40, 80}, // a coat, stirred in one cup
	Plugging:  {3, 3, 3, 4, 5},
	Piecing:   {20, 22, 30, 55, 100}, // a cup mixed as for a pour, cleaning and release as for a turn
	Cutting:   {5, 8, 12, 20, 30},
	Demolding: {5, 10, 15, 30, 60},
	Trying:    {15, 20, 30, 45, 90},
}

// Of is how many minutes a task takes once, by class; 0 for OwnTime, which has no
// class.
func (t Task) Of(c Class) float64 {
	if t < 0 || int(t) >= len(minutes) {
		return 0
	}
	return minutes[t][min(max(c, S1), S5)]
}

// stirring is how many of a coat's minutes go into stirring the one cup that it is
// taken to be mixed in; common practice, no source.
const stirring = 4

// Brushing is how many minutes it takes one person to brush a coat on a pattern of a
// class, without stirring.
func (c Class) Brushing() float64 { return Coating.Of(c) - stirring }

// Step is a group of tasks, as a shop states hours for it.
type Step int

// The steps.
const (
	Preparing Step = iota
	Holding        // what holds the rubber: box, clay blanket and shell
	Filling        // each pour, with its bed
	Opening        // demolding, cutting and the trial
)

// Step is what a task belongs to.
func (t Task) Step() Step {
	switch t {
	case Planning, Sealing, Fixing, Plugging:
		return Preparing
	case Boxing, Claying, Shelling, Clearing:
		return Holding
	case Pouring, Bedding, Turning, Coating, Piecing:
		return Filling
	}
	return Opening
}

// once reports whether a task is done once for a pattern, however many molds are
// made of it.
func (t Task) once() bool { return t == Planning || t == Sealing || t == Boxing || t == Plugging }

// Careful is how many times as long everything takes on a pattern that cannot be
// replaced. Judgement of this program.
const Careful = 1.5

// Factors of minutes. Judgements of this program.
const (
	laminate    = 1.3 // a piece of shell of glass laminate, against plaster
	crooked     = 1.5 // a bed along a parting that is not flat
	crookedFrom = 5   // mm of its flatness
	firstOfKind = 1.3
)

// Usual counts where a Work says none. Judgements of this program.
const (
	usualParts  = 3
	usualPieces = 2
)

// usualCoats that are brushed on, by class; common practice and judgement of this
// program. gloveCoats make a skin of 2 to 3 mm, or 3 to 5.
var (
	usualCoats = [classes]int{3, 3, 4, 5, 6}
	gloveCoats = [classes]int{2, 2, 3, 3, 3}
)

// Coats is how many coats of rubber are brushed on a pattern of a class where
// nothing else is said.
func (c Class) Coats() int { return usualCoats[min(max(c, S1), S5)] }

// Work is a mold that is to be made. The zero value is an open-faced block of the
// smallest class.
type Work struct {
	Method  Method
	Longest float64 // the pattern's largest size, mm
	Parts   int     // of Parts; under 3 = 3
	Loose   int     // loose pieces, beside the parts
	Pores   int     // small holes that are filled with wax or clay first

	Pieces   int  // of the shell of a blanket; 0 = 2
	Coats    int  // of what is brushed, on each half; 0 = by class
	Laminate bool // the shell is of glass laminate, not plaster
	// Stirred and Brushed are what all batches of a mold, and all coats, take of
	// hands, min, as they are mixed; where pouring takes more than is usual that
	// counts, and so do coats. 0 = by class.
	Stirred, Brushed float64
	Whole            bool // a blanket that is peeled off without a slit
	Fin              bool // a fin in the pour leaves the slit open, no blade cuts it

	InTheRound bool // a cut mold cut from its sprue down both sides
	Across     bool // the seam crosses the face that is shown
	Cavities   int  // of a mold that several patterns share; 0 = 1

	Flatness float64   // how far the parting leaves its plane, mm
	Walls    Container // of a mold that is poured in a box
	Boards   int       // of a polygon

	Irreplaceable bool // the pattern
	Weak          bool // the pattern is porous or weak, and not sealed
	First         bool // the first of its kind for the shop

	Sealer bool // a sealer has to dry on the pattern
	Cure   Cure
	Airing bool // tin-cure silicone stands open to the air before resin is cast in it

	Own Hours // the shop's; they win for their step
}

// Hours are a shop's own, for one mold; nil = not stated.
type Hours struct{ Prepare, Hold, Fill, Open *float64 } // Fill is of each pour

// Container is what a block or its like is poured in, as far as labor goes.
type Container int

// The containers.
const (
	Square Container = iota // four boards, clamped; also a trough, or sheet wrapped round
	Polygon
	Tube
	OwnBox
)

// Minutes at the saw. Judgements of this program.
const (
	sawSquare  = 15.0
	sawSet     = 15.0 // to set the blade for bevels
	sawBoard   = 4.0  // for each bevelled board
	sawTrying  = 10.0 // to try them together
	leastBoxed = 0.5  // of a box's minutes, for what needs no saw
)

// Sawing is how many minutes are spent at the saw for a container of some boards,
// of which a polygon alone asks.
func Sawing(c Container, boards int) float64 {
	switch c {
	case Square:
		return sawSquare
	case Polygon:
		return sawSet + float64(sawBoard*float64(max(boards, 0))) + sawTrying
	}
	return 0
}

// boxed is how many minutes the box takes: those of a square one, and what more or
// less is sawn.
func (w Work) boxed(c Class) float64 {
	square := Boxing.Of(c)
	return max(float64(leastBoxed*square), square+Sawing(w.Walls, w.Boards)-sawSquare)
}

func (w Work) parts() int { return max(w.Parts, usualParts) }

// Pours is how many times rubber is poured, or a half brushed.
func (w Work) Pours() int {
	switch w.Method {
	case TwoPart, BrushedHalves, PouredHalves:
		return 2
	case Parts:
		return w.parts()
	}
	return 1
}

// times is how often each task is done, a part of a time where it takes longer for
// the same thing: two halves are boxed once and a half, a cut mold is cut all
// round.
func (w Work) times(c Class) [OwnTime]float64 {
	n := float64(w.Pours())
	t := [OwnTime]float64{Planning: 1, Sealing: 1, Fixing: 1, Plugging: float64(max(w.Pores, 0)), Boxing: 1, Pouring: n, Bedding: n - 1, Turning: n - 1, Piecing: float64(max(w.Loose, 0)), Demolding: 1, Trying: 1}
	t[Boxing] = (n + 1) / 2
	if w.Cavities > 1 { // each pattern by itself
		t[Sealing], t[Fixing] = float64(w.Cavities), float64(w.Cavities)
	}
	coats := float64(c.Coats())
	if w.Coats > 0 {
		coats = float64(w.Coats)
	}
	switch w.Method {
	case Slit:
		t[Cutting] = 1
	case CutOpen:
		t[Fixing], t[Cutting] = 1.5, 2
	case Parts:
		t[Planning] = 1.5
	case Poured, PouredHalves: // clay and case cover half the pattern each time
		t[Boxing], t[Claying], t[Clearing] = 0, 1, 1
	case Brushed, BrushedHalves:
		t[Boxing], t[Pouring], t[Coating] = 0, 0, n*coats
	case Glove:
		if w.Coats <= 0 {
			coats = float64(gloveCoats[c])
		}
		t[Boxing], t[Pouring], t[Coating] = 0, 0, coats
	}
	if w.Method.blanket() {
		t[Shelling] = usualPieces
		if w.Pieces > 0 {
			t[Shelling] = float64(w.Pieces)
		}
		if w.slit() {
			t[Cutting] = 1
		}
	}
	if w.Laminate {
		t[Shelling] *= laminate
	}
	if w.Flatness > crookedFrom {
		t[Bedding] *= crooked
	}
	return t
}

// Line is what one task takes for one mold.
type Line struct {
	Task    Task
	Step    Step
	Minutes float64
	Times   float64 // how often it is done; part of a time where it takes longer
	Once    bool    // it serves for further molds of the same pattern
}

// own is the shop's own hours for a step of one mold; false where none are stated.
func (w Work) own(s Step) (hours float64, ok bool) {
	p := [...]*float64{Preparing: w.Own.Prepare, Holding: w.Own.Hold, Filling: w.Own.Fill, Opening: w.Own.Open}[s]
	if p == nil {
		return 0, false
	}
	if s == Filling {
		return *p * float64(w.Pours()), true
	}
	return *p, true
}

// Lines are the tasks of the work with their minutes, in the order of steps, and
// within a step in the order of tasks. What takes no time is not listed; a shop's
// own hours are one line for their step, of which preparing and holding serve for
// every mold of the pattern.
func (w Work) Lines() (out []Line) {
	c, _ := ClassOf(w.Longest)
	times, factor := w.times(c), 1.0
	if w.Irreplaceable {
		factor *= Careful
	}
	if w.First {
		factor *= firstOfKind
	}
	for s := Preparing; s <= Opening; s++ {
		if h, ok := w.own(s); ok {
			if h > 0 {
				out = append(out, Line{OwnTime, s, 60 * h, 1, s == Preparing || s == Holding})
			}
			continue
		}
		for t := Planning; t < OwnTime; t++ {
			if t.Step() != s || times[t] <= 0 {
				continue
			}
			each := t.Of(c)
			if t == Boxing {
				each = w.boxed(c)
			}
			takes := float64(times[t]*each) * factor
			switch {
			case t == Pouring:
				takes = max(takes, w.Stirred)
			case t == Coating && w.Brushed > 0:
				takes = w.Brushed
			}
			out = append(out, Line{t, s, takes, times[t], t.once()})
		}
	}
	return out
}

// Takes is how many minutes a task takes for one mold in all, whatever hours a shop
// states for its step.
func (w Work) Takes(t Task) (minutes float64) {
	w.Own = Hours{}
	for _, l := range w.Lines() {
		if l.Task == t {
			minutes += l.Minutes
		}
	}
	return minutes
}

// Hours is how long a step takes for a number of molds of one pattern, h.
func (w Work) Hours(s Step, molds int) float64 {
	sum := 0.0
	for _, l := range w.Lines() {
		switch {
		case l.Step != s:
		case l.Once:
			sum += l.Minutes
		default:
			sum += float64(l.Minutes * float64(max(molds, 1)))
		}
	}
	return sum / 60
}

// Reckoned is what a work comes to.
type Reckoned struct {
	Lines   []Line
	Minutes float64 // for the first mold
	Again   float64 // for each further one of the same pattern
	Days    Days
	Risk    Risk
	Seam    Seam
	Life    float64 // times the castings that the rubber gives
	// Divided says that the pattern is too large for a solid mold of it: it has to
	// be divided, and the minutes are of one part.
	Divided bool
	// Endangers says that the pattern cannot be replaced and is at risk: this work
	// is not to be done.
	Endangers bool
}

// Reckon says what a work comes to.
func Reckon(w Work) Reckoned {
	r := Reckoned{Lines: w.Lines(), Days: w.Days(), Risk: w.Risk(), Seam: w.Seam(), Life: w.LifeFactor(), Endangers: w.Endangers()}
	for _, l := range r.Lines {
		r.Minutes += l.Minutes
		if !l.Once {
			r.Again += l.Minutes
		}
	}
	_, beyond := ClassOf(w.Longest)
	r.Divided = beyond && !w.Method.blanket() && w.Method != Glove
	return r
}
