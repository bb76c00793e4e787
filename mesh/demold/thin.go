package demold

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"

	"moldtally/mesh"
	"moldtally/mesh/demold/scene"
	"moldtally/mesh/dexel"
	"moldtally/mesh/disjoint"
	"moldtally/mesh/finding"
	"moldtally/mesh/par"
)

// Thin is a place where two faces of the pattern stand back to back or face to
// face so close that what lies between is weak: a web of rubber, or a fin of
// the pattern. Lengths mm, areas mm².
type Thin struct {
	Kind      string     `json:"kind"` // web, fin
	Thickness float64    `json:"thickness_mm"`
	Area      float64    `json:"area_mm2"` // of the place, one side
	Depth     float64    `json:"depth_mm"` // its lesser extent: how deep a web, how high a fin
	At        [3]float64 `json:"at_mm"`
	Places    int        `json:"places"` // 1, or for the last of a kind how many small ones it stands for
}

// What is thin. DefaultWeb and DefaultFin are judgements of this program, a
// bench rule of thumb without a source: a web of mold rubber much under 2 mm
// tears when it is deep, and a fin of resin, plaster or clay under 1 mm breaks
// off in the rubber. (The path's own web, 0.5 mm, is another matter: narrower
// than that a gap is no way out at all.)
const (
	DefaultWeb = 2.0
	DefaultFin = 1.0
	// thinColumns is the number of columns over the largest size, along each of
	// the three axes that places are looked for along.
	thinColumns = 224
	// thinFacing: two faces face each other when their normals are within 20° of
	// opposite. A wedge blunter than that has no thickness; a knife edge sharper
	// than that is thin along its edge (judgement).
	thinFacing = 20 * math.Pi / 180
	// slender: a place less than this many times as deep as it is thick is a
	// rib or a groove, and stands (judgement).
	slender = 2.0
	// hairline: faces closer than this were drawn onto each other, and rubber does
	// not run in between them (judgement), mm.
	hairline = 0.02
	// smallThin: places with less than this share of the area of the largest of
	// their kind, or past mostThin, are added up in one.
	smallThin = 0.02
	mostThin  = 12
)

// thinSpot is what one column says.
type thinSpot struct {
	at    mesh.Vec // the middle between the faces
	n     mesh.Vec
	thick float64
	area  float64
	fin   bool
}

// findThin measures webs and fins along three axes at right angles: a column
// measures the distance between two faces exactly, and each place is taken from
// the axis that meets it most squarely, so that it counts once.
func findThin(ctx context.Context, a *analysis) error {
	a.rep.Thin = []Thin{}
	web, fin := DefaultWeb, DefaultFin
	if a.o.Web != nil {
		web = *a.o.Web
	}
	if a.o.Fin != nil {
		fin = *a.o.Fin
	}
	if !(web >= 0) || !(fin >= 0) || math.IsInf(web, 0) || math.IsInf(fin, 0) {
		return fmt.Errorf("the thickness of webs and fins is not a length")
	}
	a.rep.ThinWeb, a.rep.ThinFin = web, fin
	if web == 0 && fin == 0 {
		return nil
	}
	axes := [3]mesh.Vec{a.Field.U, a.Field.E1, a.Field.E2}
	cell := a.Size / thinColumns
	var spots []thinSpot
	for k, u := range axes {
		f := a.Field
		step := 1
		if k > 0 || f.Cell > 1.5*cell {
			var err error
			if f, err = a.Solid.Field(ctx, a.Solid.GridAlong(u, cell)); err != nil {
				return err
			}
		} else {
			step = max(1, int(cell/f.Cell))
		}
		per := make([][]thinSpot, f.NY)
		err := par.Each(ctx, f.NY, func(j int) {
			if j%step == 0 {
				per[j] = a.thinRow(f, j, step, k, axes, web, fin)
			}
		})
		if err != nil {
			return err
		}
		for _, p := range per {
			spots = append(spots, p...)
		}
	}
	a.rep.Thin = a.mergeThin(spots, cell)
	a.tellThin()
	return nil
}

// thinRow reads one row of columns along axis k.
func (a *analysis) thinRow(f *dexel.Field, j, step, k int, axes [3]mesh.Vec, web, fin float64) []thinSpot {
	var out []thinSpot
	look := func(i int, lo, hi float64, below, above int32, most float64, isFin bool) {
		d := hi - lo
		// The axis is the squarest of three: no nearer than 54.7° to the faces.
		if d <= 0 || d > most*1.7321 {
			return
		}
		p, ok1 := a.normal(below)
		q, ok2 := a.normal(above)
		if !ok1 || !ok2 || p.Dot(q) > -math.Cos(thinFacing) {
			return
		}
		n := q.Sub(p).Unit()
		c := math.Abs(n.Dot(axes[k]))
		for m, x := range axes {
			if o := math.Abs(n.Dot(x)); o > c+1e-9 || m < k && o > c-1e-9 {
				return // another axis meets it more squarely
			}
		}
		if d*c >= most || c == 0 || !isFin && d*c < hairline {
			return
		}
		x, y := f.Center(i, j)
		side := f.Cell * float64(step)
		s := thinSpot{at: f.Point(x, y, (lo+hi)/2), n: n, thick: d * c, area: side * side / c, fin: isFin}
		if !isFin && !a.inRubber(s.at) {
			return
		}
		out = append(out, s)
	}
	for i := 0; i < f.NX; i += step {
		col := f.Column(i, j)
		for m, s := range col {
			// Of a span the faces look apart: below down, above up.
			look(i, s.Bottom, s.Top, s.BottomTri, s.TopTri, fin, true)
			if m > 0 {
				look(i, col[m-1].Top, s.Bottom, col[m-1].TopTri, s.BottomTri, web, false)
			}
		}
	}
	return out
}

