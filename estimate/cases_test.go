package estimate

import (
	"context"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"moldtally/boxfit"
	"moldtally/estimate/rubber"
	"moldtally/mesh"
	"moldtally/mesh/demold"
	"moldtally/mesh/shape"
)

// masterCase is a job as it comes to a mold maker, with the ways that one would
// take first, also, and never. Common practice, no source: the cases and their
// answers are what makers say they do, and makers differ.
type masterCase struct {
	name        string
	body        *mesh.Mesh
	job         Job
	first, also []string // "no" = he refuses, and says what instead
	never       []string
	family      string // that the rubber must not be of; "" = any
	longest     float64
	shared      bool // other tests, or other cases, plan it too
	// differs is what is taken here instead, and why; "" = as a master.
	differs, why string
}

func rod(r float64, at ...mesh.Vec) *mesh.Mesh {
	return shape.Tube(at, func(int) float64 { return r }, 16)
}

func ball(r float64, at mesh.Vec) *mesh.Mesh { return shape.Translate(shape.Sphere(r, 12), at) }

func turnedOf(rz ...float64) *mesh.Mesh {
	var p []shape.RZ
	for i := 0; i < len(rz); i += 2 {
		p = append(p, shape.RZ{R: rz[i], Z: rz[i+1]})
	}
	return shape.Revolve(p, 48)
}

// bust is a head on shoulders: one ring at the neck is too tight, and ears stand
// off. 300 mm.
func bust() *mesh.Mesh {
	return shape.Scale(shape.Merge(turnedOf(0, 0, 95, 0, 100, 30, 90, 60, 55, 90, 50, 120, 70, 150, 88, 190, 92, 230, 75, 275, 40, 297, 0, 300),
		ball(18, mesh.V(92, 0, 200)), ball(18, mesh.V(-92, 0, 200))), 0.7, 0.6, 1)
}

// figure stands on a plinth with its legs apart and its arms off the body; height
// 1, to be scaled.
func figure() *mesh.Mesh {
	v := mesh.V
	return shape.Merge(shape.Translate(shape.Box(36, 26, 4), v(-18, -13, 0)),
		rod(4, v(-7, 0, 2), v(-6, 0, 25), v(-4, 0, 50)), rod(4, v(7, 0, 2), v(6, 0, 25), v(4, 0, 50)),
		rod(9, v(0, 0, 44), v(0, 0, 60), v(0, 0, 76)), ball(7, v(0, 0, 90)), rod(4, v(0, 0, 74), v(0, 0, 86)),
		rod(3, v(-7, 0, 74), v(-20, 0, 62), v(-14, 8, 50)), rod(3, v(7, 0, 74), v(20, 0, 62), v(14, 8, 50)))
}

// animal stands on four legs; 350 mm long.
func animal() *mesh.Mesh {
	v := mesh.V
	legs := []*mesh.Mesh{rod(50, v(-110, 0, 190), v(0, 0, 195), v(110, 0, 190)), ball(45, v(150, 0, 250)), rod(25, v(110, 0, 200), v(150, 0, 250))}
	for _, x := range []float64{-100, 100} {
		for _, y := range []float64{-35, 35} {
			legs = append(legs, rod(16, v(x, y, 0), v(x, y, 180)))
		}
	}
	return shape.Merge(legs...)
}

// hand stands on its wrist, fingers spread; 190 mm.
func hand() *mesh.Mesh {
	v := mesh.V
	m := []*mesh.Mesh{turnedOf(0, 0, 30, 0, 28, 40, 40, 80, 38, 100, 0, 105), rod(10, v(25, 0, 60), v(55, 0, 90), v(62, 0, 120))}
	for i := range 4 {
		x := -30 + 20*float64(i)
		m = append(m, rod(8.5, v(x, 0, 85), v(1.5*x, 0, 150), v(1.5*x, 14, 180)))
	}
	return shape.Merge(m...)
}

// knot is three links through one another, on no foot.
func knot() *mesh.Mesh {
	ring := shape.Torus(14, 4, 32, 16)
	turned := shape.Rotate(ring, mesh.V(1, 0, 0), math.Pi/2)
	return shape.Merge(ring, shape.Translate(turned, mesh.V(16, 0, 0)), shape.Translate(ring, mesh.V(32, 0, 0)))
}

// moulding is a length of cornice, its back and its underside flat.
func moulding(l float64) *mesh.Mesh {
	p := [][2]float64{{0, 0}, {100, 0}, {100, 14}, {88, 20}, {70, 26}, {52, 40}, {40, 58}, {20, 66}, {14, 80}, {0, 80}}
	return shape.Rotate(shape.Prism(p, l), mesh.V(1, 0, 0), math.Pi/2)
}

