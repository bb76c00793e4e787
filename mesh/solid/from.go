package solid

import (
	"context"
	"errors"
	"math"
	"slices"

	"moldtally/mesh"
	"moldtally/mesh/arrange"
	"moldtally/mesh/finding"
	"moldtally/mesh/unit"
)

// ErrNothing is returned by From for a mesh whose faces surround nothing.
var ErrNothing = errors.New("solid: the faces surround nothing")

// From finds the solid that a surveyed mesh stands for: drops doubles and
// crumbs, joins faces into sheets, closes holes, turns every piece outward,
// looks for pockets that pieces enclose together, and measures what it
// displaces with bounds. The mesh is not changed.
//
// The volume is exact (Displaced.Low == High) only where the mesh is closed,
// consistently wound and shown by exact predicates not to cross or touch
// itself. Where it crosses itself its faces are cut along the lines in which
// they meet, and the volume of the exact union has the bounds that rounding and
// patches leave. Only a surface that cannot be cut so (far too many faces meet,
// or the surface's own numbers are absurdly far apart) is measured by the sum
// over the pieces, corrected by columns along three turned directions, which
// speak only about what is in dispute: overlaps and pockets.
//
// Errors: ErrNothing, or a cancelled ctx.
func From(ctx context.Context, m *mesh.Mesh, sv *mesh.Survey, o Options) (*Solid, error) {
	s := &Solid{src: m, surface: m, patchFrom: m.NumTriangles()}
	s.Repairs = []finding.Remark{}

	skip, crumbs := leaveOut(m, sv, o)
	if crumbs > 0 {
		s.mended(LeftOut{crumbs})
	}
	clean := sv.Clean
	var invented float64 // what patches may be wrong by, mm³
	if clean {
		s.keep(sv, skip, crumbs)
	} else {
		var err error
		if invented, err = s.mend(ctx, m, sv, skip, o); err != nil {
			return nil, err
		}
	}
	s.allLive = !slices.ContainsFunc(s.piece, func(p int32) bool { return p < 0 })

	vol := s.pieceVolumes()
	if s.walls {
		vol[s.pieces-1] = 0 // no body
	}
	sum, biggest := s.turnOutward(vol)
	size := m.Size()
	longest := max(size.X, size.Y, size.Z)
	if !(longest > 0) || !s.walls && biggest <= 1e-12*longest*longest*longest && s.odd == nil {
		return nil, ErrNothing
	}

	most := arrange.MostPairs
	if !clean {
		most = 0 // those of the mended surface are wanted
	}
	x, pairs, err := mesh.CrossingPairs(ctx, m, skip, most, o.Progress)
	if err != nil {
		return nil, err
	}
	s.SelfCrossings = x.Pairs
	embedded := x.Pairs == 0
	if !clean {
		// What counts for the volume is the mended surface.
		var y mesh.Crossings
		if y, pairs, err = mesh.CrossingPairs(ctx, s.surface, s.leftOut(), arrange.MostPairs, o.Progress); err != nil {
			return nil, err
		}
		embedded = y.Pairs == 0 && s.odd == nil && !s.walls
	}

	s.within, s.embedded = s.nesting(vol), embedded
	voidVolume := s.voids(vol)
	if !embedded {
		if err := s.unite(ctx, pairs, sum, invented, voidVolume, o); err != nil {
			return nil, err
		}
		s.describe(crumbs, x.First)
		return s, nil
	}
	var v float64
	for p := range vol {
		if s.within[p] < 0 {
			v += math.Abs(vol[p])
		}
	}
	s.Displaced = unit.Exactly(unit.Volume(v))
	s.SealedVoidVolume = unit.Volume(voidVolume)
	s.Material = unit.Volume(v - voidVolume)
	s.Measured = Measured{Way: WayExact}
	if !clean {
		s.bound(v, mended*v+invented)
		s.Measured = Measured{len(s.Openings) > 0, WayMended}
	}
	s.describe(crumbs, x.First)
	return s, nil
}

