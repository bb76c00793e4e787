package parting

import (
	"cmp"
	"context"
	"math"
	"slices"

	"moldtally/mesh"
	"moldtally/mesh/demold/scene"
)

// The natural parting line is where what is seen from above meets what is seen
// from below: it runs round the outline of the pattern's shadow along the pull,
// outside and through each hole, at the height where the surface touches that
// outline. On a plumb wall every height touches it, and on a scan the grain of
// the wall decides which bump does; so the line is not read off the faces but
// drawn like a taut thread: of all lines round the outline the one that is shortest,
// counting what undercut it leaves.

// Weights of that sum, per mm of outline. They are judgements.
const (
	// inward is what it costs that the line runs a cell inside the outline,
	// in lengths of outline: a smooth body keeps its silhouette to a hundredth
	// of a cell, and a line does not climb a wall for the sake of its grain.
	inward = 1.0
	// Farther in than this, in cells, each cell costs only farIn: the teeth of
	// a torn rim do not throw the line from one side of the pattern to the other.
	farFrom, farIn = 2.0, 0.1
	// levelling is what it costs to be as far from the flat parting as the pattern
	// is large: it decides where all else is equal.
	levelling = 0.02
	// lineDepth is how far inside the outline the line may run, in cells.
	lineDepth = 8.0
	// lineSteps is the number of heights per cell that are tried on a wall.
	lineSteps = 2
)

// Where the line jumps from one part of the pattern to another that it passes
// over in the shadow, the step is a break in the line if it is higher than both
// of these; lower ones are steep places. Judgements.
const (
	breakCells = 4.0
	breakShare = 0.01 // of the pattern's size
	breakBack  = 10   // crossings, and cells, over which a line returns to the outline
)

// leastHole is the size of a hole in the shadow, in cells, under which it is
// grain and no opening for the halves to meet in.
const leastHole = 3.0

// Break is a place where the natural parting line steps from one part of the
// pattern to another that hides it along the pull.
type Break struct {
	At     [3]float64 `json:"at_mm"`
	Height float64    `json:"height_mm"`
}

// Natural is the natural parting line on the pattern: its length, breaks left
// out, how far it strays from the flat parting, its course (closed lines end
// where they begin) and where it breaks. Length and Flatness are of the lines as
// they are given, which are simplified to a quarter of a cell.
type Natural struct {
	Length   *float64       `json:"length_mm"`
	Flatness *float64       `json:"flatness_mm"`
	Line     [][][3]float64 `json:"line_mm"` // the longest first
	Breaks   []Break        `json:"breaks"`  // the highest first
}

// flat is a scene with the height of its flat parting.
type flat struct {
	*scene.Scene
	height float64
}

// Line finds the natural parting line along the scene's pull. Where all else is
// equal it keeps to the flat parting at a height.
func Line(ctx context.Context, c *scene.Scene, height float64) (Natural, error) {
	a := flat{c, height}
	o := newOutline(a)
	if err := o.profiles(ctx); err != nil {
		return Natural{}, err
	}
	o.corners()
	p := Natural{Line: [][][3]float64{}, Breaks: []Break{}}
	var lines [][]mesh.Vec
	for _, loop := range o.loops {
		if ctx.Err() != nil {
			return Natural{}, ctx.Err()
		}
		l, b := o.drawLine(loop)
		lines = append(lines, l...)
		p.Breaks = append(p.Breaks, b...)
	}
	slices.SortStableFunc(lines, longerFirst)
	slices.SortStableFunc(p.Breaks, func(a, b Break) int { return cmp.Compare(b.Height, a.Height) })
	var length, stray float64
	for _, l := range lines {
		length += lineLength(l)
		for _, v := range l {
			stray = max(stray, math.Abs(v.Dot(a.Up)-a.height))
		}
		p.Line = append(p.Line, arrays(l))
	}
	p.Length, p.Flatness = &length, &stray
	return p, nil
}

// course is the line round one loop of the outline while it is drawn.
type course struct {
	o      *outline
	loop   []int32 // crossings, from where there is least choice
	corner []int32 // per crossing: the vertex at the corner before the next one, -1 for none
	chosen []int32 // per crossing: the node that the line passes
}

