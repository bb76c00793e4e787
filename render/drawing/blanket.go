package drawing

import (
	"context"
	"math"
	"strconv"

	"moldtally/boxfit"
	"moldtally/render/figure"
)

// sliceSteps is in how many steps a blanket's section is drawn along its longer side, and
// sliceStep how fine at most, mm.
const (
	sliceSteps = 500.0
	sliceStep  = 0.4
)

// through cuts the pattern upright: along the container, or where a shell parts across
// its parting, with what lies over it.
func (k *cutter) through(ctx context.Context, c *container) (err error) {
	if c.fit.Kind != boxfit.Mother {
		return k.upright(ctx, c)
	}
	across := *k
	across.x = c.fit.Across()
	across.y = k.z.Cross(across.x)
	if err = across.upright(ctx, c); err != nil {
		return err
	}
	c.slice, err = c.fit.Slice(ctx, k.o.Add(across.y.Mul(c.beside)), across.x, max(sliceStep, c.fit.FormSize()/sliceSteps))
	return err
}

// blanket draws what lies over the pattern: coat, what fills it out, hatched one way, and
// the shell with its flanges and bolts, hatched the other.
func (f *Figure) blanket(s *boxfit.Slice, fit *boxfit.Fit) {
	field := func(of []float64) func(x, z float64) float64 {
		return func(x, z float64) float64 { return sampled(s, of, x, z) }
	}
	coat, filled, shell := field(s.Coat), field(s.Filled), field(s.Shell)
	for _, l := range contours(s, s.Coat) {
		f.line(Thin, l...)
	}
	for _, of := range [2][]float64{s.Filled, s.Shell} {
		for _, l := range contours(s, of) {
			f.line(Outline, l...)
		}
	}
	apart := max(2.5, fit.FormSize()/90)
	f.hatch(s, apart/2, 1, func(x, z float64) bool { return filled(x, z) > 0 && coat(x, z) < 0 })
	f.hatch(s, apart, -1, func(x, z float64) bool { return shell(x, z) > 0 && filled(x, z) < 0 })
	if b := fit.Shell.Bolts; b != nil {
		for _, p := range s.Bolts {
			f.bolt(p, b.Diameter)
		}
	}
}

// bolt draws a bolt as its shank, its head and its nut.
func (f *Figure) bolt(b boxfit.Bolt, d float64) {
	v := b.To.Sub(b.From)
	u := v.Mul(1 / v.Len())
	n := u.Perp()
	box := func(from, to Point, half float64) {
		f.loop(Outline, from.Add(n.Mul(half)), to.Add(n.Mul(half)), to.Sub(n.Mul(half)), from.Sub(n.Mul(half)))
	}
	box(b.From, b.To, d/2)
	box(b.From.Sub(u.Mul(0.7*d)), b.From, d)
	box(b.To, b.To.Add(u.Mul(0.8*d)), d)
}

// hatch draws lines at 45°, rising along x where way is 1, wherever in says so.
func (f *Figure) hatch(s *boxfit.Slice, apart, way float64, in func(x, z float64) bool) {
	wide, high := float64(s.NX-1)*s.Step, float64(s.NZ-1)*s.Step
	step := s.Step / 2
	for c := apart; c < wide+high; c += apart {
		var from *Point
		last := Point{}
		for t := max(0, c-wide); t <= min(c, high); t += step {
			p := Point{X: s.X0 + c - t, Y: s.Z0 + t}
			if way > 0 {
				p.X = s.X0 + wide - c + t
			}
			if in(p.X, p.Y) {
				if from == nil {
					from = &Point{X: p.X, Y: p.Y}
				}
				last = p
				continue
			}
			if from != nil && last != *from {
				f.line(Faint, *from, last)
			}
			from = nil
		}
		if from != nil && last != *from {
			f.line(Faint, *from, last)
		}
	}
}

