package arrange

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"

	"moldtally/mesh"
	"moldtally/mesh/disjoint"
	"moldtally/mesh/par"
)

// Errors of Outer besides that of a cancelled ctx.
var (
	// ErrRange: coordinates are so far apart in size that exact numbers would
	// take too long.
	ErrRange = errors.New("arrange: coordinates too far apart")
	// ErrLarge: too many faces meet.
	ErrLarge = errors.New("arrange: too many faces meet")
)

// mostBits is the widest span, from the last bit of the smallest coordinate to
// the first of the largest, that is arranged: figures of a CAD file with its
// noise around zero take up to about 140. farthest is the largest coordinate: a
// product of three and more must not overflow. Judgements of this program.
const (
	mostBits = 400
	farthest = 1e60
)

// MostPairs is the largest number of pairs of faces that Outer takes (judgement of
// this program: a few seconds, and some 2 kB each).
const MostPairs = 400_000

// Options of Outer. The zero value is the default.
type Options struct {
	// Wound says of a face of the source which body it belongs to, counted from
	// 0, and how that winds round what it fills: Turned and As as the face
	// stands, Parity where a body fills what is an odd number of its faces away
	// from outside, Wall where a face fills nothing by itself. With it the rooms
	// are found.
	Wound func(t int) (body int, way Way)
}

// Way is how a face bounds its body.
type Way int

// The ways.
const (
	Wall   Way = iota // fills nothing by itself
	As                // the body lies behind it
	Turned            // the body lies in front of it
	Parity            // the body lies on one side of it
)

// Result is the boundary of what a surface shuts off from the outside: closed,
// wound outward. It is immutable.
type Result struct {
	Volume float64 // mm³
	// Cut faces of the source met others wrongly and were cut where they do;
	// Dropped ones are left out, as they are nowhere on the boundary; Added ones
	// came of cutting and are on it.
	Cut, Dropped, Added int
	// Rooms are the volumes, mm³, of what the bodies shut off together and none
	// of them fills, the largest first; nil without Options.Wound.
	Rooms []float64

	src  *mesh.Mesh
	more []mesh.Vec // vertices beyond those of the source, rounded
	tris [][3]int32 // of the boundary
	from []int32    // per triangle: the face of the source
}

// Outer arranges the faces of m without those that skip marks (nil marks none)
// and returns the boundary of everything that they shut off from the unbounded
// rest of space, whatever way they are wound. pairs are those of
// mesh.CrossingPairs for the same faces: all that meet wrongly. Faces that shut
// off nothing, such as a loose sheet, are left out; where none shuts off
// anything the result has no triangles and no volume.
func Outer(ctx context.Context, m *mesh.Mesh, skip []bool, pairs [][2]int32, o Options) (*Result, error) {
	r, err := outer(ctx, m, skip, pairs, o)
	if err != nil && !errors.Is(err, ErrRange) && !errors.Is(err, ErrLarge) {
		err = fmt.Errorf("arrange: %w", err)
	}
	return r, err
}

func outer(ctx context.Context, m *mesh.Mesh, skip []bool, pairs [][2]int32, o Options) (*Result, error) {
	if len(pairs) > MostPairs {
		return nil, ErrLarge
	}
	a := &arrangement{src: m, skip: skip}
	if err := a.gather(ctx, pairs); err != nil {
		return nil, err
	}
	if err := a.meetAll(ctx, pairs); err != nil {
		return nil, err
	}
	if err := a.cutAll(ctx); err != nil {
		return nil, err
	}
	c, err := newCells(ctx, a)
	if err != nil {
		return nil, err
	}
	return c.boundary(ctx, o)
}

// arrangement is the work in hand.
type arrangement struct {
	src  *mesh.Mesh
	skip []bool
	u    units

	faces   []face
	number  []int32  // per source face: its place in faces, -1 = meets nothing wrongly
	corner  []*point // per source vertex: its point, nil where no face that meets another has it
	corners int      // points of the table that are corners
	table   *table
	flats   []flat
}

// gather sets up the faces that meet wrongly, and their corners.
func (a *arrangement) gather(ctx context.Context, pairs [][2]int32) error {
	used := a.involved(pairs)
	verts := a.src.Vertices()
	far := 0.0
	var width int
	a.u, width = unitsOf(func(yield func(v mesh.Vec) bool) {
		for v, in := range used {
			if in {
				p := verts[v]
				far = max(far, math.Abs(p.X), math.Abs(p.Y), math.Abs(p.Z))
				yield(p)
			}
		}
	})
	if width > mostBits || far > farthest {
		return ErrRange
	}
	a.table = newTable(len(a.faces) * 2)
	a.corner = make([]*point, len(verts))
	for v, in := range used {
		if in {
			p := a.u.corner(verts[v], int32(v))
			p.id = int32(v)
			a.table.add(p)
			a.corner[v] = p
		}
	}
	a.corners = len(a.table.pts)
	return par.Blocks(ctx, len(a.faces), 256, func(from, to int) {
		for k := from; k < to; k++ {
			f := &a.faces[k]
			for i, v := range f.v {
				f.c[i] = a.corner[v]
			}
			f.plane = newPlane(f.c[0], f.c[1], f.c[2])
		}
	})
}

