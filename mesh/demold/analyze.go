package demold

import (
	"context"
	"errors"
	"fmt"
	"slices"

	"moldtally/mesh"
	"moldtally/mesh/demold/air"
	"moldtally/mesh/demold/loose"
	"moldtally/mesh/demold/parting"
	"moldtally/mesh/demold/pose"
	"moldtally/mesh/demold/scene"
	"moldtally/mesh/demold/seam"
	"moldtally/mesh/demold/strip"
	"moldtally/mesh/demold/thin"
	"moldtally/mesh/demold/tunnel"
	"moldtally/mesh/demold/undercut"
	"moldtally/mesh/finding"
	"moldtally/mesh/solid"
	"moldtally/mesh/unit"
)

// answers are what the questions have found of a scene. Those that were not
// asked are zero.
type answers struct {
	undercuts *undercut.Result
	sections  *strip.Sections
	tunnels   int
	passages  []tunnel.Passage
	stretch   strip.Stretch
	profiles  []strip.Profile
	squeeze   strip.Squeeze
	mouth     strip.Mouth
	surface   *undercut.Surface
	webs      *Webs
	thin      thin.Result
	air       air.Result
	parting   *Parting
	half      []parting.Half // per vertex
	flap      *undercut.Flap
	seam      *seam.Seam
	leaves    *undercut.Result // of a cut mold
	loose     *loose.Result
}

// mostBriefly is how many tunnels are looked at one by one where only the verdict
// is asked for: with more no mold in one piece is made.
const mostBriefly = 4

// step is a question, or several.
type step struct {
	name string
	more bool // nothing that a verdict rests on
	ask  func() error
}

// Analyze answers how a mold of kind o.Mold, lifted along up, lets go of the
// solid. up need not have length 1. The error is about the arguments or the
// context; whatever is wrong with the pattern is a finding. The result does
// not depend on GOMAXPROCS. Time goes with the triangles once and with the
// columns (about 300 thousand at automatic resolution).
func Analyze(ctx context.Context, s *solid.Solid, up mesh.Vec, o Options) (*Report, error) {
	if s == nil {
		return nil, errors.New("demold: no solid")
	}
	var x answers
	c, err := x.look(ctx, s, up, o)
	if err != nil {
		return nil, fmt.Errorf("demold: %w", err)
	}
	if err := x.askAll(ctx, c, o); err != nil {
		return nil, fmt.Errorf("demold: %w", err)
	}
	r := report(c, o, &x)
	r.Directions = listed(o.Directions, up, r)
	return r, nil
}

// askAll asks the questions that are wanted, in order.
func (x *answers) askAll(ctx context.Context, c *scene.Scene, o Options) error {
	steps := x.steps(ctx, c, o)
	for n, st := range steps {
		if o.Progress != nil {
			o.Progress("demold: "+st.name, n, len(steps))
		}
		if st.more && o.Brief {
			continue
		}
		if err := st.ask(); err != nil {
			return fmt.Errorf("%s: %w", st.name, err)
		}
	}
	if o.Progress != nil && !o.Brief {
		o.Progress("demold", len(steps), len(steps))
	}
	return nil
}

// listed are the directions that were tried. One way up has one set of figures:
// the report's own.
func listed(tried []pose.Direction, up mesh.Vec, r *Report) []pose.Direction {
	out := slices.Clone(tried)
	for k := range out {
		if d := &out[k]; d.Up == up.Array() {
			d.Depth, d.Path, d.Score, d.Volume, d.Stretch = r.UndercutDepth, r.UndercutPath, r.UndercutPath, r.UndercutVolume, r.Stretch
		}
	}
	return out
}

