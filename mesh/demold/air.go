package demold

import (
	"cmp"
	"context"
	"math"
	"slices"

	"moldtally/mesh"
	"moldtally/mesh/demold/scene"
	"moldtally/mesh/dexel"
	"moldtally/mesh/par"
)

// vessel is a space of columns that a liquid fills from below, each node a
// stretch of one column: the gaps of rubber for the rubber pour, the spans of
// S for the casting pour. Heights grow the way air rises while the vessel
// stands level, relative to a reference, mm.
//
// Tilted, the same columns serve: what is level then rises evenly from column
// to column, so a point is as high as its level height plus the lean of its
// column. Volumes do not change by that, and nothing is cast anew.
type vessel struct {
	nx, ny int
	cell   float64   // mm
	off    []int32   // per column: its first node; one more at the end
	lo, hi []float32 // per node; lo >= hi: no node
	tops   []float32 // per column: above this the space is open to the sky; nil = nowhere
	mouth  float32   // nodes that reach this height are open to the air; +Inf = none
	part   []int32   // per node: its connected part, where air leaves at each one's highest place; nil = no sprue
	parts  int
	shut   bool    // closed all round but for its sprue: it sets as it leans
	rim    float32 // height of the vessel's rim, standing level; +Inf = as high as it need be
	brim   []place // columns under the rim
	eps    float32
}

// lean is how much higher the next column along i and along j stands, mm.
type lean struct{ i, j float32 }

func (l lean) at(i, j int32) float32 { return l.i*float32(i) + l.j*float32(j) }

// around returns the columns next to (i, j), with how much lower than it each
// of them stands.
func (v *vessel) around(i, j int32, l lean, yield func(x, y int32, drop float32)) {
	for _, d := range around8 {
		x, y := i+int32(d[0]), j+int32(d[1])
		if x >= 0 && y >= 0 && int(x) < v.nx && int(y) < v.ny {
			yield(x, y, -l.i*float32(d[0])-l.j*float32(d[1]))
		}
	}
}

func (v *vessel) column(i, j int32) (from, to int32) {
	k := int(j)*v.nx + int(i)
	return v.off[k], v.off[k+1]
}

// place is a node with its column.
type place struct{ n, i, j int32 }

// free returns the nodes whose air gets out by itself: those beside open space,
// at the mouth, or at a sprue.
func (v *vessel) free(l lean) []place {
	var out []place
	var peak []float32
	if v.part != nil {
		peak = make([]float32, v.parts)
		for k := range peak {
			peak[k] = float32(math.Inf(-1))
		}
		v.each(func(p place) { peak[v.part[p.n]] = max(peak[v.part[p.n]], v.hi[p.n]+l.at(p.i, p.j)) })
	}
	v.each(func(p place) {
		z := v.hi[p.n]
		open := z >= v.mouth || peak != nil && z+l.at(p.i, p.j) >= peak[v.part[p.n]]-v.eps
		if !open && v.tops != nil {
			v.around(p.i, p.j, l, func(x, y int32, _ float32) { open = open || v.tops[int(y)*v.nx+int(x)] < z-v.eps })
		}
		if open {
			out = append(out, p)
		}
	})
	return out
}

// each calls f for every node, in order.
func (v *vessel) each(f func(p place)) {
	for j := range int32(v.ny) {
		for i := range int32(v.nx) {
			n, to := v.column(i, j)
			for ; n < to; n++ {
				if v.lo[n] < v.hi[n] {
					f(place{n, i, j})
				}
			}
		}
	}
}

