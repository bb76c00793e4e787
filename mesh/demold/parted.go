package demold

import (
	"moldtally/mesh"
	"moldtally/mesh/demold/scene"
	"moldtally/mesh/demold/undercut"
	"moldtally/mesh/solid"
)

// Parted keeps the undercuts of the last brief look at a mold that parts: two halves
// and a mold that is cut open are asked for the same pull as often as not, and part
// alike. The zero value knows nothing; nil never does. It is for one goroutine at a
// time.
type Parted struct{ last *undercut.Result }

// of is what is known of a pull; nil = nothing.
func (p *Parted) of(s *solid.Solid, up mesh.Vec, of scene.Options, o Options) *undercut.Result {
	if p == nil || p.last == nil || of.Mold.OnBoard() || of.Mold == "" || !o.roughly() {
		return nil
	}
	asked := of
	asked.Mold = p.last.Scene.Mold
	if !p.last.Answers(s, up, asked, undercut.Options{Parting: o.Parting}) {
		return nil
	}
	return p.last.As(of.Mold)
}

// keep takes in what was found.
func (p *Parted) keep(r *undercut.Result, o Options) {
	if p != nil && o.roughly() && !r.Scene.OnBoard() {
		p.last = r
	}
}

// roughly reports whether what is found is only compared.
func (o *Options) roughly() bool { return o.Brief && o.Coarser > 0 }
