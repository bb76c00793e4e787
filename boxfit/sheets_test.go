package boxfit

import (
	"math"
	"slices"
	"testing"

	"moldtally/mesh"
	"moldtally/mesh/demold"
	"moldtally/mesh/shape"
)

// plank is a board as it stands, from above.
type plank []mesh.Vec2

// overlap is the area that two convex planks share: one clipped by the sides of the
// other (I. Sutherland & G. Hodgman, "Reentrant polygon clipping", CACM 17, 1974).
func (a plank) overlap(b plank) float64 {
	out := a
	for i := range b {
		p, d := b[i], b[(i+1)%len(b)].Sub(b[i])
		in := func(q mesh.Vec2) float64 { return d.Cross(q.Sub(p)) }
		var next plank
		for k, q := range out {
			r := out[(k+1)%len(out)]
			if in(q) >= 0 {
				next = append(next, q)
			}
			if (in(q) < 0) != (in(r) < 0) {
				next = append(next, q.Add(r.Sub(q).Mul(in(q)/(in(q)-in(r)))))
			}
		}
		out = next
	}
	if len(out) < 3 {
		return 0
	}
	return mesh.AreaOf(out)
}

func upright(x, y, l, w float64) plank {
	return plank{{X: x, Y: y}, {X: x + l, Y: y}, {X: x + l, Y: y + w}, {X: x, Y: y + w}}
}

// put is the cut list put together by its joints, and what they enclose: butt joints
// where the long sides run past the short ones, mitres where the sides are alike.
func put(t *testing.T, boards []Board) (walls []plank, inside plank, rim float64) {
	t.Helper()
	a, b := boards[0], boards[1]
	rim = a.Width
	switch a.Part.Role {
	case PolygonSide:
		n := a.Count
		step := 2 * math.Pi / float64(n)
		flat := a.Length / 2 / math.Tan(step/2) // from the middle to the outer face
		slant := a.Thickness * math.Tan(math.Pi/float64(n))
		for i := range n {
			u := mesh.Vec2{X: math.Cos(step * float64(i)), Y: math.Sin(step * float64(i))}
			v := u.Perp()
			at := func(out, along float64) mesh.Vec2 { return u.Mul(out).Add(v.Mul(along)) }
			half := a.Length / 2
			walls = append(walls, plank{at(flat-a.Thickness, -half+slant), at(flat, -half), at(flat, half), at(flat-a.Thickness, half-slant)})
			inside = append(inside, at(flat-a.Thickness, -half+slant))
		}
	case LongSide, TroughSide:
		if a.Count != 2 || b.Count != 2 || b.Width != rim {
			t.Fatalf("sides %+v, %+v", a, b)
		}
		l, w, d := a.Length, b.Length, a.Thickness
		walls = []plank{
			upright(-l/2, -w/2-d, l, d), upright(-l/2, w/2, l, d),
			upright(-l/2, -w/2, b.Thickness, w), upright(l/2-b.Thickness, -w/2, b.Thickness, w),
		}
		inside = upright(-l/2+b.Thickness, -w/2, l-2*b.Thickness, w)
	}
	return walls, inside, rim
}

// The cut list of every container of boards, put together, encloses the inside and
// nothing more: no two boards are in one place, and none leaves a gap.
func TestCutListsGoTogether(t *testing.T) {
	for name, c := range map[string]struct {
		m *mesh.Mesh
		r Request
	}{
		"box":          {shape.Box(120, 80, 60), Request{Container: Box}},
		"thin":         {shape.Box(120, 80, 60), Request{Container: Box, Board: "acrylic-3"}},
		"stepped":      {shape.Mushroom(30, 15, 10, 40, 24), Request{Container: Box, Board: "mdf-3/4in", Step: 25.4 / 16}},
		"halves":       {shape.Box(120, 80, 60), Request{Container: Box, Mold: demold.TwoPart}},
		"six boards":   {shape.Mushroom(90, 45, 30, 80, 24), Request{Container: Polygon, Sides: 6}},
		"eight boards": {shape.Mushroom(90, 45, 30, 80, 24), Request{Container: Polygon, Sides: 8, Board: "plywood-1/2in"}},
		"three boards": {shape.Box(40, 40, 40), Request{Container: Polygon, Sides: 3}},
		"twelve":       {shape.Box(140, 140, 40), Request{Container: Polygon, Sides: 12}},
		"trough":       {rail(1200), Request{Board: "mdf-12"}},
	} {
		f, _ := mustSearch(t, sceneOf(t, c.m, upZ), c.r)
		walls, inside, rim := put(t, f.Boards)
		want := f.Interior[0] * f.Interior[1]
		if f.Sides != nil {
			want = float64(*f.Sides) * *f.Diameter * *f.Diameter / 4 * math.Tan(math.Pi/float64(*f.Sides))
		}
		if got := mesh.AreaOf(inside); !near(got, want, 1e-9) || rim != f.Interior[2] {
			t.Errorf("%s: inside %g mm², want %g; %g high, want %g", name, got, want, rim, f.Interior[2])
		}
		var all plank
		sum := mesh.AreaOf(inside)
		for i, a := range walls {
			sum += mesh.AreaOf(a)
			all = append(all, a...)
			for _, b := range append(walls[:i:i], inside) {
				if o := a.overlap(b); math.Abs(o) > 1e-6 {
					t.Errorf("%s: two boards share %g mm²", name, o)
				}
			}
		}
		hull := mesh.Hull2(append(plank(nil), all...))
		if got := mesh.AreaOf(hull); !near(got, sum, 1e-9) {
			t.Errorf("%s: boards and inside are %g mm², what they span %g", name, sum, got)
		}
		base := f.Boards[slices.IndexFunc(f.Boards, func(b Board) bool { return b.Part.Role == BaseBoard })]
		r := mesh.MinRect(hull)
		if base.Part.Role != BaseBoard || max(base.Length, base.Width) < r.Length+2*baseMargin-1e-6 || min(base.Length, base.Width) < r.Width+2*baseMargin-1e-6 {
			t.Errorf("%s: base %+v under %g × %g", name, base, r.Length, r.Width)
		}
	}
}

