package mesh

import (
	"math"
	"math/big"
	"math/rand/v2"
	"runtime"
	"testing"
)

func near(got, want, rel float64) bool {
	return math.Abs(got-want) <= rel*math.Max(math.Abs(want), 1e-300)
}

// orient2Slow is the rational twin of Orient2.
func orient2Slow(a, b, c Vec2) int {
	r := func(x float64) *big.Rat { return new(big.Rat).SetFloat64(x) }
	sub := func(x, y *big.Rat) *big.Rat { return new(big.Rat).Sub(x, y) }
	mul := func(x, y *big.Rat) *big.Rat { return new(big.Rat).Mul(x, y) }
	return mul(sub(r(a.X), r(c.X)), sub(r(b.Y), r(c.Y))).
		Cmp(mul(sub(r(a.Y), r(c.Y)), sub(r(b.X), r(c.X))))
}

func TestOrient2AgainstRationals(t *testing.T) {
	const seed = 11
	rnd := rand.New(rand.NewPCG(seed, 0))
	for n := range 20000 {
		var p [3]Vec2
		switch n % 5 {
		case 4: // beyond the range in which products are exact
			e := []int{-560, 700, -1060}[n%3]
			for i := range p {
				p[i] = Vec2{math.Ldexp(float64(rnd.IntN(9)), e), math.Ldexp(float64(rnd.IntN(9)), e)}
			}
		case 0: // anywhere
			for i := range p {
				p[i] = Vec2{rnd.NormFloat64(), rnd.NormFloat64()}
			}
		case 1: // nearly on a line, with a few bits of noise, far from the origin
			a, v := Vec2{rnd.Float64() * 1e4, rnd.Float64() * 1e4}, Vec2{rnd.Float64(), rnd.Float64()}
			for i := range p {
				k := rnd.Float64() * 100
				p[i] = Vec2{a.X + v.X*k, a.Y + v.Y*k}
				if rnd.IntN(2) == 0 {
					p[i].X = math.Nextafter(p[i].X, 1e9)
				}
			}
		case 2: // on a grid: often exactly collinear
			for i := range p {
				p[i] = Vec2{float64(rnd.IntN(5)) * 0.1, float64(rnd.IntN(5)) * 0.1}
			}
		case 3: // wildly different sizes
			for i := range p {
				p[i] = Vec2{math.Ldexp(rnd.Float64()-0.5, rnd.IntN(80)-40), math.Ldexp(rnd.Float64()-0.5, rnd.IntN(80)-40)}
			}
		}
		want := orient2Slow(p[0], p[1], p[2])
		if got := Orient2(p[0], p[1], p[2]); got != want {
			t.Fatalf("seed %d, case %d: Orient2(%v) = %d, want %d", seed, n, p, got, want)
		}
		if got := orient2Exact(p[0], p[1], p[2]); got != want {
			t.Fatalf("seed %d, case %d: orient2Exact(%v) = %d, want %d", seed, n, p, got, want)
		}
	}
}

// hull2Slow keeps the points that no triangle or segment of others covers, by
// asking for each ordered pair whether all points lie to its left.
func hull2Slow(pts []Vec2) map[Vec2]bool {
	out := map[Vec2]bool{}
	for _, a := range pts {
		for _, b := range pts {
			if a == b {
				continue
			}
			ok := true
			for _, c := range pts {
				o := orient2Slow(a, b, c)
				if o < 0 || o == 0 && (c.Sub(a).Dot(b.Sub(a)) < 0 || c.Sub(b).Dot(a.Sub(b)) < 0) {
					ok = false
					break
				}
			}
			if ok {
				out[a], out[b] = true, true
			}
		}
	}
	return out
}

func TestHull2AgainstPairs(t *testing.T) {
	const seed = 12
	rnd := rand.New(rand.NewPCG(seed, 0))
	for n := range 60 {
		var pts []Vec2
		for range 3 + rnd.IntN(30) {
			switch n % 3 {
			case 0:
				pts = append(pts, Vec2{rnd.NormFloat64(), rnd.NormFloat64()})
			case 1:
				pts = append(pts, Vec2{float64(rnd.IntN(6)) * 0.1, float64(rnd.IntN(6)) * 0.1})
			case 2:
				a := rnd.Float64() * 2 * math.Pi
				pts = append(pts, Vec2{1e5 + math.Cos(a), -1e5 + math.Sin(a)})
			}
		}
		before := append([]Vec2(nil), pts...)
		h := Hull2(pts)
		for i := range pts {
			if pts[i] != before[i] {
				t.Fatal("Hull2 changed its argument")
			}
		}
		want := hull2Slow(pts)
		if len(h) != len(want) {
			t.Fatalf("seed %d, case %d: %d corners, want %d of %v", seed, n, len(h), len(want), pts)
		}
		for i, p := range h {
			if !want[p] {
				t.Errorf("case %d: %v is no corner", n, p)
			}
			if len(h) > 2 && Orient2(p, h[(i+1)%len(h)], h[(i+2)%len(h)]) != 1 {
				t.Errorf("case %d: no left turn at corner %d", n, i+1)
			}
		}
		rnd.Shuffle(len(pts), func(i, j int) { pts[i], pts[j] = pts[j], pts[i] })
		for i, p := range Hull2(pts) {
			if p != h[i] {
				t.Fatalf("case %d: another order gives another hull", n)
			}
		}
	}
}

