package nest

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

// sawn saws a sheet up as its cuts say and complains of a cut that does not go right
// across what is on the saw; then every piece has to be one of the parts, to size.
func sawn(t *testing.T, pieces []Piece, length, width, kerf float64, sh Sheet) {
	t.Helper()
	const eps = 1e-5
	same := func(a, b float64) bool { return math.Abs(a-b) < eps }
	parts := []Rect{{0, 0, length, width}}
	for _, c := range sh.Cuts {
		k := slices.IndexFunc(parts, func(r Rect) bool {
			if c.AlongX {
				return same(r.X, c.From) && same(r.X+r.Length, c.To) && c.At > r.Y-eps && c.At < r.Y+r.Width+eps
			}
			return same(r.Y, c.From) && same(r.Y+r.Width, c.To) && c.At > r.X-eps && c.At < r.X+r.Length+eps
		})
		if k < 0 {
			t.Fatalf("cut %+v goes right across none of %v", c, parts)
		}
		a, b := parts[k], parts[k]
		if c.AlongX {
			a.Width, b.Y = c.At-a.Y, c.At+kerf
			b.Width = parts[k].Y + parts[k].Width - b.Y
		} else {
			a.Length, b.X = c.At-a.X, c.At+kerf
			b.Length = parts[k].X + parts[k].Length - b.X
		}
		parts[k] = a
		if b.Length > eps && b.Width > eps {
			parts = append(parts, b)
		}
	}
	take := func(r Rect) bool {
		k := slices.IndexFunc(parts, func(p Rect) bool {
			return same(p.X, r.X) && same(p.Y, r.Y) && same(p.Length, r.Length) && same(p.Width, r.Width)
		})
		if k >= 0 {
			parts = slices.Delete(parts, k, k+1)
		}
		return k >= 0
	}
	for _, p := range sh.Placed {
		r := Rect{p.X, p.Y, pieces[p.Piece].Length, pieces[p.Piece].Width}
		if p.Turned {
			r.Length, r.Width = r.Width, r.Length
		}
		if !take(r) {
			t.Fatalf("piece %d, %v, is none of %v", p.Piece, r, parts)
		}
	}
	if o := sh.Offcut; o.Area() > 0 && !take(o) {
		t.Fatalf("the offcut %v is none of %v", o, parts)
	}
}

// apart checks, pair by pair, that pieces lie inside the sheet and a kerf apart.
func apart(t *testing.T, pieces []Piece, length, width, kerf float64, sh Sheet) {
	t.Helper()
	const eps = 1e-5
	at := func(p Placed) (x, y, x2, y2 float64) {
		q := pieces[p.Piece]
		if p.Turned {
			q.Length, q.Width = q.Width, q.Length
		}
		return p.X, p.Y, p.X + q.Length, p.Y + q.Width
	}
	for i, p := range sh.Placed {
		x, y, x2, y2 := at(p)
		if x < -eps || y < -eps || x2 > length+eps || y2 > width+eps {
			t.Fatalf("piece %d sticks out", p.Piece)
		}
		for _, q := range sh.Placed[:i] {
			u, v, u2, v2 := at(q)
			if gap := max(u-x2, x-u2, v-y2, y-v2); gap < kerf-eps {
				t.Fatalf("pieces %d and %d are %g apart", p.Piece, q.Piece, gap)
			}
		}
	}
}

func randomSet(rnd *rand.Rand) (pieces []Piece, length, width, kerf float64) {
	length, width, kerf = 500+2000*rnd.Float64(), 300+1500*rnd.Float64(), float64(rnd.IntN(8))
	for range 1 + rnd.IntN(14) {
		p := Piece{10 + rnd.Float64()*700, 10 + rnd.Float64()*300}
		switch rnd.IntN(12) {
		case 0:
			p.Length = length // no cut at that end
		case 1:
			p = Piece{width, 100}
		case 2:
			p.Length = length - kerf*rnd.Float64() // less than a kerf is left
		}
		for range 1 + rnd.IntN(3) {
			pieces = append(pieces, p)
		}
	}
	return pieces, length, width, kerf
}

// Ten thousand sets, each laid by a rule or a mixture of rules.
func TestLaid(t *testing.T) {
	rnd := rand.New(rand.NewPCG(1, 2))
	var l layout
	for range 10000 {
		pieces, length, width, kerf := randomSet(rnd)
		s := &search{length: length, width: width, kerf: kerf, pieces: pieces}
		var steps []step
		for i, p := range pieces {
			if s.fits(p) {
				steps = append(steps, step{i, choice(rnd.IntN(int(choices))), split(rnd.IntN(int(splits)))})
			}
		}
		s.lay(&l, steps)
		n := 0
		for _, sh := range l.sheets(s) {
			sawn(t, pieces, length, width, kerf, sh)
			apart(t, pieces, length, width, kerf, sh)
			n += len(sh.Placed)
		}
		if n != len(steps) {
			t.Fatalf("%d pieces laid of %d", n, len(steps))
		}
	}
}

