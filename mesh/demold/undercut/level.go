package undercut

import (
	"math"

	"moldtally/mesh/demold/scene"
	"moldtally/mesh/grid"
)

// cell is what a column is at one height.
type cell uint8

const (
	inSolid  cell = iota
	inShadow      // rubber with S above it
	inOpen        // rubber with nothing above it
)

// level solves the ways out at one height, over every stride-th column. Its
// arrays are scratch.
type level struct {
	s       *shadow
	stride  int
	nx, ny  int
	class   []cell
	other   [2][]cell // class below and above, with what reaches the open marked
	have    [2]bool
	comp    []int32   // component number, of cells in shadow; 0 = not yet
	found   []outcome // per component
	suspect bool      // not asked for locks, it met what looks like one
	webs    webs      // which passages are taken to be wide enough
	thin    []bool    // narrower than a web; nil = no cell is
	thins   []bool    // what thin is kept in
	spare   []bool    // what it is kept in at another height
	seen    []bool    // has a way out that no narrow passage breaks
	dist    []float32 // length of the way out, cells
	base    []float32 // dist at the anchor
	entry   []float32 // what is left of the way at an open cell, cells; nil = nothing
	anchor  []int32   // the last bend of the way out: a cell
	sure    []bool    // the line from the anchor was checked
	wait    []bool    // in the queue
	cells   []int32   // of the component at work
	stack   []int32
	rank    []int32   // of cells that are put in order, else 0; nil = none were
	queue   [][]int32 // by length, in half cells
	discs   grid.Discs
}

// webs says how the width of a passage is taken, which columns tell to within a
// cell: as it is told, or as wide or as narrow as it may be.
type webs int

const (
	webAsTold webs = iota
	webWide        // what may let rubber through does
	webNarrow      // what may be too narrow is
)

// levelPool keeps the scratch of levels for reuse.
type levelPool struct {
	s      *shadow
	stride int
	free   chan *level
}

func newLevelPool(s *shadow, stride int) *levelPool {
	return &levelPool{s, stride, make(chan *level, 64)}
}

func (p *levelPool) take() *level {
	select {
	case l := <-p.free:
		return l
	default:
		return newLevel(p.s, p.stride)
	}
}

func (p *levelPool) give(l *level) {
	select {
	case p.free <- l:
	default:
	}
}

func newLevel(s *shadow, stride int) *level {
	nx, ny := (s.f.NX+stride-1)/stride, (s.f.NY+stride-1)/stride
	n := nx * ny
	l := &level{s: s, stride: stride, nx: nx, ny: ny, comp: make([]int32, n)}
	l.class = l.newClass()
	return l
}

// newClass is a class for classify to fill: open, as all stays beside S.
func (l *level) newClass() []cell {
	class := make([]cell, l.nx*l.ny)
	for c := range class {
		class[c] = inOpen
	}
	return class
}

// classify fills class for a height.
func (l *level) classify(class []cell, h float64) {
	s := l.s
	z := s.open(h)
	for y := range l.ny {
		j := y * l.stride
		from, to := (s.across[j][0]+l.stride-1)/l.stride, (s.across[j][1]+l.stride-1)/l.stride
		if l.stride > 2 { // beyond the last of many strides lies nothing
			if from, to = max(from, 1), min(to, l.nx-1); y == 0 || y == l.ny-1 {
				continue
			}
		}
		for x := from; x < to; x++ {
			i := x * l.stride
			if s.tops[j*s.f.NX+i] <= z {
				class[y*l.nx+x] = inOpen
				continue
			}
			col := s.f.Column(i, j)
			v := inSolid
			for k := range col {
				if col[k].Top > h {
					if col[k].Bottom > h && s.rubber.Fill[s.f.Offset(i, j)+k] == scene.Rubber {
						v = inShadow
					}
					break
				}
			}
			class[y*l.nx+x] = v
		}
	}
}

// value is the path of a blockage at a level, mm.
type value struct {
	blockage int // its number
	d        float32
}

var around8 = [8][2]int{{-1, 0}, {1, 0}, {0, -1}, {0, 1}, {-1, -1}, {1, -1}, {-1, 1}, {1, 1}}

// question says of which rubber a level is asked.
type question uint8

const (
	askLocked question = 1 << iota // what has no way out
	askFree                        // the rest: how long its way out is
)

// outcome is what is found of a component of the shadow at a height.
type outcome uint8

const (
	hasWays  outcome = iota // its ways out are solved
	isLocked                // it has none
	isNoise                 // it has none, but is noise
	hasWebs                 // part of it has none but through narrow passages
	notAsked
)

