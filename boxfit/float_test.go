package boxfit

import (
	"math"
	"testing"

	"moldtally/mesh/demold"
	"moldtally/mesh/finding"
	"moldtally/mesh/shape"
	"moldtally/mesh/unit"
)

// floatOf is what is said of floating: its severity, or -1.
func floatOf(f *Fit) (finding.Severity, any) {
	for _, x := range f.Findings {
		if x.Code == CodeFloat || x.Code == CodeFloatUnknown {
			return x.Severity, x.Facts
		}
	}
	return -1, nil
}

func TestFloatIsSettledOrNot(t *testing.T) {
	s := sceneOf(t, shape.Box(100, 100, 50), upZ)
	s.displaced = unit.Exactly(unit.Volume(500e3)) // 560 g of rubber of 1.12
	sinks := 560.0
	lighter := func(newtons float64) *float64 { return at(sinks - newtons/unit.G*1000) }
	for _, c := range []struct {
		name string
		r    Request
		want finding.Severity
	}{
		{"0.49 N, 0.98 with margin", Request{PatternMass: lighter(0.49)}, -1},
		{"0.51 N, 1.02 with margin", Request{PatternMass: lighter(0.51)}, finding.Caution},
		{"2.49 N, 4.98 with margin", Request{PatternMass: lighter(2.49)}, finding.Caution},
		{"2.51 N, 5.02 with margin", Request{PatternMass: lighter(2.51)}, finding.Stop},
		{"fixed", Request{PatternMass: lighter(2.51), Fixed: true}, -1},
		{"unknown", Request{}, finding.Caution},
		{"unknown and fixed", Request{Fixed: true}, -1},
		{"it sinks", Request{PatternMass: at(561.0)}, -1},
		{"brushed", Request{Mold: demold.Brushed, PatternMass: at(20.0)}, -1},
		{"brushed, unknown", Request{Mold: demold.Brushed}, -1},
		{"a coat that is poured", Request{Mold: demold.Blanket, PatternMass: at(20.0)}, finding.Stop},
		{"weightless, but small", Request{Displaced: at(unit.Exactly(unit.Volume(40e3)))}, -1},
	} {
		c.r.RubberSG = 1.12
		sc := *s
		if c.r.Displaced != nil {
			sc.displaced = *c.r.Displaced
		}
		f, _ := mustSearch(t, &sc, c.r)
		if got, facts := floatOf(f); got != c.want {
			t.Errorf("%s: severity %v (%+v), want %v", c.name, got, facts, c.want)
		}
		if m := f.HoldDownMargin; m != nil && *m != max(0, 2**f.HoldDown) {
			t.Errorf("%s: margin %v of %v", c.name, *m, *f.HoldDown)
		}
	}
	// A print of 186 g: 3.66769 N, 0.748 kg to put on with twice the force.
	f, _ := mustSearch(t, s, Request{PatternMass: at(186.0), RubberSG: 1.12})
	_, facts := floatOf(f)
	if x := facts.(Floats); !near(float64(x.Up), 3.66769, 1e-5) || !near(float64(x.Load), 748, 5e-4) || x.Ring != 0 || !x.OnBoard {
		t.Errorf("print: %+v", x)
	}
	// Glue bears four times as much, by 0.05 MPa of peel: 293.4 mm² for 3.66769 N.
	if got := MarginGlue * 3.66769 / gluePeel; !near(got, 293.4, 5e-4) {
		t.Errorf("glue %v mm², want 293.4", got)
	}
	// An original bears nothing.
	f, _ = mustSearch(t, s, Request{PatternMass: at(186.0), RubberSG: 1.12, Irreplaceable: true})
	if _, facts := floatOf(f); !facts.(Floats).Original {
		t.Errorf("original: %+v", facts)
	}
}

func TestHowAPatternIsHeld(t *testing.T) {
	s := sceneOf(t, shape.Box(100, 100, 50), upZ)
	s.displaced = unit.Exactly(unit.Volume(500e3))
	for _, c := range []struct {
		mass float64 // g, in 560 g of rubber
		want Holding
	}{{1350, Stands}, {701, Stands}, {699, Tacked}, {560, Tacked}, {559, Glued}, {450, Glued}, {447, Anchored}, {16, Anchored}} {
		f, _ := mustSearch(t, s, Request{PatternMass: at(c.mass), RubberSG: 1.12})
		if f.Holding == nil || *f.Holding != c.want {
			t.Errorf("%v g: %v, want %v", c.mass, f.Holding, c.want)
		}
	}
	// Wax in rubber: 1.07873 N, a ring of glue.
	f, _ := mustSearch(t, s, Request{PatternMass: at(450.0), RubberSG: 1.12})
	sev, facts := floatOf(f)
	if x := facts.(Floats); sev != finding.Caution || math.Abs(float64(x.Up)-1.07873) > 1e-5 || !near(float64(x.Ring), 4*1.07873/0.05, 1e-4) {
		t.Errorf("wax: %v %+v", sev, x)
	}
}
