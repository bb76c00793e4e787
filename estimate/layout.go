package estimate

import (
	"context"
	"errors"
	"fmt"
	"math"

	"moldtally/boxfit"
	"moldtally/boxfit/pack"
	"moldtally/mesh"
)

// The web of rubber between two patterns of a gang: mm at least, and a share of the
// walls. Common practice, no source.
const (
	webUsual   = 8.0
	webOfWalls = 0.5
)

// stand is where one pattern of a gang stands, in the frame of its container: turned
// by turn, radians counterclockwise, with the middle of its outline's box at a place.
type stand struct {
	part int
	turn float64
	at   mesh.Vec2
}

// footprint is a pattern's outline as seen from above, about the middle of its box.
type footprint struct {
	hull   []mesh.Vec2
	middle mesh.Vec2 // on mesh.Basis of the side that is up
	base   float64   // the pattern's lowest height
}

// footprint looks at the pattern from above.
func (p *part) footprint() footprint {
	s, up := p.solid, p.trial.up()
	skip := make([]bool, s.Surface().NumTriangles())
	base := math.Inf(1)
	for t := range skip {
		if skip[t] = !s.Live(t); skip[t] {
			continue
		}
		a, b, c := s.Surface().Corners(t)
		base = min(base, a.Dot(up), b.Dot(up), c.Dot(up))
	}
	hull := mesh.OutlinePoints(s.Surface(), skip, up)
	lo, hi := mesh.Bounds2(hull)
	f := footprint{middle: lo.Add(hi).Mul(0.5), base: base}
	for _, v := range hull {
		f.hull = append(f.hull, v.Sub(f.middle))
	}
	return f
}

// rotation turns points of a plane, radians counterclockwise.
type rotation struct{ cos, sin float64 }

func turnBy(a float64) rotation { return rotation{math.Cos(a), math.Sin(a)} }

func (r rotation) of(p mesh.Vec2) mesh.Vec2 {
	return mesh.Vec2{X: float64(p.X*r.cos) - float64(p.Y*r.sin), Y: float64(p.X*r.sin) + float64(p.Y*r.cos)}
}

// setWalls settles how thick the rubber is: at the sides as the pattern that asks for
// most would have it by itself, between two of them less, since rubber is on both
// sides of a web.
func (g *gathered) setWalls(r *resolved) {
	for _, p := range g.parts {
		l, w := p.trial.pose.Rect[0], p.trial.pose.Rect[1]
		g.over = max(g.over, boxfit.CoverRule(l, w), r.leastWall())
	}
	if g.wall = g.over; r.Wall != nil {
		g.wall = *r.Wall
	}
	g.web = max(webUsual, r.leastWall(), webOfWalls*g.wall)
}

// round reports whether the container that is asked for is.
func (j *resolved) round() bool {
	return j.InsideTube != nil || j.Container == boxfit.Sleeve || j.Container == boxfit.Polygon
}

// layOut finds where all patterns stand: tightly, in the rectangle or the circle of
// least area, or of the shape of the user's own box.
func (g *gathered) layOut(ctx context.Context, r *resolved) error {
	q := pack.Request{Gap: g.web, Wall: g.wall}
	if s := r.shop.Defaults.Step; s != nil && r.Inside == nil {
		q.Step = *s
	}
	if r.round() {
		q.Within = pack.Circle
	}
	if in := r.Inside; in != nil && min(in[0], in[1]) > 2*g.wall {
		q.Ratio = (in[0] - 2*g.wall) / (in[1] - 2*g.wall)
	}
	n := 0
	var prints []footprint
	for _, p := range g.parts {
		prints = append(prints, p.footprint())
		q.Pieces = append(q.Pieces, pack.Piece{Outline: prints[len(prints)-1].hull, Count: p.count})
		n += p.count
	}
	if n > pack.Most {
		return &TooMany{n, pack.Most}
	}
	lay, err := pack.Pack(ctx, q)
	if err != nil {
		return fmt.Errorf("estimate: %w", err)
	}
	if own := ownRoom(r); own != nil {
		spread(lay.Places, prints, own, g.wall)
	}
	for _, s := range lay.Places {
		g.stands = append(g.stands, stand{s.Piece, s.Turn, s.At})
	}
	if q.Within == pack.Rectangle { // from an inside corner
		for i := range g.stands {
			g.stands[i].at = g.stands[i].at.Add(mesh.Vec2{X: lay.Length / 2, Y: lay.Width / 2})
		}
	}
	return nil
}

