package estimate

import (
	"context"
	"errors"
	"math"
	"testing"

	"moldtally/boxfit"
	"moldtally/boxfit/pack"
	"moldtally/mesh"
	"moldtally/mesh/shape"
)

// sharer is a pattern of a gang.
func sharer(file string, n int, m *mesh.Mesh) Shared {
	return Shared{Mesh: m, Count: n, Source: Source{File: file, Format: "stl", Units: "mm", UnitsFrom: "flag", Resized: 1}}
}

func gangOf(t *testing.T, job Job, list ...Shared) *Plan {
	t.Helper()
	if job.Resolution == 0 {
		job.Resolution = 1
	}
	s, err := TallyTogether(context.Background(), list, job, Options{Version: "test"})
	if err != nil {
		t.Fatal(err)
	}
	wellFormed(t, s.Plan)
	return s.Plan
}

// TestGangFigures: two boxes 80 by 50 by 30 with 12 mm of rubber at the sides, 8
// between them and 10 over them stand long side by long side: 132·104·40 less their
// volumes.
func TestGangFigures(t *testing.T) {
	w, o := 12.0, 10.0
	p := gangOf(t, Job{Wall: &w, Over: &o, Up: up(0, 0, 1), Cast: "resin", Copies: 30, PatternMass: new(60.0)}, sharer("box.stl", 2, shape.Box(80, 50, 30)))
	in := p.Container.Interior
	if in == nil || math.Abs(in[0]-132) > 0.1 || math.Abs(in[1]-104) > 0.1 {
		t.Fatalf("inside %v, want 132 by 104", in)
	}
	if want := in[0]*in[1]*40 - 240_000; !close(p.Rubber.Volume, want, 1e-9) {
		t.Errorf("rubber %v, want %v", p.Rubber.Volume, want)
	}
	if d := p.Pattern.DisplacedVolume; d == nil || !close(*d, 240_000, 1e-9) || p.Pattern.FileName != nil || p.Pattern.Triangles != 24 || p.Pattern.File != "2 × box.stl" {
		t.Errorf("the sum is %+v", p.Pattern)
	}
	m := (*p.Patterns)[0]
	if len(*p.Patterns) != 1 || m.File != "box.stl" || m.Count != 2 || m.Size != [3]float64{80, 50, 30} || m.Displaced == nil || *m.Displaced != 120_000 {
		t.Errorf("the patterns are %+v", p.Patterns)
	}
	if up := float64(240*p.Rubber.SG-120) / 1000 * 9.80665; p.Container.HoldDown == nil || !close(*p.Container.HoldDown, up, 1e-9) {
		t.Errorf("held down with %v N, want %v", p.Container.HoldDown, up)
	}
	if c := p.Casting; c.Cavities != 2 || c.Copies != 30 {
		t.Errorf("%d castings of %d cavities, want 30 of 2", c.Copies, c.Cavities)
	}
	apart(t, p.Container, [2]float64{80, 50}, 8, 12)
	if len(p.Container.Sheets) != 1 || len(p.Container.Sheets[0].Boards) != 5 {
		t.Errorf("sheets %+v", p.Container.Sheets)
	}
}

// apart holds the places of boxes in a box against the walls asked for, by their
// corners; turns are whole quarters here.
func apart(t *testing.T, f *boxfit.Fit, size [2]float64, web, wall float64) {
	t.Helper()
	const tol = 1e-6
	type span struct{ lo, hi [2]float64 }
	var all []span
	for _, p := range f.Layout {
		l, w := size[0], size[1]
		if q := math.Mod(p.Turn, 180); math.Abs(q-90) < tol {
			l, w = w, l
		} else if math.Min(q, 180-q) > tol {
			t.Fatalf("turned by %v", p.Turn)
		}
		s := span{[2]float64{p.At[0] - l/2, p.At[1] - w/2}, [2]float64{p.At[0] + l/2, p.At[1] + w/2}}
		for k := range 2 {
			if s.lo[k] < wall-tol || s.hi[k] > f.Interior[k]-wall+tol {
				t.Errorf("%+v is nearer to the side than %v", p, wall)
			}
		}
		for _, o := range all {
			x, y := max(s.lo[0]-o.hi[0], o.lo[0]-s.hi[0]), max(s.lo[1]-o.hi[1], o.lo[1]-s.hi[1])
			if max(x, y) < web-tol {
				t.Errorf("%+v is nearer to another than %v", p, web)
			}
		}
		all = append(all, s)
	}
}

