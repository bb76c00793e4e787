package boxfit

import (
	"context"
	"math"

	"moldtally/mesh"
	"moldtally/mesh/demold"
	"moldtally/mesh/finding"
	"moldtally/mesh/unit"
)

// Riser is how far above the highest point of the shell the rubber stands in
// the funnel and vents of a mother mold, mm (common practice, no source).
const Riser = 50

// blanket is an even coat under a rigid mother mold: the space within the
// thickness outside the pattern and above the clay line, and what is filled out so
// that the mother mold's pieces draw.
func (p *planner) blanket(ctx context.Context) (*Fit, error) {
	s, t := p.s, p.wall
	coat, err := p.r.Coats.coat(ctx, s, t)
	if err != nil {
		return nil, err
	}
	fill, err := p.fillOut(ctx, coat)
	if err != nil {
		return nil, err
	}
	w := walls{kind: Mother, center: s.rect.Center, axis: s.rect.Axis}
	f := p.start(&w)
	f.parted = &parted{s, t, coat.floor, coat.draw, fill.draws, fill.plane, s.middle(), coat.shapes, s.parting != nil}
	// Pieces are compared on coarse rows; what is told is what the shell is made to.
	form, err := f.Form(ctx, 0)
	if err != nil {
		return nil, err
	}
	fill.volume = max(0, form.Volume()-coat.taken())
	f.Over, f.Under = t, 0
	if s.parting != nil {
		f.Under = t
	}
	f.FillHeight = s.height() + t + f.Under
	f.Center = s.point(w.center, s.base).Array()
	f.Coat, f.CoatVolume, f.FillOut = &t, &coat.volume, &fill.volume
	p.coated(f)
	f.Thinnest = t
	f.Seam = mesh.PerimeterOf(s.hull) + 2*math.Pi*t
	f.Shell = p.shell(coat, &fill)
	up := 0.0
	if p.mold == demold.Brushed { // nothing liquid presses
		f.HoldDown, f.HoldDownMargin = new(0.0), new(0.0)
	} else {
		head := f.FillHeight + Riser
		f.FloorPressure = headPressure(p.sg, head)
		p.float(f, float64(s.displaced.Value)*s.below(s.base+f.FillHeight))
		up = shellLift(p.sg, fill.foot, head, coat.taken()+fill.volume)
		f.ShellUplift = &up
		if len(f.Shell.Pieces) > 1 {
			f.WallForce = wallForce(p.sg, head, 2*(s.circle.Radius+t))
		}
	}
	around := 2 * (t + f.Shell.Thickness + f.Shell.Flange + baseMargin)
	f.Boards = append(f.Boards, p.base(s.rect.Length+around, s.rect.Width+around))
	p.lift(f)
	p.judgeCoat(f)
	p.judge(f, t, f.FillHeight)
	if up > 0 {
		f.Findings.Add(p.shellLifts(up))
	}
	return f, nil
}

// coated is the rubber of a coat: how uncertain the pattern's volume is, so is its
// surface, and with it the coat; and its own reckoning is off by a share. The clear
// inside of the shell is what rubber, pattern, clay and shut-in air take of it.
func (p *planner) coated(f *Fit) {
	s, d := p.s, p.s.displaced
	f.Rubber = *f.CoatVolume + *f.FillOut
	f.Capacity = f.Rubber + float64(d.Value) + s.pockets + s.clay
	down, up := CoatError, CoatError
	if d.Value > 0 {
		down += float64((d.Value - d.Low) / d.Value)
		up += float64((d.High - d.Value) / d.Value)
	}
	f.RubberLow, f.RubberHigh = max(0, f.Rubber*(1-down)), f.Rubber*(1+up)
}

// taken is the volume of pattern, coat and shut-in air above the floor, mm³.
func (c *coating) taken() float64 { return length(c.full) * c.f.Cell * c.f.Cell }

// A coat is unusual under one share of the usual thickness and over the other.
// Judgement of this program: the steps of CoatRule lie within.
const (
	coatThin  = 0.6
	coatThick = 1.7
)

// judgeCoat tells of a coat of an unusual thickness.
func (p *planner) judgeCoat(f *Fit) {
	x := Coat{Asked: unit.Length(*f.Coat), Usual: unit.Length(p.rule), Brushed: p.mold == demold.Brushed, Thick: *f.Coat > p.rule}
	if r := *f.Coat / p.rule; r < coatThin || r > coatThick {
		f.Findings.Add(finding.Finding{Code: CodeCoat, Severity: finding.Caution, Facts: x})
	}
}
