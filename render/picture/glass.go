package picture

import (
	"context"
	"image/color"

	"github.com/fogleman/fauxgl"

	"moldtally/mesh"
)

// Colors of what surrounds the pattern.
var (
	glassTint  = nrgba(0x6FA9B8, 255)
	rubberTint = nrgba(0xD9A25F, 255)
	glassEdge  = nrgba(0x35606E, 255)
	fillEdge   = nrgba(0xA05A12, 255)
	boardTop   = nrgba(0xE4DDD0, 255)
	boardFront = nrgba(0xCDC4B3, 255)
	boardEnd   = nrgba(0xBDB4A3, 255)
)

// ring is the container's outline at a height.
func (c *vessel) ring(z float64) []mesh.Vec {
	out := make([]mesh.Vec, len(c.base))
	for i, p := range c.base {
		out[i] = mesh.V(p.x, p.y, z)
	}
	return out
}

// boardBox is the baseboard: a little wider than what stands on it. Its size
// is for the eye; the cut list has the real one.
func (sc *scene) boardBox() (lo, hi mesh.Vec) {
	lo, hi = sc.extent()
	if sc.vessel == nil {
		return lo, hi
	}
	m := 0.045 * max(hi.X-lo.X, hi.Y-lo.Y)
	return lo.Sub(mesh.V(m, m, lo.Z+0.5*m)), hi.Add(mesh.V(m, m, 0))
}

// board draws the baseboard under the container, a little wider than it.
func (v *view) board() {
	c := v.sc.vessel
	if c == nil {
		return
	}
	lo, hi := v.sc.boardBox()
	x0, x1, y0, y1, thick := lo.X, hi.X, lo.Y, hi.Y, -lo.Z
	box := [8]mesh.Vec{}
	for i := range box {
		p := mesh.V(x0, y0, -thick)
		if i&1 != 0 {
			p.X = x1
		}
		if i&2 != 0 {
			p.Y = y1
		}
		if i&4 != 0 {
			p.Z = 0
		}
		box[i] = p
	}
	for _, f := range []struct {
		corners [4]int
		normal  mesh.Vec
		col     color.NRGBA
	}{
		{[4]int{4, 5, 7, 6}, mesh.V(0, 0, 1), boardTop},
		{[4]int{0, 1, 5, 4}, mesh.V(0, -1, 0), boardFront},
		{[4]int{2, 3, 7, 6}, mesh.V(0, 1, 0), boardFront},
		{[4]int{1, 3, 7, 5}, mesh.V(1, 0, 0), boardEnd},
		{[4]int{0, 2, 6, 4}, mesh.V(-1, 0, 0), boardEnd},
	} {
		if f.normal.Dot(v.toward) <= 1e-9 {
			continue
		}
		pts := make([]mesh.Vec, 4)
		for i, k := range f.corners {
			pts[i] = box[k]
		}
		v.face(pts, f.col, 1, true)
	}
}

// glass draws the container: far walls, the level of the rubber, near walls,
// then the edges. Faces of a convex vessel on one side of it never cover each
// other in a view, so this order is right for every view and needs no sorting.
func (v *view) glass() {
	c := v.sc.vessel
	if c == nil || c.coat > 0 {
		return
	}
	n := len(c.base)
	facing := make([]float64, n)
	for i := range c.base {
		a, b := c.base[i], c.base[(i+1)%n]
		out := mesh.V(b.y-a.y, a.x-b.x, 0).Unit()
		facing[i] = out.Dot(v.toward)
	}
	wall := func(i int, z0, z1 float64, col color.NRGBA, alpha float64) {
		if z1 <= z0 {
			return
		}
		a, b := c.base[i], c.base[(i+1)%n]
		v.face([]mesh.Vec{mesh.V(a.x, a.y, z0), mesh.V(b.x, b.y, z0), mesh.V(b.x, b.y, z1), mesh.V(a.x, a.y, z1)}, col, alpha, false)
	}
	walls := func(near bool) {
		for i, f := range facing {
			if near != (f > 0) || f > -1e-9 && f < 1e-9 {
				continue
			}
			// Glass seen at a slant is seen through more of it.
			slant := sq(1 - min(1, max(f, -f)))
			if near {
				wall(i, 0, c.fill, rubberTint, 0.035+0.10*slant)
				wall(i, c.fill, c.height, glassTint, 0.05+0.16*slant)
			} else {
				wall(i, 0, c.fill, rubberTint, 0.17+0.10*slant)
				wall(i, c.fill, c.height, glassTint, 0.13+0.12*slant)
			}
		}
	}
	if v.toward.Z > 1e-9 {
		v.face(c.ring(1e-4*v.reach), rubberTint, 0.14, false) // clear of the board
	}
	walls(false)
	v.edges(facing, false)
	if v.toward.Z > 1e-9 {
		v.face(c.ring(c.fill), rubberTint, 0.10, false)
	}
	walls(true)
	v.edges(facing, true)
}

