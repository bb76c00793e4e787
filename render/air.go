package render

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"moldtally/mesh"
	"moldtally/mesh/demold"
	"moldtally/mesh/demold/air"
	"moldtally/render/figure"
	"moldtally/render/words"
)

// airRows say how to tip, feed and vent each pour that catches air.
func (w *wording) airRows(d *demold.Report, step float64) []Row {
	var out []Row
	for _, p := range d.Air {
		if p.Pour == air.Rubber && w.brushed() {
			continue // no rubber rises
		}
		if p.SprueAt != nil {
			out = append(out, w.sprue(&p))
		}
		if p.Caught <= 0 {
			continue
		}
		label := "Against air, " + string(p.Pour)
		if p.Half != air.Whole { // of the rubber
			label = "Air, " + string(p.Half) + " half"
		}
		r := Row{Label: label, Value: strconv.Itoa(len(p.Vents)) + " vents"}
		switch n := len(p.Vents); {
		case n == 0:
			r.Value = "nothing to cut"
		case p.Pour == air.Rubber: // nobody vents a pattern where a brush does
			r.Value = "brush " + strconv.Itoa(n) + " places"
			if n == 1 {
				r.Value = "brush 1 place"
			}
		case n == 1:
			r.Value = "1 vent"
		}
		if p.Tilt != nil {
			r.Value = "tip it " + strconv.Itoa(int(math.Ceil(*p.Tilt-1e-6))) + "°"
			r.Note = "down with the side that looks " + words.Side(mesh.V(p.Toward[0], p.Toward[1], p.Toward[2]))
			if p.Over != nil && *p.Over >= 1 {
				r.Note = figure.Join("; ", r.Note, "in a box "+w.Inline(figure.Length(*p.Over, max(1, step)))+" over the pattern")
			}
		}
		if p.Left > 0 {
			var at []string
			for _, v := range p.Vents[:min(len(p.Vents), ventsShown)] {
				at = append(at, figure.Place(v))
			}
			if more := len(p.Vents) - len(at); more > 0 {
				at = append(at, strconv.Itoa(more)+" more")
			}
			left := w.Inline(figure.About(figure.Volume, p.Left, withinAir))
			if p.Tilt != nil {
				left += " is left"
			} else {
				left += " is caught"
			}
			clear := "small places: dust them with talc, or fill what they leave"
			switch {
			case len(at) > 0 && p.Pour == air.Rubber:
				clear = "a first coat into " + strings.Join(at, "; ")
			case len(at) > 0:
				clear = "vent at " + strings.Join(at, "; ")
			}
			r.Note = figure.Join("; ", r.Note, left, clear, w.ventNote(&p))
		} else {
			r.Note = figure.Join("; ", r.Note, "no air is left")
		}
		out = append(out, r)
	}
	return out
}

// sprue says where the sprue of a closed mold stands, how wide it is, and which
// way up the mold is stood.
func (w *wording) sprue(p *air.Pour) Row {
	note := "the mold stood with " + figure.Direction(p.Up) + " up"
	if c := w.plan.Container; c != nil && c.Sprue != nil {
		note = figure.Join("; ", "ø "+w.Inline(figure.Ruled(rod(c.Sprue.Diameter))), note)
		switch lean, raise := c.Lean(mesh.V(p.Up[0], p.Up[1], p.Up[2])); {
		case !c.Kind.FourSided() && lean > worthLean:
			note += ", chocked, for it is round"
		case lean > worthLean:
			note += ", its box wedged up by " + strconv.Itoa(int(math.Round(lean))) + "° under the side that looks " + words.Side(raise)
		}
	}
	return Row{Label: "Sprue", Value: figure.Place(*p.SprueAt), Note: note}
}

// rod is a width to half a millimetre, as rods are to be had.
func rod(mm float64) float64 { return math.Round(2*mm) / 2 }

// worthLean is how far a box may lean without a wedge, degrees; a judgement.
const worthLean = 2

// ventNote says how the vents of a casting are made; "" where there are none.
func (w *wording) ventNote(p *air.Pour) string {
	c := w.plan.Container
	if p.Pour != air.Casting || c == nil || len(c.Vents) == 0 {
		return ""
	}
	note := "ø " + w.Inline(figure.Ruled(rod(c.Vents[0].Diameter)))
	if p.SprueAt != nil {
		note += ", ending above the sprue's rim"
	}
	led := 0
	for _, v := range c.Vents {
		led += len(v.Joins)
	}
	if led > 0 {
		note += "; places within 15 mm share one"
	}
	return note
}

// brushed reports whether the rubber is brushed on.
func (w *wording) brushed() bool {
	c := w.plan.Container
	return c != nil && c.Mold == demold.Brushed
}

func (w *wording) traps(d *demold.Report) []Table {
	if len(d.AirTraps) == 0 {
		return nil
	}
	t := Table{Caption: "Air is caught", Columns: []Column{{Title: "when pouring"}, {Title: "air", Right: true}, {Title: "near"}}}
	worst := map[air.Liquid]float64{}
	traps := slices.DeleteFunc(slices.Clone(d.AirTraps), func(a air.Trap) bool { return a.Pour == air.Rubber && w.brushed() })
	if len(traps) == 0 {
		return nil
	}
	for _, a := range traps {
		worst[a.Pour] = max(worst[a.Pour], a.Volume)
	}
	left := 0
	for _, a := range traps {
		if a.Volume < worthSaying*worst[a.Pour] || len(t.Rows) >= linesShown {
			left++
			continue
		}
		t.Rows = append(t.Rows, []string{"the " + string(a.Pour), w.Inline(figure.About(figure.Volume, a.Volume, withinAir)), figure.Place(a.At)})
	}
	if left > 0 {
		t.Note = "and " + strconv.Itoa(left) + " smaller"
	}
	return []Table{t}
}
