package estimate

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"moldtally/boxfit"
	"moldtally/mesh"
	"moldtally/mesh/demold"
)

// flapWall is how thick the rubber is, mm, where a flap bends: from the edge that
// it has to clear straight out to the container's wall, never less than the
// thinnest rubber. Zero where that is not known.
func flapWall(f *boxfit.Fit, fl *demold.Flap) float64 {
	if f == nil || fl == nil {
		return 0
	}
	vec := func(a [3]float64) mesh.Vec { return mesh.V(a[0], a[1], a[2]) }
	up, long := vec(f.Up), vec(f.LongAxis)
	out := vec(fl.Out)
	p := vec(fl.At).Add(out.Mul(fl.Swing)).Sub(vec(f.Center))
	least := math.Inf(1)
	// slab is the way along out to the pair of walls across an axis.
	slab := func(axis mesh.Vec, lo, hi float64) {
		x, d := p.Dot(axis), out.Dot(axis)
		switch {
		case d > 1e-9:
			least = min(least, (hi-x)/d)
		case d < -1e-9:
			least = min(least, (lo-x)/d)
		}
	}
	slab(up, 0, f.FillHeight)
	across := up.Cross(long)
	switch {
	case f.Interior != nil && f.Diameter == nil:
		slab(long, -f.Interior[0]/2, f.Interior[0]/2)
		slab(across, -f.Interior[1]/2, f.Interior[1]/2)
	case f.Diameter != nil: // a polygon is taken as the tube between its flats
		r := *f.Diameter / 2
		x, y, dx, dy := p.Dot(long), p.Dot(across), out.Dot(long), out.Dot(across)
		if a := dx*dx + dy*dy; a > 1e-18 {
			b, c := x*dx+y*dy, x*x+y*y-r*r
			if q := b*b - a*c; q >= 0 {
				least = min(least, (math.Sqrt(q)-b)/a)
			}
		}
	default:
		return 0
	}
	if math.IsInf(least, 1) {
		return 0
	}
	return max(least, f.Thinnest)
}

// seamWords says where a mold in one piece is cut open, what that frees and what
// is left.
func seamWords(r *demold.Report) string {
	s := r.Seam
	if s == nil {
		return "a mold in one piece all round is cut open along a zig-zag line"
	}
	at := func(p [3]float64) string {
		for k := range p {
			p[k] = math.Round(p[k]) + 0 // no −0
		}
		return fmt.Sprintf("x %.0f, y %.0f, z %.0f", p[0], p[1], p[2])
	}
	out := fmt.Sprintf("cut it open along its %s side, in a zig-zag along the plane square to %s, from %s to %s mm: %.0f mm of cut along the pattern; the other side is the hinge",
		toward(s.Side), toward(s.Normal), at(s.From), at(s.To), s.Length)
	var ids []int
	for _, o := range s.Opens {
		ids = append(ids, o.Region)
	}
	slices.Sort(ids)
	switch len(ids) {
	case 0:
	case 1:
		out += fmt.Sprintf("; that lets go of undercut %d", ids[0])
	default:
		var w []string
		for _, id := range ids[:min(len(ids), 6)] {
			w = append(w, strconv.Itoa(id))
		}
		more := ""
		if n := len(ids) - len(w); n > 0 {
			more = fmt.Sprintf(" and %d more", n)
		}
		out += "; that lets go of undercuts " + strings.Join(w, ", ") + more
	}
	switch {
	case s.Path == nil:
		out += "; some rubber stays locked all the same: fill that place or give it a plug"
	case *s.Path < 2*r.Uncertainty:
		out += "; nothing is left undercut"
	default:
		out += fmt.Sprintf("; undercuts of %.3g mm are left", *s.Path)
	}
	return out
}
