package demold

import (
	"context"
	"math"

	"moldtally/mesh"
	"moldtally/mesh/demold/scene"
	"moldtally/mesh/demold/tunnel"
	"moldtally/mesh/dexel"
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

// tunnels counts what rubber would link through.
func tunnels(ctx context.Context, a *analysis) error {
	n, err := tunnel.Count(ctx, a.Scene)
	if err != nil {
		return err
	}
	a.rep.Tunnels = &n
	return nil
}

// passages lists the tunnels that were counted.
func passages(ctx context.Context, a *analysis) (err error) {
	a.rep.TunnelList, err = tunnel.List(ctx, a.Scene, *a.rep.Tunnels)
	return err
}

// nameTunnels writes the number of the undercut that each web lies in; ids are
// the regions' numbers.
func (a *analysis) nameTunnels(ids []int32) {
	for n := range a.rep.TunnelList {
		t := &a.rep.TunnelList[n]
		if label := a.labelAt(t.WebAt); label > 0 {
			id := int(ids[label-1])
			t.Region = &id
		}
	}
}

// labelAt is the label (region + 1) of the undercut at a place of the rubber, 0
// where it is in none.
func (a *analysis) labelAt(at [3]float64) int32 {
	x, y, z := a.Field.Plane(mesh.V(at[0], at[1], at[2]))
	h := a.halfAt(z)
	if h.up != a.Up {
		z = -z
	}
	i, j := int(math.Floor((x-h.f.X0)/h.f.Cell)), int(math.Floor((y-h.f.Y0)/h.f.Cell))
	if i < 0 || j < 0 || i >= h.f.NX || j >= h.f.NY {
		return 0
	}
	k, in := dexel.At(h.f.Column(i, j), z)
	if in || k == len(h.f.Column(i, j)) {
		return 0
	}
	return h.label[h.f.Offset(i, j)+k]
}

// judgeWebs says what slitting the webs gains, and tells of the tunnels.
func judgeWebs(ctx context.Context, a *analysis) error {
	r := a.rep
	if r.Tunnels == nil || *r.Tunnels == 0 || !a.OnBoard() {
		return nil
	}
	defer a.tellTunnels()
	linked := map[int]bool{} // looked up, never ranged over
	all := len(r.TunnelList) == *r.Tunnels
	area := 0.0
	for _, t := range r.TunnelList {
		if t.Region != nil {
			linked[*t.Region] = true
		}
		if t.WebArea == nil {
			all = false
			continue
		}
		area += *t.WebArea
	}
	if !all {
		return nil
	}
	w := &Webs{CutArea: area}
	w.Uncut = WebFigures{Volume: r.UndercutVolume, Stretch: r.Stretch}
	for _, g := range r.Regions {
		if linked[g.ID] {
			w.Uncut.Linked += g.Volume
		}
	}
	// A slit takes no rubber away and opens no ring that lies round the whole
	// section, so volume and stretch remain.
	w.Slit = WebFigures{Volume: r.UndercutVolume, Stretch: r.Stretch}
	var err error
	if w.Slit.Path, err = a.slitPath(ctx, r.TunnelList); err != nil {
		return err
	}
	r.Webs = w
	return nil
}

// slitPath is the deepest path that is left when the webs are cut through. nil =
// locked.
func (a *analysis) slitPath(ctx context.Context, list []tunnel.Passage) (*float64, error) {
	f := tunnel.Walled(a.Scene, list)
	r := scene.NewSpace(f, a.Base, a.ClayLine(), a.Eps, a.RaggedBottom())
	h := &half{shadow: newShadow(f, r, a.ClayLine(), a.Base, a.Eps), up: a.Up}
	if err := h.solve(ctx, a.Scene); err != nil {
		return nil, err
	}
	if h.res.locked {
		return nil, nil
	}
	return &h.res.deepest, nil
}

// tellTunnels tells of the tunnels of a mold on a board.
func (a *analysis) tellTunnels() {
	r := a.rep
	facts := tunnel.Through{Count: *r.Tunnels, Listed: len(r.TunnelList)}
	f := finding.Finding{Code: tunnel.CodeThrough, Severity: finding.Caution}
	if len(r.TunnelList) > 0 {
		t := r.TunnelList[0]
		f.At = &t.WebAt
		facts.Opening = unit.Length(t.Opening)
		if t.Length != nil {
			facts.Web = &tunnel.Web{Length: unit.Length(*t.Length), Area: unit.Area(*t.WebArea)}
		}
	}
	if r.Webs != nil {
		facts.Slit = &tunnel.Slit{Locked: r.Webs.Slit.Path == nil}
		if r.Webs.Slit.Path != nil {
			facts.Slit.Path = unit.Length(*r.Webs.Slit.Path)
		}
	}
	f.Facts = facts
	r.Findings.Add(f)
}
