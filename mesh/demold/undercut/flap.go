package undercut

import "math"

// Flap is the rubber that has to swing aside where a mold that opens along a
// seam lets go of its deepest undercut: as high as from that undercut to the
// edge it has to clear, and as far as its way out. Lengths mm.
type Flap struct {
	Height float64    `json:"height_mm"`
	Swing  float64    `json:"swing_mm"`
	At     [3]float64 `json:"at_mm"`
	Out    [3]float64 `json:"out"` // the way it swings, unit
}

// Flap measures the rubber that lets go of the deepest undercut that has a way
// out; nil where none is worth a word.
func (r *Result) Flap() *Flap {
	var h *half
	for _, x := range r.halves {
		if x.at.k >= 0 && (h == nil || x.length > h.length) {
			h = x
		}
	}
	if h == nil || h.length < r.Scene.Noise() {
		return nil
	}
	f := h.f
	i, j, z := h.at.i, h.at.j, h.at.z
	exit := h.exit[f.Offset(i, j)+h.at.k]
	if exit < 0 {
		return nil
	}
	x, y := int(exit)%f.NX, int(exit)/f.NX
	dx, dy := i-x, j-y
	steps := max(abs(dx), abs(dy))
	// From the way out back to the undercut: the first columns with something
	// above that height are the edge. Its underside b rises toward the edge, by
	// the root of the distance where it is round, so that from three of them
	// the edge itself follows.
	var b []float64
	top := 0.0
	for s := 1; s <= steps && len(b) < 3; s++ {
		p, q := x+int(math.Round(float64(dx*s)/float64(steps))), y+int(math.Round(float64(dy*s)/float64(steps)))
		low, found := 0.0, false
		for _, sp := range f.Column(p, q) {
			if sp.Top > z+h.eps {
				low, found = max(sp.Bottom, z), true
				if len(b) == 0 {
					top = sp.Top
				}
				break
			}
		}
		if found {
			b = append(b, low)
		} else if len(b) > 0 {
			break
		}
	}
	if len(b) == 0 {
		return nil
	}
	edge := b[0]
	if len(b) == 3 {
		if c := b[0] - 2*b[1] + b[2]; c > 1e-3*f.Cell && b[0] > b[1] && b[1] > b[2] {
			edge = min(max((b[0]*b[0]-2*b[1]*b[1]+b[2]*b[2])/(2*c), b[0]), top)
		}
	}
	out := f.E1.Mul(float64(-dx)).Add(f.E2.Mul(float64(-dy))).Unit()
	return &Flap{Height: max(edge-z, 0), Swing: h.length, At: *h.point(h.at), Out: out.Array()}
}