// With mitred corners the sides are as long outside as the box is, and meet from its inner
// to its outer corners.
func TestMitredBoxGoesTogether(t *testing.T) {
	f, _ := mustSearch(t, sceneOf(t, shape.Box(120, 80, 60), upZ), Request{Container: Box, Board: "mdf-12"})
	w, ok := f.Mitred()
	l, d := f.Boards[0].Length, f.Boards[0].Thickness
	if !ok || l != f.Interior[0]+2*d {
		t.Fatalf("long sides of %g round %g", l, f.Interior[0])
	}
	side := func(at, along mesh.Vec2, long float64) plank { // at: the middle of its outer face
		in := along.Perp().Mul(d)
		a, b := along.Mul(-long/2), along.Mul(long/2)
		cut := along.Mul(d)
		return plank{at.Add(a), at.Add(b), at.Add(b).Add(in).Sub(cut), at.Add(a).Add(in).Add(cut)}
	}
	walls := []plank{
		side(mesh.Vec2{Y: -w / 2}, mesh.Vec2{X: 1}, l), side(mesh.Vec2{X: l / 2}, mesh.Vec2{Y: 1}, w),
		side(mesh.Vec2{Y: w / 2}, mesh.Vec2{X: -1}, l), side(mesh.Vec2{X: -l / 2}, mesh.Vec2{Y: -1}, w),
	}
	inside := upright(-f.Interior[0]/2, -f.Interior[1]/2, f.Interior[0], f.Interior[1])
	sum := mesh.AreaOf(inside)
	for i, a := range walls {
		sum += mesh.AreaOf(a)
		for _, b := range append(walls[:i:i], inside) {
			if o := a.overlap(b); math.Abs(o) > 1e-6 {
				t.Errorf("two share %g mm²", o)
			}
		}
	}
	if !near(sum, l*w, 1e-9) {
		t.Errorf("%g mm² of %g", sum, l*w)
	}
	if _, ok := (&Fit{Kind: Sleeve}).Mitred(); ok {
		t.Error("a tube is mitred")
	}
}

// What braces a wall is on the cut list: battens from corner to corner of the walls that
// bow, ribs from the base up to them, and none of it on a sheet.
func TestBattensAreCut(t *testing.T) {
	for name, c := range map[string]struct {
		m     *mesh.Mesh
		r     Request
		walls int
	}{
		"long walls": {shape.Box(520, 200, 290), Request{Container: Box, Board: "mdf-12"}, 2},
		"all four":   {shape.Box(520, 500, 290), Request{Container: Box, Board: "mdf-12"}, 4},
		"six":        {shape.Box(420, 420, 290), Request{Container: Polygon, Sides: 6, Board: "mdf-6"}, 6},
		"none":       {shape.Box(120, 80, 60), Request{Container: Box}, 0},
	} {
		f, _ := mustSearch(t, sceneOf(t, c.m, upZ), c.r)
		battens, ribs := 0, 0
		for _, b := range f.Boards {
			switch b.Part.Role {
			case RimBatten:
				battens += b.Count
				if l := f.Boards[0].Length; battens <= 2 && b.Length != l {
					t.Errorf("%s: batten of %g on a wall of %g", name, b.Length, l)
				}
				if b.Width != float64(f.Brace.Batten.Wide) || b.Thickness != float64(f.Brace.Batten.Thick) {
					t.Errorf("%s: %+v, brace %+v", name, b, f.Brace)
				}
			case UprightRib:
				ribs += b.Count
				if b.Length+f.Brace.Batten.tall() != f.Interior[2] {
					t.Errorf("%s: a rib of %g under a rim at %g", name, b.Length, f.Interior[2])
				}
			}
		}
		want := 0
		if f.Brace != nil {
			want = f.Brace.Ribs
		}
		if battens != c.walls || ribs != c.walls*want {
			t.Errorf("%s: %d battens on %d walls, %d ribs; %+v", name, battens, c.walls, ribs, f.Brace)
		}
		f.Nest(Saw{})
		for _, s := range f.Sheets {
			if s.Board == softwood {
				t.Errorf("%s: battens on a sheet", name)
			}
		}
	}
}

