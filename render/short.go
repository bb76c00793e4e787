package render

import (
	"strconv"
	"strings"

	"moldtally/boxfit"
	"moldtally/estimate"
	"moldtally/estimate/rubber"
	"moldtally/mesh/demold"
	"moldtally/render/figure"
)

// short is what is needed at the bench, before the details.
func (w *wording) short() Section {
	sec := Section{Key: "short", Title: "In short"}
	c, r := w.plan.Container, w.plan.Rubber
	if c == nil || r == nil {
		return sec
	}
	if c.Kind == boxfit.Mother {
		sec.add(w.row("Coat", figure.Ruled(c.Wall), "thick, under a rigid mother mold"))
	}
	sec.add(w.inside(c)...)
	if c.Mold != demold.Brushed {
		sec.add(w.row("Fill to", figure.Marked(c.FillHeight), ""))
	}
	sec.add(Row{Label: "Rubber", Value: rubberName(r)})
	sec.add(w.parts(r)...)
	return sec
}

// rubberName is the rubber by name, chemistry and hardness.
func rubberName(r *estimate.Rubber) string {
	name := figure.Join(", ", r.Name, string(r.Family))
	switch {
	case r.ShoreA != nil:
		name = figure.Join(", ", name, "Shore"+figure.NBSP+"A"+figure.NBSP+figure.Trimmed(*r.ShoreA, 1))
	case r.ShoreOO != nil:
		name = figure.Join(", ", name, "Shore"+figure.NBSP+"00"+figure.NBSP+figure.Trimmed(*r.ShoreOO, 1))
	}
	return name
}

// inside is a container's inside measure in one row.
func (w *wording) inside(c *boxfit.Fit) []Row {
	name, clear := "Inside of "+string(c.Kind), figure.Clear
	if c.Own || c.Stock != nil {
		clear = figure.Ruled // it is there already
	}
	switch {
	case c.Diameter != nil && c.Interior != nil:
		note := ""
		if c.Sides != nil {
			name, note = "Inside, "+strconv.Itoa(*c.Sides)+" sides", "between flats × height"
		}
		return []Row{w.row(name, figure.Sizes([]float64{*c.Diameter, c.Interior[2]}, clear), note)}
	case c.Diameter != nil:
		return []Row{w.row(name, clear(*c.Diameter), "diameter")}
	case c.Interior != nil:
		return []Row{w.row(name, figure.Sizes(c.Interior[:], clear), "")}
	}
	return nil
}

// parts are the A and B to weigh, or to measure.
func (w *wording) parts(r *estimate.Rubber) []Row {
	var rows []Row
	ratio := ""
	if r.MixRatio != "" {
		ratio = "mix " + r.MixRatio
		if r.MixBy != "" {
			ratio += " by " + string(r.MixBy)
		}
	}
	part := func(label string, g, ml *float64, note string) {
		switch {
		case g != nil:
			if ml != nil && r.MixBy == rubber.ByVolume {
				note = figure.Join("; ", note, "or "+w.Inline(figure.Fluid(*ml)))
			}
			rows = append(rows, w.scale(label, *g, note))
		case ml != nil:
			rows = append(rows, w.row(label, figure.Fluid(*ml), note))
		}
	}
	part("Part A", r.PartA, r.PartAml, ratio)
	part("Part B", r.PartB, r.PartBml, "")
	for _, a := range r.Additives {
		rows = append(rows, w.scale(figure.Capital(string(a.Kind)), a.Mass, figure.Trimmed(a.Share, 2)+" % of the mix: "+strings.ReplaceAll(a.Name, "-", " ")))
	}
	if len(rows) > 0 && len(r.Pours) > 1 {
		rows[0].Note = figure.Join("; ", rows[0].Note, "all pours together: weigh each by itself, as listed below")
	}
	if len(rows) > 0 && len(r.Pours) == 1 && len(r.Pours[0].Batches) > 1 {
		cups := figure.Count(len(r.Pours[0].Batches), "batch", "batches")
		if w.brushed() {
			cups = figure.Count(len(r.Pours[0].Batches), "cup", "cups")
		}
		rows[len(rows)-1].Note = figure.Join("; ", rows[len(rows)-1].Note, "in "+cups+", below")
	}
	return rows
}
