package mesh

import (
	"context"
	"math"
	"math/rand/v2"
	"testing"
)

func TestRestingSides(t *testing.T) {
	hull := func(pts []Vec) *Mesh {
		h, err := Hull3(context.Background(), pts)
		if err != nil {
			t.Fatal(err)
		}
		return h
	}
	grid := func(x, y, z float64, turn func(Vec) Vec) []Vec {
		var pts []Vec
		for i := range 5 {
			for j := range 5 {
				for k := range 5 {
					pts = append(pts, turn(V(x*float64(i)/4, y*float64(j)/4, z*float64(k)/4)))
				}
			}
		}
		return pts
	}
	same := func(v Vec) Vec { return v }
	// Turned so that no corner is exact any more.
	a, b := V(2, 3, 6).Mul(1.0/7), V(3, -6, 2).Mul(1.0/7)
	tilt := func(v Vec) Vec {
		return a.Mul(v.X).Add(b.Mul(v.Y)).Add(a.Cross(b).Mul(v.Z)).Add(V(1000, -500, 200))
	}
	for name, turn := range map[string]func(Vec) Vec{"square": same, "tilted": tilt} {
		sides := RestingSides(hull(grid(80, 50, 30, turn)), turn(V(40, 25, 15)))
		want := []struct{ area, margin, height float64 }{{4000, 25, 15}, {4000, 25, 15}, {2400, 15, 25}, {2400, 15, 25}, {1500, 15, 40}, {1500, 15, 40}}
		if len(sides) != len(want) {
			t.Errorf("%s block: %d sides, want 6", name, len(sides))
			continue
		}
		for i, s := range sides {
			h := s.Offset - turn(V(40, 25, 15)).Dot(s.Normal)
			if !near(s.Area, want[i].area, 1e-9) || !near(s.Margin, want[i].margin, 1e-9) || !near(h, want[i].height, 1e-9) || !s.Stable || !near(s.Normal.Len(), 1, 1e-12) {
				t.Errorf("%s block, side %d: %+v (centre %v above), want %+v", name, i, s, h, want[i])
			}
		}
	}
	// A leaning prism tips off its foot once the centre is past the edge:
	// foot 20, top shifted by 30, centre by 15.
	lean := []Vec{}
	for _, v := range grid(20, 20, 80, same) {
		lean = append(lean, V(v.X+v.Z*30/80, v.Y, v.Z))
	}
	tips, stands := 0, 0
	for _, s := range RestingSides(hull(lean), V(25, 10, 40)) {
		if s.Normal.Z < -0.999 {
			tips++
			if s.Stable || !near(s.Margin, -5, 1e-9) {
				t.Errorf("leaning post: %+v, want it to tip by 5", s)
			}
		} else if s.Stable {
			stands++
		}
	}
	if tips != 1 || stands == 0 {
		t.Errorf("leaning post: %d feet, %d other sides it stands on", tips, stands)
	}
	// A ball's hull has no large side, and its facets' areas add up.
	rnd := rand.New(rand.NewPCG(41, 0))
	var ball []Vec
	for range 2000 {
		ball = append(ball, V(rnd.NormFloat64(), rnd.NormFloat64(), rnd.NormFloat64()).Unit().Mul(50))
	}
	h := hull(ball)
	_, area := hullVolume(h)
	sum, last := 0.0, math.Inf(1)
	for _, s := range RestingSides(h, Vec{}) {
		sum += s.Area
		if s.Area > last {
			t.Error("not largest first")
		}
		last = s.Area
	}
	if !near(sum, area, 1e-6) {
		t.Errorf("sides of a ball add up to %v, its hull to %v", sum, area)
	}
	if RestingSides(New(nil, nil), Vec{}) != nil {
		t.Error("sides of nothing")
	}
}
