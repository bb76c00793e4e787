// Package material is the tables of what patterns are made of, what is cast and
// what is brushed between: densities, heat, shrinkage, and whether a rubber's
// chemistry cures against a pattern. Every figure carries its source. All names
// are generic; the data sheets of the materials in hand win over every figure.
package material

import (
	_ "embed"
	"fmt"
	"slices"
	"strings"
	"sync"

	"moldtally/estimate/conf"
)

// Figure is a number with its range, where the trade has one, and where it was
// had. Its unit is part of the name of the field that holds it.
type Figure struct {
	Value  float64  `toml:"value" json:"value"`
	Low    *float64 `toml:"low" json:"low"`
	High   *float64 `toml:"high" json:"high"`
	Source string   `toml:"source" json:"source"`
}

// Range returns the low and high end, or the value twice where none is given.
func (f Figure) Range() (low, high float64) {
	low, high = f.Value, f.Value
	if f.Low != nil {
		low = *f.Low
	}
	if f.High != nil {
		high = *f.High
	}
	return low, high
}

// Family is a rubber's chemistry.
type Family string

// The chemistries. Latex is only ever brushed.
const (
	Platinum     Family = "platinum"
	Tin          Family = "tin"
	Polyurethane Family = "polyurethane"
	Latex        Family = "latex"
)

// Unknown is a chemistry that nobody named, as the plan tells it.
const Unknown Family = "unknown"

// Silicone reports whether a family is one of the silicones.
func (f Family) Silicone() bool { return f == Platinum || f == Tin }

// Families are those that are poured.
var Families = []Family{Platinum, Tin, Polyurethane}

// Words is the family in a mold maker's words.
func (f Family) Words() string {
	switch f {
	case Platinum:
		return "platinum-cure silicone"
	case Tin:
		return "tin-cure silicone"
	case Polyurethane:
		return "polyurethane rubber"
	case Latex:
		return "latex"
	}
	return "rubber of unknown chemistry"
}

// Pattern is what a pattern can be made of.
type Pattern struct {
	Name       string  `toml:"name" json:"name"`
	What       string  `toml:"what" json:"what"`
	Density    Figure  `toml:"density" json:"density_g_cm3"`
	SoftensC   *Figure `toml:"softens_C" json:"softens_C"`
	Cure       Cures   `toml:"cure" json:"cure"`
	CureSource string  `toml:"cure_source" json:"cure_source"`
	Remark     string  `toml:"remark" json:"remark"`
	Porous     bool    `toml:"porous" json:"porous"`
	Printed    bool    `toml:"printed" json:"printed"`   // has shells and infill
	Delicate   bool    `toml:"delicate" json:"delicate"` // sealing, moisture or peeling may harm it
	Stain      bool    `toml:"stain" json:"stain"`       // oil stains it for good

	Never       []Family `toml:"never" json:"never"` // rubbers that harm it, even sealed
	NeverSource string   `toml:"never_source" json:"never_source"`
	Untouchable bool     `toml:"untouchable" json:"untouchable"` // whatever wets it or pulls at it takes its face
	Instead     string   `toml:"instead" json:"instead"`         // what is done with an original of it; "" = nothing of its own
}

// Harms reports whether a rubber of a family harms the material, even sealed.
func (p Pattern) Harms(f Family) bool { return slices.Contains(p.Never, f) }

// Cures says per chemistry what a pattern material does to the cure, in one or
// more of the words ok, seal, release, test, no.
type Cures struct {
	Platinum     string `toml:"platinum" json:"platinum"`
	Tin          string `toml:"tin" json:"tin"`
	Polyurethane string `toml:"polyurethane" json:"polyurethane"`
}

// Cure is what must be known before rubber of one chemistry is poured over a
// material. A patch test is advised in every case; Test says that it is more
// than routine.
type Cure struct{ OK, Seal, Release, Test, No bool }

