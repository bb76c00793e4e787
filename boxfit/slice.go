package boxfit

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"

	"moldtally/mesh"
	"moldtally/mesh/dexel"
	"moldtally/mesh/par"
)

// Slice is a blanket under its shell, cut upright: what is where over a lattice of the
// plane, at x = X0 + i·Step and z = Z0 + j·Step as index j·NX+i. Each field is above 0
// where there is some, its edge between nodes by the slope, mm.
type Slice struct {
	X0, Z0, Step float64
	NX, NZ       int
	Coat         []float64 // within the coat's thickness of the pattern, pattern too
	Filled       []float64 // the same, filled out until the shell draws
	Shell        []float64 // what of the shell is not Filled, flanges too
	Level        bool      // pieces part level
	Bolts        []Bolt    // that the cut goes through
}

// Bolt is one through a flange, in a slice: its ends, under its head and its nut.
type Bolt struct{ From, To mesh.Vec2 }

// Slice cuts a blanket and its shell by the upright plane through o along the level
// direction x; z is up from the height of o. The error is ErrForm for other containers.
func (f *Fit) Slice(ctx context.Context, o, x mesh.Vec, step float64) (*Slice, error) {
	p := f.parted
	if p == nil || f.Shell == nil {
		return nil, ErrForm
	}
	form, err := f.Form(ctx, 0)
	if err != nil {
		return nil, err
	}
	room := f.Shell.Thickness + f.Shell.Flange + 2*step
	s := &Slice{Step: step, Level: p.upAndDown}
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, v := range p.s.surface.Vertices() {
		at := v.Sub(o).Dot(x)
		lo, hi = min(lo, at), max(hi, at)
	}
	out := p.t + (p.s.top+p.t-p.floor)*math.Tan(p.draw) + room
	low := form.Board - o.Dot(p.s.up)
	if p.upAndDown {
		low -= room
	}
	s.X0, s.Z0 = lo-out, low
	s.NX = int(math.Ceil((hi-lo+2*out)/step)) + 1
	s.NZ = int(math.Ceil((p.s.top+p.t+room-o.Dot(p.s.up)-low)/step)) + 1
	if err := s.coat(ctx, p, o, x); err != nil {
		return nil, err
	}
	s.Filled, s.Shell = make([]float64, s.NX*s.NZ), make([]float64, s.NX*s.NZ)
	at := func(i, j int) mesh.Vec {
		return o.Add(x.Mul(s.X0 + float64(float64(i)*step))).Add(p.s.up.Mul(s.Z0 + float64(float64(j)*step)))
	}
	joint := make([]float64, s.NX*s.NZ) // from where pieces part, along a draw
	for j := range s.NZ {
		for i := range s.NX {
			s.Filled[j*s.NX+i], joint[j*s.NX+i] = form.depth(at(i, j))
		}
	}
	s.shell(f, form, joint)
	return s, nil
}

// depth is how far within the blanket a place is along the draw of its piece, below 0
// beyond it, and how far from where that piece parts from others, or stands.
func (f *Form) depth(p mesh.Vec) (deep, joint float64) {
	deep = math.Inf(-1)
	for k := range f.Faces {
		x := &f.Faces[k]
		q := p.Sub(x.Origin)
		u, v, z := q.Dot(x.Across), q.Dot(x.Along), q.Dot(x.Draw)
		if f.Sideways {
			v = max(v, 0)
		}
		from := z - x.Parts(u)
		if len(f.Faces) > 1 && from < -1e-6 {
			continue
		}
		d := x.At(u, v) - z
		if len(f.Faces) == 1 {
			from = math.Inf(1) // it stands on the board, and parts nowhere
		}
		if math.IsInf(d, -1) {
			d = -1e3
		}
		if d > deep {
			deep, joint = d, from
		}
	}
	return deep, joint
}

