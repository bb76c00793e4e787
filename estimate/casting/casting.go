// Package casting reckons what one casting takes: volume, mass, what is weighed
// for resin, gypsum, expanding foam and metal powder in resin, how many castings
// a mold gives, and what shrinkage does to the size.
package casting

import (
	"math"

	"moldtally/estimate/material"
)

// Defaults; common practice, no source.
const (
	Loss        = 0.05 // of the mass: what stays in the cup
	Sprue       = 0.05 // of the volume: sprue and vents of a closed mold (3 to 10 %)
	FoamPack    = 0.15 // more foam than fills the mold freely (10 to 30 %)
	DustG       = 2.0  // g of dry powder per 100 cm² of face; from memory, poor
	DustLowG    = 1.0  // the range of that
	DustHighG   = 3.0
	FaceMM      = 2.0  // thickness of a cold-cast face (1.5 to 3)
	ResinSG     = 1.05 // of the resin under powder
	PourablePhi = 0.40 // volume share of powder from which a mix hardly pours (0.40 to 0.45)
)

// Gypsum constants: density of hemihydrate (g/cm³) and of water at room
// temperature, and how much heavier it is as dihydrate; molar masses 145.15 and
// 172.17 g/mol, from memory.
const (
	hemihydrate = 2.76
	water       = 0.998
	gain        = 172.17 / 145.15
)

// Slurry returns the density of wet gypsum at c parts of water per 100 of
// powder by weight, and the density once set and dry, g/cm³.
func Slurry(c float64) (wet, dry float64) {
	v := 100/hemihydrate + c/water
	return (100 + c) / v, 100 * gain / v
}

// GypsumFor returns powder and water, g, for a volume in cm³.
func GypsumFor(cm3, c float64) (powder, waterG float64) {
	wet, _ := Slurry(c)
	m := cm3 * wet
	return m * 100 / (100 + c), m * c / (100 + c)
}

// PowderMix returns the density of resin with r parts of powder per part of
// resin by weight, and the powder's share of the volume.
func PowderMix(r, powder, resin float64) (sg, phi float64) {
	v := r/powder + 1/resin
	return (1 + r) / v, r / powder / v
}

// FoamFill returns the mass, g, that fills a volume (cm³) of a foam whose free
// rise is given in g/cm³, packed by a share over that.
func FoamFill(cm3, free, pack float64) float64 { return cm3 * free * (1 + pack) }

// PatternFactor is how many times as big a pattern must be for a casting of
// true size: 1/((1 − mold)(1 − casting)), shrinkages as shares.
func PatternFactor(mold, cast float64) float64 { return 1 / ((1 - mold) * (1 - cast)) }

// ShellVolume is the volume of a hollow casting's wall, mm³: surface times
// thickness, at most the whole. It counts edges double, so it is an estimate on
// the safe side for a body without deep hollows.
func ShellVolume(area, wall, whole float64) float64 { return min(whole, area*wall) }

// Job is one casting to reckon. Volumes mm³, areas mm², lengths mm.
type Job struct {
	Material material.Casting
	Ratio    [2]float64 // A:B by weight; zero where it is one part
	Volume   float64    // of the pattern
	Area     float64
	Wall     float64  // of a hollow casting; 0 = solid
	Shell    *float64 // its volume, if it is known better than by Area times Wall
	Closed   bool     // the mold is closed: it has a sprue and vents
	Copies   int      // 0 = not said
	Family   material.Family
	Hard     bool    // stripping takes over half of what the rubber stands for long
	Mold     float64 // linear shrinkage of the rubber, share
	OwnPulls int     // castings per mold as the user knows them; 0 = unknown
	Worn     *Worn   // how long the shop's molds last of what is usual; nil = not known
	Face     float64 // thickness of a cold-cast face; 0 = FaceMM
}

// Worn is how many castings molds give in parts of what is usual: few give under
// Low or over High, half of them Mid.
type Worn struct{ Low, Mid, High float64 }

// Result is what one casting takes. Nil is unknown. Masses g, volumes mm³.
type Result struct {
	Volume, Sprue       float64
	Mass                float64
	ToMix               float64
	A, B, Powder, Water *float64
	Pulls, Low, High    *int
	Usual               *int // Pulls where the shop's own molds are not asked
	Molds               *int
	Shrinkage           float64 // linear, rubber and casting together, share
	Resize              float64
	Hottest             float64 // the top of the range, °C
	Phi                 float64 // powder's share of the volume of a cold-cast face

	// Of a cold-cast piece: the face, and what backs it. Masses are to mix, with
	// loss; Dust is dry powder and part of Powder.
	FaceArea, FaceVolume           float64
	FacePowder, FaceResin, Backing float64
	Dust, DustLow, DustHigh        float64
}