// sampled is a field of a slice between its nodes.
func sampled(s *boxfit.Slice, of []float64, x, z float64) float64 {
	a, b := (x-s.X0)/s.Step, (z-s.Z0)/s.Step
	i, j := int(math.Floor(a)), int(math.Floor(b))
	if i < 0 || j < 0 || i+1 >= s.NX || j+1 >= s.NZ {
		return -1
	}
	a, b = a-float64(i), b-float64(j)
	k := j*s.NX + i
	return float64((1-b)*((1-a)*of[k]+a*of[k+1])) + float64(b*((1-a)*of[k+s.NX]+a*of[k+s.NX+1]))
}

// crossing is an edge of a slice's lattice, by its two nodes.
type crossing [2]int

// contours are the lines along which a field is 0.
func contours(s *boxfit.Slice, of []float64) (all [][]Point) {
	next := map[crossing][]crossing{} // looked up, never ranged over
	var starts []crossing
	for j := range s.NZ - 1 {
		for i := range s.NX - 1 {
			k := j*s.NX + i
			for _, tri := range [2][3]int{{k, k + 1, k + s.NX + 1}, {k, k + s.NX + 1, k + s.NX}} {
				var ends []crossing
				for e := range 3 {
					a, b := tri[e], tri[(e+1)%3]
					if (of[a] > 0) != (of[b] > 0) {
						ends = append(ends, crossing{min(a, b), max(a, b)})
					}
				}
				if len(ends) == 2 {
					next[ends[0]], next[ends[1]] = append(next[ends[0]], ends[1]), append(next[ends[1]], ends[0])
					starts = append(starts, ends[0], ends[1])
				}
			}
		}
	}
	place := func(c crossing) Point {
		a, b := c[0], c[1]
		w := of[a] / (of[a] - of[b])
		at := func(k int) Point {
			return Point{X: s.X0 + float64(float64(k%s.NX)*s.Step), Y: s.Z0 + float64(float64(k/s.NX)*s.Step)}
		}
		return at(a).Add(at(b).Sub(at(a)).Mul(w))
	}
	used := map[crossing]bool{}
	walk := func(from crossing) {
		var pts []Point
		closed := len(next[from]) == 2
		for e, ok := from, true; ok; {
			used[e] = true
			pts = append(pts, place(e))
			ok = false
			for _, m := range next[e] {
				if !used[m] {
					e, ok = m, true
					break
				}
			}
		}
		if closed {
			pts = append(pts, pts[0])
		}
		all = append(all, plain(pts))
	}
	for _, ends := range [2]int{1, 2} { // open ones from an end
		for _, e := range starts {
			if !used[e] && len(next[e]) == ends {
				walk(e)
			}
		}
	}
	return all
}

// blanketWords say what the section of a blanket shows.
func (w *writer) blanketWords() (lines []string) {
	f := w.s.Fit
	x := f.Shell
	filling := ""
	if f.FillOut != nil && *f.FillOut > 0 {
		filling = "; hatched close: what fills it out until the shell draws, " + w.Inline(figure.Volume(*f.FillOut, *f.FillOut, *f.FillOut))
	}
	lines = append(lines, "Drawn thin: the coat, "+w.long(*f.Coat)+" thick"+filling+".")
	shell := "Hatched wide: the shell, " + w.long(x.Thickness) + " thick, in " + figure.Count(len(x.Pieces), "piece", "pieces") + ", its flanges " + w.long(x.Flange) + " wide"
	if b := x.Bolts; b != nil {
		shell += "; " + strconv.Itoa(b.Count) + " bolts M" + strconv.Itoa(int(b.Diameter)) + ", no farther apart than " + w.long(b.Spacing)
	}
	lines = append(lines, shell+".")
	where := "along its length"
	if len(x.Pieces) > 1 {
		where = "across the line where its pieces part"
	}
	if c := w.c; c.aside {
		where += ", beside its middle"
	}
	return append(lines, "The cut is upright, "+where+".")
}
