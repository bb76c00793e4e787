package estimate

import (
	"math"

	"moldtally/mesh"
	"moldtally/mesh/finding"
	"moldtally/mesh/solid"
	"moldtally/mesh/unit"
)

// upright is the side of the object that is its top when it stands in the world,
// of length 1: as the user says, else as the file states; else +z, which is
// assumed.
func (j *Job) upright() (top mesh.Vec, assumed bool) {
	switch {
	case j.Upright != nil:
		return j.Upright.Unit(), false
	case j.Source.FileUp != nil:
		return j.Source.FileUp.Unit(), false
	}
	return mesh.V(0, 0, 1), true
}

// uprightDoubt says that the top of the object was assumed, where something goes
// by it.
func (j *Job) uprightDoubt(use UprightUse) (out finding.List) {
	if _, assumed := j.upright(); assumed {
		out.Add(finding.Finding{Code: CodeUpright, Severity: finding.Note, Facts: UprightAssumed{Use: use}})
	}
	return out
}

// heightDoubt is uprightDoubt for a finished height: where the surface of the pattern
// looks as if it stood along another axis, that is a caution. What is measured stays.
func (j *Job) heightDoubt(of *solid.Solid) finding.List {
	out := j.uprightDoubt(UprightHeight)
	for i := range out {
		if top, tall := looksUpright(of); top != (mesh.Vec{}) {
			f := UprightAssumed{Use: UprightHeight, Looks: top, Tall: unit.Length(tall)}
			if j.Height != nil {
				f.Asked = unit.Length(*j.Height)
			}
			out[i].Facts, out[i].Severity = f, finding.Caution
		}
	}
	return out
}

// A pattern looks as if it stood on a side where so much of the side's rectangle lies
// flat at its end, and no third of that does on the side that is taken; flat is within
// a share of its size, and within 10°. Judgements of this program.
const (
	footOfSide  = 0.15
	takenAtMost = 1.0 / 3
	flatWithin  = 0.01
)

var footFaces = math.Cos(10 * math.Pi / 180)

// sideways are the axes that a top may be on but for z.
var sideways = [...]mesh.Vec{{Y: 1}, {Y: -1}, {X: 1}, {X: -1}}

// looksUpright is the side that seems to be the top of an object that is not known to
// stand along z, and how far it reaches along that, mm; zero where nothing says so. A
// side that was never scanned is what it stood on.
func looksUpright(of *solid.Solid) (top mesh.Vec, tall float64) {
	surface := of.Surface()
	for _, f := range of.Findings {
		if o, ok := f.Facts.(solid.Bottom); ok {
			up := o.Facing.Neg()
			for _, a := range sideways {
				if a.Dot(up) > footFaces {
					_, tall = standsOn(surface, a)
					return a, tall
				}
			}
			return mesh.Vec{}, 0
		}
	}
	best, reach := footOfSide, 0.0
	for _, a := range sideways {
		if share, r := standsOn(surface, a); share > best {
			best, top, reach = share, a, r
		}
	}
	if taken, _ := standsOn(surface, mesh.V(0, 0, 1)); taken > best*takenAtMost {
		return mesh.Vec{}, 0
	}
	return top, reach
}

// standsOn is the share of the rectangle under a surface that lies flat at its lower
// end, when a side is up, and how far it reaches along that, mm.
func standsOn(surface *mesh.Mesh, up mesh.Vec) (share, tall float64) {
	lo, hi := mesh.V(math.Inf(1), math.Inf(1), math.Inf(1)), mesh.V(math.Inf(-1), math.Inf(-1), math.Inf(-1))
	for _, v := range surface.Vertices() {
		lo = mesh.V(min(lo.X, v.X), min(lo.Y, v.Y), min(lo.Z, v.Z))
		hi = mesh.V(max(hi.X, v.X), max(hi.Y, v.Y), max(hi.Z, v.Z))
	}
	size := hi.Sub(lo)
	tall = math.Abs(size.Dot(up))
	bottom := min(lo.Dot(up), hi.Dot(up))
	level := bottom + float64(flatWithin*max(size.X, size.Y, size.Z))
	flat := 0.0
	for t := range surface.NumTriangles() {
		a, b, c := surface.Corners(t)
		if max(a.Dot(up), b.Dot(up), c.Dot(up)) > level {
			continue
		}
		n := b.Sub(a).Cross(c.Sub(a))
		if l := n.Len(); math.Abs(n.Dot(up)) > footFaces*l {
			flat += l / 2
		}
	}
	if under := size.X * size.Y * size.Z / tall; under > 0 && tall > 0 {
		share = flat / under
	}
	return share, tall
}
