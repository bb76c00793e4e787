package rubber

import (
	"math"

	"moldtally/estimate/material"
	"moldtally/estimate/money"
	"moldtally/mesh/finding"
	"moldtally/mesh/unit"
)

// Kit is a package of rubber that can be bought.
type Kit = money.Kit

// Defaults of mixing.
const (
	DefaultExtra   = 0.08 // share of the mass; common practice (5 to 10 %), no source
	BrushExtra     = 0.15 // brushed coats; common practice, no source
	DefaultWeighTo = 5.0  // g; a bench scale's safe step, a judgement

	ratioAim    = 0.01 // how close the two weights keep the ratio; a judgement
	ratioSteps  = 10   // steps that the larger part may go up
	ratioStop   = 0.02 // platinum, polyurethane and unknown; from memory, they stand 2 to 5 %
	ratioStopSn = 0.05 // tin; from memory, it stands more, with changed pot life
	fineStep    = 0.1  // g; below it --weigh-to is its own finest step

	// UnknownFilm is the film that clings to cup and stick, mm, of a rubber of
	// unknown viscosity: that of 20 Pa·s (from memory).
	UnknownFilm = 0.3
	// PasteFilm is that of a thickened or brush-on rubber (from memory).
	PasteFilm = 0.5
	// cups: the mix is stirred, poured over into a second cup and stirred
	// again (common practice), so the film is lost twice.
	cups = 2
	// A cup is taken as filled to 0.8 of its width.
	cupFill = 0.8

	// HandRoom and VacuumRoom are how many times the mix a cup must hold:
	// stirred by hand, and foaming up under vacuum (common practice, no source).
	HandRoom   = 2.0
	VacuumRoom = 4.0

	maxBatches = 200 // more are no longer listed one by one; a judgement

	minSteps = 20.0 // the smaller part weighs at least this many scale steps: 5 %; a judgement
)

// Film returns the thickness, mm, of what clings to the cup at a viscosity in
// Pa·s: 0.1 mm at 1 Pa·s, 0.3 at 20, 0.5 for a paste (from memory), a power law
// in between.
func Film(viscosity float64) float64 {
	if !(viscosity > 0) {
		return UnknownFilm
	}
	return min(PasteFilm, max(0.1, 0.1*math.Pow(viscosity, math.Log(3)/math.Log(20))))
}

// CupFilm is the volume, mm³, that clings to one cup in which a volume (mm³) of
// rubber was mixed: floor and wet side of a round cup filled to 0.8 of its
// width, times the film.
func CupFilm(volume, film float64) float64 {
	if volume <= 0 {
		return 0
	}
	d := math.Cbrt(volume / (math.Pi / 4 * cupFill))
	return math.Pi * d * d * (0.25 + cupFill) * film
}

// Half is which part of a mold is poured in one go.
type Half string

// The halves, and a mold in one piece.
const (
	Whole  Half = "whole"
	First  Half = "first"
	Second Half = "second"
)

// Portion is one pouring. Volumes in mm³; High covers the least that the pattern
// may displace.
type Portion struct {
	Half         Half
	Volume, High float64
}

// MixRequest is everything mixing depends on. Masses g, volumes ml where said.
type MixRequest struct {
	Family   material.Family
	SG       float64 // of the finished mix, with what is stirred in
	Added    []Added
	Ratio    Ratio // by weight, or by volume where ByVolume
	ByVolume bool
	SGA, SGB *float64

	Portions []Portion
	Extra    float64 // share, 0.08 = 8 %
	WeighTo  float64
	Film     float64 // mm

	MaxBatch float64    // g that can be poured within the pot life; 0 = no limit
	Clock    Clock      // of batches that follow each other
	MaxCup   float64    // ml, the largest cup or pail; 0 = no limit
	CupIs    BatchLimit // what MaxCup is: the cup, or the vacuum chamber
	Room     float64    // times the mix that a cup must hold; 0 = HandRoom
	Coats    int        // brushed on one after the other, each stirred by itself; 0 = poured
	First    float64    // the share of the first coat, which is thin; 0 = as the others
	Brushing float64    // min that one coat takes to brush on, for one person; 0 = not known
}

