package printed

import (
	"math"
	"testing"

	"moldtally/boxfit"
	"moldtally/mesh"
	"moldtally/mesh/demold"
	"moldtally/mesh/shape"
	"moldtally/mesh/solid/solidtest"
)

// shellOf plans a coat over a body, and shapes its shell in some steps.
func shellOf(t *testing.T, m *mesh.Mesh, r boxfit.Request, steps float64) (*boxfit.Fit, *shell) {
	t.Helper()
	f, _, err := boxfit.Search(t.Context(), solidtest.Of(t, m), mesh.V(0, 0, 1), nil, r)
	if err != nil {
		t.Fatal(err)
	}
	form, err := f.Form(t.Context(), f.FormSize()/steps)
	if err != nil {
		t.Fatal(err)
	}
	s := newShell(f, form)
	s.shaped()
	return f, s
}

func lifted(m *mesh.Mesh, z float64) *mesh.Mesh {
	return shape.Map(m, func(v mesh.Vec) mesh.Vec { return v.Add(mesh.V(0, 0, z)) })
}

// star is a post of three arms: halves of its shell would have to be filled between two.
func star(long, wide, high float64) *mesh.Mesh {
	var poly [][2]float64
	for i := range 3 {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / 3)
		out := func(r, w float64) [2]float64 { return [2]float64{r*cos - w*sin, r*sin + w*cos} }
		poly = append(poly, out(long, -wide/2), out(long, wide/2))
		sin, cos = math.Sincos(2*math.Pi*float64(i)/3 + math.Pi/3)
		poly = append(poly, [2]float64{wide / math.Sqrt(3) * cos, wide / math.Sqrt(3) * sin})
	}
	return shape.Prism(poly, high)
}

var shells = map[string]struct {
	m      *mesh.Mesh
	r      boxfit.Request
	pieces int
}{
	"low ball":   {lifted(shape.Icosphere(30, 3), 30), boxfit.Request{Mold: demold.Brushed}, 1},
	"box":        {shape.Box(80, 50, 30), boxfit.Request{Mold: demold.Blanket}, 1},
	"large ball": {lifted(shape.Icosphere(200, 3), 200), boxfit.Request{Mold: demold.Blanket}, 2},
	"star":       {star(400, 40, 700), boxfit.Request{Mold: demold.Blanket, Copies: 50}, 3},
}

// Every piece of a shell is closed and one; what they hold is planned; each draws off
// the blanket without an undercut, and lies on it everywhere.
func TestShells(t *testing.T) {
	for name, c := range shells {
		f, s := shellOf(t, c.m, c.r, 60)
		if len(s.pieces) != c.pieces {
			t.Errorf("%s: %d pieces", name, len(s.pieces))
		}
		if v := s.form.Volume(); math.Abs(v/f.Capacity-1) > 0.008 {
			t.Errorf("%s holds %g, planned %g", name, v, f.Capacity)
		}
		if screwed := len(s.round) > 0; screwed != (s.poured || c.pieces > 1) {
			t.Errorf("%s: %d bolts", name, len(s.round))
		}
		if (len(s.rises) > 0) != s.poured {
			t.Errorf("%s: pipes %v", name, s.rises)
		}
		for i, x := range s.pieces {
			m, err := x.body()
			if err != nil {
				t.Fatal(err)
			}
			v := survey(t, m)
			if !v.Clean || v.DegenerateFaces > 0 || len(v.Pieces) != 1 || v.SignedVolume <= 0 {
				t.Errorf("%s, piece %d: %d pieces, clean %v, %d collapsed, %g mm³", name, i, len(v.Pieces), v.Clean, v.DegenerateFaces, v.SignedVolume)
			}
			if lo, _ := m.Bounds(); math.Abs(lo.Z) > 1e-9 {
				t.Errorf("%s, piece %d lies at %g", name, i, lo.Z)
			}
			x.draws(t, name)
		}
	}
}

// draws has the program measure what holds the blanket in a piece, with its buttons and
// pipes: as a pattern that stands where pieces part, which is made level for it.
func (x *piece) draws(t *testing.T, name string) {
	t.Helper()
	core := newGraph(x.xs, x.ys)
	for n, z := range x.inner {
		core.in[n] = z - x.from[n]
		core.top[n] = max(z-x.from[n], step)
		switch {
		case core.in[n] <= 0:
			core.in[n] = max(core.in[n], -1e6)
		case x.in[n] <= 0 && x.top[n] < x.end: // but in a hole
			t.Errorf("%s, piece %d: the blanket is bare at %g, %g", name, x.k, x.xs[n%len(x.xs)], x.ys[n/len(x.xs)])
		case x.bottom[n] < z-1e-9 || x.top[n] < z+x.wall/2:
			t.Errorf("%s, piece %d: from %g to %g over a blanket to %g", name, x.k, x.bottom[n], x.top[n], z)
		}
	}
	label, _ := core.parts()
	m, err := core.only(label, 0).mesh(mesh.V)
	if err != nil {
		t.Fatal(err)
	}
	rep, err := demold.Analyze(t.Context(), solidtest.Of(t, m), mesh.V(0, 0, 1), demold.Options{Clay: new(0.0), Resolution: x.face.Cell})
	if err != nil {
		t.Fatal(err)
	}
	if rep.UndercutVolume > 1e-9 || rep.UndercutDepth > 0 {
		t.Errorf("%s, piece %d is held by %g mm³, %g mm deep", name, x.k, rep.UndercutVolume, rep.UndercutDepth)
	}
}
