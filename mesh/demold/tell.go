package demold

import (
	"fmt"
	"math"

	"moldtally/mesh/demold/scene"
	"moldtally/mesh/finding"
)

// tell words what the undercuts, pockets and air mean for the pour.
func (a *analysis) tell() {
	r := a.rep
	add := func(code finding.Code, sev finding.Severity, at *[3]float64, summary, effect, hint string) {
		r.Findings.Add(finding.Finding{Code: code, Severity: sev, Summary: summary, Effect: effect, Hint: hint, At: at})
	}
	if r.UndercutPath == nil && (r.Seam == nil || r.Seam.Path == nil) {
		rest := fmt.Sprintf("; elsewhere the rubber has to bend round at most %s", mm(r.FreePath))
		if r.FreePath < a.regionFloor() {
			rest = "; elsewhere nothing holds it"
		}
		summary := fmt.Sprintf("%s of rubber is locked into the pattern: at its height there is no way out past the pattern%s", cm3(r.LockedVolume), rest)
		if a.OnBoard() {
			add(finding.Locked, finding.Stop, r.UndercutPathAt, summary,
				"the mold cannot be pulled off without tearing there, or the pattern breaks",
				"fill the place with clay or a plug, turn the pattern so that it opens upward, or make the mold in more parts")
		} else {
			add(finding.Locked, finding.Stop, r.UndercutPathAt, summary,
				"neither half can be lifted off without tearing there, wherever the mold is parted",
				"fill the place with clay or a loose plug, or give it a third part")
		}
	}
	if r.UndercutPath != nil && r.UndercutDepth > 0 && *r.UndercutPath > 1.3*r.UndercutDepth+2*r.Uncertainty && *r.UndercutPath >= a.regionFloor() {
		add(finding.LongWayRound, finding.Note, r.UndercutPathAt,
			fmt.Sprintf("rubber at the worst place must go %s round the pattern to get out, though straight through the pattern it is only %s", mm(*r.UndercutPath), mm(r.UndercutDepth)),
			"a hole or a channel that runs across the pull holds a tongue of rubber that long",
			"pull that tongue out slowly with release, or plug the hole with clay and drill the casting")
	}
	if r.Pockets > 0 && a.Space().Largest.Volume > 0 && a.Space().Largest.Volume >= 1e-4*a.Field.Volume() {
		p := a.Space().Largest
		_, hi := a.Space().Gap(a.Field.Column(p.I, p.J), p.K)
		add(finding.SealedPocket, finding.Caution, scene.Point(a.Field, p.I, p.J, hi),
			fmt.Sprintf("the pattern stands over a hollow of %s that no rubber gets into", cm3(p.Volume)),
			"air shut in there warms, pushes out under the rim and leaves bubbles in the face; if the seal fails, rubber creeps in and locks",
			"fill the hollow with clay before the pattern goes onto the board, or drill the board to let the air out")
	}
	if a.OnBoard() && a.Space().Ragged > 1e-4*a.Field.Volume() {
		v := a.Space().Ragged
		add(finding.RaggedBottom, finding.Note, nil,
			fmt.Sprintf("the open bottom is not level: it takes %s of clay to fill it down to the board", cm3(v)),
			"what clay fills is neither pattern nor rubber; without it rubber runs under the pattern",
			"press the pattern into a bed of clay and trim the clay flush with the rim")
	}
	for _, p := range r.Air {
		switch {
		case p.Pour == "rubber":
			a.tellAir(p, finding.RubberAir, add, "the rubber leaves a hole there and the casting comes out with a lump", p.rubberHint())
		case a.OnBoard():
			a.tellAir(p, finding.CastingAir, add, "the casting comes out with that tip missing", p.mouthHint())
		default:
			a.tellAir(p, finding.CastingAir, add, "the casting comes out with that tip missing", p.sprueHint())
		}
	}
}

// tellAir says what one pour catches standing level, and what clears it.
func (a *analysis) tellAir(p AirPour, code finding.Code, add func(finding.Code, finding.Severity, *[3]float64, string, string, string), effect, hint string) {
	if p.Caught <= 0 {
		return
	}
	sev := finding.Note
	if p.Caught > littleAir*a.Field.Volume() {
		sev = finding.Caution
	}
	where := "one place"
	if p.Traps > 1 {
		where = fmt.Sprintf("%d places, the largest here", p.Traps)
	}
	what := p.Pour
	if p.Half != "whole" {
		what += " of the " + p.Half + " half"
	}
	at := *p.At
	add(code, sev, &at, fmt.Sprintf("while the %s is poured, %s of air is caught in %s", what, cm3(p.Caught), where), effect, hint)
}

