// Package loose asks of the places where a mold locks rubber in whether a piece of
// rubber of its own that fills them can be drawn once the mold is off.
package loose

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"

	"moldtally/mesh"
	"moldtally/mesh/demold/scene"
	"moldtally/mesh/demold/standin"
	"moldtally/mesh/demold/undercut"
	"moldtally/mesh/dexel"
	"moldtally/mesh/par"
)

// Piece is a loose piece: it fills what the mold locks in, lies against the rest of
// the mold along a joint, stays where it is when that comes off, and is then drawn
// straight out. It serves all places that open its way.
type Piece struct {
	Draw   [3]float64 `json:"draw"`  // the way it is drawn, unit
	At     [3]float64 `json:"at_mm"` // within the largest place
	Places int        `json:"places"`
	Volume float64    `json:"volume_mm3"` // of rubber that is locked in there
	Size   float64    `json:"size_mm"`    // of the largest place
}

// Result is what loose pieces do for a mold that locks.
type Result struct {
	Pieces []Piece `json:"pieces"` // the one that lets go of most first
	// Pores are the places too small for a piece of their own, the largest first: they
	// are filled before the mold is made.
	Pores []Pore `json:"pores"`
	// Held is how many places no piece lets go of, and HeldAt the largest of them.
	// Where there are too many places to be looked at one by one, or one is too large,
	// it is all.
	Held   int         `json:"held_places"`
	HeldAt *[3]float64 `json:"held_at_mm"`
	// Rest is the deepest way out of the rubber that no piece takes, mm.
	Rest float64 `json:"rest_path_mm"`
}

// Pore is a place that locks, and is so small against the pattern that it is filled
// with wax or clay before the mold is made, and opened again in the casting.
type Pore struct {
	At     [3]float64 `json:"at_mm"` // within it
	Volume float64    `json:"volume_mm3"`
	Size   float64    `json:"size_mm"`
}

// A pore is no larger than a share of the pattern's size, and holds no more than a
// share of its volume: the casting is the same without it. So many are filled one by
// one. Judgements of this program.
const (
	poreSize   = 0.1
	poreVolume = 1. / 1000
	mostPores  = 20
)

// Most is how many loose pieces are made for a mold: past four parts in all it is
// made another way. Common practice, no source.
const Most = 2

// Serve reports whether loose pieces let go of all that locks but for pores, and few
// enough of them.
func (r *Result) Serve() bool { return r != nil && r.Held == 0 && len(r.Pieces) <= Most }

// How a draw is sought; judgements of this program.
const (
	// directions are tried over the whole sphere: neighbours some 10° apart.
	directions = 400
	columns    = 96   // across the pattern, where they are tried,
	vertices   = 6000 // on a stand-in of about so many
	// mostPlaces is how many places are looked at: nobody makes that many pieces.
	mostPlaces = 12
	// looksFree, mayBeFree and isFree are the shares of a place up to which it may lie behind
	// the pattern as seen along a draw: of one of those directions on the stand-in, of one that
	// was sought for it there, and on the pattern itself. So little bends round the
	// edge.
	looksFree = 0.10
	mayBeFree = 0.25
	isFree    = 0.05
	tries     = 16 // draws that are looked at on the pattern itself
	// hopeless is the share past which no draw beside is better: narrow hollows open
	// between two of the directions. firstTurn and turns are by how much beside is
	// looked, and how often at half as much.
	hopeless  = 0.7
	firstTurn = 8 * math.Pi / 180
	turns     = 4
	// acrossPlace is how many columns lie across a place there.
	acrossPlace = 48
)

// Large is the share of the pattern's size from which what locks takes a part of the
// mold of its own, and not a loose piece within another. Judgement of this program.
const Large = 0.25

// Find finds loose pieces for what u locks in and cannot be bent out of the way:
// as few as serve; whole says that the mold is in one piece but for them, and has no
// parts for what is large. nil where nothing locks so. The error is the ctx's.
func Find(ctx context.Context, u *undercut.Result, whole bool) (*Result, error) {
	s := &seeker{c: u.Scene, whole: whole}
	s.out.Rest, s.out.Pores, s.out.Pieces = u.FreePath, []Pore{}, []Piece{}
	for _, l := range u.Locks() {
		switch {
		case l.Bends:
			s.out.Rest = max(s.out.Rest, l.Size)
		case len(s.out.Pores) < mostPores && l.Size <= poreSize*s.c.Size && l.Volume <= poreVolume*s.c.Field.Volume():
			s.out.Pores = append(s.out.Pores, Pore{l.At.Array(), l.Volume, l.Size})
		default:
			s.locks = append(s.locks, l)
		}
	}
	if len(s.locks) == 0 {
		if len(s.out.Pores) == 0 {
			return nil, nil
		}
		return &s.out, nil
	}
	if err := s.find(ctx); err != nil {
		return nil, fmt.Errorf("loose pieces: %w", err)
	}
	return &s.out, nil
}