// Mix is what goes on the scale. Part weights are nil where a ratio by volume
// cannot be turned into weights.
type Mix struct {
	Mass        float64 // that fills the mold, at the likely volume
	ToMix       float64 // what the batches must at least sum to
	Extra       float64 // ToMix less the mass at the high volume
	ExtraReason Loss
	PartA       *float64
	PartB       *float64
	PartAml     *float64
	PartBml     *float64
	Added       []float64 // g, in the order of the request's
	Error       *float64  // of the ratio, of the worst batch
	Pours       []MixPour
	Findings    finding.List
}

// Loss is what the extra is for: a Share for what stays in cups and is spilled, or
// (0) what clings to the cups, which is more than that.
type Loss struct {
	Share   float64
	Pours   int     // of the shop's own that told it; 0 = none did
	Instead float64 // and the share that was taken else
}

// MixPour is one pouring's share.
type MixPour struct {
	Portion
	ToMix   float64
	Extra   float64
	People  int // who stir and pour, each with a cup, so that no batch comes late
	PartA   *float64
	PartB   *float64
	Added   []float64 // g
	Batches []MixBatch
}

// MixBatch is one cup.
type MixBatch struct {
	Mass         float64 // g, at least
	PartA, PartB *float64
	Added        []float64 // g
	Cup          float64   // ml
	Coat         int       // of a brushed mold, from 1; 0 = poured
}

// Blend works out the weights. It never weighs less than is needed, and never
// rounds both parts on their own: the smaller follows the larger.
func Blend(q MixRequest) Mix {
	b := blending{q: q, room: q.Room, bare: 1 - Shares(q.Added), least: math.Inf(1)}
	b.weight, b.known = q.byWeight()
	if b.room <= 0 {
		b.room = HandRoom
	}
	m := Mix{Added: make([]float64, len(q.Added))}
	for _, h := range q.Portions {
		m.Mass += q.SG * h.Volume / 1000
		p := b.pour(h)
		for i, g := range p.Added {
			m.Added[i] += g
		}
		m.ToMix += p.ToMix
		m.Extra += p.Extra
		m.Pours = append(m.Pours, p)
	}
	if !b.filmWins {
		m.ExtraReason.Share = q.Extra
	}
	if b.known {
		m.PartA, m.PartB, m.Error = &b.sumA, &b.sumB, &b.worst
		if q.SGA != nil && q.SGB != nil {
			m.PartAml, m.PartBml = new(b.sumA / *q.SGA), new(b.sumB / *q.SGB)
		}
		m.judgeScale(q, b.worst, b.least, b.step)
	} else {
		m.Findings.Add(finding.Finding{Code: CodeGravity, Severity: finding.Stop, Facts: NoGravity{q.Ratio}})
	}
	m.judgeBatches(q, &b)
	return m
}

// blending is a mix under work, with what its pours share and add up to.
type blending struct {
	q          MixRequest
	weight     Ratio // by weight, where it is known
	known      bool
	room       float64 // of a cup, times what is in it
	bare       float64 // the share of A and B
	sumA, sumB float64 // g
	worst      float64 // error of a ratio
	// least is the fewest steps of the scale that a part takes, step that one.
	least, step float64
	filmWins    bool
	thin        bool // it is the first coat, which goes on without a thickener
	byTime      bool // a coat is mixed in several cups so that each is brushed on in time
	batches     Batches
}

// pour works out one pour and its batches.
func (b *blending) pour(h Portion) MixPour {
	q := b.q
	high := max(h.High, h.Volume)
	p := MixPour{Portion: h, Added: make([]float64, len(q.Added))}
	if high <= 0 {
		return p
	}
	if q.Coats > 0 {
		b.coats(&p, high)
		return p
	}
	net := q.SG * high / 1000
	n, extra, clings := q.batches(high, b.room, q.MaxBatch, 1)
	p.People = 1
	if each := (net + extra) / float64(n); n > 1 {
		var most float64
		most, p.People = q.wet(each)
		b.batches.Late = b.batches.Late || most <= 0
		if most > 0 && each > most {
			n, extra, clings = q.batches(high, b.room, most, 1)
		}
	}
	b.filmWins = b.filmWins || clings
	p.Extra, p.ToMix = extra, net+extra
	each := p.ToMix / float64(n)
	batch := b.cup(&p, n, each)
	for range n {
		p.Batches = append(p.Batches, batch)
	}
	b.batches.Count, b.batches.People = max(b.batches.Count, n), max(b.batches.People, p.People)
	if q.Clock.Rate > 0 {
		b.batches.Minutes = max(b.batches.Minutes, float64(n)*q.Clock.Every(each, p.People))
	}
	return p
}