// Against returns how the material and a chemistry get on. Latex and unknown
// chemistries are known to no table: the second result is then false.
func (p Pattern) Against(f Family) (Cure, bool) {
	var s string
	switch f {
	case Platinum:
		s = p.Cure.Platinum
	case Tin:
		s = p.Cure.Tin
	case Polyurethane:
		s = p.Cure.Polyurethane
	default:
		return Cure{}, false
	}
	var c Cure
	for _, w := range strings.Fields(s) {
		switch w {
		case "ok":
			c.OK = true
		case "seal":
			c.Seal = true
		case "release":
			c.Release = true
		case "test":
			c.Test = true
		case "no":
			c.No = true
		}
	}
	return c, true
}

// Trouble ranks a cure for choosing between chemistries: 0 nothing to do,
// larger is more work and risk, 100 it ruins the mold. The steps are a
// judgement: a failed cure outweighs a coat of sealer, that one of release.
func (c Cure) Trouble() int {
	t := 0
	if c.Release {
		t += 1
	}
	if c.Seal {
		t += 2
	}
	if c.Test {
		t += 3
	}
	if c.No {
		t = 100
	}
	return t
}

// CastKind is how a casting material is mixed and sets.
type CastKind string

// The kinds of casting material.
const (
	TwoPart      CastKind = "two-part"
	Catalysed    CastKind = "catalysed"
	FoamKind     CastKind = "foam"
	Gypsum       CastKind = "gypsum"
	GypsumLiquid CastKind = "gypsum-liquid" // gypsum mixed with a liquid of its own
	Cement       CastKind = "cement"
	ColdCast     CastKind = "cold-cast" // metal powder in resin
	Poured       CastKind = "poured"    // one part: wax, metal, soap, food
)

// Wants is whether a casting asks for a soft or a firm rubber by itself.
type Wants string

// What it may want; the zero value is nothing.
const (
	WantsSoft Wants = "soft"
	WantsFirm Wants = "firm"
)

// Trigger is a hazard of a casting material that raises a caution.
type Trigger string

// The hazards.
const (
	Isocyanate  Trigger = "isocyanate"
	Peroxide    Trigger = "mekp"
	Epoxy       Trigger = "epoxy"
	Powder      Trigger = "powder"
	Dust        Trigger = "dust"
	Silica      Trigger = "silica"
	PlasterHeat Trigger = "plasterheat"
	Molten      Trigger = "molten"
	HotWax      Trigger = "hotwax" // melted in a pot
	Fumes       Trigger = "fumes"  // of what is melted
	Skin        Trigger = "skin"
	Food        Trigger = "food"
)

// Casting is what can be cast.
type Casting struct {
	Name              string    `toml:"name" json:"name"`
	What              string    `toml:"what" json:"what"`
	Kind              CastKind  `toml:"kind" json:"kind"`
	SG                Figure    `toml:"sg" json:"sg"`
	HottestC          Figure    `toml:"hottest_C" json:"hottest_C"`
	Families          []Family  `toml:"families" json:"families"` // that suit it, best first
	FamiliesSource    string    `toml:"families_source" json:"families_source"`
	ShoreA            Figure    `toml:"shore_a" json:"shore_a"`
	Copies            *Copies   `toml:"copies_most" json:"copies_most"`     // castings up to which a family is chosen; nil = any number
	LeastWall         *Figure   `toml:"least_wall_mm" json:"least_wall_mm"` // of rubber round it; nil = as for any
	SlowFrom          *Figure   `toml:"slow_from_g" json:"slow_from_g"`     // mass of a casting from which a slower one is poured, or hollow
	Wants             Wants     `toml:"wants" json:"wants"`
	Shrinkage         Figure    `toml:"shrinkage_pct" json:"shrinkage_pct"`
	Demold            Figure    `toml:"demold_min" json:"demold_min"`     // until it can be taken out
	Pressure          *Figure   `toml:"pressure_kPa" json:"pressure_kPa"` // of foam on its mold
	Mix               string    `toml:"mix" json:"mix"`                   // by weight; "" = one part
	MixSource         string    `toml:"mix_source" json:"mix_source"`
	PullsPlatinum     Figure    `toml:"pulls_platinum" json:"pulls_platinum"`
	PullsTin          Figure    `toml:"pulls_tin" json:"pulls_tin"`
	PullsPolyurethane Figure    `toml:"pulls_polyurethane" json:"pulls_polyurethane"`
	PowderRatio       *Figure   `toml:"powder_ratio" json:"powder_ratio"` // powder to resin by weight
	PowderDensity     *Figure   `toml:"powder_density" json:"powder_density_g_cm3"`
	Triggers          []Trigger `toml:"triggers" json:"triggers"` // cautions it raises
	Note              string    `toml:"note" json:"note"`
}