// involved lists the faces that meet wrongly and marks their vertices. Faces whose
// corners lie on one line are left out: they have no sides, and what they touch
// is found without them.
func (a *arrangement) involved(pairs [][2]int32) (used []bool) {
	a.number = make([]int32, a.src.NumTriangles())
	for t := range a.number {
		a.number[t] = -1
	}
	var list []int32
	for _, p := range pairs {
		for _, t := range p {
			if a.number[t] < 0 {
				a.number[t] = 0
				list = append(list, t)
			}
		}
	}
	slices.Sort(list)
	a.faces = make([]face, 0, len(list))
	used = make([]bool, a.src.NumVertices())
	for _, t := range list {
		f := face{t: t, v: a.src.Triangles()[t]}
		f.p[0], f.p[1], f.p[2] = a.src.Corners(int(t))
		if !f.see() {
			a.number[t] = -1
			continue
		}
		a.number[t] = int32(len(a.faces))
		a.faces = append(a.faces, f)
		for _, v := range f.v {
			used[v] = true
		}
	}
	return used
}

// pair returns the two faces of a pair; false where one has no sides.
func (a *arrangement) pair(p [2]int32) (f, g *face, ok bool) {
	i, j := a.number[p[0]], a.number[p[1]]
	if i < 0 || j < 0 {
		return nil, nil, false
	}
	return &a.faces[i], &a.faces[j], true
}

// meetAll finds what each pair has in common and makes the flats.
func (a *arrangement) meetAll(ctx context.Context, pairs [][2]int32) error {
	if err := a.makeFlats(ctx, pairs); err != nil {
		return err
	}
	// Some at a time: most points are found twice and more.
	const atOnce = 1 << 12
	meets := make([]meeting, min(atOnce, len(pairs)))
	for from := 0; from < len(pairs); from += atOnce {
		some := pairs[from:min(from+atOnce, len(pairs))]
		err := par.Blocks(ctx, len(some), 64, func(i, j int) {
			for k := i; k < j; k++ {
				meets[k] = meeting{}
				f, g, ok := a.pair(some[k])
				if !ok || f.flat == g.flat {
					continue // in one plane
				}
				sf, _ := f.sides(g)
				sg, _ := g.sides(f)
				meets[k] = a.u.meet2(f, g, sf, sg)
			}
		})
		if err != nil {
			return err
		}
		for k, p := range some {
			m := &meets[k]
			if m.n == 0 {
				continue
			}
			f, g, _ := a.pair(p)
			for i := range m.n {
				m.p[i] = a.table.pts[a.table.add(m.p[i])]
			}
			a.flats[f.flat].take(f, m, g.plane)
			a.flats[g.flat].take(g, m, f.plane)
		}
	}
	return nil
}

// makeFlats joins the faces that overlap or touch in one plane.
func (a *arrangement) makeFlats(ctx context.Context, pairs [][2]int32) error {
	level := make([]bool, len(pairs))
	err := par.Blocks(ctx, len(pairs), 256, func(from, to int) {
		for k := from; k < to; k++ {
			if f, g, ok := a.pair(pairs[k]); ok {
				_, level[k] = f.sides(g)
			}
		}
	})
	if err != nil {
		return err
	}
	sets := disjoint.New(len(a.faces))
	for k, p := range pairs {
		if level[k] {
			sets.Join(a.number[p[0]], a.number[p[1]])
		}
	}
	a.flats = make([]flat, sets.Number())
	for k := range a.faces {
		f := &a.faces[k]
		f.flat = sets[k]
		a.flats[f.flat].faces = append(a.flats[f.flat].faces, f)
	}
	return nil
}

// take takes in what face g of the flat has in common with one of another plane.
func (f *flat) take(g *face, m *meeting, other *plane) {
	corner := func(p *point) bool { return p == g.c[0] || p == g.c[1] || p == g.c[2] }
	switch {
	case m.n == 1 && !corner(m.p[0]):
		f.dots = append(f.dots, m.p[0])
	case m.n == 2 && !(corner(m.p[0]) && corner(m.p[1])):
		f.stretches = append(f.stretches, stretch{a: m.p[0], b: m.p[1], side: [2]int32{-1, -1}, plane: other})
	}
}

// whole reports whether the flat is one face that nothing cuts.
func (f *flat) whole() bool {
	return f.out == nil && len(f.faces) == 1 && len(f.stretches) == 0 && len(f.dots) == 0
}

// cutAll cuts the flats and numbers the points that are new.
func (a *arrangement) cutAll(ctx context.Context) error {
	failed := make([]error, len(a.flats))
	err := par.Each(ctx, len(a.flats), func(k int) {
		if f := &a.flats[k]; !f.whole() {
			failed[k] = f.triangulate(ctx, a.u)
		}
	})
	if err != nil {
		return err
	}
	for k := range a.flats {
		if failed[k] != nil {
			return failed[k]
		}
		f := &a.flats[k]
		if f.whole() {
			continue
		}
		for _, p := range f.own.pts {
			if p.id >= 0 {
				continue
			}
			n := a.table.add(p)
			if q := a.table.pts[n]; q != p && q.id >= 0 {
				p.id = q.id
				continue
			}
			p.id = int32(a.src.NumVertices()) + n - int32(a.corners)
			a.table.pts[n].id = p.id
		}
	}
	return nil
}
