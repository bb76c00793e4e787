package grid

import "context"

// Bits are marks, one bit a node.
type Bits []uint64

// Has reports whether node k is marked.
func (b Bits) Has(k int) bool { return b[k>>6]>>(k&63)&1 != 0 }

// Set marks node k.
func (b Bits) Set(k int) { b[k>>6] |= 1 << (k & 63) }

// Clear takes the mark from node k.
func (b Bits) Clear(k int) { b[k>>6] &^= 1 << (k & 63) }

// Walled is a lattice with walls between neighbouring nodes, however thin. Its
// rows are whole words: Size[0] is a multiple of 64.
type Walled struct {
	Size
	Wall [3]Bits // per axis: whether the step from each node to the next is shut
}

// Next is the node beside k along an axis; false where the lattice ends or a
// wall stands between.
func (w *Walled) Next(k, axis int, ahead bool) (int, bool) {
	step := w.Step(axis)
	p := k / step % w.Size[axis]
	if ahead {
		return k + step, p+1 < w.Size[axis] && !w.Wall[axis].Has(k)
	}
	return k - step, p > 0 && !w.Wall[axis].Has(k-step)
}

// Around returns the lattice with walls round the marked nodes too, so that no
// step leads to one of them or from it.
func (w *Walled) Around(marked Bits) *Walled {
	row := w.Size[0] / 64
	ahead := [3]int{1, row, row * w.Size[1]} // words to the next node's; along a row, a bit
	out := &Walled{Size: w.Size}
	for d := range 3 {
		out.Wall[d] = make(Bits, len(marked))
		for k, m := range marked {
			next := uint64(0)
			if k+ahead[d] < len(marked) {
				next = marked[k+ahead[d]]
			}
			if d == 0 {
				next = m>>1 | next<<63
			}
			out.Wall[d][k] = w.Wall[d][k] | m | next
		}
	}
	return out
}

// Reach appends to a list of nodes those that are had from them by steps that no
// wall shuts, nearest first. Of the nodes it comes to it takes those that admit
// says yes to, which has to say no to a node it was asked of before.
func (w *Walled) Reach(list []int32, admit func(k int) bool) []int32 {
	for i := 0; i < len(list); i++ {
		for axis := range 3 {
			for _, ahead := range [2]bool{true, false} {
				if k, ok := w.Next(int(list[i]), axis, ahead); ok && admit(k) {
					list = append(list, int32(k))
				}
			}
		}
	}
	return list
}

// Flood marks what is had from the first node by steps that no wall shuts: rows
// of 64 nodes at a time, forwards and backwards until nothing changes. It runs on
// one core and looks at ctx every 16 layers.
func (w *Walled) Flood(ctx context.Context) (Bits, error) {
	n := w.Size
	row := n[0] / 64
	layer := row * n[1]
	out := make(Bits, layer*n[2])
	out.Set(0)
	for forward := true; ; forward = !forward {
		changed := false
		for q := range n[2] {
			if q&15 == 0 && ctx.Err() != nil {
				return nil, ctx.Err()
			}
			z := q
			if !forward {
				z = n[2] - 1 - q
			}
			for v := range 2 * n[1] {
				y := min(v, 2*n[1]-1-v) // up and down again
				r := z*layer + y*row
				if w.fromSides(out, r, y, z) {
					changed = true
				}
				if w.alongRow(out, r) {
					changed = true
				}
			}
		}
		if !changed {
			return out, nil
		}
	}
}

// fromSides floods the row at word r from the four rows beside it and reports a
// change.
func (w *Walled) fromSides(out Bits, r, y, z int) bool {
	row := w.Size[0] / 64
	layer := row * w.Size[1]
	changed := false
	for k := r; k < r+row; k++ {
		g := out[k]
		if y > 0 {
			g |= out[k-row] &^ w.Wall[1][k-row]
		}
		if y+1 < w.Size[1] {
			g |= out[k+row] &^ w.Wall[1][k]
		}
		if z > 0 {
			g |= out[k-layer] &^ w.Wall[2][k-layer]
		}
		if z+1 < w.Size[2] {
			g |= out[k+layer] &^ w.Wall[2][k]
		}
		if g != out[k] {
			out[k] = g
			changed = true
		}
	}
	return changed
}

// alongRow floods the row at word r to both sides and reports a change. Within a
// word the flood goes 1, 2, 4 … 32 bits at a time, over steps that are free all
// the way.
func (w *Walled) alongRow(out Bits, r int) bool {
	row := w.Size[0] / 64
	changed := false
	carry := uint64(0)
	for k := r; k < r+row; k++ {
		was := out[k]
		g := was | carry
		free := ^w.Wall[0][k]
		p := free << 1 // bit b: the step from b−1 to b is free
		for s := 1; s < 64; s *= 2 {
			g |= p & (g << s)
			p &= p << s
		}
		carry = g & free >> 63
		if g != was {
			out[k] = g
			changed = true
		}
	}
	carry = 0
	for k := r + row - 1; k >= r; k-- {
		was := out[k]
		free := ^w.Wall[0][k] // bit b: the step from b+1 to b is free
		g := was | carry&free
		p := free &^ (1 << 63)
		for s := 1; s < 64; s *= 2 {
			g |= p & (g >> s)
			p &= p >> s
		}
		carry = g << 63
		if g != was {
			out[k] = g
			changed = true
		}
	}
	return changed
}
