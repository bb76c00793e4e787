package boxfit

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"moldtally/mesh/demold"
	"moldtally/mesh/finding"
)

// Limits of a box board's bow, mm and as a share of the wall's width
// (judgement, no source): more than that shows in a flat-sided mold.
const (
	bowMost      = 0.5
	bowWidthPart = 600
)

// allowedBow is the bow that a wall of width a may have, mm.
func allowedBow(a float64) float64 { return min(bowMost, a/bowWidthPart) }

// ribsMost is how many upright ribs are worth advising on one wall.
const ribsMost = 8

// bow works out how far the widest wall bows and what to do about it.
func (p *planner) bow(f *Fit, w *walls) {
	if w.kind == Sleeve || f.Own && p.r.Board == "" {
		return // a tube is held by its hoop; of an own box the board is unknown
	}
	b := p.board
	a, h := w.widest(), f.FillHeight
	allow := allowedBow(a)
	open := wallBow(a, h, p.sg, b.ELow, b.Thickness, free)
	sound := open <= b.Thickness/2 // beyond, small-deflection theory says nothing
	if sound {
		v := open * b.Creep
		f.BoardBow = &v
		if v <= allow {
			return
		}
	}
	what := fmt.Sprintf("%s is too weak for a wall %s wide under %s of rubber: left overnight it bows further than any figure can say", b.Name, mm(a), mm(h))
	if sound {
		what = fmt.Sprintf("a wall of %s, %s wide under %s of rubber, bows %s by morning; %s is allowed", b.Name, mm(a), mm(h), mm(open*b.Creep), mm(allow))
	}
	effect := "the mold comes out with bellied sides, takes more rubber than reckoned, and the corner joints open"

	held := wallBow(a, h, p.sg, b.ELow, b.Thickness, supported)
	if held <= b.Thickness/2 && held*b.Creep <= allow {
		brace := fmt.Sprintf("strap the box round its top edge, or clamp a stiff batten along the rim of the %s walls: the bow falls to %s", mm(a), mm(held*b.Creep))
		f.Brace = &brace
		f.Findings.Add(finding.Finding{Code: finding.ContainerBow, Severity: finding.Caution, Summary: what, Effect: effect, Hint: brace})
		return
	}
	for n := 1; n <= ribsMost; n++ {
		span := a / float64(n+1)
		v := wallBow(span, h, p.sg, b.ELow, b.Thickness, supported)
		if v > b.Thickness/2 || v*b.Creep > allowedBow(span) {
			continue
		}
		ribs := "a stiff upright rib at mid-length"
		if n > 1 {
			ribs = fmt.Sprintf("%d stiff upright ribs, one every %s,", n, mm(span))
		}
		brace := fmt.Sprintf("strap the rim and screw %s to the outside of the %s walls: the bow between them falls to %s", ribs, mm(a), mm(v*b.Creep))
		f.Brace = &brace
		break
	}
	hint := "use a thicker or stiffer board"
	if t, ok := stiffEnough(a, h, p.sg); ok {
		hint = fmt.Sprintf("use a stiffer board: %s, %s thick, holds with a strap round the rim", t.Name, mm(t.Thickness))
	}
	if f.Brace != nil {
		hint = *f.Brace + "; or " + hint
	}
	f.Findings.Add(finding.Finding{Code: finding.ContainerBow, Severity: finding.Stop, Summary: what, Effect: effect, Hint: hint})
}

// stiffEnough is the thinnest wood board in stock that holds the wall with a
// strap round the rim; an engineer's plate is no answer for a one-off box.
func stiffEnough(a, h, sg float64) (best BoardStock, ok bool) {
	for _, b := range Boards() {
		if b.Creep != woodCreep || ok && b.Thickness >= best.Thickness {
			continue
		}
		if w := wallBow(a, h, sg, b.ELow, b.Thickness, supported); w <= b.Thickness/2 && w*b.Creep <= allowedBow(a) {
			best, ok = b, true
		}
	}
	return best, ok
}

// woodCreep marks the wood panels among the boards.
const woodCreep = 1.5

// tallHead is the depth of rubber, mm, past which a box made with glue or tape
// is likely to leak or part (judgement, no source): 3.4 kPa at the floor.
const tallHead = 300

