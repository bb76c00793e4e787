package mesh

import (
	"context"
	"errors"
	"fmt"
	"math"
)

// SurveyOptions says how to inspect. The zero value is the default.
type SurveyOptions struct {
	// Progress, if not nil, is called from one goroutine with the steps done.
	Progress func(stage string, done, total int)
}

// Survey is what is known of a mesh as read, before anything is mended.
// Collapsed triangles count in Triangles, Vertices and DegenerateFaces only.
// It is plain data; lengths are mm, areas mm², volumes mm³.
type Survey struct {
	Triangles int // as read
	Vertices  int // distinct
	Size      Vec // of the box around all vertices

	Area float64 // of all triangles
	// SignedVolume is the divergence theorem over all triangles as read, about
	// the file's origin (which matters only where edges are open or turned).
	SignedVolume float64

	Closed           bool // every edge has an even number of triangles
	BoundaryEdges    int  // edges with exactly one triangle
	NonManifoldEdges int  // edges with three or more
	TurnedEdges      int  // edges with two that run along it the same way
	EdgesOdd         int  // edges with an odd number
	DegenerateFaces  int  // triangles with two or more equal corners
	DuplicateFaces   int  // triangles less distinct sets of corners

	Pieces  []Piece // joined through shared edges, in order of their first triangle
	PieceOf []int32 // per triangle: index into Pieces; -1 for a collapsed triangle
	Crumbs  int     // how many pieces are crumbs

	// ThroughHoles is the sum of the genus of the closed pieces; nil where no
	// piece is closed or a closed piece is not an orientable manifold.
	ThroughHoles *int

	// Clean: closed, no edge of more than two triangles, no turned edge, no
	// duplicate face. Every piece is then a closed, consistently wound
	// 2-manifold along its edges; whether it crosses itself is another
	// question (SelfCrossings).
	Clean bool
}

// Piece is a part of the surface that hangs together through shared edges.
type Piece struct {
	Triangles     int
	Fans          int  // vertices, a vertex where cones meet tip to tip counted once per cone
	Closed        bool // every edge has an even number of triangles
	Manifold      bool // no edge has three or more
	Oriented      bool // no edge has two triangles that run the same way
	Orientable    bool // it could be made so by turning triangles over (told only where Closed and Manifold)
	Balanced      bool // every edge is run along as often one way as the other: the volume needs no origin
	Crumb         bool // loose debris, see CrumbShare
	Genus         *int // through holes, of a closed orientable manifold; else nil
	BoundaryEdges int
	Area          float64
	SignedVolume  float64
	Lo, Hi        Vec // corners of its box
}

// Size returns the edge lengths of the piece's box, mm.
func (p *Piece) Size() Vec { return p.Hi.Sub(p.Lo) }

// ErrTooLarge is returned by Inspect for coordinates so large that an area or
// a volume is no finite number.
var ErrTooLarge = errors.New("mesh: coordinates too large to measure")

// Inspect counts, measures and takes apart a mesh as read. It changes nothing
// and gives the same result for any number of cores. Beyond the mesh it needs
// some 20 bytes per triangle and 8 per vertex. Errors: a cancelled ctx,
// ErrTooLarge.
func Inspect(ctx context.Context, m *Mesh, o SurveyOptions) (*Survey, error) {
	const steps = 4
	step := func(done int) {
		if o.Progress != nil {
			o.Progress("survey", done, steps)
		}
	}
	step(0)
	s := &Survey{Triangles: len(m.tris), Vertices: len(m.verts), Size: m.Size()}
	for t := range m.tris {
		if m.Collapsed(t) {
			s.DegenerateFaces++
		}
	}
	a, err := Edges(ctx, m, nil)
	if err != nil {
		return nil, err
	}
	step(1)
	r, err := a.join(ctx)
	if err != nil {
		return nil, err
	}
	step(2)
	s.BoundaryEdges, s.NonManifoldEdges = r.boundary, r.branch
	s.TurnedEdges, s.EdgesOdd, s.DuplicateFaces = r.turned, r.odd, r.duplicates
	s.PieceOf = r.of
	if err := s.pieces(ctx, m, a, r); err != nil {
		return nil, err
	}
	step(3)
	if err := s.crumbs(ctx, m); err != nil {
		return nil, err
	}
	live := s.Triangles - s.DegenerateFaces
	s.Closed = live > 0 && s.EdgesOdd == 0
	s.Clean = s.Closed && s.NonManifoldEdges == 0 && s.TurnedEdges == 0 && s.DuplicateFaces == 0
	step(4)
	return s, nil
}

