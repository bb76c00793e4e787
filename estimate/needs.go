package estimate

import (
	"moldtally/estimate/labor"
	"moldtally/estimate/money"
	"moldtally/mesh/unit"
)

// Bought is what a line of the cost is for.
type Bought struct {
	Kind  BoughtKind
	Name  string    // of the rubber, the additive, the board, the tube, the shell, what is cast
	Size  unit.Mass // of a kit
	Tasks Tasks     // of labor by the usual hours: what is done; none = the shop's own hours
}

// BoughtKind is one sort of thing that costs money.
type BoughtKind int

// What costs money.
const (
	BoughtRubber BoughtKind = iota
	ShelfRubber             // what is left in the shop, at what it costs to buy again
	BoughtKit
	UsedOfKits
	BoughtPigment
	BoughtThinner
	BoughtThickener
	BoughtBoard
	BoughtTube
	BoughtShell
	Sundries
	LaborPreparing
	LaborHolding // the box, or clay and mother mold
	LaborFilling // the pour, or the brush
	LaborOpening
	CastMaterial
	LaborCasting
	Finishing
	LaborFinishing
)

// Labor reports whether a kind of line is hours of work.
func (k BoughtKind) Labor() bool {
	switch k {
	case LaborPreparing, LaborHolding, LaborFilling, LaborOpening, LaborCasting, LaborFinishing:
		return true
	}
	return false
}

// ForCastings reports whether a kind of line is for castings and not for their mold.
func (k BoughtKind) ForCastings() bool { return k >= CastMaterial }

// Tasks are tasks of labor, as a set.
type Tasks uint32

// Has reports whether a task is one of them.
func (t Tasks) Has(x labor.Task) bool { return t>>uint(x)&1 == 1 }

// Need is one thing that a job takes: how much of it, and what one of its unit
// costs; nil = no price is stated.
type Need struct {
	What     Bought
	Quantity float64
	Unit     string // kg, m², m, molds, castings, h
	Price    *money.Amount
}

// RubberNeed is the rubber that a job takes, g, with what it may be paid by: a price
// by the kilogram, else kits. Left is what the shop has of it, g; nil = not said.
type RubberNeed struct {
	Name  string
	Mass  float64
	Left  *float64
	PerKg *money.Amount
	Kits  []money.Kit
}

// Needs is what one pattern takes in molds and castings, for a number of copies.
type Needs struct {
	File   string
	Copies int // castings that are wanted; 0 = none are made
	Made   int // with those that do not turn out
	Molds  int
	Rubber RubberNeed // of all molds
	Other  []Need
	Days   *int // working days until the last casting; nil = not known
}

// run is what a method takes by the mold and by the casting: any number of copies
// is priced from it.
type run struct {
	file   string
	shared sharing
	prices Prices
	work   *labor.Work // nil = what mold it is is not known
	pours  int
	rubber RubberNeed // of one mold
	once   []Need     // however many molds there are
	each   []Need     // of each mold
	cast   *castRun   // nil = nothing is cast
}

// castRun is one casting: what is weighed for it, g, its price by the kilogram, how
// long it stays in the mold, min, and the fewest castings that a mold gives (0 = not
// known).
type castRun struct {
	material string
	mass     float64
	perKg    *money.Amount
	cure     float64
	life     int
}

// needs is what a run takes for some copies. Molds go by the fewest castings that
// each gives, and castings by those that are made so that the copies turn out.
func (r *run) needs(copies int) Needs {
	n := Needs{File: r.file, Molds: 1, Rubber: r.rubber}
	var round labor.Round
	if r.work != nil {
		size, _ := labor.ClassOf(r.work.Longest)
		round = labor.CastingOf(size, 0)
		round.Cavities = r.work.Cavities
	}
	if c := r.cast; c != nil {
		round.Cure = c.cure
		n.Copies = max(1, copies)
		n.Made = labor.Filled(labor.Made(r.shared.poured(n.Copies), labor.Scrap), r.shared.cavities)
		n.Molds = labor.Molds(n.Made, c.life, 0, 0)
	}
	n.Rubber.Mass *= float64(n.Molds)
	n.Other = append(n.Other, r.once...)
	for _, x := range r.each {
		x.Quantity *= float64(n.Molds)
		n.Other = append(n.Other, x)
	}
	n.Other = append(n.Other, r.molding(n.Molds)...)
	n.Other = append(n.Other, r.castings(n, round)...)
	if r.work != nil {
		n.Days = new(labor.Delivery(r.work.Days().High, n.Made, n.Molds, r.life(), round))
	}
	return n
}

