package boxfit

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"

	"moldtally/mesh"
	"moldtally/mesh/demold"
	space "moldtally/mesh/demold/scene"
	"moldtally/mesh/dexel"
	"moldtally/mesh/par"
)

// sizeClass is the step of a table by the pattern's largest size, mm: to 150, to
// 300, to 600, and larger. Judgement of this program.
func sizeClass(largest float64) int {
	class := 0
	for _, to := range [...]float64{150, 300, 600} {
		if largest > to*(1+1e-9) {
			class++
		}
	}
	return class
}

// Thickness of a coat by size class, mm (common practice, no source).
var (
	pouredCoat  = [...]float64{8, 10, 12, 15}
	brushedCoat = [...]float64{5, 7, 9, 11}
)

// CoatRule returns the thickness of the coat of a blanket or a brushed mold, mm,
// for a pattern of a largest size, mm: poured 8, 10, 12 or 15, brushed 5, 7, 9 or
// 11 (common practice, no source).
func CoatRule(m demold.Mold, largest float64) float64 {
	if m == demold.Brushed {
		return brushedCoat[sizeClass(largest)]
	}
	return pouredCoat[sizeClass(largest)]
}

const (
	// coatCells is how many columns a coat is thick at least, and coatLeast how many
	// there are at least where that is little work. Bodies with a known coat come out
	// within 0.3 % (a test measures it).
	coatCells = 5
	coatLeast = 4e4
	// coatColumns and coatWork bound the columns, and how often one is touched: a
	// large pattern with a thin coat is looked at on wider ones.
	coatColumns = 1.2e6
	coatWork    = 1e7
	// coatMemory is the most of the lattice, in heights, that one row may have, and
	// coatStripe that are worked on at once: what lies near a core of a processor.
	coatMemory = 2 << 20
	coatStripe = 1 << 18
	// CoatError is how far the volume of a coat may be off, as a share of it.
	CoatError = 0.003
)

// run is a stretch of a column, mm above the coating's floor.
type run struct{ lo, hi float32 }

// coating is the space within a distance of the pattern, over a lattice of columns.
type coating struct {
	s      *scene
	t      float64 // mm
	f      *dexel.Field
	room   *space.Space
	floor  float64 // where rubber begins: the clay line, or under halves, as a height
	points []mesh.Vec
	shapes coatShapes

	draw   float64 // draft that the shell asks of its outside, radians; 0 = none
	volume float64 // of the coat, mm³
	// full has per column what pattern, coat, and air that is shut in take up, above
	// the floor, lowest first; off is where a column's runs begin.
	full []run
	off  []int32
}

// coat reckons the space outside the pattern and above the clay line that is nearer
// to it than t, mm. Along each column the space within t of the surface is the union
// of what the balls round the vertices, the rods round the edges and the plates over
// the faces take of it, without error; only across the columns is it sampled. The
// lattice is turned against the pattern's own walls by an angle whose tangent is no
// simple fraction, so that a straight wall crosses the columns evenly.
func (s *scene) coat(ctx context.Context, t float64) (*coating, error) {
	c := &coating{s: s, t: t, floor: s.base + s.clayHeight}
	line := c.floor
	if s.parting != nil { // it lies in its bed, with a coat on its underside too
		c.floor, line = s.base-1.1*t, math.Inf(-1)
	}
	const turn = 0.5547 // radians; tan = 0.6190…
	yaw := math.Atan2(s.rect.Axis.Y, s.rect.Axis.X) + turn
	if err := c.gather(ctx); err != nil {
		return nil, err
	}
	cell := c.cell()
	skip := func(k int) bool { return s.skip != nil && s.skip[k] }
	g := dexel.GridAlong(s.surface, s.up, cell, yaw, int(math.Ceil(1.1*t/cell))+1, skip)
	var err error
	if c.f, err = s.columns(ctx, g); err != nil {
		return nil, fmt.Errorf("boxfit: %w", err)
	}
	c.room = space.NewSpace(c.f, min(s.base, line), line, max(1e-6*s.height(), 1e-9), s.ragged)
	c.points = make([]mesh.Vec, s.surface.NumVertices())
	for k, v := range s.surface.Vertices() {
		x, y, z := g.Plane(v)
		c.points[k] = mesh.V(x, y, z-c.floor)
	}
	return c, c.fill(ctx)
}

// cell is how wide the columns are, mm.
func (c *coating) cell() float64 {
	outline := (c.s.rect.Length + 2*c.t) * (c.s.rect.Width + 2*c.t)
	cell := min(c.t/coatCells, math.Sqrt(outline/coatLeast))
	row := (2*c.s.circle.Radius + 2*c.t) * (c.s.height() + c.t) // an upright slice, at most
	return max(cell, math.Sqrt(outline/coatColumns), math.Sqrt(c.footprint()/coatWork), math.Sqrt(row/coatMemory))
}