// keep takes over the pieces of a clean mesh, without those that skip leaves
// out.
func (s *Solid) keep(sv *mesh.Survey, skip []bool, crumbs int) {
	s.piece = sv.PieceOf
	s.pieces = len(sv.Pieces)
	if crumbs == 0 {
		return
	}
	s.piece = slices.Clone(sv.PieceOf)
	for t := range s.piece {
		if skip[t] {
			s.piece[t] = -1
		}
	}
}

// turnOutward turns pieces of negative volume, and returns the sum of the
// volumes of those that are wound one way, and the largest.
func (s *Solid) turnOutward(vol []float64) (sum, biggest float64) {
	s.flip = make([]bool, s.pieces)
	for p, v := range vol {
		if v < 0 {
			s.flip[p] = true
			s.InsideOut++
		}
		if s.odd == nil || !s.odd[p] {
			sum += math.Abs(v)
		}
		biggest = max(biggest, math.Abs(v))
	}
	for k := range s.Openings {
		// Patches were measured in the winding of the sheet.
		o := &s.Openings[k]
		o.Inside = math.Abs(vol[o.piece])
		if s.flip[o.piece] {
			o.Normal = o.Normal.Neg()
			o.BulgeLow, o.BulgeHigh = -o.BulgeHigh, -o.BulgeLow
		}
	}
	return sum, biggest
}

// voids counts the sealed voids among the pieces and returns their volume.
func (s *Solid) voids(vol []float64) (volume float64) {
	for p, q := range s.within {
		if q < 0 || s.flip[p] == s.flip[q] {
			continue
		}
		// A void is wound against what it lies in; what lies in the void
		// and is wound the other way again is material.
		s.SealedVoids++
		volume += math.Abs(vol[p])
		for r, c := range s.within {
			if c == p && s.flip[r] == s.flip[q] {
				volume -= math.Abs(vol[r])
			}
		}
	}
	// A void's winding is right as it is; it counts as turned only in the
	// sense that S fills it.
	s.InsideOut = max(s.InsideOut-s.SealedVoids, 0)
	return volume
}

// mended is the least relative bound on a volume that needed any mending:
// rounding, and the reminder that the file did not say it.
const mended = 1e-6

// bound sets the displaced volume with an error e of its own and the brackets
// of the patches.
func (s *Solid) bound(v, e float64) {
	low, high := v-e, v+e
	for _, o := range s.Openings {
		low += o.BulgeLow
		high += o.BulgeHigh
	}
	s.Displaced = unit.Bounded[unit.Volume]{Low: unit.Volume(max(low, 0)), Value: unit.Volume(v), High: unit.Volume(high)}
}

// leftOut is the mask of surface triangles that are not live; nil when all
// are.
func (s *Solid) leftOut() []bool {
	if s.allLive {
		return nil
	}
	out := make([]bool, len(s.piece))
	for t, p := range s.piece {
		out[t] = p < 0
	}
	return out
}

// leaveOut marks collapsed triangles and, unless they are kept, crumbs; nil
// where nothing is left out.
func leaveOut(m *mesh.Mesh, sv *mesh.Survey, o Options) (skip []bool, crumbs int) {
	dropCrumbs := !o.KeepCrumbs && sv.Crumbs > 0 && sv.Crumbs < len(sv.Pieces)
	if sv.DegenerateFaces == 0 && !dropCrumbs {
		return nil, 0
	}
	skip = make([]bool, m.NumTriangles())
	for t, p := range sv.PieceOf {
		skip[t] = p < 0 || dropCrumbs && sv.Pieces[p].Crumb
	}
	if dropCrumbs {
		crumbs = sv.Crumbs
	}
	return skip, crumbs
}

// pieceVolumes returns the signed volume of every piece, in the winding of
// its own triangles (turned ones turned), about the middle of the pattern.
func (s *Solid) pieceVolumes() []float64 {
	lo, hi := s.surface.Bounds()
	o := lo.Add(hi).Mul(0.5)
	sum := make([]float64, s.pieces)
	low := make([]float64, s.pieces) // Neumaier's compensation
	for t, p := range s.piece {
		if p < 0 {
			continue
		}
		a, b, c := s.surface.Corners(t)
		v := a.Sub(o).Dot(b.Sub(o).Cross(c.Sub(o))) / 6
		if s.turnTri != nil && s.turnTri[t] {
			v = -v
		}
		x := sum[p] + v
		if math.Abs(sum[p]) >= math.Abs(v) {
			low[p] += sum[p] - x + v
		} else {
			low[p] += v - x + sum[p]
		}
		sum[p] = x
	}
	for p := range sum {
		sum[p] += low[p]
	}
	return sum
}