// Reckon works a casting out. The volume is the pattern's after both
// shrinkages, or the wall of a hollow one; what is mixed fills the mold, which
// is larger by the casting's own shrinkage.
func Reckon(j Job) Result {
	var r Result
	shrink := j.Material.Shrinkage.Value / 100
	f := PatternFactor(j.Mold, shrink)
	r.Shrinkage, r.Resize = 1-1/f, f
	k := 1 / f
	whole := j.Volume * k * k * k
	r.Volume = whole
	if j.Wall > 0 {
		r.Volume = ShellVolume(j.Area*k*k, j.Wall, whole)
		if j.Shell != nil {
			r.Volume = min(whole, *j.Shell*k*k*k)
		}
	}
	if j.Closed && j.Wall <= 0 {
		r.Sprue = Sprue * r.Volume
	}
	sg := j.Material.SG.Value
	liquid := 1 / ((1 - shrink) * (1 - shrink) * (1 - shrink))
	cm3 := (r.Volume + r.Sprue) / 1000 * liquid
	r.Mass = r.Volume / 1000 * sg
	r.ToMix = cm3 * sg * (1 + Loss)
	_, r.Hottest = j.Material.HottestC.Range()
	set := func(p **float64, v float64) { *p = &v }
	parts := func(m float64) {
		if s := j.Ratio[0] + j.Ratio[1]; s > 0 {
			set(&r.A, m*j.Ratio[0]/s)
			set(&r.B, m*j.Ratio[1]/s)
		}
	}
	switch j.Material.Kind {
	case material.FoamKind:
		r.Mass = FoamFill(r.Volume/1000, sg, FoamPack)
		r.ToMix = FoamFill(cm3, sg, FoamPack) * (1 + Loss)
		parts(r.ToMix)
	case material.Gypsum:
		c := 100 * j.Ratio[1] / j.Ratio[0]
		wet, _ := Slurry(c)
		r.Mass = r.Volume / 1000 * wet
		p, w := GypsumFor(cm3, c)
		r.ToMix = (p + w) * (1 + Loss)
		set(&r.Powder, p*(1+Loss))
		set(&r.Water, w*(1+Loss))
	case material.ColdCast:
		parts(r.coldCast(j, j.Area*k*k, cm3))
	default:
		parts(r.ToMix)
	}
	r.wear(j)
	return r
}

// coldCast works out a dusted face coat of powder in resin over an area, mm²,
// backed with plain resin to a volume, cm³; it returns the resin to mix, g.
func (r *Result) coldCast(j Job, area, cm3 float64) (resinG float64) {
	ratio, density := j.Material.PowderRatio.Value, j.Material.PowderDensity.Value
	mix, phi := PowderMix(ratio, density, ResinSG)
	thick := FaceMM
	if j.Face > 0 {
		thick = j.Face
	}
	face := min(cm3, area*thick/1000)
	coat := face * mix
	powder := coat*ratio/(1+ratio) + DustG*area/1e4
	resin := coat/(1+ratio) + (cm3-face)*ResinSG
	r.Phi = phi
	r.FaceArea, r.FaceVolume = area, 1000*face
	r.FacePowder = coat * ratio / (1 + ratio) * (1 + Loss)
	r.FaceResin, r.Backing = coat/(1+ratio)*(1+Loss), (cm3-face)*ResinSG*(1+Loss)
	r.Dust, r.DustLow, r.DustHigh = DustG*area/1e4, DustLowG*area/1e4, DustHighG*area/1e4
	r.Mass = (min(r.Volume/1000, face)*mix + max(0, r.Volume/1000-face)*ResinSG) + DustG*area/1e4
	r.ToMix = (powder + resin) * (1 + Loss)
	powder *= 1 + Loss
	r.Powder = &powder
	return resin * (1 + Loss)
}

// wear is how many castings a mold gives, and how many molds a run takes: by the
// fewest that a mold may give, one at least.
func (r *Result) wear(j Job) {
	p, ok := j.Material.Pulls(j.Family)
	if !ok && j.OwnPulls <= 0 {
		return
	}
	lo, hi := p.Range()
	mid := p.Value
	if j.OwnPulls > 0 {
		mid, lo, hi = float64(j.OwnPulls), float64(j.OwnPulls), float64(j.OwnPulls)
	} else if j.Hard {
		mid, lo, hi = mid/2, lo/2, hi/2
	}
	n := func(v float64) *int { i := int(math.Floor(v)); return &i }
	r.Usual = n(mid)
	if w := j.Worn; w != nil {
		mid, lo, hi = math.Round(mid*w.Mid), math.Round(mid*w.Low), math.Round(mid*w.High)
	}
	r.Pulls, r.Low, r.High = n(mid), n(lo), n(hi)
	if j.Copies > 0 && *r.Pulls > 0 {
		each := max(1, *r.Low)
		r.Molds = new((j.Copies + each - 1) / each)
	}
}
