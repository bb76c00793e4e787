package boxfit

import (
	"math"
	"testing"

	"moldtally/mesh"
	"moldtally/mesh/demold"
)

// A round pattern of 88 mm in a box of 105.6: the corner lies 74.67 mm from the middle,
// the pattern with its wall of 8.8 reaches 52.8, so a block is 21.87 mm deep and 30 mm
// along its walls. Four of 450 mm² save 1800 mm² of 5068.
func TestCornerBlocks(t *testing.T) {
	var round []mesh.Vec
	for i := range 360 {
		s, c := math.Sincos(float64(i) * math.Pi / 180)
		round = append(round, mesh.V(44*c, 44*s, 0))
	}
	f := &Fit{Kind: Box, Mold: demold.Block, Interior: &[3]float64{105.6, 105.6, 184}, Wall: 8.8, FillHeight: 174, Outline: round,
		LongAxis: [3]float64{1, 0, 0}, Up: [3]float64{0, 0, 1}, Rubber: 174 * (105.6*105.6 - math.Pi*44*44)}
	b := f.Corners()
	if b == nil || b.Size != [3]float64{30, 30, 174} || b.Count != 4 || b.Saves != 1800*174 {
		t.Fatalf("blocks: %+v", b)
	}
	square := *f
	square.Outline = []mesh.Vec{mesh.V(-44, -44, 0), mesh.V(44, -44, 0), mesh.V(44, 44, 0), mesh.V(-44, 44, 0)}
	if b := square.Corners(); b != nil {
		t.Errorf("a square pattern leaves no corner: %+v", b)
	}
	tall := *f
	tall.Rubber *= 10
	if b := tall.Corners(); b != nil {
		t.Errorf("saves a hundredth of the rubber and is told: %+v", b)
	}
}