// solve returns the path at height h of every blockage that h meets: with
// askLocked those without a way out (+Inf), with askFree the others.
func (l *level) solve(h float64, bs []blockage, ask question) []value {
	var meets []int
	for n, b := range bs {
		if b.lo <= h && h < b.hi {
			meets = append(meets, n)
		}
	}
	if len(meets) == 0 {
		return nil
	}
	l.classify(l.class, h)
	clear(l.comp)
	l.have = [2]bool{}
	l.suspect = false
	l.found = append(l.found[:0], notAsked) // component 0 is none
	vals := make([]value, 0, len(meets))
	inf := float32(math.Inf(1))
	for _, n := range meets {
		d, locked := l.way(int(bs[n].i), int(bs[n].j), h, ask)
		if locked {
			vals = append(vals, value{n, inf})
		}
		if d < inf {
			vals = append(vals, value{n, d * float32(l.s.f.Cell)})
		}
	}
	return vals
}

// way is the way out of a column at height h, in columns, +Inf where none was
// asked for or found, and whether some of its rubber has none. It is read from
// the cells round the column: at full resolution from its own.
func (l *level) way(x, y int, h float64, ask question) (d float32, locked bool) {
	d = float32(math.Inf(1))
	for v := y / l.stride; v <= (y+l.stride-1)/l.stride; v++ {
		for u := x / l.stride; u <= (x+l.stride-1)/l.stride; u++ {
			if u >= l.nx || v >= l.ny {
				continue
			}
			c := int32(v*l.nx + u)
			if l.class[c] != inShadow {
				continue
			}
			if l.comp[c] == 0 {
				id := int32(len(l.found))
				l.found = append(l.found, notAsked)
				l.found[id] = l.component(c, id, h, ask)
			}
			switch l.found[l.comp[c]] {
			case isLocked:
				locked = locked || ask&askLocked != 0
			case hasWebs:
				locked = locked || !l.seen[c] && !l.noise(c, h)
			case hasWays:
				if math.IsInf(float64(l.dist[c]), 1) {
					l.suspect = true
					continue // shut off by narrow passages: see hasWebs
				}
				a := l.anchor[c]
				dx := float64(x - int(a)%l.nx*l.stride)
				dy := float64(y - int(a)/l.nx*l.stride)
				d = min(d, l.base[c]*float32(l.stride)+float32(math.Sqrt(dx*dx+dy*dy)))
			}
		}
	}
	return d, locked
}

// gather floods the shadow round cell c into l.cells. It reports whether open
// cells touch it, and its box: least and most column both ways.
func (l *level) gather(c, id int32) (exits bool, box [4]int) {
	l.cells = append(l.cells[:0], c)
	l.comp[c] = id
	x0, y0, x1, y1 := l.nx, l.ny, 0, 0
	step := l.steps()
	for n := 0; n < len(l.cells); n++ {
		at := l.cells[n]
		i, j := int(at)%l.nx, int(at)/l.nx
		x0, y0, x1, y1 = min(x0, i), min(y0, j), max(x1, i), max(y1, j)
		for k, d := range step {
			// The grid's margin is open, so a free cell has all neighbours.
			e := at + d
			if l.class[e] == inSolid || l.comp[e] != 0 || walled(l.class, l.nx, at, k) {
				continue
			}
			switch l.class[e] {
			case inOpen:
				exits = true
			case inShadow:
				l.comp[e] = id
				l.cells = append(l.cells, e)
			}
		}
	}
	return exits, [4]int{x0, y0, x1, y1}
}

// component floods the shadow round cell c and solves the ways out of it.
func (l *level) component(c, id int32, h float64, ask question) outcome {
	exits, box := l.gather(c, id)
	if !exits {
		if ask&askLocked == 0 {
			l.suspect = true
			return notAsked
		}
		return l.shut(h)
	}
	if ask&askFree == 0 {
		return l.webbed(box)
	}
	l.startOver()
	l.markThin(l.class, box)
	l.shortestWays()
	return hasWays
}

// startOver forgets the ways out of l.cells.
func (l *level) startOver() {
	if l.dist == nil {
		n := l.nx * l.ny
		l.dist, l.base, l.anchor = make([]float32, n), make([]float32, n), make([]int32, n)
		l.sure, l.wait = make([]bool, n), make([]bool, n)
	}
	inf := float32(math.Inf(1))
	for _, e := range l.cells {
		l.dist[e], l.anchor[e], l.sure[e], l.wait[e] = inf, -1, false, false
	}
}