func TestNest(t *testing.T) {
	rnd := rand.New(rand.NewPCG(3, 4))
	for range 8 {
		pieces, length, width, kerf := randomSet(rnd)
		pieces = pieces[:min(len(pieces), 8)]
		sheets, large := Nest(pieces, length, width, kerf)
		n := len(large)
		for _, sh := range sheets {
			sawn(t, pieces, length, width, kerf, sh)
			apart(t, pieces, length, width, kerf, sh)
			n += len(sh.Placed)
		}
		if n != len(pieces) {
			t.Fatalf("%d pieces of %d", n, len(pieces))
		}
	}
	sheets, large := Nest([]Piece{{3000, 100}, {1220, 2440}, {2441, 10}}, 2440, 1220, 3)
	if len(sheets) != 1 || !slices.Equal(large, []int{0, 2}) || len(sheets[0].Cuts) != 0 || sheets[0].Offcut.Area() != 0 || !sheets[0].Placed[0].Turned {
		t.Errorf("a whole sheet: %+v, too large %v", sheets, large)
	}
	if s, l := Nest(nil, 2440, 1220, 3); s != nil || l != nil {
		t.Errorf("nothing: %v, %v", s, l)
	}
}

// least is the shortest strip of a width that squares can be sawn from with no kerf, by
// every way of parting a set in two: a slow twin for few and whole sizes.
func least(sides []int, width int) int {
	const never = 1 << 20
	all := 1<<len(sides) - 1
	short := make([][]int, all+1) // by set and width
	for set := 1; set <= all; set++ {
		short[set] = make([]int, width+1)
		for w := range width + 1 {
			best := never
			if set&(set-1) == 0 {
				for k, a := range sides {
					if set == 1<<k && a <= w {
						best = a
					}
				}
			}
			for a := (set - 1) & set; a > set-a; a = (a - 1) & set {
				b := set - a
				best = min(best, short[a][w]+short[b][w])
				for v := 1; v < w; v++ {
					best = min(best, max(short[a][v], short[b][w-v]))
				}
			}
			short[set][w] = best
		}
	}
	return short[all][width]
}

// Squares that fill a rectangle without a gap, in no way that a saw can follow
// (published: R. L. Brooks, C. A. B. Smith, A. H. Stone & W. T. Tutte, "The dissection of
// rectangles into squares", 1940, for 33 × 32 and 65 × 47; A. J. W. Duijvestijn, 1978, for
// the square of 112). Against the best that a saw can do with them, found by trying
// everything, and against the perfect rectangle.
func TestSquares(t *testing.T) {
	for _, c := range []struct {
		width, perfect int
		sides          []int
		over           float64 // the perfect rectangle, at most
		brute          bool
	}{
		{33, 32, []int{18, 15, 7, 8, 14, 4, 10, 1, 9}, 0.125, true},
		{47, 65, []int{25, 24, 23, 22, 19, 17, 11, 6, 5, 3}, 0.05, false},
		{112, 112, []int{50, 42, 37, 35, 33, 29, 27, 25, 24, 19, 18, 17, 16, 15, 11, 9, 8, 7, 6, 4, 2}, 0.10, false},
	} {
		var p []Piece
		for _, a := range c.sides {
			p = append(p, Piece{float64(a), float64(a)})
		}
		long := float64(4 * c.perfect)
		sheets, _ := Nest(p, long, float64(c.width), 0)
		if len(sheets) != 1 {
			t.Fatalf("%d sheets", len(sheets))
		}
		sawn(t, p, long, float64(c.width), 0, sheets[0])
		used := long - sheets[0].Offcut.Length
		if used > float64(c.perfect)*(1+c.over) {
			t.Errorf("%d × %d: %g long", c.width, c.perfect, used)
		}
		if c.brute {
			if l := least(c.sides, c.width); used > float64(l) {
				t.Errorf("%d × %d: %g long, a saw can do it on %d", c.width, c.perfect, used, l)
			}
		}
	}
}

// Sheets sawn up at random go back onto as many sheets, or a tenth more.
func TestPutTogether(t *testing.T) {
	rnd := rand.New(rand.NewPCG(5, 6))
	const kerf = 3
	parts := func(n int) (list []Piece) {
		rects := []Rect{{0, 0, 2440, 1220}}
		for len(rects) < n {
			k := rnd.IntN(len(rects))
			a := rects[k]
			b := a
			if a.Length > a.Width {
				a.Length = math.Round(a.Length * (0.3 + 0.4*rnd.Float64()))
				b.Length -= a.Length + kerf
			} else {
				a.Width = math.Round(a.Width * (0.3 + 0.4*rnd.Float64()))
				b.Width -= a.Width + kerf
			}
			rects[k] = a
			rects = append(rects, b)
		}
		for _, r := range rects {
			list = append(list, Piece{r.Length, r.Width})
		}
		return list
	}
	var all []Piece
	for range 10 {
		all = append(all, parts(4)...)
	}
	if sheets, _ := Nest(all, 2440, 1220, kerf); len(sheets) > 11 {
		t.Errorf("%d sheets", len(sheets))
	}
}

func BenchmarkBox(b *testing.B) {
	p := []Piece{{632, 140}, {632, 140}, {400, 140}, {400, 140}, {692, 492}}
	for b.Loop() {
		Nest(p, 2440, 1220, 3)
	}
}
