package boxfit

import "math"

// Filler is what is built into a box so that it takes less rubber. Lengths mm,
// volume mm³.
type Filler struct {
	Kind  FillerKind `json:"kind"`
	Count int        `json:"count"`
	// Size is length, width and height of one: of a corner block the two sides that
	// meet in the corner; of a step the narrow inside that is left above Ledge.
	Size  [3]float64 `json:"size_mm"`
	Ledge float64    `json:"above_mm"` // the floor; where it begins
	Saves float64    `json:"saves_mm3"`
}

// FillerKind is a kind of filler.
type FillerKind string

// The kinds. CornerBlock is a block of three sides, upright in a corner; Step makes
// the upper part of the box narrower.
const (
	CornerBlock FillerKind = "corner block"
	Step        FillerKind = "step"
)

// FillerShare is the share of the rubber that a filler must save to be worth
// building. Judgement of this program.
const FillerShare = 0.1

// cornerLeast is the least side of a corner block that is cut on a saw, mm. Judgement
// of this program.
const cornerLeast = 20.0

// Corners are blocks in the upright corners of a box, where the pattern's outline with
// its wall leaves them room: as large as all four may be, up to the fill line; nil
// where they would save too little of the rubber.
func (f *Fit) Corners() *Filler {
	if !f.Kind.FourSided() || f.Interior == nil || len(f.Outline) < 3 || f.Under > 0 {
		return nil
	}
	center, axis, up := vec(f.Center), vec(f.LongAxis), vec(f.Up)
	across := up.Cross(axis)
	room := math.Inf(1)
	for _, sx := range [2]float64{-1, 1} {
		for _, sy := range [2]float64{-1, 1} {
			d := axis.Mul(sx).Add(across.Mul(sy)).Mul(math.Sqrt2 / 2)
			reach := math.Inf(-1) // of the outline towards that corner
			for _, p := range f.Outline {
				reach = max(reach, p.Sub(center).Dot(d))
			}
			room = min(room, (f.Interior[0]+f.Interior[1])/2*math.Sqrt2/2-reach-f.Wall)
		}
	}
	// The block's face lies across the diagonal: its sides are √2 times its depth.
	side := min(math.Floor(room*math.Sqrt2), f.Interior[0]/2, f.Interior[1]/2)
	saves := 4 * side * side / 2 * f.FillHeight
	if side < cornerLeast || saves < FillerShare*f.Rubber {
		return nil
	}
	return &Filler{Kind: CornerBlock, Count: 4, Size: [3]float64{side, side, f.FillHeight}, Saves: saves}
}
