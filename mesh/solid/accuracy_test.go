package solid_test

import (
	"context"
	"math"
	"math/big"
	"path/filepath"
	"slices"
	"testing"

	"github.com/hpinc/go3mf"
	"github.com/hschendel/stl"

	"moldtally/mesh"
	"moldtally/mesh/demold"
	"moldtally/mesh/shape"
	"moldtally/mesh/shape/real"
	"moldtally/mesh/solid/solidtest"
)

// Volumes of files that come with the modules used here, against figures from
// outside: what the file itself says of a plain body, or a sum over the
// triangles as the module's own reader has them, in fractions.
func TestAccuracyOfVolumes(t *testing.T) {
	const stlModule, threeModule, glModule = "github.com/hschendel/stl", "github.com/hpinc/go3mf", "github.com/qmuntal/gltf"
	for _, c := range []struct {
		module, file        string
		triangles, pieces   int
		volume, within      float64 // in the file's unit; 0: by the module's reader
		x, y, z, sizeWithin float64
	}{
		{stlModule, "testdata/simple_ascii.stl", 4, 1, 1. / 6, 1e-15, 1, 1, 1, 0},              // a corner of a unit cube
		{stlModule, "testdata/confusingheader_bin.stl", 4, 1, 1. / 6, 1e-15, 1, 1, 1, 0},       // the same, binary, called "solid"
		{stlModule, "testdata/complex_bin.stl", 30476, 1, 0, 1e-12, 30, 29.8356, 337.5, 1e-6},  // its header's count
		{stlModule, "testdata/complex_ascii.stl", 30476, 1, 0, 1e-6, 30, 29.8356, 337.5, 1e-6}, // that reader keeps singles
		{threeModule, "testdata/cube.3mf", 12, 1, 1e6, 1e-15, 100, 100, 100, 0},                // by its name and corners
		{glModule, "testdata/Cube/glTF/Cube.gltf", 12, 1, 8, 2e-6, 2, 2, 2, 2e-6},              // its accessor's bounds: ±1 and ±1.000001
		{glModule, "testdata/BoxVertexColors/glTF-Binary/BoxVertexColors.glb", 12, 1, 1, 1e-6, 1, 1, 1, 1e-6},
		{glModule, "testdata/OrientationTest/glTF-Binary/OrientationTest.glb", 524, 13, -1, 0, 0, 0, 0, 0}, // its README: a cube, six arrows and their targets
	} {
		if testing.Short() && c.triangles > 1000 {
			continue
		}
		t.Run(filepath.Base(c.file), func(t *testing.T) {
			path := real.Module(t, "how exact the volume of "+c.file+" is", c.module, filepath.FromSlash(c.file))
			m := solidtest.Read(t, path)
			sv, err := mesh.Inspect(context.Background(), m, mesh.SurveyOptions{})
			if err != nil {
				t.Fatal(err)
			}
			if sv.Triangles != c.triangles || len(sv.Pieces) != c.pieces || !sv.Closed {
				t.Errorf("%d triangles in %d pieces, closed %v; want %d in %d", sv.Triangles, len(sv.Pieces), sv.Closed, c.triangles, c.pieces)
			}
			want := c.volume
			if want < 0 {
				return
			}
			if want == 0 {
				s, err := stl.ReadFile(path)
				if err != nil {
					t.Fatal(err)
				}
				want = exactVolume(s)
			}
			d := solidtest.Of(t, m).Displaced
			if got := float64(d.Value); math.Abs(got/want-1) > c.within || d.Low != d.Value || d.High != d.Value {
				t.Errorf("displaces %.12g (%.12g to %.12g), want %.12g within %g", got, float64(d.Low), float64(d.High), want, c.within)
			}
			for k, want := range [3]float64{c.x, c.y, c.z} {
				if got := sv.Size.Array()[k]; math.Abs(got-want) > c.sizeWithin*want {
					t.Errorf("size %v, want %v", sv.Size, [3]float64{c.x, c.y, c.z})
				}
			}
		})
	}
}

// exactVolume sums what triangles span with the origin, in fractions.
func exactVolume(s *stl.Solid) float64 {
	r := func(x float32) *big.Rat { return new(big.Rat).SetFloat64(float64(x)) }
	mul := func(x, y *big.Rat) *big.Rat { return new(big.Rat).Mul(x, y) }
	sum := new(big.Rat)
	for _, f := range s.Triangles {
		a, b, c := f.Vertices[0], f.Vertices[1], f.Vertices[2]
		for k := range 3 {
			i, j := (k+1)%3, (k+2)%3
			minor := new(big.Rat).Sub(mul(r(b[i]), r(c[j])), mul(r(b[j]), r(c[i])))
			sum.Add(sum, mul(r(a[k]), minor))
		}
	}
	v, _ := sum.Float64()
	return v / 6
}

