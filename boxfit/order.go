package boxfit

import "moldtally/mesh"

// Minutes that a container takes to build (judgement, no source): four boards laid
// round like a pinwheel need no cut and clamp to any size, and a tube off the shelf
// takes as long. A sheet is cut, wrapped, lapped and strapped. A polygon's saw is
// set to the bevel, each board has two of them, and the ring is glued up and sealed.
const (
	squareMinutes  = 15
	sheetMinutes   = 25
	sawMinutes     = 15
	bevelMinutes   = 4 // a board
	glueUpMinutes  = 10
	minutesPerHour = 60
)

// polygonMinutes is how long a prism of n boards takes to build.
func polygonMinutes(n int) float64 { return float64(sawMinutes + bevelMinutes*n + glueUpMinutes) }

// minutes is how long a container takes to build.
func (f *Fit) minutes() float64 {
	switch {
	case f.Kind == Polygon:
		return polygonMinutes(*f.Sides)
	case f.Kind == Sleeve && f.Stock == nil:
		return sheetMinutes
	}
	return squareMinutes
}

// Prices that containers are weighed against each other with where none are given:
// of rubber for a kilogram, of work for an hour (judgement of this program).
const (
	nominalRubber = 25
	nominalLabor  = 40
)

// worth is how much more rubber, mm³ of a density in g/cm³, one container may save
// against another to be worth that many more minutes: what is above 0 pays.
func (p *planner) worth(saved, minutes float64) float64 {
	or := func(v *float64, d float64) float64 {
		if v != nil {
			return *v
		}
		return d
	}
	kg := saved / 1e6 * p.sg
	return kg*or(p.r.RubberPrice, nominalRubber) - minutes/minutesPerHour*or(p.r.LaborRate, nominalLabor)
}

// pays reports whether a container saves more rubber than its work costs against
// another.
func (p *planner) pays(a, than *Fit) bool {
	return p.worth(than.Rubber-a.Rubber, a.minutes()-than.minutes()) > 0
}

// Gates of what is round (judgement of this program).
const (
	// snug is how much wider than needed, mm, a stock tube may be and still come
	// before a box.
	snug = 15
	// roundArea is how far the square of the least circle's diameter may exceed the
	// least rectangle's area for an outline to be round: a square makes 2, a regular
	// hexagon 1.15, a circle 1.
	roundArea = 1.2
	// roundFrom is the diameter, mm, from which a round outline is worth a wall made
	// for it; below, tubes stand close and corners hold little.
	roundFrom = 200
	// sheetHead is the deepest pour, mm, that a sheet wrapped round is trusted with.
	sheetHead = tallHead
)

// round reports whether an outline is round.
func round(r mesh.Rect, c mesh.Circle) bool {
	return 4*c.Radius*c.Radius <= roundArea*r.Length*r.Width
}

// pick chooses among containers made for the pattern, the least work first: a stock
// tube that fits snugly, four boards, a sheet wrapped round, a polygon. One further
// on is taken only where what it saves pays for its work, and the last two only
// round what is round and wide, with no tube to be had.
func (p *planner) pick(box, sleeve, poly *Fit) *Fit {
	r := p.r
	asked := func(f *Fit) *Fit { f.Reason = &Reason{Why: BecauseAsked}; return f }
	switch r.Container {
	case Box:
		return asked(box)
	case Sleeve:
		return asked(sleeve)
	case Polygon:
		return asked(poly)
	}
	best := box
	box.Reason = &Reason{Why: BecausePlain}
	take := func(f *Fit, w Why) {
		f.Reason = &Reason{Why: w, Saved: 1 - f.Rubber/box.Rubber, Than: Box, Tube: f.Stock}
		if f.Sides != nil {
			f.Reason.Sides = *f.Sides
		}
		best = f
	}
	snugly := sleeve.Stock != nil && *sleeve.Diameter <= p.bore()+snug
	if snugly && sleeve.Rubber <= box.Rubber {
		take(sleeve, BecauseSleeve)
		return best
	}
	wide := 2*p.s.circle.Radius > roundFrom && round(p.s.rect, p.s.circle)
	wrapped := sleeve
	if sleeve.Stock != nil {
		wrapped = p.wrapped()
	}
	if head, _ := p.poured(wrapped); (wide || r.Tube == "exact") && head <= sheetHead && p.pays(wrapped, best) {
		take(wrapped, BecauseSheet)
	}
	if wide && p.pays(poly, best) {
		take(poly, BecausePolygon)
	}
	return best
}
