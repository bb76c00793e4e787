package boxfit

import (
	"context"
	"errors"
	"math"

	"moldtally/mesh"
	"moldtally/mesh/dexel"
)

// Form is the outside of a blanket, filled out until the pieces of its shell draw: what
// the inside of the shell is made to. Lengths mm.
type Form struct {
	Faces    []Face
	Sideways bool    // the pieces are drawn level, and stand on the board
	Coat     float64 // thickness of the blanket
	Up       mesh.Vec
	Floor    float64 // height along Up at which rubber begins
	Board    float64 // and of the board, which clay may lie on; no higher
}

// Face is the outside that one piece of a shell is made to, as heights over a plane
// across its draw. A place of the file is Origin + x·Across + y·Along + z·Draw, the three
// at right angles and right-handed. The blanket's share lies between the surface at
// which the piece parts from the others, z = Opens·|x|, and z = Reach, which is given at
// x = X0 + i·Cell and y = Y0 + j·Cell as Reach[j·NX+i]; where that is not above the
// surface there is none.
type Face struct {
	Draw, Across, Along, Origin mesh.Vec
	Opens                       float64
	X0, Y0, Cell                float64
	NX, NY                      int
	Reach                       []float64
}

// ErrForm is the error of [Fit.Form] where there is no coat.
var ErrForm = errors.New("boxfit: no coat, no form")

// formCells is how many steps the longest size of a coat's outside is looked at in where
// nothing else is asked for.
const formCells = 128

// parted is what the outside of a filled-out coat is made from.
type parted struct {
	s         *scene
	t, floor  float64
	draw      float64 // draft, radians
	draws     []mesh.Vec
	plane     float64    // where halves part, along the first draw
	center    mesh.Vec2  // where sectors meet, on mesh.Basis(up)
	shapes    coatShapes // of the coat
	upAndDown bool
}

// Form makes the outside of a filled-out coat in steps of cell mm, 0 = fine enough for
// its volume. The error is ErrForm for other containers, and ctx's.
func (f *Fit) Form(ctx context.Context, cell float64) (*Form, error) {
	if f.parted == nil {
		return nil, ErrForm
	}
	return f.parted.form(ctx, cell)
}

// FormSize is how long the coat's outside is at most, mm.
func (f *Fit) FormSize() float64 {
	if f.parted == nil {
		return 0
	}
	return f.parted.size()
}

func (p *parted) size() float64 {
	return max(2*(p.s.circle.Radius+p.t), p.s.top+p.t-p.floor)
}

func (p *parted) form(ctx context.Context, cell float64) (*Form, error) {
	if cell <= 0 {
		cell = p.size() / formCells
	}
	form := &Form{Sideways: len(p.draws) > 1 && !p.upAndDown, Coat: p.t, Up: p.s.up, Floor: p.floor, Board: min(p.floor, p.s.base)}
	if p.upAndDown {
		form.Board = p.floor // they stand on none
	}
	c := &coating{s: p.s, t: p.t, draw: p.draw, shapes: p.shapes}
	var behind []float64 // what the first of two looks down on from the other side
	for k, d := range p.draws {
		x := p.face(k, d, cell)
		if k == 1 && len(p.draws) == 2 {
			x.Reach = x.across(behind, p.upAndDown)
		} else {
			g := dexel.Grid{U: x.Draw, E1: x.Across, E2: x.Along, Cell: cell, NX: x.NX, NY: x.NY}
			g.X0, g.Y0 = x.Origin.Dot(x.Across)+x.X0-cell/2, x.Origin.Dot(x.Along)+x.Y0-cell/2
			far, near, err := c.outside(ctx, g)
			if err != nil {
				return nil, err
			}
			at := x.Origin.Dot(x.Draw)
			behind = near
			for i := range far {
				far[i] -= at
				near[i] = at - near[i]
			}
			x.Reach = far
		}
		x.taper(p.draw)
		form.Faces = append(form.Faces, x)
	}
	return form, nil
}