// climb returns, for every node, the level height from which air stays caught
// in it: lower down it gets out along a way that never descends.
//
// It is a widest path: air goes from a node to one beside it as high as both
// reach, and what a chain lets through is the least ceiling on it. Air that
// enters a neighbour must get out from the height it enters at.
func (v *vessel) climb(l lean) (rest []float32) {
	// With the lean, so that going there and back gives the same bits.
	escape := make([]float32, len(v.lo))
	for n := range escape {
		escape[n] = float32(math.Inf(-1))
	}
	stack := v.free(l)
	for _, p := range stack {
		escape[p.n] = v.hi[p.n] + l.at(p.i, p.j)
	}
	// A node that empties altogether hands on its own ceiling; one that does
	// not hands on what it was given. So the heap need hold only emptied nodes
	// beside others that stay partly full, and those only when all that empties
	// by itself has been found.
	var border []place
	var later bubbleHeap
	// from hands on what p lets out; where p is emptied, to nodes that it does
	// not empty only if part is set. It reports whether it left any out.
	from := func(p place, part bool) (rest bool) {
		lo, hi, out := v.lo[p.n], v.hi[p.n], escape[p.n]
		part = part || out < hi+l.at(p.i, p.j)
		for _, d := range around8 {
			x, y := p.i+int32(d[0]), p.j+int32(d[1])
			if x < 0 || y < 0 || int(x) >= v.nx || int(y) >= v.ny {
				continue
			}
			up := l.at(x, y)
			n, to := v.column(x, y)
			for ; n < to; n++ {
				top := v.hi[n] + up
				if escape[n] >= top || max(v.lo[n], lo) >= min(v.hi[n], hi) {
					continue
				}
				e := min(top, out)
				if e < v.lo[n]+up-v.eps || e <= escape[n] {
					continue
				}
				if e < top && !part {
					rest = true
					continue
				}
				escape[n] = e
				stack = append(stack, place{n, x, y})
			}
		}
		return rest
	}
	for {
		for len(stack) > 0 {
			p := stack[len(stack)-1]
			stack = stack[:len(stack)-1]
			if from(p, false) {
				border = append(border, p)
			}
		}
		for _, p := range border {
			if from(p, false) {
				later.push(bubble{p, escape[p.n]})
			}
		}
		border = border[:0]
		if len(later) == 0 {
			break
		}
		from(later.pop().place, true)
	}
	v.each(func(p place) { escape[p.n] = max(escape[p.n]-l.at(p.i, p.j), v.lo[p.n]) })
	return escape
}

// lip is how high a liquid can stand in the leaning vessel before it spills.
func (v *vessel) lip(l lean) float32 { return v.rim + v.low(l) }

// low is the lean of the brim's lowest column.
func (v *vessel) low(l lean) float32 {
	low := float32(math.Inf(1))
	for _, p := range v.brim {
		low = min(low, l.at(p.i, p.j))
	}
	return low
}

// settled returns the heights from which air stays caught in each node when the
// vessel is filled leaning, as far as it holds, then set level and filled up.
// Air gets out where either position lets it; what the leaning liquid does not
// cover is as it would be without the lean. level is climb's answer for no
// lean. A vessel shut all round is not set level again.
func (v *vessel) settled(level []float32, l lean) []float32 {
	rest := v.climb(l)
	if v.shut {
		return rest
	}
	lip := v.lip(l)
	v.each(func(p place) { rest[p.n] = max(level[p.n], min(rest[p.n], lip-l.at(p.i, p.j))) })
	return rest
}

// bubble is a place with the height its air escapes below, lean included.
type bubble struct {
	place
	e float32
}

// bubbleHeap pops the highest escape first, then the first place.
type bubbleHeap []bubble

func (h bubbleHeap) before(a, b int) bool {
	if h[a].e != h[b].e {
		return h[a].e > h[b].e
	}
	return h[a].n < h[b].n
}

func (h *bubbleHeap) push(b bubble) {
	*h = append(*h, b)
	q := *h
	for k := len(q) - 1; k > 0 && q.before(k, (k-1)/2); k = (k - 1) / 2 {
		q[k], q[(k-1)/2] = q[(k-1)/2], q[k]
	}
}

func (h *bubbleHeap) pop() bubble {
	q := *h
	top, last := q[0], len(q)-1
	q[0] = q[last]
	q = q[:last]
	*h = q
	for k := 0; ; {
		m := 2*k + 1
		if m >= last {
			return top
		}
		if m+1 < last && q.before(m+1, m) {
			m++
		}
		if !q.before(m, k) {
			return top
		}
		q[k], q[m] = q[m], q[k]
		k = m
	}
}

