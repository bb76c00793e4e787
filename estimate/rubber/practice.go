package rubber

import (
	"moldtally/estimate/material"
	"moldtally/mesh/finding"
	"moldtally/mesh/unit"
)

// Bench is what the practice of mixing depends on.
type Bench struct {
	Family   material.Family
	ByVolume bool
	OnePart  bool
	Brushed  bool
	Added    []Added
	Vacuum   bool
	TempC    float64 // of the workshop
	Stir     float64 // min per batch
}

// WarmCure is a temperature, °C, at which silicone is often hurried.
const WarmCure = 60.0

// Practice is one step of mixing a rubber, or of seeing that it has cured.
type Practice struct {
	Step    PracticeStep
	OnePart bool
	Added   []material.AdditiveKind // what is stirred in, in that order
	Temp    unit.Temperature        // of the workshop
	Stir    float64                 // min
	Family  material.Family
	Cured   unit.Temperature // at which a warm cure is usual
	Shrinks float64          // a warm cure's linear shrinkage at Temp
}

// PracticeStep is what is done.
type PracticeStep int

// The steps, in the order of work. StirByVolume is for a ratio by volume.
const (
	LetStand PracticeStep = iota
	StirCans
	StirAdditives
	Stir
	StirByVolume
	PourOver
	Degas
	BrushOn
	PourThin
	MindChemistry
	KeepCup
	NoHeat
)

// Practices is how to mix a rubber and how to see that it has cured, in the order
// of work. All of it is common practice, no source; what is said of moisture, of
// separate tools and of warm cure is from memory.
func Practices(b Bench) []Practice {
	var out []Practice
	add := func(s PracticeStep) *Practice {
		out = append(out, Practice{Step: s, OnePart: b.OnePart, Temp: unit.Temperature(b.TempC), Stir: b.Stir, Family: b.Family})
		return &out[len(out)-1]
	}
	add(LetStand)
	add(StirCans)
	if len(b.Added) > 0 {
		s := add(StirAdditives)
		for _, a := range b.Added {
			s.Added = append(s.Added, a.Kind)
		}
	}
	if !b.OnePart {
		if b.ByVolume {
			add(StirByVolume)
		} else {
			add(Stir)
		}
		add(PourOver)
	}
	if b.Vacuum {
		add(Degas)
	}
	if b.Brushed {
		add(BrushOn)
	} else {
		add(PourThin)
	}
	if b.Family.Silicone() || b.Family == material.Polyurethane {
		add(MindChemistry)
	}
	add(KeepCup)
	if b.Family.Silicone() {
		s := add(NoHeat)
		s.Cured, s.Shrinks = WarmCure, ThermalShrink(WarmCure, b.TempC)
	}
	return out
}

// Masses of one batch, g, from which it is worth saying that rubber warms itself
// in bulk: data sheets give the pot life of a cupful of 100 g or so. Judgements;
// polyurethane gives off far more heat than silicone.
const (
	WarmsPolyurethane = 1000.0
	WarmsSilicone     = 4000.0
)

// SelfHeat tells of a batch (g) that is large enough to shorten its own pot
// life.
func SelfHeat(f material.Family, batch float64) (out finding.List) {
	limit := WarmsSilicone
	if f == material.Polyurethane {
		limit = WarmsPolyurethane
	}
	if batch < limit {
		return nil
	}
	out.Add(finding.Finding{Code: CodeWarmsItself, Severity: finding.Note, Facts: WarmsItself{unit.Mass(batch), f}})
	return out
}