// cup works out one of n batches of so many grams, and adds them to the pour's sums.
func (b *blending) cup(p *MixPour, n int, each float64) MixBatch {
	q := b.q
	batch := MixBatch{Mass: each, Cup: each / q.SG * b.room}
	bare := b.bare
	without := func(x Added) bool { return b.thin && x.Kind == material.Thickener }
	for _, x := range q.Added {
		if without(x) {
			bare += x.Share
		}
	}
	rubber := each * bare
	if b.known {
		w := Weigh(rubber, b.weight, q.WeighTo)
		batch.PartA, batch.PartB = &w.A, &w.B
		rubber = w.A + w.B
		if math.Abs(w.Error) >= math.Abs(b.worst) {
			b.worst = w.Error
		}
		if b.weight.B > 0 {
			if s := min(w.A, w.B) / w.Step; s < b.least {
				b.least, b.step = s, w.Step
			}
		}
		sumA, sumB := float64(n)*w.A, float64(n)*w.B
		b.sumA, b.sumB = b.sumA+sumA, b.sumB+sumB
		if p.PartA != nil { // of the coats before
			sumA, sumB = sumA+*p.PartA, sumB+*p.PartB
		}
		p.PartA, p.PartB = &sumA, &sumB
	}
	// What is stirred in goes by what the scale showed of A and B.
	all := rubber
	for i, x := range q.Added {
		g := 0.0
		if !without(x) {
			g = dose(rubber*x.Share/bare, q.WeighTo)
		}
		batch.Added = append(batch.Added, g)
		all += g
		p.Added[i] += float64(n) * g
	}
	batch.Cup = max(batch.Cup, all/q.SG*b.room)
	return batch
}

// byWeight is the ratio by weight; false where a ratio by volume cannot be turned
// into one.
func (q MixRequest) byWeight() (Ratio, bool) {
	switch {
	case !q.ByVolume:
		return q.Ratio, true
	case q.SGA != nil && q.SGB != nil:
		return q.Ratio.ByWeight(*q.SGA, *q.SGB), true
	}
	return q.Ratio, q.Ratio.B == 0
}

// wet is the most, g, that one of several batches may weigh so that none arrives on
// one that has set, and how many people that takes, where batches of each g would
// do for cup and pot life. 0 = they come too late whoever helps.
func (q MixRequest) wet(each float64) (most float64, people int) {
	if q.Clock.Pot <= 0 {
		return each, 1
	}
	for people = 1; people < mostPeople; people++ {
		if most = q.Clock.Wet(people); most >= each*aloneShare {
			return most, people
		}
	}
	return max(0, q.Clock.Wet(people)), people
}

// batches is how many equal batches of at most a mass, g (0 = no limit), a volume,
// mm³, is mixed in, at least some number, with the extra for loss, g; clings says
// that what clings to the cups is more than the percentage. More cups cling more,
// which may ask for one more cup. A cup must hold room times its mix.
func (q MixRequest) batches(volume, room, most float64, atLeast int) (n int, extra float64, clings bool) {
	net := q.SG * volume / 1000
	for n = max(1, atLeast); ; n++ {
		film := float64(n) * cups * CupFilm(volume/float64(n), q.Film) * q.SG / 1000
		extra = max(q.Extra*net, film)
		each := (net + extra) / float64(n)
		fits := (most <= 0 || each <= most*(1+1e-12)) &&
			(q.MaxCup <= 0 || each/q.SG*room <= q.MaxCup*(1+1e-12))
		if fits || n >= maxBatches {
			return n, extra, film > q.Extra*net
		}
	}
}

// judgeScale tells of a scale that is too coarse: worst is the largest error of
// the ratio, least how many steps, g, the smaller part weighs.
func (m *Mix) judgeScale(q MixRequest, worst, least, step float64) {
	limit := ratioStop
	if q.Family == material.Tin {
		limit = ratioStopSn
	}
	if math.Abs(worst) > limit {
		m.Findings.Add(finding.Finding{Code: CodeRatio, Severity: finding.Stop, Facts: RatioOff{unit.Mass(q.WeighTo), q.Ratio, worst}})
	} else if least < minSteps {
		m.Findings.Add(finding.Finding{Code: CodeScale, Severity: finding.Caution, Facts: CoarseScale{unit.Mass(least * step), unit.Mass(step)}})
	}
}