// trap is a pocket of caught air: its volume, where in it the air sits last,
// and how far the air stands above the lip.
type trap struct {
	volume float64
	top    place
	rise   float32
	nodes  []place
}

// traps gathers the air above rest into pockets, the largest first. Left out is
// what is noise or too small for the columns to tell: less than rise high, or
// nowhere as wide as three columns both ways where wide is asked.
func (v *vessel) traps(rest []float32, l lean, rise float64, wide bool) []trap {
	seen := make([]bool, len(v.lo))
	held := func(n int32) float32 { // height of air caught in a node
		if v.lo[n] >= v.hi[n] {
			return 0
		}
		if h := v.hi[n] - rest[n]; h > v.eps {
			return h
		}
		return 0
	}
	var out []trap
	var stack, part []place
	v.each(func(p place) {
		if seen[p.n] || held(p.n) == 0 {
			return
		}
		seen[p.n] = true
		stack, part = append(stack[:0], p), part[:0]
		var t trap
		roomy := false
		for len(stack) > 0 {
			g := stack[len(stack)-1]
			stack = stack[:len(stack)-1]
			part = append(part, g)
			h := held(g.n)
			t.volume += float64(h)
			t.rise = max(t.rise, h)
			beside := 0
			v.around(g.i, g.j, l, func(x, y int32, drop float32) {
				hit := false
				q, to := v.column(x, y)
				for ; q < to; q++ {
					if held(q) == 0 || min(v.hi[g.n], v.hi[q]-drop) <= max(rest[g.n], rest[q]-drop) {
						continue
					}
					hit = true
					if !seen[q] {
						seen[q] = true
						stack = append(stack, place{q, x, y})
					}
				}
				if hit {
					beside++
				}
			})
			roomy = roomy || beside == len(around8)
		}
		if (roomy || !wide) && float64(t.rise) >= rise {
			t.volume *= v.cell * v.cell
			t.top = v.summit(part, l)
			t.nodes = slices.Clone(part)
			out = append(out, t)
		}
	})
	slices.SortStableFunc(out, func(a, b trap) int { return cmp.Compare(b.volume, a.volume) })
	return out
}

// summit is the highest of the places, the middlemost where several are level.
func (v *vessel) summit(part []place, l lean) place {
	high := float32(math.Inf(-1))
	for _, p := range part {
		high = max(high, v.hi[p.n]+l.at(p.i, p.j))
	}
	var x, y, n float64
	level := func(p place) bool { return v.hi[p.n]+l.at(p.i, p.j) >= high-v.eps }
	for _, p := range part {
		if level(p) {
			x, y, n = x+float64(p.i), y+float64(p.j), n+1
		}
	}
	var best place
	least := math.Inf(1)
	for _, p := range part {
		if !level(p) {
			continue
		}
		d := math.Hypot(float64(p.i)-x/n, float64(p.j)-y/n)
		if d < least || d == least && p.n < best.n {
			best, least = p, d
		}
	}
	return best
}

// join numbers the connected parts of the vessel.
func (v *vessel) join() {
	v.part = make([]int32, len(v.lo))
	for n := range v.part {
		v.part[n] = -1
	}
	var stack []place
	v.each(func(p place) {
		if v.part[p.n] >= 0 {
			return
		}
		id := int32(v.parts)
		v.parts++
		v.part[p.n] = id
		stack = append(stack[:0], p)
		for len(stack) > 0 {
			g := stack[len(stack)-1]
			stack = stack[:len(stack)-1]
			v.around(g.i, g.j, lean{}, func(x, y int32, _ float32) {
				q, to := v.column(x, y)
				for ; q < to; q++ {
					if v.part[q] < 0 && min(v.hi[g.n], v.hi[q]) > max(v.lo[g.n], v.lo[q]) {
						v.part[q] = id
						stack = append(stack, place{q, x, y})
					}
				}
			})
		}
	})
}

