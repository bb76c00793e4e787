package undercut

import (
	"cmp"
	"math"
	"slices"

	"moldtally/mesh"
	"moldtally/mesh/dexel"
)

// Kind says what a region is to a mold maker.
type Kind string

// The kinds of region.
const (
	Neck     Kind = "neck"     // rubber goes round the pattern
	Pocket   Kind = "pocket"   // its mouth is less than twice as wide as it is deep, or it lies round a core of rubber
	Overhang Kind = "overhang" // any other
	Tunnel   Kind = "tunnel"   // rubber links through the pattern
	Minor    Kind = "minor"    // all that is noise, or cannot be told from it, in one
)

// Region is a connected undercut.
type Region struct {
	ID     int        `json:"id"`
	Kind   Kind       `json:"kind"`
	Depth  float64    `json:"depth_mm"`
	Path   *float64   `json:"path_mm"` // nil = locked
	Volume float64    `json:"volume_mm3"`
	Area   float64    `json:"area_mm2"`
	At     [3]float64 `json:"at_mm"`
	Height float64    `json:"height_mm"` // of that place above the pattern's lowest point
}

// region is a connected undercut under work.
type region struct {
	half   *half
	gaps   []gap // in the order they were reached
	depth  float64
	path   float64 // +Inf = locked
	volume float64
	area   float64
	at     place // of the deepest path
}

// gap is the gap below a span of a column.
type gap struct{ i, j, k int32 }

// regions are the undercuts of a scene, joined.
type regions struct {
	*Result
	label [][]int32 // per half and gap: region + 1, 0 = none
	all   []*region
}

// findRegions joins the undercut gaps of each half into regions. Only gaps
// deeper than noise join each other, or a hair of back-draft along a wall
// would make one region of everything; the shallow rubber round a region is
// then given to the nearest one, so that its volume is whole.
func findRegions(u *Result) *regions {
	rs := &regions{Result: u}
	core := max(u.Scene.Ignore, u.Scene.Field.Cell)
	for _, h := range u.halves {
		label, own := h.split(core, len(rs.all))
		rs.label, rs.all = append(rs.label, label), append(rs.all, own...)
		h.shareWorst(label, rs.all)
	}
	return rs
}

// minor reports whether a region is noise, or cannot be told from it.
func (rs *regions) minor(r *region) bool { return max(r.depth, r.path) < rs.Scene.Noise() }

// split joins a half's gaps and labels them with the numbers of its regions,
// from first + 1.
func (h *half) split(core float64, first int) (label []int32, out []*region) {
	label = make([]int32, len(h.depth))
	var shallow []gap // rim of the regions, to be given away in rounds
	grow := func(from gap, at int, least float64) {
		r := &region{half: h, gaps: []gap{from}}
		out = append(out, r)
		id := int32(first + len(out))
		label[at] = id
		for n := 0; n < len(r.gaps); n++ {
			rim := false
			h.around(r.gaps[n], func(x gap, at int) {
				switch {
				case label[at] != 0:
				case float64(h.depth[at]) >= least:
					label[at] = id
					r.gaps = append(r.gaps, x)
				default:
					rim = true
				}
			})
			if rim {
				shallow = append(shallow, r.gaps[n])
			}
		}
	}
	h.each(func(g gap, at int) {
		if float64(h.depth[at]) >= core && label[at] == 0 {
			grow(g, at, core)
		}
	})
	// Give the shallow gaps to the regions round by round.
	for n := 0; n < len(shallow); n++ {
		g := shallow[n]
		id := label[h.f.Offset(int(g.i), int(g.j))+int(g.k)]
		h.around(g, func(x gap, at int) {
			if label[at] == 0 {
				label[at] = id
				r := out[int(id)-1-first]
				r.gaps = append(r.gaps, x)
				shallow = append(shallow, x)
			}
		})
	}
	// What is left is shallow all over.
	h.each(func(g gap, at int) {
		if label[at] == 0 {
			grow(g, at, 0)
		}
	})
	for _, r := range out {
		r.measure()
	}
	return label, out
}

// each calls fn for every undercut gap; at is its number.
func (s *shadow) each(fn func(g gap, at int)) {
	for j := range s.f.NY {
		for i := range s.f.NX {
			off := s.f.Offset(i, j)
			for k := range s.f.Column(i, j) {
				if s.depth[off+k] != 0 {
					fn(gap{int32(i), int32(j), int32(k)}, off+k)
				}
			}
		}
	}
}

// around calls fn for the undercut gaps of the eight columns round a gap that
// share heights with it.
func (s *shadow) around(g gap, fn func(x gap, at int)) {
	f := s.f
	i, j := int(g.i), int(g.j)
	lo, hi := s.rubber.Gap(f.Column(i, j), int(g.k))
	lo = max(lo, s.floor)
	for _, d := range around8 {
		x, y := i+d[0], j+d[1]
		if x < 0 || y < 0 || x >= f.NX || y >= f.NY {
			continue
		}
		col, off := f.Column(x, y), f.Offset(x, y)
		for k := range col {
			if s.depth[off+k] == 0 {
				continue
			}
			l, u := s.rubber.Gap(col, k)
			if l = max(l, s.floor); l >= hi {
				break
			}
			if u > lo {
				fn(gap{int32(x), int32(y), int32(k)}, off+k)
			}
		}
	}
}

