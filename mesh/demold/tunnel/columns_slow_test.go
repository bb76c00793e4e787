package tunnel_test

import (
	"context"
	"fmt"
	"math"

	"moldtally/mesh/dexel"
	"moldtally/mesh/disjoint"
)

// columnTunnels counts tunnels of the union of columns. Noise that a cell
// cannot tell (holes where a thin wall runs between columns, bridges over a
// slot of a cell) shows in the columns as they are or in the columns fattened
// by a cell, but hardly the same in both: the lower count is taken.
func columnTunnels(ctx context.Context, f *dexel.Field, line float64) (int, error) {
	raw := newBars(f, line, 0)
	n, err := raw.betti(ctx)
	if err != nil || n == 0 {
		return n, err
	}
	fat := newBars(f, line, f.Cell)
	m, err := fat.betti(ctx)
	return min(n, m), err
}

// bars are the columns of a body as closed intervals, a cell wide each.
type bars struct {
	nx, ny int
	off    []int32
	iv     [][2]float64
}

// newBars takes the spans above the line, joined with the slab below it, grown
// by grow on every side.
func newBars(f *dexel.Field, line, grow float64) *bars {
	b := &bars{nx: f.NX, ny: f.NY, off: make([]int32, 1, f.NX*f.NY+1)}
	slab := !math.IsInf(line, -1)
	reach := 0
	if grow > 0 {
		reach = 1
	}
	// The columns as they are, or grown up and down.
	var off []int32
	var own [][2]float64
	off = make([]int32, 1, f.NX*f.NY+1)
	for j := range f.NY {
		for i := range f.NX {
			first := len(own)
			if slab {
				own = append(own, [2]float64{line - 1, line})
			}
			for _, s := range f.Column(i, j) {
				lo, hi := s.Bottom-grow, s.Top+grow
				if slab {
					if hi <= line {
						continue
					}
					lo = max(lo, line)
				}
				if n := len(own); n > first && lo <= own[n-1][1] {
					own[n-1][1] = max(own[n-1][1], hi)
				} else {
					own = append(own, [2]float64{lo, hi})
				}
			}
			off = append(off, int32(len(own)))
		}
	}
	if reach == 0 {
		b.off, b.iv = off, own
		return b
	}
	at := func(i, j int) [][2]float64 { return own[off[j*f.NX+i]:off[j*f.NX+i+1]] }
	var near [9][][2]float64
	for j := range f.NY {
		for i := range f.NX {
			n := 0
			for y := max(0, j-1); y <= min(f.NY-1, j+1); y++ {
				for x := max(0, i-1); x <= min(f.NX-1, i+1); x++ {
					near[n] = at(x, y)
					n++
				}
			}
			b.iv = merge(near[:n], b.iv)
			b.off = append(b.off, int32(len(b.iv)))
		}
	}
	return b
}

// merge appends the union of sorted rows of disjoint intervals to out. It uses
// the rows up.
func merge(rows [][][2]float64, out [][2]float64) [][2]float64 {
	first := len(out)
	for {
		best := -1
		for k := range rows {
			if len(rows[k]) > 0 && (best < 0 || rows[k][0][0] < rows[best][0][0]) {
				best = k
			}
		}
		if best < 0 {
			return out
		}
		v := rows[best][0]
		rows[best] = rows[best][1:]
		if n := len(out); n > first && v[0] <= out[n-1][1] {
			out[n-1][1] = max(out[n-1][1], v[1])
		} else {
			out = append(out, v)
		}
	}
}

// unionCount is how many intervals the union of sorted rows has.
func unionCount(rows [][][2]float64) int {
	n := 0
	end := math.Inf(-1)
	for {
		best := -1
		for k := range rows {
			if len(rows[k]) > 0 && (best < 0 || rows[k][0][0] < rows[best][0][0]) {
				best = k
			}
		}
		if best < 0 {
			return n
		}
		v := rows[best][0]
		rows[best] = rows[best][1:]
		if v[0] > end {
			n++
		}
		end = max(end, v[1])
	}
}

func (b *bars) col(i, j int) [][2]float64 {
	k := j*b.nx + i
	return b.iv[b.off[k]:b.off[k+1]]
}

