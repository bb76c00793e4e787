package air

import (
	"context"
	"math"
	"slices"
	"testing"

	"moldtally/mesh"
	"moldtally/mesh/demold/scene"
	"moldtally/mesh/shape"
	"moldtally/mesh/solid/solidtest"
)

// TestMadeBodies: what pours catch in bodies whose figures are known by
// reasoning, whatever side is up, on boards and in closed molds.
func TestMadeBodies(t *testing.T) {
	ctx := context.Background()
	for _, b := range shape.MadeBodies() {
		t.Run(b.Name, func(t *testing.T) {
			t.Parallel()
			s := solidtest.Rough(t, b.Mesh)
			size := b.Mesh.Size()
			whole := shape.Volume(b.Mesh)
			at := func(up mesh.Vec, mold scene.Mold) *scene.Scene {
				c, err := scene.New(ctx, s, up, scene.Options{Mold: mold, Clay: ptr(0), Ignore: ptr(0), Resolution: max(size.X, size.Y, size.Z) / 200})
				if err != nil {
					t.Fatal(err)
				}
				return c
			}
			check := func(what string, up mesh.Vec, got, want float64) {
				t.Helper()
				if math.Abs(got-want) > 0.03*want+2e-4*whole {
					t.Errorf("%s, %v up: got %.1f mm³, want %.1f", what, up, got, want)
				}
			}
			for _, k := range b.Rubber {
				c := at(k.Up, scene.Block)
				p := rubberPour(c, Side{Whole, c.Up, c.Field, c.Space(), c.ClayLine()})
				p.level()
				check("rubber", k.Up, volume(p.hold), k.Air)
			}
			for _, k := range b.Block {
				p, err := cast(ctx, at(k.Up, scene.Block), Options{})
				if err != nil {
					t.Fatal(err)
				}
				check("cast through its base", k.Up, volume(p.hold), k.Air)
			}
			for _, k := range b.Closed {
				c := at(k.Up, scene.TwoPart)
				p := castingPour(c, c.Field, nil)
				p.level()
				p.tell()
				check("cast shut", k.Up, p.rep.Caught, k.Air)
				p.holds(t, c)
			}
			if b.Stands == nil {
				return
			}
			c := at(b.Pull, scene.TwoPart)
			p, err := cast(ctx, c, Options{})
			if err != nil {
				t.Fatal(err)
			}
			if !slices.ContainsFunc(b.Stands, func(u mesh.Vec) bool { return p.f.U.Dot(u) > 0.999 }) {
				t.Errorf("pulled %v it is cast with %v up, want one of %v", b.Pull, p.f.U, b.Stands)
			}
		})
	}
}

// holds checks that sprue and vents leave nothing that is worth a vent, and that
// none is on the edge of a wall or near another.
func (p *pour) holds(t *testing.T, c *scene.Scene) {
	t.Helper()
	if p.rep.SprueAt == nil {
		t.Fatal("no sprue")
	}
	for k, v := range p.vents {
		for _, w := range p.vents[:k] {
			if v.At.Sub(w.At).Len() < joined {
				t.Errorf("vents at %v and %v", v.At, w.At)
			}
		}
	}
	if p.rep.SprueWide < 3 && flat(p.f, 0.1) > 0.01 {
		t.Errorf("the sprue at %v has %g mm of room", *p.rep.SprueAt, p.rep.SprueWide)
	}
	for _, trap := range p.hold {
		at := p.vec(trap.top)
		if !slices.ContainsFunc(p.vents, func(v Vent) bool { return v.At.Sub(at).Len() <= joined }) {
			t.Errorf("the air at %v has no vent", at)
		}
		if _, clear := p.middle(trap.sheet); clear < 1 {
			t.Errorf("a vent at %v, %g mm from an edge", at, clear)
		}
	}
}

// Five vents on the rough top of a block are on its foot; on the tips of a comb, which
// is no foot, none are.
func TestOnFoot(t *testing.T) {
	rough := shape.Map(shape.FineBox(60, 60, 40, 12), func(v mesh.Vec) mesh.Vec {
		if v.Z > 39 {
			v.Z += math.Sin(v.X/4) * math.Sin(v.Y/4)
		}
		return v
	})
	xs, ys := []float64{0, 4, 30, 34, 60, 64, 90, 94, 120}, []float64{0, 20}
	comb := shape.Blocks(xs, ys, []float64{0, 10, 40}, func(i, _, k int) bool { return k == 0 || i%2 == 0 })
	for _, c := range []struct {
		name string
		m    *mesh.Mesh
		want int
	}{{"rough block", rough, 5}, {"comb", comb, 0}} {
		s, err := scene.New(context.Background(), solidtest.Rough(t, c.m), mesh.V(0, 0, 1), scene.Options{Mold: scene.TwoPart, Clay: ptr(0), Ignore: ptr(0), Resolution: 1})
		if err != nil {
			t.Fatal(err)
		}
		p := castingPour(s, s.Field, nil)
		for k := range 5 {
			p.rep.Vents = append(p.rep.Vents, [3]float64{float64(10 * k), 2, 40})
		}
		p.rep.Vents = append(p.rep.Vents, [3]float64{20, 2, 12})
		if got := p.onFoot(); got != c.want {
			t.Errorf("%s: %d vents on its foot, want %d", c.name, got, c.want)
		}
	}
}
