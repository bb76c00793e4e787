package rubber

import (
	"cmp"
	"math"
	"slices"

	"moldtally/estimate/material"
)

// Near is how far outside the range of hardness, Shore A, a rubber still serves:
// as far as two durometers, or two batches of one make, differ. Common practice, no
// source.
const Near = 5.0

// rating is how a rubber does by each thing that a job asks of it: 0 is well, more
// is worse.
type rating struct {
	r                                      Rubber
	shore                                  float64 // with what is stirred in
	cure, hot, food, cast, worn, off, form float64
	unknown                                bool // its hardness or its chemistry
	trouble, rank, clear, thick, short     float64
}

// rate judges a rubber by what the job needs.
func rate(q Request, n Needs, r Rubber) rating {
	h, known := r.Hardness()
	s := rating{r: r, shore: h * thinned(q, r.Family), unknown: !known || r.Family == ""}
	if r.BrushOnly && !n.Brushed || r.Family == material.Latex {
		s.form = 1
	}
	if n.Pattern != nil {
		if c, ok := n.Pattern.Against(r.Family); ok {
			s.trouble = float64(c.Trouble())
			s.cure = math.Floor(s.trouble / 100)
		}
		if n.Pattern.Harms(r.Family) {
			s.cure = 1
		}
	}
	if n.Original && bonds(r.Family) {
		s.cure = 1
	}
	s.casts(n)
	if n.Range.Low != nil && n.Range.High != nil {
		s.off = max(0, *n.Range.Low-s.shore, s.shore-*n.Range.High)
	}
	// A cut mold is cut along a line that must be seen: two steps of hardness are
	// given away for a translucent rubber. Judgement of this program.
	if r.Clear == n.Cut {
		s.clear = 0
	} else {
		s.clear = 1
	}
	if n.Brushed && !r.BrushOnly {
		s.thick = 1
	}
	if left := r.Stock.Left; left != nil && *left < n.Volume/1000*r.SG.Value*(1+DefaultExtra) {
		s.short = 1
	}
	return s
}

// Copies of one mold up to which the cheapest rubber that survives is taken, and
// from which the one that lasts longest. Judgement of this program.
const cheapCopies, longCopies = 5, 40

// order is the chemistries in which a casting is looked for, best first: of a few
// castings the cheapest first (tin-cure: common practice, no source), of many the one
// that gives the most; else as they suit the casting.
func (n Needs) order() []material.Family {
	order := slices.Clone(material.Families)
	if n.Cast == nil {
		return order
	}
	if len(n.Cast.Families) > 0 {
		order = slices.Clone(n.Cast.Families)
	}
	switch {
	case n.Copies > longCopies:
		slices.SortStableFunc(order, func(a, b material.Family) int {
			x, _ := n.Cast.Pulls(a)
			y, _ := n.Cast.Pulls(b)
			return cmp.Compare(y.Value, x.Value)
		})
	case n.Copies > 0 && n.Copies <= cheapCopies && !n.Original:
		slices.SortStableFunc(order, func(a, b material.Family) int {
			return dear(a) - dear(b)
		})
	}
	return order
}

// dear ranks chemistries by what they cost: tin-cure is the cheapest.
func dear(f material.Family) int {
	if f == material.Tin {
		return 0
	}
	return 1
}

// casts judges a rubber by what is cast in it.
func (s *rating) casts(n Needs) {
	order := n.order()
	if n.Cast != nil {
		if limit := s.r.HeatLimit; limit != nil {
			_, hottest := n.Cast.HottestC.Range()
			s.hot = max(0, hottest-limit.Value)
		}
		if most := n.Cast.MostCopies(s.r.Family); most > 0 {
			s.worn = max(0, float64(n.Copies-most))
		}
	}
	// What is declared for food is not bought for anything else.
	if eaten := n.Cast != nil && n.Cast.Trigger(material.Food); eaten && !s.r.Food || !eaten && s.r.Food && !s.r.Own {
		s.food = 1
	}
	if s.rank = float64(slices.Index(order, s.r.Family)); s.rank < 0 {
		s.cast, s.rank = 1, float64(len(order))
	}
}

// against is the worst that speaks against a rubber; nothing where it serves.
func (s rating) against() Against {
	switch {
	case s.unknown:
		return HardnessNotKnown
	case s.cure > 0:
		return DoesNotCure
	case s.hot > 0:
		return NotForHeat
	case s.food > 0 && !s.r.Food:
		return NotForFood
	case s.cast > 0:
		return NotForCasting
	case s.worn > 0:
		return WornOut
	case s.form > 0:
		return NotForBrush
	case s.off > Near:
		return OtherHardness
	}
	return NothingAgainst
}

// pick returns the best rubber. What the shop has and what serves comes before
// all others; of those the one of which there is enough, then the one opened
// first. Among the others what comes first outweighs all that follows: it must
// cure, stand the heat, suit food and the casting, last, lie in the range of
// hardness; then the user's own, to be brushed one made for it, the least trouble
// with the pattern, the casting's better chemistry, the nearest hardness.
func pick(q Request, n Needs) (Rubber, []Choosing) {
	type scored struct {
		rating
		score []float64
	}
	var list []scored
	for k, r := range append(slices.Clone(n.Own), load()...) {
		s := rate(q, n, r)
		if s.form > 0 || s.unknown {
			continue
		}
		serves, own, prefer := 1.0, 1.0, 0.0
		if r.Own {
			own = 0
			if s.against() == NothingAgainst {
				serves = 0
			}
		}
		if q.PreferFamily != "" && r.Family != q.PreferFamily {
			prefer = 1
		}
		// Of two in stock the nearer hardness is the better by whole steps alone.
		far, off := math.Abs(s.shore-n.Range.Preferred), s.off
		if n.Brushed && r.BrushOnly {
			off = max(0, off-brushAway)
		}
		if r.Own {
			far = math.Floor(far/Near) * Near
		}
		list = append(list, scored{s, []float64{serves, s.cure, s.hot, s.food, s.cast, s.worn, off, prefer, own, s.thick, s.trouble, s.short, s.rank, s.clear, far, float64(k)}})
		if last := &list[len(list)-1]; serves == 0 {
			last.score[6] = 0
		}
	}
	best := slices.MinFunc(list, func(a, b scored) int {
		if c := slices.Compare(a.score[:15], b.score[:15]); c != 0 {
			return c
		}
		switch x, y := a.r.Stock.Opened, b.r.Stock.Opened; {
		case x.Before(y):
			return -1
		case y.Before(x):
			return 1
		}
		return slices.Compare(a.score[15:], b.score[15:])
	})
	return best.r, choosing(q, n, best.r, best.off > 0)
}

// brushAway is how far, Shore A, a rubber made for the brush may lie outside the range
// and still be taken before a pourable one with thickener. Judgement of this program.
const brushAway = 15

// choosing is why a rubber was picked; nearest says that it lies outside the
// range.
func choosing(q Request, n Needs, r Rubber, nearest bool) (why []Choosing) {
	first := n.order()[0]
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
