package boxfit

import (
	"math"
	"testing"

	"moldtally/mesh"
)

// TestFeed: sprue and vents go straight up to the outside of the rubber, and the
// vents end above the sprue.
func TestFeed(t *testing.T) {
	inside := func() *Fit { // 100 by 60 by 50 of rubber, its floor's middle at (10, 0, -5)
		return &Fit{Kind: Box, Interior: &[3]float64{100, 60, 60}, FillHeight: 50, Center: [3]float64{10, 0, -5}, LongAxis: [3]float64{1, 0, 0}, Up: [3]float64{0, 0, 1}}
	}
	d := 80.0
	tube := inside()
	tube.Kind, tube.Diameter = Sleeve, &d
	askew := mesh.V(3, 0, 4).Mul(0.2)
	for _, c := range []struct {
		name      string
		f         *Fit
		up        mesh.Vec
		at, vent  [3]float64
		end, over mesh.Vec
	}{
		{"on its end", inside(), mesh.V(1, 0, 0), [3]float64{40, 5, 10}, [3]float64{20, -5, 10}, mesh.V(60, 5, 10), mesh.V(65, -5, 10)},
		{"on its side", inside(), mesh.V(0, -1, 0), [3]float64{40, -20, 10}, [3]float64{20, -10, 10}, mesh.V(40, -30, 10), mesh.V(20, -35, 10)},
		{"lying", inside(), mesh.V(0, 0, -1), [3]float64{40, 0, 10}, [3]float64{20, 0, 30}, mesh.V(40, 0, -5), mesh.V(20, 0, -10)},
		{"a tube", tube, mesh.V(1, 0, 0), [3]float64{20, 0, 10}, [3]float64{20, 24, 10}, mesh.V(50, 0, 10), mesh.V(55, 24, 10)},
		// (45-z)/0.8 up from z = 25 is 25 farther on, at 51 along up; the vent starts at
		// 30 and would leave the end 16.7 farther on, so it is led higher.
		{"askew", inside(), askew, [3]float64{10, 0, 25}, [3]float64{50, 0, 0}, mesh.V(25, 0, 45), mesh.V(50+0.6*26, 0, 0.8*26)},
	} {
		c.f.Feed(c.up, &Channel{At: c.at}, []Channel{{At: c.vent}})
		end, over := vec(*c.f.Sprue.End), vec(*c.f.Vents[0].End)
		if end.Sub(c.end).Len() > 1e-9 {
			t.Errorf("%s: the sprue ends at %v, want %v", c.name, end, c.end)
		}
		if over.Sub(c.over).Len() > 1e-9 {
			t.Errorf("%s: the vent ends at %v, want %v", c.name, over, c.over)
		}
		if got := over.Dot(c.up) - end.Dot(c.up); got < stub-1e-9 {
			t.Errorf("%s: the vent ends %g mm over the sprue, want %d", c.name, got, stub)
		}
	}
	if got, raise := inside().Lean(askew); math.Abs(got-math.Acos(0.8)*180/math.Pi) > 1e-9 || raise.Sub(mesh.V(1, 0, 0)).Len() > 1e-9 {
		t.Errorf("lean: got %g°, raised at %v", got, raise)
	}
}
