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

// The gravities that rubber and its parts can have, g/cm³, and what they are in
// cubic inches to the pound: silicones are 1.04 to 1.35, polyurethanes 0.98 to
// 1.10 (from memory), with room for light and heavy fillers. A figure outside is
// another unit, or another line of the data sheet. Judgement of this program.
const (
	LeastSG, MostSG             = 0.9, 1.6
	LeastIn3PerLb, MostIn3PerLb = 17.3, 30.75
)

// Check returns a *BadInput for the first figure of a request that no rubber
// can have.
func (q Request) Check() error {
	for _, c := range []struct {
		input     Input
		v         *float64
		low, high float64
	}{
		{InputSG, q.SG, LeastSG, MostSG}, {InputIn3PerLb, q.In3PerLb, LeastIn3PerLb, MostIn3PerLb}, {InputSGA, q.SGA, LeastSG, MostSG}, {InputSGB, q.SGB, LeastSG, MostSG},
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
	Copies  int               // castings wanted of one mold; 0 = not said
	Volume  float64           // mm³ that are wanted at about; 0 = not known
	Cut     bool              // the mold is cut open along the pattern
	Brushed bool              // it is brushed on in coats, not poured
	// Original says that the pattern cannot be replaced.
	Original bool
	// AddedSG are the user's own densities of pigment, thinner and thickener.
	AddedSG map[material.AdditiveKind]float64
}

// Choose picks the rubber: by name; or, where the data sheet's figures were
// given without a name, one that nothing else is known of; or the one whose rest
// is on the shelf; or the best of own stock, and of the catalogue where no own one
// serves. An unknown name is a *BadInput, but where a rest of it is to be used: that
// is a rubber which nothing is known of.
func Choose(q Request, n Needs) (Chosen, error) {
	if err := q.Check(); err != nil {
		return Chosen{}, err
	}
	var c Chosen
	switch {
	case !q.Auto():
		r, ok := Find(n.Own, q.Name)
		switch {
		case ok:
			c.Rubber = r
		case q.Have != nil:
			c.Rubber, c.Sheet = sheetRubber(q.Name, ""), true
		default:
			return Chosen{}, &BadInput{Input: InputRubber, Wrong: NotKnown, Text: q.Name, Known: Names(n.Own)}
		}
		c.Reasons = append(c.Reasons, Choosing{Why: AskedByName})
	case q.BySheet():
		c.Rubber, c.Sheet = sheetRubber("by data sheet", q.PreferFamily), true
		c.Reasons = append(c.Reasons, Choosing{Why: FromDataSheet})
	case q.Have != nil && len(n.Own) == 1:
		c.Rubber = n.Own[0]
		c.Reasons = append(c.Reasons, Choosing{Why: OnlyStock})
	default:
		c.Rubber, c.Reasons = pick(q, n)
	}
	c.Findings = append(c.Findings, c.stocked(q, n)...)
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

// sheetRubber is a rubber that is known by its name, and by what a request has of
// its data sheet, alone.
func sheetRubber(name string, f material.Family) Rubber {
	return Rubber{Name: name, What: "the rubber whose data sheet figures were given; its chemistry, hardness and times are not known", Own: true, Family: f,
		SG: material.Figure{Value: 1.10, Source: "assumed"}, MixRatio: "1:1", MixBy: ByWeight, TempC: StandardTemp}
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
		q.Thickener = new(a.Share.Value)
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
	if p.Untouchable {
		out.Add(finding.Finding{Code: CodeUntouched, Severity: finding.Stop, Facts: Untouchable{p.What}})
		return out
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

// bonds reports whether a rubber grips what it gets into, whatever is under it: it
// is never poured on an original. Judgement of this program.
func bonds(f material.Family) bool { return f == material.Polyurethane || f == material.Latex }

// Grips tells of a rubber that takes the face of a pattern (nil = not said), or may
// take that of an original, even where it is sealed.
func Grips(p *material.Pattern, f material.Family, original bool) (out finding.List) {
	h := Harms{Family: f, Original: original}
	if p != nil {
		h.Pattern, h.Instead = p.What, p.Instead
	}
	severity := finding.Caution
	switch {
	case original && bonds(f):
		severity = finding.Stop
	case p == nil || !p.Harms(f):
		return nil
	}
	out.Add(finding.Finding{Code: CodeHarms, Severity: severity, Facts: h})
	return out
}

// Brushed reports whether a release is brushed on: polyurethane grips whatever it
// touches, whatever the table says.
func (m Meets) Brushed() bool { return m.Cure.Release || m.Family == material.Polyurethane }
