package render

import (
	"math"
	"strings"

	"moldtally/estimate"
	"moldtally/render/figure"
	"moldtally/render/words"
)

func (w *wording) pattern() Section {
	sec := Section{Key: "pattern", Title: "Pattern"}
	p := w.plan.Pattern
	if p == nil {
		return sec
	}
	from := map[estimate.UnitsFrom]string{estimate.UnitsInFile: "as the file states", estimate.UnitsSaid: "as you said", estimate.UnitsAssumed: "assumed: the file does not say"}[p.UnitsFrom]
	file := Row{Label: "File", Value: p.Format + ", units " + p.Units, Note: from}
	if p.UnitsFrom == estimate.UnitsAssumed {
		file.Tone = Care
	}
	sec.add(file)
	one := func(l float64) figure.Quantity { return figure.Length(l, SizeStep(p.Size)) }
	sec.add(w.row("Size, x × y × z", figure.Sizes(p.Size[:], one), ""))

	if p.DisplacedVolume != nil {
		low, high := *p.DisplacedVolume, *p.DisplacedVolume
		if p.DisplacedLow != nil && p.DisplacedHigh != nil {
			low, high = *p.DisplacedLow, *p.DisplacedHigh
		}
		method := ""
		if p.DisplacedMethod != nil {
			method = words.Say(*p.DisplacedMethod, w.System)
		}
		r := w.row("Displaces", figure.Volume(low, *p.DisplacedVolume, high), figure.Join("; ", w.VolumeRange(low, *p.DisplacedVolume, high), method))
		sec.add(r)
		if p.MaterialVolume != nil && math.Abs(*p.MaterialVolume-*p.DisplacedVolume) > 1e-3**p.DisplacedVolume {
			sec.add(w.row("Of that, material", figure.Volume(low, *p.MaterialVolume, high), "the rest is hollow"))
		}
	} else {
		sec.add(Row{Label: "Displaces", Value: "unknown", Note: "its faces surround nothing", Tone: Bad})
	}
	sec.add(w.row("Surface", figure.Area(p.Area), ""))

	mesh := []string{figure.Count(p.Triangles, "triangle", "triangles"), figure.Count(p.Pieces, "piece", "pieces")}
	if p.ThroughHoles != nil && *p.ThroughHoles > 0 {
		mesh = append(mesh, figure.Count(*p.ThroughHoles, "hole right through", "holes right through"))
	}
	state := Row{Label: "Mesh", Value: strings.Join(mesh, ", "), Note: "closed"}
	if !p.Closed {
		state.Note, state.Tone = "open", Care
	}
	sec.add(state)
	var flaws []string
	flaw := func(n int, one, many string) {
		if n > 0 {
			flaws = append(flaws, figure.Count(n, one, many))
		}
	}
	flaw(p.BoundaryEdges, "open edge", "open edges")
	flaw(p.NonManifoldEdges, "edge of three or more faces", "edges of three or more faces")
	flaw(p.TurnedEdges, "edge between faces that disagree which side is out", "edges between faces that disagree which side is out")
	flaw(p.DegenerateFaces, "collapsed face", "collapsed faces")
	flaw(p.DuplicateFaces, "doubled face", "doubled faces")
	if p.SelfCrossings != nil {
		flaw(*p.SelfCrossings, "place where the surface crosses itself", "places where the surface crosses itself")
	}
	if len(flaws) > 0 {
		sec.add(Row{Label: "Flaws in the file", Value: strings.Join(flaws, ", ")})
	}
	if p.SealedVoids != nil && *p.SealedVoids > 0 {
		r := Row{Label: "Sealed hollows", Value: figure.Count(*p.SealedVoids, "hollow", "hollows")}
		if p.SealedVoidVolume != nil {
			r.Note = w.Inline(figure.Exactly(*p.SealedVoidVolume)) + " in all; no rubber gets in"
		}
		sec.add(r)
	}
	if p.Crumbs > 0 {
		sec.add(Row{Label: "Loose crumbs", Value: figure.Count(p.Crumbs, "crumb", "crumbs"), Note: "loose debris of the scan"})
	}
	for i, r := range p.Repairs {
		label := ""
		if i == 0 {
			label = "Mended"
		}
		sec.add(Row{Label: label, Value: words.Say(r, w.System)})
	}
	return sec
}

// SizeStep is the fineness that suits a pattern's size: 0.1 mm from 10 mm up.
func SizeStep(size [3]float64) float64 {
	if l := max(size[0], size[1], size[2]); l < 10 {
		return 0.01
	}
	return 0.1
}
