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
