// Package thin finds where two faces of the pattern stand back to back or face
// to face so close that what lies between is weak: a web of rubber, or a fin of
// the pattern.
//
// A column of a field measures the distance between two faces exactly. So it is
// done along three axes at right angles, and each place is taken from the axis
// that meets it most squarely, so that it counts once.
package thin

import (
	"context"
	"errors"
	"math"

	"moldtally/mesh"
	"moldtally/mesh/demold/scene"
	"moldtally/mesh/dexel"
	"moldtally/mesh/par"
)

// Kind says what is thin.
type Kind string

// The kinds of thin place.
const (
	Web Kind = "web" // of rubber
	Fin Kind = "fin" // of the pattern
)

// Place is one thin place. Lengths mm, areas mm².
type Place struct {
	Kind      Kind       `json:"kind"`
	Thickness float64    `json:"thickness_mm"`
	Area      float64    `json:"area_mm2"` // one side
	Depth     float64    `json:"depth_mm"` // its lesser extent: how deep a web, how high a fin
	At        [3]float64 `json:"at_mm"`
	Places    int        `json:"places"` // 1, or for the last of a kind how many small ones it stands for
}

// What is thin. DefaultWeb and DefaultFin are judgements of this program, a
// bench rule of thumb without a source: a web of mold rubber much under 2 mm
// tears when it is deep, and a fin of resin, plaster or clay under 1 mm breaks
// off in the rubber. (The path's own web, 0.5 mm, is another matter: narrower
// than that a gap is no way out at all.)
const (
	DefaultWeb = 2.0
	DefaultFin = 1.0
	// columns is the number of columns over the largest size, along each axis.
	columns = 224
	// facing: two faces face each other when their normals are within 20° of
	// opposite. A wedge blunter than that has no thickness; a knife edge sharper
	// than that is thin along its edge (judgement).
	facing = 20 * math.Pi / 180
	// hairline: faces closer than this were drawn onto each other, and rubber does
	// not run in between them (judgement), mm.
	hairline = 0.02
)

// Options say what is thin, mm; 0 = nothing.
type Options struct {
	Web *float64 // gaps between parts of the pattern under this; nil = DefaultWeb
	Fin *float64 // parts of the pattern under this; nil = DefaultFin
}

// Result has the webs, then the fins, the worst of each first, and what was
// taken as thin.
type Result struct {
	Places   []Place
	Web, Fin float64
}

// Find finds webs and fins. The error is about the options or the context.
func Find(ctx context.Context, sc *scene.Scene, o Options) (Result, error) {
	r := Result{[]Place{}, DefaultWeb, DefaultFin}
	if o.Web != nil {
		r.Web = *o.Web
	}
	if o.Fin != nil {
		r.Fin = *o.Fin
	}
	if !(r.Web >= 0) || !(r.Fin >= 0) || math.IsInf(r.Web, 0) || math.IsInf(r.Fin, 0) {
		return r, errors.New("the thickness of webs and fins is not a length")
	}
	if r.Web == 0 && r.Fin == 0 {
		return r, nil
	}
	axes := [3]mesh.Vec{sc.Field.U, sc.Field.E1, sc.Field.E2}
	cell := sc.Size / columns
	var spots []spot
	for k, u := range axes {
		p := probe{Scene: sc, axes: axes, axis: k, web: r.Web, fin: r.Fin, f: sc.Field, step: 1}
		if k > 0 || sc.Field.Cell > 1.5*cell {
			var err error
			if p.f, err = sc.Solid.Field(ctx, sc.Solid.GridAlong(u, cell)); err != nil {
				return r, err
			}
		} else {
			p.step = max(1, int(cell/p.f.Cell))
		}
		rows := make([][]spot, p.f.NY)
		err := par.Each(ctx, p.f.NY, func(j int) {
			if j%p.step == 0 {
				rows[j] = p.row(j)
			}
		})
		if err != nil {
			return r, err
		}
		for _, s := range rows {
			spots = append(spots, s...)
		}
	}
	r.Places = worst(places(spots, cell))
	return r, nil
}

