package parting

import (
	"cmp"
	"context"
	"math"
	"slices"
	"sort"

	"moldtally/mesh"
	"moldtally/mesh/dexel"
	"moldtally/mesh/par"
)

// chord is the surface between two heights in the plane of a crossing; x runs
// outward from the axis of the full column, mm.
type chord struct {
	at             int32
	x0, z0, x1, z1 float64
}

// linePoint is a place where the line may pass: height, and how far inside the
// outline the surface is there.
type linePoint struct {
	z, in float64
}

// profiles cuts the surface near the outline with the plane of each crossing
// and finds where the line may pass.
func (o *outline) profiles(ctx context.Context) error {
	m := o.a.Solid.Surface()
	const block = 1 << 13
	nb := (m.NumTriangles() + block - 1) / block
	parts := make([][]chord, nb)
	err := par.Each(ctx, nb, func(b int) {
		var out []chord
		for t := b * block; t < min((b+1)*block, m.NumTriangles()); t++ {
			if o.a.Solid.Live(t) {
				out = o.cut(t, out)
			}
		}
		parts[b] = out
	})
	if err != nil {
		return err
	}
	off := make([]int32, len(o.cross)+1)
	for _, p := range parts {
		for _, c := range p {
			off[c.at+1]++
		}
	}
	for k := range o.cross {
		off[k+1] += off[k]
	}
	all := make([]chord, off[len(o.cross)])
	next := slices.Clone(off[:len(o.cross)])
	for _, p := range parts {
		for _, c := range p {
			all[next[c.at]] = c
			next[c.at]++
		}
	}
	h := o.a.height
	lo, hi := int(math.Floor((o.a.Base-h)/o.dz)), int(math.Ceil((o.a.Top-h)/o.dz))
	const run = 256
	return par.Each(ctx, (len(o.cross)+run-1)/run, func(b int) {
		far := make([]float64, hi-lo+1)
		for k := b * run; k < min((b+1)*run, len(o.cross)); k++ {
			o.nodes(&o.cross[k], all[off[k]:off[k+1]], far, lo)
		}
	})
}

// cut adds the chords of a triangle.
func (o *outline) cut(t int, out []chord) []chord {
	f := o.a.Field
	var x, y, z [3]float64
	p, q, r := o.a.Solid.Surface().Corners(t)
	for k, v := range [3]mesh.Vec{p, q, r} {
		x[k], y[k], z[k] = f.Plane(v)
	}
	col := func(x float64) int { return int(math.Floor((x - f.X0) / f.Cell)) }
	row := func(y float64) int { return int(math.Floor((y - f.Y0) / f.Cell)) }
	x0, x1 := min(x[0], x[1], x[2]), max(x[0], x[1], x[2])
	y0, y1 := min(y[0], y[1], y[2]), max(y[0], y[1], y[2])
	i0, i1, j0, j1 := max(col(x0), 0), min(col(x1), f.NX-1), max(row(y0), 0), min(row(y1), f.NY-1)
	if (i1-i0+1)*(j1-j0+1) <= 16 {
		hit := false
		for j := j0; j <= j1 && !hit; j++ {
			for i := i0; i <= i1 && !hit; i++ {
				hit = o.near[j*f.NX+i]
			}
		}
		if !hit {
			return out
		}
	}
	for j := j0; j <= j1; j++ {
		_, at := f.Center(0, j)
		if len(o.rows[j]) > 0 && at >= y0 && at <= y1 {
			out = o.slice(o.rows[j], at, x, y, z, out)
		}
	}
	for i := i0; i <= i1; i++ {
		at, _ := f.Center(i, 0)
		if len(o.cols[i]) > 0 && at >= x0 && at <= x1 {
			out = o.slice(o.cols[i], at, y, x, z, out)
		}
	}
	return out
}

