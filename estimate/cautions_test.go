package estimate

import (
	"context"
	"slices"
	"strings"
	"testing"

	"moldtally/boxfit"
	"moldtally/estimate/material"
	"moldtally/estimate/rubber"
	"moldtally/mesh/demold"
)

// Each hazard is told where it is in play and only there.
func TestCautionTriggers(t *testing.T) {
	vacuum := &Shop{Workshop: Workshop{Vacuum: p(6)}}
	pot := &Shop{Workshop: Workshop{PressureBore: p(240), PressureTop: p(300)}}
	marks := map[string]string{"isocyanate": "Isocyanates", "peroxide": "organic peroxide", "powder": "Metal powder", "dust": "Plaster, cement", "silica": "crystalline silica",
		"heat": "about 60 °C", "hot": "Over 100 °C", "vacuum": "under vacuum", "pot": "rated pressure pot", "12": "over 12 kg", "31": "over 30.7 kg", "fumed": "Fumed silica", "epoxy": "sensitize skin", "solvent": "flammable", "food": "Food and skin",
		"tin": "organotin", "latex": "Natural latex", "cement": "Wet cement", "pots": "water bath", "vinyl": "acrid fumes"}
	small, mid, large := [3]float64{100, 100, 50}, [3]float64{250, 250, 200}, [3]float64{350, 350, 200}
	for _, c := range []struct {
		name, rubber, cast, pattern string
		box                         [3]float64
		shop                        *Shop
		thick                       *float64
		want                        string // words of marks
	}{
		{"silicone alone", "tin-20", "", "", small, nil, nil, "tin"},
		{"polyurethane rubber and its release", "polyurethane-30", "", "", small, nil, nil, "isocyanate solvent"},
		{"polyurethane resin", "tin-20", "resin", "", small, nil, nil, "tin isocyanate"},
		{"polyester", "tin-20", "polyester", "", small, nil, nil, "tin peroxide hot"},
		{"epoxy", "tin-20", "epoxy", "", small, nil, nil, "tin epoxy"},
		{"bronze powder", "tin-20", "cold-cast-bronze", "", small, nil, nil, "tin isocyanate powder"},
		{"plaster", "tin-20", "plaster", "", small, nil, nil, "tin dust heat"},
		{"concrete", "polyurethane-40", "concrete", "", small, nil, nil, "isocyanate dust silica cement solvent"},
		{"tin alloy", "tin-heat-40", "tin-alloy", "", small, nil, nil, "tin hot"},
		{"chocolate", "platinum-20", "chocolate", "", small, nil, nil, "food"},
		{"vacuum", "tin-20", "", "", small, vacuum, nil, "tin vacuum"},
		{"pressure pot", "tin-20", "", "", small, pot, nil, "tin pot"},
		{"over 12 kg", "tin-20", "", "", mid, nil, nil, "tin 12"},
		{"over 30.7 kg", "tin-20", "", "", large, nil, nil, "tin 31"},
		{"fumed silica", "polyurethane-30", "", "", small, nil, p(2), "isocyanate fumed solvent"},
		{"wax", "tin-20", "wax", "", small, nil, nil, "tin pots"},
		{"vinyl", "platinum-20", "vinyl", "", small, nil, nil, "hot pots vinyl"},
		{"latex", "latex-brush", "", "", small, nil, nil, "latex"},
		{"sealed plaster", "tin-20", "", "plaster", small, nil, nil, "tin solvent"},
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

// What the container and the mold have people do: bevels to saw, pipe to cut, a full
// mold to turn and to lift with as many as it takes, a shell to open.
func TestCautionsOfWork(t *testing.T) {
	j, err := Job{}.resolve()
	if err != nil {
		t.Fatal(err)
	}
	tube, slit := "pvc-110", true
	for _, c := range []struct {
		name string
		work work
		want []Safety
	}{
		{"a box", work{Mold: demold.Block, Fit: &boxfit.Fit{Kind: boxfit.Box}, Lift: p(4e3)}, nil},
		{"slit open", work{Mold: demold.Block, Fit: &boxfit.Fit{Kind: boxfit.Box}, Knife: slit}, []Safety{Knives}},
		{"six sides", work{Mold: demold.Block, Fit: &boxfit.Fit{Kind: boxfit.Polygon}}, []Safety{Bevels}},
		{"stock tube", work{Mold: demold.Block, Fit: &boxfit.Fit{Kind: boxfit.Sleeve, Stock: &tube}}, []Safety{CuttingPipe}},
		{"own tube", work{Mold: demold.Block, Fit: &boxfit.Fit{Kind: boxfit.Sleeve, Stock: &tube, Own: true}}, nil},
		{"wrapped sheet", work{Mold: demold.Block, Fit: &boxfit.Fit{Kind: boxfit.Sleeve}}, nil},
		{"halves of 13 kg", work{Mold: demold.TwoPart, Fit: &boxfit.Fit{Kind: boxfit.Box}, Lift: p(13e3)}, []Safety{LiftClose, TurningOver}},
		{"halves of 5 kg", work{Mold: demold.TwoPart, Fit: &boxfit.Fit{Kind: boxfit.Box}, Lift: p(5e3)}, nil},
		{"28 kg", work{Mold: demold.Block, Fit: &boxfit.Fit{Kind: boxfit.Box}, Lift: p(28e3)}, []Safety{LiftTwo}},
		{"33 kg", work{Mold: demold.Block, Fit: &boxfit.Fit{Kind: boxfit.Box}, Lift: p(33e3)}, []Safety{LiftThree}},
		{"a shell of 60 kg", work{Mold: demold.Blanket, Fit: &boxfit.Fit{Kind: boxfit.Mother}, Lift: p(60e3)}, []Safety{Dusts, HotPlaster, LiftHoist, TurningOver, OpeningShell}},
	} {
		c.work.Chosen = &rubber.Chosen{Rubber: rubber.Rubber{Family: material.Platinum}}
		if got := j.safety(c.work); !slices.Equal(got[1:], c.want) {
			t.Errorf("%s: %v, want %v", c.name, got[1:], c.want)
		}
	}
}
