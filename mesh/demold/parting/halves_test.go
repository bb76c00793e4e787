package parting_test

import (
	"context"
	"math"
	"testing"

	"moldtally/mesh"
	"moldtally/mesh/demold/parting"
	"moldtally/mesh/shape"
)

// blindBall is a ball with a blind hole along +X: radius of the ball, of the
// hole, and how far from the middle the hole's flat floor lies.
func blindBall(R, r, floor float64, n int) *mesh.Mesh {
	rim := math.Sqrt(R*R - r*r)
	profile := []shape.RZ{{R: 0, Z: -R}}
	to := math.Pi - math.Asin(r/R) // from the far pole to the rim
	for k := 1; k < n; k++ {
		sin, cos := math.Sincos(to * float64(k) / float64(n))
		profile = append(profile, shape.RZ{R: R * sin, Z: -R * cos})
	}
	profile = append(profile, shape.RZ{R: r, Z: rim}, shape.RZ{R: r, Z: floor}, shape.RZ{R: 0, Z: floor})
	return shape.Stand(shape.Revolve(profile, 2*n), mesh.V(1, 0, 0))
}

func TestHalves(t *testing.T) {
	ctx, z := context.Background(), mesh.V(0, 0, 1)
	const R, r, floor = 25.0, 8.0, -5.0
	rim := math.Sqrt(R*R - r*r)
	ball := 4 * math.Pi * R * R
	mouth := 2 * math.Pi * R * (R - rim)
	hole := 2*math.Pi*r*(rim-floor) + math.Pi*r*r
	room := math.Pi * r * r * (rim - floor) // all of it has the ball above and below
	cap10 := math.Pi * 15 * 15 * (3*R - 15) / 3
	vol := 4.0 / 3 * math.Pi * R * R * R
	tests := []struct {
		name    string
		m       *mesh.Mesh
		parting float64
		want    parting.Halves
		trapped float64 // volume
		tol     float64 // of areas and of volumes by columns
		vtol    float64 // of the halves' volumes
	}{
		{"ball", shape.Sphere(R, 64), 0, parting.Halves{Upper: ball / 2, Lower: ball / 2, UpperVolume: vol / 2, LowerVolume: vol / 2}, 0, 0.005, 0.003},
		{"ball, parted low", shape.Sphere(R, 64), -10,
			parting.Halves{Upper: ball / 2, Lower: ball / 2, UpperUndercut: 2 * math.Pi * R * 10, UpperVolume: vol - cap10, LowerVolume: cap10}, 0, 0.005, 0.003},
		{"box", shape.Box(40, 30, 20), 5, parting.Halves{Upper: 1200, Lower: 1200, Either: 2 * 70 * 20, UpperVolume: 40 * 30 * 15, LowerVolume: 6000}, 0, 1e-9, 1e-9},
		{"box, hollow inside", shape.Shells(shape.Box(40, 30, 20), shape.Translate(shape.Box(10, 10, 4), mesh.V(0, 0, 8))), 5,
			parting.Halves{Upper: 1200, Lower: 1200, Either: 2 * 70 * 20, UpperVolume: 40 * 30 * 15, LowerVolume: 6000}, 0, 1e-9, 1e-9},
		// Two boxes pushed into each other: what lies inside bounds nothing, and
		// wall above the lower box is the upper half's.
		{"crossing boxes", shape.Merge(shape.Box(40, 10, 10), shape.Translate(shape.Box(10, 40, 6), mesh.V(0, 0, 2))), 5,
			parting.Halves{Upper: 740, Lower: 740, Either: 880 + 480 - 80, UpperVolume: 2900, LowerVolume: 2900}, 0, 0.01, 0.005},
		{"ball with a blind cross hole", blindBall(R, r, floor, 64), 0,
			parting.Halves{Upper: (ball - mouth) / 2, Lower: (ball - mouth) / 2, Trapped: hole, UpperUndercut: hole / 2, LowerUndercut: hole / 2,
				UpperVolume: (vol - room - math.Pi*(R-rim)*(R-rim)*(3*R-(R-rim))/3) / 2, LowerVolume: (vol - room - math.Pi*(R-rim)*(R-rim)*(3*R-(R-rim))/3) / 2}, room, 0.015, 0.003},
		{"cube with a cross hole", shape.CrossHoleCube(40, 10, 30), 20,
			parting.Halves{Upper: 1600, Lower: 1600, Either: 4*1600 - 100, Trapped: 4*10*30 + 100, UpperUndercut: (4*10*30 + 100) / 2.0, LowerUndercut: (4*10*30 + 100) / 2.0,
				UpperVolume: 32000 - 1500, LowerVolume: 32000 - 1500}, 3000, 0.02, 1e-9},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			c := sceneOf(t, tt.m, z, 0.25)
			got, of, err := parting.InHalves(ctx, c, tt.parting)
			if err != nil {
				t.Fatal(err)
			}
			area := shape.Area(tt.m)
			check := func(what string, got, want, tol float64) {
				t.Helper()
				if math.Abs(got-want) > tol {
					t.Errorf("%s: got %.6g want %.6g within %.2g", what, got, want, tol)
				}
			}
			w := tt.want
			check("upper", got.Upper, w.Upper, tt.tol*area)
			check("lower", got.Lower, w.Lower, tt.tol*area)
			check("either", got.Either, w.Either, tt.tol*area)
			check("trapped", got.Trapped, w.Trapped, tt.tol*area)
			check("undercut above", got.UpperUndercut, w.UpperUndercut, tt.tol*area)
			check("undercut below", got.LowerUndercut, w.LowerUndercut, tt.tol*area)
			v := w.UpperVolume + w.LowerVolume
			check("volume above", got.UpperVolume, w.UpperVolume, tt.vtol*v)
			check("volume below", got.LowerVolume, w.LowerVolume, tt.vtol*v)
			check("trapped volume", parting.Trapped(c), tt.trapped, 0.01*tt.trapped)
			if len(of) != tt.m.NumVertices() {
				t.Errorf("%d halves for %d vertices", len(of), tt.m.NumVertices())
			}
		})
	}
	// Vertices of a ball: by the side they are on.
	m := shape.Sphere(R, 16)
	_, of, err := parting.InHalves(ctx, sceneOf(t, m, z, 0.25), 0)
	if err != nil {
		t.Fatal(err)
	}
	for v, p := range m.Vertices() {
		want := parting.UpperHalf
		switch {
		case p.Z < -1:
			want = parting.LowerHalf
		case p.Z < 1:
			want = parting.EitherHalf
		}
		if got := of[v]; got != want {
			t.Errorf("vertex at %.3g: half %d, want %d", p, got, want)
		}
	}
}
