package air

import (
	"context"
	"math"
	"slices"

	"moldtally/mesh"
	"moldtally/mesh/par"
)

// How far a mold is tipped. Beyond maxTilt a box holds too little to be poured
// and slides off its board; a tilt that leaves over half the air, with vents to
// drill all the same, is no help. Judgement of this program.
const (
	maxTilt   = 45.0  // degrees
	shutTilt  = 30.0  // the same for a closed mold, which has to stay so until the casting is hard
	tiltSteps = 5     // tilts tried from level to there, toward every side
	tiltSides = 12    // sides
	worthTilt = 0.5   // of the air caught; what a tilt may leave and still be worth it
	tiltNodes = 8_000 // nodes of the cavity that all sides are tried on
	fineNodes = 40_000

	tiltStep = maxTilt / tiltSteps
)

// tilting is the search for a tilt.
type tilting struct {
	*pour
	rise  float64 // traps no higher than this are noise, mm
	nodes int
	empty float64 // mm³: less is none
}

// thinning is the cavity on a fraction of its columns, with the level answer.
type thinning struct {
	*cavity
	level []float32
}

// tilt looks for the least tilt that empties the traps, or the one that leaves
// least: roughly over all sides on a thinned cavity, then finely over all
// columns toward the side found.
func (p *pour) tilt(ctx context.Context) error {
	little := littleAir
	if p.shut { // a vent is less trouble
		little = sideTie
	}
	if p.rep.Caught <= little*p.f.Volume() {
		return nil
	}
	t := &tilting{pour: p, rise: p.rise, empty: 0.01 * p.rep.Caught}
	if p.last {
		t.rise = 0
	}
	p.each(func(place) { t.nodes++ })
	toward, deg, empties, err := t.rough(ctx)
	if err != nil {
		return err
	}
	if err := ctx.Err(); err != nil {
		return err
	}
	if p.shut && (!empties || deg > shutTilt) { // what has to be vented all the same is vented where it stands
		return nil
	}
	if empties {
		if deg, err = t.least(ctx, toward, deg); err != nil {
			return err
		}
	}
	l := t.lean(p.cavity, toward, deg)
	hold := t.whole(l)
	for k := 0; k < 3 && empties && len(hold) > 0 && deg+0.5 <= maxTilt; k++ {
		deg += 0.5 // what a thinned cavity does not see
		l = t.lean(p.cavity, toward, deg)
		hold = t.whole(l)
	}
	if left := volume(hold); left > worthTilt*p.rep.Caught || p.shut && (left > t.empty || deg > shutTilt) {
		return nil
	}
	p.put(hold, l)
	rest := p.rest
	if len(hold) > 0 {
		rest = p.settled(p.rest, l)
	}
	p.report(hold, rest, l)
	down := t.side(toward).Neg().Array()
	p.rep.Tilt, p.rep.Toward = &deg, &down
	if p.rep.Pour == Rubber {
		p.rep.Over = new(p.needs(l))
	}
	return nil
}

// side is the side that is raised, by its angle in the horizontal, degrees.
func (t *tilting) side(deg float64) mesh.Vec {
	sin, cos := math.Sincos(deg * math.Pi / 180)
	return t.e1.Mul(cos).Add(t.e2.Mul(sin))
}

func (t *tilting) lean(v *cavity, toward, deg float64) lean {
	s, k := t.side(toward), math.Tan(deg*math.Pi/180)*v.cell
	return lean{float32(k * s.Dot(t.f.E1)), float32(k * s.Dot(t.f.E2))}
}

// thin is about the given number of nodes of the cavity.
func (t *tilting) thin(want int) thinning {
	v, at := t.thinned(int32(math.Ceil(math.Sqrt(float64(t.nodes) / float64(want)))))
	level := make([]float32, len(at))
	for n, m := range at {
		level[n] = t.rest[m]
	}
	return thinning{v, level}
}

// held is what the cavity still catches, tipped.
func (t *tilting) held(v thinning, toward, deg float64, wide bool) []trap {
	l := t.lean(v.cavity, toward, deg)
	return v.traps(v.settled(v.level, l), l, t.rise, wide)
}

// whole is what the whole cavity still catches.
func (t *tilting) whole(l lean) []trap {
	return t.traps(t.settled(t.rest, l), l, t.rise, true)
}

func volume(traps []trap) float64 {
	var sum float64
	for _, x := range traps {
		sum += x.volume
	}
	return sum
}

// rough tries all sides on few columns. Of the sides that empty the cavity at
// the same step it takes the one that does so first; else the least of all, the
// smaller tilt where it makes no odds.
func (t *tilting) rough(ctx context.Context) (toward, deg float64, empties bool, err error) {
	thin := t.thin(tiltNodes)
	left := func(toward, deg float64) float64 { return volume(t.held(thin, toward, deg, false)) }
	angle := func(s int) float64 { return float64(s) * 360 / tiltSides }
	var table []float64 // by tilt, then by side
	first := tiltSteps  // the first tilt that empties it toward some side
	steps := tiltSteps
	if t.shut {
		steps = int(math.Ceil(shutTilt / tiltStep))
	}
	for k := 0; k < steps && first == tiltSteps; k++ {
		row := make([]float64, tiltSides)
		err := par.Each(ctx, tiltSides, func(s int) { row[s] = left(angle(s), float64(k+1)*tiltStep) })
		if err != nil {
			return 0, 0, false, err
		}
		if slices.Min(row) <= t.empty {
			first = k
		}
		table = append(table, row...)
	}
	if first == tiltSteps {
		slack := slices.Min(table) + 0.02*t.rep.Caught
		best := slices.IndexFunc(table, func(v float64) bool { return v <= slack })
		return angle(best % tiltSides), float64(best/tiltSides+1) * tiltStep, false, nil
	}
	least := func(toward float64) float64 {
		lo, hi := float64(first)*tiltStep, float64(first+1)*tiltStep
		for range 3 {
			if mid := (lo + hi) / 2; left(toward, mid) <= t.empty {
				hi = mid
			} else {
				lo = mid
			}
		}
		return hi
	}
	tilts := make([]float64, tiltSides)
	err = par.Each(ctx, tiltSides, func(s int) {
		tilts[s] = math.Inf(1)
		if table[first*tiltSides+s] <= t.empty {
			tilts[s] = least(angle(s))
		}
	})
	if err != nil {
		return 0, 0, false, err
	}
	s := slices.Index(tilts, slices.Min(tilts))
	toward, deg = angle(s), tilts[s]
	for _, d := range [4]float64{-15, 15, -7.5, 7.5} {
		if x := least(toward + d); x < deg-1 {
			toward, deg = toward+d, x
		}
	}
	return toward, deg, true, nil
}

// least is the least tilt toward a side that empties the cavity on many
// columns, looked for about deg.
func (t *tilting) least(ctx context.Context, toward, deg float64) (float64, error) {
	mid := t.thin(fineNodes)
	empty := func(deg float64) bool { return len(t.held(mid, toward, deg, true)) == 0 }
	const stride = 2.0
	over, under := math.Inf(1), 0.0 // degrees known to empty it, and known not to
	for deg > under && deg < over && deg <= maxTilt {
		if empty(deg) {
			over = deg
			deg -= stride
		} else {
			under = deg
			deg += stride
		}
		if err := ctx.Err(); err != nil {
			return 0, err
		}
	}
	for over-under > 0.3 && over <= maxTilt {
		if m := (over + under) / 2; empty(m) {
			over = m
		} else {
			under = m
		}
	}
	return min(over, maxTilt), nil
}