func regular(n int, r, turn float64, c Vec2) []Vec2 {
	var p []Vec2
	for i := range n {
		a := turn + 2*math.Pi*float64(i)/float64(n)
		p = append(p, Vec2{c.X + r*math.Cos(a), c.Y + r*math.Sin(a)})
	}
	return p
}

func TestClosedFigures(t *testing.T) {
	sq3 := math.Sqrt(3)
	for _, c := range []struct {
		name                     string
		pts                      []Vec2
		area, perim, rect, round float64
	}{
		{"box 80x50", []Vec2{{0, 0}, {80, 0}, {80, 50}, {0, 50}, {40, 25}, {40, 0}}, 4000, 260, 4000, math.Hypot(40, 25)},
		{"box turned 30 degrees", []Vec2{{0, 0}, {40 * sq3, 40}, {40*sq3 - 25, 40 + 25*sq3}, {-25, 25 * sq3}}, 4000, 260, 4000, math.Hypot(40, 25)},
		{"equal triangle side 10", []Vec2{{0, 0}, {10, 0}, {5, 5 * sq3}}, 25 * sq3, 30, 50 * sq3, 10 / sq3},
		{"blunt triangle: circle on the long side", []Vec2{{0, 0}, {10, 0}, {5, 1}}, 5, 10 + 2*math.Hypot(5, 1), 10, 5},
		{"hexagon radius 10", regular(6, 10, 0.2, Vec2{7, -3}), 150 * sq3, 60, 200 * sq3, 10},
		{"far off", []Vec2{{1e6, 1e6}, {1e6 + 8, 1e6}, {1e6 + 8, 1e6 + 5}, {1e6, 1e6 + 5}}, 40, 26, 40, math.Hypot(4, 2.5)},
	} {
		h := Hull2(c.pts)
		if got := AreaOf(h); !near(got, c.area, 1e-9) {
			t.Errorf("%s: area %v, want %v", c.name, got, c.area)
		}
		if got := PerimeterOf(h); !near(got, c.perim, 1e-9) {
			t.Errorf("%s: perimeter %v, want %v", c.name, got, c.perim)
		}
		r := MinRect(h)
		if got := r.Area(); !near(got, c.rect, 1e-9) {
			t.Errorf("%s: least rectangle %v, want %v", c.name, got, c.rect)
		}
		checkHolds(t, c.name, h, r, 0)
		if got := MinCircle(c.pts); !near(got.Radius, c.round, 1e-9) {
			t.Errorf("%s: least circle %v, want radius %v", c.name, got, c.round)
		}
	}
	for _, n := range []int{0, 1, 2} {
		p := []Vec2{{1, 2}, {4, 6}}[:n]
		r, c := MinRect(Hull2(p)), MinCircle(p)
		want := []float64{0, 0, 5}[n]
		if r.Length != want || r.Width != 0 || c.Radius != want/2 || AreaOf(p) != 0 || PerimeterOf(p) != 2*want {
			t.Errorf("%d points: rectangle %v, circle %v", n, r, c)
		}
	}
}

// checkHolds fails unless r, less margin on each side, holds the hull.
func checkHolds(t *testing.T, name string, h []Vec2, r Rect, margin float64) {
	t.Helper()
	if r.Length < r.Width || !near(r.Axis.Len(), 1, 1e-12) {
		t.Errorf("%s: not in canonical form: %+v", name, r)
	}
	for _, p := range h {
		v := p.Sub(r.Center)
		if math.Abs(v.Dot(r.Axis)) > r.Length/2-margin+1e-7 || math.Abs(v.Dot(r.Axis.Perp())) > r.Width/2-margin+1e-7 {
			t.Errorf("%s: %v is outside %+v less %v", name, p, r, margin)
			return
		}
	}
}