// Masses that call for care when lifted, g: 12 kg for a note (judgement, no
// source); 23 kg is the ceiling in ideal conditions of T. R. Waters et al.,
// "Applications Manual for the Revised NIOSH Lifting Equation", NIOSH 94-110
// (1994).
const (
	liftNote    = 12e3
	liftCeiling = 23e3
)

// judge adds what a maker must be told about a finished fit.
func (p *planner) judge(f *Fit, side, rim float64) {
	s := p.s
	at := f.ThinnestAt
	if f.Own {
		p.judgeOwn(f, side, rim)
	}
	if f.Own || p.r.Wall != nil || p.r.Over != nil || p.r.Under != nil {
		// Less rubber than the rule, whether there was no more room or it was
		// asked for.
		if f.Thinnest < coverLeast-1e-9 && f.Thinnest > 0 && !f.Findings.Has(finding.ContainerSmall) && !f.Findings.Has(finding.ContainerThin) {
			f.Findings.Add(finding.Finding{
				Code: finding.ContainerThin, Severity: finding.Caution, At: at,
				Summary: fmt.Sprintf("the rubber is %s at its thinnest; about %s is usual for this pattern", mm(f.Thinnest), mm(p.rule)),
				Effect:  "thin rubber tears there when the mold is stripped and bulges when it is filled",
				Hint:    "allow more room there, or plan a mother mold to carry it",
			})
		}
	}
	if p.wall > coverMost+1e-9 {
		f.Findings.Add(finding.Finding{
			Code: finding.ContainerThick, Severity: finding.Caution,
			Summary: fmt.Sprintf("a wall of %s is asked for", mm(p.wall)),
			Effect:  "past 25 mm a thicker wall only costs rubber and makes the mold harder to strip",
			Hint:    "change the kind of mold instead: a blanket under a mother mold, or two parts",
		})
	} else if p.mold != demold.Blanket && coverShare*math.Sqrt(s.rect.Length*s.rect.Width) > coverMost && p.r.Wall == nil {
		f.Findings.Add(finding.Finding{
			Code: finding.ContainerThick, Severity: finding.Note,
			Summary: fmt.Sprintf("the pattern is large, %s × %s from above: a %s mold takes %s of rubber", mm(s.rect.Length), mm(s.rect.Width), p.mold, litres(f.Rubber)),
			Effect:  "most of that rubber only fills the corners",
			Hint:    "weigh a blanket under a mother mold against it",
		})
	}
	if f.FillHeight > tallHead && f.Kind == Mother {
		f.Findings.Add(finding.Finding{
			Code: finding.ContainerHead, Severity: finding.Caution,
			Summary: fmt.Sprintf("the rubber stands %s deep under the mother mold: %s kPa at the board", mm(f.FillHeight), trim(f.FloorPressure, 1)),
			Effect:  "a leak under the flange empties the shell while it cures",
			Hint:    "bolt the flange every hand's breadth over a bead of soft clay, and stay with the pour until it gels",
		})
	} else if f.FillHeight > tallHead {
		f.Findings.Add(finding.Finding{
			Code: finding.ContainerHead, Severity: finding.Caution,
			Summary: fmt.Sprintf("the rubber stands %s deep: %s kPa at the floor, %s N on the widest wall, half of that on each of its joints", mm(f.FillHeight), trim(f.FloorPressure, 1), trim(f.WallForce, 0)),
			Effect:  "glued or taped joints open under it, and a leak at the floor empties the box while it cures",
			Hint:    "screw the joints, seal every seam outside with hot glue or soft clay, strap the box in two places, and stay with the pour until it gels",
		})
	}
	p.judgeFloat(f)
	p.judgeLift(f)
}