// A tube stands within its base; a wrapped sheet goes round its bore with a lap.
func TestRoundCutLists(t *testing.T) {
	s := sceneOf(t, shape.Mushroom(90, 45, 30, 80, 24), upZ)
	f, _ := mustSearch(t, s, Request{Container: Sleeve, Tube: "exact"})
	w := f.Boards[0]
	if round := w.Length - Lap - math.Pi*w.Thickness; w.Part.Role != WrappedSheet || !near(round, math.Pi**f.Diameter, 1e-9) || w.Width != f.Interior[2] {
		t.Errorf("sheet %+v round %g", w, *f.Diameter)
	}
	f, _ = mustSearch(t, sceneOf(t, shape.Box(30, 30, 40), upZ), Request{Container: Sleeve})
	if w := f.Boards[0]; w.Part.Role != TubeWall || !near(w.Width-2*w.Thickness, *f.Diameter, 1e-9) || w.Length != f.Interior[2] {
		t.Errorf("tube %+v of bore %g", w, *f.Diameter)
	}
}

func TestSheets(t *testing.T) {
	f, _ := mustSearch(t, sceneOf(t, shape.Box(120, 80, 60), upZ), Request{Container: Box, Board: "mdf-12"})
	f.Nest(Saw{})
	if len(f.Sheets) != 1 || len(f.Sheets[0].Boards) != 5 || f.Sheets[0].Size != [2]float64{2440, 1220} || f.Sheets[0].Kerf != 3 {
		t.Fatalf("%+v", f.Sheets)
	}
	area := 0.0
	for _, b := range f.Boards {
		area += float64(b.Count) * b.Length * b.Width
	}
	if w := f.Sheets[0].Waste; !near(w, 1-area/2440/1220, 1e-12) {
		t.Errorf("waste %g", w)
	}
	// A sheet is laid by its own size; a tube is sawn from a length.
	f, _ = mustSearch(t, sceneOf(t, shape.Mushroom(90, 45, 30, 80, 24), upZ), Request{Container: Sleeve, Tube: "exact"})
	f.Nest(Saw{Kerf: at(0.0), Sizes: map[string][2]float64{"melamine-16": {1000, 500}}})
	if len(f.Sheets) != 2 || f.Sheets[0].Size[0] != 2440 || f.Sheets[1].Size != [2]float64{1000, 500} || f.Sheets[1].Kerf != 0 {
		t.Errorf("%+v", f.Sheets)
	}
	// Cuts stand on whole millimetres, unless the sheet ends before.
	f, _ = mustSearch(t, sceneOf(t, shape.Box(120.3, 80.4, 60.2), upZ), Request{Container: Box, Board: "mdf-12"})
	f.Nest(Saw{})
	for _, c := range f.Sheets[0].Cuts {
		for _, v := range append(c.From[:], c.To[:]...) {
			if v != math.Round(v) {
				t.Errorf("a cut at %v", c)
			}
		}
	}
	b := &Board{Part: Part{Stock: "mdf-12"}, Length: 2438.2, Width: 1219.1}
	if p := (Saw{Sizes: map[string][2]float64{"mdf-12": {2438.4, 1219.2}}}).piece(b); p.Length != b.Length || p.Width != b.Width {
		t.Errorf("a whole sheet is sawn to %v", p)
	}
	f, _ = mustSearch(t, sceneOf(t, rail(2500), upZ), Request{})
	f.Nest(Saw{})
	if !f.Findings.Has(CodeSheet) || f.Findings.Has(CodeSmall) {
		t.Errorf("a trough of 2.5 m: %v", f.Findings)
	}
	f, _ = mustSearch(t, sceneOf(t, rail(1500), upZ), Request{})
	if f.Findings.Has(CodeSheet) {
		t.Errorf("a trough of 1.5 m: %v", f.Findings)
	}
}
