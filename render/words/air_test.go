package words

import (
	"math"
	"testing"

	"moldtally/mesh"
)

func TestSide(t *testing.T) {
	for _, tt := range []struct {
		d    mesh.Vec
		want string
	}{
		{mesh.V(1, 0, 0), "+x"},
		{mesh.V(0, -1, 1e-17), "-y"},
		{mesh.V(math.Sqrt(3)/2, 0, -0.5), "+x, 30° toward -z"},
		{mesh.V(-0.5, math.Sqrt(3)/2, 0), "+y, 30° toward -x"},
		{mesh.V(math.Sqrt(0.5), math.Sqrt(0.5), 0), "+x, 45° toward +y"},
	} {
		if got := Side(tt.d); got != tt.want {
			t.Errorf("%v: got %q, want %q", tt.d, got, tt.want)
		}
	}
}