// judgeFloat tells what holds the pattern down.
func (p *planner) judgeFloat(f *Fit) {
	if f.Findings.Has(finding.ContainerSmall) {
		return
	}
	if f.HoldDown == nil {
		worst := buoyancy(p.sg, float64(p.s.displaced.Value), 0)
		f.Findings.Add(finding.Finding{
			Code: finding.ContainerFloatUnknown, Severity: finding.Caution,
			Summary: "the pattern's mass is not known, so neither is whether it floats in the rubber",
			Effect:  fmt.Sprintf("it floats if it weighs less than %s, the rubber it displaces; were it hollow and weightless it would pull up with %s N", grams(p.sg*float64(p.s.displaced.Value)/1000), trim(worst, 1)),
			Hint:    "weigh the pattern and give its mass; until then fix it as if it floated",
		})
		return
	}
	up := *f.HoldDown
	if up <= 0 {
		return
	}
	how := "screws from below or a bar across the top"
	if !p.mold.OnBoard() {
		how = "a bar across the top, on pins where they do not show"
	}
	best := ""
	if p.r.Contact > 0 && p.mold.OnBoard() {
		// The best case: no rubber gets under the foot.
		v := sealedLift(p.sg, float64(p.s.displaced.Value), p.r.Contact, f.FillHeight) - *p.r.PatternMass/1000*gravity
		if v < up {
			best = "; only a foot sealed all round would do better, and do not count on that"
			if v <= 0 {
				best = "; only while its foot is sealed all round does the rubber hold it down, and do not count on that"
			}
		}
	}
	f.Findings.Add(finding.Finding{
		Code: finding.ContainerFloat, Severity: finding.Stop,
		Summary: fmt.Sprintf("the pattern floats: %s of pattern displaces %s of rubber", grams(*p.r.PatternMass), grams(*p.r.PatternMass+up/gravity*1000)),
		Effect:  fmt.Sprintf("it pulls up with %s N; once rubber creeps under it, it comes loose and the mold is lost%s", trim(up, 2), best),
		Hint: fmt.Sprintf("hold it down with %s, made for %s N; glue or clay alone must be good for %s N, as both soften over a long cure",
			how, trim(MarginScrews*up, 1), trim(MarginGlue*up, 1)),
	})
}

// judgeLift tells how heavy the filled container is.
func (p *planner) judgeLift(f *Fit) {
	m, least := p.knownLift(f), "at least "
	if f.LiftMass != nil {
		m, least = *f.LiftMass, ""
	}
	if m <= liftNote {
		return
	}
	fd := finding.Finding{
		Code: finding.ContainerHeavy, Severity: finding.Note,
		Summary: fmt.Sprintf("container, rubber and pattern together weigh %s%s", least, grams(m)),
		Effect:  "a full box that is tilted or dropped while it cures is lost, and so may be a back",
		Hint:    "pour it where it can stand until it has cured; lift with straight arms close to the body, or ask for help",
	}
	if m > liftCeiling {
		fd.Severity = finding.Caution
		fd.Hint = "pour it where it can stand until it has cured; move it with two people or a hoist, and follow local rules for lifting"
	}
	f.Findings.Add(fd)
}

// judgeOwn tells whether the pattern fits the user's own container.
func (p *planner) judgeOwn(f *Fit, side, rim float64) {
	name := "box"
	if f.Kind == Sleeve {
		name = "tube"
	}
	var lacks []string
	if side < -1e-9 {
		if f.Kind == Sleeve {
			lacks = append(lacks, fmt.Sprintf("%s in its bore", mm(-2*side)))
		} else {
			lacks = append(lacks, fmt.Sprintf("%s of length or width whichever way it is turned", mm(-2*side)))
		}
	}
	if room := rim - p.s.height(); room < -1e-9 {
		lacks = append(lacks, fmt.Sprintf("%s of height", mm(-room)))
	}
	if len(lacks) > 0 {
		f.Findings.Add(finding.Finding{
			Code: finding.ContainerSmall, Severity: finding.Stop, At: f.ThinnestAt,
			Summary: fmt.Sprintf("the pattern does not fit your %s: it lacks %s", name, strings.Join(lacks, " and ")),
			Effect:  "no mold can be poured in it",
			Hint: fmt.Sprintf("use a %s at least %s, or stand the pattern another way up",
				name, p.leastInside(f.Kind)),
		})
		return
	}
	thin := ""
	switch {
	case side < p.wall-1e-6 && side <= min(f.Over, p.over):
		thin = fmt.Sprintf("the rubber is only %s at the side, %s is wanted", mm(side), mm(p.wall))
	case f.Over < p.over-1e-6 || f.Under < p.under-1e-6:
		thin = fmt.Sprintf("the rubber is only %s over the pattern, %s is wanted", mm(f.Over), mm(p.over))
		if p.under > 0 {
			thin = fmt.Sprintf("the rubber is only %s over the pattern and %s under it; %s and %s are wanted", mm(f.Over), mm(f.Under), mm(p.over), mm(p.under))
		}
	case side < p.wall-1e-6:
		thin = fmt.Sprintf("the rubber is only %s at the side, %s is wanted", mm(side), mm(p.wall))
	}
	if thin == "" {
		return
	}
	fd := finding.Finding{
		Code: finding.ContainerThin, Severity: finding.Caution, At: f.ThinnestAt, Summary: thin,
		Effect: "thin rubber tears there when the mold is stripped and bulges when it is filled",
		Hint:   fmt.Sprintf("use a %s at least %s, or plan a mother mold to carry the thin wall", name, p.leastInside(f.Kind)),
	}
	if f.Thinnest < skin {
		fd.Severity = finding.Stop
		fd.Effect = "there is hardly any rubber there: the mold comes out with a hole or tears at the first strip"
	}
	f.Findings.Add(fd)
}

