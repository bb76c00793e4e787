package picture

import (
	"context"
	"fmt"
	"math"

	"moldtally/boxfit"
	"moldtally/estimate"
	"moldtally/mesh"
	"moldtally/mesh/demold"
	"moldtally/render/figure"
)

// scene is what a picture shows, in a frame of its own: x along the
// container's length, y across it, z up, the origin on the container's axis at
// its floor. Lengths mm.
type scene struct {
	surface *mesh.Mesh
	normals [][3]float32 // per vertex of the surface, in the scene's frame
	path    []float32    // per vertex, as in the report; nil = not computed
	patch   func(t int) bool
	live    func(t int) bool
	turned  func(t int) bool // a triangle must be turned to wind outward
	origin  mesh.Vec
	ex, ey  mesh.Vec
	ez      mesh.Vec
	inward  bool // the surface as a whole winds inward

	corners []int32  // vertices of live triangles, in their order
	lo, hi  mesh.Vec // of the pattern
	vessel  *vessel  // nil = no container
	unit    float64  // mm per unit of the legend
	top     float64  // upper end of the color scale, mm
	step    float64  // between its marks
	locked  bool     // something is locked
	patches,
	undercut bool
}

// vessel is a container as a prism over a convex base.
type vessel struct {
	kind   boxfit.Kind
	base   []point // corners, counter-clockwise from above
	smooth bool    // a round wall drawn in facets
	height float64
	fill   float64
	coat   float64 // thickness of a blanket, 0 = none
}

func vec(a [3]float64) mesh.Vec { return mesh.Vec{X: a[0], Y: a[1], Z: a[2]} }

// newScene puts a session into its frame; the marks of the legend are round
// numbers of legendUnit mm.
func newScene(ctx context.Context, s *estimate.Session, legendUnit float64) (*scene, error) {
	sc := &scene{unit: legendUnit, surface: s.Mesh, patch: func(int) bool { return false }, live: func(int) bool { return true }}
	sc.turned = func(int) bool { return sc.inward }
	if s.Solid != nil {
		sc.surface = s.Solid.Surface()
		sc.patch, sc.live = s.Solid.Patch, s.Solid.Live
		sc.turned = func(t int) bool { return !s.Solid.Outward(t) }
	}
	up := mesh.Vec{Z: 1}
	if s.Plan != nil && s.Plan.Pose != nil && vec(s.Plan.Pose.Up).Len() > 0 {
		up = vec(s.Plan.Pose.Up).Unit()
	}
	if s.Fit != nil && vec(s.Fit.Up).Len() > 0 {
		up = vec(s.Fit.Up).Unit()
	}
	e1, e2 := mesh.Basis(up)
	long := e1
	if s.Plan != nil && s.Plan.Pose != nil {
		sin, cos := math.Sincos(s.Plan.Pose.YawDeg * math.Pi / 180)
		long = e1.Mul(cos).Add(e2.Mul(sin))
	}
	if s.Fit != nil {
		l := vec(s.Fit.LongAxis)
		if l = l.Sub(up.Mul(l.Dot(up))); l.Len() > 1e-6 {
			long = l.Unit()
		}
	}
	sc.ex, sc.ey, sc.ez = long, up.Cross(long), up
	if err := sc.bounds(ctx); err != nil {
		return nil, err
	}
	if s.Fit != nil && vec(s.Fit.Up).Len() > 0 {
		sc.origin = vec(s.Fit.Center)
	} else { // on the board, under the middle of the pattern
		m := mesh.Vec{X: (sc.lo.X + sc.hi.X) / 2, Y: (sc.lo.Y + sc.hi.Y) / 2, Z: sc.lo.Z}
		sc.origin = sc.ex.Mul(m.X).Add(sc.ey.Mul(m.Y)).Add(sc.ez.Mul(m.Z))
	}
	// The bounds were taken from the file's origin.
	shift := mesh.V(sc.origin.Dot(sc.ex), sc.origin.Dot(sc.ey), sc.origin.Dot(sc.ez))
	sc.lo, sc.hi = sc.lo.Sub(shift), sc.hi.Sub(shift)
	if s.Fit != nil {
		sc.vessel = newVessel(s.Fit, sc.lo, sc.hi)
	}
	sc.shade(s.Report)
	if err := sc.smooth(ctx); err != nil {
		return nil, err
	}
	return sc, nil
}

// checkEvery is how many triangles pass between two looks at a context.
const checkEvery = 1 << 13

func cancelled(ctx context.Context, t int) error {
	if t%checkEvery == 0 && ctx.Err() != nil {
		return fmt.Errorf("picture: %w", ctx.Err())
	}
	return nil
}

// at puts a point of the file into the scene.
func (sc *scene) at(p mesh.Vec) mesh.Vec {
	p = p.Sub(sc.origin)
	return mesh.Vec{X: p.Dot(sc.ex), Y: p.Dot(sc.ey), Z: p.Dot(sc.ez)}
}

// bounds measures the pattern in the scene's frame, loose crumbs left out.
func (sc *scene) bounds(ctx context.Context) error {
	inf := math.Inf(1)
	sc.lo, sc.hi = mesh.V(inf, inf, inf), mesh.V(-inf, -inf, -inf)
	v := sc.surface.Vertices()
	// Each corner once, for some six faces share it.
	used := make([]bool, len(v))
	for t, tri := range sc.surface.Triangles() {
		if err := cancelled(ctx, t); err != nil {
			return err
		}
		if !sc.live(t) {
			continue
		}
		for _, i := range tri {
			used[i] = true
		}
	}
	for i, u := range used {
		if u {
			p := sc.at(v[i])
			sc.lo, sc.hi = sc.lo.Min(p), sc.hi.Max(p)
			sc.corners = append(sc.corners, int32(i))
		}
	}
	if sc.lo.X > sc.hi.X {
		sc.lo, sc.hi = mesh.Vec{}, mesh.V(1, 1, 1)
	}
	return nil
}

