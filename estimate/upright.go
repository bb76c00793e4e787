package estimate

import (
	"math"

	"moldtally/mesh"
	"moldtally/mesh/finding"
	"moldtally/mesh/section"
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

// A pattern looks as if it stood on a side where what lies flat at the side's end, a
// foot, a ring or the soles of four legs, spans so much of the side's rectangle, and
// what does on the side that is taken spans no third of that; flat is within a share of
// its size, and within 10°. Judgements of this program.
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
	// A cup stands on its rim as well as on its foot: of an axis the positive side is the
	// usual top.
	best, reach := footOfSide, 0.0
	for n := 0; n < len(sideways); n += 2 {
		a, b := sideways[n], sideways[n+1]
		share, r := standsOn(surface, a)
		over, _ := standsOn(surface, b)
		if most := max(share, over); most > best {
			if best, top, reach = most, a, r; share <= footOfSide {
				top = b
			}
		}
	}
	if taken, _ := standsOn(surface, mesh.V(0, 0, 1)); taken > best*takenAtMost {
		return mesh.Vec{}, 0
	}
	return top, reach
}

// standsOn is the share of the rectangle under a surface that what lies flat at its
// lower end spans, when a side is up, and how far it reaches along that, mm.
func standsOn(surface *mesh.Mesh, up mesh.Vec) (share, tall float64) {
	lo, hi := surface.Bounds()
	size := hi.Sub(lo)
	tall = math.Abs(size.Dot(up))
	bottom := min(lo.Dot(up), hi.Dot(up))
	level := bottom + float64(flatWithin*max(size.X, size.Y, size.Z))
	u := mesh.V(up.Y, up.Z, up.X) // of an axis, another
	v := up.Cross(u)
	var soles []mesh.Vec2
	for t := range surface.NumTriangles() {
		a, b, c := surface.Corners(t)
		if max(a.Dot(up), b.Dot(up), c.Dot(up)) > level {
			continue
		}
		n := b.Sub(a).Cross(c.Sub(a))
		if math.Abs(n.Dot(up)) > footFaces*n.Len() {
			for _, p := range [...]mesh.Vec{a, b, c} {
				soles = append(soles, mesh.Vec2{X: p.Dot(u), Y: p.Dot(v)})
			}
		}
	}
	if under := size.X * size.Y * size.Z / tall; under > 0 && tall > 0 && len(soles) > 0 {
		share = math.Abs(mesh.AreaOf(section.Hull(soles))) / under
	}
	return share, tall
}