// drawLine draws the shortest line round a loop of the outline, in pieces where
// it breaks.
func (o *outline) drawLine(loop []int32) (lines [][]mesh.Vec, breaks []Break) {
	c := o.newCourse(loop)
	c.choose()
	c.squareBreaks()
	return c.pieces()
}

// newCourse takes the crossings of a loop whose planes face the outline, and
// the corners between one of them and the next.
func (o *outline) newCourse(whole []int32) *course {
	c := &course{o: o}
	for _, id := range whole {
		if o.cross[id].face >= facing {
			c.loop, c.corner = append(c.loop, id), append(c.corner, -1)
		}
		if k := len(c.corner) - 1; k >= 0 && o.corner[id] >= 0 {
			c.corner[k] = o.corner[id]
		}
	}
	if len(c.loop) < 3 {
		c.loop = whole
		c.corner = c.corner[:0]
		for _, id := range whole {
			c.corner = append(c.corner, o.corner[id])
		}
	}
	start := 0
	for k, id := range c.loop {
		if len(o.cross[id].node) < len(o.cross[c.loop[start]].node) {
			start = k
		}
	}
	c.loop = slices.Concat(c.loop[start:], c.loop[:start])
	c.corner = slices.Concat(c.corner[start:], c.corner[:start])
	c.chosen = make([]int32, len(c.loop))
	return c
}

func (c *course) at(k int) *crossing { return &c.o.cross[c.loop[k%len(c.loop)]] }

func (c *course) node(k int) linePoint {
	k %= len(c.loop)
	return c.at(k).node[c.chosen[k]]
}

// choose picks the nodes of the cheapest line, twice round from where there is
// least choice: the second half of the first round and the first of the second
// know nothing of the ends.
func (c *course) choose() {
	o, a := c.o, c.o.a
	n := len(c.loop)
	step := make([]float64, n) // of outline, to the next crossing
	for k := range n {
		step[k] = o.flat(c.at(k + 1)).Sub(o.flat(c.at(k))).Len()
	}
	from := make([][]int32, 2*n)
	var cost, last []float64
	for k := range 2 * n {
		x := c.at(k)
		before, after := step[(k+n-1)%n], step[k%n]
		cost = make([]float64, len(x.node))
		from[k] = make([]int32, len(x.node))
		if k > 0 {
			cheapestSteps(c.at(k-1).node, last, x.node, cost, from[k], before, 8*o.dz)
		}
		for m, nd := range x.node {
			cost[m] += (inwardCost(nd.in*x.face/a.Field.Cell) + levelling/a.Size*math.Abs(nd.z-a.height)) * (before + after) / 2
		}
		last = cost
	}
	best := int32(0)
	for m := range last {
		if last[m] < last[best] {
			best = int32(m)
		}
	}
	for k := 2*n - 1; k > 0; k-- {
		if k >= n/2 && k < n/2+n {
			c.chosen[k%n] = best
		}
		best = from[k][best]
	}
}

// breaks reports whether the line breaks between crossing k and the next.
func (c *course) breaks(k int) bool {
	a := c.o.a
	p, q := c.node(k), c.node(k+1)
	return math.Abs(p.z-q.z) > max(breakCells*a.Field.Cell, breakShare*a.Size) && !c.o.covered(c.at(k), c.at(k+1), p.z, q.z)
}

// squareBreaks takes the line back to the outline close to a break, where it has
// cut the corner to make the step lower.
func (c *course) squareBreaks() {
	n := len(c.loop)
	broken := make([]bool, n)
	for k := range n {
		broken[k] = c.breaks(k)
	}
	for k, b := range broken {
		for d := 0; b && d < min(breakBack, n/4); d++ {
			for _, m := range [2]int{(k - d + n) % n, (k + 1 + d) % n} {
				x := c.at(m)
				was := x.node[c.chosen[m]]
				for i, nd := range x.node {
					if math.Abs(nd.z-was.z) < breakBack*c.o.a.Field.Cell && nd.in < x.node[c.chosen[m]].in {
						c.chosen[m] = int32(i)
					}
				}
			}
		}
	}
}

