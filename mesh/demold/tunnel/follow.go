package tunnel

import (
	"math"

	"moldtally/mesh"
)

// course is a passage from mouth to mouth.
type course struct {
	web    crossSection
	middle mesh.Vec
	length float64
	axis   mesh.Vec // from the middles of two sections; 0 = too short to tell
}

// station is a section of a passage; s is how far along it is.
type station struct {
	s         float64
	n         mesh.Vec
	seed, mid mesh.Vec
	area      float64
}

const (
	mostTurns    = 16   // how often a passage is followed round a corner either way
	mostStations = 4000 // tries to go on, either way
)

// follow goes along a passage both ways from a cross-section until the plane
// across is no longer closed all round.
func (sl *cutter) follow(c crossSection, cell float64) course {
	size := max(c.hi.X-c.lo.X, c.hi.Y-c.lo.Y)
	step := min(cell, size/8)
	ahead, back := sl.run(c, 1, step, size), sl.run(c, -1, step, size)
	all := make([]station, 0, len(ahead)+len(back)+1)
	for k := len(back) - 1; k >= 0; k-- {
		b := back[k]
		b.s, b.n = -b.s, b.n.Neg()
		all = append(all, b)
	}
	begin := station{0, c.n, c.point(c.seed), c.point(c.center), c.area}
	all = append(all, begin)
	all = append(all, ahead...)
	first, last := all[0].s, all[len(all)-1].s
	half := (first + last) / 2
	least := math.Inf(1)
	for _, t := range all {
		least = min(least, t.area)
	}
	// The web: the least section, or, where many are as small, the one nearest
	// the middle.
	m, w := nearestTo(half, all, math.Inf(1)), nearestTo(half, all, 1.005*least)
	at := w.s
	if w.s == m.s {
		at = half
	}
	way := course{middle: m.mid.Add(m.n.Mul(half - m.s)), length: last - first}
	if q := len(all) / 4; q > 0 {
		if axis := all[len(all)-1-q].mid.Sub(all[q].mid); axis.Len() > step {
			way.axis = axis.Unit()
		}
	}
	w.seed = w.seed.Add(w.n.Mul(at - w.s))
	way.web = sl.cutFinely(w, begin, size) // the last cut owns the rows
	return way
}

// nearestTo is the station nearest to a place along the passage, of those whose
// area is no more than most.
func nearestTo(s float64, all []station, most float64) station {
	best := station{s: math.Inf(1)}
	for _, t := range all {
		if t.area <= most && math.Abs(t.s-s) < math.Abs(best.s-s) {
			best = t
		}
	}
	return best
}

// cutFinely cuts at a station again, with fine rows; where that does not close,
// at another.
func (sl *cutter) cutFinely(t, other station, size float64) crossSection {
	for _, t := range [2]station{t, other} {
		for reach := 1.2 * size; reach < 20*size; reach *= 2 {
			q, ok := sl.cut(t.seed, t.n, reach, rows)
			if !ok {
				break
			}
			if q.shut {
				coarse := q
				if sl.finer(&q, reach, rowsFine) && q.shut {
					return q
				}
				return coarse
			}
		}
	}
	return crossSection{n: other.n}
}

// run goes along a passage from a cross-section, with its normal (sign 1) or
// against it, step by step, by halves of a step up to the mouth. Where the
// middle of the sections strays from the plane's normal the plane is turned
// after it. size is that of the first section.
func (sl *cutter) run(c crossSection, sign, step, size float64) (out []station) {
	at := c
	n := c.n.Mul(sign)
	s, h, turns := 0.0, step, 0
	aim, aimS := c.point(c.center), 0.0 // where the plane was last turned
	for range mostStations {
		next, reach, ok := sl.next(at, n, h)
		if !ok || !next.near() || next.area > 3*at.area {
			if h > 1e-4*max(step, size/100) {
				h /= 2
				continue
			}
			// It may end at a wall, and go on round a corner.
			if turns == mostTurns {
				break
			}
			if next, ok = sl.corner(at, n, step, 2*c.area); !ok {
				break
			}
			turns++
			n, h = next.n, step
			aim, aimS = next.point(next.center), s+h
		}
		s += h
		mid := next.point(next.center)
		out = append(out, station{s, n, next.point(next.seed), mid, next.area})
		at = next
		if h < step || s-aimS < 3*step {
			continue // close to the mouth: halve on, never grow again
		}
		t := mid.Sub(aim)
		if l := t.Len(); l > 0 && t.Dot(n) < l*math.Cos(15*math.Pi/180) {
			n = n.Mul(0.6).Add(t.Mul(0.4 / l)).Unit()
			if q, ok := sl.cut(at.point(at.seed), n, reach, rows); ok && q.shut {
				at = q
				mid = at.point(at.center)
			}
		}
		aim, aimS = mid, s
	}
	return out
}

// next cuts a step h on along n from a cross-section, and farther out where it
// may only have grown past the reach, which it returns.
func (sl *cutter) next(at crossSection, n mesh.Vec, h float64) (next crossSection, reach float64, ok bool) {
	o := at.point(at.seed).Add(n.Mul(h))
	reach = 1.2 * (max(at.hi.X-at.lo.X, at.hi.Y-at.lo.Y) + 4*h)
	next, ok = sl.cut(o, n, reach, rows)
	if ok && !next.shut {
		next, ok = sl.cut(o, n, 3*reach, 2*rows)
	}
	return next, reach, ok
}

// corner looks for the way on where a passage that ran along n ends at a wall:
// a plane a step on, leaning, that is closed all round and not much larger.
func (sl *cutter) corner(at crossSection, n mesh.Vec, step, most float64) (best crossSection, ok bool) {
	e1, e2 := mesh.Basis(n)
	reach := 1.2 * (max(at.hi.X-at.lo.X, at.hi.Y-at.lo.Y) + 4*step)
	for tilt := 10.0; tilt <= 60 && !ok; tilt += 10 {
		st, ct := math.Sincos(tilt * math.Pi / 180)
		for k := range 16 {
			s, c := math.Sincos(2 * math.Pi * float64(k) / 16)
			m := n.Mul(ct).Add(e1.Mul(st * c)).Add(e2.Mul(st * s))
			if q, found := sl.cut(at.point(at.seed).Add(m.Mul(step)), m, reach, rows); found && q.near() && q.area < most && (!ok || q.area < best.area) {
				best, ok = q, true
			}
		}
	}
	return best, ok
}