// housing is a machined part: a flange, a boss, a blind hole, flat faces.
func housing() *mesh.Mesh {
	return shape.Blocks([]float64{0, 20, 60, 80}, []float64{0, 10, 40, 50}, []float64{0, 12, 40}, func(i, j, k int) bool { return k == 0 || i == 1 && j == 1 })
}

func relief(l, w, h float64) *mesh.Mesh {
	m := shape.FineBox(l, w, h, 24)
	return shape.Map(m, func(p mesh.Vec) mesh.Vec {
		if p.Z > h/2 {
			p.Z -= h / 4 * (1 + math.Sin(8*math.Pi*p.X/l)*math.Cos(6*math.Pi*p.Y/w))
		}
		return p
	})
}

func masterCases() []masterCase {
	z := Up{Dir: mesh.V(0, 0, 1)}
	up, kilo := mesh.V(0, 0, 1), 1000.0
	shelf, bad := ParseShop(strings.NewReader("[[rubber]]\nname = \"old\"\nshore_a = 20\nsg = 1.1\nmix = \"1:1\"\n"))
	if len(bad) > 0 {
		panic(bad)
	}
	return []masterCase{
		{name: "1 resin bust 300", shared: true, body: bust(), job: Job{Cast: "resin", Copies: 10}, first: []string{"slit"}, also: []string{"blanket"}, never: []string{"cut"}},
		{name: "2 plaque 120, cold cast", body: turnedOf(0, 0, 60, 0, 59, 6, 40, 8, 38, 11, 0, 12), job: Job{Cast: "cold-cast-bronze", Copies: 40}, first: []string{"block"}, never: []string{"two-part"}},
		{name: "3 plaster figure 900", shared: true, body: figure(), longest: 900, job: Job{Cast: "plaster", Copies: 5}, first: []string{"brushed"}, also: []string{"blanket"}, never: []string{"block"}},
		{name: "4 limestone head", shared: true, body: bust(), job: Job{Cast: "plaster", Copies: 1, PatternMaterial: "limestone", Irreplaceable: true}, first: []string{"no"}, also: []string{"brushed"}, never: []string{"slit"}, family: "polyurethane"},
		{name: "5 foam prop 400", shared: true, body: bust(), longest: 400, job: Job{Cast: "foam-rigid", Copies: 50}, first: []string{"blanket"}, also: []string{"blanket"}, never: []string{"brushed"}},
		{name: "6 game figure 35", shared: true, body: figure(), longest: 35, job: Job{Cast: "resin", Copies: 200}, first: []string{"two-part"}, also: []string{"cut"}, never: []string{"block"}},
		{name: "7 chess king 90", body: turnedOf(0, 0, 16, 0, 16, 8, 12, 12, 9, 40, 7, 70, 6.5, 84, 4, 90, 0, 90), job: Job{Cast: "resin", Copies: 20}, first: []string{"block"}, also: []string{"slit"}},
		{name: "8 ring wax 25", body: shape.Merge(shape.Rotate(shape.Torus(10, 1.6, 48, 16), mesh.V(1, 0, 0), math.Pi/2), ball(3.4, mesh.V(0, 0, 11.5))), job: Job{Cast: "wax", Copies: 30, PatternMaterial: "carving-wax"}, first: []string{"cut"}, also: []string{"two-part"}, never: []string{"brushed"}},
		{name: "9 vase 250, open", body: shape.Vase(50, 90, 55, 250, 6, 64), job: Job{Cast: "plaster", Copies: 20, Opening: "open"}, first: []string{"two-part"}, also: []string{"blanket"}, never: []string{"block"}},
		{name: "10 column cap 500", body: turnedOf(0, 0, 150, 0, 150, 40, 165, 60, 150, 80, 160, 140, 220, 220, 245, 260, 250, 300, 0, 300), longest: 500, job: Job{Cast: "concrete", Copies: 12}, first: []string{"blanket"}, also: []string{"two-part", "slit"}, family: "tin"},
		{name: "11 cornice 1 m", body: moulding(1000), job: Job{Cast: "plaster", Copies: 30}, first: []string{"trough"}, also: []string{"block"}, never: []string{"box block"}},
		{name: "12 ceiling rose 700", body: turnedOf(0, 0, 350, 0, 345, 15, 300, 22, 290, 30, 220, 24, 180, 40, 80, 46, 70, 60, 0, 60), job: Job{Cast: "plaster", Copies: 8}, first: []string{"block"}, also: []string{"brushed"}, never: []string{"blanket"}},
		{name: "13 sphere 80", body: shape.Sphere(40, 24), job: Job{Cast: "resin", Copies: 10}, first: []string{"two-part"}, also: []string{"cut"}, never: []string{"block"}},
		{name: "14 animal on four legs 350", body: animal(), longest: 350, job: Job{Cast: "resin", Copies: 5}, first: []string{"brushed"}, also: []string{"two-part"}, never: []string{"block"}},
		{name: "15 hand in wax", body: hand(), job: Job{Cast: "wax", Copies: 10}, differs: "slit", why: "a glove turned inside out is not among the ways that are reckoned; the fingers taper and slide out of a block that is slit at the wrist", first: []string{"brushed"}, also: []string{"two-part"}, never: []string{"block"}},
		{name: "16 chain links 60", body: knot(), job: Job{Cast: "resin", Copies: 5}, first: []string{"two-part"}, also: []string{"cut"}, never: []string{"brushed"}},
		{name: "17 gilded frame corner", body: relief(180, 120, 30), job: Job{Cast: "plaster", Copies: 1, PatternMaterial: "gilding", Irreplaceable: true}, first: []string{"no"}},
		{name: "18 fossil tooth 60", body: turnedOf(0, 0, 18, 0, 20, 15, 16, 35, 8, 52, 0, 60), job: Job{Cast: "plaster", Copies: 3, PatternMaterial: "fossil", Irreplaceable: true}, first: []string{"block"}, also: []string{"two-part"}, family: "latex"},
		{name: "19 machined housing 80", body: housing(), job: Job{Cast: "resin", Copies: 25, PatternMaterial: "aluminium"}, first: []string{"two-part"}, also: []string{"block"}, never: []string{"brushed"}},
		{name: "20 leaf 100", body: relief(100, 60, 3), job: Job{Cast: "plaster", Copies: 2, PatternMaterial: "plant"}, first: []string{"block"}, family: "polyurethane"},
		{name: "21 fresh photopolymer print 50", body: turnedOf(0, 0, 20, 0, 18, 20, 10, 40, 0, 50), job: Job{Cast: "resin", Copies: 5, PatternMaterial: "photopolymer"}, first: []string{"block"}, family: "platinum"},
		{name: "22 candle 200", body: turnedOf(0, 0, 35, 0, 35, 40, 30, 50, 36, 80, 36, 190, 30, 200, 0, 200), job: Job{Cast: "wax", Copies: 150}, first: []string{"slit"}, also: []string{"block"}, never: []string{"blanket"}},
		{name: "23 soap 80", body: relief(80, 60, 25), job: Job{Cast: "soap", Copies: 40}, first: []string{"block"}},
		{name: "24 relief panel 1200", body: relief(1200, 800, 40), job: Job{Cast: "concrete", Copies: 6}, first: []string{"brushed", "blanket"}, also: []string{"block"}, family: "tin"},
		{name: "25 garden gnome 450", body: turnedOf(0, 0, 110, 0, 115, 60, 100, 130, 85, 200, 60, 230, 85, 265, 80, 310, 70, 330, 40, 390, 12, 445, 0, 450), job: Job{Cast: "concrete", Copies: 100}, first: []string{"blanket"}, also: []string{"blanket"}, never: []string{"slit"}},
		{name: "26 antique wood finial", body: turnedOf(0, 0, 30, 0, 30, 20, 18, 40, 16, 60, 40, 100, 44, 130, 30, 160, 8, 178, 0, 180), job: Job{Cast: "resin", Copies: 1, PatternMaterial: "old-wood", Irreplaceable: true}, first: []string{"brushed"}, also: []string{"no"}, family: "polyurethane"},
		{name: "27 low-melt badge 40", body: turnedOf(0, 0, 20, 0, 19, 3, 12, 4, 0, 5), job: Job{Cast: "bismuth-alloy", Copies: 25}, first: []string{"block"}, also: []string{"two-part"}, family: "polyurethane"},
		{name: "28 museum plaster 600", shared: true, body: bust(), longest: 600, job: Job{Cast: "plaster", Copies: 2, PatternMaterial: "old-plaster", Irreplaceable: true}, first: []string{"brushed"}, also: []string{"no"}, never: []string{"two-part"}},
		{name: "29 chocolates 30", body: turnedOf(0, 0, 15, 0, 14, 6, 8, 12, 0, 14), job: Job{Cast: "chocolate", Copies: 12}, first: []string{"block"}, family: "tin"},
		{name: "30 unknown leftover", body: turnedOf(0, 0, 20, 0, 18, 20, 0, 30), job: Job{Cast: "resin", Copies: 1, Shop: shelf, Rubber: rubber.Request{Name: "old", Have: &kilo}}, first: []string{"no"}, also: []string{"block"}},
		// The same figure held upright is no other job.
		{name: "bust, held upright", shared: true, body: bust(), job: Job{Cast: "resin", Copies: 10, Up: z, Upright: &up}, first: []string{"slit"}, also: []string{"blanket"}, never: []string{"cut"}},
	}
}