// A figure of two shells that cross each other some two thousand times: what
// both displace together, against upright lines through the triangles as the
// module's own reader has them. It lies inside the bounds.
func TestAccuracyOfUnion(t *testing.T) {
	if testing.Short() {
		t.Skip("a large figure; the short run has unions of smaller ones")
	}
	path := real.Module(t, "the volume of a figure that crosses itself", "github.com/hpinc/go3mf", "testdata", "super_boogoku_tiny.3mf")
	var model go3mf.Model
	r, err := go3mf.OpenReader(path)
	if err != nil {
		t.Fatal(err)
	}
	defer r.Close()
	if err := r.Decode(&model); err != nil {
		t.Fatal(err)
	}
	s := solidtest.Of(t, solidtest.Read(t, path))
	const step, by = 0.11, 3e-4 // mm between lines, and what they are off by at most
	want := linesVolume(&model, step)
	low, value, high := float64(s.Displaced.Low), float64(s.Displaced.Value), float64(s.Displaced.High)
	t.Logf("%.0f mm³ (%.0f to %.0f); by lines %.0f", value, low, high, want)
	if s.SelfCrossings == 0 || high-low > 1e-3*want {
		t.Errorf("%d crossings, bounds %.0f to %.0f", s.SelfCrossings, low, high)
	}
	if math.Abs(value/want-1) > by+2e-4 || low > want*(1+by) || high < want*(1-by) {
		t.Errorf("displaces %.0f mm³ (%.0f to %.0f), by lines %.0f", value, low, high, want)
	}
}

// linesVolume is the volume round which the triangles wind, by a line along +Z
// in each square of a grid.
func linesVolume(model *go3mf.Model, step float64) float64 {
	type cross struct {
		z    float64
		turn int
	}
	lines := map[[2]int][]cross{}
	for _, item := range model.Build.Items {
		o, _ := model.FindObject(item.ObjectPath(), item.ObjectID)
		at := func(i uint32) go3mf.Point3D {
			p := o.Mesh.Vertices.Vertex[i]
			if item.HasTransform() {
				return item.Transform.Mul3D(p)
			}
			return p
		}
		for _, f := range o.Mesh.Triangles.Triangle {
			a, b, c := at(f.V1), at(f.V2), at(f.V3)
			edge := func(p, q go3mf.Point3D, x, y float64) float64 {
				return (float64(q[0])-float64(p[0]))*(y-float64(p[1])) - (float64(q[1])-float64(p[1]))*(x-float64(p[0]))
			}
			area := edge(a, b, float64(c[0]), float64(c[1]))
			lo := func(k int) int { return int(math.Ceil(float64(min(a[k], b[k], c[k]))/step - 0.37)) }
			hi := func(k int) int { return int(math.Floor(float64(max(a[k], b[k], c[k]))/step - 0.37)) }
			for i := lo(0); i <= hi(0); i++ {
				for j := lo(1); j <= hi(1); j++ {
					x, y := (float64(i)+0.37)*step, (float64(j)+0.37)*step
					u, v, w := edge(b, c, x, y)/area, edge(c, a, x, y)/area, edge(a, b, x, y)/area
					if u < 0 || v < 0 || w < 0 || area == 0 {
						continue
					}
					turn := 1 // out of it, upwards
					if area < 0 {
						turn = -1
					}
					lines[[2]int{i, j}] = append(lines[[2]int{i, j}], cross{u*float64(a[2]) + v*float64(b[2]) + w*float64(c[2]), turn})
				}
			}
		}
	}
	sum := 0.0
	for _, l := range lines {
		slices.SortFunc(l, func(a, b cross) int {
			if a.z < b.z {
				return -1
			}
			return 1
		})
		winding := 0
		for k, c := range l {
			if winding > 0 {
				sum += c.z - l[k-1].z
			}
			winding -= c.turn
		}
	}
	return sum * step * step
}

// Undercuts of generated bodies, against closed forms.
func TestAccuracyOfUndercuts(t *testing.T) {
	none := 0.0
	const n = 96
	mushroom := shape.Mushroom(30, 10, 10, 40, n)
	for _, c := range []struct {
		name          string
		m             *mesh.Mesh
		depth, volume float64
		path, stretch float64
	}{
		{"mushroom", mushroom, 20, (shape.NgonArea(30, n) - shape.NgonArea(10, n)) * 40, 20, 2},
		{"cone on its tip", shape.Rotate(shape.Cone(30, 60, n), mesh.V(1, 0, 0), math.Pi), 30, shape.NgonArea(30, n) * 60 * 2 / 3, 30, math.Inf(1)},
		{"box", shape.Box(80, 50, 30), 0, 0, 0, 0},
	} {
		t.Run(c.name, func(t *testing.T) {
			r, err := demold.Analyze(context.Background(), solidtest.Of(t, c.m), mesh.V(0, 0, 1), demold.Options{Clay: &none, Ignore: &none, Resolution: 0.3})
			if err != nil {
				t.Fatal(err)
			}
			if math.Abs(r.UndercutDepth-c.depth) > r.Uncertainty+0.05 || math.Abs(*r.UndercutPath-c.path) > r.Uncertainty+0.05 {
				t.Errorf("depth %.3f, path %.3f ± %.3f; want %g and %g", r.UndercutDepth, *r.UndercutPath, r.Uncertainty, c.depth, c.path)
			}
			if math.Abs(r.UndercutVolume-c.volume) > 0.01*c.volume {
				t.Errorf("undercut volume %.0f, want %.0f", r.UndercutVolume, c.volume)
			}
			if !math.IsInf(c.stretch, 1) && math.Abs(*r.Stretch-c.stretch) > 0.01 {
				t.Errorf("stretch %.4f, want %g", *r.Stretch, c.stretch)
			}
		})
	}
}