// normal is the outward unit normal of a triangle; false where it has none.
func (a *analysis) normal(t int32) (mesh.Vec, bool) {
	if t < 0 {
		return mesh.Vec{}, false
	}
	p, q, r := a.Solid.Surface().Corners(int(t))
	n := q.Sub(p).Cross(r.Sub(p))
	l := n.Len()
	if l == 0 {
		return mesh.Vec{}, false
	}
	n = n.Mul(1 / l)
	if !a.Solid.Outward(int(t)) {
		n = n.Neg()
	}
	return n, true
}

// inRubber reports whether rubber gets to a place outside S.
func (a *analysis) inRubber(p mesh.Vec) bool {
	if !a.OnBoard() {
		return true
	}
	x, y, z := a.Field.Plane(p)
	if z <= a.ClayLine() {
		return false
	}
	i, j := int(math.Floor((x-a.Field.X0)/a.Field.Cell)), int(math.Floor((y-a.Field.Y0)/a.Field.Cell))
	if i < 0 || j < 0 || i >= a.Field.NX || j >= a.Field.NY {
		return true
	}
	col := a.Field.Column(i, j)
	k, in := dexel.At(col, z)
	if in || k == len(col) {
		return true // the columns do not part so fine a gap, or it is open
	}
	return a.Space().Fill[a.Field.Offset(i, j)+k] == scene.Rubber
}

// mergeThin joins spots that lie side by side, keeps the places that are deep
// enough to matter, worst first, and adds the small ones up.
func (a *analysis) mergeThin(spots []thinSpot, cell float64) []Thin {
	link := 2.5 * cell
	key := func(p mesh.Vec) [3]int32 {
		return [3]int32{int32(math.Floor(p.X / link)), int32(math.Floor(p.Y / link)), int32(math.Floor(p.Z / link))}
	}
	bins := make(map[[3]int32][]int32, len(spots)/4) // looked up, never ranged over
	join := disjoint.New(len(spots))
	for n := range spots {
		s := &spots[n]
		k := key(s.at)
		for dz := int32(-1); dz <= 1; dz++ {
			for dy := int32(-1); dy <= 1; dy++ {
				for dx := int32(-1); dx <= 1; dx++ {
					for _, m := range bins[[3]int32{k[0] + dx, k[1] + dy, k[2] + dz}] {
						o := &spots[m]
						d := o.at.Sub(s.at)
						// Side by side, not one behind the other.
						if o.fin != s.fin || d.Dot(d) > link*link || math.Abs(o.n.Dot(s.n)) < 0.7 || math.Abs(d.Dot(s.n)) > s.thick+0.4*d.Len() {
							continue
						}
						join.Join(int32(n), m)
					}
				}
			}
		}
		bins[k] = append(bins[k], int32(n))
	}
	group := make([]int32, len(spots))
	var members [][]int32
	for n := range spots {
		r := join.Find(int32(n))
		if int(r) == n {
			group[n] = int32(len(members))
			members = append(members, nil)
		}
		g := group[r]
		members[g] = append(members[g], int32(n))
	}
	var all []Thin
	for _, m := range members {
		if t, ok := thinPlace(spots, m, cell); ok {
			all = append(all, t)
		}
	}
	// Worst first: a place as thin and as deep as possible.
	slices.SortStableFunc(all, func(p, q Thin) int {
		return cmp.Or(cmp.Compare(q.Kind, p.Kind), cmp.Compare(q.Depth/q.Thickness, p.Depth/p.Thickness),
			cmp.Compare(p.At[0], q.At[0]), cmp.Compare(p.At[1], q.At[1]), cmp.Compare(p.At[2], q.At[2]))
	})
	out := []Thin{}
	for _, kind := range [2]string{"web", "fin"} {
		largest := 0.0
		for _, t := range all {
			if t.Kind == kind {
				largest = max(largest, t.Area)
			}
		}
		var rest Thin
		n := 0
		for _, t := range all {
			if t.Kind != kind {
				continue
			}
			if n < mostThin && t.Area >= smallThin*largest {
				out = append(out, t)
				n++
				continue
			}
			if rest.Places == 0 {
				rest = t
				continue
			}
			rest.Places++
			rest.Area += t.Area
			rest.Thickness = min(rest.Thickness, t.Thickness)
			rest.Depth = max(rest.Depth, t.Depth)
		}
		if rest.Places > 0 {
			out = append(out, rest)
		}
	}
	return out
}

