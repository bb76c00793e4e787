package boxfit

import (
	"context"
	"math"
	"testing"

	"moldtally/mesh"
	"moldtally/mesh/demold"
	"moldtally/mesh/shape"
)

// What has to be filled for the shell to draw, in closed form: below a ball's waist,
// and nothing where all tapers upward.
func TestFillOut(t *testing.T) {
	pi := math.Pi
	lifted := shape.Map(shape.Icosphere(30, 5), func(v mesh.Vec) mesh.Vec { return v.Add(mesh.V(0, 0, 30)) })
	// Below its waist a ball of r = 38 at 30 above the board: a drum less the ball.
	ball := pi*38*38*30 - (2*pi/3*38*38*38 - pi*8*8*(3*38-8)/3)
	for _, c := range []struct {
		name string
		m    *mesh.Mesh
		want float64
	}{
		{"box", shape.Box(80, 50, 30), 0},
		{"cone", shape.Cone(20, 60, 128), 0},
		{"ball", lifted, ball},
	} {
		s := sceneOf(t, c.m, upZ)
		k, err := s.coat(context.Background(), 8)
		if err != nil {
			t.Fatal(err)
		}
		if f := k.lifted(); math.Abs(f.volume-c.want) > 2e-3*(c.want+k.volume) || len(f.draws) != 1 {
			t.Errorf("%s: %.0f to fill, want %.0f", c.name, f.volume, c.want)
		}
		// Parted upright through the middle, none of them holds its halves.
		if f := k.halves(0); f.volume > 0.02*k.volume || math.Abs(f.shares[0]-0.5) > 0.05 {
			t.Errorf("%s in halves: %.0f of %.0f to fill, shares %v", c.name, f.volume, k.volume, f.shares)
		}
	}
}

// The cheapest plane among rows that begin and end, against trying all.
func TestCheapestCut(t *testing.T) {
	rows := [][2]int{{2, 6}, {3, 5}, {0, 2}, {6, 10}, {4, 9}, {2, 4}}
	front, back := newReach(len(rows), 1), newReach(len(rows), 1)
	for k, r := range rows {
		front.rise(k, 0, float64(r[1]))
		back.rise(k, 0, -float64(r[0]))
	}
	cost := func(plane float64) float64 {
		a, _ := front.over(plane)
		b, _ := back.over(-plane)
		return a + b
	}
	best := math.Inf(1)
	for k := range 11 {
		best = min(best, cost(float64(k)))
	}
	if got := cheapestCut(front, back, 10); cost(got) != best {
		t.Errorf("%g at %g, want %g", cost(got), got, best)
	}
}

// What straight sides ask for so that a shell draws, in closed form: a drum lifted off
// at 5° widens to a cone, drum or not; halves of it need it only on their flat top.
func TestDraft(t *testing.T) {
	s := sceneOf(t, shape.Cylinder(40, 60, 128), upZ)
	k, err := s.coat(context.Background(), 8)
	if err != nil {
		t.Fatal(err)
	}
	bare := k.lifted().volume
	k.draw = drawPlaster
	tan := math.Tan(drawPlaster)
	// A cone that touches the coat's round rim, of 8 about 40 at 60, less what of the
	// drum is under the line where it does.
	top, from := 40+8*math.Cos(drawPlaster), 60+8*math.Sin(drawPlaster)
	wide := top + from*tan
	want := math.Pi*(wide*wide+wide*top+top*top)/3*from - math.Pi*48*48*from
	if got := k.lifted().volume - bare; math.Abs(got-want) > 0.05*want {
		t.Errorf("lifted: %.0f more to fill, want %.0f", got, want)
	}
	// Over the flat top lies what two wedges on half discs take: ∫|u| over the disc.
	k.draw = 0
	bare = k.halves(0).volume
	k.draw = drawPlaster
	if got, want := k.halves(0).volume-bare, 4.0/3*40*40*40*tan; math.Abs(got-want) > 0.25*want {
		t.Errorf("halves: %.0f more to fill, want about %.0f", got, want)
	}
}

