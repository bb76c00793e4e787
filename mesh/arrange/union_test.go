package arrange_test

import (
	"context"
	"math"
	"testing"

	"moldtally/mesh"
	"moldtally/mesh/arrange"
	"moldtally/mesh/shape"
)

// outer arranges all faces of a mesh.
func outer(t testing.TB, m *mesh.Mesh) *arrange.Result {
	t.Helper()
	ctx := context.Background()
	_, pairs, err := mesh.CrossingPairs(ctx, m, nil, arrange.MostPairs, nil)
	if err != nil {
		t.Fatal(err)
	}
	r, err := arrange.Outer(ctx, m, nil, pairs, arrange.Options{})
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func TestUnion(t *testing.T) {
	cube := shape.Box(10, 10, 10)
	at := func(m *mesh.Mesh, x, y, z float64) *mesh.Mesh { return shape.Translate(m, mesh.V(x, y, z)) }
	for _, c := range []struct {
		name string
		m    *mesh.Mesh
		want float64
	}{
		{"one", cube, 1000},
		{"corner into corner", shape.Merge(cube, at(cube, 7, 5, 3)), 2000 - 3*5*7},
		{"face on face", shape.Merge(cube, at(cube, 10, 0, 0)), 2000},
		{"part of a face on a face", shape.Merge(cube, at(cube, 10, 3, 4)), 2000},
		{"slid along a face", shape.Merge(cube, at(cube, 4, 0, 0)), 1400},
		{"edge on edge", shape.Merge(cube, at(cube, 10, 10, 0)), 2000},
		{"corner on corner", shape.Merge(cube, at(cube, 10, 10, 10)), 2000},
		{"corner in a face", shape.Merge(cube, at(cube, 10, 5, 5)), 2000},
		{"twice the same", shape.Merge(cube, cube), 1000},
		{"nested", shape.Merge(cube, at(shape.Box(4, 4, 4), 0.5, 0, 0)), 1000},
		{"nested, touching a face from within", shape.Merge(cube, at(shape.Box(4, 4, 4), 3, 0, 0)), 1000},
		{"apart", shape.Merge(cube, at(cube, 20, 0, 0)), 2000},
		{"a void", shape.Shells(cube, shape.Box(4, 4, 4)), 1000},
		{"three", shape.Merge(cube, at(cube, 5, 0, 0), at(cube, 0, 5, 0)), 2000},
		{"a cross", shape.Merge(shape.Box(30, 10, 10), shape.Box(10, 30, 10), shape.Box(10, 10, 30)), 7000},
		{"far off", at(shape.Merge(cube, at(cube, 7, 5, 3)), 1e6, -3e6, 2e5), 2000 - 3*5*7},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := outer(t, c.m)
			if math.Abs(r.Volume-c.want) > 1e-9*c.want {
				t.Errorf("volume %.12g mm³, want %.12g", r.Volume, c.want)
			}
			m, err := r.Mesh()
			if err != nil {
				t.Fatal(err)
			}
			if v := shape.Volume(m); math.Abs(v-c.want) > 1e-9*c.want {
				t.Errorf("written: %.12g mm³, want %.12g", v, c.want)
			}
			x, err := mesh.SelfCrossings(context.Background(), m, nil, nil)
			if err != nil || x.Pairs > 0 {
				t.Errorf("%d crossings left (%v)", x.Pairs, err)
			}
		})
	}
}

// Six slabs round a room: none of them fills it, and only where all are there is
// it shut off.
func TestRooms(t *testing.T) {
	var slabs []*mesh.Mesh
	for _, z := range []float64{-7, 5} {
		slabs = append(slabs, shape.Translate(shape.Box(14, 14, 2), mesh.V(0, 0, z)))
	}
	for _, x := range []float64{-6, 6} {
		slabs = append(slabs, shape.Translate(shape.Box(2, 14, 14), mesh.V(x, 0, -7)), shape.Flip(shape.Translate(shape.Box(14, 2, 14), mesh.V(0, x, -7))))
	}
	ctx := context.Background()
	for _, c := range []struct {
		m     *mesh.Mesh
		want  float64
		rooms []float64
	}{
		{shape.Merge(slabs...), 14 * 14 * 14, []float64{1000}},
		{shape.Merge(slabs[:5]...), 14*14*14 - 10*10*12, nil},
	} {
		_, pairs, err := mesh.CrossingPairs(ctx, c.m, nil, arrange.MostPairs, nil)
		if err != nil {
			t.Fatal(err)
		}
		r, err := arrange.Outer(ctx, c.m, nil, pairs, arrange.Options{Wound: func(t int) (int, arrange.Way) {
			if t/12 == 3 || t/12 == 5 {
				return t / 12, arrange.Turned
			}
			return t / 12, arrange.As
		}})
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(r.Volume-c.want) > 1e-9*c.want {
			t.Errorf("%.12g mm³, want %g", r.Volume, c.want)
		}
		if len(r.Rooms) != len(c.rooms) || len(r.Rooms) > 0 && math.Abs(r.Rooms[0]-c.rooms[0]) > 1e-9*c.want {
			t.Errorf("rooms %v, want %v", r.Rooms, c.rooms)
		}
	}
}
