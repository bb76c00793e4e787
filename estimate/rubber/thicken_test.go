package rubber

import (
	"math"
	"testing"

	"moldtally/estimate/material"
)

// What is brushed takes a rubber made for it, or a pourable one with the usual share
// of thickener; what is poured is not thickened.
func TestBrushed(t *testing.T) {
	soft := Range{Low: new(5.0), High: new(15.0), Preferred: 10}
	c, err := Choose(Request{}, Needs{Range: soft, Brushed: true})
	if err != nil || !c.BrushOnly || len(c.Added) != 0 {
		t.Errorf("to be brushed: %v %+v, %v", c.Name, c.Added, err)
	}
	a, _ := material.AdditiveFor(material.Thickener, material.Platinum)
	c, err = Choose(Request{Name: "platinum-10"}, Needs{Range: soft, Brushed: true})
	if err != nil || len(c.Added) != 1 || c.Added[0].Kind != material.Thickener || c.Added[0].Share != a.Share.Value/100 || len(c.Findings) != 1 {
		t.Errorf("a pourable one to be brushed: %+v, %v, %v", c.Added, c.Findings, err)
	}
	none := 0.0
	if c, _ = Choose(Request{Name: "platinum-10", Thickener: &none}, Needs{Brushed: true}); len(c.Added) != 0 {
		t.Errorf("no thickener wanted: %+v", c.Added)
	}
	c, _ = Choose(Request{}, Needs{Range: soft})
	if c.BrushOnly || len(c.Added) != 0 {
		t.Errorf("to be poured: %v %+v", c.Name, c.Added)
	}
	if c, _ = Choose(Request{Name: "platinum-brush-25"}, Needs{}); !c.Findings.Has(CodeBrush) {
		t.Error("a brush-on rubber is poured, and nothing is said")
	}
}

// A coat reckoned by hand: 0.14382 m² at 7 mm, a fifth more to fill out, 1.12 g/cm³ and
// 15 % lost in cup and brush: 1.5560 kg.
func TestCoatByHand(t *testing.T) {
	v := 0.14382e6 * 7 * 1.20
	m := Blend(MixRequest{SG: 1.12, Ratio: Ratio{1, 1}, Portions: []Portion{{Whole, v, v}}, Extra: BrushExtra, WeighTo: 1, Film: UnknownFilm, Coats: Coats(7)})
	if math.Abs(m.ToMix-1556.0) > 0.05 || len(m.Pours[0].Batches) != 4 {
		t.Errorf("%.2f g in %d batches, want 1556.0 in 4", m.ToMix, len(m.Pours[0].Batches))
	}
}