// edges draws the container's lines: near ones or far ones.
func (v *view) edges(facing []float64, near bool) {
	c := v.sc.vessel
	n := len(c.base)
	bias := 0.002 * v.reach
	visible := func(f float64) bool { // from straight above all edges are near
		return f > 1e-9 || v.toward.Z > 0.999
	}
	width, ink, fill := 1.0, glassEdge, fillEdge
	ink.A, fill.A = 95, 120
	if near {
		width, ink.A, fill.A = 1.7, 235, 235
	}
	for i := range c.base {
		a, b := c.base[i], c.base[(i+1)%n]
		before := facing[(i+n-1)%n]
		// An upright stands between wall i-1 and wall i.
		isNear := visible(facing[i]) || visible(before)
		outline := visible(facing[i]) != visible(before)
		if isNear == near && (!c.smooth || outline) {
			v.edge(mesh.V(a.x, a.y, 0), mesh.V(a.x, a.y, c.height), width, ink, bias)
		}
		if visible(facing[i]) != near {
			continue
		}
		v.edge(mesh.V(a.x, a.y, 0), mesh.V(b.x, b.y, 0), width, ink, bias)
		if c.height > c.fill {
			v.edge(mesh.V(a.x, a.y, c.fill), mesh.V(b.x, b.y, c.fill), width, fill, bias)
		}
		v.edge(mesh.V(a.x, a.y, c.height), mesh.V(b.x, b.y, c.height), width, ink, bias)
	}
}

// coat draws a blanket: the pattern's surface moved outward by the blanket's
// thickness, as a skin that shows more where it is seen at a slant.
func (v *view) coat(ctx context.Context) error {
	sc := v.sc
	if sc.vessel == nil || sc.vessel.coat <= 0 {
		return nil
	}
	dc := fauxgl.NewContext(v.w, v.h)
	dc.Cull, dc.AlphaBlend = fauxgl.CullNone, false
	dc.Shader = &skin{toward: v.toward}
	var tri fauxgl.Triangle
	corners := [3]*fauxgl.Vertex{&tri.V1, &tri.V2, &tri.V3}
	halfW, halfH := float64(v.w)/2, float64(v.h)/2
	for t, idx := range sc.surface.Triangles() {
		if err := cancelled(ctx, t); err != nil {
			return err
		}
		if !sc.live(t) {
			continue
		}
		var sx, sy [3]float64
		for k, i := range idx {
			p, n := sc.coated(i)
			x, y, z := v.screen(p)
			sx[k], sy[k] = x, y
			corners[k].Normal = fauxgl.Vector{X: n.X, Y: n.Y, Z: n.Z}
			corners[k].Output = fauxgl.VectorW{X: x/halfW - 1, Y: 1 - y/halfH, Z: 2*z - 1, W: 1}
		}
		if !onEdge(sx, sy) {
			dc.DrawTriangle(&tri)
		}
	}
	for i, d := range dc.DepthBuffer {
		if d > 1 || d > v.depth[i] {
			continue
		}
		v.tint(i, rubberTint, float64(dc.ColorBuffer.Pix[4*i])/255)
	}
	return nil
}

// coated is where a vertex of the surface comes to lie on a blanket's outside,
// and its normal there.
func (sc *scene) coated(i int32) (p, n mesh.Vec) {
	out := sc.vessel.coat
	if sc.inward {
		out = -out
	}
	m := sc.normals[i]
	n = mesh.V(float64(m[0]), float64(m[1]), float64(m[2]))
	p = sc.at(sc.surface.Vertices()[i])
	if p.Z < sc.vessel.coat && n.Z*out < 0 { // at the foot it goes outward, not under the board
		n.Z = 0
		n = n.Unit()
	}
	p = p.Add(n.Mul(out))
	p.Z = max(p.Z, 0) // it ends on the board
	return p, n
}

// skin gives a blanket's opacity as gray.
type skin struct{ toward mesh.Vec }

func (s *skin) Vertex(x fauxgl.Vertex) fauxgl.Vertex { return x }

func (s *skin) Fragment(x fauxgl.Vertex) fauxgl.Color {
	f := x.Normal.X*s.toward.X + x.Normal.Y*s.toward.Y + x.Normal.Z*s.toward.Z
	a := 0.10 + 0.55*sq(1-min(1, max(f, -f)))
	return fauxgl.Color{R: a, G: a, B: a, A: 1}
}
