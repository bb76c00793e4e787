package air

import (
	"math"

	"moldtally/mesh"
	"moldtally/mesh/finding"
	"moldtally/mesh/unit"
)

// Codes of caught air. The facts of each are named in brackets.
const (
	CodeRubber  finding.Code = "demold.air-in-rubber"  // [Caught]
	CodeCasting finding.Code = "demold.air-in-casting" // [Caught]
)

// littleAir is the share of the pattern under which caught air is a blemish to
// fill and not worth tipping a mold for. Judgement of this program.
const littleAir = 1e-4

// Caught: a pour catches air standing level.
type Caught struct {
	Pour   Liquid
	Half   Half
	Volume unit.Volume
	Places int
	Tip    *Tip        // nil where no tilt helps, or too little is caught
	Left   unit.Volume // in spite of it
	Vents  []mesh.Vec  // for what is left
	Mouth  bool        // the casting is poured into a mouth, and not through a sprue
	Sprue  *mesh.Vec   // nil with a mouth
	Up     mesh.Vec    // the side that faces up while it is poured
	// OnFoot is how many of several vents stand on a rough side that is up, and would
	// be one if that were flat; 0 = none.
	OnFoot int
}

// A foot is rough where vents on it stand no lower than roughly under its highest
// point, mm, and so much of the outline reaches that height; few vents are left as
// they are. Judgements of this program.
const (
	roughly   = 3.0
	footShare = 0.25
	fewOnFoot = 3
)

// onFoot counts the vents on a rough side that is up.
func (p *pour) onFoot() int {
	top := math.Inf(-1)
	var tops []float64
	for j := range p.f.NY {
		for i := range p.f.NX {
			if col := p.f.Column(i, j); len(col) > 0 {
				h := float64(col[len(col)-1].Top)
				tops, top = append(tops, h), max(top, h)
			}
		}
	}
	near := 0
	for _, h := range tops {
		if h >= top-roughly {
			near++
		}
	}
	if float64(near) < footShare*float64(len(tops)) {
		return 0
	}
	n := 0
	for _, v := range p.rep.Vents {
		if mesh.V(v[0], v[1], v[2]).Dot(p.f.U) >= top-roughly {
			n++
		}
	}
	if n < fewOnFoot {
		return 0
	}
	return n
}

// Tip is how to tip a mold.
type Tip struct {
	Angle unit.Angle
	Down  mesh.Vec    // the side that goes down
	Over  unit.Length // how far over the pattern a box of rubber has to reach; 0 = no farther than level
}

// found are the facts of a pour that catches air.
func (p *pour) found() finding.Finding {
	r := &p.rep
	f := Caught{Pour: r.Pour, Half: r.Half, Volume: unit.Volume(r.Caught), Places: r.Traps, Left: unit.Volume(r.Left), Mouth: !p.shut, Up: p.f.U}
	if r.Tilt != nil {
		d := *r.Toward
		f.Tip = &Tip{Angle: unit.Angle(*r.Tilt * math.Pi / 180), Down: mesh.V(d[0], d[1], d[2])}
		if r.Over != nil {
			f.Tip.Over = unit.Length(*r.Over)
		}
	}
	for _, v := range r.Vents {
		f.Vents = append(f.Vents, mesh.V(v[0], v[1], v[2]))
	}
	if r.Pour == Casting && len(r.Vents) >= fewOnFoot {
		f.OnFoot = p.onFoot()
	}
	if s := r.SprueAt; s != nil {
		f.Sprue = new(mesh.V(s[0], s[1], s[2]))
	}
	out := finding.Finding{Code: CodeCasting, Severity: finding.Note, Facts: f}
	if r.Pour == Rubber {
		out.Code = CodeRubber
	}
	if r.Caught > littleAir*p.f.Volume() {
		out.Severity = finding.Caution
	}
	out.At = new(*r.At)
	return out
}
