package rubber

import (
	"math"
	"slices"

	"moldtally/estimate/material"
	"moldtally/mesh/finding"
	"moldtally/mesh/unit"
)

// Shape is what a mold's shape asks of its rubber. Lengths in mm; strains are
// length added per length.
type Shape struct {
	Stretch *float64 // of the mouth over the widest bulge; nil = no finite figure
	Squeeze float64  // of rubber inside the pattern, 0 to 1
	Path    *float64 // deepest undercut by the way out; nil = no way out
	Gap     float64  // height of that undercut, 0 = unknown
	Pocket  bool     // it is a pocket (a hole in the side), not an overhang
	Mouth   float64  // perimeter of the mouth
	Wall    float64  // thickness of rubber
	Longest float64  // the pattern's longest size
	Pieces  int      // of the mold: 2 for keyed halves
	Slit    bool     // cut open: no ring of rubber has to stretch
	Angular bool     // flat faces and sharp edges, nothing undercut
	// Original says that the pattern cannot be replaced.
	Original bool

	// Profiles are the parts of the pattern that rings of rubber hold; none where
	// nothing has to stretch, or that is not known.
	Profiles []Profile
	Beside   float64 // thickness of rubber beside the widest section in its container, 0 = Wall

	Root   float64         // thickness of rubber inside the pattern at its root, 0 = unknown
	Tongue float64         // how long that is, 0 = unknown
	Head   float64         // height of the casting in the mold, 0 = unknown
	Even   bool            // a blanket: no thicker at a neck than elsewhere, and a mother mold carries it
	Copies int             // castings wanted of one mold; 0 = not said: a long life
	Family material.Family // of the rubber, as far as that is settled; "" = silicone
	Flap   bool            // Gap is the height of a flap that swings open along a seam
	There  float64         // thickness of rubber where that undercut is, 0 = Wall
	Next   *float64        // path of the deepest undercut but for the pocket; nil = not looked at
}

// Want is one thing that asks for a soft or a firm rubber.
type Want struct {
	Soft   bool
	ShoreA float64 // at most (soft) or at least (firm)
	Why    finding.Remark
	Source finding.Remark // where the bound came from
	Won    bool
	Vain   bool // no softness helps: it is told, and binds nothing
	Must   bool // no softer rubber does it at all
}

// Range is the hardness that would do. Low and High are nil where nothing does.
type Range struct {
	Low, High             *float64
	LowReason, HighReason finding.Remark
	Wants                 []Want
	Preferred             float64
	Conflict              *Conflict // who disagreed and who won; nil = nobody
	Needed                Strain

	LowSource, HighSource finding.Remark
	// AskedLow and AskedHigh are the bounds before anything was overruled:
	// where the low one is the higher, no rubber does all that is asked.
	AskedLow, AskedHigh float64
	Life                Life    // what the copies ask of a mold
	Share               float64 // the part of its elongation that may be used for that
	// Unmet says that no hardness serves: what lets go would be softer than foam, or
	// the mold's size, allows.
	Unmet bool
}

// Empty reports whether no rubber does all that is asked.
func (r Range) Empty() bool { return r.AskedLow > r.AskedHigh }

// Strain is what stripping asks of the rubber. Value is nil where no finite
// stretch does it.
type Strain struct {
	Value *float64
	Why   Straining
	Hoop  bool // a closed ring must stretch: a slit would relieve it
}

// The hardnesses that are sold for molds, Shore A.
const (
	Softest = 5.0
	Hardest = 60.0
)

// Bounds that ask for soft or firm. All are judgements or shop habits without a
// source; strain rules wherever it can be reckoned.
const (
	keyedAtLeast   = 25.0  // keyed halves: a key of softer rubber does not seat
	largeMM        = 300.0 // from here on a mold sags under itself
	smallMM        = 50.0  // up to here the softest rubber of all is a mold
	largeAtLeast   = 25.0
	hugeMM         = 600.0
	hugeAtLeast    = 30.0
	angularAtLeast = 30.0 // flat faces bulge in softer rubber
	registerAt     = 40.0 // keyed halves round flat faces: precise shapes are cast in 35 to 60 A

	// Tolerance is how far, mm, a mold may give way under the casting.
	Tolerance = 0.5

	wallMM   = 12.0 // usual cover where none is known
	habitMM  = 25.0 // half the width (40 to 60 mm) for which the shop's depths hold
	pocketMM = 25.0 // at that width a pocket deeper than this is opened, not stripped

	// MostComfortable and MostEver are the strains past which no rubber is
	// planned for a useful life, and at all.
	MostComfortable = 1.00
	MostEver        = 2.00
)

