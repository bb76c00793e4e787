package rubber

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"moldtally/estimate/material"
	"moldtally/mesh/finding"
	"moldtally/mesh/unit"
)

// Check returns a *BadInput for the first figure of a request that no rubber
// can have.
func (q Request) Check() error {
	for _, c := range []struct {
		input     Input
		v         *float64
		low, high float64
	}{
		{InputSG, q.SG, 0.3, 20}, {InputIn3PerLb, q.In3PerLb, 1, 100}, {InputSGA, q.SGA, 0.3, 20}, {InputSGB, q.SGB, 0.3, 20},
	} {
		if c.v != nil && !(*c.v >= c.low && *c.v <= c.high) {
			return &BadInput{Input: c.input, Wrong: NoSuchFigure, Value: *c.v, Low: c.low, High: c.high}
		}
	}
	switch {
	case q.SG != nil && q.In3PerLb != nil && math.Abs(*q.SG**q.In3PerLb/float64(unit.LbPerInch3)-1) > 0.01:
		return &BadInput{Input: InputIn3PerLb, Wrong: Disagrees, Value: *q.In3PerLb, Low: float64(unit.FromIn3PerLb(*q.In3PerLb)), High: *q.SG}
	case q.Mix != nil && !(Ratio{q.Mix[0], q.Mix[1]}).ok():
		return &BadInput{Input: InputMix, Wrong: NotPositive}
	case q.MixBy != "" && q.MixBy != ByWeight && q.MixBy != ByVolume:
		return &BadInput{Input: InputMixBy, Wrong: NotOffered, Text: string(q.MixBy)}
	case q.Extra != nil && !(*q.Extra >= 0 && *q.Extra <= 200):
		return &BadInput{Input: InputExtra, Wrong: OutOfBounds, Value: *q.Extra, High: 200}
	case q.WeighTo != nil && !(*q.WeighTo >= 1e-4 && *q.WeighTo <= 1e5):
		return &BadInput{Input: InputWeighTo, Wrong: NoScaleHasIt, Value: *q.WeighTo}
	case q.PricePerKg != nil && *q.PricePerKg < 0:
		return &BadInput{Input: InputPrice, Wrong: Negative}
	case q.Have != nil && !(*q.Have >= 0 && *q.Have < 1e12):
		return &BadInput{Input: InputHave, Wrong: Negative}
	}
	return q.checkAdditives()
}

// checkAdditives refuses shares of additives that make another material.
func (q Request) checkAdditives() error {
	sum := 0.0
	for i, k := range material.AdditiveKinds {
		input := []Input{InputPigment, InputThinner, InputThickener}[i]
		if v := q.additive(k); v != nil {
			if !(*v >= 0 && *v <= 100*MostAdditive) {
				return &BadInput{Input: input, Wrong: OutOfBounds, Value: *v, High: 100 * MostAdditive}
			}
			sum += *v
		}
	}
	if sum > 100*MostAdditive {
		return &BadInput{Input: InputPigment, Wrong: TooMuchStirred, Value: sum, High: 100 * MostAdditive}
	}
	return nil
}

// Chosen is the rubber to reckon with after the data sheet's figures have won.
type Chosen struct {
	Rubber
	Ratio    Ratio
	ByVolume bool
	Density  float64 // g/cm³ of the finished mix, with what is stirred in
	Bare     float64 // g/cm³ of A and B alone
	Added    []Added
	A, B     *float64
	Sheet    bool // by data sheet, nothing else is known of it
	Reasons  []Choosing
	Findings finding.List
}

// Needs is what the choice of a rubber depends on.
type Needs struct {
	Own     []Rubber
	Range   Range
	Pattern *material.Pattern // nil = not said
	Cast    *material.Casting // nil = not said
	Cut     bool              // the mold is cut open along the pattern
	Brushed bool              // it is brushed on in coats, not poured
	// AddedSG are the user's own densities of pigment, thinner and thickener.
	AddedSG map[material.AdditiveKind]float64
}