// fill reckons the columns, a stripe of rows at a time.
func (c *coating) fill(ctx context.Context) error {
	f := c.f
	top := c.s.top + 1.1*c.t - c.floor
	bins := int(top/f.Cell) + 2
	rows := max(1, min(f.NY, coatStripe/(f.NX*bins)))
	stripes := (f.NY + rows - 1) / rows
	lists := c.shapes.byStripe(c, rows, stripes)
	volume := make([]float64, f.NY)
	full, count := make([][]run, stripes), make([]int32, f.NX*f.NY)
	var team par.Team[stripe]
	err := team.Each(ctx, stripes, func(w *stripe, k int) {
		w.begin(c, k*rows, min(f.NY, (k+1)*rows), bins)
		w.draw(&lists[k])
		full[k] = w.settle(volume, count)
	})
	if err != nil {
		return fmt.Errorf("boxfit: %w", err)
	}
	for _, v := range volume {
		c.volume += v
	}
	c.volume *= f.Cell * f.Cell
	c.full = slices.Concat(full...)
	c.off = make([]int32, len(count)+1)
	for k, n := range count {
		c.off[k+1] = c.off[k] + n
	}
	return nil
}

// column is what is taken of a column.
func (c *coating) column(i, j int) []run {
	k := j*c.f.NX + i
	return c.full[c.off[k]:c.off[k+1]]
}

// shut adds to out what of a column above the floor coat cannot be: the pattern,
// and gaps that no rubber reaches.
func (c *coating) shut(i, j int, out []run) []run {
	col, off := c.f.Column(i, j), c.f.Offset(i, j)
	for k := range col {
		lo := col[k].Bottom
		if c.room.Fill[off+k] != space.Rubber {
			lo, _ = c.room.Gap(col, k)
		}
		out = addRun(out, run{float32(lo - c.floor), float32(col[k].Top - c.floor)})
	}
	return out
}

// addRun adds a run that begins no lower than those before it, above the floor.
func addRun(list []run, r run) []run {
	if r.lo = max(r.lo, 0); r.hi <= r.lo {
		return list
	}
	if n := len(list); n > 0 && r.lo <= list[n-1].hi {
		list[n-1].hi = max(list[n-1].hi, r.hi)
		return list
	}
	return append(list, r)
}

// length is that of runs together, mm.
func length(list []run) (sum float64) {
	for _, r := range list {
		sum += float64(r.hi) - float64(r.lo)
	}
	return sum
}

// stripe is some rows of the lattice at work: per column and bin of height the
// lowest beginning of a stretch that begins there, and the highest end of those.
type stripe struct {
	c        *coating
	j0, j1   int
	bins     int
	at       []run
	own, sum []run
}

var noRun = run{float32(math.Inf(1)), float32(math.Inf(-1))}

func (w *stripe) begin(c *coating, j0, j1, bins int) {
	w.c, w.j0, w.j1, w.bins = c, j0, j1, bins
	n := (j1 - j0) * c.f.NX * bins
	if cap(w.at) < n {
		w.at = make([]run, n)
	}
	w.at = w.at[:n]
	for k := range w.at {
		w.at[k] = noRun
	}
}

// add takes the stretch lo to hi, mm above the floor, of column (i, j).
func (w *stripe) add(i, j int, lo, hi float64) {
	if hi <= 0 {
		return
	}
	lo = max(lo, 0)
	k := min(int(lo/w.c.f.Cell), w.bins-1)
	r := &w.at[((j-w.j0)*w.c.f.NX+i)*w.bins+k]
	r.lo, r.hi = min(r.lo, float32(lo)), max(r.hi, float32(hi))
}

// settle joins the stretches of each column with the pattern, and writes the coat's
// length in each row and how many runs each column has.
func (w *stripe) settle(volume []float64, count []int32) (full []run) {
	f := w.c.f
	near := float32(1e-3 * f.Cell)
	for j := w.j0; j < w.j1; j++ {
		for i := range f.NX {
			w.own = w.c.shut(i, j, w.own[:0])
			w.sum = append(w.sum[:0], w.own...)
			at := ((j-w.j0)*f.NX + i) * w.bins
			for _, r := range w.at[at : at+w.bins] {
				if r.hi > r.lo {
					w.sum = append(w.sum, run{r.lo - near, r.hi})
				}
			}
			slices.SortFunc(w.sum, func(a, b run) int { return cmp.Compare(a.lo, b.lo) })
			from := len(full)
			joined := full[from:from:cap(full)]
			for _, r := range w.sum {
				joined = addRun(joined, r)
			}
			full = append(full[:from], joined...)
			count[j*f.NX+i] = int32(len(joined))
			volume[j] += length(joined) - length(w.own)
		}
	}
	return full
}