// sprues are the highest places of the connected parts, the largest part's
// first; specks have none.
func (v *vessel) sprues(l lean) []place {
	parts := make([][]place, v.parts)
	size := make([]float64, v.parts)
	v.each(func(p place) {
		k := v.part[p.n]
		parts[k] = append(parts[k], p)
		size[k] += float64(v.hi[p.n] - v.lo[p.n])
	})
	order := make([]int, v.parts)
	for k := range order {
		order[k] = k
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(size[b], size[a]) })
	out := make([]place, 0, len(order))
	for _, k := range order {
		if size[k] >= 1e-4*size[order[0]] {
			out = append(out, v.summit(parts[k], l))
		}
	}
	return out
}

// thinned is the vessel with every step-th column of every step-th row, for
// trying many leans fast; at tells the node of v that each node is.
func (v *vessel) thinned(step int32) (w *vessel, at []int32) {
	w = &vessel{cell: v.cell * float64(step), mouth: v.mouth, parts: v.parts, shut: v.shut, rim: v.rim, eps: v.eps, off: []int32{0}}
	for j := step / 2; int(j) < v.ny; j += step {
		w.ny++
		w.nx = 0
		for i := step / 2; int(i) < v.nx; i += step {
			w.nx++
			from, to := v.column(i, j)
			w.lo, w.hi = append(w.lo, v.lo[from:to]...), append(w.hi, v.hi[from:to]...)
			for n := from; n < to; n++ {
				at = append(at, n)
				if v.part != nil {
					w.part = append(w.part, v.part[n])
				}
			}
			w.off = append(w.off, int32(len(w.lo)))
			if v.tops != nil {
				w.tops = append(w.tops, v.tops[int(j)*v.nx+int(i)])
			}
		}
	}
	for _, p := range v.brim {
		w.brim = append(w.brim, place{-1, p.i / step, p.j / step})
	}
	return w, at
}

// pour is one pour into a vessel, and how its columns lie in the file's frame.
type pour struct {
	*vessel
	f    *dexel.Field
	down bool    // heights grow against a.Up
	ref  float64 // height along f's direction from which they are counted, mm
	top  float32 // of the pattern, in the vessel's heights; rubber only
	rep  AirPour
	hold []trap    // what the vessel catches standing level
	rest []float32 // per node, from where; its upper end outside of hold
}

// at is the place of a node's upper end in the file's frame.
func (p *pour) at(a *analysis, t place) [3]float64 {
	z := p.ref + float64(p.hi[t.n])
	if p.down {
		z = p.ref - float64(p.hi[t.n])
	}
	return *scene.Point(p.f, int(t.i), int(t.j), z)
}

// report fills in what is caught in the given traps, with the vents that clear
// them and the sprue.
func (p *pour) report(a *analysis, traps []trap, l lean) {
	p.rep.Left, p.rep.Vents = 0, [][3]float64{}
	for _, t := range traps {
		p.rep.Left += t.volume
		p.rep.Vents = append(p.rep.Vents, p.at(a, t.top))
	}
	if p.part == nil {
		return
	}
	// A part of the cavity that the sprue does not reach takes a vent.
	for k, s := range p.sprues(l) {
		at := p.at(a, s)
		if k == 0 {
			p.rep.SprueAt = &at
		} else {
			p.rep.Vents = append(p.rep.Vents, at)
		}
	}
}

// level finds what the vessel catches standing level.
func (p *pour) level(a *analysis) {
	rest := p.climb(lean{})
	p.hold = p.traps(rest, lean{}, a.Rise(), true)
	p.rest = slices.Clone(p.hi)
	for _, t := range p.hold {
		for _, g := range t.nodes {
			p.rest[g.n] = rest[g.n]
		}
	}
	p.report(a, p.hold, lean{})
	p.rep.Caught, p.rep.Traps = p.rep.Left, len(p.hold)
	if len(p.hold) > 0 {
		at := p.at(a, p.hold[0].top)
		p.rep.At = &at
	}
}

// How far a mold is tipped. Beyond maxTilt a box holds too little to be poured
// and slides off its board; a tilt that leaves over half the air, with vents to
// drill all the same, is no help. Judgement of this program.
const (
	maxTilt   = 45.0  // degrees
	tiltSteps = 5     // tilts tried from level to there, toward every side
	tiltSides = 12    // sides
	worthTilt = 0.5   // of the air caught; what a tilt may leave and still be worth it
	tiltNodes = 8_000 // nodes of the vessel that all sides are tried on
	fineNodes = 40_000
)

