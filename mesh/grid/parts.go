package grid

import (
	"sort"

	"moldtally/mesh/disjoint"
)

// Near is what nodes hang together through, seen as cubes.
type Near int

const (
	Faces   Near = iota // the 6 cubes that share a face
	Corners             // the 26 that share a face, an edge or a corner
)

// Parts are the connected parts of some nodes of a lattice, numbered from 0 in
// the order of their first nodes.
type Parts struct {
	size Size
	runs []run   // in order
	row  []int32 // per row of nodes along x: its first run; one more at the end
	part disjoint.Sets
	n    int
}

// run is a stretch of a row: nodes from to to−1.
type run struct{ from, to int32 }

// Connect finds the parts of the nodes whose mark is as asked. It works on runs
// of nodes and joins those that touch from row to row (after A. Rosenfeld and
// J. L. Pfaltz, "Sequential operations in digital picture processing", J. ACM 13
// (1966) 471, from memory).
func Connect(n Size, mark []bool, want bool, near Near) *Parts {
	p := &Parts{size: n, row: make([]int32, 1, n[1]*n[2]+1)}
	slack := int32(0)
	if near == Corners {
		slack = 1
	}
	for z := range n[2] {
		for y := range n[1] {
			first := n.At(0, y, z)
			row := mark[first : first+n[0]]
			for x := 0; x < len(row); x++ {
				if row[x] != want {
					continue
				}
				from := x
				for x < len(row) && row[x] == want {
					x++
				}
				p.runs = append(p.runs, run{int32(first + from), int32(first + x)})
				p.part.Add()
			}
			p.row = append(p.row, int32(len(p.runs)))
			if y > 0 {
				p.join(y, z, 1, slack)
			}
			if z == 0 {
				continue
			}
			p.join(y, z, n[1], slack)
			if near == Corners && y > 0 {
				p.join(y, z, n[1]+1, slack)
			}
			if near == Corners && y < n[1]-1 {
				p.join(y, z, n[1]-1, slack)
			}
		}
	}
	p.n = p.part.Number()
	return p
}

// join joins the runs of a row with those they touch of the row so many rows
// before it.
func (p *Parts) join(y, z, rows int, slack int32) {
	r := z*p.size[1] + y
	shift := int32(rows * p.size[0])
	b := p.row[r-rows]
	for a := p.row[r]; a < p.row[r+1]; a++ {
		from, to := p.runs[a].from-shift-slack, p.runs[a].to-shift+slack
		for b < p.row[r-rows+1] && p.runs[b].to <= from {
			b++
		}
		for c := b; c < p.row[r-rows+1] && p.runs[c].from < to; c++ {
			p.part.Join(a, c)
		}
	}
}

// Count is the number of parts.
func (p *Parts) Count() int { return p.n }

// Of is the part that node k belongs to, −1 for none.
func (p *Parts) Of(k int) int {
	i := sort.Search(len(p.runs), func(i int) bool { return int(p.runs[i].to) > k })
	if i == len(p.runs) || int(p.runs[i].from) > k {
		return -1
	}
	return int(p.part[i])
}

// Each calls f for the nodes from to to−1, a stretch of one row and of one part,
// in ascending order.
func (p *Parts) Each(f func(part, from, to int)) {
	for i, r := range p.runs {
		f(int(p.part[i]), int(r.from), int(r.to))
	}
}

// Mark marks the nodes of the part that node k belongs to, and counts them; all
// false where it belongs to none.
func (p *Parts) Mark(k int) (mark []bool, count int) {
	mark = make([]bool, p.size.Total())
	of := p.Of(k)
	p.Each(func(part, from, to int) {
		if part != of {
			return
		}
		count += to - from
		for i := from; i < to; i++ {
			mark[i] = true
		}
	})
	return mark, count
}
