package demold_test

import (
	"encoding/json"
	"testing"

	"moldtally/mesh"
	"moldtally/mesh/demold"
	"moldtally/mesh/shape"
	"moldtally/mesh/solid/solidtest"
)

// A mold that is cut open is told the same whether two halves were looked at along the
// same pull before it or not.
func TestPartedOnce(t *testing.T) {
	s := solidtest.Rough(t, shape.Horn(60, 12, 24, 32))
	up := mesh.V(0, 0, 1)
	told := func(known *demold.Parted, molds ...demold.Mold) (last string) {
		for _, m := range molds {
			r, err := demold.Analyze(t.Context(), s, up, demold.Options{Mold: m, Brief: true, Coarser: 4, Parted: known})
			if err != nil {
				t.Fatal(err)
			}
			b, err := json.Marshal(r)
			if err != nil {
				t.Fatal(err)
			}
			last = string(b)
		}
		return last
	}
	want := told(nil, demold.Cut)
	if got := told(&demold.Parted{}, demold.TwoPart, demold.Cut); got != want {
		t.Errorf("after two halves:\n%s\nwant\n%s", got, want)
	}
	if got := told(&demold.Parted{}, demold.Block, demold.Cut, demold.TwoPart, demold.Cut); got != want {
		t.Errorf("after three others:\n%s\nwant\n%s", got, want)
	}
}