// life is the fewest castings that a mold gives; 0 = not known.
func (r *run) life() int {
	if r.cast == nil {
		return 0
	}
	return r.cast.life
}

// molding is the labor of a number of molds, step by step: the shop's own hours
// where it states them, else the usual ones for the method.
func (r *run) molding(molds int) (out []Need) {
	pr := r.prices
	for _, l := range []struct {
		what  BoughtKind
		step  labor.Step
		hours *float64
		times int
	}{
		{LaborPreparing, labor.Preparing, pr.HoursPrepare, 1},
		{LaborHolding, labor.Holding, pr.HoursBox, 1},
		{LaborFilling, labor.Filling, pr.HoursPour, max(1, r.pours) * molds},
		{LaborOpening, labor.Opening, pr.HoursOpen, molds},
	} {
		switch {
		case l.hours != nil:
			out = append(out, Need{Bought{Kind: l.what}, *l.hours * float64(l.times), "h", pr.LaborPerHour})
		case r.work != nil:
			out = append(out, Need{Bought{Kind: l.what, Tasks: tasksOf(r.work, l.step)}, r.work.Hours(l.step, molds), "h", pr.LaborPerHour})
		}
	}
	return out
}

// tasksOf are the tasks that a step of a work has.
func tasksOf(w *labor.Work, s labor.Step) (t Tasks) {
	for _, l := range w.Lines() {
		if l.Step == s {
			t |= 1 << uint(l.Task)
		}
	}
	return t
}

// castings is what the castings take: material as it is weighed, hours to fill and
// to take out, and what finishing the shop states.
func (r *run) castings(n Needs, round labor.Round) (out []Need) {
	c, pr := r.cast, r.prices
	if c == nil {
		return nil
	}
	made, copies := float64(n.Made), float64(n.Copies)
	out = append(out, Need{Bought{Kind: CastMaterial, Name: c.material}, made * c.mass / 1000, "kg", c.perKg})
	switch {
	case pr.HoursPerCasting != nil:
		out = append(out, Need{Bought{Kind: LaborCasting}, made * *pr.HoursPerCasting, "h", pr.LaborPerHour})
	case r.work != nil:
		out = append(out, Need{Bought{Kind: LaborCasting, Tasks: 1<<uint(labor.Pouring) | 1<<uint(labor.Demolding)}, made * round.Hands() / float64(max(round.Cavities, 1)) / 60, "h", pr.LaborPerHour})
	}
	if h := pr.HoursFinishing; h != nil {
		out = append(out, Need{Bought{Kind: LaborFinishing}, copies * *h, "h", pr.LaborPerHour})
	}
	if p := pr.Finishing; p != nil {
		out = append(out, Need{Bought{Kind: Finishing}, copies, "castings", p})
	}
	return out
}

// priced reports whether any price is known for what a job takes.
func (n Needs) priced() bool {
	if n.Rubber.PerKg != nil || len(n.Rubber.Kits) > 0 {
		return true
	}
	for _, x := range n.Other {
		if x.Price != nil && x.Quantity > 0 {
			return true
		}
	}
	return false
}

// lacks reports whether some kind of thing is wanted that has no price.
func (n Needs) lacks(of func(BoughtKind) bool) bool {
	for _, x := range n.Other {
		if of(x.What.Kind) && x.Price == nil && x.Quantity > 0 {
			return true
		}
	}
	return false
}