// probe reads the columns of a field along one of the axes.
type probe struct {
	*scene.Scene
	axes     [3]mesh.Vec
	axis     int
	web, fin float64
	f        *dexel.Field
	step     int // every step-th column and row
}

// spot is what one column says.
type spot struct {
	at    mesh.Vec // the middle between the faces
	n     mesh.Vec
	thick float64
	area  float64
	kind  Kind
}

// row reads a row of columns.
func (p *probe) row(j int) (out []spot) {
	for i := 0; i < p.f.NX; i += p.step {
		col := p.f.Column(i, j)
		for m, s := range col {
			// Of a span the faces look apart: below down, above up.
			if s, ok := p.between(i, j, s.Bottom, s.Top, s.BottomTri, s.TopTri, Fin, p.fin); ok {
				out = append(out, s)
			}
			if m == 0 {
				continue
			}
			if s, ok := p.between(i, j, col[m-1].Top, s.Bottom, col[m-1].TopTri, s.BottomTri, Web, p.web); ok {
				out = append(out, s)
			}
		}
	}
	return out
}

// between looks at what lies between two triangles in a column: false where it
// is thicker than most, or no place, or another axis meets it more squarely.
func (p *probe) between(i, j int, lo, hi float64, below, above int32, kind Kind, most float64) (s spot, ok bool) {
	d := hi - lo
	// The axis is the squarest of three: no nearer than 54.7° to the faces.
	if d <= 0 || d > most*1.7321 {
		return s, false
	}
	a, okA := p.normal(below)
	b, okB := p.normal(above)
	if !okA || !okB || a.Dot(b) > -math.Cos(facing) {
		return s, false
	}
	n := b.Sub(a).Unit()
	c := math.Abs(n.Dot(p.axes[p.axis]))
	for m, x := range p.axes {
		if o := math.Abs(n.Dot(x)); o > c+1e-9 || m < p.axis && o > c-1e-9 {
			return s, false
		}
	}
	if d*c >= most || c == 0 || kind == Web && d*c < hairline {
		return s, false
	}
	x, y := p.f.Center(i, j)
	side := p.f.Cell * float64(p.step)
	s = spot{at: p.f.Point(x, y, (lo+hi)/2), n: n, thick: d * c, area: side * side / c, kind: kind}
	return s, kind == Fin || inRubber(p.Scene, s.at)
}

// normal is the outward unit normal of a triangle; false where it has none.
func (p *probe) normal(t int32) (mesh.Vec, bool) {
	if t < 0 {
		return mesh.Vec{}, false
	}
	a, b, c := p.Solid.Surface().Corners(int(t))
	n := b.Sub(a).Cross(c.Sub(a))
	l := n.Len()
	if l == 0 {
		return mesh.Vec{}, false
	}
	n = n.Mul(1 / l)
	if !p.Solid.Outward(int(t)) {
		n = n.Neg()
	}
	return n, true
}

// inRubber reports whether rubber gets to a place outside the solid.
func inRubber(sc *scene.Scene, p mesh.Vec) bool {
	if !sc.OnBoard() {
		return true
	}
	f := sc.Field
	x, y, z := f.Plane(p)
	if z <= sc.ClayLine() {
		return false
	}
	i, j := int(math.Floor((x-f.X0)/f.Cell)), int(math.Floor((y-f.Y0)/f.Cell))
	if i < 0 || j < 0 || i >= f.NX || j >= f.NY {
		return true
	}
	col := f.Column(i, j)
	k, in := dexel.At(col, z)
	if in || k == len(col) {
		return true // the columns do not part so fine a gap, or it is open
	}
	return sc.Space().Fill[f.Offset(i, j)+k] == scene.Rubber
}