// Copies are the castings up to which rubbers of a family are chosen for a casting
// material; 0 = any number.
type Copies struct {
	Platinum     int    `toml:"platinum" json:"platinum"`
	Tin          int    `toml:"tin" json:"tin"`
	Polyurethane int    `toml:"polyurethane" json:"polyurethane"`
	Source       string `toml:"source" json:"source"`
}

// MostCopies is how many castings a family is chosen for at most; 0 = any number.
func (c Casting) MostCopies(f Family) int {
	if c.Copies == nil {
		return 0
	}
	return map[Family]int{Platinum: c.Copies.Platinum, Tin: c.Copies.Tin, Polyurethane: c.Copies.Polyurethane}[f]
}

// Pulls returns how many castings one mold of a family usually gives, with the
// range; false where nothing is known of the family.
func (c Casting) Pulls(f Family) (Figure, bool) {
	switch f {
	case Platinum:
		return c.PullsPlatinum, true
	case Tin:
		return c.PullsTin, true
	case Polyurethane:
		return c.PullsPolyurethane, true
	}
	return Figure{}, false
}

// Trigger reports whether the casting raises a caution.
func (c Casting) Trigger(t Trigger) bool { return slices.Contains(c.Triggers, t) }

// CoatKind is what is brushed between a pattern and its rubber.
type CoatKind string

// The kinds of coat.
const (
	ReleaseAgent CoatKind = "release"
	Sealer       CoatKind = "sealer"
)

// Release is a release agent or a sealer.
type Release struct {
	Name   string   `toml:"name" json:"name"`
	Kind   CoatKind `toml:"kind" json:"kind"`
	What   string   `toml:"what" json:"what"`
	For    []string `toml:"for" json:"for"`
	Never  []string `toml:"never" json:"never"`
	Source string   `toml:"source" json:"source"`

	Under         []Family `toml:"under" json:"under"`             // rubbers it is used under
	NeverUnder    []Family `toml:"never_under" json:"never_under"` // rubbers it harms
	NeverPatterns []string `toml:"never_patterns" json:"never_patterns"`
	Oily          bool     `toml:"oily" json:"oily"` // leaves oil that stains some patterns for good
}

// Suits says what a release or sealer is worth between a pattern and a rubber.
type Suits int

// What it can be worth. Idle: it does no harm, and nothing asks for it.
const (
	Never Suits = iota
	Idle
	Good
)

// Objection is why a release or sealer must not be used.
type Objection struct {
	Said    string // as the table has it; "" = it is one of the others
	Rubber  Family // it harms this rubber; "" = it is the pattern
	Pattern string // it harms this pattern, or does not dry on it
	Stains  bool   // its oil gets into the pattern and stays
}

