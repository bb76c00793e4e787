package tunnel_test

import (
	"reflect"
	"testing"

	"moldtally/mesh"
	"moldtally/mesh/demold/tunnel"
	"moldtally/mesh/shape"
)

// What a memo tells of a pull is what looking anew finds, on whatever columns; and the
// solid's own tunnels are looked for along one pull, where they are only compared.
func TestMemo(t *testing.T) {
	arch := shape.Arch(60, 20, 50, 15, 35)
	up := mesh.V(0, 0, 1)
	var m tunnel.Memo
	for _, cell := range []float64{0.5, 1} {
		s := sceneOf(t, arch, up, cell, 0, true)
		n, err := m.Count(ctx, s)
		if err != nil || n != 1 {
			t.Fatalf("counted %d, %v, want one", n, err)
		}
		got, err := m.List(ctx, s, n, false)
		if err != nil {
			t.Fatal(err)
		}
		want, err := tunnel.List(ctx, s, n)
		if err != nil || !reflect.DeepEqual(got, want) {
			t.Errorf("cells of %g mm: got %+v, want %+v, %v", cell, got, want, err)
		}
	}
	frame := shape.Torus(30, 8, 48, 24)
	var first []tunnel.Passage
	for k, up := range []mesh.Vec{up, mesh.V(0, 1, 0)} {
		s := sceneOf(t, frame, up, 1, 0, false)
		n, err := m.Count(ctx, s)
		if err != nil || n != 1 {
			t.Fatalf("counted %d, %v, want one", n, err)
		}
		got, err := m.List(ctx, s, n, true)
		if err != nil || len(got) != 1 || k > 0 && !reflect.DeepEqual(got, first) {
			t.Errorf("roughly: got %+v, %v, want %+v", got, err, first)
		}
		if first = got; k == 0 {
			continue
		}
		if got, err = m.List(ctx, s, n, false); err != nil || reflect.DeepEqual(got, first) {
			t.Errorf("for the print: got %+v, %v: they are those of another pull", got, err)
		}
	}
}