// look is the scene that the questions are asked of, with what is known of it.
func (x *answers) look(ctx context.Context, s *solid.Solid, up mesh.Vec, o Options) (*scene.Scene, error) {
	of := scene.Options{Mold: o.Mold, Clay: o.Clay, Ignore: o.Ignore, Resolution: o.Resolution, Coarser: o.Coarser}
	if k := o.Known; k != nil && k.Undercuts.Answers(s, up, of, undercut.Options{Parting: o.Parting}) {
		x.undercuts, x.sections = k.Undercuts, k.Sections
		return k.Undercuts.Scene, nil
	}
	if u := o.Parted.of(s, up, of, o); u != nil {
		x.undercuts, x.sections = u, strip.Of(u.Scene, strip.Options{Parting: u.Parting})
		return u.Scene, nil
	}
	return scene.New(ctx, s, up, of)
}

// steps are the questions in order: later ones rest on the answers to earlier
// ones.
func (x *answers) steps(ctx context.Context, c *scene.Scene, o Options) []step {
	return []step{
		{"undercuts", false, func() (err error) {
			if x.undercuts == nil {
				if x.undercuts, err = undercut.Find(ctx, c, undercut.Options{Parting: o.Parting, Roughly: o.roughly()}); err != nil {
					return err
				}
				x.sections = strip.Of(c, strip.Options{Parting: x.undercuts.Parting})
				o.Parted.keep(x.undercuts, o)
			}
			return nil
		}},
		{"tunnels", false, func() (err error) {
			x.tunnels, err = o.Tunnels.Count(ctx, c)
			return err
		}},
		{"passages", false, func() (err error) {
			if o.Brief && x.tunnels > mostBriefly {
				return nil
			}
			x.passages, err = o.Tunnels.List(ctx, c, x.tunnels, o.Brief)
			return err
		}},
		{"stretch", false, func() (err error) {
			if x.undercuts.Volume == 0 { // no section reaches past one below it
				x.stretch.Value = new(float64)
				return nil
			}
			if x.stretch, err = x.sections.Stretch(ctx); err != nil {
				return err
			}
			x.profiles, err = x.sections.Profiles(ctx)
			return err
		}},
		{"squeeze", false, func() (err error) {
			x.squeeze, err = x.sections.Squeeze(ctx)
			return err
		}},
		{"mouth", false, func() (err error) {
			x.mouth, err = x.sections.Mouth(ctx)
			return err
		}},
		{"surface", false, func() (err error) {
			of := undercut.SurfaceOptions{Linked: x.tunnels > len(x.passages)}
			for _, p := range x.passages {
				of.Webs = append(of.Webs, p.WebAt)
			}
			x.surface, err = undercut.OnSurface(ctx, x.undercuts, of)
			return err
		}},
		{"webs", true, func() (err error) {
			x.webs, err = x.slit(ctx, c)
			return err
		}},
		{"thin", true, func() (err error) {
			x.thin, err = thin.Find(ctx, c, thin.Options{Web: o.Web, Fin: o.Fin})
			return err
		}},
		{"air", true, func() (err error) {
			x.air, err = air.Find(ctx, c, air.Options{Sides: x.sides(c), Foot: o.Foot, Show: o.Show, Swilled: o.Hollow})
			return err
		}},
		{"parting", true, func() error { return x.part(ctx, c) }},
		{"seam", c.Mold != Cut, func() error { return x.open(ctx, c, o) }},
		{"loose pieces", false, func() (err error) {
			of := x.undercuts
			if x.leaves != nil {
				of = x.leaves
			}
			x.loose, err = loose.Find(ctx, of, c.Mold != TwoPart)
			return err
		}},
	}
}

// sides are the halves in which the rubber rises under the pattern, where they
// are poured one after the other.
func (x *answers) sides(c *scene.Scene) []air.Side {
	if c.Mold != TwoPart {
		return nil
	}
	var out []air.Side
	for n, h := range c.Halves(*x.undercuts.Parting) {
		out = append(out, air.Side{Half: [2]air.Half{air.Upper, air.Lower}[n], Up: h.Up, Field: h.Field, Space: h.Space, Floor: h.Floor})
	}
	return out
}