// Between judges the release or sealer between a pattern (nil = not known, or
// the first half of a mold) and a rubber, with the reason where it is Never.
func (r Release) Between(p *Pattern, f Family) (Suits, Objection) {
	if slices.Contains(r.NeverUnder, f) {
		o := Objection{Rubber: f}
		for _, n := range r.Never {
			if strings.HasPrefix(n, "never under") || strings.HasPrefix(n, "under") {
				o.Said = n
				break
			}
		}
		return Never, o
	}
	if p == nil {
		if slices.Contains(r.Under, f) {
			return Good, Objection{}
		}
		return Idle, Objection{}
	}
	if slices.Contains(r.NeverPatterns, p.Name) {
		return Never, Objection{Pattern: p.What}
	}
	if r.Oily && p.Stain {
		return Never, Objection{Pattern: p.What, Stains: true}
	}
	c, known := p.Against(f)
	wanted := c.Release || f == Polyurethane
	if r.Kind == Sealer {
		wanted = c.Seal || c.No && !strings.Contains(strings.Join(r.For, " "), "porous")
	}
	if known && wanted && slices.Contains(r.Under, f) {
		return Good, Objection{}
	}
	return Idle, Objection{}
}

// FindRelease returns the release or sealer with a name, in any case.
func FindRelease(name string) (Release, bool) {
	i := slices.IndexFunc(load().Release, func(r Release) bool { return strings.EqualFold(r.Name, name) })
	if i < 0 {
		return Release{}, false
	}
	return load().Release[i], true
}

// Between lists the names of a kind of coat that are good between a
// pattern and a rubber.
func Between(kind CoatKind, p *Pattern, f Family) (names []string) {
	for _, r := range load().Release {
		if s, _ := r.Between(p, f); r.Kind == kind && s == Good {
			names = append(names, r.Name)
		}
	}
	return names
}

//go:embed patterns.toml
var patternsTOML string

//go:embed castings.toml
var castingsTOML string

type tables struct {
	Pattern []Pattern `toml:"pattern"`
	Release []Release `toml:"release"`
	Casting []Casting `toml:"casting"`
}

// The tables are part of the program: one that does not parse is a defect that
// the package's tests find, so there is no error to hand on.
var load = sync.OnceValue(func() tables {
	var t, u tables
	if err := conf.Decode(patternsTOML, &t); err != nil {
		panic(fmt.Sprintf("material: %v", err))
	}
	if err := conf.Decode(castingsTOML, &u); err != nil {
		panic(fmt.Sprintf("material: %v", err))
	}
	t.Casting = u.Casting
	return t
})

// Patterns lists the pattern materials.
func Patterns() []Pattern { return slices.Clone(load().Pattern) }

// Castings lists the casting materials.
func Castings() []Casting { return slices.Clone(load().Casting) }

// Releases lists release agents and sealers.
func Releases() []Release { return slices.Clone(load().Release) }

// FindPattern returns the pattern material with a name, in any case.
func FindPattern(name string) (Pattern, bool) {
	i := slices.IndexFunc(load().Pattern, func(p Pattern) bool { return strings.EqualFold(p.Name, name) })
	if i < 0 {
		return Pattern{}, false
	}
	return load().Pattern[i], true
}

// FindCasting returns the casting material with a name, in any case.
func FindCasting(name string) (Casting, bool) {
	i := slices.IndexFunc(load().Casting, func(c Casting) bool { return strings.EqualFold(c.Name, name) })
	if i < 0 {
		return Casting{}, false
	}
	return load().Casting[i], true
}

// PrintedFraction is the share of solid in a filament print: shells outside,
// infill inside. area in mm², volume in mm³, shell in mm, infill 0 to 1. With
// r = 3·volume/area the shell's share is 1 − (1 − shell/r)³, which counts edges and
// corners once: exact for a ball, a cube and every body whose faces touch one ball,
// to first order for any other. A plate it takes as up to a sixth too light, which
// floats the more.
func PrintedFraction(area, volume, shell, infill float64) float64 {
	if volume <= 0 {
		return 1
	}
	core := max(0, 1-area*shell/(3*volume))
	s := 1 - core*core*core
	return s + (1-s)*infill
}