// thinPlace sums a group of spots up; false where it is too small or too stout
// to matter.
func thinPlace(spots []thinSpot, m []int32, cell float64) (Thin, bool) {
	var area float64
	var mid, ref mesh.Vec
	for _, n := range m {
		s := &spots[n]
		area += s.area
		mid = mid.Add(s.at.Mul(s.area))
	}
	mid = mid.Mul(1 / area)
	// Its thickness is the one that a tenth of its area is thinner than: one
	// column on an edge says nothing.
	order := slices.Clone(m)
	slices.SortFunc(order, func(p, q int32) int {
		return cmp.Or(cmp.Compare(spots[p].thick, spots[q].thick), cmp.Compare(p, q))
	})
	thick, sum := 0.0, 0.0
	for _, n := range order {
		thick = spots[n].thick
		if sum += spots[n].area; sum >= area/10 {
			break
		}
	}
	// Extents within the place: along its longest direction, and across that.
	var c [3][3]float64
	far, best := -1.0, mid
	for _, n := range m {
		q := spots[n].at.Sub(mid)
		if d := q.Len(); d > far {
			far, ref = d, q
		}
		v := q.Array()
		for i := range 3 {
			for j := range 3 {
				c[i][j] -= v[i] * v[j] * spots[n].area
			}
		}
	}
	near := math.Inf(1)
	for _, n := range m {
		if d := spots[n].at.Sub(mid).Len(); d < near {
			near, best = d, spots[n].at
		}
	}
	long := ref
	if l := leastAxis(c); l != (mesh.Vec{}) {
		long = l
	}
	// Across: in the faces, square to the long way.
	var nn mesh.Vec
	for _, n := range m {
		x := spots[n].n
		if x.Dot(spots[m[0]].n) < 0 {
			x = x.Neg()
		}
		nn = nn.Add(x.Mul(spots[n].area))
	}
	across := nn.Cross(long)
	if across.Len() == 0 {
		return Thin{}, false
	}
	across = across.Unit()
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, n := range m {
		d := spots[n].at.Dot(across)
		lo, hi = min(lo, d), max(hi, d)
	}
	depth := hi - lo + cell
	// Where a place is ragged its extent says too much: no deeper than its area
	// over its length.
	l0, l1 := math.Inf(1), math.Inf(-1)
	for _, n := range m {
		d := spots[n].at.Dot(long.Unit())
		l0, l1 = min(l0, d), max(l1, d)
	}
	depth = min(depth, 1.5*area/(l1-l0+cell))
	// A few columns are no place: an edge between them is not resolved.
	if len(m) < 6 || depth < slender*thick || area < slender*thick*thick {
		return Thin{}, false
	}
	kind := "web"
	if spots[m[0]].fin {
		kind = "fin"
	}
	return Thin{Kind: kind, Thickness: thick, Area: area, Depth: depth, At: best.Array(), Places: 1}, true
}

// tellThin words the worst web and the worst fin.
func (a *analysis) tellThin() {
	for _, kind := range [2]string{"web", "fin"} {
		n, worst := 0, -1
		for k, t := range a.rep.Thin {
			if t.Kind == kind {
				n += t.Places
				if worst < 0 {
					worst = k
				}
			}
		}
		if worst < 0 {
			continue
		}
		t := a.rep.Thin[worst]
		at := t.At
		more := ""
		if n > 1 {
			more = fmt.Sprintf(", and %d more like it", n-1)
		}
		f := finding.Finding{Severity: finding.Caution, At: &at}
		if kind == "web" {
			f.Code = finding.ThinWeb
			f.Summary = fmt.Sprintf("two parts of the pattern stand %s apart over %s, %s deep%s: between them the rubber is a thin web", mm(t.Thickness), cm2(t.Area), mm(t.Depth), more)
			f.Effect = "a web that thin and deep tears when the casting is pulled, and air stays in it when the rubber is poured"
			f.Hint = "brush rubber into it first, use a rubber of high tear strength, or fill it with clay or wax and cut the casting there"
		} else {
			f.Code = finding.ThinFin
			thick := mm(t.Thickness) + " thin"
			if t.Thickness < 0.1 { // an edge or a point: its least thickness is the mesh's
				thick = "under 0.1 mm thin"
			}
			f.Summary = fmt.Sprintf("the pattern is %s over %s, %s high%s", thick, cm2(t.Area), mm(t.Depth), more)
			f.Effect = "a fin that thin breaks off in the rubber, or comes out short or bent in the casting"
			f.Hint = "make it thicker, back it with wax, or mold it in soft rubber and pull slowly with release"
		}
		a.rep.Findings.Add(f)
	}
}