// seeker looks for loose pieces.
type seeker struct {
	c     *scene.Scene
	whole bool
	locks []undercut.Lock // the largest first
	done  []bool          // per lock: a piece serves it
	ways  []way
	body  *standin.Body
	out   Result
}

// way is a direction to draw in and which locks seem to open that way.
type way struct {
	draw   mesh.Vec
	hides  []float64 // of each lock the share that lies behind the pattern
	serves []bool    // per lock
}

func (s *seeker) find(ctx context.Context) error {
	s.done = make([]bool, len(s.locks))
	large := func(l undercut.Lock) bool { return l.Size > Large*s.c.Size }
	if len(s.locks) <= mostPlaces && !(s.whole && slices.ContainsFunc(s.locks, large)) {
		if err := s.lookRound(ctx); err != nil {
			return err
		}
		for range tries {
			best, ok := s.best()
			if !ok {
				break
			}
			if err := s.try(ctx, best); err != nil {
				return err
			}
		}
		if err := s.narrow(ctx); err != nil {
			return err
		}
	}
	for k, done := range s.done {
		if done {
			continue
		}
		if s.out.Held++; s.out.HeldAt == nil {
			s.out.HeldAt = new(s.locks[k].At.Array())
		}
	}
	return nil
}

// lookRound tells on a stand-in which locks open in which directions: those of a
// spiral at the golden angle over half the sphere, and the opposite ones. It lies
// in the scene's own frame, so that it turns with pattern and pull.
func (s *seeker) lookRound(ctx context.Context) error {
	body, err := standin.New(ctx, s.c.Solid)
	if err != nil {
		return err
	}
	if s.body, err = body.Coarser(ctx, vertices); err != nil {
		return err
	}
	const half = directions / 2
	golden := math.Pi * (3 - math.Sqrt(5))
	s.ways = make([]way, directions)
	errs := make([]error, half)
	err = par.Each(ctx, half, func(k int) {
		z := (float64(k) + 0.5) / half
		sin, cos := math.Sincos(golden * float64(k))
		r := math.Sqrt(1 - z*z)
		u := s.c.Field.Point(r*cos, r*sin, z).Unit()
		f, err := s.columnsAlong(ctx, u)
		if err != nil {
			errs[k] = err
			return
		}
		s.ways[2*k] = s.seen(f, u)
		s.ways[2*k+1] = s.seen(f, u.Neg())
	})
	for _, e := range errs {
		if err == nil {
			err = e
		}
	}
	return err
}

// columnsAlong are the stand-in's columns along a direction.
func (s *seeker) columnsAlong(ctx context.Context, u mesh.Vec) (*dexel.Field, error) {
	o := s.c.Asked()
	o.Mold, o.Clay = scene.TwoPart, nil
	x, err := s.body.Scene(ctx, u, columns, o)
	if err != nil {
		return nil, err
	}
	return x.Field, nil
}

// seen is which locks open along draw, which is the field's direction or the
// opposite one.
func (s *seeker) seen(f *dexel.Field, draw mesh.Vec) way {
	w := way{draw, make([]float64, len(s.locks)), make([]bool, len(s.locks))}
	near := max(f.Cell, s.body.Blur/2)
	for k := range s.locks {
		w.hides[k] = hidden(f, &s.locks[k], draw, near)
		w.serves[k] = w.hides[k] <= looksFree
	}
	return w
}

// narrow looks for draws of locks that open along none of the directions that were
// tried: beside the one along which least of the lock is hidden.
func (s *seeker) narrow(ctx context.Context) error {
	for k := range s.locks {
		if s.done[k] {
			continue
		}
		best := slices.MinFunc(s.ways, func(a, b way) int { return cmp.Compare(a.hides[k], b.hides[k]) })
		if best.hides[k] > hopeless {
			continue
		}
		turn := firstTurn
		for range turns {
			var err error
			if best, err = s.beside(ctx, best, k, turn); err != nil {
				return err
			}
			turn /= 2
		}
		for n, h := range best.hides {
			best.serves[n] = h <= mayBeFree
		}
		if err := s.try(ctx, best); err != nil {
			return err
		}
	}
	return nil
}

