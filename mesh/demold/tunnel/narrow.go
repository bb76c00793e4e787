package tunnel

import (
	"cmp"
	"slices"

	"moldtally/mesh"
	"moldtally/mesh/disjoint"
)

// narrowing is where a loop is narrowest: places along that stretch, its middle
// first.
type narrowing struct {
	at []linePlace
	d2 int32 // squared distance to the body at the narrowest, in cubes
}

// linePlace is a cube of the thinned lines.
type linePlace struct {
	at    [3]int
	d2    int32      // squared distance to the body, in cubes
	along [3]float64 // unit, the way the line runs
}

// near are the cubes of the lines that share a face with cube n of them.
func (s *skeleton) near(n int32) (out []int32) {
	k := s.line[n]
	for axis := range 3 {
		step := int32(s.n.Step(axis))
		for _, q := range [2]int32{k - step, k + step} {
			if m, ok := s.index[q]; ok {
				out = append(out, m)
			}
		}
	}
	return out
}

// room is the squared distance to the body at cube n of the lines.
func (s *skeleton) room(n int32) int32 { return s.d[s.line[n]] }

// narrowings finds where the loops of the lines are narrowest. The widest tree
// of the lines (J. B. Kruskal's, Proc. AMS 7 (1956) 48, from memory) reaches
// everywhere without going round: it is grown from the widest cube down, and a
// cube that joins the tree to itself is a narrowest place of one loop.
func (s *skeleton) narrowings() []narrowing {
	order := make([]int32, len(s.line))
	for n := range order {
		order[n] = int32(n)
	}
	slices.SortFunc(order, func(a, b int32) int { return cmp.Or(cmp.Compare(s.room(b), s.room(a)), cmp.Compare(a, b)) })
	tree := disjoint.New(len(s.line))
	in := make([]bool, len(s.line))
	var out []narrowing
	for _, n := range order {
		in[n] = true
		var joined []int32
		for _, m := range s.near(n) {
			if !in[m] {
				continue
			}
			if tree.Join(m, n) {
				joined = append(joined, m)
				continue
			}
			// Round a square of four cubes there is no way through.
			square := slices.ContainsFunc(joined, func(j int32) bool {
				return slices.ContainsFunc(s.near(m), func(q int32) bool { return q != n && in[q] && slices.Contains(s.near(j), q) })
			})
			if square {
				continue
			}
			if at := s.stretch(n, m); len(at) > 0 {
				out = append(out, narrowing{at, s.room(n)})
			}
		}
	}
	return out
}

// stretch lists places of the line that runs through cube n from its neighbour
// m: where it is as narrow for a stretch, the middle of that comes first. Places
// beyond the body are left out.
func (s *skeleton) stretch(n, m int32) (at []linePlace) {
	other := m
	for _, o := range s.near(n) {
		if o != m {
			other = o
			break
		}
	}
	most := s.room(n) + s.room(n)/5 + 3
	ahead, back := s.walk(n, m, most), s.walk(n, other, most)
	all := slices.Clone(back[1:])
	slices.Reverse(all)
	all = append(all, ahead...)
	for _, part := range [9]int{8, 6, 10, 4, 12, 2, 14, 1, 15} {
		p := s.place(all[len(all)*part/16])
		if p.d2 < s.beyond && !slices.Contains(at, p) {
			at = append(at, p)
		}
	}
	return at
}

// places are all places of the lines but those beyond the body.
func (s *skeleton) places() (out []linePlace) {
	for n := range s.line {
		if s.room(int32(n)) < s.beyond {
			out = append(out, s.place(int32(n)))
		}
	}
	return out
}

// place describes cube n of the lines.
func (s *skeleton) place(n int32) linePlace {
	p := linePlace{at: s.n.Node(int(s.line[n])), d2: s.room(n), along: [3]float64{0, 0, 1}}
	next := s.near(n)
	if len(next) < 2 {
		return p
	}
	ahead, back := s.walk(n, next[0], -1), s.walk(n, next[1], -1)
	a, b := s.n.Node(int(s.line[ahead[len(ahead)-1]])), s.n.Node(int(s.line[back[len(back)-1]]))
	w := mesh.V(float64(a[0]-b[0]), float64(a[1]-b[1]), float64(a[2]-b[2]))
	if w != (mesh.Vec{}) {
		p.along = w.Unit().Array()
	}
	return p
}

// walk goes along a line from cube n through its neighbour m while the room is
// at most that, and a few steps at least; n itself comes first.
func (s *skeleton) walk(n, m, most int32) []int32 {
	const least, farthest = 4, 2000
	out := []int32{n, m}
	seen := map[int32]bool{n: true, m: true}
	for len(out) < farthest {
		next := int32(-1)
		for _, q := range s.near(m) {
			if !seen[q] {
				next = q
				break
			}
		}
		if next < 0 || len(out) > least && s.room(next) > most {
			break
		}
		m = next
		seen[m] = true
		out = append(out, m)
	}
	return out
}