// littleAir is the share of the pattern under which caught air is a blemish to
// fill and not worth tipping a mold for. Judgement of this program.
const littleAir = 1e-4

// thinning is the step that leaves about the given number of nodes.
func thinning(nodes, want int) int32 {
	return int32(math.Ceil(math.Sqrt(float64(nodes) / float64(want))))
}

// tilt looks for the least tilt that empties the traps, or the one that leaves
// least: roughly over all sides on a thinned vessel, then finely over all
// columns toward the side found.
func (p *pour) tilt(ctx context.Context, a *analysis) error {
	if p.rep.Caught <= littleAir*a.Field.Volume() {
		return nil
	}
	// With nothing to be ignored, the last drop counts.
	rise := a.Rise()
	if a.Ignore == 0 {
		rise = 0
	}
	e1, e2 := mesh.Basis(a.Up)
	side := func(deg float64) mesh.Vec { // the side that is raised
		sin, cos := math.Sincos(deg * math.Pi / 180)
		return e1.Mul(cos).Add(e2.Mul(sin))
	}
	leans := func(v *vessel, toward, deg float64) lean {
		t, k := side(toward), math.Tan(deg*math.Pi/180)*v.cell
		return lean{float32(k * t.Dot(p.f.E1)), float32(k * t.Dot(p.f.E2))}
	}
	nodes := 0
	p.each(func(place) { nodes++ })
	thin, at := p.thinned(thinning(nodes, tiltNodes))
	level := make([]float32, len(at))
	for n, m := range at {
		level[n] = p.rest[m]
	}
	rough := func(toward, deg float64) float64 {
		l := leans(thin, toward, deg)
		var sum float64
		for _, t := range thin.traps(thin.settled(level, l), l, rise, false) {
			sum += t.volume
		}
		return sum
	}
	const step = maxTilt / tiltSteps
	empty := 0.01 * p.rep.Caught
	var table []float64 // by tilt, then by side
	first := tiltSteps  // the first tilt that empties it toward some side
	for k := 0; k < tiltSteps && first == tiltSteps; k++ {
		row := make([]float64, tiltSides)
		err := par.Each(ctx, tiltSides, func(s int) { row[s] = rough(float64(s)*360/tiltSides, float64(k+1)*step) })
		if err != nil {
			return err
		}
		if slices.Min(row) <= empty {
			first = k
		}
		table = append(table, row...)
	}
	// Of the sides that empty it at the same step, the one that does so first;
	// else the least of all, the smaller tilt where it makes no odds.
	least := func(toward float64, k int) float64 {
		lo, hi := float64(k)*step, float64(k+1)*step
		for range 3 {
			if mid := (lo + hi) / 2; rough(toward, mid) <= empty {
				hi = mid
			} else {
				lo = mid
			}
		}
		return hi
	}
	var toward, deg float64
	if first < tiltSteps {
		tilts := make([]float64, tiltSides)
		err := par.Each(ctx, tiltSides, func(s int) {
			tilts[s] = math.Inf(1)
			if table[first*tiltSides+s] <= empty {
				tilts[s] = least(float64(s)*360/tiltSides, first)
			}
		})
		if err != nil {
			return err
		}
		s := lowest(tilts)
		toward, deg = float64(s)*360/tiltSides, tilts[s]
		for _, d := range [4]float64{-15, 15, -7.5, 7.5} {
			if x := least(toward+d, first); x < deg-1 {
				toward, deg = toward+d, x
			}
		}
	} else {
		slack := slices.Min(table) + 0.02*p.rep.Caught
		best := slices.IndexFunc(table, func(v float64) bool { return v <= slack })
		toward, deg = float64(best%tiltSides)*360/tiltSides, float64(best/tiltSides+1)*step
	}
	if err := ctx.Err(); err != nil {
		return err
	}
	mid, at := p.thinned(thinning(nodes, fineNodes))
	rest := make([]float32, len(at))
	for n, m := range at {
		rest[n] = p.rest[m]
	}
	fine := func(deg float64) []trap {
		l := leans(mid, toward, deg)
		return mid.traps(mid.settled(rest, l), l, rise, true)
	}
	whole := func(deg float64) ([]trap, lean) {
		l := leans(p.vessel, toward, deg)
		return p.traps(p.settled(p.rest, l), l, rise, true), l
	}
	if first < tiltSteps {
		const stride = 2.0
		over, under := math.Inf(1), 0.0 // degrees known to empty it, and known not to
		for deg > under && deg < over && deg <= maxTilt {
			if len(fine(deg)) == 0 {
				over = deg
				deg -= stride
			} else {
				under = deg
				deg += stride
			}
			if err := ctx.Err(); err != nil {
				return err
			}
		}
		for over-under > 0.3 && over <= maxTilt {
			if m := (over + under) / 2; len(fine(m)) == 0 {
				over = m
			} else {
				under = m
			}
		}
		deg = min(over, maxTilt)
	}
	hold, l := whole(deg)
	for k := 0; k < 3 && first < tiltSteps && len(hold) > 0 && deg+0.5 <= maxTilt; k++ {
		deg += 0.5 // what a thinned vessel does not see
		hold, l = whole(deg)
	}
	var left float64
	for _, t := range hold {
		left += t.volume
	}
	if left > worthTilt*p.rep.Caught {
		return nil
	}
	p.report(a, hold, l)
	down := side(toward).Neg().Array()
	p.rep.Tilt, p.rep.Toward = &deg, &down
	if p.rep.Pour == "rubber" {
		over := p.needs(l)
		p.rep.Over = &over
	}
	return nil
}