// roundSides is how many facets stand for a round wall.
const roundSides = 96

func newVessel(f *boxfit.Fit, lo, hi mesh.Vec) *vessel {
	v := &vessel{kind: f.Kind, fill: f.FillHeight, height: f.FillHeight}
	if f.Interior != nil {
		v.height = max(f.Interior[2], f.FillHeight)
	}
	ngon := func(n int, r, turn float64) {
		for i := range n {
			s, c := math.Sincos(2*math.Pi*float64(i)/float64(n) + turn)
			v.base = append(v.base, point{r * c, r * s})
		}
	}
	switch {
	case f.Kind == boxfit.Mother: // its outline is the pattern's, a coat wider
		v.coat = f.Wall
		lo, hi = lo.Sub(mesh.V(v.coat, v.coat, 0)), hi.Add(mesh.V(v.coat, v.coat, 0))
		v.base = []point{{lo.X, lo.Y}, {hi.X, lo.Y}, {hi.X, hi.Y}, {lo.X, hi.Y}}
	case f.Kind == boxfit.Polygon && f.Diameter != nil && f.Sides != nil && *f.Sides >= 3:
		n := float64(*f.Sides) // the diameter is across flats, one of which faces +x
		ngon(*f.Sides, *f.Diameter/2/math.Cos(math.Pi/n), -math.Pi/n)
	case f.Diameter != nil && *f.Diameter > 0:
		ngon(roundSides, *f.Diameter/2, 0)
		v.smooth = true
	case f.Interior != nil:
		l, w := f.Interior[0]/2, f.Interior[1]/2
		v.base = []point{{-l, -w}, {l, -w}, {l, w}, {-l, w}}
	default:
		return nil
	}
	return v
}

// shade prepares the undercut path for coloring.
func (sc *scene) shade(r *demold.Report) {
	sc.top, sc.step = figure.NiceScale(1)
	if r == nil || len(r.VertexPath) < sc.surface.NumVertices() {
		return
	}
	sc.path = r.VertexPath
	most := 0.0
	if r.UndercutPath != nil {
		most = *r.UndercutPath
	} else {
		sc.locked, most = true, r.FreePath
	}
	for _, p := range sc.path {
		if math.IsInf(float64(p), 1) {
			sc.locked = true
			break
		}
	}
	sc.undercut = most > 0 || sc.locked
	if most > 0 {
		top, step := figure.NiceScale(most / sc.unit)
		sc.top, sc.step = top*sc.unit, step*sc.unit
	}
}

// smooth sums the normals of the faces round each vertex, by area, and finds
// out whether the surface as a whole is inside out.
func (sc *scene) smooth(ctx context.Context) error {
	v := sc.surface.Vertices()
	sc.normals = make([][3]float32, len(v))
	at := make([]mesh.Vec, len(v))
	for _, i := range sc.corners {
		at[i] = sc.at(v[i])
	}
	var volume float64
	for t, tri := range sc.surface.Triangles() {
		if err := cancelled(ctx, t); err != nil {
			return err
		}
		if sc.patch(t) {
			sc.patches = true
		}
		if !sc.live(t) {
			continue
		}
		a, b, c := at[tri[0]], at[tri[1]], at[tri[2]]
		n := b.Sub(a).Cross(c.Sub(a))
		volume += a.Dot(n)
		for _, i := range tri {
			m := &sc.normals[i]
			m[0] += float32(n.X)
			m[1] += float32(n.Y)
			m[2] += float32(n.Z)
		}
	}
	sc.inward = volume < 0
	for i := range sc.normals {
		n := &sc.normals[i]
		l := float32(math.Sqrt(float64(n[0])*float64(n[0]) + float64(n[1])*float64(n[1]) + float64(n[2])*float64(n[2])))
		if l > 0 {
			n[0], n[1], n[2] = n[0]/l, n[1]/l, n[2]/l
		}
	}
	return nil
}

// bestAzimuth picks the corner to look from at three quarters: the one that
// faces most of the deepest undercut, or the front one where that is not worth
// turning for.
func (sc *scene) bestAzimuth(elevation float64) float64 {
	corners := [4]float64{-32, 32, 148, -148}
	if sc.path == nil || !sc.undercut {
		return corners[0]
	}
	var toward [4]mesh.Vec
	for i, a := range corners {
		c := orbit(a, elevation)
		toward[i] = c.toward
		if sc.inward {
			toward[i] = c.toward.Neg()
		}
	}
	var score [4]float64
	for i, n := range sc.normals {
		w := 0.0
		switch p := float64(sc.path[i]); {
		case math.IsInf(p, 1):
			w = 1
		case p > 0.6*sc.top && !sc.locked:
			w = p / sc.top
		}
		if w == 0 {
			continue
		}
		for k, t := range toward {
			score[k] += w * max(0, float64(n[0])*t.X+float64(n[1])*t.Y+float64(n[2])*t.Z)
		}
	}
	best := 0
	for k := range score {
		if score[k] > 1.25*score[best] {
			best = k
		}
	}
	return corners[best]
}

// extent is the box around all that is drawn.
func (sc *scene) extent() (lo, hi mesh.Vec) {
	lo, hi = sc.lo, sc.hi
	if v := sc.vessel; v != nil {
		for _, p := range v.base {
			lo = lo.Min(mesh.V(p.x, p.y, 0))
			hi = hi.Max(mesh.V(p.x, p.y, v.height))
		}
		if v.coat > 0 {
			hi.Z = max(hi.Z, sc.hi.Z+v.coat)
		}
	}
	return lo, hi
}