// nesting returns, per piece, the smallest piece that it lies inside of, or
// -1. Pieces that overlap or touch are judged by one vertex.
func (s *Solid) nesting(vol []float64) []int {
	within := make([]int, s.pieces)
	for p := range within {
		within[p] = -1
	}
	if s.pieces < 2 {
		return within
	}
	boxes, first := s.pieceBoxes()
	ask := enclosures(boxes, func(p int) bool { return first[p] >= 0 && vol[p] != 0 })
	if len(ask) == 0 {
		return within
	}
	// Triangles by piece, for the winding numbers.
	byPiece := make([][]int32, s.pieces)
	need := make([]bool, s.pieces)
	for _, a := range ask {
		need[a.out] = true
	}
	for t, p := range s.piece {
		if p >= 0 && need[p] {
			byPiece[p] = append(byPiece[p], int32(t))
		}
	}
	for _, a := range ask {
		if within[a.in] >= 0 && math.Abs(vol[within[a.in]]) <= math.Abs(vol[a.out]) {
			continue
		}
		v, _, _ := s.surface.Corners(int(first[a.in]))
		if math.Abs(s.windingAt(v, byPiece[a.out])) > 0.5 {
			within[a.in] = a.out
		}
	}
	return within
}

type box struct{ lo, hi mesh.Vec }

// pieceBoxes returns the bounds of every piece and its first triangle, -1 where
// it has none.
func (s *Solid) pieceBoxes() (boxes []box, first []int32) {
	boxes = make([]box, s.pieces)
	first = make([]int32, s.pieces)
	for p := range boxes {
		i := math.Inf(1)
		boxes[p] = box{mesh.V(i, i, i), mesh.V(-i, -i, -i)}
		first[p] = -1
	}
	for t, p := range s.piece {
		if p < 0 {
			continue
		}
		a, b, c := s.surface.Corners(t)
		boxes[p].lo = boxes[p].lo.Min(a).Min(b).Min(c)
		boxes[p].hi = boxes[p].hi.Max(a).Max(b).Max(c)
		if first[p] < 0 {
			first[p] = int32(t)
		}
	}
	return boxes, first
}

// enclosure is a piece whose box lies in another's.
type enclosure struct{ in, out int }

// enclosures sweeps the boxes along x: only a box that holds another's can hold
// the piece. Pieces that do not count are passed over.
func enclosures(boxes []box, counts func(p int) bool) (ask []enclosure) {
	order := make([]int, len(boxes))
	for p := range order {
		order[p] = p
	}
	slices.SortStableFunc(order, func(a, b int) int {
		switch {
		case boxes[a].lo.X < boxes[b].lo.X:
			return -1
		case boxes[a].lo.X > boxes[b].lo.X:
			return 1
		}
		return a - b
	})
	var active []int
	for _, p := range order {
		if !counts(p) {
			continue
		}
		b := boxes[p]
		keep := active[:0]
		for _, q := range active {
			if boxes[q].hi.X < b.lo.X {
				continue
			}
			keep = append(keep, q)
			c := boxes[q]
			if c.lo.X < b.lo.X && c.lo.Y < b.lo.Y && c.lo.Z < b.lo.Z && c.hi.X > b.hi.X && c.hi.Y > b.hi.Y && c.hi.Z > b.hi.Z {
				ask = append(ask, enclosure{p, q})
			}
		}
		active = append(keep, p)
	}
	return ask
}

// windingAt is the winding number of some triangles about a point: the sum of
// their solid angles over 4π (A. van Oosterom and J. Strackee, "The solid
// angle of a plane triangle", IEEE Trans. Biomed. Eng. 30 (1983) 125, from
// memory).
func (s *Solid) windingAt(p mesh.Vec, tris []int32) float64 {
	var sum float64
	for _, t := range tris {
		a, b, c := s.surface.Corners(int(t))
		a, b, c = a.Sub(p), b.Sub(p), c.Sub(p)
		la, lb, lc := a.Len(), b.Len(), c.Len()
		num := a.Dot(b.Cross(c))
		den := la*lb*lc + a.Dot(b)*lc + b.Dot(c)*la + c.Dot(a)*lb
		w := math.Atan2(num, den)
		if s.turnTri != nil && s.turnTri[t] {
			w = -w
		}
		sum += w
	}
	return sum / (2 * math.Pi)
}

