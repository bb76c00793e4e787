package boxfit

import "math"

// Keys of two halves: cones in the flange that hold them in register.
type Keys struct {
	Count    int     // one of them another shape, so that the halves go together one way only
	Diameter float64 // mm
	Depth    float64 // mm
}

// Measures of keys and of the flange that they stand in, mm. Judgement of this
// program, after common practice.
const (
	flangeLeast  = 20.0
	flangeCovers = 1.2 // times the rubber at the sides
	fewestKeys   = 4
	keyLeast     = 6.0
	keyMost      = 15.0
	keyRoom      = 12.0 // 6 to the cavity and 6 to the edge
)

// KeyDraft is how far the sides of a key lean at least, degrees: steeper ones lock or
// tear. Judgement of this program, after common practice.
const KeyDraft = 15.0

// KeyDepth is how deep a key of a diameter is, mm.
func KeyDepth(diameter float64) float64 { return diameter / 2 }

// keyPitch is from key to key along the parting, mm, by the pattern's largest size
// up to which it holds.
var keyPitch = [...]struct{ upTo, pitch float64 }{{150, 50}, {300, 70}, {math.Inf(1), 100}}

// FlangeOf is how wide the bed of clay is round the pattern, mm, and with it the
// flange of two halves whose rubber is a wall thick, mm.
func FlangeOf(wall float64) float64 { return max(flangeLeast, flangeCovers*wall) }

// KeysFor are the keys along a parting of a length, mm, in a flange of a width, mm,
// for a pattern of a largest size, mm.
func KeysFor(outline, flange, longest float64) Keys {
	i := 0
	for longest > keyPitch[i].upTo {
		i++
	}
	k := Keys{Count: max(fewestKeys, int(math.Ceil(outline/keyPitch[i].pitch-1e-9)))}
	// Down to half a millimetre: they are pressed with a tool that is to hand.
	k.Diameter = min(keyMost, max(keyLeast, math.Floor(2*min(flange/2, flange-keyRoom)+1e-9)/2))
	k.Depth = KeyDepth(k.Diameter)
	return k
}
