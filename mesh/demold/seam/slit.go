package seam

import (
	"context"
	"fmt"
	"math"

	"moldtally/mesh"
	"moldtally/mesh/demold/parting"
	"moldtally/mesh/demold/scene"
	"moldtally/mesh/demold/strip"
	"moldtally/mesh/demold/undercut"
)

// Slit is where a mold in one piece over a pattern on a board is slit: from its mouth
// up the back, in a plane along the pull, as high as its rings and its deep undercuts need
// and no higher.
// Lengths mm; places in the file's own axes.
type Slit struct {
	Front  Front        `json:"front"`        // the way the pattern looks: the knife keeps away from it
	Side   [3]float64   `json:"side"`         // the way the slit faces
	Normal [3]float64   `json:"plane_normal"` // unit
	From   [3]float64   `json:"from_mm"`      // on the pattern, at the mouth
	To     [3]float64   `json:"to_mm"`        // where it ends, in a punched hole
	Line   [][3]float64 `json:"line_mm"`
	Length float64      `json:"length_mm"` // along the pattern
	Rise   float64      `json:"rise_mm"`   // of its end above the mouth
	Opens  []Opened     `json:"opens"`     // undercuts that it relieves, were it cut to the crown
}

// SlitOptions of UpTheBack.
type SlitOptions struct {
	Show     *mesh.Vec       // as of Options
	Profiles []strip.Profile // what rings of rubber hold
	Strain   float64         // that a ring stands comfortably, a share of its length
	Wall     float64         // of rubber over the crown: a slit ends as far below
}

// pastRing is how far past the last ring that holds a slit goes, mm. Common practice,
// no source.
const pastRing = 5

// UpTheBack finds where a mold over a pattern on a board is slit, whose undercuts are
// u and lie on the surface s: in the plane up the back whose leaves let go best, or
// where none does better in the middle of the back. nil where the pattern has nothing
// to cut along there. The error is the ctx's.
func UpTheBack(ctx context.Context, u *undercut.Result, s *undercut.Surface, o SlitOptions) (*Slit, error) {
	r, err := Find(ctx, u, s, Options{Show: o.Show})
	if err != nil {
		return nil, err
	}
	cut, front, opens := (*parting.Cut)(nil), Front{}, []Opened{}
	if r.Seam != nil {
		cut, front, opens = &r.Seam.Cut, r.Seam.Front, r.Seam.Opens
	} else if cut, front, err = middle(ctx, u, o.Show); err != nil {
		return nil, fmt.Errorf("slit: %w", err)
	}
	if cut == nil || len(cut.Line) == 0 {
		return nil, nil
	}
	c := u.Scene
	x := &Slit{Front: front, Side: cut.Side, Normal: cut.Normal, Opens: opens}
	most := max(c.Top-c.ClayLine()-o.Wall, 0)
	x.Rise = min(max(rise(o.Profiles, o.Strain, most), undersides(s, c))+pastRing, most)
	x.Line = upTo(cut.Line[0], c.Up, c.ClayLine(), c.ClayLine()+x.Rise)
	if len(x.Line) < 2 {
		return nil, nil
	}
	for n := 1; n < len(x.Line); n++ {
		x.Length += point(x.Line[n]).Sub(point(x.Line[n-1])).Len()
	}
	x.From, x.To = x.Line[0], x.Line[len(x.Line)-1]
	return x, nil
}

// middle is the cut up the middle of the back.
func middle(ctx context.Context, u *undercut.Result, show *mesh.Vec) (*parting.Cut, Front, error) {
	c := u.Scene
	k, front, err := newSeeker(ctx, u, show)
	if err != nil || k == nil || along(k.looks, c.Up) {
		return nil, front, err
	}
	across := c.Up.Cross(k.looks).Unit()
	o := k.asked()
	o.Coarser = max(o.Coarser, coarseSlit)
	x, err := scene.New(ctx, c.Solid, across, o)
	if err != nil {
		return nil, front, err
	}
	cut, err := k.knife(ctx, x, k.body.Middle.Dot(across), &c.Up)
	return cut, front, err
}

// coarseSlit makes the columns of a plane that is only cut along wide.
const coarseSlit = 4

// rise is how high above the mouth the last ring is that has to stretch by more than
// a strain to pass what is further in, mm; the last that has to stretch at all where
// none has to by so much; most where none has to.
func rise(of []strip.Profile, strain, most float64) float64 {
	past := func(strain float64) (h float64) {
		for _, p := range of {
			widest := 0.0
			for n := len(p.Perimeter) - 1; n >= 0; n-- {
				if widest > p.Perimeter[n]*(1+strain) {
					h = max(h, p.Step*float64(n+1))
					break
				}
				widest = max(widest, p.Perimeter[n])
			}
		}
		return h
	}
	if h := past(strain); h > 0 {
		return h
	}
	if h := past(leastStretch); h > 0 {
		return h
	}
	return most
}

// undersides is how high above the mouth the undercuts begin that rubber is long in
// getting out of, mm: a slit that ends below them does not let it swing aside.
func undersides(s *undercut.Surface, c *scene.Scene) (h float64) {
	deepest := 0.0
	for _, r := range s.Regions {
		if r.Path != nil {
			deepest = max(deepest, *r.Path)
		}
	}
	for _, r := range s.Regions {
		if r.Kind != undercut.Minor && r.Path != nil && *r.Path >= deepShare*deepest {
			h = max(h, point(r.At).Dot(c.Up)-c.ClayLine())
		}
	}
	return h
}

// deepShare is the share of the deepest undercut from which another counts for how
// high a slit goes. Judgement of this program.
const deepShare = 0.5

// leastStretch is the stretch of a ring that is worth a slit. Judgement of this
// program.
const leastStretch = 0.02

// upTo is what of a line lies between two heights, from the lower one on until it
// first passes the higher.
func upTo(line [][3]float64, up mesh.Vec, from, to float64) (out [][3]float64) {
	h := func(p [3]float64) float64 { return point(p).Dot(up) }
	if n := len(line); n > 1 && h(line[0]) > h(line[n-1]) {
		back := make([][3]float64, n)
		for k, p := range line {
			back[n-1-k] = p
		}
		line = back
	}
	between := func(a, b [3]float64, z float64) [3]float64 {
		t := (z - h(a)) / (h(b) - h(a))
		return point(a).Add(point(b).Sub(point(a)).Mul(math.Min(math.Max(t, 0), 1))).Array()
	}
	for n, p := range line {
		z := h(p)
		switch {
		case z < from:
			out = out[:0] // it dips under the mouth: it begins anew
			continue
		case n > 0 && len(out) == 0 && h(line[n-1]) < from:
			out = append(out, between(line[n-1], p, from))
		}
		if z > to {
			if n > 0 && len(out) > 0 {
				out = append(out, between(line[n-1], p, to))
			}
			return out
		}
		out = append(out, p)
	}
	return out
}

func point(p [3]float64) mesh.Vec { return mesh.V(p[0], p[1], p[2]) }