// part finds where halves part.
func (x *answers) part(ctx context.Context, c *scene.Scene) (err error) {
	at := x.undercuts.Parting
	if at == nil {
		return nil
	}
	p := &Parting{Kind: "flat", Height: *at - c.Base}
	if p.Natural, err = parting.Line(ctx, c, *at); err != nil {
		return err
	}
	if p.Halves, x.half, err = parting.InHalves(ctx, c, *at); err != nil {
		return err
	}
	x.parting = p
	return nil
}

// open finds how a mold without a board opens: the seam of one that is cut, and
// what swings aside.
func (x *answers) open(ctx context.Context, c *scene.Scene, o Options) error {
	switch c.Mold {
	case Cut:
		r, err := seam.Find(ctx, x.undercuts, x.surface, seam.Options{Show: o.Show, Straight: o.Straight})
		if err != nil {
			return err
		}
		x.seam, x.leaves, x.flap = r.Seam, r.Undercuts, r.Undercuts.Flap()
	case TwoPart:
		x.flap = x.undercuts.Flap()
	}
	return nil
}

// report puts the answers together.
func report(c *scene.Scene, o Options, x *answers) *Report {
	u, s, sp := x.undercuts, x.surface, c.Space()
	r := &Report{
		UndercutVolume: u.Volume, UndercutArea: s.Area,
		UndercutDepth: u.Depth, UndercutDepthAt: u.DepthAt,
		UndercutPath: u.Path, UndercutPathAt: s.PathAt,
		Stretch: x.stretch.Value, StretchAt: x.stretch.At, StretchNeck: x.stretch.Neck, StretchBulge: x.stretch.Bulge, StretchClay: x.stretch.Clay, Profiles: x.profiles,
		Squeeze: x.squeeze.Value, SqueezeAt: x.squeeze.At, SqueezeRest: x.squeeze.Rest, TongueLength: x.squeeze.Length, TongueRoot: x.squeeze.Root,
		Mouth: x.mouth, Tunnels: &x.tunnels, TunnelList: x.named(), Webs: x.webs,
		Thin: x.thin.Places, ThinWeb: x.thin.Web, ThinFin: x.thin.Fin,
		Draft: s.DraftArea.Shares(), DraftArea: s.DraftArea,
		LockedVolume: u.Locked, LockedBend: u.Bend, FreePath: u.FreePath, Loose: x.loose,
		Regions: s.Regions, AirTraps: x.air.Traps, Air: x.air.Pours,
		Parting: x.parting, Seam: x.seam, Flap: x.flap,
		Clay: c.Clay, Bed: c.Bed, Resolution: c.Field.Cell, Uncertainty: u.Uncertainty, Resolved: c.Uncertainty,
		VertexPath: s.VertexPath, VertexRegion: s.VertexRegion, VertexHalf: x.half, Field: c.Field, Cavity: x.air.Cavity,
		undercuts: u, surface: s,
	}
	if c.OnBoard() {
		r.Pockets, r.ClayFill = sp.Pockets, sp.ClayFill
	} else {
		r.Trapped = new(parting.Trapped(c))
		if r.Parting == nil { // not looked at
			r.Parting = &Parting{Kind: "flat", Height: *u.Parting - c.Base}
		}
	}
	r.Findings = append(r.Findings, x.stretch.Findings...)
	if o.Brief {
		return r
	}
	x.tellTunnels(c, &r.Findings)
	if r.Plugged() {
		r.Findings.Add(finding.Finding{Code: CodeHole, Severity: finding.Caution, At: r.SqueezeAt, Facts: Hole{r.Squeeze, unit.Length(*r.TongueLength)}})
	}
	r.Findings = append(r.Findings, x.thin.Findings()...)
	r.Findings = append(r.Findings, x.air.Findings...)
	x.tellUndercuts(c, &r.Findings)
	x.tellFront(&r.Findings)
	r.Findings.Sort()
	return r
}
