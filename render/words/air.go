package words

import (
	"math"

	"moldtally/mesh"
	"moldtally/mesh/demold/air"
	"moldtally/mesh/unit"
)

var airFindings = findings{
	air.CodeRubber: tells(func(v voice, f air.Caught) Told {
		return Told{v.caught(f), "the rubber leaves a hole there and the casting comes out with a lump", v.clearRubber(f)}
	}),
	air.CodeCasting: tells(func(v voice, f air.Caught) Told {
		hint := v.clearSprue(f)
		if f.Mouth {
			hint = v.clearMouth(f)
		}
		return Told{v.caught(f), "the casting comes out with that tip missing", hint}
	}),
}

func (v voice) caught(f air.Caught) string {
	where := "one place"
	if f.Places > 1 {
		where = whole(f.Places) + " places, the largest here"
	}
	what := string(f.Pour)
	if f.Half != air.Whole {
		what += " of the " + string(f.Half) + " half"
	}
	return "while the " + what + " is poured, " + v.roughly(f.Volume) + " of air is caught in " + where
}

// roughly writes a volume of air, which is known to a tenth or so, to two digits.
func (v voice) roughly(q unit.Volume) string {
	two := func(x float64) string { return digits(x, 2) }
	switch {
	case v.us:
		return v.volume(q)
	case q < unit.CM3:
		return v.mm3(q, two)
	}
	return v.cm3(q, two)
}

// tip words how to tip something.
func (v voice) tip(what string, t *air.Tip) string {
	deg := float64(t.Angle) * 180 / math.Pi
	return "tip " + what + " by " + fixed(0)(math.Ceil(deg-1e-6)) + "° with " + v.looks(t.Down, "down")
}

// looks words the side of something that looks along d, and where that side is put.
func (v voice) looks(d mesh.Vec, put string) string {
	if v.seen != nil {
		return "its " + v.seen.Side(d.Array()) + " side " + put
	}
	return "the side " + put + " that looks " + Side(d)
}

// vents words where the vents stand, the first few of them.
func (v voice) vents(at []mesh.Vec) string { return v.spots(at, 3) }

// spots words places, the first few of them.
func (v voice) spots(at []mesh.Vec, few int) string {
	if v.seen != nil {
		few = 1 // such places take many words
	}
	var s string
	for k, p := range at {
		if k == few {
			return s + " and " + whole(len(at)-few) + " more"
		}
		if k > 0 {
			s += "; "
		}
		s += v.spot(p)
	}
	return s
}

// spot writes a place to the millimetre.
func (v voice) spot(p mesh.Vec) string {
	if v.seen != nil {
		return v.seen.Place(p.Array())
	}
	return at(p.Array(), func(x float64) string { return fixed(0)(math.Round(x) + 0) }) + " mm"
}

// tallBox is how far over the pattern a box reaches at most by itself, mm: the
// thickest cover that is usual. Common practice, no source.
const tallBox = 25

// boxOver rounds up, so that the box is not too low.
func (v voice) boxOver(over unit.Length) string {
	if v.us {
		return v.mmUp(over)
	}
	return fixed(0)(math.Ceil(float64(over))) + " mm"
}

func (v voice) clearRubber(f air.Caught) string {
	vent := "brush a first coat into " + v.vents(f.Vents) + ", or drill a fine vent through the pattern there"
	if f.Tip == nil {
		return vent
	}
	s := v.tip("the board", f.Tip) + " while pouring until the place is covered, then set it level"
	if f.Tip.Over > 0 {
		s += "; the box has to reach " + v.boxOver(f.Tip.Over) + " over the pattern"
		if f.Tip.Over > tallBox {
			s += ", and where that is too high, brush a first coat into the place instead"
		}
	}
	if f.Left == 0 {
		return s + "; no air is left"
	}
	return s + "; of the " + v.roughly(f.Left) + " that stays " + vent
}

// blemish words what to do about air too little to vent.
const blemish = "dust such small places with talc, or fill what they leave"

func (v voice) clearMouth(f air.Caught) string {
	vent := "prick a vent from " + v.vents(f.Vents) + " to the outside, or swill the first of the casting round and fill in two pours"
	if len(f.Vents) == 0 {
		vent = blemish
	}
	if f.Tip == nil {
		return vent
	}
	s := v.tip("the mold", f.Tip) + " while filling, then set it level and top it up"
	if f.Left == 0 {
		return s + "; no air is left"
	}
	return s + "; for the " + v.roughly(f.Left) + " that stays " + vent
}

func (v voice) clearSprue(f air.Caught) string {
	s := "stand the mold with " + v.looks(f.Up, "up")
	if f.Sprue != nil {
		s += "; set the sprue at " + v.spot(*f.Sprue)
	}
	if f.Tip != nil {
		s += "; " + v.tip("the mold", f.Tip) + " until the casting has set"
	}
	switch {
	case f.Left == 0:
		return s + "; no air is left"
	case len(f.Vents) == 0:
		return s + "; " + blemish
	case len(f.Vents) == 1:
		return s + "; cut a vent from " + v.vents(f.Vents) + " up to the outside, so that it ends above the sprue's rim"
	}
	return s + "; cut vents from " + v.vents(f.Vents) + " up to the outside, so that they end above the sprue's rim" + flatter(f)
}

// flatter says that a rough foot, made flat, spares the vents that it asks for.
func flatter(f air.Caught) string {
	if f.OnFoot == 0 {
		return ""
	}
	return "; " + whole(f.OnFoot) + " of those vents are on the rough side that is up: rub it flat on the pattern first (or cut the castings flat there), and one does for them"
}

// Side words the side of the pattern that faces along d, in the file's axes:
// "+x", or "+x, 30° toward -z".
func Side(d mesh.Vec) string {
	a := d.Array()
	name := func(k int) string {
		if a[k] < 0 {
			return "-" + string("xyz"[k])
		}
		return "+" + string("xyz"[k])
	}
	first, second := 0, 1
	for k := range a {
		if math.Abs(a[k]) > math.Abs(a[first])+1e-9 {
			first = k
		}
	}
	if first == 1 {
		second = 0
	}
	for k := range a {
		if k != first && math.Abs(a[k]) > math.Abs(a[second])+1e-9 {
			second = k
		}
	}
	deg := math.Round(math.Atan2(math.Abs(a[second]), math.Abs(a[first])) * 180 / math.Pi)
	if deg == 0 {
		return name(first)
	}
	return name(first) + ", " + fixed(0)(deg) + "° toward " + name(second)
}
