package rubber

import (
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
