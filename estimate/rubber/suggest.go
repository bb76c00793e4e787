package rubber

import (
	"fmt"
	"math"
	"slices"

	"moldtally/estimate/material"
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
}

// Want is one thing that asks for a soft or a firm rubber.
type Want struct {
	Soft   bool
	ShoreA float64 // at most (soft) or at least (firm)
	Why    string
	Won    bool
}

// Range is the hardness that would do. Low and High are nil where nothing does.
type Range struct {
	Low, High             *float64
	LowReason, HighReason string
	Wants                 []Want
	Preferred             float64
	Conflict              string // who disagreed and who won; "" = nobody
	Needed                Strain
}

// Strain is what stripping asks of the rubber. Value is nil where no finite
// stretch does it.
type Strain struct {
	Value *float64
	Why   string
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
	largeAtLeast   = 25.0
	hugeMM         = 600.0
	hugeAtLeast    = 30.0
	angularAtLeast = 30.0 // flat faces bulge in softer rubber

	gripMM   = 20.0  // width of rubber that fingers take hold of
	handN    = 150.0 // what a hand pulls, from memory: 100 to 200 N
	wallMM   = 12.0  // usual cover where none is known
	habitMM  = 25.0  // half the width (40 to 60 mm) for which the shop's depths hold
	pocketMM = 25.0  // at that width a pocket deeper than this is opened, not stripped

	// MostComfortable and MostEver are the strains past which no rubber is
	// planned for a useful life, and at all.
	MostComfortable = 1.00
	MostEver        = 2.00
)

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