// One piece where little is filled, halves where their work is less than the rubber:
// a ball of 60 mm is filled below its waist, one of 500 mm is parted.
func TestPiecesOfTheShell(t *testing.T) {
	for _, c := range []struct {
		r      float64
		pieces int
		high   float64 // of the fill-out, as a share of the coat
	}{{30, 1, 1}, {250, 2, 0.03}} {
		m := shape.Map(shape.Icosphere(c.r, 4), func(v mesh.Vec) mesh.Vec { return v.Add(mesh.V(0, 0, c.r)) })
		f, _ := mustSearch(t, sceneOf(t, m, upZ), Request{Mold: demold.Brushed, Copies: 5})
		x := f.Shell
		var share float64
		for _, p := range x.Pieces {
			share += p.Volume / x.Volume
		}
		if len(x.Pieces) != c.pieces || *f.FillOut > c.high**f.CoatVolume || math.Abs(share-1) > 1e-9 || (x.Bolts == nil) != (c.pieces == 1) {
			t.Errorf("ball of radius %v: %+v, %.0f filled out of %.0f", c.r, x, *f.FillOut, *f.CoatVolume)
		}
		if f.Rubber != *f.CoatVolume+*f.FillOut || *f.Coat != CoatRule(demold.Brushed, 2*c.r) || f.ShellUplift != nil {
			t.Errorf("ball of radius %v: %+v", c.r, f)
		}
	}
}

// Figures reckoned by hand: 0.14382 m² under 20 mm of plaster or four plies of glass,
// a flange of 40 by 25 mm on a shell of 0.4 m filled 0.9 m high at 2.3, and the bolts
// of 2.6 m.
func TestShellByHand(t *testing.T) {
	const area = 143820.0
	load := FlangeLoad(2.3, 900, 400)
	for _, c := range []struct {
		what      string
		got, want float64
	}{
		{"volume", ShellVolume(area, 20), 3.6386e6},
		{"plaster", ShellMass(Plaster, area, 20, 0), 4057.4},
		{"laminate", ShellMass(Laminate, area, 0, 4), 1091.6},
		{"a ply", plyThick, 1.0508},
		{"load", load, 4.05995},
		{"force", load * 900, 3653.96},
		{"bolts 120 apart", FlangeStress(load, 40, 25, 120), 1.1693},
		{"bolts 250 apart", FlangeStress(load, 40, 25, 250), 5.0749},
		{"apart", BoltsApart(load, 40, 25), 110.97},
		{"bolts", float64(BoltCount(2600, 120)), 22},
	} {
		if !near(c.got, c.want, 5e-4) {
			t.Errorf("%s: %v, want %v", c.what, c.got, c.want)
		}
	}
}

// Plaster up to 30 castings, 600 mm of height and 12 kg a piece; beyond, laminate.
func TestShellMaterial(t *testing.T) {
	for _, c := range []struct {
		l, w, h float64
		copies  int
		want    ShellMaterial
	}{{120, 80, 50, 30, Plaster}, {120, 80, 50, 31, Laminate}, {90, 80, 620, 1, Laminate}, {600, 500, 300, 1, Laminate}} {
		f, _ := mustSearch(t, sceneOf(t, shape.Box(c.l, c.w, c.h), upZ), Request{Mold: demold.Brushed, Copies: c.copies})
		if f.Shell.Material != c.want {
			t.Errorf("%v × %v × %v, %d copies: %s of %.0f g", c.l, c.w, c.h, c.copies, f.Shell.Material, f.Shell.Mass)
		}
	}
}

// The coat goes by the pattern's size; what is given is taken as given, and said
// where it is unusual.
func TestCoatRule(t *testing.T) {
	for _, c := range []struct{ size, poured, brushed float64 }{{20, 8, 5}, {150, 8, 5}, {151, 10, 7}, {300, 10, 7}, {600, 12, 9}, {601, 15, 11}, {2000, 15, 11}} {
		if p, b := CoatRule(demold.Blanket, c.size), CoatRule(demold.Brushed, c.size); p != c.poured || b != c.brushed {
			t.Errorf("%v mm: poured %v, brushed %v", c.size, p, b)
		}
	}
	s := sceneOf(t, shape.Box(80, 50, 30), upZ)
	for _, c := range []struct {
		coat float64
		odd  bool
	}{{2, true}, {3, false}, {5, false}, {8, false}, {9, true}, {30, true}} {
		f, _ := mustSearch(t, s, Request{Mold: demold.Brushed, Coat: at(c.coat)})
		if *f.Coat != c.coat || f.Wall != c.coat || f.Findings.Has(CodeCoat) != c.odd || f.Findings.Has(CodeThin) || f.Findings.Has(CodeThick) {
			t.Errorf("a coat of %v: %v, %v", c.coat, *f.Coat, f.Findings)
		}
	}
}