// grownSlow scans n angles over a quarter turn.
func grownSlow(h []Vec2, grow, step float64, n int) float64 {
	best := math.Inf(1)
	for i := range n {
		a := math.Pi / 2 * float64(i) / float64(n)
		d := Vec2{math.Cos(a), math.Sin(a)}
		x0, x1, y0, y1 := math.Inf(1), math.Inf(-1), math.Inf(1), math.Inf(-1)
		for _, p := range h {
			x, y := p.Dot(d), p.Dot(d.Perp())
			x0, x1, y0, y1 = min(x0, x), max(x1, x), min(y0, y), max(y1, y)
		}
		best = min(best, roundUp(x1-x0+2*grow, step)*roundUp(y1-y0+2*grow, step))
	}
	return best
}

func TestMinRectGrownAgainstScan(t *testing.T) {
	const seed = 13
	rnd := rand.New(rand.NewPCG(seed, 0))
	unflush := 0
	for n := range 120 {
		var pts []Vec2
		for range 3 + rnd.IntN(12) {
			pts = append(pts, Vec2{rnd.NormFloat64() * 40, rnd.NormFloat64() * 15})
		}
		h := Hull2(pts)
		grow := []float64{0, 8, 25}[n%3]
		step := []float64{0, 5, 10, 1}[n%4]
		r := MinRectGrown(h, grow, step)
		checkHolds(t, "random", h, r, grow)
		slow := grownSlow(h, grow, step, 4000)
		if r.Area() > slow*(1+1e-9) {
			t.Errorf("seed %d, case %d (grow %v, step %v): area %v, a scan of angles finds %v", seed, n, grow, step, r.Area(), slow)
		}
		if step == 0 && r.Area() < slow*(1-1e-3) {
			t.Errorf("case %d: area %v is below what a scan of angles allows, %v", n, r.Area(), slow)
		}
		if step > 0 {
			flushOnly := math.Inf(1)
			for _, d := range flush(h) {
				q := newCalipers(h, d).rect(d)
				flushOnly = min(flushOnly, roundUp(q.Length+2*grow, step)*roundUp(q.Width+2*grow, step))
			}
			if r.Area() < flushOnly*(1-1e-9) {
				unflush++
			}
			for _, side := range []float64{r.Length, r.Width} {
				if k := side / step; math.Abs(k-math.Round(k)) > 1e-9 {
					t.Errorf("case %d: side %v is no whole number of %v", n, side, step)
				}
			}
		}
	}
	if unflush == 0 {
		t.Error("no case had its best rounded rectangle between flush angles: the search there is untested")
	}
	// A round outline has 90 rectangles of the same area: the one a person
	// would draw is wanted.
	round := regular(360, 50, 0.003, Vec2{})
	if r := MinRectGrown(round, 10, 0); r.skew() > 0.02 {
		t.Errorf("a round outline gives a rectangle askew: %+v", r)
	}
}

func circleSlow(pts []Vec2) float64 {
	best := math.Inf(1)
	offer := func(c Circle, ok bool) {
		if !ok || c.Radius >= best {
			return
		}
		for _, p := range pts {
			if p.Sub(c.Center).Len() > c.Radius*(1+1e-10) {
				return
			}
		}
		best = c.Radius
	}
	for i, a := range pts {
		for j, b := range pts[:i] {
			offer(Circle{a.Add(b).Mul(0.5), a.Sub(b).Len() / 2}, true)
			for _, c := range pts[:j] {
				offer(through(a, b, c))
			}
		}
	}
	return best
}

func TestMinCircleAgainstAllTriples(t *testing.T) {
	const seed = 14
	rnd := rand.New(rand.NewPCG(seed, 0))
	for n := range 200 {
		var pts []Vec2
		for range 2 + rnd.IntN(20) {
			switch n % 3 {
			case 0:
				pts = append(pts, Vec2{rnd.NormFloat64(), rnd.NormFloat64()})
			case 1:
				pts = append(pts, Vec2{float64(rnd.IntN(4)), float64(rnd.IntN(4))})
			case 2:
				pts = append(pts, regular(1, 5, rnd.Float64()*7, Vec2{1000, 0})...)
			}
		}
		h := Hull2(pts)
		if len(h) < 2 {
			continue
		}
		c := MinCircle(pts)
		if want := circleSlow(h); !near(c.Radius, want, 1e-9) {
			t.Errorf("seed %d, case %d: radius %v, want %v", seed, n, c.Radius, want)
		}
		for _, p := range pts {
			if p.Sub(c.Center).Len() > c.Radius*(1+1e-12) {
				t.Errorf("case %d: %v lies outside %v", n, p, c)
			}
		}
	}
}

