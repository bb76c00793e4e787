package seam

import (
	"context"
	"math"
	"slices"

	"moldtally/mesh"
	"moldtally/mesh/demold/parting"
	"moldtally/mesh/demold/scene"
	"moldtally/mesh/demold/standin"
	"moldtally/mesh/dexel"
)

// Front is the way an object looks: the side that a knife keeps away from. Its
// back is opposite.
type Front struct {
	Looks [3]float64 `json:"looks"` // unit; square to the pull unless the face looks along it
	From  FrontFrom  `json:"from"`
}

// FrontFrom says where it is known from.
type FrontFrom string

// Where it can be known from.
const (
	FrontAsked FrontFrom = "asked" // the user names the face
	// A guess: most of what overhangs in its upper part, as a nose, a chin or a beak
	// does, is on that side.
	FrontOverhang FrontFrom = "overhang"
	FrontRelief   FrontFrom = "relief" // a guess: opposite to the side with the least relief
	FrontCustom   FrontFrom = "custom" // a guess: no side is plainer than the others, and files mostly look this way
)

// The guess; judgements of this program.
const (
	// upperPart is where the upper part begins, as a share of the height.
	upperPart = 0.4
	// lopsided is the share by which overhangs must lie on one side to show the
	// front: chessman, busts, skull and heron have 0.24 to 0.8, turned bodies none.
	lopsided = 0.2
	// frontColumns is how many columns lie across the pattern where its sides are
	// compared.
	frontColumns = 96
	// plainRelief is the relief, in slopes from cell to cell, up to which a side
	// is plain.
	plainRelief = 0.01
	// reliefTie is how many times the relief of the plainest side the customary back
	// must have before the plainest is taken instead: hair is rougher than a face.
	reliefTie = 2
)

// frontOf is the way an object looks that stands with a side up. show is the face
// that the user names; without it the front is the side where most overhangs in
// the upper part, else opposite to the side with the least relief and, where none
// stands out, as in most files: what stands on z looks along −y, what stands on y
// along +z (the glTF 2.0 specification says so; for the others from memory).
func frontOf(ctx context.Context, b *standin.Body, up mesh.Vec, show *mesh.Vec) (Front, error) {
	if show != nil {
		d := show.Unit()
		if !along(d, up) {
			d = d.Sub(up.Mul(d.Dot(up))).Unit()
		}
		return Front{d.Array(), FrontAsked}, nil
	}
	c, err := b.Scene(ctx, up, frontColumns, scene.Options{Mold: scene.TwoPart})
	if err != nil {
		return Front{}, err
	}
	if way, share := overhang(c); share >= lopsided {
		return Front{squared(way, up).Array(), FrontOverhang}, nil
	}
	looks := customary(up)
	side := up.Cross(looks)
	// Four views of both ways see eight sides, the customary front first.
	const views = 4
	var relief [2 * views]float64
	var ways [2 * views]mesh.Vec
	for k := range views {
		sin, cos := math.Sincos(math.Pi * float64(k) / views)
		d := looks.Mul(cos).Add(side.Mul(sin)).Unit()
		c, err := b.Scene(ctx, d, frontColumns, scene.Options{Mold: scene.TwoPart})
		if err != nil {
			return Front{}, err
		}
		ways[k], ways[k+views] = d, d.Neg()
		relief[k], relief[k+views] = reliefs(c.Field)
	}
	back, stands := plainest(relief[:])
	f := Front{ways[back].Neg().Array(), FrontCustom}
	if stands {
		f.From = FrontRelief
	}
	return f, nil
}

// overhang is the way, unit and square to the pull, in which the undersides of a
// body's upper part lie from its middle, and how one-sided they are: 0 all round,
// 1 all on one side.
func overhang(c *scene.Scene) (way mesh.Vec, share float64) {
	f := c.Field
	each := func(do func(at mesh.Vec, s dexel.Span)) {
		for j := range f.NY {
			for i := range f.NX {
				x, y := f.Center(i, j)
				at := f.Point(x, y, 0)
				for _, s := range f.Column(i, j) {
					do(at, s)
				}
			}
		}
	}
	var middle, sum mesh.Vec
	var mass, all float64
	each(func(at mesh.Vec, s dexel.Span) {
		mass += s.Top - s.Bottom
		middle = middle.Add(at.Mul(s.Top - s.Bottom))
	})
	if !(mass > 0) {
		return way, 0
	}
	middle = middle.Mul(1 / mass)
	from := c.Base + upperPart*(c.Top-c.Base)
	each(func(at mesh.Vec, s dexel.Span) {
		if s.Bottom >= from {
			d := at.Sub(middle)
			sum, all = sum.Add(d), all+d.Len()
		}
	})
	if all == 0 {
		return way, 0
	}
	return sum.Sub(c.Up.Mul(sum.Dot(c.Up))).Unit(), sum.Len() / all
}