// The softest rubber, Shore A, that is poured for a mold which carries itself, by
// its size: softer it is jelly, which neither holds the casting's shape nor stands
// being lifted. A coat in its mother mold is as a mold of middle size. Judgement of
// this program.
const (
	softestMiddle = 10.0
	softestLarge  = 15.0
	softestHuge   = 20.0
)

// softestUsual is what is asked for where the strain is more than any rubber stands
// for long: softer ones tear as soon. Judgement of this program.
const softestUsual = 15.0

// softest is the softest rubber that is planned for a mold of this size.
func (s Shape) softest() float64 {
	switch {
	case s.Longest <= smallMM:
		return Softest
	case s.Even || s.Longest < largeMM:
		return softestMiddle
	case s.Longest < hugeMM:
		return softestLarge
	}
	return softestHuge
}

// OriginalAtMost is the firmest rubber, Shore A, that is peeled off a pattern which
// cannot be replaced. Judgement of this program.
const OriginalAtMost = 25.0

// habits are the depths of undercut that rubber lets go of in palm-size parts:
// shop habit, contested, no source. At most mm deep: at most ShoreA.
var habits = []struct{ mm, shoreA float64 }{{2, Hardest}, {4, 45}, {8, 30}, {15, 20}, {math.Inf(1), 15}}

// strains are the comfortable and the largest stretch at the neck by hardness;
// judgement: no published fraction of the elongation for mold rubber is known.
// Between the middles of the classes it is taken as straight.
var strains = []struct{ shoreA, comfortable, limit float64 }{
	{8.5, 1.00, 2.00}, {18.5, 0.75, 1.50}, {28.5, 0.50, 1.00}, {43, 0.30, 0.75}, {55, 0.15, 0.40},
}

// strainsPU replace the upper classes for polyurethane rubber, which stretches
// further at the same hardness.
var strainsPU = []struct{ shoreA, comfortable, limit float64 }{
	{8.5, 1.00, 2.00}, {18.5, 0.75, 1.50}, {28.5, 0.50, 1.00}, {56, 0.30, 1.00}, {75, 0.15, 0.50},
}

// Stands returns the stretch that rubber of a hardness and family stands often
// (comfortable) and at most (limit). An elongation at break, per cent, of a
// data sheet lowers both: to a quarter of it for a long life, half for a few
// pulls (judgement; 0 = unknown).
func Stands(shoreA float64, f material.Family, elongation float64) (comfortable, limit float64) {
	table := strains
	if f == material.Polyurethane {
		table = strainsPU
	}
	i := 1
	for i < len(table)-1 && shoreA > table[i].shoreA {
		i++
	}
	a, b := table[i-1], table[i]
	x := (shoreA - a.shoreA) / (b.shoreA - a.shoreA)
	comfortable = min(MostComfortable, max(0.05, a.comfortable+x*(b.comfortable-a.comfortable)))
	limit = min(MostEver, max(0.15, a.limit+x*(b.limit-a.limit)))
	if elongation > 0 {
		comfortable = min(comfortable, 0.25*elongation/100)
		limit = min(limit, 0.5*elongation/100)
	}
	return comfortable, limit
}

// The lives that a mold is planned for, and the share of the elongation at
// break that may be used for each: a judgement; published work on fatigue shows
// life falling steeply with strain (W. V. Mars and A. Fatemi, Int. J. Fatigue 24
// (2002) 949-961), but no fraction for mold rubbers.
const (
	longShare, normalShare, fewShare = 0.25, 0.33, 0.5

	// Copies of one mold up to which it has to give few castings, and a normal
	// number; past that, and where nothing is said, it is planned for long.
	fewCopies, normalCopies = 5, 30
)

// Life is how long a mold has to last.
type Life string

// The lives.
const (
	LongLife    Life = "long"
	NormalLife  Life = "normal" // some dozen castings
	FewCastings Life = "few"
)