// hardest returns the firmest rubber whose comfortable strain covers eps, or
// false where even the softest's does not.
func hardest(eps float64) (float64, bool) {
	for s := Hardest; s >= Softest; s -= 0.5 {
		if c, _ := Stands(s, material.Platinum, 0); c >= eps {
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
	out := Strain{Value: new(float64), Why: "nothing is undercut"}
	take := func(v float64, hoop bool, why string) {
		if out.Value != nil && v > *out.Value {
			out = Strain{&v, why, hoop}
		}
	}
	if s.Path == nil {
		return Strain{nil, "rubber is locked in: at its own height it has no way out", false}
	}
	if p := *s.Path; p > 0 {
		t := s.Wall
		if t <= 0 {
			t = wallMM
		}
		g := max(s.Gap, 2*t)
		e := t * p / (g*g + p*p)
		take(e, false, fmt.Sprintf("rubber %.3g mm thick bends out of an undercut %.3g mm deep: %.0f %%", t, p, 100*e))
	}
	if s.Squeeze > 0 {
		if s.Squeeze >= 0.95 {
			return Strain{nil, "the rubber inside the pattern would have to be squeezed to nothing", false}
		}
		k := 1 / (1 - s.Squeeze)
		take(k*k-1, false, fmt.Sprintf("rubber inside the pattern is squeezed by %.0f %%, drawn out by %.0f %%", 100*s.Squeeze, 100*(k*k-1)))
	}
	if !s.Slit {
		if s.Stretch == nil {
			return Strain{nil, "the mouth is next to nothing beside the bulge behind it", true}
		}
		take(*s.Stretch, true, fmt.Sprintf("the mouth stretches by %.0f %% over the bulge", 100**s.Stretch))
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

// Force is what opens a grip's width of the mouth of a mold to a strain, N:
// stress of a narrow ring times wall times grip. It is good to FitFactor.
func Force(shoreA, strain, wall float64) float64 {
	return RingStress(1+strain) * young(min(95, max(5, shoreA))) * wall * gripMM
}

// Suggest returns the range of hardness, everything that asked for soft or
// firm, and who won. cast may be nil. There is no perfect rubber: where reasons
// disagree, what lets go of the casting wins over what holds its shape, since a
// mold that cannot be opened is worth nothing and one that sags can be held in
// its box; dusted metal powder asks for soft whatever else.
func Suggest(s Shape, cast *material.Casting) Range {
	r := Range{Needed: s.Strip()}
	soft := func(at float64, why string) { r.Wants = append(r.Wants, Want{true, at, why, true}) }
	firm := func(at float64, why string) { r.Wants = append(r.Wants, Want{false, at, why, true}) }

	wall := s.Wall
	if wall <= 0 {
		wall = wallMM
	}
	switch {
	case r.Needed.Value == nil:
		soft(15, r.Needed.Why)
	case *r.Needed.Value > MostComfortable:
		soft(15, r.Needed.Why+", more than the softest rubber stands for long")
	case *r.Needed.Value > 0.02:
		if at, ok := hardest(*r.Needed.Value); ok && at < Hardest {
			soft(at, r.Needed.Why)
		}
	}
	if v := r.Needed.Value; v != nil && *v > 0.02 && *v <= MostComfortable {
		at := Hardest
		for at > Softest && Force(at, *v, wall) > handN {
			at--
		}
		if at < Hardest {
			soft(at, fmt.Sprintf("hands open it: in %.0f A rubber %.3g mm thick it takes %.0f N by the finger's width, ×/÷ %.1f", at, wall, Force(at, *v, wall), FitFactor(at)))
		}
	}
	// The shop's depths are about stripping a whole mold; a slit one swings open.
	if s.Path != nil && *s.Path > 0 && !s.Slit {
		if mm, at := s.habit(); at < Hardest {
			why := fmt.Sprintf("an undercut %.3g mm deep asks for %.0f A or softer by the shop's habit", *s.Path, at)
			if mm < *s.Path*0.99 {
				why += fmt.Sprintf(" (as %.3g mm would in a palm-size part)", mm)
			}
			soft(at, why)
		}
	}
	powder := false
	if cast != nil {
		lo, hi := cast.ShoreA.Range()
		switch {
		case cast.Wants == "soft":
			powder = true
			soft(hi, fmt.Sprintf("dusted metal powder seats, and its edges do not chip, in soft rubber (%.0f to %.0f A)", lo, hi))
		case cast.Wants == "firm":
			firm(lo, fmt.Sprintf("%s asks for a firm rubber (%.0f to %.0f A)", cast.What, lo, hi))
		}
	}
	if s.Pieces > 1 {
		firm(keyedAtLeast, "keyed parts need a rubber firm enough for the keys to seat")
	}
	switch {
	case s.Longest >= hugeMM:
		firm(hugeAtLeast, fmt.Sprintf("a mold for a pattern %.0f mm long sags in softer rubber", s.Longest))
	case s.Longest >= largeMM:
		firm(largeAtLeast, fmt.Sprintf("a mold for a pattern %.0f mm long is held in shape by a firmer rubber", s.Longest))
	}
	if s.Angular {
		firm(angularAtLeast, "flat faces and sharp edges without undercuts come truer from a firm rubber")
	}

	low, high := Softest, Hardest
	r.LowReason, r.HighReason = "nothing asks for a firmer one", "nothing asks for a softer one"
	for _, w := range r.Wants {
		if w.Soft && w.ShoreA < high {
			high, r.HighReason = w.ShoreA, w.Why
		}
		if !w.Soft && w.ShoreA > low {
			low, r.LowReason = w.ShoreA, w.Why
		}
	}
	if low > high || powder && low > Softest {
		if low > high {
			r.Conflict = fmt.Sprintf("they disagree: %s (%.0f A or more), but %s (%.0f A or less). Soft wins: a mold that does not let go is worth nothing; hold its shape in the box or a mother mold", r.LowReason, low, r.HighReason, high)
		} else {
			r.Conflict = fmt.Sprintf("they disagree: %s, but dusted powder asks for soft, and powder wins", r.LowReason)
		}
		for i := range r.Wants {
			r.Wants[i].Won = r.Wants[i].Soft
		}
		low, r.LowReason = Softest, "what asks for a firmer one was overruled"
	}
	r.Low, r.High = &low, &high

	// What to look for first: the usual hardness of the casting, or of a plain
	// job, as far as the range allows; for a real stretch the firmest that lets
	// go, which tears least.
	want := 30.0
	if cast != nil {
		want = cast.ShoreA.Value
	}
	if slices.ContainsFunc(r.Wants, func(w Want) bool { return w.Soft && !powder }) {
		want = min(want, high)
	}
	r.Preferred = min(high, max(low, want))
	return r
}
