package estimate

import (
	"context"
	"fmt"
	"path/filepath"
	"strings"
	"testing"

	"moldtally/estimate/material"
	"moldtally/estimate/rubber"
	"moldtally/mesh"
	"moldtally/mesh/demold"
	"moldtally/mesh/meshfile"
)

// sample reads one of the project's own patterns, which are in millimetres.
func sample(t *testing.T, name string) *mesh.Mesh {
	t.Helper()
	b, _, err := meshfile.Open(context.Background(), filepath.Join("..", "testdata", name), meshfile.Options{})
	if err != nil {
		t.Fatal(err)
	}
	m, err := b.Build(1)
	if err != nil {
		t.Fatal(err)
	}
	return m
}

// What the sample patterns want for several casting processes; read by eye.
func TestSampleTable(t *testing.T) {
	if testing.Short() {
		t.Skip("plans every sample")
	}
	var b strings.Builder
	for _, name := range []string{"tile.obj", "finial.stl", "heron.ply", "arch.stl"} {
		plan := &Plan{}
		job := Job{Source: Source{File: name, Units: "mm", UnitsFrom: "flag", Resized: 1}, Parts: Parts{ThroughDemold}}
		bench, err := newBench(job, plan)
		if err != nil {
			t.Fatal(err)
		}
		run := &tally{job: job, b: bench, s: &Session{Mesh: sample(t, name), Plan: plan}}
		if err := run.run(context.Background()); err != nil {
			t.Fatal(err)
		}
		for _, cast := range []string{"", "resin", "plaster", "cold-cast-bronze", "foam-rigid", "concrete"} {
			n := rubber.Needs{Cut: run.mold == demold.Cut}
			if m, ok := material.FindCasting(cast); ok {
				n.Cast = &m
			}
			n.Range = rubber.Suggest(run.shape, n.Cast)
			c, err := rubber.Choose(rubber.Request{}, n)
			if err != nil {
				t.Fatal(err)
			}
			r := n.Range
			fmt.Fprintf(&b, "%s for %s: %s; %.0f to %.0f A, %s\n", name, orNothing(cast), plan.Verdict.Answer, *r.Low, *r.High, c.Name)
			fmt.Fprintf(&b, "    no softer: %s\n    no firmer: %s\n", r.LowReason, r.HighReason)
			for _, w := range r.Wants {
				if !w.Won {
					fmt.Fprintf(&b, "    overruled: %s\n", w.Why)
				}
			}
		}
	}
	golden(t, "testdata/samples.txt", b.String())
}