// LifeFor returns what a number of copies asks of a mold (0 = not said = long)
// and the share of the rubber's elongation at break that may be used for it.
func LifeFor(copies int) (l Life, share float64) {
	switch {
	case copies > 0 && copies <= fewCopies:
		return FewCastings, fewShare
	case copies > 0 && copies <= normalCopies:
		return NormalLife, normalShare
	}
	return LongLife, longShare
}

// Allowed is the strain that rubber of a hardness, family and elongation at
// break (per cent, 0 = unknown) stands for a life, as a share of its elongation
// between a quarter (Stands' comfortable) and half (its limit).
func Allowed(shoreA float64, f material.Family, elongation, share float64) float64 {
	c, l := Stands(shoreA, f, elongation)
	return c + (share-longShare)/(fewShare-longShare)*(l-c)
}

// hardest returns the firmest rubber of a family that stands eps for a life, or
// false where even the softest does not.
func hardest(eps float64, f material.Family, share float64) (float64, bool) {
	for s := Hardest; s >= Softest; s-- {
		if Allowed(s, f, 0, share) >= eps {
			return s, true
		}
	}
	return 0, false
}

// Strip returns the strain that stripping asks for: the largest of the stretch
// of the mouth, the thinning of a tongue inside the pattern, and bending round
// an undercut.
//
// A tongue of rubber that must be thinned by a share s is drawn to
// 1/(1−s)² times its length, since rubber keeps its volume. Rubber of thickness
// t that swings out by the path p within the height g of an undercut bends to
// the radius (g²+p²)/(2p) of the arc through both, which strains its skin by
// t/(2R). A lip is taken as at least twice as long as it is thick: shorter ones
// give by shear, not by bending (judgement).
func (s Shape) Strip() Strain {
	out := Strain{Value: new(float64)}
	take := func(v float64, hoop bool, why Straining) {
		if out.Value != nil && v > *out.Value {
			out = Strain{&v, why, hoop}
		}
	}
	if s.Path == nil {
		return Strain{nil, Straining{By: LockedIn}, false}
	}
	if p := *s.Path; p > 0 {
		t := s.lip()
		g := max(s.Gap, 2*t)
		e := t * p / (g*g + p*p)
		why := Straining{By: Bending, Thick: unit.Length(t), Deep: unit.Length(p), Share: e}
		if s.Flap {
			why.By, why.High = FlapBending, unit.Length(s.Gap)
		}
		take(e, false, why)
	}
	if s.Squeeze > 0 {
		if s.Squeeze >= 0.95 {
			return Strain{nil, Straining{By: SqueezedShut}, false}
		}
		k := 1 / (1 - s.Squeeze)
		take(k*k-1, false, Straining{By: Squeezed, Share: s.Squeeze, Drawn: k*k - 1})
	}
	if !s.Slit {
		if s.Stretch == nil {
			return Strain{nil, Straining{By: MouthClosed}, true}
		}
		take(*s.Stretch, true, Straining{By: MouthOpening, Share: *s.Stretch})
	}
	return out
}

// Habit returns the shop's rule for the depth of an undercut, scaled to the
// width of the part, and the hardness it asks for at most.
func (s Shape) habit() (mm, shoreA float64) {
	mm = *s.Path * habitMM / max(habitMM, s.Mouth/(2*math.Pi))
	for _, h := range habits {
		if mm <= h.mm {
			return mm, h.shoreA
		}
	}
	return mm, Softest
}

// TooDeep reports whether the deepest undercut is a pocket so deep that a mold
// in one piece is opened to let go of it.
func (s Shape) TooDeep() bool {
	if s.Path == nil {
		return true
	}
	mm, _ := s.habit()
	return s.Pocket && mm > pocketMM
}

func (s Shape) wall() float64 {
	if s.Wall > 0 {
		return s.Wall
	}
	return wallMM
}

// lip is how thick rubber is that swings out of the deepest undercut.
func (s Shape) lip() float64 {
	if s.There > 0 {
		return s.There
	}
	return s.wall()
}

