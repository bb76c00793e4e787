package estimate

import (
	"strings"

	"moldtally/boxfit"
	"moldtally/estimate/labor"
	"moldtally/estimate/material"
	"moldtally/estimate/money"
)

// moldsOf is how many molds a run takes; c may be nil.
func moldsOf(c *Casting) int {
	if c != nil && c.MoldsNeeded != nil {
		return *c.MoldsNeeded
	}
	return 1
}

// currency is what prices are in.
func (j *resolved) currency() money.Currency {
	if j.Rubber.Currency != "" {
		return money.CurrencyOf(j.Rubber.Currency)
	}
	return money.CurrencyOf(j.shop.Prices.Currency)
}

// runOf is what a method takes. fit, c and the labor of the mold may be nil: a pour
// without a mesh.
func (j *resolved) runOf(m *mixing, fit *boxfit.Fit, c *Casting, w *labor.Work) *run {
	pr := j.shop.Prices
	r := &run{file: j.Source.File, shared: j.shared, prices: pr, work: w, pours: len(m.mix.Pours), rubber: RubberNeed{Name: m.chosen.Name, Mass: m.weighed(), Left: j.left(&m.chosen), PerKg: j.rubberPerKg(m), Kits: m.chosen.Kits}}
	for i, a := range m.chosen.Added {
		kind := map[material.AdditiveKind]BoughtKind{material.Pigment: BoughtPigment, material.Thinner: BoughtThinner, material.Thickener: BoughtThickener}[a.Kind]
		r.each = append(r.each, Need{Bought{Kind: kind, Name: a.Name}, m.mix.Added[i] / 1000, "kg", j.shop.Additives[a.Kind].PricePerKg})
	}
	if fit != nil {
		r.once = j.walls(fit)
		if s := fit.Shell; s != nil {
			r.each = append(r.each, Need{Bought{Kind: BoughtShell, Name: string(s.Material)}, s.Mass / 1000, "kg", pr.ShellPerKg})
		}
	}
	r.each = append(r.each, Need{Bought{Kind: Sundries}, 1, "molds", pr.Sundries})
	if c == nil {
		return r
	}
	n := j.cavities()
	r.cast = &castRun{material: c.Material, mass: orNone(c.weighed()) / float64(n)}
	if j.own != nil {
		r.cast.perKg = j.own.PricePerKg
	}
	if c.DemoldAfter != nil {
		r.cast.cure = *c.DemoldAfter
	}
	if c.PullsLow != nil {
		r.cast.life = *c.PullsLow * n
	}
	return r
}

// rubberPerKg is the price of the rubber by the kilogram: as the user says, or as the
// shop file says of rubber that has no kits of its own; nil = kits, or no price.
func (j *resolved) rubberPerKg(m *mixing) *money.Amount {
	if j.Rubber.PricePerKg == nil && len(m.chosen.Kits) == 0 {
		return j.shop.Prices.RubberPerKg
	}
	return j.Rubber.PricePerKg
}

// weighed is what is weighed for one casting and paid for, g: parts and powder, and
// no water; nil where the job is refused.
func (c *Casting) weighed() *float64 {
	sum := 0.0
	for _, p := range []*float64{c.PartA, c.PartB} {
		sum += orNone(p)
	}
	if c.Powder != nil && (c.Water != nil || c.Face != nil) {
		sum += *c.Powder
	}
	if sum == 0 {
		return c.MassToMix
	}
	return &sum
}

// walls are the boards and the tube of a container; the user's own costs nothing, and
// battens are scrap among the sundries.
func (j *resolved) walls(fit *boxfit.Fit) (out []Need) {
	if fit.Own {
		return nil
	}
	for _, bd := range fit.Boards {
		if bd.Part.Role == boxfit.TubeWall {
			out = append(out, Need{Bought{Kind: BoughtTube, Name: bd.Part.Stock}, float64(bd.Count) * bd.Length / 1000, "m", j.tubePrice(bd.Part.Stock)})
			continue
		}
		if !bd.Part.Sheeted() {
			continue
		}
		area := float64(bd.Count) * bd.Length * bd.Width / 1e6
		if i := len(out) - 1; i >= 0 && out[i].What == (Bought{Kind: BoughtBoard, Name: bd.Part.Stock}) {
			out[i].Quantity += area
			continue
		}
		out = append(out, Need{Bought{Kind: BoughtBoard, Name: bd.Part.Stock}, area, "m²", j.boardPrice(bd.Part.Stock)})
	}
	return out
}

// boardPrice is what a square metre of a board costs, of its own or of any; nil =
// not stated.
func (j *resolved) boardPrice(name string) *money.Amount {
	for _, own := range j.shop.Boards {
		if own.PricePerM2 != nil && strings.EqualFold(own.Name, name) {
			return own.PricePerM2
		}
	}
	return j.shop.Prices.BoardPerM2
}

// tubePrice is the same of a metre of tube.
func (j *resolved) tubePrice(name string) *money.Amount {
	for _, own := range j.shop.Tubes {
		if own.PricePerM != nil && strings.EqualFold(own.Name, name) {
			return own.PricePerM
		}
	}
	return j.shop.Prices.TubePerM
}

// priced is what a plan is priced from: the run, the numbers of copies that are asked
// for, of which the last is the plan's, and its prices.
type priced struct {
	run      *run
	copies   []int
	currency money.Currency
}

// cost is what the job costs, and the rubber that is bought; where no price at all is
// known there is no cost.
func (j *resolved) cost(r *run) (*Cost, purchase, *priced, error) {
	p := &priced{run: r, copies: j.Breaks, currency: j.currency()}
	if len(p.copies) == 0 {
		p.copies = []int{j.Copies}
		if j.shared.cavities > 0 {
			p.copies[0] = j.wanted(max(1, j.shared.copies))
		}
	}
	needs := r.needs(p.copies[len(p.copies)-1])
	if !needs.priced() {
		return nil, purchase{}, nil, nil
	}
	c, offers, bought, err := r.prices.billOf(p.currency, []Needs{needs})
	if err != nil {
		return nil, purchase{}, nil, err
	}
	c.Offer = &offers[0]
	c.unpriced = missing{
		labor:    r.prices.LaborPerHour == nil,
		castings: j.cast != nil && (r.cast == nil || needs.lacks(BoughtKind.ForCastings)),
		examples: r.prices.Example,
	}
	c.Breaks, err = breaksOf([]*priced{p})
	return c, bought[0], p, err
}

// breaksOf is what runs cost together for each number of copies; none where nothing
// is cast.
func breaksOf(runs []*priced) ([]Break, error) {
	out := []Break{}
	first := runs[0]
	for i, n := range first.copies {
		var jobs []Needs
		molds, copies := 0, 0
		for _, p := range runs {
			needs := p.run.needs(p.copies[i])
			molds, copies, jobs = molds+needs.Molds, copies+needs.Copies, append(jobs, needs)
		}
		if copies == 0 {
			return out, nil
		}
		c, _, _, err := first.run.prices.billOf(first.currency, jobs)
		if err != nil {
			return nil, err
		}
		out = append(out, Break{Copies: max(1, n), Molds: molds, Total: c.Total, PerCasting: c.PerCasting, Days: c.Days})
	}
	return out, nil
}