// pieces are the lines between the breaks, or the one closed line.
func (c *course) pieces() (lines [][]mesh.Vec, breaks []Break) {
	o, f := c.o, c.o.a.Field
	n := len(c.loop)
	pts := make([]mesh.Vec, 0, n+16)
	var cuts []int // indices into pts after which the line breaks
	for k := range n {
		p, q := c.node(k), c.node(k+1)
		pts = append(pts, o.point(c.at(k), p))
		if c.breaks(k) {
			cuts = append(cuts, len(pts)-1)
			at := o.point(c.at(k), linePoint{(p.z + q.z) / 2, 0})
			breaks = append(breaks, Break{at.Array(), math.Abs(p.z - q.z)})
			continue
		}
		if v := c.corner[k]; v >= 0 && p.in < 0.05*f.Cell && q.in < 0.05*f.Cell {
			x, y, z := f.Plane(o.a.Solid.Surface().Vertices()[v])
			if lo, hi := min(p.z, q.z)-f.Cell, max(p.z, q.z)+f.Cell; z < lo || z > hi {
				z = (p.z + q.z) / 2
			}
			pts = append(pts, f.Point(x, y, z))
		}
	}
	if len(cuts) == 0 {
		return [][]mesh.Vec{tidy(append(pts, pts[0]), f.Cell)}, nil
	}
	for k, cut := range cuts {
		end := cuts[(k+1)%len(cuts)]
		var l []mesh.Vec
		for m := (cut + 1) % len(pts); ; m = (m + 1) % len(pts) {
			l = append(l, pts[m])
			if m == end {
				break
			}
		}
		if len(l) > 1 {
			lines = append(lines, tidy(l, f.Cell))
		}
	}
	return lines, breaks
}

// cheapestSteps finds for each node the cheapest one to come from: what it cost so far
// and the length of the step. Steps of more than near in height count by their
// height alone, so that the work goes with the number of nodes. Nodes are in
// order of height.
func cheapestSteps(prev []linePoint, so []float64, cur []linePoint, cost []float64, from []int32, run, near float64) {
	lo, hi := 0, 0 // prev[lo:hi] is near
	below, above := math.Inf(1), make([]float64, len(prev)+1)
	belowAt, aboveAt := int32(0), make([]int32, len(prev)+1)
	above[len(prev)] = math.Inf(1)
	for k := len(prev) - 1; k >= 0; k-- {
		above[k], aboveAt[k] = above[k+1], aboveAt[k+1]
		if v := so[k] + prev[k].z; v <= above[k] {
			above[k], aboveAt[k] = v, int32(k)
		}
	}
	for m, c := range cur {
		for lo < len(prev) && prev[lo].z < c.z-near {
			if v := so[lo] - prev[lo].z; v < below {
				below, belowAt = v, int32(lo)
			}
			lo++
		}
		for hi < len(prev) && prev[hi].z <= c.z+near {
			hi++
		}
		best, at := below+c.z, belowAt
		if v := above[hi] - c.z; v < best {
			best, at = v, aboveAt[hi]
		}
		for k := lo; k < hi; k++ {
			dz := c.z - prev[k].z
			if v := so[k] + math.Sqrt(float64(run*run)+float64(dz*dz)); v < best {
				best, at = v, int32(k)
			}
		}
		cost[m], from[m] = best, at
	}
}

// inwardCost is what it costs, per length of outline, that the line runs the
// given number of cells inside it.
func inwardCost(cells float64) float64 {
	return inward*min(cells, farFrom) + farIn*max(cells-farFrom, 0)
}

// covered reports whether the surface itself leads from one height to the other
// at one of two crossings: most heights between are on it.
func (o *outline) covered(c, d *crossing, z0, z1 float64) bool {
	if z0 > z1 {
		z0, z1 = z1, z0
	}
	want := (z1 - z0) / o.dz / 2
	for _, x := range [2]*crossing{c, d} {
		n := 0.0
		for _, nd := range x.node {
			if nd.z > z0 && nd.z < z1 {
				n++
			}
		}
		if n > want {
			return true
		}
	}
	return false
}