// face is that of piece k, without its heights: how it lies, and its lattice. Those of
// two pieces that are drawn away from each other lie on each other.
func (p *parted) face(k int, d mesh.Vec, cell float64) Face {
	s, n := p.s, len(p.draws)
	x := Face{Draw: d, Cell: cell}
	sideways := n > 1 && !p.upAndDown
	middle := s.point(s.rect.Center, p.floor)
	switch {
	case sideways && n > 2:
		x.Opens = 1 / math.Tan(math.Pi/float64(n))
		middle = s.point(p.center, p.floor)
		fallthrough
	case sideways:
		x.Along, x.Across = s.up, s.up.Cross(d)
	default:
		x.Across = s.dir(s.rect.Axis)
		x.Along = d.Cross(x.Across)
	}
	x.Origin = middle
	if n == 2 {
		at := p.plane
		if k == 1 {
			at = -at
		}
		x.Origin = x.Origin.Add(d.Mul(at - x.Origin.Dot(d)))
	}
	wide, long, far := 0.0, 0.0, 0.0
	for _, v := range s.surface.Vertices() {
		q := v.Sub(x.Origin)
		wide, long, far = max(wide, math.Abs(q.Dot(x.Across))), max(long, math.Abs(q.Dot(x.Along))), max(far, math.Abs(q.Dot(d)))
	}
	room := 1.1*p.t + (far+2*p.t)*math.Tan(p.draw) + 2*cell
	nx, ny := int(math.Ceil((wide+room)/cell)), int(math.Ceil((long+room)/cell))
	x.NX, x.X0 = 2*nx+1, -float64(nx)*cell
	x.NY, x.Y0 = 2*ny+1, -float64(ny)*cell
	if sideways {
		x.NY, x.Y0 = ny+1, 0
	}
	return x
}

// across turns heights over the lattice of the first of two faces into those of the
// second, which sees it from behind.
func (x *Face) across(of []float64, upAndDown bool) []float64 {
	out := make([]float64, len(of))
	for j := range x.NY {
		for i := range x.NX {
			from := j*x.NX + x.NX - 1 - i
			if upAndDown {
				from = (x.NY-1-j)*x.NX + i
			}
			out[j*x.NX+i] = of[from]
		}
	}
	return out
}

// taper leaves of Reach what lies before the surface it parts at, so that it nowhere
// falls back by more than a draft allows, radians; 0 = it may by anything.
func (x *Face) taper(draft float64) {
	r := newReach(x.NX, x.NY)
	for j := range x.NY {
		for i := range x.NX {
			if v := x.Reach[j*x.NX+i]; v > x.Parts(x.X0+float64(float64(i)*x.Cell)) {
				r.rise(i, j, v)
			}
		}
	}
	if draft > 0 {
		r.draft(x.Cell / math.Tan(draft))
	}
	x.Reach = r.to
}

// Parts is how high over its plane the piece parts from others at x, mm.
func (x *Face) Parts(at float64) float64 { return x.Opens * math.Abs(at) }

// At is how far the face reaches at (x, y), between its nodes by the two slopes; −∞
// beyond them.
func (x *Face) At(px, py float64) float64 {
	a, b := (px-x.X0)/x.Cell, (py-x.Y0)/x.Cell
	i, j := min(max(int(math.Floor(a)), 0), x.NX-2), min(max(int(math.Floor(b)), 0), x.NY-2)
	a, b = a-float64(i), b-float64(j)
	if a < -1e-6 || b < -1e-6 || a > 1+1e-6 || b > 1+1e-6 {
		return math.Inf(-1)
	}
	k := j*x.NX + i
	at := func(w, z float64) float64 {
		if w <= 0 {
			return 0 // nothing of what may be without end
		}
		return float64(w * z)
	}
	return at((1-a)*(1-b), x.Reach[k]) + at(a*(1-b), x.Reach[k+1]) + at((1-a)*b, x.Reach[k+x.NX]) + at(a*b, x.Reach[k+x.NX+1])
}

// Volume is that of the blanket's share before the face with all that it encloses, mm³.
func (x *Face) Volume() (sum float64) {
	over := func(i, j int) float64 {
		return max(0, x.Reach[j*x.NX+i]-x.Parts(x.X0+float64(float64(i)*x.Cell)))
	}
	for j := range x.NY {
		row := 0.0
		for i := range x.NX {
			w := 1.0
			if i == 0 || i == x.NX-1 {
				w = 0.5
			}
			row += w * over(i, j)
		}
		if j == 0 || j == x.NY-1 {
			row /= 2
		}
		sum += row
	}
	return sum * x.Cell * x.Cell
}

// Volume is that of the blanket with all that it encloses, mm³.
func (f *Form) Volume() (sum float64) {
	for k := range f.Faces {
		sum += f.Faces[k].Volume()
	}
	return sum
}
