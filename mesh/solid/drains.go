package solid

import (
	"cmp"
	"container/heap"
	"context"
	"fmt"
	"math"
	"slices"

	"moldtally/mesh"
	"moldtally/mesh/finding"
	"moldtally/mesh/grid"
	"moldtally/mesh/unit"
)

// Drain is a cavity that opens only through a small hole, as hollow prints
// have them: rubber would creep in and lock.
type Drain struct {
	At     mesh.Vec    // the narrowest place of the way in, mm
	Width  float64     // how wide the way in is there, mm, within a cell
	Volume unit.Volume // of the cavity behind it, mm³
	Inside mesh.Vec    // the middle of the cavity, mm
	Cell   float64     // of the lattice that found it, mm
}

// drainNodes is the number of lattice nodes along the longest side when
// looking for drains; drainReach the half width, in cells, of what counts as a
// small hole: with both, openings under about 4 % of the longest size.
const (
	drainNodes = 128
	drainReach = 2
	drainShare = 2e-3 // least volume of a cavity, as a share of the solid's (judgement of this program)
)

// Drains finds cavities outside S that a ball of about 4 % of the pattern's
// longest size cannot leave, largest first. The only error is a cancelled ctx.
func (s *Solid) Drains(ctx context.Context) ([]Drain, error) {
	l, walls, inside, err := s.lattice(ctx, drainNodes)
	if err != nil || l == nil {
		return nil, err
	}
	n := l.n.Total()
	if s.pockets != nil {
		for k := range n {
			if !inside.Has(k) && s.pockets.has(l.node(k)) {
				inside.Set(k)
			}
		}
	}
	seed := make([]bool, n)
	dist, mark, err := s.ballFrom(ctx, l, walls, inside, seed)
	if err != nil || mark == nil {
		return nil, err
	}
	// What the ball covers from where it gets to is open.
	for k := range n {
		seed[k] = mark[k] == reached
	}
	cover := grid.Sources(seed, true)
	if err := grid.Distance(ctx, l.n, cover); err != nil {
		return nil, fmt.Errorf("solid: %w", err)
	}
	var out []Drain
	least := drainShare * float64(s.Displaced.Value)
	cell3 := l.cell * l.cell * l.cell
	admit := func(k int) bool {
		if mark[k] != 0 || inside.Has(k) || cover[k] <= (drainReach+1)*(drainReach+1) {
			return false
		}
		mark[k] = counted
		return true
	}
	var cluster []int32
	for k0 := range n {
		if mark[k0] != 0 || dist[k0] <= drainReach*drainReach || inside.Has(k0) {
			continue
		}
		mark[k0] = counted
		cluster = walls.Reach(append(cluster[:0], int32(k0)), admit)
		var mid mesh.Vec
		for _, k := range cluster {
			mid = mid.Add(l.node(int(k)))
		}
		vol := float64(len(cluster)) * cell3
		if vol < least || len(cluster) < 27 {
			continue
		}
		at, width := l.throat(int32(k0), dist, func(k int32) bool { return mark[k] == reached }, inside, walls)
		out = append(out, Drain{At: at, Width: width, Volume: unit.Volume(vol), Inside: mid.Mul(1 / float64(len(cluster))), Cell: l.cell})
	}
	slices.SortStableFunc(out, func(a, b Drain) int { return cmp.Compare(b.Volume, a.Volume) })
	return out, nil
}

// Marks of a lattice's nodes: whether the ball reaches it, or it is counted.
const (
	reached int8 = 1 + iota
	counted
)

// ballFrom rolls a ball of drainReach over the free nodes from outside. It
// returns the distance of each node to the surface, squared, and the marks of
// those that the ball reaches; no marks where it reaches all that is wide enough
// for it. seed is scratch.
func (s *Solid) ballFrom(ctx context.Context, l *lattice, walls *grid.Walled, inside grid.Bits, seed []bool) (dist []int32, mark []int8, err error) {
	n := l.n.Total()
	// From nodes in S or with a wall ahead.
	for k := range n {
		seed[k] = inside.Has(k) || walls.Wall[0].Has(k) || walls.Wall[1].Has(k) || walls.Wall[2].Has(k)
	}
	dist = grid.Sources(seed, true)
	if err := grid.Distance(ctx, l.n, dist); err != nil {
		return nil, nil, fmt.Errorf("solid: %w", err)
	}
	const reach2 = drainReach * drainReach
	narrow := make(grid.Bits, len(inside))
	for k := 1; k < n; k++ { // not the node outside that it starts from
		if dist[k] <= reach2 {
			narrow.Set(k)
		}
	}
	open, err := walls.Around(narrow).Flood(ctx)
	if err != nil {
		return nil, nil, fmt.Errorf("solid: %w", err)
	}
	mark = make([]int8, n)
	for k := range n {
		if open.Has(k) {
			mark[k] = reached
		}
	}
	for k := range n {
		if mark[k] == 0 && dist[k] > reach2 && !inside.Has(k) {
			return dist, mark, nil
		}
	}
	return dist, nil, nil
}