// taken names what a plan takes, as the cases do.
func taken(p *Plan) []string {
	if p.Refused() {
		return []string{"no"}
	}
	m := (*p.Methods)[0]
	out := []string{string(m.Mold)}
	if m.Slit != nil && *m.Slit {
		out = []string{"slit"}
	}
	if m.Container == boxfit.Trough {
		out = append(out, "trough")
	} else if m.Mold == demold.Block && m.Container == boxfit.Box {
		out = append(out, "box block")
	}
	return out
}

// The choice of a master in thirty jobs: his first in at least 24, else his
// second, and never what he would not do.
func TestChoosesAsAMaster(t *testing.T) {
	if testing.Short() {
		t.Skip("plans thirty patterns")
	}
	cases := masterCases()
	plans := make([]*Plan, len(cases))
	t.Run("plans", func(t *testing.T) {
		for i, c := range cases {
			t.Run(c.name, func(t *testing.T) {
				t.Parallel()
				m, job := c.body, c.job
				job.Source = Source{File: "case.stl", Units: "mm", UnitsFrom: "flag", Resized: 1}
				if c.longest > 0 {
					job.Longest = &c.longest
				}
				job.Resolution = coarse(m)
				if c.longest > 0 {
					job.Resolution *= c.longest / longestOf(m)
				}
				plan := NewStudy(m)
				if c.shared {
					plan = studyOf(m, job.Longest)
				}
				s, err := plan.Tally(context.Background(), job, Options{})
				if err != nil {
					t.Fatal(err)
				}
				plans[i] = s.Plan
			})
		}
	})
	if t.Failed() || slices.Contains(plans, nil) {
		return // or only some were asked for
	}
	firsts := 0
	var b strings.Builder
	for i, c := range cases {
		p := plans[i]
		got := taken(p)
		is := func(list []string) bool {
			return slices.ContainsFunc(got, func(g string) bool { return slices.Contains(list, g) })
		}
		mark := "first"
		switch {
		case is(c.never), c.family != "" && p.Rubber != nil && strings.HasPrefix(string(p.Rubber.Family), c.family):
			mark = "NEVER"
			t.Errorf("%s: planned as %v in %s", c.name, got, p.Rubber.Name)
		case is(c.first):
			if i < 30 {
				firsts++
			}
		case is(c.also):
			mark = "second"
		case c.differs != "" && slices.Contains(got, c.differs):
			mark = "other: " + c.why
		default:
			mark = "OTHER"
			t.Errorf("%s: planned as %v, want %v or %v", c.name, got, c.first, c.also)
		}
		fmt.Fprintf(&b, "%s, %d in %s: %s (%s)\n", c.name, c.job.Copies, orNothing(c.job.Cast), strings.Join(got, ", "), mark)
		if p.Choice != nil {
			fmt.Fprintf(&b, "    %s\n", said(*p.Choice))
		}
		for _, m := range *p.Methods {
			slit := ""
			if m.Slit != nil && *m.Slit {
				slit = " slit"
			}
			fmt.Fprintf(&b, "    %s%s in a %s, %s: %s, %.2g kg, %.3g h, %d days, %d molds, cost %.0f, risk %d, seam %d", m.Mold, slit, m.Container, m.Rubber, m.Verdict, m.RubberVolume/1e6*1.1, m.Labor/60, m.Days, m.Molds, m.Cost, m.Risk, m.Seam)
			for k, f := range m.Fails {
				fmt.Fprintf(&b, "%s %s", []string{"; fails:", ";"}[min(k, 1)], said(f))
			}
			b.WriteByte('\n')
		}
	}
	if firsts < 24 {
		t.Errorf("%d of 30 are his first choice, want 24", firsts)
	}
	golden(t, "testdata/cases.txt", b.String())
}
