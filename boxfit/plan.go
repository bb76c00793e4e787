package boxfit

import (
	"math"

	"moldtally/mesh"
	"moldtally/mesh/demold"
	"moldtally/mesh/finding"
)

// freeboard is how far the walls stand above the fill line at least, mm, so
// that a box that is moved or tapped does not spill (common practice, no
// source).
const freeboard = 10

// baseMargin is how far the base board reaches past the walls, mm: room for
// screws, clamps and the sealing fillet (common practice, no source).
const baseMargin = 30

// planner turns walls into a Fit for one pattern and request.
type planner struct {
	s     *scene
	r     *Request
	mold  demold.Mold
	sg    float64
	board BoardStock
	// What is asked for: rubber at the sides, over, under.
	wall, over, under float64
	rule              float64 // what CoverRule says, or CoatRule
}

func newPlanner(s *scene, r *Request) (*planner, error) {
	p := &planner{s: s, r: r, mold: r.Mold, sg: r.RubberSG}
	if p.mold == "" {
		p.mold = demold.Block
	}
	if p.sg == 0 {
		p.sg = DefaultSG
	}
	name := r.Board
	if name == "" {
		name = DefaultBoard
	}
	var err error
	if p.board, err = BoardNamed(name); err != nil {
		return nil, err
	}
	p.rule = CoverRule(s.rect.Length, s.rect.Width)
	or := func(v *float64, d float64) float64 {
		if v != nil {
			return *v
		}
		return d
	}
	side := p.rule
	if p.mold == demold.TwoPart {
		side = FlangeOf(p.rule) // the flange that the keys stand in
	}
	p.wall, p.over, p.under = or(r.Wall, side), or(r.Over, p.overRule()), or(r.Under, p.rule)
	if p.mold.Coated() {
		p.rule = CoatRule(p.mold, p.largest())
		p.wall = or(r.Coat, p.rule)
	}
	if p.mold.OnBoard() {
		p.under = 0
	}
	return p, nil
}

// overRule is the rubber over the pattern where nothing else is asked for: what
// CoverRule says, and over a low relief, whose mold its board and its flat back carry,
// no more than reliefOver.
func (p *planner) overRule() float64 {
	if p.mold == demold.Block && p.s.height() < lowRelief*p.s.rect.Width {
		return min(p.rule, reliefOver)
	}
	return p.rule
}

// largest is the pattern's largest size, mm: as given, else as it stands.
func (p *planner) largest() float64 {
	if p.r.Longest > 0 {
		return p.r.Longest
	}
	return max(p.s.rect.Length, p.s.height())
}

// start is a Fit with what all containers share.
func (p *planner) start(w *walls) *Fit {
	f := &Fit{
		Kind: w.kind, Mold: p.mold, Wall: p.wall, Over: p.over, Under: p.under, CoverWanted: CoverWanted(p.s.rect.Length, p.s.rect.Width), Fixed: p.r.Fixed,
		Boards: []Board{}, Sheets: []Sheet{}, Keys: []Key{}, Vents: []Channel{}, Layout: []Placed{}, Fillers: []Filler{}, Options: []Option{}, Findings: finding.List{},
		Up: p.s.up.Array(), LongAxis: p.s.dir(w.axis).Array(),
	}
	return f
}

// made is a container made for the pattern.
func (p *planner) made(w *walls) *Fit {
	f := p.start(w)
	p.fill(f, w, p.upTo(f))
	return f
}

// upTo sets how high a container made for the pattern is filled, and returns how
// high its walls are.
func (p *planner) upTo(f *Fit) (rim float64) {
	f.FillHeight = p.under + p.s.height() + p.over
	rim = f.FillHeight + freeboard
	if p.r.Step > 0 {
		rim = math.Ceil(rim/p.r.Step-1e-6) * p.r.Step
	}
	return rim
}

// own is the user's container, rim mm deep inside. The rubber over the pattern
// is what was asked for where there is room; else what room there is, shared
// between over and under in proportion.
func (p *planner) own(w *walls, rim float64) *Fit {
	f := p.start(w)
	f.Own = true
	room := rim - p.s.height()
	want := p.over + p.under
	switch {
	case room >= want:
		f.FillHeight = p.under + p.s.height() + p.over
	default:
		f.FillHeight = rim
		over := room
		if want > 0 && p.under > 0 {
			over = room * p.over / want
		}
		f.Over, f.Under = over, room-over
	}
	p.fill(f, w, rim)
	return f
}