// tip words the tilt, or that there is none.
func (p AirPour) tip(what string) string {
	return fmt.Sprintf("tip %s by %.0f° with the side down that looks %s", what, math.Ceil(*p.Tilt-1e-6), p.Side())
}

// places words where the vents stand, the first few of them.
func (p AirPour) places() string {
	const few = 3
	var s string
	for k, v := range p.Vents {
		if k == few {
			return s + fmt.Sprintf(" and %d more", len(p.Vents)-few)
		}
		if k > 0 {
			s += "; "
		}
		s += spotAt(v)
	}
	return s
}

// tallBox is how far over the pattern a box reaches at most by itself, mm: the
// thickest cover that is usual. Common practice, no source.
const tallBox = 25

func (p AirPour) rubberHint() string {
	vent := "brush a first coat into " + p.places() + ", or drill a fine vent through the pattern there"
	if p.Tilt == nil {
		return vent
	}
	s := p.tip("the board") + " while pouring until the place is covered, then set it level"
	if p.Over != nil && *p.Over > 0 {
		s += fmt.Sprintf(" (the box has to reach %.0f mm over the pattern", math.Ceil(*p.Over))
		if *p.Over > tallBox {
			s += "; where that is too high, brush a first coat into the place instead"
		}
		s += ")"
	}
	if p.Left == 0 {
		return s + "; no air is left"
	}
	return s + "; of the " + cm3(p.Left) + " that stays " + vent
}

func (p AirPour) mouthHint() string {
	vent := "prick a vent from " + p.places() + " to the outside, or swill the first of the casting round and fill in two pours"
	if p.Tilt == nil {
		return vent
	}
	s := p.tip("the mold") + " while filling, then set it level and top it up"
	if p.Left == 0 {
		return s + "; no air is left"
	}
	return s + "; for the " + cm3(p.Left) + " that stays " + vent
}

func (p AirPour) sprueHint() string {
	var s string
	if p.SprueAt != nil {
		s = "set the sprue at " + spotAt(*p.SprueAt)
	}
	if p.Tilt != nil {
		s += " and " + p.tip("the mold") + " until the casting has set"
	}
	if p.Left == 0 {
		return s + "; no air is left"
	}
	return s + ", and cut a vent to the outside from " + p.places()
}

// Side words the side that goes down, in the file's axes: "+x", or "+x, 30°
// toward -z". It is empty without a tilt.
func (p AirPour) Side() string {
	if p.Toward == nil {
		return ""
	}
	d := *p.Toward
	name := func(k int) string {
		if d[k] < 0 {
			return "-" + string("xyz"[k])
		}
		return "+" + string("xyz"[k])
	}
	first, second := 0, 1
	for k := range d {
		if math.Abs(d[k]) > math.Abs(d[first])+1e-9 {
			first = k
		}
	}
	if first == 1 {
		second = 0
	}
	for k := range d {
		if k != first && math.Abs(d[k]) > math.Abs(d[second])+1e-9 {
			second = k
		}
	}
	deg := math.Round(math.Atan2(math.Abs(d[second]), math.Abs(d[first])) * 180 / math.Pi)
	if deg == 0 {
		return name(first)
	}
	return fmt.Sprintf("%s, %.0f° toward %s", name(first), deg, name(second))
}

// spotAt words a place in the file's axes.
func spotAt(p [3]float64) string {
	return fmt.Sprintf("x %.0f, y %.0f, z %.0f mm", math.Round(p[0])+0, math.Round(p[1])+0, math.Round(p[2])+0)
}

// mm and cm3 write a figure as it is read at the bench.
func mm(x float64) string { return short(x) + " mm" }

func cm3(v float64) string {
	if v < 1000 {
		return short(v) + " mm³"
	}
	return short(v/1000) + " cm³"
}

// short keeps three significant digits.
func short(x float64) string {
	if x == 0 {
		return "0"
	}
	d := 2 - int(math.Floor(math.Log10(math.Abs(x))))
	if d < 0 {
		p := math.Pow(10, float64(-d))
		return fmt.Sprintf("%.0f", math.Round(x/p)*p)
	}
	return fmt.Sprintf("%.*f", d, x)
}
