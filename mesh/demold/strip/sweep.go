package strip

import (
	"math"
	"slices"

	"moldtally/mesh"
	"moldtally/mesh/section"
)

// outline is the section of one component at one level.
type outline struct {
	hull      []mesh.Vec2
	perimeter float64
}

// component is a component during a sweep: its whole sections at all levels
// swept so far, from its first on.
type component struct {
	first  int       // the level it was first met at
	levels []outline // levels[k-first]; an empty hull where it was not met
	widest int       // the level with the largest perimeter
}

func (m *component) most() float64 { return m.levels[m.widest-m.first].perimeter }

// take merges the levels of o into m.
func (m *component) take(o *component) {
	if o.first < m.first {
		*m, *o = *o, *m
	}
	for k, e := range o.levels {
		m.set(o.first+k, e)
	}
}

// set adds a section at level k.
func (m *component) set(k int, e outline) {
	for m.first+len(m.levels) <= k {
		m.levels = append(m.levels, outline{})
	}
	q := &m.levels[k-m.first]
	switch {
	case len(e.hull) == 0:
		return
	case len(q.hull) == 0:
		*q = e
	default:
		q.hull = section.Coarse(section.Hull(slices.Concat(q.hull, e.hull)))
		q.perimeter = max(mesh.PerimeterOf(q.hull), q.perimeter, e.perimeter)
	}
	if q.perimeter > m.most() {
		m.widest = k
	}
}

// pinch is a pair of levels of one component: a narrow one and a wider one
// that has to pass it.
type pinch struct {
	level, wide int // indices into the swept sections
	neck, bulge float64
	id          int32 // a node of the component
}

func (p *pinch) ratio() float64 { return p.bulge / p.neck }

// missed is how many cells of height a component may go without a section
// before it counts as ended there: columns and rings may disagree for a while
// near a saddle.
const missed = 3

// sweep finds, in sections given in the order of a sweep, the component whose
// earlier sections are widest beside its present one.
type sweep struct {
	levels []level
	t      *forest
	node   func(r *ring) int32 // the ring's root in t, -1 = not to be counted
	skip   int32               // a node whose component is left out; -1 = none
	finest float64             // necks below it are not trusted, mm
	least  float64             // bulges below it do not count, mm
	nudge  float64
	joins  func(id int32, m *component) // told of each of two components before they join; nil = nobody asks

	joined     map[int32]int32 // roots that rings have joined, to the root that stands for them
	components map[int32]*component

	worst pinch // largest trusted ratio
	doubt pinch // largest bulge over a neck too fine to trust
}

func (s *sweep) find(n int32) int32 {
	for {
		p, ok := s.joined[n]
		if !ok || p == n {
			return n
		}
		n = p
	}
}

// unite joins the components of nodes x and y.
func (s *sweep) unite(x, y int32) {
	x, y = s.find(x), s.find(y)
	if x == y {
		return
	}
	mx, my := s.components[x], s.components[y]
	switch {
	case mx == nil && my != nil, mx != nil && my != nil && len(my.levels) > len(mx.levels):
		x, y, mx, my = y, x, my, mx
	}
	if mx != nil && my != nil && s.joins != nil {
		s.joins(x, mx)
		s.joins(y, my)
	}
	s.joined[y] = x
	if my != nil {
		mx.take(my)
		delete(s.components, y)
	}
}

// keyAt is the key of a level: just beyond its plane.
func (s *sweep) keyAt(l section.Level) float64 { return s.t.key(l.Beside(s.nudge)) }

// run sweeps and judges every neck.
func (s *sweep) run() {
	s.to(len(s.levels)-1, func(k int) {
		for _, id := range s.ids() {
			s.judge(k, id, s.components[id])
		}
	})
}

// to sweeps up to a level and calls each, where it is not nil, at every one.
func (s *sweep) to(last int, each func(k int)) {
	s.joined = map[int32]int32{}
	s.components = map[int32]*component{}
	for k := range s.levels[:last+1] {
		key := s.keyAt(s.levels[k].Level)
		// Components that have grown together since the last level.
		for _, id := range s.ids() {
			if s.find(id) == id {
				s.unite(s.t.root(id, key), id)
			}
		}
		skip := int32(-1)
		if s.skip >= 0 {
			skip = s.find(s.t.root(s.skip, key))
			delete(s.components, skip)
		}
		s.meet(k, skip)
		if each != nil {
			each(k)
		}
	}
}

// ids are the components, in order.
func (s *sweep) ids() []int32 {
	out := make([]int32, 0, len(s.components))
	for id := range s.components {
		out = append(out, id)
	}
	slices.Sort(out)
	return out
}

// meet adds the rings of a level to their components.
func (s *sweep) meet(k int, skip int32) {
	for r := range s.levels[k].rings {
		g := &s.levels[k].rings[r]
		n := s.node(g)
		if n < 0 {
			continue
		}
		if s.t.gaps {
			if s.find(n) == skip {
				continue
			}
		} else {
			for _, o := range g.also {
				s.unite(n, o)
			}
		}
		n = s.find(n)
		m := s.components[n]
		if m == nil {
			m = &component{first: k, levels: []outline{{}}, widest: k}
			s.components[n] = m
		}
		m.set(k, outline{g.hull, g.perimeter})
	}
}

// judge compares a component's section at level k with its widest.
func (s *sweep) judge(k int, id int32, m *component) {
	bulge := m.most()
	var neck float64
	met := false
	if i := k - m.first; i < len(m.levels) {
		neck = m.levels[i].perimeter
		met = len(m.levels[i].hull) > 0 // a point has a hull, but no perimeter
	}
	if !met {
		last := m.first + len(m.levels) - 1
		if math.Abs(s.levels[last].H-s.levels[k].H) < missed*s.t.f.Cell {
			return
		}
	}
	if bulge <= neck || bulge < s.least {
		return
	}
	p := pinch{level: k, wide: m.widest, neck: neck, bulge: bulge, id: id}
	// A neck below what can be trusted makes the answer unknown, unless its
	// bulge is as small: then it is the tip of something that fine.
	if neck < s.finest || neck == 0 {
		if bulge > s.doubt.bulge && (bulge > 1.25*s.finest || neck < 0.8*s.finest) {
			s.doubt = p
		}
		return
	}
	if s.worst.neck == 0 || p.ratio() > s.worst.ratio()*(1+1e-9) { // of equals the one met first
		s.worst = p
	}
}

// whole is the hull and the perimeter of a component's section at a level; root
// is the component's at the key.
func (s *sweep) whole(l *level, root int32, key float64) outline {
	var pts []mesh.Vec2
	var one float64
	rings := 0
	for r := range l.rings {
		n := s.node(&l.rings[r])
		if n < 0 || s.t.root(n, key) != root && s.find(n) != s.find(root) {
			continue
		}
		pts = append(pts, l.rings[r].hull...)
		one = l.rings[r].perimeter
		rings++
	}
	if rings < 2 {
		return outline{pts, one}
	}
	h := section.Hull(pts)
	return outline{h, max(mesh.PerimeterOf(h), one)}
}