// pieces measures the pieces and finds the genus of the closed ones.
func (s *Survey) pieces(ctx context.Context, m *Mesh, a *Adjacency, r *joined) error {
	sums, err := measure(ctx, m, r)
	if err != nil {
		return err
	}
	fans := a.fansOf(r)
	origin := m.localOrigin()
	s.Pieces = make([]Piece, r.n)
	var area, volume Sum
	ask, asked := []bool(nil), false
	for i := range s.Pieces {
		p, y := &s.Pieces[i], &sums[i]
		p.Triangles, p.Fans, p.Lo, p.Hi = y.triangles, int(fans[i]), y.lo, y.hi
		p.Closed = y.flags&flagOdd == 0
		p.Manifold = y.flags&flagBranch == 0
		p.Oriented = y.flags&flagTurned == 0
		p.Balanced = y.flags&flagUneven == 0
		p.BoundaryEdges = y.boundary
		p.Area, p.SignedVolume = y.figures(origin)
		area.Add(p.Area)
		volume.Add(p.SignedVolume)
		p.Orientable = p.Closed && p.Manifold
		if p.Orientable && !p.Oriented {
			if !asked {
				ask, asked = make([]bool, r.n), true
			}
			ask[i] = true
		}
	}
	s.Area, s.SignedVolume = area.Value(), volume.Value()
	if !isFinite(s.Area) || !isFinite(s.SignedVolume) || !s.Size.IsFinite() {
		return ErrTooLarge
	}
	if asked {
		ok, err := a.orientable(ctx, r.of, ask)
		if err != nil {
			return err
		}
		for i := range s.Pieces {
			s.Pieces[i].Orientable = s.Pieces[i].Orientable && ok[i]
		}
	}

	genera := make([]int, 0, r.n)
	closed, sum, known := 0, 0, true
	for i := range s.Pieces {
		p := &s.Pieces[i]
		if !p.Closed {
			continue
		}
		closed++
		if !p.Orientable {
			known = false
			continue
		}
		// Euler: 2 - 2g = V - E + F, and E = 3F/2 where each edge has two.
		genera = append(genera, (2-p.Fans+p.Triangles/2)/2)
		p.Genus = &genera[len(genera)-1]
		sum += *p.Genus
	}
	if closed > 0 && known {
		s.ThroughHoles = &sum
	}
	return nil
}

func isFinite(x float64) bool { return !math.IsNaN(x) && !math.IsInf(x, 0) }

// largest returns the largest coordinate of a size.
func largest(size Vec) float64 { return max(size.X, size.Y, size.Z) }

// crumbs marks loose debris: see CrumbShare and TouchShare.
func (s *Survey) crumbs(ctx context.Context, m *Mesh) error {
	limit := 0.0
	for i := range s.Pieces {
		limit = max(limit, CrumbShare*largest(s.Pieces[i].Size()))
	}
	var small []int32
	for i := range s.Pieces {
		if largest(s.Pieces[i].Size()) < limit {
			small = append(small, int32(i))
		}
	}
	if len(small) == 0 {
		return nil
	}
	touching, err := touchingPieces(ctx, m, s, small)
	if err != nil {
		return fmt.Errorf("mesh: crumbs: %w", err)
	}
	for k, i := range small {
		if !touching[k] {
			s.Pieces[i].Crumb = true
			s.Crumbs++
		}
	}
	return nil
}
