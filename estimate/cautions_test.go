package estimate

import (
	"context"
	"strings"
	"testing"

	"moldtally/estimate/rubber"
)

// Each hazard is told where it is in play and only there.
func TestCautionTriggers(t *testing.T) {
	vacuum := &Shop{Workshop: Workshop{Vacuum: p(6)}}
	pot := &Shop{Workshop: Workshop{PressureBore: p(240), PressureTop: p(300)}}
	marks := map[string]string{"isocyanate": "Isocyanates", "peroxide": "organic peroxide", "powder": "Metal powder", "dust": "Plaster, cement", "silica": "crystalline silica",
		"heat": "about 60 °C", "hot": "Over 100 °C", "vacuum": "under vacuum", "pot": "rated pressure pot", "12": "over 12 kg", "23": "over 23 kg", "fumed": "Fumed silica", "epoxy": "sensitize skin", "solvent": "flammable", "food": "Food and skin"}
	small, mid, large := [3]float64{100, 100, 50}, [3]float64{250, 250, 200}, [3]float64{350, 350, 200}
	for _, c := range []struct {
		name, rubber, cast, pattern string
		box                         [3]float64
		shop                        *Shop
		thick                       *float64
		want                        string // words of marks
	}{
		{"silicone alone", "tin-20", "", "", small, nil, nil, ""},
		{"polyurethane rubber", "polyurethane-30", "", "", small, nil, nil, "isocyanate"},
		{"polyurethane resin", "tin-20", "resin", "", small, nil, nil, "isocyanate"},
		{"polyester", "tin-20", "polyester", "", small, nil, nil, "peroxide hot"},
		{"epoxy", "tin-20", "epoxy", "", small, nil, nil, "epoxy"},
		{"bronze powder", "tin-20", "cold-cast-bronze", "", small, nil, nil, "isocyanate powder"},
		{"plaster", "tin-20", "plaster", "", small, nil, nil, "dust heat"},
		{"concrete", "polyurethane-40", "concrete", "", small, nil, nil, "isocyanate dust silica"},
		{"tin alloy", "tin-heat-40", "tin-alloy", "", small, nil, nil, "hot"},
		{"chocolate", "platinum-20", "chocolate", "", small, nil, nil, "food"},
		{"vacuum", "tin-20", "", "", small, vacuum, nil, "vacuum"},
		{"pressure pot", "tin-20", "", "", small, pot, nil, "pot"},
		{"over 12 kg", "tin-20", "", "", mid, nil, nil, "12"},
		{"over 23 kg", "tin-20", "", "", large, nil, nil, "23"},
		{"fumed silica", "polyurethane-30", "", "", small, nil, p(2), "isocyanate fumed"},
		{"sealed plaster", "tin-20", "", "plaster", small, nil, nil, "solvent"},
	} {
		plan, err := TallyPour(context.Background(), PourJob{Box: &c.box, Displaced: 1000, Job: Job{Cast: c.cast, PatternMaterial: c.pattern, Shop: c.shop,
			Rubber: rubber.Request{Name: c.rubber, Thickener: c.thick}}})
		if err != nil {
			t.Fatal(err)
		}
		var lines []string
		for _, c := range plan.Cautions {
			lines = append(lines, said(c))
		}
		text := strings.Join(lines, "\n")
		if !strings.HasPrefix(text, "Read the safety data sheet") {
			t.Errorf("%s: no word on data sheets first", c.name)
		}
		for word, mark := range marks {
			want := strings.Contains(" "+c.want+" ", " "+word+" ")
			if got := strings.Contains(text, mark); got != want {
				t.Errorf("%s: %q told: %v, want %v\n%s", c.name, mark, got, want, text)
			}
		}
	}
}