// coat is the coat along upright lines of the plane.
func (s *Slice) coat(ctx context.Context, p *parted, o, x mesh.Vec) error {
	g := dexel.Grid{U: p.s.up, E1: x, E2: p.s.up.Cross(x), Cell: s.Step, NX: s.NX, NY: 1}
	g.X0, g.Y0 = o.Dot(x)+s.X0-s.Step/2, o.Dot(g.E2)-s.Step/2
	c := coating{s: p.s, t: p.t, f: &dexel.Field{Grid: g}, shapes: p.shapes}
	floor := o.Dot(p.s.up) + s.Z0
	c.points = make([]mesh.Vec, p.s.surface.NumVertices())
	for k, v := range p.s.surface.Vertices() {
		a, b, z := g.Plane(v)
		c.points[k] = mesh.V(a, b, z-floor)
	}
	solid, err := p.s.columns(ctx, g)
	if err != nil {
		return fmt.Errorf("boxfit: %w", err)
	}
	bins := s.NZ + 1
	s.Coat = make([]float64, s.NX*s.NZ)
	lists := c.shapes.byStripe(&c, 1, 1)
	var team par.Team[stripe]
	err = team.Each(ctx, 1, func(w *stripe, _ int) {
		w.begin(&c, 0, 1, bins)
		w.draw(&lists[0])
		for i := range s.NX {
			all := slices.DeleteFunc(slices.Clone(w.at[i*bins:(i+1)*bins]), func(r run) bool { return r.hi <= r.lo })
			for _, sp := range solid.Column(i, 0) {
				all = append(all, run{float32(sp.Bottom - floor), float32(sp.Top - floor)})
			}
			slices.SortFunc(all, func(a, b run) int { return cmp.Compare(a.lo, b.lo) })
			var runs []run
			for _, r := range all {
				runs = addRun(runs, r)
			}
			for j := range s.NZ {
				s.Coat[j*s.NX+i] = within(runs, float64(float64(j)*s.Step))
			}
		}
	})
	if err != nil {
		return fmt.Errorf("boxfit: %w", err)
	}
	return nil
}

// within is how far inside one of the runs a height is, below 0 how far from the nearest.
func within(runs []run, z float64) float64 {
	best := math.Inf(-1)
	for _, r := range runs {
		best = max(best, min(z-float64(r.lo), float64(r.hi)-z))
		if r.lo == 0 {
			best = max(best, min(1e3, float64(r.hi)-z)) // it goes on below
		}
	}
	return max(best, -1e3)
}

// flangeOver is how much thicker flanges are than their shell (common practice, no
// source).
const flangeOver = 1.25

// shell puts the shell round what is filled: its thickness, a flange where pieces part
// and on the board, and the bolts there.
func (s *Slice) shell(f *Fit, form *Form, joint []float64) {
	x := f.Shell
	far := x.Thickness + x.Flange + 2*s.Step
	dist := make([]float64, len(s.Filled))
	for k, v := range s.Filled {
		if v <= 0 {
			dist[k] = far
		}
	}
	for j := range s.NZ {
		for i := range s.NX {
			for _, d := range [2][2]int{{1, 0}, {0, 1}} {
				if i+d[0] < s.NX && j+d[1] < s.NZ {
					s.seed(dist, i, j, d, far)
				}
			}
		}
	}
	thick := flangeOver * x.Thickness
	var foot []float64 // how far the board is from what is filled there
	if len(form.Faces) == 1 || f.ShellUplift != nil && form.Sideways {
		foot = s.foot()
	}
	for j := range s.NZ {
		for i := range s.NX {
			k := j*s.NX + i
			flange := min(x.Thickness+x.Flange-dist[k], thick-joint[k])
			if foot != nil {
				flange = max(flange, min(x.Thickness+x.Flange-foot[i], thick-float64(float64(j)*s.Step)))
			}
			s.Shell[k] = max(x.Thickness-dist[k], flange)
			if s.Filled[k] > 0 {
				s.Shell[k] = -s.Filled[k]
			}
		}
	}
	if b := x.Bolts; b != nil {
		s.bolts(dist, joint, x.Thickness+x.Flange-2*b.Diameter, thick, foot)
		if f.parted.upAndDown {
			s.level(dist, joint, x.Thickness+x.Flange-2*b.Diameter, thick)
		}
	}
}

