package estimate

import (
	"context"
	"fmt"
	"math"

	"moldtally/estimate/rubber"
	"moldtally/mesh/demold"
)

// PourJob is a pour without a mesh: inside measurements up to the fill line,
// in mm, less what the pattern displaces, in mm³. Exactly one of Box, Sleeve and
// Frustum is given. Of Job the fields about rubber, pattern material, casting,
// temperature and shop are used.
type PourJob struct {
	Box       *[3]float64 // length, width, height
	Sleeve    *[2]float64 // bore, height
	Frustum   *[3]float64 // bore at one end, at the other, height
	Displaced float64
	Job       Job
	Version   string
}

// Inside returns the room up to the fill line, mm³: a box, a cylinder, or the
// frustum of a cone π·h/3·(R² + R·r + r²). A *rubber.BadInput tells what makes
// no sense.
func (j PourJob) Inside() (float64, error) {
	var v float64
	given := 0
	check := func(flag string, lengths ...float64) error {
		given++
		for _, l := range lengths {
			if !(l > 0 && l <= 1e6) {
				return &rubber.BadInput{Flag: flag, What: fmt.Sprintf("%g mm is no inside measurement", l)}
			}
		}
		return nil
	}
	if b := j.Box; b != nil {
		if err := check("box", b[0], b[1], b[2]); err != nil {
			return 0, err
		}
		v = b[0] * b[1] * b[2]
	}
	if s := j.Sleeve; s != nil {
		if err := check("sleeve", s[0], s[1]); err != nil {
			return 0, err
		}
		v = math.Pi / 4 * s[0] * s[0] * s[1]
	}
	if f := j.Frustum; f != nil {
		if err := check("frustum", f[0], f[1], f[2]); err != nil {
			return 0, err
		}
		v = math.Pi / 12 * f[2] * (f[0]*f[0] + f[0]*f[1] + f[1]*f[1])
	}
	if given != 1 {
		return 0, &rubber.BadInput{Flag: "box", What: "give the inside as one of --box L,W,H, --sleeve D,H and --frustum D1,D2,H"}
	}
	if !(j.Displaced >= 0) {
		return 0, &rubber.BadInput{Flag: "displaced", What: "a volume is zero or more"}
	}
	if j.Displaced >= v {
		return 0, &rubber.BadInput{Flag: "displaced", What: fmt.Sprintf("the pattern displaces %.6g cm³ and the inside holds %.6g cm³: no room is left for rubber", j.Displaced/1000, v/1000)}
	}
	return v, nil
}

// TallyPour plans a pour from inside measurements. A *rubber.BadInput tells what
// makes no sense.
func TallyPour(ctx context.Context, j PourJob) (*Plan, error) {
	if err := ctx.Err(); err != nil {
		return nil, fmt.Errorf("estimate: %w", err)
	}
	inside, err := j.Inside()
	if err != nil {
		return nil, err
	}
	p := &Plan{Schema: Schema, Tool: Tool, Version: j.Version}
	b, err := newBench(j.Job, p)
	if err != nil {
		return nil, err
	}
	var cast rubber.Range
	if b.cast != nil {
		lo, hi := b.cast.ShoreA.Range()
		cast = rubber.Range{Low: &lo, High: &hi, Preferred: b.cast.ShoreA.Value}
	} else {
		cast.Preferred = 30
	}
	if err := b.choose(cast, demold.Block); err != nil {
		return nil, err
	}
	v := inside - j.Displaced
	s := space{Mold: demold.Block, Volume: v, Low: v, High: v}
	switch {
	case j.Box != nil:
		s.Inside, s.Height = j.Box, j.Box[2]
	case j.Sleeve != nil:
		s.Bore, s.Height = &j.Sleeve[0], j.Sleeve[1]
	default:
		w := max(j.Frustum[0], j.Frustum[1])
		s.Bore, s.Height = &w, j.Frustum[2]
	}
	b.rubber(s, rubber.Range{}, nil)
	b.castFits()
	if j.Displaced > 0 {
		b.casting(j.Displaced, 0, demold.Block, nil, false, nil)
		if b.cast != nil && (j.Job.CastWall != nil || b.cast.Kind == "cold-cast") {
			// Both go by the surface, which nobody has measured here.
			p.Casting = nil
		}
	}
	b.shelf(nil)
	if err := b.cost(nil); err != nil {
		return nil, err
	}
	b.order()
	p.NotChecked = b.notChecked(false, "")
	lift := b.weighed()
	for _, g := range b.mix.Added {
		lift += g
	}
	p.Cautions = b.cautions(&lift, false)
	p.finish(Source{})
	return p, nil
}