// Suggest returns the range of hardness, everything that asked for soft or
// firm, and who won. cast may be nil. There is no perfect rubber: where reasons
// disagree, what lets go of the casting wins over what holds its shape, since a
// mold that cannot be opened is worth nothing and one that sags can be held in
// its box; dusted metal powder asks for soft whatever else.
func Suggest(s Shape, cast *material.Casting) Range {
	r := Range{Needed: s.Strip()}
	r.Life, r.Share = LifeFor(s.Copies)
	r.Wants = s.soft(r)
	powder := false
	if cast != nil && cast.Wants != "" {
		lo, hi := cast.ShoreA.Range()
		w := Want{ShoreA: lo, Why: finding.Remark{Facts: ByCasting{cast.What, lo, hi}}, Source: finding.Remark{Facts: cast.ShoreA.Source}, Won: true, Must: cast.Pressure != nil}
		if powder = cast.Wants == material.WantsSoft; powder {
			w.Soft, w.ShoreA, w.Why.Facts, w.Must = true, hi, ByCasting{Low: lo, High: hi}, false
		}
		r.Wants = append(r.Wants, w)
	}
	r.Wants = append(r.Wants, s.firm()...)
	held := s.held(cast)
	if held.ShoreA > Softest {
		r.Wants = append(r.Wants, held)
	}
	r.bounds(held, powder, s)

	// What to look for first: the usual hardness of the casting, or of a plain
	// job, as far as the range allows; for a real stretch the firmest that lets
	// go, which tears least.
	want := 30.0
	if cast != nil {
		want = cast.ShoreA.Value
	}
	if s.Angular && s.Pieces > 1 {
		want = max(want, registerAt)
	}
	if slices.ContainsFunc(r.Wants, func(w Want) bool { return w.Soft && !w.Vain && !powder }) {
		want = min(want, *r.High)
	}
	r.Preferred = min(*r.High, max(*r.Low, want))
	return r
}

// soft is what asks for a soft rubber: the strain, what hands pull, the shop's
// depths. Where rubber is locked in, the strain is beyond what any stands, or even
// the softest is more than hands pull, no softness helps: that is for another mold.
func (s Shape) soft(r Range) (out []Want) {
	ask := func(at float64, source Basis, why any) *Want {
		out = append(out, Want{Soft: true, ShoreA: at, Why: finding.Remark{Facts: why}, Source: finding.Remark{Facts: source}, Won: true})
		return &out[len(out)-1]
	}
	vain := func(source Basis, why any) {
		w := ask(softestUsual, source, why)
		w.Vain, w.Won = true, false
	}
	softest := Allowed(Softest, s.Family, 0, r.Share)
	switch v := r.Needed.Value; {
	case v == nil:
		vain(Unbounded, r.Needed.Why)
	case *v > MostEver:
		vain(StrainTable, Endures{r.Needed.Why, 0, softest, r.Life})
	case *v > softest:
		ask(softestUsual, StrainTable, Endures{r.Needed.Why, 0, softest, r.Life})
	case *v > 0.02:
		if at, ok := hardest(*v, s.Family, r.Share); ok && at < Hardest {
			ask(at, StrainTable, Endures{r.Needed.Why, at, Allowed(at, s.Family, 0, r.Share), r.Life})
		}
	}
	if v := r.Needed.Value; v != nil && *v <= MostEver {
		hands := s.Hands()
		if at, ok := hands.Most(); at < Hardest {
			w := ask(at, HandForce, ByHand{HandN, hands.How, unit.Force(hands.In(at)), at, FitFactor(at), !ok})
			w.Vain, w.Won = !ok, ok
		}
	}
	if s.Original {
		ask(OriginalAtMost, Gentle, ByOriginal{OriginalAtMost})
	}
	// The shop's depths are about stripping a whole mold; a slit one swings open.
	if s.Path != nil && *s.Path > 0 && !s.Slit {
		if mm, at := s.habit(); at < Hardest {
			h := ByHabit{Deep: unit.Length(*s.Path), Shore: at}
			if mm < *s.Path*0.99 {
				h.Palm = unit.Length(mm)
			}
			ask(at, Habit, h)
		}
	}
	return out
}

// firm is what asks for a firm rubber by the shop's habits. What a mother mold
// carries is nothing that a blanket is asked for.
func (s Shape) firm() (out []Want) {
	ask := func(at float64, why any) {
		out = append(out, Want{ShoreA: at, Why: finding.Remark{Facts: why}, Source: finding.Remark{Facts: Habit}, Won: true})
	}
	if s.Pieces > 1 {
		ask(keyedAtLeast, ByKeys{keyedAtLeast})
	}
	if s.Even {
		return out
	}
	switch {
	case s.Longest >= hugeMM:
		ask(hugeAtLeast, BySize{unit.Length(s.Longest), hugeAtLeast, true})
	case s.Longest >= largeMM:
		ask(largeAtLeast, BySize{unit.Length(s.Longest), largeAtLeast, false})
	}
	if s.Angular {
		ask(angularAtLeast, ByFlats{angularAtLeast})
	}
	return out
}