// fill works out everything that follows from walls, fill height and rim.
func (p *planner) fill(f *Fit, w *walls, rim float64) {
	s := p.s
	floor := s.base - f.Under
	f.Center = s.point(w.center, floor).Array()
	switch w.kind {
	case Box:
		f.Interior = &[3]float64{w.length, w.width, rim}
	case Sleeve:
		d := 2 * w.radius
		f.Diameter = &d
		f.Interior = &[3]float64{d, d, rim}
	case Polygon:
		f.Sides = new(w.sides)
		d := 2 * w.radius
		f.Diameter = &d // across flats
		l, b := polygonExtent(w)
		f.Interior = &[3]float64{l, b, rim}
	}
	f.Capacity = w.area() * f.FillHeight
	p.rubber(f, w.area(), floor)
	level := floor
	if f.RubberBelow != nil {
		level = *s.parting
	}
	for _, q := range s.hull {
		f.Outline = append(f.Outline, s.point(q, level))
	}
	side, at := w.clearance(s.hull)
	if f.Own {
		f.Wall = max(0, side)
	}
	p.thinnest(f, side, at)

	f.Seam = w.perimeter()
	switch w.kind {
	case Box:
		f.Seam += 4 * f.FillHeight
	case Polygon:
		f.Seam += float64(w.sides) * f.FillHeight
	case Sleeve:
		f.Seam += f.FillHeight // slit along its length, so that it comes off
	}
	p.forces(f, w)
	p.bow(f, w, rim)
	p.cut(f, w, rim)
	p.hoop(f, w)
	p.lift(f)
	p.judge(f, side, rim)
}

// polygonExtent is the size of a polygon's inside along its first face's normal
// and across it, mm.
func polygonExtent(w *walls) (float64, float64) {
	corner := w.radius / math.Cos(math.Pi/float64(w.sides))
	lo, hi := mesh.Vec2{X: math.Inf(1), Y: math.Inf(1)}, mesh.Vec2{X: math.Inf(-1), Y: math.Inf(-1)}
	for i := range w.sides {
		a := 2 * math.Pi * (float64(i) + 0.5) / float64(w.sides)
		x, y := corner*math.Cos(a), corner*math.Sin(a)
		lo = mesh.Vec2{X: min(lo.X, x), Y: min(lo.Y, y)}
		hi = mesh.Vec2{X: max(hi.X, x), Y: max(hi.Y, y)}
	}
	return hi.X - lo.X, hi.Y - lo.Y
}

// rubber is capacity less what is not rubber: the pattern below the fill line,
// pockets that rubber cannot reach, clay. The bounds follow the displaced
// volume's: the least displaced takes the most rubber.
func (p *planner) rubber(f *Fit, area, floor float64) {
	s := p.s
	share := s.below(floor + f.FillHeight)
	rest := f.Capacity - (s.pockets+s.clay)*share
	f.Rubber = max(0, rest-float64(s.displaced.Value)*share)
	f.RubberLow = max(0, rest-float64(s.displaced.High)*share)
	f.RubberHigh = max(0, rest-float64(s.displaced.Low)*share)
	if h := s.parting; h != nil && *h > floor && *h < floor+f.FillHeight {
		// Pockets are shared out like the pattern's volume; they are small.
		b := area*(*h-floor) - (float64(s.displaced.Value)+s.pockets+s.clay)*s.below(*h)
		b = min(f.Rubber, max(0, b))
		f.RubberBelow = &b
	}
}

// thinnest is the least distance in three dimensions from the pattern to the
// container's sides, to the rubber's top and, where there is rubber below, to
// the floor. The container is convex and all of its faces but a tube are flat,
// so each distance is had from the pattern's extreme point towards that face,
// without error.
func (p *planner) thinnest(f *Fit, side float64, at func(mesh.Vec2) float64) {
	s := p.s
	where := func(v mesh.Vec) float64 { return at(s.plane(v)) }
	least := side
	// A tie within a millionth of a millimetre goes to the side.
	if f.Over < least-1e-6 {
		least, where = f.Over, func(v mesh.Vec) float64 { return v.Dot(s.up) }
	}
	if !p.mold.OnBoard() && f.Under < least-1e-6 {
		least, where = f.Under, func(v mesh.Vec) float64 { return -v.Dot(s.up) }
	}
	f.Thinnest = max(0, least)
	f.ThinnestAt = new(s.extreme(where).Array())
}

