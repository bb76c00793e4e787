package estimate

import (
	"context"
	"fmt"
	"math"
	"moldtally/mesh/finding"

	"moldtally/estimate/material"
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
	check := func(input rubber.Input, lengths ...float64) error {
		given++
		for _, l := range lengths {
			if !(l > 0 && l <= 1e6) {
				return &rubber.BadInput{Input: input, Wrong: rubber.NoMeasure, Value: l}
			}
		}
		return nil
	}
	if b := j.Box; b != nil {
		if err := check(rubber.InputBox, b[0], b[1], b[2]); err != nil {
			return 0, err
		}
		v = b[0] * b[1] * b[2]
	}
	if s := j.Sleeve; s != nil {
		if err := check(rubber.InputSleeve, s[0], s[1]); err != nil {
			return 0, err
		}
		v = math.Pi / 4 * s[0] * s[0] * s[1]
	}
	if f := j.Frustum; f != nil {
		if err := check(rubber.InputFrustum, f[0], f[1], f[2]); err != nil {
			return 0, err
		}
		v = math.Pi / 12 * f[2] * (f[0]*f[0] + f[0]*f[1] + f[1]*f[1])
	}
	if given != 1 {
		return 0, &rubber.BadInput{Input: rubber.InputBox, Wrong: rubber.NotOne}
	}
	if !(j.Displaced >= 0) {
		return 0, &rubber.BadInput{Input: rubber.InputDisplaced, Wrong: rubber.Negative}
	}
	if j.Displaced >= v {
		return 0, &rubber.BadInput{Input: rubber.InputDisplaced, Wrong: rubber.NoRoomLeft, Value: j.Displaced, High: v}
	}
	return v, nil
}

// TallyPour plans a pour from inside measurements. A *rubber.BadInput tells what
// makes no sense.
func TallyPour(ctx context.Context, p PourJob) (*Plan, error) {
	if err := ctx.Err(); err != nil {
		return nil, fmt.Errorf("estimate: %w", err)
	}
	inside, err := p.Inside()
	if err != nil {
		return nil, err
	}
	j, err := p.Job.resolve()
	if err != nil {
		return nil, err
	}
	chosen, err := rubber.Choose(j.Rubber, rubber.Needs{Own: j.shop.Rubbers, Range: j.usualRange(), Pattern: j.pattern, Cast: j.cast, Copies: j.Copies, Original: j.Irreplaceable, Volume: inside - p.Displaced, AddedSG: j.shop.Additives.densities()})
	if err != nil {
		return nil, err
	}
	mix := j.mixFor(chosen, p.space(inside-p.Displaced))
	out := &Plan{}
	var found finding.List
	out.Rubber, found = j.rubber(mix, nil, nil)
	found = append(found, j.suits(&chosen, j.foam(nil))...)
	if p.Displaced > 0 {
		casting, told := j.castingOf(&chosen, p.Displaced, 0, false, false, nil)
		found = append(found, told...)
		// A hollow and a cold casting go by the surface, which nobody has measured
		// here.
		if casting != nil && j.CastWall == nil && j.cast.Kind != material.ColdCast {
			casting.Foam = j.foam(nil)
			out.Casting = casting
		}
	}
	told, err := j.work(out, mix, nil, nil, chores{})
	if err != nil {
		return nil, err
	}
	out.NotChecked = j.notChecked(&chosen, out.Cost, nil, nil)
	lift := mix.weighed()
	for _, g := range mix.mix.Added {
		lift += g
	}
	out.Cautions = j.safety(work{Chosen: &chosen, Mold: demold.Block, Lift: &lift})
	return finished(out, p.Version, Source{}, nil, found, told), nil
}

// space is the room for a volume of rubber, mm³.
func (p PourJob) space(volume float64) space {
	s := space{Mold: demold.Block, Volume: volume, Low: volume, High: volume}
	switch {
	case p.Box != nil:
		s.Inside, s.Height = p.Box, p.Box[2]
	case p.Sleeve != nil:
		s.Bore, s.Height = &p.Sleeve[0], p.Sleeve[1]
	default:
		w := max(p.Frustum[0], p.Frustum[1])
		s.Bore, s.Height = &w, p.Frustum[2]
	}
	return s
}

// usualHardness, Shore A, is what is looked for where nothing is known of what is
// cast nor of the shape; a judgement.
const usualHardness = 30

// usualRange is the hardness that a casting asks for where nothing is known of the
// shape; off an original the rubber is soft all the same.
func (j *resolved) usualRange() rubber.Range {
	r := rubber.Range{Preferred: usualHardness}
	if j.cast != nil {
		lo, hi := j.cast.ShoreA.Range()
		r = rubber.Range{Low: &lo, High: &hi, Preferred: j.cast.ShoreA.Value}
	}
	if j.Irreplaceable {
		r.Preferred = min(r.Preferred, rubber.OriginalAtMost)
		if r.High != nil {
			r.High, r.Low = new(min(*r.High, rubber.OriginalAtMost)), new(min(*r.Low, rubber.OriginalAtMost))
		}
	}
	return r
}
