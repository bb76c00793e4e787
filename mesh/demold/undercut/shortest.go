package undercut

import "math"

// shortestWays finds the shortest way of every cell of l.cells to an open cell. Each
// cell keeps the anchor it sees, an open cell or a cell at a corner of S, and
// hands it on; the line is checked when the cell's turn comes, and where it is
// blocked the cell bends round a neighbour instead. So straight ways are
// exact and a bend costs less than a cell. After A. Nash, S. Koenig, C. Tovey,
// "Lazy Theta*: Any-Angle Path Planning and Path Length Analysis in 3D", AAAI
// 2010 (recalled, not opened), with the nearest exits as one source and a
// bucket queue.
func (l *level) shortestWays() {
	for n := range l.queue {
		l.queue[n] = l.queue[n][:0]
	}
	l.startWays()
	for b := 0; b < len(l.queue); b++ {
		for n := 0; n < len(l.queue[b]); n++ {
			c := l.queue[b][n]
			if !l.wait[c] {
				continue // done from an earlier bucket
			}
			l.wait[c] = false
			if !l.sure[c] {
				seen := l.sees(l.anchor[c], c)
				if !seen {
					l.bend(c)
				}
				l.sure[c] = true
				if !seen && int(2*l.dist[c]) > b {
					if l.anchor[c] >= 0 {
						l.push(c, b)
					}
					continue
				}
			}
			l.handOn(c, b)
		}
		l.queue[b] = l.queue[b][:0]
	}
}

// push queues a cell by its length, in no bucket before b.
func (l *level) push(c int32, b int) {
	at := max(int(2*l.dist[c]), b)
	for at >= len(l.queue) {
		l.queue = append(l.queue, nil)
	}
	l.queue[at] = append(l.queue[at], c)
	l.wait[c] = true
}

// startWays gives the cells beside an open one their step to it.
func (l *level) startWays() {
	for _, c := range l.cells {
		i, j := int(c)%l.nx, int(c)/l.nx
		for n, d := range around8 {
			e := int32((j+d[1])*l.nx + i + d[0])
			if l.class[e] != inOpen || walled(l.class, l.nx, c, n) {
				continue
			}
			w, left := float32(1), float32(0)
			if n >= 4 {
				w = math.Sqrt2
			}
			if l.entry != nil {
				left = l.entry[e]
			}
			if w+left < l.dist[c] {
				l.dist[c], l.anchor[c], l.base[c], l.sure[c] = w+left, e, left, true
			}
		}
		if l.anchor[c] >= 0 {
			l.push(c, 0)
		}
	}
}

// handOn offers c's anchor to the cells round it; b is the bucket at work.
func (l *level) handOn(c int32, b int) {
	thin := l.thin != nil && l.thin[c]
	a, base, nx := l.anchor[c], l.base[c], int32(l.nx)
	away := [2]int32{c%nx - a%nx, c/nx - a/nx}
	for n, step := range l.steps() {
		e := c + step
		if l.class[e] != inShadow || thin && !l.thin[e] || walled(l.class, l.nx, c, n) {
			continue
		}
		dx, dy := float64(away[0]+int32(around8[n][0])), float64(away[1]+int32(around8[n][1]))
		v := base + float32(math.Sqrt(dx*dx+dy*dy))
		if v < l.dist[e]-1e-3 {
			// A cell that had its turn takes only what it can see, so
			// that lengths but fall and the work ends.
			done := l.sure[e] && !l.wait[e]
			if done && !l.sees(l.anchor[c], e) {
				continue
			}
			l.dist[e], l.anchor[e], l.base[e], l.sure[e] = v, l.anchor[c], l.base[c], done
			l.push(e, b)
		}
	}
}

// bend gives c the best way through a neighbour that has one.
func (l *level) bend(c int32) {
	i, j := int(c)%l.nx, int(c)/l.nx
	wide := l.thin != nil && !l.thin[c]
	best, at, base := float32(math.Inf(1)), int32(-1), float32(0)
	for n, d := range around8 {
		e := int32((j+d[1])*l.nx + i + d[0])
		if l.class[e] != inShadow || !l.sure[e] || wide && l.thin[e] || walled(l.class, l.nx, c, n) {
			continue
		}
		step := float32(1)
		if n >= 4 {
			step = math.Sqrt2
		}
		a := l.anchor[e]
		dx, dy := float64(i-int(a)%l.nx), float64(j-int(a)/l.nx)
		if v := l.base[e] + float32(math.Sqrt(dx*dx+dy*dy)); v < best && l.sees(a, c) {
			best, at, base = v, a, l.base[e]
		}
		if v := l.dist[e] + step; v < best {
			best, at, base = v, e, l.dist[e]
		}
	}
	l.dist[c], l.anchor[c], l.base[c] = best, at, base
}

// sees reports whether the straight line between two cells stays out of S (and
// for a cell in wide rubber, out of narrow passages).
func (l *level) sees(a, c int32) bool {
	i, j := int(a)%l.nx, int(a)/l.nx
	dx, dy := int(c)%l.nx-i, int(c)/l.nx-j
	steps := max(abs(dx), abs(dy))
	wide := l.thin != nil && !l.thin[c]
	px, py := int64(i)<<32+1<<31, int64(j)<<32+1<<31
	sx, sy := int64(dx)<<32/int64(max(steps, 1)), int64(dy)<<32/int64(max(steps, 1))
	// A step to a cell that touches by a corner, and its sides: see walled.
	right, up := sign(dx), sign(dy)*l.nx
	for t, last := 1, int(a); t <= steps; t++ {
		px, py = px+sx, py+sy
		e := int(py>>32)*l.nx + int(px>>32)
		if e-last == right+up && l.class[last+right] == inSolid && l.class[last+up] == inSolid {
			return false
		}
		if last = e; t == steps {
			break
		}
		switch l.class[e] {
		case inSolid:
			return false
		case inShadow:
			if wide && l.thin[e] {
				return false
			}
		}
	}
	return true
}

func sign(x int) int { return min(max(x, -1), 1) }