// needs is how far over the pattern's top the box has to reach for rubber to
// cover, leaning, what would catch air standing level, mm; it is never less than
// the pattern itself needs.
func (p *pour) needs(l lean) float64 {
	high := p.top + p.low(l)
	for _, t := range p.hold {
		for _, g := range t.nodes {
			high = max(high, p.hi[g.n]+l.at(g.i, g.j))
		}
	}
	return float64(high-p.low(l)) - float64(p.top)
}

// lowest is the index of the least value, the first of several.
func lowest(x []float64) int {
	best := 0
	for k := range x {
		if x[k] < x[best] {
			best = k
		}
	}
	return best
}

// findAir reports where the pours catch air: the rubber over the pattern, and
// the casting in the finished mold, and how to tip, vent and feed the mold so
// that they do not. It presumes liquids that fill level and air that rises;
// neither the small bubbles that a pour drags in nor the film of air under a
// level ceiling is counted.
func findAir(ctx context.Context, a *analysis) error {
	var pours []*pour
	for n, h := range a.halves {
		p := a.rubberPour(h)
		p.rep.Half = "whole"
		if len(a.halves) > 1 {
			p.rep.Half = [2]string{"upper", "lower"}[n]
		}
		p.level(a)
		pours = append(pours, p)
		if err := ctx.Err(); err != nil {
			return err
		}
	}
	if a.OnBoard() {
		p := a.castingPour(a.Up.Neg(), true)
		p.level(a)
		pours = append(pours, p)
	} else {
		// Stood on either side, the sprue at the highest place: the way that
		// catches less air.
		var best *pour
		for _, up := range [2]mesh.Vec{a.Up, a.Up.Neg()} {
			p := a.castingPour(up, false)
			p.level(a)
			if best == nil || p.rep.Caught < best.rep.Caught-1e-6*a.Field.Volume() {
				best = p
			}
			if err := ctx.Err(); err != nil {
				return err
			}
		}
		pours = append(pours, best)
	}
	if err := ctx.Err(); err != nil {
		return err
	}
	a.rep.CastUp = pours[len(pours)-1].rep.Up
	a.rep.AirTraps, a.rep.Air = []AirTrap{}, []AirPour{}
	for _, p := range pours {
		for _, t := range p.hold {
			a.rep.AirTraps = append(a.rep.AirTraps, AirTrap{p.rep.Pour, t.volume, p.at(a, t.top)})
		}
		if err := p.tilt(ctx, a); err != nil {
			return err
		}
		a.rep.Air = append(a.rep.Air, p.rep)
	}
	slices.SortStableFunc(a.rep.AirTraps, func(p, q AirTrap) int {
		return cmp.Or(cmp.Compare(q.Pour, p.Pour), cmp.Compare(q.Volume, p.Volume),
			cmp.Compare(p.At[0], q.At[0]), cmp.Compare(p.At[1], q.At[1]), cmp.Compare(p.At[2], q.At[2]))
	})
	return nil
}