// Choose picks the rubber: by name; or, where the data sheet's figures were
// given without a name, one that nothing else is known of; or the best of own
// stock and catalogue. An unknown name is a *BadInput.
func Choose(q Request, n Needs) (Chosen, error) {
	if err := q.Check(); err != nil {
		return Chosen{}, err
	}
	var c Chosen
	switch {
	case !q.Auto():
		r, ok := Find(n.Own, q.Name)
		if !ok {
			return Chosen{}, &BadInput{Input: InputRubber, Wrong: NotKnown, Text: q.Name, Known: Names(n.Own)}
		}
		c.Rubber = r
		c.Reasons = append(c.Reasons, Choosing{Why: AskedByName})
	case q.BySheet():
		c.Rubber = Rubber{Name: "by data sheet", What: "the rubber whose data sheet figures were given; its chemistry, hardness and times are not known", Own: true,
			SG: material.Figure{Value: 1.10, Source: "assumed"}, MixRatio: "1:1", MixBy: ByWeight, TempC: StandardTemp}
		if q.PreferFamily != "" {
			c.Family = q.PreferFamily
		}
		c.Sheet = true
		c.Reasons = append(c.Reasons, Choosing{Why: FromDataSheet})
	default:
		c.Rubber, c.Reasons = pick(q, n)
	}
	if err := c.mixed(q); err != nil {
		return Chosen{}, err
	}
	c.thicken(&q, n)
	var stir finding.List
	c.Bare = c.Density
	c.Added, stir = StirIn(q, c.Family, n.Brushed, n.AddedSG)
	c.Findings = append(c.Findings, stir...)
	if len(c.Added) > 0 {
		c.Density = WithAdditives(c.Bare, c.Added)
		if left := Softened(c.Added); left < 1 {
			c.ShoreA, c.Tear = weaken(c.ShoreA, left), weaken(c.Tear, left)
			if c.ShoreA != nil {
				c.Reasons = append(c.Reasons, Choosing{Why: Thinned, Shore: c.ShoreA.Value, High: c.ShoreA.Value / left})
			}
		}
	}
	if c.BrushOnly && !n.Brushed {
		c.Findings.Add(finding.Finding{Code: CodeBrush, Severity: finding.Stop, Facts: BrushedOn{c.Name}})
	}
	return c, nil
}

// thinned is the share of hardness that a request's thinner leaves a family.
func thinned(q Request, f material.Family) float64 {
	t, _ := StirIn(q, f, true, nil)
	return Softened(t)
}

// thicken has a pourable rubber thickened as is usual where it is to be brushed and
// nothing was said of that: as it is poured it runs off a standing face.
func (c *Chosen) thicken(q *Request, n Needs) {
	if !n.Brushed || c.BrushOnly || c.Sheet || q.Thickener != nil {
		return
	}
	if a, known := material.AdditiveFor(material.Thickener, c.Family); known {
		q.Thickener = new(100 * a.Share.Value)
		c.Reasons = append(c.Reasons, Choosing{Why: Thickened, High: *q.Thickener})
	}
}

// weaken returns a figure that is left of one after thinning.
func weaken(f *material.Figure, left float64) *material.Figure {
	if f == nil {
		return nil
	}
	return &material.Figure{Value: f.Value * left, Source: f.Source + "; thinned, about in proportion (from memory)"}
}