// slice cuts a triangle with the plane across = at and gives the piece to the
// crossings of that plane that it comes near.
func (o *outline) slice(list []int32, at float64, along, across, z [3]float64, out []chord) []chord {
	var sx, sz [2]float64
	n := 0
	for e := range 3 {
		a, b := e, (e+1)%3
		if (across[a] < at) == (across[b] < at) {
			continue
		}
		if across[a] > across[b] { // from the lower end, so that neighbours agree
			a, b = b, a
		}
		t := (at - across[a]) / (across[b] - across[a])
		sx[n], sz[n] = along[a]+t*(along[b]-along[a]), z[a]+t*(z[b]-z[a])
		n++
	}
	if n < 2 {
		return out
	}
	cell := o.a.Field.Cell
	lo, hi := min(sx[0], sx[1])-(lineDepth/facing+1)*cell, max(sx[0], sx[1])+(lineDepth/facing+1)*cell
	from := func(k int32) float64 {
		_, x, _ := o.axis(&o.cross[k])
		return x
	}
	for k := sort.Search(len(list), func(k int) bool { return from(list[k]) >= lo }); k < len(list); k++ {
		c := &o.cross[list[k]]
		_, x, sign := o.axis(c)
		if x > hi {
			break
		}
		u, v := sign*(sx[0]-x), sign*(sx[1]-x)
		if max(u, v) < -lineDepth/facing*cell || min(u, v) > cell {
			continue
		}
		out = append(out, chord{list[k], u, sz[0], v, sz[1]})
	}
	return out
}

// nodes finds where the line may pass a crossing: the outermost surface at each
// height that comes near the outline. far is scratch, one per height.
func (o *outline) nodes(c *crossing, list []chord, far []float64, lo int) {
	cell, h := o.a.Field.Cell, o.a.height
	c.out = o.outermost(list, far, lo)
	if c.out < 0 { // rounding: the column is full, so the edge is between
		c.out = cell / 2
		c.node = []linePoint{{nearestIn(o.a.Field.Column(int(c.i), int(c.j)), h), 0}}
		return
	}
	for k, x := range far {
		if in := c.out - x; in*max(c.face, facing) <= lineDepth*cell {
			c.node = append(c.node, linePoint{h + float64(lo+k)*o.dz, max(0, in)})
		}
	}
	// The outermost places themselves: of a plumb wall its two rims.
	first, last := math.Inf(1), math.Inf(-1)
	for _, s := range list {
		for _, e := range [2][2]float64{{s.x0, s.z0}, {s.x1, s.z1}} {
			if min(e[0], cell) >= c.out-1e-6*cell {
				first, last = min(first, e[1]), max(last, e[1])
			}
		}
	}
	c.node = append(c.node, linePoint{first, 0})
	if last > first {
		c.node = append(c.node, linePoint{last, 0})
	}
	slices.SortStableFunc(c.node, func(a, b linePoint) int { return cmp.Compare(a.z, b.z) })
}

// outermost fills in how far out the chords reach at each height, and returns
// how far they do at all; −Inf where there are none.
func (o *outline) outermost(list []chord, far []float64, lo int) float64 {
	cell, h := o.a.Field.Cell, o.a.height
	out := math.Inf(-1)
	for k := range far {
		far[k] = out
	}
	for _, s := range list {
		out = max(out, min(max(s.x0, s.x1), cell))
		z0, z1, x0, x1 := s.z0, s.z1, s.x0, s.x1
		if z0 > z1 {
			z0, z1, x0, x1 = z1, z0, x1, x0
		}
		for k := int(math.Ceil((z0 - h) / o.dz)); ; k++ {
			z := h + float64(k)*o.dz
			if z > z1 || k-lo >= len(far) {
				break
			}
			x := x0
			if z1 > z0 {
				x += (x1 - x0) * (z - z0) / (z1 - z0)
			}
			far[k-lo] = max(far[k-lo], min(x, cell))
		}
	}
	return out
}

// nearestIn is the height in a column's spans that is nearest to h.
func nearestIn(col []dexel.Span, h float64) float64 {
	best := math.Inf(1)
	for _, s := range col {
		if z := min(max(h, s.Bottom), s.Top); math.Abs(z-h) < math.Abs(best-h) {
			best = z
		}
	}
	return best
}
