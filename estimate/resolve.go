package estimate

import (
	"math"
	"slices"
	"strings"

	"moldtally/estimate/casting"
	"moldtally/estimate/material"
	"moldtally/estimate/rubber"
	"moldtally/mesh/demold"
)

// resolved is a job whose names are looked up in the tables and the shop file,
// and whose rubber has the shop's habits filled in. Nothing changes it.
type resolved struct {
	Job
	shop    Shop
	pattern *material.Pattern // nil = not said
	release *material.Release // nil = not said
	cast    *material.Casting // nil = not said; with the shop's own figures
	own     *ShopCasting      // what the shop knows of cast
	temp    float64           // of the workshop, °C
	// shared is how several patterns share the mold. Copies are pours then, each of a
	// casting in every cavity.
	shared sharing
}

// sharing is how several patterns share a mold: how many cavities it has, of how many
// files, of the scarcest of them how many, and how many castings are wanted of each
// file. The zero value is a mold of one pattern.
type sharing struct{ cavities, files, least, copies int }

// cavities is how many castings a pour of the mold gives.
func (j *resolved) cavities() int { return max(1, j.shared.cavities) }

// wanted is how many castings are wanted: of each file some copies.
func (j *resolved) wanted(copies int) int { return copies * max(1, j.shared.files) }

// poured is how many castings are poured until so many that are wanted are there: of
// files that stand there more often than another more come out than are wanted.
func (s sharing) poured(wanted int) int {
	if s.cavities < 2 {
		return wanted
	}
	return ceil(wanted*s.cavities, s.files*s.least)
}

// resolve looks the names of a job up and checks its figures. What is unknown or
// out of range is a *rubber.BadInput.
func (j Job) resolve() (*resolved, error) {
	r := &resolved{Job: j, temp: rubber.StandardTemp}
	if j.Shop != nil {
		r.shop = *j.Shop
	}
	if t := r.shop.Defaults.Temp; t != nil {
		r.temp = *t
	}
	if j.Temp != nil {
		r.temp = *j.Temp
	}
	if err := j.check(r.temp); err != nil {
		return nil, err
	}
	if err := r.lookUp(); err != nil {
		return nil, err
	}
	if r.PatternValue == nil {
		r.PatternValue = r.shop.Prices.PatternValue
	}
	r.Rubber = withHabits(j.Rubber, r.shop)
	r.Rubber.Today = j.Date
	return r, r.Rubber.Check()
}

// check refuses figures that nothing can have; temp is the workshop's, °C.
func (j Job) check(temp float64) error {
	switch j.Mold {
	case "", demold.Block, demold.TwoPart, demold.Cut, demold.Blanket, demold.Brushed:
	default:
		return &rubber.BadInput{Input: rubber.InputMold, Wrong: rubber.NotOffered, Text: string(j.Mold)}
	}
	if math.IsNaN(temp) || temp < -40 || temp > 100 {
		return &rubber.BadInput{Input: rubber.InputTemp, Wrong: rubber.NoWorkshop, Value: temp}
	}
	for _, c := range []struct {
		input       rubber.Input
		v           *float64
		least, most float64
	}{{rubber.InputMass, j.PatternMass, 0, 1e9}, {rubber.InputInfill, j.Infill, 0, 100}, {rubber.InputCastWall, j.CastWall, 1e-3, 1e5}, {rubber.InputDisplaced, j.Displaced, 1e-6, 1e15}} {
		if c.v != nil && !(*c.v >= c.least && *c.v <= c.most) {
			return &rubber.BadInput{Input: c.input, Wrong: rubber.OutOfBounds, Value: *c.v}
		}
	}
	if j.Copies < 0 {
		return &rubber.BadInput{Input: rubber.InputCopies, Wrong: rubber.NoCount}
	}
	return nil
}

// lookUp finds the materials that the job names.
func (r *resolved) lookUp() (err error) {
	if r.pattern, err = named(rubber.InputPattern, r.PatternMaterial, material.FindPattern, material.Patterns, func(p material.Pattern) string { return p.Name }); err != nil {
		return err
	}
	if r.release, err = named(rubber.InputRelease, r.Release, material.FindRelease, material.Releases, func(x material.Release) string { return x.Name }); err != nil {
		return err
	}
	if r.cast, err = named(rubber.InputCast, r.Cast, material.FindCasting, material.Castings, func(c material.Casting) string { return c.Name }); err != nil || r.cast == nil {
		return err
	}
	for i := range r.shop.Castings {
		if o := &r.shop.Castings[i]; strings.EqualFold(o.Name, r.cast.Name) {
			r.own = o
			r.cast = new(o.over(*r.cast))
		}
	}
	return nil
}

// named finds a material by its name: nil for no name, an error for one that is
// not in the table.
func named[T any](input rubber.Input, name string, find func(string) (T, bool), all func() []T, nameOf func(T) string) (*T, error) {
	if name == "" {
		return nil, nil
	}
	if x, ok := find(name); ok {
		return &x, nil
	}
	var known []string
	for _, x := range all() {
		known = append(known, nameOf(x))
	}
	return nil, &rubber.BadInput{Input: input, Wrong: rubber.NotKnown, Text: name, Known: slices.Sorted(slices.Values(known))}
}

// over returns a casting material with the shop's own figures in place of the
// catalogue's.
func (o *ShopCasting) over(c material.Casting) material.Casting {
	if o.SG != nil {
		c.SG = material.Figure{Value: *o.SG, Source: "shop file"}
	}
	if o.Mix != nil {
		c.Mix = rubber.Ratio{A: o.Mix[0], B: o.Mix[1]}.String()
	}
	if o.Powder != nil && c.PowderRatio != nil {
		c.PowderRatio = &material.Figure{Value: *o.Powder, Source: "shop file"}
		if o.SG == nil {
			sg, _ := casting.PowderMix(*o.Powder, c.PowderDensity.Value, casting.ResinSG)
			c.SG = material.Figure{Value: sg, Source: "by the rule of mixtures from the shop file's powder_ratio"}
		}
	}
	return c
}

// loss is what is mixed beyond what the mold holds, poured or brushed: as the
// request says, else as the shop's own pours tell, else as the shop file or common
// practice has it.
func (j *resolved) loss(brushed bool) rubber.Loss {
	usual := rubber.DefaultExtra
	if brushed {
		usual = rubber.BrushExtra
	}
	if v := j.shop.Defaults.ExtraPct; v != nil {
		usual = *v / 100
	}
	if v := j.Rubber.Extra; v != nil {
		return rubber.Loss{Share: *v / 100}
	}
	if own, of := j.Log.Loss(brushed); of > 0 {
		return rubber.Loss{Share: own, Pours: of, Instead: usual}
	}
	return rubber.Loss{Share: usual}
}

// withHabits fills in what the shop usually takes where a request says nothing.
func withHabits(q rubber.Request, s Shop) rubber.Request {
	// The data sheet's own figures describe the rubber in hand, not the shop's
	// usual one.
	if q.Name == "" && !q.BySheet() {
		q.Name = s.Defaults.Rubber
	}
	if q.WeighTo == nil {
		q.WeighTo = s.Defaults.WeighTo
	}
	s.Additives.fill(&q)
	return q
}