// Hollows are cavities that open through small holes and are about alike: the largest
// of them, where the ways into all of them are, largest first, and what they hold
// together, mm³.
type Hollows struct {
	Drain
	Ways []mesh.Vec
	All  unit.Volume
}

// likeVolume and likeWidth are by what share cavities and the ways into them differ
// at most that are told of together. Judgement of this program.
const (
	likeVolume = 0.25
	likeWidth  = 0.5
)

// DrainFindings tells of drains, largest first, those that are about alike once; the
// facts are Hollows.
func DrainFindings(drains []Drain) (out finding.List) {
	var groups []Hollows
next:
	for _, d := range drains {
		for k := range groups {
			g := &groups[k]
			if float64(d.Volume) >= (1-likeVolume)*float64(g.Volume) && math.Abs(d.Width-g.Width) <= max(likeWidth*g.Width, 1.5*d.Cell) {
				g.Ways, g.All = append(g.Ways, d.At), g.All+d.Volume
				continue next
			}
		}
		groups = append(groups, Hollows{d, []mesh.Vec{d.At}, d.Volume})
	}
	for _, g := range groups {
		at := g.At.Array()
		out.Add(finding.Finding{Code: CodeDrain, Severity: finding.Caution, At: &at, Facts: g})
	}
	return out
}

// Rubber is what creeps in at most, of a usual rubber.
func (h Hollows) Rubber() unit.Mass { return usualRubber.Mass(h.All) }

// has reports whether the node nearest to a place is in a pocket.
func (l *lattice) has(p mesh.Vec) bool {
	var c [3]int
	for d := range 3 {
		c[d] = int(math.Round((p.Dot(l.axis[d]) - l.lo[d]) / l.cell))
		if c[d] < 0 || c[d] >= l.n[d] {
			return false
		}
	}
	return l.pocket.Has(l.n.At(c[0], c[1], c[2]))
}

// throat follows the widest way from node k out to where the ball reaches and
// returns its narrowest place and width.
func (l *lattice) throat(k int32, dist []int32, reached func(k int32) bool, inside grid.Bits, walls *grid.Walled) (mesh.Vec, float64) {
	type via struct{ narrow, at int32 }
	best := map[int32]via{k: {dist[k], k}}
	h := &wideFirst{{dist[k], k}}
	done := map[int32]bool{}
	for h.Len() > 0 {
		x := heap.Pop(h).(wideNode)
		if done[x.k] {
			continue
		}
		done[x.k] = true
		v := best[x.k]
		if reached(x.k) {
			return l.node(int(v.at)), (2*math.Sqrt(float64(v.narrow)) + 1) * l.cell
		}
		for d := range 3 {
			for _, ahead := range [2]bool{true, false} {
				m, ok := walls.Next(int(x.k), d, ahead)
				if !ok || done[int32(m)] || inside.Has(m) {
					continue
				}
				w := v
				if dist[m] < w.narrow {
					w = via{dist[m], int32(m)}
				}
				if b, there := best[int32(m)]; !there || w.narrow > b.narrow {
					best[int32(m)] = w
					heap.Push(h, wideNode{w.narrow, int32(m)})
				}
			}
		}
	}
	// The way in is narrower than the lattice can follow.
	return l.node(int(k)), l.cell
}

type wideNode struct{ narrow, k int32 }

// wideFirst is a heap with the widest way on top, equal ones by node.
type wideFirst []wideNode

func (h wideFirst) Len() int { return len(h) }
func (h wideFirst) Less(i, j int) bool {
	if h[i].narrow != h[j].narrow {
		return h[i].narrow > h[j].narrow
	}
	return h[i].k < h[j].k
}
func (h wideFirst) Swap(i, j int) { h[i], h[j] = h[j], h[i] }
func (h *wideFirst) Push(x any)   { *h = append(*h, x.(wideNode)) }
func (h *wideFirst) Pop() any {
	o := *h
	x := o[len(o)-1]
	*h = o[:len(o)-1]
	return x
}
