package air

import (
	"cmp"
	"math"
	"slices"

	"moldtally/mesh"
)

// Where sprue and vents stand. Judgements of this program but for joined, which
// is common practice, no source.
const (
	sprueTries = 2    // places as high as any that are tried for the sprue, the largest first
	lowerTries = 2    // and lower ones, those with most air first,
	sprueRoom  = 3.0  // where the highest has no more room than this, mm
	lowerGain  = 0.01 // by what share a place has to leave less air than one before it
	speck      = 1e-4 // a part of the cavity under this share of its largest needs no sprue
	ventRounds = 4    // how often it is asked what the vents leave
	joined     = 15.0 // vents nearer to each other than this are led into one, mm
)

// Vent is where air is let out of a mold, and the places near it whose air is led
// to it.
type Vent struct {
	At    mesh.Vec
	Joins []mesh.Vec
}

// connected are the connected parts of a shut cavity, the largest first, without
// specks.
func (v *cavity) connected() [][]place {
	if v.lists != nil {
		return v.lists
	}
	parts, size := make([][]place, v.parts), make([]float64, v.parts)
	v.each(func(p place) {
		k := v.part[p.n]
		parts[k] = append(parts[k], p)
		size[k] += float64(v.hi[p.n] - v.lo[p.n])
	})
	slices.SortStableFunc(parts, func(a, b []place) int {
		return cmp.Compare(size[v.part[b[0].n]], size[v.part[a[0].n]])
	})
	v.lists = slices.DeleteFunc(parts, func(q []place) bool { return size[v.part[q[0].n]] < speck*size[v.part[parts[0][0].n]] })
	return v.lists
}

// feed finds where the sprue of a shut cavity stands and what it then catches: of
// the places that are as high as any the one that leaves least; where no sprue has
// room there, a lower one that leaves less. Parts of the cavity that it does not
// reach have sprues of their own.
func (p *pour) feed() (rest []float32) {
	peaks := p.peaks(lean{})
	parts := p.connected()
	if len(parts) == 0 {
		return p.hi
	}
	main := p.part[parts[0][0].n]
	apart := slices.DeleteFunc(peaks, func(g place) bool { return p.part[g.n] == main })
	least := math.Inf(1)
	try := func(s []place) {
		open := slices.Concat(s, apart)
		r := p.climb(lean{}, open)
		hold := p.traps(r, lean{}, p.rise, true)
		if v := volume(hold); p.sprue == nil || v < (1-lowerGain)*least {
			least, rest = v, r
			p.open, p.hold, p.sprue = open, hold, s
		}
	}
	first := p.sheets(p.high(parts[0], lean{}, p.noise))
	slices.SortStableFunc(first, func(a, b []place) int { return cmp.Compare(len(b), len(a)) })
	if p.swill {
		p.open, p.sprue = slices.Concat(first[0], apart), first[0]
		return p.hi
	}
	for _, s := range first[:min(len(first), sprueTries)] {
		if try(s); least == 0 {
			return rest
		}
	}
	if _, wide := p.sprues(lean{}); wide[0] > sprueRoom {
		return rest
	}
	lower := p.hold
	for _, t := range lower[:min(len(lower), lowerTries)] {
		_, _, s := p.widest(t.nodes, lean{}, p.noise)
		try(s)
	}
	return rest
}

// sprues are the places of the sprues of a shut cavity, the one of its largest
// part first, with the clear width there, mm.
func (p *pour) sprues(l lean) (at []place, wide []float64) {
	for k, part := range p.connected() {
		s := p.sprue
		if k > 0 || l != (lean{}) {
			_, _, s = p.widest(part, l, p.noise)
		}
		// The ceiling round it.
		top := float32(math.Inf(-1))
		for _, g := range s {
			top = max(top, p.height(g, l))
		}
		var pool []place
		for _, g := range part {
			if h := p.height(g, l); h >= top-p.reach && h <= top {
				pool = append(pool, g)
			}
		}
		for _, q := range p.sheets(pool) {
			if slices.Contains(q, s[0]) {
				g, clear := p.middle(q)
				at, wide = append(at, g), append(wide, 2*clear)
			}
		}
	}
	return at, wide
}

// put finds where in each trap the air sits last.
func (p *pour) put(traps []trap, l lean) {
	for k := range traps {
		t := &traps[k]
		t.top, _, t.sheet = p.widest(t.nodes, l, p.reach)
	}
}

// clear are the vents that clear traps, those of the largest first; a vent in one
// place of a trap may leave air in another. A blemish on a casting takes none.
// rest is from where the air is caught in each node.
func (p *pour) clear(traps []trap, rest []float32, l lean) (out []Vent) {
	least := 0.0
	if p.rep.Pour == Casting {
		least = littleAir * p.f.Volume()
	}
	var open []place
	for range ventRounds {
		n := len(out)
		for _, t := range traps {
			if t.volume > least {
				out = append(out, Vent{At: p.vec(t.top)})
				open = append(open, t.sheet...)
			}
		}
		if n == len(out) || !p.shut && l != (lean{}) { // set level again, what is left is not of one flood
			break
		}
		in := make([]bool, len(p.lo))
		for _, t := range traps {
			for _, g := range t.nodes {
				in[g.n] = t.volume > least
			}
		}
		left := p.climbIn(in, l, open)
		p.each(func(g place) {
			if in[g.n] {
				left[g.n] = max(left[g.n], rest[g.n])
			} else {
				left[g.n] = p.hi[g.n]
			}
		})
		traps, rest = p.traps(left, l, p.rise, true), left
		p.put(traps, l)
	}
	return out
}

// join leads vents that are near one another into the first of them.
func join(vents []Vent) (out []Vent) {
next:
	for _, v := range vents {
		for k := range out {
			if v.At.Sub(out[k].At).Len() <= joined {
				out[k].Joins = append(out[k].Joins, v.At)
				continue next
			}
		}
		out = append(out, v)
	}
	return out
}

// report fills in what is caught in the given traps, whose tops are known, from
// rest on, with the vents that clear them and the sprue.
func (p *pour) report(traps []trap, rest []float32, l lean) {
	p.rep.Left, p.rep.Vents, p.rep.SprueAt = volume(traps), [][3]float64{}, nil
	p.vents = p.clear(traps, rest, l)
	if p.part != nil {
		// A part of the cavity that the sprue does not reach takes a vent.
		places, wide := p.sprues(l)
		for k, s := range places {
			if k > 0 {
				p.vents = append(p.vents, Vent{At: p.vec(s)})
				continue
			}
			at := p.at(s)
			p.rep.SprueAt, p.rep.SprueWide = &at, wide[0]
		}
	}
	if p.rep.Pour == Casting {
		p.vents = join(p.vents)
	}
	for _, v := range p.vents {
		p.rep.Vents = append(p.rep.Vents, v.At.Array())
	}
	p.rep.Led = p.vents
}

func (p *pour) vec(t place) mesh.Vec {
	at := p.at(t)
	return mesh.V(at[0], at[1], at[2])
}