// cloud is a mesh whose outline is known only by the slow way: vertices in a
// ball, on a drum's rim, on a block's faces.
func cloud(n int, kind string) *Mesh {
	rnd := rand.New(rand.NewPCG(15, uint64(n)))
	verts := make([]Vec, n)
	for i := range verts {
		switch kind {
		case "ball":
			v := V(rnd.NormFloat64(), rnd.NormFloat64(), rnd.NormFloat64()).Unit()
			verts[i] = v.Mul(50).Add(V(300, -20, 7))
		case "drum":
			a := 2 * math.Pi * rnd.Float64()
			verts[i] = V(40*math.Cos(a), 40*math.Sin(a), rnd.Float64()*100)
		case "block":
			v := V(rnd.Float64()*30, rnd.Float64()*20, rnd.Float64()*10)
			if i%2 == 0 {
				v.X = 30
			}
			verts[i] = v
		}
	}
	tris := make([][3]int32, n/3)
	for i := range tris {
		tris[i] = [3]int32{int32(3 * i), int32(3*i + 1), int32(3*i + 2)}
	}
	return New(verts, tris)
}

func TestOutlinePointsAgainstPlainHull(t *testing.T) {
	for _, kind := range []string{"ball", "drum", "block"} {
		for _, u := range []Vec{V(0, 0, 1), V(1, 2, 3).Unit(), V(-1, 0, 0)} {
			m := cloud(90003, kind)
			skip := make([]bool, m.NumTriangles())
			for i := range skip {
				skip[i] = i%5 == 0
			}
			e1, e2 := Basis(u)
			for _, sk := range [][]bool{nil, skip} {
				var pts []Vec2
				for i, p := range m.Vertices() {
					if sk == nil || !sk[i/3] {
						pts = append(pts, Vec2{p.Dot(e1), p.Dot(e2)})
					}
				}
				want := Hull2(pts)
				got := OutlinePoints(m, sk, u)
				if len(got) != len(want) {
					t.Fatalf("%s along %v: %d corners, want %d", kind, u, len(got), len(want))
				}
				for i := range got {
					if got[i] != want[i] {
						t.Fatalf("%s along %v: corner %d is %v, want %v", kind, u, i, got[i], want[i])
					}
				}
				old := runtime.GOMAXPROCS(1)
				one := OutlinePoints(m, sk, u)
				runtime.GOMAXPROCS(old)
				for i := range got {
					if got[i] != one[i] {
						t.Fatal("the outline depends on the number of cores")
					}
				}
			}
		}
	}
}

func BenchmarkOutlinePoints5M(b *testing.B) {
	m := cloud(5_000_000, "ball")
	b.ResetTimer()
	for b.Loop() {
		OutlinePoints(m, nil, V(0, 0, 1))
	}
}

func BenchmarkMinRectGrown(b *testing.B) {
	h := Hull2(regular(20000, 200, 0, Vec2{}))
	for b.Loop() {
		MinRectGrown(h, 20, 5)
	}
}

func TestMaxClearanceAgainstScan(t *testing.T) {
	const seed = 16
	rnd := rand.New(rand.NewPCG(seed, 0))
	for n := range 150 {
		var pts []Vec2
		for range 2 + n%9 {
			pts = append(pts, Vec2{rnd.NormFloat64() * 30, rnd.NormFloat64() * 20})
		}
		h := Hull2(pts)
		l, w := 60+rnd.Float64()*80, 40+rnd.Float64()*40
		r, gap := MaxClearance(h, l, w)
		scan := math.Inf(-1)
		for i := range 20000 {
			a := math.Pi * float64(i) / 20000
			d := Vec2{math.Cos(a), math.Sin(a)}
			x0, x1, y0, y1 := math.Inf(1), math.Inf(-1), math.Inf(1), math.Inf(-1)
			for _, p := range h {
				x, y := p.Dot(d), p.Dot(d.Perp())
				x0, x1, y0, y1 = min(x0, x), max(x1, x), min(y0, y), max(y1, y)
			}
			scan = max(scan, min(max(l, w)-(x1-x0), min(l, w)-(y1-y0))/2)
		}
		if gap < scan-1e-9 || gap > scan+0.02 {
			t.Errorf("seed %d, case %d: clearance %v, a scan of angles finds %v (box %v x %v)", seed, n, gap, scan, l, w)
		}
		checkHolds(t, "clearance", h, r, gap)
	}
	// A 100 mm rod fits a 80 x 70 box only across.
	if _, gap := MaxClearance([]Vec2{{0, 0}, {60, 80}}, 80, 70); gap <= 0 {
		t.Errorf("a 100 mm line fits across 80 x 70, got clearance %v", gap)
	}
	// 5 x 5 in 10 x 10: 2.5 all round, square to the box.
	r, gap := MaxClearance([]Vec2{{0, 0}, {5, 0}, {5, 5}, {0, 5}}, 10, 10)
	if gap != 2.5 || r.Axis != (Vec2{1, 0}) || r.Center != (Vec2{2.5, 2.5}) {
		t.Errorf("square in a square: %+v, %v", r, gap)
	}
}