// columnsAcross is the number of columns along the longer side of the grids
// that settle disputed volume.
const columnsAcross = 640

// leastShare is the share of its box below which a measured volume cannot be
// told from nothing: what rounding in the columns adds up to (judgement of
// this program).
// leastCube is the same as a share of the cube over the longest size, for
// what lies flat.
const (
	leastShare = 1e-6
	leastCube  = 1e-7
)

// nothing reports whether a volume, mm³, cannot be told from none.
func (s *Solid) nothing(v float64) bool {
	size := s.surface.Size()
	longest := max(size.X, size.Y, size.Z)
	return !(v > max(leastShare*size.X*size.Y*size.Z, leastCube*longest*longest*longest))
}

// smallPocket is the share of the volume below which a pocket found by the
// lattice is as likely a narrow gap that leads out (judgement of this
// program).
const smallPocket = 1e-3

// measure finds what S displaces where the union cannot be had: the sum
// of the pieces, corrected by columns along three directions. The three are
// independent looks at one figure; their full spread is a fair bound on the
// error of their mean.
func (s *Solid) measure(ctx context.Context, sum, invented, voids float64, o Options) error {
	across := o.Across
	if across <= 0 {
		across = columnsAcross
	}
	var err error
	if s.pockets, err = s.findPockets(ctx, across); err != nil {
		return err
	}
	l := s.pockets
	size := s.surface.Size()
	cell := max(size.X, size.Y, size.Z) / float64(across)
	var dispute [3]float64
	var pocketed, unsure float64
	for k := range dispute {
		if o.Progress != nil {
			o.Progress("volume", k, len(dispute))
		}
		if l == nil || l.found == 0 {
			_, _, u := turnedFrame(k + 1)
			if dispute[k], err = s.disputed(ctx, dexelGrid(s, u, cell), nil); err != nil {
				return err
			}
			continue
		}
		// On the lattice's own columns a stretch with a node in it is known.
		g := l.columns(k)
		filled := make([]float64, g.NY)
		thin := make([]float64, g.NY)
		dispute[k], err = s.disputed(ctx, g, func(i, j int, z0, z1 float64) bool {
			in, sure := l.on(k, i, j, z0, z1)
			if !sure {
				x, y := g.Center(i, j)
				in = l.covers(&g, x, y, z0, z1)
				if in {
					thin[j] += z1 - z0
				}
			}
			if in {
				filled[j] += z1 - z0
			}
			return in
		})
		if err != nil {
			return err
		}
		for j := range filled {
			pocketed += filled[j] * g.Cell * g.Cell / 3
			unsure += thin[j] * g.Cell * g.Cell / 3
		}
	}
	mean := (dispute[0] + dispute[1] + dispute[2]) / 3
	spread := max(dispute[0], dispute[1], dispute[2]) - min(dispute[0], dispute[1], dispute[2])
	v := sum + mean
	s.bound(v, spread+unsure+mended*math.Abs(v)+invented)
	if pocketed < smallPocket*v {
		// So little may as well lead out through a gap that no lattice sees.
		s.Displaced.Low = max(0, s.Displaced.Low-unit.Volume(pocketed))
	}
	if l != nil {
		// Gaps that may be sealed, seen by the lattice alone.
		s.Displaced.High += unit.Volume(float64(l.thin) * l.cell * l.cell * l.cell)
		s.SealedVoids += l.rooms
		voids += pocketed
		if l.rooms == 0 {
			s.pockets = nil
		}
	}
	if s.nothing(v) {
		return ErrNothing
	}
	s.together = s.pockets != nil
	s.SealedVoidVolume = unit.Volume(voids)
	s.Material = unit.Volume(v - voids)
	s.Measured = Measured{len(s.Openings) > 0, WayColumns}
	return nil
}