// measure sums a region up.
func (r *region) measure() {
	h := r.half
	best := -1.0
	for _, g := range r.gaps {
		i, j, k := int(g.i), int(g.j), int(g.k)
		off := h.f.Offset(i, j)
		lo, hi, _ := h.piece(h.f.Column(i, j), off, k)
		r.volume += hi - lo
		r.depth = max(r.depth, float64(h.depth[off+k]))
		p := float64(h.path[off+k])
		r.path = max(r.path, p)
		if p > best {
			best, r.at = p, place{i, j, k, lo}
		}
	}
	r.volume *= h.f.Cell * h.f.Cell
}

// shareWorst gives the region that holds a half's deepest path, or rubber that
// is locked, the place where that was found: it is sought closer than the
// regions are.
func (h *half) shareWorst(label []int32, all []*region) {
	give := func(at place, locked bool) {
		if at.k < 0 {
			return
		}
		n := label[h.f.Offset(at.i, at.j)+at.k]
		if n == 0 {
			return
		}
		if r := all[n-1]; math.IsInf(r.path, 1) == locked && (locked || h.length >= r.path-h.f.Cell/2) {
			r.at = at
		}
	}
	give(h.at, false)
	if h.locked {
		give(h.lockedAt, true)
	}
}

// halfAt is the number of the half of the mold that rubber at height z (along
// Up) belongs to.
func (r *Result) halfAt(z float64) int {
	if r.Parting != nil && z < *r.Parting {
		return 1
	}
	return 0
}

// columnAt finds the half and the column of it that a place lies in, and its
// height along the half's way; ok is false beside all columns.
func (r *Result) columnAt(p mesh.Vec) (half, i, j int, z float64, ok bool) {
	x, y, z := r.Scene.Field.Plane(p)
	half = r.halfAt(z)
	if half == 1 {
		z = -z
	}
	f := r.halves[half].f
	i, j = int(math.Floor((x-f.X0)/f.Cell)), int(math.Floor((y-f.Y0)/f.Cell))
	return half, i, j, z, i >= 0 && j >= 0 && i < f.NX && j < f.NY
}

// labelAt is the label (region + 1) of the undercut at a place of the rubber, 0
// where it is in none.
func (rs *regions) labelAt(at [3]float64) int32 {
	half, i, j, z, ok := rs.columnAt(mesh.V(at[0], at[1], at[2]))
	if !ok {
		return 0
	}
	f := rs.halves[half].f
	k, in := dexel.At(f.Column(i, j), z)
	if in || k == len(f.Column(i, j)) {
		return 0
	}
	return rs.label[half][f.Offset(i, j)+k]
}

// list puts the regions in the report's form: deepest first, with the minor ones
// in one. ids are the numbers that they have there.
func (rs *regions) list(o SurfaceOptions) (out []Region, ids []int32) {
	// A region with a web in it is a tunnel. Where there are more tunnels than
	// known webs, so is one with more than one mouth.
	holds := make([]bool, len(rs.all)+1)
	for _, at := range o.Webs {
		holds[rs.labelAt(at)] = true
	}
	c := rs.Scene
	var minor *Region
	minorPath := -1.0
	out = []Region{}
	for n, r := range rs.all {
		x := Region{ID: n, Depth: r.depth, Path: finite(r.path), Volume: r.volume, Area: r.area, At: *r.half.point(r.at)}
		x.Height = mesh.V(x.At[0], x.At[1], x.At[2]).Dot(c.Up) - c.Base
		switch {
		case rs.minor(r):
			if minor == nil {
				minor = &Region{Kind: Minor}
			}
			minor.Volume += r.volume
			minor.Area += r.area
			minor.Depth = max(minor.Depth, r.depth)
			if r.path > minorPath {
				minorPath = r.path
				minor.Path, minor.At, minor.Height = x.Path, x.At, x.Height
			}
			continue
		case holds[n+1]:
			x.Kind = Tunnel
		default:
			x.Kind = r.kind(o.Linked)
		}
		out = append(out, x)
	}
	slices.SortStableFunc(out, func(p, q Region) int {
		return cmp.Or(cmp.Compare(reach(q.Path), reach(p.Path)), cmp.Compare(q.Depth, p.Depth), cmp.Compare(q.Volume, p.Volume),
			cmp.Compare(p.At[0], q.At[0]), cmp.Compare(p.At[1], q.At[1]), cmp.Compare(p.At[2], q.At[2]))
	})
	ids = make([]int32, len(rs.all))
	for n := range ids {
		ids[n] = int32(len(out) + 1) // of the minor ones
	}
	for n := range out {
		ids[out[n].ID] = int32(n + 1)
		out[n].ID = n + 1
	}
	if minor != nil {
		minor.ID = len(out) + 1
		out = append(out, *minor)
	}
	return out, ids
}

// reach is the length of a path, +Inf where there is none.
func reach(path *float64) float64 {
	if path == nil {
		return math.Inf(1)
	}
	return *path
}

// finite is a path of a length; nil where that is infinite.
func finite(length float64) *float64 {
	if math.IsInf(length, 1) {
		return nil
	}
	return &length
}

// worstAt is the place of the deepest path, which is the first region's where
// they mean the same: of several as deep, or locked, the one that is listed
// first.
func worstAt(u *Result, list []Region) *[3]float64 {
	if len(list) == 0 || u.PathAt == nil {
		return u.PathAt
	}
	p, q := list[0].Path, u.Path
	if p == nil && q == nil || p != nil && q != nil && math.Abs(*p-*q) <= u.Scene.Field.Cell/2 {
		at := list[0].At
		return &at
	}
	return u.PathAt
}