// beside is the way along which least of a lock is hidden, of one and six round it.
func (s *seeker) beside(ctx context.Context, w way, k int, turn float64) (way, error) {
	across := w.draw.Cross(s.c.Up)
	if across.Len() < 0.1 {
		across = w.draw.Cross(s.c.Field.E1)
	}
	across = across.Unit()
	other := w.draw.Cross(across)
	best := w
	for n := range 6 {
		sin, cos := math.Sincos(float64(n) * math.Pi / 3)
		out := across.Mul(cos).Add(other.Mul(sin)).Mul(math.Tan(turn))
		u := w.draw.Add(out).Unit()
		f, err := s.columnsAlong(ctx, u)
		if err != nil {
			return w, err
		}
		if x := s.seen(f, u); x.hides[k] < best.hides[k] {
			best = x
		}
	}
	return best, nil
}

// hidden is the share of a lock that lies behind the pattern as seen along draw,
// the field's direction or the opposite one. What lies behind by less than near,
// mm, does not count: columns do not tell.
func hidden(f *dexel.Field, l *undercut.Lock, draw mesh.Vec, near float64) float64 {
	behind := 0
	along := f.U.Dot(draw) > 0
	for _, p := range l.Points {
		x, y, z := f.Plane(p)
		i, j := int(math.Floor((x-f.X0)/f.Cell)), int(math.Floor((y-f.Y0)/f.Cell))
		if i < 0 || j < 0 || i >= f.NX || j >= f.NY {
			continue
		}
		col := f.Column(i, j)
		if n := len(col); n > 0 && (along && col[n-1].Top > z+near || !along && col[0].Bottom < z-near) {
			behind++
		}
	}
	return float64(behind) / float64(max(len(l.Points), 1))
}

// best is the way that seems to serve most of the locks that are left, by number,
// then by volume; of those that serve the same ones the middle one.
func (s *seeker) best() (best way, ok bool) {
	count, volume := 0, 0.0
	for _, w := range s.ways {
		n, v := 0, 0.0
		for k, serves := range w.serves {
			if serves && !s.done[k] {
				n, v = n+1, v+s.locks[k].Volume
			}
		}
		if n > count || n == count && n > 0 && v > volume {
			count, volume, best, ok = n, v, w, true
		}
	}
	if !ok {
		return best, false
	}
	alike := func(w way) bool {
		for k, serves := range best.serves {
			if !s.done[k] && serves != w.serves[k] {
				return false
			}
		}
		return true
	}
	var middle mesh.Vec
	for _, w := range s.ways {
		if alike(w) {
			middle = middle.Add(w.draw)
		}
	}
	near := math.Inf(-1)
	for _, w := range s.ways {
		if d := w.draw.Dot(middle); alike(w) && d > near {
			near, best = d, w
		}
	}
	return best, true
}

// try draws along a way on the pattern itself, and takes it for those locks that it
// serves there; for the others it does not serve.
func (s *seeker) try(ctx context.Context, w way) error {
	p := Piece{Draw: w.draw.Array()}
	for k := range s.locks {
		l := &s.locks[k]
		if !w.serves[k] || s.done[k] {
			continue
		}
		f, err := s.columnsOver(ctx, l, w.draw)
		if err != nil {
			return err
		}
		if hidden(f, l, w.draw, f.Cell) > isFree {
			w.serves[k] = false
			continue
		}
		if s.done[k] = true; p.Places == 0 {
			p.At, p.Size = l.At.Array(), l.Size
		}
		p.Places++
		p.Volume += l.Volume
	}
	if p.Places > 0 {
		s.out.Pieces = append(s.out.Pieces, p)
	}
	return nil
}

// columnsOver are the pattern's columns along a draw over a lock.
func (s *seeker) columnsOver(ctx context.Context, l *undercut.Lock, draw mesh.Vec) (*dexel.Field, error) {
	cell := max(s.c.Field.Cell, l.Size/acrossPlace)
	g := dexel.GridAlong(s.c.Solid.Surface(), draw, cell, 0, 2, func(t int) bool { return !s.c.Solid.Live(t) })
	x0, y0, x1, y1 := math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)
	for _, p := range l.Points {
		x, y, _ := g.Plane(p)
		x0, y0, x1, y1 = min(x0, x), min(y0, y), max(x1, x), max(y1, y)
	}
	g.X0, g.Y0 = x0-cell, y0-cell
	g.NX, g.NY = int(math.Ceil((x1-x0)/cell))+2, int(math.Ceil((y1-y0)/cell))+2
	return s.c.Solid.Field(ctx, g)
}
