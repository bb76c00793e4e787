package demold

import (
	"math"

	"moldtally/mesh/demold/scene"
	"moldtally/mesh/grid"
)

// What a column is at one height.
const (
	cellSolid uint8 = iota
	cellFree        // rubber with S above it
	cellOpen        // rubber with nothing above it
)

// level solves the ways out at one height, over every stride-th column. Its
// arrays are scratch.
type level struct {
	s        *shadow
	stride   int
	nx, ny   int
	class    []uint8
	other    [2][]uint8 // class below and above, with what reaches the open marked
	have     [2]bool
	comp     []int32 // component number, of cellFree cells; 0 = not yet
	way      []uint8 // per component: what it is
	suspect  bool    // not asked for locks, it met what looks like one
	thin     []bool  // narrower than a web; nil = no cell is
	thins    []bool
	spare    []bool
	seen     []bool // has a way out that no narrow passage breaks
	dist     []float32
	base     []float32 // dist at the anchor
	anchor   []int32
	sure     []bool // the line from the anchor was checked
	wait     []bool // in the queue
	cells    []int32
	stack    []int32
	queue    [][]int32
	d2       []int32 // squared distances, cells
	envelope grid.Envelope
}

// levels keeps scratch for reuse.
type levels struct {
	s      *shadow
	stride int
	free   chan *level
}

func newLevels(s *shadow, stride int) *levels { return &levels{s, stride, make(chan *level, 64)} }

func (p *levels) take() *level {
	select {
	case l := <-p.free:
		return l
	default:
		return newLevel(p.s, p.stride)
	}
}

func (p *levels) give(l *level) {
	select {
	case p.free <- l:
	default:
	}
}

func newLevel(s *shadow, stride int) *level {
	nx, ny := (s.f.NX+stride-1)/stride, (s.f.NY+stride-1)/stride
	n := nx * ny
	return &level{s: s, stride: stride, nx: nx, ny: ny, class: make([]uint8, n), comp: make([]int32, n)}
}

// classify fills class for a height.
func (l *level) classify(class []uint8, h float64) {
	s := l.s
	z := s.open(h)
	for y := range l.ny {
		j := y * l.stride
		for x := range l.nx {
			i := x * l.stride
			if s.tops[j*s.f.NX+i] <= z {
				class[y*l.nx+x] = cellOpen
				continue
			}
			col := s.f.Column(i, j)
			v := cellSolid
			for k := range col {
				if col[k].Top > h {
					if col[k].Bottom > h && s.rubber.Fill[s.f.Offset(i, j)+k] == scene.Rubber {
						v = cellFree
					}
					break
				}
			}
			class[y*l.nx+x] = v
		}
	}
}

// value is the path of one hard stretch at a level, mm.
type value struct {
	hard int
	d    float32
}

var around8 = [8][2]int{{-1, 0}, {1, 0}, {0, -1}, {0, 1}, {-1, -1}, {1, -1}, {-1, 1}, {1, 1}}

// What solve is asked for, and what a component is.
const (
	onlyLocked uint8 = 1 << iota
	onlyFree
)

const (
	wayOut    uint8 = iota // its ways out are solved
	wayLocked              // it has none
	wayNoise               // it has none, but is noise
	wayWeb                 // part of it has none but through narrow passages
	wayLeft                // not asked for
)

// solve returns the path at height h of every hard stretch that h meets:
// with onlyLocked those without a way out (+Inf), with onlyFree the others.
func (l *level) solve(h float64, hs []hard, rise, narrow float64, ask uint8) []value {
	var meets []int
	for n, x := range hs {
		if x.lo <= h && h < x.hi {
			meets = append(meets, n)
		}
	}
	if len(meets) == 0 {
		return nil
	}
	if l.dist == nil && ask&onlyFree != 0 {
		n := l.nx * l.ny
		l.dist, l.base, l.anchor = make([]float32, n), make([]float32, n), make([]int32, n)
		l.sure, l.wait = make([]bool, n), make([]bool, n)
	}
	l.classify(l.class, h)
	clear(l.comp)
	l.have = [2]bool{}
	l.suspect = false
	l.way = append(l.way[:0], wayLeft) // component 0 is none
	vals := make([]value, 0, len(meets))
	inf := float32(math.Inf(1))
	for _, n := range meets {
		x, y := int(hs[n].i), int(hs[n].j)
		best := inf
		// The cells round the column: itself at full resolution.
		for v := y / l.stride; v <= (y+l.stride-1)/l.stride; v++ {
			for u := x / l.stride; u <= (x+l.stride-1)/l.stride; u++ {
				if u >= l.nx || v >= l.ny {
					continue
				}
				c := int32(v*l.nx + u)
				if l.class[c] != cellFree {
					continue
				}
				if l.comp[c] == 0 {
					id := int32(len(l.way))
					l.way = append(l.way, wayLeft)
					l.way[id] = l.component(c, id, h, rise, narrow, ask)
				}
				switch l.way[l.comp[c]] {
				case wayLocked:
					if ask&onlyLocked != 0 {
						vals = append(vals, value{n, inf})
					}
				case wayWeb:
					if !l.seen[c] && !l.noise(c, h, rise, narrow) {
						vals = append(vals, value{n, inf})
					}
				case wayOut:
					if math.IsInf(float64(l.dist[c]), 1) {
						l.suspect = true
						continue // shut off by narrow passages: see wayWeb
					}
					a := l.anchor[c]
					dx := float64(x - int(a)%l.nx*l.stride)
					dy := float64(y - int(a)/l.nx*l.stride)
					best = min(best, l.base[c]*float32(l.stride)+float32(math.Sqrt(dx*dx+dy*dy)))
				}
			}
		}
		if best < inf {
			vals = append(vals, value{n, best * float32(l.s.f.Cell)})
		}
	}
	return vals
}

// component floods the free cells round c and solves the ways out of them.
func (l *level) component(c, id int32, h, rise, narrow float64, ask uint8) uint8 {
	l.cells = append(l.cells[:0], c)
	l.comp[c] = id
	exits := false
	x0, y0, x1, y1 := l.nx, l.ny, 0, 0
	step := l.steps()
	for n := 0; n < len(l.cells); n++ {
		at := l.cells[n]
		i, j := int(at)%l.nx, int(at)/l.nx
		x0, y0, x1, y1 = min(x0, i), min(y0, j), max(x1, i), max(y1, j)
		for _, d := range step {
			// The grid's margin is open, so a free cell has all neighbours.
			e := at + d
			switch l.class[e] {
			case cellOpen:
				exits = true
			case cellFree:
				if l.comp[e] == 0 {
					l.comp[e] = id
					l.cells = append(l.cells, e)
				}
			}
		}
	}
	if !exits {
		if ask&onlyLocked == 0 {
			l.suspect = true
			return wayLeft
		}
		return l.shut(h, rise, narrow)
	}
	if ask&onlyFree == 0 {
		return l.webbed(x0, y0, x1, y1, narrow)
	}
	inf := float32(math.Inf(1))
	for _, e := range l.cells {
		l.dist[e], l.anchor[e], l.sure[e], l.wait[e] = inf, -1, false, false
	}
	l.markThin(l.class, x0, y0, x1, y1, narrow)
	l.shortestWays()
	return wayOut
}