// mixed settles ratio and gravities: what the request has of the data sheet wins
// over the catalogue.
func (c *Chosen) mixed(q Request) error {
	c.Density = c.SG.Value
	ratio, err := ParseRatio(c.MixRatio)
	if err != nil {
		return fmt.Errorf("rubber: %s: %w", c.Name, err)
	}
	c.Ratio, c.ByVolume = ratio, c.MixBy == ByVolume
	if c.SGA != nil {
		c.A = &c.SGA.Value
	}
	if c.SGB != nil {
		c.B = &c.SGB.Value
	}
	if q.Mix != nil {
		c.Ratio = Ratio{q.Mix[0], q.Mix[1]}
		c.ByVolume = false // a bare ratio is by weight unless --mix-by says so
	} else if c.Sheet {
		c.Findings.Add(finding.Finding{Code: CodeAssumed, Severity: finding.Caution, Facts: Assumed{}})
	}
	if q.MixBy != "" {
		c.ByVolume = q.MixBy == ByVolume
	}
	if q.SGA != nil {
		c.A = q.SGA
	}
	if q.SGB != nil {
		c.B = q.SGB
	}
	switch {
	case q.SG != nil:
		c.Density = *q.SG
	case q.In3PerLb != nil:
		c.Density = float64(unit.FromIn3PerLb(*q.In3PerLb))
	case q.SGA != nil && q.SGB != nil:
		r := c.Ratio
		if c.ByVolume {
			r = r.ByWeight(*c.A, *c.B)
		}
		c.Density = r.MixSG(*c.A, *c.B)
	case c.Sheet:
		c.Findings.Add(finding.Finding{Code: CodeAssumed, Severity: finding.Caution, Facts: Assumed{unit.Density(c.Density)}})
	}
	return nil
}

// pick returns the best rubber of own stock and catalogue. What comes first
// outweighs all that follows: it must cure, stand the heat, suit the casting,
// lie in the range of hardness; then the user's own stock, to be brushed one made for
// it, the least trouble with the pattern, the casting's better chemistry, the nearest hardness.
func pick(q Request, n Needs) (Rubber, []Choosing) {
	type scored struct {
		r     Rubber
		score []float64
	}
	order := material.Families
	if n.Cast != nil && len(n.Cast.Families) > 0 {
		order = n.Cast.Families
	}
	var list []scored
	for k, r := range append(slices.Clone(n.Own), load()...) {
		h, known := r.Hardness()
		if r.BrushOnly && !n.Brushed || r.Family == material.Latex || !known {
			continue
		}
		h *= thinned(q, r.Family)
		var trouble, hot, suits, outside float64
		if n.Pattern != nil {
			if c, ok := n.Pattern.Against(r.Family); ok {
				trouble = float64(c.Trouble())
			}
		}
		if n.Cast != nil && r.HeatLimit != nil {
			_, hottest := n.Cast.HottestC.Range()
			hot = max(0, hottest-r.HeatLimit.Value)
		}
		rank := slices.Index(order, r.Family)
		if rank < 0 {
			suits, rank = 1, len(order)
		}
		if n.Range.Low != nil && n.Range.High != nil {
			outside = max(0, *n.Range.Low-h, h-*n.Range.High)
		}
		own, prefer, clear := 1.0, 1.0, 1.0
		if r.Own {
			own = 0
		}
		if q.PreferFamily != "" && r.Family == q.PreferFamily {
			prefer = 0
		}
		// A cut mold is cut along a line that must be seen: two steps of
		// hardness are given away for a translucent rubber (judgement).
		if r.Clear == n.Cut {
			clear = 0
		}
		thicken := 0.0
		if n.Brushed && !r.BrushOnly {
			thicken = 1
		}
		list = append(list, scored{r, []float64{math.Floor(trouble / 100), hot, suits, outside, prefer, own, thicken, trouble, float64(rank), clear, math.Abs(h - n.Range.Preferred), float64(k)}})
	}
	best := slices.MinFunc(list, func(a, b scored) int { return slices.Compare(a.score, b.score) })
	r := best.r
	return r, choosing(q, n, r, order[0], best.score[3] > 0)
}

