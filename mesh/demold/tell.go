package demold

import (
	"fmt"
	"math"

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
		if a.onBoard() {
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
	if r.Pockets > 0 && a.rubber != nil && a.rubber.largest.volume > 0 && a.rubber.largest.volume >= 1e-4*a.f.Volume() {
		p := a.rubber.largest
		_, hi := a.rubber.gap(a.f.Column(p.i, p.j), p.k)
		add(finding.SealedPocket, finding.Caution, a.point(a.f, p.i, p.j, hi),
			fmt.Sprintf("the pattern stands over a hollow of %s that no rubber gets into", cm3(p.volume)),
			"air shut in there warms, pushes out under the rim and leaves bubbles in the face; if the seal fails, rubber creeps in and locks",
			"fill the hollow with clay before the pattern goes onto the board, or drill the board to let the air out")
	}
	if a.onBoard() && a.rubber.ragged > 1e-4*a.f.Volume() {
		v := a.rubber.ragged
		add(finding.RaggedBottom, finding.Note, nil,
			fmt.Sprintf("the open bottom is not level: it takes %s of clay to fill it down to the board", cm3(v)),
			"what clay fills is neither pattern nor rubber; without it rubber runs under the pattern",
			"press the pattern into a bed of clay and trim the clay flush with the rim")
	}
	a.tellAir("rubber", finding.RubberAir, add,
		"the rubber leaves a hole there and the casting comes out with a lump",
		"tip the board while pouring so that the place looks sideways, brush a first coat into it, or drill a fine vent through the pattern")
	hint := "tip the mold while filling so that the place rises last, prick a vent from its tip, or swill the first of the casting round and fill in two pours"
	if !a.onBoard() {
		hint = "cut a vent from the tip of each to the outside along the parting, or move the sprue there"
	}
	a.tellAir("casting", finding.CastingAir, add, "the casting comes out with that tip missing", hint)
}

func (a *analysis) tellAir(pour string, code finding.Code, add func(finding.Code, finding.Severity, *[3]float64, string, string, string), effect, hint string) {
	var n int
	var sum float64
	var at *[3]float64
	for _, t := range a.rep.AirTraps {
		if t.Pour != pour {
			continue
		}
		if n == 0 { // the largest comes first
			p := t.At
			at = &p
		}
		n++
		sum += t.Volume
	}
	if n == 0 {
		return
	}
	sev := finding.Note
	if sum > 1e-4*a.f.Volume() {
		sev = finding.Caution
	}
	where := "one place"
	if n > 1 {
		where = fmt.Sprintf("%d places, the largest here", n)
	}
	add(code, sev, at, fmt.Sprintf("while the %s is poured, %s of air is caught in %s", pour, cm3(sum), where), effect, hint)
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
