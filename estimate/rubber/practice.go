package rubber

import (
	"fmt"
	"strings"

	"moldtally/estimate/material"
	"moldtally/mesh/finding"
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

// Practice is how to mix a rubber and how to see that it has cured, one step a
// line, in the order of work. All of it is common practice, no source; what is
// said of moisture, of separate tools and of warm cure is from memory.
func Practice(b Bench) []string {
	var out []string
	add := func(format string, a ...any) { out = append(out, fmt.Sprintf(format, a...)) }
	parts := "A, B"
	if b.OnePart {
		parts = "the rubber"
	}
	add("the day before, put %s, the pattern and the box where they are to be used, so that all of them stand at %.3g °C", parts, b.TempC)
	switch {
	case b.OnePart:
		add("stir the can through before taking from it")
	default:
		add("stir A down to the bottom of its can, and shake or stir B: what they are filled with settles")
	}
	if len(b.Added) > 0 {
		var names []string
		for _, a := range b.Added {
			names = append(names, string(a.Kind))
		}
		into := "part A"
		if b.OnePart {
			into = "the rubber"
		}
		add("stir the %s into %s until no streak is left, before B goes in", strings.Join(names, ", then the "), into)
		if b.OnePart {
			out[len(out)-1] = strings.TrimSuffix(out[len(out)-1], ", before B goes in")
		}
	}
	if !b.OnePart {
		how := "weigh A, set the scale to zero, weigh B into the same cup"
		if b.ByVolume {
			how = "weigh A and B by the grams given here, which already allow for a ratio by volume, or measure the millilitres in two equal cups"
		}
		add("%s; stir for %.3g min, slowly, and scrape the sides, the bottom and the stick as you go", how, b.Stir)
		add("pour it over into a second, clean cup and stir again: what clings to the first cup is badly mixed, so do not scrape that into the mold")
	}
	if b.Vacuum {
		add("under vacuum it rises to three to five times its height, then falls: hold it one to three minutes longer, then let the air in slowly")
	}
	switch {
	case b.Brushed:
		add("brush on a thin first coat and work it into every corner; the next when the last is tacky")
	default:
		add("brush a thin coat over fine detail; then pour from high up, a stream as thin as a pencil, into the lowest corner away from the pattern, and let it rise over it")
	}
	switch b.Family {
	case material.Platinum:
		add("cups, sticks and brushes that have met tin-cure silicone, sulfur or latex stop it: keep tools apart, and wear vinyl or nitrile gloves")
	case material.Tin:
		add("it takes moisture from the air to cure: 40 to 60 %% humidity, and not sealed up; more catalyst than the ratio makes it brittle; above 40 to 50 °C, shut in, it can turn soft again")
	case material.Polyurethane:
		add("water makes it foam: dry cups, wooden sticks and pattern, and cans closed at once after use")
	}
	add("keep the cup with the last of the mix beside the mold: open the mold only when that is firm and dry and a fingernail leaves no mark; where the cup is firm and the mold's face sticky, the pattern has stopped the cure")
	if b.Family == material.Platinum || b.Family == material.Tin {
		add("do not hurry it with heat while it is on the pattern: silicone cured at %.0f °C is about %.1f %% smaller at %.3g °C", WarmCure, 100*ThermalShrink(WarmCure, b.TempC), b.TempC)
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
	out.Add(finding.Finding{Code: finding.RubberSelfHeat, Severity: finding.Note,
		Summary: fmt.Sprintf("a batch of %.1f kg of %s warms itself: a data sheet gives the pot life of a cupful", batch/1000, f.Words()),
		Effect:  "it sets sooner than the time given here",
		Hint:    "pour it out at once, it keeps longer in the box than in the cup; or mix smaller batches (cup_ml in the shop file)"})
	return out
}