// choosing is why a rubber was picked; first is the family that was looked for
// first, nearest says that it lies outside the range.
func choosing(q Request, n Needs, r Rubber, first material.Family, nearest bool) (why []Choosing) {
	if h, _ := r.Hardness(); n.Range.Low != nil {
		why = append(why, Choosing{Why: InRange, Shore: h * thinned(q, r.Family), Low: *n.Range.Low, High: *n.Range.High, Nearest: nearest})
	}
	if n.Pattern != nil {
		if c, ok := n.Pattern.Against(r.Family); ok && !c.No {
			w := Choosing{Why: CuresAgainst, Family: r.Family, What: n.Pattern.What}
			if q, _ := n.Pattern.Against(first); q.Trouble() > c.Trouble() {
				w.Over = first
			}
			why = append(why, w)
		}
	}
	if n.Cast != nil && slices.Contains(n.Cast.Families, r.Family) {
		why = append(why, Choosing{Why: UsualForCast, Family: r.Family, What: n.Cast.What})
	}
	if r.Own {
		why = append(why, Choosing{Why: OwnStock})
	}
	return why
}

// remarkFor leaves out the clauses of a remark that are about another chemistry.
func remarkFor(remark string, f material.Family) string {
	names := map[material.Family]string{material.Platinum: "platinum-cure", material.Tin: "tin-cure", material.Polyurethane: "polyurethane"}
	var keep []string
	for _, clause := range strings.Split(remark, "; ") {
		other := false
		for g, n := range names {
			other = other || g != f && strings.Contains(clause, n)
		}
		if !other || names[f] != "" && strings.Contains(clause, names[f]) {
			keep = append(keep, clause)
		}
	}
	return strings.Join(keep, "; ")
}

// ReleaseChosen judges a release or sealer that the user names, between a
// pattern (nil = not known) and a rubber; second says that rubber is poured over
// its own kind as well.
func ReleaseChosen(r material.Release, p *material.Pattern, f material.Family, second bool) (out finding.List) {
	suits, why := r.Between(p, f)
	c := Coat{Release: r, Family: f, Use: CoatSuits, Why: why, Instead: material.Between(r.Kind, p, f)}
	severity := finding.Note
	under := slices.Contains(r.Under, f)
	switch {
	case suits == material.Never:
		c.Use, severity = CoatHarms, finding.Stop
	case suits == material.Idle && r.Kind == material.ReleaseAgent && second && under:
		c.Use = CoatBetween
	case suits == material.Idle && len(r.Under) > 0 && !under:
		c.Use, severity = CoatUntried, finding.Caution
	case suits == material.Idle:
		c.Use = CoatIdle
	}
	out.Add(finding.Finding{Code: CodeRelease, Severity: severity, Facts: c})
	return out
}

// Cures returns what to know before the rubber meets the pattern. A patch test
// is advised whatever the table says: it is common practice, apart from a few
// cited papers, and each make differs. pattern may be nil: then nothing is
// known and nothing is said (the sheet lists it as not checked).
func Cures(p *material.Pattern, f material.Family) (out finding.List) {
	if p == nil {
		return nil
	}
	m := Meets{Family: f, Pattern: p.What, Remark: remarkFor(p.Remark, f), Sealers: material.Between(material.Sealer, p, f), Releases: material.Between(material.ReleaseAgent, p, f)}
	m.Cure, m.Known = p.Against(f)
	code, severity := CodePatchTest, finding.Caution
	switch {
	case m.Known && m.Cure.No:
		code, severity = CodeInhibited, finding.Stop
		least := 100
		for _, o := range material.Families {
			if a, _ := p.Against(o); a.Trouble() < least {
				least, m.Instead, m.InsteadSealed = a.Trouble(), o, a.Seal
			}
		}
	case m.Known && (m.Cure.Seal || m.Brushed()):
		code = CodePrepare
	case m.Known && !m.Cure.Test:
		severity = finding.Note
	}
	out.Add(finding.Finding{Code: code, Severity: severity, Facts: m})
	return out
}

// Brushed reports whether a release is brushed on: polyurethane grips whatever it
// touches, whatever the table says.
func (m Meets) Brushed() bool { return m.Cure.Release || m.Family == material.Polyurethane }