// TestGangSaves: six discs of 40 take less rubber in one block than in six, whose boxes
// would be 21600 mm² against 16848 in rows of three.
func TestGangSaves(t *testing.T) {
	w := 10.0
	p := gangOf(t, Job{Wall: &w, Container: boxfit.Box, Up: up(0, 0, 1), Cast: "resin", Copies: 50}, sharer("disc.stl", 6, shape.Cylinder(20, 12, 48)))
	in, g := p.Container.Interior, p.Gang
	if in == nil || in[0]*in[1] > 16848*1.001 {
		t.Errorf("inside %v, want no more than 156 by 108", in)
	}
	if g.Cavities != 6 || g.Together.Rubber >= g.AsMany.Rubber || g.Together.Rubber <= g.Single.Rubber || g.AsMany.Molds != 6 || g.Single.Molds != 1 {
		t.Errorf("%+v", g)
	}
	if !(*g.Together.PerDay > *g.AsMany.PerDay && *g.AsMany.PerDay > *g.Single.PerDay) || *g.Together.Days >= *g.Single.Days {
		t.Errorf("castings a day %v, %v and %v; days %v and %v", *g.Together.PerDay, *g.AsMany.PerDay, *g.Single.PerDay, *g.Together.Days, *g.Single.Days)
	}
}

// TestGangRefuses: what a block does not let go of cannot share one, and is named.
func TestGangRefuses(t *testing.T) {
	p := gangOf(t, Job{Up: up(0, 0, 1)}, sharer("box.stl", 1, shape.Box(40, 30, 30)), sharer("arch.stl", 1, shape.Arch(60, 20, 50, 12, 30)))
	if p.Job.Answer != CourseNo || p.Rubber.PartA != nil || p.Schedule != nil {
		t.Errorf("the answer is %q", p.Job.Answer)
	}
	named := false
	for _, f := range p.Warnings {
		named = named || f.Code == CodeAlone && f.Of == "arch.stl"
		if f.Code == CodeAlone && f.Of == "box.stl" {
			t.Error("the box is refused as well")
		}
	}
	if !named {
		t.Errorf("nothing says that the arch wants a mold of its own: %+v", p.Warnings)
	}
}

// TestGangInTube: what is laid out for a tube stands round its middle.
func TestGangInTube(t *testing.T) {
	p := gangOf(t, Job{Container: boxfit.Sleeve, Tube: "exact", Up: up(0, 0, 1)}, sharer("box.stl", 3, shape.Box(20, 20, 20)))
	r := *p.Container.Diameter / 2
	for _, x := range p.Container.Layout {
		if far := math.Hypot(x.At[0], x.At[1]) + 10*math.Sqrt2; math.Hypot(x.At[0], x.At[1])+10 > r-p.Container.Wall+1e-6 || far > r {
			t.Errorf("%+v leaves a tube of %v", x, 2*r)
		}
	}
}

// TestGangInOwnBox: room to spare in a box of the user's goes between the patterns too.
func TestGangInOwnBox(t *testing.T) {
	p := gangOf(t, Job{Inside: &[3]float64{200, 160, 60}, Up: up(0, 0, 1)}, sharer("box.stl", 4, shape.Box(40, 40, 30)))
	apart(t, p.Container, [2]float64{40, 40}, 20, 20)
	if p.Warnings.Has(boxfit.CodeSmall) {
		t.Error("four of 40 do not fit 200 by 160")
	}
	p = gangOf(t, Job{Inside: &[3]float64{90, 60, 60}, Up: up(0, 0, 1)}, sharer("box.stl", 4, shape.Box(40, 40, 30)))
	if !p.Warnings.Has(boxfit.CodeSmall) || p.Job.Answer != CourseNo {
		t.Error("four of 40 fit 90 by 60")
	}
}

func TestGangErrors(t *testing.T) {
	open := shape.Without(shape.Box(20, 20, 20), func(tri int, _ mesh.Vec) bool { return tri > 0 })
	_, err := TallyTogether(context.Background(), []Shared{sharer("box.stl", 1, shape.Box(20, 20, 20)), sharer("bad.stl", 1, open)}, Job{Resolution: 1}, Options{})
	if m := (*MemberError)(nil); !errors.As(err, &m) || m.File != "bad.stl" {
		t.Errorf("%v, want an error of bad.stl", err)
	}
	_, err = TallyTogether(context.Background(), []Shared{sharer("box.stl", pack.Most+1, shape.Box(20, 20, 20))}, Job{Resolution: 1}, Options{})
	if m := (*TooMany)(nil); !errors.As(err, &m) {
		t.Errorf("%v, want too many", err)
	}
}
