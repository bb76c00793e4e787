package boxfit

import (
	"math"
	"testing"

	"moldtally/mesh/demold"
	"moldtally/mesh/shape"
	"moldtally/mesh/unit"
)

func TestAreasRoundACircle(t *testing.T) {
	square := walls{kind: Box, length: 2, width: 2}
	for _, c := range []struct {
		w           walls
		area, saved float64
	}{
		{walls{kind: Polygon, radius: 1, sides: 6}, 3.4641, 0.1340},
		{walls{kind: Polygon, radius: 1, sides: 8}, 3.3137, 0.1716},
		{walls{kind: Polygon, radius: 1, sides: 12}, 3.2154, 0.1962},
		{walls{kind: Sleeve, radius: 1}, 3.1416, 0.2146},
	} {
		if got := c.w.area(); !near(got, c.area, 5e-5) || math.Abs(1-got/square.area()-c.saved) > 5e-5 {
			t.Errorf("%s of %d: area %v, saves %v; want %v and %v", c.w.kind, c.w.sides, got, 1-got/square.area(), c.area, c.saved)
		}
	}
}

// A hexagon against four boards, by what its rubber and its bevels cost.
func TestPolygonPaysForItsBevels(t *testing.T) {
	p := &planner{r: &Request{}, sg: 1.12}
	minutes := polygonMinutes(6) - squareMinutes
	if got := minutes / 60 * nominalLabor; !near(got, 22.67, 5e-4) {
		t.Errorf("six boards cost %v of work more than four, want 22.67", got)
	}
	saved := func(r, h float64) float64 {
		w := walls{kind: Polygon, radius: r, sides: 6}
		return (4*r*r - w.area()) * h
	}
	kg := float64(unit.Density(1.12).Mass(unit.Volume(saved(100, 200)))) / 1000
	if !near(kg, 1.2004, 5e-4) || !near(25*kg, 30.01, 5e-4) || p.worth(saved(100, 200), minutes) < 0 {
		t.Errorf("r 100, H 200: %v kg, %v", kg, 25*kg)
	}
	if v := saved(60, 120) / 1e6 * 1.12 * 25; !near(v, 6.48, 1e-3) || p.worth(saved(60, 120), minutes) > 0 {
		t.Errorf("r 60, H 120: %v", v)
	}
	// A third of the price of rubber, and it no longer pays; work for nothing, and it always does.
	p.r = &Request{RubberPrice: at(25.0 / 3)}
	if p.worth(saved(100, 200), minutes) > 0 {
		t.Error("a hexagon pays in cheap rubber")
	}
	p.r = &Request{LaborRate: at(0.0)}
	if p.worth(saved(60, 120), minutes) < 0 {
		t.Error("a hexagon does not pay where work costs nothing")
	}
}

