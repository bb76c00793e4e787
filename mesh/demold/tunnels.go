package demold

import (
	"context"
	"slices"

	"moldtally/mesh/demold/scene"
	"moldtally/mesh/demold/tunnel"
	"moldtally/mesh/demold/undercut"
	"moldtally/mesh/finding"
	"moldtally/mesh/unit"
)

// Webs says what slitting the webs of rubber in the tunnels gains.
type Webs struct {
	CutArea float64    `json:"cut_area_mm2"` // of all the webs
	Uncut   WebFigures `json:"uncut"`
	Slit    WebFigures `json:"slit"`
}

// WebFigures are an undercut's figures, with the webs whole or slit.
type WebFigures struct {
	Path    *float64 `json:"undercut_path_mm"` // nil = it cannot leave
	Volume  float64  `json:"undercut_volume_mm3"`
	Linked  float64  `json:"linked_volume_mm3"` // of that, in undercuts that link through the pattern
	Stretch *float64 `json:"stretch"`
}

// named are the passages with the number of the undercut that each web lies in.
func (x *answers) named() []tunnel.Passage {
	out := slices.Clone(x.passages)
	for n := range out {
		if id := x.surface.RegionAt(out[n].WebAt); id > 0 {
			out[n].Region = &id
		}
	}
	return out
}

// slit says what slitting the webs gains; nil where there are none, no board, or
// a web that is not known.
func (x *answers) slit(ctx context.Context, c *scene.Scene) (*Webs, error) {
	if x.tunnels == 0 || !c.OnBoard() || len(x.passages) != x.tunnels {
		return nil, nil
	}
	// A slit takes no rubber away and opens no ring that lies round the whole
	// section, so volume and stretch remain.
	figures := WebFigures{Volume: x.undercuts.Volume, Stretch: x.stretch.Value}
	w := &Webs{Uncut: figures, Slit: figures}
	linked := map[int]bool{} // looked up, never ranged over
	for _, t := range x.passages {
		if t.WebArea == nil {
			return nil, nil
		}
		w.CutArea += *t.WebArea
		linked[x.surface.RegionAt(t.WebAt)] = true
	}
	for _, g := range x.surface.Regions {
		if linked[g.ID] {
			w.Uncut.Linked += g.Volume
		}
	}
	slit, err := undercut.Find(ctx, c.In(tunnel.Walled(c, x.passages)), undercut.Options{Columns: true})
	if err != nil {
		return nil, err
	}
	w.Slit.Path = slit.Path
	return w, nil
}

// tellTunnels tells of the tunnels of a mold on a board.
func (x *answers) tellTunnels(c *scene.Scene, to *finding.List) {
	if x.tunnels == 0 || !c.OnBoard() {
		return
	}
	facts := tunnel.Through{Count: x.tunnels, Listed: len(x.passages)}
	f := finding.Finding{Code: tunnel.CodeThrough, Severity: finding.Caution}
	if len(x.passages) > 0 {
		t := x.passages[0]
		f.At = &t.WebAt
		facts.Opening = unit.Length(t.Opening)
		if t.Length != nil {
			facts.Web = &tunnel.Web{Length: unit.Length(*t.Length), Area: unit.Area(*t.WebArea)}
		}
	}
	if x.webs != nil {
		facts.Slit = &tunnel.Slit{Locked: x.webs.Slit.Path == nil}
		if x.webs.Slit.Path != nil {
			facts.Slit.Path = unit.Length(*x.webs.Slit.Path)
		}
	}
	f.Facts = facts
	to.Add(f)
}
