package estimate

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"

	"moldtally/boxfit"
	"moldtally/estimate/labor"
	"moldtally/estimate/money"
	"moldtally/estimate/rubber"
	"moldtally/mesh"
	"moldtally/mesh/demold"
	"moldtally/mesh/unit"
)

// up is the side that faces up.
func (t *trial) up() mesh.Vec { return mesh.V(t.pose.Up[0], t.pose.Up[1], t.pose.Up[2]) }

// coat is the thickness that is asked for a blanket's rubber, mm; nil = by the rule.
// Where a blanket is asked for by name, a wall is that too.
func (j *resolved) coat() *float64 {
	if j.Coat == nil && j.Mold.Coated() {
		return j.Wall
	}
	return j.Coat
}

// pricePerKg is what a kilogram of a rubber costs at its best kit, for weighing
// containers: a nominal price where none is known.
func (j *resolved) pricePerKg(c *rubber.Chosen) float64 {
	if p := j.Rubber.PricePerKg; p != nil {
		return p.Float()
	}
	best := math.Inf(1)
	for _, k := range c.Kits {
		if k.SizeG > 0 {
			best = min(best, k.Price.Float()/k.SizeG*1000)
		}
	}
	if math.IsInf(best, 1) {
		return labor.NominalRubber
	}
	return best
}

// request is what is asked of a container for a kind of mold, in a rubber; mass is
// the pattern's, g (nil = unknown).
func (k *known) request(m demold.Mold, c *rubber.Chosen, mass *float64) boxfit.Request {
	j, d := k.job, k.job.shop.Defaults
	q := boxfit.Request{Mold: m, Container: j.Container, Inside: j.Inside, InsideTube: j.InsideTube,
		Wall: j.Wall, Over: j.Over, Under: j.Under, Coat: j.coat(), Longest: k.longest(), Copies: j.Copies, Board: cmp.Or(j.Board, d.Board), Tube: cmp.Or(j.Tube, d.Tube),
		RubberPrice: new(j.pricePerKg(c)), LaborRate: new(labor.NominalLabor), RubberSG: c.Density, Bodies: j.shared.cavities, Along: j.shared.cavities > 0, PatternMass: mass, Fixed: j.Fixed, Irreplaceable: j.Irreplaceable, Progress: k.o.Progress}
	if j.Displaced != nil {
		q.Displaced = new(unit.Exactly(unit.Volume(*j.Displaced)))
	}
	q.Coats = k.coats
	if p := j.shop.Prices.LaborPerHour; p != nil {
		q.LaborRate = new(p.Float())
	}
	if j.cast != nil {
		q.CastSG = j.cast.SG.Value
	}
	if d.Step != nil {
		q.Step = *d.Step
	}
	q.Saw = j.shop.saw()
	for _, own := range j.shop.Tubes {
		tube := boxfit.TubeStock{Name: own.Name, Bore: own.Bore}
		if own.Wall != nil {
			tube.Wall = *own.Wall
		}
		q.OwnTubes = append(q.OwnTubes, tube)
	}
	return q
}

// contain finds the container of a way, and those that were weighed against it.
func (k *known) contain(ctx context.Context, t *trial, q boxfit.Request) (*boxfit.Fit, []*boxfit.Fit, error) {
	fit, others, err := boxfit.Search(ctx, k.solid, t.up(), t.report, q)
	if err != nil {
		return nil, nil, fmt.Errorf("estimate: %w", err)
	}
	if fit.Boards == nil {
		fit.Boards = []boxfit.Board{}
	}
	return fit, others, nil
}

// options lists containers side by side, cheapest first; where no price is
// known, least rubber first. What is mixed for each is reckoned by the same
// share as for the mix of the one that is planned.
func options(c *choice, q rubber.Request) ([]boxfit.Option, error) {
	type priced struct {
		boxfit.Option
		cost *money.Amount
	}
	fits, m := append([]*boxfit.Fit{c.fit}, c.others...), c.mix
	for _, o := range c.all {
		if o != c.method && len(o.fails) == 0 {
			fits = append(fits, o.fit)
		}
	}
	var list []priced
	for _, f := range fits {
		mass := f.Rubber / 1000 * m.chosen.Density
		op := priced{Option: boxfit.Option{Mold: f.Mold, Container: f.Kind, Volume: f.Rubber, Mass: &mass}}
		mix := mass
		if m.mix.Mass > 0 {
			mix *= m.weighed() / m.mix.Mass
		}
		switch {
		case q.PricePerKg != nil:
			c, err := q.PricePerKg.Times(mix / 1000)
			if err != nil {
				return nil, fmt.Errorf("estimate: %w", err)
			}
			c = money.CurrencyOf(q.Currency).Round(c)
			op.cost = &c
		case len(m.chosen.Kits) > 0:
			if buys, c := money.Cheapest(m.chosen.Kits, mix); buys != nil {
				op.cost = &c
			}
		}
		if !slices.ContainsFunc(list, func(o priced) bool {
			return o.Mold == op.Mold && o.Container == op.Container && o.Volume == op.Volume
		}) {
			list = append(list, op)
		}
	}
	slices.SortStableFunc(list, func(a, b priced) int {
		if a.cost != nil && b.cost != nil && *a.cost != *b.cost {
			return cmp.Compare(*a.cost, *b.cost)
		}
		return cmp.Compare(a.Volume, b.Volume)
	})
	out := []boxfit.Option{}
	for _, o := range list {
		if o.cost != nil {
			o.Cost = new(o.cost.Float())
		}
		out = append(out, o.Option)
	}
	return out, nil
}
