package estimate

import (
	"context"
	"fmt"
	"math"
	"strings"
	"testing"

	"moldtally/estimate/rubber"
	"moldtally/mesh"
	"moldtally/mesh/demold"
	"moldtally/mesh/finding"
	"moldtally/mesh/shape"
	"moldtally/mesh/solid/solidtest"
)

// What the sample patterns want for several casting processes; read by eye.
func TestSampleTable(t *testing.T) {
	if testing.Short() {
		t.Skip("plans every sample")
	}
	var b strings.Builder
	for _, p := range []struct {
		name string
		m    *mesh.Mesh
		mold demold.Mold
	}{
		{"tile.obj", solidtest.Sample(t, "tile.obj"), ""},
		{"finial.stl", solidtest.Sample(t, "finial.stl"), ""},
		{"heron.ply", solidtest.Sample(t, "heron.ply"), ""},
		{"arch.stl", solidtest.Sample(t, "arch.stl"), ""},
		{"large slab (the tile, 648 mm long)", shape.Scale(solidtest.Sample(t, "tile.obj"), 5.4, 5.4, 5.4), "block"},
		{"keyed casting box, 120 by 80 by 60 mm", shape.Box(120, 80, 60), "two-part"},
	} {
		name := p.name
		k := sharedKnown(t, p.m, Job{Source: Source{File: name, Units: "mm", UnitsFrom: UnitsSaid, Resized: 1}, Mold: p.mold, Parts: Parts{ThroughDemold}, Resolution: coarse(p.m)})
		mold, err := k.choose(context.Background())
		if err != nil {
			t.Fatal(err)
		}
		for _, cast := range []string{"", "resin", "plaster", "cold-cast-bronze", "foam-rigid", "concrete"} {
			j, err := Job{Cast: cast}.resolve()
			if err != nil {
				t.Fatal(err)
			}
			asked := mold.asked(0)
			c, shape, err := j.chooseRubber(asked, mold.way.Mold, 0)
			if err != nil {
				t.Fatal(err)
			}
			r := rubber.Suggest(shape, j.cast)
			fmt.Fprintf(&b, "%s for %s: %s; %.0f to %.0f A, %s\n", name, orNothing(cast), mold.verdict.Answer, *r.Low, *r.High, c.Name)
			fmt.Fprintf(&b, "    no softer: %s\n    no firmer: %s\n", said(r.LowReason), said(r.HighReason))
			for _, w := range r.Wants {
				if !w.Won {
					fmt.Fprintf(&b, "    overruled: %s\n", said(w.Why))
				}
			}
			if r.Empty() && r.Conflict != nil {
				h := HardnessTold{Conflict: *r.Conflict}
				for _, w := range rubber.Ways(asked, j.cast) {
					h.Opens = append(h.Opens, WayOpen{w.What, w.Low, w.High, w.Opens})
				}
				_, _, hint := told(finding.Finding{Code: CodeHardness, Facts: h})
				if len(h.Opens) == 0 {
					hint = ""
				}
				fmt.Fprintf(&b, "    %s\n", hint)
			}
		}
	}
	golden(t, "testdata/samples.txt", b.String())
}

// The scan of the heron parts as the sculpt it was made from: neither the grain
// of its skin nor its torn rim, where the wall is plumb and any height would do,
// makes the line much longer.
func TestSampleScanPartsAsItsSculpt(t *testing.T) {
	if testing.Short() {
		t.Skip("looks at two samples whole")
	}
	line := func(name string) *demold.Parting {
		s := tallyOf(t, solidtest.Sample(t, name), Job{Up: up(0, 1, 0), Mold: "two-part", Parts: Parts{ThroughDemold}, Resolution: 1.5})
		return s.Plan.Demold.Parting
	}
	sculpt, scan := line("heron.ply"), line("heron-scan.ply")
	if a, b := *scan.Length, *sculpt.Length; math.Abs(a/b-1) > 0.15 || b < 900 || b > 1100 {
		t.Errorf("the scan's line is %.0f mm long, the sculpt's %.0f", a, b)
	}
	if a, b := len(scan.Breaks), len(sculpt.Breaks); a > b+2 {
		t.Errorf("the scan's line breaks in %d places, the sculpt's in %d", a, b)
	}
	for name, p := range map[string]*demold.Parting{"sculpt": sculpt, "scan": scan} {
		points := 0
		for _, l := range p.Line {
			points += len(l)
		}
		if points > 1500 {
			t.Errorf("%s: a line of %d points", name, points)
		}
	}
}