// betti is the first Betti number: b0 + b2 − χ. The body is cut into open
// cells (above a square of the grid, above a side, above a corner); over a
// side stands the union of two columns, over a corner that of four, and each
// interval there counts +1, −1, +1.
func (b *bars) betti(ctx context.Context) (int, error) {
	chi := len(b.iv)
	var rows [4][][2]float64
	count := func(cols ...[][2]float64) int {
		return unionCount(rows[:copy(rows[:], cols)])
	}
	// Solid bars that touch, corners included, and spaces that share an open
	// side.
	solid := disjoint.New(len(b.iv))
	ncol := b.nx * b.ny
	// Space k of a column lies below bar k, the last above all; the space
	// beyond the grid is number 0.
	space := disjoint.New(1 + len(b.iv) + ncol)
	spaceAt := func(i, j, k int) int32 {
		c := j*b.nx + i
		return int32(1 + int(b.off[c]) + c + k)
	}
	inf := math.Inf(1)
	bounds := func(col [][2]float64, k int) (lo, hi float64) {
		lo, hi = -inf, inf
		if k > 0 {
			lo = col[k-1][1]
		}
		if k < len(col) {
			hi = col[k][0]
		}
		return lo, hi
	}
	for j := -1; j < b.ny; j++ {
		if ctx.Err() != nil {
			return 0, fmt.Errorf("demold: %w", ctx.Err())
		}
		for i := -1; i < b.nx; i++ {
			var here, right, up, diag [][2]float64
			if i >= 0 && j >= 0 {
				here = b.col(i, j)
			}
			if i+1 < b.nx && j >= 0 {
				right = b.col(i+1, j)
			}
			if i >= 0 && j+1 < b.ny {
				up = b.col(i, j+1)
			}
			if i+1 < b.nx && j+1 < b.ny {
				diag = b.col(i+1, j+1)
			}
			if i >= 0 && j >= 0 && i+1 < b.nx && j+1 < b.ny && len(here) == 1 && len(right) == 1 && len(up) == 1 && len(diag) == 1 &&
				here[0] == right[0] && here[0] == up[0] && here[0] == diag[0] {
				// All alike: one bar over both sides and the corner.
				chi--
				o := int32(j*b.nx + i)
				solid.Join(b.off[o], b.off[o+1])
				solid.Join(b.off[o], b.off[o+int32(b.nx)])
				solid.Join(b.off[o], b.off[o+int32(b.nx)+1])
				space.Join(0, spaceAt(i, j, 0))
				space.Join(0, spaceAt(i, j, 1))
				continue
			}
			// The side to the right, the side above, the corner.
			if j >= 0 {
				chi -= count(here, right)
			}
			if i >= 0 {
				chi -= count(here, up)
			}
			chi += count(here, right, up, diag)
			touch := func(p [][2]float64, pi, pj int, q [][2]float64, qi, qj int) {
				if len(p) == 0 || len(q) == 0 {
					return
				}
				po, qo := b.off[pj*b.nx+pi], b.off[qj*b.nx+qi]
				for x, y := 0, 0; x < len(p) && y < len(q); {
					if p[x][0] <= q[y][1] && q[y][0] <= p[x][1] {
						solid.Join(po+int32(x), qo+int32(y))
					}
					if p[x][1] < q[y][1] {
						x++
					} else {
						y++
					}
				}
			}
			touch(here, i, j, right, i+1, j)
			touch(here, i, j, up, i, j+1)
			touch(here, i, j, diag, i+1, j+1)
			touch(right, i+1, j, up, i, j+1)
			open := func(p [][2]float64, pi, pj int, q [][2]float64, qi, qj int) {
				for x, y := 0, 0; x <= len(p) && y <= len(q); {
					pl, ph := bounds(p, x)
					ql, qh := bounds(q, y)
					if min(ph, qh) > max(pl, ql) {
						space.Join(spaceAt(pi, pj, x), spaceAt(qi, qj, y))
					}
					if ph < qh {
						x++
					} else {
						y++
					}
				}
			}
			if i >= 0 && j >= 0 {
				if i+1 < b.nx {
					open(here, i, j, right, i+1, j)
				}
				if j+1 < b.ny {
					open(here, i, j, up, i, j+1)
				}
				// Above all bars and at the border everything is outside;
				// below the lowest too.
				space.Join(0, spaceAt(i, j, len(here)))
				space.Join(0, spaceAt(i, j, 0))
				if i == 0 || j == 0 || i == b.nx-1 || j == b.ny-1 {
					for k := range here {
						space.Join(0, spaceAt(i, j, k))
					}
				}
			}
		}
	}
	return solid.Number() + space.Number() - 1 - chi, nil
}
