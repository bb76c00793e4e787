package picture

import (
	"context"
	"errors"
	"math"

	"moldtally/estimate"
	"moldtally/mesh"
	"moldtally/render"
)

// Viewpoint is how the three-quarter picture of a session looks at the pattern,
// with these options, without drawing it. It costs one pass over the surface; cancelling ctx ends it
// with ctx's error.
func Viewpoint(ctx context.Context, s *estimate.Session, o Options) (*render.View, error) {
	if s == nil || s.Mesh == nil && s.Solid == nil {
		return nil, errors.New("picture: nothing to look at")
	}
	sc, err := newScene(ctx, s, o.legendUnit())
	if err != nil {
		return nil, err
	}
	lo, hi := sc.extent()
	cam := orbit(sc.bestAzimuth(quarterElevation(hi.Sub(lo))), 0)
	back := cam.toward.Neg()
	file := func(d mesh.Vec) [3]float64 {
		return sc.ex.Mul(d.X).Add(sc.ey.Mul(d.Y)).Add(sc.ez.Mul(d.Z)).Array()
	}
	v := &render.View{Right: file(cam.right), Back: file(back), Up: sc.ez.Array()}
	axes := [3]mesh.Vec{vec(v.Right), vec(v.Back), sc.ez}
	for k := range axes {
		v.Low[k], v.High[k] = math.Inf(1), math.Inf(-1)
	}
	verts := sc.surface.Vertices()
	for _, i := range sc.corners {
		for k, a := range axes {
			d := verts[i].Dot(a)
			v.Low[k], v.High[k] = min(v.Low[k], d), max(v.High[k], d)
		}
	}
	return v, nil
}

// Elevations of the three-quarter view, degrees: a flat thing is looked into, any
// other along.
const flatElevation, tallElevation = 36, 24

// isFlat reports whether what is drawn lies rather than stands.
func isFlat(size mesh.Vec) bool { return size.Z < 0.4*max(size.X, size.Y) }

func quarterElevation(size mesh.Vec) float64 {
	if isFlat(size) {
		return flatElevation
	}
	return tallElevation
}
