package solid

import (
	"container/heap"
	"context"
	"math"
	"runtime"
	"slices"
	"sync"
	"sync/atomic"

	"moldtally/mesh"
	"moldtally/mesh/finding"
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
	l, wall, inside, err := s.lattice(ctx, drainNodes)
	if err != nil || l == nil {
		return nil, err
	}
	if s.pockets != nil {
		for k := range l.total() {
			if !bit(inside, k) {
				if p := l.node(k); s.pockets.has(p) {
					setBit(inside, k)
				}
			}
		}
	}
	n := l.total()
	// Distance of free nodes to the surface: from nodes in S or next to a wall.
	seed := make([]bool, n)
	for k := range n {
		seed[k] = bit(inside, k)
		for d := range 3 {
			if bit(wall[d], k) {
				seed[k] = true
				seed[k+l.step(d)] = true
			}
		}
	}
	dist := l.distance(seed)
	free := func(k int) bool { return !bit(inside, k) }
	open := func(k, d, sign int) (int, bool) {
		p := k / l.step(d) % l.n[d]
		if sign > 0 {
			return k + l.step(d), p+1 < l.n[d] && !bit(wall[d], k)
		}
		return k - l.step(d), p > 0 && !bit(wall[d], k-l.step(d))
	}
	const reach2 = drainReach * drainReach
	mark := make([]int8, n) // 1 the ball reaches it, 2 counted
	queue := []int32{0}
	mark[0] = 1
	for len(queue) > 0 {
		k := int(queue[len(queue)-1])
		queue = queue[:len(queue)-1]
		for d := range 3 {
			for _, sign := range [2]int{1, -1} {
				if m, ok := open(k, d, sign); ok && mark[m] == 0 && dist[m] > reach2 {
					mark[m] = 1
					queue = append(queue, int32(m))
				}
			}
		}
	}
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	shut := false
	for k := range n {
		if mark[k] == 0 && dist[k] > reach2 && free(k) {
			shut = true
			break
		}
	}
	if !shut {
		return nil, nil
	}
	// What the ball covers from where it gets to is open.
	for k := range n {
		seed[k] = mark[k] == 1
	}
	cover := l.distance(seed)
	var out []Drain
	least := drainShare * float64(s.Displaced.Value)
	cell3 := l.cell * l.cell * l.cell
	var cluster []int32
	for k0 := range n {
		if mark[k0] != 0 || !(dist[k0] > reach2) || !free(k0) {
			continue
		}
		cluster = append(cluster[:0], int32(k0))
		mark[k0] = 2
		var mid mesh.Vec
		for q := 0; q < len(cluster); q++ {
			k := int(cluster[q])
			mid = mid.Add(l.node(k))
			for d := range 3 {
				for _, sign := range [2]int{1, -1} {
					if m, ok := open(k, d, sign); ok && mark[m] == 0 && free(m) && cover[m] > (drainReach+1)*(drainReach+1) {
						mark[m] = 2
						cluster = append(cluster, int32(m))
					}
				}
			}
		}
		vol := float64(len(cluster)) * cell3
		if vol < least || len(cluster) < 27 {
			continue
		}
		at, width := l.throat(int32(k0), dist, mark, free, open)
		out = append(out, Drain{At: at, Width: width, Volume: unit.Volume(vol), Inside: mid.Mul(1 / float64(len(cluster))), Cell: l.cell})
	}
	slices.SortStableFunc(out, func(a, b Drain) int {
		switch {
		case a.Volume > b.Volume:
			return -1
		case a.Volume < b.Volume:
			return 1
		}
		return 0
	})
	return out, nil
}

// Finding tells of a drain; its facts are the Drain.
func (d Drain) Finding() finding.Finding {
	at := d.At.Array()
	return finding.Finding{Code: CodeDrain, Severity: finding.Caution, At: &at, Facts: d}
}

// Rubber is what creeps in at most, of a usual rubber.
func (d Drain) Rubber() unit.Mass { return usualRubber.Mass(d.Volume) }

// has reports whether the node nearest to a place is in a pocket.
func (l *lattice) has(p mesh.Vec) bool {
	var c [3]int
	for d := range 3 {
		c[d] = int(math.Round((p.Dot(l.axis[d]) - l.lo[d]) / l.cell))
		if c[d] < 0 || c[d] >= l.n[d] {
			return false
		}
	}
	return bit(l.pocket, l.at(c[0], c[1], c[2]))
}

// throat follows the widest way from node k out to where the ball reaches and
// returns its narrowest place and width.
func (l *lattice) throat(k int32, dist []float32, mark []int8, free func(int) bool, open func(k, d, sign int) (int, bool)) (mesh.Vec, float64) {
	type via struct {
		narrow float32
		at     int32
	}
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
		if mark[x.k] == 1 {
			return l.node(int(v.at)), (2*math.Sqrt(float64(v.narrow)) + 1) * l.cell
		}
		for d := range 3 {
			for _, sign := range [2]int{1, -1} {
				m, ok := open(int(x.k), d, sign)
				if !ok || done[int32(m)] || !free(m) {
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

type wideNode struct {
	narrow float32
	k      int32
}

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

// distance returns the squared distance, in cells, of every node to the
// nearest seed: lower envelopes of parabolas, axis by axis (P. Felzenszwalb and
// D. Huttenlocher, "Distance transforms of sampled functions", Theory of
// Computing 8 (2012) 415, from memory).
func (l *lattice) distance(seed []bool) []float32 {
	const far = 1e12
	f := make([]float32, len(seed))
	for k, s := range seed {
		if !s {
			f[k] = far
		}
	}
	for d := range 3 {
		n, st := l.n[d], l.step(d)
		a, b := 2, 1-d // slabs outermost
		if d == 2 {
			a, b = 1, 0
		}
		each(l.n[a], func(p int) {
			line := make([]float32, n)
			v := make([]int, n)
			z := make([]float32, n+1)
			for q := range l.n[b] {
				base := p*l.step(a) + q*l.step(b)
				for i := range n {
					line[i] = f[base+i*st]
				}
				k := 0
				v[0] = 0
				z[0], z[1] = -far, far
				for i := 1; i < n; i++ {
					for {
						j := v[k]
						s := (line[i] + float32(i*i) - line[j] - float32(j*j)) / float32(2*(i-j))
						if s <= z[k] && k > 0 {
							k--
							continue
						}
						if s <= z[k] {
							v[k] = i
						} else {
							k++
							v[k] = i
							z[k] = s
						}
						z[k+1] = far
						break
					}
				}
				k = 0
				for i := range n {
					for z[k+1] < float32(i) {
						k++
					}
					e := float32(i - v[k])
					f[base+i*st] = min(e*e+line[v[k]], far)
				}
			}
		})
	}
	return f
}

// each calls f for 0 to n-1 on all cores; calls must not depend on each other.
func each(n int, f func(k int)) {
	var next atomic.Int64
	var wg sync.WaitGroup
	for range min(runtime.GOMAXPROCS(0), n) {
		wg.Go(func() {
			for k := next.Add(1) - 1; k < int64(n); k = next.Add(1) - 1 {
				f(int(k))
			}
		})
	}
	wg.Wait()
}