// skin is the thickness, mm, below which rubber is a skin and no wall
// (judgement, no source): a glove mold is 3 mm at its thinnest.
const skin = 3

// leastInside says how large a container of the kind must be inside.
func (p *planner) leastInside(k Kind) string {
	h := p.under + p.s.height() + p.over
	if k == Sleeve {
		return fmt.Sprintf("%s in bore and %s high inside", mmUp(2*(p.s.circle.Radius+p.wall)), mmUp(h))
	}
	w := boxWalls(p.s.hull, p.wall, p.r.Step)
	return fmt.Sprintf("%s × %s × %s inside", mmUp(w.length), mmUp(w.width), mmUp(h))
}

// noStockTube tells that the pattern is too wide for any tube in stock.
func (p *planner) noStockTube(need float64) finding.Finding {
	t := Tubes()
	last := t[len(t)-1]
	return finding.Finding{
		Code: finding.ContainerTube, Severity: finding.Caution,
		Summary: fmt.Sprintf("no stock tube is wide enough: %s of bore is needed, the widest, %s, has %s", mm(need), last.Name, mm(last.Bore)),
		Effect:  "the sleeve is planned to measure instead",
		Hint:    "roll it from thin plastic sheet and strap it, or build a box or polygon",
	}
}

// trim writes a number with at most n decimals and no trailing zeros.
func trim(v float64, n int) string {
	s := strconv.FormatFloat(v, 'f', n, 64)
	if strings.Contains(s, ".") {
		s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	}
	if s == "-0" {
		s = "0"
	}
	return s
}

// mm writes a length for a sentence: hundredths below 1 mm, tenths below 100.
func mm(v float64) string {
	switch a := math.Abs(v); {
	case a < 1:
		return trim(v, 2) + " mm"
	case a < 100:
		return trim(v, 1) + " mm"
	}
	return trim(v, 0) + " mm"
}

// mmUp writes a length that must not be less: whole mm, rounded up.
func mmUp(v float64) string { return trim(math.Ceil(v-1e-6), 0) + " mm" }

// grams writes a mass for a sentence.
func grams(v float64) string {
	if math.Abs(v) >= 1000 {
		return trim(v/1000, 2) + " kg"
	}
	return trim(v, 0) + " g"
}

// litres writes a volume in mm³ for a sentence.
func litres(v float64) string {
	if v >= 1e6 {
		return trim(v/1e6, 1) + " litres"
	}
	return trim(v/1e3, 0) + " ml"
}

// shellLifts tells that a closed mother mold wants to rise while it is filled.
func (p *planner) shellLifts(up float64) finding.Finding {
	return finding.Finding{
		Code: finding.ContainerShell, Severity: finding.Caution,
		Summary: fmt.Sprintf("the liquid rubber lifts a closed mother mold with %s N when it stands %s up in the funnel", trim(up, 0), mm(riser)),
		Effect:  "a shell that rises lets the rubber run out under its flange, and the blanket comes out too thick on top; a taller funnel lifts more",
		Hint:    fmt.Sprintf("bolt or clamp the flange to the board, or load the shell with %s, twice its own lift; give the shell 3 to 5° of draft and seal the flange", grams(MarginScrews*max(0, up)/gravity*1000)),
	}
}
