package demold_test

import (
	"context"
	"encoding/binary"
	"errors"
	"math"
	"testing"

	"moldtally/mesh"
	"moldtally/mesh/demold"
	"moldtally/mesh/shape"
	"moldtally/mesh/solid"
)

// meshOf reads a fuzzer's bytes as corners on a small lattice and faces over
// them, so that corners coincide, edges are shared and faces cross often.
func meshOf(data []byte) *mesh.Mesh {
	if len(data) < 12 {
		return nil
	}
	n := 3 + int(data[0])%12
	data = data[1:]
	if len(data) < 3*n+3 {
		return nil
	}
	var b mesh.Builder
	var v []int32
	for range n {
		i, err := b.Vertex(mesh.V(float64(data[0]%16), float64(data[1]%16), float64(data[2]%16)))
		if err != nil {
			return nil
		}
		v = append(v, i)
		data = data[3:]
	}
	for k := 0; k+3 <= len(data) && k < 3*48; k += 3 {
		b.Triangle(v[int(data[k])%n], v[int(data[k+1])%n], v[int(data[k+2])%n])
	}
	m, err := b.Build(1)
	if err != nil {
		return nil
	}
	return m
}

// bytesOf is a seed: a mesh of few corners on the lattice.
func bytesOf(m *mesh.Mesh) []byte {
	out := []byte{byte(m.NumVertices() - 3)}
	lo, hi := m.Bounds()
	s := hi.Sub(lo)
	f := func(x, lo, s float64) byte {
		if s == 0 {
			return 0
		}
		return byte(math.Round((x - lo) / s * 15))
	}
	for _, v := range m.Vertices() {
		out = append(out, f(v.X, lo.X, s.X), f(v.Y, lo.Y, s.Y), f(v.Z, lo.Z, s.Z))
	}
	for _, t := range m.Triangles() {
		out = append(out, byte(t[0]), byte(t[1]), byte(t[2]))
	}
	return out
}

func finite(x float64) bool { return !math.IsNaN(x) && !math.IsInf(x, 0) }

// From faces to undercut, whatever the faces are: no panic, finite figures,
// bounds in order, a displaced volume between nothing and the box, and never
// more than the pieces have together plus what they enclose; the same after
// the whole is turned and moved.
func FuzzPattern(f *testing.F) {
	for _, m := range []*mesh.Mesh{
		shape.Cube(15), shape.WithoutNumbers(shape.Cube(15), 3), shape.Flip(shape.Cube(15)),
		shape.FlipSome(shape.Cube(15), func(t int) bool { return t%3 == 0 }), shape.Prism(shape.Ngon(7, 6), 15),
	} {
		f.Add(bytesOf(m))
	}
	f.Add(binary.LittleEndian.AppendUint64([]byte("a soup of small numbers, none of which mean anything"), 42))
	ctx := context.Background()
	f.Fuzz(func(t *testing.T, data []byte) {
		m := meshOf(data)
		if m == nil {
			return
		}
		sv, err := mesh.Inspect(ctx, m, mesh.SurveyOptions{})
		if err != nil {
			t.Fatal(err)
		}
		s, err := solid.From(ctx, m, sv, solid.Options{Across: 64})
		if errors.Is(err, solid.ErrNothing) {
			return
		}
		if err != nil {
			t.Fatal(err)
		}
		d := s.Displaced
		lo, v, hi := float64(d.Low), float64(d.Value), float64(d.High)
		size := s.Surface().Size()
		box := size.X * size.Y * size.Z
		if !finite(lo) || !finite(v) || !finite(hi) || lo > v || v > hi || lo < 0 {
			t.Fatalf("displaced %g .. %g .. %g", lo, v, hi)
		}
		if v > box*(1+1e-6)+1e-9 {
			t.Fatalf("displaces %g, its box has %g", v, box)
		}
		rep, err := demold.Analyze(ctx, s, mesh.V(0, 0, 1), demold.Options{Resolution: max(size.X, size.Y, size.Z) / 40})
		if err != nil {
			t.Fatal(err)
		}
		for what, x := range map[string]float64{"undercut volume": rep.UndercutVolume, "area": rep.UndercutArea, "depth": rep.UndercutDepth, "pockets": rep.Pockets, "clay": rep.ClayFill, "squeeze": rep.Squeeze} {
			if !finite(x) || x < 0 {
				t.Fatalf("%s is %g", what, x)
			}
		}
		if p := rep.UndercutPath; p != nil && (!finite(*p) || *p < 0) {
			t.Fatalf("path is %g", *p)
		}
		// Turned by a quarter and moved: the same solid, where nothing had to
		// be invented to close it.
		if len(s.Openings) > 0 {
			return
		}
		r := shape.Translate(shape.Map(m, func(p mesh.Vec) mesh.Vec { return mesh.V(-p.Y, p.X, p.Z) }), mesh.V(100, -50, 7))
		rv, err := mesh.Inspect(ctx, r, mesh.SurveyOptions{})
		if err != nil {
			t.Fatal(err)
		}
		q, err := solid.From(ctx, r, rv, solid.Options{Across: 64})
		if err != nil {
			t.Fatalf("moved, it is refused: %v", err)
		}
		// On a lattice as coarse as this test's, a pocket is seen or not as it
		// happens to lie.
		slack := 1e-6*box + float64(s.SealedVoidVolume) + float64(q.SealedVoidVolume)
		if w := q.Displaced; float64(w.Low) > hi+slack || float64(w.High) < lo-slack {
			t.Fatalf("moved, it displaces %g .. %g; before %g .. %g", w.Low, w.High, lo, hi)
		}
	})
}