// offsets are the first nodes of a field's columns.
func offsets(f *dexel.Field) []int32 {
	out := make([]int32, f.NX*f.NY+1)
	for k := range f.NX * f.NY {
		out[k] = int32(f.Offset(k%f.NX, k/f.NX))
	}
	out[f.NX*f.NY] = int32(f.NumSpans())
	return out
}

// rubberPour is the space under the pattern that rubber rises in. Its rim is
// the box's, which is made as high as it need be.
func (a *analysis) rubberPour(h *half) *pour {
	f := h.f
	n := f.NumSpans()
	inf := float32(math.Inf(1))
	v := &vessel{nx: f.NX, ny: f.NY, cell: f.Cell, off: offsets(f), lo: make([]float32, n), hi: make([]float32, n), tops: h.tops, mouth: inf, rim: inf, eps: a.airEps()}
	for j := range f.NY {
		first, last := -1, -1
		for i := range f.NX {
			col, off := f.Column(i, j), f.Offset(i, j)
			if len(col) > 0 {
				if last = i; first < 0 {
					first = i
				}
			}
			for k := range col {
				if lo, hi, ok := h.piece(col, off, k); ok {
					v.lo[off+k], v.hi[off+k] = float32(lo-h.ref), float32(hi-h.ref)
				}
			}
		}
		if first >= 0 {
			v.brim = append(v.brim, place{-1, int32(first), int32(j)}, place{-1, int32(last), int32(j)})
		}
	}
	top := a.Top
	if h.up != a.Up {
		top = -a.Base
	}
	return &pour{vessel: v, f: f, ref: h.ref, top: float32(top - h.ref), rep: AirPour{Pour: "rubber", Up: h.up.Array()}}
}

// airEps is how far two heights in a vessel may differ and be one, mm: heights
// are 32-bit and, leaning, as large as the pattern.
func (a *analysis) airEps() float32 { return float32(max(a.Eps, 1e-6*a.Size)) }

// castingPour is the mold's cavity with the given direction up. With a mouth,
// air leaves where the cavity is open at the clay line; without, at the highest
// place of each connected part, where its sprue stands.
func (a *analysis) castingPour(up mesh.Vec, mouth bool) *pour {
	f := a.Field
	n := f.NumSpans()
	inf := float32(math.Inf(1))
	v := &vessel{nx: f.NX, ny: f.NY, cell: f.Cell, off: offsets(f), lo: make([]float32, n), hi: make([]float32, n), mouth: inf, rim: inf, shut: !mouth, eps: a.airEps()}
	p := &pour{vessel: v, f: f, down: up != a.Up, ref: a.Base, rep: AirPour{Pour: "casting", Half: "whole", Up: up.Array()}}
	if p.down {
		p.ref = a.Top
	}
	for j := range f.NY {
		for i := range f.NX {
			col, off := f.Column(i, j), f.Offset(i, j)
			for k := range col {
				if p.down {
					v.lo[off+k], v.hi[off+k] = float32(a.Top-col[k].Top), float32(a.Top-col[k].Bottom)
				} else {
					v.lo[off+k], v.hi[off+k] = float32(col[k].Bottom-a.Base), float32(col[k].Top-a.Base)
				}
			}
		}
	}
	if !mouth {
		v.join()
		return p
	}
	v.mouth = float32(a.Top - a.ClayLine() - a.Eps)
	v.rim = v.mouth
	v.each(func(p place) {
		if v.hi[p.n] >= v.mouth {
			v.brim = append(v.brim, p)
		}
	})
	return p
}
