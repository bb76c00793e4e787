package boxfit

import (
	"math"

	"moldtally/mesh"
)

// stub is how far a vent stands out over the level of the sprue, mm, so that
// nothing runs out of it while the sprue still takes: a straw's end. Judgement of
// this program.
const stub = 5

// Channel is a sprue or a vent: where it leaves the casting, how wide it is
// there, and where it ends. Lengths mm, places in the file's axes.
type Channel struct {
	At       [3]float64   `json:"at_mm"`
	Diameter float64      `json:"diameter_mm"`
	End      *[3]float64  `json:"end_mm"`   // nil = the container has no plain outside
	Joins    [][3]float64 `json:"joins_mm"` // places near by that are led to it
}

// Feed puts sprue (nil = a mold with a mouth) and vents into the mold, which
// stands with up up while it is cast: each goes straight up to the outside, and
// the vents end above the sprue's level.
func (f *Fit) Feed(up mesh.Vec, sprue *Channel, vents []Channel) {
	f.Sprue, f.Vents = sprue, vents
	level := math.Inf(-1)
	if sprue != nil {
		if sprue.End = f.outside(sprue.At, up, 0, level); sprue.End != nil {
			level = vec(*sprue.End).Dot(up)
		}
	}
	for k := range vents {
		vents[k].End = f.outside(vents[k].At, up, stub, level)
	}
}

func vec(p [3]float64) mesh.Vec { return mesh.V(p[0], p[1], p[2]) }

// outside is where a straight line from a place leaves the rubber, and over by
// that much; no lower than a level along dir.
func (f *Fit) outside(at [3]float64, dir mesh.Vec, over, level float64) *[3]float64 {
	if f.Interior == nil {
		return nil
	}
	p, axis, long := vec(at).Sub(vec(f.Center)), vec(f.Up), vec(f.LongAxis)
	far := math.Inf(1)
	until := func(x, d, lo, hi float64) { // from x along d to where lo or hi is met
		switch {
		case d > 1e-9:
			far = min(far, (hi-x)/d)
		case d < -1e-9:
			far = min(far, (lo-x)/d)
		}
	}
	until(p.Dot(axis), dir.Dot(axis), 0, f.FillHeight)
	if f.Kind.FourSided() {
		wide := axis.Cross(long)
		until(p.Dot(long), dir.Dot(long), -f.Interior[0]/2, f.Interior[0]/2)
		until(p.Dot(wide), dir.Dot(wide), -f.Interior[1]/2, f.Interior[1]/2)
	} else if f.Diameter != nil {
		q, d := p.Sub(axis.Mul(p.Dot(axis))), dir.Sub(axis.Mul(dir.Dot(axis)))
		if a := d.Dot(d); a > 1e-18 {
			b := q.Dot(d)
			if root := b*b - a*(q.Dot(q)-*f.Diameter**f.Diameter/4); root >= 0 {
				far = min(far, (math.Sqrt(root)-b)/a)
			}
		}
	}
	if math.IsInf(far, 1) || far < 0 {
		far = 0 // it lies outside already
	}
	end := vec(at).Add(dir.Mul(max(far, level-vec(at).Dot(dir)) + over)).Array()
	return &end
}

// Lean is how far a side of a box is from level when a direction is up, degrees;
// of a round container, its axis. raise is the side of it that is then the higher
// one: a box that stands flat is wedged up under it. Zero where none is.
func (f *Fit) Lean(up mesh.Vec) (deg float64, raise mesh.Vec) {
	axis, long := vec(f.Up), vec(f.LongAxis)
	normals := []mesh.Vec{axis}
	if f.Kind.FourSided() {
		normals = append(normals, long, axis.Cross(long))
	}
	most := math.Inf(-1)
	for _, n := range normals {
		if d := up.Dot(n); math.Abs(d) > most {
			most, raise = math.Abs(d), up.Sub(n.Mul(d))
		}
	}
	return math.Acos(min(most, 1)) * 180 / math.Pi, raise.Unit()
}
