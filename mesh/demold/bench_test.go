package demold

import (
	"context"
	"testing"

	"moldtally/mesh/demold/scene"
	"moldtally/mesh/demold/undercut"
	"moldtally/mesh/shape"
	"moldtally/mesh/solid/solidtest"
)

// BenchmarkAnalyze runs a whole analysis on a turned body with a deep groove,
// 200 thousand triangles.
func BenchmarkAnalyze(b *testing.B) {
	s := solidtest.Of(b, shape.Waisted(30, 20, 37, 50_000))
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Analyze(context.Background(), s, up, Options{}); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkPaths solves the undercuts of a body whose ways out are blocked
// nearly everywhere, columns cast beforehand.
func BenchmarkPaths(b *testing.B) {
	s := solidtest.Of(b, shape.CrossHoleCube(100, 12, 98))
	c, err := scene.New(context.Background(), s, up, scene.Options{})
	if err != nil {
		b.Fatal(err)
	}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := undercut.Find(context.Background(), c, undercut.Options{}); err != nil {
			b.Fatal(err)
		}
	}
}