// judgeBatches tells of a pour, or a coat, that takes several batches, what keeps them
// small, and whether one reaches the other while it is wet.
func (m *Mix) judgeBatches(q MixRequest, of *blending) {
	b := of.batches
	b.TooMany = b.Count*max(b.Coats, 1) >= maxBatches || b.Minutes > dayMinutes
	if b.Count <= 1 && !(b.TooMany && b.Coats > 0) {
		return
	}
	b.By = q.CupIs
	switch most := q.MaxBatch; {
	case b.Coats > 0:
		if of.byTime {
			b.By = ByPotLife
		}
	case most > 0:
		if wet := q.Clock.Wet(b.People); q.Clock.Pot > 0 && wet > 0 {
			most = min(most, wet)
		}
		if q.MaxCup <= 0 || most/q.SG*of.room < q.MaxCup {
			b.By = ByPotLife
		}
	}
	severity := finding.Note
	switch {
	case b.Late || b.TooMany:
		severity = finding.Stop
	case b.People > 1:
		severity = finding.Caution
	}
	m.Findings.Add(finding.Finding{Code: CodeBatches, Severity: severity, Facts: b})
}

// Weights are two parts as a scale shows them.
type Weights struct {
	A, B  float64 // g
	Error float64 // (B/A)/(wanted B/A) − 1
	Step  float64 // the smaller part's rounding, g
}

// Weigh rounds a need in grams to weights. The larger part is rounded up to
// step; the smaller is the larger times the ratio, rounded to the coarsest of
// 5, 1, 0.5 and 0.1 g (not above step) that keeps the ratio within 1 %; the
// larger goes up a step while no rounding does or the two fall short. Where ten
// steps do not help, the closest of them is returned with its error. A step
// under 0.1 g is its own finest step.
func Weigh(need float64, r Ratio, step float64) Weights {
	if !(step > 0) {
		step = DefaultWeighTo
	}
	big, ratio := r.A/(r.A+r.B), r.B/r.A
	swap := r.B > r.A
	if swap {
		big, ratio = r.B/(r.A+r.B), r.A/r.B
	}
	var roundings []float64
	for _, c := range []float64{5, 1, 0.5, fineStep} {
		if c <= step*(1+1e-12) {
			roundings = append(roundings, c)
		}
	}
	if step < fineStep {
		roundings = []float64{step}
	}
	out := func(large, small, round float64) Weights {
		w := Weights{A: large, B: small, Step: round}
		if ratio > 0 {
			w.Error = small/large/ratio - 1
		}
		if swap {
			// the ratio B/A is then larger/smaller
			w.A, w.B = small, large
			w.Error = 0
			if small > 0 {
				w.Error = large/small*ratio - 1
			} else {
				w.Error = -1 // no B to speak of: nothing like the ratio
			}
		}
		return w
	}
	first := math.Ceil(need*big/step - 1e-9)
	enough := func(a, b float64) bool { return a+b >= need*(1-1e-12) }
	best := Weights{Error: math.Inf(1)}
	for k := 0; k <= ratioSteps; k++ {
		large := clean(first+float64(k), step)
		if ratio == 0 {
			return out(large, 0, step)
		}
		for _, c := range roundings {
			small := clean(math.Round(large*ratio/c), c)
			w := out(large, small, c)
			if !enough(large, small) {
				if math.Abs(w.Error) <= ratioAim {
					break // the coarsest that keeps the ratio falls short: up a step
				}
				continue
			}
			if math.Abs(w.Error) <= ratioAim {
				return w
			}
			if math.Abs(w.Error) < math.Abs(best.Error) {
				best = w
			}
		}
	}
	return best
}

// clean returns n·step without the dust of binary fractions: 3·0.1 is 0.3.
func clean(n, step float64) float64 {
	v := n * step
	if r := math.Round(v*1e6) / 1e6; math.Abs(r-v) < 1e-9 {
		return r
	}
	return v
}

// PotLimit is what one batch may weigh, g, so that it is poured within the
// pot life: (0.8·pot − stirring − degassing)·rate. Times in minutes, rate in
// g/min. It is 0 or less where nothing is left to pour in. The share 0.8 is a
// judgement: the last of the pot life pours badly.
func PotLimit(pot, stir, degas, rate float64) float64 {
	return (PotShare*pot - stir - degas) * rate
}

// Defaults of PotLimit; common practice, no source.
const (
	PotShare    = 0.8
	StirMinutes = 4.0
	PourRate    = 500.0 // g/min
)
