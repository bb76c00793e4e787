package undercut

import "math"

// webbed tells of the component in l.cells, which has a way out, whether wide
// rubber in it has one but through narrow passages.
func (l *level) webbed(box [4]int) outcome {
	if !l.markThin(l.class, box) {
		return notAsked
	}
	if l.seen == nil {
		l.seen = make([]bool, len(l.class))
	}
	for _, e := range l.cells {
		l.seen[e] = false
	}
	l.flood(l.class, l.cells, l.seen)
	for _, e := range l.cells {
		if !l.seen[e] && !l.thin[e] {
			return hasWebs
		}
	}
	return notAsked
}

// roomy reports whether the three by three cells round c are free: anything
// smaller is below what the field resolves.
func (l *level) roomy(c int32) bool {
	for _, d := range around8 {
		if l.class[int(c)+d[1]*l.nx+d[0]] == inSolid {
			return false
		}
	}
	return true
}

// shut decides what the component without exit in l.cells is: locked, or
// noise, that is smaller than the field resolves or open to the way out within
// rise above or below.
func (l *level) shut(h float64) outcome {
	room := false
	for _, c := range l.cells {
		if l.roomy(c) {
			room = true
			break
		}
	}
	if !room {
		return isNoise
	}
	for _, c := range l.cells {
		if l.noise(c, h) {
			return isNoise
		}
	}
	return isLocked
}

// noise reports whether a cell has a way out at a height within rise.
func (l *level) noise(c int32, h float64) bool {
	for n, z := range [2]float64{h - l.s.rise, h + l.s.rise} {
		if z <= l.s.floor {
			continue
		}
		if !l.have[n] {
			l.have[n] = true
			if l.other[n] == nil {
				l.other[n] = l.newClass()
			}
			l.reach(l.other[n], z)
		}
		if l.other[n][c] == inOpen {
			return true
		}
	}
	return false
}

// reach classifies at height z and turns the free cells that have a way out
// into open ones.
func (l *level) reach(class []cell, z float64) {
	l.classify(class, z)
	keep := l.thin
	mine := l.thins
	l.thins = l.spare
	l.markThin(class, [4]int{1, 1, l.nx - 2, l.ny - 2})
	var free []int32
	for c, v := range class {
		if v == inShadow {
			free = append(free, int32(c))
		}
	}
	done := make([]bool, len(class))
	l.flood(class, free, done)
	for c, d := range done {
		if d {
			class[c] = inOpen
		}
	}
	l.spare, l.thins, l.thin = l.thins, mine, keep
}

// flood marks in seen those of the free cells that have a way to an open cell.
func (l *level) flood(class []cell, free []int32, seen []bool) {
	step := l.steps()
	stack := l.stack[:0]
	for _, c := range free {
		for n, d := range step {
			if class[c+d] == inOpen && !walled(class, l.nx, c, n) {
				seen[c] = true
				stack = append(stack, c)
				break
			}
		}
	}
	for len(stack) > 0 {
		c := stack[len(stack)-1]
		stack = stack[:len(stack)-1]
		thin := l.thin != nil && l.thin[c]
		for n, d := range step {
			e := c + d
			if class[e] != inShadow || seen[e] || thin && !l.thin[e] || walled(class, l.nx, c, n) {
				continue
			}
			seen[e] = true
			stack = append(stack, e)
		}
	}
	l.stack = stack
}

// walled reports whether S stands on both sides of the n-th step from a cell, which
// touches the next by a corner: a wall that is one column thick is whole there.
func walled(class []cell, nx int, c int32, n int) bool {
	d := around8[n]
	return n >= 4 && class[int(c)+d[0]] == inSolid && class[int(c)+d[1]*nx] == inSolid
}

// steps are the index steps to the eight cells round one.
func (l *level) steps() (out [8]int32) {
	for n, d := range around8 {
		out[n] = int32(d[1]*l.nx + d[0])
	}
	return out
}

// leastRadius is the radius of the least disc, in cells, that columns tell from
// none. Judgement of this program.
const leastRadius = 0.75

// markThin marks the free cells of the box that no disc as wide as the web
// fits over: rubber there is no way out for wider rubber. It reports whether
// the field resolves such a width at all.
func (l *level) markThin(class []cell, box [4]int) bool {
	wide := l.s.narrow
	switch l.webs {
	case webWide:
		wide -= l.s.f.Cell
	case webNarrow:
		wide += l.s.f.Cell
	}
	r := wide / 2 / (l.s.f.Cell * float64(l.stride))
	if l.webs == webNarrow && l.s.narrow > 0 {
		r = max(r, leastRadius)
	}
	if r < leastRadius {
		l.thin = nil // thinner than the field resolves
		return false
	}
	l.markUnder(class, box, r)
	return true
}

// markUnder is markThin for a disc of a radius in cells.
func (l *level) markUnder(class []cell, box [4]int, r float64) {
	x0, y0, x1, y1 := box[0], box[1], box[2], box[3]
	m := int(r) + 3
	x0, y0, x1, y1 = max(x0-m, 0), max(y0-m, 0), min(x1+m, l.nx-1), min(y1+m, l.ny-1)
	w, h := x1-x0+1, y1-y0+1
	if l.thins == nil {
		l.thins = make([]bool, l.nx*l.ny)
	}
	l.thin = l.thins
	marks, wide := l.discs.Marks(w, h), (w+63)/64
	for j := range h {
		row, to := class[(j+y0)*l.nx+x0:(j+y0)*l.nx+x1+1], marks[j*wide:(j+1)*wide]
		for i, v := range row {
			if v == inSolid {
				to[i>>6] |= 1 << (i & 63)
			}
		}
	}
	// Where the disc's middle may be: no solid lies nearer than its radius. What none
	// of those discs reaches is thin.
	core := (r + 0.5) * (r + 0.5)
	l.discs.Grow(w, h, int(math.Ceil(core))-1)
	l.discs.Invert(w, h)
	l.discs.Grow(w, h, int(core))
	for j := range h {
		row, from := l.thin[(j+y0)*l.nx+x0:(j+y0)*l.nx+x1+1], l.discs.Row(w, j)
		for i := range row {
			row[i] = from[i>>6]>>(i&63)&1 == 0
		}
	}
}