// forces works out the liquid rubber's pushes.
func (p *planner) forces(f *Fit, w *walls) {
	head, sunk := p.poured(f)
	f.FloorPressure = headPressure(p.sg, head)
	f.WallForce = wallForce(p.sg, head, w.widest())
	p.float(f, sunk)
}

// poured is how deep the rubber of one pour stands, mm, and how much of the pattern
// is under it, mm³: all of it, or what the deeper of two halves holds. Of two as
// deep it is the one that holds more.
func (p *planner) poured(f *Fit) (head, sunk float64) {
	s := p.s
	floor, all := s.base-f.Under, float64(s.displaced.Value)
	fill := floor + f.FillHeight
	head, sunk = f.FillHeight, all*s.below(fill)
	if h := s.parting; h != nil && p.mold == demold.TwoPart && *h > floor && *h < fill {
		under := all * s.below(*h)
		down, up := *h-floor, fill-*h
		if even := math.Abs(down-up) < 1e-6*head; even && 2*under >= sunk || !even && down > up {
			return down, under
		}
		return up, sunk - under
	}
	return head, sunk
}

// cut writes the cut list. The user's own container needs none.
func (p *planner) cut(f *Fit, w *walls, rim float64) {
	if f.Own {
		return
	}
	t := p.board.Thickness
	add := func(r Role, n int, l, b float64) {
		f.Boards = append(f.Boards, Board{Part{r, p.board.Name, w.sides}, n, l, b, t})
	}
	switch {
	case f.Kind == Trough:
		p.cutTrough(f, w, rim)
	case w.kind == Box:
		// Butt joints: the long sides run past the ends of the short ones, so
		// the short ones are exactly the inside width and set it.
		add(LongSide, 2, w.length+2*t, rim)
		add(ShortSide, 2, w.width, rim)
		f.Boards = append(f.Boards, p.base(w.length+2*t+2*baseMargin, w.width+2*t+2*baseMargin))
		p.cutBattens(f, w, rim)
	case w.kind == Polygon:
		// Mitred on both upright edges; the length is that of the outer face.
		tan := math.Tan(math.Pi / float64(w.sides))
		add(PolygonSide, w.sides, w.side()+2*t*tan, rim)
		out := *w
		out.radius += t
		l, b := polygonExtent(&out)
		f.Boards = append(f.Boards, p.base(l+2*baseMargin, b+2*baseMargin))
		p.cutBattens(f, w, rim)
	}
}

// base is the board under a container.
func (p *planner) base(length, width float64) Board {
	return Board{Part{Role: BaseBoard, Stock: p.board.Name}, 1, length, width, p.board.Thickness}
}

// lift is the mass that has to be moved: container, base, rubber, pattern. It
// is unknown while the pattern's mass or the container's is.
func (p *planner) lift(f *Fit) {
	if p.r.PatternMass == nil || f.Own {
		return
	}
	f.LiftMass = new(p.knownLift(f) + *p.r.PatternMass)
}

// knownLift is the lift mass less the pattern, as far as it is known.
func (p *planner) knownLift(f *Fit) float64 {
	m := p.sg*f.Rubber/1000 + p.r.LiftExtra
	if f.Shell != nil {
		m += f.Shell.Mass
	}
	for _, b := range f.Boards {
		sg, area := p.board.SG, b.Length*b.Width
		switch b.Part.Role {
		case TubeWall:
			sg, area = tubeSG, b.Length*math.Pi*(b.Width-b.Thickness)
		case WrappedSheet:
			sg = sheetSG
		case RimBatten, UprightRib:
			sg = softwoodSG
		}
		m += float64(b.Count) * area * b.Thickness * sg / 1000
	}
	return m
}

// tubeSG is the specific gravity of the rigid plastic tubes in stock (from
// memory, unverified).
const tubeSG = 1.40

// sheetSG is that of the sheets that are wrapped round, polypropylene (from memory,
// unverified).
const sheetSG = 0.91

// softwoodSG is that of sawn softwood, air dry (from memory, unverified; species run from
// 0.4 to 0.55).
const softwoodSG = 0.45