// bounds sets the range by what is wanted: the firmest that asks for firm, the
// softest that asks for soft. Where they disagree soft wins, down to the softest
// that is poured for a mold of that size; but foam presses a softer rubber out of
// shape, and dusted powder wins in any case.
func (r *Range) bounds(held Want, powder bool, s Shape) {
	low, high, must := Softest, Hardest, s.softest()
	r.LowReason, r.HighReason = finding.Remark{Facts: Unasked{Held: held.Why}}, finding.Remark{Facts: Unasked{Softer: true}}
	r.LowSource, r.HighSource = finding.Remark{Facts: SoftestUsed}, finding.Remark{Facts: HardestSold}
	if must > low {
		low, r.LowReason, r.LowSource = must, finding.Remark{Facts: Jelly{unit.Length(s.Longest), must}}, finding.Remark{Facts: TooSoft}
	}
	wins, least, source, lets := SoftWins, r.LowReason, r.LowSource, Hardest
	r.AskedHigh = Hardest
	for _, w := range r.Wants {
		switch {
		case w.Soft:
			// What a shop's habit or care asks for may be given away.
			if b, _ := w.Source.Facts.(Basis); w.ShoreA < lets && !w.Vain && b != Habit && b != Gentle {
				lets = w.ShoreA
			}
			r.AskedHigh = min(r.AskedHigh, w.ShoreA)
			if w.ShoreA < high && !w.Vain {
				high, r.HighReason, r.HighSource = w.ShoreA, w.Why, w.Source
			}
			continue
		case w.Must && w.ShoreA > must:
			must, least, source, wins = w.ShoreA, w.Why, w.Source, FoamWins
		}
		if w.ShoreA > low {
			low, r.LowReason, r.LowSource = w.ShoreA, w.Why, w.Source
		}
	}
	r.AskedLow, r.Unmet = low, lets < must-Near
	switch {
	case high < must:
		// What lets go is softer than what holds.
		if wins == SoftWins {
			wins = SizeWins
		}
		r.Conflict = &Conflict{least, r.HighReason, must, high, wins}
		for i := range r.Wants {
			r.Wants[i].Won = r.Wants[i].Won && !r.Wants[i].Soft
		}
		low, high, r.LowReason, r.LowSource = must, must, least, source
	case low > high || powder && low > must:
		r.Conflict = &Conflict{Low: r.LowReason, High: r.HighReason, LowShore: low, HighShore: high}
		if low <= high {
			r.Conflict.Wins = PowderWins
		}
		for i := range r.Wants {
			w := &r.Wants[i]
			w.Won = w.Won && (w.Soft || w.ShoreA <= must)
		}
		low, r.LowReason, r.LowSource = must, finding.Remark{Facts: Overruled{}}, finding.Remark{}
	}
	r.Low, r.High = &low, &high
}

// held is the softest rubber that keeps its shape under the casting in its
// container or mother mold, with what it gives way there.
func (s Shape) held(cast *material.Casting) Want {
	if s.Head <= 0 {
		return Want{}
	}
	if cast != nil && cast.Pressure != nil {
		lo, hi := cast.Pressure.Range()
		return Want{ShoreA: Softest, Won: true, Source: finding.Remark{Facts: cast.Pressure.Source},
			Why: finding.Remark{Facts: HeldIn{Low: unit.Pressure(lo), Most: unit.Pressure(hi)}}}
	}
	density := resinSG
	if cast != nil {
		density = cast.SG.Value
	}
	give := func(at float64) float64 { return PressedIn(young(at), s.wall(), s.Head, density) }
	at := Softest
	for at < Hardest && give(at) > Tolerance {
		at++
	}
	return Want{ShoreA: at, Won: true, Source: finding.Remark{Facts: SlabUnderHead},
		Why: finding.Remark{Facts: HeldIn{Shore: at, Gives: unit.Length(give(at)), High: unit.Length(s.Head), Cast: cast != nil}}}
}

// resinSG is the gravity of plain resin, which is taken where it is not said what
// is cast (from memory).
const resinSG = 1.1