// foot is how far along the board each line is from where the blanket stands on it.
func (s *Slice) foot() []float64 {
	d := make([]float64, s.NX)
	for i := range d {
		d[i] = math.Inf(1)
	}
	sweep := func(from, step int) {
		last := math.Inf(1)
		for i := from; i >= 0 && i < s.NX; i += step {
			last += s.Step
			if s.Filled[i] > 0 {
				last = 0
			}
			d[i] = min(d[i], last)
		}
	}
	sweep(0, 1)
	sweep(s.NX-1, -1)
	return d
}

// seed lets the edge between two nodes count for the distances round it.
func (s *Slice) seed(dist []float64, i, j int, d [2]int, far float64) {
	a, b := s.Filled[j*s.NX+i], s.Filled[(j+d[1])*s.NX+i+d[0]]
	if (a > 0) == (b > 0) {
		return
	}
	w := a / (a - b)
	u, v := float64(i)+w*float64(d[0]), float64(j)+w*float64(d[1])
	n := int(far/s.Step) + 1
	for q := max(0, int(v)-n); q <= min(s.NZ-1, int(v)+n); q++ {
		for p := max(0, int(u)-n); p <= min(s.NX-1, int(u)+n); p++ {
			k := q*s.NX + p
			dist[k] = min(dist[k], s.Step*math.Hypot(float64(p)-u, float64(q)-v))
		}
	}
}

// bolts are those that the cut shows: through the flanges over the crown, and through
// the foot on both sides, each where its row is.
func (s *Slice) bolts(dist, joint []float64, off, thick float64, foot []float64) {
	at := s.at
	for i := range max(1, len(foot)) - 1 {
		if (foot[i] < off) != (foot[i+1] < off) {
			p := at(i, 0)
			s.Bolts = append(s.Bolts, Bolt{p, mesh.Vec2{X: p.X, Y: p.Y + thick}})
		}
	}
	if s.Level {
		return
	}
	// The row over the crown, where pieces part: the nodes nearest to where they do.
	for j := s.NZ - 2; j >= 0; j-- {
		for i := range s.NX {
			k := j*s.NX + i
			if joint[k] < s.Step && s.Filled[k] <= 0 && dist[k] <= off {
				p := at(i, j)
				s.Bolts = append(s.Bolts, Bolt{mesh.Vec2{X: p.X - thick, Y: p.Y}, mesh.Vec2{X: p.X + thick, Y: p.Y}})
				return
			}
		}
	}
}

// level are the bolts of two pieces that part level, on both sides of the cut.
func (s *Slice) level(dist, joint []float64, off, thick float64) {
	mid := s.NX / 2
	for j := range s.NZ {
		if joint[j*s.NX+mid] > s.Step {
			continue
		}
		for i := range s.NX - 1 {
			if a, b := dist[j*s.NX+i], dist[j*s.NX+i+1]; (a < off) != (b < off) {
				p := s.at(i, j)
				s.Bolts = append(s.Bolts, Bolt{mesh.Vec2{X: p.X, Y: p.Y - thick}, mesh.Vec2{X: p.X, Y: p.Y + thick}})
			}
		}
		return
	}
}

// at is the place of a node.
func (s *Slice) at(i, j int) mesh.Vec2 {
	return mesh.Vec2{X: s.X0 + float64(float64(i)*s.Step), Y: s.Z0 + float64(float64(j)*s.Step)}
}

// Across is the level direction along which a mother mold is best cut to show how it
// parts: that of its first draw, or its length where it is drawn up.
func (f *Fit) Across() mesh.Vec {
	if p := f.parted; p != nil && len(p.draws) > 1 && !p.upAndDown {
		return p.draws[0]
	}
	return vec(f.LongAxis)
}
