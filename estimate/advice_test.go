package estimate

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"moldtally/mesh"
	"moldtally/mesh/demold"
	"moldtally/mesh/finding"
	"moldtally/mesh/shape"
	"moldtally/mesh/solid/solidtest"
)

// adviceBodies are patterns as they come to a mold maker, from a tile to what no
// rubber lets go of.
func adviceBodies(t *testing.T) []struct {
	name string
	m    *mesh.Mesh
	up   *mesh.Vec // nil = auto
} {
	z := mesh.V(0, 0, 1)
	rz := func(r, z float64) shape.RZ { return shape.RZ{R: r, Z: z} }
	dome := shape.Revolve([]shape.RZ{rz(0, 0), rz(300, 0), rz(290, 78), rz(260, 150), rz(212, 212), rz(150, 260), rz(78, 290), rz(0, 300)}, 96)
	bell := shape.Revolve([]shape.RZ{rz(0, 0), rz(12, 0), rz(12, 40), rz(25, 40), rz(25, 20), rz(30, 20), rz(30, 50), rz(0, 50)}, 96)
	// Two rooms joined by a passage, with one small door: whichever way it is
	// pulled, one of the rooms is behind a wall.
	rooms := shape.Blocks([]float64{0, 10, 40, 60, 90, 100}, []float64{0, 10, 22, 34, 60, 70}, []float64{0, 10, 22, 34, 60, 70}, func(i, j, k int) bool {
		first := i == 1 && j >= 1 && j <= 3 && k >= 1 && k <= 3
		second := i == 3 && j >= 1 && j <= 3 && k >= 1 && k <= 3
		passage := i == 2 && j == 2 && k == 2
		door := i == 3 && j == 0 && k == 2
		return !(first || second || passage || door)
	})
	// A spring of two and a half turns, thick wire.
	var wire []mesh.Vec
	for k := range 61 {
		s, c := math.Sincos(5 * math.Pi * float64(k) / 60)
		wire = append(wire, mesh.V(35*c, 35*s, 80*float64(k)/60))
	}
	coil := shape.Tube(wire, func(int) float64 { return 7 }, 16)
	// Six balls on thin arms, each in the way of the others.
	arm := func(d mesh.Vec) *mesh.Mesh {
		at := func(k float64) mesh.Vec { return d.Mul(k) }
		return shape.Merge(shape.Tube([]mesh.Vec{at(0), at(20), at(40)}, func(int) float64 { return 4 }, 16), shape.Translate(shape.Sphere(13, 12), at(45)))
	}
	jack := shape.Merge(arm(mesh.V(1, 0, 0)), arm(mesh.V(-1, 0, 0)), arm(mesh.V(0, 1, 0)), arm(mesh.V(0, -1, 0)), arm(mesh.V(0, 0, 1)), arm(mesh.V(0, 0, -1)), shape.Sphere(12, 12))
	ring := shape.Merge(shape.Translate(shape.Rotate(shape.Torus(40, 8, 48, 24), mesh.V(1, 0, 0), math.Pi/2), mesh.V(0, 0, 64)), shape.Translate(shape.Box(60, 40, 20), mesh.V(-30, -20, 0)))
	return []struct {
		name string
		m    *mesh.Mesh
		up   *mesh.Vec
	}{
		{"relief tile", solidtest.Sample(t, "tile.obj"), nil},
		{"finial", solidtest.Sample(t, "finial.stl"), nil},
		{"heron in the round", solidtest.Sample(t, "heron.ply"), nil},
		{"heron, held upright", solidtest.Sample(t, "heron.ply"), &z},
		{"arch, laid as it likes", solidtest.Sample(t, "arch.stl"), nil},
		{"arch, standing", solidtest.Sample(t, "arch.stl"), &z},
		{"mug", shape.Mug(40, 95, 4, 30, 64), &z},
		{"mushroom", shape.Mushroom(30, 10, 10, 40, 96), &z},
		{"ball", shape.Sphere(30, 24), nil},
		{"ring on a stand", ring, &z},
		{"horn", shape.Horn(math.Pi/2, 12, 24, 24), &z},
		{"post that leans", shape.LeaningPost(20, 60, 45), &z},
		{"blind cross hole", shape.CrossHoleCube(100, 12, 98), &z},
		{"vase, inside too", shape.Vase(40, 60, 25, 160, 5, 96), &z},
		{"large dome", dome, &z},
		{"bell on a post", bell, &z},
		{"coil", coil, nil},
		{"six balls on arms", jack, nil},
		{"two rooms and a door", rooms, nil},
	}
}

// coarse is a cell for figures that are read for sense: a third as fine as the
// program's own, and a tenth of the work; flat patterns keep theirs.
func coarse(m *mesh.Mesh) float64 {
	lo, hi := m.Bounds()
	d := hi.Sub(lo)
	if long := max(d.X, d.Y, d.Z); min(d.X, d.Y, d.Z) > long/4 {
		return long / 170
	}
	return 0
}

// The advice for a pattern: which kind of mold and why, and what to do about
// whatever stands in the way. Read by eye for sense.
func TestAdviceTable(t *testing.T) {
	if testing.Short() {
		t.Skip("plans nineteen patterns")
	}
	bodies := adviceBodies(t)
	plans := make([]*Plan, len(bodies))
	t.Run("plans", func(t *testing.T) {
		for i, c := range bodies {
			t.Run(c.name, func(t *testing.T) {
				t.Parallel()
				job := Job{Cast: "resin"}
				if c.up != nil {
					job.Up = Up{Dir: *c.up}
				}
				plans[i] = planOf(t, c.m, job)
			})
		}
	})
	if t.Failed() || slices.Contains(plans, nil) {
		return // or only some were asked for
	}
	var b strings.Builder
	answers := map[Answer]int{}
	molds := map[demold.Mold]int{}
	for i, c := range bodies {
		p := plans[i]
		answers[p.Verdict.Answer]++
		molds[p.Container.Mold]++
		fmt.Fprintf(&b, "%s: %s\n", c.name, strings.ToUpper(string(p.Verdict.Answer)))
		fmt.Fprintf(&b, "    planned as %s in a %s, %s\n", p.Container.Mold, p.Container.Kind, p.Rubber.Name)
		for _, w := range p.Verdict.Because {
			fmt.Fprintf(&b, "    because %s\n", said(w))
		}
		for _, w := range p.Warnings {
			if w.Severity != finding.Stop && !strings.HasPrefix(string(w.Code), "demold") {
				continue
			}
			summary, _, hint := told(w)
			fmt.Fprintf(&b, "    %s: %s\n        do: %s\n", w.Severity, summary, hint)
		}
	}
	golden(t, "testdata/advice.txt", b.String())
	for _, want := range []Answer{ComesOut, ComesOutSoft, SlitIt, MakeTwoParts, Locked} {
		if answers[want] == 0 {
			t.Errorf("nothing is answered %q", want)
		}
	}
	for _, want := range []demold.Mold{demold.Block, demold.TwoPart, demold.Brushed} {
		if molds[want] == 0 {
			t.Errorf("nothing is planned as %s", want)
		}
	}
}