func TestOrderOfContainers(t *testing.T) {
	cylinder := func(d, h float64) *scene { return sceneOf(t, shape.Cylinder(d/2, h, 96), upZ) }
	hex := func(d, h float64) *scene { return sceneOf(t, shape.Cylinder(d/2, h, 6), upZ) }
	own := []TubeStock{{Name: "mine", Bore: 74}}
	for _, c := range []struct {
		name  string
		s     *scene
		r     Request
		kind  Kind
		why   Why
		sides int
		tube  string
	}{
		{"a tube with 6 mm to spare", cylinder(55, 60), Request{}, Sleeve, BecauseSleeve, 0, "DN 75 drain"},
		{"an own tube first", cylinder(55, 60), Request{OwnTubes: own}, Sleeve, BecauseSleeve, 0, "mine"},
		{"no tube so close, and not wide", cylinder(135, 60), Request{}, Box, BecausePlain, 0, ""},
		{"no tube so close, and wide", cylinder(215, 250), Request{}, Sleeve, BecauseSheet, 0, ""},
		{"a rose of 700", cylinder(700, 60), Request{}, Sleeve, BecauseSheet, 0, ""},
		{"too deep for a sheet", cylinder(500, 400), Request{}, Polygon, BecausePolygon, 8, ""},
		{"in rubber that costs nothing", cylinder(500, 400), Request{RubberPrice: at(0.0)}, Box, BecausePlain, 0, ""},
		{"work for nothing", cylinder(215, 10), Request{LaborRate: at(0.0)}, Sleeve, BecauseSheet, 0, ""},
		{"a hexagon", hex(500, 400), Request{}, Polygon, BecausePolygon, 6, ""},
		{"a square", sceneOf(t, shape.Box(400, 400, 400), upZ), Request{}, Box, BecausePlain, 0, ""},
		{"a lath", sceneOf(t, shape.Box(120, 12, 30), upZ), Request{}, Box, BecausePlain, 0, ""},
		{"a square in a tube", sceneOf(t, shape.Box(60, 60, 60), upZ), Request{}, Box, BecausePlain, 0, ""},
		{"a polygon asked for", cylinder(60, 60), Request{Container: Polygon}, Polygon, BecauseAsked, 6, ""},
		{"made to measure", cylinder(120, 200), Request{Tube: "exact"}, Sleeve, BecauseSheet, 0, ""},
		{"two halves", cylinder(700, 60), Request{Mold: demold.TwoPart}, Sleeve, BecauseSheet, 0, ""},
	} {
		f, others := mustSearch(t, c.s, c.r)
		tube := ""
		if f.Stock != nil {
			tube = *f.Stock
		}
		if f.Kind != c.kind || f.Reason.Why != c.why || c.sides != 0 && *f.Sides != c.sides || c.tube != "" && tube != c.tube {
			t.Errorf("%s: %s, %+v, stock %q, sides %v", c.name, f.Kind, *f.Reason, tube, f.Sides)
		}
		for _, o := range append(others, f) {
			if o.Kind == Polygon && *o.Sides != 6 && *o.Sides != 8 {
				t.Errorf("%s: a polygon of %d", c.name, *o.Sides)
			}
			if o != f && o.Kind == f.Kind {
				t.Errorf("%s: two of kind %s", c.name, f.Kind)
			}
		}
	}
}

// A sheet is cut as long as it runs round and its lap, as wide as it stands high.
func TestWrappedSheet(t *testing.T) {
	for _, w := range wraps {
		if _, err := BoardNamed(w.board); err != nil {
			t.Error(err)
		}
	}
	f, _ := mustSearch(t, sceneOf(t, shape.Cylinder(350, 60, 96), upZ), Request{Wall: at(20.0), Over: at(20.0)})
	b := f.Boards[0]
	if b.Part != (Part{Role: WrappedSheet, Stock: "polypropylene-3"}) || !near(b.Length, math.Pi*743+Lap, 1e-3) || b.Width != 90 || b.Thickness != 3 {
		t.Errorf("sheet %+v", b)
	}
	if f.BoardBow != nil || f.Hoop == nil || !near(*f.Hoop, f.FloorPressure/1000*370/3, 1e-3) {
		t.Errorf("bow %v, hoop %v", f.BoardBow, f.Hoop)
	}
}

// Along the price of rubber, and along that of work, a container that was left is
// never taken again.
func TestChoiceMovesOneWay(t *testing.T) {
	for _, m := range []struct{ d, h float64 }{{135, 60}, {215, 20}, {215, 250}, {320, 400}, {500, 400}, {700, 60}} {
		s := sceneOf(t, shape.Cylinder(m.d/2, m.h, 96), upZ)
		along := func(what string, at func(x float64) Request) {
			var been []string
			for _, x := range []float64{0, 1, 2, 5, 8, 12, 25, 40, 75, 100, 300} {
				f, _ := mustSearch(t, s, at(x))
				name := string(f.Kind)
				if f.Sides != nil {
					name += string(rune('0' + *f.Sides))
				}
				if n := len(been); n > 0 && been[n-1] == name {
					continue
				}
				for _, b := range been {
					if b == name {
						t.Errorf("ø%v × %v along %s: %v, then %s again", m.d, m.h, what, been, name)
					}
				}
				been = append(been, name)
			}
		}
		along("rubber", func(x float64) Request { return Request{RubberPrice: &x} })
		along("work", func(x float64) Request { return Request{LaborRate: &x} })
	}
}