// ownRoom is how far a place, from the middle of the user's own container as a layout
// has it, is from its side, mm; nil = the container is made for the patterns.
func ownRoom(r *resolved) func(mesh.Vec2) float64 {
	switch {
	case r.Inside != nil:
		l, w := max(r.Inside[0], r.Inside[1])/2, min(r.Inside[0], r.Inside[1])/2
		return func(p mesh.Vec2) float64 { return min(l-math.Abs(p.X), w-math.Abs(p.Y)) }
	case r.InsideTube != nil:
		return func(p mesh.Vec2) float64 { return r.InsideTube[0]/2 - p.Len() }
	}
	return nil
}

// mostSpread is how far apart patterns are drawn at most, as a share of how they stand
// at first: no box is so much too large that it is worth more. Judgement of this program.
const mostSpread = 3.0

// spread draws patterns apart where the user's own container has room to spare, so that
// about as much of it goes between them as to the sides: they are moved away from the
// middle, all by the same share, which brings no two of them nearer.
func spread(at []pack.Place, prints []footprint, room func(mesh.Vec2) float64, wall float64) {
	near := math.Inf(1)
	for i, p := range at {
		for _, q := range at[:i] {
			near = min(near, p.At.Sub(q.At).Len())
		}
	}
	if math.IsInf(near, 1) {
		return
	}
	spare := func(k float64) float64 { // to the sides, less what goes there at that share
		least := math.Inf(1)
		for _, p := range at {
			r := turnBy(p.Turn)
			for _, v := range prints[p.Piece].hull {
				least = min(least, room(r.of(v).Add(p.At.Mul(k))))
			}
		}
		return least - wall - float64((k-1)*near/2)
	}
	lo, hi := 1.0, mostSpread
	if spare(lo) <= 0 {
		return // it is tight, or they do not fit at all
	}
	for range 50 {
		if mid := (lo + hi) / 2; spare(mid) > 0 {
			lo = mid
		} else {
			hi = mid
		}
	}
	for i := range at {
		at[i].At = at[i].At.Mul(lo)
	}
}

// TooMany is a number of patterns that no container is laid out for.
type TooMany struct{ Count, Most int }

// Error says what is so.
func (e *TooMany) Error() string {
	return fmt.Sprintf("estimate: %d patterns in one container, %d at most", e.Count, e.Most)
}

// merged is the surface of all patterns, each where it stands, z up from the floor.
func (g *gathered) merged(ctx context.Context) (*mesh.Mesh, error) {
	var verts []mesh.Vec
	var tris [][3]int32
	for _, s := range g.stands {
		if err := ctx.Err(); err != nil {
			return nil, fmt.Errorf("estimate: %w", err)
		}
		p := g.parts[s.part]
		f, r, up := p.footprint(), turnBy(s.turn), p.trial.up()
		e1, e2 := mesh.Basis(up)
		surface := p.solid.Surface()
		number := make([]int32, surface.NumVertices()) // plus one
		for t, tri := range surface.Triangles() {
			if !p.solid.Live(t) {
				continue
			}
			if !p.solid.Outward(t) {
				tri[1], tri[2] = tri[2], tri[1]
			}
			for c, v := range tri {
				if number[v] == 0 {
					w := surface.Vertices()[v]
					q := r.of(mesh.Vec2{X: w.Dot(e1), Y: w.Dot(e2)}.Sub(f.middle)).Add(s.at)
					verts = append(verts, mesh.V(q.X, q.Y, w.Dot(up)-f.base))
					number[v] = int32(len(verts))
				}
				tri[c] = number[v] - 1
			}
			tris = append(tris, tri)
		}
		if len(verts) > math.MaxInt32/2 || len(tris) > math.MaxInt32/2 {
			return nil, fmt.Errorf("estimate: %w", mesh.ErrTooLarge)
		}
	}
	if len(tris) == 0 {
		return nil, errors.New("estimate: nothing stands in the container")
	}
	return mesh.New(verts, tris), nil
}

// layout is where the patterns stand in the container that was found for them.
func (g *gathered) layout(f *boxfit.Fit) []boxfit.Placed {
	from := mesh.Vec2{X: f.Center[0], Y: f.Center[1]}
	back := -math.Atan2(f.LongAxis[1], f.LongAxis[0])
	corner := mesh.Vec2{}
	if f.Kind.FourSided() && f.Interior != nil {
		corner = mesh.Vec2{X: f.Interior[0] / 2, Y: f.Interior[1] / 2}
	} else {
		back = 0
	}
	r := turnBy(back)
	out := []boxfit.Placed{}
	for _, s := range g.stands {
		at := r.of(s.at.Sub(from)).Add(corner)
		deg := math.Mod((s.turn+back)*180/math.Pi+360, 360)
		if 360-deg < 1e-9 {
			deg = 0 // but for rounding
		}
		out = append(out, boxfit.Placed{File: g.parts[s.part].job.Source.File, At: [3]float64{at.X, at.Y, 0}, Turn: deg})
	}
	return out
}