// plainest is the side that is taken for the back, by the relief of sides all
// round of which the first is the customary front: of the plain ones that whose
// front has the most. The customary one is kept unless another stands out, and
// stands tells whether anything does.
func plainest(relief []float64) (back int, stands bool) {
	n := len(relief)
	opposite := func(k int) float64 { return relief[(k+n/2)%n] }
	least := slices.Min(relief)
	plain := func(k int) bool { return relief[k] <= max(plainRelief, least*reliefTie) }
	for k := range relief {
		if plain(k) && (!plain(back) || opposite(k) > opposite(back)) {
			back = k
		}
	}
	if custom := n / 2; plain(custom) && opposite(back) <= max(plainRelief, opposite(custom)*reliefTie) {
		back = custom
	}
	if opposite(back) <= max(plainRelief, relief[back]*reliefTie) {
		return n / 2, false
	}
	return back, true
}

// along reports whether a face looks up or down rather than to a side.
func along(face, up mesh.Vec) bool { return math.Abs(face.Dot(up)) >= math.Cos(parting.FaceCone) }

// square is the cosine of the angle within which a guessed way is taken to be an
// axis of the file. Judgement of this program.
var square = math.Cos(10 * math.Pi / 180)

// squared is a way, or the axis of the file square to up that is near it.
func squared(way, up mesh.Vec) mesh.Vec {
	for _, a := range []mesh.Vec{mesh.V(1, 0, 0), mesh.V(0, 1, 0), mesh.V(0, 0, 1)} {
		a = a.Sub(up.Mul(a.Dot(up))).Unit()
		if d := a.Dot(way); math.Abs(d) >= square {
			return a.Mul(math.Copysign(1, d))
		}
	}
	return way
}

// customary is the way that most files look with a side up.
func customary(up mesh.Vec) mesh.Vec {
	d := mesh.V(0, -1, 0)
	if math.Abs(up.Y) > math.Sqrt2/2 {
		d = mesh.V(0, 0, 1)
	}
	return d.Sub(up.Mul(d.Dot(up))).Unit()
}

// reliefs is how uneven a body is as seen from the top of its columns and from
// below: how far the bend of its surface from cell to cell strays from that of
// the cells round it, on average, so that a smooth rounding is plain.
func reliefs(f *dexel.Field) (top, below float64) {
	high := make([]float64, f.NX*f.NY)
	low := make([]float64, f.NX*f.NY)
	for j := range f.NY {
		for i := range f.NX {
			k := j*f.NX + i
			if col := f.Column(i, j); len(col) > 0 {
				high[k], low[k] = col[len(col)-1].Top, col[0].Bottom
			} else {
				high[k], low[k] = math.NaN(), math.NaN()
			}
		}
	}
	return uneven(high, f.NX, f.NY, f.Cell), uneven(low, f.NX, f.NY, f.Cell)
}

// uneven is the relief of heights over a grid of nx by ny cells; NaN = none.
func uneven(h []float64, nx, ny int, cell float64) float64 {
	// A step from one limb to another counts as one cell.
	bend := make([]float64, len(h))
	for k := range bend {
		bend[k] = math.NaN()
	}
	for j := 1; j < ny-1; j++ {
		for i := 1; i < nx-1; i++ {
			k := j*nx + i
			b := (h[k-1] + h[k+1] + h[k-nx] + h[k+nx] - 4*h[k]) / cell
			if !math.IsNaN(b) {
				bend[k] = min(max(b, -1), 1)
			}
		}
	}
	sum, n := 0.0, 0.0
	for j := 1; j < ny-1; j++ {
		for i := 1; i < nx-1; i++ {
			k := j*nx + i
			round := (bend[k-1] + bend[k+1] + bend[k-nx] + bend[k+nx]) / 4
			if d := bend[k] - round; !math.IsNaN(d) {
				sum += math.Abs(d)
				n++
			}
		}
	}
	if n == 0 {
		return 0
	}
	return sum / n
}
